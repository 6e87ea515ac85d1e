package observe

import (
	"fmt"
	"gonum.org/v1/gonum/stat"
	"math"
	"math/rand/v2"

	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage"
	"bloomgap/forage/bloom"
	"bloomgap/forage/climate"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

func day(month time.Month, d int) time.Time { return time.Date(2027, month, d, 0, 0, 0, 0, time.UTC) }

// outlook is springs of southern Quebec from 10 February on, all the same to
// 31 March, as a season's record makes them.
func outlook(t testing.TB, springs int) *forage.Outlook {
	t.Helper()
	const lat, lon = 45.4, -73
	n := climate.NearestAt(lat, lon, 50)
	p := forage.Prospect{LatDeg: lat, Start: day(2, 10), Today: day(3, 31), End: day(7, 15), Years: forage.GeneratedYears(n, springs, 1)}
	season := climate.Generate(n, 1, 99)[0].Clone()
	season.First = season.First.AddDate(2027-season.Last().Year(), 0, 0)
	p.Season = season
	for _, th := range bloom.Default(lat, lon) {
		if th.Role == bloom.DependableNectar {
			p.Nectar = th
		} else if p.Pollen.Plant == "" {
			p.Pollen = th
		}
	}
	o, err := forage.NewOutlook(p)
	require.NoError(t, err)
	require.Equal(t, day(3, 31), o.ObservedTo)
	return o
}

// hive is a synthetic hive: one draw of the model as the truth.
type hive struct {
	stores, bees []float64 // by day of the outlook
}

func (h hive) at(day int) float64 { return h.stores[day-1] }

// truths draws hives from the model, each with its own draw of everything.
func truths(o *forage.Outlook, n int, seen ensemble.InitialSpread, seed uint64) []hive {
	pl := ensemble.NewSpringEnsemble(o, ensemble.NewSharedDraws(colony.DefaultParams(), n, seed, false), ensemble.SpringEnsembleOptions{Today: 49, ReadDay: 140})
	d := ensemble.NewSampler(pl)
	var r colony.Runner
	var c ensemble.Realization
	var p colony.Path
	out := make([]hive, n)
	for i := range out {
		d.Realize(ensemble.KeyOf("truth", fmt.Sprint(i)), &seen, i, &c)
		r.Run(c.Spring(), c.Start, &colony.Treatment{}, 0, &p)
		out[i] = hive{slices.Clone(p.StoresKg), slices.Clone(p.Bees)}
	}
	return out
}

// prior is a hive of which nothing is known yet.
func prior() ensemble.InitialSpread {
	return ensemble.InitialSpread{Day: 0, BeesLogMu: math.Log(10000), BeesLogSD: 0.35, BroodCells: math.NaN(), BroodLogSD: UnseenBroodLogSD, StoresKg: 14, StoresSDKg: 4, StoresMax: 60}
}

// way is a way to judge stores: its whole error and the part all looks share.
type way struct {
	name         string
	sdKg, commKg float64
}

// score is what forecasts of many hives came to.
type score struct {
	levelKg, changeKg            float64 // mean absolute error of stores 30 days on, and of what is used until then
	held50, held80, changeHeld80 float64
	surprises                    int
}

// A count of seams, natural logarithm: its whole error and what all counts by
// one keeper share.
const seamsSD, seamsCommon = 0.25, 0.15

const target = 79 // day of the outlook that is forecast, 30 days after the last look

// forecast looks at hives on days and forecasts their stores on target. The
// errors of a look are the same whatever the other days.
func forecast(t *testing.T, pl *ensemble.SpringEnsemble, hives []hive, w way, days []int) score {
	var s score
	n := float64(len(hives))
	var c ensemble.Realization
	var r colony.Runner
	var p colony.Path
	d := ensemble.NewSampler(pl)
	for i, h := range hives {
		rnd := rand.New(rand.NewPCG(uint64(i), 5))
		common, eye := w.commKg*rnd.NormFloat64(), seamsCommon*rnd.NormFloat64()
		own, seams := map[int]float64{}, map[int]float64{}
		for _, day := range []int{1, 25, 49} {
			own[day] = math.Sqrt(w.sdKg*w.sdKg-w.commKg*w.commKg) * rnd.NormFloat64()
			seams[day] = math.Sqrt(seamsSD*seamsSD-seamsCommon*seamsCommon) * rnd.NormFloat64()
		}
		var seen []Observation
		for _, day := range days {
			o := NothingSeen(day)
			o.StoresKg, o.StoresSDKg, o.CommonSDKg = h.at(day)+common+own[day], w.sdKg, w.commKg
			o.BeesLogMu, o.BeesLogSD, o.BeesCommonLogSD = math.Log(h.bees[day-1])+eye+seams[day], seamsSD, seamsCommon
			seen = append(seen, o)
		}
		start := prior()
		start.Day, start.StoresKg, start.StoresSDKg = days[0], seen[0].StoresKg, w.sdKg
		start.BeesLogMu, start.BeesLogSD = seen[0].BeesLogMu, seen[0].BeesLogSD
		key := ensemble.KeyOf("colony", fmt.Sprint(i))
		knows, report, err := Assimilate(pl, len(pl.Members), key, start, seen, DefaultOptions())
		require.NoError(t, err)
		for _, x := range report.Innovations {
			if math.Abs(x.Z) > Surprising {
				s.surprises++
			}
		}
		var level, change []float64
		for m := range pl.Members {
			d.Realize(key, &knows, m, &c)
			c.Span.Days = target - days[0]
			r.Run(c.Spring(), c.Start, &colony.Treatment{}, 0, &p)
			now := c.Start.StoresKg
			if at := 49 - days[0] - 1; at >= 0 {
				now = p.StoresKg[at]
			}
			then := p.StoresKg[target-days[0]-1]
			level, change = append(level, then), append(change, then-now)
		}
		slices.Sort(level)
		slices.Sort(change)
		at := func(x []float64, p float64) float64 { return stat.Quantile(p, stat.Empirical, x, nil) }
		inside := func(x []float64, v, low float64) float64 {
			if at(x, low) <= v && v <= at(x, 1-low) {
				return 1 / n
			}
			return 0
		}
		truth, used := h.at(target), h.at(target)-h.at(49)
		s.levelKg += math.Abs(at(level, 0.5)-truth) / n
		s.changeKg += math.Abs(at(change, 0.5)-used) / n
		s.held50 += inside(level, truth, 0.25)
		s.held80 += inside(level, truth, 0.1)
		s.changeHeld80 += inside(change, used, 0.1)
	}
	return s
}

// TestSecondAndThirdLook: on hives drawn from the model, more looks make the
// forecast of 30 days on better, and its bands still hold the truth as often as
// they say. A share of 200 hives has a standard error of 0.028 at 80 % and
// 0.035 at 50 %; three of them are allowed.
func TestSecondAndThirdLook(t *testing.T) {
	o := outlook(t, 40)
	hives := truths(o, 200, prior(), 77)
	pl := ensemble.NewSpringEnsemble(o, ensemble.NewSharedDraws(colony.DefaultParams(), 70, 1, false), ensemble.SpringEnsembleOptions{Today: 49, ReadDay: -1})
	for _, w := range []way{{"heft by hand", 3, 2}, {"scale, tare not known", 1.5, 1.4}} {
		last := forecast(t, pl, hives, w, []int{49})
		t.Logf("%s, last look alone: %+v", w.name, last)
		var by []score
		for k, days := range [][]int{{1}, {1, 25}, {1, 25, 49}} {
			s := forecast(t, pl, hives, w, days)
			by = append(by, s)
			t.Logf("%s, %d looks: %+v", w.name, k+1, s)
			require.InDelta(t, 0.5, s.held50, 0.11, "%s, %d looks", w.name, k+1)
			require.InDelta(t, 0.8, s.held80, 0.085, "%s, %d looks", w.name, k+1)
			require.Greater(t, s.changeHeld80, 0.715, "%s, %d looks", w.name, k+1)
			require.LessOrEqual(t, s.surprises, 5, "one in 370 by chance")
		}
		require.Less(t, by[1].levelKg, by[0].levelKg, w.name)
		require.Less(t, by[2].levelKg, by[1].levelKg, w.name)
		require.Less(t, by[2].levelKg, last.levelKg, "%s: better than the last look alone", w.name)
		require.Less(t, by[2].changeKg, 1.03*by[0].changeKg, "%s: and what is used is foretold no worse", w.name)
	}
}

// place is a small ensemble on one observed season.
func place(t testing.TB, members int) *ensemble.SpringEnsemble {
	return ensemble.NewSpringEnsemble(outlook(t, 5), ensemble.NewSharedDraws(colony.DefaultParams(), members, 1, false), ensemble.SpringEnsembleOptions{Today: 49, ReadDay: -1})
}

func food(day int, kg, sdKg, commonKg float64) Observation {
	o := NothingSeen(day)
	o.StoresKg, o.StoresSDKg, o.CommonSDKg = kg, sdKg, commonKg
	return o
}

func startAt(kg, sdKg float64) ensemble.InitialSpread {
	s := prior()
	s.StoresKg, s.StoresSDKg = kg, sdKg
	return s
}

// startStores are the stores on the first evening of the picked draws.
func startStores(pl *ensemble.SpringEnsemble, key ensemble.Key, s ensemble.InitialSpread) (mean, sd float64) {
	d := ensemble.NewSampler(pl)
	var c ensemble.Realization
	var kg []float64
	for m := range s.Draw {
		d.Realize(key, &s, m, &c)
		kg = append(kg, c.Start.StoresKg)
	}
	return stat.MeanStdDev(kg, nil)
}

// TestTwoLooksOnNeighbouringDays has closed forms: with hardly any food used in
// between, two normal readings of 20 +- 2 and 22 +- 1 kg mean (20/4 + 22/1) /
// (1/4 + 1) = 21.6 kg, SD 1/sqrt(1.25) = 0.894; when most of the error is common
// the second reading says no more of the level than the first, 20 +- 2.
func TestTwoLooksOnNeighbouringDays(t *testing.T) {
	pl, key := place(t, 600), ensemble.KeyOf("x")
	opt := DefaultOptions()
	opt.Fewest, opt.LeastESS = 128, 16
	s, report, err := Assimilate(pl, len(pl.Members), key, startAt(20, 2), []Observation{food(0, 20, 2, 0), food(1, 22, 1, 0)}, opt)
	require.NoError(t, err)
	mean, sd := startStores(pl, key, s)
	require.InDelta(t, 21.6, mean, 0.15, "600 picks, and some 0.05 kg eaten")
	require.InDelta(t, 0.894, sd, 0.1)
	require.Empty(t, report.Warnings)
	require.InDelta(t, 2/math.Sqrt(4+1), report.Innovations[0].Z, 0.1, "2 kg more than foretold, with 2 and 1 kg of error")

	s, _, err = Assimilate(pl, len(pl.Members), key, startAt(20, 2), []Observation{food(0, 20, 2, 1.95), food(1, 20, 2, 1.95)}, opt)
	require.NoError(t, err)
	mean, sd = startStores(pl, key, s)
	require.InDelta(t, 20, mean, 0.25)
	require.InDelta(t, 2, sd, 0.2, "the level is no surer")
}

func TestUseIsLearned(t *testing.T) {
	pl, key := place(t, 200), ensemble.KeyOf("x")
	prior, _, err := Assimilate(pl, len(pl.Members), key, startAt(20, 1.5), []Observation{food(0, 20, 1.5, 1.48)}, DefaultOptions())
	require.NoError(t, err)
	require.Nil(t, prior.Draw, "one look teaches nothing more")
	use := func(kg float64) Report {
		_, r, err := Assimilate(pl, len(pl.Members), key, startAt(20, 1.5), []Observation{food(0, 20, 1.5, 1.48), food(45, kg, 1.5, 1.48)}, DefaultOptions())
		require.NoError(t, err)
		return r
	}
	little, much := use(18.0), use(16.0)
	require.Less(t, little.UseNow.P50, little.UseBefore.P50)
	require.Greater(t, much.UseNow.P50, much.UseBefore.P50)
	require.Less(t, much.UseNow.P90-much.UseNow.P10, 0.8*(much.UseBefore.P90-much.UseBefore.P10), "the colony's own rate is surer")
	require.Greater(t, little.MemberESS, 100.0, "one colony tells little of what all share")
	require.InDelta(t, 1, sum(little.MemberWeight), 1e-9)
	require.True(t, little.WeatherSeen)
	require.Equal(t, 45, little.LastDay)
	require.InDelta(t, 18.0+0.2, stat.Mean(little.StoresKg, nil), 1, "about what was read")
	require.Len(t, little.Bees, 200)
}

func sum(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}

func TestFedBetweenLooks(t *testing.T) {
	pl, key := place(t, 60), ensemble.KeyOf("x")
	seen := []Observation{food(0, 8, 1, 0.9), food(40, 13, 1, 0.9)}
	opt := DefaultOptions()
	_, r, err := Assimilate(pl, len(pl.Members), key, startAt(8, 1), seen, opt)
	require.NoError(t, err)
	require.Greater(t, r.Innovations[0].Z, Surprising)
	require.Contains(t, r.Warnings[0], "on 22 March it held more food", "a wrong day or a wrong reason")
	require.Len(t, r.Untold, 1)
	require.Equal(t, 1.0, r.Untold[0].Frac, "nothing else explains it")
	require.InDelta(t, 5+2.5, r.Untold[0].StoresKg.P50, 1, "5 kg more, and some 2.5 eaten")
	require.InDelta(t, 13, stat.Mean(r.StoresKg, nil), 0.5, "the last reading decides")
	require.Equal(t, 0.0, r.WidenedFor, "and no error need be widened")

	opt.Feedings = []colony.Feeding{{Day: 10, SolidKg: 6.5, SugarKg: 6.5}} // 1.2 kg of stores a kg, 7.8 in all
	_, r, err = Assimilate(pl, len(pl.Members), key, startAt(8, 1), seen, opt)
	require.NoError(t, err)
	require.Less(t, math.Abs(r.Innovations[0].Z), Surprising)
	require.Empty(t, r.Warnings)
	require.Empty(t, r.Untold)

	opt.Feedings = nil
	_, r, err = Assimilate(pl, len(pl.Members), key, startAt(20, 1), []Observation{food(0, 20, 1, 0.9), food(40, 9, 1, 0.9)}, opt)
	require.NoError(t, err)
	require.Contains(t, r.Warnings[0], "robbed")
}

// TestFedOnTheEveningOfALook: feed of the evening of a look counts from the next day on,
// and the look itself was before it. With one spring and no spread all draws are the
// truth, so that what they come to must be the truth's, to the gram.
func TestFedOnTheEveningOfALook(t *testing.T) {
	pl := ensemble.NewSpringEnsemble(outlook(t, 1), ensemble.NewSharedDraws(colony.DefaultParams(), 8, 1, true), ensemble.SpringEnsembleOptions{Today: 49, ReadDay: -1})
	key, start := ensemble.KeyOf("x"), startAt(8, 1)
	const first, days = 75, 4 // late April: syrup is taken
	start.Day = first
	fed := []colony.Feeding{{Day: -1, SyrupKg: 3, LPerKg: 1.1, Touching: true}, {Day: 1, CombKg: 2, SolidKg: 1, SyrupKg: 1, LPerKg: 1.1, Touching: true}}
	var c ensemble.Realization
	ensemble.NewSampler(pl).Realize(key, &start, 0, &c)
	c.Span.Days = days
	var r colony.Runner
	var before, p colony.Path
	r.Run(c.Spring(), c.Start, &colony.Treatment{Feedings: fed[:1]}, 0, &before)
	r.Run(c.Spring(), c.Start, &colony.Treatment{Feedings: fed}, 0, &p)
	require.Less(t, before.FeederKg[0], 3*c.Params.SyrupYield, "what was given before the first day is eaten from on it")
	require.Positive(t, p.FeederKg[days-1])
	seen := []Observation{food(first, 8, 1, 0.9), food(first+2, before.StoresKg[1], 1, 0.9), food(first+days, p.StoresKg[days-1], 1, 0.9)}
	opt := DefaultOptions()
	opt.Feedings = slices.Clone(fed)
	for i := range opt.Feedings {
		opt.Feedings[i].Day += first + 1 // of the outlook
	}
	_, report, err := Assimilate(pl, len(pl.Members), key, start, seen, opt)
	require.NoError(t, err)
	for _, x := range report.Innovations {
		require.InDelta(t, 0, x.Z, 1e-9, "day %d", x.Day)
	}
	for m := range report.StoresKg {
		require.InDelta(t, p.StoresKg[days-1], report.StoresKg[m], 1e-9)
	}
}

func TestOthersSeen(t *testing.T) {
	pl, key := place(t, 100), ensemble.KeyOf("x")
	first := food(0, 15, 3, 2)
	strong := NothingSeen(40)
	strong.BeesLogMu, strong.BeesLogSD, strong.BeesCommonLogSD = math.Log(13000), 0.2, 0.1
	strong.BroodCells, strong.BroodLogSD = 4000, 0.3
	s, r, err := Assimilate(pl, len(pl.Members), key, startAt(15, 3), []Observation{first, strong}, DefaultOptions())
	require.NoError(t, err)
	require.Len(t, r.Innovations, 2)
	require.Equal(t, []string{"bees", "brood"}, []string{r.Innovations[0].What, r.Innovations[1].What})
	d := ensemble.NewSampler(pl)
	var before, after []float64
	var c ensemble.Realization
	plain := startAt(15, 3)
	for m := range s.Draw {
		d.Realize(key, &plain, m, &c)
		before = append(before, c.Start.Bees)
		d.Realize(key, &s, m, &c)
		after = append(after, c.Start.Bees)
	}
	require.Greater(t, stat.Mean(after, nil), 1.1*stat.Mean(before, nil), "a colony found strong was strong before")
}

// TestAliveWhenLastSeen: a colony judged nearly out of food that lives a month
// later had enough.
func TestAliveWhenLastSeen(t *testing.T) {
	pl, key := place(t, 100), ensemble.KeyOf("x")
	alive := NothingSeen(40)
	alive.BeesLogMu, alive.BeesLogSD = math.Log(8000), 0.3
	start := startAt(2, 2)
	s, _, err := Assimilate(pl, len(pl.Members), key, start, []Observation{food(0, 2, 2, 0), alive}, DefaultOptions())
	require.NoError(t, err)
	starved := func(s ensemble.InitialSpread) int {
		d := ensemble.NewSampler(pl)
		var r colony.Runner
		var c ensemble.Realization
		n := 0
		for m := range pl.Members {
			d.Realize(key, &s, m, &c)
			c.Span.Days = 40
			if r.Run(c.Spring(), c.Start, &colony.Treatment{}, 0, nil).StarveDay >= 0 {
				n++
			}
		}
		return n
	}
	require.Greater(t, starved(start), 20, "the first look alone says that many do")
	require.Zero(t, starved(s))
}

func TestDrawsDependOnTheMemberOnly(t *testing.T) {
	pl, key := place(t, 50), ensemble.KeyOf("x")
	seen := []Observation{food(0, 15, 3, 2), food(20, 14, 3, 2), food(20, 3, 1, 0), food(10, 3, 1, 0), food(45, 12, 3, 2)}
	all, r, err := Assimilate(pl, len(pl.Members), key, startAt(15, 3), seen, DefaultOptions())
	require.NoError(t, err)
	require.Len(t, r.Innovations, 2, "a second look on a day and one out of order are left out")
	few, _, err := Assimilate(pl, 20, key, startAt(15, 3), seen, DefaultOptions())
	require.NoError(t, err)
	require.Equal(t, all.Draw[:20], few.Draw)
	again, _, err := Assimilate(pl, len(pl.Members), key, startAt(15, 3), seen, DefaultOptions())
	require.NoError(t, err)
	require.Equal(t, all.Draw, again.Draw)
	for m, d := range all.Draw {
		require.Equal(t, uint32(m), d/uint32(DefaultOptions().Most), "each member picks among its own")
	}
}

func TestWhatIsRefused(t *testing.T) {
	pl, key := place(t, 4), ensemble.KeyOf("x")
	for name, c := range map[string]struct {
		change func(*Options)
		want   string
	}{
		"too few draws":      {func(o *Options) { o.Fewest = 3 }, "draws in a member"},
		"most under fewest":  {func(o *Options) { o.Most = 8 }, "draws in a member"},
		"sample size over":   {func(o *Options) { o.LeastESS = 17 }, "effective sample size"},
		"walk not known":     {func(o *Options) { o.WalkSDKg = math.NaN() }, "the model's own error"},
		"walk of bees wrong": {func(o *Options) { o.WalkLogSD = -1 }, "the model's own error"},
	} {
		opt := DefaultOptions()
		c.change(&opt)
		_, _, err := Assimilate(pl, len(pl.Members), key, startAt(15, 3), []Observation{food(0, 15, 3, 0)}, opt)
		require.ErrorContains(t, err, c.want, name)
	}
	for name, c := range map[string]struct {
		second Observation
		want   string
	}{
		"no error":                {food(10, 15, 0, 0), "is not known"},
		"common beyond the whole": {food(10, 15, 1, 2), "is not known"},
		"after the table":         {food(1000, 15, 1, 0), "after the last day looked at"},
	} {
		_, _, err := Assimilate(pl, len(pl.Members), key, startAt(15, 3), []Observation{food(0, 15, 3, 0), c.second}, DefaultOptions())
		require.ErrorContains(t, err, c.want, name)
	}
	require.PanicsWithValue(t, "observe: the first observation is not the one behind start", func() {
		_, _, _ = Assimilate(pl, len(pl.Members), key, startAt(15, 3), []Observation{food(3, 15, 3, 0)}, DefaultOptions())
	})
}

// BenchmarkCondition is a colony with three hefts on 300 members.
func BenchmarkCondition(b *testing.B) {
	pl := place(b, 300)
	seen := []Observation{food(0, 15, 3, 2), food(25, 14, 3, 2), food(45, 12, 3, 2)}
	for b.Loop() {
		if _, _, err := Assimilate(pl, len(pl.Members), ensemble.KeyOf("x"), startAt(15, 3), seen, DefaultOptions()); err != nil {
			b.Fatal(err)
		}
	}
}
