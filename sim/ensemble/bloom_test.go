package ensemble

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage"
	"bloomgap/sim/colony"
)

// TestBloomAsItWasGiven: a bloom that was seen is the same day in every member; one
// that is expected spreads about its day by what was said, and not before today.
func TestBloomAsItWasGiven(t *testing.T) {
	bloom := func(given bool, spreadDays float64, today int) []float64 {
		o := &forage.Outlook{Start: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), BloomGiven: given, BloomSpreadDays: spreadDays}
		o.Springs = []forage.Spring{{Weight: 1, Days: inventedSpring(120, 0), PollenDay: 15, BloomDay: 60}}
		var days []float64
		for _, m := range NewSpringEnsemble(o, NewSharedDraws(colony.DefaultParams(), 400, 11, false), SpringEnsembleOptions{Today: today, ReadDay: -1}).Members {
			days = append(days, float64(m.BloomDay))
		}
		return days
	}
	for _, d := range bloom(true, 0, 80) {
		require.Equal(t, 60.0, d, "seen is seen, also when it is past")
	}
	spread := func(days []float64) (mean, square float64) {
		for _, d := range days {
			mean += d / float64(len(days))
		}
		for _, d := range days {
			square += (d - mean) * (d - mean) / float64(len(days))
		}
		return mean, square
	}
	for _, given := range []bool{true, false} {
		mean, square := spread(bloom(given, 4, 20))
		require.InDelta(t, 60, mean, 0.7)
		require.InDelta(t, 16, square, 3, "a spread of four days")
		for _, d := range bloom(given, 4, 62) {
			require.Greater(t, d, 62.0, "nobody has seen it yet")
		}
	}
}
