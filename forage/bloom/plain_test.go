package bloom

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// plainSearch tries every form with every sum on every set of years by itself, with no pass
// shared between sets: what search must come to.
func plainSearch(forms []form, springs []spring) *searched {
	n := len(springs)
	errorsOf := func(f form, need float64) []float64 {
		th := node{form: f}.threshold()
		out := make([]float64, n)
		for y := range springs {
			s := &springs[y]
			sum, sums, at := 0.0, []float64{}, -1.0
			for i := range s.lo {
				before := sum
				if s.firstDOY+i >= th.startIn(s.leap) {
					sum += th.DayCd(s.lo[i], s.hi[i]) * th.weight(s.firstDOY+i, s.leap)
				}
				sums = append(sums, sum)
				if at < 0 && sum >= need {
					at = float64(i) - 0.5 + (need-before)/(sum-before)
				}
			}
			if at < 0 { // it goes on at the rate of the last ten days
				start := max(0, th.startIn(s.leap)-s.firstDOY)
				k := max(1, min(10, len(sums)-start))
				from := 0.0
				if at := len(sums) - 1 - k; at >= 0 {
					from = sums[at]
				}
				rate := math.Max(0.5, (sum-from)/float64(k))
				at = float64(len(sums)) - 0.5 + math.Min(60, (need-sum)/rate)
			}
			out[y] = at - float64(s.day-s.firstDOY)
		}
		return out
	}
	type tried struct {
		at node
		e  []float64
	}
	var all []tried
	for _, f := range forms {
		th := node{form: f}.threshold()
		lo, hi := math.Inf(1), 0.0
		for y := range springs {
			s := &springs[y]
			sum := 0.0
			for i := 0; i <= s.day-s.firstDOY; i++ {
				if s.firstDOY+i >= th.startIn(s.leap) {
					sum += th.DayCd(s.lo[i], s.hi[i]) * th.weight(s.firstDOY+i, s.leap)
				}
			}
			lo, hi = math.Min(lo, sum), math.Max(hi, sum)
		}
		for need := math.Pow(1.01, math.Floor(math.Log(math.Max(lo, 1))/math.Log(1.01))); need <= math.Max(hi, 1)*1.01*1.01; need *= 1.01 {
			all = append(all, tried{node{f, need}, errorsOf(f, need)})
		}
	}
	best := func(without ...int) tried {
		least, at := math.Inf(1), 0
		for k, x := range all {
			sum := 0.0
			for y, e := range x.e {
				out := false
				for _, o := range without {
					out = out || o == y
				}
				if !out {
					sum += e * e
				}
			}
			if sum < least-1e-9 {
				least, at = sum, k
			}
		}
		return all[at]
	}
	out := &searched{best: best().at, without: make([]node, n), missed: make([]float64, n), pair: make([]float64, n*n)}
	for _, e := range best().e {
		out.sse += e * e
	}
	for o := range springs {
		x := best(o)
		out.without[o], out.missed[o] = x.at, x.e[o]
		for i := range o {
			x := best(o, i)
			out.pair[o*n+i], out.pair[i*n+o] = x.e[i], x.e[o]
		}
	}
	return out
}

// TestSearchIsThePlainOne: the search that shares its passes comes to what every set of years
// comes to by itself.
func TestSearchIsThePlainOne(t *testing.T) {
	for seed := range uint64(3) {
		rec := madeRecord(1998, 2007, 6, 11, seed)
		notes := madeNotes(Threshold{StartDOY: 60, BaseC: 2, NeedCd: 150}, rec, 3, seed)
		opt := DefaultFitOptions()
		springs, first, _ := prepare(notes, rec, opt)
		require.Greater(t, len(springs), 6)
		springs[1].lo, springs[1].hi = springs[1].lo[:springs[1].day-springs[1].firstDOY+2], springs[1].hi[:springs[1].day-springs[1].firstDOY+2] // its record ends soon
		for i := range springs[2:4] {                                                                                                             // eleven days of weather are known of these
			s := &springs[2+i]
			from := s.day - s.firstDOY - 8
			s.firstDOY, s.lo, s.hi = s.firstDOY+from, s.lo[from:from+11], s.hi[from:from+11]
		}
		forms := []form{{startDOY: max(1, first)}, {startDOY: 61, baseC: 4}, {startDOY: 75, baseC: 2}, {startDOY: 45, weights: GrasslandWeights()}}
		got, err := search(t.Context(), forms, springs)
		require.NoError(t, err)
		want := plainSearch(forms, springs)
		n := len(springs)
		same := func(a, b node) bool {
			return a.startDOY == b.startDOY && a.baseC == b.baseC && math.Abs(a.needCd-b.needCd) < 1e-6
		}
		require.InDelta(t, want.sse, got.sse, 1e-6)
		require.True(t, same(want.best, got.best), "%v %v", want.best, got.best)
		for o := range n {
			require.True(t, same(want.without[o], got.without[o]), "without year %d", o)
			require.InDelta(t, want.missed[o], got.missed[o], 1e-6)
			for i := range n {
				if i != o {
					require.InDelta(t, want.pair[o*n+i], got.pair[o*n+i], 1e-6, "without years %d and %d", o, i)
				}
			}
		}
	}
}

// TestChooseThePlainest: a richer rule must cut the error by the share asked for.
func TestChooseThePlainest(t *testing.T) {
	require.Equal(t, 0, choose([]float64{100, 82, 81}, 0.1), "nine tenths of ten days are nine")
	require.Equal(t, 2, choose([]float64{100, 82, 80.9}, 0.1))
	require.Equal(t, 1, choose([]float64{100, 80, 65}, 0.1), "the richest against the one chosen so far")
	require.Equal(t, 2, choose([]float64{100, 80, 64}, 0.1))
	require.Equal(t, 0, choose([]float64{100}, 0.1))
}

// TestHalfMonths: the first and the sixteenth of the months of a common year.
func TestHalfMonths(t *testing.T) {
	require.Equal(t, []int{1, 16, 32, 47, 60, 75, 91}, halfMonths(1, 91))
	require.Equal(t, []int{16}, halfMonths(2, 31))
	require.Equal(t, []int{17}, halfMonths(17, 20), "none: the first day")
	require.Equal(t, []int{-15, 1}, halfMonths(-20, 3), "16 December is 15 days before 31 December")
}

// TestRulesByYears: with more years more is tried, from what all years have weather for.
func TestRulesByYears(t *testing.T) {
	opt := DefaultFitOptions()
	springs := func(n, day int) []spring {
		out := make([]spring, n)
		for i := range out {
			out[i].day = day + i%3
		}
		return out
	}
	names := func(rs []rule) (out []string) {
		for _, r := range rs {
			out = append(out, r.name)
		}
		return out
	}
	require.Equal(t, []string{"sum only"}, names(rules(springs(opt.FewYears-1, 120), 1, opt)))
	require.Equal(t, []string{"sum only", "start day, base and sum"}, names(rules(springs(opt.FewYears, 120), 1, opt)))
	require.Equal(t, []string{"sum only", "start day, base and sum"}, names(rules(springs(opt.ManyYears-1, 120), 1, opt)))
	rs := rules(springs(opt.ManyYears, 120), 1, opt)
	require.Equal(t, []string{"sum only", "start day and sum", "start day, base and sum"}, names(rs))
	require.Equal(t, 1, rs[0].forms[0].startDOY)
	// Three days before the earliest bloom, day 117: 1 January to 16 April, and one more for the plain form.
	require.Len(t, rs[1].forms, 1+8)
	steps := 0
	for b := opt.MinBaseC; b <= opt.MaxBaseC+1e-9; b += opt.StepBaseC {
		steps++
	}
	require.Len(t, rs[2].forms, 8*steps+1)
	require.Equal(t, 40, rules(springs(opt.ManyYears, 120), 40, opt)[0].forms[0].startDOY, "weather from day 40 on")
	opt.Prior = &Threshold{StartDOY: 310}
	require.Equal(t, 300, rules(springs(3, 320), 1, opt)[0].forms[0].startDOY, "at most day 300")
	require.Equal(t, 117, rules(springs(3, 120), 1, opt)[0].forms[0].startDOY, "three days before the earliest bloom")
}

// TestGapsByHand: a spring's weather reaches back and on from its bloom over holes of a week, not
// of more.
func TestGapsByHand(t *testing.T) {
	full := madeRecord(2000, 2001, 6, 11, 1)
	bloomDay := date(2001, time.May, 1)
	of := func(holes ...[2]time.Time) (spring, string) {
		rec := full.Clone()
		for _, h := range holes {
			for d := h[0]; !d.After(h[1]); d = d.AddDate(0, 0, 1) {
				rec.Days[rec.Index(d)].TminC = math.NaN()
			}
		}
		s := spring{year: 2001, day: bloomDay.YearDay()}
		return s, s.load(rec)
	}
	s, why := of()
	require.Empty(t, why)
	require.Equal(t, date(2000, time.September, 1), jan1(2001).AddDate(0, 0, s.firstDOY-1), "from September on")
	require.Len(t, s.lo, bloomDay.YearDay()-s.firstDOY+1+60, "to 60 days after bloom")
	week := [2]time.Time{date(2001, time.March, 1), date(2001, time.March, 7)}
	s, why = of(week)
	require.Empty(t, why)
	at := date(2001, time.March, 4).YearDay() - s.firstDOY
	before, after := at-4, at+4
	require.InDelta(t, (s.lo[before]+s.lo[after])/2, s.lo[at], 1e-9, "a straight line over the hole")
	week[1] = date(2001, time.March, 8)
	s, why = of(week)
	require.Empty(t, why)
	require.Equal(t, date(2001, time.March, 9), jan1(2001).AddDate(0, 0, s.firstDOY-1), "eight days are too many")
	_, why = of([2]time.Time{date(2001, time.April, 29), date(2001, time.December, 31)})
	require.Equal(t, "no temperatures on or after the date, so it cannot be told from the end of the record", why)
	_, why = of([2]time.Time{date(2000, time.September, 1), date(2001, time.April, 30)})
	require.Equal(t, "no temperatures before the date", why)
	_, why = of([2]time.Time{date(2001, time.April, 26), date(2001, time.May, 5)})
	require.NotEmpty(t, why, "a hole about the date")
	s, why = of([2]time.Time{date(2001, time.May, 20), date(2001, time.December, 31)})
	require.Empty(t, why)
	require.Equal(t, date(2001, time.May, 19), jan1(2001).AddDate(0, 0, s.firstDOY-1+len(s.lo)-1), "to the last day known")
	late := spring{year: 2003, day: 120}
	require.Equal(t, "the weather record does not reach the date", late.load(full))

	median, sd := middle([]spring{{day: 100}, {day: 104}, {day: 90}, {day: 130}})
	require.InDelta(t, 102, median, 1e-9)
	require.InDelta(t, 1.4826*7, sd, 1e-9, "of 2, 2, 12 and 28")
	median, sd = middle(nil)
	require.Zero(t, median+sd)
}

// TestDaysBeforeTheRecord: a record that begins up to a week after the start is taken to have had
// days like its first; later it cannot be told.
func TestDaysBeforeTheRecord(t *testing.T) {
	warm := make([]float64, 40)
	for i := range warm {
		warm[i] = 10
	}
	th := Threshold{StartDOY: 60, NeedCd: 100}
	for late, want := range map[int]int{0: 9, 1: 8, 7: 2} {
		i, ok := th.FirstReached(warm, warm, 60+late)
		require.True(t, ok, "%d days late", late)
		require.Equal(t, want, i, "%d days late: ten days of 10 C make 100", late)
	}
	_, ok := th.FirstReached(warm, warm, 60+MaxFillDays+1)
	require.False(t, ok)
	i, ok := th.FirstReached(warm, warm, 50)
	require.True(t, ok)
	require.Equal(t, 19, i)
	_, ok = th.FirstReached(warm[:9], warm[:9], 60)
	require.False(t, ok)
	// The days before count with the weight of their own month: of 26 February to 3 March, three.
	march := Threshold{StartDOY: 57, NeedCd: 41, MonthWeights: [12]float64{2: 1}}
	i, ok = march.FirstReached(warm, warm, 63)
	require.True(t, ok)
	require.Equal(t, 1, i, "30 for three days before, 10 for the first, 10 for the second")
	march.NeedCd = 40
	i, ok = march.FirstReached(warm, warm, 63)
	require.True(t, ok)
	require.Zero(t, i)
	rec := madeRecord(2000, 2001, 6, 11, 3)
	_, ok = Threshold{StartDOY: 60, NeedCd: 1e6}.DateReached(rec, 2001)
	require.False(t, ok)
	d, ok := Threshold{StartDOY: 60, NeedCd: 200}.DateReached(rec, 2001)
	require.True(t, ok)
	s := Threshold{StartDOY: 60, NeedCd: 200}
	require.GreaterOrEqual(t, s.Sum(rec, 2001, d), 200.0)
	require.Less(t, s.Sum(rec, 2001, d.AddDate(0, 0, -1)), 200.0)
	require.Zero(t, s.Sum(rec, 2001, date(2001, time.February, 28)))
	r := FitResult{MeanDOY: 120.6}
	require.Equal(t, date(2001, time.May, 1), r.MeanDate(2001), "day 121 of a common year")
}

// TestQuantilesByHand: of two members and an error, the date by which the chance is reached.
func TestQuantilesByHand(t *testing.T) {
	d := Distribution{Members: []Member{{Date: date(2027, time.May, 1), Weight: 0.25}, {Date: date(2027, time.May, 11), Weight: 0.75}}}
	require.Equal(t, date(2027, time.May, 1), d.Quantile(0.2))
	require.Equal(t, date(2027, time.May, 1), d.Quantile(0.25))
	require.Equal(t, date(2027, time.May, 11), d.Quantile(0.26))
	require.InDelta(t, math.Sqrt(0.25*7.5*7.5+0.75*2.5*2.5), d.SDDays(), 1e-9)
	d.SpreadDays = 3
	require.InDelta(t, math.Sqrt(18.75+9), d.SDDays(), 1e-9)
	for _, p := range []float64{1e-9, 0.01, 0.5, 0.99, 1 - 1e-9} {
		got := d.Quantile(p)
		at := func(day time.Time) float64 { // chance by the end of a day
			sum := 0.0
			for _, m := range d.Members {
				sum += m.Weight * (1 + math.Erf((day.Sub(m.Date).Hours()/24+0.5)/3/math.Sqrt2)) / 2
			}
			return sum
		}
		require.GreaterOrEqual(t, at(got), p-1e-12)
		require.Less(t, at(got.AddDate(0, 0, -1)), p)
	}
	d.NotBefore = date(2027, time.May, 8)
	require.Equal(t, date(2027, time.May, 8), d.Quantile(0.1))
}

// TestDefaultsOfPlaces: which plants are taken where, and that a figure worked out near Fargo is
// trusted less elsewhere.
func TestDefaultsOfPlaces(t *testing.T) {
	fargo, elsewhere := Default(46.9, -96.8), Default(45.3, -72.9)
	require.Equal(t, len(fargo), len(elsewhere))
	wider := 0
	for i := range fargo {
		require.Equal(t, fargo[i].Plant, elsewhere[i].Plant)
		if fargo[i].SpreadStatus == Worked {
			wider++
			require.InDelta(t, math.Hypot(fargo[i].SpreadDays, elsewhereDays), elsewhere[i].SpreadDays, 1e-9)
			require.Equal(t, Chosen, elsewhere[i].SpreadStatus)
		} else if fargo[i].Form == elsewhere[i].Form {
			require.Equal(t, fargo[i].SpreadDays, elsewhere[i].SpreadDays)
		}
	}
	require.Greater(t, wider, 2)
	require.Equal(t, "willow", Default(49, 9)[0].Plant, "Europe")
	require.Equal(t, "silver maple", Default(49, -80)[0].Plant, "America")
	require.NotEmpty(t, Default(49, 0))
}
