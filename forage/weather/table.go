package weather

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"bloomgap/forage/read"
)

// mostTableRows is how many rows a table of days may have: five centuries.
const mostTableRows = 200_000

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
			in.problem(read.ColumnMissing, read.Error, l.no, 0, fmt.Sprintf("no column of the heading is the day's %s; it has %s", e, clipList(h.names)),
				"name it "+[...]string{Tmin: "tmin_c or tmin_f", Tmax: "tmax_c or tmax_f"}[e])
			return
		}
	}
	want, ok := in.tablePlace(h, l)
	if !ok {
		return
	}
	order, ok := in.dayOrder(h, l)
	if !ok {
		return
	}
	in.tableRows(h, l, want, order)
}

// wanted is the place whose rows are read.
type wanted struct {
	id   string
	only bool // the table names no other, so that a row without a place is of it too
}

// tablePlace finds the place to read among those that a table names.
func (in *reader) tablePlace(h heading, l lines) (wanted, bool) {
	if h.place < 0 {
		if in.opt.Location != "" && in.station.Name == "" {
			in.problem(LocationUnused, read.Note, l.no, 0, "no column names the place; the place asked for is not looked for", "")
		}
		return wanted{only: true}, true
	}
	var ids idsOf
	var cells [][]byte
	for {
		line, ok := l.next()
		if !ok {
			break
		}
		if len(line) == 0 || line[0] == '#' {
			continue
		}
		if cells = split(line, h.sep, cells); h.place < len(cells) && len(cells[h.place]) > 0 {
			var name []byte
			if h.name >= 0 && h.name < len(cells) {
				name = cells[h.name]
			}
			ids.add(cells[h.place], name)
		}
	}
	if len(ids.list) == 0 {
		return wanted{only: true}, true
	}
	p, ok := in.choose(ids.list)
	in.station.ID, in.station.Name = strings.TrimPrefix(p.id, "GHCND:"), p.name
	if h.place == h.name || (in.layout == layoutPlain && h.name < 0) {
		in.station.ID, in.station.Name = "", p.id
	}
	return wanted{p.id, len(ids.list) == 1}, ok
}

// of tells whether a row is of the wanted place.
func (w wanted) of(h heading, cells [][]byte) bool {
	if h.place < 0 {
		return true
	}
	if h.place >= len(cells) || len(cells[h.place]) == 0 {
		return w.only
	}
	return string(cells[h.place]) == w.id || text(cells[h.place]) == w.id
}

// tableRows reads the rows of the wanted place.
func (in *reader) tableRows(h heading, l lines, want wanted, order read.Order) {
	var cells [][]byte
	values, skipped, wide, wideLine := 0, 0, 0, 0
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
		if blank(cells) || !want.of(h, cells) {
			continue
		}
		if in.rows++; in.rows > mostTableRows {
			in.problem(read.FileTooLarge, read.Error, l.no, 0, fmt.Sprintf("has more than %d rows", mostTableRows), "keep only the days of the last decades")
			return
		}
		if len(cells) > h.cells && !blank(cells[h.cells:]) {
			if wide == 0 {
				wideLine = l.no
			}
			wide++
		}
		day, at, ok := rowDate(h, cells, order)
		if !ok {
			if !in.rowHasValue(h, cells) {
				if skipped++; skipped <= maxListed {
					in.problem(RowSkipped, read.Note, l.no, at+1, fmt.Sprintf("the row %q has neither date nor values; skipped", clip(text(line))), "")
				}
				continue
			}
			in.wrongDate(cellText(cells, at), l.no, at)
			continue
		}
		if !placed {
			placed = true
			in.particulars(h, cells)
		}
		values += in.rowValues(h, cells, day, l.no)
	}
	if n := skipped - maxListed; n > 0 {
		in.problem(RowSkipped, read.Note, 0, 0, fmt.Sprintf("%d more rows have neither date nor values; skipped", n), "")
	}
	if wide*2 > in.rows {
		in.problem(
			read.CellBeyond,
			read.Error,
			wideLine,
			0,
			fmt.Sprintf("%s more cells than the heading, which has %d", count(wide, "row has", "rows have"), h.cells),
			"if the figures have decimal commas, separate the cells by semicolons",
		)
	}
	in.closeCounts(values)
}

// rowValues takes in the values of a row and counts them.
func (in *reader) rowValues(h heading, cells [][]byte, day int32, line int) (values int) {
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
				v = in.value(cell, line, c.at, Element(e))
			}
			values++
		}
		if c.flagKind != flagNone && c.flagAt < len(cells) {
			flagged = c.marks(cells, Element(e), &v)
		}
		in.add(day, line, c.at, Element(e), v, flagged && !math.IsNaN(v))
	}
	return values
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
func rowDate(h heading, cells [][]byte, settled read.Order) (day int32, at int, ok bool) {
	if h.date < 0 {
		var n [3]int
		for i, at := range [...]int{h.year, h.month, h.day} {
			if at >= len(cells) {
				return 0, at, false
			}
			if n[i], ok = read.WholeNumber(cells[at]); !ok {
				return 0, at, false
			}
		}
		day, ok = read.DayNumber(n[0], n[1], n[2])
		return day, h.day, ok
	}
	if h.date >= len(cells) {
		return 0, h.date, false
	}
	n, order, ok := dateOf(cells[h.date])
	if !ok {
		return 0, h.date, false
	}
	day, ok = read.DayNumber(read.Arrange(n, order, settled))
	return day, h.date, ok
}

// dateOf reads the numbers of a date with or without a time behind it.
func dateOf(cell []byte) (n [3]int, order read.Order, ok bool) {
	n, order, rest, ok := read.SplitDate(cell)
	return n, order, ok && (rest == len(cell) || cell[rest] == ' ' || cell[rest] == 'T')
}

// dayOrder tells whether dates such as 3/4/2014 have the day or the month first,
// from all rows.
func (in *reader) dayOrder(h heading, l lines) (read.Order, bool) {
	if h.date < 0 {
		return read.YearFirst, true
	}
	var col read.DateColumn
	var cells [][]byte
	for {
		line, ok := l.next()
		if !ok {
			break
		}
		if cells = split(line, h.sep, cells); h.date < len(cells) {
			if n, order, ok := dateOf(cells[h.date]); ok {
				col.Add(n, order, l.no)
			}
		}
	}
	order, settled := col.Order()
	switch {
	case !settled:
		p := col.OrderProblem()
		in.problem(p.Code, p.Level, col.First(), h.date+1, p.Message, p.Fix)
	case col.DottedMonthFirst():
		in.problem(
			DotsMonthFirst,
			read.Note,
			0,
			0,
			"dates with dots are read as month.day.year, since day.month.year does not fit them",
			"write dates as yyyy-mm-dd",
		)
	}
	return order, settled
}
