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
	StarveDay   int     // first day reachable food did not meet the need before nectar
	ReserveDay  int     // first day stores passed under the reserve
	ShortKg     float64 // most that was missing on any day before nectar; negative: what was to spare
	LeastKg     float64 // least stores before nectar, debt counted negative
	NectarKg    float64 // stores on the nectar day
	LeastFedKg  float64 // least stores from the settling day of the first fill until nectar
	BloomBees   float64 // adults on the bloom day
	ReadBees    float64 // adults on ReadDay
	EndBees     float64
	PeakBrood   float64
	Books       Books
	SupplementG float64 // supplement eaten
	FeederKg    float64 // syrup never taken up, as stores
	FillsUsed   int     // fills given before nectar
	// NeedKgPerDay is the stores needed a day until nectar.
	NeedKgPerDay float64
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

// Runner holds the scratch of runs one after another. It is not safe for use
// by several goroutines at once.
type Runner struct {
	// Checks are days, in rising order, on which Run notes what it has come to.
	Checks []Check

	laid  []float64 // eggs laid, offset by lag
	house []float64 // bees that joined the young house bees, offset by lag
}

// Run takes a colony through a spring. reserveKg is the line for ReserveDay.
// path may be nil. The run goes on in debt after the food ends, so that ShortKg
// tells how much was missing; see the package comment.
//
// It allocates nothing once the Runner has seen a span of the length.
func (r *Runner) Run(p *Params, f []ForceDay, s Start, sp Span, care *Care, reserveKg float64, path *Path) Outcome {
	days := min(sp.Days, len(f))
	r.grow(days)
	laid, house := r.laid, r.house
	survive := p.HatchShare * p.SealShare * p.EmergeShare
	seedBrood(laid[:lag], s.BroodCells, p)
	for i := range house[:lag] {
		house[i] = 0
	}

	// The brood that is there at the start, by stage.
	var eggs, larvae, sealed float64
	for age := 0; age < emergeAge; age++ {
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
	stores, feeder, solid := s.StoresKg, 0.0, 0.0
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

	nextFill, fillDay := 0, math.MaxInt
	if len(care.Fills) > 0 {
		fillDay = care.Fills[0].Day
	}
	touching := false
	litresPerKg := 1.0

	out := Outcome{StarveDay: -1, ReserveDay: -1, LeastFedKg: math.Inf(1)}
	shortKg, leastKg, peakBrood := math.Inf(-1), math.Inf(1), 0.0
	out.Books.StartKg = stores
	var eaten, nectarIn, fed, lost float64
	settled, needed := math.MaxInt, 0.0

	nextCheck, checkDay := 0, math.MaxInt
	if len(r.Checks) > 0 {
		checkDay = r.Checks[0].Day
	}

	if path != nil {
		path.reset(days)
	}
	// The past that a day looks back on, as views on the same days: what was laid
	// today, 3, 9 and 21 days ago, and who joined the house today and HouseDays ago.
	// Cut to the same length, they need no check of their bounds in the loop.
	f = f[:days]
	layNow, layHatch := laid[lag:][:days], laid[lag-hatchAge:][:days]
	laySeal, layEmerge := laid[lag-sealAge:][:days], laid[lag-emergeAge:][:days]
	houseNow, houseRipe := house[lag:][:days], house[lag-houseDays:][:days]
	for t := range f {
		d := &f[t]
		bees := winter + young + old + foragers
		brood := eggs + larvae + sealed

		// Food that comes in.
		force := foragers + p.WinterForagerShare*winter
		hunger := 1 - pollen*pollenFull
		if hunger < 0 {
			hunger = 0
		}
		flying, pollenIn := p.IdleFlightShare, 0.0
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
			in := force * d.NectarH * nectarKgPerH * offer
			stores += in
			nectarIn += in
		}
		if feeder > 0 {
			share := p.TakeUpColdShare + (1-p.TakeUpColdShare)*d.Mild
			if d.Chill == 0 {
				share = 0
			}
			if touching {
				share = p.TakeUpTouchShare*d.Chill + (1-p.TakeUpTouchShare)*d.Mild
			}
			take := min(feeder, p.TakeUpMlPerBee*1e-3*bees*share/litresPerKg)
			feeder -= take
			stores += take
		}

		// Food that is needed.
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
			short := p.UnreachableKg*d.Cold - stores
			if rest > 0 {
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
			fill := &care.Fills[nextFill]
			if t < sp.NectarDay {
				kg := fill.SyrupKg * p.SyrupYield
				feeder += kg
				solidKg := fill.SolidKg * p.SolidKgPerKgSugar
				solid += solidKg
				whole := fill.SugarKg / sugarInStores
				fed += whole
				lost += whole - kg - solidKg
				if fill.SyrupKg > 0 {
					touching, litresPerKg = fill.Touching, fill.LPerKg
				}
				if out.FillsUsed == 0 {
					settled = t + settleDays
				}
				out.FillsUsed++
			}
			if nextFill++; nextFill < len(care.Fills) {
				fillDay = care.Fills[nextFill].Day
			} else {
				fillDay = math.MaxInt
			}
		}

		// Pollen and supplement.
		if t >= suppFrom && t < suppTo {
			g := max(0, supplementG*bees*hunger-pollenIn)
			out.SupplementG += g
			pollenIn += g * p.SupplementPollen
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
		perBee := 1 / (bees + 1)
		eggs += lay - hatched
		larvae += hatched*p.HatchShare - sealing
		sealed += sealing*p.SealShare - leaving*p.HatchShare*p.SealShare

		// Bees.
		dying := p.WinterLossPerDay + p.NursingLoss*larvae*perBee + p.WinterFlightLoss*d.Flight*flying
		if dying > 1 {
			dying = 1
		}
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
			path.StoresKg = append(path.StoresKg, stores+solid)
			path.FeederKg = append(path.FeederKg, feeder)
			path.SolidKg = append(path.SolidKg, solid)
			path.UsedKg = append(path.UsedKg, need)
			now := winter + young + old + foragers
			path.Bees = append(path.Bees, now)
			path.WinterBees = append(path.WinterBees, winter)
			path.HouseBees = append(path.HouseBees, young+old)
			path.ForagerNum = append(path.ForagerNum, foragers)
			path.BroodCells = append(path.BroodCells, eggs+larvae+sealed)
			path.Laid = append(path.Laid, lay)
			path.Emerged = append(path.Emerged, emerged)
			path.PollenG = append(path.PollenG, pollen)
		}
	}
	for ; nextCheck < len(r.Checks); nextCheck++ {
		r.Checks[nextCheck].ShortKg, r.Checks[nextCheck].LeastKg = shortKg, leastKg
	}
	out.ShortKg, out.LeastKg, out.PeakBrood = shortKg, leastKg, peakBrood
	out.EndBees = winter + young + old + foragers
	out.FeederKg = feeder
	out.NeedKgPerDay = needed / math.Max(1, float64(min(sp.NectarDay, days)))
	there := stores + solid
	if days <= sp.NectarDay {
		out.NectarKg = there
	}
	out.Books = Books{StartKg: s.StoresKg, FedKg: fed, NectarKg: nectarIn, EatenKg: eaten, LostKg: lost,
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
