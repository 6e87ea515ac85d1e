package season

import (
	"fmt"
	"math"
	"slices"
	"time"

	"bloomgap/feed/syrup"
	"bloomgap/forage/bloom"
	"bloomgap/forage/read"
	"bloomgap/sim/colony"
	"bloomgap/sim/observe"
)

// Season is all that a beekeeper wrote down about one spring.
type Season struct {
	Dir       string      // the folder it was read from; "" for the built-in example
	Invented  bool        // true for the built-in example and the starter folder: no real hive
	Today     time.Time   // the day the question is asked
	Settings  Settings    // the same for all yards
	Yards     []Yard      // in the order of the table
	Colonies  []Colony    // in the order of the table; each yard is in Yards
	Equipment []Equipment // on hand, in the order of the table
	Given     []Given     // food given so far, in the order of the table

	Reading read.Problems // what the reading of it warned of
}

// Parameter is a figure of the colony model that the settings put in place of
// the usual one, in the unit of sim.Catalogue.
type Parameter struct {
	Name  string
	Value float64
}

// Yard finds a yard by its name, case and spaces ignored; nil when there is none.
func (s *Season) Yard(name string) *Yard {
	for i := range s.Yards {
		if sameName(s.Yards[i].Name, name) {
			return &s.Yards[i]
		}
	}
	return nil
}

// Keep drops all yards but those named, with their colonies. A name that no yard
// has is an error, and then nothing is dropped.
func (s *Season) Keep(names []string) error {
	for _, name := range names {
		if s.Yard(name) == nil {
			return fmt.Errorf("there is no yard %q", name)
		}
	}
	kept := func(yard string) bool {
		return slices.ContainsFunc(names, func(n string) bool { return sameName(n, yard) })
	}
	s.Yards = slices.DeleteFunc(s.Yards, func(y Yard) bool { return !kept(y.Name) })
	s.Colonies = slices.DeleteFunc(s.Colonies, func(c Colony) bool { return !kept(c.Yard) })
	s.Given = slices.DeleteFunc(s.Given, func(g Given) bool { return !kept(g.Yard) })
	return nil
}

// ByYard lists the colonies of every yard in the order of the table, under the
// yard's name as the table of yards writes it.
func (s *Season) ByYard() map[string][]*Colony {
	names := make(map[string]string, len(s.Yards))
	for i := range s.Yards {
		names[nameKey(s.Yards[i].Name)] = s.Yards[i].Name
	}
	out := make(map[string][]*Colony, len(s.Yards))
	for i := range s.Colonies {
		yard := names[nameKey(s.Colonies[i].Yard)]
		out[yard] = append(out[yard], &s.Colonies[i])
	}
	return out
}

// ColoniesOf lists the colonies of a yard in the order of the table.
func (s *Season) ColoniesOf(yard string) []*Colony {
	var out []*Colony
	for i := range s.Colonies {
		if sameName(s.Colonies[i].Yard, yard) {
			out = append(out, &s.Colonies[i])
		}
	}
	return out
}

// Settings holds the choices that are the same for all yards.
type Settings struct {
	UnitsUS        bool           // print lb, US gal and F instead of kg, L and C; also the unit of a bare weight column
	AcceptRiskFrac float64        // risk of starving before nectar that is accepted, 0..1
	ReserveKg      float64        // stores to hold at all times, kg
	ReserveFrac    float64        // share of springs in which the reserve is to be held, 0..1
	LossFrac       float64        // share of colonies lost for other reasons before nectar, 0..1
	WasteFrac      float64        // most of the sugar that is spilled or spoils, 0..1; from none to that
	Strength       syrup.Strength // syrup to mix; the zero value means: choose for me
	SugarBagKg     float64        // size of a bag of sugar, kg
	OwnBag         bool           // that size was given; else it follows the units

	ProteinConsidered bool      // whether a protein supplement is weighed up
	BeesWantedDate    time.Time // day that a number of bees is wanted (pollination, nucs); zero = none
	BeesWantedBees    float64   // adult bees wanted a colony on that day; NaN = none

	Springs int    // possible springs to run at most; 0 = all that the records hold
	Draws   int    // draws of the uncertain parameters in each spring
	Seed    uint64 // same seed, same answer

	AllowOpenFeeding bool      // whether a tub in the open may be offered; still with a warning
	Rules            FeedRules // when what kind of feed can be taken

	Truck Truck // how the yards are gone round

	Prices Prices // what things cost

	Dusting Dusting // rounds of preventive dusting; DustingAt gives those of a yard

	Parameters []Parameter // figures of the colony model that are not the usual ones, in order of the file

	Confirmed []read.Code // questions about the input that the keeper has answered: it is right as it is
}

// Bags of sugar as they are sold, trade practice: 25 kg, and 50 lb.
const (
	metricBagKg = 25.0
	usBagKg     = 22.6796185
)

// SetUnits sets the units of the reader, and with them the usual bag of sugar
// unless a size was given.
func (s *Settings) SetUnits(us bool) {
	s.UnitsUS = us
	switch {
	case s.OwnBag:
	case us:
		s.SugarBagKg = usBagKg
	default:
		s.SugarBagKg = metricBagKg
	}
}

// ChooseStrength tells that the strength is left to the plan.
func (s Settings) ChooseStrength() bool { return s.Strength.IsZero() }

// FeedRules are the temperatures, on the day's maximum in C, that decide what
// kind of feed the bees can take.
type FeedRules struct {
	SolidOnlyBelowC    float64 // below: solid feed only
	TouchingOnlyBelowC float64 // below: solid first, liquid only in a bag or pail touching the cluster
	AnyFeederFromC     float64 // from here: any feeder inside the hive; between the two: bag or pail
}

// Yard is one place where colonies stand.
type Yard struct {
	Name           string
	LatDeg, LonDeg float64 // degrees, north and east positive; LonDeg NaN = unknown
	ElevM          float64 // m above sea level; NaN = unknown

	WeatherFiles []string // paths that can be opened; empty = use Climate
	WeatherPlace string   // place to take from WeatherFiles that hold several; "" when they hold one
	ForecastFile string   // path of a forecast for the next days; "" = none
	Climate      string   // name of a built-in climate; "auto" = the nearest one; "" when WeatherFiles are given

	NextVisit   time.Time   // zero = unknown
	DaysBetween int         // days from visit to visit; 0 = unknown
	Visits      []time.Time // listed visits, in order; when given they replace NextVisit and DaysBetween

	BloomDate       time.Time // seen or expected first dependable nectar; zero = by thermal time
	BloomSpreadDays float64   // SD of BloomDate, days; 0 for a bloom that was seen
	Plants          []string  // plants to reckon with; empty = the usual ones

	EarlyForage  colony.EarlyForage // willow, maple and the like within flight
	BloomRule    bloom.Threshold    // own rule for the first dependable nectar; NeedCd 0 = none
	MonthlyMeanC []float64          // 12 typed mean temperatures, January first, C; nil = none

	Tares Tares // weights of the empty equipment

	Dusting Dusting // rounds of dusting where they differ from the settings; zero fields = as there

	Round   string // name of the round on which it is visited with other yards; "": none
	Disease bool   // colonies of it are or were ill: it is visited last

	TripPrice *float64 // what a trip to it costs; nil = as in the settings

	NotLookedAt []NotLookedAt // colonies of its tallies that nobody looked at: they are as those looked at turned out to be
}

// NotLookedAt are colonies of a yard in hives of one size that nobody looked at.
type NotLookedAt struct {
	Boxes    string // what Colony.SizeOfHive gives; "" = of any size
	Colonies int
}

// VisitDates lists the visits from one day to another, both included: the
// listed ones, or every DaysBetween from NextVisit. An unknown NextVisit is
// taken as from; an unknown DaysBetween as DefaultDaysBetween.
func (y *Yard) VisitDates(from, to time.Time) []time.Time {
	var out []time.Time
	if len(y.Visits) > 0 {
		for _, v := range y.Visits {
			if !v.Before(from) && !v.After(to) {
				out = append(out, v)
			}
		}
		return out
	}
	step, v := y.DaysBetween, y.NextVisit
	if step <= 0 {
		step = DefaultDaysBetween
	}
	if v.IsZero() {
		v = from
	}
	if late := int(from.Sub(v).Hours() / 24); late > 0 { // skip what is past
		v = v.AddDate(0, 0, (late+step-1)/step*step)
	}
	for ; !v.After(to); v = v.AddDate(0, 0, step) {
		out = append(out, v)
	}
	return out
}

// WinterVisits tells that a day lies where bees are left alone: from October to January.
func WinterVisits(day time.Time) bool {
	return day.Month() >= time.October || day.Month() == time.January
}

// Summer tells that a day lies in the months of which the model knows nothing: from June
// to September.
func Summer(day time.Time) bool { return day.Month() >= time.June && day.Month() <= time.September }

// DefaultDaysBetween is the visit interval in spring when none is given, days
// (common practice, range 5-21).
const DefaultDaysBetween = 10

// What boxes, readings and empty equipment are is the observation room's to say.
type (
	BoxKind  = observe.BoxKind
	Boxes    = observe.Boxes
	Tares    = observe.Tares
	Food     = observe.Food
	FoodKind = observe.FoodKind
	Heft     = observe.Heft
)

// The kinds of box, the ways to judge food, the surest first, and the words for a
// heft.
const (
	Deep    = observe.Deep
	Medium  = observe.Medium
	Shallow = observe.Shallow
	Large   = observe.Large

	FoodUnknown  = observe.FoodUnknown
	FoodGross    = observe.FoodGross
	FoodLiftBoth = observe.FoodLiftBoth
	FoodFrames   = observe.FoodFrames
	FoodLiftBack = observe.FoodLiftBack
	FoodHeft     = observe.FoodHeft

	HeftLight = observe.HeftLight
	HeftFair  = observe.HeftFair
	HeftHeavy = observe.HeftHeavy
)

// ParseHeft reads "light", "fair" or "heavy".
func ParseHeft(word string) (Heft, bool) { return observe.ParseHeft(word) }

// Colony is one hive, dead or alive, with all that was seen of it; or, with a
// Tally, several of which the same was seen.
type Colony struct {
	Yard, Name   string
	Tally        *Tally  // nil for one hive
	Alive        bool    // as last seen
	Boxes        []Boxes // as last seen
	FramesPerBox int     // frames in a full box, usually 10
	Insulated    bool    // wrapped or in an insulated hive, as last seen
	Observations []Observation
	Line         int // row of the last observation in its table, for messages; 0 = unknown
}

// Hive is the colony's equipment, with the tares of its yard and what bees and
// brood weigh.
func (c *Colony) Hive(t Tares, m observe.Masses) observe.Hive {
	return observe.Hive{Boxes: c.Boxes, FramesPerBox: c.FramesPerBox, Wrapped: c.Insulated, Tares: t, Masses: m}
}

// Last is the latest observation; nil when there is none.
func (c *Colony) Last() *Observation {
	if len(c.Observations) == 0 {
		return nil
	}
	return &c.Observations[len(c.Observations)-1]
}

// Observation is what was seen of a colony on one day. Observations of a colony
// are in order of date.
type Observation struct {
	Date        time.Time
	Alive       bool
	Food        Food    // by the surest way
	Also        []Food  // the same day by other ways: with a weight they show how a hand reads
	SeamsOfBees float64 // spaces between combs filled with bees; NaN = not looked
	CountTempC  float64 // outdoor temperature when the seams were counted; NaN = unknown
	BroodFrames float64 // combs of brood, both sides full = 1; NaN = not looked
	OverKg      float64 // solid sugar seen lying over the cluster, kg; NaN = not looked
	SealedFrac  float64 // share of that brood that was sealed; NaN = unknown
	Note        string
}

// Look is what was seen, for the observation room, on a day of an outlook.
func (o *Observation) Look(day int) observe.Look {
	return observe.Look{Day: day, Food: o.Food, SeamsOfBees: o.SeamsOfBees, CountTempC: o.CountTempC, BroodFrames: o.BroodFrames, OverKg: o.OverKg}
}

// Item is a kind of equipment.
type Item string

// The equipment that a way of feeding may need.
const (
	BagRim       Item = "bag rim"               // about 75 mm high, for a bag of syrup on the top bars
	FrameFeeder  Item = "frame feeder"          // in place of an outer frame
	EntranceJar  Item = "entrance jar"          // jar in an entrance feeder
	Pail         Item = "pail"                  // inverted over the hole of the inner cover
	Tray         Item = "tray"                  // under the lid
	EmptyBox     Item = "empty box"             // round a pail or a jar
	HoledCover   Item = "inner cover with hole" // for a pail
	CandyRim     Item = "candy rim"             // low rim for solid feed over the cluster
	OpenTub      Item = "open tub"              // stands in the open; never offered unless asked for
	HiveWrapping Item = "wrap"                  // insulation
)

// Equipment is a number of one item on hand.
type Equipment struct {
	Yard   string // "" = for all yards
	Item   Item
	Count  int
	HoldsL float64 // litres that one holds; NaN = the usual for its kind
}

// OnHand counts an item that a yard can use: its own and those for all yards.
func (s *Season) OnHand(yard string, item Item) int {
	n := 0
	for _, e := range s.Equipment {
		if e.Item == item && (e.Yard == "" || sameName(e.Yard, yard)) {
			n += e.Count
		}
	}
	return n
}

// Holds is what one of an item on hand at a yard holds, L: the least where rows
// differ, so that any of them will do; NaN when nobody has said.
func (s *Season) Holds(yard string, item Item) float64 {
	least := math.NaN()
	for _, e := range s.Equipment {
		if e.Item == item && e.Count > 0 && (e.Yard == "" || sameName(e.Yard, yard)) && !(e.HoldsL >= least) && !math.IsNaN(e.HoldsL) {
			least = e.HoldsL
		}
	}
	return least
}
