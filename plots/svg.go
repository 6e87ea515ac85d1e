package plots

import (
	"bytes"
	"fmt"
	"html"
	"image/color"
	"io"
	"math"
	"strconv"
	"unicode/utf8"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// svg writes small SVG: whole numbers of a tenth of a point, steps from point
// to point, paths of the same look joined, points that no eye can tell left out.
// It uses no ids. The canvas inside is nil: charts are neither turned nor scaled
// and hold no images.
type svg struct {
	vg.Canvas
	buf    bytes.Buffer
	h      float64
	textPt float64
	col    color.Color
	width  float64
	dash   []vg.Length

	attrs string // of the path under way; "" = none
	data  bytes.Buffer
	start bool // the next step starts the path
	x, y  int  // last point of the path under way

	rowAttrs string // of the row of numbers under way; "" = none
	rowX     []byte
	rowText  []byte
}

func newSVG(w, h, textPt float64, title, desc string) *svg {
	s := &svg{h: h, textPt: textPt, col: color.Black, width: 1}
	fmt.Fprintf(&s.buf, `<svg xmlns="http://www.w3.org/2000/svg" role="img" width="%scm" height="%scm" viewBox="0 0 %d %d">`,
		trim(w/ptPerCm), trim(h/ptPerCm), tenth(w), tenth(h))
	fmt.Fprintf(&s.buf, "<title>%s</title><desc>%s</desc>\n", escape(title), escape(desc))
	// Fonts as wide as Liberation Sans come first.
	const group = `<g font-family="Liberation Sans,Arial,Helvetica,sans-serif" font-size="%d" fill="%s" stroke-linejoin="round">` + "\n"
	fmt.Fprintf(&s.buf, group, tenth(textPt), hex(ink))
	return s
}

// escape also replaces what XML cannot hold.
func escape(s string) string {
	clean := make([]rune, 0, len(s))
	for _, r := range s {
		if r == '\t' || r == '\n' || r == '\r' {
			r = ' '
		}
		if r < ' ' || r == 0xFFFE || r == 0xFFFF || r == utf8.RuneError {
			r = '?'
		}
		clean = append(clean, r)
	}
	return html.EscapeString(string(clean))
}

func tenth(v float64) int   { return int(math.Round(v * 10)) }
func trim(v float64) string { return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64) }

func hex(c color.Color) string {
	r, g, b, _ := c.RGBA()
	h := fmt.Sprintf("%02x%02x%02x", r>>8, g>>8, b>>8)
	if h[0] == h[1] && h[2] == h[3] && h[4] == h[5] {
		h = string([]byte{h[0], h[2], h[4]})
	}
	return "#" + h
}

func (s *svg) SetLineWidth(w vg.Length)                 { s.width = float64(w) }
func (s *svg) SetLineDash(d []vg.Length, off vg.Length) { s.dash = d }
func (s *svg) SetColor(c color.Color)                   { s.col = c }

func (s *svg) Stroke(p vg.Path) {
	a := fmt.Sprintf(`fill="none" stroke="%s" stroke-width="%d"`, hex(s.col), tenth(s.width))
	if len(s.dash) > 0 {
		a += ` stroke-dasharray="`
		for i, d := range s.dash {
			if i > 0 {
				a += " "
			}
			a += strconv.Itoa(tenth(float64(d)))
		}
		a += `"`
	}
	s.add(a, p)
}

func (s *svg) Fill(p vg.Path) { s.add(fmt.Sprintf(`fill="%s"`, hex(s.col)), p) }

// add joins a path to the one under way when it looks the same.
func (s *svg) add(attrs string, p vg.Path) {
	p = lean(p)
	if attrs != s.attrs {
		s.flush()
		s.attrs, s.start = attrs, true
	}
	lines := false
	step := func(cmd byte, at vg.Point) {
		x, y := tenth(float64(at.X)), tenth(s.h-float64(at.Y))
		if s.start {
			fmt.Fprintf(&s.data, "M%d %d", x, y)
			s.start, s.x, s.y = false, x, y
			return
		}
		dx, dy := x-s.x, y-s.y
		s.x, s.y = x, y
		switch {
		case cmd == 'l' && dx == 0 && dy == 0 && lines:
			return
		case cmd == 'l' && dy == 0:
			fmt.Fprintf(&s.data, "h%d", dx)
			lines = false
			return
		case cmd == 'l' && dx == 0:
			fmt.Fprintf(&s.data, "v%d", dy)
			lines = false
			return
		case cmd == 'l' && lines:
			if dx >= 0 {
				s.data.WriteByte(' ')
			}
		default:
			s.data.WriteByte(cmd)
		}
		lines = cmd == 'l'
		fmt.Fprintf(&s.data, "%d", dx)
		if dy >= 0 {
			s.data.WriteByte(' ')
		}
		fmt.Fprintf(&s.data, "%d", dy)
	}
	var x0, y0 int
	for _, c := range p {
		switch c.Type {
		case vg.MoveComp:
			lines = false
			step('m', c.Pos)
			x0, y0 = s.x, s.y
		case vg.LineComp:
			step('l', c.Pos)
		case vg.ArcComp: // whole circles only, begun at their right
			r := tenth(float64(c.Radius))
			fmt.Fprintf(&s.data, "a%d %d 0 1 0 %d 0a%d %d 0 1 0 %d 0", r, r, -2*r, r, r, 2*r)
			lines = false
		case vg.CloseComp:
			s.data.WriteByte('z')
			s.x, s.y, lines = x0, y0, false
		default:
			panic("plots: a path holds a part that the SVG writer does not know")
		}
	}
}

// fineness is the distance, points, within which a curve is drawn true: under
// what print or a screen shows.
const fineness = 0.2

// lean thins out a path of one run of lines, closed or not.
func lean(p vg.Path) vg.Path {
	end := len(p)
	if end > 0 && p[end-1].Type == vg.CloseComp {
		end--
	}
	if end < 4 {
		return p
	}
	ps := make([]vg.Point, end)
	for i, c := range p[:end] {
		if (i == 0) != (c.Type == vg.MoveComp) || (i > 0 && c.Type != vg.LineComp) {
			return p
		}
		ps[i] = c.Pos
	}
	var out vg.Path
	for i, q := range simplify(ps, fineness) {
		if i == 0 {
			out.Move(q)
		} else {
			out.Line(q)
		}
	}
	return append(out, p[end:]...)
}

// simplify leaves out points that lie within tol of the line through those kept
// (Douglas and Peucker 1973, Cartographica 10:112-122).
func simplify(ps []vg.Point, tol float64) []vg.Point {
	if len(ps) < 3 {
		return ps
	}
	a, b := ps[0], ps[len(ps)-1]
	far, at := 0.0, 0
	ab := b.Sub(a)
	l := math.Hypot(float64(ab.X), float64(ab.Y))
	for i := 1; i < len(ps)-1; i++ {
		ap := ps[i].Sub(a)
		d := math.Hypot(float64(ap.X), float64(ap.Y))
		if l > 0 {
			d = math.Abs(float64(ab.X*ap.Y-ap.X*ab.Y)) / l
		}
		if d > far {
			far, at = d, i
		}
	}
	if far <= tol {
		return []vg.Point{a, b}
	}
	head, tail := simplify(ps[:at+1:at+1], tol), simplify(ps[at:], tol)
	return append(append(make([]vg.Point, 0, len(head)+len(tail)), head...), tail[1:]...)
}

func (s *svg) flush() {
	if s.attrs != "" {
		fmt.Fprintf(&s.buf, "<path %s d=\"%s\"/>\n", s.attrs, s.data.Bytes())
	}
	if s.rowAttrs != "" {
		fmt.Fprintf(&s.buf, "<text %s x=\"%s\">%s</text>\n", s.rowAttrs, s.rowX, s.rowText)
	}
	s.attrs, s.rowAttrs = "", ""
	s.data.Reset()
	s.rowX, s.rowText = s.rowX[:0], s.rowText[:0]
}

// longText is the number of letters from which the width is written down, so
// that another font keeps the layout.
const longText = 8

func (s *svg) FillString(f font.Face, at vg.Point, str string) {
	if digits(str) {
		s.addDigits(f, at, str)
		return
	}
	s.flush()
	fmt.Fprintf(&s.buf, `<text x="%d" y="%d"`, tenth(float64(at.X)), tenth(s.h-float64(at.Y)))
	s.buf.WriteString(s.look(f))
	if utf8.RuneCountInString(str) >= longText {
		fmt.Fprintf(&s.buf, ` textLength="%d"`, tenth(float64(f.Width(str))))
	}
	fmt.Fprintf(&s.buf, ">%s</text>\n", escape(str))
}

func (s *svg) look(f font.Face) string {
	a := ""
	if f.Font.Size.Points() != s.textPt {
		a += fmt.Sprintf(` font-size="%d"`, tenth(f.Font.Size.Points()))
	}
	if f.Font.Weight > 0 {
		a += ` font-weight="bold"`
	}
	if c := hex(s.col); c != hex(ink) {
		a += fmt.Sprintf(` fill="%s"`, c)
	}
	return a
}

// addDigits joins numbers of one row into one text with a place for each digit.
func (s *svg) addDigits(f font.Face, at vg.Point, str string) {
	attrs := fmt.Sprintf(`y="%d"`, tenth(s.h-float64(at.Y))) + s.look(f)
	if s.rowAttrs != attrs {
		s.flush()
		s.rowAttrs = attrs
	}
	x := float64(at.X)
	for i := range str {
		if len(s.rowText) > 0 {
			s.rowX = append(s.rowX, ' ')
		}
		s.rowX = strconv.AppendInt(s.rowX, int64(tenth(x)), 10)
		s.rowText = append(s.rowText, str[i])
		x += float64(f.Width(str[i : i+1]))
	}
}

func digits(str string) bool {
	for _, r := range str {
		if r < '0' || r > '9' {
			return false
		}
	}
	return len(str) > 0
}

func (s *svg) writeTo(w io.Writer) error {
	s.flush()
	s.buf.WriteString("</g></svg>\n")
	_, err := w.Write(s.buf.Bytes())
	return err
}
