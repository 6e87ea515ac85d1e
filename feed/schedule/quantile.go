package schedule

import "math"

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
