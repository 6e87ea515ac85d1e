package flight

import (
	"math"
)

// Constants of the daily temperature curve, Parton and Logan 1981.
const (
	maxLagH      = 1.86 // h, maximum after solar noon, range 1.5-3, Parton and Logan 1981 (air at 1.5 m)
	nightDecay   = 2.20 // decay over one night, range 1.5-3, Parton and Logan 1981 (air at 1.5 m)
	curveMinH    = 4.0  // h, shortest day the curve is drawn for; below twice maxLagH the maximum would fall after sunset
	curveMaxH    = 20.0 // h, longest day the curve is drawn for, to keep a night to cool in
	standardDayH = 12.0 // h, day length that WarmShare assumes
)

// curve is the shape of a day's temperature: 0 at the minimum, 1 at the maximum.
// With a day length D, and x hours after the time of the maximum, daylight has
// cos(pi x/(D+2a)), where a is the lag of the maximum. That is the published
// sine written from its top. The night decays from there to 0 at sunrise.
type curve struct {
	sunriseH, sunsetH float64
	span              float64 // D + 2a, h
	atSunset          float64 // height of the curve at sunset
}

func newCurve(dayLengthH float64) curve {
	d := max(curveMinH, min(curveMaxH, dayLengthH))
	c := curve{sunriseH: solarNoonH - d/2, sunsetH: solarNoonH + d/2, span: d + 2*maxLagH}
	c.atSunset = c.byDay(c.sunsetH)
	return c
}

// byDay is the height of the curve in daylight, at hour h of local solar time.
func (c curve) byDay(h float64) float64 {
	return max(0, math.Cos(math.Pi*(h-solarNoonH-maxLagH)/c.span))
}

// hoursAbove is how many of the 24 h the curve stands above a height w.
func (c curve) hoursAbove(w float64) float64 {
	switch {
	case w < 0:
		return dayH
	case w >= 1:
		return 0
	}
	top, half := solarNoonH+maxLagH, math.Acos(w)/math.Pi*c.span
	above := min(c.sunsetH, top+half) - max(c.sunriseH, top-half)
	if w < c.atSunset {
		night := dayH - (c.sunsetH - c.sunriseH)
		end := math.Exp(-nightDecay)
		above += night * min(1, -math.Log(w/c.atSunset*(1-end)+end)/nightDecay)
	}
	return above
}

// WarmShare is the share (0-1) of the 24 h in which the air is above a
// threshold in C, on the curve of Parton and Logan 1981 for a
// 12 h day, with the night stretched to end at the minimum. NaN in, NaN out.
func WarmShare(tminC, tmaxC, thresholdC float64) float64 {
	if math.IsNaN(tminC) || math.IsNaN(tmaxC) || math.IsNaN(thresholdC) {
		return math.NaN()
	}
	tminC, tmaxC = ordered(tminC, tmaxC)
	if thresholdC < tminC {
		return 1
	}
	if thresholdC >= tmaxC {
		return 0
	}
	return newCurve(standardDayH).hoursAbove((thresholdC-tminC)/(tmaxC-tminC)) / dayH
}

func ordered(a, b float64) (low, high float64) {
	if a > b {
		return b, a
	}
	return a, b
}

func between(low, high, share float64) float64 { return low + (high-low)*share }
