package scales

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
)

// fewestSpots is how many readings of temperature make a day's lowest and highest
// known, 1, 6-24, own judgement: every four hours.
const fewestSpots = 6

// airColumn is a column of temperature or rain.
type airColumn struct {
	at   int
	kind airKind
	us   bool // F, in
	rank int  // a column named after the outside air goes first
}

// Ranks of headings.
const (
	unsaidRank  = 2 // that do not say where a temperature was taken
	outsideRank = 4 // that say it is the outside air's
)

type airKind uint8

const (
	airNothing airKind = iota
	airLow
	airHigh
	airSpot // at an hour, or the mean of a day
	airRain
)

// airOf tells what of the weather a heading names.
func airOf(heading string) (kind airKind, us bool, rank int) {
	ws := read.Words(heading)
	has := func(parts ...string) bool { // German headings join their words
		return slices.ContainsFunc(ws, func(w string) bool {
			return slices.ContainsFunc(parts, func(p string) bool { return strings.Contains(w, p) })
		})
	}
	us = read.AnyWord(ws, read.WordFahrenheit)
	rank = unsaidRank
	if read.AnyWord(ws, read.WordOutside) || has("luft", "aussen", "außen", "outside", "outdoor") {
		rank = outsideRank
	}
	const temperature = read.WordTemp | read.WordOutside | read.WordTmax | read.WordTmin | read.WordTmean
	high, low := read.AnyWord(ws, read.WordHigh|read.WordTmax), read.AnyWord(ws, read.WordLow|read.WordTmin)
	switch {
	case (read.AnyWord(ws, read.WordInHive) || has("innen", "brut")) && rank < outsideRank, read.AnyWord(ws, read.WordWeight|read.WordOther):
		return airNothing, false, 0
	case read.AnyWord(ws, read.WordRain|read.WordPrecip):
		return airRain, slices.Contains(ws, "in") || slices.Contains(ws, "inch"), rank
	case !read.AnyWord(ws, temperature) && !has("temp"):
		return airNothing, false, 0
	case high && !low:
		return airHigh, us, rank
	case low && !high:
		return airLow, us, rank
	case read.AnyWord(ws, read.WordMean|read.WordTmean):
		return airSpot, us, rank - 1
	}
	return airSpot, us, rank
}

func temperatureHeading(heading string) bool {
	kind, _, _ := airOf(heading)
	return kind != airNothing
}

// ReadWeather reads the weather of the days from a table that forage/weather does
// not read: with the temperature of the air by the hour, or beside the weights of
// hives. The day's lowest and highest are those of its readings, of which it
// takes six. Where there is but one a day, or fewer than six, it is taken for the
// day's mean, and lowest and highest are put about it by the month's mean swing in
// the climate usual, with a warning. It gives nil, and adds nothing to ps, when the
// table holds no such day; a temperature that says nothing of where it was taken is
// taken for that of the outside air, with a warning, or refused as a hive's when a
// month is far warmer than in that climate.
func ReadWeather(name string, r io.Reader, usual climate.Normals, ps *read.Problems) *weather.Record {
	var own read.Problems
	for _, g := range read.Read(name, r, limits(), &own) {
		for row := range min(headingRows, len(g.Rows)) {
			p, _ := understandRow(g, row)
			if p.date < 0 {
				continue
			}
			if rec := recordOf(g, &p, usual, ps); rec != nil {
				rec.Name = name
				return rec
			}
			break
		}
	}
	return nil
}

// airDay is what was read of the air on a day.
type airDay struct {
	low, high, rain float64
	mean            float64 // of the spots
	spots           int
	whole           bool // lowest and highest were given as such
}

func recordOf(g *read.Grid, p *plan, usual climate.Normals, ps *read.Problems) *weather.Record {
	columns := airColumns(g, p)
	days := airDays(g, p, columns)
	byDay := columns[airLow].kind == airNothing || columns[airHigh].kind == airNothing
	for _, d := range days {
		byDay = byDay && d.spots < fewestSpots
	}
	if byDay {
		for day, d := range days {
			half := (usual.TmaxMeanC[day.Month()-1] - usual.TminMeanC[day.Month()-1]) / 2
			d.low, d.high = d.mean-half, d.mean+half
		}
	}
	rec := recordOfDays(days, func(d *airDay) bool { return d.whole || d.spots >= fewestSpots || byDay && d.spots > 0 })
	if rec == nil {
		return nil
	}
	line, c := g.Rows[p.row].Line, columns[airSpot]
	if columns[airLow].kind != airNothing && columns[airHigh].kind != airNothing {
		c = columns[airHigh]
	}
	if month, meanC, usualC, found := inHive(days, usual); found {
		heading := g.Rows[p.row].Cells[c.at]
		w := read.Problem{Code: InHiveGuard, File: g.File, Line: line, Column: c.at + 1,
			Message: fmt.Sprintf("the column %q has %.0f C on average in %s, where the air of %s usually has %.0f C: it was taken inside the hive",
				heading, meanC, month.Format("January 2006"), usual.Place, usualC),
			Fix: "name a weather record of the place behind the weights; when it is the air, write outside in the heading"}
		if c.rank >= outsideRank {
			w.Level, w.Fix = read.Note, "check where it was taken"
		}
		ps.Report(w)
	}
	c = columns[airSpot]
	if byDay {
		ps.Warn(g.File, line, c.at+1, "the days' lowest and highest temperatures are not given and were put about the mean as usual in "+usual.Place,
			"give the lowest and highest where they are known")
	}
	if columns[airLow].kind == airNothing && c.rank == unsaidRank {
		ps.Warn(g.File, line, c.at+1, fmt.Sprintf("the column %q is taken for the temperature of the outside air", g.Rows[p.row].Cells[c.at]),
			"give a weather record when it was taken in the hive")
	}
	return rec
}

// airColumns picks the column of each kind that is named best.
func airColumns(g *read.Grid, p *plan) map[airKind]airColumn {
	best := map[airKind]airColumn{}
	for at, text := range g.Rows[p.row].Cells {
		if kind, us, rank := airOf(text); kind != airNothing && at != p.date && (best[kind].kind == airNothing || rank > best[kind].rank) {
			best[kind] = airColumn{at, kind, us, rank}
		}
	}
	return best
}

// value is the figure of a row in C or mm; NaN when there is none that can be.
func (c airColumn) value(cells []string) float64 {
	if c.kind == airNothing || c.at >= len(cells) {
		return math.NaN()
	}
	v, _, ok := read.Figure(cells[c.at])
	switch {
	case !ok:
		return math.NaN()
	case c.kind == airRain && c.us:
		v *= 25.4
	case c.us:
		v = (v - 32) / 1.8
	}
	if c.kind == airRain && (v < 0 || v > weather.MostPrecipMm) || c.kind != airRain && (v < weather.LowestC || v > weather.HighestC) {
		return math.NaN()
	}
	return v
}

// airDays gathers the readings of each day.
func airDays(g *read.Grid, p *plan, columns map[airKind]airColumn) map[time.Time]*airDay {
	days := map[time.Time]*airDay{}
	for i, s := range stampsOf(g, p) {
		if s.Day.IsZero() {
			continue
		}
		d := days[s.Day]
		if d == nil {
			d = &airDay{low: math.Inf(1), high: math.Inf(-1), rain: math.NaN()}
			days[s.Day] = d
		}
		cells := g.Rows[p.row+1+i].Cells
		low, high, spot := columns[airLow].value(cells), columns[airHigh].value(cells), columns[airSpot].value(cells)
		if !math.IsNaN(low) && !math.IsNaN(high) {
			d.low, d.high, d.whole = math.Min(d.low, low), math.Max(d.high, high), true
		} else if !math.IsNaN(spot) {
			d.low, d.high = math.Min(d.low, spot), math.Max(d.high, spot)
			d.spots++
			d.mean += (spot - d.mean) / float64(d.spots)
		}
		if rain := columns[airRain].value(cells); !math.IsNaN(rain) {
			if math.IsNaN(d.rain) || columns[airLow].kind != airNothing {
				d.rain = rain // of the day, beside its lowest and highest
			} else {
				d.rain += rain
			}
		}
	}
	return days
}

// mostDays is the longest record that is made, days: two centuries.
const mostDays = 200 * 366

// recordOfDays is the record from the first to the last known day; nil when there
// is none, or the days lie further apart than mostDays.
func recordOfDays(days map[time.Time]*airDay, known func(*airDay) bool) *weather.Record {
	var first, last time.Time
	for day, d := range days {
		if !known(d) {
			continue
		}
		if first.IsZero() || day.Before(first) {
			first = day
		}
		if day.After(last) {
			last = day
		}
	}
	n := weather.Span{First: first, Last: last}.Days()
	if first.IsZero() || n > mostDays {
		return nil
	}
	nan := math.NaN()
	rec := &weather.Record{Layout: "table of weights or hours", First: first, Station: weather.Station{LatDeg: nan, LonDeg: nan, ElevM: nan}}
	for i := range n {
		day := weather.Day{TminC: nan, TmaxC: nan, PrecipMm: nan}
		if d := days[first.AddDate(0, 0, i)]; d != nil {
			day.PrecipMm = d.rain
			if known(d) {
				day.TminC, day.TmaxC = d.low, d.high
			}
		}
		rec.Days = append(rec.Days, day)
	}
	return rec
}
