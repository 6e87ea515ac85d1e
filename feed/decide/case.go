package decide

import (
	"math"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/sim/colony"
)

// Case is a colony that was decided on, opened again on the same draws for what is
// asked of it afterwards. It keeps its worker's room, so that a worker has one at a
// time.
type Case struct {
	Plan *plan.ColonyPlan

	w      *Worker
	s      *subject
	a      *grown
	grown  int // members that have grown
	ranked []scored
}

// Case opens a planned colony; nil for one that is dead or was never looked at.
func (w *Worker) Case(y *Yard, col *season.Colony, c *plan.ColonyPlan) *Case {
	if !col.Alive || c.Members == 0 {
		return nil
	}
	s := w.subject(y, col)
	if s == nil {
		return nil
	}
	s, n := s.learn(c.Members), c.Members
	a := &w.alone
	s.draw(a, 0, n)
	w.grow(a, &colony.Treatment{}, 0, n)
	w.leave(s, a, 0, n)
	a.members = n
	k := &Case{Plan: c, w: w, s: s, a: a, grown: n}
	need, first := w.required(s, a)
	k.ranked = ranked(y, need, min(first.risk, first.reserve, len(y.Visits)-1), w.o.Season)
	return k
}

// Yard is where it stands.
func (k *Case) Yard() *Yard { return k.s.y }

// Way is a way to give syrup, with what speaks most against it.
type Way struct {
	Feeder  plan.Feeder
	HoldsL  float64
	Against plan.Note
}

// Ways are the ways to give this colony syrup, the best first.
func (k *Case) Ways() []Way {
	out := make([]Way, len(k.ranked))
	for i, c := range k.ranked {
		out[i] = Way{c.way.feeder, c.way.holdsL, c.main}
	}
	return out
}

// WhyBest is why the best of them is.
func (k *Case) WhyBest() plan.Note {
	y := k.s.y
	return forReason(y, k.ranked[0].way, stillFrac(y, k.w.o.Season), daysToNectar(y, 0))
}

// SolidKgPerKgSugar is the stores that a kg of solid sugar is worth.
func (k *Case) SolidKgPerKgSugar() float64 { return k.w.o.Base.SolidKgPerKgSugar }

// SolidHoldsKg is the sugar of one block of solid feed.
func (*Case) SolidHoldsKg() float64 { return solidHoldsKg }

// FirstSyrup is the first visit on which days are warm enough for syrup, and what they
// then reach; the last when none is.
func (k *Case) FirstSyrup() (visit int, maxC float64) {
	v := k.s.y.firstSyrup(0)
	for i := range k.s.y.Visits {
		if &k.s.y.Visits[i] == v {
			visit = i
		}
	}
	return visit, v.MaxC
}

// Fed is what feeding a colony comes to, on springs that its policy was not found on.
type Fed struct {
	Risk                     plan.Risk
	SugarKg, SyrupL, SolidKg float64 // mean
	Trips                    float64 // feedings, mean
}

// FedWith finds a policy with a syrup in place of the planned one, in the best feeder.
func (k *Case) FedWith(strength syrup.Strength) Fed {
	return k.fed(k.w.terms(k.s, feederOf(k.ranked[0].way), strength))
}

// FedAt finds a policy for another accepted risk, without a reserve.
func (k *Case) FedAt(acceptFrac float64) Fed {
	t := k.w.terms(k.s, feederOf(k.ranked[0].way), strengthOr(k.Plan))
	t.Rules.AcceptRiskFrac, t.Rules.ReserveKg = acceptFrac, 0
	return k.fed(t)
}

// OtherWays are the prices of other ways to feed a colony that is fed: those of its plan, or
// worked out now where the plan left them out.
func (k *Case) OtherWays() []plan.Price {
	if p := k.Plan.Policy.Prices; len(p) > 0 {
		return p
	}
	return k.w.compare(k.s, k.fit(k.w.terms(k.s, feederOf(k.ranked[0].way), strengthOr(k.Plan))))
}

// fed is what the policy found under some terms comes to.
func (k *Case) fed(under schedule.Terms) Fed {
	on := &k.fit(under).others.on
	return Fed{Risk: plan.RiskOf(on.Starved, len(on.Given)), SugarKg: on.MeanSugarKg(), SyrupL: on.MeanSyrupL(), SolidKg: on.MeanSolidKg(), Trips: on.MeanGiven()}
}

// fit finds the policy of the best feeder under some terms, and judges it.
func (k *Case) fit(under schedule.Terms) *fed {
	if n := k.w.fedOn(k.s, k.a.members); k.grown < 2*n {
		k.s = k.s.learn(2 * n)
		k.w.growOn(k.s, k.a, k.grown, 2*n)
		k.grown = 2 * n
	}
	return k.w.fit(k.s, k.a, k.ranked[0].way, under, k.Plan.Bees.P50)
}

// LackKg is what a colony left alone lacks to nectar in a share of its springs at most,
// kg of stores; negative where it has that much to spare.
func (k *Case) LackKg(frac float64) float64 {
	x := append([]float64(nil), k.a.shortKg[:k.a.members]...)
	return schedule.Quantile(x, frac)
}

// NeedKgPerDay is what it eats a day until nectar, mean over springs.
func (k *Case) NeedKgPerDay() float64 {
	sum := 0.0
	for _, kg := range k.a.needKgPerDay[:k.a.members] {
		sum += kg
	}
	return sum / float64(k.a.members)
}

// Unwrap weighs taking the wrap off on a date; today at the earliest.
func (k *Case) Unwrap(on time.Time, underKg float64) plan.Unwrap {
	day := max(k.s.y.Today, k.s.y.Outlook.Day(on))
	return k.w.unwrap(k.s, k.a, k.Plan, unwrapAsked{day: day, underKg: underKg})
}

// Emptied is how long one filling lasts in the hive.
type Emptied struct {
	Days     plan.Range // of the springs in which it is gone before nectar
	LeftFrac float64    // share of springs in which some is left at nectar
}

// Syrup follows so many litres put on at a visit in a feeder that touches the cluster or
// does not, beyond what the feeder holds if need be, until they are taken up.
func (k *Case) Syrup(strength syrup.Strength, litres float64, touching bool, visit int) Emptied {
	perL := strength.StoresKgPerL()
	return k.emptied(visit, colony.Feeding{SyrupKg: litres * perL, SugarKg: litres * strength.SugarKgPerL(), LPerKg: 1 / perL, Touching: touching},
		func(r *colony.StoresRun) float64 { return r.FeederKg })
}

// Solid follows solid sugar laid over the cluster at a visit until it is eaten.
func (k *Case) Solid(sugarKg float64, visit int) Emptied {
	return k.emptied(visit, colony.Feeding{SolidKg: sugarKg, SugarKg: sugarKg}, func(r *colony.StoresRun) float64 { return r.SolidKg })
}

// emptyKg is the food in a feeder that counts as none, kg, 0.001-0.05, own judgement.
const emptyKg = 0.01

// emptied follows one feeding in every member that has not seen nectar by the visit.
func (k *Case) emptied(visit int, f colony.Feeding, left func(*colony.StoresRun) float64) Emptied {
	day := k.s.y.Visits[visit].Day - k.s.first
	run := &k.w.stores
	var days []float64
	open, kept := 0, 0
	for m := range k.a.members {
		c := &k.a.cases[m]
		if c.Span.NectarDay <= day {
			continue
		}
		open++
		run.Begin(c.Spring(), c.Start.StoresKg, k.s.reserveKg, &k.a.demand[m], nil)
		run.Until(day)
		run.Give(&f)
		t := day
		for left(run) > emptyKg && t < c.Span.NectarDay {
			t++
			run.Until(t)
		}
		if left(run) > emptyKg {
			kept++
			continue
		}
		days = append(days, float64(t-day))
	}
	return Emptied{Days: plan.RangeOf(days), LeftFrac: float64(kept) / math.Max(1, float64(open))}
}
