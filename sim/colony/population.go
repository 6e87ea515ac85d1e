package colony

import "math"

// SimulatePopulation takes the bees and the brood of a colony through a spring and writes what
// they ask of the stores into l. It does not look at the stores; see the package
// comment. path may be nil; only its bees, brood, pollen and use are written.
func (r *Runner) SimulatePopulation(in Spring, s InitialState, care *Treatment, l *DailyDemand, path *Path) Growth {
	p, f, sp, days := in.Params, in.Forcing, in.Span, in.days()
	r.resize(days)
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
	bloomRamp := (1 - p.EarlyNectarShare) / math.Max(1, p.BloomRampDays)
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
	hungry := r.hungry

	// The past that a day looks back on, as views on the same days: what was laid
	// today, 3, 9 and 21 days ago, and who joined the house today and HouseDays ago.
	// Cut to the same length, they need no check of their bounds in the loop.
	f = f[:days]
	layNow, layHatch := laid[lag:][:days], laid[lag-hatchAge:][:days]
	laySeal, layEmerge := laid[lag-sealAge:][:days], laid[lag-emergeAge:][:days]
	houseNow, houseRipe := house[lag:][:days], house[lag-houseDays:][:days]
	needKg, heatKg, incomeKg, beesNum := l.NeedKg[:days], l.HeatKg[:days], l.IncomeKg[:days], l.Bees[:days]
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
			pollenIn = force * d.PollenH * pollenGPerH * hunger * plenty
			offer := p.EarlyNectarShare
			if t >= sp.BloomDay {
				if offer += float64(t+1-sp.BloomDay) * bloomRamp; offer > 1 {
					offer = 1
				}
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
		heat := heatFactor * d.HeatKg * open * math.Sqrt(bees) * chill
		need := heat +
			larvae*kgPerLarvaDay +
			bees*kgPerBeeAwake*d.Awake +
			force*kgPerFlightH*d.FlightH*flying
		need *= p.NeedShare
		needKg[t], heatKg[t], incomeKg[t], beesNum[t] = need, heat*p.NeedShare, nectar, bees

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
		if hungry {
			lay *= r.brake.share(t)
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
	if len(sp.Fed)+len(sp.Gifts) > 0 {
		b := booking{l: l, p: p, f: f, fed: sp.Fed, gifts: sp.Gifts}
		for t := range f {
			b.day(t)
		}
	}
	return out
}

// leastBees keeps a share per bee of an empty hive from being one over nothing,
// bees; far below what a colony can be.
const leastBees = 1e-3

func (r *Runner) resize(days int) {
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
