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

	Removed    []Removed   // values of the source that were made missing
	Duplicates []time.Time // dates that one source gave more than once
	Filled     []Span      // runs of days whose temperatures Fill made up
}

// Element is one of the three daily quantities of a record.
type Element uint8

// The elements of a record.
const (
	Tmin   Element = iota // lowest temperature, C
	Tmax                  // highest temperature, C
	Precip                // rain and melted snow, mm
)

func (e Element) String() string {
	switch e {
	case Tmin:
		return "lowest temperature"
	case Tmax:
		return "highest temperature"
	default:
		return "precipitation"
	}
}

// Reason tells why a value was made missing.
type Reason uint8

// The reasons.
const (
	Flagged    Reason = iota // the service's own quality check failed it
	Impossible               // outside LowestC..HighestC or 0..MostPrecipMm
	Crossed                  // the day's lowest is above its highest
)

func (r Reason) String() string {
	switch r {
	case Flagged:
		return "marked as failed by the weather service"
	case Impossible:
		return "impossible value"
	default:
		return "lowest above highest"
	}
}

// Removed is one value that was in the source and was made missing.
type Removed struct {
	Date    time.Time
	Element Element
	Value   float64 // C or mm, by Element
	Reason  Reason
	File    string // "" when the record was not read from a file
	Line    int    // 1-based; 0 when not known
}

// Span is a run of calendar days, both ends included.
type Span struct {
	First, Last time.Time
}

// Days is the length of the span in days.
func (s Span) Days() int { return int(math.Round(s.Last.Sub(s.First).Hours()/24)) + 1 }

// Limits of what is taken for a real value; beyond them it is made missing.
const (
	LowestC      = -70.0  // C; the lowest in a lived-in place is about -68 (Verkhoyansk and Oymyakon, from memory)
	HighestC     = 60.0   // C; the highest known is 56.7, Death Valley 1913 (World Meteorological Organization, from memory)
	MostPrecipMm = 1500.0 // mm a day; only a few tropical storms gave more (record 1825 mm, Reunion 1966, from memory)
)

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

// Date is the calendar date of Days[i].
func (r *Record) Date(i int) time.Time { return r.First.AddDate(0, 0, i) }

// Clone returns a copy that shares nothing with the record.
func (r *Record) Clone() *Record {
	c := *r
	c.Days = append([]Day(nil), r.Days...)
	c.Removed = append([]Removed(nil), r.Removed...)
	c.Duplicates = append([]time.Time(nil), r.Duplicates...)
	c.Filled = append([]Span(nil), r.Filled...)
	return &c
}
