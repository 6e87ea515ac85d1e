package colony

import (
	"math"
	"testing"
	"time"

	"bloomgap/forage"
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

func BenchmarkRun(b *testing.B) {
	p := DefaultParams()
	f := Forcing(inventedSpring(120, 0), &p)
	s := InitialState{Bees: 9000, BroodCells: 1500, StoresKg: 6, PollenG: 400, HeatShare: 1}
	sp := Span{PollenDay: 20, BloomDay: 70, NectarDay: 119, ReadDay: -1, Days: 120}
	var r Runner
	care := &Treatment{}
	b.ReportAllocs()
	for b.Loop() {
		r.Run(Spring{&p, f, sp}, s, care, 5, nil)
	}
	b.ReportMetric(float64(b.N)*120/b.Elapsed().Seconds()/1e6, "Mcolony-days/s")
}
