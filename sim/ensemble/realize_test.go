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

func inventedEnsemble() *SpringEnsemble { return inventedYard("", colony.EarlyUnknown) }

func inventedYard(yard string, early colony.EarlyForage) *SpringEnsemble {
	o := &forage.Outlook{Start: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), BloomSpreadDays: 3, PollenSpread: 2}
	for i := range 5 {
		o.Springs = append(o.Springs, forage.Spring{Label: fmt.Sprint(i), Weight: 0.2, Days: inventedSpring(120, float64(i)-2), PollenDay: 15, BloomDay: 70 - 3*i})
	}
	return NewSpringEnsemble(o, NewSharedDraws(colony.DefaultParams(), 40, 11, false), SpringEnsembleOptions{Today: 1, ReadDay: -1, Yard: yard, Early: early})
}

// TestEarlyForageMovesNothingElse: what is known of a yard's early forage changes
// its early nectar alone; where nothing is known, yards differ and the colonies of
// one do not.
func TestEarlyForageMovesNothingElse(t *testing.T) {
	seen := InitialSpread{Day: 1, BeesLogMu: math.Log(9000), BeesLogSD: 0.3, BroodCells: math.NaN(), StoresKg: 7, StoresSDKg: 2, StoresMax: 30}
	draw := func(yard, hive string, early colony.EarlyForage, m int) Realization {
		var c Realization
		NewSampler(inventedYard(yard, early)).Realize(KeyOf(hive), &seen, m, &c)
		return c
	}
	differ := 0
	for m := range 12 {
		some, good := draw("north", "1", colony.EarlySome, m), draw("north", "1", colony.EarlyGood, m)
		require.Less(t, some.Params.EarlyNectarShare, good.Params.EarlyNectarShare)
		good.Params.EarlyNectarShare = some.Params.EarlyNectarShare
		require.Equal(t, some, good)
		ratio := func(yard, hive string) float64 {
			return draw(yard, hive, colony.EarlyUnknown, m).Params.EarlyNectarShare / draw(yard, hive, colony.EarlySome, m).Params.EarlyNectarShare
		}
		require.InDelta(t, ratio("north", "1"), ratio("north", "2"), 1e-12)
		if ratio("north", "1") != ratio("south", "1") { // alike only at the limit
			differ++
		}
	}
	require.Greater(t, differ, 6)
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
