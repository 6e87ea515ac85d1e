package terminal

import (
	"fmt"
	"io"
	"regexp"
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// Screen says how a terminal is written to.
type Screen struct {
	Words  words.Style
	Colour bool // bold headings and red risks; only for a terminal that shows them
	Width  int  // columns, MinWidth or more
	Why    bool // everything behind the short answer: reasons, feedings by date, cautions, limits
}

// MinWidth is the narrowest terminal that the tables fit, columns.
const MinWidth = 100

// DefaultScreen is metric, without colour, 100 columns, the short answer.
func DefaultScreen() Screen { return Screen{Width: MinWidth} }

// Validate tells whether tables can be written so.
func (s Screen) Validate() error {
	if s.Width < MinWidth {
		return fmt.Errorf("tables need %d columns and only %d are given", MinWidth, s.Width)
	}
	return nil
}

// mostListed is the most colonies to feed and to watch that a plan lists without
// being asked: more than one screen of them is read by yard. Own choice, 20-40.
const mostListed = 30

// Write prints the plan for a terminal: first what to do, then what to watch, the
// yards, the order, the equipment and the next visits; a plan of more colonies
// than mostListed on one screen, a line for each yard. The warnings are always
// there. With Screen.Why all is listed, and reasons, cautions and limits follow.
// No line is wider than the screen.
func Write(w io.Writer, pl *plan.Plan, s Screen) error {
	if err := s.Validate(); err != nil {
		return err
	}
	p := &printer{Screen: s}
	p.head(pl)
	n := words.Counts(pl)
	if !s.Why && len(pl.Yards) > 1 && n.Feed+n.Watch > mostListed {
		p.overview(pl)
	} else {
		p.colonies(pl)
	}
	_, err := io.WriteString(w, p.out.String())
	return err
}

// printer collects what is printed.
type printer struct {
	Screen
	out strings.Builder
}

func (p *printer) heading(s string) {
	if p.out.Len() > 0 {
		p.out.WriteByte('\n')
	}
	s = wrapLines(s, p.Width)
	if p.Colour {
		s = "\x1b[1m" + strings.ReplaceAll(s, "\n", "\x1b[0m\n\x1b[1m") + "\x1b[0m"
	}
	p.out.WriteString(s + "\n")
}

// para prints text wrapped, its later lines set in.
func (p *printer) para(lead, s string) {
	in := strings.Repeat(" ", text.StringWidthWithoutEscSequences(lead))
	for i, line := range wrap(words.Clean(s), p.Width-len(in)) {
		if i > 0 {
			lead = in
		}
		p.out.WriteString(strings.TrimRight(lead+line, " ") + "\n")
	}
}

// column is a column of a table: its heading, the most it may be wide, and its
// side. A column that bends shares the room that the others leave, and is never
// narrower than its width.
type column struct {
	name  string
	width int
	side  side
}

type side int

const (
	left side = iota
	right
	bends // left, and takes part in sharing the room
)

// gap is the spaces between columns.
const gap = 2

// grid prints a table. Cells must be clean; they may hold line breaks. The
// least widths and the gaps must fit the narrowest terminal.
func (p *printer) grid(cols []column, rows [][]string) {
	writeTable(&p.out, cols, p.share(cols, rows), rows, wrapLines)
}

// share gives each column its width.
func (p *printer) share(cols []column, rows [][]string) []int {
	widths, wants := make([]int, len(cols)), make([]int, len(cols))
	room := p.Width - gap*(len(cols)-1)
	for i, c := range cols {
		wants[i] = widest(c.name)
		for _, r := range rows {
			wants[i] = max(wants[i], widest(r[i]))
		}
		widths[i] = min(wants[i], c.width)
		room -= widths[i]
	}
	if room < 0 {
		panic("tables: the columns of a table are wider than the narrowest terminal")
	}
	for given := true; room > 0 && given; {
		given = false
		for i, c := range cols {
			if c.side == bends && room > 0 && widths[i] < wants[i] {
				widths[i]++
				room--
				given = true
			}
		}
	}
	return widths
}

func widest(cell string) int {
	w := 0
	for line := range strings.SplitSeq(cell, "\n") {
		w = max(w, text.StringWidthWithoutEscSequences(line))
	}
	return w
}

// wrapLines wraps each line of a cell by itself.
func wrapLines(s string, width int) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.Join(wrap(lines[i], width), "\n")
	}
	return strings.Join(lines, "\n")
}

// wrap cuts text into lines of at most width columns, between words where it
// can. Letters that take two columns count as two. It is written here because
// the library's wrapping lets a wide letter at the edge stick out.
func wrap(s string, width int) []string {
	if text.StringWidthWithoutEscSequences(s) <= width {
		return []string{s}
	}
	var lines []string
	var line strings.Builder
	used := 0
	next := func() {
		lines = append(lines, line.String())
		line.Reset()
		used = 0
	}
	for _, word := range parcels(s, width) {
		w := text.StringWidthWithoutEscSequences(word)
		if used > 0 {
			if used+1+w <= width {
				line.WriteByte(' ')
				used++
			} else {
				next()
			}
		}
		for _, r := range word {
			if n := text.RuneWidth(r); used+n > width {
				next()
			}
			line.WriteRune(r)
			used += text.RuneWidth(r)
		}
	}
	return append(lines, line.String())
}

// parcels are the words of a text, with what is read at one glance left together where it
// fits a line: a figure and its unit, a day and its month, with the weekday before it.
func parcels(s string, width int) []string {
	var out []string
	last := ""
	for _, word := range strings.Fields(s) {
		if n := len(out); n > 0 && oneGlance(last, word) && text.StringWidthWithoutEscSequences(out[n-1])+1+text.StringWidthWithoutEscSequences(word) <= width {
			out[n-1] += " " + word
		} else {
			out = append(out, word)
		}
		last = word
	}
	return out
}

// oneGlance tells that a word belongs to the one before it.
func oneGlance(before, word string) bool {
	word = strings.TrimRight(word, ".,;:)")
	return figure.MatchString(before) && unit.MatchString(word) || weekday.MatchString(before) && figure.MatchString(word)
}

var (
	figure  = regexp.MustCompile(`^[(±+-]*[0-9][0-9.,]*$`)
	unit    = regexp.MustCompile(`^(%|kg|g|L|lb|lbs|oz|gal|qt|C|F|km|m|ft|mi|Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec|(Janu|Febru)ary|March|April|June|July|August|(Septem|Octo|Novem|Decem)ber)$`)
	weekday = regexp.MustCompile(`^\(?(Mon|Tue|Wed|Thu|Fri|Sat|Sun)$`)
)

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

func (p *printer) list(head string, items []string) {
	if len(items) == 0 {
		return
	}
	p.heading(head)
	for _, s := range items {
		p.para("  - ", words.Sentence(s))
	}
}
