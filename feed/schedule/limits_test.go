package schedule

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/sim/colony"
)

// fedAt are the members of a set that a line fed at a visit.
func fedAt(r *Result, visit int) (out []int) {
	for m, l := range r.Lots[visit] {
		if !l.None() {
			out = append(out, m)
		}
	}
	return out
}

// TestAReadingIsWhatIsThereAndItsError: a hive is fed when it reads under the line, to the gram; the
// error grows with what is there, also with less than a kilogram.
func TestAReadingIsWhatIsThereAndItsError(t *testing.T) {
	p := colony.DefaultParams()
	var members []Member
	for _, kg := range []float64{1.4, 3, 9} {
		members = append(members, eater(mildDays(61), &p, kg, 0.1, 60))
	}
	rules := testRules()
	rules.ReserveKg = 0
	for name, look := range map[string]Look{"exact": {}, "by hand": {SDKg: 0.4, SDPerKg: 0.5, CommonFrac: 0.3}, "by scale": {SDKg: 1}} {
		r, s := NewRunner(), &Set{}
		r.Prepare(s, 3, members, Terms{Visits: visitsEvery(10, 50, 15), Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Look: look, Rules: rules})
		var res Result
		for m, start := range []float64{1.4, 3, 9} {
			kg := start - 0.1*11 // on the evening of day 10
			reads := kg + (look.SDKg+look.SDPerKg*kg)*s.errSD[1][m]
			for off, fed := range map[float64]bool{1e-6: true, -1e-6: false} {
				pol := notFed(5)
				pol[1] = Line{UnderKg: reads + off, Lot: Lot{SyrupL: 2}}
				r.Judge(s, pol, &res)
				require.Equal(t, fed, slices.Contains(fedAt(&res, 1), m), "%s, member %d", name, m)
			}
		}
		// The first visit is firm: nothing is read there, unless a look comes first.
		pol := notFed(5)
		pol[0] = Line{UnderKg: 0.5, Lot: Lot{SyrupL: 2}}
		r.Judge(s, pol, &res)
		require.Len(t, fedAt(&res, 0), 3, "%s: each reads 0", name)
		s.LookFirst = true
		pol[0].UnderKg = 2.9 + (look.SDKg+look.SDPerKg*2.9)*s.errSD[0][1] + 1e-6
		r.Judge(s, pol, &res)
		require.Contains(t, fedAt(&res, 0), 1, name)
		pol[0].UnderKg -= 2e-6
		r.Judge(s, pol, &res)
		require.NotContains(t, fedAt(&res, 0), 1, name)
		s.Look.Blind = true
		pol[1] = Line{UnderKg: math.Inf(1), Lot: Lot{SyrupL: 2}}
		r.Judge(s, pol, &res)
		require.Len(t, fedAt(&res, 1), 3, "who does not look feeds by the list")
		pol[1].UnderKg = 0
		r.Judge(s, pol, &res)
		require.Empty(t, fedAt(&res, 1), "and reads 0")
	}
}

// TestADeadHiveIsNotFed: one that starved on the first day gets nothing at any visit, whatever it would
// have needed since; nor does one whose nectar has come.
func TestADeadHiveIsNotFed(t *testing.T) {
	p := colony.DefaultParams()
	dead, full, early := eater(mildDays(61), &p, 0, 0, 60), eater(mildDays(61), &p, 9, 0.01, 60), eater(mildDays(61), &p, 9, 0.01, 20)
	dead.Demand.NeedKg[0] = 0.1
	r, s := NewRunner(), &Set{}
	r.Prepare(s, 1, []Member{dead, full, early}, Terms{Visits: visitsEvery(10, 50, 15), Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Rules: testRules()})
	always := make(Policy, 5)
	for k := range always {
		always[k] = Line{UnderKg: math.Inf(1), Lot: Lot{SyrupL: 2}}
	}
	var res Result
	r.Judge(s, always, &res)
	require.Equal(t, []bool{true, false, false}, res.Starves)
	require.Equal(t, []int{0, 5, 2}, res.Given, "nectar on the day of the third visit")
	require.Equal(t, []int{2, 2, 1, 1, 1}, res.ByVisit)
	require.Equal(t, []int{1, 1}, []int{res.Starved, res.Lost})
	// A result that is used again holds nothing of before.
	r.Judge(s, notFed(5), &res)
	require.Equal(t, []int{0, 0, 0}, res.Given)
	require.Equal(t, []int{0, 0, 0, 0, 0}, res.ByVisit)
	require.Zero(t, res.MeanSugarKg()+res.MeanSyrupL()+res.MeanSolidKg())
	for k := range res.Lots {
		require.Empty(t, fedAt(&res, k))
	}
}

// TestVisitsNobodyWaitsFor: a visit after the nectar of all springs gives nothing, in a policy that is
// found.
func TestVisitsNobodyWaitsFor(t *testing.T) {
	p := colony.DefaultParams()
	var members []Member
	for i := range 40 {
		members = append(members, eater(mildDays(91), &p, 1+0.05*float64(i), 0.1, 30))
	}
	r, s := NewRunner(), &Set{}
	r.Prepare(s, 1, members, Terms{Visits: visitsEvery(10, 80, 15), Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Look: Look{SDKg: 1}, Rules: testRules()})
	f := r.Find(s, 1, 1, new(Result))
	require.False(t, f.Policy.Empty())
	for k, v := range s.Visits {
		if v.Day >= 30 {
			require.Equal(t, Line{UnderKg: math.Inf(-1)}, f.Policy[k], "day %d", v.Day)
		}
	}
	var found Result
	require.Equal(t, f.Policy, r.found(s, f.levels, &found))
	require.Equal(t, 40, len(s.members), "the set is whole again")
}

// TestAVisitOnTheDayOfTheLook: a run begins the day after a look; a visit on that day itself comes
// before it, when nothing is eaten yet.
func TestAVisitOnTheDayOfTheLook(t *testing.T) {
	p := colony.DefaultParams()
	members := []Member{eater(mildDays(31), &p, 1, 0.1, 30), eater(mildDays(31), &p, 9, 0.1, 30)}
	r, s := NewRunner(), &Set{}
	rules := testRules()
	rules.ReserveKg = 2
	r.Prepare(s, 1, members, Terms{Visits: []Visit{{Day: -1, MaxC: 15}, {Day: 9, MaxC: 15}}, Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Rules: rules})
	require.Zero(t, s.between[0][0].net)
	require.InDelta(t, 1, s.between[1][0].net, 1e-9)
	require.InDelta(t, 2, s.between[2][0].net, 1e-9)
	require.InDelta(t, 1.4, s.asks[0][0].least, 1e-9, "ten days, and four until the next feed is taken up")
	require.InDelta(t, 3, s.asks[0][0].leastAll, 1e-9)
	require.InDelta(t, 2, s.asks[1][0].least, 1e-9)
	pol := Policy{{UnderKg: math.Inf(1), Lot: Lot{SyrupL: 3}}, {UnderKg: math.Inf(-1)}}
	var res Result
	r.Judge(s, pol, &res)
	require.Equal(t, []int{1, 1}, res.Given)
	require.Equal(t, []bool{false, false}, res.Starves)
	require.Equal(t, 1, res.Held, "1 kg and 3 L less 3 kg hold no 2 kg")
	r.Judge(s, notFed(2), &res)
	require.Equal(t, []bool{true, false}, res.Starves)
	require.Zero(t, res.Lost, "the first visit could still help")
}

// TestFullWithOneFeedThereIsRoomForTheOther: solid feed and syrup do not take each other's room,
// however much of one is there.
func TestFullWithOneFeedThereIsRoomForTheOther(t *testing.T) {
	s := Set{Terms: Terms{Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Rules: testRules()}}
	require.Equal(t, Lot{SyrupL: 2}, s.room(Lot{SyrupL: 2}, 0, 9, 1.5))
	require.Equal(t, Lot{}, s.room(Lot{SolidKg: 1}, 0, 9, 1.5))
	require.Equal(t, Lot{SolidKg: 1}, s.room(Lot{SolidKg: 1}, 9, 0, 1.5))
	require.Equal(t, Lot{}, s.room(Lot{SyrupL: 2}, 9, 0, 1.5))
}

// TestASmallReserveIsAReserve: under a kilogram too: the line lies that much higher, and so does the fill.
func TestASmallReserveIsAReserve(t *testing.T) {
	kgPerL := testRules().Strength.StoresKgPerL()
	for _, reserve := range []float64{0, 0.3, 0.8, 2} {
		r, s, _ := oneSet(2, 3, 4, 5, 6)
		s.Feeder.HoldsL, s.Rules.ReserveKg = 9, reserve
		g := group{members: []int{0, 1, 2, 3, 4}, read: []float64{1, 2, 3, 4, 5}, there: []float64{1, 2, 3, 4, 5}}
		got := r.line(s, 2, &g, levels{risk: 0.05, reserve: 0.5, last: 0.7})
		under := math.Ceil((1.4+reserve)/0.5-1e-9) * 0.5 // 1.4 kg to the feed after next
		require.InDelta(t, under, got.UnderKg, 1e-9, "%g kg", reserve)
		n, sum := 0.0, 0.0
		for _, kg := range g.read {
			if kg < under {
				n, sum = n+1, sum+kg
			}
		}
		owed := 3.9 + reserve - sum/n // from day 21 to nectar
		require.InDelta(t, math.Max(2, math.Ceil(owed/kgPerL/0.5)*0.5), got.Lot.SyrupL, 1e-9, "%g kg", reserve)
	}
}

// TestNthOfAnything: the k-th smallest is that of the sorted list, also of few, alike or turned figures.
func TestNthOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-3, 3), 1, 90).Draw(t, "x")
		for i := range x {
			x[i] = math.Round(4*x[i]) / 4 // many are alike
		}
		sorted := slices.Sorted(slices.Values(x))
		for k := range x {
			require.Equal(t, sorted[k], nth(slices.Clone(x), k))
		}
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		v := Quantile(slices.Clone(x), p)
		under, upTo := 0, 0
		for _, kg := range x {
			if kg < v {
				under++
			}
			if kg <= v {
				upTo++
			}
		}
		require.GreaterOrEqual(t, float64(upTo), p*float64(len(x))-1e-9)
		require.True(t, float64(under) < p*float64(len(x))+1e-9 || v == sorted[0])
	})
	require.True(t, math.IsNaN(Quantile(nil, 0.5)))
}

// TestLinesKeepToTheirGroup: each half of the members is fed by the lines of the other half: were it
// fed by its own, a half of hungry hives would get what the other half never asks for.
func TestLinesKeepToTheirGroup(t *testing.T) {
	p := colony.DefaultParams()
	var members []Member
	for m := range 80 {
		need := 0.02
		if m%2 == 1 {
			need = 0.12
		}
		members = append(members, eater(mildDays(61), &p, 3, need, 60))
	}
	r, s := NewRunner(), &Set{}
	rules := testRules()
	rules.ReserveKg = 0
	r.Prepare(s, 1, members, Terms{Visits: []Visit{{Day: 0, MaxC: 15}}, Feeder: Feeder{HoldsL: 8, AtATime: 1, Blocks: 1}, Rules: rules})
	var res Result
	r.crossed(s, levels{risk: 0.05, reserve: 0.5, last: 0.95}, &res)
	for m := range members {
		require.Equal(t, m%2 == 0, res.Given[m] == 1, "member %d: the even ones get what the odd ones need", m)
		require.Equal(t, m%2 == 1, res.Starves[m])
	}
	pol := r.found(s, levels{risk: 0.05, reserve: 0.5, last: 0.95}, &res)
	require.Equal(t, []int{80}, res.ByVisit, "one line for all")
	require.Zero(t, res.Starved)
	require.Positive(t, pol[0].Lot.SyrupL)
}

// TestTheSearchIsMadeOnTheFirstOfMany: with more members than levels are searched on, the levels are
// those that the first of them ask for, and the lines are drawn through all.
func TestTheSearchIsMadeOnTheFirstOfMany(t *testing.T) {
	p := colony.DefaultParams()
	rnd := rand.New(rand.NewPCG(9, 9))
	var members []Member
	for range mostSearched + 200 {
		members = append(members, eater(mildDays(70), &p, math.Max(0.5, 5+1.5*rnd.NormFloat64()), 0.1*math.Exp(0.3*rnd.NormFloat64()), 60))
	}
	terms := Terms{Visits: visitsEvery(12, 60, 15), Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Look: Look{SDKg: 1}, Rules: testRules()}
	var many, few Set
	r := NewRunner()
	r.Prepare(&many, 1, members, terms)
	r.Prepare(&few, 1, members[:mostSearched], terms)
	var out Result
	a := r.Find(&many, 1, 1, &out)
	require.Len(t, out.Given, len(members))
	b := r.Find(&few, 1, 1, &out)
	require.Equal(t, b.levels, a.levels)
	require.Equal(t, []float64{b.RiskFrac, b.HeldFrac, b.SugarKg, b.Given}, []float64{a.RiskFrac, a.HeldFrac, a.SugarKg, a.Given})
}

// TestTwoFeedersForAReserve: where one visit must do, two feeders at a time are tried for the sake of the
// reserve, however few the feedings; without a reserve, or with room for one, they are not.
func TestTwoFeedersForAReserve(t *testing.T) {
	p := colony.DefaultParams()
	var members []Member
	for range 30 {
		members = append(members, eater(mildDays(61), &p, 5, 0.1, 60))
	}
	for _, c := range []struct {
		reserveKg float64
		most      int
		want      int
	}{{5, 2, 2}, {5, 1, 1}, {0, 2, 1}} {
		rules := testRules()
		rules.ReserveKg = c.reserveKg
		r, s := NewRunner(), &Set{}
		r.Prepare(s, 1, members, Terms{Visits: []Visit{{Day: 0, MaxC: 15}}, Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Rules: rules})
		one := r.save(s, r.keep(s, levels{risk: rules.AcceptRiskFrac, reserve: 1 - rules.ReserveFrac, last: firstLast}))
		got := r.Find(s, c.most, c.most, new(Result))
		require.Equal(t, c.want, got.Feeder.AtATime, "%+v", c)
		if c.want == 2 {
			require.Equal(t, 1.0, got.HeldFrac, "5 kg, and 8 L for the 6 kg that are eaten")
			require.Zero(t, one.HeldFrac)
			require.Greater(t, got.Tries, one.Tries)
		} else {
			require.Equal(t, one.Tries, got.Tries, "nothing else is tried: %+v", c)
		}
	}
}

// TestWithoutAReserveNoFoodOutOfReachIsCounted: a fill is to leave what is out of reach on cold days; with a
// reserve it is the reserve that is to be left.
func TestWithoutAReserveNoFoodOutOfReachIsCounted(t *testing.T) {
	r, s, members := oneSet(5, 5, 5)
	params := *members[0].Spring.Params
	params.UnreachableKg = 3
	for m := range members {
		members[m].Spring.Params = &params
		cold := slices.Clone(members[m].Spring.Forcing)
		cold[45].Cold = 1
		members[m].Spring.Forcing = cold
	}
	terms := s.Terms
	terms.Feeder.HoldsL = 20
	kgPerL := terms.Rules.Strength.StoresKgPerL()
	for reserve, owed := range map[float64]float64{0: 2.5 + 3 - 1.2, 4: 3.9 + 4 - 1.2} { // cold on the 25th day after the visit; 39 days to nectar
		terms.Rules.ReserveKg = reserve
		r.Prepare(s, 1, members, terms)
		g := group{members: []int{0, 1, 2}, read: []float64{1.2, 1.2, 1.2}, there: []float64{1.2, 1.2, 1.2}}
		got := r.line(s, 2, &g, levels{risk: 0.05, reserve: 0.5, last: 0.7})
		require.True(t, math.IsInf(got.UnderKg, 1))
		require.InDelta(t, math.Ceil(owed/kgPerL/0.5-1e-9)*0.5, got.Lot.SyrupL, 1e-9, "%g kg of reserve", reserve)
	}
}

// TestResultsAddUp: what a member is given is the sum of its lots, whatever was given.
func TestResultsAddUp(t *testing.T) {
	p := colony.DefaultParams()
	members := []Member{eater(mildDays(61), &p, 9, 0.1, 60), eater(mildDays(61), &p, 3, 0.1, 60), eater(mildDays(61), &p, 6, 0.1, 25)}
	visits := []Visit{{Day: 0, MaxC: 2}, {Day: 10, MaxC: 15}, {Day: 20, MaxC: 3}, {Day: 40, MaxC: 15}}
	r, s := NewRunner(), &Set{}
	r.Prepare(s, 1, members, Terms{Visits: visits, Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Rules: testRules()})
	var res Result
	r.Judge(s, Policy{{UnderKg: math.Inf(1), Lot: Lot{SolidKg: 1.5}}, {UnderKg: 5, Lot: Lot{SyrupL: 2}}, {UnderKg: math.Inf(1), Lot: Lot{SolidKg: 2}}, {UnderKg: 99, Lot: Lot{SyrupL: 3}}}, &res)
	sugarPerL := s.Rules.Strength.SugarKgPerL()
	for m := range members {
		var sum Lot
		n := 0
		for k := range visits {
			l := res.Lots[k][m]
			sum.SyrupL, sum.SolidKg = sum.SyrupL+l.SyrupL, sum.SolidKg+l.SolidKg
			if !l.None() {
				n++
			}
		}
		require.Equal(t, []float64{sum.SyrupL, sum.SolidKg}, []float64{res.SyrupL[m], res.SolidKg[m]})
		require.InDelta(t, sum.SyrupL*sugarPerL+sum.SolidKg, res.SugarKg[m], 1e-9)
		require.Equal(t, n, res.Given[m])
	}
	require.Equal(t, []float64{3.5, 3.5, 3.5}, res.SolidKg)
	require.Equal(t, []float64{3, 5, 0}, res.SyrupL)
	require.Equal(t, []int{3, 1, 3, 2}, res.ByVisit)
}

// TestTheLeastWorthATrip: it is that, and not a step more, also where a trip is worth little.
func TestTheLeastWorthATrip(t *testing.T) {
	s := Set{Terms: Terms{Visits: []Visit{{MaxC: 2}, {MaxC: 15}}, Feeder: Feeder{HoldsL: 4, AtATime: 1, Blocks: 1}, Rules: testRules()}}
	s.Rules.LeastSyrupL, s.Rules.LeastSolidKg = 0.5, 0.25
	require.Equal(t, Line{UnderKg: math.Inf(1), Lot: Lot{SolidKg: 0.25}}, s.Least(0))
	require.Equal(t, Line{UnderKg: math.Inf(1), Lot: Lot{SyrupL: 0.5}}, s.Least(1))
}
