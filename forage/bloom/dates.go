package bloom

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

// Observation is one note of a bloom date.
type Observation struct {
	Date  time.Time // midnight UTC
	Plant string    // as written; may be empty
	Place string    // as written; may be empty
	Stage Stage     // "" when not told
	Line  int       // line of the file, 0 when not from a file
}

// dateColumns gives the headings known for each kind of column, the best first.
var dateColumns = map[string][]string{
	"date":  {"date", "bloom date", "first bloom", "first flower date", "first flower", "full bloom date", "full bloom", "bloom", "flowering date"},
	"year":  {"year"},
	"doy":   {"doy", "day of year", "bloom doy", "yday", "julian day"},
	"plant": {"plant", "common name", "species"},
	"place": {"place", "site", "location", "yard", "station"},
	"stage": {"stage", "phase", "phenophase", "bloom stage"},
}

const sameSpringDays = 180 // two notes of a year further apart may be of two springs (January and December), days

// ReadDates reads notes of bloom dates from a table with a line of headings:
// date (or year and doy, the day of that year), and, when the file has more
// than one kind, plant, place and stage, which the heading of the dates may tell too. The table is text with commas, semicolons or
// tabs, or a workbook, of which the first sheet with dates is read. Dates are as
// read.ParseDate takes them; where day and month could be exchanged the other
// dates of the column tell. In a workbook date cells are read as well.
//
// A second note for a plant, place, stage and year is left out with a warning; the
// earlier date stays. (January and December of a year are two springs.) Lines
// with a problem are left out; the problems tell.
func ReadDates(name string, r io.Reader) ([]Observation, read.Problems) {
	var ps read.Problems
	return datesOf(name, read.Read(name, r, read.DefaultLimits(), &ps), ps)
}

// datesOf reads the notes of the first table that has dates. found is what the
// reading of the file came upon.
func datesOf(name string, grids []*read.Grid, found read.Problems) ([]Observation, read.Problems) {
	ps := found.Fatal() // in what alphabet the file was saved is no matter of dates
	if len(ps) == 1 && ps.Has(read.FileEmpty) {
		ps = nil // said below, with a better remedy
	}
	grids = slices.DeleteFunc(grids, func(g *read.Grid) bool { return len(g.Rows) == 0 })
	if len(grids) == 0 {
		if len(ps) == 0 {
			ps.Report(read.Problem{Code: read.FileEmpty, File: name, Message: "is empty", Fix: "give a line of headings, such as date,plant, and a line for each year"})
		}
		return nil, ps
	}
	g := grids[0]
	if i := slices.IndexFunc(grids, func(g *read.Grid) bool { return newDateCells(g).usable() }); i >= 0 {
		g = grids[i]
	}
	head := g.Rows[0]
	if i := slices.IndexFunc(ps, func(p read.Problem) bool { return p.Line > 0 && p.Line < head.Line }); i >= 0 {
		ps = nil
		ps.Report(read.Problem{Code: read.LineBroken, File: g.File, Line: found.Fatal()[i].Line, Message: "the line of headings cannot be read", Fix: "give headings such as date,plant"})
		return nil, ps
	}
	cells := newDateCells(g)
	if !cells.usable() {
		ps.Report(read.Problem{Code: read.ColumnMissing, File: g.File, Line: head.Line, Message: fmt.Sprintf("no column of dates among %q", strings.Join(head.Cells, ", ")),
			Fix: "name a column date, or two columns year and doy"})
		return nil, ps
	}
	cells.settle()
	var out []Observation
	byKey := map[string]int{} // plant, place, stage, year -> place in out
	for _, row := range g.Rows[1:] {
		o, kind, ok := cells.note(row, &ps)
		if !ok {
			continue
		}
		key := strings.Join([]string{strings.ToLower(o.Plant), strings.ToLower(o.Place), string(o.Stage), strconv.Itoa(o.Date.Year())}, "\x00")
		if i, twice := byKey[key]; twice && math.Abs(o.Date.Sub(out[i].Date).Hours()) <= 24*sameSpringDays {
			first := out[i]
			if o.Date.Before(first.Date) {
				out[i] = o
			}
			ps.Warn(g.File, row.Line, cells.column(kind), fmt.Sprintf("a second date for %d, line %d has the other", o.Date.Year(), first.Line), "the earlier is used")
			continue
		}
		byKey[key] = len(out)
		out = append(out, o)
	}
	if len(out) == 0 && len(ps.Fatal()) == 0 {
		ps.Add(g.File, 0, 0, "holds no dates", "give a line for each year")
	}
	return out, ps
}

// dateCells knows the columns of a table of bloom dates.
type dateCells struct {
	grid  *read.Grid
	at    map[string]int // kind -> cell; -1 = not in this table
	order read.Order     // of day and month where the year is last; read.YearLast when that is open
}

func newDateCells(g *read.Grid) dateCells {
	c := dateCells{grid: g, at: map[string]int{}}
	for kind, names := range dateColumns {
		c.at[kind] = -1
		for _, want := range names {
			i := slices.IndexFunc(g.Rows[0].Cells, func(h string) bool { return heading(h) == want })
			if i >= 0 {
				c.at[kind] = i
				break
			}
		}
	}
	return c
}

// settle finds whether the day or the month is first in dates such as 3/4/2024.
func (c *dateCells) settle() {
	var col read.DateColumn
	for _, row := range c.grid.Rows[1:] {
		if i := c.at["date"]; i >= 0 && i < len(row.Cells) {
			if n, order, _, ok := read.SplitDate(row.Cells[i]); ok {
				col.Add(n, order, row.Line)
			}
		}
	}
	order, settled := col.Order()
	if c.order = order; !settled {
		c.order = read.YearLast
	}
}

// usable tells whether there are dates in any form.
func (c dateCells) usable() bool { return c.at["date"] >= 0 || c.at["year"] >= 0 && c.at["doy"] >= 0 }

// column is the column of a kind for a message, 0 when it is not there.
func (c dateCells) column(kind string) int { return c.at[kind] + 1 }

// note reads one row. kind is the column that gave the date. It is not ok when
// the row has none that can be used; ps then tells.
func (c dateCells) note(row read.GridRow, ps *read.Problems) (o Observation, kind string, ok bool) {
	cell := func(kind string) string {
		if i := c.at[kind]; i >= 0 && i < len(row.Cells) {
			return row.Cells[i]
		}
		return ""
	}
	o = Observation{Plant: cell("plant"), Place: cell("place"), Stage: ParseStage(cell("stage")), Line: row.Line}
	if o.Stage == "" && c.at["date"] >= 0 {
		if said := ParseStage(heading(c.grid.Rows[0].Cells[c.at["date"]])); said == FirstFlower || said == FullBloom {
			o.Stage = said
		}
	}
	var wrong *read.DateError
	switch {
	case cell("date") != "":
		kind = "date"
		o.Date, wrong = c.day(cell("date"))
	case cell("year") != "" && cell("doy") != "":
		o.Date, kind, wrong = parseYearDay(cell("year"), cell("doy"))
	default:
		ps.Warn(c.grid.File, row.Line, c.column("date"), "no date", "left out; a year without bloom or without a note needs no line")
		return o, "", false
	}
	at := read.Problem{File: c.grid.File, Line: row.Line, Column: c.column(kind)}
	if wrong != nil {
		at.Code, at.Message, at.Fix = wrong.Code, wrong.Message, wrong.Fix
		ps.Report(at)
		return o, kind, false
	}
	if q, odd := OutOfSeason(o.Date); odd {
		at.Code, at.Level, at.Message, at.Fix = q.Code, q.Level, q.Message, q.Fix
		ps.Report(at)
	}
	if y := cell("year"); kind == "date" && y != "" {
		if n, ok := read.WholeNumber(y); ok && n == o.Date.Year() {
			return o, kind, true
		}
		ps.Warn(c.grid.File, row.Line, c.column("year"), fmt.Sprintf("year %q is not that of the date %s", y, o.Date.Format(time.DateOnly)), "the date is used")
	}
	return o, kind, true
}

// Select keeps the notes of a plant and a place, upper and lower case alike;
// an empty word keeps all.
func Select(notes []Observation, plant, place string) []Observation {
	var out []Observation
	for _, o := range notes {
		if (plant == "" || strings.EqualFold(o.Plant, strings.TrimSpace(plant))) &&
			(place == "" || strings.EqualFold(o.Place, strings.TrimSpace(place))) {
			out = append(out, o)
		}
	}
	return out
}

// Kinds lists the different plants and places of notes, in order of the alphabet.
func Kinds(notes []Observation) (plants, places []string) {
	for _, o := range notes {
		plants, places = append(plants, o.Plant), append(places, o.Place)
	}
	slices.Sort(plants)
	slices.Sort(places)
	return slices.Compact(plants), slices.Compact(places)
}

// OfStage keeps the notes of a stage; an empty one keeps all.
func OfStage(notes []Observation, stage Stage) []Observation {
	var out []Observation
	for _, o := range notes {
		if stage == "" || o.Stage == stage {
			out = append(out, o)
		}
	}
	return out
}

// Stages lists the different stages of notes, in order of the alphabet; "" is one of them.
func Stages(notes []Observation) []string {
	var out []string
	for _, o := range notes {
		out = append(out, string(o.Stage))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func heading(h string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(h), func(r rune) bool { return r == '_' || r == '-' || r == ' ' }), " ")
}

// day reads a date cell.
func (c dateCells) day(cell string) (time.Time, *read.DateError) {
	if s, serial := c.grid.SerialDay(cell); serial {
		return s.Day, nil
	}
	s, err := read.ParseDate(cell, c.order)
	return s.Day, err
}

func parseYearDay(year, doy string) (date time.Time, kind string, wrong *read.DateError) {
	y, ok := read.WholeNumber(year)
	if !ok || y < read.FirstYear || y > read.LastYear {
		return date, "year", &read.DateError{Code: read.CellDate, Message: fmt.Sprintf("%q is not a year", year), Fix: "write four digits, such as 2024"}
	}
	days := int(jan1(y+1).Sub(jan1(y)).Hours() / 24)
	d, ok := read.WholeNumber(doy)
	if !ok || d < 1 || d > days {
		return date, "doy", &read.DateError{Code: read.CellDate, Message: fmt.Sprintf("%q is not a day of the year %d", doy, y),
			Fix: fmt.Sprintf("write a whole number from 1 to %d; 1 is 1 January", days)}
	}
	return jan1(y).AddDate(0, 0, d-1), "doy", nil
}

// SeasonGuard is the code of the question about bloom in late summer or autumn.
const SeasonGuard read.Code = "bloom-season"

// OutOfSeason asks about a bloom date from August to November: no plant that
// bees build up on in spring blooms then in the cold-temperate north, so the
// month is likely a slip (own judgement; the latest dependable nectar of the
// records behind Builtin is in June).
func OutOfSeason(date time.Time) (read.Problem, bool) {
	if m := date.Month(); m < time.August || m > time.November {
		return read.Problem{}, false
	}
	return read.Problem{Code: SeasonGuard, Level: read.Ask, Message: "bloom on " + date.Format("2 January 2006") + " is not in spring", Fix: "correct the month"}, true
}
