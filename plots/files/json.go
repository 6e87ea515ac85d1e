package files

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// Format and FormatVersion name what WriteJSON writes. The version goes up when
// a name is changed or taken away; new names may come without.
const (
	Format        = "bloomgap plan"
	FormatVersion = 1
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

// Document is a plan as JSON. Names end in the unit; units are always metric.
// A share is 0..1 (name ends in _frac). p10, p50 and p90 are quantiles over the
// possible springs. Colonies come in order of urgency. Lists are never null.
type Document struct {
	Format      string       `json:"format"`
	Version     int          `json:"version"`
	Invented    bool         `json:"invented"` // no real hive, no real weather
	Today       Day          `json:"today"`
	Members     int          `json:"members"` // possible springs at each yard, times draws
	Seed        uint64       `json:"seed"`
	AcceptFrac  Num          `json:"accepted_risk_frac"`
	ReserveKg   Num          `json:"reserve_kg"`
	Counts      CountsDoc    `json:"counts"`
	Colonies    []ColonyDoc  `json:"colonies"`
	Yards       []YardDoc    `json:"yards"`
	Order       OrderDoc     `json:"order"` // all yards together
	Warnings    []WarningDoc `json:"warnings"`
	Cautions    []string     `json:"cautions"`
	ModelLeaves []string     `json:"model_leaves_out"`
}

// CountsDoc is a number of colonies by verdict.
type CountsDoc struct {
	Feed   int `json:"feed"`
	Watch  int `json:"watch"`
	NoFeed int `json:"no_feed"`
	Clear  int `json:"clear"`
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
	Yard             string       `json:"yard"`
	Colony           string       `json:"colony"`
	Verdict          string       `json:"verdict"` // feed, watch, no feed, clear
	SeenOn           Day          `json:"seen_on"`
	StoresKg         RangeDoc     `json:"stores_kg"` // when seen
	Bees             RangeDoc     `json:"bees"`      // when seen
	Risk             RiskDoc      `json:"risk"`      // of starving before nectar, left alone
	RiskByWeek       []Num        `json:"risk_by_week_frac"`
	ReserveDate      Day          `json:"reserve_passed_on"`       // median; null when not passed in half the springs
	StarveDate       Day          `json:"accepted_risk_passed_on"` // null when it is not
	StartBy          Day          `json:"start_by"`                // last visit that is early enough
	TooLate          bool         `json:"go_sooner"`               // the next visit is later than it should be
	Strength         string       `json:"strength"`                // sugar:water by weight; "" without syrup
	StrengthMassFrac Num          `json:"strength_sugar_frac"`
	SyrupL           Num          `json:"syrup_l"` // all fills to the median nectar day
	SyrupSugarKg     Num          `json:"syrup_sugar_kg"`
	SolidKg          Num          `json:"solid_kg"`
	Fills            []FillDoc    `json:"fills"`
	RiskFed          *RiskDoc     `json:"risk_fed"`          // null without feeding
	ReserveFrac      Num          `json:"reserve_held_frac"` // share of springs in which the plan holds the reserve
	Way              WayDoc       `json:"way"`
	Bloom            DateRangeDoc `json:"bloom"`
	Nectar           DateRangeDoc `json:"nectar"`
	NonFlying        RangeDoc     `json:"days_without_flight"`
	ColdSpell        RangeDoc     `json:"longest_spell_without_flight_days"`
	BloomBees        RangeDoc     `json:"bees_at_bloom"`
	Protein          *ProteinDoc  `json:"protein"` // null when not considered
	Surety           SuretyDoc    `json:"how_sure"`
	Reason           string       `json:"reason"`
	Warnings         []string     `json:"warnings"`
	Members          int          `json:"members"`
}

// FillDoc is food put on a hive on one visit.
type FillDoc struct {
	Date           Day  `json:"date"`
	SyrupL         Num  `json:"syrup_l"`
	SugarKg        Num  `json:"sugar_kg"`
	SolidKg        Num  `json:"solid_kg"`
	OnlyIfNoNectar bool `json:"only_if_no_nectar"`
	NeededFrac     Num  `json:"needed_frac"`
}

// WayDoc is the way to give syrup.
type WayDoc struct {
	Name     string `json:"name"` // "" for none
	Reason   string `json:"reason"`
	Mind     string `json:"mind"` // what to mind with it
	OnHand   bool   `json:"on_hand"`
	RunnerUp string `json:"next_best"`
	Against  string `json:"next_best_why_not"`
}

// ProteinDoc is what a supplement changes.
type ProteinDoc struct {
	From         Day      `json:"from"`
	Risk         RiskDoc  `json:"risk"`
	RiskFed      RiskDoc  `json:"risk_fed"`
	BloomBees    RangeDoc `json:"bees_at_bloom"`
	WantedBees   RangeDoc `json:"bees_on_day_wanted"`
	BareWanted   RangeDoc `json:"bees_on_day_wanted_without"`
	ExtraSyrupL  Num      `json:"extra_syrup_l"`
	ExtraKg      Num      `json:"extra_stores_kg"`
	SupplementKg Num      `json:"supplement_kg"`
	Emerge       Day      `json:"half_emerged_on"`
	Forage       Day      `json:"half_foraging_on"`
	WindowFrom   Day      `json:"window_from"`
	WindowTo     Day      `json:"window_to"`
	LeadDays     RangeDoc `json:"lead_days"`
	Advice       string   `json:"advice"`
}

// SuretyDoc is how sure the verdict is.
type SuretyDoc struct {
	WeighFirst    bool   `json:"weigh_first"`
	NeedStoresKg  Num    `json:"no_feed_above_stores_kg"`
	NeedGrossKg   Num    `json:"no_feed_above_gross_kg"`
	RiskIfLightly Num    `json:"risk_if_light_frac"`
	RiskIfHeavily Num    `json:"risk_if_heavy_frac"`
	Words         string `json:"words"`
}

// AmountDoc is a total at the middle and at 90 % of springs.
type AmountDoc struct {
	P50 Num `json:"p50"`
	P90 Num `json:"p90"`
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
	Counts    CountsDoc    `json:"counts"`
	Dead      []string     `json:"dead"`
	Bloom     DateRangeDoc `json:"bloom"`
	Nectar    DateRangeDoc `json:"nectar"`
	NonFlying RangeDoc     `json:"days_without_flight"`
	WeekDates []Day        `json:"risk_by_week_dates"`
	Order     OrderDoc     `json:"order"`
	Visits    []VisitDoc   `json:"visits"`
	Weather   string       `json:"weather"`
	Springs   []SpringDoc  `json:"springs"`
}

// VisitDoc is one round of a yard.
type VisitDoc struct {
	Date  Day       `json:"date"`
	Tasks []TaskDoc `json:"tasks"`
}

// TaskDoc is one thing to do.
type TaskDoc struct {
	Colony string `json:"colony"` // "" for the whole yard
	What   string `json:"what"`
}

// SpringDoc is one possible spring of a yard.
type SpringDoc struct {
	Label     string `json:"label"`
	Bloom     Day    `json:"bloom"`
	Nectar    Day    `json:"nectar"`
	NonFlying int    `json:"days_without_flight"`
	LongSpell int    `json:"longest_spell_without_flight_days"`
}

// WarningDoc is a Note.
type WarningDoc struct {
	Yard   string `json:"yard"`
	Colony string `json:"colony"`
	Text   string `json:"text"`
}

// WriteJSON writes the plan as a Document, set in by two spaces.
func WriteJSON(w io.Writer, pl *plan.Plan) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(NewDocument(pl))
}

// NewDocument puts a plan in the form that is written as JSON.
func NewDocument(pl *plan.Plan) Document {
	u := words.StyleOf(pl)
	n := words.Counts(pl)
	d := Document{Format: Format, Version: FormatVersion, Invented: pl.Invented, Today: Day{pl.Today}, Members: pl.Members, Seed: pl.Seed,
		AcceptFrac: Num(pl.AcceptPct / 100), ReserveKg: Num(math.NaN()), Counts: CountsDoc{n.Feed, n.Watch, n.Leave, n.Clear},
		Colonies: []ColonyDoc{}, Yards: []YardDoc{}, Order: orderDoc(pl.Order), Warnings: []WarningDoc{}, Cautions: list(u.Notes(pl.Cautions)), ModelLeaves: list(u.Notes(pl.Limits))}
	if pl.Season != nil {
		d.ReserveKg = Num(pl.Season.Settings.ReserveKg)
	}
	for i := range pl.Colonies {
		d.Colonies = append(d.Colonies, NewColonyDoc(&pl.Colonies[i], u))
	}
	for _, y := range pl.Yards {
		d.Yards = append(d.Yards, yardDoc(pl, y, u))
	}
	for _, w := range words.Warnings(pl, u) {
		d.Warnings = append(d.Warnings, WarningDoc(w))
	}
	return d
}

// NewColonyDoc puts the answer for one colony in the form that is written as
// JSON.
func NewColonyDoc(c *plan.ColonyPlan, u words.Style) ColonyDoc {
	d := ColonyDoc{Yard: c.Yard, Colony: c.Colony, Verdict: c.Verdict.String(), SeenOn: Day{c.SeenOn}, StoresKg: rangeDoc(c.StoresKg), Bees: rangeDoc(c.Bees), Risk: riskDoc(c.Risk),
		RiskByWeek: []Num{}, ReserveDate: Day{c.ReserveDate}, StarveDate: Day{c.StarveDate}, StartBy: Day{c.StartBy}, TooLate: c.TooLate, StrengthMassFrac: Num(math.NaN()),
		SyrupL: Num(c.SyrupL), SyrupSugarKg: Num(c.SyrupSugarKg), SolidKg: Num(c.SolidKg), Fills: []FillDoc{}, ReserveFrac: Num(math.NaN()),
		Way:   WayDoc{words.Feeder(c.Choice.Feeder), u.Note(c.Choice.Reason), words.Mind(c.Choice.Feeder), c.Choice.OnHand, words.Feeder(c.Choice.RunnerUp), u.Note(c.Choice.Against)},
		Bloom: dateRangeDoc(c.Bloom), Nectar: dateRangeDoc(c.Nectar), NonFlying: rangeDoc(c.NonFlying), ColdSpell: rangeDoc(c.ColdSpell), BloomBees: rangeDoc(c.BloomBees),
		Surety: SuretyDoc{c.Confidence.WeighFirst, Num(none(c.Confidence.NeedStoresKg)), Num(none(c.Confidence.NeedGrossKg)), Num(c.Confidence.RiskIfLightFrac), Num(c.Confidence.RiskIfHeavyFrac), u.Note(c.Confidence.Note)},
		Reason: u.Text(c.Reason), Warnings: list(u.Notes(c.Warnings)), Members: c.Members}
	for _, r := range c.RiskByWeek {
		d.RiskByWeek = append(d.RiskByWeek, Num(r))
	}
	if !c.Strength.IsZero() {
		d.Strength, d.StrengthMassFrac = c.Strength.String(), Num(c.Strength.MassFrac)
	}
	for _, f := range c.Feedings {
		d.Fills = append(d.Fills, FillDoc{Day{f.Date}, Num(f.SyrupL), Num(f.SugarKg), Num(f.SolidKg), f.OnlyIfNoNectar, Num(f.NeededFrac)})
	}
	if len(c.Feedings) > 0 {
		r := riskDoc(c.RiskFed)
		d.RiskFed, d.ReserveFrac = &r, Num(c.ReserveFrac)
	}
	if p := c.Supplement; p.Considered {
		d.Protein = &ProteinDoc{Day{p.From}, riskDoc(p.Risk), riskDoc(p.RiskFed), rangeDoc(p.BloomBees), rangeDoc(p.WantedBees), rangeDoc(p.BareWanted), Num(p.ExtraSyrupL), Num(p.ExtraKg), Num(p.SupplementKg),
			Day{p.Emerge}, Day{p.Forage}, Day{p.WindowFrom}, Day{p.WindowTo}, rangeDoc(p.LeadDays), u.Text(p.Advice)}
	}
	return d
}

func yardDoc(pl *plan.Plan, y plan.YardPlan, u words.Style) YardDoc {
	d := YardDoc{Name: y.Name, LatDeg: Num(y.LatDeg), LonDeg: Num(y.LonDeg), Dead: []string{}, Bloom: dateRangeDoc(y.Bloom), Nectar: dateRangeDoc(y.Nectar),
		NonFlying: rangeDoc(y.NonFlying), WeekDates: []Day{}, Order: orderDoc(y.Order), Visits: []VisitDoc{}, Weather: words.WeatherSource(y.Weather), Springs: []SpringDoc{}}
	d.Dead = append(d.Dead, words.DeadOf(pl, y)...)
	d.Counts = CountsDoc{y.Feed, y.Watch, y.NoFeed, len(d.Dead)}
	for _, t := range y.WeekDates {
		d.WeekDates = append(d.WeekDates, Day{t})
	}
	for _, v := range y.Visits {
		vd := VisitDoc{Day{v.Date}, []TaskDoc{}}
		for _, t := range v.Tasks {
			vd.Tasks = append(vd.Tasks, TaskDoc{t.Colony, u.Note(t.What)})
		}
		d.Visits = append(d.Visits, vd)
	}
	for _, s := range y.Years {
		d.Springs = append(d.Springs, SpringDoc{s.Label, Day{s.Bloom}, Day{s.Nectar}, s.NonFlying, s.LongSpell})
	}
	return d
}

func orderDoc(o plan.Order) OrderDoc {
	a := func(v plan.Amount) AmountDoc { return AmountDoc{Num(v.P50), Num(v.P90)} }
	d := OrderDoc{o.Colonies, a(o.SugarKg), a(o.SugarBags), Num(o.BagKg), a(o.SyrupL), a(o.SyrupSugarKg), a(o.WaterL), a(o.SolidKg), a(o.SupplementKg), []GearDoc{}}
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

// list is never null.
func list(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}
