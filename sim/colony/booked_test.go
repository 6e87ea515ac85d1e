package colony

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestGivenFoodIsBookedByHand: food that was given is income and need that is met, on the days on
// which it is taken.
func TestGivenFoodIsBookedByHand(t *testing.T) {
	p := DefaultParams()
	p.SyrupYield, p.SolidKgPerKgSugar, p.TakeUpMlPerBee, p.TakeUpTouchShare, p.TakeUpColdShare = 0.9, 1.2, 0.02, 0.6, 0.1
	f := make([]ForceDay, 8)
	for i := range f {
		f[i].Mild, f[i].Chill = 1, 1
	}
	f[3].Mild, f[4].Chill, f[4].Mild = 0, 0, 0
	l := &DailyDemand{}
	l.Resize(8)
	for i := range f {
		l.NeedKg[i], l.IncomeKg[i], l.Bees[i] = 0.5, 0.01, 10000 // 0.2 L of syrup a mild day
	}
	fed := []Feeding{{Day: -3, CombKg: 1}, {Day: 1, SyrupKg: 1, LPerKg: 1, Touching: true}, {Day: 1, SolidKg: 1}, {Day: 6, CombKg: 2}, {Day: 7, CombKg: 9}}
	b := booking{l: l, p: &p, f: f, fed: fed, gifts: []Gift{{Day: -2, Kg: 0.3}, {Day: 2, Kg: 0.4}}}
	for day := range f {
		b.day(day)
	}
	// A touching feeder gives six tenths of a mild day's in the cool and nothing in frost.
	for i, want := range []float64{1.31, 0.01, 0.21, 0.41 + 0.12, 0.01, 0.21, 0.21, 0.01 + 0.18 + 2} {
		require.InDelta(t, want, l.IncomeKg[i], 1e-9, "day %d", i)
	}
	for i, want := range []float64{0.5, 0.5, 0, 0, 0.3, 0.5, 0.5, 0.5} {
		require.InDelta(t, want, l.NeedKg[i], 1e-9, "day %d: 1.2 kg lie over the cluster", i)
	}
	require.Equal(t, 4, b.next, "what is given on the last evening is not there yet")
	require.InDelta(t, 0.1, (&ForceDay{Chill: 0.5}).takeUpShare(&p, false), 1e-12)
	require.InDelta(t, 0.55, (&ForceDay{Chill: 1, Mild: 0.5}).takeUpShare(&p, false), 1e-12)
	require.Zero(t, (&ForceDay{}).takeUpShare(&p, false))
	require.InDelta(t, 0.3, (&ForceDay{Chill: 0.5}).takeUpShare(&p, true), 1e-12)
	require.InDelta(t, 0.8, (&ForceDay{Chill: 1, Mild: 0.5}).takeUpShare(&p, true), 1e-12)
}
