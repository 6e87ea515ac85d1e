package visits

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/forage"
	"bloomgap/forage/bloom"
	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
)

// ReadWeather reads the files of one record, of the place named where they hold
// several. The caller gives it, since this
// package opens no files.
type ReadWeather func(paths []string, place string) (*weather.Record, read.Problems)

// The part of the year that a spring must hold whole: from the day a colony may
// be seen to the day nectar is at hand even in a late spring.
const (
	lastMonth = time.July // last month looked at
	lastDay   = 15        // its last day
)

// Worlds makes the weather of every yard of a season. Problems of all yards are
// collected; a yard that has fatal ones is missing from the map.
func Worlds(s *season.Season, fetch ReadWeather) (map[string]Weather, read.Problems) {
	l := newWeatherLoader(s, fetch)
	out := map[string]Weather{}
	if season.Summer(s.Today) {
		l.ps.Add(s.Dir, 0, 0, fmt.Sprintf("%s is no day to plan spring feed: the model runs from winter to the first dependable nectar and knows nothing of summer, "+
			"harvest or robbing", s.Today.Format("2 January")), "ask from October on for the weight to go into winter with, from February on for the feed of spring")
		return out, l.ps
	}
	for i := range s.Yards {
		if w, ok := l.world(&s.Yards[i]); ok {
			out[s.Yards[i].Name] = w
		}
	}
	return out, l.ps
}

// weatherLoader reads each record and generates each climate one time.
type weatherLoader struct {
	s         *season.Season
	read      ReadWeather
	ps        read.Problems
	colonies  map[string][]*season.Colony // by yard
	records   map[string]*weather.Record
	generated map[string][]forage.Year
}

func newWeatherLoader(s *season.Season, fetch ReadWeather) *weatherLoader {
	return &weatherLoader{s: s, read: fetch, colonies: s.ByYard(), records: map[string]*weather.Record{}, generated: map[string][]forage.Year{}}
}

// record reads and fills a record; nil when it cannot be used.
func (l *weatherLoader) record(paths []string, place string) *weather.Record {
	key := strings.Join(append([]string{place}, paths...), "\x00")
	if rec, ok := l.records[key]; ok {
		return rec
	}
	rec, problems := l.read(paths, place)
	l.ps = append(l.ps, problems.Confirm(l.s.Settings.Confirmed)...)
	if rec != nil {
		rec, _ = weather.Fill(rec, nil, weather.DefaultFillOptions())
	}
	l.records[key] = rec
	return rec
}

// springs generates springs of a climate, the first of however many were asked
// for before.
func (l *weatherLoader) springs(n climate.Normals, years int) []forage.Year {
	key := fmt.Sprint(n) // normals may hold NaN, which no key equals
	if len(l.generated[key]) < years {
		l.generated[key] = forage.GeneratedYears(n, years, l.s.Settings.Seed)
	}
	return l.generated[key][:years]
}

// SeasonYear is the year whose spring a day looks forward to: from August on the
// next one.
func SeasonYear(today time.Time) int {
	if today.Month() > lastMonth {
		return today.Year() + 1
	}
	return today.Year()
}

func (l *weatherLoader) world(y *season.Yard) (Weather, bool) {
	before := len(l.ps)
	p, w, ok := l.prospect(y)
	if !ok {
		return w, false
	}
	l.ps = append(l.ps, bloomAway(y, p, read.Problem{File: l.s.Dir}).Confirm(l.s.Settings.Confirmed)...)
	w.Warnings = append(w.Warnings, plan.InputNotes(l.ps[min(before, len(l.ps)):])...)
	w.prospect = p
	tellToday(&p, &w.Source)
	if p.Season != nil && w.Source.ObservedTo.IsZero() {
		w.Warnings = append(w.Warnings, plan.NoDaysOfSeason{})
	}
	return w, true
}

// noOutlook tells of a yard whose springs cannot be made.
func noOutlook(s *season.Season, y *season.Yard, err error) read.Problem {
	return read.Problem{File: s.Dir, Message: of(y) + fmt.Sprintf("%v", err), Fix: "give a weather record that reaches over these days, or climate = auto"}
}

// prospect gathers what is known of a yard's spring.
func (l *weatherLoader) prospect(y *season.Yard) (forage.Prospect, Weather, bool) {
	s, ps, load := l.s, &l.ps, l.record
	year := SeasonYear(s.Today)
	p := forage.Prospect{LatDeg: y.LatDeg, Start: s.Today, Today: s.Today,
		End: time.Date(year, lastMonth, lastDay, 0, 0, 0, 0, time.UTC)}
	start, fresh := l.firstLook(y)
	if !fresh {
		return p, Weather{}, false
	}
	p.Start = start
	if wanted := s.Settings.BeesWantedDate; wanted.After(p.End) {
		ps.Add(s.Dir, 0, 0, fmt.Sprintf("bees are wanted on %s, after the last day looked at, %s", wanted.Format(time.DateOnly), p.End.Format(time.DateOnly)),
			"set an earlier bees_wanted_date")
		return p, Weather{}, false
	}
	var w Weather
	if !nectarPlants(&p, y, ps, s.Dir) {
		return p, w, false
	}
	p.BloomSeen, p.BloomSD = y.BloomDate, y.BloomSpreadDays

	if y.ForecastFile != "" {
		if p.Forecast = load([]string{y.ForecastFile}, ""); p.Forecast == nil {
			return p, w, false
		}
	}
	if len(y.WeatherFiles) > 0 {
		if !l.fromRecord(y, &p, &w) {
			return p, w, false
		}
	} else if !l.fromClimate(y, &p, &w) {
		return p, w, false
	}
	if p.Forecast != nil {
		*ps = append(*ps, weighForecast(y, p.Forecast, p.Season, s.Today, read.Problem{File: s.Dir}).Confirm(s.Settings.Confirmed)...)
	}
	if p.Start.Month() == time.August || p.Start.Month() == time.September {
		if slices.ContainsFunc(p.Years, func(y forage.Year) bool { return y.Origin == forage.Generated }) {
			ps.Add(s.Dir, 0, 0, of(y)+fmt.Sprintf("springs made from a climate begin on 1 October, and %s lies before", p.Start.Format("2 January")),
				"ask again in October, or give a weather record of ten years or more")
			return p, w, false
		}
	}
	return p, w, true
}

// firstLook is the day from which a yard's springs are needed: today, or the day one of
// its colonies was first seen this season. A living one that was last seen before it is
// a problem.
func (l *weatherLoader) firstLook(y *season.Yard) (start time.Time, fresh bool) {
	s := l.s
	start, fresh = s.Today, true
	first := season.FirstDay(s.Today)
	for _, c := range l.colonies[y.Name] {
		for _, o := range c.Observations {
			if o.Date.Before(first) {
				if c.Alive { // one found dead long ago needs no weather
					l.ps.Add(s.Dir, 0, 0, fmt.Sprintf("row %d of the table of colonies: colony %s of %s was last seen on %s, before this season, which begins on %s",
						c.Line, c.Name, y.Name, o.Date.Format(time.DateOnly), first.Format("2 January 2006")), "look again and add a row for that day")
					fresh = false
				}
				continue
			}
			if o.Date.Before(start) {
				start = o.Date
			}
		}
	}
	return start, fresh
}

// fromRecord takes a yard's springs from its record, with made-up ones where it holds
// too few; false when it cannot be used.
func (l *weatherLoader) fromRecord(y *season.Yard, p *forage.Prospect, w *Weather) bool {
	s, ps := l.s, &l.ps
	year, most := SeasonYear(s.Today), s.Settings.Springs
	from := weather.MonthDay{Month: p.Start.Month(), Day: p.Start.Day()}
	to := weather.MonthDay{Month: lastMonth, Day: lastDay}
	rec := l.record(y.WeatherFiles, y.WeatherPlace)
	if rec == nil {
		return false
	}
	*ps = append(*ps, recordAway(y, rec.Station, read.Problem{File: s.Dir}).Confirm(s.Settings.Confirmed)...)
	*ps = append(*ps, recordAhead(y, rec, s.Today, read.Problem{File: s.Dir})...)
	p.Season = rec
	p.Years = forage.PastYears(rec, year, most, from, to, forage.RecencyHalfLifeYears)
	if gone := gapYears(rec, year, from, to); len(gone) > 0 {
		w.Warnings = append(w.Warnings, plan.GapYears{Years: gone})
	}
	w.Source.Record, w.Source.PastSprings = rec.Name, len(p.Years)
	w.Source.AwayKm = knownKm(y, rec.Station.LatDeg, rec.Station.LonDeg)
	if n := len(p.Years); n < forage.FewestYears {
		climateOf, name, ok := climateBeside(y, rec)
		if !ok {
			l.unknownClimate(y)
			return false
		}
		if name != "" {
			found, near := climateAway(y, climateOf, climateNamed(y), read.Problem{File: s.Dir})
			if *ps = append(*ps, found...); !near {
				return false
			}
		}
		add := l.springs(climateOf, max(forage.FewestYears, most)-n)
		p.Years = append(p.Years, add...)
		w.Source.Generated, w.Source.Climate = len(add), name
		w.Warnings = append(w.Warnings, plan.FewSprings{Whole: n, Generated: len(add)})
	}
	return true
}

// fromClimate makes up a yard's springs from a climate; false when none fits.
func (l *weatherLoader) fromClimate(y *season.Yard, p *forage.Prospect, w *Weather) bool {
	s, ps, most := l.s, &l.ps, l.s.Settings.Springs
	n, ok := namedClimate(y)
	if !ok {
		l.unknownClimate(y)
		return false
	}
	found, near := climateAway(y, n, climateNamed(y), read.Problem{File: s.Dir})
	if *ps = append(*ps, found...); !near {
		return false
	}
	if most == 0 {
		most = season.DefaultSettings().Springs
	}
	p.Years = l.springs(n, most)
	w.Source.Generated, w.Source.Climate, w.Source.AwayKm = most, n.Place, knownKm(y, n.LatDeg, n.LonDeg)
	if !s.Invented {
		w.Warnings = append(w.Warnings, plan.NoRecord{Climate: n.Place, Credit: n.Credit})
	}
	return true
}

// gapYears are the springs that a filled record reaches over, the season's own
// left aside, but that lack a day.
func gapYears(rec *weather.Record, seasonYear int, from, to weather.MonthDay) []int {
	var out []int
	for _, lost := range weather.Springs(rec, from, to, 0).Dropped {
		inside := lost.Longest.First.After(rec.First) && lost.Longest.Last.Before(rec.Last())
		if lost.Year != seasonYear && inside {
			out = append(out, lost.Year)
		}
	}
	return out
}

// climateBeside is the climate whose springs stand beside the few of a record:
// the one named for the yard, or else the record's own, which has no name, or the
// nearest.
func climateBeside(y *season.Yard, rec *weather.Record) (n climate.Normals, name string, ok bool) {
	if y.Climate == "" && y.MonthlyMeanC == nil {
		if fitted, err := climate.Fit(rec); err == nil {
			return fitted, "", true
		}
	}
	n, ok = namedClimate(y)
	return n, n.Place, ok
}

// climateNamed tells that the climate of a yard was not chosen for it.
func climateNamed(y *season.Yard) bool {
	return y.MonthlyMeanC != nil || y.Climate != "" && !strings.EqualFold(y.Climate, "auto")
}

func (l *weatherLoader) unknownClimate(y *season.Yard) {
	l.ps.Add(l.s.Dir, 0, 0, fmt.Sprintf("yard %s names the climate %q, which is not built in", y.Name, y.Climate),
		"use auto or one of: "+strings.Join(climateNames(), ", "))
}

// tellToday tells which days come from what, and where the bloom date does.
func tellToday(p *forage.Prospect, to *plan.WeatherSource) {
	to.ObservedTo = p.ObservedTo()
	if p.Forecast != nil && p.Forecast.Last().After(p.Today) {
		to.ForecastTo = p.Forecast.Last()
	}
	to.Bloom, to.BloomSDDays, to.Plant = p.BloomSeen, p.BloomSD, p.Nectar.Plant
}

// nectarPlants picks the plants that bring the first pollen and the first
// dependable nectar: those named for the yard, or the usual ones of the region.
func nectarPlants(p *forage.Prospect, y *season.Yard, ps *read.Problems, dir string) bool {
	list := bloom.Default(y.LatDeg, lonOr(y.LonDeg))
	if len(y.Plants) > 0 {
		usual := list
		list = nil
		for _, name := range y.Plants {
			th, ok := amongUsual(usual, name)
			if !ok {
				th, ok = bloom.Find(name, "")
			}
			if !ok {
				ps.Add(dir, 0, 0, fmt.Sprintf("yard %s names the plant %q, for which no bloom rule is built in", y.Name, name),
					"use one of: "+strings.Join(plantNames(), ", ")+"; or give bloom_date")
				return false
			}
			list = append(list, th)
		}
	}
	var pollen, nectar *bloom.Threshold
	for i := range list {
		th := &list[i]
		if th.Role == bloom.DependableNectar && nectar == nil {
			nectar = th
		}
		if th.Role != bloom.DependableNectar && pollen == nil {
			pollen = th
		}
	}
	usual := bloom.Default(y.LatDeg, lonOr(y.LonDeg))
	for i := range usual {
		if nectar == nil && usual[i].Role == bloom.DependableNectar {
			nectar = &usual[i]
		}
		if pollen == nil && usual[i].Role != bloom.DependableNectar {
			pollen = &usual[i]
		}
	}
	p.Pollen, p.Nectar = *pollen, *nectar
	if y.BloomRule.NeedCd > 0 {
		p.Nectar = y.BloomRule
	}
	return true
}

func amongUsual(usual []bloom.Threshold, name string) (bloom.Threshold, bool) {
	for _, th := range usual {
		if strings.EqualFold(th.Plant, name) {
			return th, true
		}
	}
	return bloom.Threshold{}, false
}

func plantNames() []string {
	var names []string
	seen := map[string]bool{}
	for _, th := range bloom.Builtin() {
		if !seen[th.Plant] {
			seen[th.Plant] = true
			names = append(names, th.Plant)
		}
	}
	return names
}

// lonOr takes an unknown longitude as European, where the rules that do not
// depend on a frozen March are the safer ones.
func lonOr(lonDeg float64) float64 {
	if math.IsNaN(lonDeg) {
		return 0
	}
	return lonDeg
}

func namedClimate(y *season.Yard) (climate.Normals, bool) {
	if len(y.MonthlyMeanC) == 12 {
		return typedClimate(y)
	}
	if y.Climate == "" || strings.EqualFold(y.Climate, "auto") {
		return climate.NearestAt(y.LatDeg, y.LonDeg, y.ElevM), true
	}
	for _, n := range climate.Builtin() {
		if strings.EqualFold(n.Place, y.Climate) {
			return n, true
		}
	}
	return climate.Normals{}, false
}

// typedClimate is the climate of twelve typed mean temperatures.
func typedClimate(y *season.Yard) (climate.Normals, bool) {
	typed := climate.Monthly{Place: y.Name, LatDeg: y.LatDeg, ElevM: y.ElevM}
	for m := range 12 {
		typed.MeanC[m], typed.SwingC[m], typed.RainMm[m] = y.MonthlyMeanC[m], math.NaN(), math.NaN()
	}
	n, err := climate.FromMonthly(typed)
	return n, err == nil
}

func climateNames() []string {
	var names []string
	for _, n := range climate.Builtin() {
		names = append(names, n.Place)
	}
	return names
}
