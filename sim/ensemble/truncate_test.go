package ensemble

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// TestStoresAreCutNotHeaped holds the draws of stores against the truncated normal's
// own moments: mean + SD (phi(a) - phi(b)) / (Phi(b) - Phi(a)) (any text book).
func TestStoresAreCutNotHeaped(t *testing.T) {
	n := distuv.UnitNormal
	for _, c := range []struct{ mean, sd, low, high float64 }{
		{8, 5, 0, 31.5}, {-1, 1.2, 0, 30}, {-4, 1, 0, 30}, {20, 5, 0, 22}, {40, 2, 0, 31.5}, {10, 1, 0, 30},
	} {
		s := InitialSpread{StoresKg: c.mean, StoresSDKg: c.sd, StoresMin: c.low, StoresMax: c.high}
		var kg []float64
		onLimit := 0
		const draws = 20000
		for i := range draws {
			v := s.storesAt(NormalAt((float64(i) + 0.5) / draws))
			kg = append(kg, v)
			if v <= c.low || v >= c.high {
				onLimit++
			}
		}
		a, b := (c.low-c.mean)/c.sd, (c.high-c.mean)/c.sd
		share := n.CDF(b) - n.CDF(a)
		want := c.mean + c.sd*(n.Prob(a)-n.Prob(b))/share
		require.InDelta(t, want, stat.Mean(kg, nil), 0.002*c.sd, "%+v", c)
		require.LessOrEqual(t, onLimit, 1, "%+v: draws heaped on a limit", c)
		require.IsNonDecreasing(t, kg, "%+v", c)
	}
	far := InitialSpread{StoresKg: -90, StoresSDKg: 1, StoresMax: 30}
	require.InDelta(t, 0, far.storesAt(1), 0.1, "no digits are left: the limit itself")
	far = InitialSpread{StoresKg: 90, StoresSDKg: 1, StoresMax: 30}
	require.InDelta(t, 30, far.storesAt(-1), 0.1)
	sure := InitialSpread{StoresKg: 5, StoresMax: 30}
	require.Equal(t, 5.0, sure.storesAt(2))
	for kg, want := range map[float64]float64{-3: 2, 1.9: 2, 40: 30} { // known to the gram, but not what a hive can hold
		sure = InitialSpread{StoresKg: kg, StoresMin: 2, StoresMax: 30}
		require.Equal(t, want, sure.storesAt(1))
	}
	require.False(t, math.IsNaN(far.storesAt(9)))
}

// TestWhatIsHeldIsWhatIsDrawn: the share of draws under what a draw comes to is the draw's own share, for
// spreads that are whole, cut on one side or both, and that lie mostly beyond a limit.
func TestWhatIsHeldIsWhatIsDrawn(t *testing.T) {
	for _, s := range []InitialSpread{
		{StoresKg: 9, StoresSDKg: 1.3, StoresMax: 40}, {StoresKg: 1, StoresSDKg: 3, StoresMax: 40}, {StoresKg: -4, StoresSDKg: 2, StoresMax: 6},
		{StoresKg: 12, StoresSDKg: 3, StoresMin: 2, StoresMax: 11}, {StoresKg: 30, StoresSDKg: 4, StoresMax: 12}, {StoresKg: -11, StoresSDKg: 1, StoresMax: 12},
	} {
		held := s.Held()
		for u := 0.01; u < 1; u += 0.01 {
			kg := s.storesAt(normalAt(u))
			if s.StoresMin < kg && kg < s.StoresMax {
				require.InDelta(t, u, held.Under(kg), 1e-7, "%+v", s)
			}
		}
		require.Zero(t, held.Under(s.StoresMin))
		require.Zero(t, held.Under(math.Inf(-1)))
		require.Equal(t, 1.0, held.Under(s.StoresMax+1e-9))
	}
	under := func(s InitialSpread, kg float64) float64 {
		held := s.Held()
		return held.Under(kg)
	}
	sure := InitialSpread{StoresKg: 9, StoresMax: 40}
	require.Zero(t, under(sure, 9))
	require.Equal(t, 1.0, under(sure, 9.001))
	full := InitialSpread{StoresKg: 50, StoresMax: 40}
	require.Zero(t, under(full, 40))
	// So far out that no digits are left: all draws lie on the nearer limit.
	far := InitialSpread{StoresKg: 900, StoresSDKg: 1, StoresMax: 40}
	require.Equal(t, 40.0, far.storesAt(0))
	require.Zero(t, under(far, 39.9))
	far = InitialSpread{StoresKg: -900, StoresSDKg: 1, StoresMax: 40}
	require.Equal(t, 0.0, far.storesAt(0))
	require.Equal(t, 1.0, under(far, 0.1))
}
