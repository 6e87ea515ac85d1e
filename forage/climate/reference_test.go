package climate

import (
	"encoding/csv"
	"fmt"
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

// stations are the reference records behind the built-in climates.
var stations = []struct {
	file string
	from int
}{
	{"milwaukee_wi_us_USW00014839", 1990},
	{"grand_forks_nd_us_USC00323621", 1986},
	{"farnham_qc_ca_7022320", 1980},
	{"marieville_qc_ca_7024627", 1980},
	{"auteuil_laval_qc_ca_7020392", 1983},
	{"bern_ch_BER", 1990},
	{"wuerzburg_de_05705", 1990},
	{"grambek_de_01736", 1990},
}

func TestExplore(t *testing.T) {
	for _, s := range stations {
		r := reference(t, s.file, s.from)
		n, err := Fit(r)
		require.NoError(t, err)
		o, g := measure([]*weather.Record{r}), measure(Generate(n, 300, 1))
		fmt.Printf("%s springs %d memory %+.2f\n", s.file, o.springs, n.Memory)
		row := func(name string, a, b float64) {
			fmt.Printf("  %-14s %7.2f %7.2f %+6.2f (%+.0f%%)\n", name, a, b, b-a, 100*(b/a-1))
		}
		arr := func(name string, a, b [12]float64) {
			fmt.Printf("  %-14s", name)
			for _, m := range []int{9, 10, 11, 0, 1, 2, 3, 4, 5, 6} {
				fmt.Printf(" %5.1f/%+4.1f", a[m], b[m]-a[m])
			}
			fmt.Println()
		}
		arr("tmax", o.maxMean, g.maxMean)
		arr("tmin", o.minMean, g.minMean)
		arr("sdmax", o.maxSD, g.maxSD)
		arr("sdmin", o.minSD, g.minSD)
		arr("sdmonth", o.midMonthSD, g.midMonthSD)
		row("wet", o.wetShare, g.wetShare)
		row("spellMean", o.spellMean, g.spellMean)
		row("spell90", o.spell90, g.spell90)
		row("spellLongest", o.spellLongest, g.spellLongest)
		row("longest90", o.longest90, g.longest90)
		row("lateMean", o.lateMean, g.lateMean)
		row("lateLongest", o.lateLongest, g.lateLongest)
		row("coldDays", o.coldDays, g.coldDays)
		row("coldDaysSD", o.coldDaysSD, g.coldDaysSD)
		row("date200", o.date200, g.date200)
		row("date200SD", o.date200SD, g.date200SD)
		row("date700", o.date700, g.date700)
		row("date700SD", o.date700S, g.date700S)
	}
}
