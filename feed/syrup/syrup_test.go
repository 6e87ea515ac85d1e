package syrup_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/feed/syrup"
)

const (
	// waterKgPerL is the density of water at 20 C (CRC Handbook of Chemistry and Physics).
	waterKgPerL = 0.9982

	lbKg    = 0.45359237 // international pound
	galL    = 3.785411784
	pintL   = galL / 8
	crc     = "CRC Handbook of Chemistry and Physics, concentrative properties of aqueous solutions"
	worked  = "worked by hand from the CRC density table"
	beekeep = "beekeepers' published example"
)

func frac(w float64) syrup.Strength { return syrup.Strength{MassFrac: w} }

func TestDensity(t *testing.T) {
	for _, c := range []struct {
		massPct, kgPerM3 float64
		source           string
	}{
		{0, 998.2, crc}, {10, 1038.1, crc}, {20, 1081.0, crc}, {30, 1127.0, crc}, {40, 1176.5, crc},
		{44, 1197.2, crc}, {48, 1218.6, crc}, {50, 1229.5, crc}, {54, 1251.8, crc}, {58, 1274.7, crc},
		{60, 1286.4, crc}, {62, 1298.3, crc}, {64, 1310.3, crc}, {66, 1322.4, crc}, {68, 1334.8, crc},
		{70, 1347.2, crc}, {80, 1411.7, crc},
		{200.0 / 3, 1326.5, "interpolated by hand between 66 and 68 % of " + crc},
	} {
		require.InEpsilon(t, c.kgPerM3, 1000*syrup.DensityKgPerL(c.massPct/100), 0.0015, "%g %%: %s", c.massPct, c.source)
	}
	for _, out := range []float64{-0.01, 0.81, math.NaN(), math.Inf(1)} {
		require.True(t, math.IsNaN(syrup.DensityKgPerL(out)), "%g lies outside the table", out)
	}
}

// The points above are what the curve goes through, so they cannot show what it
// does between them. There it must lie just under the straight line, for the
// density bends upwards: within 0.15 % of it, and never above.
func TestDensityBetweenPoints(t *testing.T) {
	for _, c := range []struct{ lo, hi float64 }{{0, 0.1}, {0.1, 0.2}, {0.3, 0.4}, {0.5, 0.54}, {0.7, 0.8}} {
		mid := (c.lo + c.hi) / 2
		line := (syrup.DensityKgPerL(c.lo) + syrup.DensityKgPerL(c.hi)) / 2
		require.InEpsilon(t, line, syrup.DensityKgPerL(mid), 0.0015, "%g-%g", c.lo, c.hi)
		require.LessOrEqual(t, syrup.DensityKgPerL(mid), line, "the density bends upwards, %g-%g", c.lo, c.hi)
	}
}

func TestSugarPerLitre(t *testing.T) {
	for _, c := range []struct {
		s       syrup.Strength
		gramPeL float64
	}{{syrup.OneToOne(), 614.8}, {syrup.ThreeToTwo(), 771.9}, {syrup.TwoToOne(), 884.4}} {
		require.InEpsilon(t, c.gramPeL, 1000*c.s.SugarKgPerL(), 0.0015, "%s: %s", c.s, worked)
	}
}

func TestMix(t *testing.T) {
	for _, c := range []struct {
		name                           string
		sugarKg, waterL, wantL, within float64
		source                         string
	}{
		{"1 kg + 1 L", 1, 1, 1.625, 0.005, worked},
		{"2 kg + 1 L", 2, 1, 2.260, 0.005, worked},
		{"3 kg + 2 L", 3, 2, 3.88, 0.005, worked},
		{"25 kg + 12.5 L", 25, 12.5, 28.25, 0.005, worked},
		{"8 lb + 1 US gal", 8 * lbKg, galL, 1.60 * galL, 0.005, worked},
		{"50 kg + 30 L", 50, 30, 61.4, 0.005, worked},
		{"50 kg + 30 L, rounded", 50, 30, 60, 0.03, beekeep},
		{"1 kg + 0.7 L", 1, 0.7, 1.3, 0.03, beekeep},
		{"10 lb + 10 US pints, 15-16 pints", 10 * lbKg, 10 * pintL, 15.5 * pintL, 0.08, beekeep},
	} {
		s := frac(c.sugarKg / (c.sugarKg + c.waterL*waterKgPerL))
		require.InEpsilon(t, c.wantL, c.sugarKg/s.SugarKgPerL(), c.within, "%s: %s", c.name, c.source)
	}
	require.InEpsilon(t, 50.7, 40/syrup.ThreeToTwo().SugarKgPerL(), 0.03, "40 kg of sugar at 3:2 measured 50.7 L: "+beekeep)
	require.InEpsilon(t, 11.07, galL*syrup.TwoToOne().DensityKgPerL()/lbKg, 0.005, "one US gal of 2:1, lb: %s", worked)
	require.InEpsilon(t, 7.38, galL*syrup.TwoToOne().SugarKgPerL()/lbKg, 0.005, "sugar in one US gal of 2:1, lb: %s", worked)
	require.True(t, math.IsNaN(frac(10/(10+0.1*waterKgPerL)).SugarKgPerL()), "ten kilos do not dissolve in a cup of water")
}

func TestByVolume(t *testing.T) {
	for _, c := range []struct{ sugar, water, massPct float64 }{{1, 1, 45.8}, {2, 1, 62.9}} {
		require.InEpsilon(t, c.massPct, 100*syrup.ByVolume(c.sugar, c.water).MassFrac, 0.005, "%g:%g by volume, %s", c.sugar, c.water, worked)
	}
}

func TestSolubility(t *testing.T) {
	for _, c := range []struct{ tempC, massPct float64 }{{5, 64.8}, {10, 65.3}, {15, 65.9}, {20, 66.6}, {25, 67.4}, {30, 68.2}} {
		at, can := syrup.SaturatedBelowC(frac(c.massPct / 100))
		require.True(t, can)
		require.InDelta(t, c.tempC, at, 0.01, "%g %% of sugar, Charles 1960 as remembered", c.massPct)
	}
	at, can := syrup.SaturatedBelowC(syrup.TwoToOne())
	require.True(t, can)
	require.InDelta(t, 18, at, 2.5, "2:1 is supersaturated below 16-20 C, by the spread of the tables")
	for _, s := range []syrup.Strength{syrup.OneToOne(), syrup.ThreeToTwo(), frac(0.644)} {
		_, can = syrup.SaturatedBelowC(s)
		require.False(t, can, "%s never crystallises above 0 C", s)
	}
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(0.645, 0.79).Draw(t, "mass fraction")
		at, _ := syrup.SaturatedBelowC(frac(w))
		more, can := syrup.SaturatedBelowC(frac(w + 0.001))
		if !can || !(more > at) {
			t.Fatalf("%g: below %g C; stronger by 0.001: below %g C", w, at, more)
		}
	})
}

func TestStores(t *testing.T) {
	const curth = "Curth 1981 (Hohenheim), as cited"
	for _, c := range []struct {
		s      syrup.Strength
		kgPerL float64
	}{{syrup.OneToOne(), 0.56}, {syrup.ThreeToTwo(), 0.86}, {syrup.TwoToOne(), 1.00}} {
		require.InEpsilon(t, c.kgPerL, c.s.StoresKgPerL(), 1e-9, "%s, %s", c.s, curth)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := frac(rapid.Float64Range(0.05, 0.79).Draw(t, "mass fraction"))
		if y := s.YieldKgPerKgSugar(); !(y >= 0.85 && y <= 1.25) {
			t.Fatalf("%v: %g kg a kg of sugar, outside all trials (%s)", s, y, curth)
		}
		thicker := frac(s.MassFrac + 0.01)
		if thicker.StoresKgPerL() <= s.StoresKgPerL() {
			t.Fatalf("a thicker syrup than %v must store more a litre", s)
		}
	})
}

func TestMassHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := frac(rapid.Float64Range(0, 0.80).Draw(t, "mass fraction"))
		if got, want := s.SugarKgPerL()+s.WaterLPerL()*waterKgPerL, s.DensityKgPerL(); math.Abs(got-want) > 1e-12 {
			t.Fatalf("%v: sugar and water of a litre weigh %g kg, not %g", s, got, want)
		}
	})
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		text, label string
		massFrac    float64
	}{
		{"1:1", "1:1", 0.5},
		{" 3 : 2 ", "3:2", 0.6},
		{"3/2", "3:2", 0.6},
		{"2 to 1", "2:1", 2.0 / 3},
		{"2:1 by weight", "2:1", 2.0 / 3},
		{"60%", "60%", 0.6},
		{"62.5 %", "62.5%", 0.625},
		{"2:1 by volume", "2:1 by volume", 2 * 0.845 / (2*0.845 + 0.9982)},
	} {
		s, err := syrup.Parse(c.text)
		require.NoError(t, err, c.text)
		require.Equal(t, c.label, s.String(), c.text)
		require.InEpsilon(t, c.massFrac, s.MassFrac, 1e-12, c.text)
		again, err := syrup.Parse(s.String())
		require.NoError(t, err, "the label of %q reads back", c.text)
		require.InEpsilon(t, s.MassFrac, again.MassFrac, 1e-12, c.text)
	}
	for _, bad := range []string{"", "thick", "1:", ":1", "0:1", "1:0", "-1:1", "NaN:1", "inf:1", "60% by volume", "1:1:1"} {
		_, err := syrup.Parse(bad)
		require.ErrorContains(t, err, "is not a syrup strength", bad)
	}
	for _, bad := range []string{"0%", "-5%", "95%", "100%", "9:1"} {
		_, err := syrup.Parse(bad)
		require.ErrorContains(t, err, "cannot be mixed", bad)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"1:1", "3/2", "2 to 1", "60%", "2:1 by volume", "1e308:1", "by volume"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := syrup.Parse(text)
		if err != nil {
			return
		}
		if l := s.SugarKgPerL(); !(l > 0 && l < 1.2) {
			t.Fatalf("%q read as %+v with %g kg/L", text, s, l)
		}
		if again, err := syrup.Parse(s.String()); err != nil || math.Abs(again.MassFrac-s.MassFrac) > 1e-9 {
			t.Fatalf("%q: label %q does not read back: %v", text, s.String(), err)
		}
	})
}

// TestThinSyrupGoesOnStraight: below 1:1 the yield goes on in the line from 3:2 through 1:1, down to
// the least of the trials; above 2:1 it is that of 2:1.
func TestThinSyrupGoesOnStraight(t *testing.T) {
	thin, mid, thick := syrup.OneToOne(), syrup.ThreeToTwo(), syrup.TwoToOne()
	of := func(frac float64) float64 { return syrup.Strength{MassFrac: frac}.YieldKgPerKgSugar() }
	slope := (mid.YieldKgPerKgSugar() - thin.YieldKgPerKgSugar()) / (mid.MassFrac - thin.MassFrac)
	require.Positive(t, slope)
	for _, less := range []float64{0.005, 0.02} {
		require.InDelta(t, math.Max(0.85, thin.YieldKgPerKgSugar()-slope*less), of(thin.MassFrac-less), 1e-9)
	}
	require.InDelta(t, 0.85, of(0.05), 1e-9)
	require.InDelta(t, thick.YieldKgPerKgSugar(), of(0.75), 1e-12)
}
