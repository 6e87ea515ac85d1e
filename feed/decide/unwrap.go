package decide

import (
	"sort"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/visits"
	"bloomgap/sim/colony"
)

const (
	// mostUnwrapped is how many members a wrap is weighed on, 50-1000, own judgement: a cost
	// hangs on the spring above all and is good to some per cent, what it changes of a risk
	// to 1 to 2 %, each member being set against itself.
	mostUnwrapped = 60
	// UnwrapKg is what taking a wrap off may cost before it is said to cost nothing worth
	// having, kg of stores, 0.2-1, own judgement: no more than a hand can tell by lifting.
	UnwrapKg = 0.5
	// surelyFrac is the share of springs in which it is to cost no more, own choice.
	surelyFrac = 0.9
)

// wraps is a colony's members with and without a wrap on the same draws. Bees and brood
// are the same in both: a wrap changes what they eat.
type wraps struct {
	members int
	other   []colony.DailyDemand // of the state that the colony is not in
	spliced []colony.DailyDemand // wrapped up to a day and bare after it
	tailKg  [][]float64          // by member, then day of the run: what being bare costs from then to nectar
	on      []*colony.DailyDemand
	off     []*colony.DailyDemand
}

// unwrapAsked is when a wrap is to come off, and what that may cost.
type unwrapAsked struct {
	day     int // of the outlook: it comes off that evening
	underKg float64
	starves []bool // which members starve as the colony stands, fed by its plan, where that is known
}

// unwrap weighs taking the wrap off on a day against leaving it on until nectar.
func (w *Worker) unwrap(s *subject, a *grown, out *plan.ColonyPlan, q unwrapAsked) plan.Unwrap {
	x := &w.wraps
	w.wrapBoth(s, a)
	u := plan.Unwrap{On: s.y.Outlook.Date(q.day), UnderKg: q.underKg, CoolC: visits.WrapOffC, Wrapped: s.col.Insulated}
	u.CostKg = plan.RangeOf(x.costKg(q.day-s.first+1, w.sorted[:0]))

	// What is left to cost falls from day to day in every spring, and so does its quantile.
	last := 0
	for _, tail := range x.tailKg[:x.members] {
		last = max(last, len(tail))
	}
	from := max(0, s.y.Today-s.first+1)
	days := sort.Search(max(0, last-from), func(i int) bool {
		w.sorted = x.costKg(from+i, w.sorted[:0])
		return schedule.Quantile(w.sorted, surelyFrac) < q.underKg
	})
	u.From = s.y.Outlook.Date(s.first + from + days - 1)

	x.splice(q.day - s.first + 1)
	on, off := func(m int) *colony.DailyDemand { return x.on[m] }, func(m int) *colony.DailyDemand { return &x.spliced[m] }
	stands := *a
	stands.members = x.members
	alone := s.starves(&stands, &stands)
	u.RiskOn = out.Risk // as it stands
	if !s.col.Insulated {
		u.RiskOn = changed(out.Risk, difference(w.starvesAlone(s, a, on), alone))
	}
	u.RiskOff = changed(out.Risk, difference(w.starvesAlone(s, a, off), alone))
	if len(out.Feedings) > 0 {
		u.FedOn = out.RiskFed
		var fed []float64
		if q.starves != nil {
			fed = ones(q.starves[:x.members])
		} else {
			fed = w.starvesFed(s, a, out, func(m int) *colony.DailyDemand { return &a.demand[m] })
		}
		if !s.col.Insulated {
			u.FedOn = changed(out.RiskFed, difference(w.starvesFed(s, a, out, on), fed))
		}
		u.FedOff = changed(out.RiskFed, difference(w.starvesFed(s, a, out, off), fed))
	}
	u.CoolNights = plan.RangeOf(s.coolNights(q.day, x.members, w.sorted[:0]))
	return u
}

// wrapBoth takes the members through their springs with and without a wrap.
func (w *Worker) wrapBoth(s *subject, a *grown) {
	x, n := &w.wraps, min(w.o.paired(mostUnwrapped), a.members)
	x.members = n
	x.other, x.spliced = schedule.Sized(x.other, n), schedule.Sized(x.spliced, n)
	x.on, x.off, x.tailKg = schedule.Sized(x.on, n), schedule.Sized(x.off, n), schedule.Sized(x.tailKg, n)
	for m := range n {
		c := &a.cases[m]
		if s.col.Insulated {
			x.on[m], x.off[m] = &a.demand[m], &x.other[m]
			x.other[m].Rewrapped(x.on[m], 1/c.Params.WrapHeatShare)
		} else {
			x.on[m], x.off[m] = &x.other[m], &a.demand[m]
			x.other[m].Rewrapped(x.off[m], c.Params.WrapHeatShare)
		}
		days := max(0, min(len(x.on[m].NeedKg), c.Span.NectarDay))
		tail := schedule.Sized(x.tailKg[m], days)
		sum := 0.0
		for t := days - 1; t >= 0; t-- {
			sum += x.off[m].NeedKg[t] - x.on[m].NeedKg[t]
			tail[t] = sum
		}
		x.tailKg[m] = tail
	}
}

// costKg is what being bare from a day of the run on costs each member.
func (x *wraps) costKg(day int, into []float64) []float64 {
	for _, tail := range x.tailKg[:x.members] {
		kg := 0.0
		if t := max(0, day); t < len(tail) {
			kg = tail[t]
		}
		into = append(into, kg)
	}
	return into
}

// splice makes what members ask that are wrapped up to a day of the run and bare from it.
func (x *wraps) splice(day int) {
	for m := range x.members {
		on, off, to := x.on[m], x.off[m], &x.spliced[m]
		to.Resize(len(on.NeedKg))
		copy(to.IncomeKg, on.IncomeKg)
		copy(to.Bees, on.Bees)
		t := min(max(0, day), len(on.NeedKg))
		copy(to.NeedKg[:t], on.NeedKg[:t])
		copy(to.NeedKg[t:], off.NeedKg[t:])
	}
}

// starvesAlone is the chance to starve of each member of a colony that asks this of its stores
// and is not fed.
func (w *Worker) starvesAlone(s *subject, a *grown, demand func(m int) *colony.DailyDemand) []float64 {
	out := make([]float64, w.wraps.members)
	run, held := &w.stores, s.seen.Held()
	for m := range out {
		c := &a.cases[m]
		run.Begin(c.Spring(), c.Start.StoresKg, s.reserveKg, demand(m), nil)
		run.Until(run.Days() - 1)
		out[m] = s.starvedIn(c, run, &held)
	}
	return out
}

// starvesFed tells which members starve, as 1 and 0, that are fed by the lines of a plan.
func (w *Worker) starvesFed(s *subject, a *grown, out *plan.ColonyPlan, demand func(m int) *colony.DailyDemand) []float64 {
	n, on := w.wraps.members, &w.again
	on.members = s.membersFor(a, 0, n, on.members)
	for m := range n {
		on.members[m].Demand = demand(m)
	}
	w.engine.Prepare(&on.set, uint64(s.key), on.members, w.termsOf(s, out))
	w.engine.Judge(&on.set, s.policyOf(out.Feedings), &on.on)
	return ones(on.on.Starves[:n])
}

// ones are 1 for what is so and 0 for what is not.
func ones(is []bool) []float64 {
	out := make([]float64, len(is))
	for i := range is {
		if is[i] {
			out[i] = 1
		}
	}
	return out
}

// coolNights counts, in each member, the nights after a day of the outlook and before
// nectar that are cooler than a wrap's end asks.
func (s *subject) coolNights(day, members int, into []float64) []float64 {
	for m := range members {
		mem := &s.y.Springs.Members[m]
		days := s.y.Outlook.Springs[mem.Spring].Days
		n := 0
		for d := max(0, day+1); d < min(mem.NectarDay, len(days)); d++ {
			if days[d].TminC < visits.WrapOffC {
				n++
			}
		}
		into = append(into, float64(n))
	}
	return into
}

// unwrapping is that of a plan, at the next visit: of a colony that stands wrapped, or
// that is to be wrapped there; not known for others.
func (w *Worker) unwrapping(s *subject, a *grown, found *fed, out *plan.ColonyPlan) plan.Unwrap {
	if !s.col.Insulated && !(out.Verdict == plan.Feed && s.y.NightsFreeze()) {
		return plan.Unwrap{}
	}
	q := unwrapAsked{day: s.y.Visits[0].Day, underKg: UnwrapKg}
	if found != nil {
		q.starves = found.mine.on.Starves
	}
	return w.unwrap(s, a, out, q)
}
