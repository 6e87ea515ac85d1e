package order

import (
	"cmp"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/sim/ensemble"
)

// TestDemandByHand: what a colony takes, and the order of it, added up by hand in whole grams
// and millilitres.
func TestDemandByHand(t *testing.T) {
	s := syrup.TwoToOne()
	lots := [][]schedule.Lot{{{SyrupL: 2}, {}, {SolidKg: 1.5}}, {{SyrupL: 1}, {SyrupL: 3}, {}}}
	var d Demand
	d.Of(&Taken{Lots: lots, Strength: s, SupplementG: []float64{100.4, 0, 99.6}}, 3)
	g := func(l float64) int64 { return int64(math.Round(1000 * l * s.SugarKgPerL())) }
	require.Equal(t, []int64{3000, 3000, 0}, d.syrupML)
	require.Equal(t, []int64{g(2) + g(1), g(3), 0}, d.sugarG)
	require.Equal(t, []int64{0, 0, 1500}, d.solidG)
	require.Equal(t, []int64{g(2), 0, 1500}, d.nowG, "the first visit's")
	require.Equal(t, []int64{100, 0, 100}, d.supplementG)
	w := func(l float64) int64 { return int64(math.Round(1000 * l * s.WaterLPerL())) }
	require.Equal(t, []int64{w(2) + w(1), w(3), 0}, d.waterML)

	o := d.Order(1, 2, 9, 0)
	kg := func(n int64) float64 { return float64(n) / 1000 }
	require.Equal(t, plan.Amount{P10: 1.5, P50: kg(g(3)), P90: kg(g(2) + g(1))}, o.SugarKg)
	require.Equal(t, plan.Amount{P10: 0, P50: 3, P90: 3}, o.SyrupL)
	require.Equal(t, plan.Amount{P10: 0, P50: 1.5, P90: kg(g(2))}, o.NowSugarKg)
	require.InDelta(t, kg(g(1)), o.LaterSugarKg.P50, 1e-9)
	require.Equal(t, [2]float64{0, kg(g(3))}, [2]float64{o.LaterSugarKg.P10, o.LaterSugarKg.P90})
	require.Equal(t, plan.Amount{P10: 0, P50: 0, P90: 1.5}, o.SolidKg)
	require.Equal(t, 0.1, o.SupplementKg.P90)
	require.Equal(t, plan.Amount{P10: 1, P50: math.Ceil(kg(g(3)) / 2), P90: math.Ceil(kg(g(3)) / 2)}, o.SugarBags)
	// Waste is bought beside it, at most as much as is said, none of it of the supplement.
	most := d.Order(1, 2, 9, 0.5)
	require.Greater(t, most.SugarKg.P90, o.SugarKg.P90)
	require.LessOrEqual(t, most.SugarKg.P90, 1.5*o.SugarKg.P90)
	require.InDelta(t, o.SupplementKg.P90, most.SupplementKg.P90, 1e-12)

	// A colony that is surely lost by the last visit takes the first visit's only.
	var lost Demand
	lost.Of(&Taken{Lots: lots, Strength: s, LossFrac: 1}, 3)
	require.Equal(t, []int64{g(2), 0, 0}, lost.sugarG)
	// Of a tally, only the members with so many colonies take.
	var tally Demand
	tally.Of(&Taken{Lots: lots, Strength: s, Shares: []int{2, 1, 1}, Number: 1, SupplementG: []float64{5, 5, 5}}, 3)
	require.Equal(t, []int64{3000, 0, 0}, tally.syrupML)
	require.Equal(t, []int64{5, 0, 0}, tally.supplementG)
}

// TestLossGrowsWithTheVisits: a colony is lost before a visit as often as the share says, never
// before the first, and stays lost.
func TestLossGrowsWithTheVisits(t *testing.T) {
	const n = 4000
	lost := [5]int{}
	for m := range n {
		before := false
		for k := range 5 {
			now := lostBy(ensemble.KeyOf("colony", "Mill", "1"), m, k, 5, 0.4)
			require.False(t, before && !now, "what is lost stays lost")
			if before = now; now {
				lost[k]++
			}
		}
	}
	for k, x := range lost {
		require.InDelta(t, 0.1*float64(k), float64(x)/n, 0.025, "visit %d", k)
	}
	require.False(t, lostBy(1, 0, 0, 1, 1), "a single visit")
	sum, most := 0.0, 0.0
	for m := range n {
		x := wasted(7, m, 0.2)
		sum, most = sum+x/n, math.Max(most, x)
	}
	require.InDelta(t, 0.1, sum, 0.005)
	require.InDelta(t, 0.2, most, 0.002)
}

// TestGearByHand: gear counts the colonies to feed alone, and what is to buy is never below none.
func TestGearByHand(t *testing.T) {
	cs := []plan.ColonyPlan{
		{Yard: "Mill", Colony: "1", Verdict: plan.Feed, Choice: plan.FeederChoice{Feeder: plan.PailOverCover}},
		{Yard: "Mill", Colony: "2", Verdict: plan.NoFeed, Choice: plan.FeederChoice{Feeder: plan.PailOverCover}},
		{Yard: "Mill", Colony: "3", Verdict: plan.Feed, Choice: plan.FeederChoice{Feeder: plan.PailOverCover}, Tally: &plan.Tally{Colonies: 4}},
	}
	have := []season.Equipment{{Yard: "mill", Item: season.Pail, Count: 2}, {Item: season.Pail, Count: 1}, {Item: season.HoledCover, Count: 9}, {Item: season.EmptyBox, Count: 9}}
	got := ShareGear(have, cs)
	require.Equal(t, 3, got[Pool{"Mill", season.Pail}], "its own and those of all")
	require.Equal(t, 5, got[Pool{"Mill", season.HoledCover}])
	require.True(t, cs[0].Choice.OnHand)
	require.False(t, cs[2].Choice.OnHand, "two pails for four colonies")
	var mine []*plan.ColonyPlan
	for i := range cs {
		mine = append(mine, &cs[i])
	}
	lines := GearOf(mine, got)
	require.Len(t, lines, 3)
	require.True(t, slices.IsSortedFunc(lines, func(a, b plan.GearLine) int { return cmp.Compare(a.Item, b.Item) }), "in the order of their names")
	for _, line := range lines {
		require.Equal(t, 5, line.Needed, "%v: one and four", line.Item)
		require.Equal(t, line.Item == season.Pail, line.Buy == 2, "%v", line.Item)
		require.GreaterOrEqual(t, line.Buy, 0)
	}
	require.Empty(t, ShareGear(nil, cs))
	day := func(d int) time.Time { return time.Date(2027, time.April, d, 0, 0, 0, 0, time.UTC) }
	require.Equal(t, day(5), LaterBy([]*plan.ColonyPlan{{Feedings: []plan.Feeding{{Date: day(1)}, {Date: day(9)}}}, {Feedings: []plan.Feeding{{Date: day(5)}}}}, day(1)))
}

// TestDemandsAdd: sums are of all columns, in any order, and nothing adds nothing.
func TestDemandsAdd(t *testing.T) {
	of := func(k int64) *Demand {
		var d Demand
		d.grow(2)
		for i, c := range d.columns() {
			(*c)[0], (*c)[1] = k+int64(i), 10*k
		}
		return &d
	}
	var sum Demand
	sum.Add(&Demand{})
	require.Empty(t, sum.syrupML)
	sum.Add(of(1))
	sum.Add(&Demand{})
	sum.Add(of(5))
	for i, c := range sum.columns() {
		require.Equal(t, []int64{6 + 2*int64(i), 60}, *c, "column %d", i)
	}
	require.Equal(t, of(1), of(1), "what is added is left as it is")
}
