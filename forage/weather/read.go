package weather

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"bloomgap/forage/read"
)

const (
	maxFileBytes   = 64 << 20 // bytes; a station's whole history is under 10 MB in every layout
	maxLineBytes   = 16 << 10 // bytes; the longest line of every layout is under 1 kB
	maxListed      = 10       // problems of one kind that are listed one by one
	headingWithin  = 80       // lines; the longest preamble known (Environment Canada) has 25
	badCellsShare  = 0.2      // share of the cells above which unreadable cells are no slips of the pen
	fewestForUnits = 20       // values needed before figures may tell their own unit
)

// ReadFiles reads the files as one record with DefaultOptions; see
// Options.ReadFiles.
func ReadFiles(paths []string) (*Record, read.Problems) {
	return DefaultOptions().ReadFiles(paths)
}

// one reads the daily record that a file holds; name is what it is called in
// messages. The layout is known by its content (Layouts lists them). Where a date
// comes twice the later line counts, value by value: a blank never wipes out a
// figure. Values are made missing as Removed tells. The record is nil when there is
// an error.
func (o Options) one(name string, data []byte) (*Record, read.Problems) {
	in := reader{file: name, opt: o}
	if err := o.Validate(); err != nil {
		in.ps.Add(name, 0, 0, err.Error(), "correct the options")
		return nil, in.ps
	}
	in.read(data)
	if len(in.ps.Errors()) > 0 {
		return nil, in.ps
	}
	rec := in.record()
	if len(in.ps.Errors()) > 0 {
		return nil, in.ps
	}
	return rec, in.ps
}

// ReadFiles reads files as one record, such as one file a year. Where they
// overlap the one named later wins, value by value; of Deutscher Wetterdienst's
// two files the one that ends later (the 'recent' one) wins. A warning tells of
// each overlap. The record is nil when there is an error in any file; a question
// (read.Ask) leaves it usable once it is confirmed.
func (o Options) ReadFiles(paths []string) (*Record, read.Problems) {
	var ps read.Problems
	var parts []part
	if len(paths) == 0 {
		ps.Report(read.Problem{Code: NoDays, File: "weather", Message: "no file was named", Fix: "name at least one daily weather file"})
	}
	for _, path := range paths {
		var data []byte
		var ok bool
		if path == "-" && o.Stdin != nil {
			path = "standard input"
			data, ok = read.All(path, o.Stdin, 0, maxFileBytes, &ps)
		} else {
			data, ok = read.File(path, path, maxFileBytes, &ps)
		}
		if !ok {
			continue
		}
		rec, found := o.one(path, data)
		ps = append(ps, found...)
		if rec != nil {
			parts = append(parts, part{path, rec})
		}
	}
	if len(ps.Errors()) > 0 {
		return nil, ps
	}
	rec := merge(parts, &ps)
	weigh(rec, strings.Join(paths, " + "), &ps)
	if len(ps.Errors()) > 0 {
		return nil, ps
	}
	return rec, ps.Confirm(o.Confirmed)
}

// part is one file of several that make a record.
type part struct {
	file string
	rec  *Record
}

func merge(parts []part, ps *read.Problems) *Record {
	if len(parts) == 1 {
		return parts[0].rec
	}
	why := "the file named later wins"
	if !slices.ContainsFunc(parts, func(p part) bool { return p.rec.Layout != layoutDWD }) {
		why = "the file that ends later, the recent one, wins"
		slices.SortStableFunc(parts, func(a, b part) int { return a.rec.Last().Compare(b.rec.Last()) })
	}
	out := emptyFor(parts)
	from := make([]int, len(out.Days)) // part that gave a day, plus one
	for k, p := range parts {
		if id := p.rec.Station.ID; id != "" && out.Station.ID != "" && id != out.Station.ID {
			ps.Report(read.Problem{Code: TwoStations, Level: read.Note, File: p.file,
				Message: fmt.Sprintf("is of station %s and %s of station %s; they are read as one record", id, parts[0].file, out.Station.ID),
				Fix:     "name only files of one place, or make sure that the stations follow one another at the same place"})
		}
		if p.rec.Layout != out.Layout && !strings.Contains(out.Layout, p.rec.Layout) {
			out.Layout += ", " + p.rec.Layout
		}
		shared, differ := out.lay(p.rec, k, from)
		for prev, n := range shared {
			if n > 0 {
				ps.Report(read.Problem{Code: FilesOverlap, Level: read.Note, File: p.file,
					Message: fmt.Sprintf(
						"%s also in %s, %d of them with other figures; %s",
						count(n, "day is", "days are"),
						parts[prev-1].file,
						differ[prev],
						why,
					)})
			}
		}
		out.Removed = append(out.Removed, p.rec.Removed...)
		out.Duplicates = append(out.Duplicates, p.rec.Duplicates...)
	}
	removed := len(out.Removed)
	out.uncross()
	if n := len(out.Removed) - removed; n > 0 {
		ps.Report(read.Problem{Code: LowAboveHigh, Level: read.Note, File: parts[0].file,
			Message: fmt.Sprintf("%s the lowest temperature of one file above the highest of another; made missing", count(n/2, "day has", "days have"))})
	}
	return out
}

// emptyFor is a record without values over the days of all parts.
func emptyFor(parts []part) *Record {
	first, last := parts[0].rec.First, parts[0].rec.Last()
	for _, p := range parts[1:] {
		if p.rec.First.Before(first) {
			first = p.rec.First
		}
		if p.rec.Last().After(last) {
			last = p.rec.Last()
		}
	}
	out := &Record{Name: parts[0].rec.Name, Layout: parts[0].rec.Layout, Station: parts[0].rec.Station, First: first}
	out.Days = make([]Day, Span{first, last}.Days())
	for i := range out.Days {
		out.Days[i] = unknownDay()
	}
	return out
}

// lay lays the days of the k-th part over the record. from tells which part, plus
// one, gave each day so far. shared and differ count, for each such part, the days
// that both know and those on which they differ.
func (r *Record) lay(rec *Record, k int, from []int) (shared, differ []int) {
	shared, differ = make([]int, k+1), make([]int, k+1)
	offset := r.Index(rec.First)
	for i, d := range rec.Days {
		at := &r.Days[offset+i]
		prev := from[offset+i]
		if prev > 0 && at.known() && d.known() {
			shared[prev]++
			if conflict(at.TminC, d.TminC) || conflict(at.TmaxC, d.TmaxC) || conflict(at.PrecipMm, d.PrecipMm) {
				differ[prev]++
			}
		}
		overlay(&at.TminC, d.TminC)
		overlay(&at.TmaxC, d.TmaxC)
		overlay(&at.PrecipMm, d.PrecipMm)
		if prev == 0 || d.known() {
			from[offset+i] = k + 1
		}
	}
	return shared, differ
}

func unknownDay() Day { return Day{TminC: math.NaN(), TmaxC: math.NaN(), PrecipMm: math.NaN()} }

// known tells whether the day has any value.
func (d Day) known() bool {
	return !math.IsNaN(d.TminC) || !math.IsNaN(d.TmaxC) || !math.IsNaN(d.PrecipMm)
}

func conflict(a, b float64) bool { return !math.IsNaN(a) && !math.IsNaN(b) && a != b }

func overlay(dst *float64, v float64) {
	if !math.IsNaN(v) {
		*dst = v
	}
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// observation is one value as the file gives it, before its unit is settled.
type observation struct {
	value   float64
	day     int32 // since 1970
	line    int32
	cell    int16
	element Element
	flagged bool
}

// reader holds what is gathered from one file.
type reader struct {
	file    string
	opt     Options
	ps      read.Problems
	layout  string
	station Station
	units   [3]unit
	ask     bool // the units must be told from the figures
	names   [3]string
	seen    []observation
	whole   [3]bool // no value of the element had decimals
	rows    int
	badDate int
	badCell int
}

func (in *reader) read(data []byte) {
	switch {
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		in.problem(read.FileNotText, read.Error, 0, 0, "is a spreadsheet or a zip archive", "save the sheet as CSV, or unpack the archive, and name that file")
		return
	case bytes.HasPrefix(data, []byte("\x1f\x8b")):
		in.problem(read.FileNotText, read.Error, 0, 0, "is packed (gzip)", "unpack it and name the unpacked file")
		return
	}
	data = plainText(data)
	if i := bytes.IndexByte(data, 0); i >= 0 {
		in.problem(
			read.FileNotText,
			read.Error,
			0,
			0,
			fmt.Sprintf("is not a text file (byte %d is zero)", i+1),
			"name a daily weather file that is plain text or CSV",
		)
		return
	}
	if line := longLine(data); line > 0 {
		in.problem(
			read.FileTooLarge,
			read.Error,
			line,
			0,
			fmt.Sprintf("the line has more than %d kB", maxLineBytes>>10),
			"check that this is a daily weather file, one line a day",
		)
		return
	}
	if len(bytes.TrimSpace(data)) == 0 {
		in.problem(read.FileEmpty, read.Error, 0, 0, "is empty", "name a daily weather file with at least a year of days")
		return
	}
	in.whole = [3]bool{true, true, true}
	in.station = Station{LatDeg: math.NaN(), LonDeg: math.NaN(), ElevM: math.NaN()}

	var first []byte
	for l := (lines{rest: data}); ; {
		line, ok := l.next()
		if !ok {
			break
		}
		if len(trim(line)) > 0 {
			first = line
			break
		}
	}
	switch {
	case isDly(first):
		in.readDly(data)
	case isByYear(first):
		in.readByYear(data)
	default:
		h, after, ok := in.findHeading(data)
		if !ok {
			in.unknown(first)
			return
		}
		in.readTable(h, after)
	}
}

// problem adds a problem with the file.
func (in *reader) problem(code read.Code, level read.Level, line, column int, message, fix string) {
	in.ps.Report(read.Problem{Code: code, Level: level, File: in.file, Line: line, Column: column, Message: message, Fix: fix})
}

// longLine is the first line of more than maxLineBytes; 0 when there is none.
func longLine(data []byte) int {
	for l := (lines{rest: data}); ; {
		line, ok := l.next()
		if !ok {
			return 0
		}
		if len(line) > maxLineBytes {
			return l.no
		}
	}
}

func (in *reader) unknown(first []byte) {
	seen := text(first)
	if r := []rune(seen); len(r) > 80 {
		seen = string(r[:80]) + "..."
	}
	in.problem(LayoutUnknown, read.Error, 1, 0, fmt.Sprintf("layout not known; its first line is %q", seen),
		"give a heading line such as date,tmin_c,tmax_c,precip_mm, or use one of the layouts read: "+strings.Join(Layouts(), "; "))
}

// findHeading looks for the heading line; what stands before it is a preamble.
func (in *reader) findHeading(data []byte) (heading, lines, bool) {
	l := lines{rest: data}
	for l.no < headingWithin {
		line, ok := l.next()
		if !ok {
			break
		}
		var best heading
		found := false
		for _, sep := range []byte("\t;,|") {
			if bytes.IndexByte(line, sep) < 0 {
				continue
			}
			if h, ok := headingOf(line, sep); ok && (!found || h.cells > best.cells) {
				best, found = h, true
			}
		}
		if found {
			return best, l, true
		}
		in.preamble(line)
	}
	return heading{}, l, false
}

// preamble takes the station's particulars off a "name","value" line.
func (in *reader) preamble(line []byte) {
	cells := split(line, ',', nil)
	for len(cells) > 2 && len(cells[len(cells)-1]) == 0 { // a spreadsheet fills up with commas
		cells = cells[:len(cells)-1]
	}
	if len(cells) != 2 {
		return
	}
	value, _, _ := number(cells[1])
	switch strings.Join(read.Words(text(cells[0])), " ") {
	case "station name":
		in.station.Name = text(cells[1])
	case "climate identifier":
		in.station.ID = text(cells[1])
	case "latitude":
		in.station.LatDeg = value
	case "longitude":
		in.station.LonDeg = value
	case "elevation":
		in.station.ElevM = value
	}
}

// source is the cell that a value comes from.
type source struct {
	line int32
	cell int16
}

// calendar is what was gathered, by day.
type calendar struct {
	lo        int32 // day number of the first day
	raw       [3][]float64
	at        [3][]source
	flagged   []observation   // values that the service itself marked as doubtful
	duplicate map[int32]int32 // day -> line that came later
	differing int             // values of them that are not the same
}

// days is the number of days.
func (c *calendar) days() int { return len(c.raw[0]) }

// record makes the record of what was gathered; nil when it cannot.
func (in *reader) record() *Record {
	switch {
	case len(in.seen) == 0 && in.rows == 0:
		in.problem(NoDays, read.Error, 0, 0, "has a heading but no day under it", "name a file with daily values")
		return nil
	case len(in.seen) == 0:
		in.problem(NoDays, read.Error, 0, 0, "has no row with a date that can be read", "write dates as yyyy-mm-dd")
		return nil
	}
	c := calendarOf(in.seen)
	rec := &Record{Name: in.name(), Layout: in.layout, Station: in.station, First: read.DayOf(c.lo), Days: make([]Day, c.days())}
	if !in.duplicates(rec, c) {
		return nil
	}
	scale := in.settleUnits(c.raw)
	if len(in.ps.Errors()) > 0 {
		return nil
	}
	for _, ob := range c.flagged {
		rec.Removed = append(rec.Removed, Removed{Date: rec.Date(int(ob.day - c.lo)), Element: ob.element,
			Value: scale[ob.element].apply(ob.value), Reason: Flagged, File: in.file, Line: int(ob.line)})
	}
	in.report(rec.Removed, int(firstLine(c.flagged)), 0)
	temps := in.values(rec, c, scale)
	if crossed, ok := in.crossed(rec, c, temps); !ok {
		return nil
	} else if temps <= crossed {
		in.problem(NoDays, read.Error, 0, 0, "no day has both a lowest and a highest temperature", "name a file with daily lowest and highest temperatures")
		return nil
	}
	return rec
}

// name is what the record is called: after its station, else after its file.
func (in *reader) name() string {
	base := filepath.Base(in.file)
	return cmp.Or(in.station.Name, in.station.ID, strings.TrimSuffix(base, filepath.Ext(base)))
}

// calendarOf puts observations in their places: the later line of a day counts,
// but a blank never wipes out a figure.
func calendarOf(seen []observation) *calendar {
	lo, hi := seen[0].day, seen[0].day
	for i := range seen {
		lo, hi = min(lo, seen[i].day), max(hi, seen[i].day)
	}
	c := &calendar{lo: lo, duplicate: map[int32]int32{}}
	n := int(hi-lo) + 1
	for e := range c.raw {
		c.raw[e] = make([]float64, n)
		c.at[e] = make([]source, n)
		for i := range c.raw[e] {
			c.raw[e][i] = math.NaN()
		}
	}
	for i := range seen {
		ob := seen[i]
		k := ob.day - lo
		if ob.flagged {
			c.flagged = append(c.flagged, ob)
			ob.value = math.NaN()
		}
		if was := c.at[ob.element][k]; was.line != 0 && was.line != ob.line {
			if _, again := c.duplicate[ob.day]; !again {
				c.duplicate[ob.day] = ob.line
			}
			if conflict(c.raw[ob.element][k], ob.value) {
				c.differing++
			}
		}
		if c.at[ob.element][k].line == 0 || !math.IsNaN(ob.value) {
			c.raw[ob.element][k] = ob.value
			c.at[ob.element][k] = source{ob.line, ob.cell}
		}
	}
	return c
}

// duplicates keeps the dates that come more than once; false when they are too
// many for a daily record.
func (in *reader) duplicates(rec *Record, c *calendar) bool {
	if len(c.duplicate) == 0 {
		return true
	}
	for day := range c.duplicate {
		rec.Duplicates = append(rec.Duplicates, read.DayOf(day))
	}
	slices.SortFunc(rec.Duplicates, time.Time.Compare)
	first := rec.Duplicates[0]
	line := int(c.duplicate[c.lo+int32(rec.Index(first))])
	if n := len(c.duplicate); n*2 > c.days() && n > 1 {
		in.problem(
			DatesTwice,
			read.Error,
			line,
			0,
			fmt.Sprintf("%d of %d dates come more than once", n, c.days()),
			"give one row a day; hourly records are not read",
		)
		return false
	}
	what := fmt.Sprintf("%s more than once, the first is %s", count(len(c.duplicate), "date comes", "dates come"), first.Format(time.DateOnly))
	if c.differing == 0 {
		in.problem(DatesTwice, read.Note, line, 0, what+", with the same figures", "delete the second rows; they change nothing")
		return true
	}
	in.problem(DatesTwice, read.Note, line, 0, what+fmt.Sprintf("; %s other figures, the later line counts", count(c.differing, "value has", "values have")),
		"delete the rows that are wrong")
	return true
}

// values fills in the days of a record without the values that cannot be, and
// counts the days with both temperatures.
func (in *reader) values(rec *Record, c *calendar, scale [3]linear) (temps int) {
	var wild []Removed
	var wildAt source
	for i := range rec.Days {
		var v [3]float64
		for e := range v {
			v[e] = scale[e].apply(c.raw[e][i])
			if impossible(Element(e), v[e]) {
				if len(wild) == 0 {
					wildAt = c.at[e][i]
				}
				wild = append(wild, Removed{rec.Date(i), Element(e), v[e], Impossible, in.file, int(c.at[e][i].line)})
				v[e] = math.NaN()
			}
		}
		rec.Days[i] = Day{TminC: v[Tmin], TmaxC: v[Tmax], PrecipMm: v[Precip]}
		if rec.Days[i].HasTemp() {
			temps++
		}
	}
	in.report(wild, int(wildAt.line), int(wildAt.cell)+1)
	rec.Removed = append(rec.Removed, wild...)
	return temps
}

// crossed takes out the temperatures of days whose lowest is above the highest
// and counts the days; false when they are so many that the columns are
// exchanged.
func (in *reader) crossed(rec *Record, c *calendar, temps int) (days int, ok bool) {
	before := len(rec.Removed)
	rec.uncross()
	crossed := rec.Removed[before:]
	for i := range crossed {
		k := rec.Index(crossed[i].Date)
		crossed[i].File, crossed[i].Line = in.file, int(c.at[crossed[i].Element][k].line)
	}
	switch days = len(crossed) / 2; {
	case days == 0:
	case days*2 > temps:
		in.problem(LowAboveHigh, read.Error, crossed[0].Line, 0, fmt.Sprintf("the lowest temperature is above the highest on %d of %d days", days, temps),
			"the two columns look exchanged: correct the heading")
		return days, false
	case days >= crossedDays && float64(days) > crossedShare*float64(temps):
		in.problem(
			CrossedGuard,
			read.Ask,
			crossed[0].Line,
			0,
			fmt.Sprintf("the lowest temperature is above the highest on %d of %d days, the first is %s", days, temps,
				crossed[0].Date.Format(time.DateOnly)),
			"check the signs and the columns; these days are left out",
		)
	default:
		in.problem(
			LowAboveHigh,
			read.Note,
			crossed[0].Line,
			0,
			fmt.Sprintf("the lowest temperature is above the highest on %s, the first is %s; both made missing",
				count(days, "day", "days"), crossed[0].Date.Format(time.DateOnly)),
			"correct the figures if you know them",
		)
	}
	return days, true
}

func firstLine(obs []observation) int32 {
	if len(obs) == 0 {
		return 0
	}
	return obs[0].line
}

// report warns of values that were made missing for one reason.
func (in *reader) report(gone []Removed, line, cell int) {
	if len(gone) == 0 {
		return
	}
	g := gone[0]
	what := fmt.Sprintf("%s made missing (%s), the first is the %s of %s, %.1f %s",
		count(len(gone), "value was", "values were"), g.Reason, g.Element, g.Date.Format(time.DateOnly), g.Value, elementUnit(g.Element))
	fix := ""
	if g.Reason == Impossible {
		fix = fmt.Sprintf(
			"temperatures from %.0f to %.0f C and precipitation from 0 to %.0f mm a day are taken; correct the figure if you know it",
			LowestC,
			HighestC,
			MostPrecipMm,
		)
	}
	in.problem(ValuesRemoved, read.Note, line, cell, what, fix)
}

func elementUnit(e Element) string {
	if e == Precip {
		return "mm"
	}
	return "C"
}

func impossible(e Element, v float64) bool {
	if e == Precip {
		return v < 0 || v > MostPrecipMm
	}
	return v < LowestC || v > HighestC
}

// uncross makes both temperatures of a day missing where the lowest is above the
// highest.
func (r *Record) uncross() {
	for i := range r.Days {
		d := &r.Days[i]
		if d.TminC > d.TmaxC {
			r.Removed = append(r.Removed,
				Removed{Date: r.Date(i), Element: Tmin, Value: d.TminC, Reason: Crossed},
				Removed{Date: r.Date(i), Element: Tmax, Value: d.TmaxC, Reason: Crossed})
			d.TminC, d.TmaxC = math.NaN(), math.NaN()
		}
	}
}
