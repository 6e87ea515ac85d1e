package feed

import (
	"fmt"
	"math"
	"time"

	"bloomgap/sim"
)

// timing is when a supplement shows, worked out once for a yard on its middle
// colony.
type timing struct {
	emergeDays, forageDays float64 // from putting it on to half of the extra bees emerged, and in the field
	leadDays               Range   // from a short dose to most extra foragers
	windowFrom, windowTo   time.Time
}

// Runs behind a yard's timing: paths are kept day by day, so they are few.
const (
	timingMembers = 40  // members, 20-200, own judgement
	doseDays      = 14  // d that a dose lies on, 7-21, common practice: one or two patties
	windowStep    = 7   // d between the dates tried, 1-7, own judgement
	windowBack    = 70  // d before the wanted day that are tried, 42-90, own judgement
	windowShare   = 0.7 // of the best date's extra bees that a date in the window must bring, 0.5-0.9, own judgement
)

// timingOf works out a yard's timing from a colony with the given start, once.
func (w *worker) timingOf(s *subject) *timing {
	s.y.timeOne.Do(func() { s.y.timing = w.findTiming(s) })
	return s.y.timing
}

func (w *worker) findTiming(s *subject) *timing {
	y := s.y
	// The middle of the yard: what any colony of its spring is, not this one.
	mid := *s
	mid.key = sim.KeyOf("timing", y.yard.Name)
	mid.seen.BeesLogMu, mid.seen.BeesLogSD = math.Log(timingBees), 0.2
	mid.seen.BroodCells = math.NaN()
	mid.seen.StoresKg, mid.seen.StoresSDKg, mid.seen.StoresMin, mid.seen.StoresMax = 30, 0, 0, 60
	mid.seen.Day = y.today
	mid.first = mid.seen.Day + 1
	on := max(0, y.proteinDay()-mid.first)
	t := &timing{}
	var lead []float64
	var emergeSum, forageSum, n float64
	for m := range min(timingMembers, w.p.opt.Members) {
		bare := w.pathOf(&mid, m, &sim.Care{})
		lying := w.pathOf(&mid, m, &sim.Care{Supplement: true, SupplementFrom: on})
		dose := w.pathOf(&mid, m, &sim.Care{Supplement: true, SupplementFrom: on, SupplementTo: on + doseDays})
		if half := halfWay(difference(lying.Emerged, bare.Emerged)); half >= 0 {
			emergeSum += float64(half - on)
			extra := difference(lying.ForagerNum, bare.ForagerNum)
			forageSum += float64(halfWay(extra) - on)
			n++
		}
		if peak := peakDay(difference(dose.ForagerNum, bare.ForagerNum)); peak > on {
			lead = append(lead, float64(peak-on))
		}
	}
	t.emergeDays, t.forageDays = emergeSum/math.Max(1, n), forageSum/math.Max(1, n)
	t.leadDays = rangeOf(lead)
	if wanted := w.p.season.Settings.BeesWantedDate; !wanted.IsZero() {
		w.findWindow(&mid, t, wanted)
	}
	return t
}

// timingBees is the colony on which a yard's timing is worked out, bees.
const timingBees = 9000

// findWindow tries dates for a dose before the wanted day and keeps those that
// bring most of the extra foragers of the best.
func (w *worker) findWindow(mid *subject, t *timing, wanted time.Time) {
	o := mid.y.weather.Outlook
	read := o.Day(wanted) - mid.first
	var dates []int
	var gain []float64
	best := 0.0
	for on := max(0, read-windowBack); on < read; on += windowStep {
		sum := 0.0
		for m := range min(timingMembers, w.p.opt.Members) {
			bare := w.pathOf(mid, m, &sim.Care{})
			dose := w.pathOf(mid, m, &sim.Care{Supplement: true, SupplementFrom: on, SupplementTo: on + doseDays})
			if read < len(bare.ForagerNum) {
				sum += dose.ForagerNum[read] - bare.ForagerNum[read]
			}
		}
		dates, gain = append(dates, on), append(gain, sum)
		best = math.Max(best, sum)
	}
	for i, g := range gain {
		if best > 0 && g >= windowShare*best {
			date := o.Date(dates[i] + mid.first)
			if t.windowFrom.IsZero() {
				t.windowFrom = date
			}
			t.windowTo = date
		}
	}
}

// pathOf runs one member of a colony until the end of its forcing or 150 days
// and returns a path of its own.
func (w *worker) pathOf(s *subject, m int, care *sim.Care) sim.Path {
	s.drawer.Case(s.key, &s.seen, m, &w.c)
	c := &w.c
	c.Span.Days = min(len(c.Forcing), pathDays)
	path := sim.Path{}
	if c.Span.NectarDay > c.Span.Days {
		c.Span.NectarDay = c.Span.Days
	}
	w.runner.Run(&c.Params, c.Forcing, c.Start, c.Span, care, s.reserveKg, &path)
	return path
}

const pathDays = 150 // d of a path that timing looks at, 100-200, own judgement

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

func peakDay(x []float64) int {
	best := 0
	for i, v := range x {
		if v > x[best] {
			best = i
		}
	}
	return best
}

// weighProtein fills in what a supplement changes for a colony.
func (w *worker) weighProtein(s *subject, out *ColonyPlan, members int) {
	y := s.y
	o := y.weather.Outlook
	set := &w.p.season.Settings
	a, b := &w.alone, &w.protein
	p := &out.Protein
	p.Considered = true
	on := y.proteinDay()
	p.From = o.Date(on)
	p.Risk = riskOf(count(b.starve[:members]), members)
	p.BloomBees = w.rangeOf(b.bloomBees[:members])
	bare := w.rangeOf(a.bloomBees[:members])
	if !set.BeesWantedDate.IsZero() {
		p.WantedBees, p.BareWanted = w.rangeOf(b.readBees[:members]), w.rangeOf(a.readBees[:members])
	}
	w.sorted = w.sorted[:0]
	for m := range members {
		w.sorted = append(w.sorted, b.short[m]-a.short[m])
	}
	p.ExtraKg = math.Max(0, quantile(w.sorted, 0.5))
	p.ExtraSyrupL = p.ExtraKg / out.strengthOr().StoresKgPerL()
	p.SupplementKg = w.rangeOf(b.supplementG[:members]).P50 / 1000
	t := w.timingOf(s)
	p.Emerge, p.Forage = o.Date(on+int(math.Round(t.emergeDays))), o.Date(on+int(math.Round(t.forageDays)))
	p.LeadDays, p.WindowFrom, p.WindowTo = t.leadDays, t.windowFrom, t.windowTo

	p.RiskFed = p.Risk
	if out.Verdict == Feed || p.Risk.Frac > set.AcceptRiskFrac {
		need, first := w.required(s, b, members)
		start := min(first.risk, first.reserve)
		strength := out.strengthOr()
		wy, _ := choose(y, need, start, strength, w.p.season)
		lots := y.lay(need, 0, start, strength, wy)
		tried := w.try(s, lots, strength, wy, members, sim.Care{Supplement: true, SupplementFrom: on - s.first})
		p.RiskFed, p.Fills = tried.risk, y.fillsOf(lots, strength)
	}
	p.Advice = proteinWords(s, out, bare, set.BeesWantedDate, set.BeesWantedBees, words{set.UnitsUS}, w.p.season.Today)
}

func proteinWords(s *subject, out *ColonyPlan, bare Range, wanted time.Time, wantedBees float64, wd words, today time.Time) string {
	p := &out.Protein
	gain := p.BloomBees.P50 - bare.P50
	effect := fmt.Sprintf("From %s it would mean some %.0f more bees at bloom, half of the extra ones emerged by %s and in the field by %s, and cost about %s more syrup",
		day(p.From), round(gain, 100), day(p.Emerge), day(p.Forage), wd.litres(p.ExtraSyrupL))
	risk := fmt.Sprintf("; without that syrup the risk would be %s instead of %s.", percent(p.Risk.Frac), percent(out.Risk.Frac))
	if wanted.IsZero() {
		return "Leave the supplement out: no early bees are wanted. " + effect + risk
	}
	if p.WindowTo.IsZero() || p.WindowTo.Before(today) {
		return fmt.Sprintf("It is too late for a supplement to help by %s. ", day(wanted)) + effect + risk
	}
	advice := fmt.Sprintf("For bees by %s put it on between %s and %s.", day(wanted), day(p.WindowFrom), day(p.WindowTo))
	if !math.IsNaN(wantedBees) && p.BareWanted.P50 >= wantedBees {
		advice = fmt.Sprintf("Leave the supplement out: without it there are some %.0f bees by %s, enough.", round(p.BareWanted.P50, 100), day(wanted))
	} else if !math.IsNaN(wantedBees) && p.WantedBees.P50 < wantedBees {
		advice += fmt.Sprintf(" Even so there will be some %.0f bees, not %.0f.", round(p.WantedBees.P50, 100), wantedBees)
	}
	return advice + " " + effect + risk + " Keep syrup on with it, and take leftovers away after 7-10 days where small hive beetle lives."
}
