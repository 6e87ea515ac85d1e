package flight

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var nan = math.NaN()

// at is the height of the curve at any hour h from 0 to 24, written out.
func (c curve) at(h float64) float64 {
	if h >= c.sunriseH && h <= c.sunsetH {
		return c.byDay(h)
	}
	if h < c.sunriseH {
		h += dayH // the night before is taken to be like the one after
	}
	night := dayH - (c.sunsetH - c.sunriseH)
	end := math.Exp(-nightDecay)
	return c.atSunset * (math.Exp(-nightDecay*(h-c.sunsetH)/night) - end) / (1 - end)
}

func foragingH(tminC, tmaxC, precipMm, latDeg float64, doy int) float64 {
	h, _ := Hours(tminC, tmaxC, precipMm, latDeg, doy)
	return h
}

func TestCurveHasNoSteps(t *testing.T) {
	for _, d := range []float64{4, 8, 12, 16, 20} {
		c := newCurve(d)
		require.InDelta(t, 1, c.at(solarNoonH+maxLagH), 1e-12, "reaches the maximum 1.86 h after noon")
		require.InDelta(t, 0, c.at(c.sunriseH), 1e-12, "minimum at sunrise")
		for h := 0.0; h < 24; h += 0.01 {
			require.InDelta(t, c.at(h), c.at(h+0.01), 0.02, "day length %g, hour %g", d, h)
		}
	}
}

func TestWarmShare(t *testing.T) {
	tests := []struct {
		name            string
		tmin, tmax, thr float64
		want            float64
	}{
		{"all above", 5, 15, 4, 1},
		{"none above", 5, 15, 15, 0},
		{"no swing, above", 8, 8, 7, 1},
		{"no swing, at the threshold counts as not above", 8, 8, 8, 0},
		{"extremes swapped", 15, 5, 4, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) { require.Equal(t, tt.want, WarmShare(tt.tmin, tt.tmax, tt.thr)) })
	}
	require.True(t, math.IsNaN(WarmShare(nan, 10, 5)))
	t.Run("agrees with the curve counted by the minute", func(t *testing.T) {
		c := newCurve(standardDayH)
		for w := 0.005; w < 1; w += 0.01 {
			n := 0
			for m := range 1440 {
				if c.at((float64(m)+0.5)/60) > w {
					n++
				}
			}
			require.InDelta(t, float64(n)/1440, WarmShare(0, 1, w), 2.0/1440, "height %g", w)
		}
	})
}

// Flight facts, each with the source that saw it.
func TestFlightFacts(t *testing.T) {
	const lat, april20 = 45.0, 110
	day := DayLengthH(lat, april20)
	forage := func(tmin, tmax, rain float64) float64 { return foragingH(tmin, tmax, rain, lat, april20) }

	t.Run("no foraging at or below 12 C, however bright (Burrill and Dietz 1981)", func(t *testing.T) {
		require.Zero(t, forage(12, 12, 0))
		require.Zero(t, forage(2, 11.9, 0))
	})
	t.Run("foraging rises with warmth to 20 C and no further (Burrill and Dietz 1981)", func(t *testing.T) {
		require.Less(t, forage(14, 14, 0), forage(16, 16, 0))
		require.Less(t, forage(16, 16, 0), forage(20, 20, 0))
		require.Equal(t, forage(20, 20, 0), forage(28, 28, 0))
	})
	t.Run("low sun counts less (Burrill and Dietz 1981)", func(t *testing.T) {
		require.Less(t, forage(25, 25, 0), day-1.5)
		require.Greater(t, forage(25, 25, 0), day-4)
		require.Less(t, foragingH(25, 25, 0, 55, 355), 1.5, "the midwinter sun at 55 N never gives half of 460 W/m2")
	})
	t.Run("at 12-14 C with sun bees fly all day, though few bring food (Vicens and Bosch 2000: fully active)", func(t *testing.T) {
		require.Greater(t, CleansingH(12, 14, 0, lat, april20), 0.9*day)
		require.Greater(t, forage(12, 14, 0), 0.5)
		require.Less(t, forage(12, 14, 0), 0.25*day, "here the sources disagree, see the package comment")
	})
	t.Run("days under 13 C bring nothing worth counting (Schwenkel 2009)", func(t *testing.T) {
		require.Less(t, forage(3, 13, 0), 0.5)
		require.Greater(t, forage(12, 25, 0), 10*forage(3, 13, 0))
	})
	t.Run("rain all but stops foraging (Vicens and Bosch 2000: none in rain)", func(t *testing.T) {
		require.InDelta(t, 0.1, forage(10, 20, 10)/forage(10, 20, 0), 1e-9)
		require.Equal(t, forage(10, 20, 10), forage(10, 20, 40))
		require.InDelta(t, 0.5, RainShare(3), 0.01)
		require.Equal(t, 1.0, RainShare(-1))
	})
	t.Run("cleansing flight from about 10 C (common practice)", func(t *testing.T) {
		require.False(t, CanFly(-2, 8.9, 0, lat, april20))
		require.False(t, CanFly(-2, 9.5, 0, lat, april20))
		require.True(t, CanFly(0, 11, 0, lat, april20))
		require.False(t, CanFly(0, 11, 10, lat, april20), "same day in heavy rain")
		require.True(t, CanFly(0, 11, nan, lat, april20), "rain not known")
	})
	t.Run("temperature not known", func(t *testing.T) {
		require.True(t, math.IsNaN(forage(nan, 10, 0)))
		require.True(t, math.IsNaN(CleansingH(0, nan, 0, lat, april20)))
		require.False(t, CanFly(nan, nan, 0, lat, april20))
	})
}

func TestProperties(t *testing.T) {
	temp := rapid.Float64Range(-40, 45)
	t.Run("more warmth never takes flight hours", rapid.MakeCheck(func(t *rapid.T) {
		lat, doy := rapid.Float64Range(-66, 66).Draw(t, "lat"), rapid.IntRange(1, 366).Draw(t, "doy")
		a, swing := temp.Draw(t, "tmin"), rapid.Float64Range(0, 25).Draw(t, "swing")
		up, more := rapid.Float64Range(0, 10).Draw(t, "up"), rapid.Float64Range(0, 10).Draw(t, "more")
		f1, c1 := Hours(a, a+swing, 0, lat, doy)
		f2, c2 := Hours(a+up, a+up+swing+more, 0, lat, doy)
		require.LessOrEqual(t, f1, f2+1e-9)
		require.LessOrEqual(t, c1, c2+1e-9)
	}))
	t.Run("a longer day never takes flight hours", rapid.MakeCheck(func(t *rapid.T) {
		lat := rapid.Float64Range(24, 66).Draw(t, "lat") // outside the tropics, where higher noon means longer day
		a, b := rapid.IntRange(1, 366).Draw(t, "a"), rapid.IntRange(1, 366).Draw(t, "b")
		if DayLengthH(lat, a) > DayLengthH(lat, b) {
			a, b = b, a
		}
		tmin, swing := temp.Draw(t, "tmin"), rapid.Float64Range(0, 25).Draw(t, "swing")
		f1, c1 := Hours(tmin, tmin+swing, 0, lat, a)
		f2, c2 := Hours(tmin, tmin+swing, 0, lat, b)
		require.LessOrEqual(t, f1, f2+1e-9)
		require.LessOrEqual(t, c1, c2+1e-9)
	}))
	t.Run("more rain never adds hours; 0 <= foraging <= cleansing <= day length", rapid.MakeCheck(func(t *rapid.T) {
		lat, doy := rapid.Float64Range(-66, 66).Draw(t, "lat"), rapid.IntRange(1, 366).Draw(t, "doy")
		tmin, swing := temp.Draw(t, "tmin"), rapid.Float64Range(0, 25).Draw(t, "swing")
		r, more := rapid.Float64Range(0, 30).Draw(t, "rain"), rapid.Float64Range(0, 30).Draw(t, "more")
		f1, c1 := Hours(tmin, tmin+swing, r, lat, doy)
		f2, c2 := Hours(tmin, tmin+swing, r+more, lat, doy)
		require.GreaterOrEqual(t, f1, f2)
		require.GreaterOrEqual(t, c1, c2)
		require.GreaterOrEqual(t, f1, 0.0)
		require.LessOrEqual(t, f1, c1)
		require.LessOrEqual(t, c1, DayLengthH(lat, doy))
	}))
	t.Run("warm share falls with the threshold and rises with warmth", rapid.MakeCheck(func(t *rapid.T) {
		tmin, swing := temp.Draw(t, "tmin"), rapid.Float64Range(0, 25).Draw(t, "swing")
		thr, up := temp.Draw(t, "threshold"), rapid.Float64Range(0, 10).Draw(t, "up")
		s := WarmShare(tmin, tmin+swing, thr)
		require.True(t, s >= 0 && s <= 1)
		require.LessOrEqual(t, WarmShare(tmin, tmin+swing, thr+up), s+1e-12)
		require.GreaterOrEqual(t, WarmShare(tmin+up, tmin+swing+up, thr), s-1e-12)
	}))
}

// UnknownRainMean is worked out from the stations; this works it out again.
func TestUnknownRainMean(t *testing.T) {
	dir := os.Getenv("BLOOMGAP_REFERENCE")
	if dir == "" {
		t.Skip("BLOOMGAP_REFERENCE is not set: missing weather/*.csv")
	}
	names, err := filepath.Glob(filepath.Join(dir, "weather", "*.csv"))
	require.NoError(t, err)
	var sum float64
	var stations int
	for _, name := range names {
		f, err := os.Open(name)
		require.NoError(t, err)
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		require.NoError(t, err)
		rain := len(rows[0]) - 1
		for i, head := range rows[0] {
			if head == "precip_mm" {
				rain = i
			}
		}
		var total, n float64
		for _, row := range rows[1:] {
			if mm, err := strconv.ParseFloat(row[rain], 64); err == nil && row[0][5:7] >= "02" && row[0][5:7] <= "05" {
				total += RainShare(mm)
				n++
			}
		}
		if n > 0 {
			t.Logf("%s: %.3f", filepath.Base(name), total/n)
			sum += total / n
			stations++
		}
	}
	require.Equal(t, 7, stations)
	require.InDelta(t, sum/float64(stations), UnknownRainMean, 0.005)
}

func TestNoAllocations(t *testing.T) {
	require.Zero(t, testing.AllocsPerRun(100, func() {
		Hours(5, 18, 1, 45, 110)
		WarmShare(5, 18, 12)
		CanFly(5, 18, nan, 45, 110)
	}))
}

func BenchmarkHours(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Hours(5, 18, 1, 45, 110)
	}
}

// TestHoursAreThoseOfMinutes: the hours of flight are those that come of the same day cut into
// minutes.
func TestHoursAreThoseOfMinutes(t *testing.T) {
	share := func(x, from, to float64) float64 { return math.Max(0, math.Min(1, (x-from)/(to-from))) }
	for _, c := range []struct {
		low, high, rain, lat float64
		doy                  int
	}{{2, 14, 0, 45, 80}, {8, 22, 0, 45, 120}, {-3, 12, 2, 50, 60}, {10, 18, 0, 60, 170}, {6, 16, 5, 40, 100}, {4, 30, 0, 52, 140}, {9, 13, 0, 46, 110}} {
		length := DayLengthH(c.lat, c.doy)
		lat, decl := c.lat*math.Pi/180, declinationRad(c.doy)
		forage, cleanse := 0.0, 0.0
		for minute := range 24 * 60 {
			h := (float64(minute) + 0.5) / 60
			if math.Abs(h-12) > length/2 {
				continue
			}
			// The warmth is a sine with its top 1.86 h after noon; the light that of a clear sky.
			tempC := c.low + (c.high-c.low)*math.Max(0, math.Cos(math.Pi*(h-12-1.86)/(length+2*1.86)))
			height := math.Sin(lat)*math.Sin(decl) + math.Cos(lat)*math.Cos(decl)*math.Cos((h-12)*15*math.Pi/180)
			light := 0.0
			if height > 0 {
				light = math.Min(1, 1098*height*math.Exp(-0.057/height)/ForageFullWm2)
			}
			cleanse += share(tempC, CleansingC-CleansingBandC, CleansingC+CleansingBandC) / 60
			forage += light * share(tempC, ForageStartC, ForageFullC) / 60
		}
		rain := math.Pow(RainLeastShare, math.Min(1, c.rain/RainFullMm))
		f, cl := Hours(c.low, c.high, c.rain, c.lat, c.doy)
		require.InDelta(t, forage*rain, f, 0.12, "%+v", c)
		require.InDelta(t, cleanse*rain, cl, 0.12, "%+v", c)
		d := NewDaylight(c.lat, c.doy)
		require.InDelta(t, length/stepH, float64(d.n), 1.01, "a step every part of the day")
	}
	for k, want := range map[float64]float64{0: 0.2, 5: 0.4, 10: 0.8, 15: 0.98} { // the package's own round figures
		require.InDelta(t, want, SunShare(3, 3+k), 0.035, "%g K", k)
		require.Equal(t, SunShare(3, 3+k), SunShare(3+k, 3), "either way about")
	}
}

// TestWarmShareIsThatOfMinutes: the share of a day above a threshold is that of its curve in
// minutes: by day a sine from sunrise to past the top, by night a decay down to the minimum.
func TestWarmShareIsThatOfMinutes(t *testing.T) {
	for _, w := range []float64{0.01, 0.1, 0.25, 0.45, 0.5, 0.7, 0.9, 0.99} {
		above := 0
		sunset := math.Cos(math.Pi * (6 - 1.86) / (12 + 2*1.86))
		for minute := range 24 * 60 {
			h := (float64(minute) + 0.5) / 60 // from sunrise
			height := math.Max(0, math.Cos(math.Pi*(h-6-1.86)/(12+2*1.86)))
			if h > 12 {
				end := math.Exp(-2.2)
				height = sunset * (math.Exp(-2.2*(h-12)/12) - end) / (1 - end)
			}
			if height > w {
				above++
			}
		}
		for _, c := range [][2]float64{{0, 10}, {-5, 20}, {12, 13}} {
			require.InDelta(t, float64(above)/1440, WarmShare(c[0], c[1], c[0]+w*(c[1]-c[0])), 0.002, "%g of the way from %v", w, c)
		}
	}
	require.Equal(t, 1.0, WarmShare(5, 10, 4.9))
	require.Zero(t, WarmShare(5, 10, 10))
}
