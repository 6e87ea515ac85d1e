package schedule

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/sim/colony"
)

// oneSet is one hive that eats 0.1 kg a day in springs of 60 days, visited every 10.
func oneSet(startKg ...float64) (*Runner, *Set, []Member) {
	p := colony.DefaultParams()
	var members []Member
	for _, kg := range startKg {
		members = append(members, eater(mildDays(61), &p, kg, 0.1, 60))
	}
	r, s := NewRunner(), &Set{}
	r.Prepare(s, 1, members, Terms{Visits: visitsEvery(10, 50, 15), Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Rules: testRules()})
	return r, s, members
}

// TestGoal: the goal lies under the accepted risk by a share of the standard error of a risk of
// that size, members lost before the first visit beside it, and never under a fifth of it.
func TestGoal(t *testing.T) {
	rules := testRules()
	rules.AcceptRiskFrac = 0.2
	g := goalOf(&rules, 400, 0)
	require.InDelta(t, 0.2-cautionErrors*0.02, g.risk, 1e-12, "a standard error of 0.02")
	require.Equal(t, rules.ReserveFrac, g.held)
	g = goalOf(&rules, 400, 40)
	require.InDelta(t, 0.1+0.9*(0.2-cautionErrors*0.02-0.1), g.risk, 1e-12, "a tenth is lost whatever is done")
	g = goalOf(&rules, 400, 400*19/100)
	require.InDelta(t, 0.19+0.81*0.04, g.risk, 1e-12, "a fifth of the risk is kept for those still to be saved")

	g = goal{risk: 0.08, held: 0.5}
	require.InDelta(t, -0.1, g.overHeld(&Found{HeldFrac: 0.4}), 1e-12, "too little is held")
	require.Zero(t, g.overHeld(&Found{HeldFrac: 0.5}))
	require.InDelta(t, 0.1, g.overHeld(&Found{HeldFrac: 0.6}), 1e-12)
	require.InDelta(t, -0.02, g.overRisk(&Found{RiskFrac: 0.1}), 1e-12, "too many starve")
	require.Zero(t, g.overRisk(&Found{RiskFrac: 0.08}))
	require.InDelta(t, 0.04, g.overRisk(&Found{RiskFrac: 0.04}), 1e-12)

	d := dial{slack: 0.04}
	for over, enough := range map[float64]bool{-0.001: false, 0: true, 0.03: true, 0.04: true, 0.041: false} {
		require.Equal(t, enough, d.near(over), "%g", over)
	}
}

// TestLots: a lot is what is owed, rounded up to what can be measured out, at least what is
// worth a trip, at most what the hive takes.
func TestLots(t *testing.T) {
	s := Set{Terms: Terms{Visits: []Visit{{MaxC: 5}, {MaxC: 15}, {MaxC: 10}}, Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Rules: testRules()}}
	perL := s.Rules.Strength.StoresKgPerL()
	for _, c := range []struct {
		visit int
		owed  float64
		want  Lot
	}{
		{0, 0, Lot{SolidKg: 1}}, {0, 1.2, Lot{SolidKg: 1}}, {0, 1.21, Lot{SolidKg: 1.25}}, {0, 2.4, Lot{SolidKg: 2}}, {0, 9, Lot{SolidKg: 2.5}},
		{1, 0, Lot{SyrupL: 2}}, {1, 2.01 * perL, Lot{SyrupL: 2.5}}, {1, 3.4 * perL, Lot{SyrupL: 3.5}}, {1, 9 * perL, Lot{SyrupL: 4}},
		{2, 0, Lot{SyrupL: 2}}, // days that just reach the limit are for syrup
	} {
		got := s.lot(c.visit, c.owed)
		require.InDelta(t, c.want.SyrupL, got.SyrupL, 1e-9, "%+v", c)
		require.InDelta(t, c.want.SolidKg, got.SolidKg, 1e-9, "%+v", c)
	}
	s.Feeder.AtATime, s.Feeder.Blocks = 2, 2
	require.Equal(t, Lot{SolidKg: 5}, s.lot(0, 50))
	require.Equal(t, Lot{SyrupL: 8}, s.lot(1, 50))
	s.Feeder.AtATime, s.Feeder.Blocks = 0, 0
	require.Equal(t, Lot{SolidKg: 2.5}, s.lot(0, 50), "none said is one")
	require.Equal(t, Lot{SyrupL: 4}, s.lot(1, 50))
	require.Equal(t, Line{UnderKg: math.Inf(1), Lot: Lot{SyrupL: 2}}, s.Least(1))
	require.Equal(t, solidLagDays, s.lag(0))
	require.Equal(t, syrupLagDays, s.lag(1))
}

// TestRoom: what still lies in the hive leaves less room, in steps that can be measured out,
// and a visit at which less than half of the lot fits gives nothing.
func TestRoom(t *testing.T) {
	s := Set{Terms: Terms{Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Rules: testRules()}}
	for _, c := range []struct {
		lot, want          Lot
		feederL, solidLeft float64 // still there, L and kg of sugar
	}{
		{lot: Lot{SyrupL: 4}, want: Lot{SyrupL: 4}},
		{lot: Lot{SyrupL: 4}, feederL: 1.2, want: Lot{SyrupL: 2.5}},
		{lot: Lot{SyrupL: 2}, feederL: 1.2, want: Lot{SyrupL: 2}},
		{lot: Lot{SyrupL: 4}, feederL: 2, want: Lot{SyrupL: 2}},
		{lot: Lot{SyrupL: 4}, feederL: 2.1},
		{lot: Lot{SyrupL: 3}, feederL: 2.4, want: Lot{SyrupL: 1.5}},
		{lot: Lot{SolidKg: 2.5}, want: Lot{SolidKg: 2.5}},
		{lot: Lot{SolidKg: 2.5}, solidLeft: 1, want: Lot{SolidKg: 1.5}},
		{lot: Lot{SolidKg: 2}, solidLeft: 1.4, want: Lot{SolidKg: 1}},
		{lot: Lot{SolidKg: 2.5}, solidLeft: 1.3},
		{lot: Lot{SolidKg: 2.5}, feederL: 4, want: Lot{SolidKg: 2.5}},
	} {
		got := s.room(c.lot, c.feederL*1.5, c.solidLeft*solidYieldKg, 1.5)
		require.InDelta(t, c.want.SyrupL, got.SyrupL, 1e-9, "%+v", c)
		require.InDelta(t, c.want.SolidKg, got.SolidKg, 1e-9, "%+v", c)
	}
}

// TestAsks: what a member asks of its stores at each visit is worked out again by hand: 0.1 kg
// a day to 4 days after the next visit, and to nectar.
func TestAsks(t *testing.T) {
	_, s, members := oneSet(6)
	for k := range 5 {
		a := s.asks[k][0]
		toNext := 0.1 * 14
		if k == 4 {
			toNext = 0.1 * 19
		}
		require.InDelta(t, toNext, a.least, 1e-9, "visit %d", k)
		require.InDelta(t, toNext, a.short, 1e-9, "visit %d: no food is out of reach", k)
		require.InDelta(t, 0.1*float64(59-10*k), a.leastAll, 1e-9, "visit %d", k)
		require.InDelta(t, 0.1*float64(59-10*k), a.shortAll, 1e-9, "visit %d", k)
	}
	for k := range 6 {
		days := 10.0
		switch k {
		case 0:
			days = 1
		case 5:
			days = 19
		}
		st := s.between[k][0]
		require.InDelta(t, 0.1*days, st.net, 1e-9, "stretch %d", k)
		require.InDelta(t, 0.1*days, st.short, 1e-9, "stretch %d", k)
		if k <= 1 {
			require.True(t, math.IsInf(st.held, -1), "the reserve is asked from day 14 on")
		} else {
			require.InDelta(t, 0.1*days, st.held, 1e-9, "stretch %d", k)
		}
	}
	// Income pays for its days, and a cold day keeps some food out of reach.
	members[0].Demand.IncomeKg[25] = 0.7
	cold := slices.Clone(members[0].Spring.Forcing)
	cold[33].Cold = 1
	members[0].Spring.Forcing = cold
	out := members[0].Spring.Params.UnreachableKg
	require.Positive(t, out)
	NewRunner().Prepare(s, 1, members, s.Terms)
	require.InDelta(t, 1.0-0.7+0.4, s.asks[2][0].least, 1e-9, "from day 21 to day 34, as the middle holds: what day 25 brings is left")
	require.InDelta(t, 0.3-0.0, s.between[3][0].net, 1e-9)
	require.InDelta(t, s.asks[2][0].least-0.1+out, s.asks[2][0].short, 1e-9, "the cold day is the 13th of 14")
}

// TestFit: the margin is the straight line of least squares, of a slope from nothing to one,
// with the asked share of members under it.
func TestFit(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	var read, exact, steep, flat []float64
	for range 200 {
		x := 5 + 3*rnd.NormFloat64()
		read = append(read, x)
		exact, steep, flat = append(exact, 0.5*x-2), append(steep, 3*x), append(flat, 0.01*x+1)
	}
	s := newSpread(read)
	sum, sq := 0.0, 0.0
	for _, x := range read {
		sum += x / 200
	}
	for _, x := range read {
		sq += (x - sum) * (x - sum) / 200
	}
	require.InDelta(t, sum, s.mean, 1e-9)
	require.InDelta(t, sq, s.variance, 1e-9)
	var scratch []float64
	m := s.fit(exact, 0.3, &scratch)
	require.InDelta(t, 0.5, m.slope, 1e-9)
	require.InDelta(t, 0.5*7-2, m.at(7), 1e-9)
	require.InDelta(t, 4, m.zero(), 1e-9, "half of 4 is 2")
	require.Equal(t, 1.0, s.fit(steep, 0.5, &scratch).slope, "a reading tells no more than what is there")
	require.Zero(t, s.fit(flat, 0.5, &scratch).slope, "too little to tell anything")
	alike := newSpread([]float64{4, 4, 4.01})
	require.Zero(t, alike.fit([]float64{1, 2, 3}, 0.5, &scratch).slope, "readings all alike tell nothing")
	under := 0
	for i := range exact {
		exact[i] += rnd.NormFloat64()
	}
	m = s.fit(exact, 0.2, &scratch)
	for i, x := range exact {
		if x < m.at(read[i])-1e-9 {
			under++
		}
	}
	require.InDelta(t, 40, under, 1.01, "a fifth of 200 lie under the line")
	require.Equal(t, math.Inf(1), margin{base: -1}.zero(), "short whatever is read")
	require.Equal(t, math.Inf(-1), margin{base: 0}.zero())
	require.Equal(t, math.Inf(-1), margin{base: 1}.zero())
}

// TestLineOfOneHive: a hive that is looked at without error is fed when what it holds falls
// short of what it eats to the next feed and the reserve, and gets what lacks to nectar.
func TestLineOfOneHive(t *testing.T) {
	for _, c := range []struct {
		holdsKg float64
		want    Line
	}{
		{3, Line{UnderKg: math.Inf(1), Lot: Lot{SyrupL: 4}}},   // 5 kg of reserve and 5.9 kg to nectar are wanted
		{6.3, Line{UnderKg: math.Inf(1), Lot: Lot{SyrupL: 4}}}, // 1.4 kg to the next feed and 5 kg are not there
		{6.5, Line{UnderKg: math.Inf(-1)}},                     // they are: it can wait
		{20, Line{UnderKg: math.Inf(-1)}},                      // it needs nothing
	} {
		r, s, _ := oneSet(c.holdsKg, c.holdsKg, c.holdsKg)
		r.open = group{members: []int{0, 1, 2}, read: []float64{0, 0, 0}, there: []float64{c.holdsKg, c.holdsKg, c.holdsKg}}
		got := r.line(s, 0, &r.open, levels{risk: 0.05, reserve: 0.5, last: 0.7})
		require.Equal(t, c.want, got, "%g kg", c.holdsKg)
	}
	// Without a reserve only the food to the next feed counts, and the fill is to last to nectar.
	r, s, _ := oneSet(1.3, 1.3, 1.3)
	s.Rules.ReserveKg = 0
	r.open = group{members: []int{0, 1, 2}, read: []float64{0, 0, 0}, there: []float64{1.3, 1.3, 1.3}}
	got := r.line(s, 0, &r.open, levels{risk: 0.05, reserve: 0.5, last: 0.7})
	lack := (5.9 - 1.3) / s.Rules.Strength.StoresKgPerL()
	require.Equal(t, Line{UnderKg: math.Inf(1), Lot: Lot{SyrupL: min(4, math.Ceil(lack/syrupStepL)*syrupStepL)}}, got)
	r.open.there = []float64{1.5, 1.5, 1.5}
	require.True(t, r.line(s, 0, &r.open, levels{risk: 0.05, reserve: 0.5, last: 0.7}).Lot.None(), "it reaches the next visit's feed")
	// At a later visit the line is the reading at which the margin is used up.
	r, s, _ = oneSet(5, 6, 7, 8, 9)
	s.Feeder.HoldsL = 8
	r.open = group{members: []int{0, 1, 2, 3, 4}, read: []float64{4.5, 5.5, 6.5, 7.5, 8.5}, there: []float64{4, 5, 6, 7, 8}}
	got = r.line(s, 2, &r.open, levels{risk: 0.05, reserve: 0.5, last: 0.7})
	require.InDelta(t, 7, got.UnderKg, 1e-9, "it reads half a kilogram too high: 1.4 + 5 + 0.5, in steps of a half")
	lack = (5 + 3.9 - 5) / s.Rules.Strength.StoresKgPerL() // those under the line hold 5 kg on average
	require.InDelta(t, math.Ceil(lack/syrupStepL)*syrupStepL, got.Lot.SyrupL, 1e-9)
}

// TestFoundIsTheCheapOfThoseThatKeep: whatever the search tries, the policy that it returns
// keeps what can be kept, within a tenth of the least sugar, with the fewest feedings of the
// fills that were tried beside it.
func TestFoundIsTheCheapOfThoseThatKeep(t *testing.T) {
	p := colony.DefaultParams()
	rnd := rand.New(rand.NewPCG(3, 4))
	var members []Member
	for range 300 {
		members = append(members, eater(mildDays(90), &p, math.Max(0, 5+2*rnd.NormFloat64()), 0.12*math.Exp(0.3*rnd.NormFloat64()), 60+rnd.IntN(20)))
	}
	r := NewRunner()
	for _, reserveKg := range []float64{0, 3} {
		for _, most := range []int{1, 2} {
			var s Set
			rules := testRules()
			rules.ReserveKg, rules.ReserveFrac = reserveKg, 0.7
			r.Prepare(&s, 5, members, Terms{Visits: visitsEvery(9, 80, 15), Feeder: Feeder{HoldsL: 3, AtATime: 1, Blocks: 1}, Look: Look{SDKg: 1, CommonFrac: 0.5}, Rules: rules})
			f := r.Find(&s, most, most, new(Result))
			g := goalOf(&rules, len(members), f.lost)
			require.LessOrEqual(t, f.RiskFrac, g.risk+1e-9)
			if reserveKg > 0 {
				require.GreaterOrEqual(t, f.HeldFrac, rules.ReserveFrac)
			}
			require.Equal(t, f.Feeder, s.Feeder, "the set is left with the feeders that are used")
			require.LessOrEqual(t, f.SugarKg, sugarLimit*f.LeastSugarKg+1e-9)
			least := math.Inf(1)
			for _, last := range []float64{f.levels.last, 0.4, 0.55, 0.7, 0.85, 0.95} { // what it could have been
				at := f.levels
				at.last = last
				x := r.try(&s, at)
				if x.RiskFrac <= math.Max(g.risk, f.RiskFrac) && x.HeldFrac >= math.Min(g.held, f.HeldFrac) {
					least = math.Min(least, x.SugarKg)
					if x.SugarKg <= sugarLimit*f.LeastSugarKg && last != firstLast {
						require.GreaterOrEqual(t, x.Given, 0.95*f.Given, "%g: longer fills are left out once they save no trips", last)
					}
				}
			}
			require.LessOrEqual(t, f.LeastSugarKg, 1.04*least, "shorter fills are left out once they save nothing")
			require.LessOrEqual(t, f.Tries, 2*(2*mostTries+5))
			require.Greater(t, f.Tries, 4)
		}
	}
}

// TestSearchMovesTowardsEnough: from too little it finds a level that keeps enough, from too
// much one that keeps less of it, and says how often it tried.
func TestSearchMovesTowardsEnough(t *testing.T) {
	p := colony.DefaultParams()
	rnd := rand.New(rand.NewPCG(7, 8))
	var members []Member
	for range 400 {
		members = append(members, eater(mildDays(90), &p, math.Max(0, 3+rnd.NormFloat64()), 0.12*math.Exp(0.4*rnd.NormFloat64()), 60+rnd.IntN(20)))
	}
	var s Set
	r := NewRunner()
	rules := testRules()
	rules.ReserveKg = 0
	r.Prepare(&s, 5, members, Terms{Visits: visitsEvery(12, 80, 15), Feeder: Feeder{HoldsL: 3, AtATime: 1, Blocks: 1}, Look: Look{SDKg: 1.5, CommonFrac: 0.5}, Rules: rules})
	g := goal{risk: 0.08}
	risk := func(l *levels) *float64 { return &l.risk }
	for _, level := range []float64{0.45, 0.002} {
		from := r.try(&s, levels{risk: level, reserve: 0.5, last: 0.7})
		x := g.overRisk(&from)
		require.NotZero(t, x, "it has somewhere to go from %g", level)
		best := r.search(&s, from, dial{level: risk, low: 1.0 / 800, high: 0.5, over: g.overRisk, slack: g.risk / 8})
		y := g.overRisk(&best)
		t.Logf("from %.3f at %.3f to %.3f at %.3f in %d tries", from.RiskFrac, level, best.RiskFrac, best.levels.risk, best.Tries)
		require.GreaterOrEqual(t, y, 0.0, "it keeps enough")
		require.Less(t, y, math.Abs(x))
		require.Greater(t, best.Tries, 1)
		require.LessOrEqual(t, best.Tries, 1+mostTries)
		require.Less(t, best.levels.risk, 0.5)
		require.Equal(t, level > 0.1, best.levels.risk < level)
	}
}

// TestWithoutLeavesOutTheRare: lines that feed fewer than a share go; what is left out feeds no one.
func TestWithoutLeavesOutTheRare(t *testing.T) {
	line := Line{UnderKg: 5, Lot: Lot{SyrupL: 2}}
	p := Policy{line, line, line}
	out := p.Without(0.1, &Result{ByVisit: []int{10, 9, 11}, Given: make([]int, 100)})
	require.Equal(t, Policy{line, {UnderKg: math.Inf(-1)}, line}, out)
	require.False(t, out.Empty())
	require.True(t, Policy{{UnderKg: math.Inf(-1)}}.Empty())
	require.False(t, Policy{{}, {Lot: Lot{SolidKg: 1}}}.Empty())
	res := Result{Starved: 3, Lost: 2, Held: 4, Given: []int{1, 2, 0, 1, 0, 0, 0, 0, 0, 0}, SugarKg: []float64{1, 2, 3}, SyrupL: []float64{4, 4}, SolidKg: []float64{1, 0}}
	require.InDelta(t, 0.3, res.RiskFrac(), 1e-12)
	require.InDelta(t, 0.5, res.HeldFrac(), 1e-12, "4 of the 8 that the first visit can help")
	require.InDelta(t, 0.4, res.MeanGiven(), 1e-12)
	require.InDelta(t, 2, res.MeanSugarKg(), 1e-12)
	require.InDelta(t, 4, res.MeanSyrupL(), 1e-12)
	require.InDelta(t, 0.5, res.MeanSolidKg(), 1e-12)
	require.Zero(t, (&Result{Lost: 1, Given: []int{0}}).HeldFrac())
}

// TestTwoAtATime: two feeders or blocks at a time are used where they keep as much as one and
// either hold the reserve in more springs, or save trips at no more than a tenth more sugar.
func TestTwoAtATime(t *testing.T) {
	p := colony.DefaultParams()
	rnd := rand.New(rand.NewPCG(11, 12))
	used := map[bool]int{}
	for range 24 {
		var members []Member
		kg, need := 2+5*rnd.Float64(), 0.08+0.12*rnd.Float64()
		for range 120 {
			members = append(members, eater(mildDays(90), &p, math.Max(0, kg+1.5*rnd.NormFloat64()), need*math.Exp(0.3*rnd.NormFloat64()), 55+rnd.IntN(25)))
		}
		rules := testRules()
		rules.ReserveKg, rules.ReserveFrac = float64(rnd.IntN(3))*2.5, 0.6
		terms := Terms{Visits: visitsEvery(6+rnd.IntN(12), 80, 15), Feeder: Feeder{HoldsL: 1 + 4*rnd.Float64()}, Look: Look{SDKg: rnd.Float64()}, Rules: rules}
		var s Set
		r := NewRunner()
		r.Prepare(&s, 3, members, terms)
		s.Feeder.AtATime, s.Feeder.Blocks = 1, 1
		one := r.keep(&s, levels{risk: rules.AcceptRiskFrac, reserve: 1 - rules.ReserveFrac, last: firstLast})
		s.Feeder.AtATime, s.Feeder.Blocks = 2, 2
		two := r.keep(&s, one.levels)
		short := rules.ReserveKg > 0 && one.HeldFrac < rules.ReserveFrac
		want := one.Given > 2 || short
		want = want && two.RiskFrac <= math.Max(one.RiskFrac, rules.AcceptRiskFrac) && two.HeldFrac >= math.Min(one.HeldFrac, rules.ReserveFrac)
		holds := one.HeldFrac < rules.ReserveFrac && two.HeldFrac > one.HeldFrac+0.04
		saves := two.SugarKg <= 1.1*one.SugarKg && two.Given <= one.Given-0.4
		want = want && (holds || saves)
		var out Result
		got := r.Find(&s, 2, 2, &out)
		require.Equal(t, want, got.Feeder.AtATime == 2, "one: %.3f starve, %.3f hold, %.2f kg in %.2f; two: %.3f, %.3f, %.2f kg in %.2f",
			one.RiskFrac, one.HeldFrac, one.SugarKg, one.Given, two.RiskFrac, two.HeldFrac, two.SugarKg, two.Given)
		require.Equal(t, got.Feeder.AtATime, got.Feeder.Blocks)
		used[want]++
		require.Equal(t, 1, r.Find(&s, 1, 1, &out).Feeder.AtATime)
	}
	require.Greater(t, used[true], 2)
	require.Greater(t, used[false], 2)
}
