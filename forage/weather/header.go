package weather

import "strings"

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
	flagTriple             // measurement, quality, source parted by commas (NOAA)
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

// words cuts a heading into lower-case words. Bytes outside ASCII are dropped,
// since the degree sign comes broken in several services' files.
func words(cell []byte) []string {
	var out []string
	var word []byte
	var prev byte
	flush := func() {
		if len(word) > 0 {
			out = append(out, string(word))
			word = word[:0]
		}
	}
	for _, c := range cell {
		switch {
		case c >= 0x80:
			continue
		case c >= 'A' && c <= 'Z':
			if prev >= 'a' && prev <= 'z' {
				flush()
			}
			word = append(word, c-'A'+'a')
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
			word = append(word, c)
		default:
			flush()
		}
		prev = c
	}
	flush()
	return out
}

func set(list string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(list) {
		m[w] = true
	}
	return m
}

// vocabulary is what words in a heading mean.
type vocabulary struct {
	celsius, fahrenheit, mm, inch, cm   map[string]bool
	highest, lowest, wholeMax, wholeMin map[string]bool
	filler, other, rain, precip         map[string]bool
	date, year, month, day              map[string]bool
	place, flag, lat, lon, elev         map[string]bool
}

func newVocabulary() vocabulary {
	return vocabulary{
		celsius:    set("c 0c degc celsius centigrade"),
		fahrenheit: set("f 0f degf fahrenheit"),
		mm:         set("mm millimeter millimeters millimetre millimetres"),
		inch:       set("in inch inches"),
		cm:         set("cm"),
		highest:    set("max maximum maxi maximal maximale high highest hi"),
		lowest:     set("min minimum mini minimal minimale low lowest lo"),
		wholeMax:   set("tmax tx txk tmx tempmax maxtemp maxt tre200dx"),
		wholeMin:   set("tmin tn tnk tmn tempmin mintemp mint tre200dn"),
		filler:     set("daily day deg degree degrees the of air c 0c degc celsius centigrade f 0f degf fahrenheit in"),
		other: set(`flag flags attributes qc quality source count time soil ground grass dew dewpoint apparent
			feels feelslike heat windchill chill wet bulb humidity rh gust wind speed spd dir pressure normal record
			mean avg average departure hours probability prob chance snow snowfall sun sunshine radiation water sea
			depth type normals anomaly indicateur`),
		rain:   set("rain rainfall regen pluie"),
		precip: set("prcp pcp pcpn prec rr rsk prcip niederschlag rre150d0 ppt"),
		date:   set("date dates datum datetime timestamp dato fecha"),
		year:   set("year yr yyyy jahr anne annee"),
		month:  set("month mo mm monat mois"),
		day:    set("day dd tag jour"),
		place:  set("location station stations stn site place city town"),
		flag:   set("flag flags quality attributes indicateur"),
		lat:    set("latitude lat"),
		lon:    set("longitude lon long lng"),
		elev:   set("elevation elev altitude alt"),
	}
}

func anyOf(ws []string, m map[string]bool) bool {
	for _, w := range ws {
		if m[w] {
			return true
		}
	}
	return false
}

// element tells which element a heading names and in which unit; rank prefers
// one column over another for the same element.
func (v *vocabulary) element(ws []string) (e Element, u unit, rank int, ok bool) {
	if len(ws) == 0 || anyOf(ws, v.other) {
		return 0, 0, 0, false
	}
	temp, onlyFiller, rain, precip := false, true, false, false
	for _, w := range ws {
		if strings.HasPrefix(w, "temp") || w == "t" || w == "tmp" {
			temp = true
		}
		if strings.HasPrefix(w, "precip") || v.precip[w] {
			precip = true
		}
		rain = rain || v.rain[w]
		if !v.filler[w] && !v.highest[w] && !v.lowest[w] {
			onlyFiller = false
		}
	}
	if rain || precip {
		switch {
		case anyOf(ws, v.mm):
			u = unitMetric
		case anyOf(ws, v.cm):
			u = unitCm
		case anyOf(ws, v.inch):
			u = unitUS
		}
		rank = 1
		if precip {
			rank = 2
		}
		return Precip, u, rank, true
	}
	switch {
	case anyOf(ws, v.celsius):
		u = unitMetric
	case anyOf(ws, v.fahrenheit):
		u = unitUS
	}
	rank = 1
	if u == unitMetric {
		rank = 2 // a table with both C and F columns is read in C
	}
	hi, lo := anyOf(ws, v.highest), anyOf(ws, v.lowest)
	switch {
	case anyOf(ws, v.wholeMax), hi && !lo && (temp || onlyFiller):
		return Tmax, u, rank, true
	case anyOf(ws, v.wholeMin), lo && !hi && (temp || onlyFiller):
		return Tmin, u, rank, true
	}
	return 0, 0, 0, false
}

// headingOf reads a line as a heading; ok when it names a date and at least one
// of the two temperatures.
func (v *vocabulary) headingOf(line []byte, sep byte) (h heading, ok bool) {
	for len(line) > 0 && (line[0] == '#' || line[0] == ' ') {
		line = line[1:]
	}
	cells := split(line, sep, nil)
	if len(cells) < 2 {
		return h, false
	}
	h = heading{layout: layoutPlain, sep: sep, cells: len(cells), date: -1, year: -1, month: -1, day: -1,
		place: -1, name: -1, lat: -1, lon: -1, elev: -1}
	for i := range h.element {
		h.element[i] = column{at: -1, flagAt: -1}
	}
	raw := map[string]int{}
	var ranks [3]int
	dateRank, placeRank := 0, 0
	for i, cell := range cells {
		h.names = append(h.names, text(cell))
		name := strings.ToLower(string(cell))
		if _, seen := raw[name]; !seen {
			raw[name] = i
		}
		ws := words(cell)
		if len(ws) == 0 {
			continue
		}
		if e, u, rank, found := v.element(ws); found {
			if rank > ranks[e] {
				ranks[e] = rank
				h.element[e].at, h.element[e].unit = i, u
			}
			continue
		}
		if anyOf(ws, v.flag) {
			continue
		}
		rank := 0
		switch {
		case anyOf(ws, v.date):
			rank = 3
		case len(ws) == 1 && ws[0] == "time":
			rank = 2
		}
		if rank > dateRank {
			dateRank, h.date = rank, i
			continue
		}
		placeIs := 0
		switch {
		case anyOf(ws, v.lat):
			h.lat = i
		case anyOf(ws, v.lon):
			h.lon = i
		case anyOf(ws, v.elev):
			h.elev = i
		case len(ws) == 1 && v.year[ws[0]]:
			h.year = i
		case len(ws) == 1 && v.month[ws[0]]:
			h.month = i
		case len(ws) == 1 && v.day[ws[0]]:
			h.day = i
		case ws[len(ws)-1] == "name":
			h.name = i
		case anyOf(ws, v.place):
			placeIs = 2
		case strings.Join(ws, " ") == "climate id":
			placeIs = 3
		}
		if placeIs > placeRank {
			placeRank, h.place = placeIs, i
		}
	}
	if h.date < 0 && h.day >= 0 && (h.year < 0 || h.month < 0) {
		h.date = h.day
	}
	if h.place < 0 && h.name >= 0 {
		h.place = h.name
	}
	hasDate := h.date >= 0 || (h.year >= 0 && h.month >= 0 && h.day >= 0)
	if !hasDate || (h.element[Tmin].at < 0 && h.element[Tmax].at < 0) {
		return h, false
	}
	has := func(name string) bool { _, found := raw[name]; return found }
	upper := func(name string) bool {
		i, found := raw[strings.ToLower(name)]
		return found && string(cells[i]) == name
	}
	switch {
	case has("mess_datum") && (has("tnk") || has("txk")):
		h.setUnits(layoutDWD, unitMetric)
	case has("tre200dn") || has("tre200dx"):
		h.setUnits(layoutSwiss, unitMetric)
	case has("date/time") || has("date/heure"):
		h.setUnits(layoutCanada, unitMetric)
		for e := range h.element {
			c := &h.element[e]
			if c.at >= 0 && c.at+1 < len(cells) && anyOf(words(cells[c.at+1]), v.flag) {
				c.flagAt, c.flagKind = c.at+1, flagLetter
			}
		}
	case upper("STATION") && upper("DATE") && (upper("TMAX") || upper("TMIN")):
		h.layout = layoutOrder
		h.openUnitsNeedAnswer = true
		for e, code := range [...]string{Tmin: "TMIN", Tmax: "TMAX", Precip: "PRCP"} {
			c := &h.element[e]
			if c.at < 0 {
				continue
			}
			if i, found := raw[strings.ToLower(code+"_ATTRIBUTES")]; found {
				c.flagAt, c.flagKind = i, flagTriple
			} else if c.at+2 < len(cells) && strings.EqualFold(string(cells[c.at+1]), "Measurement Flag") {
				c.flagAt, c.flagKind = c.at+1, flagSeparates
			}
		}
		// The station-per-file form has the date as its second column and always
		// carries the attributes; it is in tenths.
		if raw["date"] == 1 && (has("tmax_attributes") || has("tmin_attributes")) && !has("measurement flag") && raw["station"] == 0 {
			h.layout = layoutAccess
		}
	}
	return h, true
}

func (h *heading) setUnits(layout string, u unit) {
	h.layout = layout
	for e := range h.element {
		h.element[e].unit = u
	}
}
