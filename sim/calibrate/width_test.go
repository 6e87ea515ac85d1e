package calibrate

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/hindcast"
)

// What makes the bands of a hindcast as wide as they are, and how far two hives can tell
// that they are too wide, is worked out by
//
//	BLOOMGAP_REFERENCE=... go test ./sim/calibrate -run TestWidth -v -width
var widths = flag.Bool("width", false, "take the width of the bands apart and print it")

// unsure is what of a hindcast is left uncertain.
type unsure struct {
	priors []colony.Parameter
	known  hindcast.Known
	noise  hindcast.Noise
	dates  bool // bloom and pollen
}

// everything is a hindcast as it is made of a hive of which nothing is known, but
// for the scatter of readings, which is that of a good scale.
func everything(priors []colony.Parameter) unsure {
	n := hindcast.DefaultNoise()
	n.ScatterKg = 0.05
	return unsure{priors: priors, known: hindcast.UnknownColony(), noise: n, dates: true}
}

// nothing leaves no spread to speak of. One parameter keeps a trace: an ensemble in which
// none differs from colony to colony takes the middle of the bees as well.
func nothing(priors []colony.Parameter) unsure {
	u := unsure{priors: freeing(priors, func(c *colony.Parameter) bool { return c.Name == "need_share" }), known: hindcast.UnknownColony()}
	for i := range u.priors {
		u.priors[i].SD *= 1e-6
	}
	u.known.BeesLogSD, u.known.BroodLogSD, u.noise.DampDays = 0, 0, 6
	return u
}

// freeing keeps the spread of some parameters only.
func freeing(priors []colony.Parameter, keep func(*colony.Parameter) bool) []colony.Parameter {
	out := slices.Clone(priors)
	for i := range out {
		if !keep(&out[i]) {
			out[i].Spread = colony.Fixed
		}
	}
	return out
}

// part is one share of what is uncertain: it sets what it takes from one whole.
type part struct {
	name string
	take func(to, from *unsure)
}

func parts() []part {
	of := func(name string, in func(*colony.Parameter) bool) part {
		return part{name, func(to, from *unsure) {
			for i := range to.priors {
				if in(&to.priors[i]) {
					to.priors[i] = from.priors[i]
				}
			}
		}}
	}
	named := func(names ...string) func(*colony.Parameter) bool {
		return func(c *colony.Parameter) bool { return slices.Contains(names, c.Name) }
	}
	nectar := named("early_nectar_share", "early_good_ratio", "nectar_mg_per_h")
	own := named("need_share", "heat_loss_w", "activity_mg")
	return []part{
		{"bees", func(to, from *unsure) { to.known.BeesLogSD = from.known.BeesLogSD }},
		{"brood at the start", func(to, from *unsure) { to.known.BroodLogSD = from.known.BroodLogSD }},
		of("need_share", named("need_share")),
		of("heat_loss_w", named("heat_loss_w")),
		of("activity_mg", named("activity_mg")),
		of("other differences of colonies", func(c *colony.Parameter) bool { return c.Varies == colony.AmongColonies && !own(c) }),
		of("nectar", nectar),
		of("other parameters of all colonies", func(c *colony.Parameter) bool { return c.Varies == colony.AmongSprings && !nectar(c) }),
		{"dates of bloom", func(to, from *unsure) { to.dates = from.dates }},
		{"scale and damp", func(to, from *unsure) { to.noise = from.noise }},
	}
}

// runs gives what a scale would show from a day of the hive's outlook on, kg against
// that day, by member and day. key may name a colony of its own for each member.
func (h *hive) runs(u unsure, day, members int, seed uint64, key func(m int) ensemble.Key) [][]float64 {
	o := *h.outlook
	if !u.dates {
		o.BloomSpreadDays, o.PollenSpread = 0, 0
	}
	place := ensemble.NewSpringEnsemble(&o, ensemble.NewSharedDrawsOf(u.priors, typical(u.priors), members, seed, false),
		ensemble.SpringEnsembleOptions{Today: -366, ReadDay: o.Day(hiveLast), Yard: h.Name, Early: h.Early})
	sampler := ensemble.NewSampler(place)
	seen := ensemble.InitialSpread{Day: day, BeesLogMu: u.known.BeesLogMu, BeesLogSD: u.known.BeesLogSD, BroodCells: u.known.BroodCells,
		BroodLogSD: u.known.BroodLogSD, StoresKg: plentyKg, StoresMax: plentyKg}
	var runner colony.Runner
	var path colony.Path
	var c ensemble.Realization
	out := make([][]float64, members)
	for m := range out {
		sampler.Realize(key(m), &seen, m, &c)
		c.Span.Days = o.Day(hiveLast) - day
		runner.Run(c.Spring(), c.Start, &colony.Treatment{}, 0, &path)
		rnd := rand.New(rand.NewPCG(uint64(key(m)), uint64(m)))
		first := c.Start.StoresKg + (c.Start.PollenG+c.Start.BroodCells*c.Params.BroodCellMassG+c.Start.Bees*c.Params.BeeMassG)/1000
		keep := math.Exp(-1 / u.noise.DampDays)
		damp := u.noise.DampKg * rnd.NormFloat64()
		zero, drift := damp+u.noise.ScatterKg*rnd.NormFloat64(), u.noise.DriftKg/30*rnd.NormFloat64()
		for t := range c.Span.Days {
			damp = keep*damp + u.noise.DampKg*math.Sqrt(1-keep*keep)*rnd.NormFloat64()
			out[m] = append(out[m], path.WeightKg(t, &c.Params)-first+damp-zero+drift*float64(t+1)+u.noise.ScatterKg*rnd.NormFloat64())
		}
	}
	return out
}

// byDay are the quantiles of runs for each day.
func byDay(runs [][]float64, ps ...float64) [][]float64 {
	x := make([]float64, len(runs))
	var out [][]float64
	for t := range runs[0] {
		for m := range runs {
			x[m] = runs[m][t]
		}
		slices.Sort(x)
		var q []float64
		for _, p := range ps {
			q = append(q, stat.Quantile(p, stat.Empirical, x, nil))
		}
		out = append(out, q)
	}
	return out
}

// widthOf is the mean over the days of the band of eight in ten, as the SD of a
// normal so wide, kg.
func widthOf(runs [][]float64) float64 {
	sum := 0.0
	bands := byDay(runs, 0.1, 0.9)
	for _, q := range bands {
		sum += (q[1] - q[0]) / 2.563
	}
	return sum / float64(len(bands))
}

func TestWidth(t *testing.T) {
	if !*widths {
		t.Skip("a study: give -width")
	}
	_, all := open(t)
	priors := colony.Catalogue()
	for _, h := range all {
		key := func(int) ensemble.Key { return ensemble.KeyOf("width", h.Name) }
		width := func(u unsure, i int) float64 {
			sum := 0.0
			for k := range *seeds {
				sum += widthOf(h.runs(u, h.outlook.Day(starts[i]), *draws, uint64(k+1), key)) / float64(*seeds)
			}
			return sum
		}
		full := everything(priors)
		line := fmt.Sprintf("%-10s %-34s", h.Name, "all")
		whole := make([]float64, len(starts))
		for i := range starts {
			whole[i] = width(full, i)
			line += fmt.Sprintf("  %.2f kg     ", whole[i])
		}
		t.Log(line)
		for _, p := range parts() {
			line := fmt.Sprintf("%-10s %-34s", h.Name, p.name)
			for i := range starts {
				alone, without := nothing(priors), everything(priors)
				from, none := full, nothing(priors)
				without.priors = slices.Clone(without.priors)
				p.take(&alone, &from)
				p.take(&without, &none)
				line += fmt.Sprintf("  %.2f (%.2f)", width(alone, i), width(without, i))
			}
			t.Log(line + "  alone (all but it)")
		}
	}
}

// TestWidthOfWinter: how unlike the winter use of unknown colonies is, beside weighed
// yards: an SD of 33 % over 32 Swedish hives, whose sizes are in it (Norrstroem et al.
// 2021), and of 19 % over 30 hives of one Swiss keeper (de Gelieu 1814).
func TestWidthOfWinter(t *testing.T) {
	if !*widths {
		t.Skip("a study: give -width")
	}
	_, all := open(t)
	for _, h := range all {
		key := func(m int) ensemble.Key { return ensemble.KeyOf("width", h.Name) }
		line := fmt.Sprintf("%-10s loss from 2 January to 1 March", h.Name)
		for _, shared := range []bool{true, false} {
			for _, logSD := range []float64{0.47, 0.35, 0.25, 0} {
				u := everything(colony.Catalogue())
				u.noise = hindcast.Noise{DampDays: 6}
				u.known.BeesLogSD = logSD
				if !shared {
					u.priors = freeing(u.priors, func(c *colony.Parameter) bool { return c.Varies == colony.AmongColonies })
				}
				var loss []float64
				for _, r := range h.runs(u, h.outlook.Day(starts[0]), 2000, 1, key) {
					loss = append(loss, -r[57])
				}
				mean, sd := stat.MeanStdDev(loss, nil)
				line += fmt.Sprintf("; bees %.2f, shared %v: %.2f +- %.2f kg (%.0f %%)", logSD, shared, mean, sd, 100*sd/mean)
			}
		}
		t.Log(line)
	}
}

// TestWidthTied: how much narrower bands are when the parameters are drawn as the fit
// ties them together than when each is drawn by itself.
func TestWidthTied(t *testing.T) {
	if !*widths {
		t.Skip("a study: give -width")
	}
	b, all := open(t)
	f := newFitter(b, all)
	points, _, _ := f.smooth(Options{Members: *members, Rounds: *rounds, Seed: 1})
	for _, h := range all {
		for _, tied := range []bool{true, false} {
			rnd := rand.New(rand.NewPCG(7, 7))
			order := make([][]int, len(f.free))
			for k := range order {
				order[k] = rnd.Perm(len(points))
			}
			changes := make([][]float64, len(segmentEnds))
			for m := range points {
				z := make([]float64, len(f.free))
				for k := range z {
					z[k] = points[m][k]
					if !tied {
						z[k] = points[order[k][m]][k]
					}
				}
				p := f.middles(z)
				q := p
				for _, i := range f.own {
					f.catalog[i].SetAt(&q, &p, rnd.NormFloat64())
				}
				q.InLandscape(h.Early, 0)
				sum := 0.0
				for i, kg := range h.changes(&f.runner, &f.path, &q, hiveDraw{rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()}, nil) {
					changes[i] = append(changes[i], kg)
					sum += kg
				}
				changes[len(changes)-1] = append(changes[len(changes)-1], sum)
			}
			line := fmt.Sprintf("%-10s tied %v, SD of the segments and of all:", h.Name, tied)
			for _, x := range changes {
				line += fmt.Sprintf(" %.2f", stat.StdDev(x, nil))
			}
			t.Log(line)
		}
	}
}

// TestWidthTold: what share of readings two hives show within bands that are right.
func TestWidthTold(t *testing.T) {
	if !*widths {
		t.Skip("a study: give -width")
	}
	_, all := open(t)
	u := everything(colony.Catalogue())
	const truths = 1000
	held80, held50, one80 := make([]float64, truths), make([]float64, truths), make([]float64, truths)
	for _, h := range all {
		for i := range starts {
			day := h.outlook.Day(starts[i])
			bands := byDay(h.runs(u, day, 4000, 1, func(int) ensemble.Key { return ensemble.KeyOf("width", h.Name) }), 0.1, 0.25, 0.75, 0.9)
			truth := h.runs(u, day, truths, 2, func(m int) ensemble.Key { return ensemble.KeyOf("truth", h.Name, fmt.Sprint(m)) })
			n := float64(len(bands))
			for m := range truth {
				for d, q := range bands {
					x := truth[m][d]
					if x >= q[0] && x <= q[3] {
						held80[m] += 1 / n / 6
						one80[m] += 1 / n / 6
					}
					if x >= q[1] && x <= q[2] {
						held50[m] += 1 / n / 6
					}
				}
			}
		}
	}
	for name, x := range map[string][]float64{"80": held80, "50": held50} {
		slices.Sort(x)
		q := func(p float64) float64 { return stat.Quantile(p, stat.Empirical, x, nil) }
		t.Logf("band of %s %%: mean %.3f, P10 %.2f P25 %.2f P50 %.2f P75 %.2f P90 %.2f", name, stat.Mean(x, nil), q(0.1), q(0.25), q(0.5), q(0.75), q(0.9))
		for _, at := range []float64{0.4, 0.5, 0.58, 0.6, 0.7, 0.8, 0.9, 0.92, 0.94} {
			i, _ := slices.BinarySearch(x, at)
			t.Logf("   %.2f and more: %.3f", at, 1-float64(i)/float64(len(x)))
		}
	}
	require.Len(t, held80, truths)
}
