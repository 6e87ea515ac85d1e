package bloom

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"
	"testing"
	"time"

	"bloomgap/forage/weather"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const (
	fargoDates   = "phenology/fargo_nd_bee_plants.csv"
	fargoWeather = "phenology/fargo_nd_spring_daily_temp_15yr.csv"
	swissDates   = "phenology/cherry_meteoswiss.csv"
)

func referenceNotes(t *testing.T, name string) []Observation {
	t.Helper()
	notes, ps := ReadDates(name, reference(t, name))
	require.NoError(t, ps.Err())
	return notes
}

func fitLine(name string, r FitResult) string {
	th := r.Threshold
	return fmt.Sprintf("%-34s %2d years, %2d notes not used: %-22s from day %3d base %2.0f C sum %3.0f; fitted %.1f d, left out %.1f d; mean date left out %.1f d, SD %.1f d",
		name, len(r.Years), len(r.Dropped), r.Rule, th.StartDOY, th.BaseC, th.NeedCd, r.FitRMSEDays, r.LeftOutRMSEDays, r.MeanLeftOutRMSEDays, r.SDDays)
}

// The bar of 3.0 days and the SD of 6.9 days (all 49 years) are the project's.
func TestFitFargoDandelion(t *testing.T) {
	notes := Select(referenceNotes(t, fargoDates), "common dandelion", "F")
	require.Len(t, notes, 49)
	res, err := Fit(t.Context(), notes, referenceRecord(t, fargoWeather), DefaultFitOptions())
	require.NoError(t, err)
	t.Log(fitLine("dandelion", res))
	for _, y := range res.Years {
		t.Logf("%d seen %s, left out %+.0f d", y.Year, y.Observed.Format("2 Jan"), y.LeftOutErrorDays)
	}
	require.Len(t, res.Years, 15, "15 years have weather")
	require.Len(t, res.Dropped, 34)
	require.LessOrEqual(t, res.LeftOutRMSEDays, 3.0)
	require.False(t, res.UseMeanDate)
	require.InDelta(t, 91, res.Threshold.StartDOY, 16, "worked independently: from 1 April")
}

func TestFitFargoOthers(t *testing.T) {
	notes := referenceNotes(t, fargoDates)
	rec := referenceRecord(t, fargoWeather)
	plants, _ := Kinds(notes)
	fitted := 0
	for _, p := range plants {
		res, err := Fit(t.Context(), Select(notes, p, ""), rec, DefaultFitOptions())
		if err != nil {
			require.ErrorAs(t, err, &TooFewError{})
			continue
		}
		t.Log(fitLine(p, res))
		if len(res.Years) >= 8 {
			fitted++
			require.Less(t, res.LeftOutRMSEDays, 0.6*res.MeanLeftOutRMSEDays, p)
		}
	}
	require.GreaterOrEqual(t, fitted, 7)
}

func TestFitSwissCherries(t *testing.T) {
	notes := referenceNotes(t, swissDates)
	rec := referenceRecord(t, "weather/bern_ch_BER.csv")
	published, _ := Find("cherry", formGrassland)
	for _, place := range []string{"Switzerland/Worb BE", "Switzerland/Jegenstorf II", "Switzerland/Oeschberg"} {
		own := Select(notes, "", place)
		res, err := Fit(t.Context(), own, rec, DefaultFitOptions())
		require.NoError(t, err)
		t.Log(fitLine(place, res))
		require.Less(t, res.LeftOutRMSEDays, res.MeanLeftOutRMSEDays)

		// The published sum of 530, nothing fitted: bias and error.
		bias, sq, sum := 0.0, 0.0, 0.0
		for _, o := range own {
			d, ok := published.DateReached(rec, o.Date.Year())
			require.True(t, ok)
			e := d.Sub(o.Date).Hours() / 24
			bias += e / float64(len(own))
			sq += e * e / float64(len(own))
			sum += published.Sum(rec, o.Date.Year(), o.Date) / float64(len(own))
		}
		t.Logf("   grassland sum 530: %+.1f d late on average, RMSE %.1f d; mean sum on the dates %.0f", bias, math.Sqrt(sq), sum)
	}
}

// The worked cherry sum is the one that fits all three villages together.
func TestWorkedCherrySum(t *testing.T) {
	notes := referenceNotes(t, swissDates)
	rec := referenceRecord(t, "weather/bern_ch_BER.csv")
	th, ok := Find("cherry", formBern)
	require.True(t, ok)
	var springs []spring
	for _, place := range []string{"Switzerland/Worb BE", "Switzerland/Jegenstorf II", "Switzerland/Oeschberg"} {
		s, _, _ := prepare(Select(notes, "", place), rec, DefaultFitOptions())
		springs = append(springs, s...)
	}
	f, err := search(t.Context(), []form{{startDOY: 1, weights: GrasslandWeights()}}, springs)
	require.NoError(t, err)
	rmse := math.Sqrt(f.sse / float64(len(springs)))
	t.Logf("%d springs, sum %.0f, RMSE %.1f d", len(springs), f.best.needCd, rmse)
	require.InEpsilon(t, th.NeedCd, f.best.needCd, 0.03)
	require.InDelta(t, th.SpreadDays, rmse, 0.3)
}

// The worked built-in figures are what the records give: the sum alone fitted,
// start day and base held.
func TestWorkedBuiltinFigures(t *testing.T) {
	notes := referenceNotes(t, fargoDates)
	rec := referenceRecord(t, fargoWeather)
	names := map[string]string{"silver maple": "Silver Maple", "pussy willow": "Pussy Willow", "elm": "American Elm",
		"boxelder": "Boxelder", "dandelion": "common dandelion", "plum": "American/Wild Plum"}
	checked := 0
	for _, th := range Builtin() {
		if th.Source != fargoSource {
			continue
		}
		opt := DefaultFitOptions()
		opt.FewYears, opt.ManyYears = 30, 30 // the sum only
		opt.Prior = &th
		res, err := Fit(t.Context(), Select(notes, names[th.Plant], ""), rec, opt)
		require.NoError(t, err)
		t.Log(fitLine(th.Plant+", "+th.Form, res))
		require.InEpsilon(t, th.NeedCd, res.Threshold.NeedCd, 0.05)
		require.InDelta(t, th.SpreadDays, res.LeftOutRMSEDays, 0.5)
		checked++
	}
	require.Equal(t, 7, checked)
}

// Dates that two rules for dandelion and others give at the reference stations.
func TestBuiltinAtStations(t *testing.T) {
	for _, st := range []struct {
		file           string
		latDeg, lonDeg float64
	}{
		{"grand_forks_nd_us_USC00323621", 47.92, -97.10}, {"farnham_qc_ca_7022320", 45.30, -72.90}, {"marieville_qc_ca_7024627", 45.4, -73.2},
		{"auteuil_laval_qc_ca_7020392", 45.65, -73.73}, {"milwaukee_wi_us_USW00014839", 42.955, -87.904}, {"bern_ch_BER", 46.99, 7.46},
		{"wuerzburg_de_05705", 49.77, 9.96}, {"grambek_de_01736", 53.57, 10.68},
	} {
		rec := referenceRecord(t, "weather/"+st.file+".csv")
		mean := func(th Threshold) (doy, sd float64, n int) {
			var xs []float64
			for y := max(1980, rec.First.Year()); y <= rec.Last().Year(); y++ {
				if d, ok := th.DateReached(rec, y); ok {
					xs = append(xs, float64(d.YearDay()))
					doy += float64(d.YearDay())
				}
			}
			doy /= float64(len(xs))
			for _, x := range xs {
				sd += (x - doy) * (x - doy) / float64(len(xs)-1)
			}
			return doy, math.Sqrt(sd), len(xs)
		}
		var b strings.Builder
		show := func(th Threshold) float64 {
			doy, sd, n := mean(th)
			fmt.Fprintf(&b, "\n  %-13s %-20s %s, SD %.1f d, %d years", th.Plant, th.Form, jan1(2001).AddDate(0, 0, int(math.Round(doy))-1).Format("2 Jan"), sd, n)
			return doy
		}
		for _, th := range Builtin() {
			show(th)
		}
		b.WriteString("\n  chosen here:")
		for _, th := range Default(st.latDeg, st.lonDeg) {
			doy := show(th)
			if th.Plant == "dandelion" {
				// Common practice: first dandelions mid-April to mid-May at such places.
				require.InDelta(t, 120, doy, 20, st.file)
			}
		}
		t.Log(st.file + b.String())
	}
}

// Plants that are known to follow a rule, with an error of 3 days, on invented
// weather: the left-out error must come near 3 and beat the mean date.
func TestFitFindsInventedPlants(t *testing.T) {
	warm, cold := madeRecord(1984, 2023, 9, 9, 11), madeRecord(1984, 2023, 6, 16, 12)
	for _, c := range []struct {
		name string
		rec  *weather.Record
		th   Threshold
	}{
		{"very early, mild", warm, Threshold{StartDOY: 1, BaseC: 0, NeedCd: 60}},
		{"spring, mild", warm, Threshold{StartDOY: 32, BaseC: 2, NeedCd: 220}},
		{"spring, cold", cold, Threshold{StartDOY: 60, BaseC: 0, NeedCd: 280}},
		{"base 50 F rule, cold", cold, Threshold{StartDOY: 1, BaseC: 10, NeedCd: 60, RaiseMinToBase: true}},
		{"early summer, high base", cold, Threshold{StartDOY: 91, BaseC: 8, NeedCd: 350}},
		{"late summer", warm, Threshold{StartDOY: 60, BaseC: 5, NeedCd: 1200}},
	} {
		t.Run(c.name, func(t *testing.T) {
			notes := madeNotes(c.th, c.rec, 3, 21)
			res, err := Fit(t.Context(), notes, c.rec, DefaultFitOptions())
			require.NoError(t, err)
			t.Log(fitLine(c.name, res))
			require.LessOrEqual(t, len(res.Dropped), 1)
			require.Less(t, res.LeftOutRMSEDays, 4.2)
			require.False(t, res.UseMeanDate)
			require.GreaterOrEqual(t, res.LeftOutRMSEDays, 2.0, "cannot be better than the notes are")
		})
	}
}

// Dates that have nothing to do with the weather: the mean date must be advised.
func TestFitSaysWhenTheMeanIsAsGood(t *testing.T) {
	rec := madeRecord(1994, 2023, 8, 12, 31)
	advised := 0
	for seed := range uint64(10) {
		var notes []Observation
		for i, o := range madeNotes(Threshold{StartDOY: 1, NeedCd: 1e-3}, rec, 0, 1) {
			shift := int(seed*7+uint64(i)*uint64(i)*13) % 21
			notes = append(notes, Observation{Date: date(o.Date.Year(), 4, 20).AddDate(0, 0, shift)})
		}
		res, err := Fit(t.Context(), notes, rec, DefaultFitOptions())
		require.NoError(t, err)
		if res.UseMeanDate {
			advised++
			require.Equal(t, MeanDate, res.Winner)
		}
	}
	require.GreaterOrEqual(t, advised, 9)
}

func TestFitFewYears(t *testing.T) {
	rec := madeRecord(2014, 2023, 8, 12, 41)
	notes := madeNotes(Threshold{StartDOY: 60, NeedCd: 250}, rec, 2, 5)
	require.Len(t, notes, 10)
	_, err := Fit(t.Context(), notes[:4], rec, DefaultFitOptions())
	var few TooFewError
	require.ErrorAs(t, err, &few)
	require.Equal(t, 4, few.Usable)
	require.Contains(t, err.Error(), "4 usable years of bloom dates, 5 are needed")

	res, err := Fit(t.Context(), notes[:9], rec, DefaultFitOptions())
	require.NoError(t, err)
	require.Equal(t, "sum only", res.Rule)
	require.Equal(t, 1, res.Threshold.StartDOY)
	require.Len(t, res.Candidates, 3)
	require.True(t, math.IsNaN(res.Candidates[1].LeftOutRMSEDays), "no start day is fitted to so few years")

	prior, _ := Find("elm", "")
	opt := DefaultFitOptions()
	opt.Prior = &prior
	res, err = Fit(t.Context(), notes[:9], rec, opt)
	require.NoError(t, err)
	require.Equal(t, prior.StartDOY, res.Threshold.StartDOY)
	require.Equal(t, prior.BaseC, res.Threshold.BaseC)
	require.NoError(t, res.Threshold.Validate())
}

func TestFitDropsAndSaysWhy(t *testing.T) {
	rec := madeRecord(2000, 2023, 8, 12, 51)
	notes := madeNotes(Threshold{StartDOY: 60, NeedCd: 250}, rec, 2, 6)
	hole := func(year int, m time.Month, days int) {
		for i := range days {
			rec.Days[rec.Index(date(year, m, 1))+i] = weather.Day{TminC: math.NaN(), TmaxC: math.NaN()}
		}
	}
	hole(2003, 4, 20)                                           // long hole before bloom
	hole(2005, 4, 3)                                            // short hole: bridged
	hole(2007, 2, 10)                                           // long hole in winter: only early start days lost
	notes[10].Date = notes[10].Date.AddDate(0, 6, 0)            // slip: half a year late
	notes = append(notes, Observation{Date: date(2030, 4, 20)}) // no weather
	notes = append(notes, Observation{Date: notes[0].Date.AddDate(0, 0, 9)})
	res, err := Fit(t.Context(), notes, rec, DefaultFitOptions())
	require.NoError(t, err)
	why := map[int][]string{}
	for _, d := range res.Dropped {
		why[d.Observation.Date.Year()] = append(why[d.Observation.Date.Year()], d.Reason)
	}
	t.Log(why)
	require.Contains(t, why[2010][0], "check month and day")
	require.Contains(t, why[2030][0], "does not reach")
	require.Contains(t, why[2000][0], "an earlier date")
	require.Contains(t, why[2003][0], "hole")
	require.NotContains(t, why, 2005)
	require.Equal(t, len(notes), len(res.Years)+len(res.Dropped))
	require.Less(t, res.LeftOutRMSEDays, 4.0)
	require.True(t, sort.SliceIsSorted(res.Years, func(i, j int) bool { return res.Years[i].Year < res.Years[j].Year }))
}

func TestFitRecordFromMarch(t *testing.T) {
	rec := madeRecord(1990, 2023, 8, 14, 61)
	for i := range rec.Days {
		if d := rec.First.AddDate(0, 0, i); d.Month() < 3 || d.Month() > 6 {
			rec.Days[i] = weather.Day{TminC: math.NaN(), TmaxC: math.NaN()}
		}
	}
	notes := madeNotes(Threshold{StartDOY: 75, BaseC: 2, NeedCd: 150}, rec, 2, 8)
	res, err := Fit(t.Context(), notes, rec, DefaultFitOptions())
	require.NoError(t, err)
	t.Log(fitLine("from March", res))
	require.GreaterOrEqual(t, res.Threshold.StartDOY, 60)
	require.Len(t, res.Years, len(notes))
	require.Less(t, res.LeftOutRMSEDays, 3.5)
}

func TestFitAroundNewYear(t *testing.T) {
	rec := madeRecord(1990, 2023, 12, 7, 71)
	var notes []Observation
	for y := 1992; y <= 2015; y++ { // a hazel of the mild west, 17 December to 13 January
		notes = append(notes, Observation{Date: date(y, 1, 13).AddDate(0, 0, -(y*7)%28)})
	}
	res, err := Fit(t.Context(), notes, rec, DefaultFitOptions())
	require.NoError(t, err)
	require.Empty(t, res.Dropped)
	require.Len(t, res.Years, 24)
	require.InDelta(t, 0, res.MeanDOY, 5)
}

func TestFitMixed(t *testing.T) {
	_, err := Fit(t.Context(), []Observation{{Plant: "elm"}, {Plant: "willow"}}, &weather.Record{}, DefaultFitOptions())
	require.ErrorContains(t, err, "several plants (elm, willow)")
	_, err = Fit(t.Context(), []Observation{{Place: "A"}, {Place: "B"}}, &weather.Record{}, DefaultFitOptions())
	require.ErrorContains(t, err, "several places (A, B)")
	_, err = Fit(t.Context(), []Observation{{Stage: FirstFlower}, {Stage: FullBloom}}, &weather.Record{}, DefaultFitOptions())
	require.ErrorContains(t, err, "several stages (first flower, full bloom)")
	_, err = Fit(t.Context(), nil, &weather.Record{}, DefaultFitOptions())
	require.ErrorAs(t, err, &TooFewError{})
	opt := DefaultFitOptions()
	opt.MinYears = 2
	_, err = Fit(t.Context(), nil, &weather.Record{}, opt)
	require.ErrorContains(t, err, "fewest years")
}

// TestWinner: of plants that follow warmth from 1 January, from April and not at
// all, the way that made them wins, and its error on years left out is the least.
func TestWinner(t *testing.T) {
	rec := madeRecord(1990, 2023, 8, 12, 7)
	for _, c := range []struct {
		name  string
		th    Threshold
		mixed bool // dates without weather
		want  Way
	}{
		{"from 1 January", Threshold{StartDOY: 1, NeedCd: 250}, false, FromNewYear},
		{"from 1 April", Threshold{StartDOY: 91, NeedCd: 250}, false, FittedStart},
		{"by the calendar", Threshold{StartDOY: 1, NeedCd: 250}, true, MeanDate},
	} {
		notes := madeNotes(c.th, rec, 0.5, 3)
		for i := range notes {
			if c.mixed {
				notes[i].Date = date(notes[i].Date.Year(), 4, 20).AddDate(0, 0, i*i*13%9)
			}
		}
		res, err := Fit(t.Context(), notes, rec, DefaultFitOptions())
		require.NoError(t, err)
		require.Equal(t, c.want, res.Winner, "%s: %v", c.name, res.Candidates)
		for _, other := range res.Candidates {
			if res.Winner == other.Way {
				for _, x := range res.Candidates {
					require.LessOrEqual(t, 0.95*other.LeftOutRMSEDays, x.LeftOutRMSEDays, "%s: the plainer way is taken within 5 %%", c.name)
				}
			}
		}
	}
}

// The left-out errors must be what fitting without the year gives: do it by
// hand, all of it again, for each year.
func TestLeftOutIsHonest(t *testing.T) {
	rec := madeRecord(1996, 2023, 8, 12, 81)
	for _, n := range []int{8, 14, 25} {
		notes := madeNotes(Threshold{StartDOY: 32, BaseC: 2, NeedCd: 180}, rec, 4, uint64(n))[:n]
		opt := DefaultFitOptions()
		res, err := Fit(t.Context(), notes, rec, opt)
		require.NoError(t, err)
		require.Len(t, res.Years, n)
		// The ladder of rules and the range of start days stay those of the whole set.
		springs, first, _ := prepare(notes, rec, opt)
		ladder := rules(springs, first, opt)
		for o, y := range res.Years {
			var rest []spring
			for i, s := range springs {
				if i != o {
					rest = append(rest, s)
				}
			}
			var mse []float64
			var found []*searched
			for _, m := range ladder {
				f, err := search(t.Context(), m.forms, rest)
				require.NoError(t, err)
				sum := 0.0
				for _, e := range f.missed {
					sum += e * e / float64(len(rest))
				}
				mse, found = append(mse, sum), append(found, f)
			}
			th := found[choose(mse, opt.SimplerShare)].best.threshold()
			require.Equal(t, y.LeftOutErrorDays, float64(springs[o].dayOf(th)-springs[o].day), "n %d year %d", n, y.Year)
		}
	}
}

// Any plant, any record with holes: an answer that holds together, or a typed
// refusal; never a panic.
func TestFitOnAnything(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		first := rapid.IntRange(1950, 2000).Draw(rt, "first")
		last := first + rapid.IntRange(4, 30).Draw(rt, "years")
		rec := madeRecord(first, last, rapid.Float64Range(2, 14).Draw(rt, "mean"), rapid.Float64Range(5, 16).Draw(rt, "wave"), rapid.Uint64().Draw(rt, "seed"))
		for range rapid.IntRange(0, 30).Draw(rt, "holes") {
			at := rapid.IntRange(0, len(rec.Days)-1).Draw(rt, "at")
			for i := at; i < min(len(rec.Days), at+rapid.IntRange(1, 60).Draw(rt, "long")); i++ {
				rec.Days[i] = weather.Day{TminC: math.NaN(), TmaxC: math.NaN()}
			}
		}
		var notes []Observation
		centre := rapid.IntRange(-40, 250).Draw(rt, "centre")
		width := rapid.IntRange(0, 50).Draw(rt, "width")
		for y := first; y <= last; y++ {
			notes = append(notes, Observation{Date: jan1(y).AddDate(0, 0, centre+rapid.IntRange(0, width).Draw(rt, "day"))})
		}
		opt := DefaultFitOptions()
		if rapid.Bool().Draw(rt, "prior") {
			th := anyThreshold(rt)
			opt.Prior = &th
		}
		res, err := Fit(t.Context(), notes, rec, opt)
		if err != nil {
			var few TooFewError
			if !errors.As(err, &few) || few.Usable >= few.Need || few.Usable+len(few.Dropped) != len(notes) {
				rt.Fatal(err)
			}
			return
		}
		if err := res.Threshold.Validate(); err != nil {
			rt.Fatal(err)
		}
		if len(res.Years)+len(res.Dropped) != len(notes) {
			rt.Fatal("notes lost")
		}
		for _, v := range []float64{res.FitRMSEDays, res.LeftOutRMSEDays, res.MeanLeftOutRMSEDays, res.SDDays, res.MeanDOY} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				rt.Fatalf("%+v", res)
			}
		}
	})
}

func BenchmarkFit50Years(b *testing.B) {
	rec := madeRecord(1960, 2023, 8, 12, 91)
	notes := madeNotes(Threshold{StartDOY: 60, NeedCd: 280}, rec, 3, 9)[:50]
	for b.Loop() {
		if _, err := Fit(b.Context(), notes, rec, DefaultFitOptions()); err != nil {
			b.Fatal(err)
		}
	}
}
