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
	Line  int       // line of the file, 0 when not from a file
}

// dateColumns gives the headings known for each kind of column, the best first.
var dateColumns = map[string][]string{
	"date":  {"date", "bloom date", "first bloom", "first flower date", "first flower", "bloom", "flowering date"},
	"year":  {"year"},
	"doy":   {"doy", "day of year", "bloom doy", "yday", "julian day"},
	"plant": {"plant", "common name", "species"},
	"place": {"place", "site", "location", "yard", "station"},
}

const (
	firstNoteYear, lastNoteYear = 1500, 2200 // years taken for real
	maxDateFileBytes            = 64 << 20   // more is no file of dates, bytes, own choice, 1 MB-1 GB
	maxDateFileRows             = 2_000_000  // as many lines as such a file can hold, own choice, 10 000-10 million
	sameSpringDays              = 180        // two notes of a year further apart may be of two springs (January and December), days
)

// ReadDatesFile reads notes of bloom dates from a file, as ReadDates does.
func ReadDatesFile(path string) ([]Observation, read.Problems) {
	var ps read.Problems
	return datesOf(path, read.Open(path, path, dateLimits(), &ps), ps)
}

// ReadDates reads notes of bloom dates from a table with a line of headings:
// date (or year and doy, the day of that year), and, when the file has more
// than one kind, plant and place. The table is text with commas, semicolons or
// tabs, or a workbook, of which the first sheet with dates is read. Dates are
// 2024-04-28, 2024/04/28, 20240428 or 28.04.2024; with slashes also 28/04/2024
// where only one reading is possible; in a workbook date cells as well.
//
// A second note for a plant, place and year is left out with a warning; the
// earlier date stays. (January and December of a year are two springs.) Lines
// with a problem are left out; the problems tell.
func ReadDates(name string, r io.Reader) ([]Observation, read.Problems) {
	var ps read.Problems
	return datesOf(name, read.Read(name, r, dateLimits(), &ps), ps)
}

// dateLimits leaves room for the notes of a whole country.
func dateLimits() read.Limits {
	lim := read.DefaultLimits()
	lim.MaxBytes, lim.MaxRows = maxDateFileBytes, maxDateFileRows
	return lim
}

// datesOf reads the notes of the first table that has dates. found is what the
// reading of the file came upon.
func datesOf(name string, grids []*read.Grid, found read.Problems) ([]Observation, read.Problems) {
	ps := found.Fatal() // in what alphabet the file was saved is no matter of dates
	if len(ps) == 1 && ps[0].Message == read.EmptyFile {
		ps = nil
	}
	grids = slices.DeleteFunc(grids, func(g *read.Grid) bool { return len(g.Rows) == 0 })
	if len(grids) == 0 {
		if len(ps) == 0 {
			ps.Add(name, 0, 0, "is empty", "give a line of headings, such as date,plant, and a line for each year")
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
		ps.Add(g.File, found.Fatal()[i].Line, 0, "the line of headings cannot be read", "give headings such as date,plant")
		return nil, ps
	}
	cells := newDateCells(g)
	if !cells.usable() {
		ps.Add(g.File, head.Line, 0, fmt.Sprintf("no column of dates among %q", strings.Join(head.Cells, ", ")),
			"name a column date, or two columns year and doy")
		return nil, ps
	}
	var out []Observation
	byKey := map[string]int{} // plant, place, year -> place in out
	for _, row := range g.Rows[1:] {
		o, kind, ok := cells.note(row, &ps)
		if !ok {
			continue
		}
		key := strings.ToLower(o.Plant) + "\x00" + strings.ToLower(o.Place) + "\x00" + strconv.Itoa(o.Date.Year())
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
	grid *read.Grid
	at   map[string]int // kind -> cell; -1 = not in this table
}

func newDateCells(g *read.Grid) dateCells {
	c := dateCells{g, map[string]int{}}
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
	o = Observation{Plant: cell("plant"), Place: cell("place"), Line: row.Line}
	var what, fix string
	switch {
	case cell("date") != "":
		kind = "date"
		o.Date, what, fix = parseDate(cell("date"))
		if day, serial := c.grid.SerialDay(cell("date")); what != "" && serial {
			o.Date, what, fix = day, "", ""
		}
	case cell("year") != "" && cell("doy") != "":
		o.Date, kind, what, fix = parseYearDay(cell("year"), cell("doy"))
	default:
		ps.Warn(c.grid.File, row.Line, c.column("date"), "no date", "left out; a year without bloom or without a note needs no line")
		return o, "", false
	}
	if what == "" && (o.Date.Year() < firstNoteYear || o.Date.Year() > lastNoteYear) {
		what, fix = fmt.Sprintf("the year %d cannot be", o.Date.Year()), "check the year"
	}
	if what != "" {
		ps.Add(c.grid.File, row.Line, c.column(kind), what, fix)
		return o, kind, false
	}
	if y := cell("year"); kind == "date" && y != "" && y != strconv.Itoa(o.Date.Year()) {
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

func heading(h string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(h), func(r rune) bool { return r == '_' || r == '-' || r == ' ' }), " ")
}

// parseDate reads a date; what is empty when it could.
func parseDate(s string) (date time.Time, what, fix string) {
	s, _, _ = strings.Cut(s, "T") // an ISO time of day is dropped
	for _, layout := range []string{"2006-1-2", "2006/1/2", "20060102", "2.1.2006"} {
		if t, err := time.Parse(layout, s); err == nil {
			return t, "", ""
		}
	}
	dayFirst, errD := time.Parse("2/1/2006", s)
	monthFirst, errM := time.Parse("1/2/2006", s)
	switch {
	case errD == nil && errM == nil && !dayFirst.Equal(monthFirst):
		return time.Time{}, fmt.Sprintf("%q may be %s or %s", s, dayFirst.Format("2 January"), monthFirst.Format("2 January")), "write it as " + dayFirst.Format(time.DateOnly) + " or " + monthFirst.Format(time.DateOnly)
	case errD == nil:
		return dayFirst, "", ""
	case errM == nil:
		return monthFirst, "", ""
	}
	return time.Time{}, fmt.Sprintf("%q is not a date", s), "write year-month-day, such as 2024-04-28"
}

func parseYearDay(year, doy string) (date time.Time, kind, what, fix string) {
	y, err := strconv.Atoi(year)
	if err != nil || y < firstNoteYear || y > lastNoteYear {
		return date, "year", fmt.Sprintf("%q is not a year", year), "write four digits, such as 2024"
	}
	d, err := strconv.Atoi(doy)
	days := 365
	if isLeap(y) {
		days = 366
	}
	if err != nil || d < 1 || d > days {
		return date, "doy", fmt.Sprintf("%q is not a day of the year %d", doy, y), fmt.Sprintf("write a whole number from 1 to %d; 1 is 1 January", days)
	}
	return jan1(y).AddDate(0, 0, d-1), "doy", "", ""
}
