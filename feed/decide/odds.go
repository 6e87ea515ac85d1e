package decide

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/forage"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// odds are the chances of a colony left alone, without counting draws of what it holds.
//
// A kilo more on the first evening is a kilo more on every evening after, since nothing that
// bees and brood ask hangs on the stores. So each member has one figure: the least it must
// hold to come through, which is what it held and what it lacked. The chance that a member
// starves is the share of the spread of the stores under that figure, and the risk is the
// mean of that share over members. The same goes for starving by a day and for passing the
// reserve.
//
// What error is left comes from the other draws. Most of it goes with the spring and the
// ensemble.Leads, so a straight line through the members' figures, one height for each
// spring, stands in for them: its own chance is known over all springs and all draws, and the
// members only tell how far the truth differs from it (a control variate, from
// memory: Glasserman 2003, Monte Carlo Methods in Financial Engineering, 4.1). How
// they scatter about it is the error of the risk.
//
// A colony with several looks has its draws picked by them, stores and all: its
// members are counted.
type odds struct {
	s    *subject
	a    *grown
	n    int // members
	few  int // of them, the first: those that tell how a chance is spread over the weeks
	held ensemble.Held
	line line
}

// leads is how many of them there are.
const leads = len(ensemble.Leads{})

// line is what a straight line is drawn through: members less the mean of their spring.
type line struct {
	group []int // of each member: its spring, or 0 where springs are too many for their members
	share []float64
	drawn []bool // the spring was made up by the seed
	count []float64
	mean  [][leads]float64
	root  mat.Cholesky
}

// fewestOfSpring is how many members a spring must have on average for a height of its
// own, 2-5, own judgement.
const fewestOfSpring = 3

// mostDated members tell by when something happens of which all tell how likely it is, 100-1000,
// own judgement: those that every colony runs on.
const mostDated = fewestAlone

// oddsOf readies the chances of a colony on the members that its decision goes by.
func oddsOf(s *subject, a *grown) *odds {
	o := &odds{s: s, a: a, n: a.members, few: min(a.members, mostDated), held: s.seen.Held()}
	if !o.counted() {
		o.line.through(s, a)
	}
	return o
}

// through gathers what every straight line through these members needs.
func (l *line) through(s *subject, a *grown) {
	springs := s.y.Outlook.Springs
	l.group = make([]int, a.members)
	l.share, l.drawn = []float64{1}, []bool{false}
	if a.members >= fewestOfSpring*len(springs) {
		l.share, l.drawn = nil, nil
		for i := range springs {
			l.share = append(l.share, springs[i].Weight)
			l.drawn = append(l.drawn, springs[i].Days[len(springs[i].Days)-1].Origin == forage.Generated)
		}
		for m := range l.group {
			l.group[m] = s.y.Springs.Members[m].Spring
		}
	}
	l.count, l.mean = make([]float64, len(l.share)), make([][leads]float64, len(l.share))
	for m, g := range l.group {
		l.count[g]++
		for i, z := range a.cases[m].Leads {
			l.mean[g][i] += z
		}
	}
	for g := range l.mean {
		for i := range leads {
			l.mean[g][i] /= math.Max(1, l.count[g])
		}
	}
	var sum [leads * leads]float64
	for m, g := range l.group {
		z := &a.cases[m].Leads
		for i := range leads {
			off := z[i] - l.mean[g][i]
			for j := range i + 1 {
				sum[j*leads+i] += off * (z[j] - l.mean[g][j])
			}
		}
	}
	square := mat.NewSymDense(leads, sum[:])
	for i := range leads { // a hair of ridge: a lead without spread has no slope
		square.SetSym(i, i, square.At(i, i)*(1+1e-6)+1e-6)
	}
	l.root.Factorize(square)
}

// drawn is a straight line through figures of members.
type drawn struct {
	height    []float64 // by group, where all leads are 0
	slope     [leads]float64
	variance  float64 // of the figures about it
	steepness float64 // variance that the leads make along it
}

// draw draws a straight line through the figures of members.
func (l *line) draw(a *grown, x []float64) drawn {
	out := drawn{height: make([]float64, len(l.share))}
	for m, g := range l.group {
		out.height[g] += x[m] / l.count[g]
	}
	all := stat.Mean(x, nil)
	var with [leads]float64
	for m, g := range l.group {
		off := x[m] - out.height[g]
		for i, z := range a.cases[m].Leads {
			with[i] += (z - l.mean[g][i]) * off
		}
	}
	slope := mat.NewVecDense(leads, out.slope[:])
	if l.root.SolveVecTo(slope, mat.NewVecDense(leads, with[:])) != nil {
		clear(out.slope[:])
	}
	for g := range out.height {
		if l.count[g] == 0 {
			out.height[g] = all
		}
		for i, b := range out.slope {
			out.height[g] -= b * l.mean[g][i]
		}
	}
	for m := range l.group {
		out.variance += square(x[m]-l.at(&out, a, m)) / math.Max(1, float64(len(x)-len(l.share)-leads))
	}
	for _, b := range out.slope {
		out.steepness += b * b
	}
	return out
}

// at is the height of a line at a member.
func (l *line) at(d *drawn, a *grown, m int) float64 {
	x := d.height[l.group[m]]
	for i, z := range a.cases[m].Leads {
		x += d.slope[i] * z
	}
	return x
}

// chance is one with its errors.
type chance struct {
	frac     float64
	errFrac  float64 // of the draws: it falls as members are added
	ofSpring float64 // of the springs that were made up: it does not
}

// risk is a chance as it is told, with both its errors.
func (c chance) risk() plan.Risk {
	return plan.Risk{Frac: c.frac, ErrFrac: math.Hypot(c.errFrac, c.ofSpring)}
}

// changed is a risk with what something changes, by member, on some of the members: the
// same in all but that, they tell a change far better than a risk.
func changed(risk plan.Risk, by []float64) plan.Risk {
	mean, sd := stat.MeanStdDev(by, nil)
	return plan.Risk{Frac: math.Max(0, math.Min(1, risk.Frac+mean)), ErrFrac: math.Hypot(risk.ErrFrac, stat.StdErr(sd, float64(len(by))))}
}

// counted tells that members are counted, since looks have picked their draws.
func (o *odds) counted() bool { return o.s.learned != nil }

// each writes the chance that each member holds less than its figure on the first day.
func (o *odds) each(kg, into []float64) []float64 {
	for m := range o.n {
		into = append(into, o.held.Under(kg[m]))
	}
	return into
}

// mean is the plain mean of it over the members whose figures these are.
func (o *odds) mean(kg []float64) float64 {
	sum := 0.0
	for _, x := range kg {
		sum += o.held.Under(x)
	}
	return sum / float64(len(kg))
}

// starving is the chance to starve before nectar.
func (o *odds) starving() chance {
	if o.counted() {
		r := plan.RiskOf(count(o.a.starve[:o.n]), o.n)
		return chance{frac: r.Frac, errFrac: r.ErrFrac}
	}
	return o.under(o.a.needKg())
}

// starves is the chance of each member to starve before nectar that holds what those of
// one set hold and lacks what those of another do; 0 or 1 where members are counted.
func (s *subject) starves(holds, lacks *grown) []float64 {
	out, held := make([]float64, lacks.members), s.seen.Held()
	for m := range out {
		switch {
		case s.learned == nil:
			out[m] = held.Under(holds.startKg[m] + lacks.shortKg[m])
		case lacks.starve[m] >= 0:
			out[m] = 1
		}
	}
	return out
}

// starvedIn is the chance of a member to have starved by the day that its run, not fed, has
// reached; 0 or 1 where members are counted.
func (s *subject) starvedIn(c *ensemble.Realization, run *colony.StoresRun, held *ensemble.Held) float64 {
	switch {
	case s.learned == nil:
		needKg, _ := s.leastToStart(c, run)
		return held.Under(needKg)
	case run.StarveDay >= 0:
		return 1
	}
	return 0
}

// riskOver is the risk of members of which each has its own chance. Its error is that of a
// count, which is an upper bound: chances scatter less than counts.
func riskOver(chances []float64) plan.Risk {
	sum := 0.0
	for _, c := range chances {
		sum += c
	}
	risk := plan.RiskOf(int(math.Round(sum)), len(chances))
	risk.Frac = sum / math.Max(1, float64(len(chances)))
	return risk
}

// times is by how much more or less than their mean the chance to starve is.
func (o *odds) times(risk float64) float64 {
	if all := o.mean(o.a.needKg()[:o.few]); all > 0 {
		return risk / all
	}
	return 1
}

// starvedBy is the chance to have starved by each of the yard's weeks, out of a risk of all.
func (o *odds) starvedBy(risk float64) []float64 {
	out := make([]float64, len(o.s.y.Weeks))
	if o.counted() {
		for i, day := range o.s.y.Weeks {
			for _, d := range o.a.starve[:o.n] {
				if d >= 0 && d+o.s.first <= day {
					out[i]++
				}
			}
			out[i] /= float64(o.n)
		}
		return out
	}
	times := o.times(risk)
	for i, kg := range o.a.needByKg {
		out[i] = math.Min(risk, times*o.mean(kg[:o.few]))
	}
	return out
}

// starvedBefore is the chance to have starved before a day of the outlook.
func (o *odds) starvedBefore(w *Worker, day int) float64 {
	sum, run := 0.0, &w.stores
	for m := range o.n {
		c := &o.a.cases[m]
		run.Begin(c.Spring(), c.Start.StoresKg, o.s.reserveKg, &o.a.demand[m], nil)
		run.Until(day - 1 - o.s.first)
		sum += o.s.starvedIn(c, run, &o.held)
	}
	return sum / float64(o.n)
}

// starveDay is the day of the outlook by which the chance to have starved, out of a risk of
// all, is so much; false for none.
func (o *odds) starveDay(w *Worker, risk, frac float64) (int, bool) {
	if o.counted() {
		return o.dayOf(w, o.a.starve, frac)
	}
	return o.dayOver(w, frac/o.times(risk), o.a.needByKg, func(needKg, _ float64) float64 { return needKg })
}

// passing is the chance to pass the reserve before nectar, and the day of the outlook by
// which it is a half; false for none.
func (o *odds) passing(w *Worker) (frac float64, day int, ok bool) {
	if o.counted() {
		day, ok = o.dayOf(w, o.a.reserve, 0.5)
		return float64(count(o.a.reserve[:o.n])) / float64(o.n), day, ok
	}
	weeks := o.a.holdByKg
	day, ok = o.dayOver(w, 0.5, weeks, func(_, holdKg float64) float64 { return holdKg })
	return o.mean(weeks[len(weeks)-1][:o.n]), day, ok
}

// dayOf is the day of the outlook by which a share of the members has come to a day of
// theirs.
func (o *odds) dayOf(w *Worker, days []int, frac float64) (int, bool) {
	w.sorted = w.sorted[:0]
	for _, d := range days[:o.n] {
		w.sorted = append(w.sorted, neverAsInf(d))
	}
	day := schedule.Quantile(w.sorted, frac)
	if math.IsInf(day, 1) {
		return 0, false
	}
	return int(day) + o.s.first, true
}

// dayOver is the first day of the outlook by which the mean chance to hold less than a figure
// on the first day is a share, 0..1; the figure is picked out of the two of leastToStart.
func (o *odds) dayOver(w *Worker, share float64, byWeek [][]float64, pick func(needKg, holdKg float64) float64) (int, bool) {
	s, weeks := o.s, o.s.y.Weeks
	i := sort.Search(len(byWeek), func(i int) bool { return o.mean(byWeek[i][:o.few]) >= share })
	if i == len(byWeek) {
		return 0, false
	}
	from := s.first
	if i > 0 {
		from = max(from, weeks[i-1]+1)
	}
	byDay := make([][]float64, max(0, weeks[i]-from))
	for d := range byDay {
		byDay[d] = make([]float64, o.few)
	}
	run := &w.stores
	for m := range o.few {
		w.step()
		c := &o.a.cases[m]
		run.Begin(c.Spring(), c.Start.StoresKg, s.reserveKg, &o.a.demand[m], nil)
		for d := range byDay {
			run.Until(from + d - s.first)
			byDay[d][m] = pick(s.leastToStart(c, run))
		}
	}
	return from + sort.Search(len(byDay), func(d int) bool { return o.mean(byDay[d]) >= share }), true
}

// under is the chance to hold less than each member's figure on the first day.
func (o *odds) under(kg []float64) chance {
	share := o.each(kg, nil)
	mean := stat.Mean(share, nil)
	// Beyond its limits the spread has nothing: figures there are put a spread beyond.
	seen := &o.s.seen
	held := make([]float64, o.n)
	for m := range held {
		held[m] = math.Max(seen.StoresMin-seen.StoresSDKg, math.Min(seen.StoresMax+seen.StoresSDKg, kg[m]))
	}
	l := &o.line
	d := l.draw(o.a, held)
	at := func(height, more float64) float64 {
		return ensemble.ShareUnder((height - seen.StoresKg) / math.Sqrt(square(seen.StoresSDKg)+d.variance+more+1e-9))
	}
	lined := make([]float64, o.n)
	for m := range lined {
		lined[m] = at(l.at(&d, o.a, m), 0)
	}
	whole, between := 0.0, 0.0
	for g, w := range l.share {
		whole += w * at(d.height[g], d.steepness)
	}
	for g, w := range l.share {
		if l.drawn[g] {
			between += square(w * (at(d.height[g], d.steepness) - whole))
		}
	}
	slope := 0.0
	if v := stat.Variance(lined, nil); v > 0 {
		slope = math.Max(0, math.Min(1, stat.Covariance(share, lined, nil)/v))
	}
	out := chance{frac: mean + slope*(whole-stat.Mean(lined, nil)), ofSpring: slope * math.Sqrt(between)}
	out.frac = math.Max(0, math.Min(1, out.frac))
	for m := range lined {
		share[m] -= slope * lined[m]
	}
	left := math.Max(1, float64(o.n-leads-len(l.share)))
	// What no member shows may be there in a quarter of one.
	out.errFrac = math.Max(math.Sqrt(stat.Variance(share, nil)/left), 0.25/float64(o.n))
	return out
}

// thirds are the risks over the lightest and the heaviest third of what the colony may hold.
func (o *odds) thirds(scratch []float64) (light, heavy float64) {
	if !o.counted() {
		for _, share := range o.each(o.a.needKg(), scratch) {
			light += 3 * math.Min(share, 1.0/3) / float64(o.n)
			heavy += 3 * math.Max(share-2.0/3, 0) / float64(o.n)
		}
		return light, heavy
	}
	kg := o.s.seenKg(o.a)
	sorted := append(scratch, kg...)
	low, high := schedule.Quantile(sorted, 1.0/3), schedule.Quantile(sorted, 2.0/3)
	var n, starved [2]int
	for m := range o.n {
		i := -1
		if kg[m] <= low {
			i = 0
		} else if kg[m] > high {
			i = 1
		}
		if i >= 0 {
			n[i]++
			if o.a.starve[m] >= 0 {
				starved[i]++
			}
		}
	}
	share := func(i int) float64 { return float64(starved[i]) / math.Max(1, float64(n[i])) }
	return share(0), share(1)
}
