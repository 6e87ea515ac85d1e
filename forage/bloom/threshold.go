package bloom

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bloomgap/forage/weather"
)

// MaxFillDays is the longest run of days without temperatures that is bridged
// by a straight line between its neighbours (days; 0-14 would be sane; chosen
// here: in spring a week of two-degree errors is about two days of bloom).
const MaxFillDays = 7

// Role says what a plant is worth to a colony that is short of stores.
type Role int

// The roles, in rising worth.
const (
	PollenOnly       Role = iota // pollen, stores at best break even
	SomeNectar                   // some nectar, not to be relied on
	DependableNectar             // first nectar that can end feeding
)

// String gives the role in plain words.
func (r Role) String() string {
	switch r {
	case PollenOnly:
		return "pollen only"
	case SomeNectar:
		return "some nectar"
	case DependableNectar:
		return "dependable nectar"
	}
	return fmt.Sprintf("role %d", int(r))
}

// Stage says how far a plant has come, since first flower and full bloom lie days
// apart and trees of a kind differ. "" is not told; notes may also hold other words.
type Stage string

// The stages.
const (
	FirstFlower Stage = "first flower" // the first open flower seen
	FullBloom   Stage = "full bloom"   // most flowers open
)

// ParseStage reads a stage as keepers write it; other words stay as they are, in
// lower case.
func ParseStage(text string) Stage {
	words := strings.Fields(strings.ToLower(text))
	has := func(list ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) })
	}
	switch {
	case has("full", "peak"):
		return FullBloom
	case has("first", "begin", "beginning", "start"):
		return FirstFlower
	}
	return Stage(strings.Join(words, " "))
}

// Status says how a figure came here.
type Status string

// How a figure came here.
const (
	Read   Status = "read"   // seen in its source
	Worked Status = "worked" // worked out here from records, with the credit in Source
	Chosen Status = "chosen" // nobody published it; the reason stands in Note
	Fitted Status = "fitted" // from the user's own dates
	Memory Status = "memory" // from memory, not seen again
)

// Threshold is a thermal-time rule for one plant: warmth is added up from a
// start day, and the plant blooms on the first day on which the sum is at
// least NeedCd.
//
// The warmth of a day, in C-days, is
//
//	w(month) * max(0, (tmin+tmax)/2 - BaseC)
//
// or, with RaiseMinToBase (the American base 50 F rule),
//
//	w(month) * ((max(tmin,BaseC)+max(tmax,BaseC))/2 - BaseC)
//
// so that a maximum of 61 F over a minimum of 40 F gives 5.5 F-days.
type Threshold struct {
	Plant          string      // as a beekeeper says it
	Stage          Stage       // which the sum is for
	Form           string      // name of the rule, to tell two rules for a plant apart
	BaseC          float64     // C, -10 to 20
	StartDOY       int         // first day counted, of a common year: 1 is 1 January, 91 is always 1 April, 0 is 31 December before; -120 to 300
	NeedCd         float64     // C-days, more than 0
	MonthWeights   [12]float64 // January first, 0 to 1; all zero means 1 for each month
	RaiseMinToBase bool        // raise the minimum (and maximum) to the base before the mean
	SpreadDays     float64     // SD of the date's error, days, 0 to 60
	SpreadStatus   Status      // how SpreadDays came here
	Role           Role
	Source         string // where NeedCd, BaseC and StartDOY come from
	Status         Status // how they came here
	Note           string // what to know before trusting it; may be empty
}

// GrasslandWeights are the month weights of the European grassland sum: a half
// for January, three quarters for February, then one (beekeepers'
// associations; read).
func GrasslandWeights() [12]float64 {
	return [12]float64{0.5, 0.75, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1}
}

// FahrenheitDays turns a sum in F-days into C-days.
func FahrenheitDays(fd float64) float64 { return fd * 5 / 9 }

// base50FC is 50 F in C (exact).
const base50FC = 10.0

// Validate says what is out of range, all of it in one error.
func (th Threshold) Validate() error {
	var errs []error
	bad := func(name string, v, lo, hi float64, unit string) {
		if !(v >= lo && v <= hi) {
			errs = append(errs, fmt.Errorf("%s: %s is %g %s, it must lie between %g and %g", th.Plant, name, v, unit, lo, hi))
		}
	}
	bad("base", th.BaseC, -10, 20, "C")
	bad("start day", float64(th.StartDOY), -120, 300, "of the year")
	bad("sum needed", th.NeedCd, 1e-6, 10000, "C-days")
	bad("spread", th.SpreadDays, 0, 60, "days")
	for m, w := range th.MonthWeights {
		bad(fmt.Sprintf("weight of month %d", m+1), w, 0, 1, "")
	}
	return errors.Join(errs...)
}

// DayCd is the warmth of one day in C-days, before the weight of its month;
// NaN when a temperature is not known.
func (th Threshold) DayCd(tminC, tmaxC float64) float64 {
	if th.RaiseMinToBase {
		return (math.Max(tminC, th.BaseC)+math.Max(tmaxC, th.BaseC))/2 - th.BaseC
	}
	return math.Max(0, (tminC+tmaxC)/2-th.BaseC)
}

// weight of the month that a day of the year lies in; doy 0 is 31 December.
func (th *Threshold) weight(doy int, leap bool) float64 {
	if th.MonthWeights == ([12]float64{}) {
		return 1
	}
	return th.MonthWeights[monthOf(doy, leap)]
}

var monthEnds = [12]int{31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365}

// monthOf gives the month, 0 to 11, of a day of the year in a common or a leap
// year. Days before 1 January belong to the end of the year before.
func monthOf(doy int, leap bool) int {
	if leap && doy >= 60 {
		doy-- // 29 February becomes 28 February, the rest fall into place
		if doy == 59 {
			return 1
		}
	}
	for doy < 1 {
		doy += 365
	}
	for doy > 365 {
		doy -= 365
	}
	for m, end := range monthEnds {
		if doy <= end {
			return m
		}
	}
	return 11
}

// startIn is StartDOY on the calendar of the year at hand.
func (th *Threshold) startIn(leap bool) int { return shiftDOY(th.StartDOY, leap) }

func shiftDOY(commonDOY int, leap bool) int {
	if leap && commonDOY >= 60 {
		return commonDOY + 1
	}
	return commonDOY
}

func isLeap(year int) bool { return year%4 == 0 && (year%100 != 0 || year%400 == 0) }

// outcome of adding warmth up along a run of days.
type outcome int

const (
	reached     outcome = iota
	notYet              // the days end before the sum is reached
	gapTooLong          // more than MaxFillDays without temperatures before it is reached
	startsLater         // the days begin too long after the start day
)

func (o outcome) String() string {
	return [...]string{"reached", "the sum is not reached by the last day of weather",
		fmt.Sprintf("more than %d days in a row have no temperature", MaxFillDays),
		"the weather begins after the day that the sum starts on"}[o]
}

// walk adds the warmth of n days up; day 0 is day firstDOY of the year. It
// calls each, when not nil, with every day that counts and the sum up to it.
// It returns the place of the day that reaches the sum.
func (th *Threshold) walk(n, firstDOY int, leap bool, at func(i int) (tminC, tmaxC float64), each func(i int, sumCd float64)) (int, outcome) {
	start := th.startIn(leap) - firstDOY // place of the first day counted
	late := max(0, -start)               // days of the sum that lie before the record
	if late > MaxFillDays {
		return -1, startsLater
	}
	sum := 0.0
	for i := max(0, start); i < n; i++ {
		lo, hi := at(i)
		if math.IsNaN(lo) || math.IsNaN(hi) {
			var o outcome
			if lo, hi, o = bridge(n, i, late, at); o != reached {
				return -1, o
			}
		}
		cd := th.DayCd(lo, hi) * th.weight(firstDOY+i, leap)
		if i == 0 && late > 0 {
			// The few days before the record are taken to be like its first.
			for d := 1; d <= late; d++ {
				sum += th.DayCd(lo, hi) * th.weight(firstDOY-d, leap)
			}
		}
		sum += cd
		if each != nil {
			each(i, sum)
		}
		if sum >= th.NeedCd {
			return i, reached
		}
	}
	return -1, notYet
}

// bridge gives the temperatures of a day without them from the known days on
// both sides, in a straight line; before the first known day, that day's.
func bridge(n, i, late int, at func(int) (float64, float64)) (lo, hi float64, o outcome) {
	known := func(k int) bool { a, b := at(k); return !math.IsNaN(a) && !math.IsNaN(b) }
	p, q := i-1, i+1
	for p >= 0 && i-p <= MaxFillDays && !known(p) {
		p--
	}
	for q < n && q-i <= MaxFillDays && !known(q) {
		q++
	}
	if q >= n {
		return 0, 0, notYet
	}
	run := q - p - 1
	if p < 0 {
		run += late
	}
	if run > MaxFillDays || !known(q) {
		return 0, 0, gapTooLong
	}
	qlo, qhi := at(q)
	if p < 0 {
		return qlo, qhi, reached
	}
	plo, phi := at(p)
	f := float64(i-p) / float64(q-p)
	return plo + f*(qlo-plo), phi + f*(qhi-phi), reached
}

// FirstReached adds warmth up along a spring given as minima and maxima, C,
// whose first day is day firstDOY of a common year (1 is 1 January, 0 the day
// before). It returns the place in the slices of the first day on which the
// sum is at least NeedCd. ok is false when the slices end before that, begin
// more than MaxFillDays after StartDOY, or lack more than MaxFillDays in a row
// (NaN); shorter gaps are bridged by a straight line. It allocates nothing.
// Slices of unequal length are a programmer's error.
func (th Threshold) FirstReached(tminC, tmaxC []float64, firstDOY int) (index int, ok bool) {
	if len(tminC) != len(tmaxC) {
		panic("bloom: minima and maxima of unequal length")
	}
	i, o := th.walk(len(tminC), firstDOY, false, func(i int) (float64, float64) { return tminC[i], tmaxC[i] }, nil)
	return i, o == reached
}

// DateReached gives the date on which the sum is reached in a year of a
// record. ok is false as for FirstReached.
func (th Threshold) DateReached(rec *weather.Record, year int) (date time.Time, ok bool) {
	date, o := th.dateReached(rec, year)
	return date, o == reached
}

func (th *Threshold) dateReached(rec *weather.Record, year int) (time.Time, outcome) {
	n, firstDOY, at := yearView(rec, year)
	i, o := th.walk(n, firstDOY, isLeap(year), at, nil)
	if o != reached {
		return time.Time{}, o
	}
	return jan1(year).AddDate(0, 0, firstDOY-1+i), o
}

// Sum gives the warmth of a year's spring added up from the start day to the
// date, both counted, in C-days: 0 before the start day, NaN where the record
// does not allow it. The date may lie in the year before.
func (th Threshold) Sum(rec *weather.Record, year int, date time.Time) float64 {
	n, firstDOY, at := yearView(rec, year)
	doy := 1 + int(math.Round(date.Sub(jan1(year)).Hours()/24))
	if doy < th.startIn(isLeap(year)) {
		return 0
	}
	want := doy - firstDOY
	sum := math.NaN()
	th.NeedCd = math.Inf(1)
	th.walk(min(n, want+1+MaxFillDays+1), firstDOY, isLeap(year), at, func(i int, s float64) {
		if i == want {
			sum = s
		}
	})
	return sum
}

// yearView shows the days of a record from 1 September of the year before to
// the end of the year; firstDOY is the day of the year of its first day.
func yearView(rec *weather.Record, year int) (n, firstDOY int, at func(int) (float64, float64)) {
	from := max(0, rec.Index(time.Date(year-1, time.September, 1, 0, 0, 0, 0, time.UTC)))
	to := min(len(rec.Days), rec.Index(jan1(year+1)))
	firstDOY = 1 + from - rec.Index(jan1(year))
	return max(0, to-from), firstDOY, func(i int) (float64, float64) {
		d := rec.Days[from+i]
		return d.TminC, d.TmaxC
	}
}

func jan1(year int) time.Time { return time.Date(year, time.January, 1, 0, 0, 0, 0, time.UTC) }
