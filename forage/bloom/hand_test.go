package bloom

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/read"
)

// TestPreparedSprings: which notes a fit uses, which spring each belongs to, and from
// which day on all of them have weather.
func TestPreparedSprings(t *testing.T) {
	rec := madeRecord(1998, 2012, 6, 11, 4)
	mays := func(from, to int) (out []Observation) {
		for y := from; y <= to; y++ {
			out = append(out, Observation{Date: date(y, time.May, 1)})
		}
		return out
	}
	days := func(year int, doy ...int) (out []Observation) {
		for i, d := range doy {
			out = append(out, Observation{Date: jan1(year+i).AddDate(0, 0, d-1)})
		}
		return out
	}
	years := func(springs []spring) (out []int) {
		for _, s := range springs {
			out = append(out, s.year)
		}
		return out
	}
	opt := DefaultFitOptions()

	second := append(mays(2000, 2010), Observation{Date: date(2003, time.April, 20)})
	springs, first, dropped := prepare(second, rec, opt)
	require.Equal(t, 1, first, "a plant that blooms in May starts on 1 January")
	require.Len(t, springs, 11)
	require.Equal(t, []int{122, 121, 121, 110, 122}, []int{springs[0].day, springs[1].day, springs[2].day, springs[3].day, springs[4].day})
	require.True(t, springs[0].leap)
	require.False(t, springs[1].leap)
	require.Len(t, dropped, 1)
	require.Equal(t, date(2003, time.May, 1), dropped[0].Observation.Date, "the earlier stays")

	// All others on day 121: the limit is 60 days. Where they scatter by ten days it is 5 x 14.8.
	for _, c := range []struct {
		doy  []int
		kept int
	}{
		{[]int{121, 121, 121, 121, 121, 121, 181}, 7}, {[]int{121, 121, 121, 121, 121, 121, 182}, 6}, {[]int{121, 121, 121, 121, 121, 121, 61}, 7},
		{[]int{121, 121, 121, 121, 121, 121, 60}, 6}, {[]int{110, 110, 110, 120, 130, 130, 130, 120, 120, 194}, 10}, {[]int{110, 110, 110, 120, 130, 130, 130, 120, 120, 195}, 9},
	} {
		springs, _, dropped = prepare(days(2000, c.doy...), rec, opt)
		require.Len(t, springs, c.kept, "%v", c.doy)
		require.Len(t, dropped, len(c.doy)-c.kept, "%v", c.doy)
	}

	// Around the New Year.
	winter := []Observation{{Date: date(2000, time.December, 20)}, {Date: date(2002, time.January, 5)}, {Date: date(2002, time.November, 25)}, {Date: date(2004, time.January, 1)}}
	springs, first, _ = prepare(winter, rec, opt)
	require.Equal(t, []int{2001, 2002, 2003, 2004}, years(springs))
	require.Equal(t, []int{-11, 5, -36, 1}, []int{springs[0].day, springs[1].day, springs[2].day, springs[3].day})
	require.Equal(t, -30, first, "as early as the options let it")
	half := []Observation{{Date: date(2000, time.November, 1)}, {Date: date(2002, time.December, 20)}, {Date: date(2004, time.May, 1)}, {Date: date(2006, time.May, 1)}}
	springs, _, _ = prepare(half, rec, opt)
	require.Equal(t, []int{2000, 2002, 2004, 2006}, years(springs), "half of them are not most")
	half[2].Date = date(2004, time.April, 30)
	springs, _, _ = prepare(half, rec, opt)
	require.Equal(t, []int{2001, 2003, 2004, 2006}, years(springs), "now most lie in November to April")
	half[0].Date = date(2000, time.October, 31)
	springs, _, _ = prepare(half, rec, opt)
	require.Equal(t, 2000, springs[0].year, "October is not winter")

	springs, first, _ = prepare(days(2001, 60, 61, 62, 63, 64), rec, opt)
	require.Len(t, springs, 5)
	require.Equal(t, 1, first)
	_, first, _ = prepare(days(2001, 59, 61, 62, 63, 64), rec, opt)
	require.Equal(t, -30, first)
	opt.EarliestDOY = 20
	_, first, _ = prepare(days(2001, 121, 121, 121, 121, 121), rec, opt)
	require.Equal(t, 20, first)
	opt.EarliestDOY = 119
	_, first, _ = prepare(days(2001, 121, 121, 121, 121, 121), rec, opt)
	require.Equal(t, 119, first, "but not after what the options say")
}

// TestYearsGivenUpForAnEarlyStart: one year in ten, and none that the fit cannot do without.
func TestYearsGivenUpForAnEarlyStart(t *testing.T) {
	for _, c := range []struct {
		years, holes, least int
		first, kept         int
	}{
		{10, 1, 5, 1, 9}, {10, 2, 5, 60, 10}, {9, 1, 5, 60, 9}, {10, 1, 10, 60, 10}, {10, 1, 9, 1, 9}, {4, 1, 5, 60, 4}, {10, 0, 5, 1, 10},
	} {
		rec := madeRecord(1999, 2012, 6, 11, 4)
		var notes []Observation
		for i := range c.years {
			notes = append(notes, Observation{Date: date(2000+i, time.May, 1)})
			for d := date(2000+i, time.January, 20); i < c.holes && d.Before(date(2000+i, time.March, 1)); d = d.AddDate(0, 0, 1) {
				rec.Days[rec.Index(d)].TmaxC = math.NaN()
			}
		}
		opt := DefaultFitOptions()
		opt.MinYears = c.least
		springs, first, dropped := prepare(notes, rec, opt)
		require.Equal(t, []int{c.first, c.kept, c.years - c.kept}, []int{first, len(springs), len(dropped)}, "%+v", c)
	}
}

// TestHowFarASpringReaches: holes about and after the bloom, and the ends of the record.
func TestHowFarASpringReaches(t *testing.T) {
	full := madeRecord(2000, 2001, 6, 11, 1)
	of := func(from, to time.Time) (spring, string) {
		rec := full.Clone()
		for d := from; !d.After(to); d = d.AddDate(0, 0, 1) {
			rec.Days[rec.Index(d)].TminC = math.NaN()
		}
		s := spring{year: 2001, day: date(2001, time.May, 1).YearDay()}
		return s, s.load(rec)
	}
	may := func(d int) time.Time { return date(2001, time.May, d) }
	for _, c := range []struct {
		from, to time.Time
		last     time.Time // zero: not to be used
	}{
		{may(2), date(2001, time.December, 31), may(1)}, {may(-1), may(3), date(2001, time.June, 30)}, {may(-3), may(4), time.Time{}},
		{may(-2), may(4), date(2001, time.June, 30)}, {may(10), may(16), date(2001, time.June, 30)}, {may(10), may(17), may(9)},
	} {
		s, why := of(c.from, c.to)
		require.Equal(t, c.last.IsZero(), why != "", "%+v: %s", c, why)
		if why == "" {
			require.Equal(t, c.last, jan1(2001).AddDate(0, 0, s.firstDOY-1+len(s.lo)-1), "%+v", c)
			require.Equal(t, date(2000, time.September, 1), jan1(2001).AddDate(0, 0, s.firstDOY-1))
			for i, lo := range s.lo {
				require.False(t, math.IsNaN(lo+s.hi[i]), "bridged")
			}
		}
	}
	for days, ok := range map[int]bool{121: true, 120: false} { // of 2001
		rec := full.Clone()
		rec.Days = rec.Days[:366+days]
		s := spring{year: 2001, day: 121}
		require.Equal(t, ok, s.load(rec) == "", "%d days", days)
	}
	s := spring{year: 2005, day: 121}
	require.NotEmpty(t, s.load(full))
	// A record that begins three days before, and holes on both sides that each are bridged or end it.
	short := full.Clone()
	short.First, short.Days = may(-2), short.Days[short.Index(may(-2)):]
	s = spring{year: 2001, day: 121}
	require.Empty(t, s.load(short))
	require.Equal(t, 118, s.firstDOY)
	both := full.Clone()
	for _, d := range []time.Time{may(-50), may(-51), may(-52), may(-53), may(-54), may(-55), may(-56), may(-57), may(10)} {
		both.Days[both.Index(d)].TminC = math.NaN()
	}
	s = spring{year: 2001, day: 121}
	require.Empty(t, s.load(both))
	require.Equal(t, may(-49), jan1(2001).AddDate(0, 0, s.firstDOY-1))
	require.Equal(t, date(2001, time.June, 30), jan1(2001).AddDate(0, 0, s.firstDOY-1+len(s.lo)-1))
}

// TestDayOfASpring: the day that reaches the sum, or one beyond the weather at the rate of its
// last ten days, at most sixty days on.
func TestDayOfASpring(t *testing.T) {
	alike := func(n int, fromC, toC float64) *spring {
		s := &spring{firstDOY: 100, year: 2001}
		for i := range n {
			c := fromC
			if i >= n/2 {
				c = toC
			}
			s.lo, s.hi = append(s.lo, c-1), append(s.hi, c+1)
		}
		return s
	}
	for _, c := range []struct {
		s      *spring
		needCd float64
		want   int
	}{
		{alike(20, 10, 10), 55, 105}, {alike(20, 10, 10), 60, 105}, {alike(20, 10, 10), 61, 106}, {alike(20, 10, 10), 200, 119},
		{alike(20, 10, 10), 250, 124}, {alike(20, 10, 10), 251, 125}, {alike(20, 10, 10), 1e5, 179}, {alike(20, 2, 10), 170, 124},
		{alike(20, -5, -5), 10, 139}, {alike(1, 2, 2), 3, 102}, {alike(5, 4, 4), 28, 106},
	} {
		require.Equal(t, c.want, c.s.dayOf(Threshold{StartDOY: 90, NeedCd: c.needCd}), "%g C-days", c.needCd)
	}
}

// TestReportByHand: the rule is chosen by its errors on years left out; the error of a year is
// that of the rule that the other years would choose.
func TestReportByHand(t *testing.T) {
	const n = 5
	var springs []spring
	for i := range n {
		s := spring{year: 2001, firstDOY: 1, day: 48 + 2*i, obs: Observation{Date: jan1(2001).AddDate(0, 0, 47+2*i), Stage: FullBloom}}
		for range 200 {
			s.lo, s.hi = append(s.lo, 10), append(s.hi, 10)
		}
		springs = append(springs, s)
	}
	day := func(d int) node { return node{form: form{startDOY: 1}, needCd: 10 * float64(d)} } // blooms on day d of every year
	all := func(x float64, k int) (out []float64) {
		for range k {
			out = append(out, x)
		}
		return out
	}
	plain := &searched{best: day(70), missed: all(4, n), pair: all(4, n*n)}
	rich := &searched{best: day(53), missed: all(-2, n), pair: all(2, n*n)}
	rich.best.baseC, rich.best.needCd, rich.best.startDOY = 2, 8*50, 4 // from day 4: day 53
	for i := range n {
		plain.pair[i] = 1 // without the first year the plain rule is the better
		plain.without, rich.without = append(plain.without, day(60)), append(rich.without, day(51))
	}
	models := []rule{{name: "plain"}, {name: "rich"}}
	opt := DefaultFitOptions()
	opt.Plant, opt.Role = "plum", DependableNectar
	r := report(springs, models, []*searched{plain, rich}, nil, opt)
	require.Equal(t, "rich", r.Rule)
	require.Equal(t, []any{4, 2.0, 400.0, "plum", FullBloom, DependableNectar},
		[]any{r.Threshold.StartDOY, r.Threshold.BaseC, r.Threshold.NeedCd, r.Threshold.Plant, r.Threshold.Stage, r.Threshold.Role})
	var left, fitted []float64
	for i, y := range r.Years {
		left, fitted = append(left, y.LeftOutErrorDays), append(fitted, y.FittedErrorDays)
		require.Equal(t, springs[i].obs.Date, y.Observed)
		require.Equal(t, date(2001, time.February, 22), y.Fitted, "day 53")
	}
	require.Equal(t, []float64{12, 1, -1, -3, -5}, left)
	require.Equal(t, []float64{5, 3, 1, -1, -3}, fitted)
	require.Equal(t, date(2001, time.March, 1), r.Years[0].LeftOut)
	require.InDelta(t, 6, r.LeftOutRMSEDays, 1e-9, "144 + 1 + 1 + 9 + 25 = 180")
	require.InDelta(t, 3, r.FitRMSEDays, 1e-9)
	require.InDelta(t, 52, r.MeanDOY, 1e-9)
	require.InDelta(t, math.Sqrt(10), r.SDDays, 1e-9)
	require.InDelta(t, math.Sqrt(12.5), r.MeanLeftOutRMSEDays, 1e-9, "a quarter more: the mean of the four others")
	require.True(t, r.UseMeanDate)
	require.Equal(t, MeanDate, r.Winner)
	require.InDelta(t, 6, r.Threshold.SpreadDays, 1e-9)
	require.Equal(t, []Candidate{{FromNewYear, 1, 4}, {FittedStart, 4, 2}, {MeanDate, 0, r.MeanLeftOutRMSEDays}}, r.Candidates)

	for i := range n {
		rich.without[i] = day(springs[i].day)
	}
	plain.without[0] = day(springs[0].day)
	r = report(springs, models, []*searched{plain, rich}, nil, opt)
	require.Zero(t, r.LeftOutRMSEDays)
	require.False(t, r.UseMeanDate)
	require.Equal(t, FittedStart, r.Winner)
	require.Equal(t, 1.0, r.Threshold.SpreadDays, "nobody is surer than a day")
	require.Equal(t, FromNewYear, report(springs, models[:1], []*searched{{best: day(52), missed: all(1, n), pair: all(1, n*n), without: rich.without}}, nil, opt).Winner)
	for i, off := range []int{7, 3, 1, 0, 0} { // 59 of five: 3.43 days, 3 % less than the mean date
		rich.without[i], plain.without[i] = day(springs[i].day+off), day(springs[i].day+off)
	}
	r = report(springs, models, []*searched{plain, rich}, nil, opt)
	require.InDelta(t, math.Sqrt(11.8), r.LeftOutRMSEDays, 1e-9)
	require.True(t, r.UseMeanDate, "hardly better is not better")
	for i := range n {
		rich.without[i] = day(190)
	}
	require.Equal(t, 60.0, report(springs, models, []*searched{plain, rich}, nil, opt).Threshold.SpreadDays)
}

// TestSumsOverHoles: a sum counts from the start day to the date over holes of a week, as long as
// the weather on both sides is there.
func TestSumsOverHoles(t *testing.T) {
	rec := emptyRecord(date(2000, time.January, 1), date(2001, time.December, 31))
	for i := range rec.Days {
		rec.Days[i].TminC, rec.Days[i].TmaxC = 5, 15
	}
	for d := 10; d <= 16; d++ { // of May
		rec.Days[rec.Index(date(2001, time.May, d))].TmaxC = math.NaN()
	}
	for d := 1; d <= 8; d++ { // of June
		rec.Days[rec.Index(date(2001, time.June, d))].TmaxC = math.NaN()
	}
	th := Threshold{StartDOY: 91, BaseC: 2, NeedCd: 1}
	for day, want := range map[time.Time]float64{
		date(2001, time.March, 31): 0, date(2001, time.April, 1): 8, date(2001, time.April, 30): 240, date(2001, time.May, 9): 312,
		date(2001, time.May, 10): 320, date(2001, time.May, 16): 368, date(2001, time.May, 31): 488,
	} {
		require.InDelta(t, want, th.Sum(rec, 2001, day), 1e-9, day.Format(time.DateOnly))
	}
	require.True(t, math.IsNaN(th.Sum(rec, 2001, date(2001, time.June, 1))), "eight days are too many")
	require.True(t, math.IsNaN(th.Sum(rec, 2001, date(2002, time.January, 9))), "past the record")
	th.StartDOY = -9 // 22 December
	require.InDelta(t, 80, th.Sum(rec, 2001, date(2000, time.December, 31)), 1e-9)
	require.InDelta(t, 88, th.Sum(rec, 2001, date(2001, time.January, 1)), 1e-9)
	require.Zero(t, th.Sum(rec, 2001, date(2000, time.December, 21)))
	leap := Threshold{StartDOY: 60, NeedCd: 1}
	require.Zero(t, leap.Sum(rec, 2000, date(2000, time.February, 29)))
	require.InDelta(t, 10, leap.Sum(rec, 2000, date(2000, time.March, 1)), 1e-9)
	got, ok := Threshold{StartDOY: 60, NeedCd: 95}.DateReached(rec, 2000)
	require.True(t, ok)
	require.Equal(t, date(2000, time.March, 10), got)
}

// TestTheCalendar: months and leap years as the calendar has them, and no more of a record than the
// spring's own.
func TestTheCalendar(t *testing.T) {
	for year, leap := range map[int]bool{1900: false, 2000: true, 2001: false, 2004: true, 2100: false} {
		require.Equal(t, leap, isLeap(year), year)
	}
	for _, year := range []int{2001, 2004} {
		for doy := -120; doy <= 365; doy++ {
			day := jan1(year).AddDate(0, 0, doy-1)
			require.Equal(t, int(day.Month())-1, monthOf(doy, isLeap(year)), "%d of %d", doy, year)
		}
	}
	rec := emptyRecord(date(2001, time.January, 1), date(2002, time.March, 1))
	for i := range rec.Days {
		rec.Days[i].TminC, rec.Days[i].TmaxC = 5, 15
	}
	th := Threshold{StartDOY: 1, NeedCd: 10}
	require.InDelta(t, 10, th.Sum(rec, 2001, date(2001, time.January, 1)), 1e-9)
	require.InDelta(t, 3650, th.Sum(rec, 2001, date(2001, time.December, 31)), 1e-9)
	require.True(t, math.IsNaN(th.Sum(rec, 2001, date(2002, time.January, 5))), "of the next spring")
	first, ok := th.DateReached(rec, 2001)
	require.True(t, ok)
	require.Equal(t, date(2001, time.January, 1), first)
	none := Distribution{SpreadDays: 2}
	require.Panics(t, func() { none.Quantile(0.5) })
	one := of(date(2024, time.May, 1), 2)
	for _, p := range []float64{0, 1, -1, 2, math.NaN()} {
		require.Panics(t, func() { one.Quantile(p) }, "%g", p)
	}
}

// TestDefaultsByPlace: the plants in their order, and how far the Fargo figures reach.
func TestDefaultsByPlace(t *testing.T) {
	list := func(latDeg, lonDeg float64) string {
		var out []string
		for _, th := range Default(latDeg, lonDeg) {
			out = append(out, th.Plant+"/"+th.Form)
		}
		return strings.Join(out, " ")
	}
	words := func(parts ...string) string { return strings.Join(parts, " ") }
	europe := words("willow/"+formGrassland, "elm/"+formFargo, "dandelion/"+formFargoMar, "cherry/"+formBern, "apple/"+formGrassland)
	america := func(dandelion string) string {
		return words("silver maple/"+formFargo, "red maple/"+formBase50, "red maple/"+formBase50Ful, "pussy willow/"+formFargo, "elm/"+formFargo,
			"boxelder/"+formFargo, "forsythia/"+formBase50, "dandelion/"+dandelion, "plum/"+formFargo, "apple/"+formBase50)
	}
	for _, c := range []struct {
		latDeg, lonDeg float64
		want           string
	}{
		{50, -29, europe}, {50, 10, europe}, {50, -31, america(formFargo)}, {44.4, -80, america(formFargoMar)}, {44.6, -80, america(formFargo)},
		{48, -109, america(formFargo)}, {48, -111, america(formFargoMar)},
	} {
		require.Equal(t, c.want, list(c.latDeg, c.lonDeg), "%+v", c)
	}
	for _, c := range []struct {
		latDeg, lonDeg float64
		near           bool
	}{
		{46.9, -96.8, true}, {49.8, -96.8, true}, {50, -96.8, false}, {44, -96.8, true}, {43.8, -96.8, false},
		{46.9, -93.9, true}, {46.9, -93.7, false}, {46.9, -99.7, true}, {46.9, -99.9, false}, {50, -93, false},
	} {
		elm := Default(c.latDeg, c.lonDeg)[4]
		require.Equal(t, c.near, elm.SpreadStatus == Worked, "%+v", c)
		want := 1.6
		if !c.near {
			want = math.Sqrt(1.6*1.6 + 9)
		}
		require.InDelta(t, want, elm.SpreadDays, 1e-9, "%+v", c)
	}
	for plant, start := range map[string]time.Time{"silver maple": date(2001, time.March, 1), "elm": date(2001, time.March, 16),
		"plum": date(2001, time.March, 16), "dandelion": date(2001, time.April, 1)} {
		th, ok := Find(plant, formFargo)
		require.True(t, ok)
		require.Equal(t, start.YearDay(), th.StartDOY, plant)
		require.Equal(t, FirstFlower, th.Stage)
	}
	for _, th := range Builtin() {
		if th.Form == formBase50 || th.Form == formBase50Ful {
			require.Equal(t, []any{1, 10.0, true}, []any{th.StartDOY, th.BaseC, th.RaiseMinToBase}, th.Plant)
		}
		if th.Form == formGrassland || th.Form == formBern {
			require.Equal(t, []any{1, 0.0, 0.5, 0.75, 1.0}, []any{th.StartDOY, th.BaseC, th.MonthWeights[0], th.MonthWeights[1], th.MonthWeights[11]}, th.Plant)
		}
	}
	none, ok := Find("dandelion", "no such form")
	require.False(t, ok)
	require.Empty(t, none.Plant)
}

// TestOutOfSeasonByMonth: August to November is asked about.
func TestOutOfSeasonByMonth(t *testing.T) {
	for m := time.January; m <= time.December; m++ {
		q, odd := OutOfSeason(date(2020, m, 10))
		require.Equal(t, m >= time.August && m <= time.November, odd, m)
		require.Equal(t, odd, q.Code == SeasonGuard && q.Level == read.Ask, m)
	}
}

// TestNotesOfATable: which notes come of a table, in which line each stands, and what is said of
// the others.
func TestNotesOfATable(t *testing.T) {
	type note struct {
		at   string
		line int
	}
	for name, c := range map[string]struct {
		table string
		want  []note
		said  []int // lines of what is said
	}{
		"the earlier of two":         {"date\n2020-05-03\n2020-05-01\n2021-05-02\n", []note{{"2020-05-01", 3}, {"2021-05-02", 4}}, []int{3}},
		"the earlier stands first":   {"date\n2020-05-01\n2020-05-03\n", []note{{"2020-05-01", 2}}, []int{3}},
		"two springs of a year":      {"date\n2020-01-05\n2020-12-20\n", []note{{"2020-01-05", 2}, {"2020-12-20", 3}}, nil},
		"180 days are one spring":    {"date\n2020-01-05\n2020-07-03\n", []note{{"2020-01-05", 2}}, []int{3}},
		"181 days are two":           {"date\n2020-01-05\n2020-07-04\n", []note{{"2020-01-05", 2}, {"2020-07-04", 3}}, nil},
		"day of the year":            {"year,doy\n2020,60\n2021,60\n2020,366\n2021,366\n2021,0\n2019,1\n", []note{{"2020-02-29", 2}, {"2021-03-01", 3}, {"2020-12-31", 4}, {"2019-01-01", 7}}, []int{5, 6}},
		"day and year turned":        {"doy,year\n60,2020\n", []note{{"2020-02-29", 2}}, nil},
		"plants apart":               {"date,plant\n2020-05-01,elm\n2020-05-02,ELM\n2020-05-03,plum\n", []note{{"2020-05-01", 2}, {"2020-05-03", 4}}, []int{3}},
		"a day over 12 tells all":    {"date\n3/4/2020\n3/25/2021\n", []note{{"2020-03-04", 2}, {"2021-03-25", 3}}, nil},
		"and of the other order":     {"date\n3/4/2020\n25/3/2021\n", []note{{"2020-04-03", 2}, {"2021-03-25", 3}}, nil},
		"years that can be":          {fmt.Sprintf("year,doy\n%d,100\n%d,100\n%d,100\n%d,100\n", read.FirstYear, read.FirstYear-1, read.LastYear, read.LastYear+1), []note{{fmt.Sprintf("%d-04-10", read.FirstYear), 2}, {date(read.LastYear, 1, 1).AddDate(0, 0, 99).Format(time.DateOnly), 4}}, []int{3, 5}},
		"a short line":               {"plant,date\nelm\nelm,2020-05-01\n", []note{{"2020-05-01", 3}}, []int{2}},
		"no date in a line":          {"date,plant\n,elm\n2020-05-01,elm\n", []note{{"2020-05-01", 3}}, []int{2}},
		"a year beside, and another": {"date,year\n2020-05-01,2020\n2021-05-01,2020\n", []note{{"2020-05-01", 2}, {"2021-05-01", 3}}, []int{3}},
	} {
		notes, ps := ReadDates("notes.csv", strings.NewReader(c.table))
		var got []note
		for _, o := range notes {
			got = append(got, note{o.Date.Format(time.DateOnly), o.Line})
		}
		require.Equal(t, c.want, got, name)
		var said []int
		for _, p := range ps {
			if p.Code != SeasonGuard {
				said = append(said, p.Line)
			}
		}
		require.Equal(t, c.said, said, "%s: %s", name, fmt.Sprint(ps))
	}
	_, ps := ReadDates("notes.csv", strings.NewReader("year,doy\n2020,\n2021,100\n"))
	require.Len(t, ps, 1)
	require.Zero(t, ps[0].Column, "there is no column of dates to point at")
	stage := func(table string) Stage {
		notes, ps := ReadDates("notes.csv", strings.NewReader(table))
		require.NoError(t, ps.Err())
		require.Len(t, notes, 1)
		return notes[0].Stage
	}
	require.Equal(t, FullBloom, stage("full bloom date\n2020-05-01\n"))
	require.Equal(t, FirstFlower, stage("first flower\n2020-05-01\n"))
	require.Equal(t, Stage(""), stage("date\n2020-05-01\n"))
	require.Equal(t, FullBloom, stage("first flower,stage\n2020-05-01,full\n"), "the line itself knows better")
}
