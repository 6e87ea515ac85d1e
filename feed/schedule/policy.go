package schedule

import (
	"math"

	"bloomgap/feed/syrup"
	"bloomgap/sim/colony"
)

// Member is a colony in one spring, ready to be fed: what it asks of its stores
// does not depend on them, so that any feeding costs only its books.
type Member struct {
	Spring  colony.Spring
	Demand  *colony.DailyDemand
	StartKg float64 // ripe stores at the start of the run
	// Hand is the error of the keeper's last look at this colony in this spring, in
	// standard deviations of that look: what it read less what is there.
	Hand float64
}

// Visit is a round of the yard. Days are those of the members' runs.
type Visit struct {
	Day  int
	MaxC float64 // what the days to the next visit typically reach
}

// Look is how well a keeper judges the food in a hive. The whole error grows with
// what is there: SDKg + SDPerKg kg for each kg above 0.
type Look struct {
	SDKg    float64 // 0-5
	SDPerKg float64 // 0-0.5
	// CommonFrac is the correlation of the errors of two looks at one hive, 0 to
	// below 1: the same hand, the same hive.
	CommonFrac float64
	// Blind is a keeper who does not look: the policy is then a fixed list.
	Blind bool
	// LikeLast tells that the last look, whose error is Member.Hand, was of the same
	// kind, so that its error says something of those to come.
	LikeLast bool
}

// Feeder is what holds syrup in a hive.
type Feeder struct {
	HoldsL   float64
	AtATime  int // feeders that one hive takes at a time, 1-2
	Blocks   int // blocks of solid feed that it takes at a time, 1-2
	Touching bool
}

// Rules are the keeper's own.
type Rules struct {
	AcceptRiskFrac float64 // share of springs that may starve, above 0 and below 1
	ReserveKg      float64 // stores to hold until nectar; 0: none
	ReserveFrac    float64 // share of springs in which to hold it, 0-1
	Strength       syrup.Strength
	SolidUnderC    float64 // solid feed while days typically stay under
	SolidHoldsKg   float64 // sugar that one block of solid feed holds, kg
	LeastSyrupL    float64 // syrup worth a trip, L
	LeastSolidKg   float64 // solid sugar worth a trip, kg
}

// Terms are what policies are tried under.
type Terms struct {
	Visits []Visit
	// LookFirst tells that nobody has looked yet: the first visit goes by a line as the
	// others do, and is not firm.
	LookFirst bool
	Feeder    Feeder
	Look      Look
	Rules     Rules
}

// Lot is what one visit gives one hive.
type Lot struct{ SyrupL, SolidKg float64 }

// None tells that nothing is given.
func (l Lot) None() bool { return l.SyrupL == 0 && l.SolidKg == 0 }

// Line is what to do at a visit: feed the hive if its food is judged to be under
// UnderKg, and give the lot. Feed still in the hive counts as food; what there is
// no room for is left out.
type Line struct {
	UnderKg float64 // +Inf: whatever it reads; -Inf: not at this visit
	Lot     Lot
}

// Policy is a line for each visit. That of the first is firm, its UnderKg +Inf or
// -Inf, unless Terms.LookFirst.
type Policy []Line

// Empty tells that a policy feeds no one.
func (p Policy) Empty() bool {
	for _, l := range p {
		if !l.Lot.None() {
			return false
		}
	}
	return true
}

// Without is the policy without the lines that feed fewer than a share of the
// members, by what it came to on them.
func (p Policy) Without(frac float64, r *Result) Policy {
	out := make(Policy, len(p))
	for k := range p {
		out[k] = p[k]
		if float64(r.ByVisit[k]) < frac*float64(len(r.Given)) {
			out[k] = Line{UnderKg: math.Inf(-1)}
		}
	}
	return out
}

// Result is what a policy comes to over members.
type Result struct {
	Starved int // members that starve before nectar
	Lost    int // of those, before the first visit can help
	Held    int // members that hold the reserve
	ByVisit []int
	SyrupL  []float64 // by member, as given: what follows likewise
	SolidKg []float64
	SugarKg []float64
	Given   []int // feedings
	Starves []bool
	Lots    [][]Lot // by visit, then member: what each was given

	sumsOnly bool // nobody asks for the lots
}

// RiskFrac is the share of members that starve.
func (r *Result) RiskFrac() float64 { return float64(r.Starved) / float64(len(r.Given)) }

// HeldFrac is the share that hold the reserve, of the members that the first visit
// is not too late for.
func (r *Result) HeldFrac() float64 {
	if n := len(r.Given) - r.Lost; n > 0 {
		return float64(r.Held) / float64(n)
	}
	return 0
}

// MeanSugarKg is the sugar given, mean over members.
func (r *Result) MeanSugarKg() float64 { return mean(r.SugarKg) }

// MeanSyrupL is the syrup given, mean over members.
func (r *Result) MeanSyrupL() float64 { return mean(r.SyrupL) }

// MeanSolidKg is the solid sugar given, mean over members.
func (r *Result) MeanSolidKg() float64 { return mean(r.SolidKg) }

// MeanGiven is the feedings of a hive, over members.
func (r *Result) MeanGiven() float64 {
	n := 0
	for _, k := range r.Given {
		n += k
	}
	return float64(n) / math.Max(1, float64(len(r.Given)))
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / math.Max(1, float64(len(x)))
}
