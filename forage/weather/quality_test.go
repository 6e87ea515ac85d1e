package weather

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// made builds a record of days that begins on a date.
func made(name, first string, days ...Day) *Record {
	return &Record{Name: name, First: date(first), Days: days}
}

// season is a record of n days with its own weather on every day.
func season(name, first string, n int) *Record {
	r := made(name, first)
	for i := range n {
		mean := 8 - 14*math.Cos(2*math.Pi*float64(r.Date(i).YearDay())/365.25) + 3*math.Sin(float64(i)*1.7)
		r.Days = append(r.Days, Day{mean - 5, mean + 5, float64(i % 3)})
	}
	return r
}

func (r *Record) lose(first string, n int) *Record {
	for i := range n {
		r.Days[r.Index(date(first))+i] = Day{math.NaN(), math.NaN(), math.NaN()}
	}
	return r
}

func span(a, b string) Span { return Span{date(a), date(b)} }

func TestCheck(t *testing.T) {
	d := Day{1, 5, 0}
	none := Day{unknown, unknown, unknown}
	rec := made("x", "2014-01-01", d, d, d, d, none, d, d, d, d, d, d, Day{1, 6, 0}, Day{7, 6, 0}, Day{-80, 6, 0}, Day{1, unknown, unknown}, Day{2, 6, -3}, none, none, none)
	before := rec.Clone()
	q := Check(rec)
	sameDays(t, before.Days, rec.Days) // Check changes nothing
	require.Equal(t, span("2014-01-01", "2014-01-19"), q.Span)
	require.Equal(t, 19, q.Days)
	require.Equal(t, 14, q.TempDays)
	require.Equal(t, 14, q.PrecipDays)
	require.InDelta(t, 14.0/19, q.TempShare, 1e-12)
	require.Equal(t, []Stuck{{span("2014-01-06", "2014-01-11"), 1, 5}}, q.Stuck, "four same days before the gap are too few, the gap ends the run")
	require.Equal(t, []Span{span("2014-01-05", "2014-01-05"), span("2014-01-15", "2014-01-15"), span("2014-01-17", "2014-01-19")}, q.Gaps)
	require.Equal(t, span("2014-01-17", "2014-01-19"), q.LongestGap)
	require.Equal(t, []Removed{{Date: date("2014-01-14"), Element: Tmin, Value: -80, Reason: Impossible}, {Date: date("2014-01-16"), Element: Precip, Value: -3, Reason: Impossible}}, q.Impossible)
	require.Equal(t, []Removed{{Date: date("2014-01-13"), Element: Tmin, Value: 7, Reason: Crossed}, {Date: date("2014-01-13"), Element: Tmax, Value: 6, Reason: Crossed}}, q.Crossed)
	words := strings.Join(q.Warnings, "\n")
	require.Contains(t, words, "temperatures are missing on 5 of 19 days (26.3 %), in 3 gaps; the longest is 3 days from 2014-01-17 to 2014-01-19")
	require.Contains(t, words, "1 run of 5 days or more")
	require.Contains(t, words, "2 values were taken as missing (impossible value), the first on 2014-01-14")

	sameDays(t, before.Days, rec.Days)

	empty := Check(&Record{})
	require.True(t, math.IsNaN(empty.TempShare))
	require.Equal(t, []string{"the record has no day"}, empty.Warnings)
	full := season("x", "2001-01-01", 800)
	require.Empty(t, Check(full).Warnings, "a record without fault")
}

func TestFillStraightLine(t *testing.T) {
	rec := made("x", "2014-01-01", Day{0, 10, 1}, Day{unknown, unknown, unknown}, Day{unknown, 12, 3}, Day{unknown, unknown, unknown}, Day{4, 18, 1})
	out, rep := Fill(rec, nil, DefaultFillOptions())
	sameDays(t, []Day{{0, 10, 1}, {1, 12, unknown}, {2, 12, 3}, {3, 16, unknown}, {4, 18, 1}}, out.Days)
	require.False(t, rec.Days[1].HasTemp(), "the record itself stays as it was")
	require.Equal(t, []Span{span("2014-01-02", "2014-01-04")}, out.Filled)
	require.Equal(t, 1, rep.FilledGaps)
	require.Equal(t, 3, rep.FilledDays)
	require.Equal(t, 1, rep.Actions[0].HalfKnownDays)
	require.Equal(t, "2014-01-02 to 2014-01-04 (3 days): straight line between the days beside it", rep.Actions[0].String())
}

func TestFillLeaves(t *testing.T) {
	for _, c := range []struct {
		name string
		rec  *Record
		opt  func(*FillOptions)
		why  string
	}{
		{"six days are too long", season("x", "2014-01-01", 90).lose("2014-02-01", 6), nil, "longer than 5 days"},
		{"the option forbids all", season("x", "2014-01-01", 90).lose("2014-02-01", 1), func(o *FillOptions) { o.MaxGapDays = 0 }, "longer than 0 days"},
		{"the first day", season("x", "2014-01-01", 90).lose("2014-01-01", 1), nil, "at an end of the record"},
		{"the last days", season("x", "2014-01-01", 90).lose("2014-03-30", 2), nil, "at an end of the record"},
	} {
		t.Run(c.name, func(t *testing.T) {
			opt := DefaultFillOptions()
			if c.opt != nil {
				c.opt(&opt)
			}
			out, rep := Fill(c.rec, nil, opt)
			sameDays(t, c.rec.Days, out.Days)
			require.Equal(t, 1, rep.LeftGaps)
			require.Zero(t, rep.FilledGaps)
			require.Contains(t, rep.Actions[0].String(), c.why)
			require.Empty(t, out.Filled)
		})
	}
}

func TestFillFromNeighbour(t *testing.T) {
	truth := season("here", "2014-01-01", 120)
	near := truth.Clone()
	near.Name, near.First, near.Days = "there", date("2014-01-11"), near.Days[10:]
	for i := range near.Days {
		near.Days[i].TminC -= 2
		near.Days[i].TmaxC += 1.5
	}
	rec := truth.Clone().lose("2014-03-01", 5)
	silent := near.Clone()
	silent.Name = "silent"
	silent.lose("2014-03-03", 1)

	out, rep := Fill(rec, []*Record{nil, silent, near}, DefaultFillOptions())
	a := rep.Actions[0]
	require.Equal(t, FromNeighbour, a.Method)
	require.Equal(t, "there", a.Neighbour, "the first neighbour lacks a day of the gap")
	require.InDelta(t, 2, a.ShiftTminC, 1e-9)
	require.InDelta(t, -1.5, a.ShiftTmaxC, 1e-9)
	require.Equal(t, 60, a.SharedDays)
	for i := range truth.Days {
		require.InDelta(t, truth.Days[i].TminC, out.Days[i].TminC, 1e-9, "the true weather comes back, day %d", i)
		require.InDelta(t, truth.Days[i].TmaxC, out.Days[i].TmaxC, 1e-9)
	}
	require.True(t, math.IsNaN(out.Days[out.Index(date("2014-03-02"))].PrecipMm), "rain is never made up")
	require.Contains(t, a.String(), "from a neighbouring record there, shifted by +2.0 C (lowest) and -1.5 C (highest), the mean of 60 days around the gap")

	few := DefaultFillOptions()
	few.WindowDays, few.MinSharedDays = 3, 6
	_, rep = Fill(rec, []*Record{near}, few)
	require.Equal(t, 6, rep.Actions[0].SharedDays)
	rec.lose("2014-02-26", 1)
	_, rep = Fill(rec, []*Record{near}, few)
	require.Equal(t, StraightLine, rep.Actions[1].Method, "too few shared days")

	ends := truth.Clone().lose("2014-04-29", 2)
	out, rep = Fill(ends, []*Record{near}, DefaultFillOptions())
	require.Equal(t, FromNeighbour, rep.Actions[0].Method, "a neighbour helps at the end of a record")
	require.True(t, out.Days[118].HasTemp())
}

// A filled day never has its lowest above its highest, and what was known stays.
func TestFillKeepsWhatIsKnown(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec, near := season("x", "2014-01-01", 60), season("y", "2014-01-01", 60)
		for i := range rec.Days {
			near.Days[i].TmaxC -= rapid.Float64Range(0, 9.9).Draw(t, "cooler")
			switch rapid.IntRange(0, 5).Draw(t, "what is lost") {
			case 0:
				rec.Days[i].TminC = math.NaN()
			case 1:
				rec.Days[i] = Day{math.NaN(), math.NaN(), math.NaN()}
			case 2:
				rec.Days[i].TmaxC, rec.Days[i].TminC = math.NaN(), rec.Days[i].TmaxC
			}
		}
		out, rep := Fill(rec, []*Record{near}, DefaultFillOptions())
		for i, d := range rec.Days {
			o := out.Days[i]
			if o.TminC > o.TmaxC || conflict(d.TminC, o.TminC) || conflict(d.TmaxC, o.TmaxC) || math.IsNaN(d.PrecipMm) != math.IsNaN(o.PrecipMm) {
				t.Fatalf("day %d: %v became %v", i, d, o)
			}
		}
		if q := Check(out); q.Days-q.TempDays != rep.LeftDays {
			t.Fatalf("%d days unknown, %d told as left", q.Days-q.TempDays, rep.LeftDays)
		}
	})
}

func TestFillOptionsValidate(t *testing.T) {
	require.NoError(t, DefaultFillOptions().Validate())
	for o, want := range map[FillOptions]string{
		{-1, 30, 15}: "longest gap", {60, 30, 15}: "longest gap", {5, 0, 15}: "days around a gap",
		{5, 365, 15}: "days around a gap", {5, 30, 0}: "shared days", {5, 30, 61}: "shared days",
	} {
		require.ErrorContains(t, o.Validate(), want)
	}
	require.PanicsWithValue(t, "weather: fill options do not validate", func() { Fill(season("x", "2014-01-01", 9), nil, FillOptions{-1, 0, 0}) })
}

func TestSprings(t *testing.T) {
	feb, may := MonthDay{time.February, 15}, MonthDay{time.May, 31}
	rec := season("x", "2010-03-01", 5*365).lose("2012-04-01", 3).lose("2013-03-01", 2).lose("2013-07-01", 60)
	// 2010 begins too late; 2012 has a gap of 3 days; 2013 one of 2 days and one outside the span; 2015 ends on 27 February
	require.Equal(t, date("2015-02-27"), rec.Last())
	rep := Springs(rec, feb, may, 2)
	require.Equal(t, []int{2011, 2013, 2014}, rep.Kept)
	require.Equal(t, []DroppedSpring{
		{Year: 2010, MissingDays: 14, Longest: span("2010-02-15", "2010-02-28"), Why: "the record begins only on 2010-03-01"},
		{Year: 2012, MissingDays: 3, Longest: span("2012-04-01", "2012-04-03"), Why: "3 days without temperatures from 2012-04-01 to 2012-04-03"},
		{Year: 2015, MissingDays: 93, Longest: span("2015-02-28", "2015-05-31"), Why: "the record ends on 2015-02-27"},
	}, rep.Dropped)
	require.Equal(t, []int{2011, 2014}, Springs(rec, feb, may, 0).Kept, "every day must be known")

	over := Springs(rec, MonthDay{time.November, 1}, MonthDay{time.January, 31}, 0)
	require.Equal(t, []int{2011, 2012, 2013, 2014, 2015}, over.Kept, "a span over the new year is named after its end")
	require.Empty(t, Springs(&Record{}, feb, may, 0).Kept)
	require.Panics(t, func() { Springs(rec, MonthDay{13, 1}, may, 0) })
	require.Panics(t, func() { Springs(rec, feb, may, -1) })
}

func TestMonthDay(t *testing.T) {
	m, err := ParseMonthDay("03-01")
	require.NoError(t, err)
	require.Equal(t, MonthDay{time.March, 1}, m)
	require.Equal(t, "03-01", m.String())
	leap, err := ParseMonthDay("2-29")
	require.NoError(t, err)
	require.Equal(t, date("2012-02-29"), leap.In(2012))
	require.Equal(t, date("2013-02-28"), leap.In(2013))
	for _, bad := range []string{"", "13-01", "02-30", "march", "2014-03-01"} {
		_, err := ParseMonthDay(bad)
		require.ErrorContains(t, err, "mm-dd", bad)
	}
}
