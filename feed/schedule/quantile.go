package schedule

import (
	"math"
	"slices"
)

// Quantile reorders x and returns its empirical quantile, the least value with
// at least the share p of x at or below it; NaN for an empty x. It is what
// stat.Quantile gives on sorted values, without sorting them.
func Quantile(x []float64, p float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	k := int(math.Ceil(p*float64(len(x)))) - 1
	return nth(x, min(max(k, 0), len(x)-1))
}

// Own choices: the values that are sorted rather than parted further, 6-30, and those that are parted by
// the middle one of three, 30-100; more are parted at a better guess.
const (
	sortedFew = 10
	threeFew  = 60
)

// nth is the k-th smallest value of x, counted from 0, by quickselect. It reorders x.
func nth(x []float64, k int) float64 {
	for len(x) > sortedFew {
		pivot := pivotOf(x, k)
		below := part(x, pivot)
		if k < below {
			x = x[:below]
			continue
		}
		x, k = x[below:], k-below
		same := part(x, math.Nextafter(pivot, math.Inf(1)))
		if k < same || same == 0 { // 0: all that are left are infinite
			return pivot
		}
		x, k = x[same:], k-same
	}
	slices.Sort(x)
	return x[k]
}

// part puts the values of x under a pivot first and counts them. Its steps do not
// branch on a value: of values in no order half the branches would be foreseen wrongly,
// which costs more than all else in it.
func part(x []float64, pivot float64) int {
	n := 0
	for i, v := range x {
		x[i], x[n] = x[n], v
		n += one(v < pivot)
	}
	return n
}

// one is 1 for yes, without a branch.
func one(yes bool) int {
	n := 0
	if yes {
		n = 1
	}
	return n
}

// pivotOf is a value of x near its k-th smallest, out of a few.
func pivotOf(x []float64, k int) float64 {
	if len(x) <= threeFew {
		a, b, c := x[0], x[len(x)/2], x[len(x)-1]
		return max(min(a, b), min(max(a, b), c))
	}
	var few [7]float64
	for i := range few {
		few[i] = x[(2*i+1)*len(x)/(2*len(few))]
	}
	slices.Sort(few[:])
	return few[k*len(few)/len(x)]
}
