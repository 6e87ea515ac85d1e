package scales

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
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
	ws := wordsOf(heading)
	has := func(parts ...string) bool { // German headings join their words
		return slices.ContainsFunc(ws, func(w string) bool {
			return slices.ContainsFunc(parts, func(p string) bool { return strings.Contains(w, p) })
		})
	}
	us = some(ws, usWords)
	rank = 2
	if some(ws, outsideWords) || has("luft", "aussen", "außen", "outside", "outdoor") {
		rank = 4
	}
	switch {
	case (some(ws, inHiveWords) || has("innen", "brut")) && rank == 2, some(ws, weightWords), some(ws, notAirWords):
		return airNothing, false, 0
	case some(ws, rainWords):
		return airRain, slices.Contains(ws, "in") || slices.Contains(ws, "inch"), rank
	case !some(ws, tempWords) && !has("temp"):
		return airNothing, false, 0
	case some(ws, highWords) && !some(ws, lowWords):
		return airHigh, us, rank
	case some(ws, lowWords) && !some(ws, highWords):
		return airLow, us, rank
	case some(ws, meanWords):
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
// taken for that of the outside air, with a warning.
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

func recordOf(g *read.Grid, p *plan, usual climate.Normals, ps *read.Problems) *weather.Record {
	best := map[airKind]airColumn{}
	for at, text := range g.Rows[p.row].Cells {
		if kind, us, rank := airOf(text); kind != airNothing && at != p.date && (best[kind].kind == airNothing || rank > best[kind].rank) {
			best[kind] = airColumn{at, kind, us, rank}
		}
	}
	type sums struct {
		low, high, rain float64
		mean            float64 // of the spots
		spots           int
		whole           bool // lowest and highest were given as such
	}
	days := map[time.Time]*sums{}
	stamps := stampsOf(g, p)
	var first, last time.Time
	value := func(c airColumn, cells []string) float64 {
		if c.kind == airNothing || c.at >= len(cells) || isMissing(cells[c.at]) {
			return math.NaN()
		}
		v, err := strconv.ParseFloat(strings.Replace(cells[c.at], ",", ".", 1), 64)
		switch {
		case err != nil:
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
	for i, s := range stamps {
		if s.day.IsZero() {
			continue
		}
		d := days[s.day]
		if d == nil {
			d = &sums{low: math.Inf(1), high: math.Inf(-1), rain: math.NaN()}
			days[s.day] = d
		}
		cells := g.Rows[p.row+1+i].Cells
		low, high, spot := value(best[airLow], cells), value(best[airHigh], cells), value(best[airSpot], cells)
		if !math.IsNaN(low) && !math.IsNaN(high) {
			d.low, d.high, d.whole = math.Min(d.low, low), math.Max(d.high, high), true
		} else if !math.IsNaN(spot) {
			d.low, d.high = math.Min(d.low, spot), math.Max(d.high, spot)
			d.spots++
			d.mean += (spot - d.mean) / float64(d.spots)
		}
		if rain := value(best[airRain], cells); !math.IsNaN(rain) {
			if math.IsNaN(d.rain) || best[airLow].kind != airNothing {
				d.rain = rain // of the day, beside its lowest and highest
			} else {
				d.rain += rain
			}
		}
	}
	byDay := best[airLow].kind == airNothing || best[airHigh].kind == airNothing
	for _, d := range days {
		byDay = byDay && d.spots < fewestSpots
	}
	known := func(d *sums) bool { return d.whole || d.spots >= fewestSpots || byDay && d.spots > 0 }
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
		if byDay {
			half := (usual.TmaxMeanC[day.Month()-1] - usual.TminMeanC[day.Month()-1]) / 2
			d.low, d.high = d.mean-half, d.mean+half
		}
	}
	if first.IsZero() {
		return nil
	}
	const mostDays = 200 * 366 // days
	n := weather.Span{First: first, Last: last}.Days()
	if n > mostDays {
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
	if byDay {
		ps.Warn(g.File, g.Rows[p.row].Line, best[airSpot].at+1, "the days' lowest and highest temperatures are not given and were put about the mean as usual in "+usual.Place,
			"give the lowest and highest where they are known")
	}
	if c := best[airSpot]; best[airLow].kind == airNothing && c.rank == 2 {
		ps.Warn(g.File, g.Rows[p.row].Line, c.at+1, fmt.Sprintf("the column %q is taken for the temperature of the outside air", g.Rows[p.row].Cells[c.at]),
			"give a weather record when it was taken in the hive")
	}
	return rec
}
