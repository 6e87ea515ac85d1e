package plots

import (
	"image/color"
	"math"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// surface is the part of gonum/plot's vg.Canvas that charts need; its PNG
// canvas is one, and so are the SVG and PDF writers here. The origin is bottom
// left, lengths are points.
type surface interface {
	SetLineWidth(vg.Length)
	SetLineDash(pattern []vg.Length, offset vg.Length)
	SetColor(color.Color)
	Stroke(vg.Path)
	Fill(vg.Path)
	FillString(f font.Face, at vg.Point, text string)
}

// blank is a surface on which nothing is drawn, for measuring.
type blank struct{}

func (blank) SetLineWidth(vg.Length)                 {}
func (blank) SetLineDash([]vg.Length, vg.Length)     {}
func (blank) SetColor(color.Color)                   {}
func (blank) Stroke(vg.Path)                         {}
func (blank) Fill(vg.Path)                           {}
func (blank) FillString(font.Face, vg.Point, string) {}

type pt struct{ x, y float64 }

// box is a rectangle, y upwards.
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

// written is a text that was drawn, and where.
type written struct {
	str string
	pt  float64
	box box
}

// sheet draws on a surface and remembers where text and marks are.
type sheet struct {
	look  Look
	on    surface
	w, h  float64
	texts []written
	marks []box // marks and lines that text does not cover
	edges []box // edges that text crosses only where it must
}

func newSheet(l Look, on surface, w, h float64) *sheet {
	if on == nil {
		on = blank{}
	}
	return &sheet{look: l, on: on, w: w, h: h}
}

// style is how a text looks.
type style struct {
	pt   float64
	bold bool
	col  color.NRGBA
}

func (s *sheet) plain() style      { return style{s.look.TextPt, false, ink} }
func (s *sheet) softStyle() style  { return style{s.look.TextPt, false, soft} }
func (s *sheet) smallStyle() style { return style{math.Max(MinTextPt, s.look.TextPt-1), false, soft} }
func (s *sheet) titleStyle() style { return style{s.look.TextPt * 1.25, true, ink} }
func (s *sheet) headStyle() style  { return style{s.look.TextPt, true, ink} }

type align int

const (
	left align = iota
	centre
	right
)

func (s *sheet) width(str string, st style) float64 {
	f := face(st.bold, st.pt)
	return float64(f.Width(str))
}

// The part of the letter size that stands above and below the base line
// (Liberation Sans: letters with accents stay below 0.9, tails above -0.21).
const (
	above = 0.76
	below = 0.21
)

func textBox(x, y, w float64, a align, pt float64) box {
	switch a {
	case centre:
		x -= w / 2
	case right:
		x -= w
	}
	return box{x, y - below*pt, x + w, y + above*pt}
}

// text writes on a base line.
func (s *sheet) text(str string, x, y float64, a align, st style) {
	if str == "" {
		return
	}
	b := textBox(x, y, s.width(str, st), a, st.pt)
	s.on.SetColor(st.col)
	s.on.FillString(face(st.bold, st.pt), vg.Point{X: vg.Length(b.x0), Y: vg.Length(y)}, str)
	s.texts = append(s.texts, written{str, st.pt, b})
}

// textMid writes with the middle of the letters at y.
func (s *sheet) textMid(str string, x, y float64, a align, st style) {
	s.text(str, x, y-0.35*st.pt, a, st)
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
func (s *sheet) wrap(str string, st style, w float64) []string {
	var lines []string
	line := ""
	for _, word := range words(str) {
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

// words splits a text where a line may break: not between a number and what is
// counted or measured ("34 L", "22 March"), nor before a percent sign.
func words(str string) []string {
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
func (s *sheet) fit(str string, st style, w float64) string {
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

func (s *sheet) pen(p pen) {
	s.on.SetColor(p.col)
	s.on.SetLineWidth(vg.Length(p.width))
	var d []vg.Length
	for _, v := range p.dash {
		d = append(d, vg.Length(v))
	}
	s.on.SetLineDash(d, 0)
}

func pathOf(ps []pt) vg.Path {
	var p vg.Path
	for i, q := range ps {
		at := vg.Point{X: vg.Length(q.x), Y: vg.Length(q.y)}
		if i == 0 {
			p.Move(at)
		} else {
			p.Line(at)
		}
	}
	return p
}

// line draws through points.
func (s *sheet) line(p pen, ps ...pt) {
	if len(ps) < 2 {
		return
	}
	s.pen(p)
	s.on.Stroke(pathOf(ps))
}

// area fills a polygon.
func (s *sheet) area(c color.NRGBA, ps ...pt) {
	if len(ps) < 3 {
		return
	}
	path := pathOf(ps)
	path.Close()
	s.on.SetColor(c)
	s.on.Fill(path)
}

func (b box) corners() []pt { return []pt{{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}} }

func (s *sheet) rect(b box, c color.NRGBA) { s.area(c, b.corners()...) }

func (s *sheet) frame(b box, p pen) {
	s.pen(p)
	path := pathOf(b.corners())
	path.Close()
	s.on.Stroke(path)
}

// hatch draws slanted lines over a rectangle, so that it shows in grey.
func (s *sheet) hatch(b box, p pen, step float64) {
	for c := b.x0 - b.h() + step; c < b.x1; c += step {
		x0, y0, x1, y1 := c, b.y0, c+b.h(), b.y1
		if x0 < b.x0 {
			x0, y0 = b.x0, b.y0+(b.x0-c)
		}
		if x1 > b.x1 {
			x1, y1 = b.x1, b.y0+(b.x1-c)
		}
		s.line(p, pt{x0, y0}, pt{x1, y1})
	}
}

func (s *sheet) disc(x, y, r float64, fill color.NRGBA, edge *pen) {
	var p vg.Path
	p.Move(vg.Point{X: vg.Length(x + r), Y: vg.Length(y)})
	p.Arc(vg.Point{X: vg.Length(x), Y: vg.Length(y)}, vg.Length(r), 0, 2*math.Pi)
	p.Close()
	s.on.SetColor(fill)
	s.on.Fill(p)
	if edge != nil {
		s.pen(*edge)
		s.on.Stroke(p)
	}
}

// marker draws a mark of a radius; hollow ones are white inside.
func (s *sheet) marker(m mark, x, y, r float64, c color.NRGBA, hollow bool) {
	var ps []pt
	switch m {
	case markNone:
		return
	case markDot:
		fill := c
		if hollow {
			fill = paper
		}
		s.disc(x, y, r, fill, &pen{c, 0.9, nil, markNone})
		return
	case markSquare:
		q := r * 0.9
		ps = []pt{{x - q, y - q}, {x + q, y - q}, {x + q, y + q}, {x - q, y + q}}
	case markUp:
		ps = []pt{{x - r*1.1, y - r*0.8}, {x + r*1.1, y - r*0.8}, {x, y + r*1.15}}
	case markDown:
		ps = []pt{{x - r*1.1, y + r*0.8}, {x + r*1.1, y + r*0.8}, {x, y - r*1.15}}
	case markDiamond:
		q := r * 1.25
		ps = []pt{{x - q, y}, {x, y - q}, {x + q, y}, {x, y + q}}
	}
	fill := c
	if hollow {
		fill = paper
	}
	s.area(fill, ps...)
	path := pathOf(ps)
	path.Close()
	s.pen(pen{c, 0.9, nil, markNone})
	s.on.Stroke(path)
}

// simplify leaves out points that lie within tol of the line through those kept
// (Douglas and Peucker 1973, Cartographica 10:112-122).
func simplify(ps []pt, tol float64) []pt {
	if len(ps) < 3 {
		return ps
	}
	a, b := ps[0], ps[len(ps)-1]
	far, at := 0.0, 0
	l := math.Hypot(b.x-a.x, b.y-a.y)
	for i := 1; i < len(ps)-1; i++ {
		var d float64
		if l == 0 {
			d = math.Hypot(ps[i].x-a.x, ps[i].y-a.y)
		} else {
			d = math.Abs((b.x-a.x)*(a.y-ps[i].y)-(a.x-ps[i].x)*(b.y-a.y)) / l
		}
		if d > far {
			far, at = d, i
		}
	}
	if far <= tol {
		return []pt{a, b}
	}
	head, tail := simplify(ps[:at+1:at+1], tol), simplify(ps[at:], tol)
	return append(append(make([]pt, 0, len(head)+len(tail)), head...), tail[1:]...)
}
