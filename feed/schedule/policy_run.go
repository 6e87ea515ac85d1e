package schedule

import (
	"math"
	"math/rand/v2"
	"slices"

	"bloomgap/sim/colony"
)

// Steps of what is given and read, so that amounts can be measured out in a yard.
const (
	syrupStepL  = 0.5  // L, 0.25-1, own judgement
	solidStepKg = 0.25 // kg, own judgement
	readStepKg  = 0.5  // kg, own judgement: no finer than a scale is read in the field
)

// Days that a fill takes to become food the colony can live on: each must last to
// that many days after the next visit.
const (
	syrupLagDays = 4 // d, 2-7, own judgement
	solidLagDays = 1 // d, 0-2, own judgement: it lies over the cluster
	settleDays   = 14
)

// strayFrac is the share of members still in question under which a visit takes
// the line of the one before, 0.02-0.1, own judgement.
const strayFrac = 0.05

// solidYieldKg is the stores that a kg of solid sugar is worth, kg, 1.0-1.25;
// the model's solid_kg_per_kg_sugar decides what comes of it.
const solidYieldKg = 1.2

// asks is what a member asks of its stores from the evening of a visit on, kg.
type asks struct {
	short, least       float64 // to be safe, and to stay above 0, until the next visit's feed is taken up
	shortAll, leastAll float64 // the same to nectar
}

// stretch is what a member does to its stores from one visit to the next while no
// feed is in the hive, kg, counted from the evening of the first. The first
// stretch begins with the run, the last ends with it.
type stretch struct {
	net, short, held float64 // used up; most that is needed to be safe, and to stay above 0 from the settling day on
	need             float64 // eaten
}

// Set is the members a policy is found or judged on, with what their keeper will
// read at each visit.
type Set struct {
	Terms

	members []Member
	asks    [][]asks    // by visit, then member
	between [][]stretch // by stretch, one more than visits, then member
	errSD   [][]float64 // by visit, then member: error of the look, in its standard deviations

	looks []int // by member: visits before its nectar

	perL litre // of the syrup, once it was asked for

	cum, peak   []float64 // of one member, by day: used up, and that with what is out of reach
	least, most []float64 // the greatest of each, by stretch
}

// litre is what a litre of syrup holds, kg.
type litre struct{ stores, sugar float64 }

// litre is that of the rules' syrup.
func (s *Set) litre() litre {
	if s.perL.stores == 0 {
		s.perL = litre{s.Rules.Strength.StoresKgPerL(), s.Rules.Strength.SugarKgPerL()}
	}
	return s.perL
}

// group is the members still in question at a visit, with what their hives hold and
// what is read there, kg.
type group struct {
	members     []int
	there, read []float64
}

func (g *group) clear() { g.members, g.there, g.read = g.members[:0], g.there[:0], g.read[:0] }

func (g *group) add(m int, thereKg, readKg float64) {
	g.members, g.there, g.read = append(g.members, m), append(g.there, thereKg), append(g.read, readKg)
}

// hive is a member on its way from visit to visit, kg of ripe stores.
type hive struct {
	storesKg, feederKg, solidKg float64
	leastKg                     float64 // stores held from the settling day on, or less where they do not tell on the reserve
	starved                     bool
}

// Runner finds and judges policies with its own scratch. It is not safe for use by
// several goroutines at once.
type Runner struct {
	Step func() // called for each member that is prepared or judged; may end the work by a panic. nil for none

	hives              []hive
	run                colony.StoresRun // of the hive at hand, where its days have to be gone through
	open               group            // all members still in question at a visit
	half               [2]group         // the same, by halves
	risk, reserve, all []float64
	sorted             []float64
	result             Result
	pcg                *rand.PCG
	rnd                *rand.Rand
}

// NewRunner makes one.
func NewRunner() *Runner {
	pcg := rand.NewPCG(0, 0)
	return &Runner{pcg: pcg, rnd: rand.New(pcg), result: Result{sumsOnly: true}}
}

func (r *Runner) step() {
	if r.Step != nil {
		r.Step()
	}
}

// Prepare works out what members ask at each visit and draws what will be read
// there. The draws depend on key and the number of the member only.
func (r *Runner) Prepare(s *Set, key uint64, members []Member, under Terms) {
	s.members, s.Terms, s.perL = members, under, litre{}
	visits, look := under.Visits, &under.Look
	s.asks, s.errSD, s.between = Sized(s.asks, len(visits)), Sized(s.errSD, len(visits)), Sized(s.between, len(visits)+1)
	for k := range visits {
		s.asks[k], s.errSD[k] = Sized(s.asks[k], len(members)), Sized(s.errSD[k], len(members))
	}
	for k := range s.between {
		s.between[k] = Sized(s.between[k], len(members))
	}
	s.looks = Sized(s.looks, len(members))
	s.least, s.most = Sized(s.least, len(s.between)), Sized(s.most, len(s.between))
	c := look.CommonFrac
	common, own := math.Sqrt(c), math.Sqrt(1-c)
	for m := range members {
		r.step()
		s.ask(m)
		r.pcg.Seed(key, uint64(m))
		hand := r.rnd.NormFloat64()
		if look.LikeLast {
			hand = c*members[m].Hand + math.Sqrt(1-c*c)*hand
		}
		for k := range visits {
			s.errSD[k][m] = common*hand + own*r.rnd.NormFloat64()
		}
	}
}

// Least is a line that gives the least worth a trip on a visit, whatever a hive
// reads.
func (s *Set) Least(visit int) Line { return Line{UnderKg: math.Inf(1), Lot: s.lot(visit, 0)} }

// ask fills in what member m asks of its stores before, between and after visits.
func (s *Set) ask(m int) {
	c := &s.members[m]
	days := max(0, min(c.Spring.Span.Days, len(c.Spring.Forcing), c.Spring.Span.NectarDay))
	s.cum, s.peak = Sized(s.cum, days), Sized(s.peak, days)
	last := len(s.Visits)
	s.looks[m] = last
	for k := last - 1; k >= 0 && s.Visits[k].Day >= c.Spring.Span.NectarDay; k-- {
		s.looks[m] = k
	}
	sum := 0.0
	for k := range s.between {
		sum = s.askBetween(c, k, m, sum)
	}
	leastAll, shortAll := math.Inf(-1), math.Inf(-1)
	for k := last; k > 0; k-- {
		from, end := s.span(k, days)
		base := 0.0
		if from > 0 {
			base = s.cum[from-1]
		}
		least, short := s.least[k], s.most[k]
		leastAll, shortAll = max(leastAll, least), max(shortAll, short)
		if k < last { // until the next feed is taken up
			for t := end; t < min(days, end+s.lag(k)); t++ {
				least, short = max(least, s.cum[t]), max(short, s.peak[t])
			}
		}
		s.asks[k-1][m] = asks{short - base, least - base, shortAll - base, leastAll - base}
	}
}

// span is the days of stretch k, from one to before another, of a run of days before nectar.
func (s *Set) span(k, days int) (from, end int) {
	end = days
	if k > 0 {
		from = min(days, max(0, s.Visits[k-1].Day+1))
	}
	if k < len(s.Visits) {
		end = min(days, max(0, s.Visits[k].Day+1))
	}
	return from, end
}

// askBetween goes through the days of stretch k of member m, before which sum was used
// up, and returns what is used up after them.
func (s *Set) askBetween(c *Member, k, m int, sum float64) float64 {
	from, end := s.span(k, len(s.cum))
	f := c.Spring.Forcing[from:end]
	needKg, incomeKg := c.Demand.NeedKg[from:][:len(f)], c.Demand.IncomeKg[from:][:len(f)]
	cum, peak := s.cum[from:][:len(f)], s.peak[from:][:len(f)]
	out, settled := c.Spring.Params.UnreachableKg, s.Visits[0].Day+settleDays-from
	base, eaten := sum, 0.0
	least, short, held := math.Inf(-1), math.Inf(-1), math.Inf(-1)
	for t := range f {
		eaten += needKg[t]
		sum += needKg[t] - incomeKg[t]
		most := sum + out*f[t].Cold
		cum[t], peak[t] = sum, most
		if sum > least {
			least = sum
		}
		if t >= settled && sum > held {
			held = sum
		}
		if most > short {
			short = most
		}
	}
	s.between[k][m] = stretch{net: sum - base, short: short - base, held: held - base, need: eaten}
	s.least[k], s.most[k] = least, short
	return sum
}

func (s *Set) solid(k int) bool { return s.Visits[k].MaxC < s.Rules.SolidUnderC }

func (s *Set) lag(k int) int {
	if s.solid(k) {
		return solidLagDays
	}
	return syrupLagDays
}

// Sized is s with n elements. What it held stays where n leaves room for it, and its
// memory is used again.
func Sized[T any](s []T, n int) []T { return slices.Grow(s, max(0, n-len(s)))[:n] }

// levels are the chances that a policy's lines keep, for all visits alike.
type levels struct {
	risk    float64 // feed when the chance to starve before the next visit's feed is above
	reserve float64 // feed when the chance to pass the reserve before then is above
	last    float64 // a fill is to last to nectar with this chance
}

// found makes the policy of some levels: at each visit the line is drawn through what
// the hives fed so far have come to.
func (r *Runner) found(s *Set, at levels, out *Result) Policy {
	p := notFed(len(s.Visits))
	r.walk(s, []*group{&r.open}, func(k int) {
		p[k] = r.drawn(s, k, p, &r.open, 1, at)
		r.feed(s, k, p[k], &r.open, out)
	}, out)
	return p
}

// crossed says what the policy of some levels comes to on members that its lines are not
// drawn through: each half of the members is fed by the lines of the other half. On the
// members they are drawn through, lines near the end of a spread look better than
// they are, the more so the fewer members there are.
func (r *Runner) crossed(s *Set, at levels, out *Result) {
	lines := [2]Policy{notFed(len(s.Visits)), notFed(len(s.Visits))}
	r.walk(s, []*group{&r.half[0], &r.half[1]}, func(k int) {
		for h := range lines {
			lines[h][k] = r.drawn(s, k, lines[h], &r.half[h], 0.5, at)
		}
		for h := range lines {
			r.feed(s, k, lines[h][k], &r.half[1-h], out)
		}
	}, out)
}

// notFed is the policy that feeds no one.
func notFed(visits int) Policy {
	p := make(Policy, visits)
	for k := range p {
		p[k].UnderKg = math.Inf(-1)
	}
	return p
}

// drawn is the line of visit k drawn through a group, out of a share of all members; that
// of the visit before where too few are left to draw one through.
func (r *Runner) drawn(s *Set, k int, p Policy, g *group, share float64, at levels) Line {
	if few := float64(len(g.members)) < strayFrac*share*float64(len(s.members)); few && k > 0 {
		return s.carry(k, p[k-1])
	}
	if len(g.members) == 0 {
		return Line{UnderKg: math.Inf(-1)}
	}
	return r.line(s, k, g, at)
}

// Judge says what a policy comes to on a set.
func (r *Runner) Judge(s *Set, p Policy, out *Result) {
	r.walk(s, []*group{&r.open}, func(k int) { r.feed(s, k, p[k], &r.open, out) }, out)
}

// walk takes all members from visit to visit, and has those still in question, dealt out
// to groups, fed at each.
func (r *Runner) walk(s *Set, groups []*group, feed func(k int), out *Result) {
	n := len(s.members)
	r.hives = Sized(r.hives, n)
	out.reset(n, len(s.Visits))
	for m := range r.hives {
		r.step()
		r.hives[m] = hive{storesKg: s.members[m].StartKg, leastKg: math.Inf(1)}
	}
	for k := range s.Visits {
		for _, g := range groups {
			g.clear()
		}
		asked := false
		looks := (k > 0 || s.LookFirst) && !s.Look.Blind // the first visit is firm, but for LookFirst
		for m := range r.hives {
			h := &r.hives[m]
			if h.starved || k >= s.looks[m] {
				continue
			}
			if r.move(s, h, k, m); h.starved {
				if k == 0 {
					out.Lost++
				}
				continue
			}
			kg := h.storesKg + h.solidKg + h.feederKg
			read := 0.0
			if looks {
				read = kg + (s.Look.SDKg+s.Look.SDPerKg*max(0, kg))*s.errSD[k][m]
			}
			groups[m%len(groups)].add(m, kg, read)
			asked = true
		}
		if asked {
			feed(k)
		}
	}
	for m := range r.hives {
		h := &r.hives[m]
		if !h.starved {
			r.move(s, h, s.looks[m], m)
		}
		if out.Starves[m] = h.starved; h.starved {
			out.Starved++
		} else if h.leastKg >= s.Rules.ReserveKg {
			out.Held++
		}
	}
}

// move takes member m over stretch k: to the evening of visit k, or to nectar. What was
// worked out of the stretch before is enough for a hive without feed. It is also for
// one with feed, but for the syrup that is taken up, where the food suffices without syrup,
// or what lies over the cluster is all that is eaten, and syrup does not tell on the reserve.
func (r *Runner) move(s *Set, h *hive, k, m int) {
	st := &s.between[k][m]
	there := h.storesKg + h.solidKg
	bare := h.feederKg <= 0 && h.solidKg <= 0
	suffices := there >= st.short
	least := min(h.leastKg, there-st.held)
	switch {
	case bare && !suffices:
		h.starved = true
	case bare:
		h.storesKg, h.leastKg = there-st.net, least
	case !suffices && h.solidKg < st.need,
		h.feederKg > 0 && least < s.Rules.ReserveKg && h.leastKg >= s.Rules.ReserveKg:
		run := r.runOf(s, h, k, m)
		run.Until(s.endOf(k))
		h.storesKg, h.feederKg, h.solidKg, h.leastKg, h.starved = run.StoresKg, run.FeederKg, run.SolidKg, run.LeastFed, run.StarveDay >= 0
	default:
		h.storesKg, h.leastKg = there-st.net, least
		if h.feederKg > 0 {
			run := r.runOf(s, h, k, m)
			h.storesKg += run.TakeUp(s.endOf(k))
			h.feederKg = run.FeederKg
		}
		h.solidKg = max(0, h.solidKg-st.need)
		h.storesKg -= h.solidKg
	}
}

// endOf is the last day of stretch k.
func (s *Set) endOf(k int) int {
	if k < len(s.Visits) {
		return s.Visits[k].Day
	}
	return math.MaxInt - 1
}

// runOf is the run of member m from the morning of the first day of stretch k.
func (r *Runner) runOf(s *Set, h *hive, k, m int) *colony.StoresRun {
	c := &s.members[m]
	r.run.Begin(c.Spring, h.storesKg, s.Rules.ReserveKg, c.Demand, nil)
	r.run.HoldFrom(s.Visits[0].Day + settleDays)
	r.run.Syrup(1/s.litre().stores, s.Feeder.Touching)
	r.run.FeederKg, r.run.SolidKg, r.run.LeastFed = h.feederKg, h.solidKg, h.leastKg
	if k > 0 {
		r.run.MoveTo(s.Visits[k-1].Day, h.storesKg)
	}
	return &r.run
}

// feed gives the lot of a visit's line to the hives of a group under it.
func (r *Runner) feed(s *Set, k int, l Line, g *group, out *Result) {
	if l.Lot.None() {
		return
	}
	perL := s.litre()
	for i, m := range g.members {
		if g.read[i] >= l.UnderKg {
			continue
		}
		h := &r.hives[m]
		lot := s.room(l.Lot, h.feederKg, h.solidKg, perL.stores)
		if lot.None() {
			continue
		}
		f := colony.Feeding{SyrupKg: lot.SyrupL * perL.stores, SugarKg: lot.SyrupL*perL.sugar + lot.SolidKg, SolidKg: lot.SolidKg}
		feederKg, solidKg := f.Feed(s.members[m].Spring.Params)
		h.feederKg += feederKg
		h.solidKg += solidKg
		out.ByVisit[k]++
		out.Given[m]++
		if !out.sumsOnly {
			out.Lots[k][m] = lot
		}
		out.SyrupL[m] += lot.SyrupL
		out.SolidKg[m] += lot.SolidKg
		out.SugarKg[m] += f.SugarKg
	}
}

// room is what a hive takes of a lot beside what it still holds, kg of stores; nothing when that
// is less than half of it.
func (s *Set) room(l Lot, feederKg, solidKg, kgPerL float64) Lot {
	if l.SyrupL > 0 {
		free := math.Floor((s.holdsL()-feederKg/kgPerL)/syrupStepL) * syrupStepL
		if free < l.SyrupL/2 {
			return Lot{}
		}
		l.SyrupL = math.Min(l.SyrupL, free)
	}
	if l.SolidKg > 0 {
		free := math.Floor((s.solidHoldsKg()-solidKg/solidYieldKg)/solidStepKg) * solidStepKg
		if free < l.SolidKg/2 {
			return Lot{}
		}
		l.SolidKg = math.Min(l.SolidKg, free)
	}
	return l
}

// solidHoldsKg is the sugar that a hive takes solid at one visit, kg.
func (s *Set) solidHoldsKg() float64 { return s.Rules.SolidHoldsKg * float64(max(1, s.Feeder.Blocks)) }

func (s *Set) holdsL() float64 { return s.Feeder.HoldsL * float64(max(1, s.Feeder.AtATime)) }

func (r *Result) reset(members, visits int) {
	r.Starved, r.Lost, r.Held = 0, 0, 0
	r.ByVisit = Sized(r.ByVisit, visits)
	r.SyrupL, r.SolidKg, r.SugarKg = Sized(r.SyrupL, members), Sized(r.SolidKg, members), Sized(r.SugarKg, members)
	r.Given, r.Starves = Sized(r.Given, members), Sized(r.Starves, members)
	if !r.sumsOnly {
		r.Lots = Sized(r.Lots, visits)
		for k := range r.Lots {
			r.Lots[k] = Sized(r.Lots[k], members)
			clear(r.Lots[k])
		}
	}
	clear(r.ByVisit)
	clear(r.SyrupL)
	clear(r.SolidKg)
	clear(r.SugarKg)
	clear(r.Given)
}
