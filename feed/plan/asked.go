package plan

import (
	"fmt"
	"time"

	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

// Question is what a caller asks of a colony beside whether it is fed.
type Question int

// The questions.
const (
	AskRatio  Question = iota // which syrup
	AskFeeder                 // which feeder, and why not another
	AskOpen                   // a tub in the open
	AskHoney                  // honey as feed
	AskCandy                  // solid sugar
	AskJar                    // a jar at the entrance
	AskLate                   // a late spring
	AskEarly                  // an early one
	AskUnwrap                 // taking the wrap off
	AskUnite                  // a colony that is too weak
	AskDead                   // whether it is dead, and what then
	AskWorth                  // whether feeding pays, by the user's prices
	AskWinter                 // the weight to go into winter with, and an emergency then
)

// Questions lists them.
func Questions() []Question {
	return []Question{AskRatio, AskFeeder, AskOpen, AskHoney, AskCandy, AskJar, AskLate, AskEarly, AskUnwrap, AskUnite, AskDead, AskWorth, AskWinter}
}

// String is the word that a question is asked by.
func (q Question) String() string {
	return [...]string{"ratio", "feeder", "open", "honey", "candy", "jar", "late", "early", "unwrap", "unite", "dead", "worth", "winter"}[q]
}

// MarshalText writes the word.
func (q Question) MarshalText() ([]byte, error) { return []byte(q.String()), nil }

// ParseQuestion finds a question by its word.
func ParseQuestion(word string) (Question, error) {
	for _, q := range Questions() {
		if q.String() == word {
			return q, nil
		}
	}
	return 0, fmt.Errorf("there is no question %q", word)
}

// Asked is the answer to one question: what it comes to first, then its figures, the
// reason and the caution, each a note for one line.
type Asked struct {
	Question     Question
	Yard, Colony string
	Says         []Note
	Springs      []SpringCase // other springs set beside the plain one, for a picture; nil for none
}

// SpringCase is what a colony comes to in some of its springs, or in springs moved.
type SpringCase struct {
	Kind      SpringKind
	LaterDays int       // of moved springs; negative: earlier
	Nectar    time.Time // median
	Verdict   Verdict
	Risk      Risk      // left alone
	RiskFed   Risk      // fed by a plan made for these springs, or, of thirds, by the plan; zero without feeding
	SugarKg   float64   // given, mean
	Trips     float64   // feedings, mean
	StartBy   time.Time // zero when nothing is fed
}

// SpringKind says which springs.
type SpringKind int

// The kinds.
const (
	AllSprings SpringKind = iota // as the plan has them
	EarlyThird                   // the third with the earliest nectar
	LateThird
	MovedSprings // all of them, moved
)

// Of the strength of syrup.
type (
	// MixThis is the syrup to mix for a colony that gets syrup; ClearFromC is how warm it
	// must stand to stay clear, NaN for one that never turns.
	MixThis struct {
		Strength   syrup.Strength
		Feeder     Feeder
		ClearFromC float64
		Chosen     bool // by the plan; else the keeper set it
	}
	// MixNone is for a colony that needs no feed; the strengths are set beside one another
	// all the same.
	MixNone struct{ RiskFrac float64 }
	// MixSolidFirst is for one that begins with solid feed: MaxC is what the days reach.
	MixSolidFirst struct {
		Strength syrup.Strength
		MaxC     float64
	}
	// MixComes is what feeding a colony with one strength comes to: means over springs of
	// what it is given, and how long the same sugar takes to be taken up.
	MixComes struct {
		Strength                   syrup.Strength
		SugarKg, SyrupL, SolidKg   float64
		Trips, RiskFrac            float64
		StoresKgPerKg              float64 // ripe stores of a kg of its sugar
		TakenSugarKg, TakenVolumeL float64 // the syrup that was timed
		TakenDays                  Range   // until it is taken up
		LeftFrac                   float64 // share of springs in which some is left at nectar
	}
	// MixCare is what to mind with any.
	MixCare struct{}
)

// Of feeders and other feed.
type (
	// FeederIs is the feeder of a colony, with why.
	FeederIs struct {
		Feeder Feeder
		Why    Note
	}
	// FeederNot are those that are not it for the same reason, with what speaks against
	// them most.
	FeederNot struct {
		Feeders []Feeder
		Why     Note
	}
	// OpenNot is why no tub is put in the open: on so many days of those before nectar
	// nobody can fly to it, and the most of them in a row in one spring of ten.
	OpenNot struct{ Days, Of, SpellDays float64 }
	// OpenCare is what it does beside.
	OpenCare struct{}
	// HoneyNot is why no honey is given.
	HoneyNot struct{}
	// HoneyFrames is what the colony would need of food in sound combs of its own yard:
	// what it lacks in nine of ten springs, and the deep frames that hold it.
	HoneyFrames struct{ LackKg, Frames float64 }
	// HoneyEnough is for a colony that lacks nothing in nine of ten springs.
	HoneyEnough struct{ RiskFrac float64 }
	// HoneyCare is when combs may be moved.
	HoneyCare struct{}
	// CandyNow is for days too cold for syrup on the next visit, CandyNotNow for milder ones.
	CandyNow    struct{ MaxC, BelowC float64 }
	CandyNotNow struct{ MaxC, BelowC float64 }
	// CandyLasts is how long a block feeds the colony.
	CandyLasts struct {
		SugarKg, StoresKg float64
		Days              Range // until it is eaten
	}
	// CandyCare is what to mind with it.
	CandyCare struct{}
	// JarNot and JarCan are whether a jar at the entrance does.
	JarNot struct{ Why Note }
	JarCan struct{}
	// JarHolds is what a jar is worth: days of food that it holds, and the days it takes to
	// be emptied.
	JarHolds struct {
		HoldsL, FoodDays float64
		Days             Range
		LeftFrac         float64 // share of springs in which some is left at nectar
	}
	// JarCare is what to mind with it.
	JarCare struct{}
)

// Of late and early springs.
type (
	// SpringMoved is the answer in springs that all come later or earlier, beside the plain
	// one.
	SpringMoved struct {
		LaterDays                 int
		Nectar, PlainNectar       time.Time
		Verdict, PlainVerdict     Verdict
		RiskFrac, PlainRiskFrac   float64 // left alone
		SugarKg, PlainSugarKg     float64 // fed by the plan that is made for them, mean
		Trips, PlainTrips         float64
		StartBy, PlainStartBy     time.Time
		FedFrac, PlainFedFrac     float64
		ByPlainFrac               float64 // fed by the lines of the plain plan and no more; 0 without one
		SolidKg, SyrupL           float64 // of its first feeding
		PlainSolidKg, PlainSyrupL float64
	}
	// SpringThirds are the earliest and the latest third of the plain springs.
	SpringThirds struct {
		EarlyNectar, LateNectar time.Time
		EarlyFrac, LateFrac     float64 // left alone
		EarlyFed, LateFed       float64 // fed as planned; 0 without feeding
		EarlyKg, LateKg         float64 // sugar, mean
		Feeds                   bool
	}
	// SpringWeek is what a week later costs in food.
	SpringWeek struct{ KgPerWeek float64 }
	// SpringLook is what to do about it: look again, since the plan follows the spring.
	SpringLook struct{ Next time.Time }
)

// Of wraps.
type (
	// WrapKeep is for a wrap that costs too much to take off on a day, WrapOff for one that
	// may come off.
	WrapKeep struct{ What Unwrap }
	WrapOff  struct{ What Unwrap }
	// WrapOn is for a bare hive that a wrap put on now would spare as much; Freeze tells that
	// the nights do.
	WrapOn struct {
		What   Unwrap
		Freeze bool
	}
	// WrapRisk is what it does to the risk, left alone and fed as planned; Fed tells that
	// there is such a plan.
	WrapRisk struct {
		RiskOn, RiskOff, FedOn, FedOff Risk
		Fed                            bool
	}
	// WrapNights are the nights that cause it.
	WrapNights struct {
		From, Nectar time.Time
		CoolNights   Range
		CoolC        float64
	}
	// WrapFrom is the first day from which it costs under so much in nine springs of ten.
	WrapFrom struct {
		From    time.Time
		UnderKg float64
	}
	// WrapCare is what to mind with it.
	WrapCare struct{}
)

// Of weak colonies.
type (
	// UniteNot is for a colony that is large enough to stand alone; UniteFeed for one to
	// keep and feed, UniteDo for one to unite, UniteLose for one that is not worth the
	// neighbour's risk. With is the name of the neighbour; "" for a typical one.
	UniteNot  struct{ Bees, WeakBees float64 }
	UniteFeed struct{ Bees, WeakBees float64 }
	UniteDo   struct {
		Bees, WeakBees, BothBees float64
		With                     string
	}
	UniteLose struct {
		Bees, WeakBees          float64
		BothFrac, NeighbourFrac float64 // chances of the two as one and of the neighbour alone
		With                    string
	}
	// UniteChances are the chances to reach nectar, careful and hungry; Feeds tells that
	// there is a plan to feed it. Seams and Heft are of a typical neighbour.
	UniteChances struct {
		Unfed, UnfedHungry, Fed, FedHungry, Both, BothHungry float64
		Neighbour                                            float64
		Seams                                                float64
		Heft                                                 season.Heft
		Feeds                                                bool
		With                                                 string
	}
	// UniteCold is for a cluster that cold and not hunger decides for: the chances leave
	// that out.
	UniteCold struct{ Bees, UnderBees, SpellDays float64 }
	// UniteHunger is for one that hunger decides for.
	UniteHunger struct{ Bees, UnderBees float64 }
	// UniteCare is what to see to before two are put together.
	UniteCare struct{}
)

// Of prices, in the user's own money.
type (
	// WorthNone is for a colony that is not fed: what it loses on average.
	WorthNone struct {
		Currency       string
		RiskFrac, Loss float64
	}
	// WorthFeed is what feeding as planned saves and costs in the average spring, and what
	// it saves by trip and by kg of sugar.
	WorthFeed struct {
		Currency                string
		Saved, Spent, SavedFrac float64
		SugarKg, Trips          float64
		ByTrip, ByKg            float64
	}
	// WorthPlan is what feeding a season as planned saves and costs in the average spring.
	WorthPlan struct {
		Currency                string
		Colonies, Saved         float64 // that do not starve for being fed, and their price
		Spent                   float64
		SugarKg, Visits, ByTrip float64
		ByKg                    float64
	}
	// WorthFrom is the risk left alone from which such feeding pays.
	WorthFrom struct{ RiskFrac float64 }
	// WorthBest is the cheapest of the plans tried, colonies lost counted in; Fed tells that
	// it feeds at all.
	WorthBest struct {
		Currency                             string
		Fed                                  bool
		AcceptFrac, RiskFrac, SugarKg, Trips float64
		Total, PlannedTotal                  float64
	}
	// WorthScale is what weighing at the later visits is worth a hive against hefting; Price
	// 0: nobody has said. Hives is from how many on it pays in a spring, Colonies its price
	// in colonies.
	WorthScale struct {
		Currency                 string
		Gain, SavedFrac, SugarKg float64
		Price, Colonies, Hives   float64
	}
	// WorthCare is what such sums leave out.
	WorthCare struct{}
)

func (WorthNone) Code() Code  { return "answer.worth_none" }
func (WorthFeed) Code() Code  { return "answer.worth_feed" }
func (WorthPlan) Code() Code  { return "answer.worth_plan" }
func (WorthFrom) Code() Code  { return "answer.worth_from" }
func (WorthBest) Code() Code  { return "answer.worth_best" }
func (WorthScale) Code() Code { return "answer.worth_scale" }
func (WorthCare) Code() Code  { return "answer.worth_care" }

// Of winter.
type (
	// WinterNeed is what a cluster must hold on a day to reach nectar in all but AcceptFrac
	// of springs without feed; the gross weight is NaN when the tare is not known.
	WinterNeed struct {
		On, Nectar                            time.Time
		NeedStoresKg, NeedGrossKg, AcceptFrac float64
		Bees                                  float64
	}
	// WinterHas is what the colony holds, and what it lacks of that; 0 for nothing. Mild tells
	// that days still reach what syrup asks, MaxC.
	WinterHas struct {
		StoresKg     Range
		LackKg, MaxC float64
		Mild         bool
	}
	// WinterSizes is the same need for smaller and larger clusters on the same boxes.
	WinterSizes struct{ Bees, NeedKg []float64 }
	// WinterSolid is for one that may starve before the first visit of spring: sugar to lay
	// over the cluster now. WinterSafe is for one that hardly will.
	WinterSolid struct {
		SolidKg, RiskFrac float64
		Before            time.Time
	}
	WinterSafe struct {
		RiskFrac float64
		Before   time.Time
	}
	// WinterScope is what a plan is for at this time of year, and when to ask again.
	WinterScope struct{ From time.Time }
)

func (WinterNeed) Code() Code  { return "answer.winter_need" }
func (WinterHas) Code() Code   { return "answer.winter_has" }
func (WinterSizes) Code() Code { return "answer.winter_sizes" }
func (WinterSolid) Code() Code { return "answer.winter_solid" }
func (WinterSafe) Code() Code  { return "answer.winter_safe" }
func (WinterScope) Code() Code { return "answer.winter_scope" }

// Of dead colonies.
type (
	// DeadWait is for a colony that shows no life in the cold: FlyBy is when bees have flown
	// in half the springs, zero for not before nectar; StarvedFrac is the share of springs in
	// which it would have starved by today.
	DeadWait struct {
		FlyBy       time.Time
		StarvedFrac float64
	}
	// DeadCheck is what to look for.
	DeadCheck struct{}
	// DeadOrder is what is done with a dead one, in order.
	DeadOrder struct{ FlyBy time.Time }
	// DeadReport is when to call the inspector.
	DeadReport struct{}
	// DeadGear is what is freed, and the food in it that is not counted as feed.
	DeadGear struct {
		Boxes    int
		StoresKg Range
	}
	// Losses are the colonies lost of those there were, with the exact binomial range that
	// holds the true share in 95 of 100 such yards.
	Losses struct {
		Lost, Of                  int
		Frac, LeastFrac, MostFrac float64
	}
)

func (UniteNot) Code() Code      { return "answer.unite_not" }
func (UniteFeed) Code() Code     { return "answer.unite_feed" }
func (UniteDo) Code() Code       { return "answer.unite_do" }
func (UniteLose) Code() Code     { return "answer.unite_lose" }
func (UniteChances) Code() Code  { return "answer.unite_chances" }
func (UniteCold) Code() Code     { return "answer.unite_cold" }
func (UniteHunger) Code() Code   { return "answer.unite_hunger" }
func (UniteCare) Code() Code     { return "answer.unite_care" }
func (DeadWait) Code() Code      { return "answer.dead_wait" }
func (DeadCheck) Code() Code     { return "answer.dead_check" }
func (DeadOrder) Code() Code     { return "answer.dead_order" }
func (DeadReport) Code() Code    { return "answer.dead_report" }
func (DeadGear) Code() Code      { return "answer.dead_gear" }
func (Losses) Code() Code        { return "answer.losses" }
func (WrapKeep) Code() Code      { return "answer.wrap_keep" }
func (WrapOff) Code() Code       { return "answer.wrap_off" }
func (WrapOn) Code() Code        { return "answer.wrap_on" }
func (WrapRisk) Code() Code      { return "answer.wrap_risk" }
func (WrapNights) Code() Code    { return "answer.wrap_nights" }
func (WrapFrom) Code() Code      { return "answer.wrap_from" }
func (WrapCare) Code() Code      { return "answer.wrap_care" }
func (SpringMoved) Code() Code   { return "answer.spring_moved" }
func (SpringThirds) Code() Code  { return "answer.spring_thirds" }
func (SpringWeek) Code() Code    { return "answer.spring_week" }
func (SpringLook) Code() Code    { return "answer.spring_look" }
func (MixThis) Code() Code       { return "answer.mix_this" }
func (MixNone) Code() Code       { return "answer.mix_none" }
func (MixSolidFirst) Code() Code { return "answer.mix_solid_first" }
func (MixComes) Code() Code      { return "answer.mix_comes" }
func (MixCare) Code() Code       { return "answer.mix_care" }
func (FeederIs) Code() Code      { return "answer.feeder_is" }
func (FeederNot) Code() Code     { return "answer.feeder_not" }
func (OpenNot) Code() Code       { return "answer.open_not" }
func (OpenCare) Code() Code      { return "answer.open_care" }
func (HoneyNot) Code() Code      { return "answer.honey_not" }
func (HoneyFrames) Code() Code   { return "answer.honey_frames" }
func (HoneyEnough) Code() Code   { return "answer.honey_enough" }
func (HoneyCare) Code() Code     { return "answer.honey_care" }
func (CandyNow) Code() Code      { return "answer.candy_now" }
func (CandyNotNow) Code() Code   { return "answer.candy_not_now" }
func (CandyLasts) Code() Code    { return "answer.candy_lasts" }
func (CandyCare) Code() Code     { return "answer.candy_care" }
func (JarNot) Code() Code        { return "answer.jar_not" }
func (JarCan) Code() Code        { return "answer.jar_can" }
func (JarHolds) Code() Code      { return "answer.jar_holds" }
func (JarCare) Code() Code       { return "answer.jar_care" }
