package colony

import (
	"slices"
)

// InitialState is a colony on the evening before day 0.
type InitialState struct {
	Bees       float64 // adult bees
	BroodCells float64 // cells with brood of all ages
	StoresKg   float64 // ripe stores
	PollenG    float64 // bee bread and body reserves, as pollen
	HeatShare  float64 // heat lost against a bare hive: 1 bare, less when wrapped
}

// Feeding is food given on the evening of a day; one of before day 0 is there from the start.
type Feeding struct {
	Day      int
	SyrupKg  float64 // stores the syrup will come to at the published yield
	SugarKg  float64 // sugar in the syrup or solid feed, for the books
	SolidKg  float64 // solid sugar laid over the cluster
	CombKg   float64 // ripe stores put in as combs, or known to be in the combs by now
	LPerKg   float64 // litres of syrup per kg of stores it comes to
	Touching bool    // the feeder touches the cluster
}

// Feed is what the food comes to in the feeder and over the cluster, kg of ripe stores.
func (f *Feeding) Feed(p *Params) (feederKg, solidKg float64) {
	return f.SyrupKg * p.SyrupYield, f.SolidKg * p.SolidKgPerKgSugar
}

// Treatment is what the keeper does during a run. Fills stand in order of their
// days. The zero value is a colony left alone.
type Treatment struct {
	Feedings       []Feeding
	Supplement     bool
	SupplementFrom int // day the first patty goes on
	SupplementTo   int // day the last is gone; 0 means it lies on until nectar
}

// Span is the part of a spring that a run covers and what blooms in it, as days
// of the forcing table.
type Span struct {
	PollenDay int // first pollen bloom
	BloomDay  int // first dependable nectar bloom
	NectarDay int // first dependable nectar: the danger ends
	ReadDay   int // day on which bees are wanted; -1 none
	Days      int // days to run; the table may be longer

	// What was given before the question is asked, in order of days of the run, day
	// -1 and earlier being there from the start: by the keeper, and by nobody known.
	Fed   []Feeding
	Gifts []Gift
}

// Spring is what a colony lives through.
type Spring struct {
	Params  *Params
	Forcing []ForceDay
	Span    Span
}

// days of a run through the spring.
func (in *Spring) days() int { return min(in.Span.Days, len(in.Forcing)) }

// Outcome is what one run comes to. A day of -1 means it did not happen.
type Outcome struct {
	StarveDay    int     // first day reachable food did not meet the need before nectar
	ReserveDay   int     // first day stores passed under the reserve
	ShortKg      float64 // most that was missing on any day before nectar; negative: what was to spare
	LeastKg      float64 // least stores before nectar, debt counted negative
	NectarKg     float64 // stores on the nectar day
	LeastFedKg   float64 // least stores from the settling day of the first fill until nectar
	FeederKg     float64 // syrup never taken up, as stores
	FeedingsUsed int     // fills given before nectar

	NeedKgPerDay float64 // stores needed a day until nectar
	Balance      MassBalance
	Growth
}

// MassBalance is the stores of a run, kg of ripe stores: StartKg + FedKg + NectarKg =
// EatenKg - OwedKg + LostKg + ThereKg. OwedKg is food the colony would have
// needed after its stores had ended.
type MassBalance struct {
	StartKg, FedKg, NectarKg, EatenKg, OwedKg, LostKg, ThereKg float64
}

// GapKg is what the books fail to account for; zero but for rounding.
func (b MassBalance) GapKg() float64 {
	return b.StartKg + b.FedKg + b.NectarKg - (b.EatenKg - b.OwedKg) - b.LostKg - b.ThereKg
}

// Path is a run day by day, for charts and checks: each slice has one value per
// day, in the evening.
type Path struct {
	StoresKg, FeederKg, SolidKg, UsedKg     []float64 // kg
	Bees, WinterBees, HouseBees, ForagerNum []float64 // bees
	BroodCells, Laid, Emerged               []float64 // cells, cells a day, bees a day
	PollenG                                 []float64 // g
}

// WeightKg is what a balance shows of the parts that change, on day i: stores,
// feed, bee bread, brood and bees, kg.
func (p *Path) WeightKg(i int, of *Params) float64 {
	return p.StoresKg[i] + p.FeederKg[i] + (p.PollenG[i]+p.BroodCells[i]*of.BroodCellMassG+p.Bees[i]*of.BeeMassG)/1000
}

// Reset empties a path and makes room for so many days.
func (p *Path) Reset(days int) {
	for _, s := range p.columns() {
		*s = slices.Grow((*s)[:0], days)
	}
}

func (p *Path) columns() []*[]float64 {
	return []*[]float64{&p.StoresKg, &p.FeederKg, &p.SolidKg, &p.UsedKg, &p.Bees, &p.WinterBees,
		&p.HouseBees, &p.ForagerNum, &p.BroodCells, &p.Laid, &p.Emerged, &p.PollenG}
}

// Ages of brood, d: egg 3, open larva 6, sealed 12 (Fukuda & Sakagami 1968;
// common practice), and the longest time as a young house bee.
const (
	hatchAge     = 3
	sealAge      = 9
	emergeAge    = 21
	maxHouseDays = 20
	lag          = emergeAge + maxHouseDays
)

// settleDays after the first fill the reserve is asked of a fed colony, d, 7-21,
// own judgement: the time to take up the first fills in the cold.
const settleDays = 14

// DailyDemand is what a colony asks of its stores, day by day. It does not depend on
// them.
type DailyDemand struct {
	NeedKg   []float64 // food needed
	HeatKg   []float64 // of it, for heat: what a wrap changes
	IncomeKg []float64 // nectar brought in, as ripe stores
	Bees     []float64 // adults in the morning, who take syrup up
}

// Resize makes room for a number of days.
func (l *DailyDemand) Resize(days int) {
	for _, s := range []*[]float64{&l.NeedKg, &l.HeatKg, &l.IncomeKg, &l.Bees} {
		if cap(*s) < days {
			*s = make([]float64, days)
		}
		*s = (*s)[:days]
	}
}

// Rewrapped is what the same colony asks whose heat costs a factor of what it did: bees
// and brood do not feel a wrap, the stores do. It is written into l. On days on which
// food given before the run lay over the cluster, no more is saved than was asked.
func (l *DailyDemand) Rewrapped(of *DailyDemand, factor float64) {
	l.Resize(len(of.NeedKg))
	copy(l.IncomeKg, of.IncomeKg)
	copy(l.Bees, of.Bees)
	for t, heat := range of.HeatKg {
		l.HeatKg[t] = heat * factor
		l.NeedKg[t] = max(0, of.NeedKg[t]+heat*(factor-1))
	}
}

// Growth is what the bees of a run come to.
type Growth struct {
	BloomBees   float64 // adults on the bloom day
	ReadBees    float64 // adults on ReadDay
	EndBees     float64
	PeakBrood   float64 // cells
	SupplementG float64 // supplement eaten
}

// Runner holds the scratch of runs one after another. It is not safe for use
// by several goroutines at once.
type Runner struct {
	ledger DailyDemand
	stores StoresRun
	laid   []float64 // eggs laid, offset by lag
	house  []float64 // bees that joined the young house bees, offset by lag

	hungry bool // brood is cut back by the brake as stores fall
	brake  hunger
}

// Run takes a colony through a spring: SimulatePopulation, then SimulateStores. reserveKg is the
// line for ReserveDay. path may be nil.
//
// It allocates nothing once the Runner has seen a span of the length.
func (r *Runner) Run(in Spring, s InitialState, care *Treatment, reserveKg float64, path *Path) Outcome {
	if path != nil {
		path.Reset(in.days())
	}
	growth := r.SimulatePopulation(in, s, care, &r.ledger, path)
	out := r.SimulateStores(in, s.StoresKg, care.Feedings, reserveKg, &r.ledger, path)
	out.Growth = growth
	return out
}
