package colony

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestStoresRunStops: a run that is stopped on any days comes to the same as one that
// goes through, and its books balance.
func TestStoresRunStops(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyParams(t)
		f := Forcing(anySpring(t, 120), &p)
		start, sp, care := anyStart(t), anySpan(t, f, &p), anyCare(t, 120)
		var r Runner
		var l DailyDemand
		r.SimulatePopulation(Spring{&p, f, sp}, start, care, &l, nil)
		whole := r.SimulateStores(Spring{&p, f, sp}, start.StoresKg, care.Feedings, 5, &l, nil)
		var run StoresRun
		run.Begin(Spring{&p, f, sp}, start.StoresKg, 5, &l, nil)
		next := 0
		for day := 0; day < run.Days(); day += 1 + rapid.IntRange(0, 9).Draw(t, "days") {
			for ; next < len(care.Feedings) && care.Feedings[next].Day <= day; next++ {
				run.Until(care.Feedings[next].Day)
				run.Give(&care.Feedings[next])
			}
			run.Until(day)
		}
		for ; next < len(care.Feedings); next++ {
			run.Until(care.Feedings[next].Day)
			if care.Feedings[next].Day < run.Days() {
				run.Give(&care.Feedings[next])
			}
		}
		run.Until(run.Days())
		require.Equal(t, whole, run.Outcome())
		require.InDelta(t, 0, run.Outcome().Balance.GapKg(), 1e-9*(1+whole.Balance.EatenKg+whole.Balance.FedKg+whole.Balance.NectarKg))
	})
}

// TestStoresRunMoves: an unfed run that is moved over days that were worked out
// elsewhere goes on as if it had run through them.
func TestStoresRunMoves(t *testing.T) {
	p := DefaultParams()
	f := Forcing(inventedSpring(80, 3), &p)
	s, sp := InitialState{Bees: 9000, BroodCells: 1500, StoresKg: 9, PollenG: 300, HeatShare: 1}, Span{PollenDay: 20, BloomDay: 70, NectarDay: 79, ReadDay: -1, Days: 80}
	var r Runner
	var l DailyDemand
	r.SimulatePopulation(Spring{&p, f, sp}, s, &Treatment{}, &l, nil)
	var walked, moved StoresRun
	walked.Begin(Spring{&p, f, sp}, s.StoresKg, 5, &l, nil)
	moved.Begin(Spring{&p, f, sp}, s.StoresKg, 5, &l, nil)
	walked.Until(30)
	moved.MoveTo(30, walked.StoresKg)
	walked.Until(60)
	moved.Until(60)
	require.Equal(t, walked.StoresKg, moved.StoresKg)
	require.Equal(t, walked.Day(), moved.Day())
}
