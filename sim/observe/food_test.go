package observe

import (
	"math"
	"testing"

	"bloomgap/sim/colony"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func hiveOf(boxes ...Boxes) *Hive {
	base := colony.DefaultParams()
	return &Hive{Boxes: boxes, FramesPerBox: 10, Tares: DefaultTares(), Masses: MassesOf(&base)}
}

func single() *Hive { return hiveOf(Boxes{Kind: Deep, Count: 1}) }
func double() *Hive { return hiveOf(Boxes{Kind: Deep, Count: 2}) }

func TestTares(t *testing.T) {
	kg, sd := double().TareKg()
	require.InEpsilon(t, 20.5, kg, 0.05, "two deeps complete, published weights of 10-frame equipment")
	require.InDelta(t, 1.4, sd, 0.1, "published tares differ by 5 kg: about 2.5 kg either way, within two SDs")
	require.Greater(t, 2*sd, 2.5)

	own := DefaultTares()
	own.DeepKg, own.Own = 8, true
	weighed := single()
	weighed.Tares = own
	kg, sd = weighed.TareKg()
	require.InDelta(t, 8+3.9+0.8+1.8, kg, 1e-9)
	require.Less(t, sd, 1.0, "own weights are surer")
	narrow := single()
	narrow.FramesPerBox = 8
	kg8, _ := narrow.TareKg()
	kg10, _ := single().TareKg()
	require.InEpsilon(t, 0.8*kg10, kg8, 1e-9, "an 8-frame hive in proportion")
	wrapped := single()
	wrapped.Wrapped = true
	kgW, _ := wrapped.TareKg()
	require.Greater(t, kgW, kg10)
}

// A hive put together from what the colony model weighs must come apart again.
func TestStoresByWeight(t *testing.T) {
	c := single()
	const storesKg, bees, brood = 9.0, 10000.0, 1.5
	tareKg, _ := c.TareKg()
	base := colony.DefaultParams()
	path := colony.Path{StoresKg: []float64{storesKg}, FeederKg: []float64{0}, PollenG: []float64{500}, Bees: []float64{bees}, BroodCells: []float64{BroodCells(brood, Deep)}}
	gross := tareKg + path.WeightKg(0, &base)
	for _, w := range []struct {
		name     string
		food     Food
		mostSDKg float64
	}{
		{"scale", Food{Kind: FoodGross, GrossKg: gross}, 1.3},
		{"both sides: left + right = the whole", Food{Kind: FoodLiftBoth, LiftLeftKg: 0.53 * gross, LiftRightKg: 0.47 * gross}, 1.5},
		{"back: 45 % of the whole", Food{Kind: FoodLiftBack, LiftBackKg: 0.45 * gross}, 2.6},
	} {
		e := c.Stores(&w.food, bees, brood)
		require.InDelta(t, storesKg, e.MeanKg, 1e-9, w.name)
		require.Less(t, e.SDKg, w.mostSDKg, w.name)
		require.InDelta(t, tareKg, e.TareKg, 1e-9, w.name)
		blind := c.Stores(&w.food, math.NaN(), math.NaN())
		require.InDelta(t, storesKg, blind.MeanKg, 1.5, "%s, bees and brood not known", w.name)
		require.Greater(t, blind.SDKg, e.SDKg, w.name)
	}
}

// Aurell et al. 2025: 133 colonies weighed and taken apart, one hive type. Its
// slopes are a check here, for the weights of a comb were taken from the trade:
// 2.57 kg a frame of honey counted, residual SD 3.5 kg.
func TestFramesOfFood(t *testing.T) {
	c := double()
	two := c.Stores(&Food{Kind: FoodFrames, FramesDeep: 2}, 1e4, 1)
	four := c.Stores(&Food{Kind: FoodFrames, FramesDeep: 4}, 1e4, 1)
	require.InEpsilon(t, 2.57, (four.MeanKg-two.MeanKg)/2, 0.25, "kg a frame, J. Econ. Entomol. toaf126")
	require.True(t, two.MeanKg/2 >= 2.7 && two.MeanKg/2 <= 3.6, "a full deep frame holds 2.7-3.6 kg")
	m := hiveOf(Boxes{Kind: Deep, Count: 1}, Boxes{Kind: Medium, Count: 1})
	e := m.Stores(&Food{Kind: FoodFrames, FramesMedium: 6}, 1e4, 1)
	require.True(t, e.MeanKg/6 >= 1.6 && e.MeanKg/6 <= 2.1, "a full medium frame holds 1.6-2.1 kg")
	three := c.Stores(&Food{Kind: FoodFrames, FramesDeep: 3}, 1e4, 1)
	require.True(t, three.MeanKg > 6.8 && three.MeanKg < 10, "three deep frames are 6.8-9.1 kg by Collison's rule, read as a least")
}

func TestHeft(t *testing.T) {
	for _, c := range []*Hive{single(), double()} {
		last := -1.0
		for _, h := range []Heft{HeftLight, HeftFair, HeftHeavy} {
			e := c.Stores(&Food{Kind: FoodHeft, Heft: h}, 1e4, 1)
			require.Greater(t, e.MeanKg, last, "%s", h)
			last = e.MeanKg
			weighed := c.Stores(&Food{Kind: FoodGross, GrossKg: 35}, 1e4, 1)
			require.Greater(t, e.SDKg, weighed.SDKg, "hefting is less sure than a scale")
			require.Less(t, e.MeanKg+e.SDKg, e.MaxKg, "it fits the boxes")
		}
		none := c.Stores(&Food{}, 1e4, 1)
		require.Greater(t, none.SDKg, 4.0, "nothing known is a wide guess")
	}
}

func TestBeesPerSeam(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(-40, 40).Draw(t, "C")
		b, colder := BeesPerSeam(c), BeesPerSeam(c-1)
		if b < 1100 || b > 2430 || colder < b {
			t.Fatalf("%g bees a seam at %g C, %g one degree colder", b, c, colder)
		}
	})
	const burgett = "Burgett and Burikam 1985"
	require.InEpsilon(t, 1400, BeesPerSeam(20), 0.05, "occupied combs, %s", burgett)
	require.InEpsilon(t, 1900, BeesPerSeam(4), 1e-9, "single layer, %s", burgett)
	require.InEpsilon(t, 1.305, BeesPerSeam(-23)/BeesPerSeam(4)*1900/1900, 0.025, "0.45^(-1/3): the same bees in fewer seams, held at a full comb")
	// The same bees, counted warm and cold: the seams fall with the cube root of
	// the volume (Severson and Erickson 1990: -55 % from 4 to -23 C).
	bees := BeesFromSeams(6, 4, Deep).MeanBees
	seamsCold := bees / BeesPerSeam(-23)
	require.InEpsilon(t, 6*math.Cbrt(0.45), seamsCold, 0.03)
}

func TestBeesFromSeams(t *testing.T) {
	e := BeesFromSeams(5, 6, Deep)
	require.InDelta(t, 9000, e.MeanBees, 500, "5 seams on a cold day")
	mu, sigma := e.LogParams()
	require.InDelta(t, 2, math.Exp(2*sigma), 0.05, "two SDs hold a count that reads twice what is there")
	require.Greater(t, BeesFromSeams(5, math.NaN(), Deep).SDBees/e.MeanBees, 0.4, "no temperature: less sure")
	require.InEpsilon(t, 0.67, BeesFromSeams(5, 6, Medium).MeanBees/e.MeanBees, 1e-9, "lower combs hold fewer")
	require.Equal(t, BeesEstimate{MeanBees: 10000, SDBees: 5000}, BeesFromSeams(math.NaN(), 5, Deep))
	require.InEpsilon(t, e.MeanBees, math.Exp(mu+sigma*sigma/2), 1e-12, "mean of the lognormal")
	require.InEpsilon(t, e.SDBees, math.Sqrt(math.Expm1(sigma*sigma))*e.MeanBees, 1e-12, "its SD")
	// Aurell et al. 2025: quick counts of 7.7-10.9 seams in warm weather stood for
	// 4.2 full frames, about 10,200 bees at 2,430 a full comb.
	warm := BeesFromSeams(9.3, 20, Deep)
	require.Less(t, math.Abs(warm.MeanBees-10200)/warm.SDBees, 1.0, "within one SD of a quick warm count")
}

func TestBroodCells(t *testing.T) {
	require.InDelta(t, 6800, BroodCells(1, Deep), 200, "3,300-3,500 cells a side of a deep comb, trade tables")
	require.InEpsilon(t, 2*880*3.9, BroodCells(1, Deep), 0.02, "880 cm2 a side at 3.9 cells per cm2")
	require.Zero(t, BroodCells(0, Medium))
}

func TestStoresMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := hiveOf(Boxes{Kind: BoxKind(rapid.IntRange(0, 3).Draw(t, "kind")), Count: rapid.IntRange(1, 3).Draw(t, "boxes")})
		kg := rapid.Float64Range(10, 60).Draw(t, "kg")
		bees, brood := rapid.Float64Range(500, 30000).Draw(t, "bees"), rapid.Float64Range(0, 6).Draw(t, "brood")
		at := func(kg, bees, brood float64) float64 {
			return c.Stores(&Food{Kind: FoodGross, GrossKg: kg}, bees, brood).MeanKg
		}
		base := at(kg, bees, brood)
		if at(kg+1, bees, brood) <= base || at(kg, bees+1000, brood) >= base || at(kg, bees, brood+1) >= base {
			t.Fatal("a heavier hive holds more food; more bees or brood in the same weight leave less")
		}
	})
}
