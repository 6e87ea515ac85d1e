package decide

import (
	"math"
	"slices"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/sim/colony"
	"bloomgap/sim/observe"
)

// What a policy is found with.
const (
	worthSyrupL  = 2.0  // L worth a trip, 1-4, own judgement
	worthSolidKg = 1.0  // kg of solid sugar worth a trip, 0.5-2, own judgement
	secondBees   = 8000 // bees whose cluster covers two blocks or bags side by side, 6,000-12,000, own judgement: five seams of a quick count
	rareFrac     = 0.01 // share of springs under which a line is left out, 0.005-0.02, own judgement: a new plan will tell by then
	comparedMost = 3    // colonies of a yard for which other ways are priced, 1-10, own choice: each costs as much as a plan
)

// policyWork is the scratch of a worker for its policies.
type policyWork struct {
	engine   *schedule.Runner
	a, b     schedule.Set // found on, judged on
	onA, onB schedule.Result
	ofA, ofB []schedule.Member
	visits   []schedule.Visit
	rules    schedule.Rules
}

// schedule finds the policy that brings a colony through in the accepted share of
// springs and holds the reserve, on the members it was judged on, and says what it
// comes to on as many others.
func (w *Worker) schedule(s *subject, out *plan.ColonyPlan, members int) {
	y, set, q := s.y, &w.o.Season.Settings, &w.pol
	need, first := w.required(s, &w.alone, members)
	out.TooLate = first.late
	start := min(first.risk, first.reserve, len(y.Visits)-1)
	way, choice := choose(y, need, start, w.o.Season)
	strength := chosenStrength(set, way, out.Bees.P50, y.firstSyrup(start))
	out.Choice, out.Strength = choice, strength

	q.set(s, strength, set)
	q.ofA = w.policyMembers(s, bare, 0, members, q.ofA)
	look := s.later
	q.engine.Prepare(&q.a, uint64(s.key), q.ofA, q.visits, feederOf(way), look, &q.rules)
	feeders, blocks := atATime(way, out.Bees.P50)
	found := q.engine.Find(&q.a, feeders, blocks)
	p := w.settle(found.Policy)

	s.learn(2 * members)
	w.grow(s, bare, members, 2*members, &colony.Treatment{}, &w.others)
	q.ofB = w.policyMembers(s, bare, members, 2*members, q.ofB)
	q.engine.Prepare(&q.b, uint64(s.key)^checkKey, q.ofB, q.visits, found.Feeder, look, &q.rules)
	q.engine.Judge(&q.b, p, &q.onB)

	out.RiskFed, out.ReserveFrac = plan.RiskOf(q.onB.Starved, members), q.onB.HeldFrac()
	out.Feedings = w.feedings(s, out, p, &q.onB)
	out.SyrupL, out.SolidKg = q.onB.MeanSyrupL(), q.onB.MeanSolidKg()
	out.SyrupSugarKg = out.SyrupL * strength.SugarKgPerL()
	out.Policy = plan.Policy{Feedings: q.onB.MeanGiven(), SugarKg: w.rangeOf(q.onB.SugarKg), AtATime: max(1, found.Feeder.AtATime), Blocks: max(1, found.Feeder.Blocks)}
	out.Policy.Given = priceOf(plan.AsPlanned, &q.onB)
	if !slices.ContainsFunc(out.Feedings, func(f plan.Feeding) bool { return f.SyrupL > 0 }) {
		out.Choice = solidChoice(y, w.o.Season)
	}
	w.startBy(s, out)
	w.keepsNot(out)
}

// checkKey keeps what is read of the members that a policy is judged on apart from
// what is read of those it was found on.
const checkKey = 0x9e3779b97f4a7c15

// set readies the visits and rules of a colony.
func (q *policyWork) set(s *subject, strength syrup.Strength, set *season.Settings) {
	if q.engine == nil {
		q.engine = schedule.NewRunner()
	}
	q.visits = q.visits[:0]
	for k := range s.y.Visits {
		v := &s.y.Visits[k]
		q.visits = append(q.visits, schedule.Visit{Day: v.Day - s.first, MaxC: v.MaxC})
	}
	q.rules = schedule.Rules{AcceptRiskFrac: set.AcceptRiskFrac, ReserveKg: set.ReserveKg, ReserveFrac: set.ReserveFrac, Strength: strength,
		SolidUnderC: set.Rules.TouchingOnlyBelowC, SolidHoldsKg: solidHoldsKg, LeastSyrupL: worthSyrupL, LeastSolidKg: worthSolidKg}
}

// settle leaves out what is hardly ever needed and judges the rest on the members it
// was found on, which the order is summed over. A colony to feed gets something.
func (w *Worker) settle(p schedule.Policy) schedule.Policy {
	q := &w.pol
	q.engine.Judge(&q.a, p, &q.onA)
	p = p.Without(rareFrac, &q.onA)
	if p.Empty() {
		p[0] = q.a.Least(0)
	}
	q.engine.Judge(&q.a, p, &q.onA)
	return p
}

// policyMembers are members [from, to) that have grown, as policies take them.
func (w *Worker) policyMembers(s *subject, treatment, from, to int, into []schedule.Member) []schedule.Member {
	into = into[:0]
	meanKg, sdKg := s.lastKg()
	for m := from; m < to; m++ {
		c := &w.cases[m]
		held := c.Start.StoresKg
		if s.learned != nil {
			held = s.learned.StoresKg[m]
		}
		hand := 0.0
		if sdKg > 0 {
			hand = (meanKg - held) / sdKg
		}
		into = append(into, schedule.Member{Params: &c.Params, Forcing: c.Forcing, Demand: &w.growth[treatment][m], Span: c.Span, StartKg: c.Start.StoresKg, Hand: hand})
	}
	return into
}

// lastKg is what the last look read and its error, kg; zero when it told nothing of
// food.
func (s *subject) lastKg() (meanKg, sdKg float64) {
	if s.obs.Food.Kind == season.FoodUnknown {
		return 0, 0
	}
	x := s.look(s.obs)
	return x.StoresKg, x.StoresSDKg
}

// look is a look at the colony as a reading with its errors.
func (s *subject) look(o *season.Observation) observe.Observation {
	l := o.Look(s.y.Outlook.Day(o.Date))
	return s.hive.Observe(&l)
}

// laterLook is how well the food will be judged at the visits to come: as it was
// last judged; by heft where it was not.
func (s *subject) laterLook() schedule.Look {
	switch s.obs.Food.Kind {
	case season.FoodGross, season.FoodLiftBoth, season.FoodLiftBack:
		x := s.look(s.obs)
		return schedule.Look{SDKg: x.StoresSDKg, CommonFrac: square(x.CommonSDKg / x.StoresSDKg), LikeLast: true}
	}
	return s.heftLook()
}

// heftLook is how well the food is judged by hand: a line through what two words are
// worth.
func (s *subject) heftLook() schedule.Look {
	light, fair := *s.obs, *s.obs
	light.Food = season.Food{Kind: season.FoodHeft, Heft: season.HeftLight}
	fair.Food = season.Food{Kind: season.FoodHeft, Heft: season.HeftFair}
	a, b := s.look(&light), s.look(&fair)
	perKg := math.Max(0, (b.StoresSDKg-a.StoresSDKg)/(b.StoresKg-a.StoresKg))
	return schedule.Look{SDKg: math.Max(0, a.StoresSDKg-perKg*a.StoresKg), SDPerKg: perKg, CommonFrac: square(a.CommonSDKg / a.StoresSDKg),
		LikeLast: s.obs.Food.Kind == season.FoodHeft}
}

// scaleLook is how well it is judged on a scale.
func (s *subject) scaleLook() schedule.Look {
	weighed := *s.obs
	weighed.Food = season.Food{Kind: season.FoodGross, GrossKg: 30} // any weight has the same error
	x := s.look(&weighed)
	return schedule.Look{SDKg: x.StoresSDKg, CommonFrac: square(x.CommonSDKg / x.StoresSDKg)}
}

func square(x float64) float64 { return x * x }

func feederOf(wy way) schedule.Feeder {
	return schedule.Feeder{HoldsL: wy.holdsL, Touching: wy.touching, AtATime: 1, Blocks: 1}
}

// atATime is how many feeders and blocks a colony takes at once: two bags or blocks
// lie side by side over a cluster wide enough, and two outer frames may go out for
// feeders.
func atATime(wy way, bees float64) (feeders, blocks int) {
	feeders, blocks = 1, 1
	if bees >= secondBees {
		blocks = 2
		if wy.feeder == plan.BagOnBars {
			feeders = 2
		}
	}
	if wy.feeder == plan.FrameFeeder {
		feeders = 2
	}
	return feeders, blocks
}

// feedings are the lines of a policy with the share of springs that each is for.
func (w *Worker) feedings(s *subject, out *plan.ColonyPlan, p schedule.Policy, on *schedule.Result) []plan.Feeding {
	var list []plan.Feeding
	for k, l := range p {
		if l.Lot.None() {
			continue
		}
		v := &s.y.Visits[k]
		f := plan.Feeding{Date: v.Date, SyrupL: l.Lot.SyrupL, SugarKg: l.Lot.SyrupL * out.Strength.SugarKgPerL(), WaterL: l.Lot.SyrupL * out.Strength.WaterLPerL(),
			SolidKg: l.Lot.SolidKg, NeededFrac: float64(on.ByVisit[k]) / float64(len(on.Given)), UnderGrossKg: math.NaN()}
		if !math.IsInf(l.UnderKg, 1) {
			f.UnderKg, f.UnderHeft = l.UnderKg, s.heftUnder(l.UnderKg)
			if tareKg, known := s.tareKg(); known {
				f.UnderGrossKg = tareKg + l.UnderKg + w.notFoodOn(s, v.Day)
			}
		}
		f.OnlyIfLow = f.UnderKg > 0 && f.NeededFrac < 0.5
		list = append(list, f)
	}
	return list
}

// heftUnder is the heaviest word that a hive under a weight of food may heft as; 0
// when even light is too heavy.
func (s *subject) heftUnder(kg float64) season.Heft {
	var word season.Heft
	for _, h := range []season.Heft{season.HeftLight, season.HeftFair, season.HeftHeavy} {
		if e := s.hive.Stores(&season.Food{Kind: season.FoodHeft, Heft: h}, math.NaN(), math.NaN()); kg > e.MeanKg-lighterShare*e.SDKg {
			word = h
		}
	}
	return word
}

// lighterShare of a word's spread below its middle is where a line still takes
// the word in, 0-1, own judgement.
const lighterShare = 0.5

// tareKg is the weight of the colony's equipment, where it is known.
func (s *subject) tareKg() (float64, bool) {
	kg, _ := s.hive.TareKg()
	return kg, kg > 0
}

// notFoodMembers are the members that bees and brood of a visit to come are taken
// from, 10-100, own judgement: their mean is needed to half a kg.
const notFoodMembers = 20

// notFoodOn is what bees, brood and bee bread will weigh on a day of the outlook, kg.
func (w *Worker) notFoodOn(s *subject, day int) float64 {
	bees, cells, n := 0.0, 0.0, 0.0
	for m := range min(notFoodMembers, len(w.pol.ofA)) {
		c := &w.pol.ofA[m]
		t := day - s.first
		if t < 0 || t >= len(c.Demand.Bees) {
			continue
		}
		n++
		bees += c.Demand.Bees[t]
		cells += colony.ExpectedBrood(c.Params, &c.Forcing[t], c.Demand.Bees[t])
	}
	if n == 0 {
		return 0
	}
	frames := cells / n / observe.BroodCells(1, s.hive.MainKind())
	kg, _ := s.hive.NotFoodKg(bees/n, frames)
	tareKg, _ := s.hive.TareKg()
	return kg - tareKg
}

// startBy sets the day by which feeding must start, which is the first on which it
// may have to; where the accepted risk is passed before that, the visit is too late.
func (w *Worker) startBy(s *subject, out *plan.ColonyPlan) {
	out.StartBy = out.Feedings[0].Date
	if !out.StarveDate.IsZero() && out.StartBy.After(out.StarveDate) {
		out.TooLate = true
	}
}

// keepsNot warns of what a plan does not keep.
func (w *Worker) keepsNot(out *plan.ColonyPlan) {
	set := &w.o.Season.Settings
	if out.RiskFed.Frac > set.AcceptRiskFrac {
		out.Warnings = append(out.Warnings, plan.StillStarves{RiskFrac: out.RiskFed.Frac})
	}
	if set.ReserveKg > 0 && out.ReserveFrac < set.ReserveFrac-2*plan.RiskOf(int(out.ReserveFrac*float64(out.Members)), out.Members).ErrFrac {
		out.Warnings = append(out.Warnings, plan.ReserveNotHeld{})
	}
}

func priceOf(kind plan.PriceKind, r *schedule.Result) plan.Price {
	return plan.Price{Kind: kind, RiskFrac: r.RiskFrac(), ReserveFrac: r.HeldFrac(), SugarKg: r.MeanSugarKg(), Feedings: r.MeanGiven()}
}

// compare prices other ways to go about feeding a colony, on the same members.
func (w *Worker) compare(s *subject, out *plan.ColonyPlan) {
	q := &w.pol
	look, other, kind := s.later, s.scaleLook(), plan.ByScale
	if look.LikeLast && s.obs.Food.Kind != season.FoodHeft {
		other, kind = s.heftLook(), plan.ByHeft
	}
	blind := look
	blind.Blind = true
	var on schedule.Result
	for _, c := range []struct {
		kind plan.PriceKind
		look schedule.Look
		bare bool
	}{{plan.WithoutReserve, look, true}, {plan.FixedList, blind, false}, {kind, other, false}} {
		if c.bare && q.rules.ReserveKg == 0 {
			continue
		}
		rules := q.rules
		if c.bare {
			rules.ReserveKg = 0
		}
		f := q.a.Feeder()
		q.engine.Prepare(&q.a, uint64(s.key), q.ofA, q.visits, f, c.look, &rules)
		found := q.engine.Find(&q.a, f.AtATime, f.Blocks)
		q.engine.Prepare(&q.b, uint64(s.key)^checkKey, q.ofB, q.visits, found.Feeder, c.look, &rules)
		q.engine.Judge(&q.b, found.Policy, &on)
		out.Policy.Prices = append(out.Policy.Prices, priceOf(c.kind, &on))
	}
}

// policyOf is the policy behind the lines of a plan.
func (s *subject) policyOf(list []plan.Feeding) schedule.Policy {
	p := make(schedule.Policy, len(s.y.Visits))
	for k := range p {
		p[k].UnderKg = math.Inf(-1)
		for _, f := range list {
			if f.Date.Equal(s.y.Visits[k].Date) {
				p[k] = schedule.Line{UnderKg: f.UnderKg, Lot: schedule.Lot{SyrupL: f.SyrupL, SolidKg: f.SolidKg}}
				if f.UnderKg == 0 {
					p[k].UnderKg = math.Inf(1)
				}
			}
		}
	}
	return p
}

// judgeOn says what the lines of a plan come to on members of a treatment that have
// grown, and leaves what each was given in onB.
func (w *Worker) judgeOn(s *subject, treatment, members int, list []plan.Feeding, strength syrup.Strength, choice plan.FeederChoice, pol *plan.Policy) {
	q := &w.pol
	q.set(s, strength, &w.o.Season.Settings)
	q.ofB = w.policyMembers(s, treatment, 0, members, q.ofB)
	f := feederOf(w.wayAt(s.y, choice.Feeder))
	f.AtATime, f.Blocks = max(1, pol.AtATime), max(1, pol.Blocks)
	q.engine.Prepare(&q.b, uint64(s.key), q.ofB, q.visits, f, s.later, &q.rules)
	q.engine.Judge(&q.b, s.policyOf(list), &q.onB)
}

// wayAt is a way as the yard has it, with the keeper's own feeder.
func (w *Worker) wayAt(y *Yard, f plan.Feeder) way {
	wy := wayOf(f)
	if len(wy.needs) > 0 {
		if holdsL := w.o.Season.Holds(y.Site.Name, wy.needs[0]); !math.IsNaN(holdsL) {
			wy.holdsL = holdsL
		}
	}
	return wy
}

// given are the feedings that the member numbered m of a Result was given.
func given(r *schedule.Result, m int, visits []schedule.Visit, strength syrup.Strength, touching bool) []colony.Feeding {
	var into []colony.Feeding
	perL := strength.StoresKgPerL()
	for k := range visits {
		if l := r.Lots[k][m]; !l.None() {
			into = append(into, colony.Feeding{Day: visits[k].Day, SyrupKg: l.SyrupL * perL, SugarKg: l.SyrupL*strength.SugarKgPerL() + l.SolidKg,
				SolidKg: l.SolidKg, LPerKg: 1 / perL, Touching: touching})
		}
	}
	return into
}
