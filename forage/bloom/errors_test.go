package bloom

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/stoptest"
)

// TestErrorsAreThoseOfTheYears: the errors that a fit reports are worked out again
// from the days of its years, and a year is judged by the mean of the others.
func TestErrorsAreThoseOfTheYears(t *testing.T) {
	rec := madeRecord(1990, 2010, 6, 1, 5)
	rule := Threshold{Plant: "plant", BaseC: 2, StartDOY: 60, NeedCd: 200, SpreadDays: 1}
	res, err := Fit(t.Context(), madeNotes(rule, rec, 3, 6), rec, DefaultFitOptions())
	require.NoError(t, err)
	n := float64(len(res.Years))
	require.Greater(t, n, 10.0)
	var fitted, left, others, spread, mean float64
	for _, y := range res.Years {
		mean += float64(y.Observed.YearDay()) / n
	}
	for _, y := range res.Years {
		require.Equal(t, y.FittedErrorDays, y.Fitted.Sub(y.Observed).Hours()/24)
		require.Equal(t, y.LeftOutErrorDays, y.LeftOut.Sub(y.Observed).Hours()/24)
		fitted += y.FittedErrorDays * y.FittedErrorDays / n
		left += y.LeftOutErrorDays * y.LeftOutErrorDays / n
		day := float64(y.Observed.YearDay())
		withoutIt := (mean*n - day) / (n - 1)
		others += (day - withoutIt) * (day - withoutIt) / n
		spread += (day - mean) * (day - mean) / (n - 1)
	}
	require.InDelta(t, mean, res.MeanDOY, 0.6, "days of leap years lie one later")
	require.InDelta(t, math.Sqrt(fitted), res.FitRMSEDays, 1e-9)
	require.InDelta(t, math.Sqrt(left), res.LeftOutRMSEDays, 1e-9)
	require.InDelta(t, math.Sqrt(others), res.MeanLeftOutRMSEDays, 0.1)
	require.InDelta(t, math.Sqrt(spread), res.SDDays, 0.1)
}

// TestFitStops: the search looks at its context before each form of a rule, and ends there.
func TestFitStops(t *testing.T) {
	rec := madeRecord(1990, 2010, 6, 1, 5)
	notes := madeNotes(Threshold{Plant: "plant", StartDOY: 60, NeedCd: 200}, rec, 3, 6)
	whole := stoptest.After(t.Context(), 0)
	_, err := Fit(whole, notes, rec, DefaultFitOptions())
	require.NoError(t, err)
	require.Greater(t, whole.Looks(), 30)
	t.Logf("longest time between two looks: %v", whole.Longest())
	for _, at := range []int{1, whole.Looks() / 2, whole.Looks()} {
		c := stoptest.After(t.Context(), at)
		_, err = Fit(c, notes, rec, DefaultFitOptions())
		require.ErrorIs(t, err, context.Canceled)
		require.Equal(t, at, c.Looks())
	}
}
