package hindcast

import (
	"fmt"
	"time"

	"bloomgap/forage/scales"
	"bloomgap/sim/ensemble"
)

// The days between which a weighing may belong to a spring. Own judgement: by
// October the harvest is over and winter feeding nearly so; by the end of July
// dependable nectar has come everywhere that the model is for.
const (
	springFirstMonth = time.October
	springLastMonth  = time.July
)

// springOf is the year of the spring that a date belongs to, or, in August and
// September, that comes next.
func springOf(date time.Time) int {
	if date.Month() > springLastMonth {
		return date.Year() + 1
	}
	return date.Year()
}

// springLast is the last day on which the nectar of a spring is looked for.
func springLast(year int) time.Time {
	return time.Date(year, springLastMonth, 31, 0, 0, 0, 0, time.UTC)
}

// OutsideError tells that fewer than two weighings of a spring lie in the span of
// the model: from 1 October until dependable nectar has come.
type OutsideError struct {
	Spring int
	Ends   time.Time // the first flower, or the last day of the span; zero when the weather was not looked at
}

func (e OutsideError) Error() string {
	if e.Ends.IsZero() {
		return fmt.Sprintf("fewer than two weighings lie between 1 October %d and 31 July %d", e.Spring-1, e.Spring)
	}
	return fmt.Sprintf("fewer than two weighings of %d lie before the bloom of dependable nectar, %s", e.Spring, e.Ends.Format("2 January"))
}

// Springs parts the weighings of a hive by the springs that they belong to, in
// order of years, each from 1 October to 31 July: after that the model knows
// nothing of the hive. unused counts the weighings of August and September.
func Springs(h Hive) (springs []Hive, unused int) {
	for _, w := range h.Weighings {
		if m := w.Date.Month(); m > springLastMonth && m < springFirstMonth {
			unused++
			continue
		}
		n := len(springs)
		if n == 0 || springOf(springs[n-1].Weighings[0].Date) != springOf(w.Date) {
			one := h
			one.Weighings = nil
			springs = append(springs, one)
			n++
		}
		springs[n-1].Weighings = append(springs[n-1].Weighings, w)
	}
	return springs, unused
}

// withinSpan finds the bloom of the spring and cuts the weighings, of which there
// were n, to the span of the model: to the day by which dependable nectar has come
// in nine of ten members.
func (w *work) withinSpan(n int) error {
	r := w.r
	r.Pollen = w.datesOf(func(m *ensemble.Member) int { return m.PollenDay })
	r.Bloom = w.datesOf(func(m *ensemble.Member) int { return m.BloomDay })
	r.Nectar = w.datesOf(func(m *ensemble.Member) int { return m.NectarDay })
	if !w.opt.PastSpan && !r.Bloom.P90.IsZero() && !r.Bloom.P90.After(w.h.Weighings[0].Date) {
		return OutsideError{Spring: r.Spring, Ends: r.Bloom.P90}
	}
	if !w.opt.PastSpan && !r.Nectar.P90.IsZero() {
		w.h.Weighings = scales.Between(w.h.Weighings, time.Time{}, r.Nectar.P90)
	}
	if len(w.h.Weighings) < 2 {
		return OutsideError{Spring: r.Spring, Ends: r.Nectar.P90}
	}
	r.Beyond = n - len(w.h.Weighings)
	first, last := w.h.Weighings[0].Date, w.h.Weighings[len(w.h.Weighings)-1].Date
	w.days = dayNumber(first, last)
	for d := range w.days + 1 {
		r.Dates = append(r.Dates, first.AddDate(0, 0, d))
	}
	return nil
}
