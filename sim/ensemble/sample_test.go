package ensemble

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage"
	"bloomgap/sim/colony"
)

// TestRealizeAtMiddle: at the middle of everything a sample is the realization that a
// Sampler makes when nothing is drawn.
func TestRealizeAtMiddle(t *testing.T) {
	o := &forage.Outlook{Start: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), BloomSpreadDays: 3, PollenSpread: 2,
		Springs: []forage.Spring{{Weight: 1, Days: inventedSpring(120, 0), PollenDay: 15, BloomDay: 70}}}
	base := colony.DefaultParams()
	pl := NewSpringEnsemble(o, NewSharedDraws(base, 1, 1, true), SpringEnsembleOptions{Today: 2, ReadDay: -1})
	for name, seen := range map[string]InitialSpread{
		"brood counted": {Day: 2, BeesLogMu: math.Log(9000), BeesLogSD: 0.3, BroodCells: 800, BroodLogSD: 0.3, StoresKg: 7, StoresSDKg: 2, StoresMax: 30, Wrapped: true},
		"not looked at": {Day: 5, BeesLogMu: math.Log(9000), BeesLogSD: 0.3, BroodCells: math.NaN(), StoresKg: 70, StoresSDKg: 2, StoresMax: 30},
	} {
		var want, got Realization
		NewSampler(pl).Realize(KeyOf("x"), &seen, 0, &want)
		pl.RealizeAt(&seen, &Sample{Params: base, BloomSpread: 3, PollenDays: 2}, 2, &got)
		want.Member = got.Member
		require.Equal(t, want, got, name)
	}
}

func TestSetAt(t *testing.T) {
	base := colony.DefaultParams()
	for i, c := range colony.Catalogue() {
		p := base
		c.SetAt(&p, &base, 0)
		require.InEpsilon(t, c.Typical, p.Values()[i], 1e-12, "%s stays at its middle", c.Name)
		c.SetAt(&p, &base, 1)
		up := p.Values()[i]
		c.SetAt(&p, &base, 100)
		switch {
		case c.Spread == colony.Fixed:
			require.Equal(t, base, p, "%s is fixed", c.Name)
		default:
			require.Greater(t, up, c.Typical, c.Name)
			require.Equal(t, c.High, p.Values()[i], "%s is cut to its range", c.Name)
		}
	}
	require.InDelta(t, 1.959964, NormalAt(0.975), 1e-6, "the usual 97.5 % point of the normal")
	require.False(t, math.IsInf(NormalAt(0), 0), "the end of the scale is held inside")
}
