package calibrate

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"bloomgap/forage/read"
	"bloomgap/forage/scales"
	"bloomgap/forage/weather"
	"bloomgap/sim/check"
	"bloomgap/sim/check/hives"
	"bloomgap/sim/colony"
	"bloomgap/sim/hindcast"
)

// The calibration is run again by
//
//	BLOOMGAP_REFERENCE=... go test ./sim/calibrate -run TestCalibration -v -calibrate
//
// in some minutes. It prints what went in, what came out, the catalogue's new
// middles and spreads, and what each hive comes to when it is left out.
var (
	calibrate = flag.Bool("calibrate", false, "run the whole calibration and print it")
	members   = flag.Int("members", 700, "points of the smoother")
	rounds    = flag.Int("rounds", 4, "rounds of the smoother")
	draws     = flag.Int("draws", 500, "draws of a predicted hive")
	seeds     = flag.Int("seeds", 5, "seeds of a predicted hive")
)

func reference(t *testing.T, parts ...string) string {
	path := filepath.Join(append([]string{os.Getenv("BLOOMGAP_REFERENCE")}, parts...)...)
	if _, err := os.Stat(path); os.Getenv("BLOOMGAP_REFERENCE") == "" || err != nil {
		t.Skipf("BLOOMGAP_REFERENCE does not hold %s", filepath.Join(parts...))
	}
	return path
}

func record(t *testing.T, file string) *weather.Record {
	rec, problems := weather.ReadFiles([]string{reference(t, "weather", file)})
	require.NoError(t, problems.Err())
	rec, _ = weather.Fill(rec, nil, weather.DefaultFillOptions())
	return rec
}

func open(t *testing.T) (*bench, []*hive) {
	recs := check.Records{}
	for _, s := range check.Wanted() {
		recs[s.Key] = record(t, s.File)
	}
	b, err := newBench(recs)
	require.NoError(t, err)
	var all []*hive
	for _, s := range hives.Wanted() {
		var ps read.Problems
		f, err := os.Open(reference(t, "hives", s.File))
		require.NoError(t, err)
		series := scales.Read(s.File, f, &ps)
		f.Close()
		require.NoError(t, ps.Err())
		h, err := newHive(hives.Hive{Site: s, Weighings: series[0].Weighings, Record: record(t, s.Weather)})
		require.NoError(t, err)
		all = append(all, h)
	}
	return b, all
}

var starts = []time.Time{
	time.Date(2017, time.January, 2, 0, 0, 0, 0, time.UTC),
	time.Date(2017, time.February, 1, 0, 0, 0, 0, time.UTC),
	time.Date(2017, time.March, 1, 0, 0, 0, 0, time.UTC),
}

// score is what a hive predicted from three starts comes to.
type score struct {
	err30, held50, held80 [3]float64
	segments              []float64 // middle changes, from the first start
}

// predict scores a hive with the given spreads, bees unknown, whole ensemble.
func predict(t *testing.T, h *hive, spreads []colony.Parameter, seed uint64) (s score) {
	for i, start := range starts {
		opt := hindcast.DefaultOptions()
		opt.Members, opt.Seed, opt.PastSpan = *draws, seed, true
		opt.Priors, opt.Base = spreads, typical(spreads)
		r, err := hindcast.Run(context.Background(), h.Series(start), opt)
		require.NoError(t, err)
		for _, x := range r.Scores.Horizons {
			if x.Days == 30 {
				s.err30[i] = x.MeanAbsKg
			}
		}
		s.held50[i], s.held80[i] = r.Scores.Held50, r.Scores.Held80
		if i == 0 {
			at := func(d time.Time) float64 { return r.Band.P50[int(d.Sub(start).Hours()/24)] }
			for k := 1; k < len(segmentEnds); k++ {
				s.segments = append(s.segments, at(segmentEnds[k])-at(segmentEnds[k-1]))
			}
		}
	}
	return s
}

// tell prints the scores of a hive over the seeds: error of 30-day changes and
// the shares of readings in the bands, from each start.
func tell(t *testing.T, title string, h *hive, spreads []colony.Parameter) {
	all := make([]score, *seeds)
	for k := range all {
		all[k] = predict(t, h, spreads, uint64(k+1))
	}
	out := fmt.Sprintf("%-10s %-16s", h.Name, title)
	for i := range starts {
		var e, a, b []float64
		for _, s := range all {
			e, a, b = append(e, s.err30[i]), append(a, s.held50[i]), append(b, s.held80[i])
		}
		out += fmt.Sprintf("  %.2f +- %.2f kg (%2.0f/%3.0f %%)", stat.Mean(e, nil), spread(e), 100*stat.Mean(a, nil), 100*stat.Mean(b, nil))
	}
	t.Log(out)
	t.Log("           segments model" + figures(all[0].segments))
	t.Log("           segments seen " + figures(h.seen()))
}

func spread(x []float64) float64 {
	if len(x) < 2 {
		return 0
	}
	return stat.StdDev(x, nil)
}

func figures(x []float64) string {
	out := ""
	for _, v := range x {
		out += fmt.Sprintf(" %6.2f", v)
	}
	return out
}

// misfit is the mean square of the points' distances from the observations, in
// SDs of the observations.
func misfit(obs []observation, values [][]float64) float64 {
	sum := 0.0
	for _, v := range values {
		for k, o := range obs {
			d := (v[k] - o.Value) / o.SD
			sum += d * d / float64(len(obs)*len(values))
		}
	}
	return sum
}

// TestSmootherDrawsNearer: a small ensemble ends nearer to what was seen than it
// began, within the ranges of the parameters, and the same seed ends the same.
func TestSmootherDrawsNearer(t *testing.T) {
	b, all := open(t)
	f := newFitter(b, all)
	opt := Options{Members: 60, Rounds: 2, Seed: 3}
	points, values, first := f.smooth(opt)
	obs := f.observations()
	require.Len(t, obs, len(literature)+len(all)*(len(segmentEnds)-1))
	require.Less(t, misfit(obs, values), misfit(obs, first)/2)
	for _, c := range f.posterior(points) {
		require.True(t, c.Typical >= c.Low && c.Typical <= c.High, "%s is %g", c.Name, c.Typical)
	}
	again, _, _ := f.smooth(opt)
	require.Equal(t, points, again)
}

// TestCatalogueIsWhatWasFitted: what the fit may move stands in the catalogue as
// fitted, and every prior there is names a parameter.
func TestCatalogueIsWhatWasFitted(t *testing.T) {
	for _, p := range priors {
		found := false
		for _, c := range colony.Catalogue() {
			if c.Name == p.Name {
				found = true
				require.Equal(t, "fitted", c.Status, c.Name)
				require.Contains(t, c.Source, "sim/calibrate", c.Name)
				require.True(t, p.Typical >= c.Low && p.Typical <= c.High, c.Name)
			}
		}
		require.True(t, found, p.Name)
		require.NotEmpty(t, p.Why, p.Name)
	}
}

func TestCalibration(t *testing.T) {
	if !*calibrate {
		t.Skip("takes minutes: give -calibrate")
	}
	b, all := open(t)
	for left := -1; left < len(all); left++ {
		var fitted []*hive
		for i, h := range all {
			if i != left {
				fitted = append(fitted, h)
			}
		}
		f := newFitter(b, fitted)
		points, values, first := f.smooth(Options{Members: *members, Rounds: *rounds, Seed: 1})
		post := f.posterior(points)
		if left < 0 {
			printFit(t, f, post, values, first)
			for _, h := range all {
				tell(t, "before the fit", h, f.catalog)
				tell(t, "fitted to it", h, post)
			}
			continue
		}
		tell(t, "left out", all[left], post)
	}
}

func printFit(t *testing.T, f *fitter, post []colony.Parameter, values, first [][]float64) {
	obs := f.observations()
	t.Logf("misfit before %.1f, after %.1f", misfit(obs, first), misfit(obs, values))
	for k, o := range obs {
		v0, v1 := make([]float64, len(values)), make([]float64, len(values))
		for m := range values {
			v0[m], v1[m] = first[m][k], values[m][k]
		}
		m0, s0 := stat.MeanStdDev(v0, nil)
		m1, s1 := stat.MeanStdDev(v1, nil)
		t.Logf("%-40s %-56s seen %7.3f +- %.3f %s, before %7.3f +- %.3f, after %7.3f +- %.3f", o.Source, o.What, o.Value, o.SD, o.Unit, m0, s0, m1, s1)
	}
	for _, i := range f.free {
		t.Logf("%-26s prior %8.4f (%.3f)  post %8.4f (%.3f)", post[i].Name, f.catalog[i].Typical, f.catalog[i].SD, post[i].Typical, post[i].SD)
	}
}
