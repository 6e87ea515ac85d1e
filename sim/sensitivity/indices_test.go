package sensitivity

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/sim/ensemble"
)

// indicesOf works out the indices of each answer of f, by answer, then by factor.
func indicesOf(f Function, inputs, answers int, groups []Group, n, boots int, seed uint64) [][]Index {
	runs := sample(f, inputs, answers, groups, n, seed)
	out := make([][]Index, answers)
	for k := range out {
		out[k] = runs[k].indices(context.Background(), groups, boots, seed)
	}
	return out
}

func each(names ...string) []Group {
	var out []Group
	for i, n := range names {
		out = append(out, Group{Name: n, Inputs: []int{i}})
	}
	return out
}

// TestIshigami holds the estimators against the closed form for f = sin x1 + 7
// sin^2 x2 + 0.1 x3^4 sin x1, x even over (-pi, pi): Ishigami & Homma 1990,
// Proc. ISUMA '90, 398-403; the variances as in Saltelli et al. 2008, Global
// Sensitivity Analysis: The Primer, and integrated anew here.
func TestIshigami(t *testing.T) {
	const a, b = 7.0, 0.1
	p4, p8 := math.Pow(math.Pi, 4), math.Pow(math.Pi, 8)
	v := a*a/8 + b*p4/5 + b*b*p8/18 + 0.5
	v13 := 8 * b * b * p8 / 225
	first := []float64{0.5 * math.Pow(1+b*p4/5, 2) / v, a * a / 8 / v, 0}
	total := []float64{first[0] + v13/v, first[1], v13 / v}

	f := func(u, out []float64) {
		var x [3]float64
		for i := range x {
			x[i] = math.Pi * (2*u[i] - 1)
		}
		out[0] = math.Sin(x[0]) + a*math.Pow(math.Sin(x[1]), 2) + b*math.Pow(x[2], 4)*math.Sin(x[0])
	}
	got := indicesOf(f, 3, 1, each("x1", "x2", "x3"), 16384, 200, 3)[0]
	for i, x := range got {
		require.InDelta(t, first[i], x.First, 0.03, x.Factor)
		require.InDelta(t, total[i], x.Total, 0.03, x.Factor)
		require.LessOrEqual(t, x.FirstLow, x.First)
		require.GreaterOrEqual(t, x.FirstHigh, x.First)
		require.Less(t, x.FirstHigh-x.FirstLow, 0.08, "16,384 points")
	}
}

// TestProductFunction holds them against the closed form of the g-function,
// product of (|4 u - 2| + a)/(1 + a): Sobol 1993, Math. Model. Comput. Exp.
// 1:407-414, with V_i = 1/(3 (1+a_i)^2), V = product of (1+V_j) less 1.
func TestProductFunction(t *testing.T) {
	a := []float64{0, 1, 4.5, 9, 99, 99}
	all := 1.0
	for _, x := range a {
		all *= 1 + 1/(3*(1+x)*(1+x))
	}
	f := func(u, out []float64) {
		out[0] = 1
		for i, x := range a {
			out[0] *= (math.Abs(4*u[i]-2) + x) / (1 + x)
		}
	}
	got := indicesOf(f, len(a), 1, each("1", "2", "3", "4", "5", "6"), 16384, 0, 5)[0]
	for i, x := range a {
		v := 1 / (3 * (1 + x) * (1 + x))
		require.InDelta(t, v/(all-1), got[i].First, 0.03, got[i].Factor)
		require.InDelta(t, v*all/(1+v)/(all-1), got[i].Total, 0.03, got[i].Factor)
		require.True(t, math.IsNaN(got[i].FirstLow), "no interval was asked for")
	}
}

// TestGroupsOfASum: for 3 z1 + 4 z2 + 12 z3 + z1 z2 of standard normals the
// variances are 9, 16, 144 and 1 (worked); the group of z1 and z2 holds their
// product as well.
func TestGroupsOfASum(t *testing.T) {
	f := func(u, out []float64) {
		z := [3]float64{ensemble.NormalAt(u[0]), ensemble.NormalAt(u[1]), ensemble.NormalAt(u[2])}
		out[0] = 1000 + 3*z[0] + 4*z[1] + 12*z[2] + z[0]*z[1]
		out[1] = 7
	}
	groups := []Group{{Name: "both", Inputs: []int{0, 1}}, {Name: "third", Inputs: []int{2}}, {Name: "none"}}
	got := indicesOf(f, 3, 2, groups, 8192, 100, 11)
	require.InDelta(t, 26.0/170, got[0][0].First, 0.02)
	require.InDelta(t, 26.0/170, got[0][0].Total, 0.02)
	require.InDelta(t, 144.0/170, got[0][1].First, 0.03)
	require.Zero(t, got[0][2].First, "a factor without inputs changes nothing")
	require.Zero(t, got[0][2].Total)
	for _, x := range got[1] {
		require.True(t, math.IsNaN(x.First) && math.IsNaN(x.Total), "an answer that does not vary has no indices")
	}
}

// TestIntervalsCover: a 90 % interval holds the true index in about nine of ten
// samples. 60 samples of a sum: fewer than 47 or all 60 would come by chance
// once in a hundred or less (binomial, worked); the points of a hypercube make
// intervals wide, so no upper limit is asked.
func TestIntervalsCover(t *testing.T) {
	f := func(u, out []float64) { out[0] = 2*(u[0]-0.5) + (u[1] - 0.5) + 3*(u[0]-0.5)*(u[1]-0.5) }
	// Variances of even numbers over (-0.5, 0.5): 4/12, 1/12, 9/144 (worked).
	v := 4.0/12 + 1.0/12 + 9.0/144
	firstHeld, totalHeld := 0, 0
	for seed := range uint64(60) {
		x := indicesOf(f, 2, 1, each("a", "b"), 256, 200, seed)[0][0]
		if x.FirstLow <= 4.0/12/v && 4.0/12/v <= x.FirstHigh {
			firstHeld++
		}
		if total := (4.0/12 + 9.0/144) / v; x.TotalLow <= total && total <= x.TotalHigh {
			totalHeld++
		}
	}
	require.GreaterOrEqual(t, firstHeld, 47)
	require.GreaterOrEqual(t, totalHeld, 47)
}
