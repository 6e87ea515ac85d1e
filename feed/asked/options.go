package asked

import (
	"fmt"
	"time"

	"bloomgap/feed/decide"
	"bloomgap/feed/season"
)

// Options are what a caller names beside the question.
type Options struct {
	ShiftDays int       // how late or early a spring is asked about, d, 1-30
	UnwrapOn  time.Time // the day a wrap would come off; zero: the next visit
	UnwrapKg  float64   // what that may cost, kg of stores, 0.1-10

	WeakBees  float64          // bees under which a colony is too weak to stand alone, 1000-15000
	Neighbour decide.Neighbour // what it would be united with, 3-12 seams
	With      string           // name of a colony of the same yard in place of that; "" for none

	Prices season.Prices // what things cost; without them nothing is said of money

	Lost, Of int // colonies lost, and how many there were; Of 0: nobody has said
}

// DefaultOptions are two weeks, as callers mostly say, and the next visit.
func DefaultOptions() Options {
	return Options{ShiftDays: 14, UnwrapKg: decide.UnwrapKg, WeakBees: usualWeakBees,
		Neighbour: decide.Neighbour{Seams: typicalSeams, Heft: season.HeftFair}, Prices: season.DefaultPrices()}
}

// A cluster of three or four seams by a quick count is too weak to stand alone (common
// practice); a typical neighbour has seven and hefts fair (own judgement).
const (
	usualWeakBees = 6000.0
	typicalSeams  = 7.0
)

// Bounds of Options: days beyond which it is another climate, and what can be told by
// hand up to all the food of a spring; own judgement.
const (
	leastShift, mostShift       = 1, 30   // d
	leastUnwrapKg, mostUnwrapKg = 0.1, 10 // kg
	leastWeak, mostWeak         = 1000, 15000
	leastSeams, mostSeams       = 3, 12
	mostOf                      = 100000 // colonies
)

// Validate tells what is out of range.
func (o Options) Validate() error {
	switch {
	case o.ShiftDays < leastShift || o.ShiftDays > mostShift:
		return fmt.Errorf("a spring can be asked about %d to %d days late or early, not %d", leastShift, mostShift, o.ShiftDays)
	case !(o.UnwrapKg >= leastUnwrapKg && o.UnwrapKg <= mostUnwrapKg):
		return fmt.Errorf("what taking a wrap off may cost must lie between %g and %d kg, not %g", leastUnwrapKg, mostUnwrapKg, o.UnwrapKg)
	case !(o.WeakBees >= leastWeak && o.WeakBees <= mostWeak):
		return fmt.Errorf("a weak colony is one of under %d to %d bees, not %g", leastWeak, mostWeak, o.WeakBees)
	case !(o.Neighbour.Seams >= leastSeams && o.Neighbour.Seams <= mostSeams):
		return fmt.Errorf("a neighbour to unite with has %d to %d seams of bees, not %g", leastSeams, mostSeams, o.Neighbour.Seams)
	case o.Of < 0 || o.Of > mostOf || o.Lost < 0 || o.Lost > o.Of:
		return fmt.Errorf("of %d colonies %d cannot be lost; give both, the number lost and how many there were before", o.Of, o.Lost)
	}
	return o.Prices.Validate()
}
