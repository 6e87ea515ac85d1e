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
}

// Set is the members a policy is found or judged on, with what their keeper will
// read at each visit.
type Set struct {
	Terms

	members []Member
	asks    [][]asks    // by visit, then member
	between [][]stretch // by stretch, one more than visits, then member
	errSD   [][]float64 // by visit, then member: error of the look, in its standard deviations

	cum, peak []float64
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

// Runner finds and judges policies with its own scratch. It is not safe for use by
// several goroutines at once.
type Runner struct {
	Step func() // called for each member that is prepared or judged; may end the work by a panic. nil for none

	runs               []colony.StoresRun
	open               group // all members still in question at a visit
	half               [2]group
	risk, reserve, all []float64
	sorted             []float64
	result             Result
	pcg                *rand.PCG
	rnd                *rand.Rand
}

// NewRunner makes one.
func NewRunner() *Runner {
	pcg := rand.NewPCG(0, 0)
	return &Runner{pcg: pcg, rnd: rand.New(pcg)}
}

func (r *Runner) step() {
	if r.Step != nil {
		r.Step()
	}
}

// Prepare works out what members ask at each visit and draws what will be read
// there. The draws depend on key and the number of the member only.
func (r *Runner) Prepare(s *Set, key uint64, members []Member, under Terms) {
	s.members, s.Terms = members, under
	visits, look := under.Visits, &under.Look
	s.asks, s.errSD, s.between = Sized(s.asks, len(visits)), Sized(s.errSD, len(visits)), Sized(s.between, len(visits)+1)
	for k := range visits {
		s.asks[k], s.errSD[k] = Sized(s.asks[k], len(members)), Sized(s.errSD[k], len(members))
	}
	for k := range s.between {
		s.between[k] = Sized(s.between[k], len(members))
	}
	c := look.CommonFrac
	for m := range members {
		r.step()
		s.ask(m)
		r.pcg.Seed(key, uint64(m))
		hand := r.rnd.NormFloat64()
		if look.LikeLast {
			hand = c*members[m].Hand + math.Sqrt(1-c*c)*hand
		}
		for k := range visits {
			s.errSD[k][m] = math.Sqrt(c)*hand + math.Sqrt(1-c)*r.rnd.NormFloat64()
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
	need, income, f := c.Demand.NeedKg[:days], c.Demand.IncomeKg[:days], c.Spring.Forcing[:days]
	cum, out := 0.0, c.Spring.Params.UnreachableKg
	for t := range need {
		cum += need[t] - income[t]
		s.cum[t], s.peak[t] = cum, cum+out*f[t].Cold
	}
	hold := s.Visits[0].Day + settleDays
	last := len(s.Visits)
	leastAll, shortAll := math.Inf(-1), math.Inf(-1)
	end := days
	for k := last; k >= 0; k-- { // the stretch that ends at visit k, from day from to before end
		from, base := 0, 0.0
		if k > 0 {
			from = min(days, max(0, s.Visits[k-1].Day+1))
			if from > 0 {
				base = s.cum[from-1]
			}
		}
		least, held, short := math.Inf(-1), math.Inf(-1), math.Inf(-1)
		for t := from; t < end; t++ {
			if s.cum[t] > least {
				least = s.cum[t]
			}
			if t >= hold && s.cum[t] > held {
				held = s.cum[t]
			}
			if s.peak[t] > short {
				short = s.peak[t]
			}
		}
		net := 0.0
		if end > 0 {
			net = s.cum[end-1] - base
		}
		s.between[k][m] = stretch{net: net, short: short - base, held: held - base}
		if k > 0 {
			if k < last { // until the next feed is taken up
				for t := end; t < min(days, end+s.lag(k)); t++ {
					least, short = max(least, s.cum[t]), max(short, s.peak[t])
				}
			}
			st := &s.between[k][m]
			leastAll, shortAll = max(leastAll, least), max(shortAll, st.short+base)
			s.asks[k-1][m] = asks{short - base, least - base, shortAll - base, leastAll - base}
		}
		end = from
	}
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
	r.walk(s, func(k int) {
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
	r.walk(s, func(k int) {
		for h := range r.half {
			r.half[h].clear()
		}
		for i, m := range r.open.members {
			r.half[m%2].add(m, r.open.there[i], r.open.read[i])
		}
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
	r.walk(s, func(k int) { r.feed(s, k, p[k], &r.open, out) }, out)
}

// walk takes all members from visit to visit, and has those still in question fed at
// each.
func (r *Runner) walk(s *Set, feed func(k int), out *Result) {
	n := len(s.members)
	r.runs = Sized(r.runs, n)
	out.reset(n, len(s.Visits))
	for m := range s.members {
		r.step()
		c := &s.members[m]
		r.runs[m].Begin(c.Spring, c.StartKg, s.Rules.ReserveKg, c.Demand, nil)
		r.runs[m].HoldFrom(s.Visits[0].Day + settleDays)
	}
	for k := range s.Visits {
		r.open.clear()
		for m := range s.members {
			run := &r.runs[m]
			if run.StarveDay >= 0 || s.members[m].Spring.Span.NectarDay <= s.Visits[k].Day {
				continue
			}
			s.advance(run, k, m)
			if run.StarveDay >= 0 {
				if k == 0 {
					out.Lost++
				}
				continue
			}
			kg := run.StoresKg + run.SolidKg + run.FeederKg
			read := 0.0 // the first visit is firm, but for LookFirst
			if (k > 0 || s.LookFirst) && !s.Look.Blind {
				read = kg + (s.Look.SDKg+s.Look.SDPerKg*max(0, kg))*s.errSD[k][m]
			}
			r.open.add(m, kg, read)
		}
		if len(r.open.members) > 0 {
			feed(k)
		}
	}
	for m := range s.members {
		run := &r.runs[m]
		if run.StarveDay < 0 {
			s.finish(run, m)
		}
		if out.Starves[m] = run.StarveDay >= 0; out.Starves[m] {
			out.Starved++
		} else if run.LeastFed >= s.Rules.ReserveKg {
			out.Held++
		}
	}
}

// advance takes member m to the evening of visit k, or of the last day when k is one
// past the visits. A hive without feed in it is moved by what was worked out before.
func (s *Set) advance(run *colony.StoresRun, k, m int) {
	day := run.Days() - 1
	if k < len(s.Visits) {
		day = s.Visits[k].Day
	}
	if run.FeederKg > 0 || run.SolidKg > 0 {
		run.Until(day)
		return
	}
	st := &s.between[k][m]
	if run.StoresKg < st.short {
		run.StarveDay = max(0, day)
		return
	}
	run.LeastFed = min(run.LeastFed, run.StoresKg-st.held)
	run.MoveTo(day, run.StoresKg-st.net)
}

// finish takes a member from the last visit it was looked at to nectar.
func (s *Set) finish(run *colony.StoresRun, m int) {
	for k := range s.Visits {
		if s.Visits[k].Day >= run.Day() && run.StarveDay < 0 {
			s.advance(run, k, m)
		}
	}
	if run.StarveDay < 0 {
		s.advance(run, len(s.Visits), m)
	}
}

// feed gives the lot of a visit's line to the hives of a group under it.
func (r *Runner) feed(s *Set, k int, l Line, g *group, out *Result) {
	if l.Lot.None() {
		return
	}
	kgPerL, sugarPerL := s.Rules.Strength.StoresKgPerL(), s.Rules.Strength.SugarKgPerL()
	for i, m := range g.members {
		if g.read[i] >= l.UnderKg {
			continue
		}
		run := &r.runs[m]
		lot := s.room(l.Lot, run, kgPerL)
		if lot.None() {
			continue
		}
		f := colony.Feeding{SyrupKg: lot.SyrupL * kgPerL, SugarKg: lot.SyrupL*sugarPerL + lot.SolidKg, SolidKg: lot.SolidKg,
			LPerKg: 1 / kgPerL, Touching: s.Feeder.Touching}
		run.Give(&f)
		out.ByVisit[k]++
		out.Given[m]++
		out.Lots[k][m] = lot
		out.SyrupL[m] += lot.SyrupL
		out.SolidKg[m] += lot.SolidKg
		out.SugarKg[m] += f.SugarKg
	}
}

// room is what a hive takes of a lot beside what it still holds; nothing when that
// is less than half of it.
func (s *Set) room(l Lot, run *colony.StoresRun, kgPerL float64) Lot {
	if l.SyrupL > 0 {
		free := math.Floor((s.holdsL()-run.FeederKg/kgPerL)/syrupStepL) * syrupStepL
		if free < l.SyrupL/2 {
			return Lot{}
		}
		l.SyrupL = math.Min(l.SyrupL, free)
	}
	if l.SolidKg > 0 {
		free := math.Floor((s.solidHoldsKg()-run.SolidKg/solidYieldKg)/solidStepKg) * solidStepKg
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
	r.Lots = Sized(r.Lots, visits)
	for k := range r.Lots {
		r.Lots[k] = Sized(r.Lots[k], members)
		clear(r.Lots[k])
	}
	clear(r.ByVisit)
	clear(r.SyrupL)
	clear(r.SolidKg)
	clear(r.SugarKg)
	clear(r.Given)
}
