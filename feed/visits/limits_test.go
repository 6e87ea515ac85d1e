package visits

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/forage"
	"bloomgap/forage/bloom"
	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// dusted is a yard with a living colony and three rounds, seven days apart.
func dusted(first time.Time, visits ...time.Time) *Yard {
	set := season.DefaultSettings()
	set.Dusting = season.Dusting{FirstRound: first, Rounds: 3, DaysBetween: 7}
	return &Yard{Season: &season.Season{Today: on(3, 20), Settings: set}, Site: &season.Yard{Visits: visits},
		Colonies: []*season.Colony{{Name: "dead"}, {Name: "alive", Alive: true}}}
}

// TestRoundsToComeByHand: rounds keep their numbers; those before today are past, that of today is not.
func TestRoundsToComeByHand(t *testing.T) {
	y := dusted(on(3, 13))
	y.findRounds()
	require.Equal(t, []dustRound{{on(3, 20), 2}, {on(3, 27), 3}}, y.tasks.rounds)
	require.Equal(t, 3, y.tasks.all)
	require.Equal(t, []plan.Note{plan.RoundsPast{Rounds: []time.Time{on(3, 13)}}}, y.tasks.warnings)
	require.Equal(t, on(3, 27), y.tasks.last())
	y = dusted(on(3, 21))
	y.findRounds()
	require.Len(t, y.tasks.rounds, 3)
	require.Empty(t, y.tasks.warnings)
	y = dusted(on(3, 13))
	y.Colonies = y.Colonies[:1]
	y.findRounds()
	require.Empty(t, y.tasks.rounds, "none lives")
	require.Empty(t, y.tasks.warnings)
	require.Zero(t, y.tasks.all)
	y = dusted(time.Time{})
	y.findRounds()
	require.Zero(t, y.tasks.all, "none is planned")
}

// TestVisitsAreFittedByHand: visits of an interval leave out winter and the days on which nobody goes
// and move onto rounds; those that are listed stay as they are.
func TestVisitsAreFittedByHand(t *testing.T) {
	plain := func(today, next time.Time, between int) *Yard {
		y := dusted(time.Time{})
		y.Season.Today, y.Site.NextVisit, y.Site.DaysBetween = today, next, between
		return y
	}
	require.Equal(t, []time.Time{on(3, 23), on(3, 31)}, plain(on(3, 20), on(3, 23), 8).fitVisits(on(4, 7)))
	require.Empty(t, plain(on(3, 20), on(3, 23), 8).fitVisits(on(3, 19)), "nectar was before")

	winter := plain(on(1, 4), on(1, 10), 10).fitVisits(on(2, 25))
	require.Equal(t, []time.Time{on(1, 10), on(2, 9), on(2, 19)}, winter, "the first, and then those of spring")
	require.Equal(t, []time.Time{on(2, 10), on(2, 20)}, plain(on(2, 4), on(2, 10), 10).fitVisits(on(2, 25)))

	y := plain(on(3, 20), on(3, 23), 4)
	y.Season.Settings.Truck.Off[on(3, 27).Weekday()], y.Season.Settings.Truck.Off[on(3, 28).Weekday()] = true, true
	require.Equal(t, []time.Time{on(3, 23), on(3, 29), on(3, 31)}, y.fitVisits(on(4, 2)), "27 and 28 March are off")
	y = plain(on(3, 20), on(3, 23), 1)
	y.Season.Settings.Truck.Off[on(3, 24).Weekday()] = true
	require.Equal(t, []time.Time{on(3, 23), on(3, 25), on(3, 26)}, y.fitVisits(on(3, 26)), "each day once")
	y.Site.Visits = []time.Time{on(3, 22), on(3, 24)}
	require.Equal(t, []time.Time{on(3, 22), on(3, 24)}, y.fitVisits(on(3, 26)), "what is listed holds")
	y.Site.Visits = []time.Time{on(1, 22), on(1, 24)}
	y.Season.Today = on(1, 4)
	require.Equal(t, []time.Time{on(1, 22), on(1, 24)}, y.fitVisits(on(3, 26)), "also in winter")

	y = dusted(on(3, 24))
	y.Site.NextVisit, y.Site.DaysBetween = on(3, 23), 8
	require.Equal(t, []time.Time{on(3, 24), on(3, 31)}, y.fitVisits(on(4, 6)), "the round of 7 April is after the last day")
	require.Equal(t, map[time.Time]time.Time{on(3, 24): on(3, 23)}, y.tasks.moved)
	y = dusted(on(3, 24), on(3, 23), on(4, 2))
	require.Equal(t, []time.Time{on(3, 23), on(3, 24), on(3, 31), on(4, 2), on(4, 7)}, y.fitVisits(on(4, 7)))
	require.Empty(t, y.tasks.moved, "listed visits stay")

	// A round on a visit moves no other one that is near.
	joined, moved := joinRounds([]time.Time{on(3, 23), on(3, 25)}, roundsOn(on(3, 25)), true, on(3, 20))
	require.Equal(t, []time.Time{on(3, 23), on(3, 25)}, joined)
	require.Empty(t, moved)
}

// TestWrapsComeOffByWhatTheySave: at the first visit from which none is worth keeping on; what that
// costs is the mean over hives.
func TestWrapsComeOffByWhatTheySave(t *testing.T) {
	y := &Yard{Visits: []Visit{{Date: on(3, 23)}, {Date: on(4, 2)}, {Date: on(4, 12)}}}
	y.tasks.nightC = []float64{1, 4, 6}
	wrap := func(from time.Time, costKg float64, tally int) *plan.ColonyPlan {
		c := &plan.ColonyPlan{Unwrap: plan.Unwrap{Wrapped: true, On: on(3, 23), From: from, CostKg: plan.Range{P50: costKg}, UnderKg: 0.5}}
		if tally > 0 {
			c.Tally = &plan.Tally{Colonies: tally}
		}
		return c
	}
	visit, cost, under := y.unwrapVisit([]*plan.ColonyPlan{wrap(on(4, 2), 2, 0), wrap(on(3, 29), 1, 3)})
	require.Equal(t, 1, visit, "on the day itself")
	require.InDelta(t, (2+3*1)/4.0, cost, 1e-12)
	require.Equal(t, 0.5, under)
	visit, _, _ = y.unwrapVisit([]*plan.ColonyPlan{wrap(on(3, 29), 1, 0), wrap(on(4, 3), 1, 0), wrap(on(3, 20), 1, 0)})
	require.Equal(t, 2, visit, "the latest counts")
	visit, _, _ = y.unwrapVisit([]*plan.ColonyPlan{wrap(on(4, 13), 1, 0)})
	require.Equal(t, -1, visit)
	bare, toWrap := wrap(on(4, 13), 9, 0), wrap(on(4, 1), 4, 0)
	bare.Unwrap.Wrapped, toWrap.Unwrap.Wrapped, toWrap.Wrap = false, false, true
	visit, cost, _ = y.unwrapVisit([]*plan.ColonyPlan{bare, toWrap, {}})
	require.Equal(t, 1, visit)
	require.InDelta(t, 4, cost, 1e-12, "a bare hive has no wrap, one that is to have one does")
	visit, cost, under = y.unwrapVisit([]*plan.ColonyPlan{bare, {}})
	require.Equal(t, 2, visit, "by the nights")
	require.True(t, math.IsNaN(cost) && math.IsNaN(under))

	y.Colonies = []*season.Colony{{Name: "a", Alive: true, Insulated: true}}
	y.Site = &season.Yard{}
	cs := []*plan.ColonyPlan{wrap(on(4, 2), 2, 0), wrap(on(3, 29), 1, 3)}
	require.Equal(t, []plan.Task{{What: plan.KeepWraps{NightC: 1, CostKg: 1.25}}}, y.workTasks(0, cs))
	require.Equal(t, []plan.Task{{What: plan.WrapsOff{NightC: 4, UnderKg: 0.5}}}, y.workTasks(1, cs))
	require.Empty(t, y.workTasks(2, cs))
}

// TestSpringsFlyOnce: a spring counts from its first day of flight on, however many follow.
func TestSpringsFlyOnce(t *testing.T) {
	o := &forage.Outlook{Start: on(3, 1)}
	for i, warm := range [][]int{{2, 3, 4, 5}, {8}, nil} {
		sp := forage.Spring{Weight: []float64{0.3, 0.2, 0.5}[i]}
		for d := range 12 {
			maxC := 2.0
			if slices.Contains(warm, d) {
				maxC = 18
			}
			sp.Days = append(sp.Days, forage.NewDay(o.Date(d), 0, maxC, 0, 45, 0))
		}
		o.Springs = append(o.Springs, sp)
	}
	d, ok := firstFlight(o, 0)
	require.True(t, ok)
	require.Equal(t, 8, d, "three tenths by day 2, half by day 8")
	o.Springs[0].Weight, o.Springs[2].Weight = 0.29, 0.51
	_, ok = firstFlight(o, 0)
	require.False(t, ok, "less than half")
}

// TestDistancesInWords: what lies far off is told with what is known of it.
func TestDistancesInWords(t *testing.T) {
	for _, c := range []struct {
		a    away
		far  bool
		text string
	}{
		{away{150, 0}, true, "150 km away"}, {away{149, 299}, false, "149 km away"}, {away{10, 300}, true, "10 km away and 300 m higher"},
		{away{10, -300}, true, "10 km away and 300 m lower"}, {away{10, -299}, false, "10 km away"},
		{away{math.NaN(), 400}, true, "at a distance that is not known and 400 m higher"}, {away{math.NaN(), math.NaN()}, false, "at a distance that is not known"},
		{away{200, math.NaN()}, true, "200 km away"},
	} {
		require.Equal(t, c.far, c.a.far(), "%+v", c.a)
		require.Equal(t, c.text, c.a.text())
	}
	require.Empty(t, of(&season.Yard{Name: season.ThisYard}))
	require.Equal(t, "yard Mill: ", of(&season.Yard{Name: "Mill"}))
	require.InDelta(t, 111.2, knownKm(&season.Yard{LatDeg: 45, LonDeg: 3}, 46, 3), 0.1)
}

// recordTo is a made-up record of mild days from October of a year on, at Farnham.
func recordTo(from int, last time.Time) *weather.Record {
	r := &weather.Record{Name: "mill.csv", First: time.Date(from, time.October, 1, 0, 0, 0, 0, time.UTC), Station: weather.Station{LatDeg: 45.3, LonDeg: -72.9, ElevM: 68}}
	for d := r.First; !d.After(last); d = d.AddDate(0, 0, 1) {
		r.Days = append(r.Days, weather.Day{TminC: 2 + float64(d.Day()%5), TmaxC: 12 + float64(d.Day()%7), PrecipMm: 1})
	}
	return r
}

// worldsOf are the worlds of a hive in Quebec with files that are read as given; nil for none.
func worldsOf(t *testing.T, change func(s *season.Season), files map[string]*weather.Record) (map[string]Weather, read.Problems, map[string]int) {
	t.Helper()
	s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
	change(s)
	times := map[string]int{}
	w, ps := Worlds(s, func(paths []string, place string) (*weather.Record, read.Problems) {
		times[paths[0]+place]++
		return files[paths[0]], nil
	})
	return w, ps, times
}

func has(notes []plan.Note, code plan.Code) bool {
	return slices.ContainsFunc(notes, func(n plan.Note) bool { return n.Code() == code })
}

// TestWhatAWorldIsMadeOf: where the springs of a yard come from, and what is told of it.
func TestWhatAWorldIsMadeOf(t *testing.T) {
	today := on(3, 20)
	name := season.ThisYard
	files := map[string]*weather.Record{"mill.csv": recordTo(2015, today), "old.csv": recordTo(2015, time.Date(2026, time.September, 1, 0, 0, 0, 0, time.UTC)),
		"ten.csv": recordTo(2016, today), "nine.csv": recordTo(2017, today), "ahead.csv": recordTo(2026, today.AddDate(0, 0, 9)), "past.csv": recordTo(2026, today)}
	record := func(file string) func(s *season.Season) {
		return func(s *season.Season) { s.Yards[0].Climate, s.Yards[0].WeatherFiles = "", []string{file} }
	}

	w, ps, times := worldsOf(t, record("mill.csv"), files)
	require.NoError(t, ps.Err())
	require.Equal(t, "mill.csv", w[name].Source.Record)
	require.Equal(t, 11, w[name].Source.PastSprings, "2016 to 2026")
	require.Zero(t, w[name].Source.Generated)
	require.Equal(t, today, w[name].Source.ObservedTo)
	require.False(t, has(w[name].Warnings, plan.NoDaysOfSeason{}.Code()))
	require.False(t, has(w[name].Warnings, plan.NoRecord{}.Code()))
	require.Equal(t, 1, times["mill.csv"])
	w, _, _ = worldsOf(t, record("old.csv"), files)
	require.True(t, has(w[name].Warnings, plan.NoDaysOfSeason{}.Code()), "the record ends in autumn")
	require.True(t, w[name].Source.ObservedTo.IsZero())

	w, _, _ = worldsOf(t, record("ten.csv"), files)
	require.Equal(t, 10, w[name].Source.PastSprings)
	require.False(t, has(w[name].Warnings, plan.FewSprings{}.Code()), "ten are enough")
	require.Zero(t, w[name].Source.Generated)
	w, _, _ = worldsOf(t, record("nine.csv"), files)
	require.Equal(t, 9, w[name].Source.PastSprings)
	require.True(t, has(w[name].Warnings, plan.FewSprings{}.Code()))
	require.Positive(t, w[name].Source.Generated)
	w, _, _ = worldsOf(t, func(s *season.Season) { record("mill.csv")(s); s.Settings.Springs = 4 }, files)
	require.Equal(t, 4, w[name].Source.PastSprings, "no more are asked for")
	require.Equal(t, 6, w[name].Source.Generated)

	w, ps, _ = worldsOf(t, func(s *season.Season) { s.Settings.Springs = 0 }, nil)
	require.NoError(t, ps.Err())
	require.Equal(t, season.DefaultSettings().Springs, w[name].Source.Generated)
	require.True(t, has(w[name].Warnings, plan.NoRecord{}.Code()))
	require.Zero(t, w[name].Source.PastSprings)
	w, _, _ = worldsOf(t, func(s *season.Season) { s.Settings.Springs, s.Invented = 7, true }, nil)
	require.Equal(t, 7, w[name].Source.Generated)
	require.False(t, has(w[name].Warnings, plan.NoRecord{}.Code()), "no real place")

	// A forecast is told of while it lies ahead, and a file that cannot be read leaves the yard out.
	for file, to := range map[string]time.Time{"ahead.csv": today.AddDate(0, 0, 9), "past.csv": {}} {
		w, ps, _ = worldsOf(t, func(s *season.Season) { s.Yards[0].ForecastFile = file }, files)
		require.NoError(t, ps.Err())
		require.Equal(t, to, w[name].Source.ForecastTo, file)
		o, err := w[name].Outlook()
		require.NoError(t, err)
		require.Equal(t, !to.IsZero(), o.Springs[0].Days[3].TmaxC == files["ahead.csv"].Days[files["ahead.csv"].Index(today.AddDate(0, 0, 3))].TmaxC)
	}
	w, _, _ = worldsOf(t, func(s *season.Season) { s.Yards[0].ForecastFile = "none.csv" }, files)
	require.NotContains(t, w, name)
	w, _, _ = worldsOf(t, record("none.csv"), files)
	require.NotContains(t, w, name)

	// What lies far off, is long past or lacks days is told of.
	w, ps, _ = worldsOf(t, func(s *season.Season) { s.Yards[0].ForecastFile = "old.csv" }, files)
	require.True(t, ps.Has(season.ForecastOld))
	require.Contains(t, w, name)
	far, holed := recordTo(2015, today), recordTo(2015, today)
	far.Station.LatDeg += 3
	for d := range 40 {
		holed.Days[holed.Index(time.Date(2020, time.April, 1+d, 0, 0, 0, 0, time.UTC))] = weather.Day{TminC: math.NaN(), TmaxC: math.NaN(), PrecipMm: math.NaN()}
	}
	files["far.csv"], files["holed.csv"] = far, holed
	_, ps, _ = worldsOf(t, record("far.csv"), files)
	require.True(t, ps.Has(season.FarNote))
	w, ps, _ = worldsOf(t, record("holed.csv"), files)
	require.False(t, ps.Has(season.FarNote))
	require.Contains(t, w[name].Warnings, plan.Note(plan.GapYears{Years: []int{2020}}))
	require.Equal(t, 10, w[name].Source.PastSprings)
	w, ps, _ = worldsOf(t, func(s *season.Season) { s.Yards[0].LonDeg = 72.9 }, nil)
	require.True(t, ps.Has(season.FarGuard))
	require.NotContains(t, w, name)
	w, ps, _ = worldsOf(t, func(s *season.Season) { record("ahead.csv")(s); s.Today = on(3, 12) }, files)
	require.True(t, ps.Has(season.AheadGuard), "17 days ahead")
	require.Contains(t, w, name)
	w, ps, _ = worldsOf(t, func(s *season.Season) { record("nine.csv")(s); s.Yards[0].Climate, s.Yards[0].LonDeg = "auto", 140 }, files)
	require.True(t, ps.Has(season.FarGuard), "the springs beside a short record lie an ocean away")
	require.NotContains(t, w, name)
	plants := bloom.Default(45.3, -72.9)
	for file, fine := range map[string]bool{"": false, "mill.csv": true} { // in August of the year before
		s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
		s.Today, s.Colonies = time.Date(2026, time.August, 20, 0, 0, 0, 0, time.UTC), nil
		if file != "" {
			record(file)(s)
		}
		_, _, ps := BloomDates(s, &s.Yards[0], plants[:1], func(paths []string, _ string) (*weather.Record, read.Problems) { return files[paths[0]], nil })
		require.Equal(t, fine, ps.Err() == nil, "springs of a climate begin in October; %v", ps.Err())
	}
	blank := &weather.Record{First: today.AddDate(0, 0, 40), Days: []weather.Day{{TminC: math.NaN(), TmaxC: math.NaN()}}}
	require.Empty(t, recordAhead(&season.Yard{}, blank, today, read.Problem{}), "it knows no day")

	// A record of two yards is read once; of two places of one file each by itself.
	_, _, times = worldsOf(t, func(s *season.Season) {
		record("mill.csv")(s)
		for _, place := range []string{"", "a", "b", "a"} {
			other := s.Yards[0]
			other.Name, other.WeatherPlace = "other "+place+string(rune('0'+len(s.Yards))), place
			s.Yards = append(s.Yards, other)
		}
	}, files)
	require.Equal(t, map[string]int{"mill.csv": 1, "mill.csva": 1, "mill.csvb": 1}, times)

	// Bees may be wanted up to the last day looked at, and no summer is planned for.
	for day, fine := range map[time.Time]bool{on(7, 15): true, on(7, 16): false, {}: true} {
		w, ps, _ = worldsOf(t, func(s *season.Season) { s.Settings.BeesWantedDate = day }, nil)
		require.Equal(t, fine, ps.Err() == nil, "%v", day)
		require.Equal(t, fine, len(w) == 1)
	}
	w, ps, _ = worldsOf(t, func(s *season.Season) { s.Today = on(6, 20) }, nil)
	require.ErrorContains(t, ps.Err(), "20 June")
	require.Empty(t, w)

	w, _, _ = worldsOf(t, func(s *season.Season) { s.Yards[0].BloomDate, s.Yards[0].BloomSpreadDays = on(5, 12), 3 }, nil)
	require.Equal(t, on(5, 12), w[name].Source.Bloom)
	require.Equal(t, 3.0, w[name].Source.BloomSDDays)
	w, ps, _ = worldsOf(t, func(s *season.Season) { s.Yards[0].Climate = "Atlantis" }, nil)
	require.ErrorContains(t, ps.Err(), "Atlantis")
	require.NotContains(t, w, name)
	_, ps, _ = worldsOf(t, func(s *season.Season) { record("nine.csv")(s); s.Yards[0].Climate = "Atlantis" }, files)
	require.ErrorContains(t, ps.Err(), "Atlantis")
}

// TestClimateOfAYard: a climate by its name, by twelve means, or the nearest.
func TestClimateOfAYard(t *testing.T) {
	means := []float64{-12, -11, -5, 3, 10, 15, 18, 17, 12, 6, 0, -8}
	for _, c := range []struct {
		climate string
		means   []float64
		named   bool
		place   string
	}{
		{"", nil, false, "Farnham, Quebec"}, {"auto", nil, false, "Farnham, Quebec"}, {"AUTO", nil, false, "Farnham, Quebec"},
		{"bern", nil, true, ""}, {"", means, true, "Mill"}, {"auto", means, true, "Mill"},
	} {
		y := &season.Yard{Name: "Mill", LatDeg: 45.3, LonDeg: -72.9, ElevM: 60, Climate: c.climate, MonthlyMeanC: c.means}
		if c.climate == "bern" {
			for _, n := range climate.Builtin() {
				if n.LatDeg > 46.5 && n.LatDeg < 47.5 && n.LonDeg > 7 && n.LonDeg < 8 {
					y.Climate, c.place = n.Place, n.Place
				}
			}
		}
		require.Equal(t, c.named, climateNamed(y), "%+v", c)
		n, ok := namedClimate(y)
		require.True(t, ok)
		require.Equal(t, c.place, n.Place)
	}
	_, ok := namedClimate(&season.Yard{Climate: "Atlantis"})
	require.False(t, ok)
	require.Contains(t, climateNames(), "Farnham, Quebec")
	typed, ok := typedClimate(&season.Yard{Name: "Mill", LatDeg: 45, ElevM: 10, MonthlyMeanC: means})
	require.True(t, ok)
	require.Equal(t, []any{"Mill", 45.0}, []any{typed.Place, typed.LatDeg})

	// Beside a long record stands its own climate, unless another is named or typed.
	rec, rnd, off := recordTo(1990, on(3, 20)), rand.New(rand.NewPCG(1, 2)), 0.0
	for i := range rec.Days {
		off = 0.7*off + 2*rnd.NormFloat64()
		middle := 6 - 14*math.Cos(2*math.Pi*float64(rec.Date(i).YearDay()-20)/365) + off
		rec.Days[i] = weather.Day{TminC: middle - 5 + rnd.NormFloat64(), TmaxC: middle + 5 + rnd.NormFloat64(), PrecipMm: math.Max(0, 5*rnd.NormFloat64())}
	}
	n, name, ok := climateBeside(&season.Yard{LatDeg: 45.3, LonDeg: -72.9}, rec)
	require.True(t, ok)
	require.Empty(t, name)
	require.NotEqual(t, "Farnham, Quebec", n.Place)
	_, name, _ = climateBeside(&season.Yard{LatDeg: 45.3, LonDeg: -72.9, ElevM: 60, Climate: "auto"}, rec)
	require.Equal(t, "Farnham, Quebec", name)
	_, name, _ = climateBeside(&season.Yard{Name: "Mill", LatDeg: 45.3, MonthlyMeanC: means}, rec)
	require.Equal(t, "Mill", name)
	require.Equal(t, []float64{0, 7}, []float64{lonOr(math.NaN()), lonOr(7)})

	// Springs of a climate are made once, the first of however many were asked for.
	l := newWeatherLoader(&season.Season{Settings: season.DefaultSettings()}, nil)
	farnham, _ := namedClimate(&season.Yard{LatDeg: 45.3, LonDeg: -72.9})
	many := l.springs(farnham, 6)
	few := l.springs(farnham, 2)
	require.Len(t, many, 6)
	require.Equal(t, many[:2], few)
	require.Same(t, many[0].Record, few[0].Record)
	require.Len(t, l.springs(farnham, 9), 9)
}

// TestNamesOfPlants: a plant is that of the region first, whatever its letters; the first pollen and
// the first dependable nectar of the list are taken, and a rule of the yard's own goes before.
func TestNamesOfPlants(t *testing.T) {
	usual := bloom.Default(45.3, -72.9)
	th, ok := amongUsual(usual, "DANDELION")
	require.True(t, ok)
	require.Equal(t, "dandelion", th.Plant)
	_, ok = amongUsual(usual, "nothing")
	require.False(t, ok)
	names := plantNames()
	require.Len(t, slices.Compact(slices.Sorted(slices.Values(names))), len(names), "each once")
	require.Contains(t, names, "apple")
	var p forage.Prospect
	var ps read.Problems
	y := &season.Yard{LatDeg: 45.3, LonDeg: -72.9, Plants: []string{"apple", "dandelion"}}
	require.True(t, nectarPlants(&p, y, &ps, ""))
	require.Equal(t, "apple", p.Nectar.Plant, "the first of two")
	y.BloomRule = bloom.Threshold{Plant: "own", NeedCd: 0}
	require.True(t, nectarPlants(&p, y, &ps, ""))
	require.Equal(t, "apple", p.Nectar.Plant, "no rule was given")
	y.BloomRule.NeedCd = 0.5
	require.True(t, nectarPlants(&p, y, &ps, ""))
	require.Equal(t, "own", p.Nectar.Plant)
	require.NotEqual(t, bloom.DependableNectar, p.Pollen.Role)
}

// openYard opens the yard of a hive.
func openYard(t *testing.T, s *season.Season) (*Yard, error) {
	t.Helper()
	const members = 40
	base := colony.DefaultParams()
	worlds, ps := Worlds(s, nil)
	require.NoError(t, ps.Err())
	site := &s.Yards[0]
	return Open(s, site, s.ByYard()[site.Name], worlds[site.Name], Options{Draws: ensemble.NewSharedDraws(base, 2*members, 1, false), Base: &base, Members: members})
}

// TestAnOpenYard: risk is told week by week from today to the week after the last nectar, and what
// the members have in common is counted over those of the plan.
func TestAnOpenYard(t *testing.T) {
	for shift := range 8 {
		s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
		s.Today = s.Today.AddDate(0, 0, shift)
		if shift == 3 {
			s.Settings.BeesWantedDate = on(5, 30)
		}
		y, err := openYard(t, s)
		require.NoError(t, err)
		members := y.Springs.Members[:40]
		late := 0
		var bloomDays, nectarDays, still, spell []float64
		for i := range members {
			m := &members[i]
			late = max(late, m.NectarDay)
			bloomDays, nectarDays = append(bloomDays, float64(m.BloomDay)), append(nectarDays, float64(m.NectarDay))
			n, run, longest := 0, 0, 0
			for d := y.Today; d < m.NectarDay && d < len(y.Outlook.Springs[m.Spring].Days); d++ {
				if y.Outlook.Springs[m.Spring].Days[d].CanFly() {
					run = 0
					continue
				}
				n, run = n+1, run+1
				longest = max(longest, run)
			}
			still, spell = append(still, float64(n)), append(spell, float64(longest))
		}
		require.Equal(t, s.Today, y.Outlook.Date(y.Today))
		require.Equal(t, y.Today, y.Weeks[0])
		for i := range y.Weeks[1:] {
			require.Equal(t, 7, y.Weeks[i+1]-y.Weeks[i])
		}
		last := y.Weeks[len(y.Weeks)-1]
		require.True(t, last >= late && last < late+7, "%d for nectar on %d", last, late)
		require.Equal(t, dateRange(y.Outlook, bloomDays), y.Facts.Bloom)
		require.Equal(t, dateRange(y.Outlook, nectarDays), y.Facts.Nectar)
		require.Equal(t, plan.RangeOf(still), y.Facts.NonFlying)
		require.Equal(t, plan.RangeOf(spell), y.Facts.ColdSpell)
		require.Len(t, y.Facts.Years, len(y.Outlook.Springs))
		for i, year := range y.Facts.Years {
			sp := &y.Outlook.Springs[i]
			nectar := colony.FlowDay(y.Springs.Forcing[i], sp.BloomDay, y.opt.Base)
			n, longest := nonFlying(sp.Days, y.Today, nectar)
			require.Equal(t, plan.YearFact{Label: sp.Label, Bloom: y.Outlook.Date(sp.BloomDay), Nectar: y.Outlook.Date(nectar), NonFlying: n, LongSpell: longest}, year)
		}
		require.Equal(t, y.Outlook.Fingerprint(), y.Weather.Source.Fingerprint)
		require.False(t, has(y.Weather.Warnings, plan.NectarBeyond{}.Code()))
		require.False(t, y.Visits[len(y.Visits)-1].Date.After(y.Outlook.Date(late)), "no visit after the last nectar")
		require.Len(t, y.Dates(), len(y.Visits))

		// The day on which bees are wanted is read in every run.
		var c ensemble.Realization
		seen := ensemble.InitialSpread{Day: y.Today, BeesLogMu: 9, BroodCells: 1, StoresKg: 5, StoresMax: 9}
		ensemble.NewSampler(y.Springs).Realize(1, &seen, 0, &c)
		want := -1
		if shift == 3 {
			want = y.Outlook.Day(on(5, 30)) - y.Today - 1
		}
		require.Equal(t, want, c.Span.ReadDay)

		// What was learned of a yard is known when it is opened again.
		springs := y.Springs
		require.NoError(t, y.Reopen())
		require.Same(t, springs, y.Springs, "it is open")
		before := y.Springs.Members[7].SiteZ
		y.Learn(ensemble.YardPart{Mean: [2]float64{0, 2}, Lower: [2][2]float64{{1, 0}, {0, 0.5}}})
		require.InDelta(t, 2+0.5*before, y.Springs.Members[7].SiteZ, 1e-12)
		y.Close()
		require.Nil(t, y.Springs)
		require.Empty(t, y.Outlook.Springs)
		require.Equal(t, s.Today, y.Outlook.Date(y.Today))
		require.NoError(t, y.Reopen())
		require.InDelta(t, 2+0.5*before, y.Springs.Members[7].SiteZ, 1e-12)
	}
}

// TestYardsThatCannotBePlanned: nectar after the last day looked at is told of, a yard without a visit
// is refused, and so is one whose springs cannot be made.
func TestYardsThatCannotBePlanned(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
	s.Yards[0].BloomRule = bloom.Threshold{Plant: "own", StartDOY: 91, NeedCd: 9000, Role: bloom.DependableNectar}
	y, err := openYard(t, s)
	require.NoError(t, err)
	require.Contains(t, y.Weather.Warnings, plan.Note(plan.NectarBeyond{LastDay: on(7, 15)}))
	s.Yards[0].BloomRule, s.Yards[0].Visits = bloom.Threshold{}, []time.Time{on(3, 1), on(7, 14)}
	_, err = openYard(t, s)
	require.ErrorContains(t, err, "no visit")
	base := colony.DefaultParams()
	_, err = Open(s, &s.Yards[0], nil, Weather{}, Options{Draws: ensemble.NewSharedDraws(base, 10, 1, false), Base: &base, Members: 10})
	require.ErrorContains(t, err, "weather record")
	_, err = Weather{}.UnknownOutlook(on(3, 1))
	require.ErrorContains(t, err, "no spring can be made")
}

// TestDatesOfSomeSprings: springs that reach the sum carry the whole weight; the others are told.
func TestDatesOfSomeSprings(t *testing.T) {
	o := &forage.Outlook{Start: on(3, 1)}
	for i, day := range []int{40, 50, 60} {
		o.Springs = append(o.Springs, forage.Spring{Label: string(rune('a' + i)), Weight: []float64{0.2, 0.3, 0.5}[i], Days: make([]forage.Day, 50), BloomDay: day})
	}
	o.Springs[1].BloomDay = 49
	d := datesOf(o, bloom.Threshold{SpreadDays: 2})
	require.Equal(t, 2.0, d.SpreadDays)
	require.InDelta(t, 0.5, d.UnreachedShare, 1e-12)
	require.Len(t, d.Members, 2)
	require.InDeltaSlice(t, []float64{0.4, 0.6}, []float64{d.Members[0].Weight, d.Members[1].Weight}, 1e-12)
	require.Equal(t, []time.Time{o.Date(40), o.Date(49)}, []time.Time{d.Members[0].Date, d.Members[1].Date})
	require.Equal(t, "b", d.Members[1].Name)
}

// TestSpringsMoved: springs that come later are those of the same yard, so many days on; what was known
// of this season is forgotten where it is asked for.
func TestSpringsMoved(t *testing.T) {
	files := map[string]*weather.Record{"mill.csv": recordTo(2015, on(3, 20)), "ahead.csv": recordTo(2026, on(3, 29))}
	w, ps, _ := worldsOf(t, func(s *season.Season) {
		s.Yards[0].Climate, s.Yards[0].WeatherFiles, s.Yards[0].ForecastFile = "", []string{"mill.csv"}, "ahead.csv"
	}, files)
	require.NoError(t, ps.Err())
	world := w[season.ThisYard]
	plain, err := world.Outlook()
	require.NoError(t, err)
	moved, err := world.Later(5).Outlook()
	require.NoError(t, err)
	require.Equal(t, plain.Springs[0].Days[0].TmaxC, moved.Springs[0].Days[0].TmaxC, "today is known")
	require.Equal(t, plain.Springs[2].Days[30].TmaxC, moved.Springs[2].Days[35].TmaxC)
	again, err := world.Outlook()
	require.NoError(t, err)
	require.Equal(t, plain.Fingerprint(), again.Fingerprint(), "the world itself stays as it is")
	unknown, err := world.UnknownOutlook(on(3, 1))
	require.NoError(t, err)
	require.True(t, unknown.ObservedTo.IsZero())
	require.Equal(t, on(3, 1), unknown.Start)
	require.Equal(t, on(7, 15), unknown.Date(len(unknown.Springs[0].Days)-1))
}
