package decide

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/sim/colony"
)

// opened is the one colony of an invented season, decided on and opened again.
func opened(t testing.TB, s *season.Season, members int) *Case {
	t.Helper()
	d := Open(t, s, members, members)
	for _, y := range d.yards {
		col := &d.options.Season.Colonies[0]
		made, err := NewWorker(&d.options).Decide(t.Context(), y, col)
		require.NoError(t, err)
		k := NewWorker(&d.options).Case(y, col, &made.Plan)
		require.NotNil(t, k)
		return k
	}
	require.Fail(t, "the season has a yard")
	return nil
}

// A wrap that comes off later never costs more, in any spring; the first day from which it
// costs little is the first such day; a risk is never less without the wrap.
func TestAWrapNeverCostsFood(t *testing.T) {
	for _, wrapped := range []string{"yes", "no"} {
		k := opened(t, seasontest.OneHive(t, map[string]string{"heft": "fair", "wrapped": wrapped}, nil), 100)
		first := k.Yard().Season.Today
		rapid.Check(t, func(t *rapid.T) {
			on := first.AddDate(0, 0, rapid.IntRange(0, 70).Draw(t, "day"))
			kg := rapid.Float64Range(0.1, 2).Draw(t, "kg")
			u := k.Unwrap(on, kg)
			require.Equal(t, wrapped == "yes", u.Wrapped)
			require.GreaterOrEqual(t, u.CostKg.P10, 0.0)
			require.GreaterOrEqual(t, u.RiskOff.Frac, u.RiskOn.Frac)
			later := k.Unwrap(on.AddDate(0, 0, 7), kg)
			require.LessOrEqual(t, later.CostKg.P90, u.CostKg.P90)
			require.LessOrEqual(t, later.CostKg.P50, u.CostKg.P50)
			require.LessOrEqual(t, later.RiskOff.Frac, u.RiskOff.Frac)
			require.LessOrEqual(t, later.CoolNights.P50, u.CoolNights.P50)
			require.Equal(t, u.From, later.From, "the day does not hang on the day asked about")
			require.Less(t, k.Unwrap(u.From, kg).CostKg.P90, kg)
			if before := u.From.AddDate(0, 0, -1); !before.Before(first) {
				require.GreaterOrEqual(t, k.Unwrap(before, kg).CostKg.P90, kg)
			}
		})
	}
}

// A warmer wrap never costs food: the less heat it lets through, the more it spares.
func TestAWarmerWrapSparesMore(t *testing.T) {
	before, riskBefore := -1.0, 2.0
	for _, share := range []float64{0.98, 0.9, 0.8, 0.7} {
		s := seasontest.OneHive(t, map[string]string{"heft": "light", "wrapped": "yes"}, nil)
		base := colony.DefaultParams()
		require.NoError(t, base.Set("wrap_heat_share", share))
		d := openWith(t, s, 100, 100, base)
		var u plan.Unwrap
		var alone plan.Risk
		for _, y := range d.yards {
			w := NewWorker(&d.options)
			sub := w.subject(y, &s.Colonies[0])
			a, sub, odds := w.leftAlone(sub)
			out := w.unseen(y, &s.Colonies[0])
			out.Risk = odds.starving().risk()
			u = w.unwrap(sub, a, &out, unwrapAsked{day: y.Visits[0].Day, underKg: UnwrapKg})
			alone = out.Risk
		}
		require.Greater(t, u.CostKg.P50, before, "heat share %g", share)
		require.LessOrEqual(t, alone.Frac, riskBefore)
		require.Equal(t, alone.Frac, u.RiskOn.Frac, "the wrap left on is the plan's own run")
		before, riskBefore = u.CostKg.P50, alone.Frac
	}
}

// What the plan says of a wrap is what is answered on the same day, and no colony is told
// to take one off that is told to put one on.
func TestThePlanAndTheQuestionAgreeOnTheWrap(t *testing.T) {
	k := opened(t, seasontest.OneHive(t, map[string]string{"heft": "light", "wrapped": "yes"}, nil), 100)
	u := k.Unwrap(k.Yard().Visits[0].Date, UnwrapKg)
	require.Equal(t, k.Plan.Unwrap, u)
	require.Equal(t, time.March, u.On.Month())
	require.True(t, u.From.After(u.On), "March is too early in Quebec")
	require.Greater(t, u.CoolNights.P50, 10.0)
	bare := opened(t, seasontest.OneHive(t, map[string]string{"gross": "40", "wrapped": "no", "confirmed": "yes"}, nil), 100)
	require.False(t, bare.Plan.Unwrap.Known(), "a bare hive that is not fed has no wrap to see to")
}
