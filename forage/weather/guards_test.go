package weather

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/read"
)

// years writes a table of days with a yearly wave of temperatures from a date on;
// change may alter the two temperatures of a day.
func years(first string, days int, change func(i int, date time.Time, lo, hi float64) (float64, float64)) string {
	var b strings.Builder
	b.WriteString("date,tmin_c,tmax_c\n")
	for i := range days {
		d := date(first).AddDate(0, 0, i)
		mean := 7 - 14*math.Cos(2*math.Pi*float64(d.YearDay()-20)/365) + 2*math.Sin(float64(i)*1.7)
		lo, hi := change(i, d, mean-5-math.Abs(math.Sin(float64(i))), mean+5+math.Abs(math.Cos(float64(i))))
		fmt.Fprintf(&b, "%s,%.1f,%.1f\n", d.Format(time.DateOnly), lo, hi)
	}
	return b.String()
}

// TestGuards holds each rule of plausibility to its exact message, and sees that
// no rule goes untried.
func TestGuards(t *testing.T) {
	plain := func(_ int, _ time.Time, lo, hi float64) (float64, float64) { return lo, hi }
	scaled := func(f func(float64) float64) func(int, time.Time, float64, float64) (float64, float64) {
		return func(_ int, _ time.Time, lo, hi float64) (float64, float64) { return f(lo), f(hi) }
	}
	tried := map[read.Code]bool{}
	for name, c := range map[string]struct{ text, want string }{
		"a forecast of ten days in F": {years("2027-05-20", 10, scaled(toF)),
			`f: please check: the figures under "tmax_c" are read as C but look like F (median highest 69, median lowest 49); name the columns tmin_f and tmax_f, or give the units`},
		"degrees divided by ten": {years("2024-01-01", 400, scaled(func(v float64) float64 { return v / 10 })),
			`f: please check: the figures under "tmax_c" look like degrees divided by ten (median daily range 1.1 C); check the file and the place of the decimal point`},
		"tenths of a degree": {years("2024-01-01", 40, scaled(func(v float64) float64 { return min(60, 10*v) })),
			`f: please check: the figures under "tmax_c" look like tenths of a degree (median daily range 113 C); divide them by ten, or check the file`},
		"this season in F": {years("2021-01-01", 3*365+100, func(_ int, d time.Time, lo, hi float64) (float64, float64) {
			if d.Year() == 2024 {
				return toF(lo), toF(hi)
			}
			return lo, hi
		}), `f: please check: January 2024 has a mean temperature of 20 C where other years have -7 C; check the unit of these days`},
		"the last five days in F": {years("2021-01-01", 3*365+100, func(i int, _ time.Time, lo, hi float64) (float64, float64) {
			if i >= 3*365+95 {
				return toF(lo), toF(hi)
			}
			return lo, hi
		}), `f: please check: 5 April to 9 April 2024 have a mean temperature of 39 C where other years have 4 C; check the unit of these days`},
		"signs lost": {years("2021-01-01", 3*365, func(_ int, _ time.Time, lo, hi float64) (float64, float64) { return math.Abs(lo), math.Abs(hi) }),
			`f:2: please check: the lowest temperature is above the highest on 365 of 1095 days, the first is 2021-01-01; check the signs and the columns; these days are left out`},
		"a southern record": {years("2021-07-01", 800, func(i int, d time.Time, lo, hi float64) (float64, float64) {
			return 14 - lo, 14 - lo + (hi - lo)
		}), `f: January is warmer than July (December to February 31 C, June to August 6 C): the record is of the southern half of the earth; name a record from north of the equator: the months of this one stand half a year off`},
		"a southern station": {strings.ReplaceAll(strings.Replace(years("2024-01-01", 40, plain), "date,", "latitude,date,", 1), "\n2024", "\n-34.6,2024"),
			`f: the record is of a place at latitude -34.6, south of the equator; name a record from north of the equator: the months of this one stand half a year off`},
		"a stuck instrument": {years("2024-01-01", 60, func(i int, _ time.Time, lo, hi float64) (float64, float64) {
			if i >= 20 && i < 41 {
				return -3, 4
			}
			return lo, hi
		}), `f: please check: all 21 days from 2024-01-21 to 2024-02-10 have a lowest of -3.0 and a highest of 4.0 C: a stuck instrument or copied figures; leave the figures of these days blank`},
		"kelvin": {years("2024-01-01", 40, scaled(func(v float64) float64 { return v + 273.15 })),
			`f: please check: the figures under "tmax_c" look like kelvin (median highest 272); take 273.15 from each, or check the file`},
		"missing days written as 0": {years("2024-01-01", 400, func(i int, _ time.Time, lo, hi float64) (float64, float64) {
			if i%30 == 7 {
				return 0, 0
			}
			return lo, hi
		}), `f: please check: 14 days have a lowest and a highest of 0.0 C, the first is 2024-01-08: as if what is missing were written so; leave the figures of missing days blank`},
		"month.day.year with dots": {"date,tmin_c,tmax_c\n3.19.2027,1,5\n3.20.2027,1,6\n3.1.2027,1,6\n",
			"f: warning: dates with dots are read as month.day.year, since day.month.year does not fit them; write dates as yyyy-mm-dd"},
		"a dry year that rains often": {wave("date,tmin_c,tmax_c,precip_mm", 400, same, toInch),
			"f: warning: the precipitation is only 29 mm a year and yet falls on 33 % of the days; it looks like inches or cm; name the column precip_in, or give the units"},
	} {
		t.Run(name, func(t *testing.T) {
			_, ps := Options{}.Read("f", strings.NewReader(c.text))
			require.NotEmpty(t, ps)
			if ps[0].Code != UnitGuard { // figures in another unit may be impossible besides
				require.Len(t, ps, 1, "%v", ps)
			}
			got := ps[0].String()
			if ps[0].Level == read.Ask {
				got, _, _ = strings.Cut(got, "; if it is right as it is, confirm it: --confirm "+string(ps[0].Code))
			}
			require.Equal(t, c.want, got)
			tried[ps[0].Code] = true
		})
	}
	for _, g := range Guards() {
		require.True(t, tried[g.Code], "no input sets off %s", g.Code)
		require.NotEmpty(t, g.What)
		require.NotEmpty(t, g.Source)
	}
}

// TestNothingToAskOfARealWinter: plain weather of three years, cold and warm
// springs, sets off no guard.
func TestNothingToAskOfARealWinter(t *testing.T) {
	text := years("2021-01-01", 1200, func(_ int, d time.Time, lo, hi float64) (float64, float64) {
		shift := map[int]float64{2022: 6, 2023: -5}[d.Year()] // far warmer and colder than any year known
		return lo + shift, hi + shift
	})
	_, ps := Options{}.Read("f", strings.NewReader(text))
	require.Empty(t, ps)
}

func TestForecastUnlikeTheRecord(t *testing.T) {
	plain := func(_ int, _ time.Time, lo, hi float64) (float64, float64) { return lo, hi }
	usual, ps := Options{}.Read("r", strings.NewReader(years("2021-01-01", 1000, plain)))
	require.Empty(t, ps)
	cold, ps := Options{}.Read("forecast.csv", strings.NewReader(years("2024-03-10", 8, func(_ int, _ time.Time, lo, hi float64) (float64, float64) { return toF(lo), toF(hi) })))
	require.Empty(t, ps, "a cold week in F passes for a warm one by itself")
	odd := Unlike(cold, usual, "forecast.csv")
	require.Len(t, odd, 1)
	require.Equal(t, "March 2024 has a mean temperature of 29 C where other years have -1 C", odd[0].Message)
	require.Empty(t, Unlike(cold, nil, "forecast.csv"))
}

// TestPlaceOfARecord: places that a spreadsheet saved with more commas, or named
// on the first row only, are known.
func TestPlaceOfARecord(t *testing.T) {
	padded := "\"Station Name\",HILL,,,\nLatitude,45.1,,,\nLongitude,-72.5,,,\nElevation,90,,,\ndate,tmin_c,tmax_c\n2014-01-01,1,2\n"
	rec, ps := Options{}.Read("f", strings.NewReader(padded))
	require.Empty(t, ps)
	require.Equal(t, Station{Name: "HILL", LatDeg: 45.1, LonDeg: -72.5, ElevM: 90}, rec.Station)

	rec, ps = Options{}.Read("f", strings.NewReader("place,date,tmin_c,tmax_c\nHill,2014-01-01,1,2\n,2014-01-02,1,2\n"))
	require.Empty(t, ps)
	require.Len(t, rec.Days, 2, "a blank place is no other place")

	rec, ps = Options{}.Read("f", strings.NewReader("year,month,day,tmin_c,tmax_c\n1980.0,1.0,5.0,1,2\n1980.0,1.0,6.0,1,2\n"))
	require.Empty(t, ps)
	require.Equal(t, date("1980-01-05"), rec.First)

	rec, ps = Options{}.Read("f", strings.NewReader("date,tmin_c,tmax_c\n1/1/81,1,2\n1/2/81,1,2\n1/13/81,1,2\n"))
	require.Empty(t, ps)
	require.Equal(t, date("1981-01-13"), rec.Last())
}

func TestFilesAreRegularAndBounded(t *testing.T) {
	dir := t.TempDir()
	_, ps := ReadFiles([]string{dir})
	require.EqualError(t, ps.Err(), dir+": this is a folder, not a file; name a file, or rename the folder")
	path := filepath.Join(dir, "large.csv")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, f.Truncate(maxFileBytes+1))
	require.NoError(t, f.Close())
	_, ps = ReadFiles([]string{path})
	require.EqualError(t, ps.Err(), path+": the file is larger than 64 MB; keep only the rows that are needed")
	_, ps = Options{}.Read("f", strings.NewReader("date,tmin_c,tmax_c\n"+strings.Repeat("2014-01-01,1,2\n", mostTableRows+1)))
	require.EqualError(t, ps.Err(), "f:200002: has more than 200000 rows; keep only the days of the last decades")
}
