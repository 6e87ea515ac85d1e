package visits

import (
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
	"bloomgap/forage"
	"bloomgap/forage/bloom"
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
		"near":                        {yard(45, -72.5, 100), false, "", "", true},
		"no longitude":                {yard(45, math.NaN(), 100), false, "spring: warning: yard Mill: the longitude is not known, and the climate of Farnham, Quebec was chosen by the latitude alone; give the longitude; west is negative", season.FarNote, true},
		"no longitude, climate named": {yard(45, math.NaN(), 100), true, "", "", true},
		"some way off":                {yard(44, -75.5, 100), false, "spring: warning: yard Mill: the climate of Farnham, Quebec is 251 km away; a weather record or monthly means from nearer give a surer answer", season.FarNote, true},
		"higher up":                   {yard(45.3, -72.9, 400), false, "spring: warning: yard Mill: the climate of Farnham, Quebec is 0 km away and 332 m lower; a weather record or monthly means from nearer give a surer answer", season.FarNote, true},
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

// TestWhatDistanceMeans measures on open records what the limits of far.go stand
// for: how much the springs of two places differ, and what that is in days of
// bloom.
func TestWhatDistanceMeans(t *testing.T) {
	folder := os.Getenv("BLOOMGAP_REFERENCE")
	if folder == "" {
		t.Skip("BLOOMGAP_REFERENCE is not set; it should name the folder of reference records")
	}
	springC := func(name string) (float64, *weather.Record) {
		rec, ps := weather.ReadFiles([]string{filepath.Join(folder, "weather", name+".csv")})
		require.NoError(t, ps.Err())
		sum, n := 0.0, 0.0
		for i, d := range rec.Days {
			if m := rec.Date(i).Month(); d.HasTemp() && rec.Date(i).Year() >= 1990 && m >= time.March && m <= time.May {
				sum, n = sum+(d.TminC+d.TmaxC)/2, n+1
			}
		}
		return sum / n, rec
	}
	for _, c := range []struct {
		a, b    string
		differC float64
	}{
		{"farnham_qc_ca_7022320", "auteuil_laval_qc_ca_7020392", 0.5}, // 75 km
		{"bern_ch_BER", "wuerzburg_de_05705", 0.9},                    // 360 km
		{"wuerzburg_de_05705", "grambek_de_01736", 1.6},               // 424 km
		{"milwaukee_wi_us_USW00014839", "grand_forks_nd_us_USC00323621", 3.0},
	} {
		a, _ := springC(c.a)
		b, _ := springC(c.b)
		require.InDelta(t, c.differC, math.Abs(a-b), 0.06, "%s and %s", c.a, c.b)
	}
	_, rec := springC("farnham_qc_ca_7022320")
	dandelion, ok := bloom.Find("dandelion", "")
	require.True(t, ok)
	warm := rec.Clone()
	for i := range warm.Days {
		warm.Days[i].TminC += 2
		warm.Days[i].TmaxC += 2
	}
	var sooner, years float64
	for year := 1980; year < 2017; year++ {
		a, okA := dandelion.DateReached(rec, year)
		b, okB := dandelion.DateReached(warm, year)
		if okA && okB {
			sooner, years = sooner+a.Sub(b).Hours()/24, years+1
		}
	}
	require.Greater(t, years, 30.0)
	require.InDelta(t, 5.5, sooner/years, 0.3)
}

// TestBloomFarFromTheWarmth: of springs whose warmth makes one day likely, a date near it is
// taken as it is, one a month off is told of, and one further off asked about, on either side.
func TestBloomFarFromTheWarmth(t *testing.T) {
	t.Parallel()
	const year, days = 2027, 240
	start := time.Date(year, time.January, 1, 0, 0, 0, 0, time.UTC)
	rec := &weather.Record{First: start, Days: make([]weather.Day, days)}
	for i := range rec.Days { // no warmth to the end of April, then 10 degree days a day: 100 of them on 10 May
		rec.Days[i] = weather.Day{TminC: -5, TmaxC: 5}
		if i >= 120 {
			rec.Days[i] = weather.Day{TminC: 10, TmaxC: 20}
		}
	}
	p := forage.Prospect{LatDeg: 45, Start: start.AddDate(0, 0, 60), Today: start.AddDate(0, 0, 80), End: start.AddDate(0, 0, 190),
		Years:  []forage.Year{{Label: "one", Record: rec, Number: year, Weight: 1}},
		Pollen: bloom.Threshold{Plant: "willow", BaseC: 5, StartDOY: 1, NeedCd: 10, SpreadDays: 3, Role: bloom.PollenOnly},
		Nectar: bloom.Threshold{Plant: "dandelion", BaseC: 5, StartDOY: 1, NeedCd: 95, SpreadDays: 3, Role: bloom.DependableNectar}}
	y := &season.Yard{Name: "Mill", LatDeg: 45}
	require.Empty(t, bloomAway(y, p, read.Problem{}), "no date was given")
	p.BloomSeen = start
	o, err := forage.NewOutlook(forage.Prospect{LatDeg: p.LatDeg, Start: p.Start, Today: p.Today, End: p.End, Years: p.Years, Pollen: p.Pollen, Nectar: p.Nectar})
	require.NoError(t, err)
	likely := o.Date(middleBloom(o))
	require.Equal(t, time.May, likely.Month())
	for _, c := range []struct {
		off   int
		level read.Level
		says  string
	}{
		{0, 0, ""}, {27, 0, ""}, {-27, 0, ""},
		{28, read.Note, "28 days after"}, {-35, read.Note, "35 days before"},
		{36, read.Ask, "36 days after"}, {-36, read.Ask, "36 days before"},
	} {
		p.BloomSeen = likely.AddDate(0, 0, c.off)
		ps := bloomAway(y, p, read.Problem{File: "s"})
		if c.says == "" {
			require.Empty(t, ps, c.off)
			continue
		}
		require.Len(t, ps, 1, c.off)
		require.Equal(t, c.level, ps[0].Level, c.off)
		require.Equal(t, season.BloomFarGuard, ps[0].Code)
		require.Contains(t, ps[0].Message, c.says)
	}
}

// TestMiddleBloom: half of the weight decides, not half of the springs.
func TestMiddleBloom(t *testing.T) {
	t.Parallel()
	o := &forage.Outlook{Springs: []forage.Spring{{Weight: 0.2, BloomDay: 30}, {Weight: 0.6, BloomDay: 50}, {Weight: 0.2, BloomDay: 10}}}
	require.Equal(t, 50, middleBloom(o))
	o.Springs[0].Weight, o.Springs[1].Weight = 0.6, 0.2
	require.Equal(t, 30, middleBloom(o))
}
