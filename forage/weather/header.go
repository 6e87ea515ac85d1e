package weather

import (
	"slices"
	"strings"

	"bloomgap/forage/read"
)

// unit of a column as its heading gives it.
type unit uint8

const (
	unitOpen   unit = iota // the heading does not say
	unitMetric             // C, mm
	unitUS                 // F, inches
	unitTenths             // tenths of C or mm
	unitCm                 // cm of water
)

// flagKind tells how a column of marks beside a value is written.
type flagKind uint8

const (
	flagNone      flagKind = iota
	flagLetter             // one letter: M missing, T trace, the rest kept (Environment Canada)
	flagTriple             // measurement, quality, source, separated by commas (NOAA)
	flagSeparates          // measurement mark in this column, quality mark in the next (NOAA, old order form)
)

// column is where an element stands in a row.
type column struct {
	at       int // index of the cell, -1 when there is none
	unit     unit
	flagAt   int
	flagKind flagKind
}

// heading is what the heading line of a table told.
type heading struct {
	layout              string
	sep                 byte
	cells               int
	date                int
	year, month, day    int
	element             [3]column
	place, name         int
	lat, lon, elev      int
	names               []string // headings as written, for messages
	openUnitsNeedAnswer bool     // NOAA's order form: C or F must be told from the figures
}

// Names of the layouts, as in Record.Layout.
const (
	layoutPlain  = "plain table"
	layoutDly    = "NOAA daily, fixed width"
	layoutAccess = "NOAA daily, one station per file"
	layoutByYear = "NOAA daily, long by year"
	layoutOrder  = "NOAA daily, order form"
	layoutCanada = "Environment Canada daily"
	layoutSwiss  = "MeteoSwiss daily"
	layoutDWD    = "Deutscher Wetterdienst daily climate"
)

// Layouts lists the layouts that Read knows, in plain words.
func Layouts() []string {
	return []string{
		layoutPlain + " with date, lowest and highest temperature (C or F) and rain (mm or inches)",
		layoutDly, layoutAccess, layoutByYear, layoutOrder, layoutCanada, layoutSwiss, layoutDWD,
	}
}

// elementNamed tells which element a heading names and in which unit; rank prefers
// one column over another for the same element.
func elementNamed(ws []string) (e Element, u unit, rank int, ok bool) {
	if len(ws) == 0 || read.AnyWord(ws, read.WordOther|read.WordMean|read.WordTmean) || inHive(ws) {
		return 0, 0, 0, false
	}
	if read.AnyWord(ws, read.WordRain|read.WordPrecip) {
		switch {
		case read.AnyWord(ws, read.WordMm):
			u = unitMetric
		case read.AnyWord(ws, read.WordCm):
			u = unitCm
		case read.AnyWord(ws, read.WordInch):
			u = unitUS
		}
		rank = 1
		if read.AnyWord(ws, read.WordPrecip) {
			rank = 2
		}
		return Precip, u, rank, true
	}
	switch {
	case read.AnyWord(ws, read.WordCelsius):
		u = unitMetric
	case read.AnyWord(ws, read.WordFahrenheit):
		u = unitUS
	}
	rank = 1
	if u == unitMetric {
		rank = 2 // a table with both C and F columns is read in C
	}
	hi, lo := read.AnyWord(ws, read.WordHigh), read.AnyWord(ws, read.WordLow)
	plain := read.AnyWord(ws, read.WordTemp) || read.AllWords(ws, read.WordFiller|read.WordHigh|read.WordLow)
	switch {
	case read.AnyWord(ws, read.WordTmax), hi && !lo && plain:
		return Tmax, u, rank, true
	case read.AnyWord(ws, read.WordTmin), lo && !hi && plain:
		return Tmin, u, rank, true
	}
	return 0, 0, 0, false
}

// inHive tells that a heading is not of the air outside. "in" alone may be an inch
// or a filler.
func inHive(ws []string) bool {
	return slices.ContainsFunc(ws, func(w string) bool { return w != "in" && read.MeaningOf(w)&read.WordInHive != 0 })
}

// headingOf reads a line as a heading; ok when it names a date and at least one
// of the two temperatures.
func headingOf(line []byte, sep byte) (h heading, ok bool) {
	for len(line) > 0 && (line[0] == '#' || line[0] == ' ') {
		line = line[1:]
	}
	cells := split(line, sep, nil)
	if len(cells) < 2 {
		return h, false
	}
	names := make([]string, len(cells))
	for i, cell := range cells {
		names[i] = text(cell)
	}
	h = columnsOf(names)
	h.sep = sep
	hasDate := h.date >= 0 || (h.year >= 0 && h.month >= 0 && h.day >= 0)
	if !hasDate || (h.element[Tmin].at < 0 && h.element[Tmax].at < 0) {
		return h, false
	}
	h.publisher()
	return h, true
}

// columnsOf tells what stands under each heading of a plain table.
func columnsOf(names []string) heading {
	h := heading{layout: layoutPlain, names: names, cells: len(names), date: -1, year: -1, month: -1, day: -1,
		place: -1, name: -1, lat: -1, lon: -1, elev: -1}
	for i := range h.element {
		h.element[i] = column{at: -1, flagAt: -1}
	}
	var ranks [3]int
	dateRank, placeRank := 0, 0
	for i, name := range names {
		ws := read.Words(name)
		if len(ws) == 0 {
			continue
		}
		if e, u, rank, found := elementNamed(ws); found {
			if rank > ranks[e] {
				ranks[e] = rank
				h.element[e].at, h.element[e].unit = i, u
			}
			continue
		}
		if read.AnyWord(ws, read.WordMark) {
			continue
		}
		rank := 0
		switch {
		case read.AnyWord(ws, read.WordDate):
			rank = 3
		case len(ws) == 1 && read.AnyWord(ws, read.WordMoment):
			rank = 2
		}
		if rank > dateRank {
			dateRank, h.date = rank, i
			continue
		}
		if rank := h.whereOf(ws, i); rank > placeRank {
			placeRank, h.place = rank, i
		}
	}
	if h.date < 0 && h.day >= 0 && (h.year < 0 || h.month < 0) {
		h.date = h.day
	}
	if h.place < 0 && h.name >= 0 {
		h.place = h.name
	}
	return h
}

// whereOf takes in a heading that tells of the place or of a part of the date;
// rank is how well it names the place, 0 when it does not.
func (h *heading) whereOf(ws []string, i int) (rank int) {
	one := len(ws) == 1
	switch {
	case read.AnyWord(ws, read.WordLat):
		h.lat = i
	case read.AnyWord(ws, read.WordLon):
		h.lon = i
	case read.AnyWord(ws, read.WordElev):
		h.elev = i
	case one && read.AnyWord(ws, read.WordYear):
		h.year = i
	case one && read.AnyWord(ws, read.WordMonth):
		h.month = i
	case one && read.AnyWord(ws, read.WordDay):
		h.day = i
	case ws[len(ws)-1] == "name":
		h.name = i
	case read.AnyWord(ws, read.WordPlace):
		return 2
	case strings.Join(ws, " ") == "climate id":
		return 3
	}
	return 0
}

// publisher knows the tables of weather services by their headings, and with them
// the units and the marks beside the figures.
func (h *heading) publisher() {
	at := func(name string) int {
		return slices.IndexFunc(h.names, func(n string) bool { return strings.EqualFold(n, name) })
	}
	has := func(name string) bool { return at(name) >= 0 }
	exactly := func(name string) bool { return slices.Contains(h.names, name) }
	switch {
	case has("mess_datum") && (has("tnk") || has("txk")):
		h.setUnits(layoutDWD, unitMetric)
	case has("tre200dn") || has("tre200dx"):
		h.setUnits(layoutSwiss, unitMetric)
	case has("date/time") || has("date/heure"):
		h.setUnits(layoutCanada, unitMetric)
		for e := range h.element {
			c := &h.element[e]
			if c.at >= 0 && c.at+1 < h.cells && read.AnyWord(read.Words(h.names[c.at+1]), read.WordMark) {
				c.flagAt, c.flagKind = c.at+1, flagLetter
			}
		}
	case exactly("STATION") && exactly("DATE") && (exactly("TMAX") || exactly("TMIN")):
		h.layout = layoutOrder
		h.openUnitsNeedAnswer = true
		for e, code := range [...]string{Tmin: "TMIN", Tmax: "TMAX", Precip: "PRCP"} {
			c := &h.element[e]
			if c.at < 0 {
				continue
			}
			if i := at(code + "_ATTRIBUTES"); i >= 0 {
				c.flagAt, c.flagKind = i, flagTriple
			} else if c.at+2 < h.cells && strings.EqualFold(h.names[c.at+1], "Measurement Flag") {
				c.flagAt, c.flagKind = c.at+1, flagSeparates
			}
		}
		// The station-per-file form has the date as its second column and always
		// carries the attributes; it is in tenths.
		if at("date") == 1 && (has("tmax_attributes") || has("tmin_attributes")) && !has("measurement flag") && at("station") == 0 {
			h.layout = layoutAccess
		}
	}
}

func (h *heading) setUnits(layout string, u unit) {
	h.layout = layout
	for e := range h.element {
		h.element[e].unit = u
	}
}
