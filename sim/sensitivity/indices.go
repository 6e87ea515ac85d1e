package sensitivity

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distmv"
	"gonum.org/v1/gonum/stat/samplemv"
)

// Group is a factor: inputs that are swapped together.
type Group struct {
	Name   string
	Inputs []int // places in the point
}

// Index is what one factor does to an answer, with a 90 % interval.
type Index struct {
	Factor              string
	First, Total        float64 // shares of the variance, NaN when the answer does not vary
	FirstLow, FirstHigh float64
	TotalLow, TotalHigh float64
}

// Function is the thing looked at: it fills out from a point of independent
// numbers, even over (0, 1).
type Function func(u, out []float64)

// sums are what the estimators need of one point, for one answer.
type sums struct {
	a, b []float64
	ab   [][]float64 // by factor
}

// sample runs f on all points.
func sample(f Function, inputs, answers int, groups []Group, n int, seed uint64) []sums {
	if n < 2 || inputs < 1 || answers < 1 {
		panic("sensitivity: too few points, inputs or answers")
	}
	points := mat.NewDense(n, 2*inputs, nil)
	src := rand.NewPCG(seed, 0x9e3779b97f4a7c15)
	samplemv.LatinHypercube{Q: distmv.NewUnitUniform(2*inputs, src), Src: src}.Sample(points)

	out := make([]sums, answers)
	for k := range out {
		out[k] = sums{a: make([]float64, n), b: make([]float64, n)}
		for range groups {
			out[k].ab = append(out[k].ab, make([]float64, n))
		}
	}
	u, y := make([]float64, inputs), make([]float64, answers)
	for i := range n {
		row := points.RawRowView(i)
		a, b := row[:inputs], row[inputs:]
		copy(u, a)
		f(u, y)
		for k := range out {
			out[k].a[i] = y[k]
		}
		copy(u, b)
		f(u, y)
		for k := range out {
			out[k].b[i] = y[k]
		}
		for g := range groups {
			copy(u, a)
			for _, at := range groups[g].Inputs {
				u[at] = b[at]
			}
			f(u, y)
			for k := range out {
				out[k].ab[g][i] = y[k]
			}
		}
	}
	return out
}

// The interval that is given, shares of the bootstrap.
const intervalLow, intervalHigh = 0.05, 0.95

// indices are the indices of the factors with their intervals; of little worth when the
// context ended meanwhile.
func (s *sums) indices(ctx context.Context, groups []Group, boots int, seed uint64) []Index {
	n := len(s.a)
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	first, total := make([]float64, len(groups)), make([]float64, len(groups))
	s.estimate(all, first, total)
	out := make([]Index, len(groups))
	for g := range groups {
		out[g] = Index{Factor: groups[g].Name, First: first[g], Total: total[g],
			FirstLow: math.NaN(), FirstHigh: math.NaN(), TotalLow: math.NaN(), TotalHigh: math.NaN()}
	}
	if boots < 2 || math.IsNaN(first[0]) {
		return out
	}
	firsts, totals := make([][]float64, len(groups)), make([][]float64, len(groups))
	rnd := rand.New(rand.NewPCG(seed, 0xd1342543de82ef95))
	pick := make([]int, n)
	for range boots {
		if ctx.Err() != nil {
			break
		}
		for i := range pick {
			pick[i] = rnd.IntN(n)
		}
		s.estimate(pick, first, total)
		for g := range groups {
			if !math.IsNaN(first[g]) { // a resample without variance says nothing
				firsts[g], totals[g] = append(firsts[g], first[g]), append(totals[g], total[g])
			}
		}
	}
	for g := range groups {
		out[g].FirstLow, out[g].FirstHigh = interval(firsts[g])
		out[g].TotalLow, out[g].TotalHigh = interval(totals[g])
	}
	return out
}

func interval(x []float64) (low, high float64) {
	if len(x) == 0 {
		return math.NaN(), math.NaN()
	}
	slices.Sort(x)
	return stat.Quantile(intervalLow, stat.Empirical, x, nil), stat.Quantile(intervalHigh, stat.Empirical, x, nil)
}

// estimate fills first and total from the chosen points:
//
//	first = mean of (B - m) (AB - A), over V
//	total = mean of (A - AB)^2, over 2 V
//
// where AB is A with the factor from B, m and V the mean and variance of A and B
// together. Taking m off B changes no expectation and makes the estimate surer.
func (s *sums) estimate(pick []int, first, total []float64) {
	n := float64(len(pick))
	mean := 0.0
	for _, i := range pick {
		mean += s.a[i] + s.b[i]
	}
	mean /= 2 * n
	variance := 0.0
	for _, i := range pick {
		da, db := s.a[i]-mean, s.b[i]-mean
		variance += da*da + db*db
	}
	variance /= 2*n - 1
	for g, ab := range s.ab {
		if variance <= 0 {
			first[g], total[g] = math.NaN(), math.NaN()
			continue
		}
		var one, all float64
		for _, i := range pick {
			one += (s.b[i] - mean) * (ab[i] - s.a[i])
			d := s.a[i] - ab[i]
			all += d * d
		}
		first[g], total[g] = one/n/variance, all/(2*n)/variance
	}
}
