package feed

import (
	"slices"
	"sort"
	"time"

	"bloomgap/feed/asked"
	"bloomgap/feed/order"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/sim/colony"
)

// gather puts the plan together of the plans of all colonies, which it sorts.
func (p *Planner) gather(colonies []plan.ColonyPlan) *plan.Plan {
	set := &p.season.Settings
	out := &plan.Plan{Season: p.season, Today: p.season.Today, Members: p.opt.Members, Seed: set.Seed,
		Invented: p.season.Invented, Cautions: append(p.ownCautions(), plan.Cautions()...), Limits: plan.Limits(), AcceptPct: 100 * set.AcceptRiskFrac}
	out.Colonies = colonies
	for _, y := range p.yards {
		y.plans = nil
	}
	sortByUrgency(out.Colonies, set.AcceptRiskFrac)
	shares := order.ShareGear(p.season.Equipment, out.Colonies)

	byYard := map[string][]*plan.ColonyPlan{}
	for i := range out.Colonies {
		c := &out.Colonies[i]
		byYard[c.Yard] = append(byYard[c.Yard], c)
	}
	var laterBy time.Time
	for _, y := range p.yards {
		mine := byYard[y.site.Name]
		yp := plan.YardPlan{Name: y.site.Name, Round: y.site.Round, Disease: y.site.Disease, LatDeg: y.site.LatDeg, LonDeg: y.site.LonDeg,
			Bloom: y.Facts.Bloom, Nectar: y.Facts.Nectar, NonFlying: y.Facts.NonFlying,
			Weather: y.Weather.Source, Warnings: slices.Concat(y.Weather.Warnings, y.WorkWarnings(mine)), Years: y.Facts.Years}
		for _, day := range y.Weeks {
			yp.WeekDates = append(yp.WeekDates, y.Outlook.Date(day))
		}
		countVerdicts(&yp, mine)
		yp.Order = y.sum.Order(yp.Feed, set.SugarBagKg, set.Seed, set.WasteFrac)
		later := order.LaterBy(mine, y.Visits[0].Date)
		if yp.Order.LaterSugarKg.P90 > 0 {
			yp.Order.LaterBy = later
		}
		if !later.IsZero() && (laterBy.IsZero() || later.Before(laterBy)) {
			laterBy = later
		}
		yp.Order.Gear = order.GearOf(mine, shares)
		y.MarkBare(mine)
		yp.Visits, yp.Flying = y.Calendar(mine), y.Flying()
		out.Yards = append(out.Yards, yp)
	}
	var sum order.Demand
	for _, y := range p.yards {
		sum.Add(&y.sum)
	}
	out.Sums = order.SumsOf(p.season, order.Made{Version: p.opt.Version, Members: p.opt.Members, Supplement: p.opt.Protein}, out.Colonies, &sum, laterBy)
	out.Order = order.Of(out.Sums)
	out.OrderBy = orderBy(&set.Truck, out)
	if w, ok := plan.WorthOf(out.Colonies, &set.Prices, season.TripPrices(p.season.Yards)); ok {
		out.Worth = &w
	}
	if risky := plan.StillAtRiskOf(out.Colonies, set.AcceptRiskFrac); risky.Colonies > 0 {
		out.Warnings = append(out.Warnings, risky)
	}
	extraL, advised := 0.0, 0
	for i := range out.Colonies {
		if q := &out.Colonies[i].Supplement; q.Advised {
			n := out.Colonies[i].Stands()
			extraL += float64(n) * q.ExtraSyrupL
			advised += n
		}
	}
	if advised > 0 {
		out.Warnings = append(out.Warnings, plan.OrderLacksSyrup{Colonies: advised, ExtraSyrupL: extraL})
	}
	if season.WinterVisits(p.season.Today) {
		out.Warnings = append(out.Warnings, plan.WinterPlan{From: asked.SpringFrom(p.season.Today)})
	}
	if set.AllowOpenFeeding {
		out.Warnings = append(out.Warnings, plan.OpenFeeding{})
	}
	out.Warnings = append(out.Warnings, plan.InputNotes(p.season.Reading)...)
	return out
}

// countVerdicts counts the colonies of a yard by what is to be done, and names the dead.
func countVerdicts(yp *plan.YardPlan, mine []*plan.ColonyPlan) {
	dead, all := 0, 0
	for _, c := range mine {
		all += c.Stands()
		switch c.Verdict {
		case plan.Feed:
			yp.Feed += c.Stands()
		case plan.Watch:
			yp.Watch += c.Stands()
		case plan.NoFeed:
			yp.NoFeed += c.Stands()
		case plan.Dead:
			yp.Dead = append(yp.Dead, c.Colony)
			dead += c.Stands()
		}
	}
	if dead > 0 {
		yp.Losses = plan.LossesOf(dead, all)
	}
}

// orderBy is by when sugar is ordered: it is mixed the day before it is given.
func orderBy(t *season.Truck, pl *plan.Plan) plan.OrderBy {
	var out plan.OrderBy
	if !t.LeadSaid || pl.Order.SugarKg.P90 <= 0 {
		return out
	}
	out.LeadDays = t.LeadDays
	before := func(day time.Time) time.Time { return day.AddDate(0, 0, -1-t.LeadDays) }
	for i := range pl.Yards {
		y := &pl.Yards[i]
		if first := y.Visits; y.Order.NowSugarKg.P90 > 0 && len(first) > 0 && (out.FirstNeeded.IsZero() || first[0].Date.Before(out.FirstNeeded)) {
			out.FirstNeeded = first[0].Date
		}
	}
	if !out.FirstNeeded.IsZero() {
		out.First = before(out.FirstNeeded)
	}
	if !pl.Order.LaterBy.IsZero() {
		out.Later = before(pl.Order.LaterBy)
	}
	return out
}

// ownCautions are those of this season beside the usual ones: which figures of the
// colony model the settings change, and what to mind with dusting.
func (p *Planner) ownCautions() []plan.Note {
	var out []plan.Note
	var changed []plan.ChangedParameter
	list := colony.Catalogue()
	for _, set := range p.season.Settings.Parameters {
		for i := range list {
			if q := &list[i]; q.Name == set.Name {
				changed = append(changed, plan.ChangedParameter{Name: q.Name, Value: set.Value, Usual: q.Typical, Unit: q.Unit})
			}
		}
	}
	if len(changed) > 0 {
		out = append(out, plan.ModelChanged{Parameters: changed})
	}
	if slices.ContainsFunc(p.yards, func(y *yardWork) bool { return y.Dusted() }) {
		out = append(out, plan.DustingPowder{})
	}
	return out
}

// sortByUrgency puts colonies to feed first: those that the next visit is late
// for, then those that stay over the accepted risk, then by the visit they must be fed on, then by the day they starve.
func sortByUrgency(cs []plan.ColonyPlan, accept float64) {
	over := func(c *plan.ColonyPlan) bool { return c.Verdict == plan.Feed && c.RiskFed.Frac > accept }
	sort.SliceStable(cs, func(i, j int) bool {
		a, b := &cs[i], &cs[j]
		switch {
		case a.Verdict != b.Verdict:
			return a.Verdict < b.Verdict
		case a.TooLate != b.TooLate:
			return a.TooLate
		case over(a) != over(b):
			return over(a)
		case a.Verdict == plan.Feed && !a.StartBy.Equal(b.StartBy):
			return a.StartBy.Before(b.StartBy)
		case a.Verdict == plan.Feed && !a.StarveDate.Equal(b.StarveDate):
			return a.StarveDate.Before(b.StarveDate)
		case a.Risk.Frac != b.Risk.Frac:
			return a.Risk.Frac > b.Risk.Frac
		case a.Yard != b.Yard:
			return a.Yard < b.Yard
		}
		return a.Colony < b.Colony
	})
}
