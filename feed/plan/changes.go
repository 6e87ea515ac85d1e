package plan

import (
	"time"

	"bloomgap/feed/season"
)

// Matter is how much a change matters.
type Matter int

// The grades, what matters most first.
const (
	Urgent  Matter = iota // it must be acted on sooner than the earlier plan said
	Differs               // what to do differs
	Moved                 // the figures moved, what to do stays
)

func (m Matter) String() string { return [...]string{"urgent", "differs", "moved"}[m] }

// MarshalText writes the code.
func (m Matter) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// Changes is what moved since an earlier plan, and why.
type Changes struct {
	Since    time.Time      // day of the earlier plan
	Colonies []ColonyChange // those that moved, what matters most first
	Same     int            // colonies for which all stays
	Yards    []YardChange   // those of which more is known now, in the order of the plan
	Whole    []Note         // settings, draws, yards and the order
}

// Count counts the colonies of a grade.
func (c *Changes) Count(m Matter) int {
	n := 0
	for i := range c.Colonies {
		if c.Colonies[i].Matter == m {
			n++
		}
	}
	return n
}

// ColonyChange is what moved for one colony.
type ColonyChange struct {
	Yard, Colony string
	Matter       Matter
	What         []Note // what is now different
	Why          []Note // what is known now and was not, its yard's and the settings included
}

// YardChange is what is known of a yard now and was not.
type YardChange struct {
	Yard string
	Why  []Note
}

// What is now different of a colony.
type (
	// ColonyNew is a colony that the earlier plan did not have.
	ColonyNew struct{ Verdict Verdict }
	// ColonyGone is a colony that is in the earlier plan only.
	ColonyGone struct{ Verdict Verdict }
	// ColonyMoved is a colony that stood in another yard.
	ColonyMoved struct{ FromYard string }
	// VerdictTurned is another verdict.
	VerdictTurned struct{ Before, Now Verdict }
	// SoonerNow says that the next visit is now too late; it was early enough.
	SoonerNow struct{ StartBy time.Time }
	// NotSoonerNow says that the next visit is early enough; it was too late.
	NotSoonerNow struct{}
	// VisitTurned is what the next visit gives against what the earlier plan said for it.
	VisitTurned struct {
		On                          time.Time
		BeforeSyrupL, BeforeSolidKg float64
		BeforeUnderKg               float64 // given where it holds less; 0: whatever it holds
		NowSyrupL, NowSolidKg       float64
		NowUnderKg                  float64
	}
	// StaysAtRisk says that fed as planned it is now over the accepted risk.
	StaysAtRisk struct{ BeforeFrac, NowFrac float64 }
	// FeederTurned is another feeder for the syrup to come.
	FeederTurned struct{ Before, Now Feeder }
	// RiskMoved is a risk of starving, left alone from then and from now on, that moved by
	// more than its error.
	RiskMoved struct{ BeforeFrac, NowFrac float64 }
)

// Why it is different.
type (
	// LookedSince is what was seen since.
	LookedSince struct {
		On                 time.Time
		Food               season.FoodKind
		Looks              int // rows that the earlier plan did not have
		BeforeOn           time.Time
		BeforeKg, StoresKg float64 // middle of what it was taken to hold; NaN when not known
	}
	// LookRewritten is a look that was written down otherwise, or not at all, before.
	LookRewritten struct {
		On   time.Time
		Gone bool // it is no longer in the table
	}
	// TallyRecounted says that a tally stands for another number of colonies.
	TallyRecounted struct{ Before, Now int }
	// GivenSince is feed given that the earlier plan did not know of.
	GivenSince struct {
		LastOn                             time.Time
		SyrupL, SolidKg, CombFood, SugarKg float64 // SugarKg in the syrup and solid; CombFood in combs
	}
	// GivenRewritten is feed that the earlier plan knew of and that the table no longer
	// holds as it was.
	GivenRewritten struct{ On time.Time }
	// DaysGone says that so many days went by without another look.
	DaysGone struct{ Days int }
	// WeatherKnown says that the days of this season are known further than before.
	WeatherKnown struct{ BeforeTo, To time.Time }
	// ForecastKnown says that a forecast reaches to another day.
	ForecastKnown struct{ To time.Time }
	// NectarMoved is the median day of nectar.
	NectarMoved struct{ Before, Now time.Time }
	// VisitMoved is another day of the next visit, which was still to come.
	VisitMoved struct{ Before, Now time.Time }
	// BloomGiven is another date for the first dependable bloom; zero: by thermal time.
	BloomGiven struct{ Before, Now time.Time }
	// SourceTurned is another weather record, or climate, or number of its springs.
	SourceTurned struct{ Before, Now string }
)

// Of the whole plan.
type (
	// SettingFigure is a setting that is another figure; Unit is kg, share or "".
	SettingFigure struct {
		Setting     string
		Before, Now float64
		Unit        string
	}
	// SettingWord is a setting that is another word; "" for none.
	SettingWord struct{ Setting, Before, Now string }
	// OtherDraws says that another seed or number of springs was drawn: small differences are chance.
	OtherDraws struct{ BeforeMembers, NowMembers int }
	// YardNew and YardGone are yards of one plan only.
	YardNew struct{ Yard string }
	// YardGone is a yard that is in the earlier plan only.
	YardGone struct{ Yard string }
	// OrderMoved is the sugar that was to be bought, what was given since, and what is
	// still to be bought: the middle and enough in nine springs of ten.
	OrderMoved struct {
		BeforeKg, BeforeMostKg float64
		GivenKg                float64
		NowKg, NowMostKg       float64
	}
)

func (ColonyNew) Code() Code      { return "change.colony_new" }
func (ColonyGone) Code() Code     { return "change.colony_gone" }
func (ColonyMoved) Code() Code    { return "change.colony_moved" }
func (VerdictTurned) Code() Code  { return "change.verdict" }
func (SoonerNow) Code() Code      { return "change.go_sooner" }
func (NotSoonerNow) Code() Code   { return "change.soon_enough" }
func (VisitTurned) Code() Code    { return "change.next_visit_gives" }
func (StaysAtRisk) Code() Code    { return "change.stays_at_risk" }
func (FeederTurned) Code() Code   { return "change.feeder" }
func (RiskMoved) Code() Code      { return "change.risk" }
func (LookedSince) Code() Code    { return "change.looked" }
func (LookRewritten) Code() Code  { return "change.look_rewritten" }
func (GivenSince) Code() Code     { return "change.given" }
func (TallyRecounted) Code() Code { return "change.tally" }
func (GivenRewritten) Code() Code { return "change.given_rewritten" }
func (DaysGone) Code() Code       { return "change.days" }
func (WeatherKnown) Code() Code   { return "change.weather" }
func (ForecastKnown) Code() Code  { return "change.forecast" }
func (NectarMoved) Code() Code    { return "change.nectar" }
func (VisitMoved) Code() Code     { return "change.visit_moved" }
func (BloomGiven) Code() Code     { return "change.bloom_given" }
func (SourceTurned) Code() Code   { return "change.springs" }
func (SettingFigure) Code() Code  { return "change.setting" }
func (SettingWord) Code() Code    { return "change.setting_word" }
func (OtherDraws) Code() Code     { return "change.draws" }
func (YardNew) Code() Code        { return "change.yard_new" }
func (YardGone) Code() Code       { return "change.yard_gone" }
func (OrderMoved) Code() Code     { return "change.order" }
