package hindcast

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"bloomgap/forage"
	"bloomgap/forage/bloom"
	"bloomgap/forage/climate"
	"bloomgap/forage/scales"
	"bloomgap/forage/weather"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/observe"
)

// Hive is a weighed hive and its weather.
type Hive struct {
	Name           string
	LatDeg, LonDeg float64 // north and east positive; LonDeg NaN: taken as European
	ElevM          float64 // NaN: not known
	Weighings      []scales.Weighing
	Weather        *weather.Record // holds the days of the weighings
	EarlyForage    colony.EarlyForage
	BloomDate      time.Time // seen first flower of dependable nectar; zero: by thermal time
	Known          Known
}

// Known is what is known of the colony on the day of the first weighing.
type Known struct {
	BeesLogMu, BeesLogSD   float64 // adult bees, lognormal
	BroodCells, BroodLogSD float64 // NaN: estimated from the season
	Wrapped                bool
}

// UnknownColony is a colony of which nobody knows anything: 10,000 +- 5,000 bees,
// as the plan takes one, nine in ten between 4,100 and 19,500, and brood as the
// season has it. That is wide for wintered colonies of the cold-temperate zone,
// 5,000 to 20,000 (common practice).
func UnknownColony() Known {
	mu, sd := observe.BeesFromSeams(math.NaN(), math.NaN(), observe.Deep).LogParams()
	return Known{BeesLogMu: mu, BeesLogSD: sd, BroodCells: math.NaN(), BroodLogSD: observe.UnseenBroodLogSD}
}

// Noise is what a scale shows besides the model's weight.
type Noise struct {
	ScatterKg float64 // SD of a single reading, kg, 0-5; NaN: worked out from the readings, ScatterElseKg when they are too few
	DampKg    float64 // SD of what rain, condensation, droppings and the dead in the hive make, kg, 0-5
	DampDays  float64 // days in which that fades to a third, 0.5-100
	DriftKg   float64 // SD of the drift of scale and wood in 30 days, kg, 0-5
}

// DefaultNoise is own judgement: damp 0.1-0.5 kg, 3-15 d; drift 0.05-0.4 kg.
func DefaultNoise() Noise {
	return Noise{ScatterKg: math.NaN(), DampKg: 0.25, DampDays: 6, DriftKg: 0.15}
}

// The scatter of readings: where it cannot be worked out, and the least that is
// believed, kg. Own judgement: hive scales read to 0.01-0.1 kg; wind and the
// temperature of the cell add to it.
const scatterElseKg, leastScatterKg = 0.15, 0.03

// Options say how a hindcast is made.
type Options struct {
	Base      colony.Params
	Priors    []colony.Parameter // spreads of the parameters; nil: the catalogue's
	Members   int                // 100-100000
	Seed      uint64
	Noise     Noise
	Rule      Rule
	PastSpan  bool // run and score to the last weighing before August, past the span of the model: for studies of fixed days
	LearnDays int  // the members are weighed by the readings of so many first days; 0: not at all
}

// DefaultOptions runs 1,000 members and learns nothing on the way.
func DefaultOptions() Options {
	return Options{Base: colony.DefaultParams(), Members: 1000, Seed: 1, Noise: DefaultNoise(), Rule: DefaultRule()}
}

// Validate tells what is out of range.
func (o Options) Validate() error {
	n := o.Noise
	in := func(x, low, high float64) bool { return x >= low && x <= high }
	switch {
	case o.Members < 100 || o.Members > 100000:
		return fmt.Errorf("members must lie between 100 and 100000, not %d", o.Members)
	case o.LearnDays < 0 || o.LearnDays > 365:
		return fmt.Errorf("the days to learn from must lie between 0 and 365, not %d", o.LearnDays)
	case !math.IsNaN(n.ScatterKg) && !in(n.ScatterKg, 0, 5), !in(n.DampKg, 0, 5), !in(n.DampDays, 0.5, 100), !in(n.DriftKg, 0, 5):
		return fmt.Errorf("the noise of a scale is out of range: %g, %g kg, %g d, %g kg", n.ScatterKg, n.DampKg, n.DampDays, n.DriftKg)
	}
	return o.Rule.Validate()
}

// Band is the spread of weights by day, kg.
type Band struct{ P10, P25, P50, P75, P90 []float64 }

// Result is a hindcast and its scores.
type Result struct {
	Hive    string
	Dates   []time.Time // from the first weighing to the last
	Band    Band        // kg, of readings, by date
	Points  []Point
	Steps   []Step
	Noise   Noise // as used, the scatter worked out
	Members int
	From    time.Time // the first day that is scored
	Spring  int       // the year of the spring
	Pollen  DateRange // first pollen bloom over the members
	Bloom   DateRange // first flower of dependable nectar
	Nectar  DateRange // first dependable nectar; the model's span ends on its P90
	Beyond  int       // weighings of this spring that lie after the span and are not used
	Scores  Scores

	// Learned tells of weighing the members, when that was asked for.
	Learned  Learned
	Warnings []Warning
}

// DateRange is a middle and a band of dates over the members. Dates after the
// last weighing rest on generated weather; one after springLast is the zero time.
type DateRange struct{ P10, P50, P90 time.Time }

// Warning is something to know about a result. Which of the fields count depends on its code.
type Warning struct {
	Code   WarningCode
	Dates  []time.Time // StepsFound: the weighings after the steps
	Steps  int         // ManySteps: taken out
	Of     int         // ManySteps: weighings
	Days   int         // FewAgree: learned from
	Factor float64     // FewAgree: on the errors of the readings, 1
}

// WarningCode names a kind of warning.
type WarningCode string

// The warnings.
const (
	StepsFound WarningCode = "steps-found" // that bees cannot make
	ManySteps  WarningCode = "many-steps"
	FewAgree   WarningCode = "few-agree" // members with the first readings
)

// Learned is what the first readings said.
type Learned struct {
	Days      int     // 0: nothing was learned
	Readings  int     // that were used
	ESS       float64 // effective number of members
	WidenedBy float64 // factor on the errors of the readings until enough members counted
	Bees      [3]float64
	BeesNow   [3]float64 // adult bees on the first day, P10, P50, P90, before and after
}

// longAgo lets a bloom come before the first weighing, day of the outlook.
const longAgo = -366

// continuations is how many generated springs follow the last weighing, 1, 4-20,
// own judgement.
const continuations = 8

// plentyKg are stores that do not end: a hive with food eats the same whatever it
// holds, kg, 30-100, own judgement.
const plentyKg = 60.0

// Run makes the hindcast of a hive in the spring that its first weighing belongs
// to; weighings after the span of the model are counted and not used. It refuses
// weighings out of order, fewer than two within the span (OutsideError), and
// weather with a hole in it. Its answer depends on the hive and the options only.
func Run(ctx context.Context, h Hive, opt Options) (*Result, error) {
	if err := opt.Validate(); err != nil {
		return nil, err
	}
	w, err := newWork(h, opt)
	if err != nil {
		return nil, err
	}
	for m := range opt.Members {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		w.weights(w.change[m], m)
		w.noise(w.clean[m], w.seen[m], m)
	}
	w.learn()
	w.fan()
	w.score()
	return w.r, nil
}

// work is a hindcast on its way. Slices by member hold values by day since the
// first weighing, day 0 included; changes are against that day.
type work struct {
	h      Hive
	opt    Options
	r      *Result
	place  *ensemble.SpringEnsemble
	drawer *ensemble.Sampler
	runner colony.Runner
	path   colony.Path
	c      ensemble.Realization
	key    ensemble.Key
	days   int // from the first weighing to the last

	change [][]float64 // of the model's weight, kg
	clean  [][]float64 // noise without the scatter of each reading, against day 0's reading
	seen   [][]float64 // change and noise together: what a scale would read, less its first reading
	bees   []float64   // on day 0
	weight []float64   // of the members; nil when all count alike
}

func newWork(h Hive, opt Options) (*work, error) {
	n := len(h.Weighings)
	switch {
	case n < 2:
		return nil, errors.New("a hindcast needs two weighings on two days at least")
	case !inOrder(h.Weighings):
		return nil, errors.New("the weighings do not stand in order of days")
	case h.Weather == nil:
		return nil, errors.New("a hindcast needs the weather of its days")
	case !(h.LatDeg > 0 && h.LatDeg < 90):
		return nil, fmt.Errorf("the hive must stand north of the equator, not at latitude %g", h.LatDeg)
	case !(h.Known.BeesLogSD >= 0) || math.IsNaN(h.Known.BeesLogMu):
		return nil, errors.New("the number of bees at the start is not given, not even as a wide guess")
	}
	first := h.Weighings[0].Date
	spring := springOf(first)
	h.Weighings = scales.Between(h.Weighings, first, springLast(spring))
	if len(h.Weighings) < 2 {
		return nil, OutsideError{Spring: spring}
	}
	last := h.Weighings[len(h.Weighings)-1].Date
	w := &work{h: h, opt: opt, key: ensemble.KeyOf("hindcast", h.Name)}
	w.r = &Result{Hive: h.Name, Spring: spring, Members: opt.Members, From: first.AddDate(0, 0, 1)}
	o, err := outlook(h, first, last, opt.Seed)
	if err != nil {
		return nil, err
	}
	priors := opt.Priors
	if priors == nil {
		priors = colony.Catalogue()
	}
	w.place = ensemble.NewSpringEnsemble(o, ensemble.NewSharedDrawsOf(priors, opt.Base, opt.Members, opt.Seed, false),
		ensemble.SpringEnsembleOptions{Today: longAgo, ReadDay: dayNumber(first, last), Yard: h.Name, Early: h.EarlyForage})
	w.drawer = ensemble.NewSampler(w.place)
	if err := w.withinSpan(n); err != nil {
		return nil, err
	}
	h = w.h

	w.r.Noise = opt.Noise
	if math.IsNaN(w.r.Noise.ScatterKg) {
		w.r.Noise.ScatterKg = math.Max(leastScatterKg, scatterOf(h.Weighings))
		if math.IsNaN(w.r.Noise.ScatterKg) {
			w.r.Noise.ScatterKg = scatterElseKg
		}
	}
	days := o.Springs[0].Days
	w.r.Points, w.r.Steps = takeOut(h.Weighings, w.r.Noise.ScatterKg, func(d time.Time) (forage.Day, bool) {
		if i := o.Day(d); i >= 0 && i < len(days) {
			return days[i], true
		}
		return forage.Day{}, false
	}, opt.Rule)
	w.warnSteps()

	rows := func() [][]float64 {
		out := make([][]float64, opt.Members)
		all := make([]float64, opt.Members*(w.days+1))
		for m := range out {
			out[m] = all[m*(w.days+1) : (m+1)*(w.days+1)]
		}
		return out
	}
	w.change, w.clean, w.seen = rows(), rows(), rows()
	w.bees = make([]float64, opt.Members)
	return w, nil
}

// outlook makes the springs of a hindcast: its own weather to the last weighing,
// generated days after it.
func outlook(h Hive, first, last time.Time, seed uint64) (*forage.Outlook, error) {
	for d := first; !d.After(last); d = d.AddDate(0, 0, 1) {
		if _, ok := h.Weather.At(d); !ok {
			return nil, fmt.Errorf("the weather record has no temperatures for %s, within the weighings; fill the gap or use another record", d.Format("2 January 2006"))
		}
	}
	end := springLast(springOf(first))
	lon := h.LonDeg
	if math.IsNaN(lon) {
		lon = 0
	}
	p := forage.Prospect{LatDeg: h.LatDeg, Start: first, Today: last, End: end, Season: h.Weather,
		Years: forage.GeneratedYears(climate.NearestAt(h.LatDeg, h.LonDeg, h.ElevM), continuations, seed)}
	if h.BloomDate.Year() == end.Year() {
		p.BloomSeen = h.BloomDate
	}
	for _, th := range bloom.Default(h.LatDeg, lon) {
		switch {
		case th.Role == bloom.DependableNectar && p.Nectar.Plant == "":
			p.Nectar = th
		case th.Role != bloom.DependableNectar && p.Pollen.Plant == "":
			p.Pollen = th
		}
	}
	return forage.NewOutlook(p)
}

func (w *work) datesOf(day func(*ensemble.Member) int) DateRange {
	x := make([]float64, len(w.place.Members))
	for i := range x {
		x[i] = float64(day(&w.place.Members[i]))
	}
	slices.Sort(x)
	at := func(p float64) time.Time {
		d := int(stat.Quantile(p, stat.Empirical, x, nil))
		if d >= len(w.place.Outlook.Springs[0].Days)-1 {
			return time.Time{}
		}
		return w.place.Outlook.Date(d)
	}
	return DateRange{at(0.1), at(0.5), at(0.9)}
}

func (w *work) warnSteps() {
	var found []time.Time
	for _, s := range w.r.Steps {
		if s.Cause == Lost || s.Cause == Gained {
			found = append(found, s.To)
		}
	}
	if len(found) > 0 {
		w.r.Warnings = append(w.r.Warnings, Warning{Code: StepsFound, Dates: found})
	}
	if n := len(w.r.Steps); n > len(w.r.Points)/10+2 {
		w.r.Warnings = append(w.r.Warnings, Warning{Code: ManySteps, Steps: n, Of: len(w.r.Points)})
	}
}

// weights fills change with the change of a member's weight since day 0.
func (w *work) weights(change []float64, m int) {
	k := w.h.Known
	seen := ensemble.InitialSpread{Day: 0, BeesLogMu: k.BeesLogMu, BeesLogSD: k.BeesLogSD, BroodCells: k.BroodCells, BroodLogSD: k.BroodLogSD,
		StoresKg: plentyKg, StoresMax: plentyKg, Wrapped: k.Wrapped}
	c := &w.c
	w.drawer.Realize(w.key, &seen, m, c)
	c.Span.Days = min(w.days, len(c.Forcing))
	w.runner.Run(c.Spring(), c.Start, &colony.Treatment{}, 0, &w.path)
	zero := colony.Path{StoresKg: []float64{c.Start.StoresKg}, FeederKg: []float64{0}, PollenG: []float64{c.Start.PollenG},
		BroodCells: []float64{c.Start.BroodCells}, Bees: []float64{c.Start.Bees}}
	first := zero.WeightKg(0, &c.Params)
	w.bees[m] = c.Start.Bees
	change[0] = 0
	for i := range c.Span.Days {
		change[i+1] = w.path.WeightKg(i, &c.Params) - first
	}
}

// noise draws what the scale shows besides, against the first reading: into clean
// without the scatter of each day's reading, and into seen on top of the change.
func (w *work) noise(clean, seen []float64, m int) {
	rnd := rand.New(rand.NewPCG(uint64(w.key)^w.opt.Seed*0x9e3779b97f4a7c15, uint64(m)))
	n := &w.r.Noise
	keep := math.Exp(-1 / n.DampDays)
	damp := n.DampKg * rnd.NormFloat64()
	damp0, scatter0 := damp, n.ScatterKg*rnd.NormFloat64()
	drift := n.DriftKg / 30 * rnd.NormFloat64()
	rebase, steps, next := 0.0, 0, 0
	seen[0], clean[0] = 0, -scatter0
	for t := 1; t < len(clean); t++ {
		damp = keep*damp + n.DampKg*math.Sqrt(1-keep*keep)*rnd.NormFloat64()
		scatter := n.ScatterKg * rnd.NormFloat64()
		for next < len(w.r.Points) && w.r.Points[next].Day <= t {
			for ; steps < w.r.Points[next].Steps; steps++ {
				rebase += math.Sqrt2 * n.ScatterKg * rnd.NormFloat64()
			}
			next++
		}
		clean[t] = damp - damp0 - scatter0 + drift*float64(t) + rebase
		seen[t] = w.change[m][t] + clean[t] + scatter
	}
}

// covariance is that of the noise of readings against the first reading, kg2.
func (w *work) covariance(a, b *Point) float64 {
	n := &w.r.Noise
	fade := func(d int) float64 { return math.Exp(-math.Abs(float64(d)) / n.DampDays) }
	s2 := n.ScatterKg * n.ScatterKg
	v := s2*(1+2*float64(min(a.Steps, b.Steps))) + n.DampKg*n.DampKg*(fade(a.Day-b.Day)-fade(a.Day)-fade(b.Day)+1) +
		n.DriftKg*n.DriftKg/900*float64(a.Day)*float64(b.Day)
	if a == b {
		v += s2
	}
	return v
}

// leastMembers is the effective number of members below which the errors of the
// readings are widened, 1, 30-200, own judgement: bands of fewer are rough.
const leastMembers = 60

// learn weighs the members by the readings of the first days, and bends the
// noise of each towards what those readings leave over.
func (w *work) learn() {
	if w.opt.LearnDays == 0 {
		return
	}
	var used []*Point
	for i := range w.r.Points {
		if p := &w.r.Points[i]; p.Day > 0 && p.Day <= w.opt.LearnDays && !p.LeftOut {
			used = append(used, p)
		}
	}
	w.r.From = w.r.Dates[0].AddDate(0, 0, w.opt.LearnDays+1)
	w.r.Learned = Learned{Days: w.opt.LearnDays, Readings: len(used), ESS: float64(w.opt.Members), WidenedBy: 1}
	w.r.Learned.Bees = w.beesRange()
	w.r.Learned.BeesNow = w.r.Learned.Bees
	if len(used) == 0 {
		return
	}
	cov := mat.NewSymDense(len(used), nil)
	for i := range used {
		for j := range i + 1 {
			v := w.covariance(used[i], used[j])
			if i == j {
				v += 1e-6 // kg2: keeps the sum sound when no noise is asked for
			}
			cov.SetSym(i, j, v)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(cov) {
		panic("hindcast: the noise has no covariance")
	}
	logW := make([]float64, w.opt.Members)
	left, solved := mat.NewVecDense(len(used), nil), mat.NewVecDense(len(used), nil)
	across := make([][]float64, w.days+1) // covariance of each day's noise with the readings used
	for t := range across {
		p := Point{Day: t}
		for k := range w.r.Points {
			if w.r.Points[k].Day <= t {
				p.Steps = w.r.Points[k].Steps
			}
		}
		for _, u := range used {
			across[t] = append(across[t], w.covariance(&p, u))
		}
	}
	first := w.r.Points[0].Kg
	for m := range logW {
		for i, p := range used {
			left.SetVec(i, p.Kg-first-w.change[m][p.Day])
		}
		if err := chol.SolveVecTo(solved, left); err != nil {
			panic("hindcast: the noise has no inverse")
		}
		logW[m] = -mat.Dot(left, solved) / 2
		// Matheron's rule: what was drawn, moved by what is left of the readings
		// once the drawn noise is taken off.
		for i, p := range used {
			left.SetVec(i, p.Kg-first-w.seen[m][p.Day])
		}
		if err := chol.SolveVecTo(solved, left); err != nil {
			panic("hindcast: the noise has no inverse")
		}
		for t := 1; t <= w.days; t++ {
			for i := range used {
				w.seen[m][t] += across[t][i] * solved.AtVec(i)
			}
		}
	}
	w.weight = make([]float64, w.opt.Members)
	power := 1.0
	ess := weigh(w.weight, logW, power)
	if ess < leastMembers {
		low := 0.0
		for range 40 {
			mid := (low + power) / 2
			if weigh(w.weight, logW, mid) < leastMembers {
				power = mid
			} else {
				low = mid
			}
		}
		power = low
		ess = weigh(w.weight, logW, power)
	}
	w.r.Learned.ESS, w.r.Learned.WidenedBy = ess, 1/math.Sqrt(power)
	w.r.Learned.BeesNow = w.beesRange()
	if w.r.Learned.WidenedBy > 1.5 {
		w.r.Warnings = append(w.r.Warnings, Warning{Code: FewAgree, Days: w.opt.LearnDays, Factor: w.r.Learned.WidenedBy})
	}
}

// weigh fills w with weights that sum to 1 and returns their effective number.
func weigh(w, logW []float64, power float64) float64 {
	most := slices.Max(logW)
	sum, sum2 := 0.0, 0.0
	for m, x := range logW {
		w[m] = math.Exp(power * (x - most))
		sum += w[m]
		sum2 += w[m] * w[m]
	}
	for m := range w {
		w[m] /= sum
	}
	return sum * sum / sum2
}

func (w *work) beesRange() [3]float64 {
	q := w.quantiles(slices.Clone(w.bees), 0.1, 0.5, 0.9)
	return [3]float64{q[0], q[1], q[2]}
}

// quantiles sorts x, a value by member, and gives its quantiles by the members'
// weights.
func (w *work) quantiles(x []float64, ps ...float64) []float64 {
	var weights []float64
	if w.weight != nil {
		weights = slices.Clone(w.weight)
		stat.SortWeighted(x, weights)
	} else {
		slices.Sort(x)
	}
	out := make([]float64, len(ps))
	for i, p := range ps {
		out[i] = stat.Quantile(p, stat.Empirical, x, weights)
	}
	return out
}

// fan fills in the bands by day.
func (w *work) fan() {
	b := &w.r.Band
	first := w.r.Points[0].Kg
	x := make([]float64, w.opt.Members)
	for t := range w.r.Dates {
		for m := range x {
			x[m] = first + w.seen[m][t]
		}
		q := w.quantiles(x, 0.1, 0.25, 0.5, 0.75, 0.9)
		for i, dst := range []*[]float64{&b.P10, &b.P25, &b.P50, &b.P75, &b.P90} {
			*dst = append(*dst, q[i])
		}
	}
}
