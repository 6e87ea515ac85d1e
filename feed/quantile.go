package feed

import (
	"bloomgap/feed/plan"

	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// quantile reorders x and returns its empirical quantile, the least value with
// at least the share p of x at or below it; NaN for an empty x. It is what
// stat.Quantile gives on sorted values, without sorting them.
func quantile(x []float64, p float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	k := int(math.Ceil(p*float64(len(x)))) - 1
	return nth(x, min(max(k, 0), len(x)-1))
}

// nth is the k-th smallest value of x, counted from 0, by Hoare's quickselect
// with the median of three as pivot. It reorders x.
func nth(x []float64, k int) float64 {
	low, high := 0, len(x)-1
	for low < high {
		pivot := median3(x[low], x[(low+high)/2], x[high])
		i, j := low, high
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for x[j] > pivot {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return x[k]
		}
	}
	return x[k]
}

func median3(a, b, c float64) float64 {
	return max(min(a, b), min(max(a, b), c))
}

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
