package visits

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
)

// TestAwayKm: one degree of latitude is 111.2 km, and on the equator so is one of
// longitude (the metre was made so that a quarter of the meridian is 10,000 km).
func TestAwayKm(t *testing.T) {
	t.Parallel()
	require.InDelta(t, 10_000, awayKm(0, 10, 90, 10), 10)
	require.InDelta(t, 111.2, awayKm(0, 10, 0, 11), 0.1)
	require.InDelta(t, 20_015, awayKm(45, 0, -45, 180), 1, "the other side of the earth")
	require.True(t, math.IsNaN(awayKm(45, math.NaN(), 45, 0)))
}

// TestFarSprings holds each rule about the place of the springs to its message.
func TestFarSprings(t *testing.T) {
	t.Parallel()
	n := climate.Normals{Place: "Farnham, Quebec", LatDeg: 45.3, LonDeg: -72.9, ElevM: 68}
	yard := func(lat, lon, elev float64) *season.Yard {
		return &season.Yard{Name: "Mill", LatDeg: lat, LonDeg: lon, ElevM: elev}
	}
	at := read.Problem{File: "spring"}
	for name, c := range map[string]struct {
		yard  *season.Yard
		named bool
		want  string // "" = nothing to say
		code  read.Code
		near  bool
	}{
		"near":         {yard(45, -72.5, 100), false, "", "", true},
		"no longitude": {yard(45, math.NaN(), 100), false, "", "", true},
		"some way off": {yard(44, -75.5, 100), false, "spring: warning: yard Mill: the climate of Farnham, Quebec is 251 km away; a weather record or monthly means from nearer give a surer answer", season.FarNote, true},
		"higher up":    {yard(45.3, -72.9, 400), false, "spring: warning: yard Mill: the climate of Farnham, Quebec is 0 km away and 332 m lower; a weather record or monthly means from nearer give a surer answer", season.FarNote, true},
		"a longitude without its minus": {yard(45.3, 72.9, 68), false, "spring: yard Mill: the built-in climate that is most alike, Farnham, Quebec, is 9395 km away; check the sign of the longitude (west is negative); " +
			"else give a weather record (weather, --weather) or twelve monthly means (monthly_means_c, --monthly-means-c)", season.FarGuard, false},
		"named, an ocean away": {yard(45.3, 72.9, 68), true, "spring: warning: yard Mill: the climate of Farnham, Quebec is 9395 km away; a weather record or monthly means from nearer give a surer answer", season.FarNote, true},
	} {
		t.Run(name, func(t *testing.T) {
			ps, near := climateAway(c.yard, n, c.named, at)
			require.Equal(t, c.near, near)
			if c.want == "" {
				require.Empty(t, ps)
				return
			}
			require.Len(t, ps, 1)
			require.Equal(t, c.want, ps[0].String())
			require.Equal(t, c.code, ps[0].Code)
		})
	}
	ps := recordAway(yard(45.3, 72.9, 68), weather.Station{LatDeg: 45.3, LonDeg: -72.9, ElevM: 68}, at)
	require.Equal(t, "yard Mill: the weather record is of a place 9395 km away", ps[0].Message)
	require.Equal(t, read.Ask, ps[0].Level)
	require.Empty(t, recordAway(yard(45.3, -72.8, 68), weather.Station{LatDeg: 45.3, LonDeg: math.NaN(), ElevM: 68}, at))
}

func TestForecastThatIsPast(t *testing.T) {
	t.Parallel()
	day := time.Date(2026, 3, 20, 0, 0, 0, 0, time.UTC)
	forecast := &weather.Record{First: day, Days: []weather.Day{{TminC: 1, TmaxC: 5}, {TminC: 1, TmaxC: 6}}}
	y := &season.Yard{Name: "Mill", ForecastFile: "f.csv"}
	ps := weighForecast(y, forecast, nil, day.AddDate(1, 0, 0), read.Problem{File: "spring"})
	require.Len(t, ps, 1)
	require.Equal(t, "spring: warning: yard Mill: the forecast ends on 21 March 2026, 364 days before today; name this week's forecast, or none", ps[0].String())
	require.Empty(t, weighForecast(y, forecast, nil, day.AddDate(0, 0, 1), read.Problem{}))
}
