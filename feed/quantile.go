package feed

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"bloomgap/feed/plan"
)

// rangeOf sorts x in place and returns its middle and band.
func rangeOf(x []float64) plan.Range {
	if len(x) == 0 {
		return plan.Range{P10: math.NaN(), P50: math.NaN(), P90: math.NaN()}
	}
	slices.Sort(x)
	at := func(p float64) float64 { return stat.Quantile(p, stat.Empirical, x, nil) }
	return plan.Range{P10: at(0.1), P50: at(0.5), P90: at(0.9)}
}

// riskOf is a count of members as a risk.
func riskOf(n, members int) plan.Risk {
	p := float64(n) / float64(members)
	// Agresti & Coull 1998 (Am. Stat. 52:119-126): two more of each kind keep the
	// error of a risk of 0 or 1 from reading 0.
	q := (float64(n) + 2) / (float64(members) + 4)
	return plan.Risk{Frac: p, ErrFrac: math.Sqrt(q * (1 - q) / (float64(members) + 4))}
}
