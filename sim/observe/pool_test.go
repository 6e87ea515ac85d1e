package observe

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"bloomgap/forage"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// modelHive is a hive with what it eats, by day.
type modelHive struct {
	hive
	usedKg []float64
}

// eats is what it eats in days from the day after a day of the outlook on, kg.
func (h *modelHive) eats(from, days int) float64 { return floats.Sum(h.usedKg[from : from+days]) }

// modelYards are yards of model hives: those of a yard live in one spring, with the
// figures of the model, the early forage and the site that they have in common.
func modelYards(t *testing.T, yards, hives int, seen ensemble.InitialSpread) (*ensemble.SpringEnsemble, [][]modelHive) {
	o := outlook(t, yards)
	pl := ensemble.NewSpringEnsemble(o, ensemble.NewSharedDraws(colony.DefaultParams(), yards, 77, false), ensemble.SpringEnsembleOptions{Today: 49, ReadDay: 140, Yard: "truth"})
	d := ensemble.NewSampler(pl)
	var r colony.Runner
	var c ensemble.Realization
	var p colony.Path
	out := make([][]modelHive, yards)
	for i := range out {
		for k := range hives {
			d.Realize(ensemble.KeyOf("truth", fmt.Sprint(k)), &seen, i, &c)
			r.Run(c.Spring(), c.Start, &colony.Treatment{}, 0, &p)
			out[i] = append(out[i], modelHive{hive{slices.Clone(p.StoresKg), slices.Clone(p.Bees)}, slices.Clone(p.UsedKg)})
		}
	}
	return pl, out
}

// weighed are the hives of a yard as they are weighed on the 1st and the 25th day.
func weighed(truth []modelHive, yard int) (out []Looked) {
	rnd := rand.New(rand.NewPCG(uint64(yard), 9))
	for k, h := range truth {
		common, eye := 1.2*rnd.NormFloat64(), seamsCommon*rnd.NormFloat64()
		var seen []Observation
		for _, day := range []int{1, 25} {
			s := NothingSeen(day)
			s.StoresKg, s.StoresSDKg, s.CommonSDKg = h.at(day)+common+0.5*rnd.NormFloat64(), 1.3, 1.2
			s.BeesLogMu, s.BeesLogSD, s.BeesCommonLogSD = math.Log(h.bees[day-1])+eye+0.2*rnd.NormFloat64(), seamsSD, seamsCommon
			seen = append(seen, s)
		}
		start := prior()
		start.Day, start.StoresKg, start.StoresSDKg = 1, seen[0].StoresKg, 1.3
		start.BeesLogMu, start.BeesLogSD = seen[0].BeesLogMu, seamsSD
		out = append(out, Looked{Key: ensemble.KeyOf("colony", fmt.Sprint(k)), Start: start, Seen: seen})
	}
	return out
}

// planned is the ensemble that a model yard is planned on.
func planned(o *forage.Outlook, draws *ensemble.SharedDraws, yard int) *ensemble.SpringEnsemble {
	return ensemble.NewSpringEnsemble(o, draws, ensemble.SpringEnsembleOptions{Today: 49, ReadDay: -1, Yard: fmt.Sprint("yard ", yard)})
}

// TestPool: what hives weighed twice tell of their yard lies nearer to what it is than what was
// known before, the more so the more hives there are, and is as sure as it says; whatever
// their order. A hive by itself, or judged in two ways, tells nothing of the yard.
func TestPool(t *testing.T) {
	const yards, most = 150, 15
	o := outlook(t, 20)
	draws := ensemble.NewSharedDraws(colony.DefaultParams(), 200, 1, false)
	is, truths := modelYards(t, yards, most, prior())
	var before float64
	var off, told, held [2]float64
	for i, truth := range truths {
		pl, looked := planned(o, draws, i), weighed(truth, i)
		site := is.Members[i].SiteZ
		before += site * site / yards
		for k, hives := range []int{5, most} {
			y, ok := Pool(pl, looked[:hives], DefaultOptions())
			require.True(t, ok)
			x, v := y.Mean[1]-site, y.Lower[1][0]*y.Lower[1][0]+y.Lower[1][1]*y.Lower[1][1]
			off[k] += x * x / yards
			told[k] += v / yards
			if math.Abs(x) < 1.2816*math.Sqrt(v) {
				held[k] += 1.0 / yards
			}
		}
		if i == 0 {
			y, _ := Pool(pl, looked, DefaultOptions())
			slices.Reverse(looked)
			turned, _ := Pool(pl, looked, DefaultOptions())
			require.InDelta(t, y.Mean[1], turned.Mean[1], 1e-9)
			_, ok := Pool(pl, looked[:1], DefaultOptions())
			require.False(t, ok)
			for k := range looked {
				looked[k].Seen[1].Way = 7
			}
			_, ok = Pool(pl, looked, DefaultOptions())
			require.False(t, ok)
		}
	}
	t.Logf("mean square off the site's share: %.2f before, %.2f by 5 hives (told %.2f, 80 %% hold %.2f), %.2f by %d (told %.2f, hold %.2f)",
		before, off[0], told[0], held[0], off[1], most, told[1], held[1])
	require.Less(t, off[1], before)
	require.Less(t, told[1], told[0])
	require.InDelta(t, told[1], off[1], 3*told[1]*math.Sqrt(2.0/yards), "as sure as it says")
	for k := range held {
		require.InDelta(t, 0.8, held[k], 0.04+3*0.4/math.Sqrt(yards))
	}
}

// TestPooledYard: in yards drawn from the model what all hives of a yard used makes the
// forecast of what each eats in 30 days better than its own looks alone do, if by
// little (0.590 and 0.576 kg off in 300 yards, 0.014 +- 0.003 less), and the bands still hold the truth as often as they say.
func TestPooledYard(t *testing.T) {
	if testing.Short() {
		t.Skip("half a minute of looks")
	}
	yards, hives, members := 40, 10, 40
	if os.Getenv("BLOOMGAP_LONG") != "" {
		yards, members = 300, 60
	}
	o := outlook(t, 20)
	draws := ensemble.NewSharedDraws(colony.DefaultParams(), 200, 1, false)
	type came struct {
		errKg, widthKg []float64
		held           float64
	}
	var by [2]came
	var saved []float64 // by yard
	const days = 30
	_, truths := modelYards(t, yards, hives, prior())
	for i, truth := range truths {
		pl, looked := planned(o, draws, i), weighed(truth, i)
		var offs [2]float64
		for pooled := range by {
			if pooled == 1 {
				y, ok := Pool(pl, looked, DefaultOptions())
				require.True(t, ok)
				pl.Learn(y)
			}
			for k := range looked {
				used := forecastUse(t, pl, &looked[k], members, days)
				truthKg := truth[k].eats(25, days)
				q := func(p float64) float64 { return stat.Quantile(p, stat.Empirical, used, nil) }
				c := &by[pooled]
				off := math.Abs(q(0.5) - truthKg)
				offs[pooled] += off / float64(hives)
				c.errKg, c.widthKg = append(c.errKg, off), append(c.widthKg, q(0.9)-q(0.1))
				if q(0.1) <= truthKg && truthKg <= q(0.9) {
					c.held += 1 / float64(yards*hives)
				}
			}
		}
		saved = append(saved, offs[0]-offs[1])
	}
	mean, sd := stat.MeanStdDev(saved, nil)
	for k, name := range []string{"each by itself", "pooled"} {
		t.Logf("%s: error of 30 days' use %.3f kg, band of 80 %% %.2f kg wide, holds %.3f", name, stat.Mean(by[k].errKg, nil), stat.Mean(by[k].widthKg, nil), by[k].held)
		require.InDelta(t, 0.8, by[k].held, 0.04+3*0.2/math.Sqrt(float64(yards)), name)
	}
	t.Logf("pooling saves %.3f +- %.3f kg of error", mean, sd/math.Sqrt(float64(yards)))
	room := 2 * sd / math.Sqrt(float64(yards)) // so few yards tell a gain so small from none, but not from a loss
	if os.Getenv("BLOOMGAP_LONG") != "" {
		room = 0
	}
	require.Greater(t, mean, -room)
	require.Less(t, stat.Mean(by[1].widthKg, nil), 1.01*stat.Mean(by[0].widthKg, nil))
}

// forecastUse is what members of a colony eat in days from its last look on, in order.
func forecastUse(t *testing.T, pl *ensemble.SpringEnsemble, h *Looked, members, days int) (usedKg []float64) {
	knows, _, err := Assimilate(pl, members, h.Key, h.Start, h.Seen, DefaultOptions())
	require.NoError(t, err)
	d := ensemble.NewSampler(pl)
	var c ensemble.Realization
	var r colony.Runner
	var p colony.Path
	last := h.Seen[len(h.Seen)-1].Day - h.Start.Day
	for m := range members {
		d.Realize(h.Key, &knows, m, &c)
		c.Span.Days = last + days
		r.Run(c.Spring(), c.Start, &colony.Treatment{}, 0, &p)
		usedKg = append(usedKg, floats.Sum(p.UsedKg[last:last+days]))
	}
	slices.Sort(usedKg)
	return usedKg
}
