package scales

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"bloomgap/forage/read"
)

// Weighing is the weight of a hive on a day.
type Weighing struct {
	Date    time.Time // midnight UTC
	GrossKg float64   // the whole hive as the scale shows it
	// Handled tells that the keeper worked at the hive since the weighing before,
	// and ChangeKg what was put on (or, negative, taken off) then; NaN when the
	// amount is not known, 0 when nothing was.
	Handled  bool
	ChangeKg float64
	Note     string
	Line     int // of the table; 0 when it was not read from one
}

// Series are the weighings of one hive in order of days, one a day.
type Series struct {
	Hive      string // "" when the table names none
	File      string
	Weighings []Weighing
}

// What is taken for the weight of a hive, kg. A lone floor weighs more than the
// least, a hive with four full supers less than the most (common practice).
const leastHiveKg, mostHiveKg = 5.0, 250.0

// eveningHour is the hour from which a reading is that of an evening, with the
// bees at home, h, 17-21, own judgement.
const eveningHour = 18

// The places of columns.
const (
	columnChange = 3
	columnMark   = 4
	columnNote   = 5
)

func columns() []read.Column {
	return []read.Column{
		{Name: "date", Required: true},
		{Name: "weight", Aliases: []string{"gross", "gross weight", "hive weight", "mass"}, Required: true, Unit: "kg"},
		{Name: "hive"},
		{Name: "change", Aliases: []string{"put on", "work"}, Unit: "kg"},
		{Name: "mark", Aliases: []string{"handled", "worked on"}},
		{Name: "note", Aliases: []string{"notes", "remark", "remarks"}},
	}
}

// reading is one weight of one row.
type reading struct {
	Weighing
	hours float64 // of the day, NaN when not given
}

// limits holds a year of readings by the minute.
func limits() read.Limits {
	l := read.DefaultLimits()
	l.MaxRows, l.MaxCells = 600_000, 6_000_000
	return l
}

// mostListed is how many problems of one file are listed one by one.
const mostListed = 20

// Read reads a table of weighings: date, weight (weight_kg or weight_lb), and if
// wanted hive, change (what was put on or taken off since the row before), mark
// (yes when the hive was worked on and the amount is not known) and note.
//
// The files that scales write are read as well: headings are known by the words
// in them, days in the usual ways of writing them, with a time or a column of
// times; several hives may be told apart by a column or have a column of weights
// each. The readings of a day come down to their median, those from 18 h on when
// there are any. Series stand in the order in which their hives first appear.
func Read(name string, r io.Reader, ps *read.Problems) []Series {
	grids := read.Read(name, r, limits(), ps)
	if len(grids) == 0 {
		return nil
	}
	var out []Series
	var found read.Problems
	tables := 0
	for _, g := range grids {
		g = withHeadings(g, &found)
		p, ok := understand(g)
		if !ok {
			continue
		}
		tables++
		series := readGrid(g, &p, &found)
		for i := range series {
			if series[i].Hive == "" && len(grids) > 1 {
				series[i].Hive = g.Name
			}
		}
		out = append(out, series...)
	}
	if tables == 0 {
		sayMissing(grids[0], &found)
	}
	if len(out) == 0 && len(ps.Fatal()) == 0 && len(found.Fatal()) == 0 {
		found.Add(name, 0, 0, "there is no weighing in it", "write a row for each weighing, in kg or lb")
	}
	fatal := found.Fatal()
	*ps = append(*ps, fatal[:min(len(fatal), mostListed)]...)
	if n := len(fatal) - mostListed; n > 0 {
		ps.Add(name, 0, 0, fmt.Sprintf("and %d more cells cannot be used", n), "see the reasons above")
	}
	*ps = append(*ps, found.Warnings()...)
	return out
}

// withHeadings puts headings over two columns of days and weights without any.
func withHeadings(g *read.Grid, ps *read.Problems) *read.Grid {
	if len(g.Rows) == 0 || len(g.Rows[0].Cells) != 2 {
		return g
	}
	first := g.Rows[0]
	_, date := stampOf(first.Cells[0], read.DayFirst)
	if v, _, ok := read.Figure(first.Cells[1]); !date || !ok || math.IsNaN(v) {
		return g
	}
	ps.Warn(g.File, first.Line, 0, "there are no headings; the columns are taken for the day and the weight in kg", "write date and weight_kg over them")
	out := *g
	out.Rows = append([]read.GridRow{{Cells: []string{"date", "weight"}}}, g.Rows...)
	return &out
}

// sayMissing tells which of a day and a weight the headings lack.
func sayMissing(g *read.Grid, ps *read.Problems) {
	if len(g.Rows) == 0 {
		ps.Add(g.File, 0, 0, "the table is empty", "write a heading row with date, weight_kg")
		return
	}
	p, _ := understandRow(g, 0)
	line := g.Rows[0].Line
	if p.date < 0 {
		ps.Add(g.File, line, 0, `the column "date" is missing`, "add it to the heading row")
	}
	if len(p.weights) == 0 {
		ps.Add(g.File, line, 0, `the column "weight_kg" is missing`, "add it to the heading row")
	}
}

// readGrid reads a table that was understood.
func readGrid(g *read.Grid, p *plan, ps *read.Problems) []Series {
	stamps := stampsOf(g, p)
	byHive := map[string][]reading{}
	var hives []string
	said := map[string]bool{} // a column is looked at again for each hive
	for _, w := range p.weights {
		var mine read.Problems
		sub := forWeights(g, p, w, stamps)
		t := read.New(sub, columns(), &mine)
		head := g.Rows[p.row]
		if w.unit == "" && looksLikeGrams(t, head.Cells[w.at], head.Line, w.at+1, ps) {
			continue
		}
		var seen read.Problems // told of row by row below
		looksLikeOtherUnit(read.New(sub, columns(), &seen), w.unit, head.Cells[w.at], head.Line, w.at+1, ps)
		var odd []oddWeight
		for i := range t.Rows {
			row := &t.Rows[i]
			if i == 0 && stamps[i].Day.IsZero() && !digit(row.Text("weight")) {
				continue // units under the headings
			}
			x, ok := readRow(row, stamps[i].Hours, &odd)
			if !ok {
				continue
			}
			hive := row.Text("hive")
			if p.hive < 0 {
				hive = w.hive
			}
			if _, known := byHive[hive]; !known {
				hives = append(hives, hive)
			}
			byHive[hive] = append(byHive[hive], x)
		}
		sayOdd(odd, len(t.Rows))
		for _, x := range mine {
			if !said[x.String()] {
				said[x.String()] = true
				*ps = append(*ps, x)
			}
		}
	}
	sayUnused(g, p, ps)
	var out []Series
	for _, hive := range hives {
		out = append(out, Series{Hive: hive, File: g.File, Weighings: daily(byHive[hive], g.File, ps)})
	}
	return out
}

func digit(text string) bool { return strings.ContainsAny(text, "0123456789") }

// forWeights is the table of one column of weights under the headings that are
// known here, each cell in its place.
func forWeights(g *read.Grid, p *plan, w weightColumn, stamps []read.Stamp) *read.Grid {
	sub := *g
	sub.Workbook = false // its days are written out
	old := g.Rows[p.row]
	head := make([]string, len(old.Cells))
	head[p.date] = "date"
	name := func(at int, as string) {
		switch {
		case at < 0:
		case native(old.Cells[at], columnNamed(as)):
			head[at] = strings.Join(read.Words(old.Cells[at]), "_")
		default:
			head[at] = as
		}
	}
	name(p.hive, "hive")
	name(p.change, "change")
	name(p.mark, "mark")
	name(p.note, "note")
	name(w.at, "weight")
	if head[w.at] == "weight" && w.unit != "" {
		head[w.at] = "weight_" + w.unit
	}
	sub.Rows = make([]read.GridRow, 0, len(g.Rows)-p.row)
	sub.Rows = append(sub.Rows, read.GridRow{Line: old.Line, Cells: head})
	for i, r := range g.Rows[p.row+1:] {
		cells := make([]string, max(len(r.Cells), p.date+1, w.at+1))
		copy(cells, r.Cells)
		if !stamps[i].Day.IsZero() {
			cells[p.date] = stamps[i].Day.Format(time.DateOnly)
		}
		if missing(cells[w.at]) {
			cells[w.at] = ""
		}
		if strings.Count(cells[w.at], ",") == 1 && !strings.Contains(cells[w.at], ".") {
			// In quotation marks between commas: no hive weighs thousands of kg.
			cells[w.at] = strings.Replace(cells[w.at], ",", ".", 1)
		}
		sub.Rows = append(sub.Rows, read.GridRow{Line: r.Line, Cells: cells})
	}
	return &sub
}

func columnNamed(name string) read.Column {
	for _, c := range columns() {
		if c.Name == name {
			return c
		}
	}
	panic("scales: a column is asked for that is not in the list")
}

// sayUnused names the columns that were passed over, and the ones that were taken
// for weights by their figures.
func sayUnused(g *read.Grid, p *plan, ps *read.Problems) {
	head := g.Rows[p.row]
	if p.guessed {
		for _, w := range p.weights {
			ps.Warn(
				g.File,
				head.Line,
				w.at+1,
				fmt.Sprintf("the column %q is taken for the weights of a hive in kg", head.Cells[w.at]),
				"begin its heading with weight_kg when it is, leave it out when not",
			)
		}
	}
	var names []string
	for _, at := range p.unused {
		if text := head.Cells[at]; !strings.HasPrefix(text, "#") && !temperatureHeading(text) {
			names = append(names, strconv.Quote(text))
		}
	}
	if len(names) > 0 {
		const most = 8
		more := ""
		if len(names) > most {
			names, more = names[:most], fmt.Sprintf(" and %d more", len(names)-most)
		}
		ps.Warn(g.File, head.Line, 0, "columns that are not used: "+strings.Join(names, ", ")+more, "nothing need be done")
	}
}

func readRow(row *read.Row, hours float64, odd *[]oddWeight) (reading, bool) {
	x := reading{Weighing: Weighing{Line: row.Line, Note: row.Text("note")}, hours: hours}
	if !row.Has("date") && !row.Has("weight") {
		return x, false // a line of sums, or of nothing
	}
	if !row.Need("date") {
		return x, false
	}
	x.Date = row.Date("date")
	x.GrossKg = row.Float("weight")
	x.ChangeKg = row.FloatIn("change", -100, 100)
	switch {
	case math.IsNaN(x.ChangeKg):
		x.Handled, x.ChangeKg = row.Bool("mark", false), 0
		if x.Handled {
			x.ChangeKg = math.NaN()
		}
	default:
		x.Handled = x.ChangeKg != 0 || row.Bool("mark", false)
	}
	switch {
	case x.Date.IsZero():
		return x, false
	case math.IsNaN(x.GrossKg):
		if x.Handled && !row.Has("weight") {
			row.Warn("weight", "work at the hive without a weight is not used", "write it on the row of the next weighing")
		}
		return x, false
	case x.GrossKg < leastHiveKg || x.GrossKg > mostHiveKg:
		*odd = append(*odd, oddWeight{row: row, hive: row.Text("hive"), day: x.Date, kg: x.GrossKg})
		return x, false
	}
	return x, true
}

// Between keeps the weighings from one day to another, both included; a zero
// time sets no end.
func Between(ws []Weighing, from, to time.Time) []Weighing {
	var out []Weighing
	for _, w := range ws {
		if (from.IsZero() || !w.Date.Before(from)) && (to.IsZero() || !w.Date.After(to)) {
			out = append(out, w)
		}
	}
	return out
}

// daily brings the readings of a hive down to one a day, in order.
func daily(all []reading, file string, ps *read.Problems) []Weighing {
	slices.SortStableFunc(all, func(a, b reading) int { return a.Date.Compare(b.Date) })
	var out []Weighing
	for from := 0; from < len(all); {
		to := from
		for to < len(all) && all[to].Date.Equal(all[from].Date) {
			to++
		}
		day := all[from:to]
		w := day[len(day)-1].Weighing
		var kg []float64
		timed, evening := 0, false
		for _, x := range day {
			if !math.IsNaN(x.hours) {
				timed++
			}
			evening = evening || x.hours >= eveningHour
		}
		if len(day) > 1 && timed < len(day) {
			ps.Warn(
				file,
				day[1].Line,
				0,
				"the hive was weighed twice on "+w.Date.Format(time.DateOnly)+"; the middle of the readings is used",
				"give their times, or keep one a day",
			)
		}
		w.Handled, w.ChangeKg = false, 0
		var notes []string
		for _, x := range day {
			if !evening || x.hours >= eveningHour {
				kg = append(kg, x.GrossKg)
			}
			w.Handled = w.Handled || x.Handled
			w.ChangeKg += x.ChangeKg // NaN stays
			if x.Note != "" {
				notes = append(notes, x.Note)
			}
		}
		w.GrossKg, w.Note = median(kg), strings.Join(notes, "; ")
		out = append(out, w)
		from = to
	}
	return out
}

// median leaves x sorted; NaN for an empty one.
func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	slices.Sort(x)
	n := len(x)
	return (x[(n-1)/2] + x[n/2]) / 2
}
