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

// Batch is a mix of sugar and water.
type Batch struct {
	Strength Strength
	SugarKg  float64
	WaterL   float64 // measured at 20 C
	SyrupL   float64 // at 20 C
	SyrupKg  float64
}

// ForVolume tells what to weigh and measure out for a wanted volume of syrup in
// litres. The strength must be valid and the volume not below 0.
func ForVolume(s Strength, syrupL float64) Batch {
	return Batch{Strength: s, SugarKg: syrupL * s.SugarKgPerL(), WaterL: syrupL * s.WaterLPerL(), SyrupL: syrupL, SyrupKg: syrupL * s.DensityKgPerL()}
}

// ForSugar tells what a weight of sugar in kg makes. The strength must be valid
// and the weight not below 0.
func ForSugar(s Strength, sugarKg float64) Batch { return ForVolume(s, sugarKg/s.SugarKgPerL()) }

// Mix tells what comes of sugar in kg stirred into water in L. The label of the
// strength is its percentage. Either may be 0, not both; a mix stronger than
// MaxMassFrac has a volume of NaN.
func Mix(sugarKg, waterL float64) Batch {
	waterKg := waterL * waterKgPerL
	s := Strength{MassFrac: sugarKg / (sugarKg + waterKg)}
	massKg := sugarKg + waterKg
	return Batch{Strength: s, SugarKg: sugarKg, WaterL: waterL, SyrupKg: massKg, SyrupL: massKg / s.DensityKgPerL()}
}

// Dilute tells the water in L to stir into syrupL litres of one strength to
// bring it down to another, and what comes of it. The second must not be the
// stronger: then the water is NaN.
func Dilute(from Strength, syrupL float64, to Strength) (addWaterL float64, made Batch) {
	had := ForVolume(from, syrupL)
	made = ForSugar(to, had.SugarKg)
	if to.MassFrac > from.MassFrac {
		return math.NaN(), made
	}
	return made.WaterL - had.WaterL, made
}

// SolubleMassFrac is the mass fraction of sucrose that water holds at a
// temperature in C. Below 0 C the value at 0 C stands; above 30 C it goes on at
// 0.0016 per C, which is rough. Charles 1960, from memory; other tables read
// 0.002 lower to 0.005 higher.
func SolubleMassFrac(tempC float64) float64 {
	switch {
	case tempC <= 0:
		return solubilityAt0C
	case tempC > 30:
		return solubilityAt30C + solubilityPerC*(tempC-30)
	}
	return solubilityTable.Predict(tempC)
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

const (
	// Freezing point in C = -(freezeA r + freezeB r^2), r = kg sugar per kg water:
	// worked through 100 g -> -7.1 C and 150 g -> -11.4 C per 100 g of water (Goff
	// and Hartel 2013, Ice Cream, 7th ed., table 6.1). Range r 0-1.66.
	freezeA = 6.1
	freezeB = 1.0
	// maxFreezeRatio is where sugar comes out together with the ice, kg/kg: 62.4 %
	// by mass (from memory; range 1.6-1.75).
	maxFreezeRatio = 1.66
)

// FreezesAtC is the temperature in C at which ice begins to form. From about
// 62 % sugar on, sugar comes out instead and the value no longer falls.
func FreezesAtC(s Strength) float64 {
	r := math.Min(s.MassFrac/(1-s.MassFrac), maxFreezeRatio)
	return -(freezeA*r + freezeB*r*r)
}
