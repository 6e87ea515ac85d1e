package decide

import (
	"context"
	"math"
	"slices"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/feed/visits"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/observe"
)

// Worker decides on colonies one after another. It is not safe for use by several
// goroutines at once. Beside its options it holds room that is used again for the
// next colony; what is found of a colony is returned.
type Worker struct {
	o      *Options
	ctx    context.Context // of the decision under way
	steps  int             // members taken since the context was looked at
	runner colony.Runner
	stores colony.StoresRun
	engine *schedule.Runner

	alone, supplemented grown
	mine, others, again tried
	wraps               wraps
	sorted              []float64
}

// NewWorker makes one. Several may share the options.
func NewWorker(o *Options) *Worker {
	w := &Worker{o: o, engine: schedule.NewRunner(), ctx: context.Background()}
	w.engine.Step = w.step
	return w
}

// stopped ends a decision from within its loops; begin and end belong to it.
type stopped struct{ err error }

// lookEvery is how many members are taken between two looks at the context, 1, 16-256,
// own choice: a member takes up to some tens of microseconds.
const lookEvery = 64

// step is called for each member that is run in some way.
func (w *Worker) step() {
	if w.steps++; w.steps < lookEvery {
		return
	}
	w.steps = 0
	if err := w.ctx.Err(); err != nil {
		panic(stopped{err})
	}
}

// until runs work that ends early, with the context's error, when the context does. What
// the worker holds is good for nothing then.
func (w *Worker) until(ctx context.Context, work func()) (err error) {
	defer func() {
		w.ctx = context.Background()
		if fault := recover(); fault != nil {
			s, ok := fault.(stopped)
			if !ok {
				panic(fault)
			}
			err = s.err
		}
	}()
	w.ctx = ctx
	work()
	return nil
}

// grown is what the members of a colony come to under one treatment while nobody
// feeds. A member keeps its number in all of it.
type grown struct {
	members int // that a decision goes by; there may be more
	cases   []ensemble.Realization
	demand  []colony.DailyDemand

	starve, reserve      []int     // day of the run; -1 never
	shortKg              []float64 // most that was missing before nectar
	bloomBees, readBees  []float64
	startKg, startBees   []float64
	needKgPerDay         []float64
	supplementG          []float64
	shortByKg, leastByKg [][]float64 // by day to last to, then member: most that was missing, least that was there
	needByKg, holdByKg   [][]float64 // by week, then member: least to start with so as not to have starved, nor passed the reserve, by then
}

// resize makes room for members, with what is known of those that are there.
func (a *grown) resize(members, checks, weeks int) {
	a.cases, a.demand = schedule.Sized(a.cases, members), schedule.Sized(a.demand, members)
	a.starve, a.reserve = schedule.Sized(a.starve, members), schedule.Sized(a.reserve, members)
	for _, s := range []*[]float64{&a.shortKg, &a.bloomBees, &a.readBees, &a.startKg, &a.startBees, &a.needKgPerDay, &a.supplementG} {
		*s = schedule.Sized(*s, members)
	}
	a.shortByKg, a.leastByKg = schedule.Sized(a.shortByKg, checks), schedule.Sized(a.leastByKg, checks)
	for k := range checks {
		a.shortByKg[k], a.leastByKg[k] = schedule.Sized(a.shortByKg[k], members), schedule.Sized(a.leastByKg[k], members)
	}
	a.needByKg, a.holdByKg = schedule.Sized(a.needByKg, weeks), schedule.Sized(a.holdByKg, weeks)
	for k := range weeks {
		a.needByKg[k], a.holdByKg[k] = schedule.Sized(a.needByKg[k], members), schedule.Sized(a.holdByKg[k], members)
	}
}

// subject is a colony in its yard, ready to run.
type subject struct {
	y         *Yard
	col       *season.Colony
	obs       *season.Observation
	seen      ensemble.InitialSpread
	key       ensemble.Key
	first     int // day of the outlook on which its runs begin
	lastDay   int // day of the outlook on which it was last seen
	hive      observe.Hive
	drawer    *ensemble.Sampler
	reserveKg float64
	looks     []observe.Observation // all of them, when there are several
	learned   *observe.Report
	fed       []colony.Feeding // food given since the first look, by day of the outlook
	given     *plan.FedSince   // the same in the keeper's measures; nil for nothing
	later     schedule.Look    // how well its food will be judged at the visits to come
	trouble   error            // why the looks could not be learned from
	step      func()           // of the worker, called for each member
}

// seenKg and seenBees are what members hold on the day the colony was last seen.
func (s *subject) seenKg(a *grown) []float64 {
	if s.learned != nil {
		return s.learned.StoresKg[:a.members]
	}
	return a.startKg[:a.members]
}

func (s *subject) seenBees(a *grown) []float64 {
	if s.learned != nil {
		return s.learned.Bees[:a.members]
	}
	return a.startBees[:a.members]
}

// draw draws members [from, to) of a colony.
func (s *subject) draw(a *grown, from, to int) {
	a.resize(to, len(s.y.Visits)+1, len(s.y.Weeks))
	for m := from; m < to; m++ {
		s.step()
		c := &a.cases[m]
		s.drawer.Realize(s.key, &s.seen, m, c)
		a.startKg[m], a.startBees[m] = c.Start.StoresKg, c.Start.Bees
	}
}

// grow takes the bees of members [from, to) that are drawn through the spring, with
// or without supplement.
func (w *Worker) grow(a *grown, care *colony.Treatment, from, to int) {
	for m := from; m < to; m++ {
		w.step()
		c := &a.cases[m]
		g := w.runner.SimulatePopulation(c.Spring(), c.Start, care, &a.demand[m], nil)
		a.bloomBees[m], a.readBees[m], a.supplementG[m] = g.BloomBees, g.ReadBees, g.SupplementG
	}
}

// leave follows the stores of members [from, to) that have grown and are not fed.
func (w *Worker) leave(s *subject, a *grown, from, to int) {
	lastTo, weeks := s.lastTo(), s.y.Weeks
	run := &w.stores
	for m := from; m < to; m++ {
		w.step()
		c := &a.cases[m]
		run.Begin(c.Spring(), c.Start.StoresKg, s.reserveKg, &a.demand[m], nil)
		k, i := 0, 0
		for k < len(lastTo) || i < len(weeks) {
			if i == len(weeks) || k < len(lastTo) && lastTo[k] <= weeks[i] {
				run.Until(max(0, lastTo[k]-s.first))
				a.shortByKg[k][m], a.leastByKg[k][m] = run.ShortKg, run.LeastKg
				k++
			} else {
				run.Until(weeks[i] - s.first)
				a.needByKg[i][m], a.holdByKg[i][m] = s.leastToStart(c, run)
				i++
			}
		}
		o := run.Outcome()
		a.starve[m], a.reserve[m], a.shortKg[m], a.needKgPerDay[m] = o.StarveDay, o.ReserveDay, o.ShortKg, o.NeedKgPerDay
	}
}

// leastToStart is the least that a colony left alone must hold on the first day so as not
// to have starved by the day that its run has reached, and not to have passed the
// reserve, kg.
func (s *subject) leastToStart(c *ensemble.Realization, run *colony.StoresRun) (needKg, holdKg float64) {
	return c.Start.StoresKg + run.ShortKg, c.Start.StoresKg - run.LeastKg + s.reserveKg
}

// takeUpLagDays is how long a fill may take to become stores the colony lives
// on: each visit's fill must last to that many days after the next, d, 2-7, own
// judgement.
const takeUpLagDays = 4

// Decision is the plan of a colony, and what it takes in each member.
type Decision struct {
	Plan plan.ColonyPlan
	Key  ensemble.Key // of the colony's draws
	// What it is given, by visit, then member, and the supplement it eats, by member;
	// nil for none. Both are good until the worker decides again.
	Lots        [][]schedule.Lot
	SupplementG []float64

	// Of a tally: how many colonies it has, by member, and which of them this is, from 0.
	Shares []int
	Number int
	policy schedule.Policy // what it is fed by; nil for nothing
	terms  schedule.Terms
}

// unseen is the plan of a colony before anything is decided.
func (w *Worker) unseen(y *Yard, col *season.Colony) plan.ColonyPlan {
	out := plan.ColonyPlan{Yard: y.Site.Name, Colony: col.Name, Tally: y.tallyOf(col), Boxes: col.Boxes, Line: col.Line,
		Bloom: y.Facts.Bloom, Nectar: y.Facts.Nectar, NonFlying: y.Facts.NonFlying, ColdSpell: y.Facts.ColdSpell,
		Confidence: plan.Confidence{NeedGrossKg: math.NaN()}, Strength: w.o.Season.Settings.Strength}
	if obs := col.Last(); obs != nil {
		out.SeenOn = obs.Date
	}
	return out
}

// Decide plans a colony of a yard. It ends early with the context's error.
func (w *Worker) Decide(ctx context.Context, y *Yard, col *season.Colony) (d Decision, err error) {
	err = w.until(ctx, func() { d = w.plan(y, col) })
	return d, err
}

func (w *Worker) plan(y *Yard, col *season.Colony) Decision {
	out := w.unseen(y, col)
	if !col.Alive {
		out.Verdict = plan.Dead
		out.Reason = []plan.Note{plan.DeadColony{}}
		return Decision{Plan: out}
	}
	s := w.subject(y, col)
	if s == nil {
		out.Verdict = plan.Watch
		out.Reason = []plan.Note{plan.NotSeen{}}
		out.Warnings = append(out.Warnings, plan.NothingSeen{})
		return Decision{Plan: out}
	}
	return w.decide(s)
}

// decide plans a colony that was looked at.
func (w *Worker) decide(s *subject) Decision {
	out := w.unseen(s.y, s.col)
	alone, s, odds := w.leftAlone(s)
	out.Members = alone.members
	w.judge(odds, &out)
	out.Hungry = w.hungry(alone, out.Risk)
	d := Decision{Key: s.key, Shares: s.y.shares[s.col]}
	var found *fed
	if out.Verdict == plan.Feed {
		s = s.learn(2 * alone.members)
		found = w.schedule(s, alone, &out)
		d.Lots = found.mine.on.Lots
		d.policy, d.terms = found.kept()
	}
	out.Unwrap = w.unwrapping(s, alone, found, &out)
	if w.o.Supplement {
		with := w.supplement(s, alone, found, &out)
		out.Supplement, out.Strength, d.SupplementG = with.plan, with.strength, with.eatenG
	}
	out.Confidence = w.confidence(odds, &out)
	if found != nil && s.y.compared[s.col] {
		out.Policy.Prices = w.compare(s, found)
	}
	out.Reason = w.reason(s, alone, &out)
	var dwindles plan.Risk
	if out.Bees.P50 < coldClusterBees {
		dwindles = s.dwindles(alone)
	}
	out.Warnings = append(out.Warnings, s.warnings(&out, dwindles)...)
	d.Plan = out
	return d
}

// subject turns what was seen into spreads; nil when nothing was. With several
// looks its runs begin at the first that tells of food, and its draws are
// conditioned on the later ones.
func (w *Worker) subject(y *Yard, col *season.Colony) *subject {
	looks := history(col)
	if len(looks) == 0 {
		return nil
	}
	o := y.Outlook
	last := &looks[len(looks)-1]
	s := &subject{y: y, col: col, hive: col.Hive(y.Site.Tares, observe.MassesOf(&w.o.Base)), obs: last, drawer: ensemble.NewSampler(y.Springs), step: w.step,
		key: tallyKey(y.Site.Name, col.Name, 0), reserveKg: w.o.Season.Settings.ReserveKg}
	s.hive.Hand = w.o.Hand
	s.see(looks, season.GivenTo(y.given, col.Name), &w.o.Base)
	if col.Tally != nil && (last.Food.Kind.Weighed() || last.Food.Kind == season.FoodLiftBack) {
		s.seen.StoresSDKg = math.Hypot(s.seen.StoresSDKg, betweenHivesKg)
	}
	s.first = s.seen.Day + 1
	s.lastDay = o.Day(last.Date)
	s.later = s.laterLook()
	return s
}

// history lists the looks at a colony that a plan is built on: from the first
// that tells of its food, or else the last one alone.
func history(col *season.Colony) []season.Observation {
	for i := range col.Observations {
		if col.Observations[i].Food.Kind != season.FoodUnknown {
			return col.Observations[i:]
		}
	}
	return col.Observations[max(0, len(col.Observations)-1):]
}

// learn is the colony with the draws of its first members conditioned on all looks.
func (s *subject) learn(members int) *subject {
	if len(s.looks) < 2 {
		return s
	}
	out := *s
	start := s.seen
	start.Draw, start.Gifts = nil, nil
	opt := observe.DefaultOptions()
	opt.Feedings, opt.Step = s.fed, s.step
	seen, report, err := observe.Assimilate(s.y.Springs, members, s.key, start, s.looks, opt)
	switch {
	case err != nil:
		out.looks, out.trouble = nil, err
	case len(report.StoresKg) == 0: // no look is later than the first
		out.looks = nil
	default:
		out.seen, out.learned = seen, &report
	}
	return &out
}

// lastTo are the days of the outlook to which the feed of each visit must last,
// after the day of the first visit, to which no feed can help.
func (s *subject) lastTo() []int {
	days := make([]int, 0, len(s.y.Visits)+1)
	days = append(days, s.y.Visits[0].Day+1)
	for k := range s.y.Visits {
		if k+1 < len(s.y.Visits) {
			days = append(days, s.y.Visits[k+1].Day+takeUpLagDays)
		} else {
			days = append(days, math.MaxInt32)
		}
	}
	return days
}

// leftAlone runs a colony that nobody feeds, on more members when its risk lies
// near the line and on fewer where it surely needs no feed, and returns it with its draws
// conditioned for as many, and its chances.
func (w *Worker) leftAlone(s *subject) (*grown, *subject, *odds) {
	many := s.y.numbers[s.col] > 1 // a tally: one decision for many hives, whose chance errors do not even out
	return w.leftAloneTo(s, func(c chance) bool {
		if many {
			return false
		}
		return c.errFrac <= w.o.known() || math.Abs(c.frac-w.o.Season.Settings.AcceptRiskFrac) > nearLineErrors*c.errFrac
	}, func(c chance) bool {
		return !many && c.frac < w.o.Season.Settings.AcceptRiskFrac-nearLineErrors*c.errFrac
	})
}

// leftAloneTo is leftAlone on ever more members until enough says that their risk is
// known well enough, or there are as many as there may be; safe says that of the first few.
func (w *Worker) leftAloneTo(s *subject, enough, safe func(chance) bool) (*grown, *subject, *odds) {
	a, most := &w.alone, w.o.MostMembers
	run := func(from, to int) *odds {
		s = s.learn(to)
		s.draw(a, from, to)
		w.grow(a, &colony.Treatment{}, from, to)
		w.leave(s, a, from, to)
		a.members = to
		return oddsOf(s, a)
	}
	first := min(fewestAlone, w.o.Members)
	if len(s.looks) > 1 || w.o.MostMembers == w.o.Members { // looks are learned from anew with each size; or all run on as many
		first = w.o.Members
	}
	o := run(0, first)
	if a.members < w.o.Members {
		if safe(o.starving()) {
			return a, s, o
		}
		o = run(a.members, w.o.Members)
	}
	for a.members < most && !enough(o.starving()) {
		o = run(a.members, min(2*a.members, most))
	}
	return a, s, o
}

// needKg is the least that each member must hold on the first day to reach nectar.
func (a *grown) needKg() []float64 {
	kg := make([]float64, a.members)
	for m := range kg {
		kg[m] = a.startKg[m] + a.shortKg[m]
	}
	return kg
}

// EnoughMembers are the members beyond which none are added near the line,
// 1000-10000, own judgement: where draws are counted they leave a risk of 5 % an error of
// 0.45 %.
const EnoughMembers = 2400

const (
	// fewestAlone are the members that a colony runs on at least, 100-300, own judgement: those
	// of one that needs no feed, whose bees and stores are told from them. A policy is
	// searched on as many as every colony runs on.
	fewestAlone = 150
	// nearLineErrors is how many standard errors from the accepted risk a colony is
	// settled, 1, 2-4, own judgement.
	nearLineErrors = 3
	// knownFrac is the error of a risk with which it is settled wherever it lies, 0..1,
	// 0.003-0.01, own judgement: what EnoughMembers leave a risk that is counted. It goes with
	// usualMembers: a keeper who asks for fewer settles for a risk that is known less well.
	knownFrac    = 0.0045
	usualMembers = 300
)

// fewestPaired are the members that tell at least what something changes, each set against itself,
// 24-60, own judgement: one of each of thirty springs.
const fewestPaired = 30

// paired is on how many members something is weighed up that every colony on usualMembers is asked
// on so many: of fewer, in proportion.
func (o *Options) paired(usual int) int {
	return min(o.Members, max(fewestPaired, usual*min(o.Members, usualMembers)/usualMembers))
}

// known is the error of a risk with which it is settled wherever it lies, 0..1.
func (o *Options) known() float64 {
	return knownFrac * math.Sqrt(math.Max(1, usualMembers/float64(o.Members)))
}

func count(days []int) int {
	n := 0
	for _, d := range days {
		if d >= 0 {
			n++
		}
	}
	return n
}

// judge fills in what the run left alone says.
func (w *Worker) judge(odds *odds, out *plan.ColonyPlan) {
	s, a, set := odds.s, odds.a, &w.o.Season.Settings
	o := s.y.Outlook
	out.StoresKg = w.rangeOf(s.seenKg(a))
	out.Bees = w.rangeOf(s.seenBees(a))
	out.Risk = odds.starving().risk()
	out.RiskByWeek = odds.starvedBy(out.Risk.Frac)
	passed, day, ok := odds.passing(w)
	if ok {
		out.ReserveDate = o.Date(max(day, s.lastDay))
	}
	if out.Risk.Frac > set.AcceptRiskFrac {
		if day, ok := odds.starveDay(w, out.Risk.Frac, set.AcceptRiskFrac); ok {
			out.StarveDate = o.Date(day)
		}
	}
	w.sorted = w.sorted[:0]
	for m, b := range a.bloomBees[:a.members] {
		if a.starve[m] < 0 {
			w.sorted = append(w.sorted, b)
		}
	}
	out.BloomBees = w.rangeOf(w.sorted)
	switch {
	case out.Risk.Frac > set.AcceptRiskFrac:
		out.Verdict = plan.Feed
	case out.Risk.Frac > set.AcceptRiskFrac*watchShare || passed > 0.5:
		out.Verdict = plan.Watch
	default:
		out.Verdict = plan.NoFeed
	}
}

// watchShare of the accepted risk is where a colony wants another look, 1,
// 0.1-0.5, own judgement.
const watchShare = 0.3

func neverAsInf(day int) float64 {
	if day < 0 {
		return math.Inf(1)
	}
	return float64(day)
}

// rangeOf is plan.RangeOf without disturbing x.
func (w *Worker) rangeOf(x []float64) plan.Range {
	w.sorted = append(w.sorted[:0], x...)
	return plan.RangeOf(w.sorted)
}

// confidence tells whether a scale would change the verdict: what the risk would be
// if the hive held what the lightest and the heaviest third of its spread hold.
func (w *Worker) confidence(o *odds, out *plan.ColonyPlan) plan.Confidence {
	accept, s, a := w.o.Season.Settings.AcceptRiskFrac, o.s, o.a
	var u plan.Confidence
	u.RiskIfLightFrac, u.RiskIfHeavyFrac = o.thirds(w.sorted[:0])
	kg := s.seenKg(a)
	w.sorted = w.sorted[:0]
	for m := range o.n {
		w.sorted = append(w.sorted, kg[m]+a.shortKg[m])
	}
	u.NeedStoresKg = math.Max(0, schedule.Quantile(w.sorted, 1-accept))
	notFoodKg, _ := s.hive.NotFoodKg(out.Bees.P50, s.obs.BroodFrames)
	u.NeedGrossKg = u.NeedStoresKg + notFoodKg
	u.WeighFirst = (u.RiskIfLightFrac > accept) != (u.RiskIfHeavyFrac > accept) && !s.obs.Food.Kind.Weighed()
	u.Note = s.confidenceNote(&u)
	return u
}

// Below coldClusterBees, 4000-8000, and with a cold spell of ColdClusterDays ahead,
// 3-7 d, a cluster may die of cold beside its food: common practice calls a cluster
// of under three or four seams in early spring too weak to reach combs away from it.
// The two figures are own judgement.
const (
	coldClusterBees = 6000
	ColdClusterDays = 5
)

// dwindles is the risk that the bees left alone fall under plan.FewestBees on some day
// from when they were last seen until nectar. Feed changes nothing in it: the bees of a
// run do not hang on its stores. It is rather too low, since winter takes a larger share
// of the bees of a small cluster (Jeffree & Allen 1956, from memory), and dying of cold
// beside food is not in it: nobody has published how often that happens by size and date.
func (s *subject) dwindles(a *grown) plan.Risk {
	n := 0
	for m := range a.members {
		bees := a.demand[m].Bees
		to := max(0, min(len(bees), a.cases[m].Span.NectarDay))
		from := min(to, max(0, s.lastDay+1-s.first))
		if slices.ContainsFunc(bees[from:to], func(b float64) bool { return b < plan.FewestBees }) {
			n++
		}
	}
	return plan.RiskOf(n, a.members)
}

// warnings are what can be lived with but should be known.
func (s *subject) warnings(out *plan.ColonyPlan, dwindles plan.Risk) []plan.Note {
	var ws []plan.Note
	if t := out.Tally; t.Sampled() {
		ws = append(ws, plan.SampledTally{Colonies: t.Colonies, LookedAt: t.LookedAt, FromColonies: int(t.Range.P10), ToColonies: int(math.Ceil(t.Range.P90))})
	}
	if out.Bees.P50 < plan.FewestBees {
		ws = append(ws, plan.SmallCluster{Bees: out.Bees.P50})
	} else if out.Bees.P50 < coldClusterBees && out.ColdSpell.P90 >= ColdClusterDays {
		ws = append(ws, plan.ColdCluster{Bees: out.Bees.P50, ColdSpellDays: out.ColdSpell.P90, UnderBees: plan.FewestBees, Dwindles: dwindles})
	}
	if math.IsNaN(s.obs.BroodFrames) {
		ws = append(ws, plan.BroodNotSeen{})
	}
	if math.IsNaN(s.obs.SeamsOfBees) {
		ws = append(ws, plan.SeamsNotSeen{})
	}
	if s.obs.Food.Kind == season.FoodUnknown {
		ws = append(ws, plan.FoodNotKnown{})
	}
	if s.trouble != nil {
		ws = append(ws, plan.LooksUnused{Problem: s.trouble.Error()})
	}
	if s.learned != nil {
		ws = append(ws, s.lookWarnings()...)
	}
	if out.TooLate {
		ws = append(ws, plan.GoSooner{Before: s.y.Visits[0].Date})
	}
	return ws
}

// lookWarnings are those of looks that do not fit together.
func (s *subject) lookWarnings() []plan.Note {
	var ws []plan.Note
	for _, x := range s.learned.Innovations {
		if math.Abs(x.Z) >= observe.Surprising && !s.fedUntold(x) { // false also when nothing could be predicted
			ws = append(ws, plan.LookUnexpected{On: s.y.Outlook.Date(x.Day), What: quantityOf(x.What), More: x.Z > 0})
		}
	}
	for _, f := range s.learned.Untold {
		if f.Frac >= likelyFed {
			ws = append(ws, plan.FedUntold{Since: s.y.Outlook.Date(f.AfterDay), On: s.y.Outlook.Date(f.SeenDay),
				StoresKg: plan.Range(f.StoresKg), Frac: f.Frac})
		}
	}
	if s.learned.WidenedFor > 0.5 {
		ws = append(ws, plan.LooksWidened{Times: s.learned.WidenedBy})
	}
	if !s.learned.WeatherSeen {
		ws = append(ws, plan.LooksWithoutWeather{})
	}
	return ws
}

// quantityOf is what a look told of, by the model's name for it.
func quantityOf(what string) plan.Quantity {
	switch what {
	case plan.Stores.String():
		return plan.Stores
	case plan.Bees.String():
		return plan.Bees
	}
	return plan.Brood
}

// A syrup stands colder or warmer than the air by where it stands.
const (
	clusterC     = 30.0   // C over the cluster in spring, 25-34, own judgement: brood is kept at 34
	halfWarmBees = 6000.0 // bees that keep a bag on the top bars half way from the air to that, 4,000-10,000, own judgement
)

// chosenStrength is the syrup to mix: the one set, or the thickest that stays
// clear where it stands: 2:1 where the days after the first syrup are mild enough, or
// the cluster warms it, else 3:2. Thin syrup is never chosen for a rescue: there is more
// water to drive off.
func chosenStrength(set *season.Settings, wy way, bees float64, v *visits.Visit) syrup.Strength {
	if !set.ChooseStrength() {
		return set.Strength
	}
	tempC := v.MeanC
	if wy.touching {
		tempC += bees / (bees + halfWarmBees) * (clusterC - tempC)
	}
	thick := syrup.TwoToOne()
	if clearFromC, can := syrup.SaturatedBelowC(thick); can && tempC < clearFromC {
		return syrup.ThreeToTwo()
	}
	return thick
}

// firstSyrup is the first visit from one on that is warm enough for syrup; the
// last when none is.
func (y *Yard) firstSyrup(from int) *visits.Visit {
	for k := from; k < len(y.Visits); k++ {
		if y.Visits[k].MaxC >= y.Season.Settings.Rules.TouchingOnlyBelowC {
			return &y.Visits[k]
		}
	}
	return &y.Visits[len(y.Visits)-1]
}
