package weather

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestNormals(t *testing.T) {
	// Two Februaries of 28 days; in the first 10 days at 0/4 C and 18 at 2/10 C, rain
	// of 2 mm on 7 of the 28; in the second all temperatures unknown, no rain known.
	rec := made("x", "2013-02-01")
	for i := range 28 {
		d := Day{2, 10, 0}
		if i < 10 {
			d = Day{0, 4, 0}
		}
		if i%4 == 0 {
			d.PrecipMm = 2
		}
		rec.Days = append(rec.Days, d)
	}
	for range 337 + 28 {
		rec.Days = append(rec.Days, Day{math.NaN(), math.NaN(), math.NaN()})
	}
	n := Normals(rec)
	f := n[time.February-1]
	require.Equal(t, 56, f.Days)
	require.Equal(t, 28, f.TempDays)
	require.Equal(t, 28, f.PrecipDays)
	require.InDelta(t, 0.5, f.TempShare, 1e-12)
	require.InDelta(t, 36.0/28, f.TminC, 1e-12)
	require.InDelta(t, 220.0/28, f.TmaxC, 1e-12)
	require.InDelta(t, 128.0/28, f.TmeanC, 1e-12)
	// Two values a and b, n and m times: SD = |a-b| sqrt(n m / (N (N-1))).
	require.InDelta(t, 2*math.Sqrt(180.0/(28*27)), f.TminSDC, 1e-12)
	require.InDelta(t, 6*math.Sqrt(180.0/(28*27)), f.TmaxSDC, 1e-12)
	require.InDelta(t, 14.0/28*(28+97.0/400), f.PrecipMm, 1e-12)
	require.InDelta(t, 0.25, f.WetShare, 1e-12)
	march := n[time.March-1]
	require.Equal(t, 31, march.Days)
	require.Zero(t, march.TempDays)
	require.True(t, math.IsNaN(march.TmeanC) && math.IsNaN(march.TmeanSDC) && math.IsNaN(march.PrecipMm) && math.IsNaN(march.WetShare))
	require.True(t, math.IsNaN(Normals(&Record{})[0].TempShare))
}

func TestNonFlying(t *testing.T) {
	for _, c := range []struct {
		name string
		d    Day
		want bool
	}{
		{"cold", Day{0, 9.9, 0}, true},
		{"just warm", Day{0, 10, 0}, false},
		{"warm and wet", Day{8, 18, 5}, true},
		{"warm with a shower", Day{8, 18, 4.9}, false},
		{"warm, rain not known", Day{8, 18, unknown}, false},
	} {
		require.Equal(t, c.want, NonFlying(c.d, 100), c.name)
	}
}

func TestSummarise(t *testing.T) {
	// A year of mild days, then what each figure is about.
	rec := made("x", "2014-01-01")
	for range 365 + 100 {
		rec.Days = append(rec.Days, Day{5, 15, 0})
	}
	put := func(first string, n int, d Day) {
		for i := range n {
			rec.Days[rec.Index(date(first))+i] = d
		}
	}
	none := Day{unknown, unknown, unknown}
	put("2014-02-20", 20, Day{-5, 5, 0}) // cold to 11 March, 11 days of it in March
	put("2014-03-20", 3, Day{1, 8, 0})
	put("2014-03-23", 2, none) // an unknown stretch parts two runs
	put("2014-03-25", 2, Day{1, 8, 0})
	put("2014-03-27", 1, Day{5, 15, 8}) // rain: bees stay in, yet not cold
	put("2014-04-20", 1, Day{0, 12, 0}) // frost exactly at 0
	put("2014-05-10", 2, Day{unknown, 12, 0})
	s := Summarise(rec, MonthDay{time.March, 1}, MonthDay{time.April, 30}, nil)
	require.Len(t, s.Springs, 1, "2015 ends before 30 April")
	got := s.Springs[0]
	require.Equal(t, SpringDays{Year: 2014, Days: 61, KnownDays: 59, NonFlying: 11 + 3 + 2 + 1, LongestConfined: span("2014-03-01", "2014-03-11"),
		ColdDays: 16, ColdSpell: span("2014-03-01", "2014-03-11"), ColdSpells: []int{11, 3, 2}}, got)
	require.Equal(t, []LastFrost{{Year: 2014, Date: date("2014-04-20"), TminC: 0, UnknownDays: 2}}, s.Frosts)
	require.Equal(t, 2, len(s.Years))
	require.InDelta(t, 29.0/31, s.Years[0].TempShare[2], 1e-12)
	require.True(t, math.IsNaN(s.Years[1].TempShare[11]), "December 2015 is outside the record")

	t.Run("the caller's own rule, with the day of the year", func(t *testing.T) {
		seen := 0
		s := Summarise(rec, MonthDay{time.March, 1}, MonthDay{time.April, 30}, func(d Day, doy int) bool {
			require.True(t, d.HasTemp())
			require.True(t, doy >= 60 && doy <= 120)
			seen++
			return doy == 60
		})
		require.Equal(t, 59, seen)
		require.Equal(t, 1, s.Springs[0].NonFlying)
	})
	t.Run("no frost known", func(t *testing.T) {
		mild := made("m", "2014-01-01")
		for range 365 {
			mild.Days = append(mild.Days, Day{5, 15, 0})
		}
		f := Summarise(mild, MonthDay{time.March, 1}, MonthDay{time.April, 30}, nil).Frosts
		require.Len(t, f, 1)
		require.True(t, f[0].Date.IsZero() && math.IsNaN(f[0].TminC))
	})
	t.Run("a span over the new year", func(t *testing.T) {
		s := Summarise(rec, MonthDay{time.December, 1}, MonthDay{time.January, 31}, nil)
		require.Len(t, s.Springs, 1)
		require.Equal(t, 2015, s.Springs[0].Year)
		require.Equal(t, 62, s.Springs[0].Days)
	})
	t.Run("no day at all", func(t *testing.T) {
		s := Summarise(&Record{}, MonthDay{time.March, 1}, MonthDay{time.April, 30}, nil)
		require.Empty(t, s.Springs)
	})
}

func BenchmarkSummarise(b *testing.B) {
	rec := season("x", "1990-01-01", 13149)
	b.ReportAllocs()
	for b.Loop() {
		Summarise(rec, MonthDay{time.March, 1}, MonthDay{time.May, 31}, nil)
	}
}
