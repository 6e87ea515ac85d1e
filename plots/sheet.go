package plots

import (
	"image/color"
	"math"
	"strings"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/recorder"
)

// box is a rectangle in points, y upwards.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) w() float64 { return b.x1 - b.x0 }
func (b box) h() float64 { return b.y1 - b.y0 }
func (b box) grow(d float64) box {
	return box{b.x0 - d, b.y0 - d, b.x1 + d, b.y1 + d}
}
func (b box) meets(o box) bool {
	return b.x0 < o.x1 && o.x0 < b.x1 && b.y0 < o.y1 && o.y0 < b.y1
}
func (b box) within(o box) bool {
	return b.x0 >= o.x0 && b.x1 <= o.x1 && b.y0 >= o.y0 && b.y1 <= o.y1
}

func boxOf(r vg.Rectangle) box {
	return box{float64(r.Min.X), float64(r.Min.Y), float64(r.Max.X), float64(r.Max.Y)}
}

// point is a place in points.
func point(x, y float64) vg.Point { return vg.Point{X: vg.Length(x), Y: vg.Length(y)} }

// written is a text that was drawn, and where.
type written struct {
	str string
	pt  float64
	box box
}

// sheet is the canvas of one chart. It hands everything on to the canvas of a
// format and remembers where letters and dark marks are, so that a label can be
// put where there is room; gonum/plot places labels without looking.
type sheet struct {
	vg.Canvas
	look      Look
	w, h      float64
	texts     []written
	marks     []box // dark marks and lines, which text does not cover
	edges     []box // edges of pale fills, which text crosses only where it must
	col       color.Color
	lineWidth vg.Length
	measure   *measured
}

// newSheet makes a sheet on a canvas; without one it only measures.
func newSheet(l Look, on vg.Canvas, w, h float64) *sheet {
	if on == nil {
		on = &recorder.Canvas{}
	}
	return &sheet{Canvas: on, look: l, w: w, h: h, col: color.Black, measure: newMeasured()}
}

// onto is a sheet of the same look on another canvas, which knows what was measured.
func (s *sheet) onto(on vg.Canvas, w, h float64) *sheet {
	t := newSheet(s.look, on, w, h)
	t.measure = s.measure
	return t
}

// SetColor takes black for nil, as gonum/plot asks.
func (s *sheet) SetColor(c color.Color) {
	if c == nil {
		c = color.Black
	}
	s.col = c
	s.Canvas.SetColor(c)
}

// SetLineWidth keeps the width, since lines without one are not drawn.
func (s *sheet) SetLineWidth(w vg.Length) {
	s.lineWidth = w
	s.Canvas.SetLineWidth(w)
}

// Stroke draws a line and remembers a dark one.
func (s *sheet) Stroke(p vg.Path) {
	if s.lineWidth <= 0 || len(p) < 2 {
		return
	}
	if dark(s.col) {
		s.marks = append(s.marks, along(p)...)
	}
	s.Canvas.Stroke(p)
}

// Fill fills a shape and remembers it, or its edges when it is pale.
func (s *sheet) Fill(p vg.Path) {
	if dark(s.col) {
		s.marks = append(s.marks, bounds(p)...)
	} else if s.col != color.Color(paper) {
		s.edges = append(s.edges, along(p)...)
	}
	s.Canvas.Fill(p)
}

// FillString writes and remembers where.
func (s *sheet) FillString(f font.Face, at vg.Point, str string) {
	pt := float64(f.Font.Size)
	w, _, _ := s.measure.Box(str, f.Font)
	s.texts = append(s.texts, written{str, pt, textBox(float64(at.X), float64(at.Y), float64(w), pt)})
	s.Canvas.FillString(f, at, str)
}

// dark tells that a colour hides letters: its luma (ITU-R BT.601) is under 60 %.
func dark(c color.Color) bool {
	return color.GrayModel.Convert(c).(color.Gray).Y < 153
}

// along covers a path with small boxes.
func along(p vg.Path) []box {
	var out []box
	var from vg.Point
	for _, c := range p {
		switch c.Type {
		case vg.ArcComp:
			r := float64(c.Radius)
			out = append(out, box{float64(c.Pos.X) - r, float64(c.Pos.Y) - r, float64(c.Pos.X) + r, float64(c.Pos.Y) + r})
		case vg.LineComp:
			d := c.Pos.Sub(from)
			n := int(math.Max(math.Abs(float64(d.X)), math.Abs(float64(d.Y)))/4) + 1
			for k := range n {
				q := from.Add(d.Scale(vg.Length(k) / vg.Length(n)))
				x, y := float64(q.X), float64(q.Y)
				out = append(out, box{x - 1.5, y - 1.5, x + 1.5, y + 1.5})
			}
		}
		if c.Type != vg.CloseComp {
			from = c.Pos
		}
	}
	return out
}

// bounds are the boxes round the closed parts of a path.
func bounds(p vg.Path) []box {
	var out []box
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, c := range p {
		if c.Type == vg.CloseComp {
			out = append(out, b)
			b = box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
			continue
		}
		x, y, r := float64(c.Pos.X), float64(c.Pos.Y), float64(c.Radius)
		b = box{math.Min(b.x0, x-r), math.Min(b.y0, y-r), math.Max(b.x1, x+r), math.Max(b.y1, y+r)}
	}
	return out
}

// on is a part of the sheet as gonum/plot takes it.
func (s *sheet) on(r box) draw.Canvas {
	return draw.Canvas{Canvas: s, Rectangle: vg.Rectangle{Min: point(r.x0, r.y0), Max: point(r.x1, r.y1)}}
}

// style is how a text looks.
func (s *sheet) style(pt float64, bold bool, c color.NRGBA) draw.TextStyle {
	f := font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Length(pt)}
	if bold {
		f.Weight = xfont.WeightBold
	}
	return draw.TextStyle{Color: c, Font: f, Handler: s.measure}
}

func (s *sheet) plain() draw.TextStyle { return s.style(s.look.TextPt, false, ink) }
func (s *sheet) soft() draw.TextStyle  { return s.style(s.look.TextPt, false, soft) }
func (s *sheet) small() draw.TextStyle {
	return s.style(math.Max(MinTextPt, s.look.TextPt-1), false, soft)
}
func (s *sheet) title() draw.TextStyle { return s.style(s.look.TextPt*1.25, true, ink) }

func (s *sheet) width(str string, st draw.TextStyle) float64 { return float64(st.Width(str)) }

// measured is the plain text of gonum/plot, each text measured once: letters are
// looked up in the font one by one, and plots ask for the same labels many times.
type measured struct {
	text.Plain
	boxes   map[textKey]textSize
	extents map[font.Font]font.Extents
}

type textKey struct {
	str  string
	font font.Font
}

type textSize struct{ width, height, depth vg.Length }

func newMeasured() *measured {
	return &measured{text.Plain{Fonts: font.DefaultCache}, map[textKey]textSize{}, map[font.Font]font.Extents{}}
}

// Box is the size of a line.
func (m *measured) Box(str string, f font.Font) (width, height, depth vg.Length) {
	k := textKey{str, f}
	b, ok := m.boxes[k]
	if !ok {
		b.width, b.height, b.depth = m.Plain.Box(str, f)
		m.boxes[k] = b
	}
	return b.width, b.height, b.depth
}

// Extents are those of a font.
func (m *measured) Extents(f font.Font) font.Extents {
	e, ok := m.extents[f]
	if !ok {
		e = m.Plain.Extents(f)
		m.extents[f] = e
	}
	return e
}

// The part of the letter size that stands above and below the base line
// (Liberation Sans: letters with accents stay below 0.9, tails above -0.21).
const (
	above  = 0.76
	below  = 0.21
	middle = 0.35 // of capitals and digits
)

// textBox is the room of a text whose base line begins at x, y.
func textBox(x, y, w, pt float64) box { return box{x, y - below*pt, x + w, y + above*pt} }

// text writes on a base line; the style says whether x is the left end, the
// middle or the right end.
func (s *sheet) text(str string, x, y float64, st draw.TextStyle) {
	if str == "" {
		return
	}
	s.SetColor(st.Color)
	s.FillString(font.DefaultCache.Lookup(st.Font, st.Font.Size), point(x+float64(st.XAlign)*s.width(str, st), y), str)
}

func aligned(st draw.TextStyle, a draw.XAlignment) draw.TextStyle {
	st.XAlign = a
	return st
}

// free tells that a text there would meet no text and no mark; strict counts
// edges as well.
func (s *sheet) free(b box, strict bool) bool {
	for _, t := range s.texts {
		if b.meets(t.box) {
			return false
		}
	}
	for _, m := range s.marks {
		if b.meets(m) {
			return false
		}
	}
	if strict {
		for _, m := range s.edges {
			if b.meets(m) {
				return false
			}
		}
	}
	return true
}

// wrap breaks a text into lines that fit; a word that is too long for a line
// is broken as well, so that nothing is cut.
func (s *sheet) wrap(str string, st draw.TextStyle, w float64) []string {
	var lines []string
	line := ""
	for _, word := range unbroken(str) {
		next := word
		if line != "" {
			next = line + " " + word
		}
		if s.width(next, st) <= w {
			line = next
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line = word
		for s.width(line, st) > w {
			r := []rune(line)
			n := len(r) - 1
			for n > 1 && s.width(string(r[:n]), st) > w {
				n--
			}
			if n < 1 {
				break
			}
			lines = append(lines, string(r[:n]))
			line = string(r[n:])
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// unbroken splits a text where a line may break: not between a number and what is
// counted or measured ("34 L", "22 March"), nor before a percent sign.
func unbroken(str string) []string {
	var out []string
	number := false // the last word is a number that waits for the next
	for _, w := range strings.Fields(str) {
		if len(out) > 0 && (number || w == "%" || w == "%;") {
			out[len(out)-1] += " " + w
			number = false
			continue
		}
		out = append(out, w)
		number = strings.Trim(w, "0123456789.,-") == "" && !strings.HasSuffix(w, ",") && !strings.HasSuffix(w, ".")
	}
	return out
}

// fit shortens a text to a width by leaving out its middle, so that names that
// differ at the end stay different.
func (s *sheet) fit(str string, st draw.TextStyle, w float64) string {
	if s.width(str, st) <= w {
		return str
	}
	r := []rune(str)
	for keep := len(r) - 1; keep > 1; keep-- {
		head := (keep + 1) / 2
		short := string(r[:head]) + "…" + string(r[len(r)-(keep-head):])
		if s.width(short, st) <= w {
			return short
		}
	}
	return "…"
}

func (s *sheet) rect(b box, c color.Color) {
	on := s.on(b)
	on.FillPolygon(c, corners(on.Rectangle))
}

func corners(r vg.Rectangle) []vg.Point {
	return []vg.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}}
}
