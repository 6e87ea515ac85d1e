package decide

import (
	"context"
	"math"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/sim/colony"
)

// mostDetailMembers are the members behind a colony's day-by-day picture at most,
// 400-4000, own judgement: the plan's own where they are fewer, so that picture
// and plan agree.
const mostDetailMembers = 2400

// arm is what members hold day by day under one way of feeding.
type arm struct {
	given  [][]colony.Feeding // by member; nil for nothing
	stores [][]float64        // kg, by day, then member; nil when not wanted
	held   int                // members that held the reserve
	toll
}

// toll is how many members have starved by each day, and in all.
type toll struct {
	dead []float64
	died float64
}

// reared are the bees and brood of members by day, which no feeding changes.
type reared struct {
	bees, brood [][]float64 // by day, then member
	forage      []float64   // foragers, sum over members
}

// byDay is room for a figure of each day and member.
func byDay(days, members int) [][]float64 {
	out, all := make([][]float64, days), make([]float64, days*members)
	for d := range out {
		out[d] = all[d*members : d*members : (d+1)*members]
	}
	return out
}

// Detail runs a planned colony again day by day for its charts, on the same
// draws as its plan. It is for colonies that are alive and were looked at; for
// others it returns false. It ends early with the context's error.
func (w *Worker) Detail(ctx context.Context, y *Yard, col *season.Colony, c *plan.ColonyPlan) (d plan.Detail, ok bool, err error) {
	if !col.Alive {
		return plan.Detail{}, false, nil
	}
	err = w.until(ctx, func() {
		if s := w.subject(y, col); s != nil {
			d, ok = w.detail(s, c), true
		}
	})
	return d, ok, err
}

// arms are the treatments of a colony day by day; nil for one that is not compared.
type arms struct {
	bare, with                      *reared // without and with supplement
	alone, fed, protein, proteinFed *arm

	judged *toll // fed as planned, of the members that the plan's risk was judged on
	weekly toll  // left alone, of the plan's risk by week: where no member starves at all
}

// armsOf runs the treatments of the first n members of a planned colony.
func (w *Worker) armsOf(s *subject, c *plan.ColonyPlan, days, n int) *arms {
	bare := &w.alone
	bare.members = n
	s.draw(bare, 0, n)
	out := &arms{bare: w.rear(bare, &colony.Treatment{}, days), weekly: weekly(c.RiskByWeek, s.y.Weeks, s.first, days)}
	out.alone = w.follow(s, bare, nil, byDay(days, n))
	if len(c.Feedings) > 0 {
		out.fed = w.follow(s, bare, w.givenTo(s, bare, c), byDay(days, n))
	}
	if !c.Supplement.Considered {
		return out
	}
	on := s.y.Outlook.Day(c.Supplement.From) - s.first
	with := &w.supplemented
	with.members, with.cases = n, bare.cases[:n]
	with.resize(n, 0, 0)
	out.with = w.rear(with, &colony.Treatment{Supplement: true, SupplementFrom: on}, days)
	out.protein = w.follow(s, with, nil, make([][]float64, days))
	if len(c.Supplement.Feedings) > 0 {
		again := *c
		again.Feedings = c.Supplement.Feedings
		if c.Verdict != plan.Feed {
			again.Choice.Feeder = c.Supplement.Feeder
		}
		out.proteinFed = w.follow(s, with, w.givenTo(s, with, &again), make([][]float64, days))
	}
	return out
}

// rear takes the bees of members that are drawn through the spring, and shows their days.
func (w *Worker) rear(g *grown, care *colony.Treatment, days int) *reared {
	out := &reared{bees: byDay(days, g.members), brood: byDay(days, g.members), forage: make([]float64, days)}
	var path colony.Path
	for m := range g.members {
		w.step()
		cs := &g.cases[m]
		path.Reset(len(cs.Forcing))
		spring := cs.Spring()
		spring.Span.Days = max(spring.Span.Days, days) // a decision ends with the nectar
		w.runner.SimulatePopulation(spring, cs.Start, care, &g.demand[m], &path)
		// The bees of a colony that has starved are shown as if it had been fed: what is
		// compared there is the supplement.
		for d := range min(days, len(path.Bees)) {
			out.bees[d] = append(out.bees[d], path.Bees[d])
			out.brood[d] = append(out.brood[d], path.BroodCells[d])
			out.forage[d] += path.ForagerNum[d]
		}
	}
	return out
}

// follow takes the stores of members that have grown through as many days as are shown;
// stores is room for them, nil for days on which they are not wanted.
func (w *Worker) follow(s *subject, g *grown, given [][]colony.Feeding, stores [][]float64) *arm {
	days := len(stores)
	out := &arm{given: given, stores: stores, toll: toll{dead: make([]float64, days)}}
	var path *colony.Path
	if stores[0] != nil {
		path = new(colony.Path)
	}
	for m := range g.members {
		w.step()
		cs := &g.cases[m]
		spring := cs.Spring()
		spring.Span.Days = min(days, len(cs.Forcing))
		var fills []colony.Feeding
		if given != nil {
			fills = given[m]
		}
		if path != nil {
			path.Reset(days)
		}
		o := w.runner.SimulateStores(spring, cs.Start.StoresKg, fills, s.reserveKg, &g.demand[m], path)
		out.toll.add(o.StarveDay)
		if o.ReserveDay < 0 {
			out.held++
		}
		if path != nil {
			out.show(path.StoresKg, o.StarveDay)
		}
	}
	return out
}

// show keeps what a member holds by day; one that has starved gathers nothing more.
func (a *arm) show(kg []float64, starve int) {
	for d, x := range kg {
		if starve >= 0 && d >= starve {
			x = 0
		}
		a.stores[d] = append(a.stores[d], math.Max(0, x))
	}
}

func (w *Worker) detail(s *subject, c *plan.ColonyPlan) plan.Detail {
	y, o := s.y, s.y.Outlook
	set := &w.o.Season.Settings
	n := min(mostDetailMembers, c.Members)
	s = s.learn(n)
	lastDay := o.Day(y.Facts.Nectar.P90) + 14
	if !set.BeesWantedDate.IsZero() {
		lastDay = max(lastDay, o.Day(set.BeesWantedDate)+7)
	}
	lastDay = min(lastDay, len(o.Springs[0].Days)-1)
	days := lastDay - s.first + 1

	a := w.armsOf(s, c, days, n)
	bloom, nectar := make([]float64, days), make([]float64, days)
	for m := range n {
		span := &w.alone.cases[m].Span
		for d := range days {
			if d >= span.BloomDay {
				bloom[d]++
			}
			if d >= span.NectarDay {
				nectar[d]++
			}
		}
	}
	det := plan.Detail{Yard: c.Yard, Colony: c.Colony, ReserveKg: s.reserveKg, Feedings: c.Feedings, Visits: y.Dates(),
		BloomFrac: over(bloom, n), NectarFrac: over(nectar, n), Reserve: &plan.Held{Alone: float64(a.alone.held) / float64(n), Fed: math.NaN()}}
	det.Starves = &plan.Ends{Alone: c.Risk.Frac, Fed: c.RiskFed.Frac, Supplement: c.Supplement.Risk.Frac, SupplementFed: c.Supplement.RiskFed.Frac}
	for d := range days {
		det.Dates = append(det.Dates, o.Date(s.first+d))
	}
	if a.fed != nil {
		other := newTrades()
		a.judged = w.judged(s, c, days, other)
		other.put(&det, c.Feedings[0].Date)
		det.Reserve.Fed = c.ReserveFrac
	}
	a.show(&det, n)
	return det
}

// show writes what the treatments came to over n members.
func (a *arms) show(det *plan.Detail, n int) {
	left, ends := []*toll{&a.alone.toll, &a.weekly}, det.Starves
	det.StoresAlone, det.RiskAlone = band(a.alone.stores), starvedBy(ends.Alone, left...)
	if a.fed != nil {
		det.StoresFed = band(a.fed.stores)
		det.RiskFed = noMoreThan(det.RiskAlone, starvedBy(ends.Fed, append([]*toll{a.judged, &a.fed.toll}, left...)...))
	}
	if a.protein != nil {
		det.RiskSupplement = starvedBy(ends.Supplement, append([]*toll{&a.protein.toll}, left...)...)
		det.BeesGain = band(pairedGain(a.with.bees, a.bare.bees)) // before the bands of both, which reorder members
		det.ForagersExtra = over(difference(a.with.forage, a.bare.forage), n)
		det.BeesSupplement, det.BroodSupplement = band(a.with.bees), band(a.with.brood)
	}
	if a.proteinFed != nil {
		det.RiskSupplementFed = noMoreThan(det.RiskSupplement, starvedBy(ends.SupplementFed, append([]*toll{&a.proteinFed.toll}, left...)...))
	}
	det.Bees, det.Brood = band(a.bare.bees), band(a.bare.brood)
}

// pairedGain is what each member has more with than without, by day.
func pairedGain(with, without [][]float64) [][]float64 {
	gain := make([][]float64, len(with))
	for day := range gain {
		gain[day] = difference(with[day], without[day])
	}
	return gain
}

// starvedBy is the chance to have starved by each day, out of a risk of all: members tell how
// it is spread over the days, those of the first toll in which any starves.
func starvedBy(risk float64, tolls ...*toll) []float64 {
	t := tolls[0]
	for _, other := range tolls {
		if t.died == 0 {
			t = other
		}
	}
	out := make([]float64, len(t.dead))
	for d, n := range t.dead {
		out[d] = risk * (n / math.Max(math.SmallestNonzeroFloat64, t.died))
	}
	return out
}

// noMoreThan is the risk of a fed colony by day where that of the same one not fed is told from
// other members, or scaled otherwise: feed starves none in any spring. A plan that tells it the
// other way round, within its errors, is left so.
func noMoreThan(notFed, fed []float64) []float64 {
	if end := len(fed) - 1; fed[end] > notFed[end] {
		return fed
	}
	for d := range fed {
		fed[d] = math.Min(fed[d], notFed[d])
	}
	return fed
}

// weekly is a risk by week as a toll by day, in a straight line from one to the next.
func weekly(risk []float64, weeks []int, first, days int) toll {
	out := toll{dead: make([]float64, days)}
	for d := range out.dead {
		from, fromDay := 0.0, first-1
		for i, day := range weeks[:len(risk)] {
			if day >= first+d {
				out.dead[d] = from + (risk[i]-from)*float64(first+d-fromDay)/float64(day-fromDay)
				break
			}
			from, fromDay, out.dead[d] = risk[i], day, risk[i]
		}
	}
	out.died = out.dead[days-1]
	return out
}

// judged is when the members starve that a plan's risk was judged on, fed by its lines; what
// else they might be given is weighed on them as well.
func (w *Worker) judged(s *subject, c *plan.ColonyPlan, days int, other *trades) *toll {
	from := w.fedOn(s, c.Members)
	to := from + min(mostDetailMembers, from)
	s = s.learn(2 * from)
	a, on := &w.alone, &w.others
	s.draw(a, from, to)
	w.grow(a, &colony.Treatment{}, from, to)
	on.members = s.membersFor(a, from, to, on.members)
	w.engine.Prepare(&on.set, uint64(s.key)^checkKey, on.members, w.termsOf(s, c))
	w.engine.Judge(&on.set, s.policyOf(c.Feedings), &on.on)
	out := &toll{dead: make([]float64, days)}
	for m := range on.members {
		w.step()
		given := given(on, m, strengthOr(c), wayOf(c.Choice.Feeder).touching)
		out.add(other.add(&w.runner, &on.members[m], s.reserveKg, given))
	}
	return out
}

// add counts a member that starves on a day, -1 for never; one after the last day does not
// count.
func (t *toll) add(starve int) {
	if starve < 0 || starve >= len(t.dead) {
		return
	}
	t.died++
	for d := starve; d < len(t.dead); d++ {
		t.dead[d]++
	}
}

// givenTo is what each member is given by the lines of a plan.
func (w *Worker) givenTo(s *subject, a *grown, c *plan.ColonyPlan) [][]colony.Feeding {
	on := w.tryPlan(s, a, c)
	out := make([][]colony.Feeding, a.members)
	for m := range out {
		out[m] = given(on, m, strengthOr(c), wayOf(c.Choice.Feeder).touching)
	}
	return out
}

func over(sums []float64, n int) []float64 {
	out := make([]float64, len(sums))
	for i, v := range sums {
		out[i] = v / float64(n)
	}
	return out
}

func band(byDay [][]float64) plan.Band {
	n := len(byDay)
	b := plan.Band{P10: make([]float64, n), P25: make([]float64, n), P50: make([]float64, n), P75: make([]float64, n), P90: make([]float64, n)}
	for d, x := range byDay {
		b.P10[d], b.P25[d], b.P50[d] = schedule.Quantile(x, 0.1), schedule.Quantile(x, 0.25), schedule.Quantile(x, 0.5)
		b.P75[d], b.P90[d] = schedule.Quantile(x, 0.75), schedule.Quantile(x, 0.9)
	}
	return b
}
