package weather

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"bloomgap/forage/read"
)

const (
	maxFileBytes   = 256 << 20 // bytes; a station's whole history is under 10 MB in every layout
	maxListed      = 10        // problems of one kind that are listed one by one
	headingWithin  = 80        // lines; the longest preamble known (Environment Canada) has 25
	badCellsShare  = 0.2       // share of the cells above which unreadable cells are no slips of the pen
	fewestForUnits = 20        // values needed before figures may tell their own unit
)

// Read reads one file with DefaultOptions; see Options.Read.
func Read(name string, r io.Reader) (*Record, read.Problems) {
	return DefaultOptions().Read(name, r)
}

// ReadFiles reads the files as one record with DefaultOptions; see
// Options.ReadFiles.
func ReadFiles(paths []string) (*Record, read.Problems) {
	return DefaultOptions().ReadFiles(paths)
}

// Read reads the daily record of one place from r; name is the file's name in
// messages. The layout is known by its content (Layouts lists them). The record
// is nil when a problem is fatal; warnings leave it usable.
//
// Where a date comes twice the later line counts, value by value: a blank never
// wipes out a figure. Values are made missing as Removed tells.
func (o Options) Read(name string, r io.Reader) (*Record, read.Problems) {
	in := reader{file: name, opt: o}
	if err := o.Validate(); err != nil {
		in.ps.Add(name, 0, 0, err.Error(), "correct the options")
		return nil, in.ps
	}
	data, err := io.ReadAll(io.LimitReader(r, maxFileBytes+1))
	switch {
	case errors.Is(err, syscall.EISDIR):
		in.ps.Add(name, 0, 0, "is a folder, not a weather record", "name the file")
	case err != nil:
		in.ps.Add(name, 0, 0, "cannot be read: "+err.Error(), "check that it is a file and that you may read it")
	case len(data) > maxFileBytes:
		in.ps.Add(name, 0, 0, fmt.Sprintf("is larger than %d MB", maxFileBytes>>20), "cut the wanted station's lines out of it first")
	default:
		in.read(data)
	}
	if len(in.ps.Fatal()) > 0 {
		return nil, in.ps
	}
	rec := in.record()
	if len(in.ps.Fatal()) > 0 {
		return nil, in.ps
	}
	return rec, in.ps
}

// ReadFiles reads files as one record, such as one file a year. Where they
// overlap the one named later wins, value by value; of Deutscher Wetterdienst's
// two files the one that ends later (the 'recent' one) wins. A warning tells of
// each overlap. The record is nil when a problem in any file is fatal.
func (o Options) ReadFiles(paths []string) (*Record, read.Problems) {
	var ps read.Problems
	var parts []part
	if len(paths) == 0 {
		ps.Add("weather", 0, 0, "no file was named", "name at least one daily weather file")
	}
	for _, path := range paths {
		f, err := os.Open(path)
		if err != nil {
			ps.Add(path, 0, 0, "cannot be opened", "check the name and that you may read it")
			continue
		}
		rec, found := o.Read(path, f)
		f.Close()
		ps = append(ps, found...)
		if rec != nil {
			parts = append(parts, part{path, rec})
		}
	}
	if len(ps.Fatal()) > 0 {
		return nil, ps
	}
	return merge(parts, &ps), ps
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
	allDWD := true
	for _, p := range parts {
		allDWD = allDWD && p.rec.Layout == layoutDWD
	}
	if allDWD {
		slices.SortStableFunc(parts, func(a, b part) int { return a.rec.Last().Compare(b.rec.Last()) })
	}
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
	from := make([]int, len(out.Days)) // part that gave a day, plus one
	for i := range out.Days {
		out.Days[i] = unknownDay()
	}
	for k, p := range parts {
		if id := p.rec.Station.ID; id != "" && out.Station.ID != "" && id != out.Station.ID {
			ps.Warn(p.file, 0, 0, fmt.Sprintf("is of station %s and %s of station %s; they are read as one record", id, parts[0].file, out.Station.ID),
				"name only files of one place, or make sure that the stations follow one another at the same place")
		}
		if p.rec.Layout != out.Layout && !strings.Contains(out.Layout, p.rec.Layout) {
			out.Layout += ", " + p.rec.Layout
		}
		shared := make([]int, len(parts)+1) // by earlier part
		differ := make([]int, len(parts)+1)
		offset := out.Index(p.rec.First)
		for i, d := range p.rec.Days {
			at := &out.Days[offset+i]
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
		for prev, n := range shared {
			if n == 0 {
				continue
			}
			why := "the file named later wins"
			if allDWD {
				why = "the file that ends later, the recent one, wins"
			}
			ps.Warn(p.file, 0, 0, fmt.Sprintf("%s also in %s, %d of them with other figures; %s",
				count(n, "day is", "days are"), parts[prev-1].file, differ[prev], why), "")
		}
		out.Removed = append(out.Removed, p.rec.Removed...)
		out.Duplicates = append(out.Duplicates, p.rec.Duplicates...)
	}
	removed := len(out.Removed)
	out.uncross()
	if n := len(out.Removed) - removed; n > 0 {
		ps.Warn(parts[0].file, 0, 0, fmt.Sprintf("%s the lowest temperature of one file above the highest of another; made missing",
			count(n/2, "day has", "days have")), "")
	}
	return out
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
		in.ps.Add(in.file, 0, 0, "is a spreadsheet or a zip archive", "save the sheet as CSV, or unpack the archive, and name that file")
		return
	case bytes.HasPrefix(data, []byte("\x1f\x8b")):
		in.ps.Add(in.file, 0, 0, "is packed (gzip)", "unpack it and name the unpacked file")
		return
	}
	data = plainText(data)
	if i := bytes.IndexByte(data, 0); i >= 0 {
		in.ps.Add(in.file, 0, 0, fmt.Sprintf("is no text file (byte %d is zero)", i+1), "name a daily weather file that is plain text or CSV")
		return
	}
	if len(bytes.TrimSpace(data)) == 0 {
		in.ps.Add(in.file, 0, 0, "is empty", "name a daily weather file with at least a year of days")
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
	vocab := newVocabulary()
	switch {
	case isDly(first):
		in.readDly(data)
	case isByYear(first):
		in.readByYear(data)
	default:
		h, after, ok := in.findHeading(&vocab, data)
		if !ok {
			in.unknown(first)
			return
		}
		in.readTable(h, after)
	}
}

func (in *reader) unknown(first []byte) {
	seen := text(first)
	if r := []rune(seen); len(r) > 80 {
		seen = string(r[:80]) + "..."
	}
	in.ps.Add(in.file, 1, 0, fmt.Sprintf("layout not known; its first line is %q", seen),
		"give a heading line such as date,tmin_c,tmax_c,precip_mm, or use one of the layouts read: "+strings.Join(Layouts(), "; "))
}

// findHeading looks for the heading line; what stands before it is a preamble.
func (in *reader) findHeading(v *vocabulary, data []byte) (heading, lines, bool) {
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
			if h, ok := v.headingOf(line, sep); ok && (!found || h.cells > best.cells) {
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
	if len(cells) != 2 {
		return
	}
	value, _, _ := number(cells[1])
	switch strings.Join(words(cells[0]), " ") {
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

// record makes the record of what was gathered.
func (in *reader) record() *Record {
	if len(in.seen) == 0 {
		if in.rows == 0 {
			in.ps.Add(in.file, 0, 0, "has a heading but no day under it", "name a file with daily values")
		} else {
			in.ps.Add(in.file, 0, 0, "has no row with a date that can be read", "write dates as yyyy-mm-dd")
		}
		return nil
	}
	lo, hi := in.seen[0].day, in.seen[0].day
	for i := range in.seen {
		lo, hi = min(lo, in.seen[i].day), max(hi, in.seen[i].day)
	}
	n := int(hi-lo) + 1
	type source struct {
		line int32
		cell int16
	}
	var raw [3][]float64
	var at [3][]source
	for e := range raw {
		raw[e] = make([]float64, n)
		at[e] = make([]source, n)
		for i := range raw[e] {
			raw[e][i] = math.NaN()
		}
	}
	rec := &Record{Layout: in.layout, Station: in.station, First: time.Unix(int64(lo)*86400, 0).UTC(), Days: make([]Day, n)}
	rec.Name = in.station.Name
	if rec.Name == "" {
		rec.Name = in.station.ID
	}
	if rec.Name == "" {
		base := filepath.Base(in.file)
		rec.Name = strings.TrimSuffix(base, filepath.Ext(base))
	}

	duplicate := map[int32]int32{} // day -> line that came later
	differing := 0
	var flagged []observation
	for i := range in.seen {
		ob := &in.seen[i]
		k := ob.day - lo
		if ob.flagged {
			flagged = append(flagged, *ob)
			ob.value = math.NaN()
		}
		if was := at[ob.element][k]; was.line != 0 && was.line != ob.line {
			if _, again := duplicate[ob.day]; !again {
				duplicate[ob.day] = ob.line
			}
			if conflict(raw[ob.element][k], ob.value) {
				differing++
			}
		}
		if at[ob.element][k].line == 0 || !math.IsNaN(ob.value) {
			raw[ob.element][k] = ob.value
			at[ob.element][k] = source{ob.line, ob.cell}
		}
	}
	if len(duplicate) > 0 {
		for day := range duplicate {
			rec.Duplicates = append(rec.Duplicates, time.Unix(int64(day)*86400, 0).UTC())
		}
		slices.SortFunc(rec.Duplicates, time.Time.Compare)
		one := rec.Duplicates[0]
		line := int(duplicate[int32(one.Unix()/86400)])
		if len(duplicate)*2 > n && len(duplicate) > 1 {
			in.ps.Add(in.file, line, 0, fmt.Sprintf("%d of %d dates come more than once", len(duplicate), n),
				"give one row a day; hourly records are not read")
			return nil
		}
		in.ps.Warn(in.file, line, 0, fmt.Sprintf("%s more than once, the first is %s; %s other figures, the later line counts",
			count(len(duplicate), "date comes", "dates come"), one.Format(time.DateOnly), count(differing, "value has", "values have")),
			"delete the rows that are wrong")
	}

	scale := in.settleUnits(raw)
	if len(in.ps.Fatal()) > 0 {
		return nil
	}
	for _, ob := range flagged {
		rec.Removed = append(rec.Removed, Removed{Date: rec.Date(int(ob.day - lo)), Element: ob.element,
			Value: scale[ob.element].apply(ob.value), Reason: Flagged, File: in.file, Line: int(ob.line)})
	}
	in.report(rec.Removed, int(firstLine(flagged)), 0)

	temps := 0
	var wild []Removed
	var wildAt source
	for i := range n {
		var v [3]float64
		for e := range v {
			v[e] = scale[e].apply(raw[e][i])
			if impossible(Element(e), v[e]) {
				if len(wild) == 0 {
					wildAt = at[e][i]
				}
				wild = append(wild, Removed{rec.Date(i), Element(e), v[e], Impossible, in.file, int(at[e][i].line)})
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

	before := len(rec.Removed)
	rec.uncross()
	crossed := rec.Removed[before:]
	for i := range crossed {
		k := rec.Index(crossed[i].Date)
		crossed[i].File, crossed[i].Line = in.file, int(at[crossed[i].Element][k].line)
	}
	if days := len(crossed) / 2; days > 0 {
		if days*2 > temps {
			in.ps.Add(in.file, crossed[0].Line, 0, fmt.Sprintf("the lowest temperature is above the highest on %d of %d days", days, temps),
				"the two columns look exchanged: correct the heading")
			return nil
		}
		in.ps.Warn(in.file, crossed[0].Line, 0, fmt.Sprintf("the lowest temperature is above the highest on %s, the first is %s; both made missing",
			count(days, "day", "days"), crossed[0].Date.Format(time.DateOnly)), "correct the figures if you know them")
	}
	if temps-len(crossed)/2 <= 0 {
		in.ps.Add(in.file, 0, 0, "no day has both a lowest and a highest temperature", "name a file with daily lowest and highest temperatures")
		return nil
	}
	return rec
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
		fix = fmt.Sprintf("temperatures from %.0f to %.0f C and precipitation from 0 to %.0f mm a day are taken; correct the figure if you know it", LowestC, HighestC, MostPrecipMm)
	}
	in.ps.Warn(in.file, line, cell, what, fix)
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
