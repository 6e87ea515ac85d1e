package schedule

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

// Against gonum/stat, a general-purpose library.
func TestQuantileIsThatOfTheSortedValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.OneOf(rapid.Float64Range(-5, 5), rapid.Just(math.Inf(1)), rapid.Just(1.0)), 1, 200).Draw(t, "x")
		p := rapid.Float64Range(0.01, 0.99).Draw(t, "p")
		sorted := slices.Clone(x)
		slices.Sort(sorted)
		want := stat.Quantile(p, stat.Empirical, sorted, nil)
		got := Quantile(slices.Clone(x), p)
		if got != want {
			// The library rounds p*n in its own way where it is whole.
			k := p * float64(len(x))
			require.InDelta(t, math.Round(k), k, 1e-9, "%v: %v, not %v", x, got, want)
		}
	})
}

func TestQuantileOfNothingIsNotKnown(t *testing.T) {
	require.True(t, math.IsNaN(Quantile(nil, 0.5)))
}
