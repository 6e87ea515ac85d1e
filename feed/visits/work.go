package visits

import (
	"math"
	"slices"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/forage"
)

// What other spring work asks of visits and weather.
const (
	// moveDays is how far an interval visit may move onto a round of dusting, d, 1-3, own judgement.
	moveDays = 2
	// openFromC is the day's maximum under which brood frames stay in the hive, C, 8-12, common practice.
	openFromC = 10.0
	// roundDays either side of a round stand for its weather, d, 1-4, own judgement.
	roundDays = 2
	// nightDays are the nights after a visit that its wrap is judged by, d, 7-14, own judgement.
	nightDays = 10
	// WrapOffC is the median night minimum from which a wrap may come off, C, 3-8, own judgement on the
	// common practice that it stays on while nights are cool.
	WrapOffC = 5.0
	// wrapOnC is the median night minimum under which a bare colony that is fed is wrapped, C, -3 to 3, own judgement.
	wrapOnC = 0.0
)

// dustRound is a round of dusting.
type dustRound struct {
	date time.Time
	k    int // its number, from 1
}

// yardTasks is the spring work of a yard beside feeding.
type yardTasks struct {
	dusting  season.Dusting
	rounds   []dustRound             // those to come
	all      int                     // rounds in all
	moved    map[time.Time]time.Time // a round's day: the day of the visit that was moved onto it
	nightC   []float64               // by visit: median minimum of the nights after it; NaN when not known
	fly      time.Time               // day by which bees have flown in half the springs; zero when there is none
	warnings []plan.Note
}

// last is the day of the last round; all must not be 0.
func (t *yardTasks) last() time.Time { return t.dusting.Dates()[t.all-1] }

// waitKnown tells that somebody has said how long supers wait after the last round.
func (t *yardTasks) waitKnown() bool { return t.dusting.DaysBeforeSupers > 0 }

// supersFrom is the first day that honey supers may go on after the rounds; the
// wait must be known.
func (t *yardTasks) supersFrom() time.Time {
	return t.last().AddDate(0, 0, t.dusting.DaysBeforeSupers)
}

// findRounds looks up the rounds of a yard that has a living colony.
func (y *Yard) findRounds() {
	set, today := y.Season.Settings, y.Season.Today
	t := &y.tasks
	t.dusting = set.DustingAt(y.Site)
	if !slices.ContainsFunc(y.Colonies, func(c *season.Colony) bool { return c.Alive }) {
		return
	}
	dates := t.dusting.Dates()
	t.all = len(dates)
	var past []time.Time
	for k, date := range dates {
		if date.Before(today) {
			past = append(past, date)
			continue
		}
		t.rounds = append(t.rounds, dustRound{date, k + 1})
	}
	if len(past) > 0 {
		t.warnings = append(t.warnings, plan.RoundsPast{Rounds: past})
	}
}

// joinRounds puts the rounds among the visits, sorted and each day once. Visits
// of an interval may move: a round that no visit falls on takes the nearest one
// within moveDays, of two as near the later, which feeds no one later. A visit
// of today stays. moved tells from which day a round's visit came.
func joinRounds(visits []time.Time, rounds []dustRound, interval bool, today time.Time) (joined []time.Time, moved map[time.Time]time.Time) {
	joined = slices.Clone(visits)
	moved = map[time.Time]time.Time{}
	onRound := func(d time.Time) bool {
		return slices.ContainsFunc(rounds, func(r dustRound) bool { return r.date.Equal(d) })
	}
	for _, r := range rounds {
		if slices.ContainsFunc(visits, r.date.Equal) {
			continue
		}
		best, away := -1, moveDays+1
		for i, v := range joined {
			if n := int(math.Abs(v.Sub(r.date).Hours() / 24)); interval && n <= moveDays && n <= away && !onRound(v) && !v.Equal(today) {
				best, away = i, n
			}
		}
		if best >= 0 {
			moved[r.date] = joined[best]
			joined[best] = r.date
		} else {
			joined = append(joined, r.date)
		}
		slices.SortFunc(joined, time.Time.Compare)
	}
	return slices.CompactFunc(joined, time.Time.Equal), moved
}

// fitVisits gives the visits of a yard to a last day with the rounds among them.
// Rounds after that day are no visits to feed on; the calendar adds them.
func (y *Yard) fitVisits(last time.Time) []time.Time {
	y.findRounds()
	today := y.Season.Today
	visits := y.Site.VisitDates(today, last)
	if len(y.Site.Visits) == 0 && len(visits) > 0 { // an interval is one of spring
		first := visits[0]
		visits = slices.DeleteFunc(visits, func(v time.Time) bool { return v.After(first) && season.WinterVisits(v) })
	}
	if len(y.Site.Visits) == 0 { // those of an interval keep off the days on which nobody goes
		for i, v := range visits {
			visits[i] = y.Season.Settings.Truck.Working(v)
		}
		visits = slices.CompactFunc(visits, time.Time.Equal)
	}
	t := &y.tasks
	if len(t.rounds) == 0 {
		return visits
	}
	var among []dustRound
	for _, r := range t.rounds {
		if !r.date.After(last) {
			among = append(among, r)
		}
	}
	visits, t.moved = joinRounds(visits, among, len(y.Site.Visits) == 0, today)
	return visits
}

// weatherOfWork works out what the outlook means for wraps, dead colonies and
// rounds of dusting. It is called once the visits are known.
func (y *Yard) weatherOfWork() {
	o, t := y.Outlook, &y.tasks
	for k := range y.Visits {
		t.nightC = append(t.nightC, medianOf(o, y.Visits[k].Day+1, y.Visits[k].Day+1+nightDays, nightMinC))
	}
	if d, ok := firstFlight(o, y.Today); ok {
		t.fly = o.Date(d)
	}
	var cold []plan.ColdRound
	for _, r := range t.rounds {
		d := o.Day(r.date)
		if c := medianOf(o, max(y.Today, d-roundDays), d+roundDays+1, dayMaxC); c < openFromC {
			cold = append(cold, plan.ColdRound{On: r.date, MaxC: c})
		}
	}
	if len(cold) > 0 {
		t.warnings = append(t.warnings, plan.RoundsCold{Rounds: cold})
	}
	if w := t.supersWarning(y.Season.Today); w != nil {
		t.warnings = append(t.warnings, w)
	}
}

func nightMinC(d *forage.Day) float64 { return d.TminC }
func dayMaxC(d *forage.Day) float64   { return d.TmaxC }

// medianOf is the median of a figure over all springs and the days [from, to) of
// the outlook; NaN when they lie outside.
func medianOf(o *forage.Outlook, from, to int, figure func(*forage.Day) float64) float64 {
	var x []float64
	for i := range o.Springs {
		days := o.Springs[i].Days
		for d := max(0, from); d < min(to, len(days)); d++ {
			x = append(x, figure(&days[d]))
		}
	}
	return plan.RangeOf(x).P50
}

// firstFlight is the day by which bees have been able to fly after today in at
// least half the springs.
func firstFlight(o *forage.Outlook, today int) (int, bool) {
	flown := map[int]float64{} // share of springs by day of their first flight
	last := 0
	for i := range o.Springs {
		days := o.Springs[i].Days
		for d := today + 1; d < len(days); d++ {
			if days[d].CanFly() {
				flown[d] += o.Springs[i].Weight
				break
			}
		}
		last = max(last, len(days))
	}
	share := 0.0
	for d := today + 1; d < last; d++ {
		if share += flown[d]; share >= 0.5-1e-9 {
			return d, true
		}
	}
	return 0, false
}

// mildVisit is the first visit after which nights are as mild as a wrap's end
// asks; -1 when none is.
func mildVisit(nightC []float64) int {
	return slices.IndexFunc(nightC, func(c float64) bool { return c >= WrapOffC })
}

// supersWarning tells of rounds that end too near to the honey supers, and what
// to do, or that nobody has said how near is too near; nil when all is well or the
// day of the supers is not known.
func (t *yardTasks) supersWarning(today time.Time) plan.Note {
	switch {
	case t.all == 0 || t.dusting.SupersOn.IsZero():
		return nil
	case !t.waitKnown():
		return plan.WaitUnknown{LastRound: t.last(), SupersOn: t.dusting.SupersOn}
	case !t.supersFrom().After(t.dusting.SupersOn):
		return nil
	}
	over := int(math.Round(t.supersFrom().Sub(t.dusting.SupersOn).Hours() / 24))
	w := plan.SupersSoon{LastRound: t.last(), WaitDays: t.dusting.DaysBeforeSupers, WaitEnds: t.supersFrom(), SupersOn: t.dusting.SupersOn}
	if start := t.dusting.FirstRound.AddDate(0, 0, -over); !start.Before(today) {
		w.StartRoundBy = start
	}
	return w
}

// WorkWarnings are those of the spring work, once the yard's plans are known.
func (y *Yard) WorkWarnings(cs []*plan.ColonyPlan) []plan.Note {
	t := &y.tasks
	out := slices.Clone(t.warnings)
	dead, late := false, time.Time{}
	for _, c := range cs {
		dead = dead || c.Verdict == plan.Dead
		for _, f := range c.Feedings {
			if f.SyrupL > 0 && f.Date.After(late) {
				late = f.Date
			}
		}
	}
	first := y.Visits[0].Date
	if dead && !t.fly.IsZero() && t.fly.Before(first) {
		out = append(out, plan.RobbedBefore{Fly: t.fly, FirstVisit: first})
	}
	if from, ok := t.moved[first]; ok && from.Before(first) && slices.ContainsFunc(cs, func(c *plan.ColonyPlan) bool { return c.TooLate }) {
		out = append(out, plan.VisitMovedLate{From: from, To: first})
	}
	if on := t.dusting.SupersOn; !on.IsZero() && !late.Before(on) {
		out = append(out, plan.SyrupAtSupers{LastSyrup: late, SupersOn: on})
	}
	return out
}

// workTasks are the tasks of the whole yard on a visit, and the colonies to
// wrap. A yard with colonies to wrap is not told to keep wraps on besides.
func (y *Yard) workTasks(k int, cs []*plan.ColonyPlan) []plan.Task {
	t := &y.tasks
	out := y.dustTasks(y.Visits[k].Date, cs)
	if y.Site.Disease {
		out = append(out, plan.Task{What: plan.CleanTools{}})
	}
	wrapped := slices.ContainsFunc(y.Colonies, func(c *season.Colony) bool { return c.Alive && c.Insulated })
	toWrap := slices.ContainsFunc(cs, func(c *plan.ColonyPlan) bool { return c.Wrap })
	off, costKg, underKg := y.unwrapVisit(cs)
	if k == 0 && off != 0 && wrapped && !toWrap && !math.IsNaN(t.nightC[0]) {
		out = append(out, plan.Task{What: plan.KeepWraps{NightC: t.nightC[0], CostKg: costKg}})
	}
	for _, c := range cs {
		if k == 0 && c.Wrap {
			out = append(out, plan.Task{Colony: c.Colony, Colonies: many(c), What: plan.WrapHive{}})
		}
	}
	if k == off && (wrapped || toWrap) {
		out = append(out, plan.Task{What: plan.WrapsOff{NightC: t.nightC[k], UnderKg: underKg}})
	}
	return out
}

// unwrapVisit is the visit from which no wrap of the yard is worth keeping on, by what it
// saves, or by the nights where that is not known; -1 when none is. costKg is what taking
// them off at the first visit costs a hive in the middle spring, mean, and underKg what
// counts as nothing; NaN when not known.
func (y *Yard) unwrapVisit(cs []*plan.ColonyPlan) (visit int, costKg, underKg float64) {
	var from time.Time
	sum, n := 0.0, 0.0
	for _, c := range cs {
		if !c.Unwrap.Known() || !c.Unwrap.Wrapped && !c.Wrap {
			continue
		}
		hives := float64(max(1, many(c)))
		sum += hives * c.Unwrap.CostKg.P50
		n += hives
		underKg = c.Unwrap.UnderKg
		if c.Unwrap.From.After(from) {
			from = c.Unwrap.From
		}
	}
	if n == 0 {
		return mildVisit(y.tasks.nightC), math.NaN(), math.NaN()
	}
	return slices.IndexFunc(y.Visits, func(v Visit) bool { return !v.Date.Before(from) }), sum / n, underKg
}

// NightsFreeze tells that the nights after the first visit mostly do, so that a bare colony
// that is fed is wrapped.
func (y *Yard) NightsFreeze() bool { return y.tasks.nightC[0] < wrapOnC }

// MarkBare marks the colonies to feed that stand bare while nights freeze.
func (y *Yard) MarkBare(cs []*plan.ColonyPlan) {
	if !y.NightsFreeze() {
		return
	}
	bare := map[string]bool{}
	for _, c := range y.Colonies {
		if c.Alive && !c.Insulated {
			bare[c.Name] = true
		}
	}
	for _, c := range cs {
		c.Wrap = c.Verdict == plan.Feed && bare[c.Colony]
	}
}

// dustTasks are the tasks of the round on a day, if there is one.
func (y *Yard) dustTasks(date time.Time, cs []*plan.ColonyPlan) []plan.Task {
	t := &y.tasks
	i := slices.IndexFunc(t.rounds, func(r dustRound) bool { return r.date.Equal(date) })
	if i < 0 {
		return nil
	}
	r := t.rounds[i]
	round := plan.DustRound{Round: r.k, Of: t.all, MovedFrom: t.moved[date], PowderG: t.dusting.GPerColony}
	for _, c := range cs {
		if round.PowderG > 0 && c.Verdict != plan.Dead {
			round.Colonies += c.Stands()
		}
	}
	out := []plan.Task{{What: round}}
	if i == 0 { // once a yard
		if slices.ContainsFunc(cs, func(c *plan.ColonyPlan) bool { return len(c.Feedings) > 0 }) {
			out = append(out, plan.Task{What: plan.CloseFeeders{}})
		}
		out = append(out, plan.Task{What: plan.NoAcidUntil{LastRound: t.last()}})
	}
	switch {
	case r.k < t.all:
	case t.waitKnown():
		out = append(out, plan.Task{What: plan.NoSupersBefore{On: t.supersFrom(), WaitDays: t.dusting.DaysBeforeSupers}})
	default:
		out = append(out, plan.Task{What: plan.AskWait{}})
	}
	return out
}

// lateRounds are visits for the rounds after the last visit to feed on.
func (y *Yard) lateRounds(cs []*plan.ColonyPlan) []plan.Visit {
	var out []plan.Visit
	last := y.Visits[len(y.Visits)-1].Date
	for _, r := range y.tasks.rounds {
		if r.date.After(last) {
			out = append(out, plan.Visit{Date: r.date, Tasks: y.dustTasks(r.date, cs)})
		}
	}
	return out
}
