package bloom

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"bloomgap/forage/weather"
)

// FitOptions steer Fit. Use DefaultFitOptions.
type FitOptions struct {
	Plant string // name that the fitted threshold gets
	Role  Role   // role that it gets

	// Prior is the rule whose start day and base are held when there are few
	// years, or when fitting them does not pay. nil means base 0 C from
	// 1 January.
	Prior *Threshold

	MinYears     int     // fewest usable years, 5 or more
	FewYears     int     // below this many years start day and base are not fitted, 5-30
	ManyYears    int     // from this many years on a rule between the plainest and the richest is tried, FewYears-100
	MinBaseC     float64 // lowest base tried, C
	MaxBaseC     float64 // highest base tried, C
	StepBaseC    float64 // step of the base, C, 0.25-5
	EarliestDOY  int     // earliest start day tried, day of a common year, -120 to 300; a plant that never blooms before March is not tried before 1
	SimplerShare float64 // a richer rule must cut the left-out error by this share, 0-0.5
}

// DefaultFitOptions are fit for plants of the cold-temperate north. The values
// are chosen here: five years is the least that leaves four to fit from when
// one is set aside; under ten years three fitted numbers follow the noise. The
// coarse grid (half months, steps of 2 C) is on purpose: a grid of single days
// and degrees fitted the known years better and the left-out ones worse (see
// the package comment).
func DefaultFitOptions() FitOptions {
	return FitOptions{MinYears: 5, FewYears: 10, ManyYears: 20, MinBaseC: -2, MaxBaseC: 8, StepBaseC: 2,
		EarliestDOY: -30, SimplerShare: 0.05}
}

// Validate says what is out of range, all of it in one error.
func (o FitOptions) Validate() error {
	var errs []error
	bad := func(name string, v, lo, hi float64) {
		if !(v >= lo && v <= hi) {
			errs = append(errs, fmt.Errorf("fit: %s is %g, it must lie between %g and %g", name, v, lo, hi))
		}
	}
	bad("fewest years", float64(o.MinYears), 5, 100)
	bad("few years", float64(o.FewYears), 5, 30)
	bad("many years", float64(o.ManyYears), float64(o.FewYears), 100)
	bad("lowest base", o.MinBaseC, -10, 20)
	bad("highest base", o.MaxBaseC, o.MinBaseC, 20)
	bad("step of the base", o.StepBaseC, 0.25, 5)
	bad("earliest start day", float64(o.EarliestDOY), -120, 300)
	bad("share for a richer rule", o.SimplerShare, 0, 0.5)
	if o.Prior != nil {
		p := *o.Prior
		p.NeedCd = 1
		errs = append(errs, p.Validate())
	}
	return errors.Join(errs...)
}

// Dropped is a date note that was not used, and why.
type Dropped struct {
	Observation Observation
	Reason      string
}

// TooFewError says that there are not enough usable years to fit.
type TooFewError struct {
	Usable, Need int
	Dropped      []Dropped
}

func (e TooFewError) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d usable years of bloom dates, %d are needed", e.Usable, e.Need)
	for _, d := range e.Dropped {
		fmt.Fprintf(&b, "\n  %s not used: %s", d.Observation.Date.Format(time.DateOnly), d.Reason)
	}
	if len(e.Dropped) == 0 {
		b.WriteString("; write down more years, or use a built-in threshold until then")
	}
	return b.String()
}

// MixedError says that the notes are of several plants, places or stages, which one
// sum cannot serve.
type MixedError struct{ Plants, Places, Stages []string }

func (e MixedError) Error() string {
	if len(e.Plants) > 1 {
		return fmt.Sprintf("the dates are of several plants (%s); choose one of them", strings.Join(e.Plants, ", "))
	}
	if len(e.Places) > 1 {
		return fmt.Sprintf("the dates are of several places (%s); choose one of them", strings.Join(e.Places, ", "))
	}
	return fmt.Sprintf("the dates are of several stages (%s); choose one of them", strings.Join(e.Stages, ", "))
}

// YearFit is one year of a fit.
type YearFit struct {
	Year             int       // the spring's year
	Observed         time.Time // the note
	Fitted           time.Time // date of the returned threshold
	LeftOut          time.Time // date of the rule fitted to all other years
	FittedErrorDays  float64   // Fitted minus Observed
	LeftOutErrorDays float64   // LeftOut minus Observed
}

// FitResult is what Fit found.
type FitResult struct {
	Threshold Threshold // SpreadDays is the left-out error, at least 1 day
	Rule      string    // "sum only", "start day and sum" or "start day, base and sum"
	Years     []YearFit // in order of time
	Dropped   []Dropped // notes not used

	FitRMSEDays     float64 // error on the years that it was fitted to: too rosy, for comparison only
	LeftOutRMSEDays float64 // error on years it had not seen, the choice of rule and all three numbers redone each time
	SDDays          float64 // SD of the dates themselves (n-1)

	MeanDOY             float64 // mean date, as day of the calendar year (may be 0 or less for December)
	MeanLeftOutRMSEDays float64 // error of the mean of all other years
	UseMeanDate         bool    // the mean date is as good: use it with MeanLeftOutRMSEDays as spread

	Candidates []Candidate // what was compared on years left out, in the order of Way
	Winner     Way         // of them
}

// Way is a way to tell the date of a bloom.
type Way string

// The ways.
const (
	FromNewYear Way = "from new year" // thermal time above 0 C from 1 January (or by FitOptions.Prior), only the sum fitted
	FittedStart Way = "fitted start"  // thermal time with the start day, or start day and base, fitted as well
	MeanDate    Way = "mean date"     // of the other years
)

// Candidate is a way and its error on years that it had not seen.
type Candidate struct {
	Way             Way
	StartDOY        int     // first day that counts, of a common year; the first day of the weather when that is later than the way's
	LeftOutRMSEDays float64 // NaN: not tried, with so few years
}

// minSpreadDays is the least spread given to a fit: two people seldom agree on
// "first bloom" to better than a day (days, 0.5-2; common practice).
const (
	minSpreadDays = 1.0
	maxSpreadDays = 60.0 // the most that Threshold allows, days
)

// spring is one year's weather and note, ready to be searched.
type spring struct {
	obs      Observation
	year     int
	leap     bool
	firstDOY int       // day of the year of lo[0]
	lo, hi   []float64 // C, gaps bridged
	day      int       // bloom, as day of the year
}

// form is a rule without its sum.
type form struct {
	startDOY int
	baseC    float64
	weights  [12]float64
	raise    bool
}

// Fit finds the start day, base and sum that put the bloom dates nearest to
// the notes (least squares of the dates, every combination tried).
//
// One note a year is used (the first). A year is dropped when its weather has
// a hole of more than MaxFillDays, does not reach the bloom, or begins too
// late; when its date lies far (more than 60 days, and more than five times
// the usual scatter) from the middle of the others. Notes of November and
// December count to the next spring when most dates lie in November-April. The
// southern half of the world, where the season straddles the New Year, is not
// covered.
//
// Errors: MixedError; TooFewError; the errors of opt.Validate.
func Fit(ctx context.Context, notes []Observation, rec *weather.Record, opt FitOptions) (FitResult, error) {
	if err := opt.Validate(); err != nil {
		return FitResult{}, err
	}
	plants, places := Kinds(notes)
	if stages := Stages(notes); len(plants) > 1 || len(places) > 1 || len(stages) > 1 {
		return FitResult{}, MixedError{plants, places, stages}
	}
	springs, firstDOY, dropped := prepare(notes, rec, opt)
	if len(springs) < opt.MinYears {
		return FitResult{}, TooFewError{Usable: len(springs), Need: opt.MinYears, Dropped: dropped}
	}
	models := rules(springs, firstDOY, opt)
	found := make([]*searched, len(models))
	for i, m := range models {
		var err error
		if found[i], err = search(ctx, m.forms, springs); err != nil {
			return FitResult{}, err
		}
	}
	return report(springs, models, found, dropped, opt), nil
}

type rule struct {
	name  string
	forms []form
}

// rules lists the candidates, the plainest first.
func rules(springs []spring, firstDOY int, opt FitOptions) []rule {
	prior := form{startDOY: 1}
	if p := opt.Prior; p != nil {
		prior = form{startDOY: p.StartDOY, baseC: p.BaseC, weights: p.MonthWeights, raise: p.RaiseMinToBase}
	}
	last := springs[0].day
	for _, s := range springs {
		last = min(last, s.day)
	}
	last = min(last-daysMinStart, 300) // 300: the latest that Threshold allows
	prior.startDOY = min(max(prior.startDOY, firstDOY), max(firstDOY, last))
	var starts, grid []form
	for _, start := range halfMonths(firstDOY, max(firstDOY, last)) {
		starts = append(starts, form{startDOY: start})
		for b := opt.MinBaseC; b <= opt.MaxBaseC+1e-9; b += opt.StepBaseC {
			grid = append(grid, form{startDOY: start, baseC: b})
		}
	}
	sumOnly := rule{name: "sum only", forms: []form{prior}}
	startToo := rule{name: "start day and sum", forms: append([]form{prior}, starts...)}
	all := rule{name: "start day, base and sum", forms: append(grid, prior)}
	switch n := len(springs); {
	case n < opt.FewYears:
		return []rule{sumOnly}
	case n < opt.ManyYears:
		return []rule{sumOnly, all}
	default:
		return []rule{sumOnly, startToo, all}
	}
}

// halfMonths lists the first and the sixteenth of the months from one day of a
// common year to another; when there is none, the first of the two days.
func halfMonths(from, to int) []int {
	var out []int
	for doy := from; doy <= to; doy++ {
		d := time.Date(2001, time.January, doy, 0, 0, 0, 0, time.UTC).Day() // any common year
		if d == 1 || d == 16 {
			out = append(out, doy)
		}
	}
	if len(out) == 0 {
		out = append(out, from)
	}
	return out
}
