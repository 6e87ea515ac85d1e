package feed

import (
	"math"
	"slices"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/sim/colony"
)

// Steps of what is given, so that amounts can be measured out in a yard.
const (
	syrupStepL  = 0.5  // L, 0.25-1, own judgement
	solidStepKg = 0.25 // kg, own judgement
	leastSyrupL = 1.0  // L worth opening a feeder for, 0.5-2, own judgement
	leastKg     = 0.25 // kg of stores under which nothing is given, own judgement
	corrections = 8    // runs of a schedule at most before the best is taken
	strayFrac   = 0.05 // share of springs that a late fill must still serve, 0.01-0.1, own judgement
	spareKg     = 0.4  // kg that a schedule may have to spare before it is cut, 0.2-1, own judgement
)

// strengthOr is the strength of a colony's syrup, or 3:2 for one that gets none.
func strengthOr(out *plan.ColonyPlan) syrup.Strength {
	if out.Strength.IsZero() {
		return syrup.ThreeToTwo()
	}
	return out.Strength
}

// lot is what one visit gives.
type lot struct {
	syrupL, solidKg float64
}

func (l lot) none() bool { return l.syrupL == 0 && l.solidKg == 0 }

// trial is a schedule with what running it came to.
type trial struct {
	lots        []lot
	sugarKg     float64
	risk        plan.Risk
	reserveFrac float64
	starved     int
	addKg       float64 // what it still lacks; negative: what it has to spare
}

// schedule finds the least feed that brings a colony through in the accepted
// share of springs and holds the reserve in half of them, on the members that
// all colonies share.
func (w *worker) schedule(s *subject, out *plan.ColonyPlan) {
	members := w.p.opt.Members
	y := s.y
	set := &w.p.season.Settings
	need, first := w.required(s, &w.alone, members)
	out.TooLate = first.late

	start := min(first.risk, first.reserve)
	strength := chosenStrength(set, &y.visits[min(start, len(y.visits)-1)])
	out.Strength = strength
	way, choice := choose(y, need, start, strength, w.p.season)
	out.Choice = choice

	var best, last trial
	shift := 0.0
	for i := range corrections {
		lots := y.lay(need, shift, start, strength, way)
		if i == 0 || !slices.Equal(lots, last.lots) { // else the change was lost in rounding
			last = w.try(s, bare, lots, strength, way, members)
		}
		if i == 0 || w.better(last, best) {
			best = last
		}
		switch {
		case last.addKg > 0:
			shift += math.Max(last.addKg, leastKg)
			continue
		case last.addKg < -spareKg:
			shift += last.addKg
			continue
		}
		break
	}
	if !slices.Equal(best.lots, last.lots) {
		w.try(s, bare, best.lots, strength, way, members) // leaves the books of the best in w.fed
	}
	out.RiskFed, out.ReserveFrac = best.risk, best.reserveFrac
	out.Feedings = y.fillsOf(best.lots, strength)
	out.StartBy = y.visits[start].date
	if len(out.Feedings) > 0 && out.Feedings[0].Date.Before(out.StartBy) {
		out.StartBy = out.Feedings[0].Date // more was owed than the feeder holds at once
	}
	for _, f := range out.Feedings {
		if !f.OnlyIfNoNectar {
			out.SyrupL += f.SyrupL
			out.SyrupSugarKg += f.SugarKg
			out.SolidKg += f.SolidKg
		}
	}
	if out.SyrupL == 0 {
		out.Choice = solidChoice(y, w.p.season)
	}
	if !out.TooLate && best.risk.Frac > set.AcceptRiskFrac+2*best.risk.ErrFrac {
		out.Warnings = append(out.Warnings, plan.StillStarves{RiskFrac: best.risk.Frac})
	}
	if best.reserveFrac < 0.5 {
		out.Warnings = append(out.Warnings, plan.ReserveNotHeld{})
	}
}

// fillsOf is a schedule as it is told to the keeper.
func (y *yardWork) fillsOf(lots []lot, strength syrup.Strength) []plan.Feeding {
	var out []plan.Feeding
	for k, l := range lots {
		if l.none() {
			continue
		}
		v := &y.visits[k]
		out = append(out, plan.Feeding{Date: v.date, SyrupL: l.syrupL, SugarKg: l.syrupL * strength.SugarKgPerL(),
			WaterL: l.syrupL * strength.WaterLPerL(), SolidKg: l.solidKg, NeededFrac: v.needed, OnlyIfNoNectar: v.needed < 0.5})
	}
	return out
}

// better prefers a schedule that keeps the risk, then one that holds the
// reserve, then the one with less sugar.
func (w *worker) better(a, b trial) bool {
	accept := w.p.season.Settings.AcceptRiskFrac
	if x, y := math.Max(a.risk.Frac, accept), math.Max(b.risk.Frac, accept); x != y {
		return x < y
	}
	if x, y := math.Min(a.reserveFrac, 0.5), math.Min(b.reserveFrac, 0.5); x != y {
		return x > y
	}
	return a.sugarKg < b.sugarKg
}

// firsts are the visits at which feeding must begin: for the risk, for the
// reserve; late tells that even the first visit comes too late for more springs
// than are accepted.
type firsts struct {
	risk, reserve int
	late          bool
}

// required is the stores, kg, that must have been given by each visit so that
// the colony lasts to the next, from runs left alone.
func (w *worker) required(s *subject, a *armRuns, members int) ([]float64, firsts) {
	set := &w.p.season.Settings
	n := len(s.y.visits)
	lost := 0 // members in which the food ends before any visit can help
	for m := range members {
		if a.checks[0][m].ShortKg > 0 {
			lost++
		}
	}
	lostFrac := float64(lost) / float64(members)
	// The members still to be saved must carry what is left of the accepted risk.
	miss := math.Max(set.AcceptRiskFrac-lostFrac, set.AcceptRiskFrac/5) / math.Max(1e-9, 1-lostFrac)
	f := firsts{risk: n - 1, reserve: n - 1, late: lostFrac > set.AcceptRiskFrac}
	need := make([]float64, n)
	foundRisk, foundReserve := false, false
	for k := range n {
		w.sorted = w.sorted[:0]
		for m := range members {
			if a.checks[0][m].ShortKg <= 0 {
				w.sorted = append(w.sorted, a.checks[k+1][m].ShortKg)
			}
		}
		short := 0.0
		if len(w.sorted) > 0 {
			short = quantile(w.sorted, 1-math.Min(1, miss))
		}
		w.sorted = w.sorted[:0]
		for m := range members {
			if a.checks[0][m].ShortKg <= 0 {
				w.sorted = append(w.sorted, set.ReserveKg-a.checks[k+1][m].LeastKg)
			}
		}
		toReserve := 0.0
		if len(w.sorted) > 0 {
			toReserve = quantile(w.sorted, 0.5)
		}
		if short > 0 && !foundRisk {
			f.risk, foundRisk = k, true
		}
		if toReserve > leastKg && !foundReserve {
			f.reserve, foundReserve = k, true
		}
		need[k] = math.Max(0, math.Max(short, toReserve))
		if k > 0 {
			need[k] = math.Max(need[k], need[k-1])
		}
	}
	if f.late {
		f.risk = 0
	}
	return need, f
}

// lay turns what must have been given by each visit into what each visit gives:
// no more than a feeder holds, solid where it is too cold, small fills joined
// where visits are close, going on until nectar. What a visit cannot give is
// given before it, or, failing that, after.
func (y *yardWork) lay(need []float64, shiftKg float64, start int, strength syrup.Strength, way way) []lot {
	kgPerL := strength.StoresKgPerL()
	give := y.owed(need, shiftKg, start)
	y.fit(give, kgPerL, way)
	y.join(give, start, kgPerL, way)
	y.goOn(give, start, leastSyrupL*kgPerL)
	lots := make([]lot, len(give))
	for k, kg := range give {
		if kg < leastKg {
			continue
		}
		if y.solid(k, way) {
			lots[k].solidKg = math.Min(solidHoldsKg, math.Ceil(kg/solidYieldKg/solidStepKg)*solidStepKg)
		} else {
			lots[k].syrupL = math.Min(way.holdsL, math.Max(leastSyrupL, math.Ceil(kg/kgPerL/syrupStepL)*syrupStepL))
		}
	}
	return lots
}

// owed is the stores, kg, that each visit owes so that what must have been given
// by then has been; visits that hardly any spring still needs owe none.
func (y *yardWork) owed(need []float64, shiftKg float64, start int) []float64 {
	give := make([]float64, len(need))
	before := 0.0
	for k := start; k < len(need); k++ {
		total := math.Max(before, need[k]+shiftKg)
		if y.visits[k].needed >= strayFrac {
			give[k] = total - before
		}
		before = total
	}
	return give
}

// fit moves what a visit cannot give to the visit before it, and what the first
// cannot give to those after.
func (y *yardWork) fit(give []float64, kgPerL float64, way way) {
	n := len(give)
	for k := n - 1; k > 0; k-- {
		if over := give[k] - y.mostKg(k, kgPerL, way); over > 0 {
			give[k] -= over
			give[k-1] += over
		}
	}
	for k := range n {
		if over := give[k] - y.mostKg(k, kgPerL, way); over > 0 {
			give[k] -= over
			if k+1 < n {
				give[k+1] += over
			}
		}
	}
}

// join puts a fill into the one before it where that has room and lies only a
// few days back or the fill is not worth opening a hive for. What then is left
// of a small fill waits for the next visit.
func (y *yardWork) join(give []float64, start int, kgPerL float64, way way) {
	worthKg := leastSyrupL * kgPerL
	last := start
	for k := start + 1; k < len(give); k++ {
		if give[k] <= 0 {
			continue
		}
		if y.visits[k].day-y.visits[last].day < closeDays || give[k] < worthKg {
			moved := math.Min(give[k], math.Max(0, y.mostKg(last, kgPerL, way)-give[last]))
			give[last] += moved
			give[k] -= moved
			if give[k] < worthKg && k+1 < len(give) {
				give[k+1] += give[k]
				give[k] = 0
			}
		}
		if give[k] > 0 {
			last = k
		}
	}
}

// goOn keeps feeding from standing still: while nectar is still to come in half
// the springs, no gap is longer than longGapDays.
func (y *yardWork) goOn(give []float64, start int, leastFillKg float64) {
	last := start
	for k := start + 1; k < len(give); k++ {
		switch next := k + 1; {
		case give[k] >= leastKg:
			last = k
		case y.visits[k].needed < 0.5:
		case next == len(give) || y.visits[next].day-y.visits[last].day > longGapDays:
			give[k] = leastFillKg
			last = k
		}
	}
}

// Days between fills.
const (
	closeDays   = 10 // d, fills closer than this are joined, 7-14, own judgement
	longGapDays = 16 // d, the longest that feeding stands still, 10-21, common practice: once started, go on until nectar
)

// solidYieldKg is the stores that a kg of solid sugar is worth, kg, 1.0-1.25;
// the model's solid_kg_per_kg_sugar decides what comes of it.
const solidYieldKg = 1.2

// solid tells whether a visit gives solid feed: it is too cold for the syrup of
// this feeder. Between the temperature under which only solid is taken and that
// from which any feeder near the cluster serves, solid comes first in the colder
// half and a feeder touching the cluster in the milder one (own judgement
// between rules that disagree).
func (y *yardWork) solid(k int, way way) bool {
	rules := &y.planner.season.Settings.Rules
	v := &y.visits[k]
	return v.maxC < touchingFromC(rules) || v.maxC < rules.TouchingOnlyBelowC && !way.touching
}

func touchingFromC(r *season.FeedRules) float64 {
	return (r.SolidOnlyBelowC + r.TouchingOnlyBelowC) / 2
}

// mostKg is the stores that one visit can give.
func (y *yardWork) mostKg(k int, kgPerL float64, way way) float64 {
	if y.solid(k, way) {
		return solidHoldsKg * solidYieldKg
	}
	return way.holdsL * kgPerL
}

// try keeps the books of a schedule and says what it lacks.
func (w *worker) try(s *subject, treatment int, lots []lot, strength syrup.Strength, way way, members int) trial {
	set := &w.p.season.Settings
	t := trial{lots: lots}
	fills := w.fills(s, lots, strength, way)
	for _, f := range fills {
		t.sugarKg += f.SugarKg
	}
	w.keep(s, treatment, 0, members, fills, nil, &w.fed)
	held, saved := 0, 0
	short, lack := w.short[:0], w.lack[:0]
	for m := range members {
		if w.fed.starve[m] >= 0 {
			t.starved++
		}
		if w.alone.checks[0][m].ShortKg <= 0 {
			saved++
			if w.fed.leastFed[m] >= set.ReserveKg {
				held++
			}
			short = append(short, w.fed.short[m])
			lack = append(lack, set.ReserveKg-w.fed.leastFed[m])
		}
	}
	w.short, w.lack = short, lack
	t.risk = riskOf(t.starved, members)
	if saved == 0 {
		return t
	}
	t.reserveFrac = float64(held) / float64(saved)
	lostFrac := 1 - float64(saved)/float64(members)
	miss := math.Max(set.AcceptRiskFrac-lostFrac, set.AcceptRiskFrac/5) / (1 - lostFrac)
	forRisk := quantile(short, 1-math.Min(1, miss))
	forReserve := quantile(lack, 0.5)
	t.addKg = math.Max(forRisk, forReserve)
	if math.IsInf(t.addKg, -1) {
		t.addKg = 0
	}
	return t
}

// fills are the lots of a schedule as the model takes them.
func (w *worker) fills(s *subject, lots []lot, strength syrup.Strength, way way) []colony.Feeding {
	var out []colony.Feeding
	kgPerL := strength.StoresKgPerL()
	for k, l := range lots {
		if l.none() {
			continue
		}
		out = append(out, colony.Feeding{
			Day:      s.y.visits[k].day - s.first,
			SyrupKg:  l.syrupL * kgPerL,
			SugarKg:  l.syrupL*strength.SugarKgPerL() + l.solidKg,
			SolidKg:  l.solidKg,
			LPerKg:   1 / kgPerL,
			Touching: way.touching,
		})
	}
	return out
}
