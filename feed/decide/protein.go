package decide

import (
	"math"
	"time"

	"gonum.org/v1/gonum/stat"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/syrup"
	"bloomgap/forage"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/observe"
)

// timing is when a supplement shows at a yard, worked out once on a colony of
// middling size that is not short of food. A lead is counted from the day a dose
// goes on.
type timing struct {
	day                    int        // of the outlook: when it goes on in the comparison
	emergeDays, forageDays int        // until half of the extra bees have emerged, and are in the field
	leadDays               plan.Range // shortest, best and longest lead of a dose on the bees it is for
	windowFrom, windowTo   time.Time
}

// What a yard's timing is worked out on. Paths are kept day by day, so they are
// few.
const (
	timingMembers  = 24   // members, 20-200, own judgement
	timingBees     = 9000 // bees, 5,000-15,000, own judgement
	timingStoresKg = 30   // kg, more than the colony can eat
	pathDays       = 150  // d of a path, 100-200, own judgement
	shownDays      = 63   // d after which a dose is spent: what comes later is brood of its bees, 42-90, own judgement
	doseDays       = 7    // d that a dose lies on, 5-14, common practice: a patty is eaten in about a week
	doseBroodDays  = 21   // d over which a dose rears its brood, 14-28, own judgement: its own week and a fortnight of pollen reserves
	fewestReared   = 5    // bees a dose must rear to be reckoned with, 1-50, own judgement
	windowStep     = 3    // d between the dates tried, 1-7, own judgement
	windowBack     = 48   // d before the wanted day that are tried, 42-56, own judgement: further back the brood of its brood is counted too
	windowShare    = 0.75 // of the best share on hand that a date in the window must keep, 0.5-0.9, own judgement
)

// trialColony runs the colony that a yard's timing is worked out on.
type trialColony struct {
	y       *Yard
	outlook *forage.Outlook
	drawer  *ensemble.Sampler
	seen    ensemble.InitialSpread
	runner  colony.Runner
	c       ensemble.Realization
	bare    []colony.Path // by member
	dosed   colony.Path   // of the dose at hand
}

// trialColony runs on the springs that the yard may have, none of this season's
// days known, from a day that hangs on the wanted one only: so the window is the
// same whatever day is asked.
func (y *Yard) trialColony(draws *ensemble.SharedDraws, members int, wanted time.Time) (*trialColony, error) {
	o, err := y.Weather.UnknownOutlook(wanted.AddDate(0, 0, -windowBack-1))
	if err != nil { // a year of the record lacks so early a day
		if o, err = y.Weather.UnknownOutlook(y.Outlook.Start); err != nil {
			return nil, err
		}
	}
	springs := ensemble.NewSpringEnsemble(o, draws, ensemble.SpringEnsembleOptions{ReadDay: -1})
	t := &trialColony{y: y, outlook: o, drawer: ensemble.NewSampler(springs), seen: ensemble.InitialSpread{
		BeesLogMu: math.Log(timingBees), BroodCells: math.NaN(), BroodLogSD: observe.UnseenBroodLogSD, StoresKg: timingStoresKg, StoresMax: timingStoresKg,
	}}
	for m := range min(timingMembers, members) {
		t.bare = append(t.bare, colony.Path{})
		t.run(m, colony.Treatment{}, pathDays, &t.bare[m])
	}
	return t, nil
}

// first is the day of the outlook on which its paths begin.
func (t *trialColony) first() int { return t.seen.Day + 1 }

// run takes a member through the first days under a treatment.
func (t *trialColony) run(m int, care colony.Treatment, days int, path *colony.Path) {
	t.drawer.Realize(ensemble.KeyOf("timing", t.y.Site.Name), &t.seen, m, &t.c)
	span := t.c.Span
	span.Days = min(len(t.c.Forcing), days)
	t.runner.Run(colony.Spring{Params: &t.c.Params, Forcing: t.c.Forcing, Span: span}, t.c.Start, &care, 0, path)
}

// dose is a member's path of so many days with one dose put on at one of them. It is good until
// the next.
func (t *trialColony) dose(m, on, days int) *colony.Path {
	t.run(m, colony.Treatment{Supplement: true, SupplementFrom: on, SupplementTo: on + doseDays}, min(days, pathDays), &t.dosed)
	return &t.dosed
}

// findTiming works out when a supplement shows at a yard: for the day bees are
// wanted, or, when none is named, for the nectar of the middle spring.
func (y *Yard) findTiming(draws *ensemble.SharedDraws, members int) (timing, error) {
	wanted := y.Season.Settings.BeesWantedDate
	named := !wanted.IsZero()
	if !named {
		wanted = y.Facts.Nectar.P50
	}
	t, err := y.trialColony(draws, members, wanted)
	if err != nil {
		return timing{}, err
	}
	first := y.Visits[0]
	in := t.windowFor(wanted)
	out := timing{day: first.Day, leadDays: in.leadDays}
	if named && in.last >= in.first {
		out.windowFrom, out.windowTo = t.outlook.Date(in.first), t.outlook.Date(in.last)
		out.day = max(y.Outlook.Day(t.outlook.Date(in.most)), first.Day)
	}
	on := max(0, t.outlook.Day(y.Outlook.Date(out.day))-t.first())
	var emerge, forage, n int
	for m := range t.bare {
		if on >= len(t.bare[m].Bees) {
			continue
		}
		dose := t.dose(m, on, on+shownDays)
		end := len(dose.Bees)
		if half := halfWay(difference(dose.Emerged, t.bare[m].Emerged)[:end]); half > on {
			emerge += half - on
			forage += halfWay(difference(dose.ForagerNum, t.bare[m].ForagerNum)[:end]) - on
			n++
		}
	}
	if n > 0 {
		out.emergeDays, out.forageDays = emerge/n, forage/n
	}
	return out, nil
}

// dosed is one day for a dose: what share of the bees reared on it are there on
// the day they are wanted, and how many that is over all members.
type dosed struct {
	on            int // day of the paths
	share, onHand float64
}

// window is the days of an outlook on which a dose goes on for a day, and how long
// before it. It is empty when no dose rears a bee more.
type window struct {
	first, last int        // last before first: none
	most        int        // the day that brings most bees
	leadDays    plan.Range // shortest, best and longest
}

// windowFor tries doses before a date and asks of each what share of the bees reared
// on it are there as adults on the day: too late and they are still brood, too
// early and they are spent. The window holds the days on which a dose keeps most of
// that share.
func (t *trialColony) windowFor(wanted time.Time) window {
	wantedDay := t.outlook.Day(wanted)
	read := wantedDay - t.first()
	var all []dosed
	best := dosed{}
	for on := max(0, read-windowBack); on < read; on += windowStep {
		x, reared := t.try(on, read)
		if reared/float64(len(t.bare)) < fewestReared {
			continue
		}
		all = append(all, x)
		if x.share > best.share {
			best = x
		}
	}
	out := window{first: math.MaxInt, last: -1}
	mostOnHand := 0.0
	for _, x := range all {
		if x.share < windowShare*best.share || best.share <= 0 {
			continue
		}
		// A day tried stands for the days about it.
		out.first, out.last = min(out.first, x.on+t.first()-windowStep/2), max(out.last, x.on+t.first()+windowStep/2)
		if x.onHand > mostOnHand {
			mostOnHand, out.most = x.onHand, x.on+t.first()
		}
	}
	if out.last >= out.first {
		out.leadDays = plan.Range{P10: float64(wantedDay - out.last), P50: float64(read - best.on), P90: float64(wantedDay - out.first)}
	}
	return out
}

// try puts a dose on at a day of the paths and reads it on another.
func (t *trialColony) try(on, read int) (x dosed, reared float64) {
	onHand := 0.0
	for m := range t.bare {
		if read >= len(t.bare[m].Bees) {
			continue
		}
		d, bare := t.dose(m, on, max(read+1, on+doseBroodDays)), &t.bare[m]
		onHand += d.Bees[read] - bare.Bees[read]
		for day := on; day < min(on+doseBroodDays, len(d.Laid)); day++ {
			reared += d.Laid[day] - bare.Laid[day]
		}
	}
	return dosed{on: on, share: onHand / reared, onHand: onHand}, reared
}

func difference(a, b []float64) []float64 {
	d := make([]float64, len(a))
	for i := range a {
		d[i] = a[i] - b[i]
	}
	return d
}

// halfWay is the day by which half of the positive part of x has come; -1 when
// there is none.
func halfWay(x []float64) int {
	total := 0.0
	for _, v := range x {
		total += math.Max(0, v)
	}
	if total == 0 {
		return -1
	}
	sum := 0.0
	for i, v := range x {
		if sum += math.Max(0, v); sum >= total/2 {
			return i
		}
	}
	return len(x) - 1
}

// withSupplement is what a supplement changes for a colony.
type withSupplement struct {
	plan     plan.Supplement
	strength syrup.Strength // of the colony's syrup; set anew where it needs feed with the supplement only
	eatenG   []float64      // by member; nil where it is not advised
}

// A supplement is weighed up on so many members, 50-1000, own judgement. Each is set against
// itself, so that what it changes of a risk is known to some 1 %. What it brings hangs on the
// spring above all: of 30 springs two members each tell 1190 bees more to 184, four to 155.
// Where bees are wanted on a day, their range is asked as well, and takes more.
const (
	mostSupplemented = 60
	mostWanted       = 120
)

// supplement says what a supplement changes for a colony that has been judged alone,
// and for one that is fed. All members are taken only where it is given or needs feed by
// itself.
func (w *Worker) supplement(s *subject, alone *grown, found *fed, out *plan.ColonyPlan) withSupplement {
	y, o, set := s.y, s.y.Outlook, &w.o.Season.Settings
	members := w.o.paired(mostSupplemented)
	if !set.BeesWantedDate.IsZero() {
		members = w.o.paired(mostWanted)
	}
	t := &y.timing
	on := t.day
	b, care := &w.supplemented, &colony.Treatment{Supplement: true, SupplementFrom: on - s.first}
	b.members, b.cases = members, alone.cases[:members]
	b.resize(members, len(y.Visits)+1, len(y.Weeks))
	w.grow(b, care, 0, members)
	w.leave(s, b, 0, members)
	rest := func() {
		if n := w.o.Members; alone.members < n {
			s = s.learn(n)
			s.draw(alone, alone.members, n)
		}
		b.members, b.cases = w.o.Members, alone.cases[:w.o.Members]
		b.resize(w.o.Members, len(y.Visits)+1, len(y.Weeks))
		w.grow(b, care, members, w.o.Members)
	}

	p := plan.Supplement{Considered: true, From: o.Date(on), Emerge: o.Date(on + t.emergeDays), Forage: o.Date(on + t.forageDays),
		LeadDays: t.leadDays, WindowFrom: t.windowFrom, WindowTo: t.windowTo}
	bare := *alone
	bare.members = members
	p.Risk = changed(out.Risk, difference(s.starves(alone, b), s.starves(alone, &bare)))
	p.BloomBees = w.rangeOf(b.bloomBees[:members])
	bees, bareBees := b.bloomBees[:members], alone.bloomBees[:members]
	without := w.rangeOf(bareBees)
	if !set.BeesWantedDate.IsZero() {
		bees, bareBees = b.readBees[:members], alone.readBees[:members]
		p.WantedBees, p.BareWanted = w.rangeOf(bees), w.rangeOf(bareBees)
		without = p.BareWanted
	}
	p.GainBees, p.GainErrBees = w.pairedGain(y, bees, bareBees)
	w.sorted = w.sorted[:0]
	for m := range members {
		w.sorted = append(w.sorted, b.shortKg[m]-alone.shortKg[m])
	}
	p.ExtraKg = math.Max(0, schedule.Quantile(w.sorted, 0.5))
	p.SupplementKg = w.rangeOf(b.supplementG[:members]).P50 / 1000

	with := withSupplement{strength: out.Strength}
	p.RiskFed = p.Risk
	switch {
	case found != nil:
		on := &w.tryPlan(s, b, out).on
		p.RiskFed = changed(out.RiskFed, difference(ones(on.Starves), ones(found.mine.on.Starves[:members])))
		p.Feedings = s.feedings(out.Strength, s.policyOf(out.Feedings), on, found.mine.members)
	case p.Risk.Frac > set.AcceptRiskFrac:
		rest()
		w.leave(s, b, members, w.o.Members)
		again := w.feedSupplemented(s, b, out.Bees.P50)
		with.strength = again.strength
		p.Feeder, p.RiskFed, p.Feedings = again.feeder, again.risk, again.feedings
	}
	mixed := strengthOr(out)
	if !with.strength.IsZero() {
		mixed = with.strength
	}
	p.ExtraSyrupL = p.ExtraKg / mixed.StoresKgPerL()
	p.Advised, p.Advice = w.advise(&p, out.Risk.Frac, without.P50, y.Visits[0].Date)
	if p.Advised {
		rest()
		with.eatenG = b.supplementG[:w.o.Members]
		p.SupplementKg = w.rangeOf(with.eatenG).P50 / 1000
	}
	with.plan = p
	return with
}

// pairedGain is how many more bees each member has with than without, and the
// standard error of the middle: members of one spring are alike, so it is the
// springs that are counted.
func (w *Worker) pairedGain(y *Yard, with, without []float64) (gain plan.Range, errBees float64) {
	springs := len(y.Springs.Forcing)
	sum, n := make([]float64, springs), make([]float64, springs)
	w.sorted = w.sorted[:0]
	for m := range with {
		more := with[m] - without[m]
		w.sorted = append(w.sorted, more)
		k := y.Springs.Members[m].Spring
		sum[k] += more
		n[k]++
	}
	var means []float64
	for k := range sum {
		if n[k] > 0 {
			means = append(means, sum[k]/n[k])
		}
	}
	return plan.RangeOf(w.sorted), stat.StdErr(stat.StdDev(means, nil), float64(len(means)))
}

// fedBeside is the feed of a colony that needs none without a supplement.
type fedBeside struct {
	feeder   plan.Feeder
	strength syrup.Strength
	risk     plan.Risk
	feedings []plan.Feeding
}

// feedSupplemented finds what a colony that needs no feed by itself needs with a
// supplement.
func (w *Worker) feedSupplemented(s *subject, a *grown, bees float64) fedBeside {
	y, on := s.y, &w.mine
	need, first := w.required(s, a)
	start := min(first.risk, first.reserve, len(y.Visits)-1)
	wy, choice := choose(y, need, start, w.o.Season)
	out := fedBeside{feeder: choice.Feeder, strength: chosenStrength(&w.o.Season.Settings, wy, bees, y.firstSyrup(start))}
	on.members = s.membersFor(a, 0, a.members, on.members)
	w.engine.Prepare(&on.set, uint64(s.key), on.members, w.terms(s, feederOf(wy), out.strength))
	found := w.engine.Find(&on.set, 1, 1, &on.on)
	policy := w.settle(found.Policy, on)
	// On the members that its lines are drawn through a policy looks too good.
	out.risk = plan.RiskOf(int(math.Round(found.RiskFrac*float64(a.members))), a.members)
	out.feedings = s.feedings(out.strength, policy, &on.on, on.members)
	return out
}

// When a supplement's bees are too few to advise it.
const (
	littleGain = 0.04 // share of the bees that nobody would see, 1, 0.02-0.1, own judgement
	surelyMore = 2    // standard errors that the gain must be above nothing, 1, 2-3, own judgement
)

// advise says whether a supplement is put on, and what of it. without is the bees
// without it, at bloom or on the day wanted, first the day of the first visit.
func (w *Worker) advise(p *plan.Supplement, aloneFrac, without float64, first time.Time) (advised bool, advice []plan.Note) {
	set := &w.o.Season.Settings
	wanted, wantedBees := set.BeesWantedDate, set.BeesWantedBees
	gain := p.GainBees.P50
	slight := !(gain >= math.Max(littleGain*without, surelyMore*p.GainErrBees))
	var effect plan.Note = plan.SupplementEffect{From: p.From, MoreBees: gain, ErrBees: p.GainErrBees, BareBees: without, WantedOn: wanted,
		Emerge: p.Emerge, Forage: p.Forage, ExtraSyrupL: p.ExtraSyrupL, RiskFrac: p.Risk.Frac, AloneFrac: aloneFrac}
	if slight {
		effect = plan.SupplementSlight{From: p.From, WantedOn: wanted}
	}
	switch {
	case wanted.IsZero():
		return false, []plan.Note{plan.SupplementUnwanted{}, effect}
	case p.WindowTo.IsZero() || slight && !p.WindowTo.Before(first):
		return false, []plan.Note{plan.SupplementIdle{}, effect}
	case p.WindowTo.Before(first):
		return false, []plan.Note{plan.SupplementLate{WantedOn: wanted}, effect}
	case !math.IsNaN(wantedBees) && without >= wantedBees:
		return false, []plan.Note{plan.SupplementEnough{Bees: without, WantedOn: wanted}, effect}
	}
	advice = []plan.Note{plan.SupplementWindow{WantedOn: wanted, From: p.WindowFrom, To: p.WindowTo}}
	if !math.IsNaN(wantedBees) && without+gain < (1-littleGain)*wantedBees {
		advice = append(advice, plan.SupplementShort{WantedBees: wantedBees})
	}
	return true, append(advice, effect, plan.SupplementCare{})
}
