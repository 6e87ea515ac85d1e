package plan

import (
	"time"

	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

// Verdict is what to do with a colony.
type Verdict int

// The verdicts, the most urgent first.
const (
	Feed   Verdict = iota // it is likelier to starve than is accepted
	Watch                 // safe for now; look again or weigh at the next visit
	NoFeed                // no feed needed
	Dead                  // close it, find out why, then clear it away
)

func (v Verdict) String() string { return [...]string{"feed", "watch", "no feed", "dead"}[v] }

// MarshalText writes the word used in tables.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// Range is a middle and the band about it, over the members of an ensemble.
type Range struct {
	P10, P50, P90 float64
}

// DateRange is a Range of dates.
type DateRange struct{ P10, P50, P90 time.Time }

// Risk is a share of members, with the standard error that its finite number
// leaves.
type Risk struct {
	Frac    float64 // 0..1
	ErrFrac float64 // standard error, 0..1
}

// Feeding is food put on a hive on one visit.
type Feeding struct {
	Date    time.Time
	SyrupL  float64 // litres of syrup; 0 for none
	SugarKg float64 // sugar in that syrup
	WaterL  float64 // water in that syrup
	SolidKg float64 // sugar given solid; 0 for none
	// OnlyIfLow marks a feeding that fewer than half the springs need: where the hive is
	// low, or, without a line, where no nectar has come.
	OnlyIfLow  bool
	NeededFrac float64 // share of springs in which it will be given
	// It is given where the food is judged to be under UnderKg on that day, kg of
	// stores with feed still in the hive; 0: whatever it reads.
	UnderKg      float64
	UnderGrossKg float64     // the same on a scale under the whole hive; NaN when not known
	UnderHeft    season.Heft // the heaviest word that such a hive hefts as; 0 when light is too heavy
}

// Supplement is what a protein supplement changes.
type Supplement struct {
	Considered   bool
	From         time.Time // the day it goes on in the comparison
	Risk         Risk      // with supplement and no feed
	RiskFed      Risk      // with supplement, the plan and the extra syrup
	BloomBees    Range     // adults at bloom with supplement
	WantedBees   Range     // adults on the day wanted with it; zero when no day was named
	BareWanted   Range     // the same without
	GainBees     Range     // more adults for it, each spring against itself, on the day wanted or at that spring's own bloom
	GainErrBees  float64   // standard error that so many springs leave the gain
	ExtraSyrupL  float64   // more syrup it costs, median
	ExtraKg      float64   // the stores behind it, kg
	SupplementKg float64   // supplement eaten until nectar, median
	Emerge       time.Time // half of the extra bees have emerged
	Forage       time.Time // half of the extra foragers are in the field
	WindowFrom   time.Time // first day to put it on for the day wanted; zero when no day was named
	WindowTo     time.Time // last day
	LeadDays     Range     // shortest (P10), best and longest (P90) days from putting it on to the day its bees are wanted; zero when it rears none
	Advised      bool      // bees are wanted and it is the way to have them
	Advice       []Note
	Feedings     []Feeding // the plan with the extra syrup; empty when neither needs feed
	Feeder       Feeder    // their feeder, for a colony that needs no feed without it
}

// Confidence is how sure the verdict is and whether weighing the hive would
// change it.
type Confidence struct {
	WeighFirst      bool
	NeedStoresKg    float64 // stores on the day seen above which the accepted risk is kept without feed
	NeedGrossKg     float64 // the same on a scale under the whole hive; NaN when the tare is not known
	RiskIfLightFrac float64 // risk over the lightest third of what the hive may hold, 0..1
	RiskIfHeavyFrac float64 // risk over the heaviest third
	Note            Note    // nil for a colony that was not run
}

// ColonyPlan is the answer for one colony.
type ColonyPlan struct {
	Yard, Colony string
	Tally        *Tally // of several colonies, each planned so; nil for one
	Verdict      Verdict
	SeenOn       time.Time
	StoresKg     Range // on the day seen
	Bees         Range // on the day seen
	Risk         Risk  // of starving before nectar, left alone
	RiskByWeek   []float64
	ReserveDate  time.Time // median day the stores pass the reserve; zero when they do not in half the springs
	StarveDate   time.Time // day by which the accepted share of springs has starved; zero when they do not
	StartBy      time.Time // last visit by which feeding must start to keep risk and reserve; zero when no feed
	TooLate      bool      // the visit is later than StartBy asks: go sooner
	Strength     syrup.Strength
	Feedings     []Feeding
	Policy       Policy  // what feeding by those lines comes to
	SyrupL       float64 // given of a spring, mean
	SyrupSugarKg float64
	SolidKg      float64
	RiskFed      Risk
	ReserveFrac  float64 // share of springs in which the plan holds the reserve, of those that the first visit is not too late for
	Choice       FeederChoice
	Bloom        DateRange
	Nectar       DateRange
	NonFlying    Range // days without flight from the first visit to nectar
	ColdSpell    Range // longest run of them
	BloomBees    Range // adults at bloom, left alone and alive
	Hungry       Hungry
	Supplement   Supplement
	Confidence   Confidence
	Reason       []Note // why: what was seen, what is needed, what follows
	Warnings     []Note
	Unwrap       Unwrap // of one that is wrapped or to be; not known for others
	Wrap         bool   // it stands bare, is fed, and nights still freeze: wrap it on the first visit
	Members      int    // members this colony was run on
	Boxes        []season.Boxes
	Line         int
}

// Tally is how many colonies a plan stands for that were not told apart.
type Tally struct {
	Colonies int   // whole, on average
	LookedAt int   // of them, those looked at and found so
	Range    Range // colonies; where some were not looked at, as far as the others tell
}

// Sampled tells that not all of the colonies were looked at.
func (t *Tally) Sampled() bool { return t != nil && t.LookedAt < t.Colonies }

// Stands is for how many colonies a plan stands.
func (c *ColonyPlan) Stands() int {
	if c.Tally == nil {
		return 1
	}
	return c.Tally.Colonies
}

// Unwrap is what taking a wrap off costs, against leaving it on until nectar, on the same
// draws.
type Unwrap struct {
	Wrapped         bool      // it stands wrapped; else it is to be
	On              time.Time // the day it would come off
	CostKg          Range     // stores eaten more until nectar
	RiskOn, RiskOff Risk      // of starving, left alone
	FedOn, FedOff   Risk      // the same fed by the lines of the plan; zero without feeding
	CoolNights      Range     // nights cooler than CoolC from that day to nectar
	CoolC           float64
	From            time.Time // first day from which it costs under UnderKg in nine springs of ten
	UnderKg         float64
}

// Known tells that a wrap was weighed.
func (u *Unwrap) Known() bool { return !u.On.IsZero() }

// Hungry is the second reading beside the careful one: the chance that a colony left
// alone dies when it cuts its brood back as its stores fall, which Risk leaves out.
// Decisions rest on Risk. Both readings here are of the same members.
type Hungry struct {
	Members     int   // 0: there is none, since the colony does not run out
	Risk        Risk  // of starving before nectar, brood cut back
	Growing     Risk  // the same members, kept growing
	BloomBees   Range // adults at bloom with brood cut back, in members that live then
	GrowingBees Range // adults at bloom of those same members kept growing, as if food lasted
}

// Amount is what a total needs at 10 %, at the middle and at 90 % of springs.
type Amount struct{ P10, P50, P90 float64 }

// Order is what to buy for a set of colonies.
type Order struct {
	Colonies     int // colonies fed
	SyrupL       Amount
	SyrupSugarKg Amount
	WaterL       Amount
	SolidKg      Amount
	SugarKg      Amount // syrup and solid together
	SugarBags    Amount // whole bags
	// SugarKg again: what goes out at the first visits of the yards, and the rest with the
	// day of the first visit after them; zero when there is none.
	NowSugarKg   Amount
	LaterSugarKg Amount
	LaterBy      time.Time
	BagKg        float64
	SupplementKg Amount // only where advised
	Gear         []GearLine
}

// OrderBy is by when sugar is to be ordered, so that it is there the day before it is
// given; zero where nobody has said how long it takes to come, or none is needed.
type OrderBy struct {
	First, Later time.Time // for the first visits, and for what may be needed after them
	FirstNeeded  time.Time // day of the first visit that may need it
	LeadDays     int
}

// GearLine is equipment needed against what is on hand.
type GearLine struct {
	Item   season.Item
	Needed int
	OnHand int
	Buy    int
}

// YardPlan is the answer for one yard.
type YardPlan struct {
	Name           string
	LatDeg, LonDeg float64
	Round          string // of the yards that are visited together; "": none
	Disease        bool   // visited last
	Feed           int
	Watch          int
	NoFeed         int
	Dead           []string // names of colonies, and of tallies
	Losses         Losses   // colonies found dead, of all of the yard; Of 0 when none is dead
	Order          Order
	Bloom          DateRange
	Nectar         DateRange
	NonFlying      Range
	Visits         []Visit
	Flying         time.Time     // day by which bees have flown since the day of the plan in half the springs; zero when there is none
	Weather        WeatherSource // where its springs come from
	Warnings       []Note
	WeekDates      []time.Time // the dates of ColonyPlan.RiskByWeek
	Years          []YearFact
}

// YearFact is one possible spring of a yard, for charts.
type YearFact struct {
	Label     string
	Bloom     time.Time
	Nectar    time.Time
	NonFlying int // days without flight from today to nectar
	LongSpell int
}

// WeatherSource is where the possible springs of a yard come from.
type WeatherSource struct {
	Record      string    // name of the weather record; "" for none
	PastSprings int       // springs of that record
	Generated   int       // springs generated from a climate
	Climate     string    // place of that climate; "" for one worked out from the record, or when none is generated
	AwayKm      float64   // from the yard to the place of the record or climate; 0 when not known
	ObservedTo  time.Time // last day of this season that is known; zero when none is
	ForecastTo  time.Time // last day of a forecast; zero when none reaches beyond the day of the plan
	Bloom       time.Time // date given for the first dependable bloom; zero: by thermal time
	BloomSDDays float64   // spread of that date; 0 for a bloom that was seen
	Plant       string    // the plant whose thermal time gives the bloom
	Fingerprint string    // the same for the same days in every spring
}

// Visit is one round of a yard.
type Visit struct {
	Date  time.Time
	Tasks []Task
}

// Task is one thing to do on a visit.
type Task struct {
	Colony   string // "" for the whole yard
	Colonies int    // of a tally, each to be done so; 0 for one
	What     Note
}

// Plan is the answer for a season.
type Plan struct {
	Season    *season.Season
	Today     time.Time
	Members   int
	Seed      uint64
	Invented  bool
	Yards     []YardPlan   // in the order of the table
	Colonies  []ColonyPlan // in order of urgency
	Order     Order
	OrderBy   OrderBy
	Worth     *WorthPlan // by the prices of the settings; nil without, or when nothing is fed
	Sums      Sums       // what the order comes of, to merge with other parts of a season
	Warnings  []Note
	Cautions  []Note
	Limits    []Note // what the model leaves out
	AcceptPct float64
	Changes   *Changes // since an earlier plan; nil when it was not compared
	Asked     []Asked  // answers to questions that were asked of its colonies
}

// Band is quantiles by date over the members of an ensemble.
type Band struct{ P10, P25, P50, P75, P90 []float64 }

// Detail is a colony day by day, for charts: slices have one value per date.
type Detail struct {
	Yard, Colony      string
	Dates             []time.Time
	StoresAlone       Band // kg
	StoresFed         Band // kg; empty when no feed
	RiskAlone         []float64
	RiskFed           []float64 // empty when no feed
	RiskSupplement    []float64 // supplement and no extra syrup; empty when not considered
	RiskSupplementFed []float64 // supplement, plan and extra syrup
	Bees              Band
	BeesSupplement    Band
	Brood             Band // cells
	BroodSupplement   Band
	ForagersExtra     []float64 // mean extra foragers with supplement
	BloomFrac         []float64 // share of springs in dependable bloom by date
	NectarFrac        []float64
	ReserveKg         float64
	Feedings          []Feeding
	Visits            []time.Time
	Reserve           *Held   // nil when not known
	Starves           *Ends   // shares of springs in which it starves, as the plan says; nil when not known
	BeesGain          Band    // more adult bees with supplement, in the same spring; empty when not considered
	BySugar           []Trade // risk by the share of the planned sugar that is given; empty when no feed
	ByStart           []Trade // risk by the day of the first feeding, the others moved with it; empty when no feed
}

// Ends are the shares of springs in which a colony starves, 0..1, as ColonyPlan and its
// Supplement have them; those of one not fed, or without supplement, say nothing.
type Ends struct {
	Alone, Fed, Supplement, SupplementFed float64
}

// Held are shares of springs in which the reserve is held until nectar, 0..1.
type Held struct {
	Alone float64
	Fed   float64 // NaN when no feed
}

// Trade is what a colony risks with another amount or start than the planned one.
type Trade struct {
	SugarKg float64
	Start   time.Time // day of the first feeding; zero when nothing is given
	Risk    Risk
	Planned bool
}

// StillAtRiskOf sums up the colonies that starve in more springs than is accepted,
// fed as planned.
func StillAtRiskOf(cs []ColonyPlan, acceptFrac float64) StillAtRisk {
	out := StillAtRisk{AcceptFrac: acceptFrac}
	for i := range cs {
		c := &cs[i]
		if c.Verdict != Feed || c.RiskFed.Frac <= acceptFrac {
			continue
		}
		out.Colonies += c.Stands()
		if c.RiskFed.Frac > out.WorstFrac {
			out.WorstYard, out.Worst, out.WorstFrac = c.Yard, c.Colony, c.RiskFed.Frac
		}
	}
	return out
}
