package decide

import (
	"math"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/forage"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/observe"

	"gonum.org/v1/gonum/stat"
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
		t.bare = append(t.bare, t.path(m, colony.Treatment{}))
	}
	return t, nil
}

// first is the day of the outlook on which its paths begin.
func (t *trialColony) first() int { return t.seen.Day + 1 }

func (t *trialColony) path(m int, care colony.Treatment) colony.Path {
	t.drawer.Realize(ensemble.KeyOf("timing", t.y.Site.Name), &t.seen, m, &t.c)
	span := t.c.Span
	span.Days = min(len(t.c.Forcing), pathDays)
	path := colony.Path{}
	t.runner.Run(&t.c.Params, t.c.Forcing, t.c.Start, span, &care, 0, &path)
	return path
}

// dose is a member's path with one dose put on at a day of the path.
func (t *trialColony) dose(m, on int) colony.Path {
	return t.path(m, colony.Treatment{Supplement: true, SupplementFrom: on, SupplementTo: on + doseDays})
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
	out := timing{day: first.Day}
	from, to, best := t.leads(wanted, &out.leadDays)
	if named && to >= from {
		out.windowFrom, out.windowTo = t.outlook.Date(from), t.outlook.Date(to)
		out.day = max(y.Outlook.Day(t.outlook.Date(best)), first.Day)
	}
	on := max(0, t.outlook.Day(y.Outlook.Date(out.day))-t.first())
	var emerge, forage, n int
	for m := range t.bare {
		if on >= len(t.bare[m].Bees) {
			continue
		}
		dose := t.dose(m, on)
		end := min(len(dose.Bees), on+shownDays)
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

// tried is one day for a dose: what share of the bees reared on it are there on
// the day they are wanted, and how many that is over all members.
type tried struct {
	on            int // day of the paths
	share, onHand float64
}

// leads tries doses before a date and asks of each what share of the bees reared
// on it are there as adults on the day: too late and they are still brood, too
// early and they are spent. It sets the leads, and returns the first and last day
// of its outlook on which a dose keeps most of that share, and the day that brings
// most bees; last before first when no dose rears a bee more.
func (t *trialColony) leads(wanted time.Time, leadDays *plan.Range) (first, last, most int) {
	wantedDay := t.outlook.Day(wanted)
	read := wantedDay - t.first()
	var all []tried
	best := tried{}
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
	first, last = math.MaxInt, -1
	mostOnHand := 0.0
	for _, x := range all {
		if x.share < windowShare*best.share || best.share <= 0 {
			continue
		}
		// A day tried stands for the days about it.
		first, last = min(first, x.on+t.first()-windowStep/2), max(last, x.on+t.first()+windowStep/2)
		if x.onHand > mostOnHand {
			mostOnHand, most = x.onHand, x.on+t.first()
		}
	}
	if last >= first {
		*leadDays = plan.Range{P10: float64(wantedDay - last), P50: float64(read - best.on), P90: float64(wantedDay - first)}
	}
	return first, last, most
}

// try puts a dose on at a day of the paths and reads it on another.
func (t *trialColony) try(on, read int) (x tried, reared float64) {
	onHand := 0.0
	for m := range t.bare {
		if read >= len(t.bare[m].Bees) {
			continue
		}
		d, bare := t.dose(m, on), &t.bare[m]
		onHand += d.Bees[read] - bare.Bees[read]
		for day := on; day < min(on+doseBroodDays, len(d.Laid)); day++ {
			reared += d.Laid[day] - bare.Laid[day]
		}
	}
	return tried{on: on, share: onHand / reared, onHand: onHand}, reared
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

// weighProtein fills in what a supplement changes for a colony.
func (w *Worker) weighProtein(s *subject, out *plan.ColonyPlan) {
	members := w.o.Members
	y := s.y
	o := y.Outlook
	set := &w.o.Season.Settings
	a, b := &w.alone, &w.protein
	p := &out.Supplement
	p.Considered = true
	t := &y.timing
	on := t.day
	p.From = o.Date(on)
	w.grow(s, supplemented, 0, members, &colony.Treatment{Supplement: true, SupplementFrom: on - s.first}, b)
	w.keep(s, supplemented, 0, members, nil, s.checkDays(), b)
	p.Risk = plan.RiskOf(count(b.starve[:members]), members)
	p.BloomBees = w.rangeOf(b.bloomBees[:members])
	without := w.rangeOf(a.bloomBees[:members])
	if !set.BeesWantedDate.IsZero() {
		p.WantedBees, p.BareWanted = w.rangeOf(b.readBees[:members]), w.rangeOf(a.readBees[:members])
	}
	bees, bareBees := b.bloomBees[:members], a.bloomBees[:members]
	if !set.BeesWantedDate.IsZero() {
		bees, bareBees = b.readBees[:members], a.readBees[:members]
	}
	p.GainBees, p.GainErrBees = w.pairedGain(y, bees, bareBees)
	w.sorted = w.sorted[:0]
	for m := range members {
		w.sorted = append(w.sorted, b.short[m]-a.short[m])
	}
	p.ExtraKg = math.Max(0, schedule.Quantile(w.sorted, 0.5))
	p.ExtraSyrupL = p.ExtraKg / strengthOr(out).StoresKgPerL()
	p.SupplementKg = w.rangeOf(b.supplementG[:members]).P50 / 1000
	p.Emerge, p.Forage = o.Date(on+t.emergeDays), o.Date(on+t.forageDays)
	p.LeadDays, p.WindowFrom, p.WindowTo = t.leadDays, t.windowFrom, t.windowTo

	p.RiskFed = p.Risk
	switch {
	case out.Verdict == plan.Feed:
		w.judgeOn(s, supplemented, members, out.Feedings, out.Strength, out.Choice, &out.Policy)
		p.RiskFed = plan.RiskOf(w.pol.onB.Starved, members)
		p.Feedings = w.feedings(s, out, s.policyOf(out.Feedings), &w.pol.onB)
	case p.Risk.Frac > set.AcceptRiskFrac:
		w.feedSupplemented(s, out, members)
	}
	p.Advised, p.Advice = w.advise(out, without, y.Visits[0].Date)
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

// feedSupplemented finds what a colony that needs no feed by itself needs with a
// supplement.
func (w *Worker) feedSupplemented(s *subject, out *plan.ColonyPlan, members int) {
	y, q, p := s.y, &w.pol, &out.Supplement
	need, first := w.required(s, &w.protein, members)
	start := min(first.risk, first.reserve, len(y.Visits)-1)
	wy, choice := choose(y, need, start, w.o.Season)
	p.Feeder, out.Strength = choice.Feeder, chosenStrength(&w.o.Season.Settings, wy, out.Bees.P50, y.firstSyrup(start))
	q.set(s, out.Strength, &w.o.Season.Settings)
	q.ofA = w.policyMembers(s, supplemented, 0, members, q.ofA)
	q.engine.Prepare(&q.a, uint64(s.key), q.ofA, q.visits, feederOf(wy), s.later, &q.rules)
	found := q.engine.Find(&q.a, 1, 1)
	policy := w.settle(found.Policy)
	p.RiskFed, p.Feedings = plan.RiskOf(q.onA.Starved, members), w.feedings(s, out, policy, &q.onA)
}

// When a supplement's bees are too few to advise it.
const (
	littleGain = 0.04 // share of the bees that nobody would see, 1, 0.02-0.1, own judgement
	surelyMore = 2    // standard errors that the gain must be above nothing, 1, 2-3, own judgement
)

// advise says whether a supplement is put on, and what of it. bare is the bees at
// bloom without it, first the day of the first visit.
func (w *Worker) advise(out *plan.ColonyPlan, bare plan.Range, first time.Time) (advised bool, advice []plan.Note) {
	p, set := &out.Supplement, &w.o.Season.Settings
	wanted, wantedBees := set.BeesWantedDate, set.BeesWantedBees
	without := bare.P50
	if !wanted.IsZero() {
		without = p.BareWanted.P50
	}
	gain := p.GainBees.P50
	slight := !(gain >= math.Max(littleGain*without, surelyMore*p.GainErrBees))
	var effect plan.Note = plan.SupplementEffect{From: p.From, MoreBees: gain, ErrBees: p.GainErrBees, BareBees: without, WantedOn: wanted,
		Emerge: p.Emerge, Forage: p.Forage, ExtraSyrupL: p.ExtraSyrupL, RiskFrac: p.Risk.Frac, AloneFrac: out.Risk.Frac}
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
