package plan_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

func fedColony(yard string, stands int, alone, fed, sugarKg float64, needed ...float64) plan.ColonyPlan {
	c := plan.ColonyPlan{Yard: yard, Verdict: plan.Feed, Risk: plan.Risk{Frac: alone}, RiskFed: plan.Risk{Frac: fed}, SolidKg: sugarKg}
	if stands > 1 {
		c.Tally = &plan.Tally{Colonies: stands, LookedAt: stands}
	}
	for i, frac := range needed {
		c.Feedings = append(c.Feedings, plan.Feeding{Date: time.Date(2027, 4, 1+8*i, 0, 0, 0, 0, time.UTC), NeededFrac: frac})
		c.Policy.Feedings += frac
	}
	return c
}

// Two yards by hand: the colonies of one share its visits, a tally counts by its number, and
// what is not fed counts for nothing.
func TestWorthByHand(t *testing.T) {
	watched := fedColony("Home", 1, 0.04, 0, 5, 1)
	watched.Verdict = plan.Watch
	cs := []plan.ColonyPlan{fedColony("Home", 1, 0.5, 0.1, 6, 1, 0.5), fedColony("Home", 10, 0.3, 0.1, 2, 1, 0.2), fedColony("Hill", 1, 0.6, 0, 4, 0.7), watched}
	p := season.Prices{Currency: "francs", Colony: 200, SugarPerKg: 2, Trip: 30, TripHives: 1, Day: 100}
	w, ok := plan.WorthOf(cs, &p, nil)
	require.True(t, ok)
	require.InDelta(t, 0.4+10*0.2+0.6, w.Colonies, 1e-12)
	require.InDelta(t, 3*200, w.Saved, 1e-9)
	require.InDelta(t, 6+20+4, w.SugarKg, 1e-12)
	require.InDelta(t, 1+0.5+0.7, w.Visits, 1e-12, "both of Home on the first visit, the oftener one on the second, and Hill")
	require.InDelta(t, 30*2+2.2*30+(1.5+12+0.7)*0.03*100, w.Spent, 1e-9)
	require.InDelta(t, 600/2.2, w.ByTrip, 1e-9)
	require.InDelta(t, 20, w.ByKg, 1e-9)
	own, ok := plan.WorthOf(cs, &p, map[string]float64{"Hill": 100, "Far": 7})
	require.True(t, ok)
	require.InDelta(t, w.Spent+0.7*(100-30), own.Spent, 1e-9, "only Hill has a price of its own")
	own.Spent = w.Spent
	require.Equal(t, w, own)
	_, ok = plan.WorthOf(cs, &season.Prices{SugarPerKg: 2, Trip: 30, TripHives: 1}, nil)
	require.False(t, ok, "without the price of a colony nothing is weighed")
	_, ok = plan.WorthOf(cs[3:], &p, nil)
	require.False(t, ok, "nothing is fed")
}

// Dearer sugar, trips and work never raise what is saved after costs, and a trip is never
// counted more often than the hives of a yard are fed together.
func TestDearerFeedSavesNoMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		frac := rapid.Float64Range(0, 1)
		cs := make([]plan.ColonyPlan, rapid.IntRange(1, 6).Draw(t, "colonies"))
		feedings, most := 0.0, 0.0
		for i := range cs {
			cs[i] = fedColony(rapid.SampledFrom([]string{"Home", "Hill"}).Draw(t, "yard"), rapid.IntRange(1, 9).Draw(t, "stands"), frac.Draw(t, "alone"),
				frac.Draw(t, "fed"), rapid.Float64Range(0, 20).Draw(t, "kg"), rapid.SliceOfN(frac, 1, 4).Draw(t, "needed")...)
			feedings += cs[i].Policy.Feedings
			most = max(most, cs[i].Policy.Feedings)
		}
		p := season.Prices{Colony: 200, SugarPerKg: rapid.Float64Range(0.1, 5).Draw(t, "sugar"), Trip: rapid.Float64Range(0, 100).Draw(t, "trip"), TripHives: 1}
		w, ok := plan.WorthOf(cs, &p, nil)
		require.True(t, ok)
		require.GreaterOrEqual(t, w.Visits, most-1e-9, "as many as the hive that is fed most")
		require.LessOrEqual(t, w.Visits, feedings+1e-9)
		dearer := p
		dearer.SugarPerKg += rapid.Float64Range(0, 5).Draw(t, "more sugar")
		dearer.Trip += rapid.Float64Range(0, 100).Draw(t, "more trip")
		dearer.Day += rapid.Float64Range(0, 100).Draw(t, "more day")
		d, ok := plan.WorthOf(cs, &dearer, nil)
		require.True(t, ok)
		require.LessOrEqual(t, d.Saved-d.Spent, w.Saved-w.Spent+1e-9)
		require.InDelta(t, w.Saved, d.Saved, 1e-12)
	})
}
