package observe

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat"

	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// Observation is what was seen of a colony on a day. What was not looked at is
// NaN. Errors are standard deviations; the common part is the same in all
// observations of a Way and lies within the whole: 0 <= common <= whole.
type Observation struct {
	Day int // day of the outlook; seen in the evening
	Way int // way of judging food; errors of one way have a part in common

	StoresKg, StoresSDKg float64 // ripe stores and the whole error
	CommonSDKg           float64 // of that, kg
	WithFeeder           bool    // what the feeder holds is counted in
	WithoutSolid         bool    // solid feed over the cluster is not

	BeesLogMu, BeesLogSD float64 // adult bees, natural logarithm
	BeesCommonLogSD      float64

	BroodCells, BroodLogSD float64 // cells and the error of their natural logarithm
}

// NothingSeen is an observation in which nothing was looked at.
func NothingSeen(day int) Observation {
	nan := math.NaN()
	return Observation{Day: day, StoresKg: nan, BeesLogMu: nan, BroodCells: nan}
}

// Options say how much is run and how the model's own error is reckoned.
type Options struct {
	Fewest, Most int              // draws of the colony in a member: the first try and the last, 4-1024
	LeastESS     float64          // effective sample size asked of a member, 1 to Fewest
	WalkSDKg     float64          // what the model gets wrong in stores, kg per root day, 0-1
	WalkLogSD    float64          // the same in bees and brood, natural logarithm per root day, 0-0.2
	Feedings     []colony.Feeding // food given since the first observation, by day of the outlook, in order; some may have been given besides that nobody wrote down
	Step         func()           // called for each draw that is run; may end the work by a panic. nil for none
}

// DefaultOptions suits a few looks in a spring. The model's own error, 0.27 kg
// and a tenth of the bees in a month, is own judgement.
func DefaultOptions() Options {
	return Options{Fewest: 16, Most: 256, LeastESS: 4, WalkSDKg: 0.05, WalkLogSD: 0.02}
}

// Validate tells what is out of range.
func (o Options) Validate() error {
	switch {
	case o.Fewest < 4 || o.Most < o.Fewest || o.Most > 1024:
		return fmt.Errorf("draws in a member must lie between 4 and 1024, fewest to most, not %d to %d", o.Fewest, o.Most)
	case !(o.LeastESS >= 1 && o.LeastESS <= float64(o.Fewest)):
		return fmt.Errorf("the effective sample size must lie between 1 and the fewest draws, not %g", o.LeastESS)
	case !(o.WalkSDKg >= 0 && o.WalkSDKg <= 1) || !(o.WalkLogSD >= 0 && o.WalkLogSD <= 0.2):
		return fmt.Errorf("the model's own error must lie between 0 and 1 kg and 0 and 0.2 a root day, not %g and %g", o.WalkSDKg, o.WalkLogSD)
	}
	return nil
}

// Range is a middle and the band about it.
type Range struct{ P10, P50, P90 float64 }

// Innovation is how far an observation lies from what the ones before it
// foretold.
type Innovation struct {
	Day  int    // of the outlook
	What string // "stores", "bees", "brood"
	Z    float64
}

// Report tells how the conditioning went.
type Report struct {
	Members    int
	Draws      int     // runs made
	ESS        float64 // effective sample size within a member, median
	WidenedBy  float64 // factor on the errors of the observations, median; 1 for as given
	WidenedFor float64 // share of members that needed it
	// UseBefore and UseNow are the food used a day from the first observation to
	// the last, kg, without and with what was seen since.
	UseBefore, UseNow Range
	// LastDay is the day of the last observation, and StoresKg and Bees what the
	// draw picked for each member has come to on its evening.
	LastDay        int
	StoresKg, Bees []float64
	Innovations    []Innovation // of each later observation, in order
	Untold         []Untold     // food that must have been given, though nobody wrote it down
	MemberWeight   []float64    // evidence of this colony on the members; sums to 1
	MemberESS      float64      // effective number of members by that evidence
	WeatherSeen    bool         // all days to the last observation come from the season's record
	Warnings       []string
}

// storesSeen is what an Innovation of the stores is called.
const storesSeen = "stores"

// Surprising is the distance from which an observation is named, standard
// deviations, 2.5-4, own judgement: one in 370 by chance.
const Surprising = 3.0

// starvedLog is what is taken off the log weight of a draw that starves before
// the colony was last seen alive, 1, 10-100, own judgement: one draw in e^25.
const starvedLog = 25.0

// Assimilate gives start with the draw that each of the first members takes of the colony,
// conditioned on what was seen later. seen is in order of days; seen[0] is the
// observation behind start, on start.Day, with NaN for what start only guesses.
// Observations that are not later than the one before are left out. With none
// later start comes back as it is. The answer depends on the place's seed, the
// key and what was seen only; member i has the same draw whatever the number of
// members.
func Assimilate(
	pl *ensemble.SpringEnsemble,
	members int,
	key ensemble.Key,
	start ensemble.InitialSpread,
	seen []Observation,
	opt Options,
) (ensemble.InitialSpread, Report, error) {
	if err := opt.Validate(); err != nil {
		return start, Report{}, err
	}
	if members < 1 || members > len(pl.Members) {
		panic("observe: members out of range")
	}
	if len(seen) == 0 || seen[0].Day != start.Day {
		panic("observe: the first observation is not the one behind start")
	}
	kept := []Observation{seen[0]}
	for _, o := range seen[1:] {
		if o.Day > kept[len(kept)-1].Day {
			kept = append(kept, o)
		}
	}
	last := kept[len(kept)-1].Day
	if last >= len(pl.Outlook.Springs[0].Days) {
		return start, Report{}, fmt.Errorf("a colony was seen on %s, after the last day looked at", pl.Outlook.Date(last).Format("2 January 2006"))
	}
	l, err := newLearner(pl, key, start, kept, opt)
	if err != nil {
		return start, Report{}, err
	}
	if len(l.later) == 0 {
		return start, Report{Members: members, WidenedBy: 1}, nil
	}
	gaps, untold, err := findUntold(pl, key, start, kept, opt)
	if err != nil {
		return start, Report{}, err
	}
	l.gaps = gaps
	out := start
	out.Draw = make([]uint32, members)
	if len(gaps) > 0 {
		out.Gifts = make([][]colony.Gift, members)
	}
	for m := range members {
		out.Draw[m] = l.member(m)
		if out.Gifts != nil {
			out.Gifts[m] = l.giftsOf(nil, m, out.Draw[m])
		}
	}
	return out, l.report(members, out.Gifts, untold), nil
}

// channel is one kind of thing seen: the days on which it was, what it read and
// the lower triangle of the Cholesky factor of its errors' covariance.
type channel struct {
	what  string
	at    []int // day of the run, -1 for the first observation
	value []float64
	root  [][]float64
	of    func(p *colony.Path, at int, o *Observation) float64
	seen  []*Observation
	start func(c *ensemble.Realization) float64
}

// later is one later observation of one channel.
type later struct{ ch, k int }

type learner struct {
	pl     *ensemble.SpringEnsemble
	key    ensemble.Key
	start  ensemble.InitialSpread
	opt    Options
	care   colony.Treatment
	days   int   // of a run
	seenAt []int // days of the run on whose evening it was looked at, the first left out
	ch     []channel
	later  []later // by day, then channel
	drawer *ensemble.Sampler
	runner colony.Runner
	path   colony.Path
	c      ensemble.Realization
	pcg    *rand.PCG
	rnd    *rand.Rand
	y      []float64
	one    []uint32        // the draw at hand, by member
	gaps   []gap           // between looks, in which food may have been given that nobody wrote down
	gifts  [][]colony.Gift // of the draw at hand, by member

	// of the member at hand, by draw
	logW, w, use []float64
	alive        []float64   // what starving takes off the log weight
	prior        []float64   // log weight of the draw itself, by how it was drawn
	endKg, ended []float64   // stores and bees on the last evening
	miss         [][]float64 // by later observation: how far it lies from what the draw foretold, in its unit

	// over members
	ess, widened       []float64
	evidence           []float64
	usePicked, useAll  []float64
	storesKg, lastBees []float64 // of the picked draws on the last evening
	tally              []tally   // by later observation
	draws, widenedSeen int
}

// tally gathers what the ensemble foretold of one observation.
type tally struct {
	sum, sum2, weight float64
	errSD             float64
}

// reading is what a look told a channel of: its value and errors, and in which way it
// was told, since errors of one way are partly the same.
type reading struct{ value, sd, common, way float64 }

// add adds a channel with what was read of it; one that nothing was read of is left
// out. walk is the model's own error in a root day.
func (l *learner) add(seen []Observation, ch channel, walk float64, read func(o *Observation) reading) error {
	var part []reading
	for i := range seen {
		x := read(&seen[i])
		if math.IsNaN(x.value) {
			continue
		}
		if !(x.sd > 0) || !(x.common >= 0 && x.common <= x.sd) {
			return fmt.Errorf("the error of the %s seen on %s is not known", ch.what, l.pl.Outlook.Date(seen[i].Day).Format("2 January 2006"))
		}
		part = append(part, x)
		ch.at = append(ch.at, seen[i].Day-l.start.Day-1)
		ch.value = append(ch.value, x.value)
		ch.seen = append(ch.seen, &seen[i])
	}
	n := len(part)
	cov := make([][]float64, n)
	for i := range cov {
		cov[i] = make([]float64, n)
		for j := 0; j <= i; j++ {
			cov[i][j] = walk * walk * float64(min(ch.at[i], ch.at[j])+1)
			switch {
			case i == j:
				cov[i][j] += part[i].sd * part[i].sd
			case part[i].way == part[j].way:
				cov[i][j] += part[i].common * part[j].common
			}
		}
	}
	if !factor(cov) {
		return fmt.Errorf("the errors of the %s seen have nothing of their own", ch.what)
	}
	ch.root = cov
	if n > 0 {
		l.ch = append(l.ch, ch)
	}
	return nil
}

func newLearner(pl *ensemble.SpringEnsemble, key ensemble.Key, start ensemble.InitialSpread, seen []Observation, opt Options) (*learner, error) {
	l := &learner{pl: pl, key: key, start: start, opt: opt, drawer: ensemble.NewSampler(pl),
		days: seen[len(seen)-1].Day - start.Day, pcg: rand.NewPCG(0, 0)}
	l.start.Draw, l.start.Fed, l.start.Gifts = nil, nil, nil
	l.rnd = rand.New(l.pcg)
	l.takeFeedings()
	for i := range seen[1:] {
		l.seenAt = append(l.seenAt, seen[1+i].Day-start.Day-1)
	}
	err := l.add(seen, channel{what: storesSeen,
		of: func(p *colony.Path, at int, o *Observation) float64 {
			kg := p.StoresKg[at]
			if o.WithFeeder {
				kg += p.FeederKg[at]
			}
			if o.WithoutSolid {
				kg -= p.SolidKg[at]
			}
			return kg
		},
		start: func(c *ensemble.Realization) float64 { return c.Start.StoresKg }},
		opt.WalkSDKg, func(o *Observation) reading { return reading{o.StoresKg, o.StoresSDKg, o.CommonSDKg, float64(o.Way)} })
	if err != nil {
		return nil, err
	}
	err = l.add(seen, channel{what: "bees",
		of:    func(p *colony.Path, at int, _ *Observation) float64 { return math.Log(math.Max(1, p.Bees[at])) },
		start: func(c *ensemble.Realization) float64 { return math.Log(c.Start.Bees) }},
		opt.WalkLogSD, func(o *Observation) reading { return reading{o.BeesLogMu, o.BeesLogSD, o.BeesCommonLogSD, 0} })
	if err != nil {
		return nil, err
	}
	err = l.add(seen, channel{what: "brood",
		of:    func(p *colony.Path, at int, _ *Observation) float64 { return logCells(p.BroodCells[at]) },
		start: func(c *ensemble.Realization) float64 { return logCells(c.Start.BroodCells) }},
		opt.WalkLogSD, func(o *Observation) reading {
			if math.IsNaN(o.BroodCells) {
				return reading{value: math.NaN()}
			}
			return reading{logCells(o.BroodCells), o.BroodLogSD, 0, 0}
		})
	if err != nil {
		return nil, err
	}
	for i, ch := range l.ch {
		for k := range ch.at {
			if ch.at[k] >= 0 {
				l.later = append(l.later, later{i, k})
			}
		}
	}
	slices.SortStableFunc(l.later, func(a, b later) int { return l.ch[a.ch].at[a.k] - l.ch[b.ch].at[b.k] })
	l.tally = make([]tally, len(l.later))
	l.miss = make([][]float64, len(l.later))
	return l, nil
}

// takeFeedings takes over the feedings of the options as days of the run. What was
// given on the evening of the last look tells nothing.
func (l *learner) takeFeedings() {
	for _, f := range l.opt.Feedings {
		if f.Day -= l.start.Day + 1; f.Day >= -1 && f.Day < l.days-1 {
			l.care.Feedings = append(l.care.Feedings, f)
		}
	}
}

// beforeFed takes what was given on the evening of a look off what a run holds that
// evening: the look came first. The run must have been made.
func (l *learner) beforeFed(at int) {
	for i := range l.care.Feedings {
		if f := &l.care.Feedings[i]; f.Day == at {
			solidKg := f.SolidKg * l.c.Params.SolidKgPerKgSugar
			l.path.StoresKg[at] -= f.CombKg + solidKg
			l.path.SolidKg[at] -= solidKg
			l.path.FeederKg[at] -= f.SyrupKg * l.c.Params.SyrupYield
		}
	}
}

// logCells keeps a look that found no brood apart from the few cells that
// nobody would see: under half a hand's breadth counts as that.
func logCells(cells float64) float64 { return math.Log(math.Max(cells, leastCells)) }

// leastCells is the brood that a look may miss, cells, 50-400, own judgement.
const leastCells = 150.0

// factor turns a covariance into the lower triangle of its Cholesky factor in
// place; false when it has none.
func factor(a [][]float64) bool {
	for j := range a {
		for k := range j {
			a[j][j] -= a[j][k] * a[j][k]
		}
		if !(a[j][j] > 1e-12) {
			return false
		}
		a[j][j] = math.Sqrt(a[j][j])
		for i := j + 1; i < len(a); i++ {
			for k := range j {
				a[i][j] -= a[i][k] * a[j][k]
			}
			a[i][j] /= a[j][j]
		}
	}
	return true
}

// member conditions one member and returns the number of the draw picked.
func (l *learner) member(m int) uint32 {
	base := uint32(m) * uint32(l.opt.Most)
	for len(l.one) <= m {
		l.one, l.gifts = append(l.one, 0), append(l.gifts, nil)
	}
	seen := l.start
	seen.Draw = l.one
	if len(l.gaps) > 0 {
		seen.Gifts = l.gifts
	}
	l.logW, l.alive, l.use, l.prior = l.logW[:0], l.alive[:0], l.use[:0], l.prior[:0]
	l.endKg, l.ended = l.endKg[:0], l.ended[:0]
	for k := range l.miss {
		l.miss[k] = l.miss[k][:0]
	}
	want := l.opt.Fewest
	for {
		for j := len(l.logW); j < want; j++ {
			if l.opt.Step != nil {
				l.opt.Step()
			}
			l.one[m] = base + uint32(j)
			l.gifts[m] = l.giftsOf(l.gifts[m][:0], m, l.one[m])
			l.prior = append(l.prior, l.giftPrior(l.gifts[m]))
			l.drawer.Realize(l.key, &seen, m, &l.c)
			l.weigh()
		}
		if (l.weights(1) >= l.opt.LeastESS && slices.Max(l.alive) == 0) || want == l.opt.Most {
			break
		}
		want = min(2*want, l.opt.Most)
	}
	power := 1.0
	if l.weights(1) < l.opt.LeastESS {
		power = l.temper()
		l.widenedSeen++
	}
	ess := l.weights(power)
	l.ess = append(l.ess, ess)
	l.widened = append(l.widened, 1/math.Sqrt(power))
	l.draws += len(l.logW)
	for j := range l.logW {
		l.w[j] = l.logW[j] + l.alive[j] + l.prior[j]
	}
	l.evidence = append(l.evidence, logMean(l.w))
	l.weights(power)
	l.foretold()

	l.pcg.Seed(uint64(l.key)^0x6a09e667f3bcc909, uint64(m))
	u := l.rnd.Float64()
	pick := len(l.w) - 1
	for j, w := range l.w {
		if u < w {
			pick = j
			break
		}
		u -= w
	}
	l.usePicked = append(l.usePicked, l.use[pick])
	l.storesKg, l.lastBees = append(l.storesKg, l.endKg[pick]), append(l.lastBees, l.ended[pick])
	l.useAll = append(l.useAll, l.use[0]) // the first draw is one of the unconditioned
	return base + uint32(pick)
}

// weigh runs the case at hand and notes how well it meets what was seen.
func (l *learner) weigh() {
	c := &l.c
	span := c.Span
	span.Days = min(l.days, len(c.Forcing))
	o := l.runner.Run(colony.Spring{Params: &c.Params, Forcing: c.Forcing, Span: span}, c.Start, &l.care, 0, &l.path)
	logW, alive := 0.0, 0.0
	if o.StarveDay >= 0 {
		alive = -starvedLog
	}
	for _, at := range l.seenAt {
		l.beforeFed(at)
	}
	for i := range l.ch {
		ch := &l.ch[i]
		l.y = l.y[:0]
		for k, at := range ch.at {
			foretold := 0.0
			if at < 0 {
				foretold = ch.start(c)
			} else {
				foretold = ch.of(&l.path, at, ch.seen[k])
			}
			r := ch.value[k] - foretold
			for j, y := range l.y {
				r -= ch.root[k][j] * y
			}
			y := r / ch.root[k][k]
			l.y = append(l.y, y)
			if at >= 0 {
				logW -= y * y / 2
				l.note(i, k, r)
			}
		}
	}
	l.logW, l.alive = append(l.logW, logW), append(l.alive, alive)
	end := len(l.path.StoresKg) - 1
	l.endKg, l.ended = append(l.endKg, l.path.StoresKg[end]), append(l.ended, l.path.Bees[end])
	used := 0.0
	for _, kg := range l.path.UsedKg {
		used += kg
	}
	l.use = append(l.use, used/float64(max(1, len(l.path.UsedKg))))
}

func (l *learner) note(ch, k int, miss float64) {
	for i, at := range l.later {
		if at.ch == ch && at.k == k {
			l.miss[i] = append(l.miss[i], miss)
		}
	}
}

// weights fills w with the weights at a power, summing to 1, and returns their
// effective sample size. The power widens the errors of what was seen; that the
// colony lived is sure.
func (l *learner) weights(power float64) float64 {
	l.w = l.w[:0]
	for j, x := range l.logW {
		l.w = append(l.w, power*x+l.alive[j]+l.prior[j])
	}
	most := slices.Max(l.w)
	sum, sum2 := 0.0, 0.0
	for j, x := range l.w {
		w := math.Exp(x - most)
		l.w[j] = w
		sum += w
		sum2 += w * w
	}
	for j := range l.w {
		l.w[j] /= sum
	}
	return sum * sum / sum2
}

// temper finds the power at which the effective sample size is that asked for.
func (l *learner) temper() float64 {
	low, high := 0.0, 1.0
	for range 40 {
		mid := (low + high) / 2
		if l.weights(mid) < l.opt.LeastESS {
			high = mid
		} else {
			low = mid
		}
	}
	return math.Max(low, 1e-9)
}

// foretold adds to the tally of each later observation what the draws of this
// member foretold of it, weighed by the observations of the days before it.
func (l *learner) foretold() {
	for i, at := range l.later {
		ch := &l.ch[at.ch]
		t := &l.tally[i]
		t.errSD = ch.root[at.k][at.k]
		for j, miss := range l.miss[i] {
			logW := l.prior[j]
			for b, before := range l.later[:i] {
				if c := &l.ch[before.ch]; c.at[before.k] < ch.at[at.k] {
					y := l.miss[b][j] / c.root[before.k][before.k]
					logW -= y * y / 2
				}
			}
			w := math.Exp(logW)
			t.weight += w
			t.sum += w * miss
			t.sum2 += w * miss * miss
		}
	}
}

func logMean(x []float64) float64 {
	most := slices.Max(x)
	sum := 0.0
	for _, v := range x {
		sum += math.Exp(v - most)
	}
	return most + math.Log(sum/float64(len(x)))
}

func (l *learner) report(members int, gifts [][]colony.Gift, untold []Innovation) Report {
	o := l.pl.Outlook
	last := o.Date(l.start.Day + l.days)
	r := Report{Members: members, Draws: l.draws, WidenedFor: float64(l.widenedSeen) / float64(members),
		WeatherSeen: !o.ObservedTo.Before(last), UseBefore: rangeOf(l.useAll), UseNow: rangeOf(l.usePicked)}
	r.LastDay, r.StoresKg, r.Bees = l.start.Day+l.days, l.storesKg, l.lastBees
	r.ESS, r.WidenedBy = rangeOf(l.ess).P50, rangeOf(l.widened).P50
	most := slices.Max(l.evidence)
	sum, sum2 := 0.0, 0.0
	for _, x := range l.evidence {
		w := math.Exp(x - most)
		r.MemberWeight = append(r.MemberWeight, w)
		sum += w
		sum2 += w * w
	}
	for m := range r.MemberWeight {
		r.MemberWeight[m] /= sum
	}
	r.MemberESS = sum * sum / sum2
	for i, at := range l.later {
		t := &l.tally[i]
		s := Innovation{Day: l.start.Day + 1 + l.ch[at.ch].at[at.k], What: l.ch[at.ch].what, Z: math.NaN()}
		if t.weight > 0 {
			mean := t.sum / t.weight
			s.Z = mean / math.Sqrt(math.Max(0, t.sum2/t.weight-mean*mean)+t.errSD*t.errSD)
		}
		for _, u := range untold { // as it was before the untold food was reckoned with
			if u.Day == s.Day && u.What == s.What {
				s.Z = u.Z
			}
		}
		r.Innovations = append(r.Innovations, s)
		if words := s.words(); words != "" {
			r.Warnings = append(r.Warnings, "on "+o.Date(s.Day).Format("2 January")+" "+words)
		}
	}
	r.Untold = l.untold(gifts)
	if r.WidenedFor > 0.5 {
		r.Warnings = append(
			r.Warnings,
			fmt.Sprintf("the observations agree with few runs of the model; their errors were taken as %.1f times as large", r.WidenedBy),
		)
	}
	return r
}

// words says what a surprising observation may mean; "" for one that is not.
func (s Innovation) words() string {
	switch {
	case !(math.Abs(s.Z) >= Surprising): // also when nothing could be foretold
		return ""
	case s.What == storesSeen && s.Z > 0:
		return "it held more food than the looks before explain: was it fed, or food put in? Then write the fill down"
	case s.What == storesSeen:
		return "it held less food than the looks before explain: was it robbed, or food taken out?"
	case s.Z > 0:
		return "it held more " + s.What + " than the looks before explain: was it united with another, or a count wrong?"
	}
	return "it held less " + s.What + " than the looks before explain: was it split or poisoned, is its queen failing, or a count wrong?"
}

// rangeOf leaves x as it is.
func rangeOf(x []float64) Range {
	s := slices.Clone(x)
	slices.Sort(s)
	at := func(p float64) float64 { return stat.Quantile(p, stat.Empirical, s, nil) }
	return Range{at(0.1), at(0.5), at(0.9)}
}
