package plan

import "time"

// What is said of a protein supplement: a verdict, then the window where there is
// one, then the effect. A day that bees are wanted is zero when none was named;
// then bees are those at bloom.
type (
	// SupplementUnwanted is for no early bees wanted.
	SupplementUnwanted struct{}
	// SupplementIdle is for one whose bees no date puts where they are wanted, or that
	// are too few to matter.
	SupplementIdle struct{}
	// SupplementLate is for one that comes too late for the day wanted.
	SupplementLate struct{ WantedOn time.Time }
	// SupplementEnough is for enough bees without it.
	SupplementEnough struct {
		Bees     float64
		WantedOn time.Time
	}
	// SupplementWindow says when to put it on.
	SupplementWindow struct{ WantedOn, From, To time.Time }
	// SupplementShort is for bees wanted that are not reached even with it.
	SupplementShort struct{ WantedBees float64 }
	// SupplementEffect is what it changes.
	SupplementEffect struct {
		From                time.Time // the day it goes on
		MoreBees, ErrBees   float64   // Supplement.GainBees.P50 and its error
		BareBees            float64   // without
		WantedOn            time.Time
		Emerge, Forage      time.Time // half of the bees of the first week
		ExtraSyrupL         float64
		RiskFrac, AloneFrac float64 // without the extra syrup, and without supplement
	}
	// SupplementSlight is for one that hardly changes the number of bees.
	SupplementSlight struct{ From, WantedOn time.Time }
	// SupplementCare is what to mind with one that is put on.
	SupplementCare struct{}
)

func (SupplementUnwanted) Code() Code { return "supplement.unwanted" }
func (SupplementIdle) Code() Code     { return "supplement.idle" }
func (SupplementLate) Code() Code     { return "supplement.late" }
func (SupplementEnough) Code() Code   { return "supplement.enough" }
func (SupplementWindow) Code() Code   { return "supplement.window" }
func (SupplementShort) Code() Code    { return "supplement.short" }
func (SupplementEffect) Code() Code   { return "supplement.effect" }
func (SupplementSlight) Code() Code   { return "supplement.slight" }
func (SupplementCare) Code() Code     { return "supplement.care" }
