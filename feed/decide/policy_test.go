package decide

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/feed/visits"
)

// Less than the plan must not do: a third off every feeding, or no look after the
// first, breaks the reserve or the accepted risk of most of the fed colonies.
func TestThePlanIsNotMoreThanNeeded(t *testing.T) {
	d := demo(t)
	set := &d.options.Season.Settings
	broke, all := 0, 0
	for i := range d.Plans {
		c := &d.Plans[i]
		if c.Verdict != plan.Feed || c.TooLate || c.ReserveFrac < set.ReserveFrac {
			continue
		}
		all++
		_, s, w := d.subject(t, c)
		alone, s, _ := w.leftAlone(s)
		require.Equal(t, c.Members, alone.members)
		fed := *c
		less := slices.Clone(c.Feedings)
		for k := range less {
			less[k].SyrupL *= 2.0 / 3
			less[k].SolidKg *= 2.0 / 3
		}
		fed.Feedings = less
		on := &w.tryPlan(s, alone, &fed).on
		if on.RiskFrac() > set.AcceptRiskFrac || on.HeldFrac() < set.ReserveFrac {
			broke++
		}
	}
	require.Greater(t, all, 2)
	require.Greater(t, 2*broke, all, "%d of %d", broke, all)
}

func TestFillsFitFeederColdAndVisits(t *testing.T) {
	d := demo(t)
	for i := range d.Plans {
		c := &d.Plans[i]
		if len(c.Feedings) == 0 {
			continue
		}
		y, _, w := d.subject(t, c)
		wy := w.wayAt(y, c.Choice.Feeder)
		days := y.Dates()
		last := time.Time{}
		for _, f := range c.Feedings {
			k := slices.Index(days, f.Date)
			require.GreaterOrEqual(t, k, 0, "a fill is on a visit")
			require.Equal(t, y.Visits[k].MaxC < d.options.Season.Settings.Rules.TouchingOnlyBelowC, f.SolidKg > 0, "solid while days are cold")
			require.LessOrEqual(t, f.SolidKg, solidHoldsKg*float64(c.Policy.Blocks))
			if f.SyrupL > 0 {
				require.LessOrEqual(t, f.SyrupL, wy.holdsL*float64(c.Policy.AtATime), "%s %s", c.Colony, c.Choice.Feeder)
				require.Zero(t, f.SolidKg, "either syrup or solid")
			}
			last = f.Date
		}
		require.False(t, last.After(c.Nectar.P90.AddDate(0, 0, 7)), "%s %s: nothing is given long after nectar", c.Yard, c.Colony)
	}
}

// The keeper's own feeder decides what a fill may be, not the usual one of its
// kind.
func TestFillsFitTheKeepersOwnFeeder(t *testing.T) {
	for _, holdsL := range []float64{1.5, 8} {
		s := seasontest.OneHive(t, map[string]string{"gross": "19.5"}, map[string]string{"next_visit": "2027-04-20"})
		for _, item := range []season.Item{season.Pail, season.HoledCover, season.EmptyBox} {
			s.Equipment = append(s.Equipment, season.Equipment{Item: item, Count: 1, HoldsL: math.NaN()})
		}
		s.Equipment[0].HoldsL = holdsL
		d := decideAll(t, s, 200, 200)
		y := d.yards[s.Yards[0].Name]
		need := make([]float64, len(y.Visits))
		for k := range need {
			need[k] = 1 + 0.5*float64(k)
		}
		wy, choice := choose(y, need, 0, s)
		require.Equal(t, plan.PailOverCover, wy.feeder, "the only one on hand, in mild weather")
		require.Equal(t, holdsL, wy.holdsL)
		require.Equal(t, plan.PailOverCover, choice.Feeder)
		for _, f := range d.Plans[0].Feedings {
			if d.Plans[0].Choice.Feeder == wy.feeder {
				require.LessOrEqual(t, f.SyrupL, holdsL*float64(d.Plans[0].Policy.AtATime))
			}
		}
	}
}

// TestFedRiskIsThatOfOthers: the printed risk of a fed colony comes of members that its
// policy was not found on, and lies about what it was found to be.
func TestFedRiskIsThatOfOthers(t *testing.T) {
	d := demo(t)
	var found, told, n float64
	near := false // one lies near the line: it takes no more members to be fed than others
	for i := range d.Plans {
		c := &d.Plans[i]
		if c.Verdict != plan.Feed {
			continue
		}
		_, s, w := d.subject(t, c)
		again := plan.ColonyPlan{Bees: c.Bees, StarveDate: c.StarveDate, Members: c.Members}
		alone, s, _ := w.leftAlone(s)
		members := alone.members
		f := w.schedule(s.learn(2*members), alone, &again)
		require.Equal(t, c.RiskFed, again.RiskFed, "%s %s", c.Yard, c.Colony)
		if s.learned == nil {
			near = near || members > d.options.Members
			members = min(members, d.options.Members)
		}
		require.Equal(t, members, len(f.mine.members))
		require.Equal(t, members, len(f.others.members))
		for m := range f.mine.members {
			require.NotSame(t, f.mine.members[m].Spring.Params, f.others.members[m].Spring.Params)
		}
		found += f.mine.on.RiskFrac()
		told += c.RiskFed.Frac
		n++
	}
	require.True(t, near)
	t.Logf("%.0f colonies: %.2f %% found, %.2f %% on others", n, 100*found/n, 100*told/n)
	require.InDelta(t, found/n, told/n, 0.02)
}

// TestNotOneRatioForAll: left to the plan, syrup is 2:1 where it stays clear and 3:2
// where it does not.
func TestNotOneRatioForAll(t *testing.T) {
	set := season.DefaultSettings()
	bag, tray := wayOf(plan.BagOnBars), wayOf(plan.TrayUnderLid)
	require.Equal(t, "2:1", chosenStrength(&set, bag, 12000, &visits.Visit{MeanC: 6}).String(), "the cluster warms it")
	require.Equal(t, "3:2", chosenStrength(&set, tray, 12000, &visits.Visit{MeanC: 12}).String())
	require.Equal(t, "3:2", chosenStrength(&set, bag, 4000, &visits.Visit{MeanC: 6}).String(), "a small one does not")
	require.Equal(t, "2:1", chosenStrength(&set, tray, 4000, &visits.Visit{MeanC: 22}).String())
}
