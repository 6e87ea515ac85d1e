package visits

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
)

// TestDaysAhead: a record may hold a forecast's days, a forecast must be of these days.
func TestDaysAhead(t *testing.T) {
	today := on(3, 20)
	record := func(first, last time.Time) *weather.Record {
		r := &weather.Record{First: first}
		for d := first; !d.After(last); d = d.AddDate(0, 0, 1) {
			r.Days = append(r.Days, weather.Day{TminC: 1, TmaxC: 9, PrecipMm: 0})
		}
		return r
	}
	y := &season.Yard{Name: "Mill"}
	for ahead, told := range map[int]bool{0: false, 16: false, 17: true, 40: true} {
		rec := record(on(1, 1), today.AddDate(0, 0, ahead))
		for range 5 { // days that are not known do not count
			rec.Days = append(rec.Days, weather.Day{TminC: math.NaN(), TmaxC: math.NaN(), PrecipMm: math.NaN()})
		}
		ps := recordAhead(y, rec, today, read.Problem{})
		require.Equal(t, told, len(ps) == 1, "%d days ahead", ahead)
	}
	rec := record(on(1, 1), on(1, 2))
	rec.Days[0].TminC, rec.Days[1].TminC = math.NaN(), math.NaN()
	require.Empty(t, recordAhead(y, rec, today, read.Problem{}), "it knows nothing")
	for name, c := range map[string]struct {
		first, last time.Time
		told        bool
	}{
		"of these days":      {today, today.AddDate(0, 0, 9), false},
		"that ends today":    {today.AddDate(0, 0, -5), today, false},
		"that is past":       {today.AddDate(0, 0, -9), today.AddDate(0, 0, -1), true},
		"16 days ahead":      {today.AddDate(0, 0, 16), today.AddDate(0, 0, 20), false},
		"17 days ahead":      {today.AddDate(0, 0, 17), today.AddDate(0, 0, 20), true},
		"of the last spring": {today.AddDate(-1, 0, 0), today.AddDate(-1, 0, 9), true},
	} {
		ps := weighForecast(y, record(c.first, c.last), nil, today, read.Problem{})
		require.Equal(t, c.told, ps.Has(season.ForecastOld), name)
	}
	far := func(lat, lon, elev float64) read.Problems {
		return recordAway(&season.Yard{Name: "Mill", LatDeg: 45, LonDeg: -73, ElevM: 100}, weather.Station{LatDeg: lat, LonDeg: lon, ElevM: elev}, read.Problem{})
	}
	require.Empty(t, far(45.5, -73, 399))
	require.True(t, far(45.5, -73, 401).Has(season.FarNote))
	require.True(t, far(45.5, -73, -201).Has(season.FarNote))
	require.True(t, far(46.4, -73, 100).Has(season.FarNote), "156 km")
	require.Empty(t, far(46.3, -73, 100), "145 km")
	require.True(t, far(54.1, -73, 100).Has(season.FarRecordGuard), "1,012 km")
	require.False(t, far(53.9, -73, 100).Has(season.FarRecordGuard))
	require.Zero(t, knownKm(&season.Yard{LatDeg: 45, LonDeg: math.NaN()}, 45, 3))

	// Springs that lack days are named, this season's and those at the ends left aside.
	rec = record(time.Date(2023, time.August, 1, 0, 0, 0, 0, time.UTC), today)
	hole := func(year int) {
		for d := range 30 {
			rec.Days[rec.Index(time.Date(year, time.April, 1+d, 0, 0, 0, 0, time.UTC))].TminC = math.NaN()
		}
	}
	from, to := weather.MonthDay{Month: time.March, Day: 1}, weather.MonthDay{Month: time.July, Day: 15}
	require.Empty(t, gapYears(rec, 2027, from, to))
	hole(2025)
	require.Equal(t, []int{2025}, gapYears(rec, 2027, from, to))
	require.Empty(t, gapYears(rec, 2025, from, to), "its own spring")
}
