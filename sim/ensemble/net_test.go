package ensemble

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"bloomgap/sim/colony"
)

// TestPointsAreANet: every first 2^k points of a key have one in each of 2^k equal parts of every
// dimension; of the first two dimensions also one in each equal part of the square, cut
// in any way.
func TestPointsAreANet(t *testing.T) {
	for n := range 20 {
		key := KeyOf("net", fmt.Sprint(n))
		for k := range 9 {
			for dim := range sobolDims {
				seen := map[int]bool{}
				for i := range 1 << k {
					u := key.coordinate(key.number(uint64(i)), dim)
					require.True(t, 0 < u && u < 1)
					seen[int(u*float64(int(1)<<k))] = true
				}
				require.Len(t, seen, 1<<k, "dimension %d", dim)
			}
			for a := range k + 1 {
				seen := map[[2]int]bool{}
				for i := range 1 << k {
					number := key.number(uint64(i))
					x, y := key.coordinate(number, 0), key.coordinate(number, 1)
					seen[[2]int{int(x * float64(int(1)<<a)), int(y * float64(int(1)<<(k-a)))}] = true
				}
				require.Len(t, seen, 1<<k, "%d by %d parts", 1<<a, 1<<(k-a))
			}
		}
	}
	// The sequence itself, by hand: the digits backwards in the first dimension, and in the
	// second the rows of Pascal's triangle by twos.
	require.Equal(t, []uint32{1 << 31, 1 << 30, 1 << 29}, sobol[0][:3])
	require.Equal(t, []uint32{1 << 31, 3 << 30, 5 << 29, 15 << 28}, sobol[1][:4])
	require.Equal(t, []uint32{1 << 31, 3 << 30, 3 << 29, 9 << 28}, sobol[2][:4], "1, 3, then 2*3 xor 4*1 xor 1, and 2*3 xor 4*3 xor 3")
}

// TestMeansOverKeysAreRight: each point lies anywhere with equal chance over keys, and a mean over the
// points of a key is right on average and far better than one of independent draws.
func TestMeansOverKeysAreRight(t *testing.T) {
	const keys, points = 400, 300
	var means, products []float64
	at := map[int][]float64{}
	for n := range keys {
		key := KeyOf("mean", fmt.Sprint(n))
		mean, product := 0.0, 0.0
		for i := range points {
			number := key.number(uint64(i))
			x, y := key.coordinate(number, 1), key.coordinate(number, 4)
			mean, product = mean+x/points, product+x*y/points
			if i%75 == 0 {
				at[i] = append(at[i], x)
			}
		}
		means, products = append(means, mean), append(products, product)
	}
	for i, x := range at { // a uniform number has an SD of 0.289
		mean, sd := stat.MeanStdDev(x, nil)
		require.InDelta(t, 0.5, mean, 3*0.289/math.Sqrt(keys), "point %d", i)
		require.InDelta(t, 0.289, sd, 0.03, "point %d", i)
	}
	mean, sd := stat.MeanStdDev(means, nil)
	require.InDelta(t, 0.5, mean, 4*sd/math.Sqrt(keys))
	require.Less(t, sd, 0.1*0.289/math.Sqrt(points))
	mean, sd = stat.MeanStdDev(products, nil)
	require.InDelta(t, 0.25, mean, 4*sd/math.Sqrt(keys))
	require.Less(t, sd, 0.25*0.22/math.Sqrt(points), "0.22 is the SD of a product")
}

// TestColoniesKnowNothingOfEachOther: over a set of colonies the sum of what they hold is spread as
// that of independent hives is, for any one set: with 300 members its SD is known to 4 %. Sequences
// that differ by a shift alone made it 0.6 to 1.6 times that.
func TestColoniesKnowNothingOfEachOther(t *testing.T) {
	const hives, members, sets = 30, 300, 60
	pl := inventedEnsemble()
	pl = NewSpringEnsemble(pl.Outlook, NewSharedDraws(colony.DefaultParams(), members, 11, false), SpringEnsembleOptions{Today: 1, ReadDay: -1})
	seen := InitialSpread{Day: 1, BeesLogMu: math.Log(9000), BeesLogSD: 0.3, BroodCells: 1000, StoresKg: 15, StoresSDKg: 2, StoresMax: 60}
	d := NewSampler(pl)
	var c Realization
	var ratios []float64
	for set := range sets {
		sum := make([]float64, members)
		for hive := range hives {
			key := KeyOf("yard", fmt.Sprint(set), fmt.Sprint(hive))
			for m := range sum {
				d.Realize(key, &seen, m, &c)
				sum[m] += c.Start.StoresKg
			}
		}
		ratios = append(ratios, stat.StdDev(sum, nil)/(2*math.Sqrt(hives)))
	}
	mean, sd := stat.MeanStdDev(ratios, nil)
	t.Logf("spread of a sum over its right one: %.2f, from set to set %.3f", mean, sd)
	require.InDelta(t, 1, mean, 0.03)
	require.Less(t, sd, 0.07)
}
