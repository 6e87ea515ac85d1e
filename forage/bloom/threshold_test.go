package bloom

import (
	"math"
	"testing"
	"time"

	"bloomgap/forage/weather"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func constant(n int, tempC float64) (lo, hi []float64) {
	for range n {
		lo, hi = append(lo, tempC-4), append(hi, tempC+4)
	}
	return lo, hi
}

func grassland(needCd float64) Threshold {
	return Threshold{Plant: "test", StartDOY: 1, NeedCd: needCd, MonthWeights: GrasslandWeights()}
}

// Arithmetic on the published rule: 31 x 5 x 0.5 = 77.5; + 28 x 5 x 0.75 =
// 182.5; + 4 x 5 = 202.5.
func TestGrasslandSumAtFiveDegrees(t *testing.T) {
	rec := emptyRecord(date(2023, 1, 1), date(2024, 12, 31))
	for i := range rec.Days {
		rec.Days[i].TminC, rec.Days[i].TmaxC = 1, 9
	}
	th := grassland(200)
	require.InDelta(t, 77.5, th.Sum(rec, 2023, date(2023, 1, 31)), 1e-9)
	require.InDelta(t, 182.5, th.Sum(rec, 2023, date(2023, 2, 28)), 1e-9)
	require.InDelta(t, 202.5, th.Sum(rec, 2023, date(2023, 3, 4)), 1e-9)
	got, ok := th.DateReached(rec, 2023)
	require.True(t, ok)
	require.Equal(t, date(2023, 3, 4), got)

	// A leap year has one more day at 0.75: 186.25 at the end of February,
	// 201.25 on 3 March.
	require.InDelta(t, 186.25, th.Sum(rec, 2024, date(2024, 2, 29)), 1e-9)
	got, ok = th.DateReached(rec, 2024)
	require.True(t, ok)
	require.Equal(t, date(2024, 3, 3), got)

	lo, hi := constant(100, 5)
	i, ok := th.FirstReached(lo, hi, 1)
	require.True(t, ok)
	require.Equal(t, 31+28+4-1, i)
}

// Ohio State University's worked day: maximum 61 F, minimum 40 F, 5.5 F-days.
func TestBase50Day(t *testing.T) {
	th, ok := Find("silver maple", formBase50)
	require.True(t, ok)
	c := func(f float64) float64 { return (f - 32) * 5 / 9 }
	require.InDelta(t, FahrenheitDays(5.5), th.DayCd(c(40), c(61)), 1e-9)
	require.Zero(t, th.DayCd(c(30), c(49)), "a day that stays below the base")
	require.InDelta(t, 34.0*5/9, th.NeedCd, 1e-9)
}

func TestDayCd(t *testing.T) {
	th := Threshold{BaseC: 2}
	require.InDelta(t, 5, th.DayCd(2, 12), 1e-12, "mean 7 over base 2")
	require.Zero(t, th.DayCd(-10, 4), "mean below the base counts nothing, not less than nothing")
	require.True(t, math.IsNaN(th.DayCd(math.NaN(), 4)))
	th.RaiseMinToBase = true
	require.True(t, math.IsNaN(th.DayCd(math.NaN(), 4)))
}

func TestFirstReachedGaps(t *testing.T) {
	nan := math.NaN()
	th := Threshold{Plant: "test", StartDOY: 91, NeedCd: 100}
	run := func(firstDOY, n int, holes ...int) (int, bool) {
		lo, hi := constant(n, 5)
		for _, h := range holes {
			lo[h] = nan
		}
		return th.FirstReached(lo, hi, firstDOY)
	}
	span := func(from, to int) (out []int) {
		for i := from; i <= to; i++ {
			out = append(out, i)
		}
		return out
	}
	cases := []struct {
		name      string
		firstDOY  int
		n         int
		holes     []int
		wantIndex int
		wantOK    bool
	}{
		{"20 days of 5 C-days", 91, 60, nil, 19, true},
		{"days before the start do not count", 1, 200, nil, 109, true},
		{"a hole before the start does not matter", 1, 200, span(10, 60), 109, true},
		{"seven days are bridged", 91, 60, span(5, 11), 19, true},
		{"eight are not", 91, 60, span(5, 12), -1, false},
		{"a long hole after bloom does not matter", 91, 60, span(20, 59), 19, true},
		{"the first days are missing", 91, 60, span(0, 3), 19, true},
		{"begins a week late: those days are like its first", 98, 60, nil, 12, true},
		{"begins eight days late", 99, 60, nil, -1, false},
		{"four days late and four more missing", 95, 60, span(0, 3), -1, false},
		{"ends too early", 91, 19, nil, -1, false},
		{"missing at the end is not reached", 91, 22, span(16, 21), -1, false},
		{"nothing", 91, 0, nil, -1, false},
		{"begins the year before", -59, 200, nil, 169, true},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			i, ok := run(c.firstDOY, c.n, c.holes...)
			require.Equal(t, c.wantOK, ok)
			require.Equal(t, c.wantIndex, i)
		})
	}
	lo, hi := constant(100, 5)
	require.Zero(t, testing.AllocsPerRun(20, func() { th.FirstReached(lo, hi, 60) }))
}

func TestBridgeIsAStraightLine(t *testing.T) {
	// 4 C, hole, hole, 10 C: 4+6+8+10 = 28, so a need of 17.9 is met on the third day.
	nan := math.NaN()
	lo, hi := []float64{4, nan, nan, 10}, []float64{4, nan, nan, 10}
	for need, want := range map[float64]int{3.9: 0, 4.1: 1, 10.1: 2, 17.9: 2, 18.1: 3, 28: 3} {
		th := Threshold{StartDOY: 10, NeedCd: need}
		i, ok := th.FirstReached(lo, hi, 10)
		require.True(t, ok)
		require.Equal(t, want, i, "need %g", need)
	}
}

func TestStartBeforeNewYear(t *testing.T) {
	rec := emptyRecord(date(2022, 10, 1), date(2023, 6, 1))
	for i := range rec.Days {
		rec.Days[i].TminC, rec.Days[i].TmaxC = 2, 2
	}
	th := Threshold{StartDOY: -30, NeedCd: 62} // 1 December: 31 days of 2 C-days
	got, ok := th.DateReached(rec, 2023)
	require.True(t, ok)
	require.Equal(t, date(2022, 12, 31), got)
}

func TestMonthOf(t *testing.T) {
	for year, leap := range map[int]bool{2023: false, 2024: true} {
		for d := date(year-1, 9, 1); d.Before(date(year+1, 1, 1)); d = d.AddDate(0, 0, 1) {
			doy := 1 + int(math.Round(d.Sub(jan1(year)).Hours()/24))
			require.Equal(t, int(d.Month())-1, monthOf(doy, leap), d.Format(time.DateOnly))
		}
		require.Equal(t, date(year, 4, 1).YearDay(), shiftDOY(91, leap))
	}
}

func TestSumUnknown(t *testing.T) {
	rec := emptyRecord(date(2023, 3, 1), date(2023, 5, 1))
	for i := range rec.Days {
		rec.Days[i].TminC, rec.Days[i].TmaxC = 5, 5
	}
	require.True(t, math.IsNaN(grassland(200).Sum(rec, 2023, date(2023, 4, 1))), "January is not known")
	th := Threshold{StartDOY: 91, NeedCd: 50}
	require.Zero(t, th.Sum(rec, 2023, date(2023, 3, 31)))
	require.InDelta(t, 5, th.Sum(rec, 2023, date(2023, 4, 1)), 1e-9)
	require.InDelta(t, 155, th.Sum(rec, 2023, date(2023, 5, 1)), 1e-9)
	require.True(t, math.IsNaN(th.Sum(rec, 2023, date(2023, 5, 2))))
}

func TestValidate(t *testing.T) {
	for _, th := range Builtin() {
		require.NoError(t, th.Validate())
	}
	for name, c := range map[string]struct {
		spoil func(*Threshold)
		want  string
	}{
		"need 0":     {func(th *Threshold) { th.NeedCd = 0 }, "sum needed is 0"},
		"need NaN":   {func(th *Threshold) { th.NeedCd = math.NaN() }, "sum needed is NaN"},
		"base 50":    {func(th *Threshold) { th.BaseC = 50 }, "base is 50"},
		"start 350":  {func(th *Threshold) { th.StartDOY = 350 }, "start day is 350"},
		"weight 2":   {func(th *Threshold) { th.MonthWeights[3] = 2 }, "weight of month"},
		"spread neg": {func(th *Threshold) { th.SpreadDays = -1 }, "spread is -1"},
	} {
		th := grassland(200)
		require.NoError(t, th.Validate())
		c.spoil(&th)
		require.ErrorContains(t, th.Validate(), c.want, name)
	}
}

func TestParseStage(t *testing.T) {
	for text, want := range map[string]Stage{"First Flower": FirstFlower, "begin of bloom": FirstFlower,
		"Full bloom": FullBloom, "peak": FullBloom, "": "", " leaf  Out": "leaf out"} {
		require.Equal(t, want, ParseStage(text), text)
	}
}

func anyThreshold(rt *rapid.T) Threshold {
	th := Threshold{Plant: "any", BaseC: rapid.Float64Range(-3, 10).Draw(rt, "base"), StartDOY: rapid.IntRange(-20, 120).Draw(rt, "start"),
		NeedCd: rapid.Float64Range(5, 700).Draw(rt, "need"), RaiseMinToBase: rapid.Bool().Draw(rt, "raise")}
	if rapid.Bool().Draw(rt, "weights") {
		th.MonthWeights = GrasslandWeights()
	}
	return th
}

func TestWarmerIsNeverLater(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		th := anyThreshold(rt)
		year := rapid.IntRange(2001, 2004).Draw(rt, "year")
		rec := madeRecord(year-1, year, 8, 12, rapid.Uint64().Draw(rt, "seed"))
		for range rapid.IntRange(0, 4).Draw(rt, "holes") {
			i := rapid.IntRange(300, 500).Draw(rt, "hole")
			rec.Days[i] = weather.Day{TminC: math.NaN(), TmaxC: math.NaN()}
		}
		warm := &weather.Record{First: rec.First}
		for _, d := range rec.Days {
			w := weather.Day{TminC: d.TminC + rapid.Float64Range(0, 3).Draw(rt, "lo"), TmaxC: d.TmaxC + 1}
			warm.Days = append(warm.Days, w)
		}
		cold, ok := th.DateReached(rec, year)
		if !ok {
			return
		}
		got, ok := th.DateReached(warm, year)
		if !ok || got.After(cold) {
			rt.Fatalf("warmer record blooms %v (%v), colder %v", got, ok, cold)
		}
	})
}

func TestMoreWarmthNeededIsNeverEarlier(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		th := anyThreshold(rt)
		rec := madeRecord(2001, 2002, 8, 12, rapid.Uint64().Draw(rt, "seed"))
		more := th
		more.NeedCd += rapid.Float64Range(0, 300).Draw(rt, "more")
		later, ok := more.DateReached(rec, 2002)
		if !ok {
			return
		}
		earlier, ok := th.DateReached(rec, 2002)
		if !ok || later.Before(earlier) {
			rt.Fatalf("need %g: %v (%v), need %g: %v", th.NeedCd, earlier, ok, more.NeedCd, later)
		}
		if s := th.Sum(rec, 2002, earlier); s < th.NeedCd {
			rt.Fatalf("sum on the bloom day is %g of %g", s, th.NeedCd)
		}
		if s := th.Sum(rec, 2002, earlier.AddDate(0, 0, -1)); s >= th.NeedCd {
			rt.Fatalf("sum on the day before is %g of %g", s, th.NeedCd)
		}
	})
}
