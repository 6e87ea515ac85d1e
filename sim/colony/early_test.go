package colony

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestParseEarlyForage(t *testing.T) {
	for _, e := range []EarlyForage{EarlyUnknown, EarlyNone, EarlySome, EarlyGood} {
		got, ok := ParseEarlyForage(e.String())
		require.True(t, ok)
		require.Equal(t, e, got)
	}
	got, ok := ParseEarlyForage("")
	require.True(t, ok)
	require.Equal(t, EarlyUnknown, got)
	_, ok = ParseEarlyForage("plenty")
	require.False(t, ok)
}

// TestInLandscape: better early forage brings more before the dependable bloom and
// as much in it; where nothing is known the middle is that of some.
func TestInLandscape(t *testing.T) {
	base := DefaultParams()
	income := func(e EarlyForage, z float64) (early, late float64) {
		p := base
		p.InLandscape(e, z)
		require.LessOrEqual(t, p.EarlyNectarShare, 1.0)
		f := Forcing(inventedSpring(150, 3), &p)
		var r Runner
		var l DailyDemand
		sp := Span{PollenDay: 20, BloomDay: 70, NectarDay: 120, ReadDay: -1, Days: 150}
		r.SimulatePopulation(Spring{&p, f, sp}, InitialState{Bees: 9000, BroodCells: 1500, PollenG: 800, HeatShare: 1}, &Treatment{}, &l, nil)
		for day, kg := range l.IncomeKg {
			switch {
			case day < sp.BloomDay:
				early += kg
			case day >= sp.BloomDay+int(p.BloomRampDays):
				late += kg
			}
		}
		return early, late
	}
	none, noneLate := income(EarlyNone, 0)
	some, someLate := income(EarlySome, 0)
	good, goodLate := income(EarlyGood, 0)
	require.Less(t, none, some)
	require.Less(t, some, good)
	require.InDelta(t, noneLate, goodLate, 1e-9)
	require.InDelta(t, someLate, goodLate, 1e-9)
	unknown, _ := income(EarlyUnknown, 0)
	require.Equal(t, some, unknown)
	lucky, _ := income(EarlyUnknown, 1)
	require.Greater(t, lucky, some)
	same, _ := income(EarlySome, 3)
	require.Equal(t, some, same, "what is known is not drawn")
}

// TestNectarByWarmthAndSun: the same hours of flight bring nothing under
// nectar_from_c, all of it from nectar_full_c, and dull days fly less.
func TestNectarByWarmthAndSun(t *testing.T) {
	p := DefaultParams()
	days := inventedSpring(60, 12)
	f := Forcing(days, &p)
	rising := 0
	for i, d := range days {
		require.LessOrEqual(t, f[i].NectarH, f[i].FlightH)
		require.GreaterOrEqual(t, f[i].PollenH, f[i].FlightH)
		switch {
		case d.TmaxC < p.NectarFromC:
			require.Zero(t, f[i].NectarH)
		case d.TmaxC >= p.NectarFullC:
			require.Equal(t, f[i].FlightH, f[i].NectarH)
		default:
			rising++
		}
	}
	require.Positive(t, rising)
	for i := range days {
		days[i].TminC = days[i].TmaxC - 3
	}
	dull := Forcing(days, &p)
	for i := range f {
		require.LessOrEqual(t, dull[i].FlightH, f[i].FlightH)
	}
}
