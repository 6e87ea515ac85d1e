package climate

import (
	"errors"
	"fmt"
	"math"
)

// WetMm is the rain in mm from which a day is wet, in Fit and in Generate.
const WetMm = 0.25 // mm/day, range 0.1-1, Richardson 1981 (0.01 inch)

// Bounds of what Validate lets through.
const (
	lowestC    = -60.0 // C, lowest plausible temperature, assumed for the cold-temperate zone
	highestC   = 50.0  // C, highest plausible temperature, assumed for the cold-temperate zone
	mostSDC    = 15.0  // C, largest plausible standard deviation of daily temperature, assumed
	mostRainMm = 1500  // mm/month, largest plausible rain, assumed
	mostSlow   = 0.9   // share, largest slow share that leaves room for day-to-day change, assumed
	mostSlowD  = 365.0 // days, longest memory of the slow part, assumed

)

// Normals is the climate of a place as the generator needs it. Arrays run from
// January to December. A float that is not known is NaN; Validate says which
// ones may be.
type Normals struct {
	Place  string  // name for tables
	Credit string  // credit line of the record it was worked out from
	Span   string  // years of that record
	LatDeg float64 // degrees, north positive; NaN when not known
	LonDeg float64 // degrees, east positive; NaN when not known
	ElevM  float64 // m above sea level; NaN when not known

	TmaxMeanC [12]float64 // C, mean daily maximum
	TminMeanC [12]float64 // C, mean daily minimum
	TmaxSDC   [12]float64 // C, standard deviation of a day's maximum around the mean of the season on that day
	TminSDC   [12]float64 // C, the same of the minimum
	PrecipMm  [12]float64 // mm a month; all NaN when rain is not known, then no rain is generated
	WetShare  [12]float64 // 0-1, share of days with WetMm or more; all NaN when rain is not known

	WetAfterWet   [12]float64 // 0-1, chance that a wet day follows a wet day
	RainShape     [12]float64 // shape of the gamma distribution of rain above WetMm on wet days; 1 is exponential
	TmaxWetDiffC  [12]float64 // C, mean maximum of wet days minus that of dry days
	TminWetDiffC  [12]float64 // C, the same of the minimum
	TmaxWetSpread [12]float64 // SD of the maximum on wet days over that on dry days
	TminWetSpread [12]float64 // the same of the minimum

	Memory Memory
}

// Memory says how a day's departure from the mean hangs together with the day
// before, month by month. Departures are counted in standard deviations, after
// the season and the difference between wet and dry days are taken out.
type Memory struct {
	MaxMin      [12]float64 // correlation of maximum and minimum of the same day
	MaxAfterMax [12]float64 // correlation of a maximum with the maximum of the day before
	MinAfterMin [12]float64 // of a minimum with the minimum of the day before
	MaxAfterMin [12]float64 // of a maximum with the minimum of the day before
	MinAfterMax [12]float64 // of a minimum with the maximum of the day before
	SlowShare   [12]float64 // 0-0.9, share of the variance that is slow
	SlowDays    float64     // days in which the slow part fades to 1/e
}

// HasRain tells whether the normals hold rain.
func (n Normals) HasRain() bool { return !math.IsNaN(n.WetShare[0]) }

// Validate says all that keeps the normals from being used, nil when nothing.
func (n Normals) Validate() error {
	var errs []error
	bad := func(format string, a ...any) {
		errs = append(errs, fmt.Errorf("climate of "+n.name()+": "+format, a...))
	}
	within := func(what string, v [12]float64, low, high float64) {
		for m, x := range v {
			if !(x >= low && x <= high) {
				bad("%s of %s is %g; give a figure from %g to %g", what, monthNames[m], x, low, high)
			}
		}
	}
	within("mean maximum in C", n.TmaxMeanC, lowestC, highestC)
	within("mean minimum in C", n.TminMeanC, lowestC, highestC)
	within("spread of the maximum in C", n.TmaxSDC, 0, mostSDC)
	within("spread of the minimum in C", n.TminSDC, 0, mostSDC)
	for m := range n.TmaxMeanC {
		if n.TminMeanC[m] > n.TmaxMeanC[m] {
			bad("mean minimum of %s (%g C) is above its mean maximum (%g C); check whether the two were swapped", monthNames[m], n.TminMeanC[m], n.TmaxMeanC[m])
		}
	}
	if n.HasRain() {
		within("rain in mm", n.PrecipMm, 0, mostRainMm)
		within("share of wet days", n.WetShare, 0, 1)
		within("chance of wet after wet", n.WetAfterWet, 0, 1)
		within("shape of rain amounts", n.RainShape, 0.1, 10)
		within("wet-dry difference of the maximum in C", n.TmaxWetDiffC, -mostSDC, mostSDC)
		within("wet-dry difference of the minimum in C", n.TminWetDiffC, -mostSDC, mostSDC)
		within("wet over dry spread of the maximum", n.TmaxWetSpread, 0.1, 10)
		within("wet over dry spread of the minimum", n.TminWetSpread, 0.1, 10)
	}
	within("slow share", n.Memory.SlowShare, 0, mostSlow)
	if d := n.Memory.SlowDays; !(d >= 1 && d <= mostSlowD) {
		bad("slow days is %g; give 1 to %g", d, mostSlowD)
	}
	for m := range 12 {
		if _, err := newResiduals(n.Memory, m); err != nil {
			bad("%s: %w", monthNames[m], err)
		}
	}
	return errors.Join(errs...)
}

func (n Normals) name() string {
	if n.Place == "" {
		return "an unnamed place"
	}
	return n.Place
}

// MeanC is the monthly mean temperature in C, half way between the mean extremes.
func (n Normals) MeanC() [12]float64 {
	var out [12]float64
	for m := range out {
		out[m] = (n.TmaxMeanC[m] + n.TminMeanC[m]) / 2
	}
	return out
}

var monthNames = [12]string{
	"January", "February", "March", "April", "May", "June",
	"July", "August", "September", "October", "November", "December",
}
