package flight

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestWhatIsNotKnownOfADay: a temperature that is missing leaves the hours unknown, the rain alone does not.
func TestWhatIsNotKnownOfADay(t *testing.T) {
	nan := math.NaN()
	for _, c := range [][3]float64{{nan, 10, 5}, {1, nan, 5}, {1, 10, nan}, {nan, nan, nan}} {
		require.True(t, math.IsNaN(WarmShare(c[0], c[1], c[2])), "%v", c)
	}
	for _, c := range [][2]float64{{nan, 20}, {5, nan}, {nan, nan}} {
		forage, cleanse := Hours(c[0], c[1], 0, 45, 110)
		require.True(t, math.IsNaN(forage) && math.IsNaN(cleanse), "%v", c)
		require.True(t, math.IsNaN(SunShare(c[0], c[1])))
	}
	forage, cleanse := Hours(5, 20, nan, 45, 110)
	dryForage, dryCleanse := Hours(5, 20, 0, 45, 110)
	require.InDelta(t, UnknownRainMean*dryForage, forage, 1e-9)
	require.InDelta(t, UnknownRainMean*dryCleanse, cleanse, 1e-9)
	require.Equal(t, WarmShare(2, 18, 9), WarmShare(18, 2, 9), "exchanged is the same day")
}

// TestShareAtItsEnds: a day whose least is the threshold is all above it but for that moment; a day that
// just reaches it is never above it; the share falls without a step between.
func TestShareAtItsEnds(t *testing.T) {
	require.Equal(t, 1.0, WarmShare(5, 15, 4.999))
	require.InDelta(t, 1, WarmShare(5, 15, 5), 1e-9)
	require.Zero(t, WarmShare(5, 15, 15))
	require.Zero(t, WarmShare(5, 15, 16))
	require.Zero(t, WarmShare(9, 9, 9), "as warm as it gets")
	require.Equal(t, 1.0, WarmShare(9, 9, 8))
	before := 1.0
	for c := 5.0; c <= 15; c += 0.05 {
		share := WarmShare(5, 15, c)
		require.LessOrEqual(t, share, before+1e-12)
		require.Less(t, before-share, 0.12, "%g C", c)
		before = share
	}
	for _, d := range []float64{4, 12, 20} {
		c := newCurve(d)
		for _, w := range []float64{0.02, 0.3, c.atSunset - 0.01, c.atSunset + 0.01, 0.6, 0.95} {
			above := 0.0
			const step = 0.005
			for h := step / 2; h < dayH; h += step {
				if c.at(h) > w {
					above += step
				}
			}
			require.InDelta(t, above, c.hoursAbove(w), 0.05, "%g of a day of %g h", w, d)
		}
	}
}

// TestTheSunsYear: the sun stands highest at the June solstice and lowest at the December one, by the
// earth's tilt, crosses the equator at the equinoxes, and is faster in the northern winter: from the
// March to the September equinox are 186 days, back are 179.
func TestTheSunsYear(t *testing.T) {
	const deg = 180 / math.Pi
	high, low, up, down := 1, 1, 0, 0
	for doy := 2; doy <= 365; doy++ {
		d := declinationRad(doy)
		if d > declinationRad(high) {
			high = doy
		}
		if d < declinationRad(low) {
			low = doy
		}
		if before := declinationRad(doy - 1); before < 0 && d >= 0 {
			up = doy
		} else if before >= 0 && d < 0 {
			down = doy
		}
	}
	require.InDelta(t, tiltDeg, declinationRad(high)*deg, 0.01)
	require.InDelta(t, -tiltDeg, declinationRad(low)*deg, 0.01)
	require.InDelta(t, 172, high, 1, "21 June")
	require.InDelta(t, 355, low, 1, "21 December")
	require.InDelta(t, 80, up, 1, "20 or 21 March")
	require.InDelta(t, 266, down, 1, "22 or 23 September")
	require.InDelta(t, 186, down-up, 1)
	// Published declinations at noon of a year in the middle of the cycle: 1 February -17.2, 1 May 15.0,
	// 1 August 18.1, 1 November -14.4 degrees (Astronomical Almanac, from memory, to 0.2).
	for doy, want := range map[int]float64{32: -17.2, 121: 15.0, 213: 18.1, 305: -14.4} {
		require.InDelta(t, want, declinationRad(doy)*deg, 0.25, "day %d", doy)
	}
	// On the equator the day is twelve hours and the sun's width and refraction: 2 x 0.8333 degrees at 15 an hour.
	for _, doy := range []int{80, 172, 266} {
		require.InDelta(t, 12+2*0.8333/math.Cos(declinationRad(doy))/15, DayLengthH(0, doy), 0.001, "day %d", doy)
	}
}
