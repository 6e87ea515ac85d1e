package weather

import (
	"bloomgap/forage/read"
	"bytes"
	"fmt"
	"math"
	"strconv"
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
			in.problem(
				read.CellNumber,
				read.Note,
				line,
				at+1,
				fmt.Sprintf("%q is not a number; the %s of the day is taken as missing", clip(text(cell)), e),
				"write a number, or leave the cell blank",
			)
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
		in.problem(
			read.CellDate,
			read.Error,
			line,
			at+1,
			fmt.Sprintf("%q is not a date of the calendar from %d to %d", clip(cell), read.FirstYear, read.LastYear),
			"write it as yyyy-mm-dd"+dayCounted(cell),
		)
	}
}

// dayCounted explains a date that is a number of days, as a workbook keeps it under the
// hood: from 1950 to 2100 such numbers have five figures.
func dayCounted(cell string) string {
	if n, err := strconv.Atoi(strings.TrimSpace(cell)); err == nil && n > 18_000 && n < 74_000 {
		return "; it looks like a workbook's count of days: give the column the form of a date before saving"
	}
	return ""
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
		in.problem(read.CellDate, read.Error, 0, 0, fmt.Sprintf("%d more rows have no date that can be read", n), "write dates as yyyy-mm-dd")
	}
	if in.badCell > maxListed {
		in.problem(
			read.CellNumber,
			read.Note,
			0,
			0,
			fmt.Sprintf("%d more cells are not numbers; taken as missing", in.badCell-maxListed),
			"write numbers, or leave the cells blank",
		)
	}
	if in.badCell > 3 && float64(in.badCell) > badCellsShare*float64(values) {
		in.problem(
			read.CellNumber,
			read.Error,
			0,
			0,
			fmt.Sprintf("%d of %d values are not numbers", in.badCell, values),
			"check the separator and the columns of the file",
		)
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
		in.problem(
			PlaceOpen,
			read.Error,
			0,
			0,
			fmt.Sprintf("holds %d places: %s", len(places), list()),
			"name the one: weather_place in the table of yards, --weather-place of hive, --location of weather",
		)
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
		in.problem(PlaceOpen, read.Error, 0, 0, fmt.Sprintf("has no place %q; it holds %s", clip(in.opt.Location), list()), "name one of these")
	default:
		in.problem(PlaceOpen, read.Error, 0, 0, fmt.Sprintf("%q fits %d places of %s", clip(in.opt.Location), len(part), list()), "give the whole name")
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
			in.problem(read.LineBroken, read.Error, l.no, 0, "is not a line of the fixed-width form", "get the file anew, or delete the line")
			if len(in.ps.Errors()) > maxListed {
				return
			}
			continue
		}
		e, ok := elementOf(line[dlyElement:dlyValues])
		if !ok || string(line[:dlyYear]) != want.id {
			continue
		}
		year, month := atoi(line[dlyYear:dlyMonth]), atoi(line[dlyMonth:dlyElement])
		first, ok := read.DayNumber(year, month, 1)
		if !ok {
			in.wrongDate(string(line[dlyYear:dlyElement]), l.no, dlyYear)
			continue
		}
		for k := range read.MonthLength(year, month) {
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
			in.problem(
				read.LineBroken,
				read.Error,
				l.no,
				0,
				fmt.Sprintf("has %d cells; id, date, element and value are needed", len(cells)),
				"get the file anew, or delete the line",
			)
			if len(in.ps.Errors()) > maxListed {
				return
			}
			continue
		}
		e, ok := elementOf(cells[2])
		if !ok {
			continue
		}
		n, order, ok := dateOf(cells[1])
		day, real := read.DayNumber(n[0], n[1], n[2])
		if !ok || !real || order != read.YearFirst {
			in.wrongDate(text(cells[1]), l.no, 1)
			continue
		}
		v := in.value(cells[3], l.no, 3, e)
		values++
		in.add(day, l.no, 3, e, v, len(cells) > 5 && len(cells[5]) > 0 && !math.IsNaN(v))
	}
	in.closeCounts(values)
}
