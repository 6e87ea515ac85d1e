package report

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/sfnt"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// Measures of a sheet, mm unless said otherwise; own choice.
const (
	sheetMargin  = 12.0
	sheetPt      = 12.0 // size of letters, points: to be read with gloves on, at arm's length
	sheetFootPt  = 9.0
	sheetLine    = 5.2 // from line to line
	sheetHeadPt  = 16.0
	sheetBox     = 4.6 // side of a box to tick
	sheetPad     = 1.4 // from the rule to the letters
	sheetMinRow  = 9.0 // room to write by hand, with gloves on
	sheetAcross  = 186 // what the columns share: A4 less two margins; Letter is 6 wider
	sheetNoteMin = 3   // empty rows for notes at the end of a yard
)

// WriteSheets writes a PDF, A4 or Letter with US units: a sheet for each day of the
// next two weeks on which yards are visited, with what is done on that day only,
// then a sheet for each yard with all its feedings, and one with what is to be
// checked in the keeper's tables. What does not fit on one page
// goes on to the next, its headings repeated. The same plan gives the same bytes.
func WriteSheets(w io.Writer, pl *plan.Plan, opt Options) error {
	s, err := newSheets("P", "Yard sheets, "+opt.Units.LongDay(pl.Today), pl.Today, opt.Units)
	if err != nil {
		return err
	}
	s.plan = pl
	if s.foot = fmt.Sprintf("bloomgap, plan for %s, random seed %d.", s.u.LongDay(pl.Today), pl.Seed); pl.Invented {
		s.foot = "Invented example: no real hive and no real weather. " + s.foot
	}
	for _, d := range words.VisitDays(pl, daysAhead, opt.Units) {
		s.day(d)
	}
	for i := range pl.Yards {
		s.yard(newYardView(pl, &pl.Yards[i], opt.Units))
	}
	if len(pl.Yards) == 0 {
		s.page("No yards")
	}
	s.reading()
	return s.f.Output(w)
}

// newSheets begins a PDF, upright ("P") or broad side down ("L").
func newSheets(side, title string, day time.Time, u words.Style) (*sheets, error) {
	paper := "A4"
	if u.US {
		paper = "Letter"
	}
	f := fpdf.New(side, "mm", paper, "")
	f.SetCreationDate(day)
	f.SetModificationDate(day)
	f.SetCatalogSort(true)
	f.SetProducer("bloomgap", true)
	f.SetTitle(title, true)
	f.SetLang("en")
	f.AddUTF8FontFromBytes("sans", "", liberationsansregular.TTF)
	f.AddUTF8FontFromBytes("sans", "B", liberationsansbold.TTF)
	f.SetMargins(sheetMargin, sheetMargin, sheetMargin)
	f.SetAutoPageBreak(false, 0)
	f.SetLineWidth(0.2)
	font, err := sfnt.Parse(liberationsansregular.TTF)
	if err != nil {
		return nil, err
	}
	s := &sheets{f: f, font: font, u: u, pt: sheetPt, line: sheetLine}
	s.wide, s.high = f.GetPageSize()
	return s, nil
}

type sheets struct {
	f          *fpdf.Fpdf
	foot       string  // of each page, before its number
	pt, line   float64 // size of letters, points, and from line to line, mm
	font       *sfnt.Font
	buf        sfnt.Buffer
	plan       *plan.Plan
	u          words.Style
	wide, high float64
	y          float64
	columns    []column // of the table that is printed
}

// printable puts "?" for letters that the font does not have.
func (s *sheets) printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r == utf8.RuneError || r > 0xFFFF {
			return '?'
		}
		if g, err := s.font.GlyphIndex(&s.buf, r); err != nil || g == 0 {
			return '?'
		}
		return r
	}, words.Clean(text))
}

func (s *sheets) fontOf(bold bool, pt float64) {
	style := ""
	if bold {
		style = "B"
	}
	s.f.SetFont("sans", style, pt)
}

// lines wraps text to a width with the font that is set; words too long for it
// are cut.
func (s *sheets) lines(text string, width float64) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(s.printable(text)) {
		for {
			try := word
			if line != "" {
				try = line + " " + word
			}
			if s.f.GetStringWidth(try) <= width {
				line = try
				break
			}
			if line != "" {
				out, line = append(out, line), ""
				continue
			}
			n := len(word)
			for n > 0 && s.f.GetStringWidth(word[:n]) > width {
				_, size := utf8.DecodeLastRuneInString(word[:n])
				n -= size
			}
			if n == 0 { // not even one letter fits
				_, n = utf8.DecodeRuneInString(word)
			}
			out, word = append(out, word[:n]), word[n:]
			if word == "" {
				break
			}
		}
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}

// page begins a page.
func (s *sheets) page(title string) {
	s.f.AddPage()
	s.y = sheetMargin
	s.fontOf(true, sheetHeadPt)
	for _, l := range s.lines(title, s.wide-2*sheetMargin) {
		s.y += 6
		s.f.Text(sheetMargin, s.y, l)
	}
	s.y += 2
	s.fontOf(false, sheetFootPt)
	s.f.Text(sheetMargin, s.high-sheetMargin+4, fmt.Sprintf("%s Page %d.", s.foot, s.f.PageNo()))
}

func (s *sheets) para(text string, bold bool) {
	s.fontOf(bold, s.pt)
	for _, l := range s.lines(text, s.wide-2*sheetMargin) {
		s.y += s.line
		s.f.Text(sheetMargin, s.y, l)
	}
	s.y += 1
}

// column is a column of a sheet: its heading and its share of the width, mm.
type column struct {
	name  string
	width float64
}

// The columns of the sheet of a yard, and of that of a day.
var (
	yardColumns = []column{{"Colony", 20}, {"Do", 34}, {"By", 21}, {"How", 42}, {"Done", 46}, {"Notes", 23}}
	dayColumns  = []column{{"Colony", 24}, {"To do", 92}, {"New heft or weight", 34}, {"Notes", 36}}
)

// cell is what stands in a row under one heading: text, or things to tick off.
type cell struct {
	text  string
	list  []string // each on a line of its own
	end   string   // the last line, bold
	ticks []string
}

// day prints the sheet of a visit day.
func (s *sheets) day(d words.VisitDay) {
	day := d.Name(s.u)
	s.page(day)
	for _, text := range d.Remark {
		s.para(text, true)
	}
	for _, part := range []struct {
		head string
		list []string
	}{{"Mix the day before:", d.Mix}, {"Load:", d.Load}} {
		if len(part.list) > 0 {
			s.para(part.head, true)
			s.tickList(day, part.list)
		}
	}
	for _, y := range d.Yards {
		s.y += 2
		if s.y+4*sheetMinRow > s.bottom() {
			s.page(day + ", continued")
		}
		s.para(y.Name, true)
		s.tickList(day, y.Work)
		if len(y.Rows)+len(y.Rest) == 0 {
			continue
		}
		s.columns = dayColumns
		s.heading()
		for _, r := range slices.Concat(y.Rows, y.Rest) {
			again := cell{}
			if r.Tally { // how many heft as what now
				again.list = []string{"light", "fair", "heavy"}
			}
			s.row(day, []cell{{text: r.Colony}, {ticks: r.Do}, again, {}})
		}
	}
}

// reading is a sheet with what was found while the keeper's tables were read; there
// is none when nothing was.
func (s *sheets) reading() {
	var list []string
	for _, n := range words.WarningNotes(s.plan) {
		if text := words.Sentence(s.u.Note(n.What)); plan.OfReading(n.What) && !slices.Contains(list, text) {
			list = append(list, text)
		}
	}
	if len(list) > 0 {
		const title = "To check in your tables"
		s.page(title)
		s.tickList(title, list)
	}
}

func (s *sheets) yard(v yardView) {
	title := v.Name
	if v.Next != "" {
		title += ": next visit " + v.Next
	}
	s.page(title)
	s.para(fmt.Sprintf("%d to feed, %d to watch, %d no feed.", v.Feed, v.Watch, v.Leave), false)
	if len(v.Take) > 0 {
		s.para("Take along: "+strings.Join(v.Take, "; ")+".", true)
	}
	if len(v.Gear) > 0 {
		var parts []string
		for _, g := range v.Gear {
			parts = append(parts, fmt.Sprintf("%s, %d needed, %d on hand", g.Item, g.Needed, g.OnHand))
		}
		s.para("Equipment: "+strings.Join(parts, "; ")+".", false)
	}
	work := make([]string, len(v.Work))
	for i, t := range v.Work {
		work[i] = t.Text
	}
	s.tickList(v.Name, work)
	s.y += 2
	s.columns = yardColumns
	s.heading()
	for _, r := range v.Rows {
		s.row(v.Name, cellsOf(r))
	}
	end := []string{fmt.Sprintf("First dependable bloom: %s. Nectar: %s.", v.Bloom, v.Nectar)}
	if v.LeaveNames != "" {
		end = append([]string{"No feed needed: " + v.LeaveNames + "."}, end...)
	}
	room := 0.0 // what the end takes
	s.fontOf(false, s.pt)
	for _, text := range end {
		room += float64(len(s.lines(text, s.wide-2*sheetMargin)))*s.line + 1
	}
	for range sheetNoteMin {
		if s.y+sheetMinRow+room < s.bottom() {
			s.row(v.Name, make([]cell, len(yardColumns)))
		}
	}
	for _, text := range end {
		s.fontOf(false, s.pt)
		if s.y+float64(len(s.lines(text, s.wide-2*sheetMargin)))*s.line+1 > s.bottom() {
			s.page(v.Name + ", continued")
		}
		s.para(text, false)
	}
}

// cellsOf is the row of a colony on the sheet of its yard.
func cellsOf(r sheetRow) []cell {
	by, do := r.By, r.Do
	if r.TooLate {
		by += " go sooner"
	}
	if r.Amount != "" {
		do += " " + r.Amount
	}
	ticks := make([]string, len(r.Ticks))
	for i, t := range r.Ticks {
		ticks[i] = t.Text
	}
	return []cell{{text: r.Colony}, {text: do}, {text: by}, {text: r.How}, {ticks: ticks}, {}}
}

// tickList prints things to do, each with a box to tick.
func (s *sheets) tickList(title string, list []string) {
	for _, text := range list {
		s.fontOf(false, s.pt)
		for i, l := range s.lines(text, s.wide-2*sheetMargin-sheetBox-1.5) {
			if s.y+s.line > s.bottom()-sheetMinRow {
				s.page(title + ", continued")
				s.fontOf(false, s.pt)
			}
			if i == 0 {
				s.y += 0.8
				s.f.Rect(sheetMargin, s.y+s.line-sheetBox+0.6, sheetBox, sheetBox, "D")
			}
			s.y += s.line
			s.f.Text(sheetMargin+sheetBox+1.5, s.y, l)
		}
	}
	s.y += 2.5 // the last box reaches under its line
}

// bottom is where the foot begins.
func (s *sheets) bottom() float64 { return s.high - sheetMargin - 2 }

func (s *sheets) width(i int) float64 {
	return s.columns[i].width * (s.wide - 2*sheetMargin) / sheetAcross
}

func (s *sheets) heading() {
	s.fontOf(true, s.pt)
	heads := make([][]string, len(s.columns))
	most := 1
	for i, c := range s.columns {
		heads[i] = s.lines(c.name, s.width(i)-2*sheetPad)
		most = max(most, len(heads[i]))
	}
	x, h := sheetMargin, float64(most)*s.line+2*sheetPad
	for i := range s.columns {
		s.f.SetFillColor(230, 230, 230)
		s.f.Rect(x, s.y, s.width(i), h, "DF")
		for n, l := range heads[i] {
			s.f.Text(x+sheetPad, s.y+sheetPad+(float64(n)+0.78)*s.line, l)
		}
		x += s.width(i)
	}
	s.y += h
}

// row prints a row, its first cell bold; rows are not broken over pages unless one
// is taller than a page.
func (s *sheets) row(title string, cells []cell) {
	texts, boxed := make([][]string, len(cells)), make([][]int, len(cells)) // boxed: lines that begin with a box
	strong := make([]int, len(cells))                                       // first bold line after others; 0 none
	most := 0
	for i, c := range cells {
		s.fontOf(i == 0, s.pt)
		in := s.width(i) - 2*sheetPad
		texts[i] = s.lines(c.text, in)
		for _, t := range c.list {
			texts[i] = append(texts[i], s.lines(t, in)...)
		}
		if c.end != "" {
			s.fontOf(true, s.pt)
			strong[i] = len(texts[i])
			texts[i] = append(texts[i], s.lines(c.end, in)...)
		}
		for _, t := range c.ticks {
			boxed[i] = append(boxed[i], len(texts[i]))
			texts[i] = append(texts[i], s.lines(t, in-sheetBox-1.5)...)
		}
		most = max(most, len(texts[i]))
	}
	room := int((s.high - 2*sheetMargin - 40) / s.line) // lines that any page holds
	for from := 0; from == 0 || from < most; from += room {
		to := min(from+room, max(most, 1))
		h := max(float64(to-from)*s.line+2*sheetPad, sheetMinRow)
		if s.y+h > s.bottom() {
			s.page(title + ", continued")
			s.heading()
		}
		x := sheetMargin
		for i := range cells {
			s.f.Rect(x, s.y, s.width(i), h, "D")
			s.fontOf(i == 0, s.pt)
			in := 0.0
			if len(cells[i].ticks) > 0 {
				in = sheetBox + 1.5
			}
			for n := from; n < min(to, len(texts[i])); n++ {
				if strong[i] > 0 && n >= strong[i] {
					s.fontOf(true, s.pt)
				}
				s.f.Text(x+sheetPad+in, s.y+sheetPad+float64(n-from)*s.line+s.line*0.78, texts[i][n])
			}
			for _, n := range boxed[i] {
				if n >= from && n < to {
					s.f.Rect(x+sheetPad, s.y+sheetPad+float64(n-from)*s.line+0.2, sheetBox, sheetBox, "D")
				}
			}
			x += s.width(i)
		}
		s.y += h
	}
}
