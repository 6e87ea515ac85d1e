package flight

import (
	"math"
)

// Constants of the day's length.
const (
	horizonDeg       = 0.8333 // degrees, sun's upper edge with refraction at sunrise, range 0-18, Forsythe et al. 1995 (p, table 1)
	solarNoonH       = 12.0   // h, local solar time, by definition
	dayH             = 24.0   // h
	hourAngleDegPerH = 15.0   // degrees/h, 360 over 24
)

// Constants of the sun's place among the stars, Astronomical Almanac, low-precision
// formulas (section C; good to 0.01 degrees 1950-2050; from memory).
const (
	anomalyDeg      = 357.528   // degrees, mean anomaly at the epoch, Astronomical Almanac
	anomalyPerDay   = 0.9856003 // degrees/day, Astronomical Almanac
	longitudeDeg    = 280.460   // degrees, mean longitude at the epoch, Astronomical Almanac
	longitudePerDay = 0.9856474 // degrees/day, Astronomical Almanac
	centre1Deg      = 1.915     // degrees, equation of the centre, Astronomical Almanac
	centre2Deg      = 0.020     // degrees, equation of the centre, Astronomical Almanac
	tiltDeg         = 23.439    // degrees, tilt of the earth's axis, Astronomical Almanac
	epochDoy        = 0.55      // day of the year of the epoch, noon, range 0.1-1, worked: middle of the leap-year cycles 1960-2030
)

// Constants of clear-sky radiation, Haurwitz 1945.
const (
	clearSkyWm2 = 1098.0 // W/m2, range 1000-1150, Haurwitz 1945
	clearSkyAir = 0.057  // ratio, range 0.05-0.09, Haurwitz 1945 (form as used since Reno et al. 2012; from memory)
)

// DayLengthH is the time from sunrise to sunset in hours on day doy of the year
// (1-366) at a latitude in degrees, north positive. Sunrise and sunset are
// those of the sun's upper edge with refraction, as in published tables.
//
// The formula is eq. 3 of Forsythe et al. 1995 with p = 0.8333. The sun's
// declination in it is the Astronomical Almanac's, in the middle of the leap-year
// cycle, since the paper's own runs most of a day late and is 5 minutes and more
// off at 60 N. It holds for |lat| <= 66, where it is within 5 minutes of
// published tables from 40 to 60 N. Nearer the poles it gives 0 in polar night
// and 24 in polar day.
func DayLengthH(latDeg float64, doy int) float64 {
	lat, decl := latDeg*math.Pi/180, declinationRad(doy)
	x := (math.Sin(horizonDeg*math.Pi/180) + math.Sin(lat)*math.Sin(decl)) / (math.Cos(lat) * math.Cos(decl))
	return dayH - dayH/math.Pi*math.Acos(max(-1, min(1, x)))
}

// declinationRad is the sun's declination in radians at noon of a day of the year.
func declinationRad(doy int) float64 {
	const rad = math.Pi / 180
	n := float64(doy) - epochDoy
	anomaly := (anomalyDeg + anomalyPerDay*n) * rad
	longitude := (longitudeDeg + longitudePerDay*n + centre1Deg*math.Sin(anomaly) + centre2Deg*math.Sin(2*anomaly)) * rad
	return math.Asin(math.Sin(tiltDeg*rad) * math.Sin(longitude))
}

// clearSkyRadiationWm2 is the radiation on level ground under a clear sky in
// W/m2, 1098 s exp(-0.057/s) for a sine of the sun's height s, 0 below the
// horizon (Haurwitz 1945).
func clearSkyRadiationWm2(sinHeight float64) float64 {
	if sinHeight <= 0 {
		return 0
	}
	return clearSkyWm2 * sinHeight * math.Exp(-clearSkyAir/sinHeight)
}

// The sun that gets through the air, by the day's range of temperature, Bristow
// and Campbell 1984 (form and the range of the factor from memory): a clear sky
// heats the day and cools the night.
const (
	sunRangeFactor = 0.006 // range 0.004-0.010, Bristow and Campbell 1984
	sunRangePower  = 2.4   // Bristow and Campbell 1984
	sunLeastShare  = 0.2   // of a clear sky's light under full cloud, range 0.1-0.3, common practice
)

// SunShare estimates the share (0.2-1) of a clear day's light from the day's
// range of temperature in C: 0.4 at 5 K, 0.8 at 10 K, 0.98 at 15 K. On coasts,
// where the range is small in sun too, it is too low. NaN in, NaN out.
func SunShare(tminC, tmaxC float64) float64 {
	tminC, tmaxC = ordered(tminC, tmaxC)
	return sunLeastShare + (1-sunLeastShare)*(1-math.Exp(-sunRangeFactor*math.Pow(tmaxC-tminC, sunRangePower)))
}
