package feed

import (
	"context"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/asked"
	"bloomgap/feed/decide"
	"bloomgap/feed/order"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/feed/visits"
)

// TestATallysSumIsThatOfItsHives: what a yard takes is what the first hive of its tally and each of
// the others take, to the gram.
func TestATallysSumIsThatOfItsHives(t *testing.T) {
	s := tallySeason(t, func(s *season.Season) { s.Colonies[0].Tally = &season.Tally{LookedAt: 4} })
	pl, p := planOf(t, s, members(60))
	require.Equal(t, plan.Feed, pl.Colonies[0].Verdict)
	y := p.yards[0]
	require.NoError(t, y.Reopen())
	fresh := &yardWork{planner: p, site: y.site, weather: y.weather, colonies: y.colonies}
	var taken order.Demand
	d, err := decide.NewWorker(&p.terms).Decide(t.Context(), y.Yard, y.colonies[0])
	require.NoError(t, err)
	require.Equal(t, 3, d.Twins())
	fresh.take(&d, &taken)
	var alone order.Demand
	alone.Add(&fresh.sum)
	w := decide.NewWorker(&p.terms)
	for n := 1; n <= 3; n++ {
		twin, err := w.Twin(t.Context(), y.Yard, y.colonies[0], &d, n)
		require.NoError(t, err)
		fresh.take(&twin, &taken)
	}
	require.Equal(t, fresh.sum, y.sum)
	require.NotEqual(t, alone, y.sum)
	require.Equal(t, 4, pl.Yards[0].Feed)
}

// TestWorkThatCannotBeDone: a yard whose springs cannot be made, when it is planned, when it is looked
// at again, and when nobody stands there, is an error of each call, which leaves no user behind.
func TestWorkThatCannotBeDone(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
	name := s.Yards[0].Name
	opt := DefaultOptions(s.Settings)
	opt.Members, opt.MostFactor = 50, 1
	procs := runtime.GOMAXPROCS(0)
	p, err := NewPlanner(s, map[string]visits.Weather{name: {}}, opt)
	require.NoError(t, err)
	require.Equal(t, procs, runtime.GOMAXPROCS(0), "the cores are counted, not set")
	c := &plan.ColonyPlan{Yard: name, Colony: s.Colonies[0].Name}
	_, err = p.Run(t.Context())
	require.ErrorContains(t, err, "weather record")
	_, err = p.Cards(t.Context(), season.FoodHeft)
	require.ErrorContains(t, err, "weather record")
	_, _, err = p.Detail(t.Context(), c)
	require.ErrorContains(t, err, "weather record")
	_, _, err = p.Ask(t.Context(), c, plan.AskRatio, asked.DefaultOptions())
	require.ErrorContains(t, err, "weather record")

	pl, p := planOf(t, seasontest.OneHive(t, map[string]string{"heft": "light"}, nil), members(50))
	stopped, stop := context.WithCancel(t.Context())
	stop()
	_, err = p.Cards(stopped, season.FoodHeft)
	require.ErrorIs(t, err, context.Canceled)
	_, err = p.Cards(t.Context(), season.FoodHeft)
	require.NoError(t, err)
	y := p.yards[0]
	y.Weather, y.weather = visits.Weather{}, visits.Weather{}
	_, err = p.Cards(t.Context(), season.FoodHeft)
	require.ErrorContains(t, err, "weather record")
	_, _, err = p.Detail(t.Context(), &pl.Colonies[0])
	require.ErrorContains(t, err, "weather record")
	require.Zero(t, y.users)
	_, err = (&otherWorlds{t.Context(), p, y, y.colonies[0], &pl.Colonies[0]}).Moved(5)
	require.ErrorContains(t, err, "weather record")

	empty := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
	empty.Colonies = nil
	p, err = NewPlanner(empty, map[string]visits.Weather{name: {}}, opt)
	require.NoError(t, err)
	_, err = p.Run(t.Context())
	require.ErrorContains(t, err, "weather record")
}

// TestAYardInALaterSpring: moved by no day, a yard's plan is the plan itself without what a forecast
// and a supplement add; moved by ten, nectar is some ten days later and the need is no less.
func TestAYardInALaterSpring(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"gross": "22"}, nil)
	pl, p := planOf(t, s, members(60))
	c := &pl.Colonies[0]
	y, col, err := p.again(c)
	require.NoError(t, err)
	defer y.leave()
	o := &otherWorlds{t.Context(), p, y, col, c}
	same, err := o.Moved(0)
	require.NoError(t, err)
	require.Equal(t, c.Risk, same.Plan.Risk)
	require.Equal(t, c.Nectar, same.Plan.Nectar)
	require.False(t, same.Plan.Supplement.Considered)
	later, err := o.Moved(10)
	require.NoError(t, err)
	require.InDelta(t, 10, later.Plan.Nectar.P50.Sub(c.Nectar.P50).Hours()/24, 4)
	require.GreaterOrEqual(t, later.Plan.Risk.Frac, c.Risk.Frac)
	require.NotNil(t, later.Case)
	require.Same(t, c, later.Case.Plan, "the lines that are tried there are those of the plan")
	stopped, stop := context.WithCancel(t.Context())
	stop()
	_, err = (&otherWorlds{stopped, p, y, col, c}).Moved(10)
	require.ErrorIs(t, err, context.Canceled)
}

// TestWhatFeedingIsWorth: with prices a plan says what it saves and costs; and one colony that stays
// over the accepted risk is enough to say so.
func TestWhatFeedingIsWorth(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"gross": "16", "confirmed": "yes"}, nil)
	pl, _ := planOf(t, s, members(50))
	require.Nil(t, pl.Worth, "no prices")
	require.Greater(t, pl.Colonies[0].RiskFed.Frac, s.Settings.AcceptRiskFrac)
	at, ok := said[plan.StillAtRisk](pl.Warnings)
	require.True(t, ok)
	require.Equal(t, 1, at.Colonies)
	require.Equal(t, pl.Colonies[0].RiskFed.Frac, at.WorstFrac)
	s.Settings.Prices = season.Prices{Currency: "CAD", SugarPerKg: 1.2, Trip: 30, TripHives: 1, Colony: 250, Day: 200}
	pl, _ = planOf(t, s, members(50))
	worth, ok := plan.WorthOf(pl.Colonies, &s.Settings.Prices, season.TripPrices(s.Yards))
	require.True(t, ok)
	require.NotNil(t, pl.Worth)
	require.Equal(t, worth, *pl.Worth)
}
