package decide

import (
	"math"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
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
	dead   []float64 // members starved by that day
}

func newArm(care colony.Treatment, days, members int) *arm {
	a := &arm{care: care, forage: make([]float64, days), dead: make([]float64, days)}
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
// others it returns false.
func (w *Worker) Detail(y *Yard, col *season.Colony, c *plan.ColonyPlan) (plan.Detail, bool) {
	if !col.Alive {
		return plan.Detail{}, false
	}
	s := w.subject(y, col)
	if s == nil {
		return plan.Detail{}, false
	}
	return w.detail(s, c), true
}

func (w *Worker) detail(s *subject, c *plan.ColonyPlan) plan.Detail {
	y, o := s.y, s.y.Outlook
	set := &w.o.Season.Settings
	n := min(mostDetailMembers, c.Members)
	s.learn(n)
	lastDay := o.Day(y.Facts.Nectar.P90) + 14
	if !set.BeesWantedDate.IsZero() {
		lastDay = max(lastDay, o.Day(set.BeesWantedDate)+7)
	}
	lastDay = min(lastDay, len(o.Springs[0].Days)-1)
	days := lastDay - s.first + 1

	alone := newArm(colony.Treatment{}, days, n)
	arms := []*arm{alone}
	var fed, protein, proteinFed *arm
	w.grow(s, bare, 0, n, &colony.Treatment{}, &w.alone)
	if len(c.Feedings) > 0 {
		fed = newArm(colony.Treatment{}, days, n)
		fed.given = w.givenTo(s, bare, n, c.Feedings, c)
		arms = append(arms, fed)
	}
	if c.Supplement.Considered {
		on := o.Day(c.Supplement.From) - s.first
		protein = newArm(colony.Treatment{Supplement: true, SupplementFrom: on}, days, n)
		arms = append(arms, protein)
		if len(c.Supplement.Feedings) > 0 {
			w.grow(s, supplemented, 0, n, &protein.care, &w.protein)
			proteinFed = newArm(protein.care, days, n)
			proteinFed.given = w.givenTo(s, supplemented, n, c.Supplement.Feedings, c)
			arms = append(arms, proteinFed)
		}
	}
	bloom, nectar := make([]float64, days), make([]float64, days)
	other, held := newTrades(), 0.0
	cs := &ensemble.Realization{}
	for m := range n {
		s.drawer.Realize(s.key, &s.seen, m, cs)
		for d := range days {
			if d >= cs.Span.BloomDay {
				bloom[d]++
			}
			if d >= cs.Span.NectarDay {
				nectar[d]++
			}
		}
		span := cs.Span
		span.Days = min(days, len(cs.Forcing))
		for _, a := range arms {
			if a.given != nil {
				a.care.Feedings = a.given[m]
			}
			out := w.runner.Run(&cs.Params, cs.Forcing, cs.Start, span, &a.care, s.reserveKg, &w.path)
			a.add(&w.path, out.StarveDay)
			if a == alone && out.ReserveDay < 0 {
				held++
			}
		}
		if fed != nil {
			other.add(&w.runner, cs, s.reserveKg, fed.given[m])
		}
	}
	var gain [][]float64
	if protein != nil {
		gain = pairedGain(protein.bees, alone.bees)
	}
	det := plan.Detail{Yard: c.Yard, Colony: c.Colony, ReserveKg: s.reserveKg, Feedings: c.Feedings, Visits: y.Dates(),
		BloomFrac: over(bloom, n), NectarFrac: over(nectar, n),
		StoresAlone: band(alone.stores), RiskAlone: over(alone.dead, n), Bees: band(alone.bees), Brood: band(alone.brood)}
	for d := range days {
		det.Dates = append(det.Dates, o.Date(s.first+d))
	}
	det.Reserve = &plan.Held{Alone: held / float64(n), Fed: math.NaN()}
	if fed != nil {
		other.put(&det, c.Feedings[0].Date)
		det.Reserve.Fed = c.ReserveFrac
		det.StoresFed, det.RiskFed = band(fed.stores), over(fed.dead, n)
	}
	if protein != nil {
		protein.compare(alone, gain, &det, n)
	}
	if proteinFed != nil {
		det.RiskSupplementFed = over(proteinFed.dead, n)
	}
	return det
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

// compare writes what a supplement changes against the colony left alone.
func (a *arm) compare(alone *arm, gain [][]float64, det *plan.Detail, n int) {
	det.RiskSupplement = over(a.dead, n)
	det.BeesSupplement, det.BroodSupplement = band(a.bees), band(a.brood)
	det.BeesGain = band(gain)
	det.ForagersExtra = over(difference(a.forage, alone.forage), n)
}

func (a *arm) add(p *colony.Path, starve int) {
	for d := range p.StoresKg {
		// A colony that has starved gathers nothing more. Its bees are shown as if it
		// had been fed: what is compared there is the supplement.
		kg := math.Max(0, p.StoresKg[d])
		if starve >= 0 && d >= starve {
			a.dead[d]++
			kg = 0
		}
		a.stores[d] = append(a.stores[d], kg)
		a.bees[d] = append(a.bees[d], p.Bees[d])
		a.brood[d] = append(a.brood[d], p.BroodCells[d])
		a.forage[d] += p.ForagerNum[d]
	}
}

// givenTo is what each of the first n members is given by the lines of a plan.
func (w *Worker) givenTo(s *subject, treatment, n int, list []plan.Feeding, c *plan.ColonyPlan) [][]colony.Feeding {
	strength := strengthOr(c)
	choice := c.Choice
	if c.Verdict != plan.Feed {
		choice.Feeder = c.Supplement.Feeder
	}
	touching := wayOf(choice.Feeder).touching
	w.judgeOn(s, treatment, n, list, strength, choice, &c.Policy)
	out := make([][]colony.Feeding, n)
	for m := range out {
		out[m] = given(&w.pol.onB, m, w.pol.visits, strength, touching)
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
