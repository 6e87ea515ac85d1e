package climate

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"bloomgap/forage/weather"
)

// reference reads one of the reference records, from a first year on.
func reference(t *testing.T, file string, from int) *weather.Record {
	t.Helper()
	dir := os.Getenv("BLOOMGAP_REFERENCE")
	if dir == "" {
		t.Skipf("BLOOMGAP_REFERENCE is not set: missing weather/%s.csv", file)
	}
	f, err := os.Open(filepath.Join(dir, "weather", file+".csv"))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	column := map[string]int{}
	for i, head := range rows[0] {
		column[head] = i
	}
	number := func(row []string, head string) float64 {
		x, err := strconv.ParseFloat(row[column[head]], 64)
		if err != nil {
			return math.NaN()
		}
		return x
	}
	r := &weather.Record{Name: file}
	for _, row := range rows[1:] {
		date, err := time.Parse(time.DateOnly, row[0])
		require.NoError(t, err)
		if date.Year() < from {
			continue
		}
		if len(r.Days) == 0 {
			r.First = date
		}
		require.True(t, date.Equal(r.First.AddDate(0, 0, len(r.Days))), "a day is missing before %s", row[0])
		r.Days = append(r.Days, weather.Day{TminC: number(row, "tmin_c"), TmaxC: number(row, "tmax_c"), PrecipMm: number(row, "precip_mm")})
	}
	return r
}

// figures is what a set of springs is judged by.
type figures struct {
	springs                               int
	maxMean, minMean, maxSD, minSD        [12]float64
	midMonthSD                            [12]float64 // SD between years of a month's mean temperature
	wetShare                              float64
	spellMean, spell90, spellLongest      float64 // runs of days with maximum under 10 C, February-May; longest = mean over years
	lateMean, lateLongest, longest90      float64 // the same in April-May; 90 % quantile of the year's longest
	coldDays, coldDaysSD                  float64 // days a spring, February-May
	date200, date200SD, date700, date700S float64 // day of the year
}

const coldC = 10.0 // C, a day with a lower maximum is cold, issue text

// measure works the figures out of records that each hold any number of springs.
func measure(records []*weather.Record) figures {
	var f figures
	var tmax, tmin [12][]float64
	var monthMeans [12][]float64
	var wet, known float64
	var runs, lateRuns, longest, lateLongest, cold, d200, d700 []float64
	for _, r := range records {
		for i, d := range r.Days {
			m := int(r.First.AddDate(0, 0, i).Month()) - 1
			if m == 7 || m == 8 {
				continue // not generated
			}
			if d.HasTemp() {
				tmax[m], tmin[m] = append(tmax[m], d.TmaxC), append(tmin[m], d.TminC)
			}
			if !math.IsNaN(d.PrecipMm) {
				known++
				if d.PrecipMm >= WetMm {
					wet++
				}
			}
		}
		for y := r.First.Year(); y <= r.Last().Year(); y++ {
			for m := time.January; m <= time.December; m++ {
				var sum, n float64
				for d := date(y, m, 1); d.Month() == m; d = d.AddDate(0, 0, 1) {
					if day, ok := r.At(d); ok {
						sum += (day.TmaxC + day.TminC) / 2
						n++
					}
				}
				if n >= 25 {
					monthMeans[m-1] = append(monthMeans[m-1], sum/n)
				}
			}
			filled, ok := spring(r, y)
			if !ok {
				continue
			}
			f.springs++
			rr := runsUnder(filled[31:151]) // 1 February to 31 May
			runs = append(runs, rr...)
			longest = append(longest, most(rr))
			late := runsUnder(filled[90:151]) // from 1 April
			lateRuns = append(lateRuns, late...)
			lateLongest = append(lateLongest, most(late))
			var n, sum200, sum700, on200, on700 float64
			for i, day := range filled {
				if i >= 31 && i < 151 && day.TmaxC < coldC {
					n++
				}
				mean := math.Max(0, (day.TmaxC+day.TminC)/2)
				sum200 += mean
				switch {
				case i < 31:
					sum700 += mean * 0.5
				case i < 59:
					sum700 += mean * 0.75
				default:
					sum700 += mean
				}
				if on200 == 0 && sum200 >= 200 {
					on200 = float64(i + 1)
				}
				if on700 == 0 && sum700 >= 700 {
					on700 = float64(i + 1)
				}
			}
			cold = append(cold, n)
			if on200 > 0 {
				d200 = append(d200, on200)
			}
			if on700 > 0 {
				d700 = append(d700, on700)
			}
		}
	}
	for m := range 12 {
		f.maxMean[m], f.maxSD[m] = stat.MeanStdDev(tmax[m], nil)
		f.minMean[m], f.minSD[m] = stat.MeanStdDev(tmin[m], nil)
		f.midMonthSD[m] = stat.StdDev(monthMeans[m], nil)
	}
	f.wetShare = wet / known
	f.spellMean, f.spell90 = stat.Mean(runs, nil), quantile(runs, 0.9)
	f.spellLongest, f.longest90 = stat.Mean(longest, nil), quantile(longest, 0.9)
	f.lateMean, f.lateLongest = stat.Mean(lateRuns, nil), stat.Mean(lateLongest, nil)
	f.coldDays, f.coldDaysSD = stat.MeanStdDev(cold, nil)
	f.date200, f.date200SD = stat.MeanStdDev(d200, nil)
	f.date700, f.date700S = stat.MeanStdDev(d700, nil)
	return f
}

func date(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

// spring gives 1 January to 30 June with holes of up to 3 days filled in a straight
// line, and false when it lacks more.
func spring(r *weather.Record, y int) ([]weather.Day, bool) {
	var out []weather.Day
	hole := 0
	for d := date(y, 1, 1); d.Month() <= time.June; d = d.AddDate(0, 0, 1) {
		day, ok := r.At(d)
		if !ok {
			hole++
			if hole > 3 {
				return nil, false
			}
			continue
		}
		if hole > 0 {
			before := day
			if len(out) > 0 {
				before = out[len(out)-1]
			}
			for k := 1; k <= hole; k++ {
				w := float64(k) / float64(hole+1)
				out = append(out, weather.Day{TminC: before.TminC*(1-w) + day.TminC*w, TmaxC: before.TmaxC*(1-w) + day.TmaxC*w})
			}
			hole = 0
		}
		out = append(out, day)
	}
	return out, hole == 0
}

func runsUnder(days []weather.Day) []float64 {
	var runs []float64
	n := 0.0
	for _, d := range days {
		if d.TmaxC < coldC {
			n++
		} else if n > 0 {
			runs = append(runs, n)
			n = 0
		}
	}
	if n > 0 {
		runs = append(runs, n)
	}
	return runs
}

func most(v []float64) float64 {
	out := 0.0
	for _, x := range v {
		out = math.Max(out, x)
	}
	return out
}

func quantile(v []float64, p float64) float64 {
	s := append([]float64(nil), v...)
	sort.Float64s(s)
	return stat.Quantile(p, stat.LinInterp, s, nil)
}

// row is one line of the table of errors.
type row struct {
	name           string
	observed, made float64
	limit          float64 // largest |made - observed|, in the unit of the row
}

// The generator against the records it was fitted to: 400 generated springs each.
// The limits are what was met with three seeds, rounded up; doc.go holds the table of this seed.
func TestAgainstRecords(t *testing.T) {
	for i, s := range builtinStations {
		t.Run(s.place, func(t *testing.T) {
			r := builtinRecord(t, i)
			n, err := Fit(r)
			require.NoError(t, err)
			o, g := measure([]*weather.Record{r}), measure(Generate(n, 400, 1))
			for _, c := range compare(o, g) {
				off := c.made - c.observed
				t.Logf("%-44s %7.2f %7.2f %+6.2f (%+.0f %%) limit %.2f", c.name, c.observed, c.made, off, 100*off/c.observed, c.limit)
				if math.IsNaN(c.observed) {
					require.True(t, math.IsNaN(c.made), c.name)
					continue
				}
				require.LessOrEqual(t, math.Abs(off), c.limit, c.name)
			}
		})
	}
}

// compare lines up the figures. For a figure by month the worst month of October
// to July stands.
func compare(o, g figures) []row {
	worst := func(name string, a, b [12]float64, limit float64) row {
		out := row{name: name, limit: limit}
		for m := range 12 {
			if m == 7 || m == 8 {
				continue
			}
			if math.Abs(b[m]-a[m]) >= math.Abs(out.made-out.observed) {
				out.observed, out.made = a[m], b[m]
				out.name = name + ", worst in " + monthNames[m]
			}
		}
		return out
	}
	return []row{
		worst("mean max, C", o.maxMean, g.maxMean, 0.6),
		worst("mean min, C", o.minMean, g.minMean, 0.6),
		worst("SD of max, C", o.maxSD, g.maxSD, 0.4),
		worst("SD of min, C", o.minSD, g.minSD, 0.4),
		worst("SD of monthly mean, C", o.midMonthSD, g.midMonthSD, 1.2),
		{"wet share", o.wetShare, g.wetShare, 0.02},
		{"cold spell Feb-May, mean, d", o.spellMean, g.spellMean, 0.20 * o.spellMean},
		{"cold spell Feb-May, 90 %, d", o.spell90, g.spell90, 0.30 * o.spell90},
		{"year's longest spell, mean, d", o.spellLongest, g.spellLongest, 0.15 * o.spellLongest},
		{"year's longest spell, 90 %, d", o.longest90, g.longest90, 0.10 * o.longest90},
		{"cold spell Apr-May, mean, d", o.lateMean, g.lateMean, 0.15 * o.lateMean},
		{"year's longest spell Apr-May, mean, d", o.lateLongest, g.lateLongest, 0.22 * o.lateLongest},
		{"cold days Feb-May, mean, d", o.coldDays, g.coldDays, 2.5},
		{"cold days Feb-May, SD, d", o.coldDaysSD, g.coldDaysSD, 1.8},
		{"day sum reaches 200, mean", o.date200, g.date200, 4},
		{"day sum reaches 200, SD", o.date200SD, g.date200SD, 2.5},
		{"day grassland sum reaches 700, mean", o.date700, g.date700, 3.5},
		{"day grassland sum reaches 700, SD", o.date700S, g.date700S, 1.5},
	}
}

// What FromMonthly gives when a place is not in the table: each built-in climate
// from its own 12 means, swing and rain, with the others to borrow from.
func TestFromMonthlyLeaveOneOut(t *testing.T) {
	all := Builtin()
	for i, s := range builtinStations {
		t.Run(s.place, func(t *testing.T) {
			r := builtinRecord(t, i)
			typed := Monthly{Place: s.place, MeanC: all[i].MeanC(), RainMm: all[i].PrecipMm}
			for m := range 12 {
				typed.SwingC[m] = all[i].TmaxMeanC[m] - all[i].TminMeanC[m]
			}
			rest := append(append([]Normals(nil), all[:i]...), all[i+1:]...)
			n, err := fromMonthly(typed, rest)
			require.NoError(t, err)
			o, g := measure([]*weather.Record{r}), measure(Generate(n, 400, 1))
			for _, c := range compare(o, g) {
				off := c.made - c.observed
				t.Logf("%-44s %7.2f %7.2f %+6.2f (%+.0f %%)", c.name, c.observed, c.made, off, 100*off/c.observed)
			}
			require.InDelta(t, o.coldDays, g.coldDays, 5)
			require.InEpsilon(t, o.spellLongest, g.spellLongest, 0.25)
			require.InDelta(t, o.date200, g.date200, 6)
			require.InDelta(t, o.date700, g.date700, 5)
		})
	}
}
