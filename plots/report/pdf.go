package report

import (
	"fmt"
	"io"
	"strings"
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
	sheetPt      = 9.5 // size of letters, points: 9 at least
	sheetLine    = 4.4 // from line to line
	sheetHeadPt  = 15.0
	sheetBox     = 3.6 // side of a box to tick
	sheetPad     = 1.2 // from the rule to the letters
	sheetMinRow  = 9.0 // room to write by hand
	sheetAcross  = 186 // what the columns share: A4 less two margins; Letter is 6 wider
	sheetNoteMin = 3   // empty rows for notes at the end of a yard
)

// WriteSheets writes a sheet for each yard as a PDF: A4, or Letter with US
// units. A yard that does not fit on one page goes on to the next, its headings
// repeated. The same plan gives the same bytes.
func WriteSheets(w io.Writer, pl *plan.Plan, opt Options) error {
	paper := "A4"
	if opt.Units.US {
		paper = "Letter"
	}
	f := fpdf.New("P", "mm", paper, "")
	f.SetCreationDate(pl.Today)
	f.SetModificationDate(pl.Today)
	f.SetCatalogSort(true)
	f.SetProducer("bloomgap", true)
	f.SetTitle("Yard sheets, "+opt.Units.LongDay(pl.Today), true)
	f.SetLang("en")
	f.AddUTF8FontFromBytes("sans", "", liberationsansregular.TTF)
	f.AddUTF8FontFromBytes("sans", "B", liberationsansbold.TTF)
	f.SetMargins(sheetMargin, sheetMargin, sheetMargin)
	f.SetAutoPageBreak(false, 0)
	f.SetLineWidth(0.2)
	font, err := sfnt.Parse(liberationsansregular.TTF)
	if err != nil {
		return err
	}
	s := &sheets{f: f, font: font, plan: pl, u: opt.Units}
	s.wide, s.high = f.GetPageSize()
	for i := range pl.Yards {
		s.yard(newYardView(pl, &pl.Yards[i], opt.Units))
	}
	if len(pl.Yards) == 0 {
		s.page("No yards")
	}
	return f.Output(w)
}

type sheets struct {
	f          *fpdf.Fpdf
	font       *sfnt.Font
	buf        sfnt.Buffer
	plan       *plan.Plan
	u          words.Style
	wide, high float64
	y          float64
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
	foot := fmt.Sprintf("bloomgap, plan for %s, random seed %d. Page %d.", s.u.LongDay(s.plan.Today), s.plan.Seed, s.f.PageNo())
	if s.plan.Invented {
		foot = "Invented example: no real hive and no real weather. " + foot
	}
	s.fontOf(false, 9)
	s.f.Text(sheetMargin, s.high-sheetMargin+4, foot)
}

func (s *sheets) para(text string, bold bool) {
	s.fontOf(bold, sheetPt)
	for _, l := range s.lines(text, s.wide-2*sheetMargin) {
		s.y += sheetLine
		s.f.Text(sheetMargin, s.y, l)
	}
	s.y += 1
}

// sheetColumns are the headings of a sheet and their share of its width, mm.
var sheetColumns = []struct {
	name  string
	width float64
}{{"Colony", 23}, {"Do", 30}, {"By", 23}, {"How", 34}, {"Done", 41}, {"Notes", 35}}

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
	s.work(v)
	s.y += 2
	s.heading()
	for _, r := range v.Rows {
		s.row(v.Name, r)
	}
	for range sheetNoteMin {
		if s.y+sheetMinRow < s.bottom() {
			s.row(v.Name, sheetRow{})
		}
	}
	end := []string{fmt.Sprintf("First dependable bloom: %s. Nectar: %s.", v.Bloom, v.Nectar)}
	if v.LeaveNames != "" {
		end = append([]string{"No feed needed: " + v.LeaveNames + "."}, end...)
	}
	for _, text := range end {
		s.fontOf(false, sheetPt)
		if s.y+float64(len(s.lines(text, s.wide-2*sheetMargin)))*sheetLine+1 > s.bottom() {
			s.page(v.Name + ", continued")
		}
		s.para(text, false)
	}
}

// work prints what is to be done to the whole yard, each with a box to tick.
func (s *sheets) work(v yardView) {
	for _, t := range v.Work {
		s.fontOf(false, sheetPt)
		for i, l := range s.lines(t.Text, s.wide-2*sheetMargin-sheetBox-1) {
			if s.y+sheetLine > s.bottom()-sheetMinRow {
				s.page(v.Name + ", continued")
				s.fontOf(false, sheetPt)
			}
			if i == 0 {
				s.f.Rect(sheetMargin, s.y+1.2, sheetBox, sheetBox, "D")
			}
			s.y += sheetLine
			s.f.Text(sheetMargin+sheetBox+1, s.y, l)
		}
	}
}

// bottom is where the foot begins.
func (s *sheets) bottom() float64 { return s.high - sheetMargin - 2 }

func (s *sheets) width(i int) float64 {
	return sheetColumns[i].width * (s.wide - 2*sheetMargin) / sheetAcross
}

func (s *sheets) heading() {
	s.fontOf(true, sheetPt)
	x := sheetMargin
	h := sheetLine + 2*sheetPad
	for i, c := range sheetColumns {
		s.f.SetFillColor(230, 230, 230)
		s.f.Rect(x, s.y, s.width(i), h, "DF")
		s.f.Text(x+sheetPad, s.y+h-2*sheetPad, c.name)
		x += s.width(i)
	}
	s.y += h
}

// row prints a colony; rows are not broken over pages unless one is taller than
// a page.
func (s *sheets) row(yard string, r sheetRow) {
	by := r.By
	if r.TooLate {
		by += " go sooner"
	}
	do := r.Do
	if r.Amount != "" {
		do += " " + r.Amount
	}
	cells := make([][]string, len(sheetColumns))
	s.fontOf(true, sheetPt)
	in := func(i int) float64 { return s.width(i) - 2*sheetPad }
	cells[0] = s.lines(r.Colony, in(0))
	s.fontOf(false, sheetPt)
	cells[1], cells[2], cells[3] = s.lines(do, in(1)), s.lines(by, in(2)), s.lines(r.How, in(3))
	var boxed []int // lines of the cell that begin with a box
	for _, t := range r.Ticks {
		boxed = append(boxed, len(cells[4]))
		cells[4] = append(cells[4], s.lines(t.Text, in(4)-sheetBox-1)...)
	}
	most := 0
	for _, c := range cells {
		most = max(most, len(c))
	}
	room := int((s.high - 2*sheetMargin - 40) / sheetLine) // lines that any page holds
	for from := 0; from == 0 || from < most; from += room {
		to := min(from+room, max(most, 1))
		h := max(float64(to-from)*sheetLine+2*sheetPad, sheetMinRow)
		if s.y+h > s.bottom() {
			s.page(yard + ", continued")
			s.heading()
		}
		x := sheetMargin
		for i, c := range cells {
			s.f.Rect(x, s.y, s.width(i), h, "D")
			s.fontOf(i == 0, sheetPt)
			for n := from; n < min(to, len(c)); n++ {
				y := s.y + sheetPad + float64(n-from)*sheetLine + sheetLine*0.78
				at := x + sheetPad
				if i == 4 {
					at += sheetBox + 1
				}
				s.f.Text(at, y, c[n])
			}
			if i == 4 {
				for _, n := range boxed {
					if n >= from && n < to {
						s.f.Rect(x+sheetPad, s.y+sheetPad+float64(n-from)*sheetLine+0.2, sheetBox, sheetBox, "D")
					}
				}
			}
			x += s.width(i)
		}
		s.y += h
	}
}
