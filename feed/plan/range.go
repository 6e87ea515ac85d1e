package plan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// RangeOf sorts x in place and returns its middle and band; NaN for an empty x.
func RangeOf(x []float64) Range {
	if len(x) == 0 {
		return Range{P10: math.NaN(), P50: math.NaN(), P90: math.NaN()}
	}
	slices.Sort(x)
	at := func(p float64) float64 { return stat.Quantile(p, stat.Empirical, x, nil) }
	return Range{P10: at(0.1), P50: at(0.5), P90: at(0.9)}
}

// RiskOf is a count of members as a risk.
func RiskOf(n, members int) Risk {
	p := float64(n) / float64(members)
	// Agresti & Coull 1998 (Am. Stat. 52:119-126): two more of each kind keep the
	// error of a risk of 0 or 1 from reading 0.
	q := (float64(n) + 2) / (float64(members) + 4)
	return Risk{Frac: p, ErrFrac: math.Sqrt(q * (1 - q) / (float64(members) + 4))}
}
