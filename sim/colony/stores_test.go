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

// TestSyrupIsTakenUpAlone: what is taken up beside the books is what a run takes up.
func TestSyrupIsTakenUpAlone(t *testing.T) {
	p := DefaultParams()
	f := Forcing(inventedSpring(80, 0), &p)
	sp := Span{PollenDay: 20, BloomDay: 70, NectarDay: 79, ReadDay: -1, Days: 80}
	var l DailyDemand
	new(Runner).SimulatePopulation(Spring{&p, f, sp}, InitialState{Bees: 9000, BroodCells: 1500, PollenG: 300, HeatShare: 1}, &Treatment{}, &l, nil)
	for _, touching := range []bool{false, true} {
		var run, alone StoresRun
		run.Begin(Spring{&p, f, sp}, 5, 5, &l, nil)
		run.Until(20)
		run.Give(&Feeding{SyrupKg: 4, SugarKg: 3.4, LPerKg: 1.2, Touching: touching})
		alone.Begin(Spring{&p, f, sp}, 5, 5, &l, nil)
		alone.MoveTo(20, 5)
		alone.Syrup(1.2, touching)
		alone.FeederKg = run.FeederKg
		given, drunk := run.FeederKg, 0.0
		for _, day := range []int{30, 45, 60, 99} {
			run.Until(day)
			drunk += alone.TakeUp(day)
			alone.MoveTo(day, 5)
			require.InDelta(t, run.FeederKg, alone.FeederKg, 1e-12, "touching %v, day %d", touching, day)
			require.InDelta(t, given-run.FeederKg, drunk, 1e-12)
		}
		require.Zero(t, run.FeederKg)
		require.Zero(t, alone.TakeUp(99))
	}
}
