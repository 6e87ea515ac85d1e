package feed

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
)

// What the charts of a fed colony say is what its plan says, and more sugar or an
// earlier start never raises the risk.
func TestDetailAgreesWithThePlan(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
	pl, planner := planOf(t, s, members(400))
	c := &pl.Colonies[0]
	require.Equal(t, plan.Feed, c.Verdict)
	d, ok, err := planner.Detail(t.Context(), c)
	require.NoError(t, err)
	require.True(t, ok)

	sugar := c.SyrupSugarKg + c.SolidKg
	last := func(v []float64) float64 { return v[len(v)-1] }
	require.Equal(t, c.Risk.Frac, last(d.RiskAlone))
	require.InDelta(t, c.RiskFed.Frac, last(d.RiskFed), 1e-9)
	require.Equal(t, c.ReserveFrac, d.Reserve.Fed)
	require.LessOrEqual(t, d.Reserve.Alone, d.Reserve.Fed)
	require.Len(t, d.BySugar, 7, "from nothing to half as much again")
	require.Equal(t, c.Risk.Frac, d.BySugar[0].Risk.Frac, "nothing given")
	for _, trades := range [][]plan.Trade{d.BySugar, d.ByStart} {
		planned := 0
		for i, tr := range trades {
			if tr.Planned {
				planned++
				require.Equal(t, c.RiskFed.Frac, tr.Risk.Frac)
				require.InEpsilon(t, sugar, tr.SugarKg, 1e-9)
			}
			if i > 0 && tr.Start.IsZero() {
				require.LessOrEqual(t, tr.Risk.Frac, trades[i-1].Risk.Frac)
			} else if i > 0 {
				require.GreaterOrEqual(t, tr.Risk.Frac, trades[i-1].Risk.Frac)
			}
		}
		require.Equal(t, 1, planned)
	}
	require.Equal(t, c.Feedings[0].Date, d.ByStart[0].Start)
}

// The gain of a supplement is taken spring by spring, as the plan takes it.
func TestDetailGainIsPaired(t *testing.T) {
	s := season.Demo()
	wanted := s.Settings.BeesWantedDate
	require.False(t, wanted.IsZero())
	pl, planner := planOf(t, s, members(200))
	compared := 0
	for i := range pl.Colonies {
		c := &pl.Colonies[i]
		if !c.Supplement.Considered || compared == 3 {
			continue
		}
		d, ok, err := planner.Detail(t.Context(), c)
		require.NoError(t, err)
		require.True(t, ok)
		day := int(wanted.Sub(d.Dates[0]).Hours() / 24)
		// The plan reads bees within the day and on some of the members, the picture at its end and on all.
		want, within := c.Supplement.GainBees, 0.25*(c.Supplement.GainBees.P90-c.Supplement.GainBees.P10)
		require.InDelta(t, want.P10, d.BeesGain.P10[day], within, c.Colony)
		require.InDelta(t, want.P50, d.BeesGain.P50[day], within, c.Colony)
		require.InDelta(t, want.P90, d.BeesGain.P90[day], within, c.Colony)
		compared++
	}
	require.Equal(t, 3, compared)
}

// TestLookingAgainKeepsFewSprings: colonies of many yards are looked at again without
// the springs of all yards at once.
func TestLookingAgainKeepsFewSprings(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
	site, hive := s.Yards[0], s.Colonies[0]
	s.Yards, s.Colonies = nil, nil
	for i := range mostReopened + 6 {
		site.Name, hive.Yard = fmt.Sprint("yard ", i), fmt.Sprint("yard ", i)
		s.Yards, s.Colonies = append(s.Yards, site), append(s.Colonies, hive)
	}
	pl, p := planOf(t, s, members(50))
	var group errgroup.Group
	for i := range pl.Colonies {
		group.Go(func() error {
			_, _, err := p.Detail(t.Context(), &pl.Colonies[i])
			return err
		})
	}
	require.NoError(t, group.Wait())
	again, _, err := p.Detail(t.Context(), &pl.Colonies[0])
	require.NoError(t, err)
	require.NotEmpty(t, again.Dates)
	open := 0
	for _, y := range p.yards {
		require.Zero(t, y.users)
		if y.Springs != nil {
			open++
		}
	}
	require.Equal(t, mostReopened, open)
}
