package syrup_test

import (
	"math"
	"testing"

	"bloomgap/feed/syrup"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const (
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
		b := syrup.Mix(c.sugarKg, c.waterL)
		require.InEpsilon(t, c.wantL, b.SyrupL, c.within, "%s: %s", c.name, c.source)
		require.InEpsilon(t, c.sugarKg+c.waterL*0.9982, b.SyrupKg, 1e-12, "%s: masses add", c.name)
	}
	require.InEpsilon(t, 50.7, syrup.ForSugar(syrup.ThreeToTwo(), 40).SyrupL, 0.03, "40 kg of sugar at 3:2 measured 50.7 L: "+beekeep)
	gal := syrup.ForVolume(syrup.TwoToOne(), galL)
	require.InEpsilon(t, 11.07, gal.SyrupKg/lbKg, 0.005, "one US gal of 2:1, lb: %s", worked)
	require.InEpsilon(t, 7.38, gal.SugarKg/lbKg, 0.005, "sugar in one US gal of 2:1, lb: %s", worked)
	require.True(t, math.IsNaN(syrup.Mix(10, 0.1).SyrupL), "ten kilos do not dissolve in a cup of water")
}

func TestByVolume(t *testing.T) {
	for _, c := range []struct{ sugar, water, massPct float64 }{{1, 1, 45.8}, {2, 1, 62.9}} {
		require.InEpsilon(t, c.massPct, 100*syrup.ByVolume(c.sugar, c.water).MassFrac, 0.005, "%g:%g by volume, %s", c.sugar, c.water, worked)
	}
}

func TestSolubility(t *testing.T) {
	for _, c := range []struct{ tempC, massPct float64 }{{0, 64.4}, {5, 64.8}, {10, 65.3}, {15, 65.9}, {20, 66.6}, {25, 67.4}, {30, 68.2}} {
		require.InDelta(t, c.massPct, 100*syrup.SolubleMassFrac(c.tempC), 0.01, "%g C, Charles 1960 as remembered", c.tempC)
	}
	at, can := syrup.SaturatedBelowC(syrup.TwoToOne())
	require.True(t, can)
	require.InDelta(t, 18, at, 2.5, "2:1 is supersaturated below 16-20 C, by the spread of the tables")
	for _, s := range []syrup.Strength{syrup.OneToOne(), syrup.ThreeToTwo()} {
		_, can = syrup.SaturatedBelowC(s)
		require.False(t, can, "%s never crystallises above 0 C", s)
	}
	require.Equal(t, 0.644, syrup.SolubleMassFrac(-20), "below freezing the last value stands")
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(0.645, 0.80).Draw(t, "mass fraction")
		at, can := syrup.SaturatedBelowC(frac(w))
		if !can || math.Abs(syrup.SolubleMassFrac(at)-w) > 1e-9 {
			t.Fatalf("%g: below %g C (%v), where %g dissolves", w, at, can, syrup.SolubleMassFrac(at))
		}
	})
}

func TestFreezing(t *testing.T) {
	const goff = "Goff and Hartel 2013, Ice Cream, 7th ed., table 6.1"
	require.InDelta(t, -7.1, syrup.FreezesAtC(frac(100.0/200)), 0.05, "100 g per 100 g of water, "+goff)
	require.InDelta(t, -11.4, syrup.FreezesAtC(frac(150.0/250)), 0.05, "150 g per 100 g of water, "+goff)
	require.Zero(t, syrup.FreezesAtC(frac(0)), "water")
	require.InEpsilon(t, -1.86*0.1/0.3423/0.9, syrup.FreezesAtC(frac(0.1)), 0.2, "thin: near the ideal 1.86 C per mol/kg, sucrose 342.3 g/mol")
	require.Equal(t, syrup.FreezesAtC(frac(0.64)), syrup.FreezesAtC(frac(0.70)), "past 62 % it falls no more")
}

func TestStores(t *testing.T) {
	const curth = "Curth 1981 (Hohenheim), as cited"
	for _, c := range []struct {
		s      syrup.Strength
		kgPerL float64
	}{{syrup.OneToOne(), 0.56}, {syrup.ThreeToTwo(), 0.86}, {syrup.TwoToOne(), 1.00}} {
		require.InEpsilon(t, c.kgPerL, syrup.StoresFrom(c.s, 1).Kg, 1e-9, "%s, %s", c.s, curth)
	}
	_, least, most := syrup.SyrupForStoresL(syrup.ThreeToTwo(), 10)
	require.Less(t, least, 14.0, "10 kg of stores needs about 14 L of 3:2 (Liechtenstein beekeepers' association)")
	require.InEpsilon(t, 14, most, 0.1, "the same: near the poor end of the range")

	rapid.Check(t, func(t *rapid.T) {
		s := frac(rapid.Float64Range(0.3, 0.75).Draw(t, "mass fraction"))
		kg := rapid.Float64Range(0.1, 100).Draw(t, "stores")
		likely, least, most := syrup.SyrupForStoresL(s, kg)
		if !(least <= likely && likely <= most*(1+1e-12)) {
			t.Fatalf("%v: %g not within %g-%g", s, likely, least, most)
		}
		if back := syrup.StoresFrom(s, likely).Kg; math.Abs(back-kg) > 1e-9*kg {
			t.Fatalf("%v: %g kg came back as %g", s, kg, back)
		}
		thicker := frac(s.MassFrac + 0.01)
		if thicker.StoresKgPerL() <= s.StoresKgPerL() {
			t.Fatalf("a thicker syrup than %v must store more a litre", s)
		}
	})
}

func TestMassHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := frac(rapid.Float64Range(0.05, 0.79).Draw(t, "from"))
		to := frac(rapid.Float64Range(0.04, from.MassFrac).Draw(t, "to"))
		l := rapid.Float64Range(0.01, 1000).Draw(t, "litres")
		b := syrup.ForVolume(from, l)
		again := syrup.Mix(b.SugarKg, b.WaterL)
		if math.Abs(again.SyrupL-l) > 1e-9*l || math.Abs(again.SyrupKg-b.SyrupKg) > 1e-9*b.SyrupKg {
			t.Fatalf("mixing what ForVolume asks for gives %g L, wanted %g", again.SyrupL, l)
		}
		add, made := syrup.Dilute(from, l, to)
		if add < -1e-9 || math.Abs(made.SyrupKg-b.SyrupKg-add*0.9982) > 1e-9*made.SyrupKg {
			t.Fatalf("dilution loses mass: %g kg + %g L -> %g kg", b.SyrupKg, add, made.SyrupKg)
		}
	})
	add, _ := syrup.Dilute(syrup.OneToOne(), 1, syrup.TwoToOne())
	require.True(t, math.IsNaN(add), "water does not make syrup thicker")
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
	for _, bad := range []string{"", "thick", "1:", ":1", "0:1", "1:0", "-1:1", "NaN:1", "inf:1", "0%", "-5%", "95%", "100%", "9:1", "60% by volume", "1:1:1"} {
		_, err := syrup.Parse(bad)
		require.Error(t, err, bad)
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
