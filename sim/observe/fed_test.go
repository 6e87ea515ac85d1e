package observe

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// read is a reading of a kind that shows storesKg, as a keeper writes it.
func read(h *Hive, k FoodKind, storesKg, bees, brood float64) Food {
	besides, _ := h.NotFoodKg(bees, brood)
	f := Food{Kind: k}
	switch kg := besides + storesKg; k {
	case FoodGross:
		f.GrossKg = kg
	case FoodLiftBoth:
		f.LiftLeftKg, f.LiftRightKg = kg/2, kg/2
	case FoodLiftBack:
		f.LiftBackKg = backShare * kg
	case FoodFrames:
		f.FramesDeep = math.Round(2*math.Max(0, storesKg)/fullDeepFrameKg) / 2
	case FoodHeft:
		f.Heft = HeftHeavy
		for w := HeftFair; w >= HeftLight; w-- {
			low, _ := heftKg(w, h.deepBoxes())
			high, _ := heftKg(w+1, h.deepBoxes())
			if storesKg < (low+high)/2 {
				f.Heft = w
			}
		}
	}
	return f
}

// TestFedToldOrNot looks twice, 14 days apart, at hives drawn from the model, and
// asks whether the band of the stores on the second day holds the truth: for every
// kind of reading, for hives fed with it written down, fed with nobody writing it
// down, and not fed, whose second reading is lighter, the same or heavier.
func TestFedToldOrNot(t *testing.T) {
	if testing.Short() {
		t.Skip("480 hives, each looked at twice")
	}
	t.Parallel()
	const hives, days = 32, 14
	o := outlook(t, 20)
	spring := ensemble.NewSpringEnsemble(o, ensemble.NewSharedDraws(colony.DefaultParams(), hives, 5, false), ensemble.SpringEnsembleOptions{Today: 49, ReadDay: -1})
	pl := ensemble.NewSpringEnsemble(o, ensemble.NewSharedDraws(colony.DefaultParams(), 60, 1, false), ensemble.SpringEnsembleOptions{Today: 49, ReadDay: -1})
	h := double()
	type cell struct{ n, held int }
	fedWords := []string{"written down", "untold", "not fed"}
	byFed, byKind, cells := map[string]*cell{}, map[string]*cell{}, map[string]*cell{}
	count := func(in map[string]*cell, key string, held bool) {
		if in[key] == nil {
			in[key] = &cell{}
		}
		in[key].n++
		if held {
			in[key].held++
		}
	}
	d := ensemble.NewSampler(spring)
	var c ensemble.Realization
	var r colony.Runner
	var p colony.Path
	for kind := FoodGross; kind <= FoodHeft; kind++ {
		for fed, word := range fedWords {
			for i := range hives {
				rnd := rand.New(rand.NewPCG(uint64(i), uint64(10*int(kind)+fed)))
				start := prior()
				start.StoresKg, start.StoresSDKg = 1.5+20*rnd.Float64(), 0
				d.Realize(ensemble.KeyOf("truth", word, fmt.Sprint(i)), &start, i, &c)
				care := colony.Treatment{}
				if fed < 2 {
					care.Feedings = []colony.Feeding{{Day: 0, SyrupKg: 1.5 + 4.5*rnd.Float64(), LPerKg: 1.1, Touching: true}}
				}
				c.Span.Days = days
				r.Run(c.Spring(), c.Start, &care, 0, &p)
				truth := p.StoresKg[days-1]
				if truth < 0.2 {
					continue // dead by then
				}
				sure := h.Stores(&Food{Kind: kind, GrossKg: 45, LiftLeftKg: 22, LiftRightKg: 22, LiftBackKg: 20, FramesDeep: 3, Heft: HeftFair}, 1e4, 1)
				common := sure.CommonSDKg * rnd.NormFloat64()
				var looks []Observation
				var first Look
				var shown [2]float64
				for k, at := range []struct {
					day             int
					kg, bees, brood float64
				}{{0, c.Start.StoresKg, c.Start.Bees, c.Start.BroodCells}, {days, truth + p.FeederKg[days-1], p.Bees[days-1], p.BroodCells[days-1]}} {
					own := math.Sqrt(sure.SDKg*sure.SDKg-sure.CommonSDKg*sure.CommonSDKg) * rnd.NormFloat64()
					off := own + common
					if kind == FoodFrames { // its error grows with what is there, and the feeder is not in it
						if k == 1 {
							at.kg = truth
						}
						off *= math.Max(0.5, at.kg) / sure.MeanKg
					}
					brood := at.brood / BroodCells(1, Deep)
					l := Look{Day: at.day, Food: read(h, kind, math.Max(0, at.kg+off), at.bees, brood), SeamsOfBees: at.bees / BeesPerSeam(6), CountTempC: 6, BroodFrames: brood}
					x := h.Observe(&l)
					x.WithFeeder = kind != FoodFrames
					shown[k] = x.StoresKg
					looks = append(looks, x)
					if k == 0 {
						first = l
					}
				}
				opt := DefaultOptions()
				if fed == 0 {
					opt.Feedings = care.Feedings
					opt.Feedings[0].Day = 0
				}
				_, report, err := Assimilate(pl, len(pl.Members), ensemble.KeyOf("hive", fmt.Sprint(i)), h.Start(&first), looks, opt)
				require.NoError(t, err)
				if fed == 1 && kind != FoodFrames {
					truth += p.FeederKg[days-1] // what is in the feeder cannot be told from stores
				}
				kg := slices.Clone(report.StoresKg)
				slices.Sort(kg)
				held := stat.Quantile(0.1, stat.Empirical, kg, nil) <= truth && truth <= stat.Quantile(0.9, stat.Empirical, kg, nil)
				than := "same"
				if diff := shown[1] - shown[0]; diff > 1 {
					than = "heavier"
				} else if diff < -1 {
					than = "lighter"
				}
				count(byFed, word, held)
				count(byKind, kind.String()+", "+word, held)
				count(cells, word+", "+than, held)
			}
		}
	}
	for _, by := range []map[string]*cell{byFed, byKind, cells} {
		keys := make([]string, 0, len(by))
		for k := range by {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		for _, k := range keys {
			share := float64(by[k].held) / float64(by[k].n)
			t.Logf("%-36s %3d hives, 80 %% band holds %.0f %%", k, by[k].n, 100*share)
			// Three standard errors under 0.75: the members of a colony are not weighed by
			// its looks, which costs some of the band.
			require.Greater(t, share, 0.75-3*math.Sqrt(0.75*0.25/float64(by[k].n)), k)
		}
	}
}
