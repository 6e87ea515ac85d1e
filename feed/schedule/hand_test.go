package schedule

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/sim/colony"
)

// TestSearchStepByStep: the levels that a search tries lie between
// bounds, each of which is the last that kept too little or too much, by what those kept; the one that
// keeps enough with least to spare is taken.
func TestSearchStepByStep(t *testing.T) {
	const target = 0.35 // a lower level keeps more
	for name, s := range map[string]struct {
		from, low, step, slack float64
		tried                  []float64
		best                   float64
	}{
		// 0.3 keeps 0.05 too much and 0.5 0.15 too little: a fifth of the way, 0.332.
		"the bound first": {0.5, 0.3, 0, 0.02, []float64{0.3, 0.3 * math.Pow(0.5/0.3, 0.2)}, 0.3 * math.Pow(0.5/0.3, 0.2)},
		// 0.9 is far off, so that no less than 0.15 of the way is gone: 0.354, too little; 0.339.
		"from the bound": {0.3, 0.3, 0, 0.02, []float64{0.9, 0.353744, 0.339146}, 0.339146},
		"from too much":  {0.31, 0.3, 0, 0.02, []float64{0.9, 0.363742, 0.338938}, 0.338938},
		// A step to 0.4, which keeps 0.05 too little; then the bound, and two fifths of the way.
		"down by a step": {0.5, 0.3, 1.25, 0.02, []float64{0.4, 0.3, 0.3 * math.Pow(0.4/0.3, 0.4)}, 0.3 * math.Pow(0.4/0.3, 0.4)},
		"up by a step":   {0.3, 0.3, 1.5, 0.02, []float64{0.45, 0.3 * math.Pow(1.5, 0.04/0.15)}, 0.3 * math.Pow(1.5, 0.04/0.15)},
		// 0.340 keeps more than is near enough, 0.361 too little: then the bounds are near enough.
		"to the end":           {0.5, 0.3, 0, 0.001, []float64{0.3, 0.340431, 0.360637}, 0.340431},
		"nothing keeps enough": {0.5, 0.4, 0, 0.02, []float64{0.4}, 0.4},
		"a step past the end":  {0.5, 0.4, 2, 0.02, []float64{0.4}, 0.4},
		"enough to begin with": {target, 0.3, 0, 0.02, nil, target},
	} {
		r, set, _ := oneSet(6, 7)
		var tried []float64
		over := func(f *Found) float64 {
			if l := f.levels.reserve; l != s.from && (len(tried) == 0 || tried[len(tried)-1] != l) {
				known := false
				for _, x := range tried {
					known = known || x == l
				}
				if !known {
					tried = append(tried, l)
				}
			}
			return target - f.levels.reserve
		}
		from := Found{Tries: 2, levels: levels{risk: 0.05, reserve: s.from, last: 0.7}}
		got := r.search(set, from, dial{level: func(l *levels) *float64 { return &l.reserve }, low: s.low, high: 0.9, over: over, slack: s.slack,
			step: s.step})
		require.Equal(t, 2+len(s.tried), got.Tries, "%s: %v", name, tried)
		require.InDeltaSlice(t, s.tried, tried, 1e-5, name)
		require.InDelta(t, s.best, got.levels.reserve, 1e-5, name)
		require.Equal(t, []float64{0.05, 0.7}, []float64{got.levels.risk, got.levels.last}, "the others stay")
	}
}

// TestLinesAtTheirEnds: no line under an empty hive, none under all readings, and the lot holds
// what the reserve asks where that is the most.
func TestLinesAtTheirEnds(t *testing.T) {
	at := levels{risk: 0.05, reserve: 0.3, last: 0.1}
	hives := func(reserveKg float64, k int, there, read []float64) (Line, *Set) {
		r, s, _ := oneSet(there...)
		s.Rules.ReserveKg = reserveKg
		r.open = group{members: []int{0, 1, 2, 3, 4}, there: there, read: read}
		return r.line(s, k, &r.open, at), s
	}
	none := Line{UnderKg: math.Inf(-1)}
	got, _ := hives(0, 2, []float64{1, 2, 3, 4, 5}, []float64{-2.5, -1.5, -0.5, 0.5, 1.5})
	require.Equal(t, none, got, "it would lie at -2 kg")
	got, _ = hives(0, 2, []float64{1, 2, 3, 4, 5}, []float64{1, 2, 3, 4, 5})
	require.Equal(t, 1.5, got.UnderKg, "1.4 kg to the next feed, in steps of a half")
	got, _ = hives(0, 2, []float64{2, 3, 4, 5, 6}, []float64{2, 3, 4, 5, 6})
	require.Equal(t, none, got, "none reads under 1.5")
	// At the last visit 1.9 kg are to be eaten. The second of five lacks 1.9 kg of the reserve;
	// a fill that is to last in a tenth of the springs owes nothing.
	got, s := hives(5, 4, []float64{4, 5, 6, 7, 8}, []float64{6, 6, 6, 6, 6})
	require.True(t, math.IsInf(got.UnderKg, 1))
	perL := s.Rules.Strength.StoresKgPerL()
	require.Greater(t, 1.9/perL, 2.0, "more than the least")
	require.InDelta(t, math.Ceil(1.9/perL*2)/2, got.Lot.SyrupL, 1e-9)
	// The first of five lacks 4 kg to be safe.
	at.reserve = 0.9
	got, _ = hives(1, 4, []float64{-2.1, 5, 6, 7, 8}, []float64{6, 6, 6, 6, 6})
	require.InDelta(t, math.Min(4, math.Ceil(4/perL*2)/2), got.Lot.SyrupL, 1e-9)
}

// TestFewLeftTakeTheLineBefore: a line is drawn through a twentieth of the members or more.
func TestFewLeftTakeTheLineBefore(t *testing.T) {
	kg := make([]float64, 100)
	for i := range kg {
		kg[i] = 3
	}
	r, s, _ := oneSet(kg...)
	before := Line{UnderKg: 7.5, Lot: Lot{SyrupL: 2.5}}
	p := Policy{before, before, before, before, before}
	for _, c := range []struct {
		k, left int
		share   float64
		carried bool
	}{{2, 4, 1, true}, {2, 5, 1, false}, {2, 2, 0.5, true}, {2, 3, 0.5, false}, {0, 4, 1, false}, {2, 0, 1, true}} {
		var g group
		for m := range c.left {
			g.add(m, 3, 3)
		}
		got := r.drawn(s, c.k, p, &g, c.share, levels{risk: 0.05, reserve: 0.5, last: 0.7})
		require.Equal(t, c.carried, got == before, "%+v: %+v", c, got)
		if !c.carried {
			require.Equal(t, Line{UnderKg: math.Inf(1), Lot: Lot{SyrupL: 4}}, got, "3 kg, where 6.4 are wanted and all are alike")
		}
	}
	require.Equal(t, Line{UnderKg: math.Inf(-1)}, r.drawn(s, 0, p, &group{}, 1, levels{}))
}

// TestLostAndStarved: a hive that starves before the first visit is lost whatever is done there;
// one that starves after it is not, and one that nobody can help any more is not fed.
func TestLostAndStarved(t *testing.T) {
	p := colony.DefaultParams()
	var members []Member
	for _, kg := range []float64{0.3, 1, 20, 9.9, 11.1} {
		members = append(members, eater(mildDays(61), &p, kg, 0.1, 60))
	}
	r, s := NewRunner(), &Set{}
	visits := []Visit{{Day: 5, MaxC: 15}, {Day: 30, MaxC: 15}}
	r.Prepare(s, 1, members, Terms{Visits: visits, Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Rules: testRules()})
	var res Result
	r.Judge(s, notFed(2), &res)
	require.Equal(t, []int{2, 1, 2}, []int{res.Starved, res.Lost, res.Held}, "20 and 11.1 kg hold 5 after 5.9 or 6 are eaten")
	require.Equal(t, []bool{true, true, false, false, false}, res.Starves)
	line := Line{UnderKg: math.Inf(1), Lot: Lot{SyrupL: 3}}
	r.Judge(s, Policy{line, line}, &res)
	require.Equal(t, []int{4, 4}, res.ByVisit)
	require.Equal(t, []int{0, 2, 2, 2, 2}, res.Given)
	require.Equal(t, []float64{0, 6, 6, 6, 6}, res.SyrupL)
	require.InDelta(t, 6*s.Rules.Strength.SugarKgPerL(), res.SugarKg[1], 1e-9)
	require.Equal(t, []int{1, 1}, []int{res.Starved, res.Lost})
	require.Equal(t, Lot{}, res.Lots[0][0])
	require.Equal(t, Lot{SyrupL: 3}, res.Lots[1][4])
}

// TestErrorsOfLooks: the errors of two looks at a hive go together as told, each is of one
// standard deviation, and they follow the last look where that was of the same kind.
func TestErrorsOfLooks(t *testing.T) {
	p := colony.DefaultParams()
	const n = 4000
	rnd := rand.New(rand.NewPCG(5, 6))
	f := mildDays(21)
	one := eater(f, &p, 5, 0.1, 20)
	members := make([]Member, n)
	for m := range members {
		members[m] = one
		members[m].Hand = rnd.NormFloat64()
	}
	for _, like := range []bool{false, true} {
		for _, common := range []float64{0, 0.5, 0.8} {
			r, s := NewRunner(), &Set{}
			r.Prepare(s, 9, members, Terms{Visits: visitsEvery(8, 17, 15), Look: Look{SDKg: 1, CommonFrac: common, LikeLast: like}, Rules: testRules()})
			var square, cross, hand float64
			for m := range members {
				square += s.errSD[1][m] * s.errSD[1][m] / n
				cross += s.errSD[1][m] * s.errSD[2][m] / n
				hand += s.errSD[1][m] * members[m].Hand / n
			}
			require.InDelta(t, 1, square, 0.08)
			require.InDelta(t, common, cross, 0.06, "%v", like)
			want := 0.0
			if like {
				want = common * math.Sqrt(common)
			}
			require.InDelta(t, want, hand, 0.06)
		}
	}
}

// TestTooCarefulIsGivenUp: without a reserve a level that keeps more than the accepted risk asks is raised.
func TestTooCarefulIsGivenUp(t *testing.T) {
	p := colony.DefaultParams()
	rnd := rand.New(rand.NewPCG(7, 8))
	var members []Member
	for range 400 {
		members = append(members, eater(mildDays(90), &p, math.Max(0, 3+rnd.NormFloat64()), 0.12*math.Exp(0.4*rnd.NormFloat64()), 60+rnd.IntN(20)))
	}
	r, s := NewRunner(), &Set{}
	rules := testRules()
	rules.ReserveKg, rules.AcceptRiskFrac = 0, 0.1
	r.Prepare(s, 5, members, Terms{Visits: visitsEvery(12, 80, 15), Feeder: Feeder{HoldsL: 3, AtATime: 1, Blocks: 1}, Look: Look{SDKg: 1.5, CommonFrac: 0.5}, Rules: rules})
	at := levels{risk: 0.002, reserve: 0.5, last: 0.7}
	careful := r.try(s, at)
	g := goalOf(&rules, len(members), careful.lost)
	require.Positive(t, g.overRisk(&careful))
	f := r.keep(s, at)
	require.Greater(t, f.levels.risk, at.risk)
	require.LessOrEqual(t, f.RiskFrac, g.risk)
	require.Less(t, f.SugarKg, careful.SugarKg, "it takes less sugar")
}
