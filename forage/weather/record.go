// Package weather reads daily weather records and says how good they are.
package weather

import (
	"math"
	"time"
)

// Day is one calendar day of a record. A value that is not known is NaN.
type Day struct {
	TminC    float64 // lowest air temperature, C
	TmaxC    float64 // highest air temperature, C
	PrecipMm float64 // rain and melted snow, mm
}

// HasTemp tells whether both temperatures are known.
func (d Day) HasTemp() bool { return !math.IsNaN(d.TminC) && !math.IsNaN(d.TmaxC) }

// Station is what a record says about its place; what is not known is NaN or "".
type Station struct {
	ID, Name       string
	LatDeg, LonDeg float64 // degrees, north and east positive
	ElevM          float64 // m above sea level
}

// Record is a run of calendar days without a hole: Days[i] is First plus i days.
// A day that the source lacks is there with NaN values.
type Record struct {
	Name    string // short name for tables and messages
	Layout  string // which published layout it was read from
	Station Station
	First   time.Time // midnight UTC
	Days    []Day
}

// Index gives the place of a date in Days; it may lie outside.
func (r *Record) Index(date time.Time) int {
	return int(math.Round(date.Sub(r.First).Hours() / 24))
}

// At returns the day of a date, and false outside the record or where no
// temperature is known.
func (r *Record) At(date time.Time) (Day, bool) {
	i := r.Index(date)
	if i < 0 || i >= len(r.Days) || !r.Days[i].HasTemp() {
		return Day{TminC: math.NaN(), TmaxC: math.NaN(), PrecipMm: math.NaN()}, false
	}
	return r.Days[i], true
}

// Last is the date of the last day, the zero time for an empty record.
func (r *Record) Last() time.Time {
	if len(r.Days) == 0 {
		return time.Time{}
	}
	return r.First.AddDate(0, 0, len(r.Days)-1)
}
