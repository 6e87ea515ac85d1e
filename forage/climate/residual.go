package climate

import (
	"errors"
	"math"
	"math/rand/v2"
)

type matrix2 [2][2]float64

func (a matrix2) mul(b matrix2) (c matrix2) {
	for i := range 2 {
		for j := range 2 {
			c[i][j] = a[i][0]*b[0][j] + a[i][1]*b[1][j]
		}
	}
	return c
}

func (a matrix2) transposed() matrix2 {
	return matrix2{{a[0][0], a[1][0]}, {a[0][1], a[1][1]}}
}

func (a matrix2) minus(b matrix2, share float64) (c matrix2) {
	for i := range 2 {
		for j := range 2 {
			c[i][j] = a[i][j] - share*b[i][j]
		}
	}
	return c
}

func (a matrix2) inverse() matrix2 {
	det := a[0][0]*a[1][1] - a[0][1]*a[1][0]
	return matrix2{{a[1][1] / det, -a[0][1] / det}, {-a[1][0] / det, a[0][0] / det}}
}

// root is the lower triangle whose square is a, and false when a is not a
// covariance.
func (a matrix2) root() (matrix2, bool) {
	l := math.Sqrt(a[0][0])
	m := a[1][0] / l
	rest := a[1][1] - m*m
	if !(a[0][0] > 0) || !(rest > 0) {
		return matrix2{}, false
	}
	return matrix2{{l, 0}, {m, math.Sqrt(rest)}}, true
}

// residuals makes the departures of maximum and minimum in one month of the year, in
// standard deviations: a fast part, z' = A z + B e (Richardson 1981, eq. 6), and a slow part that both
// share.
type residuals struct {
	a, b, start matrix2 // fast part, already scaled to its share of the variance
	slow        float64 // SD of the slow part
	keep        float64 // what of the slow part is left the day after
}

var errMemory = errors.New("the correlations of its temperatures contradict each other; use those of a built-in climate")

func newResiduals(m Memory, month int) (residuals, error) {
	keep, share := math.Exp(-1/m.SlowDays), m.SlowShare[month]
	ones := matrix2{{1, 1}, {1, 1}}
	now := matrix2{{1, m.MaxMin[month]}, {m.MaxMin[month], 1}}.minus(ones, share)
	next := matrix2{
		{m.MaxAfterMax[month], m.MaxAfterMin[month]},
		{m.MinAfterMax[month], m.MinAfterMin[month]},
	}.minus(ones, share*keep)
	start, ok := now.root()
	if !ok {
		return residuals{}, errMemory
	}
	a := next.mul(now.inverse())
	b, ok := now.minus(a.mul(next.transposed()), 1).root()
	if !ok || !a.fades() {
		return residuals{}, errMemory
	}
	return residuals{a: a, b: b, start: start, slow: math.Sqrt(share), keep: keep}, nil
}

// fades tells whether powers of a go to zero (both eigenvalues inside 1).
func (a matrix2) fades() bool {
	trace, det := a[0][0]+a[1][1], a[0][0]*a[1][1]-a[0][1]*a[1][0]
	return math.Abs(det) < 1 && math.Abs(trace) < 1+det
}

// state is where the residuals stand on a day.
type state struct {
	max, min float64 // fast part
	slow     float64 // slow part over its SD
}

// first draws a state of the long run, so that no run-in is needed.
func (r residuals) first(rng *rand.Rand) state {
	e, f, g := rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()
	return state{max: r.start[0][0] * e, min: r.start[1][0]*e + r.start[1][1]*f, slow: g}
}

func (r residuals) next(s state, rng *rand.Rand) state {
	e, f, g := rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()
	return state{
		max:  r.a[0][0]*s.max + r.a[0][1]*s.min + r.b[0][0]*e,
		min:  r.a[1][0]*s.max + r.a[1][1]*s.min + r.b[1][0]*e + r.b[1][1]*f,
		slow: r.keep*s.slow + math.Sqrt(1-r.keep*r.keep)*g,
	}
}

// departures of maximum and minimum in a state, in standard deviations.
func (r residuals) departures(s state) (max, min float64) {
	return s.max + r.slow*s.slow, s.min + r.slow*s.slow
}
