package observe

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// Looked is a colony with what was seen of it since its runs begin, for Pool.
type Looked struct {
	Key      ensemble.Key
	Start    ensemble.InitialSpread
	Seen     []Observation    // in order of days, the first behind Start
	Feedings []colony.Feeding // food given since, by day of the outlook, in order
}

// Bounds of Pool.
const (
	poolMembers = 200  // that colonies are foretold on, 100-300, own choice: a share in common is then known to a tenth
	fewestPool  = 2    // colonies that tell something of their yard beside each other
	leastLeft   = 0.05 // of the variance of a yard's part that is kept at least, 1, 0.02-0.2, own judgement
)

// used is what a colony's looks tell of its use, and what was foretold of it, kg.
type used struct {
	off      float64   // how much more was there than was foretold
	foretold []float64 // by member, less its mean
	sdKg     float64   // of that and of the looks' own errors
}

// Pool is what the colonies of a yard together tell of what they have in common: its early
// forage and its share in the need. It goes by the change of food between the first and
// the last look of each colony, where both were made in the same way, so that
// what the keeper misjudges every time drops out. All is taken to be normal, and what the
// colonies have in common besides is as the members show it; what is each
// colony's own stays as wide as it was. ok is false where fewer than two colonies tell.
// The order of the colonies makes no difference but for rounding: give them in a fixed one.
func Pool(pl *ensemble.SpringEnsemble, colonies []Looked, opt Options) (y ensemble.YardPart, ok bool) {
	n := min(poolMembers, len(pl.Members))
	var us []used
	for i := range colonies {
		if u, tells := foretell(pl, &colonies[i], n, opt); tells {
			us = append(us, u)
		}
	}
	if len(us) < fewestPool {
		return ensemble.YardPart{}, false
	}
	// One figure of the whole yard: how far off its colonies are, each in its standard
	// deviation and weighed by how much of that is foretold and not the looks' own error.
	total, off, errs := make([]float64, n), 0.0, 0.0
	for i := range us {
		u := &us[i]
		told := stat.Variance(u.foretold, nil) / (u.sdKg * u.sdKg)
		w := math.Sqrt(told) / u.sdKg
		off += w * u.off
		errs += w * w * u.sdKg * u.sdKg * (1 - told)
		for m, x := range u.foretold {
			total[m] += w * x
		}
	}
	v := stat.Variance(total, nil) + errs
	var h [2]float64
	parts := [2][]float64{make([]float64, n), make([]float64, n)}
	for m := range n {
		parts[0][m], parts[1][m] = pl.Members[m].EarlyZ, pl.Members[m].SiteZ
	}
	for k, z := range parts {
		h[k] = stat.Covariance(z, total, nil) / stat.StdDev(z, nil)
	}
	v = math.Max(v, (h[0]*h[0]+h[1]*h[1])/(1-leastLeft))
	y.Mean = [2]float64{h[0] * off / v, h[1] * off / v}
	a, b, c := 1-h[0]*h[0]/v, -h[0]*h[1]/v, 1-h[1]*h[1]/v
	y.Lower[0][0] = math.Sqrt(a)
	y.Lower[1][0] = b / y.Lower[0][0]
	y.Lower[1][1] = math.Sqrt(math.Max(leastLeft, c-y.Lower[1][0]*y.Lower[1][0]))
	return y, true
}

// foretell runs the first members of a colony to its last look at food.
func foretell(pl *ensemble.SpringEnsemble, c *Looked, n int, opt Options) (u used, ok bool) {
	first, last := -1, -1
	for i := range c.Seen {
		if math.IsNaN(c.Seen[i].StoresKg) {
			continue
		}
		if first < 0 {
			first = i
		}
		last = i
	}
	if first != 0 || last <= first || c.Seen[first].Way != c.Seen[last].Way || c.Seen[last].Day <= c.Seen[first].Day {
		return u, false
	}
	opt.Feedings = c.Feedings
	l, err := newLearner(pl, c.Key, c.Start, []Observation{c.Seen[first], c.Seen[last]}, opt)
	if err != nil || len(l.ch) == 0 || l.ch[0].what != storesSeen {
		return u, false
	}
	ch := &l.ch[0]
	at := ch.at[len(ch.at)-1]
	var there []float64
	for m := range n {
		l.drawer.Realize(l.key, &l.start, m, &l.c)
		span := l.c.Span
		span.Days = min(l.days, len(l.c.Forcing))
		l.runner.Run(colony.Spring{Params: &l.c.Params, Forcing: l.c.Forcing, Span: span}, l.c.Start, &l.care, 0, &l.path)
		l.beforeFed(at)
		there = append(there, ch.of(&l.path, at, ch.seen[len(ch.seen)-1])-ch.start(&l.c))
	}
	mean := stat.Mean(there, nil)
	for _, x := range there {
		u.foretold = append(u.foretold, x-mean)
	}
	a, b := &c.Seen[first], &c.Seen[last]
	walk := opt.WalkSDKg * opt.WalkSDKg * float64(b.Day-a.Day)
	errs := a.ownVariance() + b.ownVariance() + walk
	u.sdKg = math.Sqrt(stat.Variance(there, nil) + errs)
	u.off = b.StoresKg - a.StoresKg - mean
	return u, math.Abs(u.off) < Surprising*u.sdKg // more than that is food given or taken
}

// ownVariance is that of the error which no other look of its way shares, kg2.
func (o *Observation) ownVariance() float64 {
	return o.StoresSDKg*o.StoresSDKg - o.CommonSDKg*o.CommonSDKg
}
