package ensemble

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage"
	"bloomgap/sim/colony"
)

// inventedSpring is a smooth warming spring with a cold spell, no real place.
func inventedSpring(days int, shiftC float64) []forage.Day {
	start := time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)
	out := make([]forage.Day, days)
	for i := range out {
		mean := -2 + 0.16*float64(i) + 4*math.Sin(float64(i)/3.1) + shiftC
		out[i] = forage.NewDay(start.AddDate(0, 0, i), mean-5, mean+5, 0, 45, forage.Generated)
	}
	return out
}

func inventedEnsemble() *SpringEnsemble {
	o := &forage.Outlook{Start: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), BloomSpreadDays: 3, PollenSpread: 2}
	for i := range 5 {
		o.Springs = append(o.Springs, forage.Spring{Label: fmt.Sprint(i), Weight: 0.2, Days: inventedSpring(120, float64(i)-2), PollenDay: 15, BloomDay: 70 - 3*i})
	}
	return NewSpringEnsemble(o, NewSharedDraws(colony.DefaultParams(), 40, 11, false), SpringEnsembleOptions{Today: 1, ReadDay: -1})
}

// TestRealizationsAreDeterministic: a realization depends on seed, colony and member alone, not
// on the order in which realizations are drawn nor on what one held before.
func TestRealizationsAreDeterministic(t *testing.T) {
	seen := InitialSpread{Day: 1, BeesLogMu: math.Log(9000), BeesLogSD: 0.3, BroodCells: math.NaN(), StoresKg: 7, StoresSDKg: 2, StoresMax: 30}
	forward, backward := NewSampler(inventedEnsemble()), NewSampler(inventedEnsemble())
	keys := []Key{KeyOf("north", "1"), KeyOf("north", "2")}
	var a, b [2][40]Realization
	for k := range keys {
		for m := range 40 {
			forward.Realize(keys[k], &seen, m, &a[k][m])
		}
	}
	var c Realization
	for m := 39; m >= 0; m-- {
		for k := range keys {
			backward.Realize(keys[k], &seen, m, &c)
			b[k][m] = c
		}
	}
	require.Equal(t, a, b)
	require.NotEqual(t, a[0][0].Start, a[1][0].Start, "two colonies of a member differ")
	require.Equal(t, a[0][0].Params.CoreBroodlessC, a[1][0].Params.CoreBroodlessC, "what is not known of bees in general is shared")
	require.NotEqual(t, a[0][0].Params.HeatLossW, a[1][0].Params.HeatLossW, "what differs from hive to hive is not")
}

func TestRealizeAllocatesNothing(t *testing.T) {
	pl, seen := inventedEnsemble(), InitialSpread{BeesLogMu: math.Log(9000), BeesLogSD: 0.3, BroodCells: math.NaN(), StoresKg: 7, StoresSDKg: 2, StoresMax: 30}
	d := NewSampler(pl)
	key := KeyOf("hive")
	var c Realization
	require.Zero(t, testing.AllocsPerRun(20, func() { d.Realize(key, &seen, 3, &c) }))
}
