package feed

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

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
	// wrapOffC is the median night minimum from which a wrap may come off, C, 3-8, own judgement on the
	// common practice that it stays on while nights are cool.
	wrapOffC = 5.0
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
	warnings []string
}

// last is the day of the last round; all must not be 0.
func (t *yardTasks) last() time.Time { return t.dusting.Dates()[t.all-1] }

// supersFrom is the first day that honey supers may go on after the rounds.
func (t *yardTasks) supersFrom() time.Time {
	return t.last().AddDate(0, 0, t.dusting.DaysBeforeSupers)
}

// findRounds looks up the rounds of a yard that has a living colony.
func (y *yardWork) findRounds() {
	set, today := y.planner.season.Settings, y.planner.season.Today
	t := &y.tasks
	t.dusting = set.DustingAt(y.yard)
	if !slices.ContainsFunc(y.colonies, func(c *season.Colony) bool { return c.Alive }) {
		return
	}
	dates := t.dusting.Dates()
	t.all = len(dates)
	var past []string
	for k, date := range dates {
		if date.Before(today) {
			past = append(past, day(date))
			continue
		}
		t.rounds = append(t.rounds, dustRound{date, k + 1})
	}
	if len(past) > 0 {
		t.warnings = append(t.warnings, fmt.Sprintf(
			"%s of dusting %s before the day of the plan (%s) and %s taken as done; if not, set dusting_first_round anew",
			countOf(len(past), "round", "rounds"), verb(past, "lies", "lie"), listed(past), verb(past, "is", "are")))
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
func (y *yardWork) fitVisits(last time.Time) []time.Time {
	y.findRounds()
	today := y.planner.season.Today
	visits := y.yard.VisitDates(today, last)
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
	visits, t.moved = joinRounds(visits, among, len(y.yard.Visits) == 0, today)
	return visits
}

// weatherOfWork works out what the outlook means for wraps, dead colonies and
// rounds of dusting. It is called once the visits are known.
func (y *yardWork) weatherOfWork() {
	o, t := y.outlook, &y.tasks
	for k := range y.visits {
		t.nightC = append(t.nightC, medianOf(o, y.visits[k].day+1, y.visits[k].day+1+nightDays, nightMinC))
	}
	if d, ok := firstFlight(o, y.today); ok {
		t.fly = o.Date(d)
	}
	wd := words{y.planner.season.Settings.UnitsUS}
	var cold, maxC []string
	for _, r := range t.rounds {
		d := o.Day(r.date)
		if c := medianOf(o, max(y.today, d-roundDays), d+roundDays+1, dayMaxC); c < openFromC {
			cold, maxC = append(cold, day(r.date)), append(maxC, about(c, wd))
		}
	}
	if len(cold) > 0 {
		t.warnings = append(t.warnings, fmt.Sprintf(
			"too cold to take brood frames out on the dusting %s of %s (days of about %s): dust quickly from above if label and prescription allow it, or ask the veterinarian whether the round may wait",
			verb(cold, "round", "rounds"), listed(cold), listed(maxC)))
	}
	if w := t.supersWarning(y.planner.season.Today); w != "" {
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
	return quantile(x, 0.5)
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
	return slices.IndexFunc(nightC, func(c float64) bool { return c >= wrapOffC })
}

// supersWarning tells of rounds that end too near to the honey supers, and what
// to do; "" when all is well or the day of the supers is not known.
func (t *yardTasks) supersWarning(today time.Time) string {
	if t.all == 0 || t.dusting.SupersOn.IsZero() || !t.supersFrom().After(t.dusting.SupersOn) {
		return ""
	}
	over := int(math.Round(t.supersFrom().Sub(t.dusting.SupersOn).Hours() / 24))
	do := fmt.Sprintf("put the supers on from %s", day(t.supersFrom()))
	if start := t.dusting.FirstRound.AddDate(0, 0, -over); !start.Before(today) {
		do += fmt.Sprintf(", start the rounds by %s", day(start))
	} else {
		do += " (it is too late to start soon enough)"
	}
	return fmt.Sprintf("the last round of dusting, %s, and the %d days after it end on %s, but honey supers are to go on %s: %s, or ask the veterinarian",
		day(t.last()), t.dusting.DaysBeforeSupers, day(t.supersFrom()), day(t.dusting.SupersOn), do)
}

// workWarnings are those of the spring work, once the yard's plans are known.
func (y *yardWork) workWarnings(cs []*ColonyPlan) []string {
	t := &y.tasks
	out := slices.Clone(t.warnings)
	dead, late := false, time.Time{}
	for _, c := range cs {
		dead = dead || c.Verdict == Clear
		for _, f := range c.Fills {
			if f.SyrupL > 0 && !f.OnlyIfNoNectar && f.Date.After(late) {
				late = f.Date
			}
		}
	}
	first := y.visits[0].date
	if dead && !t.fly.IsZero() && t.fly.Before(first) {
		out = append(out, fmt.Sprintf("bees will fly and rob from about %s, before the first visit on %s: close the entrances of dead colonies sooner", day(t.fly), day(first)))
	}
	if from, ok := t.moved[first]; ok && from.Before(first) && slices.ContainsFunc(cs, func(c *ColonyPlan) bool { return c.TooLate }) {
		out = append(out, fmt.Sprintf("the first visit moved from %s to the dusting round on %s, and colonies are fed too late: go on %s to feed those", day(from), day(first), day(from)))
	}
	if on := t.dusting.SupersOn; !on.IsZero() && !late.Before(on) {
		out = append(out, fmt.Sprintf("syrup is planned up to %s, but honey supers are to go on %s: no syrup with supers on, so no super on a colony still fed", day(late), day(on)))
	}
	return out
}

// deadWords are the task of a dead colony.
func (y *yardWork) deadWords() string {
	by := ""
	if fly := y.tasks.fly; !fly.IsZero() {
		by = fmt.Sprintf(" by %s, as bees fly and rob from about then", day(fly))
	}
	return "dead: close it and clear it away" + by + "; look for foulbrood before any comb is used again"
}

// workTasks are the tasks of the whole yard on a visit, and the colonies to
// wrap.
func (y *yardWork) workTasks(k int, cs []*ColonyPlan) []Task {
	t := &y.tasks
	out := y.dustTasks(y.visits[k].date, cs)
	wrapped := slices.ContainsFunc(y.colonies, func(c *season.Colony) bool { return c.Alive && c.Insulated })
	toWrap := false
	wd := words{y.planner.season.Settings.UnitsUS}
	off := mildVisit(t.nightC)
	if k == 0 && off != 0 && wrapped && !math.IsNaN(t.nightC[0]) {
		out = append(out, Task{What: "keep the wraps on: nights fall to about " + about(t.nightC[0], wd)})
	}
	for _, c := range cs {
		toWrap = toWrap || c.Wrap
		if k == 0 && c.Wrap {
			out = append(out, Task{Colony: c.Colony, What: "wrap it, a bare hive eats more"})
		}
	}
	if k == off && (wrapped || toWrap) {
		out = append(out, Task{What: "the wraps may come off: nights of about " + about(t.nightC[k], wd)})
	}
	return out
}

// markBare marks the colonies to feed that stand bare while nights freeze.
func (y *yardWork) markBare(cs []*ColonyPlan) {
	if !(y.tasks.nightC[0] < wrapOnC) {
		return
	}
	bare := map[string]bool{}
	for _, c := range y.colonies {
		if c.Alive && !c.Insulated {
			bare[c.Name] = true
		}
	}
	for _, c := range cs {
		c.Wrap = c.Verdict == Feed && bare[c.Colony]
	}
}

// dustTasks are the tasks of the round on a day, if there is one.
func (y *yardWork) dustTasks(date time.Time, cs []*ColonyPlan) []Task {
	t := &y.tasks
	i := slices.IndexFunc(t.rounds, func(r dustRound) bool { return r.date.Equal(date) })
	if i < 0 {
		return nil
	}
	r := t.rounds[i]
	what := fmt.Sprintf("dusting round %d of %d", r.k, t.all)
	if from, ok := t.moved[date]; ok {
		what += fmt.Sprintf(" (visit of %s moved to it)", day(from))
	}
	out := []Task{{What: what + ": dust the preventive powder as the veterinary prescription and the label say"}}
	if slices.ContainsFunc(cs, func(c *ColonyPlan) bool { return len(c.Fills) > 0 }) {
		out = append(out, Task{What: "close or lift off open feeders before dusting: no powder in the feed"})
	}
	if r.k < t.all {
		return append(out, Task{What: fmt.Sprintf("no fumigant acid until after the last round, %s: it makes the powder set", day(t.last()))})
	}
	return append(out,
		Task{What: "a fumigant acid waits until this last round is over: it makes the powder set"},
		Task{What: fmt.Sprintf("no honey supers before %s, %d days after the last round, or as the prescription says", day(t.supersFrom()), t.dusting.DaysBeforeSupers)})
}

// lateRounds are visits for the rounds after the last visit to feed on.
func (y *yardWork) lateRounds(cs []*ColonyPlan) []Visit {
	var out []Visit
	last := y.visits[len(y.visits)-1].date
	for _, r := range y.tasks.rounds {
		if r.date.After(last) {
			out = append(out, Visit{Date: r.date, Tasks: y.dustTasks(r.date, cs)})
		}
	}
	return out
}

// about writes a temperature in whole degrees.
func about(c float64, wd words) string {
	if !wd.us {
		c = math.Round(c) + 0 // no minus before 0
	}
	return wd.temp(c)
}

func countOf(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func verb(of []string, one, many string) string {
	if len(of) == 1 {
		return one
	}
	return many
}

// listed joins words: "a", "a and b", "a, b and c".
func listed(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	n := len(list) - 1
	return strings.Join(list[:n], ", ") + " and " + list[n]
}
