package order

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// part is a part of an order, of one yard and three members.
func part(yard string) plan.Sums {
	return plan.Sums{Format: plan.SumsFormat, Terms: []plan.Term{{Name: "seed", Value: "1"}}, Keys: []string{"key of " + yard}, Seed: 1, Members: 3, BagKg: 25, WasteFrac: 0,
		Yards: []string{yard}, Fed: 2, SyrupML: []int64{1000, 2000, 3000}, WaterML: []int64{400, 800, 1200}, SugarG: []int64{900, 1800, 2700}, SolidG: []int64{0, 0, 500},
		SupplementG: []int64{0, 100, 200}, NowG: []int64{900, 1800, 2000}, LaterBy: "2027-04-12",
		Needed: []plan.GearCount{{Yard: yard, Item: season.Pail, Count: 2}}, OnHand: []plan.GearCount{{Item: season.Pail, Count: 3}, {Yard: yard, Item: season.Pail, Count: 1}}}
}

// TestPartsAreMergedByHand: sums, colonies and equipment of all parts; what is for all yards is counted
// once; the earliest later day, and invented if any is.
func TestPartsAreMergedByHand(t *testing.T) {
	a, b := part("A"), part("B")
	b.LaterBy, b.Invented = "2027-04-09", true
	b.Needed = append(b.Needed, plan.GearCount{Yard: "B", Item: season.CandyRim, Count: 4})
	for _, parts := range [][]plan.Sums{{a, b}, {b, a}} {
		m, err := MergeSums(parts)
		require.NoError(t, err)
		require.Equal(t, []string{parts[0].Yards[0], parts[1].Yards[0]}, m.Yards)
		require.Equal(t, []string{parts[0].Keys[0], parts[1].Keys[0]}, m.Keys)
		require.Equal(t, 4, m.Fed)
		require.True(t, m.Invented)
		require.Equal(t, "2027-04-09", m.LaterBy)
		require.Equal(t, [][]int64{{2000, 4000, 6000}, {800, 1600, 2400}, {1800, 3600, 5400}, {0, 0, 1000}, {0, 200, 400}, {1800, 3600, 4000}},
			[][]int64{m.SyrupML, m.WaterML, m.SugarG, m.SolidG, m.SupplementG, m.NowG})
		require.Equal(t, []plan.GearCount{{Item: season.Pail, Count: 3}, {Yard: "A", Item: season.Pail, Count: 1}, {Yard: "B", Item: season.Pail, Count: 1}}, m.OnHand)
		require.True(t, slices.IsSortedFunc(m.Needed, func(x, y plan.GearCount) int {
			if x.Yard != y.Yard {
				return map[bool]int{true: -1, false: 1}[x.Yard < y.Yard]
			}
			return map[bool]int{true: -1, false: 1}[x.Item < y.Item]
		}))
		o := Of(m)
		require.Equal(t, time.Date(2027, time.April, 9, 0, 0, 0, 0, time.UTC), o.LaterBy)
		require.Equal(t, plan.Amount{P10: 1.8, P50: 3.6, P90: 6.4}, o.SugarKg)
		require.InDeltaSlice(t, []float64{0, 0, 2.4}, []float64{o.LaterSugarKg.P10, o.LaterSugarKg.P50, o.LaterSugarKg.P90}, 1e-9)
		require.Equal(t, plan.Amount{P10: 1, P50: 1, P90: 1}, o.SugarBags)
		require.Equal(t, plan.Amount{P10: 0.8, P50: 1.6, P90: 2.4}, o.WaterL)
		require.Equal(t, plan.Amount{P10: 2, P50: 4, P90: 6}, o.SyrupL)
		require.Equal(t, 4, o.Colonies)
		for _, line := range o.Gear {
			switch line.Item {
			case season.Pail:
				require.Equal(t, plan.GearLine{Item: season.Pail, Needed: 4, OnHand: 5}, line, "more than enough")
			case season.CandyRim:
				require.Equal(t, plan.GearLine{Item: season.CandyRim, Needed: 4, Buy: 4}, line)
			}
		}
		require.Len(t, o.Gear, 2)
	}
	one, err := MergeSums([]plan.Sums{a})
	require.NoError(t, err)
	require.False(t, one.Invented)
	require.Equal(t, "2027-04-12", one.LaterBy)
	c := part("C")
	c.LaterBy = ""
	for _, parts := range [][]plan.Sums{{a, c}, {c, a}} {
		m, err := MergeSums(parts)
		require.NoError(t, err)
		require.Equal(t, "2027-04-12", m.LaterBy, "none is not earlier")
	}
	all := part("D")
	all.NowG = []int64{900, 1800, 3200}
	require.True(t, Of(all).LaterBy.IsZero(), "all of it is needed at once")
	_, err = MergeSums(nil)
	require.ErrorContains(t, err, "nothing to merge")
	a.Source = " a.json "
	require.Equal(t, []string{"a.json", "part 3"}, []string{partName(&a, 7), partName(&b, 2)})
}

// TestPartsAtTheirLimits: what still can come from a plan, and what no longer can.
func TestPartsAtTheirLimits(t *testing.T) {
	most := int64(mostPartUnits)
	for name, c := range map[string]struct {
		change func(s *plan.Sums)
		fine   bool
	}{
		"as it is":                  {func(*plan.Sums) {}, true},
		"none is fed":               {func(s *plan.Sums) { s.Fed = 0 }, true},
		"as many as may be":         {func(s *plan.Sums) { s.Fed = mostPartCount }, true},
		"one more":                  {func(s *plan.Sums) { s.Fed = mostPartCount + 1 }, false},
		"all sugar":                 {func(s *plan.Sums) { s.SugarG[0] = most }, true},
		"a gram more":               {func(s *plan.Sums) { s.SugarG[0] = most + 1 }, false},
		"a gram less than nothing":  {func(s *plan.Sums) { s.NowG[2] = -1 }, false},
		"no pail":                   {func(s *plan.Sums) { s.Needed[0].Count = 0 }, true},
		"as many pails as may be":   {func(s *plan.Sums) { s.OnHand[0].Count = mostPartCount }, true},
		"one pail more":             {func(s *plan.Sums) { s.OnHand[0].Count = mostPartCount + 1 }, false},
		"a pail less than none":     {func(s *plan.Sums) { s.OnHand[0].Count = -1 }, false},
		"equipment of another yard": {func(s *plan.Sums) { s.Needed[0].Yard = "B" }, false},
		"equipment of all yards":    {func(s *plan.Sums) { s.Needed[0].Yard = "" }, true},
		"no such equipment":         {func(s *plan.Sums) { s.Needed[0].Item = "balloon" }, false},
		"no later day":              {func(s *plan.Sums) { s.LaterBy = "" }, true},
		"a later day that is none":  {func(s *plan.Sums) { s.LaterBy = "soon" }, false},
		"a key too many":            {func(s *plan.Sums) { s.Keys = append(s.Keys, "x") }, false},
		"no sums, and none is needed": {func(s *plan.Sums) {
			s.SyrupML, s.WaterML, s.SugarG, s.SolidG, s.SupplementG, s.NowG = nil, nil, nil, nil, nil, nil
		}, true},
		"one column is empty":       {func(s *plan.Sums) { s.NowG = nil }, false},
		"the first column is empty": {func(s *plan.Sums) { s.SyrupML = nil }, false},
	} {
		s := part("A")
		c.change(&s)
		err := checkSums(&s)
		require.Equal(t, c.fine, err == nil, "%s: %v", name, err)
	}
	for _, change := range []func(s *plan.Sums){func(s *plan.Sums) { s.Seed = 2 }, func(s *plan.Sums) { s.BagKg = 10 }, func(s *plan.Sums) { s.WasteFrac = 0.1 }} {
		s := part("B")
		change(&s)
		_, err := MergeSums([]plan.Sums{part("A"), s})
		require.ErrorContains(t, err, "of its terms")
	}
}

// TestSumsOfASeason: what the sums of a plan tell of its colonies, yards and equipment.
func TestSumsOfASeason(t *testing.T) {
	s := &season.Season{Today: time.Date(2027, time.March, 20, 0, 0, 0, 0, time.UTC), Settings: season.DefaultSettings(), Yards: []season.Yard{{Name: "Mill"}, {Name: "Hill"}}, Invented: true}
	s.Settings.Seed, s.Settings.SugarBagKg, s.Settings.WasteFrac = 7, 20, 0.05
	s.Equipment = []season.Equipment{{Yard: "mill", Item: season.Pail, Count: 2}, {Yard: "Mill", Item: season.Pail, Count: 3}, {Item: season.Pail, Count: 4}, {Yard: "elsewhere", Item: season.Pail, Count: 9}}
	fed := plan.ColonyPlan{Yard: "Mill", Verdict: plan.Feed, Choice: plan.FeederChoice{Feeder: plan.TrayUnderLid}, Tally: &plan.Tally{Colonies: 3}}
	watched := plan.ColonyPlan{Yard: "Hill", Verdict: plan.Watch, Choice: plan.FeederChoice{Feeder: plan.TrayUnderLid}}
	one := plan.ColonyPlan{Yard: "Hill", Verdict: plan.Feed, Choice: plan.FeederChoice{Feeder: plan.TrayUnderLid}}
	d := Demand{syrupML: []int64{1}, waterML: []int64{2}, sugarG: []int64{3}, solidG: []int64{4}, supplementG: []int64{5}, nowG: []int64{6}}
	later := time.Date(2027, time.April, 2, 0, 0, 0, 0, time.UTC)
	out := SumsOf(s, Made{Version: "1", Members: 40, Supplement: true}, []plan.ColonyPlan{fed, watched, one}, &d, later)
	require.Equal(t, []string{"Mill", "Hill"}, out.Yards)
	require.Equal(t, 4, out.Fed)
	require.Equal(t, "2027-04-02", out.LaterBy)
	require.Equal(t, []any{uint64(7), 40, 20.0, 0.05, true}, []any{out.Seed, out.Members, out.BagKg, out.WasteFrac, out.Invented})
	require.Equal(t, [][]int64{{1}, {2}, {3}, {4}, {5}, {6}}, [][]int64{out.SyrupML, out.WaterML, out.SugarG, out.SolidG, out.SupplementG, out.NowG})
	require.Equal(t, []plan.GearCount{{Yard: "Hill", Item: season.Tray, Count: 1}, {Yard: "Mill", Item: season.Tray, Count: 3}}, out.Needed)
	require.Equal(t, []plan.GearCount{{Item: season.Pail, Count: 4}, {Yard: "Mill", Item: season.Pail, Count: 5}}, out.OnHand)
	require.NoError(t, checkSums(&plan.Sums{Format: out.Format, Yards: out.Yards, Keys: out.Keys, Needed: out.Needed, OnHand: out.OnHand}))
	require.Empty(t, SumsOf(s, Made{}, nil, &d, time.Time{}).LaterBy)
}

// TestTermsInWords: what is not set is said so; bees that are wanted stand with their number.
func TestTermsInWords(t *testing.T) {
	s := season.Demo()
	of := func(name string) string {
		for _, term := range termsOf(s, Made{}) {
			if term.Name == name {
				return term.Value
			}
		}
		return "-"
	}
	s.Settings.BeesWantedDate = time.Time{}
	require.Equal(t, "none", of("bees wanted"))
	s.Settings.BeesWantedDate, s.Settings.BeesWantedBees = time.Date(2027, time.May, 3, 0, 0, 0, 0, time.UTC), math.NaN()
	require.Equal(t, "2027-05-03", of("bees wanted"))
	s.Settings.BeesWantedBees = 20000
	require.Equal(t, "2027-05-03, 20000 bees", of("bees wanted"))
	s.Settings.AcceptRiskFrac, s.Settings.LossFrac, s.Settings.WasteFrac, s.Settings.ReserveFrac = 0.05, 0.03, 0.08, 0.6
	require.Equal(t, []string{"5 %", "3 %", "8 %", "60 % of springs"}, []string{of("accepted risk"), of("colonies lost"), of("waste of sugar"), of("reserve held in")})
	require.True(t, s.Settings.ChooseStrength())
	require.Equal(t, "choose", of("syrup"))
	s.Settings.Parameters = []season.Parameter{{Name: "bee_mass_g", Value: 0.12}}
	require.Equal(t, "0.12", of("parameter bee_mass_g"))

	// The key of a yard hangs on its place and all that was seen, not on its name.
	key := func(change func(s *season.Season)) string {
		s := season.Demo()
		change(s)
		return colonyKeys(s)[0]
	}
	plain := key(func(*season.Season) {})
	require.Len(t, plain, 16)
	col := season.Demo().ColoniesOf(season.Demo().Yards[0].Name)[0].Name
	at := func(s *season.Season) *season.Colony {
		for i := range s.Colonies {
			if s.Colonies[i].Name == col && s.Colonies[i].Yard == s.Yards[0].Name {
				return &s.Colonies[i]
			}
		}
		return nil
	}
	tallied := key(func(s *season.Season) { at(s).Tally = &season.Tally{LookedAt: 2} })
	require.NotEqual(t, plain, tallied)
	require.NotEqual(t, tallied, key(func(s *season.Season) { at(s).Tally = &season.Tally{LookedAt: 3} }))
	require.NotEqual(t, plain, key(func(s *season.Season) { s.Yards[0].LatDeg++ }))
	require.NotEqual(t, plain, key(func(s *season.Season) { at(s).Alive = !at(s).Alive }))
}

// TestNothingIsOrderedOfNothing: without a member there is nothing to order, and a bag is never split.
func TestNothingIsOrderedOfNothing(t *testing.T) {
	var none Demand
	require.Equal(t, plan.Order{Colonies: 3, BagKg: 25}, none.Order(3, 25, 1, 0.1))
	d := Demand{syrupML: []int64{0}, waterML: []int64{0}, sugarG: []int64{25000}, solidG: []int64{0}, supplementG: []int64{1500}, nowG: []int64{25000}}
	o := d.Order(1, 25, 1, 0)
	require.Equal(t, 1.0, o.SugarBags.P50)
	require.Equal(t, 1.5, o.SupplementKg.P50)
	require.Zero(t, o.LaterSugarKg.P90)
	d.sugarG[0]++
	require.Equal(t, 2.0, d.Order(1, 25, 1, 0).SugarBags.P50)
	// Waste is between none and all that is said, of everything but the supplement.
	over := d.Order(1, 25, 1, 0.4)
	share := over.SugarKg.P50/25.001 - 1
	require.True(t, share > 0 && share < 0.4)
	require.InDelta(t, wasted(1, 0, 0.4), share, 1e-9)
	require.InDelta(t, 1.5, over.SupplementKg.P50, 1e-12)
}
