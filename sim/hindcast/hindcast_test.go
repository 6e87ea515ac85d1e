package hindcast

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/forage/scales"
	"bloomgap/forage/weather"
)

func day(month time.Month, d int) time.Time { return time.Date(2024, month, d, 0, 0, 0, 0, time.UTC) }

// winter is a generated season at Wuerzburg, Germany, dated 1 October 2023 to 31
// July 2024.
func winter(t testing.TB, number int) *weather.Record {
	t.Helper()
	n := climate.NearestAt(49.8, 9.9, 270)
	require.Contains(t, n.Place, "Wuerzburg")
	all := climate.Generate(n, number+4, 4711)
	for _, r := range all[number:] { // a leap year, as 2024
		if r.Last().Year()%4 == 0 {
			c := r.Clone()
			c.First = time.Date(2023, 10, 1, 0, 0, 0, 0, time.UTC)
			require.Equal(t, day(7, 31), c.Last())
			return c
		}
	}
	t.Fatal("four years hold a leap year")
	return nil
}

// hive is an unknown colony weighed daily from one day to another.
func hive(rec *weather.Record, from, to time.Time) Hive {
	h := Hive{Name: "invented", LatDeg: 49.8, LonDeg: 9.9, ElevM: 270, Weather: rec, Known: UnknownColony()}
	for d := from; !d.After(to); d = d.AddDate(0, 0, 1) {
		h.Weighings = append(h.Weighings, scales.Weighing{Date: d, GrossKg: 35})
	}
	return h
}

// drawn gives synthetic hives: weights that the model itself draws, with the
// noise of a scale, each hive with its own draw of everything.
func drawn(t testing.TB, h Hive, n int, seed uint64, noise Noise) []Hive {
	t.Helper()
	opt := DefaultOptions()
	opt.Members, opt.Seed, opt.Noise = max(100, n), seed, noise
	h.Name = "truth"
	w, err := newWork(h, opt)
	require.NoError(t, err)
	out := make([]Hive, n)
	for m := range out {
		w.weights(w.change[m], m)
		w.noise(w.clean[m], w.seen[m], m)
		one := h
		one.Name = fmt.Sprint("hive ", m)
		one.Weighings = nil
		for _, x := range w.h.Weighings { // those of the span
			x.GrossKg += w.seen[m][dayNumber(h.Weighings[0].Date, x.Date)]
			one.Weighings = append(one.Weighings, x)
		}
		out[m] = one
	}
	return out
}

func noise(scatterKg float64) Noise {
	n := DefaultNoise()
	n.ScatterKg = scatterKg
	return n
}

// TestBandsHold: hives drawn from the model, of unknown size, are hindcast by
// another draw of it; the bands must hold the readings as often as they say. The
// mean share over hives has a standard error worked out from hive to hive;
// three of them are allowed, and 0.01 for the finite ensemble.
func TestBandsHold(t *testing.T) {
	for name, c := range map[string]struct {
		from, to time.Time
		learn    int
	}{
		"2 January to 25 March":                       {day(1, 2), day(3, 25), 0},
		"2 January to 25 March, learned from 21 days": {day(1, 2), day(3, 25), 21},
		"15 February to 10 May":                       {day(2, 15), day(5, 10), 0},
	} {
		var results []*Result
		for season := range 3 {
			for _, h := range drawn(t, hive(winter(t, 4*season), c.from, c.to), 40, uint64(50+season), noise(0.1)) {
				opt := DefaultOptions()
				opt.Members, opt.Noise, opt.LearnDays = 300, noise(0.1), c.learn
				if c.learn > 0 {
					opt.Members = 600
				}
				r, err := Run(context.Background(), h, opt)
				require.NoError(t, err)
				results = append(results, r)
			}
		}
		s, err50, err80 := Pool(results)
		t.Logf("%s: held %.3f +- %.3f and %.3f +- %.3f of %d hives, last day off by %.2f kg of %.2f", name, s.Held50, err50, s.Held80, err80, len(results), s.LastBiasKg, s.LastKg)
		for _, h := range s.Horizons {
			t.Logf("    %d days: %d pairs, bias %.2f, off by %.2f of %.2f kg; held %.2f, %.2f", h.Days, h.Pairs, h.BiasKg, h.MeanAbsKg, h.SeenMeanKg, h.Held50, h.Held80)
		}
		require.InDelta(t, 0.5, s.Held50, 3*err50+0.01, name)
		require.InDelta(t, 0.8, s.Held80, 3*err80+0.01, name)
		require.Less(t, err50, 0.04, "%s: the test must be able to fail", name)
		for _, h := range s.Horizons {
			require.Less(t, math.Abs(h.BiasKg), math.Abs(h.MeanAbsKg), name)
			// Pairs of a hive hang together and hives by weather too; 120 hives
			// count for no more than 120, 3 x 0.037 and 3 x 0.046.
			require.InDelta(t, 0.8, h.Held80, 0.11, "%s, %d days", name, h.Days)
			require.InDelta(t, 0.5, h.Held50, 0.14, "%s, %d days", name, h.Days)
		}
	}
}

// testdata is the short file of two hives.
func testdata(t *testing.T) []scales.Series {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "forage", "scales", "testdata", "two_hives.csv"))
	require.NoError(t, err)
	defer f.Close()
	var ps read.Problems
	out := scales.Read("two_hives.csv", f, &ps)
	require.Empty(t, ps)
	return out
}

// TestInventedFile runs the short file of two hives on a generated winter.
func TestInventedFile(t *testing.T) {
	for _, s := range testdata(t) {
		h := hive(winter(t, 0), day(1, 2), day(1, 3))
		h.Name, h.Weighings = s.Hive, s.Weighings
		r, err := Run(context.Background(), h, DefaultOptions())
		require.NoError(t, err)
		require.Len(t, r.Dates, dayNumber(r.Dates[0], s.Weighings[len(s.Weighings)-1].Date)+1)
		require.Len(t, r.Band.P50, len(r.Dates))
		require.Equal(t, len(s.Weighings), len(r.Points))
		require.InDelta(t, r.Points[0].Kg, r.Band.P10[0], 1e-9, "the run starts from the first weighing")
		for d := range r.Dates {
			require.LessOrEqual(t, r.Band.P10[d], r.Band.P25[d])
			require.LessOrEqual(t, r.Band.P25[d], r.Band.P50[d])
			require.LessOrEqual(t, r.Band.P50[d], r.Band.P75[d])
			require.LessOrEqual(t, r.Band.P75[d], r.Band.P90[d])
		}
		require.Greater(t, r.Band.P90[40]-r.Band.P10[40], r.Band.P90[5]-r.Band.P10[5], "the bands open with time")
		if s.Hive == "west" {
			require.Equal(t, []Cause{Load, Written}, []Cause{r.Steps[0].Cause, r.Steps[1].Cause})
			require.Len(t, r.Steps, 2)
			require.Empty(t, r.Warnings)
			require.InDelta(t, 0.05, r.Noise.ScatterKg, 0.04, "the file was invented with 0.05; 40 readings, some under snow")
			require.Equal(t, 40, r.Scores.Readings, "44 less the first and three under snow")
		} else {
			require.Len(t, r.Steps, 2)
			require.Equal(t, Gained, r.Steps[1].Cause)
			require.Equal(t, Warning{Code: StepsFound, Dates: []time.Time{day(2, 7)}}, r.Warnings[0])
			require.Equal(t, scatterElseKg, r.Noise.ScatterKg, "too sparse to work it out")
		}
		month := r.Scores.Horizons[2]
		require.Equal(t, 30, month.Days)
		require.InDelta(t, month.FromStartSeenKg, month.FromStartP50, 1.2, "0.05-0.06 kg a day were invented, as institutes see in winter")
		require.True(t, math.IsNaN(r.Scores.Horizons[3].BiasKg), "no two readings are 60 days apart")
	}
}

// TestWinterUse: a colony of unknown size in a German January and February loses
// what institute pages give, 0.2 to 0.9 kg a week, in the middle of the band.
func TestWinterUse(t *testing.T) {
	h := hive(winter(t, 0), day(1, 2), day(2, 27))
	r, err := Run(context.Background(), h, DefaultOptions())
	require.NoError(t, err)
	week := (r.Band.P50[0] - r.Band.P50[56]) / 8
	require.Greater(t, week, 0.2)
	require.Less(t, week, 0.9)
	require.True(t, r.Bloom.P10.After(day(3, 15)), "no dependable nectar in winter, though the weighings end before it")
}

func TestLearningNarrowsTheSize(t *testing.T) {
	h := hive(winter(t, 0), day(1, 2), day(3, 25))
	quiet := Noise{ScatterKg: 0.02, DampKg: 0.02, DampDays: 5, DriftKg: 0}
	ends := func(weekKg float64, learn int) *Result {
		for i := range h.Weighings {
			h.Weighings[i].GrossKg = 35 - weekKg*float64(i)/7
		}
		opt := DefaultOptions()
		opt.Noise, opt.LearnDays = quiet, learn
		r, err := Run(context.Background(), h, opt)
		require.NoError(t, err)
		return r
	}
	small, large, none := ends(0.3, 30), ends(0.6, 30), ends(0.3, 0)
	require.Less(t, small.Learned.BeesNow[1], large.Learned.BeesNow[1], "a hive that loses more holds more bees")
	require.Less(t, small.Learned.BeesNow[2]-small.Learned.BeesNow[0], small.Learned.Bees[2]-small.Learned.Bees[0])
	require.InDelta(t, 35-0.3*30/7, small.Band.P50[30], 0.1, "the band goes through what it learned from")
	require.Less(t, small.Band.P90[82]-small.Band.P10[82], 0.8*(none.Band.P90[82]-none.Band.P10[82]))
	require.GreaterOrEqual(t, small.Learned.ESS, leastMembers-1.0)
	require.Equal(t, 30, small.Learned.Readings)
	require.Equal(t, 53, small.Scores.Readings, "what was learned from is not scored")
	require.Zero(t, none.Learned.Days)
}

func TestSameAnswer(t *testing.T) {
	h := hive(winter(t, 0), day(1, 2), day(2, 2))
	run := func(o Options) *Result {
		r, err := Run(context.Background(), h, o)
		require.NoError(t, err)
		return r
	}
	opt := DefaultOptions()
	opt.Members = 200
	require.Equal(t, run(opt).Band, run(opt).Band)
	other := opt
	other.Seed = 2
	require.NotEqual(t, run(opt).Band, run(other).Band)
	// Only changes count: a heavier hive is the same band, higher.
	light := run(opt)
	for i := range h.Weighings {
		h.Weighings[i].GrossKg += 10
	}
	require.InDelta(t, light.Band.P25[20]+10, run(opt).Band.P25[20], 1e-9)
}

// TestHorizons: weighings that follow the middle of the model exactly but for 1
// kg that is lost on one night have a bias of 1 kg in every pair that spans it.
func TestHorizons(t *testing.T) {
	h := hive(winter(t, 0), day(1, 2), day(1, 31))
	opt := DefaultOptions()
	opt.Noise = noise(0)
	opt.Noise.DampKg, opt.Noise.DriftKg = 0, 0
	opt.Rule.LeastKg = 3 // so that the night is not taken out
	r, err := Run(context.Background(), h, opt)
	require.NoError(t, err)
	for i := range h.Weighings {
		h.Weighings[i].GrossKg = r.Band.P50[i]
		if i >= 10 {
			h.Weighings[i].GrossKg--
		}
	}
	r, err = Run(context.Background(), h, opt)
	require.NoError(t, err)
	week := r.Scores.Horizons[0]
	require.Equal(t, 23, week.Pairs, "30 days hold 23 pairs a week apart")
	require.InDelta(t, 7.0/23, week.BiasKg, 0.02, "7 of them span the night: more was lost than predicted")
	require.InDelta(t, 7.0/23, week.MeanAbsKg, 0.02)
	require.InDelta(t, 1, r.Scores.LastBiasKg, 1e-9)
	require.InDelta(t, 9.0/29, r.Scores.Held80, 1e-9, "0.3 kg of spread cannot hold it")
	require.InDelta(t, 20.0/29, r.Scores.Below, 1e-9)
	fortnight := r.Scores.Horizons[1]
	require.InDelta(t, 10.0/16, fortnight.BiasKg, 0.02)
}

func TestWhatIsRefused(t *testing.T) {
	good := hive(winter(t, 0), day(1, 2), day(1, 12))
	for name, c := range map[string]struct {
		change func(*Hive)
		want   string
	}{
		"one weighing":          {func(h *Hive) { h.Weighings = h.Weighings[:1] }, "two weighings"},
		"out of order":          {func(h *Hive) { h.Weighings[0], h.Weighings[1] = h.Weighings[1], h.Weighings[0] }, "order"},
		"no weather":            {func(h *Hive) { h.Weather = nil }, "weather"},
		"a hole in the weather": {func(h *Hive) { h.Weather.Days[h.Weather.Index(day(1, 5))].TminC = math.NaN() }, "5 January 2024"},
		"south":                 {func(h *Hive) { h.LatDeg = -40 }, "latitude -40"},
		"bees not known":        {func(h *Hive) { h.Known.BeesLogMu = math.NaN() }, "number of bees"},
	} {
		h := good
		h.Weather = good.Weather.Clone()
		h.Weighings = append([]scales.Weighing(nil), good.Weighings...)
		c.change(&h)
		_, err := Run(context.Background(), h, DefaultOptions())
		require.ErrorContains(t, err, c.want, name)
	}
	for name, c := range map[string]struct {
		change func(*Options)
		want   string
	}{
		"members": {func(o *Options) { o.Members = 10 }, "members must lie"},
		"damp":    {func(o *Options) { o.Noise.DampDays = 0 }, "noise of a scale"},
		"learn":   {func(o *Options) { o.LearnDays = -1 }, "days to learn from"},
		"rule":    {func(o *Options) { o.Rule.Sigmas = 0 }, "margin of a step"},
	} {
		opt := DefaultOptions()
		c.change(&opt)
		_, err := Run(context.Background(), good, opt)
		require.ErrorContains(t, err, c.want, name)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := Run(ctx, good, DefaultOptions())
	require.ErrorIs(t, err, context.Canceled)
}

func BenchmarkRun(b *testing.B) {
	h := hive(winter(b, 0), day(1, 2), day(3, 25))
	for b.Loop() {
		if _, err := Run(context.Background(), h, DefaultOptions()); err != nil {
			b.Fatal(err)
		}
	}
}
