package feed

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"

	"bloomgap/feed/order"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
)

// tallySeason is a yard of one light hive, or of a tally of such hives.
func tallySeason(t *testing.T, change func(*season.Season)) *season.Season {
	t.Helper()
	s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
	change(s)
	return s
}

func tallyOf(c season.Colony, name string, lookedAt int) season.Colony {
	c.Name, c.Tally = name, &season.Tally{LookedAt: lookedAt}
	return c
}

// TestATallyOfOneIsThatColony: it has the draws of a colony of its name.
func TestATallyOfOneIsThatColony(t *testing.T) {
	row, _ := planOf(t, tallySeason(t, func(*season.Season) {}), members(120))
	one, _ := planOf(t, tallySeason(t, func(s *season.Season) { s.Colonies[0].Tally = &season.Tally{LookedAt: 1} }), members(120))
	require.Equal(t, &plan.Tally{Colonies: 1, LookedAt: 1, Range: plan.Range{P10: 1, P50: 1, P90: 1}}, one.Colonies[0].Tally)
	one.Colonies[0].Tally = nil
	require.Empty(t, cmp.Diff(row.Order, one.Order))
	require.Empty(t, cmp.Diff(row.Colonies, one.Colonies, ignoring))
}

// TestATallyIsAsManyRows: a tally of so many comes to what so many rows with the same
// look come to, in the middle and in its spread. What sets the two apart is that each
// row finds lines of its own, and the draws.
func TestATallyIsAsManyRows(t *testing.T) {
	const n, seeds = 16, 3
	options := func(o *Options) { o.Members, o.MostFactor = 200, 4 }
	spread := func(a plan.Amount) float64 { return a.P90 - a.P10 }
	var rowsSum, tallySum plan.Amount
	var tally *plan.Plan
	for seed := range uint64(seeds) {
		seeded := func(s *season.Season) { s.Settings.Seed = seed + 1 }
		rows, _ := planOf(t, tallySeason(t, func(s *season.Season) {
			seeded(s)
			for i := 1; i < n; i++ {
				c := s.Colonies[0]
				c.Name = fmt.Sprint("row ", i)
				s.Colonies = append(s.Colonies, c)
			}
		}), options)
		tally, _ = planOf(t, tallySeason(t, func(s *season.Season) {
			seeded(s)
			s.Colonies[0] = tallyOf(s.Colonies[0], "light", n)
		}), options)
		for _, x := range []struct{ sum, add *plan.Amount }{{&rowsSum, &rows.Order.SugarKg}, {&tallySum, &tally.Order.SugarKg}} {
			x.sum.P10, x.sum.P50, x.sum.P90 = x.sum.P10+x.add.P10, x.sum.P50+x.add.P50, x.sum.P90+x.add.P90
		}
	}
	require.Len(t, tally.Colonies, 1)
	require.Equal(t, n, tally.Colonies[0].Stands())
	require.Equal(t, n, tally.Order.Colonies)
	require.Equal(t, n, tally.Yards[0].Feed)
	t.Logf("%d rows %.1f, %d of one tally %.1f kg", n, rowsSum, n, tallySum)
	require.InEpsilon(t, rowsSum.P50, tallySum.P50, 0.08)
	require.InEpsilon(t, rowsSum.P90, tallySum.P90, 0.08)
	require.InEpsilon(t, spread(rowsSum), spread(tallySum), 0.3)

	// Colonies of a tally are no copies of one: their errors even out.
	one, _ := planOf(t, tallySeason(t, func(*season.Season) {}), members(200))
	require.Less(t, spread(tally.Order.SugarKg), 0.8*n*spread(one.Order.SugarKg))
	gear := func(pl *plan.Plan) map[season.Item]int {
		out := map[season.Item]int{}
		for _, g := range pl.Order.Gear {
			out[g.Item] = g.Needed
		}
		return out
	}
	for item, need := range gear(one) {
		require.Equal(t, n*need, gear(tally)[item], item)
	}
}

// sampled is a yard of 24: 4 looked at and found light, 8 heavy, and 12 not looked at.
func sampled(t *testing.T, notLookedAt int) *season.Season {
	return tallySeason(t, func(s *season.Season) {
		light := s.Colonies[0]
		heavy := light
		heavy.Observations = slices.Clone(light.Observations)
		heavy.Observations[0].Food.Heft = season.HeftHeavy
		n := 24 - notLookedAt
		s.Colonies = []season.Colony{tallyOf(light, "light", n/3), tallyOf(heavy, "heavy", n-n/3)}
		s.Yards[0].NotLookedAt = []season.NotLookedAt{{Colonies: notLookedAt}}
	})
}

// TestASampleStandsForTheRest: the middle is that of the whole yard looked at, and
// what the sample leaves open makes the order wider. All colonies are counted.
func TestASampleStandsForTheRest(t *testing.T) {
	all, _ := planOf(t, sampled(t, 0), members(200))
	some, _ := planOf(t, sampled(t, 12), members(200))
	number := func(pl *plan.Plan) (sum, fed int) {
		for i := range pl.Colonies {
			sum += pl.Colonies[i].Stands()
		}
		return sum, pl.Order.Colonies
	}
	whole, fed := number(all)
	require.Equal(t, []int{24, 8}, []int{whole, fed})
	whole, fed = number(some)
	require.Equal(t, 24, whole, "none is lost and none counted twice")
	require.InDelta(t, 8, fed, 1)
	require.InEpsilon(t, all.Order.SugarKg.P50, some.Order.SugarKg.P50, 0.1)
	spread := func(a plan.Amount) float64 { return a.P90 - a.P10 }
	require.Greater(t, spread(some.Order.SugarKg), 1.3*spread(all.Order.SugarKg))
	light := some.Colonies[0].Tally
	require.True(t, light.Sampled())
	require.Less(t, light.Range.P10, light.Range.P90)

	// The number of light ones, against the formulas of the beta-binomial for 4 of 12
	// looked at, 12 more, and half a colony before anyone looked.
	a, b, n := 4.5, 8.5, 12.0
	mean, sd := n*a/(a+b), math.Sqrt(n*a*b*(a+b+n)/((a+b)*(a+b)*(a+b+1)))
	require.InDelta(t, 4+mean, light.Range.P50, 1)
	require.InDelta(t, 2*1.2816*sd, light.Range.P90-light.Range.P10, 1.6, "whole colonies")
}

// TestTalliesInAnyOrder: neither the order of rows nor the number of workers changes a
// plan, and parts planned apart come to the whole.
func TestTalliesInAnyOrder(t *testing.T) {
	two := func() *season.Season {
		s := sampled(t, 12)
		other := s.Yards[0]
		other.Name, other.NotLookedAt = "other", nil
		s.Yards = append(s.Yards, other)
		c := tallyOf(s.Colonies[0], "light", 3)
		c.Yard = "other"
		s.Colonies = append(s.Colonies, c)
		return s
	}
	one, _ := planOf(t, two(), members(80))
	turned := two()
	slices.Reverse(turned.Yards)
	slices.Reverse(turned.Colonies)
	again, _ := planOf(t, turned, func(o *Options) { o.Members, o.MostFactor, o.Workers = 80, 1, 3 })
	require.Empty(t, cmp.Diff(one.Order, again.Order))
	require.Empty(t, cmp.Diff(one.Colonies, again.Colonies, ignoring))

	var parts []plan.Sums
	for _, yard := range []string{two().Yards[0].Name, "other"} {
		s := two()
		require.NoError(t, s.Keep([]string{yard}))
		part, _ := planOf(t, s, members(80))
		var file bytes.Buffer
		require.NoError(t, order.WriteSums(&file, part.Sums))
		sums, err := order.ReadSums(&file)
		require.NoError(t, err)
		parts = append(parts, sums)
	}
	merged, err := order.MergeSums(parts)
	require.NoError(t, err)
	require.Empty(t, cmp.Diff(one.Order, order.Of(merged)))
}

// TestTheRestIsOfItsOwnSize: hives that nobody looked at are as those looked at of
// their own size; a single does not become a double.
func TestTheRestIsOfItsOwnSize(t *testing.T) {
	s := sampled(t, 12)
	s.Colonies[1].Boxes = []season.Boxes{{Kind: season.Deep, Count: 2}}
	s.Yards[0].NotLookedAt = []season.NotLookedAt{{Boxes: s.Colonies[0].SizeOfHive(), Colonies: 12}}
	pl, _ := planOf(t, s, members(60))
	require.Equal(t, plan.Range{P10: 16, P50: 16, P90: 16}, pl.Colonies[0].Tally.Range, "4 light singles looked at, and all 12 others")
	require.Equal(t, 8, pl.Colonies[1].Tally.Colonies)

	s.Yards[0].NotLookedAt[0].Boxes = "another size"
	pl, _ = planOf(t, s, members(60))
	require.Less(t, pl.Colonies[0].Tally.Range.P10, pl.Colonies[0].Tally.Range.P90, "of a size that nobody looked at: as the whole yard")
}
