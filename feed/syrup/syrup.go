package syrup

import (
	"math"

	"gonum.org/v1/gonum/interp"
)

// densityTable is the density of sucrose solutions at 20 C: mass fraction
// against kg/L. CRC Handbook of Chemistry and Physics, concentrative properties
// of aqueous solutions.
var densityTable = curve(
	[]float64{0, 0.10, 0.20, 0.30, 0.40, 0.44, 0.48, 0.50, 0.54, 0.58, 0.60, 0.62, 0.64, 0.66, 0.68, 0.70, 0.80},
	[]float64{0.9982, 1.0381, 1.0810, 1.1270, 1.1765, 1.1972, 1.2186, 1.2295, 1.2518, 1.2747, 1.2864, 1.2983, 1.3103, 1.3224, 1.3348, 1.3472, 1.4117},
)

// solubilityTable is the sucrose that water holds: C against mass fraction.
// Charles 1960, from memory; older tables read 0.002 lower to 0.005 higher.
var solubilityTable = curve(
	[]float64{0, 5, 10, 15, 20, 25, 30},
	[]float64{0.644, 0.648, 0.653, 0.659, 0.666, 0.674, 0.682},
)

const (
	solubilityAt0C, solubilityAt30C = 0.644, 0.682 // mass fraction, ends of solubilityTable
	solubilityPerC                  = 0.0016       // mass fraction per C above 30 C (worked: slope from 25 to 30 C)
)

// curve fits a monotone cubic through a table that the source code holds.
func curve(x, y []float64) *interp.FritschButland {
	var f interp.FritschButland
	if err := f.Fit(x, y); err != nil {
		panic("syrup: a built-in table cannot be fitted")
	}
	return &f
}

// DensityKgPerL is the density of sucrose syrup at 20 C in kg/L for a sugar
// mass fraction from 0 to MaxMassFrac, within 0.15 %. NaN outside.
func DensityKgPerL(massFrac float64) float64 {
	if !(massFrac >= 0 && massFrac <= MaxMassFrac) {
		return math.NaN()
	}
	return densityTable.Predict(massFrac)
}

// DensityKgPerL is the density at 20 C, kg/L.
func (s Strength) DensityKgPerL() float64 { return DensityKgPerL(s.MassFrac) }

// SugarKgPerL is the sugar in a litre of syrup, kg/L: mass fraction times density.
func (s Strength) SugarKgPerL() float64 { return s.MassFrac * DensityKgPerL(s.MassFrac) }

// WaterLPerL is the water that goes into a litre of syrup, L. Sugar and water
// measured apart add up to more than the litre.
func (s Strength) WaterLPerL() float64 {
	return (1 - s.MassFrac) * DensityKgPerL(s.MassFrac) / waterKgPerL
}

// SaturatedBelowC is the temperature in C below which a syrup holds more sugar
// than the water can keep, so that it may crystallise in a cold feeder. The
// second result is false for a syrup that stays clear at 0 C and above, and
// the first then NaN. With the spread of the tables a 2:1 lies at 16-20 C.
func SaturatedBelowC(s Strength) (tempC float64, canCrystallise bool) {
	w := s.MassFrac
	switch {
	case !(w > solubilityAt0C):
		return math.NaN(), false
	case w >= solubilityAt30C:
		return 30 + (w-solubilityAt30C)/solubilityPerC, true
	}
	lo, hi := 0.0, 30.0
	for range 60 { // halve 30 C down to rounding
		if mid := (lo + hi) / 2; solubilityTable.Predict(mid) < w {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2, true
}
