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

// tried is a set of members with what the last policy tried on them comes to.
type tried struct {
	members []schedule.Member
	set     schedule.Set
	on      schedule.Result
}

// fed is a colony with the policy that feeds it.
type fed struct {
	policy schedule.Policy
	terms  schedule.Terms // with as many feeders and blocks at a time as it needs
	mine   *tried         // the members that it was found on
	others *tried         // as many that it was not
}

// schedule finds the policy that brings a colony through in the accepted share of
// springs and holds the reserve, on the members that fedOn says, and says what it comes to on
// as many others.
func (w *Worker) schedule(s *subject, alone *grown, out *plan.ColonyPlan) *fed {
	y, set, members := s.y, &w.o.Season.Settings, w.fedOn(s, alone.members)
	need, first := w.required(s, alone)
	out.TooLate = first.late
	start := min(first.risk, first.reserve, len(y.Visits)-1)
	way, choice := choose(y, need, start, w.o.Season)
	strength := chosenStrength(set, way, out.Bees.P50, y.firstSyrup(start))
	out.Choice, out.Strength = choice, strength

	w.growOn(s, alone, alone.members, 2*members)
	f := w.fit(s, alone, way, w.terms(s, feederOf(way), strength), out.Bees.P50)

	on := &f.others.on
	out.RiskFed, out.ReserveFrac = plan.RiskOf(on.Starved, members), on.HeldFrac()
	out.Feedings = s.feedings(strength, f.policy, on, f.mine.members)
	out.SyrupL, out.SolidKg = on.MeanSyrupL(), on.MeanSolidKg()
	out.SyrupSugarKg = out.SyrupL * strength.SugarKgPerL()
	found := &f.terms.Feeder
	out.Policy = plan.Policy{Feedings: on.MeanGiven(), SugarKg: w.rangeOf(on.SugarKg), AtATime: max(1, found.AtATime), Blocks: max(1, found.Blocks)}
	out.Policy.Given = priceOf(plan.AsPlanned, on)
	if !slices.ContainsFunc(out.Feedings, func(f plan.Feeding) bool { return f.SyrupL > 0 }) {
		out.Choice = solidChoice(y, w.o.Season)
	}
	startBy(out)
	out.Warnings = append(out.Warnings, notKept(set, out, members)...)
	return f
}

// growOn draws and grows further members of a colony left alone, where fewer are there than are
// asked for.
func (w *Worker) growOn(s *subject, alone *grown, there, members int) {
	if there < members {
		s.draw(alone, there, members)
		w.grow(alone, &colony.Treatment{}, there, members)
	}
}

// fit finds the policy of a feeder under some terms on the members of a colony that fedOn says,
// and judges it on as many others, which have grown as well.
func (w *Worker) fit(s *subject, alone *grown, wy way, under schedule.Terms, bees float64) *fed {
	members := w.fedOn(s, alone.members)
	f := &fed{terms: under, mine: &w.mine, others: &w.others}
	f.mine.members = s.membersFor(alone, 0, members, f.mine.members)
	w.engine.Prepare(&f.mine.set, uint64(s.key), f.mine.members, f.terms)
	feeders, blocks := atATime(wy, bees)
	found := w.engine.Find(&f.mine.set, feeders, blocks, &f.mine.on)
	f.terms.Feeder = found.Feeder
	f.policy = w.settle(found.Policy, f.mine)

	f.others.members = s.membersFor(alone, members, 2*members, f.others.members)
	w.engine.Prepare(&f.others.set, uint64(s.key)^checkKey, f.others.members, f.terms)
	w.engine.Judge(&f.others.set, f.policy, &f.others.on)
	return f
}

// fedOn is how many members a policy is found on, and on how many others it is judged, of a
// colony whose verdict rests on so many: those that every colony runs on. What lies near the
// line takes more to be told from it, and no more to be fed. All of them for a tally, whose one
// policy feeds many hives, and for a colony whose draws are conditioned on looks.
func (w *Worker) fedOn(s *subject, members int) int {
	if s.learned != nil || s.y.numbers[s.col] > 1 {
		return members
	}
	return min(members, w.o.Members)
}

// checkKey keeps what is read of the members that a policy is judged on apart from
// what is read of those it was found on.
const checkKey = 0x9e3779b97f4a7c15

// terms are the visits, looks and rules of a colony with a feeder and a syrup.
func (w *Worker) terms(s *subject, f schedule.Feeder, strength syrup.Strength) schedule.Terms {
	set := &w.o.Season.Settings
	t := schedule.Terms{Feeder: f, Look: s.later, Rules: schedule.Rules{AcceptRiskFrac: set.AcceptRiskFrac, ReserveKg: set.ReserveKg,
		ReserveFrac: set.ReserveFrac, Strength: strength, SolidUnderC: set.Rules.TouchingOnlyBelowC, SolidHoldsKg: solidHoldsKg,
		LeastSyrupL: worthSyrupL, LeastSolidKg: worthSolidKg}}
	for k := range s.y.Visits {
		v := &s.y.Visits[k]
		t.Visits = append(t.Visits, schedule.Visit{Day: v.Day - s.first, MaxC: v.MaxC})
	}
	return t
}

// settle leaves out of a policy what is hardly ever needed, by what it came to on the
// members it was found on, and judges the rest on them: the order is summed over them. A
// colony to feed gets something.
func (w *Worker) settle(p schedule.Policy, mine *tried) schedule.Policy {
	kept := p.Without(rareFrac, &mine.on)
	if kept.Empty() {
		kept[0] = mine.set.Least(0)
	}
	if slices.Equal(kept, p) {
		return p
	}
	p = kept
	w.engine.Judge(&mine.set, p, &mine.on)
	return p
}

// membersFor are members [from, to) that have grown, as policies take them.
func (s *subject) membersFor(a *grown, from, to int, into []schedule.Member) []schedule.Member {
	into = into[:0]
	meanKg, sdKg := s.lastKg()
	for m := from; m < to; m++ {
		c := &a.cases[m]
		held := c.Start.StoresKg
		if s.learned != nil {
			held = s.learned.StoresKg[m]
		}
		hand := 0.0
		if sdKg > 0 {
			hand = (meanKg - held) / sdKg
		}
		into = append(into, schedule.Member{Spring: c.Spring(), Demand: &a.demand[m], StartKg: c.Start.StoresKg, Hand: hand})
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
	l := s.between(season.Food{Kind: season.FoodHeft, Heft: season.HeftLight}, season.Food{Kind: season.FoodHeft, Heft: season.HeftFair})
	l.LikeLast = s.obs.Food.Kind == season.FoodHeft
	return l
}

// between is how well food is judged in one way: a line through what a low and a
// higher reading are worth.
func (s *subject) between(low, higher season.Food) schedule.Look {
	at := func(f season.Food) observe.Observation {
		o := *s.obs
		o.Food = f
		return s.look(&o)
	}
	a, b := at(low), at(higher)
	perKg := math.Max(0, (b.StoresSDKg-a.StoresSDKg)/(b.StoresKg-a.StoresKg))
	return schedule.Look{SDKg: math.Max(0, a.StoresSDKg-perKg*a.StoresKg), SDPerKg: perKg, CommonFrac: square(a.CommonSDKg / a.StoresSDKg)}
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

// feedings are the lines of a policy with the share of springs that each is for. What
// a hive then weighs is read off members.
func (s *subject) feedings(strength syrup.Strength, p schedule.Policy, on *schedule.Result, members []schedule.Member) []plan.Feeding {
	lines := 0
	for _, l := range p {
		if !l.Lot.None() {
			lines++
		}
	}
	list := make([]plan.Feeding, 0, lines) // kept for each of many colonies: no larger than it is
	for k, l := range p {
		if l.Lot.None() {
			continue
		}
		v := &s.y.Visits[k]
		f := plan.Feeding{Date: v.Date, SyrupL: l.Lot.SyrupL, SugarKg: l.Lot.SyrupL * strength.SugarKgPerL(), WaterL: l.Lot.SyrupL * strength.WaterLPerL(),
			SolidKg: l.Lot.SolidKg, NeededFrac: float64(on.ByVisit[k]) / float64(len(on.Given)), UnderGrossKg: math.NaN()}
		if !math.IsInf(l.UnderKg, 1) {
			f.UnderKg, f.UnderHeft = l.UnderKg, s.heftUnder(l.UnderKg)
			if tareKg, known := s.tareKg(); known {
				f.UnderGrossKg = tareKg + l.UnderKg + s.notFoodKgOn(v.Day, members)
			}
		}
		// Whatever it reads, a feeding after the usual day of nectar is for springs without.
		f.OnlyIfLow = f.UnderKg > 0 && f.NeededFrac < 0.5 || f.Date.After(s.y.Facts.Nectar.P50)
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

// notFoodKgOn is what bees, brood and bee bread will weigh on a day of the outlook.
func (s *subject) notFoodKgOn(day int, members []schedule.Member) float64 {
	bees, cells, n := 0.0, 0.0, 0.0
	for m := range min(notFoodMembers, len(members)) {
		c := &members[m]
		t := day - s.first
		if t < 0 || t >= len(c.Demand.Bees) {
			continue
		}
		n++
		bees += c.Demand.Bees[t]
		cells += colony.ExpectedBrood(c.Spring.Params, &c.Spring.Forcing[t], c.Demand.Bees[t])
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
func startBy(out *plan.ColonyPlan) {
	out.StartBy = out.Feedings[0].Date
	if !out.StarveDate.IsZero() && out.StartBy.After(out.StarveDate) {
		out.TooLate = true
	}
}

// notKept warns of what a plan does not keep on the members that it was judged on.
func notKept(set *season.Settings, out *plan.ColonyPlan, members int) []plan.Note {
	var ws []plan.Note
	if out.RiskFed.Frac > set.AcceptRiskFrac {
		ws = append(ws, plan.StillStarves{RiskFrac: out.RiskFed.Frac, AcceptFrac: set.AcceptRiskFrac})
	}
	if set.ReserveKg > 0 && out.ReserveFrac < set.ReserveFrac-2*plan.RiskOf(int(out.ReserveFrac*float64(members)), members).ErrFrac {
		ws = append(ws, plan.ReserveNotHeld{})
	}
	return ws
}

func priceOf(kind plan.PriceKind, r *schedule.Result) plan.Price {
	return plan.Price{Kind: kind, RiskFrac: r.RiskFrac(), ReserveFrac: r.HeldFrac(), SugarKg: r.MeanSugarKg(), Feedings: r.MeanGiven()}
}

// compare prices other ways to go about feeding a colony, on the same members.
func (w *Worker) compare(s *subject, f *fed) []plan.Price {
	look, other, kind := f.terms.Look, s.scaleLook(), plan.ByScale
	if look.LikeLast && s.obs.Food.Kind != season.FoodHeft {
		other, kind = s.heftLook(), plan.ByHeft
	}
	blind := look
	blind.Blind = true
	var prices []plan.Price
	var on schedule.Result
	for _, c := range []struct {
		kind plan.PriceKind
		look schedule.Look
		bare bool
	}{{plan.WithoutReserve, look, true}, {plan.FixedList, blind, false}, {kind, other, false}} {
		t := f.terms
		if c.bare && t.Rules.ReserveKg == 0 {
			continue
		}
		if c.bare {
			t.Rules.ReserveKg = 0
		}
		t.Look = c.look
		w.engine.Prepare(&f.mine.set, uint64(s.key), f.mine.members, t)
		found := w.engine.Find(&f.mine.set, t.Feeder.AtATime, t.Feeder.Blocks, &on)
		t.Feeder, t.Rules.ReserveKg = found.Feeder, f.terms.Rules.ReserveKg // found without the reserve, judged by it
		w.engine.Prepare(&f.others.set, uint64(s.key)^checkKey, f.others.members, t)
		w.engine.Judge(&f.others.set, found.Policy, &on)
		prices = append(prices, priceOf(c.kind, &on))
	}
	return prices
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

// tryPlan says what the lines of a plan come to on the members of a colony that have
// grown.
func (w *Worker) tryPlan(s *subject, a *grown, c *plan.ColonyPlan) *tried {
	on := &w.again
	on.members = s.membersFor(a, 0, a.members, on.members)
	w.engine.Prepare(&on.set, uint64(s.key), on.members, w.termsOf(s, c))
	w.engine.Judge(&on.set, s.policyOf(c.Feedings), &on.on)
	return on
}

// termsOf are those that a plan was found under.
func (w *Worker) termsOf(s *subject, c *plan.ColonyPlan) schedule.Terms {
	f := feederOf(w.wayAt(s.y, c.Choice.Feeder))
	f.AtATime, f.Blocks = max(1, c.Policy.AtATime), max(1, c.Policy.Blocks)
	return w.terms(s, f, strengthOr(c))
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

// given are the feedings that the member numbered m was given.
func given(on *tried, m int, strength syrup.Strength, touching bool) []colony.Feeding {
	var into []colony.Feeding
	perL := strength.StoresKgPerL()
	for k, v := range on.set.Visits {
		if l := on.on.Lots[k][m]; !l.None() {
			into = append(into, colony.Feeding{Day: v.Day, SyrupKg: l.SyrupL * perL, SugarKg: l.SyrupL*strength.SugarKgPerL() + l.SolidKg,
				SolidKg: l.SolidKg, LPerKg: 1 / perL, Touching: touching})
		}
	}
	return into
}
