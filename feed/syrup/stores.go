package syrup

import (
	"math"

	"gonum.org/v1/gonum/interp"
)

const (
	// Ripe stores in kg per L of syrup (Curth 1981, Hohenheim, as cited by others).
	stores11KgPerL = 0.56
	stores32KgPerL = 0.86
	stores21KgPerL = 1.00
	// Least ripe stores in kg per kg of sugar over all trials; the most was 1.25 (Curth 1981, as above).
	storesLowKgPerKg = 0.85
)

// yieldTable is ripe stores in kg per kg of sugar against the mass fraction:
// Curth's litres turned into sugar. Thin syrup costs the bees more, for there is
// more water to drive off.
var yieldTable = func() *interp.FritschButland {
	thin, mid, thick := OneToOne(), ThreeToTwo(), TwoToOne()
	return curve(
		[]float64{thin.MassFrac, mid.MassFrac, thick.MassFrac},
		[]float64{stores11KgPerL / thin.SugarKgPerL(), stores32KgPerL / mid.SugarKgPerL(), stores21KgPerL / thick.SugarKgPerL()},
	)
}()

// YieldKgPerKgSugar is the ripe stores in kg from a kg of sugar fed at this
// strength. Between 1:1 and 2:1 it is interpolated; thicker counts as 2:1;
// thinner goes on in a straight line down to 0.85, the least of the trials.
func (s Strength) YieldKgPerKgSugar() float64 {
	thin, mid, thick := OneToOne().MassFrac, ThreeToTwo().MassFrac, TwoToOne().MassFrac
	switch {
	case s.MassFrac > thick:
		return yieldTable.Predict(thick)
	case s.MassFrac < thin:
		at := yieldTable.Predict(thin)
		slope := (yieldTable.Predict(mid) - at) / (mid - thin)
		return math.Max(storesLowKgPerKg, at+slope*(s.MassFrac-thin))
	}
	return yieldTable.Predict(s.MassFrac)
}

// StoresKgPerL is the ripe stores in kg from a litre of syrup.
func (s Strength) StoresKgPerL() float64 { return s.SugarKgPerL() * s.YieldKgPerKgSugar() }
