package plan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// Limits at 95 % as tables of Clopper & Pearson print them, from memory.
func TestLossesByTheTable(t *testing.T) {
	for _, c := range []struct {
		lost, of    int
		least, most float64
	}{{0, 10, 0, 0.3085}, {1, 10, 0.0025, 0.4450}, {5, 10, 0.1871, 0.8129}, {10, 10, 0.6915, 1}, {3, 20, 0.0321, 0.3789}} {
		l := LossesOf(c.lost, c.of)
		require.InDelta(t, c.least, l.LeastFrac, 5e-5)
		require.InDelta(t, c.most, l.MostFrac, 5e-5)
	}
}

// The limits are what they say: of the least share so many or more are lost in 2.5 % of
// yards, of the most so many or fewer; the share lies between.
func TestLossesHoldTheirTails(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		of := rapid.IntRange(1, 300).Draw(t, "of")
		lost := rapid.IntRange(0, of).Draw(t, "lost")
		l := LossesOf(lost, of)
		require.LessOrEqual(t, l.LeastFrac, l.Frac)
		require.GreaterOrEqual(t, l.MostFrac, l.Frac)
		if lost > 0 {
			require.InDelta(t, 0.025, 1-distuv.Binomial{N: float64(of), P: l.LeastFrac}.CDF(float64(lost-1)), 1e-6)
		}
		if lost < of {
			require.InDelta(t, 0.025, distuv.Binomial{N: float64(of), P: l.MostFrac}.CDF(float64(lost)), 1e-6)
		}
	})
	require.InDelta(t, 1-math.Pow(0.025, 1.0/12), LossesOf(0, 12).MostFrac, 1e-9, "none of twelve, in closed form")
}
