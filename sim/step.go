package sim

import (
	"math"
	"slices"
)

// Start is a colony on the evening before day 0.
type Start struct {
	Bees       float64 // adult bees
	BroodCells float64 // cells with brood of all ages
	StoresKg   float64 // ripe stores
	PollenG    float64 // bee bread and body reserves, as pollen
	HeatShare  float64 // heat lost against a bare hive: 1 bare, less when wrapped
}

// Fill is food given on the evening of a day; one of before day 0 counts on day 0.
type Fill struct {
	Day      int
	SyrupKg  float64 // stores the syrup will come to at the published yield
	SugarKg  float64 // sugar in the syrup or solid feed, for the books
	SolidKg  float64 // solid sugar laid over the cluster
	LPerKg   float64 // litres of syrup per kg of stores it comes to
	Touching bool    // the feeder touches the cluster
}

// Care is what the keeper does during a run. Fills stand in order of their
// days. The zero value is a colony left alone.
type Care struct {
	Fills          []Fill
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
}

// Outcome is what one run comes to. A day of -1 means it did not happen.
type Outcome struct {
	StarveDay  int     // first day reachable food did not meet the need before nectar
	ReserveDay int     // first day stores passed under the reserve
	ShortKg    float64 // most that was missing on any day before nectar; negative: what was to spare
	LeastKg    float64 // least stores before nectar, debt counted negative
	NectarKg   float64 // stores on the nectar day
	LeastFedKg float64 // least stores from the settling day of the first fill until nectar
	FeederKg   float64 // syrup never taken up, as stores
	FillsUsed  int     // fills given before nectar

	NeedKgPerDay float64 // stores needed a day until nectar
	Books        Books
	Growth
}

// Books are the stores of a run, kg of ripe stores: StartKg + FedKg + NectarKg =
// EatenKg - OwedKg + LostKg + ThereKg. OwedKg is food the colony would have
// needed after its stores had ended.
type Books struct {
	StartKg, FedKg, NectarKg, EatenKg, OwedKg, LostKg, ThereKg float64
}

// GapKg is what the books fail to account for; zero but for rounding.
func (b Books) GapKg() float64 {
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
func (p *Path) WeightKg(i int, beeMassG float64) float64 {
	return p.StoresKg[i] + p.FeederKg[i] + (p.PollenG[i]+p.BroodCells[i]*broodCellG+p.Bees[i]*beeMassG)/1000
}

func (p *Path) reset(days int) {
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

// broodCellG is the mean mass of a brood cell's content, g, 0.05-0.15, memory.
const broodCellG = 0.09

// Check is what a run had come to on the evening of a day: the most that was
// missing so far and the least stores so far, both before nectar.
type Check struct {
	Day              int
	ShortKg, LeastKg float64
}

// Ledger is what a colony asks of its stores, day by day. It does not depend on
// them.
type Ledger struct {
	NeedKg   []float64 // food needed
	IncomeKg []float64 // nectar brought in, as ripe stores
	Bees     []float64 // adults in the morning, who take syrup up
}

// Resize makes room for a number of days.
func (l *Ledger) Resize(days int) {
	for _, s := range []*[]float64{&l.NeedKg, &l.IncomeKg, &l.Bees} {
		if cap(*s) < days {
			*s = make([]float64, days)
		}
		*s = (*s)[:days]
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
	// Checks are days, in rising order, on which KeepBooks notes what it has come
	// to.
	Checks []Check

	ledger Ledger
	laid   []float64 // eggs laid, offset by lag
	house  []float64 // bees that joined the young house bees, offset by lag
}

// Run takes a colony through a spring: Grow, then KeepBooks. reserveKg is the
// line for ReserveDay. path may be nil.
//
// It allocates nothing once the Runner has seen a span of the length.
func (r *Runner) Run(p *Params, f []ForceDay, s Start, sp Span, care *Care, reserveKg float64, path *Path) Outcome {
	if path != nil {
		path.reset(min(sp.Days, len(f)))
	}
	growth := r.Grow(p, f, s, sp, care, &r.ledger, path)
	out := r.KeepBooks(p, f, s.StoresKg, sp, care.Fills, reserveKg, &r.ledger, path)
	out.Growth = growth
	return out
}

// Grow takes the bees and the brood of a colony through a spring and writes what
// they ask of the stores into l. It does not look at the stores; see the package
// comment. path may be nil; only its bees, brood, pollen and use are written.
func (r *Runner) Grow(p *Params, f []ForceDay, s Start, sp Span, care *Care, l *Ledger, path *Path) Growth {
	days := min(sp.Days, len(f))
	r.grow(days)
	l.Resize(days)
	laid, house := r.laid, r.house
	survive := p.HatchShare * p.SealShare * p.EmergeShare
	seedBrood(laid[:lag], s.BroodCells, p)
	clear(house[:lag])

	// The brood that is there at the start, by stage.
	var eggs, larvae, sealed float64
	for age := range emergeAge {
		x := laid[lag-1-age]
		switch {
		case age < hatchAge:
			eggs += x
		case age < sealAge:
			larvae += x * p.HatchShare
		default:
			sealed += x * p.HatchShare * p.SealShare
		}
	}
	winter, young, old, foragers := s.Bees, 0.0, 0.0, 0.0
	pollen := s.PollenG

	// What does not change over the run, taken out of the loop.
	heatFactor := p.HeatLossW * s.HeatShare * math.Sqrt(p.BeeMassG/1000)
	coreRise := p.CoreBroodC - p.CoreBroodlessC
	kgPerLarvaDay := (p.LarvaHoneyMg + p.NursingHoneyMg) * 1e-6 / (sealAge - hatchAge)
	gPerLarvaDay := p.PollenPerWorkerMg * 1e-3 / (sealAge - hatchAge)
	kgPerBeeAwake := p.ActivityMg * 1e-6
	kgPerFlightH := p.FlightMgPerH * 1e-6
	nectarKgPerH := p.NectarMgPerH * 1e-6
	pollenGPerH := p.PollenMgPerH * 1e-3 * p.PollenBeeShare
	layWarmth := 1 / (p.BroodWarmC - p.BroodColdC)
	cellsPerG := 1 / (p.PollenPerWorkerMg * 1e-3)
	pollenCells := cellsPerG / p.PollenBudgetDays
	pollenFull := 1 / p.PollenFullG
	coverCells := p.CoverCellsPerBee / emergeAge
	houseDays := int(p.HouseDays)
	houseSurvive := math.Pow(1-p.HouseLossPerDay, float64(houseDays))
	ramp := 1 / math.Max(1, p.PollenRampDays)
	supplementG := p.SupplementMgDay * 1e-3
	suppFrom, suppTo := days, 0
	if care.Supplement {
		suppFrom, suppTo = care.SupplementFrom, sp.NectarDay
		if care.SupplementTo > 0 {
			suppTo = care.SupplementTo
		}
	}
	var out Growth
	peakBrood := 0.0

	// The past that a day looks back on, as views on the same days: what was laid
	// today, 3, 9 and 21 days ago, and who joined the house today and HouseDays ago.
	// Cut to the same length, they need no check of their bounds in the loop.
	f = f[:days]
	layNow, layHatch := laid[lag:][:days], laid[lag-hatchAge:][:days]
	laySeal, layEmerge := laid[lag-sealAge:][:days], laid[lag-emergeAge:][:days]
	houseNow, houseRipe := house[lag:][:days], house[lag-houseDays:][:days]
	needKg, incomeKg, beesNum := l.NeedKg[:days], l.IncomeKg[:days], l.Bees[:days]
	for t := range f {
		d := &f[t]
		bees := winter + young + old + foragers
		brood := eggs + larvae + sealed

		// What comes in. Before the first pollen hardly a bee goes foraging.
		force := foragers + p.WinterForagerShare*winter
		hunger := 1 - pollen*pollenFull
		if hunger < 0 {
			hunger = 0
		}
		flying, pollenIn, nectar := p.IdleFlightShare, 0.0, 0.0
		if t >= sp.PollenDay {
			flying = 1
			plenty := float64(t+1-sp.PollenDay) * ramp
			if plenty > 1 {
				plenty = 1
			}
			pollenIn = force * d.FlightH * pollenGPerH * hunger * plenty
			offer := p.EarlyNectarShare
			if t >= sp.BloomDay {
				offer = 1
			}
			nectar = force * d.NectarH * nectarKgPerH * offer
		}

		// Food that is needed: heat, brood, bees awake, flight.
		core := p.CoreBroodlessC + coreRise*brood/(brood+p.BroodHalfWarm)
		open := 1 + p.BroodOpening*brood/(brood+bees+1)
		chill := core - d.MeanC
		if chill < 0 {
			chill = 0
		}
		need := heatFactor*d.HeatKg*open*math.Sqrt(bees)*chill +
			larvae*kgPerLarvaDay +
			bees*kgPerBeeAwake*d.Awake +
			force*kgPerFlightH*d.FlightH*flying
		need *= p.NeedShare
		needKg[t], incomeKg[t], beesNum[t] = need, nectar, bees

		// Pollen and supplement.
		if t >= suppFrom && t < suppTo {
			if g := supplementG*bees*hunger - pollenIn; g > 0 {
				out.SupplementG += g
				pollenIn += g * p.SupplementPollen
			}
		}
		pollen += pollenIn - larvae*gPerLarvaDay
		if pollen < 0 {
			pollen = 0
		}

		// Brood.
		warmth := (d.SmoothC - p.BroodColdC) * layWarmth
		if warmth < 0 {
			warmth = 0
		} else if warmth > 1 {
			warmth = 1
		}
		lay := p.LayMaxPerDay * bees / (p.NurseHalfBees + bees) * d.Season * warmth
		if covered := coverCells * d.Cover * bees; covered < lay {
			lay = covered
		}
		if reared := pollen*pollenCells + pollenIn*cellsPerG; reared < lay {
			lay = reared
		}
		layNow[t] = lay
		hatched := layHatch[t]
		sealing := laySeal[t] * p.HatchShare
		leaving := layEmerge[t]
		emerged := leaving * survive
		perBee := 1 / (bees + leastBees)
		eggs += lay - hatched
		dying := p.WinterLossPerDay + p.NursingLoss*larvae*perBee + p.WinterFlightLoss*d.Flight*flying
		if dying > 1 {
			dying = 1
		}
		larvae += hatched*p.HatchShare - sealing
		sealed += sealing*p.SealShare - leaving*p.HatchShare*p.SealShare

		// Bees.
		winter += emerged*d.Autumn - winter*dying
		joined := emerged * (1 - d.Autumn)
		houseNow[t] = joined
		ripe := houseRipe[t] * houseSurvive
		young += joined - ripe - young*p.HouseLossPerDay
		recruiting := p.RecruitPerDay - p.RecruitInhibition*foragers*perBee
		if recruiting < 0 {
			recruiting = 0
		}
		recruits := old * recruiting
		foragers += recruits - foragers*(p.ForagerFlightLoss*d.Flight*flying+p.ForagerRestLoss)
		old += ripe - recruits - old*p.HouseLossPerDay

		if t == sp.BloomDay {
			out.BloomBees = bees
		}
		if t == sp.ReadDay {
			out.ReadBees = bees
		}
		if brood > peakBrood {
			peakBrood = brood
		}
		if path != nil {
			path.UsedKg = append(path.UsedKg, need)
			path.Bees = append(path.Bees, winter+young+old+foragers)
			path.WinterBees = append(path.WinterBees, winter)
			path.HouseBees = append(path.HouseBees, young+old)
			path.ForagerNum = append(path.ForagerNum, foragers)
			path.BroodCells = append(path.BroodCells, eggs+larvae+sealed)
			path.Laid = append(path.Laid, lay)
			path.Emerged = append(path.Emerged, emerged)
			path.PollenG = append(path.PollenG, pollen)
		}
	}
	out.EndBees = winter + young + old + foragers
	out.PeakBrood = peakBrood
	return out
}

// leastBees keeps a share per bee of an empty hive from being one over nothing,
// bees; far below what a colony can be.
const leastBees = 1e-3

// KeepBooks keeps the books of a colony's stores through a spring, given what it
// asks of them and what the keeper gives. They go on in debt after the food
// ends, so that ShortKg tells how much was missing. path may be nil; only its
// stores, feeder and solid feed are written. The Growth of the outcome is left
// empty.
func (r *Runner) KeepBooks(p *Params, f []ForceDay, startKg float64, sp Span, fills []Fill, reserveKg float64, l *Ledger, path *Path) Outcome {
	days := min(sp.Days, len(f))
	out := Outcome{StarveDay: -1, ReserveDay: -1, LeastFedKg: math.Inf(1)}
	stores, feeder, solid := startKg, 0.0, 0.0
	shortKg, leastKg := math.Inf(-1), math.Inf(1)
	var eaten, nectarIn, fed, lost float64
	settled, needed := math.MaxInt, 0.0
	takeUpKg := 0.0 // stores a bee takes up on a mild day
	touching := false

	nextFill, fillDay := 0, math.MaxInt
	if len(fills) > 0 {
		fillDay = fills[0].Day
	}
	nextCheck, checkDay := 0, math.MaxInt
	if len(r.Checks) > 0 {
		checkDay = r.Checks[0].Day
	}
	f = f[:days]
	needKg, incomeKg, beesNum := l.NeedKg[:days], l.IncomeKg[:days], l.Bees[:days]
	for t := range f {
		d := &f[t]
		need, income := needKg[t], incomeKg[t]

		// Food that comes in.
		stores += income
		nectarIn += income
		if feeder > 0 {
			share := p.TakeUpColdShare + (1-p.TakeUpColdShare)*d.Mild
			if d.Chill == 0 {
				share = 0
			}
			if touching {
				share = p.TakeUpTouchShare*d.Chill + (1-p.TakeUpTouchShare)*d.Mild
			}
			take := min(feeder, takeUpKg*beesNum[t]*share)
			feeder -= take
			stores += take
		}

		// Food that goes: what lies over the cluster first.
		eaten += need
		rest := need
		if solid > 0 {
			fromSolid := min(solid, need)
			solid -= fromSolid
			rest -= fromSolid
		}
		stores -= rest
		there := stores + solid
		if t < sp.NectarDay {
			if rest > 0 {
				short := p.UnreachableKg*d.Cold - stores
				if short > shortKg {
					shortKg = short
				}
				if short > 0 && out.StarveDay < 0 {
					out.StarveDay = t
				}
			}
			if there < leastKg {
				leastKg = there
			}
			if t >= settled && there < out.LeastFedKg {
				out.LeastFedKg = there
			}
			if there < reserveKg && out.ReserveDay < 0 {
				out.ReserveDay = t
			}
			needed = eaten
		} else if t == sp.NectarDay {
			out.NectarKg = there
		}
		for t >= checkDay {
			r.Checks[nextCheck].ShortKg, r.Checks[nextCheck].LeastKg = shortKg, leastKg
			checkDay = math.MaxInt
			if nextCheck++; nextCheck < len(r.Checks) {
				checkDay = r.Checks[nextCheck].Day
			}
		}

		// The keeper's evening.
		for fillDay <= t {
			fill := &fills[nextFill]
			if t < sp.NectarDay {
				kg := fill.SyrupKg * p.SyrupYield
				feeder += kg
				solidKg := fill.SolidKg * p.SolidKgPerKgSugar
				solid += solidKg
				whole := fill.SugarKg / sugarInStores
				fed += whole
				lost += whole - kg - solidKg
				if fill.SyrupKg > 0 {
					touching, takeUpKg = fill.Touching, p.TakeUpMlPerBee*1e-3/fill.LPerKg
				}
				if out.FillsUsed == 0 {
					settled = t + settleDays
				}
				out.FillsUsed++
			}
			if nextFill++; nextFill < len(fills) {
				fillDay = fills[nextFill].Day
			} else {
				fillDay = math.MaxInt
			}
		}
		if path != nil {
			path.StoresKg = append(path.StoresKg, stores+solid)
			path.FeederKg = append(path.FeederKg, feeder)
			path.SolidKg = append(path.SolidKg, solid)
		}
	}
	for ; nextCheck < len(r.Checks); nextCheck++ {
		r.Checks[nextCheck].ShortKg, r.Checks[nextCheck].LeastKg = shortKg, leastKg
	}
	out.ShortKg, out.LeastKg = shortKg, leastKg
	out.FeederKg = feeder
	out.NeedKgPerDay = needed / math.Max(1, float64(min(sp.NectarDay, days)))
	if days <= sp.NectarDay {
		out.NectarKg = stores + solid
	}
	out.Books = Books{StartKg: startKg, FedKg: fed, NectarKg: nectarIn, EatenKg: eaten, LostKg: lost,
		OwedKg: math.Max(0, -stores), ThereKg: math.Max(0, stores) + solid + feeder}
	return out
}

// sugarInStores is the sugar in ripe stores by mass, 1, 0.78-0.84, common
// practice: honey is ripe at about 80 % sugar.
const sugarInStores = 0.8

func (r *Runner) grow(days int) {
	n := days + lag + 1
	if len(r.laid) < n {
		r.laid = make([]float64, n)
		r.house = make([]float64, n)
	}
}

// seedBrood lays out cells of brood as if laid evenly over the last 21 days.
func seedBrood(past []float64, cells float64, p *Params) {
	perDay := cells / (hatchAge + p.HatchShare*(sealAge-hatchAge) + p.HatchShare*p.SealShare*(emergeAge-sealAge))
	for i := range past {
		past[i] = 0
		if i >= lag-emergeAge {
			past[i] = perDay
		}
	}
}
