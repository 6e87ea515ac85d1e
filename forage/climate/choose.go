package climate

import (
	"errors"
	"fmt"
	"math"
)

// What a kilometre, a degree and a metre are worth in the choice of a climate.
const (
	cPerLatDeg = 0.7    // C/degree, fall of yearly mean temperature with latitude, range 0.5-1, common practice
	cPerLonDeg = 0.1    // C/degree, what a degree of longitude is worth, range 0.05-0.2, assumed
	cPerM      = 0.0065 // C/m, fall with height, range 0.005-0.007, International Standard Atmosphere
)

// Builtin lists the built-in climates, worked out from daily records of the
// cold-temperate zone. Each carries its credit line and its years. Grand Forks
// holds no rain. The caller may change what is returned.
func Builtin() []Normals { return builtin() }

// NearestAt chooses the built-in climate of a place by latitude, longitude (degrees,
// north and east positive) and height (m): the one whose latitude, at 0.7 C a degree,
// longitude, at 0.1 C a degree, and height, at 0.65 C per 100 m, differ least (root of
// the sum of squares). The longitude parts continents but weighs little within one.
// South of the equator the months would be turned round, so only northern latitudes
// make sense. What is not known (NaN) is left out. Use FromMonthly when 12 mean
// temperatures are known.
func NearestAt(latDeg, lonDeg, elevM float64) Normals {
	all := builtin()
	best, least := 0, math.Inf(1)
	for i, n := range all {
		var off float64
		for _, d := range [...]float64{(n.LatDeg - latDeg) * cPerLatDeg, (n.LonDeg - lonDeg) * cPerLonDeg, (n.ElevM - elevM) * cPerM} {
			if !math.IsNaN(d) {
				off += d * d
			}
		}
		if off < least {
			best, least = i, off
		}
	}
	return all[best]
}

// Monthly is what a user can type when there is no daily record.
type Monthly struct {
	Place  string      // name for tables
	LatDeg float64     // degrees, NaN when not known; kept, not used
	ElevM  float64     // m, NaN when not known; kept, not used
	MeanC  [12]float64 // C, monthly mean temperatures, needed
	SwingC [12]float64 // C, mean daily maximum minus mean daily minimum; NaN borrows
	RainMm [12]float64 // mm a month; NaN borrows
}

// Constants of FromMonthly.
const (
	likenessFloorC = 0.05 // C, likeness beyond which two climates count as the same, assumed
	likenessPower  = 4.0  // weight falls with this power of the difference, range 2-6, assumed
	rainToDays     = 0.5  // share of a difference in rain (in logs) that goes to more wet days, the rest to more rain a day, assumed
)

// FromMonthly makes normals from 12 monthly mean temperatures and, if known, the
// daily swing and the rain. All else is borrowed from the built-in climates,
// weighted by the inverse fourth power of how far their 12 monthly means lie apart
// (root mean square, C), so that a place between two gets figures between theirs.
// Rain and what hangs on it is borrowed from those that hold rain. Where typed rain
// differs from the borrowed, half of the ratio (in logs) goes to the number of wet
// days and half to the rain on each.
//
// The error says which figures are missing or out of range.
func FromMonthly(typed Monthly) (Normals, error) {
	var errs []error
	for m, c := range typed.MeanC {
		if !(c >= lowestC && c <= highestC) {
			errs = append(errs, fmt.Errorf("mean temperature of %s is %g C; give a figure from %g to %g", monthNames[m], c, lowestC, highestC))
		}
		if s := typed.SwingC[m]; !math.IsNaN(s) && !(s > 0 && s <= 30) {
			errs = append(errs, fmt.Errorf("daily swing of %s is %g C; give a figure above 0 and up to 30, or leave it out", monthNames[m], s))
		}
		if r := typed.RainMm[m]; !math.IsNaN(r) && !(r >= 0 && r <= mostRainMm) {
			errs = append(errs, fmt.Errorf("rain of %s is %g mm; give a figure from 0 to %d, or leave it out", monthNames[m], r, mostRainMm))
		}
	}
	if len(errs) > 0 {
		return Normals{}, errors.Join(errs...)
	}
	return fromMonthly(typed, builtin())
}

func fromMonthly(typed Monthly, table []Normals) (Normals, error) {
	n := blend(typed.MeanC, table)
	n.Place, n.LatDeg, n.LonDeg, n.ElevM = typed.Place, typed.LatDeg, math.NaN(), typed.ElevM
	n.Credit = "monthly figures as typed; spread, wet days and persistence after the built-in climates"
	for m := range 12 {
		swing := n.TmaxMeanC[m] - n.TminMeanC[m]
		if s := typed.SwingC[m]; !math.IsNaN(s) {
			swing = s
		}
		n.TmaxMeanC[m], n.TminMeanC[m] = typed.MeanC[m]+swing/2, typed.MeanC[m]-swing/2
		if r := typed.RainMm[m]; !math.IsNaN(r) {
			ratio := math.Pow(r/n.PrecipMm[m], rainToDays)
			share := math.Max(leastChance, math.Min(0.95, n.WetShare[m]*ratio))
			// The wetter month keeps the same share of its wet days in runs.
			fade := (n.WetAfterWet[m] - n.WetShare[m]) / (1 - n.WetShare[m])
			n.WetShare[m], n.WetAfterWet[m] = share, share+fade*(1-share)
			n.PrecipMm[m] = math.Max(r, share*float64(monthLengths[m])*WetMm)
		}
	}
	return n, n.Validate()
}

// blend is the weighted mean of climates by likeness of their monthly means.
func blend(meanC [12]float64, table []Normals) Normals {
	var n Normals
	temps, rains := n.arrays()
	var all, rainy float64
	for _, from := range table {
		var square float64
		for m, c := range from.MeanC() {
			square += (c - meanC[m]) * (c - meanC[m]) / 12
		}
		w := math.Pow(math.Max(likenessFloorC, math.Sqrt(square)), -likenessPower)
		fromTemps, fromRains := from.arrays()
		all += w
		n.Memory.SlowDays += w * from.Memory.SlowDays
		for i, a := range fromTemps {
			addTo(temps[i], a, w)
		}
		if from.HasRain() {
			rainy += w
			for i, a := range fromRains {
				addTo(rains[i], a, w)
			}
		}
	}
	n.Memory.SlowDays /= all
	for _, a := range temps {
		scale(a, 1/all)
	}
	for _, a := range rains {
		scale(a, 1/rainy)
	}
	return n
}

// arrays lists what every climate holds, and what only one with rain does.
func (n *Normals) arrays() (temps, rains []*[12]float64) {
	m := &n.Memory
	return []*[12]float64{
			&n.TmaxMeanC, &n.TminMeanC, &n.TmaxSDC, &n.TminSDC,
			&m.MaxMin, &m.MaxAfterMax, &m.MinAfterMin, &m.MaxAfterMin, &m.MinAfterMax, &m.SlowShare,
		}, []*[12]float64{
			&n.PrecipMm, &n.WetShare, &n.WetAfterWet, &n.RainShape,
			&n.TmaxWetDiffC, &n.TminWetDiffC, &n.TmaxWetSpread, &n.TminWetSpread,
		}
}

func addTo(sum, a *[12]float64, weight float64) {
	for m := range sum {
		sum[m] += weight * a[m]
	}
}

func scale(a *[12]float64, by float64) {
	for m := range a {
		a[m] *= by
	}
}
