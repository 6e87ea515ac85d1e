package feed

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// quantile sorts x in place and returns its empirical quantile; NaN for an
// empty x.
func quantile(x []float64, p float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	slices.Sort(x)
	return stat.Quantile(p, stat.Empirical, x, nil)
}

// rangeOf sorts x in place and returns its middle and band.
func rangeOf(x []float64) Range {
	if len(x) == 0 {
		return Range{math.NaN(), math.NaN(), math.NaN()}
	}
	slices.Sort(x)
	at := func(p float64) float64 { return stat.Quantile(p, stat.Empirical, x, nil) }
	return Range{at(0.1), at(0.5), at(0.9)}
}

// riskOf is a count of members as a risk.
func riskOf(n, members int) Risk {
	p := float64(n) / float64(members)
	// Agresti & Coull 1998 (Am. Stat. 52:119-126): two more of each kind keep the
	// error of a risk of 0 or 1 from reading 0.
	q := (float64(n) + 2) / (float64(members) + 4)
	return Risk{Frac: p, ErrFrac: math.Sqrt(q * (1 - q) / (float64(members) + 4))}
}
