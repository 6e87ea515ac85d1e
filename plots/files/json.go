package files

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/plots/words"
)

// Format and FormatVersion name what WriteJSON writes. From version 2 on names are
// only added: a program that reads them goes on working. plan.schema.json holds
// them all.
const (
	Format        = "bloomgap plan"
	FormatVersion = 2
)

// Num is a figure; one that is not known (NaN) or without bound is null. It is
// written to five figures.
type Num float64

// MarshalJSON writes the figure or null.
func (n Num) MarshalJSON() ([]byte, error) {
	v := float64(n)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return []byte("null"), nil
	}
	v, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 5, 64), 64)
	if err != nil {
		return nil, err
	}
	return json.Marshal(v + 0) // no minus before nothing
}

// UnmarshalJSON reads a figure; null is NaN.
func (n *Num) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*n = Num(math.NaN())
		return nil
	}
	return json.Unmarshal(b, (*float64)(n))
}

// Day is a date, yyyy-mm-dd; the zero time is null.
type Day struct{ time.Time }

// MarshalJSON writes the date or null.
func (d Day) MarshalJSON() ([]byte, error) {
	if d.IsZero() {
		return []byte("null"), nil
	}
	return []byte(`"` + d.Format(time.DateOnly) + `"`), nil
}

// UnmarshalJSON reads a date; null is the zero time.
func (d *Day) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*d = Day{}
		return nil
	}
	t, err := time.Parse(`"`+time.DateOnly+`"`, string(b))
	if err != nil {
		return fmt.Errorf("a date is written as \"yyyy-mm-dd\": %w", err)
	}
	*d = Day{t}
	return nil
}

// Document is a plan as JSON. Names end in the unit; figures are always metric. A
// share is 0..1 (name ends in _frac). p10, p50 and p90 are quantiles over the
// simulated springs. What is said in words is a NoteDoc: its code, its figures and
// the sentence, in the units of text_units. Colonies come in order of urgency.
// Lists are never null.
type Document struct {
	Format      string       `json:"format"`
	Version     int          `json:"version"`
	Invented    bool         `json:"invented"` // no real hive, no real weather
	Today       Day          `json:"today"`
	TextUnits   string       `json:"text_units"` // metric or us
	Members     int          `json:"members"`    // simulated springs of each colony
	Seed        uint64       `json:"seed"`
	Settings    SettingsDoc  `json:"settings"`
	Counts      CountsDoc    `json:"counts"`
	Colonies    []ColonyDoc  `json:"colonies"`
	Yards       []YardDoc    `json:"yards"`
	Order       OrderDoc     `json:"order"`           // all yards together
	OrderBy     *OrderByDoc  `json:"order_by"`        // null where nobody has said how long an order takes to come
	Worth       *NoteDoc     `json:"worth,omitempty"` // what feeding saves and costs; only with prices in the settings
	Warnings    []WarningDoc `json:"warnings"`
	Cautions    []NoteDoc    `json:"cautions"`
	ModelLeaves []NoteDoc    `json:"model_leaves_out"`
	Changes     *ChangesDoc  `json:"changes"` // since an earlier plan; null when it was not compared
	Asked       []AskedDoc   `json:"asked"`   // answers to questions that were asked
}

// AskedDoc is the answer to a question, line by line.
type AskedDoc struct {
	Question string    `json:"question"` // the word of --ask
	Yard     string    `json:"yard"`
	Colony   string    `json:"colony"`
	Says     []NoteDoc `json:"says"`
}

// ChangesDoc is what moved since an earlier plan.
type ChangesDoc struct {
	Since    Day               `json:"since"`     // day of the earlier plan
	Same     int               `json:"unchanged"` // colonies for which all stays
	Colonies []ColonyChangeDoc `json:"colonies"`  // what matters most first
	Yards    []YardChangeDoc   `json:"yards"`
	Whole    []NoteDoc         `json:"whole"` // settings, draws, yards and the order
}

// ColonyChangeDoc is what moved for one colony.
type ColonyChangeDoc struct {
	Yard   string    `json:"yard"`
	Colony string    `json:"colony"`
	Matter string    `json:"matter"` // urgent, differs, moved
	What   []NoteDoc `json:"what"`
	Why    []NoteDoc `json:"why"`
}

// YardChangeDoc is what is known of a yard that was not.
type YardChangeDoc struct {
	Yard string    `json:"yard"`
	Why  []NoteDoc `json:"why"`
}

// NoteDoc is a plan.Note.
type NoteDoc struct {
	Code    string         `json:"code"`
	Figures map[string]any `json:"figures"`
	Text    string         `json:"text"`
}

// SettingsDoc holds the settings that the plan was made with.
type SettingsDoc struct {
	AcceptFrac  Num            `json:"accepted_risk_frac"`
	ReserveKg   Num            `json:"reserve_kg"`
	ReserveFrac Num            `json:"reserve_in_frac"` // share of springs in which it is to be held
	LostFrac    Num            `json:"lost_frac"`
	WasteFrac   Num            `json:"waste_frac"`
	Strength    string         `json:"syrup_ratio"` // sugar:water by weight; "" when the plan chooses
	BagKg       Num            `json:"sugar_bag_kg"`
	Supplement  bool           `json:"supplement"` // whether it is considered
	WantedOn    Day            `json:"bees_wanted_on"`
	WantedBees  Num            `json:"bees_wanted"`
	Springs     int            `json:"springs"` // 0: all that the records hold
	Draws       int            `json:"draws"`
	Parameters  []ParameterDoc `json:"parameters"` // figures of the model that are not the usual ones
}

// ParameterDoc is a figure of the model that the settings changed.
type ParameterDoc struct {
	Name  string `json:"name"`
	Value Num    `json:"value"`
}

// CountsDoc is a number of colonies by verdict.
type CountsDoc struct {
	Feed   int `json:"feed"`
	Watch  int `json:"watch"`
	NoFeed int `json:"no_feed"`
	Dead   int `json:"dead"`
}

// RangeDoc is a plan.Range.
type RangeDoc struct {
	P10 Num `json:"p10"`
	P50 Num `json:"p50"`
	P90 Num `json:"p90"`
}

// DateRangeDoc is a plan.DateRange.
type DateRangeDoc struct {
	P10 Day `json:"p10"`
	P50 Day `json:"p50"`
	P90 Day `json:"p90"`
}

// RiskDoc is a share of springs and its standard error.
type RiskDoc struct {
	Frac    Num `json:"frac"`
	ErrFrac Num `json:"error_frac"`
}

// ColonyDoc is the answer for one colony.
type ColonyDoc struct {
	Yard         string         `json:"yard"`
	Colony       string         `json:"colony"`
	Tally        *TallyDoc      `json:"tally"`   // of several colonies, each planned so; null for one
	Verdict      string         `json:"verdict"` // feed, watch, no feed, dead
	Headline     string         `json:"headline"`
	Looks        []LookDoc      `json:"looks"`      // what was seen, in order of date
	FeedGiven    []FeedGivenDoc `json:"feed_given"` // what it was given already
	SeenOn       Day            `json:"seen_on"`
	StoresKg     RangeDoc       `json:"stores_kg"` // when seen
	Bees         RangeDoc       `json:"bees"`      // when seen
	Risk         RiskDoc        `json:"risk"`      // of starving before nectar, left alone
	RiskByWeek   []Num          `json:"risk_by_week_frac"`
	ReserveDate  Day            `json:"reserve_passed_on"`       // median; null when not passed in half the springs
	StarveDate   Day            `json:"accepted_risk_passed_on"` // null when it is not
	StartBy      Day            `json:"start_by"`                // last visit that is early enough
	TooLate      bool           `json:"go_sooner"`               // the next visit is later than it should be
	Wrap         bool           `json:"wrap"`                    // it stands bare and should be wrapped
	Strength     string         `json:"syrup_ratio"`             // sugar:water by weight; "" without syrup
	StrengthFrac Num            `json:"syrup_sugar_frac"`        // sugar in the syrup, by weight
	SyrupL       Num            `json:"syrup_l"`                 // given of a spring, mean
	SyrupSugarKg Num            `json:"syrup_sugar_kg"`
	SolidKg      Num            `json:"solid_kg"`
	Feedings     []FeedingDoc   `json:"feedings"`
	RiskFed      *RiskDoc       `json:"risk_fed"`          // null without feeding
	ReserveFrac  Num            `json:"reserve_held_frac"` // share of springs in which the plan holds the reserve
	Policy       *PolicyDoc     `json:"policy"`            // null without feeding
	Feeder       FeederDoc      `json:"feeder"`
	Bloom        DateRangeDoc   `json:"bloom"`
	Nectar       DateRangeDoc   `json:"nectar"`
	NonFlying    RangeDoc       `json:"days_without_flight"`
	ColdSpell    RangeDoc       `json:"longest_spell_without_flight_days"`
	BloomBees    RangeDoc       `json:"bees_at_bloom"`
	Hungry       *HungryDoc     `json:"brood_cut_back"` // the second reading of hunger; null for a colony that does not run out
	Unwrap       *UnwrapDoc     `json:"unwrap"`         // null for one that is not wrapped and not to be
	Supplement   *SupplementDoc `json:"supplement"`     // null when not considered
	Confidence   ConfidenceDoc  `json:"confidence"`
	Reason       []NoteDoc      `json:"reason"`
	Warnings     []NoteDoc      `json:"warnings"`
	Members      int            `json:"members"`
}

// TallyDoc is how many colonies a plan stands for.
type TallyDoc struct {
	Colonies int      `json:"colonies"`
	LookedAt int      `json:"looked_at"`      // of them, those looked at and found so
	Range    RangeDoc `json:"colonies_range"` // as far as those looked at tell
}

// HungryDoc is what becomes of a colony left alone that cuts its brood back as its
// stores fall; decisions rest on risk, of a colony kept growing.
type HungryDoc struct {
	Members     int      `json:"members"`
	Risk        RiskDoc  `json:"risk"`
	Growing     RiskDoc  `json:"risk_kept_growing"` // on the same members
	BloomBees   RangeDoc `json:"bees_at_bloom"`     // of those that live
	GrowingBees RangeDoc `json:"bees_at_bloom_kept_growing"`
}

// UnwrapDoc is what taking a wrap off costs against leaving it on until nectar.
type UnwrapDoc struct {
	Wrapped    bool     `json:"wrapped"` // false: to be wrapped
	On         Day      `json:"on"`      // the day it would come off
	CostKg     RangeDoc `json:"cost_kg"` // stores eaten more before nectar
	RiskOn     RiskDoc  `json:"risk_on"` // left alone
	RiskOff    RiskDoc  `json:"risk_off"`
	FedOn      RiskDoc  `json:"risk_fed_on"` // fed as planned; 0 without feeding
	FedOff     RiskDoc  `json:"risk_fed_off"`
	CoolNights RangeDoc `json:"cool_nights"` // under cool_c, from that day to nectar
	CoolC      Num      `json:"cool_c"`
	From       Day      `json:"from"` // first day from which it costs under under_kg in nine springs of ten
	UnderKg    Num      `json:"under_kg"`
}

// LookDoc is what was seen of a colony on one day.
type LookDoc struct {
	On           Day    `json:"on"`
	Alive        bool   `json:"alive"`
	FoodBy       string `json:"food_by"` // gross, lift_both, lift_back, heft, frames, unknown
	GrossKg      Num    `json:"gross_kg"`
	LiftLeftKg   Num    `json:"lift_left_kg"`
	LiftRightKg  Num    `json:"lift_right_kg"`
	LiftBackKg   Num    `json:"lift_back_kg"`
	Heft         string `json:"heft"` // light, fair, heavy; "" when not hefted
	FramesDeep   Num    `json:"food_frames_deep"`
	FramesMedium Num    `json:"food_frames_medium"`
	Seams        Num    `json:"seams"`
	CountTempC   Num    `json:"count_temp_c"`
	BroodFrames  Num    `json:"brood_frames"`
	Note         string `json:"note"`
}

// FeedGivenDoc is feed that was given before the day of the plan.
type FeedGivenDoc struct {
	On       Day    `json:"on"`
	SyrupL   Num    `json:"syrup_l"`
	Strength string `json:"syrup_ratio"`
	SolidKg  Num    `json:"solid_kg"`
	Deep     Num    `json:"food_frames_deep"` // combs of food put in
	Medium   Num    `json:"food_frames_medium"`
}

// FeedingDoc is food put on a hive on one visit.
type FeedingDoc struct {
	Date       Day    `json:"date"`
	SyrupL     Num    `json:"syrup_l"`
	SugarKg    Num    `json:"sugar_kg"`
	SolidKg    Num    `json:"solid_kg"`
	OnlyIfLow  bool   `json:"only_if_low"`    // fewer than half the springs need it
	NeededFrac Num    `json:"needed_frac"`    // share of springs in which it is given
	UnderKg    Num    `json:"under_kg"`       // given where the food is judged to be under; null: whatever it reads
	UnderGross Num    `json:"under_gross_kg"` // the same on a scale under the whole hive
	UnderHeft  string `json:"under_heft"`     // the heaviest word that such a hive hefts as; "": lighter than light, or no line
}

// FeederDoc is a feeder, with why.
type FeederDoc struct {
	Code         string   `json:"code"` // "" for none
	Name         string   `json:"name"`
	Mind         string   `json:"mind"` // what to mind with it
	OnHand       bool     `json:"on_hand"`
	Reason       *NoteDoc `json:"reason"` // null for none
	NextBest     string   `json:"next_best"`
	NextBestName string   `json:"next_best_name"`
	Against      *NoteDoc `json:"next_best_why_not"` // null for none
}

// SupplementDoc is what a protein supplement changes.
type SupplementDoc struct {
	Advised      bool      `json:"advised"`
	From         Day       `json:"from"`
	Risk         RiskDoc   `json:"risk"`
	RiskFed      RiskDoc   `json:"risk_fed"`
	BloomBees    RangeDoc  `json:"bees_at_bloom"`
	WantedBees   RangeDoc  `json:"bees_on_day_wanted"`
	BareWanted   RangeDoc  `json:"bees_on_day_wanted_without"`
	GainBees     RangeDoc  `json:"more_bees"` // each spring against itself, on the day wanted or at its own bloom
	GainErrBees  Num       `json:"more_bees_error"`
	ExtraSyrupL  Num       `json:"extra_syrup_l"`
	ExtraKg      Num       `json:"extra_stores_kg"`
	SupplementKg Num       `json:"supplement_kg"`
	Emerge       Day       `json:"half_emerged_on"`
	Forage       Day       `json:"half_foraging_on"`
	WindowFrom   Day       `json:"window_from"`
	WindowTo     Day       `json:"window_to"`
	LeadDays     RangeDoc  `json:"lead_days"`
	Advice       []NoteDoc `json:"advice"`
}

// ConfidenceDoc is how sure the verdict is.
type ConfidenceDoc struct {
	WeighFirst      bool     `json:"weigh_first"`
	NeedStoresKg    Num      `json:"no_feed_above_stores_kg"`
	NeedGrossKg     Num      `json:"no_feed_above_gross_kg"`
	RiskIfLightFrac Num      `json:"risk_if_light_frac"`
	RiskIfHeavyFrac Num      `json:"risk_if_heavy_frac"`
	Note            *NoteDoc `json:"note"` // null for a colony that was not run
}

// AmountDoc is a total, enough in half the springs and in nine of ten.
type AmountDoc struct {
	P10 Num `json:"p10"`
	P50 Num `json:"p50"`
	P90 Num `json:"p90"`
}

// OrderByDoc is by when sugar is to be ordered.
type OrderByDoc struct {
	First    Day `json:"for_first_visits"`
	Later    Day `json:"for_later_visits"`
	LeadDays int `json:"lead_days"`
}

// OrderDoc is what to buy.
type OrderDoc struct {
	Colonies     int       `json:"colonies_fed"`
	SugarKg      AmountDoc `json:"sugar_kg"`
	SugarBags    AmountDoc `json:"sugar_bags"`
	BagKg        Num       `json:"bag_kg"`
	SyrupL       AmountDoc `json:"syrup_l"`
	SyrupSugarKg AmountDoc `json:"syrup_sugar_kg"`
	WaterL       AmountDoc `json:"water_l"`
	SolidKg      AmountDoc `json:"solid_kg"`
	SupplementKg AmountDoc `json:"supplement_kg"`
	NowSugarKg   AmountDoc `json:"first_visit_sugar_kg"` // of sugar_kg: what goes out at the first visits
	LaterSugarKg AmountDoc `json:"later_sugar_kg"`       // and the rest
	LaterBy      Day       `json:"later_by"`             // first visit that may need of it
	Equipment    []GearDoc `json:"equipment"`
}

// GearDoc is equipment needed and on hand.
type GearDoc struct {
	Item   string `json:"item"`
	Needed int    `json:"needed"`
	OnHand int    `json:"on_hand"`
	Buy    int    `json:"to_get"`
}

// YardDoc is the answer for one yard.
type YardDoc struct {
	Name      string       `json:"name"`
	LatDeg    Num          `json:"latitude_deg"`
	LonDeg    Num          `json:"longitude_deg"`
	Round     string       `json:"round"`   // of the yards that are visited together; "" for none
	Disease   bool         `json:"disease"` // it is visited last
	Counts    CountsDoc    `json:"counts"`
	Dead      []string     `json:"dead"`
	Losses    *LossesDoc   `json:"losses"` // null when none is dead
	Bloom     DateRangeDoc `json:"bloom"`
	Nectar    DateRangeDoc `json:"nectar"`
	NonFlying RangeDoc     `json:"days_without_flight"`
	Flying    Day          `json:"flying_by"` // bees have flown in half the springs
	WeekDates []Day        `json:"risk_by_week_dates"`
	Order     OrderDoc     `json:"order"`
	Visits    []VisitDoc   `json:"visits"`
	Weather   WeatherDoc   `json:"weather"`
	Springs   []SpringDoc  `json:"springs"`
}

// LossesDoc is the colonies of a yard that are dead, as a share with its exact binomial
// range of 95 %.
type LossesDoc struct {
	Lost      int `json:"lost"`
	Of        int `json:"of"`
	Frac      Num `json:"frac"`
	LeastFrac Num `json:"least_frac"`
	MostFrac  Num `json:"most_frac"`
}

// WeatherDoc is where the springs of a yard come from.
type WeatherDoc struct {
	Record      string `json:"record"` // "" for none
	PastSprings int    `json:"past_springs"`
	Generated   int    `json:"drawn_springs"` // drawn from a climate
	Climate     string `json:"climate"`
	AwayKm      Num    `json:"away_km"` // from the yard to that place; null when not known
	ObservedTo  Day    `json:"observed_to"`
	ForecastTo  Day    `json:"forecast_to"`
	Bloom       Day    `json:"bloom_given"`
	BloomSDDays Num    `json:"bloom_given_sd_days"`
	Plant       string `json:"bloom_plant"`
	Fingerprint string `json:"fingerprint"` // the same for the same days in every spring
	Text        string `json:"text"`
}

// VisitDoc is one round of a yard.
type VisitDoc struct {
	Date  Day       `json:"date"`
	Tasks []TaskDoc `json:"tasks"`
}

// TaskDoc is one thing to do.
type TaskDoc struct {
	Colony   string `json:"colony"` // "" for the whole yard
	Colonies int    `json:"colonies"`
	NoteDoc
}

// SpringDoc is one simulated spring of a yard.
type SpringDoc struct {
	Label     string `json:"label"`
	Bloom     Day    `json:"bloom"`
	Nectar    Day    `json:"nectar"`
	NonFlying int    `json:"days_without_flight"`
	LongSpell int    `json:"longest_spell_without_flight_days"`
}

// WarningDoc is a warning and what it is about; "" for all.
type WarningDoc struct {
	Yard   string `json:"yard"`
	Colony string `json:"colony"`
	NoteDoc
}

// WriteJSON writes the plan as a Document, set in by two spaces, its sentences in
// the units of the season's settings.
func WriteJSON(w io.Writer, pl *plan.Plan) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(NewDocument(pl))
}

// NewDocument puts a plan in the form that is written as JSON.
func NewDocument(pl *plan.Plan) Document {
	n := words.Counts(pl)
	d := documents{words: words.StyleOf(pl)}
	if pl.Season != nil {
		d.given = pl.Season.GivenByYard()
	}
	out := Document{Format: Format, Version: FormatVersion, Invented: pl.Invented, Today: Day{pl.Today}, TextUnits: "metric",
		Members: pl.Members, Seed: pl.Seed,
		Settings: settingsDoc(pl), Counts: CountsDoc{n.Feed, n.Watch, n.Leave, n.Clear}, Colonies: []ColonyDoc{}, Yards: []YardDoc{},
		Order: orderDoc(pl.Order), OrderBy: orderByDoc(pl.OrderBy),
		Warnings: []WarningDoc{}, Asked: []AskedDoc{}, Cautions: d.notes(pl.Cautions), ModelLeaves: d.notes(pl.Limits)}
	if d.words.US {
		out.TextUnits = "us"
	}
	seen := looksOf(pl.Season)
	for i := range pl.Colonies {
		out.Colonies = append(out.Colonies, d.colony(pl, &pl.Colonies[i], seen))
	}
	for i := range pl.Yards {
		out.Yards = append(out.Yards, d.yard(pl, &pl.Yards[i]))
	}
	for _, w := range words.WarningNotes(pl) {
		out.Warnings = append(out.Warnings, WarningDoc{w.Yard, w.Colony, d.note(w.What)})
	}
	out.Changes = d.changes(pl.Changes)
	if pl.Worth != nil {
		worth := d.note(*pl.Worth)
		out.Worth = &worth
	}
	for i := range pl.Asked {
		a := &pl.Asked[i]
		out.Asked = append(out.Asked, AskedDoc{a.Question.String(), a.Yard, a.Colony, d.notes(a.Says)})
	}
	return out
}

// changes are what moved since an earlier plan; nil when none was compared.
func (d documents) changes(c *plan.Changes) *ChangesDoc {
	if c == nil {
		return nil
	}
	out := &ChangesDoc{Since: Day{c.Since}, Same: c.Same, Colonies: []ColonyChangeDoc{}, Yards: []YardChangeDoc{}, Whole: d.notes(c.Whole)}
	for i := range c.Colonies {
		x := &c.Colonies[i]
		out.Colonies = append(out.Colonies, ColonyChangeDoc{x.Yard, x.Colony, x.Matter.String(), d.notes(x.What), d.notes(x.Why)})
	}
	for _, y := range c.Yards {
		out.Yards = append(out.Yards, YardChangeDoc{y.Yard, d.notes(y.Why)})
	}
	return out
}

// documents puts parts of a plan in the form of JSON, with words of a style.
type documents struct {
	words words.Style
	given map[string][]season.Given // by yard
}

func (d documents) note(n plan.Note) NoteDoc {
	return NoteDoc{Code: string(n.Code()), Figures: plan.Figures(n), Text: words.Clean(d.words.Note(n))}
}

// maybe is a note or null.
func (d documents) maybe(n plan.Note) *NoteDoc {
	if n == nil {
		return nil
	}
	out := d.note(n)
	return &out
}

func (d documents) notes(ns []plan.Note) []NoteDoc {
	out := make([]NoteDoc, 0, len(ns))
	for _, n := range ns {
		out = append(out, d.note(n))
	}
	return out
}

func settingsDoc(pl *plan.Plan) SettingsDoc {
	d := SettingsDoc{AcceptFrac: Num(pl.AcceptPct / 100), ReserveKg: Num(math.NaN()), ReserveFrac: Num(math.NaN()), LostFrac: Num(math.NaN()),
		WasteFrac: Num(math.NaN()), BagKg: Num(none(pl.Order.BagKg)), WantedBees: Num(math.NaN()),
		Parameters: []ParameterDoc{}}
	if pl.Season == nil {
		return d
	}
	s := &pl.Season.Settings
	d.ReserveFrac, d.LostFrac, d.WasteFrac = Num(s.ReserveFrac), Num(s.LossFrac), Num(s.WasteFrac)
	d.ReserveKg, d.Strength, d.BagKg = Num(s.ReserveKg), words.Strength(s.Strength), Num(s.SugarBagKg)
	d.Supplement, d.WantedOn, d.WantedBees = s.ProteinConsidered, Day{s.BeesWantedDate}, Num(none(s.BeesWantedBees))
	d.Springs, d.Draws = s.Springs, s.Draws
	for _, p := range s.Parameters {
		d.Parameters = append(d.Parameters, ParameterDoc{p.Name, Num(p.Value)})
	}
	return d
}

// looksOf finds the colonies of a season by yard and name.
func looksOf(s *season.Season) map[[2]string]*season.Colony {
	out := map[[2]string]*season.Colony{}
	if s != nil {
		for yard, colonies := range s.ByYard() {
			for _, c := range colonies {
				out[[2]string{yard, c.Name}] = c
			}
		}
	}
	return out
}

func lookDoc(o *season.Observation) LookDoc {
	f := &o.Food
	d := LookDoc{On: Day{o.Date}, Alive: o.Alive, FoodBy: f.Kind.FigureCode(), Seams: Num(o.SeamsOfBees), CountTempC: Num(o.CountTempC),
		BroodFrames: Num(o.BroodFrames), Note: o.Note,
		GrossKg: Num(none(f.GrossKg)), LiftLeftKg: Num(none(f.LiftLeftKg)), LiftRightKg: Num(none(f.LiftRightKg)), LiftBackKg: Num(none(f.LiftBackKg)),
		FramesDeep: Num(math.NaN()), FramesMedium: Num(math.NaN())}
	switch f.Kind {
	case season.FoodHeft:
		d.Heft = f.Heft.String()
	case season.FoodFrames:
		d.FramesDeep, d.FramesMedium = Num(f.FramesDeep), Num(f.FramesMedium)
	}
	return d
}

func (d documents) colony(pl *plan.Plan, c *plan.ColonyPlan, seen map[[2]string]*season.Colony) ColonyDoc {
	out := ColonyDoc{Yard: c.Yard, Colony: c.Colony, Verdict: c.Verdict.String(), Headline: words.AnswerFor(pl, c, d.words).Headline, Looks: []LookDoc{},
		FeedGiven: []FeedGivenDoc{},
		SeenOn:    Day{c.SeenOn}, StoresKg: rangeDoc(c.StoresKg), Bees: rangeDoc(c.Bees), Risk: riskDoc(c.Risk),
		RiskByWeek: []Num{}, ReserveDate: Day{c.ReserveDate}, StarveDate: Day{c.StarveDate}, StartBy: Day{c.StartBy}, TooLate: c.TooLate, Wrap: c.Wrap,
		StrengthFrac: Num(math.NaN()),
		SyrupL:       Num(c.SyrupL), SyrupSugarKg: Num(c.SyrupSugarKg), SolidKg: Num(c.SolidKg), Feedings: []FeedingDoc{}, ReserveFrac: Num(math.NaN()),
		Feeder: d.feeder(&c.Choice),
		Bloom:  dateRangeDoc(c.Bloom), Nectar: dateRangeDoc(c.Nectar), NonFlying: rangeDoc(c.NonFlying), ColdSpell: rangeDoc(c.ColdSpell),
		BloomBees:  rangeDoc(c.BloomBees),
		Confidence: d.confidence(&c.Confidence), Reason: d.notes(c.Reason), Warnings: d.notes(c.Warnings), Members: c.Members}
	if t := c.Tally; t != nil {
		out.Tally = &TallyDoc{t.Colonies, t.LookedAt, rangeDoc(t.Range)}
	}
	if from := seen[[2]string{c.Yard, c.Colony}]; from != nil {
		for i := range from.Observations {
			out.Looks = append(out.Looks, lookDoc(&from.Observations[i]))
		}
	}
	for _, g := range season.GivenTo(d.given[c.Yard], c.Colony) {
		doc := FeedGivenDoc{On: Day{g.Date}, SyrupL: Num(g.SyrupL), SolidKg: Num(g.SolidKg), Deep: Num(g.FramesDeep), Medium: Num(g.FramesMedium)}
		if g.SyrupL > 0 {
			doc.Strength = g.Strength.String()
		}
		out.FeedGiven = append(out.FeedGiven, doc)
	}
	if h := &c.Hungry; h.Members > 0 {
		out.Hungry = &HungryDoc{h.Members, riskDoc(h.Risk), riskDoc(h.Growing), rangeDoc(h.BloomBees), rangeDoc(h.GrowingBees)}
	}
	if x := &c.Unwrap; x.Known() {
		out.Unwrap = unwrapDoc(x)
	}
	for _, r := range c.RiskByWeek {
		out.RiskByWeek = append(out.RiskByWeek, Num(r))
	}
	if !c.Strength.IsZero() {
		out.Strength, out.StrengthFrac = c.Strength.String(), Num(c.Strength.MassFrac)
	}
	for _, f := range c.Feedings {
		out.Feedings = append(out.Feedings, FeedingDoc{Day{f.Date}, Num(f.SyrupL), Num(f.SugarKg), Num(f.SolidKg), f.OnlyIfLow, Num(f.NeededFrac),
			Num(positive(f.UnderKg)), Num(f.UnderGrossKg), heftWord(f.UnderHeft)})
	}
	if len(c.Feedings) > 0 {
		r := riskDoc(c.RiskFed)
		out.RiskFed, out.ReserveFrac, out.Policy = &r, Num(c.ReserveFrac), policyDoc(c.Policy)
	}
	if p := &c.Supplement; p.Considered {
		out.Supplement = &SupplementDoc{p.Advised, Day{p.From}, riskDoc(p.Risk), riskDoc(p.RiskFed), rangeDoc(p.BloomBees), rangeDoc(p.WantedBees),
			rangeDoc(p.BareWanted),
			rangeDoc(p.GainBees), Num(p.GainErrBees), Num(p.ExtraSyrupL), Num(p.ExtraKg), Num(p.SupplementKg), Day{p.Emerge}, Day{p.Forage},
			Day{p.WindowFrom}, Day{p.WindowTo}, rangeDoc(p.LeadDays), d.notes(p.Advice)}
	}
	return out
}

func unwrapDoc(x *plan.Unwrap) *UnwrapDoc {
	return &UnwrapDoc{x.Wrapped, Day{x.On}, rangeDoc(x.CostKg), riskDoc(x.RiskOn), riskDoc(x.RiskOff), riskDoc(x.FedOn), riskDoc(x.FedOff),
		rangeDoc(x.CoolNights), Num(x.CoolC), Day{x.From}, Num(x.UnderKg)}
}

func (d documents) feeder(c *plan.FeederChoice) FeederDoc {
	return FeederDoc{c.Feeder.String(), words.Feeder(c.Feeder), words.Mind(c.Feeder), c.OnHand, d.maybe(c.Reason), c.RunnerUp.String(),
		words.Feeder(c.RunnerUp), d.maybe(c.Against)}
}

func (d documents) confidence(c *plan.Confidence) ConfidenceDoc {
	return ConfidenceDoc{c.WeighFirst, Num(none(c.NeedStoresKg)), Num(none(c.NeedGrossKg)), Num(c.RiskIfLightFrac), Num(c.RiskIfHeavyFrac), d.maybe(c.Note)}
}

func (d documents) yard(pl *plan.Plan, y *plan.YardPlan) YardDoc {
	out := YardDoc{Name: y.Name, Round: y.Round, Disease: y.Disease, LatDeg: Num(y.LatDeg), LonDeg: Num(y.LonDeg), Dead: []string{},
		Bloom: dateRangeDoc(y.Bloom), Nectar: dateRangeDoc(y.Nectar),
		NonFlying: rangeDoc(y.NonFlying), Flying: Day{y.Flying}, WeekDates: []Day{}, Order: orderDoc(y.Order), Visits: []VisitDoc{},
		Weather: d.weather(&y.Weather), Springs: []SpringDoc{}}
	out.Dead = append(out.Dead, words.DeadOf(pl, *y)...)
	out.Counts = CountsDoc{y.Feed, y.Watch, y.NoFeed, words.DeadCount(pl, *y)}
	if l := y.Losses; l.Of > 0 {
		out.Losses = &LossesDoc{l.Lost, l.Of, Num(l.Frac), Num(l.LeastFrac), Num(l.MostFrac)}
	}
	for _, t := range y.WeekDates {
		out.WeekDates = append(out.WeekDates, Day{t})
	}
	for _, v := range y.Visits {
		vd := VisitDoc{Day{v.Date}, []TaskDoc{}}
		for _, t := range v.Tasks {
			vd.Tasks = append(vd.Tasks, TaskDoc{t.Colony, max(1, t.Colonies), d.note(t.What)})
		}
		out.Visits = append(out.Visits, vd)
	}
	for _, s := range y.Years {
		out.Springs = append(out.Springs, SpringDoc{s.Label, Day{s.Bloom}, Day{s.Nectar}, s.NonFlying, s.LongSpell})
	}
	return out
}

func (d documents) weather(w *plan.WeatherSource) WeatherDoc {
	return WeatherDoc{w.Record, w.PastSprings, w.Generated, w.Climate, Num(none(w.AwayKm)), Day{w.ObservedTo}, Day{w.ForecastTo}, Day{w.Bloom},
		Num(w.BloomSDDays), w.Plant,
		w.Fingerprint, d.words.WeatherSource(*w)}
}

// PolicyDoc is what feeding by the lines of the feedings comes to, over springs.
type PolicyDoc struct {
	Feedings Num        `json:"feedings"` // mean
	SugarKg  RangeDoc   `json:"sugar_kg"`
	AtATime  int        `json:"feeders_at_a_time"`
	Blocks   int        `json:"solid_blocks_at_a_time"`
	Prices   []PriceDoc `json:"other_ways"` // for some colonies of a yard
}

// PriceDoc is what another way to go about feeding costs and keeps.
type PriceDoc struct {
	Way         string `json:"way"` // without_reserve, fixed_list, by_scale, by_heft
	RiskFrac    Num    `json:"risk_frac"`
	ReserveFrac Num    `json:"reserve_held_frac"`
	SugarKg     Num    `json:"sugar_kg"`
	Feedings    Num    `json:"feedings"`
}

func policyDoc(p plan.Policy) *PolicyDoc {
	d := &PolicyDoc{Num(p.Feedings), rangeDoc(p.SugarKg), p.AtATime, p.Blocks, []PriceDoc{}}
	for _, x := range p.Prices {
		d.Prices = append(d.Prices, PriceDoc{x.Kind.String(), Num(x.RiskFrac), Num(x.ReserveFrac), Num(x.SugarKg), Num(x.Feedings)})
	}
	return d
}

// heftWord is the word for a heft; "" for none.
func heftWord(h season.Heft) string {
	if h == 0 {
		return ""
	}
	return h.String()
}

// positive is NaN for what is not above 0.
func positive(v float64) float64 {
	if v > 0 {
		return v
	}
	return math.NaN()
}

func orderByDoc(o plan.OrderBy) *OrderByDoc {
	if o.First.IsZero() && o.Later.IsZero() {
		return nil
	}
	return &OrderByDoc{Day{o.First}, Day{o.Later}, o.LeadDays}
}

func orderDoc(o plan.Order) OrderDoc {
	a := func(v plan.Amount) AmountDoc { return AmountDoc{Num(v.P10), Num(v.P50), Num(v.P90)} }
	d := OrderDoc{o.Colonies, a(o.SugarKg), a(o.SugarBags), Num(o.BagKg), a(o.SyrupL), a(o.SyrupSugarKg), a(o.WaterL), a(o.SolidKg), a(o.SupplementKg),
		a(o.NowSugarKg), a(o.LaterSugarKg), Day{o.LaterBy}, []GearDoc{}}
	for _, g := range o.Gear {
		d.Equipment = append(d.Equipment, GearDoc{string(g.Item), g.Needed, g.OnHand, g.Buy})
	}
	return d
}

func rangeDoc(r plan.Range) RangeDoc { return RangeDoc{Num(r.P10), Num(r.P50), Num(r.P90)} }
func riskDoc(r plan.Risk) RiskDoc    { return RiskDoc{Num(r.Frac), Num(r.ErrFrac)} }
func dateRangeDoc(r plan.DateRange) DateRangeDoc {
	return DateRangeDoc{Day{r.P10}, Day{r.P50}, Day{r.P90}}
}
