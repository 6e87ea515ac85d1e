package flight

import (
	"math"
)

// What flight needs. The figures are those of the package comment.
const (
	ForageStartC    = 12.0  // C, no foraging at or below, range 10-13, Burrill and Dietz 1981
	ForageFullC     = 20.0  // C, full foraging from here, range 16-22, Burrill and Dietz 1981
	ForageFullWm2   = 460.0 // W/m2, foraging rises with the sun up to here, range 300-660, Burrill and Dietz 1981
	CleansingC      = 10.0  // C, half of the bees that want to fly do, range 8-12, common practice
	CleansingBandC  = 1.0   // C either side of CleansingC from none to all, range 0.5-2, assumed
	RainFullMm      = 10.0  // mm a day from which rain takes RainLeastShare, range 5-15, assumed
	RainLeastShare  = 0.1   // share of the day left for flight on a day of heavy rain, range 0-0.3, assumed
	UnknownRainMean = 0.80  // share, mean rain share of February-May days, range 0.76-0.84, worked out from seven stations (Milwaukee, three in Quebec, Bern, Wuerzburg, Grambek)
	FlyingDayH      = 1.0   // h of cleansing flight that make a flying day, range 0.5-2, assumed
	stepH           = 0.25  // h, step of the sum over the day; the grid is fixed so that more warmth or light never loses a step
)

// Hours gives the equivalent full hours of foraging and the hours of cleansing
// flight on one day, both 0 to the day length. Temperatures are C, rain is mm
// (NaN: not known, a mean share is used; below 0 counts as 0), latitude is
// degrees with |lat| <= 66, doy the day of the year. Extremes in the wrong order
// are swapped. An unknown temperature gives NaN for both.
//
// Foraging is the sum over daylight of temperature share x light share x rain
// share, see the package comment.
func Hours(tminC, tmaxC, precipMm, latDeg float64, doy int) (foragingH, cleansingH float64) {
	d := NewDaylight(latDeg, doy)
	return d.Hours(tminC, tmaxC, precipMm)
}

// Daylight is the course of the sun on one day of the year at one latitude, which is
// the same in every spring.
type Daylight struct {
	LengthH float64 // h, sunrise to sunset, as DayLengthH
	steps   [dayH/stepH + 1]daylightStep
	n       int // steps that are used
}

// daylightStep is one step of a day.
type daylightStep struct {
	warmth float64 // 0 at the day's minimum, 1 at its maximum
	light  float64 // share (0-1) of the light of full foraging
}

// NewDaylight works out the sun's course; arguments as in Hours.
func NewDaylight(latDeg float64, doy int) Daylight {
	lat, decl := latDeg*math.Pi/180, declinationRad(doy)
	base, swing := math.Sin(lat)*math.Sin(decl), math.Cos(lat)*math.Cos(decl)
	length := DayLengthH(latDeg, doy)
	c := newCurve(length)
	d := Daylight{LengthH: length}
	for h := math.Ceil((solarNoonH-length/2)/stepH-0.5)*stepH + stepH/2; h <= solarNoonH+length/2; h += stepH {
		sinHeight := base + swing*math.Cos((h-solarNoonH)*hourAngleDegPerH*math.Pi/180)
		d.steps[d.n] = daylightStep{warmth: c.byDay(h), light: min(1, clearSkyRadiationWm2(sinHeight)/ForageFullWm2)}
		d.n++
	}
	return d
}

// Hours is the package's Hours on this day.
func (d *Daylight) Hours(tminC, tmaxC, precipMm float64) (foragingH, cleansingH float64) {
	if math.IsNaN(tminC) || math.IsNaN(tmaxC) {
		return math.NaN(), math.NaN()
	}
	tminC, tmaxC = ordered(tminC, tmaxC)
	if tmaxC <= CleansingC-CleansingBandC {
		return 0, 0
	}
	var forage, cleanse float64
	for _, s := range d.steps[:d.n] {
		tempC := between(tminC, tmaxC, s.warmth)
		flying := share(tempC, CleansingC-CleansingBandC, CleansingC+CleansingBandC)
		if flying == 0 {
			continue
		}
		cleanse += flying
		if tempC > ForageStartC {
			forage += s.light * share(tempC, ForageStartC, ForageFullC)
		}
	}
	rain := RainShare(precipMm) * stepH
	return min(forage*rain, d.LengthH), min(cleanse*rain, d.LengthH)
}

// CleansingH is the hours of a day on which bees can fly out to empty
// themselves, in hours; see Hours for arguments and ranges.
func CleansingH(tminC, tmaxC, precipMm, latDeg float64, doy int) float64 {
	_, cleanse := Hours(tminC, tmaxC, precipMm, latDeg, doy)
	return cleanse
}

// CanFly tells whether the day has at least FlyingDayH of cleansing flight; else
// it is a non-flying day. A day of unknown temperature is not a flying day.
func CanFly(tminC, tmaxC, precipMm, latDeg float64, doy int) bool {
	return CleansingH(tminC, tmaxC, precipMm, latDeg, doy) >= FlyingDayH
}

// RainShare is the share (0-1) of a day's flight that a day's rain in mm leaves:
// RainLeastShare to the power of rain over RainFullMm, from 1 when dry to 0.1 at
// 10 mm and above. NaN gives UnknownRainMean.
func RainShare(precipMm float64) float64 {
	if math.IsNaN(precipMm) {
		return UnknownRainMean
	}
	return math.Pow(RainLeastShare, max(0, min(1, precipMm/RainFullMm)))
}

// share rises evenly from 0 at from to 1 at to.
func share(x, from, to float64) float64 {
	return max(0, min(1, (x-from)/(to-from)))
}
