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

// arm is a treatment day by day.
type arm struct {
	care   colony.Treatment
	given  [][]colony.Feeding // by member; nil when all are treated alike
	stores [][]float64        // by day, then member; nil when not wanted
	bees   [][]float64
	brood  [][]float64
	forage []float64 // sum over members
	toll
}

// toll is how many members have starved by each day, and in all.
type toll struct {
	dead []float64
	died float64
}

func newArm(care colony.Treatment, days, members int) *arm {
	a := &arm{care: care, forage: make([]float64, days), toll: toll{dead: make([]float64, days)}}
	for _, s := range []*[][]float64{&a.stores, &a.bees, &a.brood} {
		*s = make([][]float64, days)
		for d := range *s {
			(*s)[d] = make([]float64, 0, members)
		}
	}
	return a
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
	alone, fed, protein, proteinFed *arm

	judged *toll // fed as planned, of the members that the plan's risk was judged on
	weekly toll  // left alone, of the plan's risk by week: where no member starves at all
}

func (a *arms) each(do func(*arm)) {
	for _, x := range []*arm{a.alone, a.fed, a.protein, a.proteinFed} {
		if x != nil {
			do(x)
		}
	}
}

// armsOf readies the treatments of the first n members of a planned colony.
func (w *Worker) armsOf(s *subject, c *plan.ColonyPlan, days, n int) *arms {
	out := &arms{alone: newArm(colony.Treatment{}, days, n)}
	bare := &w.alone
	bare.members = n
	s.draw(bare, 0, n)
	if len(c.Feedings) > 0 {
		w.grow(bare, &colony.Treatment{}, 0, n)
		out.fed = newArm(colony.Treatment{}, days, n)
		out.fed.given = w.givenTo(s, bare, c)
	}
	if !c.Supplement.Considered {
		return out
	}
	on := s.y.Outlook.Day(c.Supplement.From) - s.first
	care := colony.Treatment{Supplement: true, SupplementFrom: on}
	out.protein = newArm(care, days, n)
	if len(c.Supplement.Feedings) > 0 {
		with := &w.supplemented
		with.members, with.cases = n, bare.cases[:n]
		with.resize(n, 0, 0)
		w.grow(with, &care, 0, n)
		again := *c
		again.Feedings = c.Supplement.Feedings
		if c.Verdict != plan.Feed {
			again.Choice.Feeder = c.Supplement.Feeder
		}
		out.proteinFed = newArm(care, days, n)
		out.proteinFed.given = w.givenTo(s, with, &again)
	}
	return out
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
	other, held := newTrades(), 0.0
	var path colony.Path
	for m := range n {
		w.step()
		cs := &w.alone.cases[m]
		for d := range days {
			if d >= cs.Span.BloomDay {
				bloom[d]++
			}
			if d >= cs.Span.NectarDay {
				nectar[d]++
			}
		}
		spring := cs.Spring()
		spring.Span.Days = min(days, len(cs.Forcing))
		a.each(func(x *arm) {
			if x.given != nil {
				x.care.Feedings = x.given[m]
			}
			out := w.runner.Run(spring, cs.Start, &x.care, s.reserveKg, &path)
			x.add(&path, out.StarveDay)
			if x == a.alone && out.ReserveDay < 0 {
				held++
			}
		})
		if a.fed != nil {
			other.add(&w.runner, cs, s.reserveKg, a.fed.given[m])
		}
	}
	a.weekly = weekly(c.RiskByWeek, y.Weeks, s.first, days)
	if a.fed != nil {
		a.judged = w.judged(s, c, days)
	}
	det := plan.Detail{Yard: c.Yard, Colony: c.Colony, ReserveKg: s.reserveKg, Feedings: c.Feedings, Visits: y.Dates(),
		BloomFrac: over(bloom, n), NectarFrac: over(nectar, n), Reserve: &plan.Held{Alone: held / float64(n), Fed: math.NaN()}}
	det.Starves = &plan.Ends{Alone: c.Risk.Frac, Fed: c.RiskFed.Frac, Supplement: c.Supplement.Risk.Frac, SupplementFed: c.Supplement.RiskFed.Frac}
	for d := range days {
		det.Dates = append(det.Dates, o.Date(s.first+d))
	}
	if a.fed != nil {
		other.put(&det, c.Risk.Frac, c.Feedings[0].Date)
		det.Reserve.Fed = c.ReserveFrac
	}
	a.show(&det, n)
	return det
}

// show writes what the treatments came to over n members.
func (a *arms) show(det *plan.Detail, n int) {
	var gain [][]float64
	if a.protein != nil {
		gain = pairedGain(a.protein.bees, a.alone.bees)
	}
	left, ends := []*toll{&a.alone.toll, &a.weekly}, det.Starves
	det.StoresAlone, det.RiskAlone = band(a.alone.stores), starvedBy(ends.Alone, left...)
	det.Bees, det.Brood = band(a.alone.bees), band(a.alone.brood)
	if a.fed != nil {
		det.StoresFed = band(a.fed.stores)
		det.RiskFed = starvedBy(ends.Fed, append([]*toll{a.judged, &a.fed.toll}, left...)...)
	}
	if a.protein != nil {
		det.RiskSupplement = starvedBy(ends.Supplement, append([]*toll{&a.protein.toll}, left...)...)
		a.protein.compare(a.alone, gain, det, n)
	}
	if a.proteinFed != nil {
		det.RiskSupplementFed = starvedBy(ends.SupplementFed, append([]*toll{&a.proteinFed.toll}, left...)...)
	}
}

// pairedGain is what each member has more with than without, by day. It is worked
// out before any quantile, since those reorder the members of a day.
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

// weekly is a risk by week as a toll by day, in a straight line from one to the next.
func weekly(risk []float64, weeks []int, first, days int) toll {
	out := toll{dead: make([]float64, days)}
	for d := range out.dead {
		from, fromDay := 0.0, first-1
		for i, day := range weeks {
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

// judged is when the members starve that a plan's risk was judged on, fed by its lines.
func (w *Worker) judged(s *subject, c *plan.ColonyPlan, days int) *toll {
	n := min(mostDetailMembers, c.Members)
	from, to := c.Members, c.Members+n
	s = s.learn(2 * c.Members)
	a, on := &w.alone, &w.others
	s.draw(a, from, to)
	w.grow(a, &colony.Treatment{}, from, to)
	on.members = s.membersFor(a, from, to, on.members)
	w.engine.Prepare(&on.set, uint64(s.key)^checkKey, on.members, w.termsOf(s, c))
	w.engine.Judge(&on.set, s.policyOf(c.Feedings), &on.on)
	out := &toll{dead: make([]float64, days)}
	for m, starves := range on.on.Starves {
		if starves {
			x := &on.members[m]
			lots := given(on, m, strengthOr(c), wayOf(c.Choice.Feeder).touching)
			out.add(w.runner.SimulateStores(x.Spring, x.StartKg, lots, s.reserveKg, x.Demand, nil).StarveDay)
		}
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

// compare writes what a supplement changes against the colony left alone.
func (a *arm) compare(alone *arm, gain [][]float64, det *plan.Detail, n int) {
	det.BeesSupplement, det.BroodSupplement = band(a.bees), band(a.brood)
	det.BeesGain = band(gain)
	det.ForagersExtra = over(difference(a.forage, alone.forage), n)
}

func (a *arm) add(p *colony.Path, starve int) {
	a.toll.add(starve)
	for d := range p.StoresKg {
		// A colony that has starved gathers nothing more. Its bees are shown as if it
		// had been fed: what is compared there is the supplement.
		kg := math.Max(0, p.StoresKg[d])
		if starve >= 0 && d >= starve {
			kg = 0
		}
		a.stores[d] = append(a.stores[d], kg)
		a.bees[d] = append(a.bees[d], p.Bees[d])
		a.brood[d] = append(a.brood[d], p.BroodCells[d])
		a.forage[d] += p.ForagerNum[d]
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
