package feed

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/feed/syrup"
)

// secondLook is a hive hefted light on 19 March and looked at again on 2 April,
// the day the question is asked, with what it was given.
func secondLook(t *testing.T, first, second season.Food, given ...season.Given) *plan.ColonyPlan {
	t.Helper()
	s := seasontest.OneHive(t, map[string]string{"heft": "light", "date": "2027-03-19"}, map[string]string{"next_visit": "2027-04-03"})
	s.Today = time.Date(2027, 4, 2, 0, 0, 0, 0, time.UTC)
	c := &s.Colonies[0]
	c.Observations[0].Food = first
	c.Insulated = true
	again := c.Observations[0]
	again.Date, again.Food = s.Today, second
	c.Observations = append(c.Observations, again)
	if first.Kind == season.FoodUnknown {
		c.Observations = c.Observations[1:]
	}
	for i := range given {
		given[i].Yard = c.Yard
	}
	s.Given = given
	p, _ := planOf(t, s, members(400))
	return &p.Colonies[0]
}

// TestFedAndSeenAgain: a colony that was fed as planned and is looked at again is
// planned by what it holds now, whether or not the feed was written down, and not
// as if it had starved.
func TestFedAndSeenAgain(t *testing.T) {
	heft := func(h season.Heft) season.Food { return season.Food{Kind: season.FoodHeft, Heft: h} }
	back := func(lb float64) season.Food {
		return season.Food{Kind: season.FoodLiftBack, LiftBackKg: lb * 0.45359237}
	}
	fed := season.Given{Date: time.Date(2027, 3, 23, 0, 0, 0, 0, time.UTC), SolidKg: 2.5, SyrupL: 3, Strength: syrup.ThreeToTwo(), LeftL: 0, LeftSolidKg: 0}
	var none season.Food
	for _, c := range []struct {
		name          string
		first, second season.Food
	}{
		{"light, then fair", heft(season.HeftLight), heft(season.HeftFair)},
		{"light, then heavy", heft(season.HeftLight), heft(season.HeftHeavy)},
		{"back lift of 22 lb, then 33", back(22), back(33)},
	} {
		alone := secondLook(t, none, c.second)
		untold := secondLook(t, c.first, c.second)
		told := secondLook(t, c.first, c.second, fed)
		t.Logf("%s: last look alone %.1f kg, %.1f %%; untold %.1f kg, %.1f %%; told %.1f kg, %.1f %%", c.name, alone.StoresKg.P50, 100*alone.Risk.Frac,
			untold.StoresKg.P50, 100*untold.Risk.Frac, told.StoresKg.P50, 100*told.Risk.Frac)
		require.Greater(t, untold.StoresKg.P50, 0.7*alone.StoresKg.P50, "%s: today's reading decides", c.name)
		require.InDelta(t, alone.Risk.Frac, untold.Risk.Frac, 0.12, "%s: and the risk goes by it", c.name)
		require.Greater(t, told.StoresKg.P50, 0.6*alone.StoresKg.P50, "%s", c.name)
	}
	told, looked := secondLook(t, heft(season.HeftLight), heft(season.HeftFair), fed), secondLook(t, none, heft(season.HeftFair))
	require.Less(t, told.StoresKg.P90-told.StoresKg.P10, looked.StoresKg.P90-looked.StoresKg.P10, "what was fed, and written down, makes two hefts surer than one")
	same := secondLook(t, heft(season.HeftLight), heft(season.HeftLight))
	alone := secondLook(t, none, heft(season.HeftLight))
	t.Logf("light twice: %.1f kg, alone %.1f kg", same.StoresKg.P50, alone.StoresKg.P50)
	require.InDelta(t, alone.StoresKg.P50, same.StoresKg.P50, 1.5)
}

// TestFedSinceTheLastLook: what was given after the last look lowers the risk, also
// what still is in the feeder, and the more of it the lower.
func TestFedSinceTheLastLook(t *testing.T) {
	risk := func(given ...season.Given) float64 {
		s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
		s.Given = given
		for i := range s.Given {
			s.Given[i].Yard, s.Given[i].Date = s.Yards[0].Name, s.Today
		}
		p, _ := planOf(t, s, members(400))
		return p.Colonies[0].Risk.Frac
	}
	none := risk()
	solid := risk(season.Given{SolidKg: 2.5, LeftSolidKg: 2.5})
	more := risk(season.Given{SolidKg: 2.5}, season.Given{SyrupL: 5, Strength: syrup.ThreeToTwo()})
	combs := risk(season.Given{FramesDeep: 3})
	t.Logf("risk %.3f; 2.5 kg solid %.3f, and 5 L %.3f; 3 combs %.3f", none, solid, more, combs)
	require.Less(t, solid, none-0.05)
	require.Less(t, more, solid-0.05)
	require.Less(t, combs, solid)
}

// TestPairsTeachTheHand: where hives hefted light were found to weigh as fair ones
// do, another hive hefted light, in whatever yard, is taken to hold more.
func TestPairsTeachTheHand(t *testing.T) {
	light := func(pairs int) float64 {
		s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
		for i := range pairs {
			c := s.Colonies[0]
			c.Name = fmt.Sprint("P", i)
			o := c.Observations[0]
			o.Food, o.Also = season.Food{Kind: season.FoodGross, GrossKg: 25}, []season.Food{o.Food}
			c.Observations = []season.Observation{o}
			s.Colonies = append(s.Colonies, c)
		}
		p, _ := planOf(t, s, members(300))
		return p.Colonies[0].StoresKg.P50
	}
	none, one, six := light(0), light(1), light(6)
	t.Logf("light: %.1f kg; with a pair %.1f, with six %.1f", none, one, six)
	require.Greater(t, one, none)
	require.Greater(t, six, one)
}

// TestUntoldFeedIsAskedAbout: a gain that bees cannot have made is named, with how
// much; one that was written down is told as given.
func TestUntoldFeedIsAskedAbout(t *testing.T) {
	heavy := func(kg float64) season.Food { return season.Food{Kind: season.FoodGross, GrossKg: kg} }
	untold := secondLook(t, heavy(21), heavy(26))
	var asked *plan.FedUntold
	for _, w := range untold.Warnings {
		if f, ok := w.(plan.FedUntold); ok {
			asked = &f
		}
		require.NotEqual(t, plan.Note(plan.LookUnexpected{}).Code(), w.Code(), "said once")
	}
	require.NotNil(t, asked)
	require.InDelta(t, 6.5, asked.StoresKg.P50, 1.5, "5 kg more and what it ate in two weeks")
	require.Equal(t, time.Date(2027, 3, 19, 0, 0, 0, 0, time.UTC), asked.Since)

	told := secondLook(t, heavy(21), heavy(26), season.Given{Date: time.Date(2027, 3, 23, 0, 0, 0, 0, time.UTC), SolidKg: 2.5, SyrupL: 3.5, Strength: syrup.ThreeToTwo()})
	for _, w := range told.Warnings {
		require.NotEqual(t, plan.Note(plan.FedUntold{}).Code(), w.Code())
		require.NotEqual(t, plan.Note(plan.LookUnexpected{}).Code(), w.Code())
	}
	require.Contains(t, told.Reason, plan.Note(plan.FedSince{LastOn: time.Date(2027, 3, 23, 0, 0, 0, 0, time.UTC), SyrupL: 3.5, SolidKg: 2.5}))
}
