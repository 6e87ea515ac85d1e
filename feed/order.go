package feed

import (
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// addDemand adds what feeding a colony by its plan uses in each of the members that
// all colonies share to the sum of its yard. A colony that is lost for other
// reasons takes no more from a visit on.
func (w *worker) addDemand(s *subject, out *plan.ColonyPlan) {
	n, r, lossFrac := w.p.opt.Members, &w.pol.onA, w.p.season.Settings.LossFrac
	d := &w.demand
	d.grow(n)
	sugarPerL, waterPerL := out.Strength.SugarKgPerL(), out.Strength.WaterLPerL()
	whole := func(x float64) int64 { return int64(math.Round(1000 * x)) }
	for k, lots := range r.Lots {
		for m, l := range lots[:n] {
			if l.None() || lostBy(s.key, m, k, len(r.Lots), lossFrac) {
				continue
			}
			d.syrupML[m] += whole(l.SyrupL)
			d.waterML[m] += whole(l.SyrupL * waterPerL)
			d.sugarG[m] += whole(l.SyrupL * sugarPerL)
			d.solidG[m] += whole(l.SolidKg)
			if k == 0 {
				d.nowG[m] += whole(l.SyrupL*sugarPerL) + whole(l.SolidKg)
			}
		}
	}
	s.y.addSum(d)
}

// lostBy tells whether a colony is lost for other reasons than hunger before a
// visit, in a member: as likely before any of the visits after the first.
func lostBy(key ensemble.Key, member, visit, visits int, lossFrac float64) bool {
	u := key.Unit("loss", uint64(member))
	return u < lossFrac*float64(visit)/float64(max(1, visits-1))
}

// wasted is what of a member's sugar is bought beside what is given: from none to
// wasteFrac, the same for all colonies, since one keeper mixes for all.
func wasted(seed uint64, member int, wasteFrac float64) float64 {
	return wasteFrac * ensemble.KeyOf("waste").Unit("waste", seed^uint64(member))
}

// addSupplement adds the supplement a colony eats, where it is advised, to the
// sum of its yard.
func (w *worker) addSupplement(y *yardWork, p *plan.Supplement) {
	if !p.Advised {
		return
	}
	d := &w.demand
	d.grow(w.p.opt.Members)
	for m := range d.supplementG {
		d.supplementG[m] = int64(math.Round(w.protein.supplementG[m]))
	}
	y.addSum(d)
}

func (y *yardWork) addSum(d *demand) {
	y.sumLock.Lock()
	defer y.sumLock.Unlock()
	y.sum.add(d)
}

// order turns a summed demand into what to buy.
func (d *demand) order(colonies int, bagKg float64, seed uint64, wasteFrac float64) plan.Order {
	o := plan.Order{Colonies: colonies, BagKg: bagKg}
	if len(d.syrupML) == 0 {
		return o
	}
	over := make([]float64, len(d.syrupML)) // what a member buys for each kg given
	for m := range over {
		over[m] = 1 + wasted(seed, m, wasteFrac)
	}
	amount := func(value func(m int) float64) plan.Amount {
		x := make([]float64, len(over))
		for m := range x {
			x[m] = value(m) * over[m]
		}
		return plan.Amount{P10: schedule.Quantile(x, 0.1), P50: schedule.Quantile(x, 0.5), P90: schedule.Quantile(x, 0.9)}
	}
	syrupL := func(m int) float64 { return float64(d.syrupML[m]) / 1000 }
	sugarKg := func(m int) float64 { return float64(d.sugarG[m]) / 1000 }
	solidKg := func(m int) float64 { return float64(d.solidG[m]) / 1000 }
	allKg := func(m int) float64 { return float64(d.sugarG[m]+d.solidG[m]) / 1000 }
	o.SyrupL, o.SyrupSugarKg, o.SolidKg, o.SugarKg = amount(syrupL), amount(sugarKg), amount(solidKg), amount(allKg)
	o.WaterL = amount(func(m int) float64 { return float64(d.waterML[m]) / 1000 })
	if len(d.supplementG) > 0 {
		o.SupplementKg = amount(func(m int) float64 { return float64(d.supplementG[m]) / 1000 / over[m] })
	}
	nowKg := func(m int) float64 { return float64(d.nowG[m]) / 1000 }
	o.NowSugarKg = amount(nowKg)
	o.LaterSugarKg = amount(func(m int) float64 { return allKg(m) - nowKg(m) })
	o.SugarBags = plan.Amount{P10: math.Ceil(o.SugarKg.P10 / bagKg), P50: math.Ceil(o.SugarKg.P50 / bagKg), P90: math.Ceil(o.SugarKg.P90 / bagKg)}
	return o
}

// gather puts the plans of all yards together.
func (p *Planner) gather() *plan.Plan {
	set := &p.season.Settings
	out := &plan.Plan{Season: p.season, Today: p.season.Today, Members: p.opt.Members, Seed: set.Seed,
		Invented: p.season.Invented, Cautions: append(p.ownCautions(), plan.Cautions()...), Limits: plan.Limits(), AcceptPct: 100 * set.AcceptRiskFrac}
	all := 0
	for _, y := range p.yards {
		all += len(y.plans)
	}
	out.Colonies = make([]plan.ColonyPlan, 0, all)
	for _, y := range p.yards {
		out.Colonies = append(out.Colonies, y.plans...)
		y.plans = nil
	}
	sortByUrgency(out.Colonies, set.AcceptRiskFrac)
	shares := p.shareGear(out.Colonies)

	byYard := map[string][]*plan.ColonyPlan{}
	for i := range out.Colonies {
		c := &out.Colonies[i]
		byYard[c.Yard] = append(byYard[c.Yard], c)
	}
	for _, y := range p.yards {
		mine := byYard[y.yard.Name]
		yp := plan.YardPlan{Name: y.yard.Name, LatDeg: y.yard.LatDeg, LonDeg: y.yard.LonDeg,
			Bloom: y.facts.bloom, Nectar: y.facts.nectar, NonFlying: y.facts.nonFlying,
			Weather: y.weather.Source, Warnings: slices.Concat(y.weather.Warnings, y.workWarnings(mine)), Years: y.facts.years}
		for _, day := range y.weeks {
			yp.WeekDates = append(yp.WeekDates, y.outlook.Date(day))
		}
		for _, c := range mine {
			switch c.Verdict {
			case plan.Feed:
				yp.Feed++
			case plan.Watch:
				yp.Watch++
			case plan.NoFeed:
				yp.NoFeed++
			case plan.Dead:
				yp.Dead = append(yp.Dead, c.Colony)
			}
		}
		yp.Order = y.sum.order(yp.Feed, set.SugarBagKg, set.Seed, set.WasteFrac)
		if yp.Order.LaterSugarKg.P90 > 0 {
			yp.Order.LaterBy = laterBy(mine)
		}
		yp.Order.Gear = gear(mine, shares)
		y.markBare(mine)
		yp.Visits, yp.Flying = y.calendar(mine), y.tasks.fly
		out.Yards = append(out.Yards, yp)
	}
	out.Sums = p.sums(out.Colonies)
	out.Order = OrderOf(out.Sums)
	if risky := stillAtRisk(out.Colonies, set.AcceptRiskFrac); risky.Colonies > 0 {
		out.Warnings = append(out.Warnings, risky)
	}
	extraL, advised := 0.0, 0
	for i := range out.Colonies {
		if q := &out.Colonies[i].Supplement; q.Advised {
			extraL += q.ExtraSyrupL
			advised++
		}
	}
	if advised > 0 {
		out.Warnings = append(out.Warnings, plan.OrderLacksSyrup{Colonies: advised, ExtraSyrupL: extraL})
	}
	if set.AllowOpenFeeding {
		out.Warnings = append(out.Warnings, plan.OpenFeeding{})
	}
	out.Warnings = append(out.Warnings, plan.InputNotes(p.season.Reading)...)
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
	if slices.ContainsFunc(p.yards, func(y *yardWork) bool { return len(y.tasks.rounds) > 0 }) {
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

// pool is one kind of equipment of one yard; yard "" is for all.
type pool struct {
	yard string
	item season.Item
}

// shareGear hands out what is on hand in order of urgency, and says what each yard
// got; a colony that it no longer reaches is told that its gear must be bought.
func (p *Planner) shareGear(cs []plan.ColonyPlan) map[pool]int {
	got := map[pool]int{}
	if len(p.season.Equipment) == 0 {
		return got
	}
	left := map[pool]int{}
	for _, e := range p.season.Equipment {
		left[pool{strings.ToLower(e.Yard), e.Item}] += e.Count
	}
	take := func(yard string, item season.Item) bool {
		for _, k := range []pool{{strings.ToLower(yard), item}, {"", item}} {
			if left[k] > 0 {
				left[k]--
				got[pool{yard, item}]++
				return true
			}
		}
		return false
	}
	for i := range cs {
		c := &cs[i]
		if c.Verdict != plan.Feed {
			continue
		}
		all := true
		for _, item := range gearItems(c) {
			all = take(c.Yard, item) && all
		}
		c.Choice.OnHand = all
	}
	return got
}

// stillAtRisk sums up the colonies that starve in more springs than is accepted,
// fed as planned.
func stillAtRisk(cs []plan.ColonyPlan, accept float64) plan.StillAtRisk {
	out := plan.StillAtRisk{AcceptFrac: accept}
	for i := range cs {
		c := &cs[i]
		if c.Verdict != plan.Feed || c.RiskFed.Frac <= accept {
			continue
		}
		out.Colonies++
		if c.RiskFed.Frac > out.WorstFrac {
			out.WorstYard, out.Worst, out.WorstFrac = c.Yard, c.Colony, c.RiskFed.Frac
		}
	}
	return out
}

// laterBy is the first visit at which more than what goes out at the first visits may
// be needed; zero when none is.
func laterBy(cs []*plan.ColonyPlan) (by time.Time) {
	for _, c := range cs {
		for _, f := range c.Feedings {
			if f.UnderKg > 0 && (by.IsZero() || f.Date.Before(by)) {
				by = f.Date
			}
		}
	}
	return by
}

func pointers(cs []plan.ColonyPlan) []*plan.ColonyPlan {
	out := make([]*plan.ColonyPlan, len(cs))
	for i := range cs {
		out[i] = &cs[i]
	}
	return out
}

// gearItems are what a colony's feeding needs.
func gearItems(c *plan.ColonyPlan) []season.Item {
	items := wayOf(c.Choice.Feeder).needs
	if c.Choice.Feeder == plan.FrameFeeder && c.Policy.AtATime > 1 {
		items = append(items, season.FrameFeeder)
	}
	for _, f := range c.Feedings {
		if f.SolidKg > 0 && !slices.Contains(items, season.BagRim) {
			return append(items, season.CandyRim)
		}
	}
	return items
}

// gear sums the equipment of a yard's colonies against what is theirs of that on
// hand.
func gear(cs []*plan.ColonyPlan, shares map[pool]int) []plan.GearLine {
	needed, onHand := map[season.Item]int{}, map[season.Item]int{}
	for _, c := range cs {
		if c.Verdict == plan.Feed {
			for _, item := range gearItems(c) {
				needed[item]++
				onHand[item] = shares[pool{c.Yard, item}]
			}
		}
	}
	return gearLines(needed, onHand)
}

func gearLines(needed, onHand map[season.Item]int) []plan.GearLine {
	var out []plan.GearLine
	for item, n := range needed {
		out = append(out, plan.GearLine{Item: item, Needed: n, OnHand: onHand[item], Buy: max(0, n-onHand[item])})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Item < out[j].Item })
	return out
}

// calendar lists what to do on each visit of a yard.
func (y *yardWork) calendar(cs []*plan.ColonyPlan) []plan.Visit {
	var out []plan.Visit
	for k := range y.visits {
		v := plan.Visit{Date: y.visits[k].date}
		if k == 0 {
			for _, c := range cs {
				if c.Verdict == plan.Dead {
					v.Tasks = append(v.Tasks, plan.Task{Colony: c.Colony, What: plan.SeeDead{By: y.tasks.fly}})
				}
			}
		}
		v.Tasks = append(v.Tasks, y.workTasks(k, cs)...)
		for _, c := range cs {
			for _, f := range c.Feedings {
				if f.Date.Equal(v.Date) {
					v.Tasks = append(v.Tasks, plan.Task{Colony: c.Colony, What: giving(&f, c)})
				}
			}
			if k == 0 && c.Confidence.WeighFirst {
				v.Tasks = append(v.Tasks, plan.Task{Colony: c.Colony, What: plan.WeighHive{}})
			} else if k == 0 && c.Verdict == plan.Watch {
				v.Tasks = append(v.Tasks, plan.Task{Colony: c.Colony, What: plan.HeftAgain{}})
			}
		}
		if len(v.Tasks) > 0 {
			out = append(out, v)
		}
	}
	return append(out, y.lateRounds(cs)...)
}

// giving is a feeding as a task.
func giving(f *plan.Feeding, c *plan.ColonyPlan) plan.Note {
	if f.SolidKg > 0 {
		return plan.GiveSolid{SolidKg: f.SolidKg, If: lineOf(f)}
	}
	return plan.GiveSyrup{SyrupL: f.SyrupL, Strength: c.Strength, Feeder: c.Choice.Feeder, If: lineOf(f)}
}

// lineOf is the line by which a feeding is given.
func lineOf(f *plan.Feeding) plan.FeedLine {
	if f.UnderKg == 0 {
		return plan.FeedLine{}
	}
	return plan.FeedLine{UnderKg: f.UnderKg, UnderGrossKg: f.UnderGrossKg, UnderHeft: f.UnderHeft, NeededFrac: f.NeededFrac}
}
