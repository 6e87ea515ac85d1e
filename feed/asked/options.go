package asked

import (
	"fmt"
	"time"

	"bloomgap/feed/decide"
)

// Options are what a caller names beside the question.
type Options struct {
	ShiftDays int       // how late or early a spring is asked about, d, 1-30
	UnwrapOn  time.Time // the day a wrap would come off; zero: the next visit
	UnwrapKg  float64   // what that may cost, kg of stores, 0.1-10
}

// DefaultOptions are two weeks, as callers mostly say, and the next visit.
func DefaultOptions() Options { return Options{ShiftDays: 14, UnwrapKg: decide.UnwrapKg} }

// Bounds of Options: days beyond which it is another climate, and what can be told by
// hand up to all the food of a spring; own judgement.
const (
	leastShift, mostShift       = 1, 30   // d
	leastUnwrapKg, mostUnwrapKg = 0.1, 10 // kg
)

// Validate tells what is out of range.
func (o Options) Validate() error {
	switch {
	case o.ShiftDays < leastShift || o.ShiftDays > mostShift:
		return fmt.Errorf("a spring can be asked about %d to %d days late or early, not %d", leastShift, mostShift, o.ShiftDays)
	case !(o.UnwrapKg >= leastUnwrapKg && o.UnwrapKg <= mostUnwrapKg):
		return fmt.Errorf("what taking a wrap off may cost must lie between %g and %d kg, not %g", leastUnwrapKg, mostUnwrapKg, o.UnwrapKg)
	}
	return nil
}
