package calibrate

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"bloomgap/sim/colony"
)

// segmentSDKg is the error of the model and of a scale over one segment, kg,
// 0.3-0.8, own judgement: damp and drift 0.3, the rest what the model leaves out.
const segmentSDKg = 0.45

// Options say how much is run.
type Options struct {
	Members int // of the smoother, 100-10000
	Rounds  int // of the smoother, 1-20
	Seed    uint64
}

// fitter holds what the smoother runs.
type fitter struct {
	bench   *bench
	hives   []*hive
	catalog []colony.Parameter
	base    colony.Params
	free    []int // of the catalogue
	own     []int // of free: differ from hive to hive
	path    colony.Path
	runner  colony.Runner
	drawn   int // numbers of a point
}

func newFitter(b *bench, hives []*hive) *fitter {
	f := &fitter{bench: b, hives: hives, catalog: withPriors()}
	f.base = typical(f.catalog)
	for i := range f.catalog {
		for _, p := range priors {
			if f.catalog[i].Name == p.Name {
				f.free = append(f.free, i)
				if f.catalog[i].Varies == colony.AmongColonies {
					f.own = append(f.own, i)
				}
			}
		}
	}
	f.drawn = len(f.free) + len(hives)*(len(f.own)+3)
	return f
}

// typical is the parameter set of the middles of a catalogue.
func typical(c []colony.Parameter) colony.Params {
	p := colony.DefaultParams()
	for i := range c {
		if err := p.Set(c[i].Name, c[i].Typical); err != nil {
			panic(err)
		}
	}
	return p
}

func (f *fitter) prior(i int) *prior {
	for k := range priors {
		if priors[k].Name == f.catalog[i].Name {
			return &priors[k]
		}
	}
	panic("calibrate: " + f.catalog[i].Name + " has no prior")
}

// middles turns the first numbers of a point into parameters.
func (f *fitter) middles(z []float64) colony.Params {
	p := f.base
	for k, i := range f.free {
		pr, c := f.prior(i), f.catalog[i]
		if pr.MeanSD > 0 {
			c.SD = pr.MeanSD
		}
		c.SetAt(&p, &f.base, z[k])
	}
	return p
}

// model gives the values of all observations at a point.
func (f *fitter) model(z []float64, out []float64) []float64 {
	p := f.middles(z)
	out = f.bench.model(&p, out)
	rest := z[len(f.free):]
	for _, h := range f.hives {
		q := p
		for k, i := range f.own {
			f.catalog[i].SetAt(&q, &p, rest[k])
		}
		rest = rest[len(f.own):]
		q.InLandscape(h.Early, 0)
		out = h.changes(&f.runner, &f.path, &q, hiveDraw{rest[0], rest[1], rest[2]}, out)
		rest = rest[3:]
	}
	return out
}

func (f *fitter) observations() []observation {
	out := append([]observation(nil), literature...)
	for _, h := range f.hives {
		for i, kg := range h.seen() {
			out = append(out, observation{"HOBOS 2017", fmt.Sprintf("%s, %s to %s", h.Name, segmentEnds[i].Format("2 Jan"), segmentEnds[i+1].Format("2 Jan")), "kg",
				kg, segmentSDKg, "what a scale and the model's gaps make of a fortnight"})
		}
	}
	return out
}

// smooth is an ensemble smoother with several data assimilations (Emerick &
// Reynolds 2013, Computers & Geosciences 55:3-15; form from memory): in each
// round every point is moved by the regression of points on model values towards
// the observations, whose variance is taken Rounds times as large.
func (f *fitter) smooth(opt Options) (points, values [][]float64, first [][]float64) {
	obs := f.observations()
	rnd := rand.New(rand.NewPCG(opt.Seed, 15))
	points = make([][]float64, opt.Members)
	for m := range points {
		points[m] = make([]float64, f.drawn)
		for k := range points[m] {
			points[m][k] = rnd.NormFloat64()
		}
	}
	run := func() [][]float64 {
		out := make([][]float64, len(points))
		for m := range points {
			out[m] = f.model(points[m], nil)
		}
		return out
	}
	values = run()
	first = values
	n := len(obs)
	for range opt.Rounds {
		inflate := float64(opt.Rounds)
		zMean, vMean := means(points), means(values)
		cov := mat.NewDense(n, n, nil)
		cross := mat.NewDense(f.drawn, n, nil)
		for m := range points {
			for j := range n {
				dj := values[m][j] - vMean[j]
				for i := range n {
					cov.Set(i, j, cov.At(i, j)+(values[m][i]-vMean[i])*dj)
				}
				for k := range f.drawn {
					cross.Set(k, j, cross.At(k, j)+(points[m][k]-zMean[k])*dj)
				}
			}
		}
		cov.Scale(1/float64(opt.Members-1), cov)
		cross.Scale(1/float64(opt.Members-1), cross)
		for i := range n {
			cov.Set(i, i, cov.At(i, i)+inflate*obs[i].SD*obs[i].SD)
		}
		var lu mat.LU
		lu.Factorize(cov)
		left, solved := mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
		var move mat.VecDense
		for m := range points {
			for i := range n {
				left.SetVec(i, obs[i].Value+math.Sqrt(inflate)*obs[i].SD*rnd.NormFloat64()-values[m][i])
			}
			if err := lu.SolveVecTo(solved, false, left); err != nil {
				panic("calibrate: the observations hang together: " + err.Error())
			}
			move.MulVec(cross, solved)
			for k := range points[m] {
				points[m][k] += move.AtVec(k)
			}
		}
		values = run()
	}
	return points, values, first
}

func means(x [][]float64) []float64 {
	out := make([]float64, len(x[0]))
	for _, row := range x {
		for k, v := range row {
			out[k] += v / float64(len(x))
		}
	}
	return out
}

// posterior is the catalogue with the middles and spreads that the points came
// to. Each spread is that of its own: how the parameters hang together is lost.
func (f *fitter) posterior(points [][]float64) []colony.Parameter {
	out := append([]colony.Parameter(nil), f.catalog...)
	column := make([]float64, len(points))
	for k, i := range f.free {
		for m := range points {
			column[m] = points[m][k]
		}
		mean, sd := stat.MeanStdDev(column, nil)
		pr, c := f.prior(i), f.catalog[i]
		if pr.MeanSD > 0 {
			c.SD = pr.MeanSD
		}
		p := f.base
		c.SetAt(&p, &f.base, mean)
		out[i].Typical = p.Values()[i]
		out[i].SD = c.SD * sd
		if pr.MeanSD > 0 || c.Varies == colony.AmongColonies {
			out[i].SD = math.Hypot(pr.SD, c.SD*sd)
		}
	}
	f.tie(out, points)
	return out
}

// How far the early nectar of yards of one class lies from the class's own, natural
// logarithm, own judgement: what is left within a class where yards of unknown class
// have a spread of 0.6 (early_unknown_sd) and a third of them belongs to each, 0.15 in
// the middle third and 0.3 in an outer one (worked).
const withinSomeSD, withinGoodSD = 0.15, 0.3

// tie sets the spreads of early nectar, which is a product: what a forager brings in
// an hour, the share of that before dandelion, and the ratio of a good landscape. The
// fit knows the product better than its factors, so that drawn one by one they would
// spread it too far. Each factor keeps what its product spreads over the one before.
func (f *fitter) tie(out []colony.Parameter, points [][]float64) {
	var hour, some, good []float64
	for _, z := range points {
		p := f.middles(z)
		hour = append(hour, math.Log(p.NectarMgPerH))
		p.InLandscape(colony.EarlySome, 0)
		some = append(some, math.Log(p.NectarMgPerH*p.EarlyNectarShare))
		p.InLandscape(colony.EarlyGood, 0)
		good = append(good, math.Log(p.NectarMgPerH*p.EarlyNectarShare))
	}
	ofSome := stat.Variance(some, nil) + withinSomeSD*withinSomeSD
	ofGood := stat.Variance(good, nil) + withinGoodSD*withinGoodSD
	for i := range out {
		switch out[i].Name {
		case "early_nectar_share":
			out[i].SD = math.Sqrt(math.Max(0, ofSome-stat.Variance(hour, nil)))
		case "early_good_ratio":
			out[i].SD = math.Sqrt(math.Max(0, ofGood-ofSome))
		}
	}
}
