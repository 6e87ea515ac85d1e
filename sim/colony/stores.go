package colony

import "math"

// StoresRun follows a colony's stores day by day against a DailyDemand, and can
// stop at the end of any day for the keeper to look and feed. The stores go on in
// debt after the food ends, so that ShortKg tells how much was missing. Begin
// makes it ready; a StoresRun may be used again and allocates nothing.
type StoresRun struct {
	StoresKg float64 // ripe stores; below 0 is debt
	FeederKg float64 // syrup not yet taken up, as stores
	SolidKg  float64 // solid feed over the cluster, as stores

	ShortKg   float64 // most that was missing on any day before nectar; negative: what was to spare
	LeastKg   float64 // least stores before nectar
	LeastFed  float64 // least stores from the day that HoldFrom names until nectar, kg
	StarveDay int     // first day reachable food did not meet the need; -1 none

	p         *Params
	f         []ForceDay
	l         *DailyDemand
	path      *Path
	nectarDay int
	day       int // the next to run
	holdFrom  int
	reserveKg float64

	touching bool
	takeUpKg float64 // stores a bee takes up on a mild day
	startKg, eatenKg, incomeKg, fedKg, lostKg,
	nectarKg, neededKg float64
	reserveDay, used int
}

// Begin sets a run to the morning of day 0. The path may be nil; only its stores,
// feeder and solid feed are written.
func (r *StoresRun) Begin(in Spring, startKg, reserveKg float64, l *DailyDemand, path *Path) {
	*r = StoresRun{StoresKg: startKg, startKg: startKg, p: in.Params, f: in.Forcing[:in.days()], l: l, path: path,
		nectarDay: in.Span.NectarDay, reserveKg: reserveKg, holdFrom: math.MaxInt,
		ShortKg: math.Inf(-1), LeastKg: math.Inf(1), LeastFed: math.Inf(1), StarveDay: -1, reserveDay: -1}
}

// Days is the length of the run.
func (r *StoresRun) Days() int { return len(r.f) }

// Nectar tells whether the nectar has come by the evening reached, and with it
// the end of the danger.
func (r *StoresRun) Nectar() bool { return r.day > r.nectarDay }

// HoldFrom sets the day from which LeastFed is noted; the first feeding sets it
// where nobody did.
func (r *StoresRun) HoldFrom(day int) { r.holdFrom = day }

// Day is the next day to run.
func (r *StoresRun) Day() int { return r.day }

// MoveTo sets a run to the evening of a day on which it holds storesKg, for a caller
// that has worked out the days between. FeederKg and SolidKg are the caller's to set,
// and the Outcome of such a run lacks the days.
func (r *StoresRun) MoveTo(day int, storesKg float64) {
	r.StoresKg = storesKg
	r.day = max(r.day, min(day+1, len(r.f)))
}

// TakeUp takes up syrup alone, to the evening of a day or until there is none, and
// returns what came of it, kg of stores. The books of those days are the caller's.
func (r *StoresRun) TakeUp(day int) float64 {
	before := r.FeederKg
	for t := r.day; t <= day && t < len(r.f) && r.FeederKg > 0; t++ {
		r.FeederKg -= min(r.FeederKg, r.takeUpKg*r.l.Bees[t]*r.f[t].takeUpShare(r.p, r.touching))
	}
	return before - r.FeederKg
}

// Syrup says how syrup in the hive is taken up: of a strength, as litres per kg of the
// stores it comes to, from a feeder that touches the cluster or not. Give says it as well.
func (r *StoresRun) Syrup(lPerKg float64, touching bool) {
	r.touching, r.takeUpKg = touching, r.p.TakeUpMlPerBee*1e-3/lPerKg
}

// Until runs to the evening of a day, or to the end of the run.
func (r *StoresRun) Until(day int) {
	end := min(day+1, len(r.f))
	if r.path == nil {
		r.run(end)
		return
	}
	for r.day < end {
		r.run(r.day + 1)
		r.path.StoresKg = append(r.path.StoresKg, r.StoresKg+r.SolidKg)
		r.path.FeederKg = append(r.path.FeederKg, r.FeederKg)
		r.path.SolidKg = append(r.path.SolidKg, r.SolidKg)
	}
}

// run goes on to the morning of day end: over days with feed in the hive before
// nectar, then over those without, which are most, and over those from nectar on.
func (r *StoresRun) run(end int) {
	danger := min(end, r.nectarDay)
	if r.day < danger && (r.FeederKg > 0 || r.SolidKg > 0) {
		r.fedDays(danger)
	}
	if r.day < danger {
		r.bareDays(danger)
	}
	if r.day < end {
		r.safeDays(end)
	}
}

// bareDays are days before nectar without feed in the hive.
func (r *StoresRun) bareDays(end int) {
	first := r.day
	f := r.f[first:end]
	needKg, incomeKg := r.l.NeedKg[first:][:len(f)], r.l.IncomeKg[first:][:len(f)]
	outKg, stores := r.p.UnreachableKg, r.StoresKg
	shortKg, leastKg, leastFed := r.ShortKg, r.LeastKg, r.LeastFed
	eaten, nectarIn := r.eatenKg, r.incomeKg
	for i := range f {
		need, income := needKg[i], incomeKg[i]
		nectarIn += income
		eaten += need
		stores += income - need
		if short := outKg*f[i].Cold - stores; short > shortKg && need > 0 {
			shortKg = short
			r.shortOn(first+i, short)
		}
		if stores < leastKg {
			leastKg = stores
			r.leastOn(first+i, stores)
		}
		if first+i >= r.holdFrom && stores < leastFed {
			leastFed = stores
		}
	}
	r.StoresKg, r.ShortKg, r.LeastKg, r.LeastFed = stores, shortKg, leastKg, leastFed
	r.eatenKg, r.incomeKg, r.neededKg = eaten, nectarIn, eaten
	r.day = end
}

// fedDays are days before nectar on which feed is in the hive, up to the one on which it
// is used up.
func (r *StoresRun) fedDays(end int) {
	first := r.day
	f := r.f[first:end]
	needKg, incomeKg, beesNum := r.l.NeedKg[first:][:len(f)], r.l.IncomeKg[first:][:len(f)], r.l.Bees[first:][:len(f)]
	outKg, stores, feeder, solid := r.p.UnreachableKg, r.StoresKg, r.FeederKg, r.SolidKg
	shortKg, leastKg, leastFed := r.ShortKg, r.LeastKg, r.LeastFed
	eaten, nectarIn, done := r.eatenKg, r.incomeKg, end
	for i := range f {
		need, income := needKg[i], incomeKg[i]
		nectarIn += income
		eaten += need
		stores += income
		if feeder > 0 {
			take := r.takeUpKg * beesNum[i] * f[i].takeUpShare(r.p, r.touching)
			if take > feeder {
				take = feeder
			}
			feeder -= take
			stores += take
		}
		rest := need // what lies over the cluster goes first
		if solid > 0 {
			fromSolid := solid
			if need < solid {
				fromSolid = need
			}
			solid -= fromSolid
			rest -= fromSolid
		}
		stores -= rest
		if short := outKg*f[i].Cold - stores; short > shortKg && rest > 0 {
			shortKg = short
			r.shortOn(first+i, short)
		}
		there := stores + solid
		if there < leastKg {
			leastKg = there
			r.leastOn(first+i, there)
		}
		if first+i >= r.holdFrom && there < leastFed {
			leastFed = there
		}
		if feeder <= 0 && solid <= 0 {
			done = first + i + 1
			break
		}
	}
	r.StoresKg, r.FeederKg, r.SolidKg = stores, feeder, solid
	r.ShortKg, r.LeastKg, r.LeastFed = shortKg, leastKg, leastFed
	r.eatenKg, r.incomeKg, r.neededKg = eaten, nectarIn, eaten
	r.day = done
}

// shortOn notes the first day on which food within reach is short. The most that was
// missing so far was nothing, so that no such day is passed over.
func (r *StoresRun) shortOn(day int, kg float64) {
	if kg > 0 && r.StarveDay < 0 {
		r.StarveDay = day
	}
}

// leastOn notes the first day on which stores, the least so far, are under the reserve.
func (r *StoresRun) leastOn(day int, kg float64) {
	if kg < r.reserveKg && r.reserveDay < 0 {
		r.reserveDay = day
	}
}

// safeDays are those from nectar on, on which only the books are kept.
func (r *StoresRun) safeDays(end int) {
	for t := r.day; t < end; t++ {
		need, income := r.l.NeedKg[t], r.l.IncomeKg[t]
		if r.FeederKg > 0 {
			take := min(r.FeederKg, r.takeUpKg*r.l.Bees[t]*r.f[t].takeUpShare(r.p, r.touching))
			r.FeederKg -= take
			r.StoresKg += take
		}
		fromSolid := min(r.SolidKg, need)
		r.SolidKg -= fromSolid
		r.StoresKg += income - (need - fromSolid)
		r.eatenKg += need
		r.incomeKg += income
		if t == r.nectarDay {
			r.nectarKg = r.StoresKg + r.SolidKg
		}
	}
	r.day = end
}

// Give feeds on the evening reached. Once nectar has come nothing is given. The
// day of the feeding is not looked at.
func (r *StoresRun) Give(fill *Feeding) {
	today := r.day - 1
	if today >= r.nectarDay {
		return
	}
	kg, solidKg := fill.Feed(r.p)
	r.FeederKg += kg
	r.SolidKg += solidKg
	r.StoresKg += fill.CombKg
	whole := fill.SugarKg / sugarInStores
	r.fedKg += whole + fill.CombKg
	r.lostKg += whole - kg - solidKg
	if fill.SyrupKg > 0 {
		r.Syrup(fill.LPerKg, fill.Touching)
	}
	if r.holdFrom == math.MaxInt {
		r.holdFrom = today + settleDays
	}
	r.used++
	if r.path != nil && today >= 0 {
		r.path.StoresKg[today] += solidKg + fill.CombKg
		r.path.FeederKg[today] += kg
		r.path.SolidKg[today] += solidKg
	}
}

// Outcome is what the run has come to. The Growth is left empty.
func (r *StoresRun) Outcome() Outcome {
	days := len(r.f)
	out := Outcome{StarveDay: r.StarveDay, ReserveDay: r.reserveDay, ShortKg: r.ShortKg, LeastKg: r.LeastKg,
		LeastFedKg: r.LeastFed, NectarKg: r.nectarKg, FeederKg: r.FeederKg, FeedingsUsed: r.used,
		NeedKgPerDay: r.neededKg / max(1, float64(min(r.nectarDay, days)))}
	if days <= r.nectarDay {
		out.NectarKg = r.StoresKg + r.SolidKg
	}
	out.Balance = MassBalance{StartKg: r.startKg, FedKg: r.fedKg, NectarKg: r.incomeKg, EatenKg: r.eatenKg, LostKg: r.lostKg,
		OwedKg: max(0, -r.StoresKg), ThereKg: max(0, r.StoresKg) + r.SolidKg + r.FeederKg}
	return out
}

// SimulateStores follows a colony's stores through a spring, given what it
// asks of them and a list of feedings in order of their days. They go on in debt
// after the food ends, so that ShortKg tells how much was missing. path may be
// nil; only its stores, feeder and solid feed are written. The Growth of the
// outcome is left empty.
func (r *Runner) SimulateStores(in Spring, startKg float64, fills []Feeding, reserveKg float64, l *DailyDemand, path *Path) Outcome {
	run := &r.stores
	run.Begin(in, startKg, reserveKg, l, path)
	last := run.Days() - 1
	for i := range fills {
		if fills[i].Day > last {
			break
		}
		run.Until(fills[i].Day)
		run.Give(&fills[i])
	}
	run.Until(last)
	return run.Outcome()
}

// sugarInStores is the sugar in ripe stores by mass, 1, 0.78-0.84, common
// practice: honey is ripe at about 80 % sugar.
const sugarInStores = 0.8
