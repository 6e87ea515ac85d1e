package plan

import (
	"time"

	"bloomgap/forage/read"
)

// Of a colony.
type (
	// SmallCluster is for a cluster under what the model's figures cover.
	SmallCluster struct{ Bees float64 }
	// ColdCluster is for a cluster that cold may end, or keep from the food it has; the
	// risk of starving counts neither, and feed helps with neither.
	ColdCluster struct {
		Bees          float64
		ColdSpellDays float64 // longest run of days without flight that one spring in ten passes
		UnderBees     float64 // so few hardly keep warm
		Dwindles      Risk    // of falling under that before nectar, however well it is fed
	}
	// BroodNotSeen says that brood is estimated from the date.
	BroodNotSeen struct{}
	// SeamsNotSeen says that any size is taken as possible.
	SeamsNotSeen struct{}
	// FoodNotKnown says that nothing is known of its food.
	FoodNotKnown struct{}
	// SampledTally says that only some colonies of a tally were looked at, and how many
	// there may be in 8 springs of 10; FromColonies is ToColonies where the others are
	// taken to be alike.
	SampledTally struct{ Colonies, LookedAt, FromColonies, ToColonies int }
	// NothingSeen says that the colony has no observation.
	NothingSeen struct{}
	// LooksUnused says that only the first look was used, for the problem named.
	LooksUnused struct{ Problem string }
	// LookUnexpected is a look that the ones before it do not explain.
	LookUnexpected struct {
		On   time.Time
		What Quantity
		More bool // it held more than expected; else less
	}
	// FedUntold says that a look shows more food than bees can have brought in: it was taken as fed
	// since the look before, though nobody wrote it down.
	FedUntold struct {
		Since, On time.Time
		StoresKg  Range   // of feed, as ripe stores
		Frac      float64 // how sure that is
	}
	// LooksWidened says that the looks agree with few runs; their errors were taken this many
	// times as large.
	LooksWidened struct{ Times float64 }
	// LooksWithoutWeather says that the days between the looks are not in the record.
	LooksWithoutWeather struct{}
	// GoSooner says that the next visit is too late for some springs.
	GoSooner struct{ Before time.Time }
	// StillStarves says that so many springs starve it even as planned, and how many
	// are accepted.
	StillStarves struct{ RiskFrac, AcceptFrac float64 }
	// ReserveNotHeld says that one feeder does not hold the reserve in half the springs.
	ReserveNotHeld struct{}
)

// Quantity is what a look told of.
type Quantity int

// The quantities.
const (
	Stores Quantity = iota
	Bees
	Brood
)

func (q Quantity) String() string { return [...]string{"stores", "bees", "brood"}[q] }

// Of a yard.
type (
	// NectarBeyond says that in some springs no nectar comes by the last day looked at.
	NectarBeyond struct{ LastDay time.Time }
	// NoDaysOfSeason says that the weather record has no day of this season.
	NoDaysOfSeason struct{}
	// GapYears are the springs of the record that have gaps too long to fill.
	GapYears struct{ Years []int }
	// FewSprings says that generated springs stand beside the few whole ones of the record.
	FewSprings struct{ Whole, Generated int }
	// NoRecord says that springs are generated from a climate.
	NoRecord struct{ Climate, Credit string }
	// RoundsPast says that dusting rounds before the day of the plan are taken as done.
	RoundsPast struct{ Rounds []time.Time }
	// RoundsCold says that it is too cold to take brood frames out on these rounds.
	RoundsCold struct{ Rounds []ColdRound }
	// SupersSoon says that the wait after the last round ends after supers go on. StartRoundBy is
	// zero when it is too late to start soon enough.
	SupersSoon struct {
		LastRound    time.Time
		WaitDays     int
		WaitEnds     time.Time
		SupersOn     time.Time
		StartRoundBy time.Time
	}
	// WaitUnknown says that rounds are planned and honey supers too, but not how long
	// they must lie apart.
	WaitUnknown struct{ LastRound, SupersOn time.Time }
	// RobbedBefore says that bees fly and rob before the first visit closes dead colonies.
	RobbedBefore struct{ Fly, FirstVisit time.Time }
	// VisitMovedLate says that the first visit moved onto a round and is now too late.
	VisitMovedLate struct{ From, To time.Time }
	// SyrupAtSupers says that syrup is planned on or after the day supers go on.
	SyrupAtSupers struct{ LastSyrup, SupersOn time.Time }
)

// ColdRound is a round of dusting with its median daily maximum.
type ColdRound struct {
	On   time.Time
	MaxC float64
}

// Of the whole plan.
type (
	// OrderLacksSyrup says that the order does not hold the extra syrup of the supplement.
	OrderLacksSyrup struct {
		Colonies    int
		ExtraSyrupL float64
	}
	// StillAtRisk is for colonies that starve in more springs than is accepted, fed as
	// planned; Worst and its share are the one with most.
	StillAtRisk struct {
		Colonies              int
		WorstYard, Worst      string
		WorstFrac, AcceptFrac float64
	}
	// WinterPlan says that a plan is made in winter, and from when visits of spring are in it.
	WinterPlan struct{ From time.Time }
	// OpenFeeding says that it was allowed in the settings and is not planned.
	OpenFeeding struct{}
	// InputNote is what the reading of the input warned of, of the whole plan or of a yard.
	InputNote struct {
		Check        read.Code // kind of the warning
		File         string    // "" when no file is meant
		Line, Column int       // 1-based; 0 when not known
		Message      string    // what was found and what to do
	}
	// InputNotesLeftOut counts warnings of the reading that are not listed.
	InputNotesLeftOut struct{ More int }
)

// mostInputNotes is how many warnings of the reading a plan lists, own judgement: a page.
const mostInputNotes = 50

// InputNotes turns the warnings among problems into notes, the first fifty and how many more.
// What stands in more than once is listed once.
func InputNotes(ps read.Problems) []Note {
	var out []Note
	seen := map[InputNote]bool{}
	left := 0
	for _, p := range ps {
		n := InputNote{Check: p.Code, File: p.File, Line: p.Line, Column: p.Column, Message: p.Text()}
		switch {
		case p.Level != read.Note || seen[n]:
		case p.Count() > 1 || len(out) >= mostInputNotes:
			left += p.Count()
		default:
			seen[n] = true
			out = append(out, n)
		}
	}
	if left > 0 {
		out = append(out, InputNotesLeftOut{More: left})
	}
	return out
}

func (SampledTally) Code() Code        { return "warning.sampled_tally" }
func (SmallCluster) Code() Code        { return "warning.small_cluster" }
func (ColdCluster) Code() Code         { return "warning.cold_cluster" }
func (BroodNotSeen) Code() Code        { return "warning.brood_not_seen" }
func (SeamsNotSeen) Code() Code        { return "warning.seams_not_seen" }
func (FoodNotKnown) Code() Code        { return "warning.food_not_known" }
func (NothingSeen) Code() Code         { return "warning.nothing_seen" }
func (LooksUnused) Code() Code         { return "warning.looks_unused" }
func (LookUnexpected) Code() Code      { return "warning.look_unexpected" }
func (FedUntold) Code() Code           { return "warning.fed_untold" }
func (LooksWidened) Code() Code        { return "warning.looks_widened" }
func (LooksWithoutWeather) Code() Code { return "warning.looks_without_weather" }
func (GoSooner) Code() Code            { return "warning.go_sooner" }
func (StillStarves) Code() Code        { return "warning.still_starves" }
func (ReserveNotHeld) Code() Code      { return "warning.reserve_not_held" }
func (NectarBeyond) Code() Code        { return "warning.nectar_beyond" }
func (NoDaysOfSeason) Code() Code      { return "warning.no_days_of_season" }
func (GapYears) Code() Code            { return "warning.gap_years" }
func (FewSprings) Code() Code          { return "warning.few_springs" }
func (NoRecord) Code() Code            { return "warning.no_record" }
func (RoundsPast) Code() Code          { return "warning.rounds_past" }
func (RoundsCold) Code() Code          { return "warning.rounds_cold" }
func (SupersSoon) Code() Code          { return "warning.supers_soon" }
func (WaitUnknown) Code() Code         { return "warning.wait_unknown" }
func (RobbedBefore) Code() Code        { return "warning.robbed_before" }
func (VisitMovedLate) Code() Code      { return "warning.visit_moved_late" }
func (SyrupAtSupers) Code() Code       { return "warning.syrup_at_supers" }
func (OrderLacksSyrup) Code() Code     { return "warning.order_lacks_syrup" }
func (StillAtRisk) Code() Code         { return "warning.still_at_risk" }
func (WinterPlan) Code() Code          { return "warning.winter_plan" }
func (OpenFeeding) Code() Code         { return "warning.open_feeding" }
func (InputNote) Code() Code           { return "warning.input" }
func (InputNotesLeftOut) Code() Code   { return "warning.input_left_out" }

// OfReading tells that a note is a warning of what was found while the keeper's
// tables were read.
func OfReading(n Note) bool {
	return n.Code() == InputNote{}.Code() || n.Code() == InputNotesLeftOut{}.Code()
}
