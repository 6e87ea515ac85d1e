package season_test

import (
	"math"
	"testing"

	"bloomgap/feed/season"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func hive(boxes ...season.Boxes) *season.Colony {
	return &season.Colony{Alive: true, Boxes: boxes, FramesPerBox: 10}
}

func single() *season.Colony { return hive(season.Boxes{Kind: season.Deep, Count: 1}) }
func double() *season.Colony { return hive(season.Boxes{Kind: season.Deep, Count: 2}) }

func seen(f season.Food) *season.Observation {
	return &season.Observation{Date: today, Alive: true, Food: f}
}

func TestTares(t *testing.T) {
	kg, sd := double().TareKg(season.DefaultTares())
	require.InEpsilon(t, 20.5, kg, 0.05, "two deeps complete, published weights of 10-frame equipment")
	require.InDelta(t, 1.4, sd, 0.1, "published tares differ by 5 kg: about 2.5 kg either way, within two SDs")
	require.Greater(t, 2*sd, 2.5)

	own := season.DefaultTares()
	own.DeepKg, own.Own = 8, true
	kg, sd = single().TareKg(own)
	require.InDelta(t, 8+3.9+0.8+1.8, kg, 1e-9)
	require.Less(t, sd, 1.0, "own weights are surer")
	narrow := single()
	narrow.FramesPerBox = 8
	kg8, _ := narrow.TareKg(season.DefaultTares())
	kg10, _ := single().TareKg(season.DefaultTares())
	require.InEpsilon(t, 0.8*kg10, kg8, 1e-9, "an 8-frame hive in proportion")
	wrapped := single()
	wrapped.Insulated = true
	kgW, _ := wrapped.TareKg(season.DefaultTares())
	require.Greater(t, kgW, kg10)
}

// A hive put together by hand must come apart again.
func TestStoresByWeight(t *testing.T) {
	tares := season.DefaultTares()
	c := single()
	const storesKg, bees, brood = 9.0, 10000.0, 1.5
	tareKg, _ := c.TareKg(tares)
	gross := tareKg + storesKg + bees*0.00012 + brood*1.0 + 0.5
	for _, w := range []struct {
		name     string
		food     season.Food
		mostSDKg float64
	}{
		{"scale", season.Food{Kind: season.FoodGross, GrossKg: gross}, 1.3},
		{"both sides: left + right = the whole", season.Food{Kind: season.FoodLiftBoth, LiftLeftKg: 0.53 * gross, LiftRightKg: 0.47 * gross}, 1.5},
		{"back: 45 % of the whole", season.Food{Kind: season.FoodLiftBack, LiftBackKg: 0.45 * gross}, 2.6},
	} {
		e := c.Stores(seen(w.food), bees, brood, tares)
		require.InDelta(t, storesKg, e.MeanKg, 1e-9, w.name)
		require.Less(t, e.SDKg, w.mostSDKg, w.name)
		require.InDelta(t, tareKg, e.TareKg, 1e-9, w.name)
		blind := c.Stores(seen(w.food), math.NaN(), math.NaN(), tares)
		require.InDelta(t, storesKg, blind.MeanKg, 1.5, "%s, bees and brood not known", w.name)
		require.Greater(t, blind.SDKg, e.SDKg, w.name)
	}
}

// Aurell et al. 2025: 133 colonies weighed and taken apart, one hive type. Its
// slopes are a check here, for the weights of a comb were taken from the trade:
// 2.57 kg a frame of honey counted, residual SD 3.5 kg.
func TestFramesOfFood(t *testing.T) {
	c := double()
	two := c.Stores(seen(season.Food{Kind: season.FoodFrames, FramesDeep: 2}), 1e4, 1, season.DefaultTares())
	four := c.Stores(seen(season.Food{Kind: season.FoodFrames, FramesDeep: 4}), 1e4, 1, season.DefaultTares())
	require.InEpsilon(t, 2.57, (four.MeanKg-two.MeanKg)/2, 0.25, "kg a frame, J. Econ. Entomol. toaf126")
	require.True(t, two.MeanKg/2 >= 2.7 && two.MeanKg/2 <= 3.6, "a full deep frame holds 2.7-3.6 kg")
	m := hive(season.Boxes{Kind: season.Deep, Count: 1}, season.Boxes{Kind: season.Medium, Count: 1})
	e := m.Stores(seen(season.Food{Kind: season.FoodFrames, FramesMedium: 6}), 1e4, 1, season.DefaultTares())
	require.True(t, e.MeanKg/6 >= 1.6 && e.MeanKg/6 <= 2.1, "a full medium frame holds 1.6-2.1 kg")
	three := c.Stores(seen(season.Food{Kind: season.FoodFrames, FramesDeep: 3}), 1e4, 1, season.DefaultTares())
	require.True(t, three.MeanKg > 6.8 && three.MeanKg < 10, "three deep frames are 6.8-9.1 kg by Collison's rule, read as a least")
}

func TestHeft(t *testing.T) {
	for _, c := range []*season.Colony{single(), double()} {
		last := -1.0
		for _, h := range []season.Heft{season.HeftLight, season.HeftFair, season.HeftHeavy} {
			e := c.Stores(seen(season.Food{Kind: season.FoodHeft, Heft: h}), 1e4, 1, season.DefaultTares())
			require.Greater(t, e.MeanKg, last, "%s", h)
			last = e.MeanKg
			weighed := c.Stores(seen(season.Food{Kind: season.FoodGross, GrossKg: 35}), 1e4, 1, season.DefaultTares())
			require.Greater(t, e.SDKg, weighed.SDKg, "hefting is less sure than a scale")
			require.Less(t, e.MeanKg+e.SDKg, e.MaxKg, "it fits the boxes")
		}
		none := c.Stores(seen(season.Food{}), 1e4, 1, season.DefaultTares())
		require.Greater(t, none.SDKg, 4.0, "nothing known is a wide guess")
	}
}

func TestBeesPerSeam(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(-40, 40).Draw(t, "C")
		b, colder := season.BeesPerSeam(c), season.BeesPerSeam(c-1)
		if b < 1100 || b > 2430 || colder < b {
			t.Fatalf("%g bees a seam at %g C, %g one degree colder", b, c, colder)
		}
	})
	const burgett = "Burgett and Burikam 1985"
	require.InEpsilon(t, 1400, season.BeesPerSeam(20), 0.05, "occupied combs, %s", burgett)
	require.InEpsilon(t, 1900, season.BeesPerSeam(4), 1e-9, "single layer, %s", burgett)
	require.InEpsilon(t, 1.305, season.BeesPerSeam(-23)/season.BeesPerSeam(4)*1900/1900, 0.025, "0.45^(-1/3): the same bees in fewer seams, held at a full comb")
	// The same bees, counted warm and cold: the seams fall with the cube root of
	// the volume (Severson and Erickson 1990: -55 % from 4 to -23 C).
	bees := season.BeesFromSeams(6, 4, season.Deep).MeanBees
	seamsCold := bees / season.BeesPerSeam(-23)
	require.InEpsilon(t, 6*math.Cbrt(0.45), seamsCold, 0.03)
}

func TestBeesFromSeams(t *testing.T) {
	e := season.BeesFromSeams(5, 6, season.Deep)
	require.InDelta(t, 9000, e.MeanBees, 500, "5 seams on a cold day")
	require.InEpsilon(t, 0.25, e.SDBees/e.MeanBees, 1e-9)
	require.Greater(t, season.BeesFromSeams(5, math.NaN(), season.Deep).SDBees/e.MeanBees, 0.3, "no temperature: less sure")
	require.InEpsilon(t, 0.67, season.BeesFromSeams(5, 6, season.Medium).MeanBees/e.MeanBees, 1e-9, "lower combs hold fewer")
	require.Equal(t, season.BeesEstimate{MeanBees: 10000, SDBees: 5000}, season.BeesFromSeams(math.NaN(), 5, season.Deep))
	mu, sigma := e.LogParams()
	require.InEpsilon(t, e.MeanBees, math.Exp(mu+sigma*sigma/2), 1e-12, "mean of the lognormal")
	require.InEpsilon(t, e.SDBees, math.Sqrt(math.Expm1(sigma*sigma))*e.MeanBees, 1e-12, "its SD")
	// Aurell et al. 2025: quick counts of 7.7-10.9 seams in warm weather stood for
	// 4.2 full frames, about 10,200 bees at 2,430 a full comb.
	warm := season.BeesFromSeams(9.3, 20, season.Deep)
	require.Less(t, math.Abs(warm.MeanBees-10200)/warm.SDBees, 1.0, "within one SD of a quick warm count")
}

func TestBroodCells(t *testing.T) {
	require.InDelta(t, 6800, season.BroodCells(1, season.Deep), 200, "3,300-3,500 cells a side of a deep comb, trade tables")
	require.InEpsilon(t, 2*880*3.9, season.BroodCells(1, season.Deep), 0.02, "880 cm2 a side at 3.9 cells per cm2")
	require.Zero(t, season.BroodCells(0, season.Medium))
}

func TestStoresMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := hive(season.Boxes{Kind: season.BoxKind(rapid.IntRange(0, 3).Draw(t, "kind")), Count: rapid.IntRange(1, 3).Draw(t, "boxes")})
		tares := season.DefaultTares()
		kg := rapid.Float64Range(10, 60).Draw(t, "kg")
		bees, brood := rapid.Float64Range(500, 30000).Draw(t, "bees"), rapid.Float64Range(0, 6).Draw(t, "brood")
		at := func(kg, bees, brood float64) float64 {
			return c.Stores(seen(season.Food{Kind: season.FoodGross, GrossKg: kg}), bees, brood, tares).MeanKg
		}
		base := at(kg, bees, brood)
		if at(kg+1, bees, brood) <= base || at(kg, bees+1000, brood) >= base || at(kg, bees, brood+1) >= base {
			t.Fatal("a heavier hive holds more food; more bees or brood in the same weight leave less")
		}
	})
}
