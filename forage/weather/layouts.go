package weather

import (
	"bytes"
	"fmt"
	"math"
	"strings"
)

// add keeps one value of one element.
func (in *reader) add(day int32, line, cell int, e Element, v float64, flagged bool) {
	in.seen = append(in.seen, observation{value: v, day: day, line: int32(line), cell: int16(min(cell, math.MaxInt16)), element: e, flagged: flagged})
}

// value reads a cell; what cannot be read is missing and warned of.
func (in *reader) value(cell []byte, line, at int, e Element) float64 {
	v, whole, good := number(cell)
	if !good {
		in.badCell++
		if in.badCell <= maxListed {
			in.ps.Warn(in.file, line, at+1, fmt.Sprintf("%q is no number; the %s of the day is taken as missing", clip(text(cell)), e), "write a number, or leave the cell blank")
		}
	}
	if !whole {
		in.whole[e] = false
	}
	return v
}

func (in *reader) wrongDate(cell string, line, at int) {
	in.badDate++
	if in.badDate <= maxListed {
		in.ps.Add(in.file, line, at+1, fmt.Sprintf("%q is no date of the calendar from %d to %d", clip(cell), firstYear, lastYear), "write it as yyyy-mm-dd")
	}
}

func clip(s string) string {
	if r := []rune(s); len(r) > 30 {
		return string(r[:30]) + "..."
	}
	return s
}

// closeCounts tells of what was found too often to be listed.
func (in *reader) closeCounts(values int) {
	if n := in.badDate - maxListed; n > 0 {
		in.ps.Add(in.file, 0, 0, fmt.Sprintf("%d further rows have no date that can be read", n), "write dates as yyyy-mm-dd")
	}
	if in.badCell > maxListed {
		in.ps.Warn(in.file, 0, 0, fmt.Sprintf("%d further cells are no numbers; taken as missing", in.badCell-maxListed), "write numbers, or leave the cells blank")
	}
	if in.badCell > 3 && float64(in.badCell) > badCellsShare*float64(values) {
		in.ps.Add(in.file, 0, 0, fmt.Sprintf("%d of %d values are no numbers", in.badCell, values), "check the separator and the columns of the file")
	}
}

// place is one station or location of a file.
type place struct{ id, name string }

func (p place) String() string {
	if p.name == "" || p.name == p.id {
		return p.id
	}
	if p.id == "" {
		return p.name
	}
	return p.id + " " + p.name
}

// choose picks the place to read; false when it is not clear, with a problem
// that lists the places.
func (in *reader) choose(places []place) (place, bool) {
	want := strings.ToLower(strings.TrimSpace(in.opt.Location))
	list := func() string {
		var names []string
		for i, p := range places {
			if i == maxListed {
				names = append(names, fmt.Sprintf("and %d more", len(places)-i))
				break
			}
			names = append(names, p.String())
		}
		return strings.Join(names, "; ")
	}
	if want == "" {
		if len(places) == 1 {
			return places[0], true
		}
		in.ps.Add(in.file, 0, 0, fmt.Sprintf("holds %d places: %s", len(places), list()), "name the one: weather_place in the table of yards, --weather-place of hive, --location of weather")
		return place{}, false
	}
	var part []place
	for _, p := range places {
		id, name := strings.ToLower(p.id), strings.ToLower(p.name)
		if id == want || name == want {
			return p, true
		}
		if strings.Contains(id, want) || strings.Contains(name, want) {
			part = append(part, p)
		}
	}
	switch len(part) {
	case 1:
		return part[0], true
	case 0:
		in.ps.Add(in.file, 0, 0, fmt.Sprintf("has no place %q; it holds %s", clip(in.opt.Location), list()), "name one of these")
	default:
		in.ps.Add(in.file, 0, 0, fmt.Sprintf("%q fits %d places of %s", clip(in.opt.Location), len(part), list()), "give the whole name")
	}
	return place{}, false
}

// Cell positions of the fixed-width form, from 0 (readme of the Global Historical
// Climatology Network daily, section III).
const (
	dlyYear, dlyMonth, dlyElement, dlyValues = 11, 15, 17, 21
	dlyValueWidth, dlyWidth                  = 5, 8 // a value; a value with its three marks
)

func isDly(line []byte) bool {
	if len(line) < dlyValues+dlyValueWidth {
		return false
	}
	return alnum(line[:dlyYear]) && digits(line[dlyYear:dlyElement]) && alnum(line[dlyElement:dlyValues])
}

func alnum(b []byte) bool {
	for _, c := range b {
		if (c < '0' || c > '9') && (c < 'A' || c > 'Z') && c != '_' && c != '-' {
			return false
		}
	}
	return len(b) > 0
}

func digits(b []byte) bool {
	for _, c := range b {
		if c < '0' || c > '9' {
			return false
		}
	}
	return len(b) > 0
}

func atoi(b []byte) int {
	n := 0
	for _, c := range b {
		n = n*10 + int(c-'0')
	}
	return n
}

// elementOf gives the element of a NOAA code.
func elementOf(code []byte) (Element, bool) {
	switch string(code) {
	case "TMIN":
		return Tmin, true
	case "TMAX":
		return Tmax, true
	case "PRCP":
		return Precip, true
	}
	return 0, false
}

// idsOf lists the different ids that lines begin with.
type idsOf struct {
	last  []byte
	known map[string]bool
	list  []place
}

func (s *idsOf) add(id []byte, name []byte) {
	if s.known != nil && bytes.Equal(id, s.last) {
		return
	}
	if s.known == nil {
		s.known = map[string]bool{}
	}
	s.last = id
	if !s.known[string(id)] {
		s.known[string(id)] = true
		s.list = append(s.list, place{id: text(id), name: text(name)})
	}
}

func (in *reader) readDly(data []byte) {
	in.layout = layoutDly
	in.units = [3]unit{unitTenths, unitTenths, unitTenths}
	var ids idsOf
	for l := (lines{rest: data}); ; {
		line, ok := l.next()
		if !ok {
			break
		}
		if isDly(line) {
			ids.add(line[:dlyYear], nil)
		}
	}
	want, ok := in.choose(ids.list)
	if !ok {
		return
	}
	in.station.ID = want.id
	values := 0
	for l := (lines{rest: data}); ; {
		line, ok := l.next()
		if !ok {
			break
		}
		if len(trim(line)) == 0 {
			continue
		}
		in.rows++
		if !isDly(line) {
			in.ps.Add(in.file, l.no, 0, "is no line of the fixed-width form", "get the file anew, or delete the line")
			if len(in.ps.Fatal()) > maxListed {
				return
			}
			continue
		}
		e, ok := elementOf(line[dlyElement:dlyValues])
		if !ok || string(line[:dlyYear]) != want.id {
			continue
		}
		year, month := atoi(line[dlyYear:dlyMonth]), atoi(line[dlyMonth:dlyElement])
		first, ok := dayNumber(year, month, 1)
		if !ok {
			in.wrongDate(string(line[dlyYear:dlyElement]), l.no, dlyYear)
			continue
		}
		for k := range monthLength(year, month) {
			at := dlyValues + k*dlyWidth
			if at >= len(line) {
				break
			}
			cell := line[at:min(at+dlyValueWidth, len(line))]
			v := in.value(trim(cell), l.no, at, e)
			values++
			mark := func(i int) byte {
				if at+dlyValueWidth+i < len(line) {
					return line[at+dlyValueWidth+i]
				}
				return ' '
			}
			in.add(first+int32(k), l.no, at, e, v, mark(1) != ' ' && !math.IsNaN(v))
		}
	}
	in.closeCounts(values)
}

var byYearHeading = []byte("ID,DATE,ELEMENT,DATA_VALUE")

func isByYear(line []byte) bool {
	if bytes.HasPrefix(bytes.ReplaceAll(line, []byte(`"`), nil), byYearHeading) {
		return true
	}
	cells := split(line, ',', nil)
	return len(cells) >= 4 && len(cells[0]) == 11 && alnum(cells[0]) && len(cells[1]) == 8 && digits(cells[1]) &&
		len(cells[2]) == 4 && alnum(cells[2])
}

func (in *reader) readByYear(data []byte) {
	in.layout = layoutByYear
	in.units = [3]unit{unitTenths, unitTenths, unitTenths}
	var ids idsOf
	heading := true
	for l := (lines{rest: data}); ; {
		line, ok := l.next()
		if !ok {
			break
		}
		if heading && len(trim(line)) > 0 {
			heading = false
			if bytes.HasPrefix(bytes.ReplaceAll(line, []byte(`"`), nil), byYearHeading) {
				continue
			}
		}
		if i := bytes.IndexByte(line, ','); i > 0 {
			ids.add(bytes.Trim(line[:i], `" `), nil)
		}
	}
	if len(ids.list) == 0 {
		return
	}
	want, ok := in.choose(ids.list)
	if !ok {
		return
	}
	in.station.ID = want.id
	var cells [][]byte
	values := 0
	for l := (lines{rest: data}); ; {
		line, ok := l.next()
		if !ok {
			break
		}
		if i := bytes.IndexByte(line, ','); i < 0 || string(bytes.Trim(line[:i], `" `)) != want.id {
			continue
		}
		in.rows++
		cells = split(line, ',', cells)
		if len(cells) < 4 {
			in.ps.Add(in.file, l.no, 0, fmt.Sprintf("has %d cells; id, date, element and value are needed", len(cells)), "get the file anew, or delete the line")
			if len(in.ps.Fatal()) > maxListed {
				return
			}
			continue
		}
		e, ok := elementOf(cells[2])
		if !ok {
			continue
		}
		n, order, ok := datePart(cells[1])
		day, real := dayNumber(n[0], n[1], n[2])
		if !ok || !real || order != yearFirst {
			in.wrongDate(text(cells[1]), l.no, 1)
			continue
		}
		v := in.value(cells[3], l.no, 3, e)
		values++
		in.add(day, l.no, 3, e, v, len(cells) > 5 && len(cells[5]) > 0 && !math.IsNaN(v))
	}
	in.closeCounts(values)
}

// readTable reads the rows under a heading.
func (in *reader) readTable(h heading, l lines) {
	in.layout, in.ask = h.layout, h.openUnitsNeedAnswer
	for e := range h.element {
		c := h.element[e]
		in.units[e] = c.unit
		if c.at >= 0 {
			in.names[e] = h.names[c.at]
		}
	}
	for _, e := range []Element{Tmin, Tmax} {
		if h.element[e].at < 0 {
			in.ps.Add(in.file, l.no, 0, fmt.Sprintf("no column of the heading is the day's %s; it has %s", e, clipList(h.names)),
				"name it "+[...]string{Tmin: "tmin_c or tmin_f", Tmax: "tmax_c or tmax_f"}[e])
			return
		}
	}
	var want place
	if h.place >= 0 {
		var ids idsOf
		var cells [][]byte
		for p := l; ; {
			line, ok := p.next()
			if !ok {
				break
			}
			if cells = split(line, h.sep, cells); h.place < len(cells) && !blank(cells) {
				var name []byte
				if h.name >= 0 && h.name < len(cells) {
					name = cells[h.name]
				}
				ids.add(cells[h.place], name)
			}
		}
		if len(ids.list) > 0 {
			var ok bool
			if want, ok = in.choose(ids.list); !ok {
				return
			}
		}
		in.station.ID, in.station.Name = strings.TrimPrefix(want.id, "GHCND:"), want.name
		if h.place == h.name || (in.layout == layoutPlain && h.name < 0) {
			in.station.ID, in.station.Name = "", want.id
		}
	} else if in.opt.Location != "" && in.station.Name == "" {
		in.ps.Warn(in.file, l.no, 0, "has no column that names the place; the location option is not heeded", "")
	}
	slash, ok := in.slashOrder(h, l)
	if !ok {
		return
	}
	var cells [][]byte
	values, wide, wideLine := 0, 0, 0
	placed := false
	for {
		line, ok := l.next()
		if !ok {
			break
		}
		if len(line) == 0 || line[0] == '#' {
			continue
		}
		cells = split(line, h.sep, cells)
		if blank(cells) {
			continue
		}
		if h.place >= 0 && (h.place >= len(cells) || (string(cells[h.place]) != want.id && text(cells[h.place]) != want.id)) {
			continue
		}
		in.rows++
		if len(cells) > h.cells && !blank(cells[h.cells:]) {
			if wide == 0 {
				wideLine = l.no
			}
			wide++
		}
		day, at, ok := rowDate(h, cells, slash)
		if !ok {
			if !in.rowHasValue(h, cells) {
				in.ps.Warn(in.file, l.no, at+1, fmt.Sprintf("the row %q has neither date nor values; skipped", clip(text(line))), "")
				continue
			}
			in.wrongDate(cellText(cells, at), l.no, at)
			continue
		}
		if !placed {
			placed = true
			in.particulars(h, cells)
		}
		for e := range h.element {
			c := h.element[e]
			if c.at < 0 {
				continue
			}
			v, flagged := math.NaN(), false
			if c.at < len(cells) {
				cell := cells[c.at]
				if Element(e) == Precip && len(cell) == 1 && (cell[0] == 'T' || cell[0] == 't') {
					v = 0 // a trace: too little to measure
				} else {
					v = in.value(cell, l.no, c.at, Element(e))
				}
				values++
			}
			if c.flagKind != flagNone && c.flagAt < len(cells) {
				flagged = c.marks(cells, Element(e), &v)
			}
			in.add(day, l.no, c.at, Element(e), v, flagged && !math.IsNaN(v))
		}
	}
	if wide*2 > in.rows {
		in.ps.Add(in.file, wideLine, 0, fmt.Sprintf("%s more cells than the heading, which has %d", count(wide, "row has", "rows have"), h.cells),
			"if the figures have decimal commas, separate the cells by semicolons")
	}
	in.closeCounts(values)
}

func clipList(names []string) string {
	s := strings.Join(names, ", ")
	if r := []rune(s); len(r) > 120 {
		s = string(r[:120]) + "..."
	}
	return s
}

func cellText(cells [][]byte, at int) string {
	if at < 0 || at >= len(cells) {
		return ""
	}
	return text(cells[at])
}

func blank(cells [][]byte) bool {
	for _, c := range cells {
		if len(c) > 0 {
			return false
		}
	}
	return true
}

// marks heeds the marks beside a value: it may change the value, and it is true
// when the service itself failed the value.
func (c column) marks(cells [][]byte, e Element, v *float64) (failed bool) {
	mark := cells[c.flagAt]
	switch c.flagKind {
	case flagLetter:
		// E estimated and C occurred, amount uncertain: the figure is kept.
		if len(mark) == 1 && mark[0] == 'M' {
			*v = math.NaN()
		}
		if e == Precip && len(mark) == 1 && mark[0] == 'T' && math.IsNaN(*v) {
			*v = 0
		}
	case flagTriple:
		i := bytes.IndexByte(mark, ',')
		if i < 0 {
			return false
		}
		if e == Precip && i > 0 && mark[0] == 'T' && math.IsNaN(*v) {
			*v = 0
		}
		quality := mark[i+1:]
		if k := bytes.IndexByte(quality, ','); k >= 0 {
			quality = quality[:k]
		}
		return len(trim(quality)) > 0
	case flagSeparates:
		return c.flagAt+1 < len(cells) && len(cells[c.flagAt+1]) > 0
	}
	return false
}

// particulars takes the station's place off a row.
func (in *reader) particulars(h heading, cells [][]byte) {
	take := func(at int, dst *float64) {
		if at < 0 || at >= len(cells) {
			return
		}
		if v, _, good := number(cells[at]); good && !math.IsNaN(v) {
			*dst = v
		}
	}
	take(h.lat, &in.station.LatDeg)
	take(h.lon, &in.station.LonDeg)
	take(h.elev, &in.station.ElevM)
}

// rowHasValue tells whether a row has a figure for any element.
func (in *reader) rowHasValue(h heading, cells [][]byte) bool {
	for _, c := range h.element {
		if c.at >= 0 && c.at < len(cells) {
			if v, _, good := number(cells[c.at]); good && !math.IsNaN(v) {
				return true
			}
		}
	}
	return false
}

// rowDate reads the date of a row; at is the cell to blame when it is wrong.
func rowDate(h heading, cells [][]byte, slash dateOrder) (day int32, at int, ok bool) {
	if h.date < 0 {
		var n [3]int
		for i, at := range [...]int{h.year, h.month, h.day} {
			if at >= len(cells) || len(cells[at]) > 4 || !digits(cells[at]) {
				return 0, at, false
			}
			n[i] = atoi(cells[at])
		}
		day, ok = dayNumber(n[0], n[1], n[2])
		return day, h.day, ok
	}
	if h.date >= len(cells) {
		return 0, h.date, false
	}
	n, order, ok := datePart(cells[h.date])
	if !ok {
		return 0, h.date, false
	}
	if order == yearLast {
		order = slash
	}
	switch order {
	case dayFirst:
		n[0], n[2] = n[2], n[0]
	case monthFirst:
		n[0], n[1], n[2] = n[2], n[0], n[1]
	}
	day, ok = dayNumber(n[0], n[1], n[2])
	return day, h.date, ok
}

// slashOrder tells whether dates such as 3/4/2014 have the day or the month
// first, from the rows that leave no choice.
func (in *reader) slashOrder(h heading, l lines) (dateOrder, bool) {
	if h.date < 0 {
		return yearFirst, true
	}
	var cells [][]byte
	first := 0
	cell := ""
	for {
		line, ok := l.next()
		if !ok {
			break
		}
		cells = split(line, h.sep, cells)
		if h.date >= len(cells) {
			continue
		}
		n, order, ok := datePart(cells[h.date])
		if !ok {
			continue
		}
		if order != yearLast {
			return yearFirst, true
		}
		if first == 0 {
			first, cell = l.no, text(cells[h.date])
		}
		switch {
		case n[0] > 12 && n[0] <= 31:
			return dayFirst, true
		case n[1] > 12 && n[1] <= 31:
			return monthFirst, true
		}
	}
	if first > 0 {
		in.ps.Add(in.file, first, h.date+1, fmt.Sprintf("%q may be day first or month first, and no row tells which", clip(cell)), "write dates as yyyy-mm-dd")
		return yearFirst, false
	}
	return yearFirst, true
}
