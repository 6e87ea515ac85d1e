package weather

import (
	"bloomgap/forage/read"
	"fmt"
	"time"
)

// MonthDay is a day of any year.
type MonthDay struct {
	Month time.Month
	Day   int
}

// In is the date in a year; 29 February is 28 February in a common year.
func (m MonthDay) In(year int) time.Time {
	day := m.Day
	if n := read.MonthLength(year, int(m.Month)); day > n {
		day = n
	}
	return time.Date(year, m.Month, day, 0, 0, 0, 0, time.UTC)
}

func (m MonthDay) String() string { return fmt.Sprintf("%02d-%02d", int(m.Month), m.Day) }

// Validate tells whether the day is in the calendar.
func (m MonthDay) Validate() error {
	if m.Month < time.January || m.Month > time.December || m.Day < 1 || m.Day > read.MonthLength(2000, int(m.Month)) {
		return fmt.Errorf("month %d day %d is not in the calendar; write it as mm-dd, such as 03-01", int(m.Month), m.Day)
	}
	return nil
}

// ParseMonthDay reads mm-dd, such as 03-01 for 1 March.
func ParseMonthDay(s string) (MonthDay, error) {
	t, err := time.Parse("2006-1-2", "2000-"+s)
	if err != nil {
		return MonthDay{}, fmt.Errorf("%q is no day of the year; write it as mm-dd, such as 03-01", s)
	}
	return MonthDay{t.Month(), t.Day()}, nil
}

// window is the span from..to that ends in a year. A window whose from is later
// in the year than its to begins in the year before.
func window(from, to MonthDay, year int) Span {
	s := Span{from.In(year), to.In(year)}
	if s.First.After(s.Last) {
		s.First = from.In(year - 1)
	}
	return s
}

// checkWindow panics on a day that is not in the calendar: it comes from code.
func checkWindow(from, to MonthDay) {
	if from.Validate() != nil || to.Validate() != nil {
		panic("weather: a day of the year is not in the calendar")
	}
}
