package colony

import "math"

// SimulateStores follows a colony's stores through a spring, given what it
// asks of them and what the keeper gives. They go on in debt after the food
// ends, so that ShortKg tells how much was missing. path may be nil; only its
// stores, feeder and solid feed are written. The Growth of the outcome is left
// empty.
func (r *Runner) SimulateStores(p *Params, f []ForceDay, startKg float64, sp Span, fills []Feeding, reserveKg float64, l *DailyDemand, path *Path) Outcome {
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
	if len(r.Checkpoints) > 0 {
		checkDay = r.Checkpoints[0].Day
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
			r.Checkpoints[nextCheck].ShortKg, r.Checkpoints[nextCheck].LeastKg = shortKg, leastKg
			checkDay = math.MaxInt
			if nextCheck++; nextCheck < len(r.Checkpoints) {
				checkDay = r.Checkpoints[nextCheck].Day
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
				if out.FeedingsUsed == 0 {
					settled = t + settleDays
				}
				out.FeedingsUsed++
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
	for ; nextCheck < len(r.Checkpoints); nextCheck++ {
		r.Checkpoints[nextCheck].ShortKg, r.Checkpoints[nextCheck].LeastKg = shortKg, leastKg
	}
	out.ShortKg, out.LeastKg = shortKg, leastKg
	out.FeederKg = feeder
	out.NeedKgPerDay = needed / math.Max(1, float64(min(sp.NectarDay, days)))
	if days <= sp.NectarDay {
		out.NectarKg = stores + solid
	}
	out.Balance = MassBalance{StartKg: startKg, FedKg: fed, NectarKg: nectarIn, EatenKg: eaten, LostKg: lost,
		OwedKg: math.Max(0, -stores), ThereKg: math.Max(0, stores) + solid + feeder}
	return out
}

// sugarInStores is the sugar in ripe stores by mass, 1, 0.78-0.84, common
// practice: honey is ripe at about 80 % sugar.
const sugarInStores = 0.8
