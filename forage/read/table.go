package read

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// Column is a column that a reader knows.
type Column struct {
	Name     string   // in lower case with underscores, without a unit: "gross"
	Aliases  []string // other headings for the same
	Old      []string // headings of earlier versions, read with a warning that names the new one
	Required bool     // the table cannot be used without it
	Unit     string   // unit in which its numbers come out, from Units; "" = a plain number or text
	Bare     string   // unit meant when neither heading nor cell names one; "" = Unit
}

// heading is how a beekeeper would write the column's name.
func (c Column) heading() string {
	if c.Unit == "" {
		return c.Name
	}
	bare := c.Bare
	if bare == "" {
		bare = c.Unit
	}
	return c.Name + "_" + normal(bare)
}

// Table is a table whose headings were understood.
type Table struct {
	File string
	Rows []Row

	grid   *Grid
	cols   map[string]*bound
	ps     *Problems
	header int // line of the headings
}

// bound is a known column and where it stands.
type bound struct {
	Column
	at    int  // index of the cell; -1 = not in this table
	given Unit // unit named by the heading or meant by default
	named bool // the heading named it
	bad   bool // its heading cannot be used, and so no cell either
}

// Row is one row of a Table. Its accessors add a problem for a cell that they
// cannot use, and then give what they give for an empty cell.
type Row struct {
	t     *Table
	Line  int
	cells []string
}

// New finds the known columns in the headings of a grid. Unknown headings give
// a warning that names the nearest known one, a missing required column or one
// in a unit of the wrong kind a problem. It always gives a table; without
// required columns it has no rows.
func New(g *Grid, columns []Column, ps *Problems) *Table {
	t := &Table{File: g.File, grid: g, cols: map[string]*bound{}, ps: ps}
	for _, c := range columns {
		b := &bound{Column: c, at: -1}
		if c.Unit != "" {
			b.given = mustUnit(c.Unit)
			if c.Bare != "" {
				b.given = mustUnit(c.Bare)
			}
		}
		t.cols[c.Name] = b
	}
	if len(g.Rows) == 0 {
		ps.Report(Problem{Code: FileEmpty, File: g.File, Message: "the table is empty", Fix: "write a heading row with " + headings(columns)})
		return t
	}
	head := g.Rows[0]
	t.header = head.Line
	for i, text := range head.Cells {
		if text != "" {
			t.bind(i, text, columns)
		}
	}
	usable := true
	for _, c := range columns {
		if c.Required && t.cols[c.Name].at < 0 {
			ps.Report(
				Problem{
					Code:    ColumnMissing,
					File:    g.File,
					Line:    head.Line,
					Message: fmt.Sprintf("the column %q is missing", c.heading()),
					Fix:     "add it to the heading row",
				},
			)
			usable = false
		}
	}
	if !usable {
		return t
	}
	for _, r := range g.Rows[1:] {
		for i := len(head.Cells); i < len(r.Cells); i++ {
			if r.Cells[i] != "" {
				ps.Report(Problem{Code: CellBeyond, Level: Note, File: g.File, Line: r.Line, Column: i + 1,
					Message: fmt.Sprintf("%q stands beyond the last heading and is not used", short(r.Cells[i])),
					Fix:     "give the column a heading, or quote a cell that holds the separator"})
				break
			}
		}
		t.Rows = append(t.Rows, Row{t: t, Line: r.Line, cells: r.Cells})
	}
	return t
}

// headings lists the required columns for a message.
func headings(columns []Column) string {
	var names []string
	for _, c := range columns {
		if c.Required {
			names = append(names, c.heading())
		}
	}
	return strings.Join(names, ", ")
}

// bind understands one heading.
func (t *Table) bind(i int, text string, columns []Column) {
	key := normal(text)
	for _, c := range columns {
		for _, name := range append([]string{c.Name}, c.Aliases...) {
			name = normal(name)
			if key == name {
				t.set(i, text, c, Unit{}, false)
				return
			}
		}
		for _, name := range c.Old {
			if key == normal(name) {
				t.ps.Warn(t.File, t.header, i+1, fmt.Sprintf("the column %q is called %q now; it is read all the same", short(text), c.Name), "call it "+c.Name)
				t.set(i, text, c, Unit{}, false)
				return
			}
		}
	}
	for _, c := range columns { // then name and unit
		for _, name := range append([]string{c.Name}, c.Aliases...) {
			rest, ok := strings.CutPrefix(key, normal(name)+"_")
			if !ok {
				continue
			}
			u, known := FindUnit(rest)
			switch {
			case !known:
				continue
			case c.Unit == "":
				t.heading(i, ColumnUnit, Error, fmt.Sprintf("the column %q has no unit, but the heading says %s", c.Name, u.Name), "call it "+c.Name)
				t.set(i, text, c, Unit{}, false)
				return
			case u.Dimension != mustUnit(c.Unit).Dimension:
				t.heading(
					i,
					ColumnUnit,
					Error,
					fmt.Sprintf("the heading %q is in %s, but %s is wanted", text, u.Name, mustUnit(c.Unit).Dimension),
					"call it "+unitHeadings(c),
				)
				t.set(i, text, c, Unit{}, false)
				t.cols[c.Name].bad = true
				return
			}
			t.set(i, text, c, u, true)
			return
		}
	}
	fix := "remove it or begin its heading with #"
	if near := t.nearest(key, columns); near != "" {
		fix = fmt.Sprintf("did you mean %q?", near)
	} else if key == "" || strings.HasPrefix(text, "#") {
		return
	}
	t.heading(i, ColumnUnknown, Note, fmt.Sprintf("the column %q is not known and not used", short(text)), fix)
}

// heading adds a problem with a heading.
func (t *Table) heading(i int, code Code, level Level, message, fix string) {
	t.ps.Report(Problem{Code: code, Level: level, File: t.File, Line: t.header, Column: i + 1, Message: message, Fix: fix})
}

// unitHeadings shows a heading in metric and in US units.
func unitHeadings(c Column) string {
	metric := c.Name + "_" + normal(c.Unit)
	if us := mustUnit(c.Unit).US; us != "" {
		return metric + " or " + c.Name + "_" + normal(us)
	}
	return metric
}

func (t *Table) set(i int, text string, c Column, u Unit, named bool) {
	b := t.cols[c.Name]
	if b.at >= 0 {
		t.heading(i, ColumnTwice, Error, fmt.Sprintf("the column %q appears twice", c.Name), "keep one of the two")
		return
	}
	b.at = i
	if named {
		b.given, b.named = u, true
	}
}

// nearest is the known heading closest to a misspelt one; "" when none is near.
func (t *Table) nearest(key string, columns []Column) string {
	best, least := "", 1+len(key)/3
	for _, c := range columns {
		for _, name := range append([]string{c.heading(), c.Name}, c.Aliases...) {
			if d := editDistance(key, normal(name)); d <= least && d < len(name) {
				if d < least || best == "" {
					best = name
				}
				least = d
			}
		}
	}
	return best
}

// Nearest is the word of a list closest to a misspelt one; "" when none is near.
func Nearest(word string, known []string) string {
	best, least := "", 2+len(word)/3
	for _, k := range known {
		if d := editDistance(normal(word), normal(k)); d < least {
			best, least = k, d
		}
	}
	return best
}

// maxWord is the length up to which spellings are compared (own judgement; no
// heading is longer).
const maxWord = 64

// editDistance counts the letters to change, add or drop.
func editDistance(a, b string) int {
	if len(a) > maxWord || len(b) > maxWord {
		return maxWord
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			cost := diagonal
			if a[i-1] != b[j-1] {
				cost++
			}
			diagonal = row[j]
			row[j] = min(cost, row[j]+1, row[j-1]+1)
		}
	}
	return row[len(b)]
}

func (t *Table) column(name string) *bound {
	b, ok := t.cols[name]
	if !ok {
		panic("read: a cell is asked for in a column that was not declared")
	}
	return b
}

// HasColumn tells whether the table has the column.
func (t *Table) HasColumn(name string) bool { return t.column(name).at >= 0 }

// HeaderLine is the line of the headings; 0 for an empty table.
func (t *Table) HeaderLine() int { return t.header }

// raw is the text of a cell, "" for one that is not there or says that nothing
// is known.
func (r Row) raw(b *bound) string {
	if b.bad || b.at < 0 || b.at >= len(r.cells) {
		return ""
	}
	return r.cells[b.at]
}

// isNothing tells whether a cell of a keeper's own table says that nothing is
// known: fewer words than IsMissing, so that a slip is not passed over.
func isNothing(s string) bool {
	switch strings.ToLower(s) {
	case "", "-", "–", "—", "?", "n/a", "na", "unknown":
		return true
	}
	return false
}

// Has tells whether the cell says something; "-", "?", "n/a" and "unknown" do not.
func (r Row) Has(col string) bool { return !isNothing(r.raw(r.t.column(col))) }

// Report adds a problem with a cell at its place; col "" means the whole row.
func (r Row) Report(col string, p Problem) {
	p.File, p.Line, p.Column = r.t.File, r.Line, r.at(col)
	r.t.ps.Report(p)
}

// Problem adds an error of a cell without a code of its own; col "" means the
// whole row.
func (r Row) Problem(col, message, fix string) { r.Report(col, Problem{Message: message, Fix: fix}) }

// Warn adds a warning about a cell; col "" means the whole row.
func (r Row) Warn(col, message, fix string) {
	r.Report(col, Problem{Level: Note, Message: message, Fix: fix})
}

// wrong adds an error of a cell.
func (r Row) wrong(col string, code Code, message, fix string) {
	r.Report(col, Problem{Code: code, Message: message, Fix: fix})
}

func (r Row) at(col string) int {
	if col == "" {
		return 0
	}
	return r.t.column(col).at + 1
}

// Need adds a problem when the cell is empty.
func (r Row) Need(col string) bool {
	if r.Has(col) {
		return true
	}
	if r.t.column(col).bad {
		return false // said once, at the heading
	}
	r.wrong(col, CellEmpty, fmt.Sprintf("%s is empty", col), "fill it in")
	return false
}

// NeedText is the cell as text that must not be empty, such as a name: here
// "unknown" and the like are words as any other.
func (r Row) NeedText(col string) (string, bool) {
	text := r.Text(col)
	if text == "" && !r.t.column(col).bad {
		r.wrong(col, CellEmpty, fmt.Sprintf("%s is empty", col), "fill it in")
	}
	return text, text != ""
}

// Name is the cell as a name that must not be empty, of mostNameLetters letters
// at most.
func (r Row) Name(col string) (string, bool) {
	text, ok := r.NeedText(col)
	if n := utf8.RuneCountInString(text); n > mostNameLetters {
		r.wrong(col, CellLong, fmt.Sprintf("%s %q has %d letters, more than %d", col, short(text), n, mostNameLetters), "shorten the name")
		return "", false
	}
	return text, ok
}

// mostNameLetters is how long a name may be, letters (own judgement: three lines
// on a sheet).
const mostNameLetters = 80

// Text is the cell as text, "" when empty. An apostrophe that SafeCell put in
// front is taken off.
func (r Row) Text(col string) string {
	s := r.raw(r.t.column(col))
	if rest, ok := strings.CutPrefix(s, "'"); ok && SafeCell(rest) == s {
		return rest
	}
	return s
}

// Float is the cell as a number in the unit of the column, NaN when empty.
func (r Row) Float(col string) float64 { return r.FloatIn(col, math.Inf(-1), math.Inf(1)) }

// FloatIn is Float with a range, in the unit of the column, both ends allowed.
func (r Row) FloatIn(col string, lo, hi float64) float64 {
	b := r.t.column(col)
	text := r.raw(b)
	if isNothing(text) {
		return math.NaN()
	}
	v, unit, ok := r.number(col, b, text)
	if !ok {
		return math.NaN()
	}
	if b.Unit == "" {
		if v < lo || v > hi {
			r.wrong(col, CellRange, fmt.Sprintf("%s %s is not possible: it must lie %s", col, text, between(lo, hi, "")), "correct it")
			return math.NaN()
		}
		return v
	}
	want := mustUnit(b.Unit)
	out := Convert(v, unit, want)
	if out < lo || out > hi {
		r.wrong(col, CellRange, fmt.Sprintf("%s %s %s is not possible: it must lie %s", col, strconv.FormatFloat(v, 'g', -1, 64), unit.Name,
			between(Convert(lo, want, unit), Convert(hi, want, unit), " "+unit.Name)), "correct it or its unit")
		return math.NaN()
	}
	return out
}

// Degrees is FloatIn for a latitude or longitude, which may have ° and the letter
// of its half of the globe behind it: 72.9 W is -72.9. halves are the two letters,
// the positive one first: "NS" or "EW".
func (r Row) Degrees(col, halves string, lo, hi float64) float64 {
	b := r.t.column(col)
	m := degrees.FindStringSubmatch(r.raw(b))
	if m == nil || !strings.Contains(halves, strings.ToUpper(m[2])) {
		return r.FloatIn(col, lo, hi)
	}
	sign := ""
	if strings.ToUpper(m[2]) == halves[1:] {
		sign = "-"
	}
	cells := slices.Clone(r.cells)
	cells[b.at] = sign + m[1]
	r.cells = cells
	return r.FloatIn(col, lo, hi)
}

// degrees is a figure with ° or a letter of the globe's half behind it.
var degrees = regexp.MustCompile(`^(\d+(?:\.\d*)?)\s*°?\s*([NSEWnsew]?)$`)

// Unit is the unit that a cell's number is written in: its own, or that of the
// heading. The column must have one.
func (r Row) Unit(col string) Unit {
	b := r.t.column(col)
	text := r.raw(b)
	if cut := strings.LastIndexAny(text, "0123456789.,"); cut >= 0 {
		if u, known := FindUnit(strings.TrimSpace(text[cut+1:])); known {
			return u
		}
	}
	return b.given
}

func between(lo, hi float64, unit string) string {
	num := func(v float64) string {
		if v == math.Trunc(v) && math.Abs(v) < 1e9 {
			return strconv.FormatFloat(v, 'f', 0, 64)
		}
		return strconv.FormatFloat(v, 'g', 4, 64)
	}
	switch {
	case math.IsInf(hi, 1):
		return "at or above " + num(lo) + unit
	case math.IsInf(lo, -1):
		return "at or below " + num(hi) + unit
	}
	return "from " + num(lo) + " to " + num(hi) + unit
}

// number splits a cell into its number and unit.
func (r Row) number(col string, b *bound, text string) (v float64, unit Unit, ok bool) {
	unit = b.given
	num := text
	if cut := strings.LastIndexAny(text, "0123456789.,"); cut >= 0 && cut+1 < len(text) {
		tail := strings.TrimSpace(text[cut+1:])
		u, known := FindUnit(tail)
		switch {
		case tail == "°" && unit.Dimension == Temperature, tail == "%" && strings.HasSuffix(b.Name, "_percent"):
			u = unit
		case !known:
			r.wrong(col, CellNumber, fmt.Sprintf("%s %q is not a number", col, short(text)), "write a number only, with a point for decimals")
			return 0, unit, false
		case b.Unit == "":
			r.wrong(col, CellUnit, fmt.Sprintf("%s %q has a unit, but a plain number is wanted", col, short(text)), "write the number only")
			return 0, unit, false
		case u.Dimension != unit.Dimension:
			r.wrong(
				col,
				CellUnit,
				fmt.Sprintf("%s %q is in %s, but %s is wanted", col, short(text), u.Name, unit.Dimension),
				"write it in "+mustUnit(b.Unit).Name+" or put the right number here",
			)
			return 0, unit, false
		case b.named && u.Name != unit.Name:
			r.wrong(col, CellUnit, fmt.Sprintf("%s %q is in %s, but the heading says %s", col, short(text), u.Name, unit.Name), "write it in "+unit.Name)
			return 0, unit, false
		}
		num, unit = strings.TrimSpace(text[:cut+1]), u
	}
	plain := strings.Replace(num, "−", "-", 1) // the minus of typesetters
	if r.t.grid.DecimalComma && thousands.MatchString(num) {
		r.wrong(col, CellNumber, fmt.Sprintf("%s %q may have a point for decimals or between thousands", col, short(text)),
			"write "+strings.ReplaceAll(num, ".", "")+" or "+strings.Replace(num, ".", ",", 1))
		return 0, unit, false
	}
	if r.t.grid.DecimalComma && strings.Count(plain, ",") == 1 && !strings.Contains(plain, ".") {
		plain = strings.Replace(plain, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(plain, 64)
	switch {
	case err == nil && !math.IsNaN(v) && !math.IsInf(v, 0) && !strings.ContainsAny(plain, "xXpP_"):
		return v, unit, true
	case strings.Contains(num, ","):
		r.wrong(
			col,
			CellNumber,
			fmt.Sprintf("%s %q has a comma in it", col, short(text)),
			"write decimals with a point and no mark between thousands, such as 1234.5",
		)
	default:
		r.wrong(col, CellNumber, fmt.Sprintf("%s %q is not a number", col, short(text)), "write a number only, or leave the cell empty when it is not known")
	}
	return 0, unit, false
}

// thousands is a number that may have a point between thousands, as those write
// who write a comma for decimals.
var thousands = regexp.MustCompile(`^[-+]?[1-9]\d{0,2}\.\d{3}$`)

// Int is the cell as a whole number within a range; false when empty or not
// usable.
func (r Row) Int(col string, lo, hi int) (int, bool) {
	v := r.FloatIn(col, float64(lo), float64(hi))
	if math.IsNaN(v) {
		return 0, false
	}
	if v != math.Trunc(v) {
		r.wrong(col, CellNumber, fmt.Sprintf("%s %g is not a whole number", col, v), "write a whole number")
		return 0, false
	}
	return int(v), true
}

// Date is the cell as a day at midnight UTC, the zero time when empty: text as
// ParseDate takes it, or in a workbook a date cell. A time of day counts for
// nothing.
func (r Row) Date(col string) time.Time {
	text := r.raw(r.t.column(col))
	if isNothing(text) {
		return time.Time{}
	}
	return r.date(col, text)
}

// Dates is a cell with any number of days in numbers, separated by spaces, commas
// or semicolons, in order of time.
func (r Row) Dates(col string) []time.Time {
	text := r.raw(r.t.column(col))
	if isNothing(text) {
		return nil
	}
	var out []time.Time
	for _, part := range strings.FieldsFunc(text, func(c rune) bool { return c == ' ' || c == ',' || c == ';' || c == '\n' || c == '\t' }) {
		if d := r.date(col, part); !d.IsZero() {
			out = append(out, d)
		}
	}
	slices.SortFunc(out, time.Time.Compare)
	return slices.Compact(out)
}

func (r Row) date(col, text string) time.Time {
	if s, ok := r.t.grid.SerialDay(text); ok {
		return s.Day
	}
	s, err := ParseDate(text, YearLast)
	if err != nil {
		r.wrong(col, err.Code, col+" "+err.Message, err.Fix)
	}
	return s.Day
}

// Bool is a cell with yes or no, and what is given when it is empty.
func (r Row) Bool(col string, whenEmpty bool) bool {
	text := r.raw(r.t.column(col))
	switch strings.ToLower(text) {
	case "yes", "y", "true", "1", "x":
		return true
	case "no", "n", "false", "0":
		return false
	}
	if !isNothing(text) {
		r.wrong(col, CellWord, fmt.Sprintf("%s %q is neither yes nor no", col, short(text)), "write yes or no")
	}
	return whenEmpty
}

// Choice is a cell with one of a few words, whatever its case; "" when empty.
func (r Row) Choice(col string, words ...string) string {
	text := r.Text(col)
	if isNothing(text) {
		return ""
	}
	for _, w := range words {
		if normal(w) == normal(text) {
			return w
		}
	}
	fix := "write " + orList(words)
	if near := Nearest(text, words); near != "" {
		fix = fmt.Sprintf("did you mean %q? ", near) + fix
	}
	r.wrong(col, CellWord, fmt.Sprintf("%s %q is not known", col, short(text)), fix)
	return ""
}

func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// maxShown is how many letters of a cell a message repeats (own judgement).
const maxShown = 40

// short is a cell in a message: one line, not too long.
func short(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > maxShown {
		return string(r[:maxShown-1]) + "…"
	}
	return s
}
