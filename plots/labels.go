package plots

import (
	"image/color"
	"math"
	"sort"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// label writes where nothing is yet, at the first free one of some places; the
// labels of gonum/plot are written on whatever is there. Of several wordings the
// first that finds room is taken; when none does, nothing is written.
type label struct {
	s      *sheet
	words  []string
	style  draw.TextStyle
	places func(c draw.Canvas, p *plot.Plot, width float64) []vg.Point // left ends of base lines, the best first
}

// Plot writes it; it is added after all that it must keep off.
func (l label) Plot(c draw.Canvas, p *plot.Plot) {
	for _, str := range l.words {
		w := l.s.width(str, l.style)
		if l.s.putFirst(str, l.style, boxOf(c.Rectangle), l.places(c, p, w)) {
			return
		}
	}
}

// putFirst writes at the first place that is free and within; it tells whether
// one was.
func (s *sheet) putFirst(str string, st draw.TextStyle, within box, places []vg.Point) bool {
	w := s.width(str, st)
	for _, strict := range []bool{true, false} {
		for _, at := range places {
			b := textBox(float64(at.X), float64(at.Y), w, st.Font.Size.Points())
			if b.within(within) && s.free(b.grow(0.5), strict) {
				s.text(str, float64(at.X), float64(at.Y), st)
				return true
			}
		}
	}
	return false
}

// onRule names a level line over or under it.
func (s *sheet) onRule(v float64, str string, q pen) label {
	st := s.style(s.look.TextPt, false, q.col)
	return label{s, []string{str}, st, func(c draw.Canvas, p *plot.Plot, w float64) []vg.Point {
		_, y := p.Transforms(&c)
		b := boxOf(c.Rectangle)
		var out []vg.Point
		for _, dy := range []float64{4, -s.look.TextPt} {
			for k := range 21 {
				out = append(out, point(b.x0+3+(b.w()-w-6)*float64(k)/20, float64(y(v))+dy))
			}
		}
		return out
	}}
}

// beside names one place on a curve.
func (s *sheet) beside(x, y float64, str string, q pen) label {
	st := s.style(s.look.TextPt, true, q.col)
	return label{s, []string{str}, st, func(c draw.Canvas, p *plot.Plot, w float64) []vg.Point {
		tx, ty := p.Transforms(&c)
		at := point(float64(tx(x)), float64(ty(y)))
		var out []vg.Point
		for _, d := range []vg.Point{{X: 4, Y: 5}, {X: vg.Length(-w / 2), Y: -15}, {X: vg.Length(-w - 5), Y: -12}, {X: vg.Length(-w / 2), Y: 12}, {X: 5, Y: 12}} {
			out = append(out, at.Add(d))
		}
		return out
	}}
}

// ends names lines at the right of the data, each as near to its end as the
// others let it, with a thin line to it; the legend of gonum/plot names lines away
// from them.
type ends struct {
	s     *sheet
	names []string
	at    []float64 // values at the end
	pens  []pen
	room  float64 // points at the right of the data
}

// GlyphBoxes asks for the room.
func (e ends) GlyphBoxes(*plot.Plot) []plot.GlyphBox {
	return []plot.GlyphBox{{X: 1, Y: 0.5, Rectangle: vg.Rectangle{Max: vg.Point{X: vg.Length(e.room)}}}}
}

// Plot writes the names.
func (e ends) Plot(c draw.Canvas, p *plot.Plot) {
	_, ty := p.Transforms(&c)
	s, st, b := e.s, e.s.plain(), boxOf(c.Rectangle)
	pitch := s.look.TextPt * 1.25
	wrapped := make([][]string, len(e.names))
	y, order := make([]float64, len(e.names)), make([]int, len(e.names))
	for i, n := range e.names {
		wrapped[i], order[i] = s.wrap(n, st, e.room-14), i
		y[i] = math.Min(math.Max(float64(ty(e.at[i])), b.y0), b.y1)
	}
	sort.SliceStable(order, func(i, k int) bool { return y[order[i]] > y[order[k]] })
	// From the top: each block no higher than the one before lets it; then pushed up
	// from the bottom where the last ones leave the panel.
	top := make([]float64, len(e.names))
	height := func(i int) float64 { return float64(len(wrapped[i])) * pitch }
	ceil := b.y1 + pitch
	for _, i := range order {
		top[i] = math.Min(y[i]+height(i)/2, ceil)
		ceil = top[i] - height(i)
	}
	floor := b.y0 - pitch*0.3
	for k := len(order) - 1; k >= 0; k-- {
		i := order[k]
		top[i] = math.Max(top[i], floor+height(i))
		floor = top[i]
	}
	for _, i := range order {
		q := e.pens[i]
		c.StrokeLines(lineStyle(pen{q.col, 0.7, nil, markNone}), []vg.Point{point(b.x1+1, y[i]), point(b.x1+8, top[i]-height(i)/2)})
		c.DrawGlyphNoClip(glyph(max(q.mark, markDot), q.col, markRadius), point(b.x1, y[i]))
		for k, l := range wrapped[i] {
			s.text(l, b.x1+11, top[i]-float64(k)*pitch-pitch*0.78, s.style(s.look.TextPt, false, q.col))
		}
	}
}

// keyItem is one entry of a key: a name and samples drawn over one another.
type keyItem struct {
	name    string
	samples []plot.Thumbnailer
}

func keyLine(name string, q pen) keyItem {
	return keyItem{name, []plot.Thumbnailer{&plotter.Line{LineStyle: lineStyle(q)}, &plotter.Scatter{GlyphStyle: glyph(q.mark, q.col, markRadius)}}}
}

func keyFill(name string, c color.NRGBA) keyItem {
	return keyItem{name, []plot.Thumbnailer{&plotter.Polygon{Color: c}}}
}

func keyMark(name string, shape draw.GlyphDrawer, c color.NRGBA) keyItem {
	return keyItem{name, []plot.Thumbnailer{&plotter.Scatter{GlyphStyle: glyph(shape, c, 3)}}}
}

const keySample = 20 // width of a sample, points

// keyRows puts entries in rows: a legend of gonum/plot is one column, which
// takes too much height on a phone. y counts down from 0.
func (s *sheet) keyRows(items []keyItem, w float64) (at []vg.Point, height float64) {
	x, y := 0.0, 0.0
	for _, it := range items {
		need := keySample + s.width(" "+it.name, s.plain())
		if x > 0 && x+need > w {
			x, y = 0, y-s.look.TextPt*1.4
		}
		at = append(at, point(x, y))
		x += need + 13
	}
	if len(items) == 0 {
		return nil, 0
	}
	return at, -y + s.look.TextPt*1.5
}

// keyRoom is the height that a key takes.
func (s *sheet) keyRoom(items []keyItem, w float64) float64 {
	_, h := s.keyRows(items, w)
	return h + 4
}

// keyOver draws a key, each entry a legend, at the top of a box and gives the box
// that is left.
func (s *sheet) keyOver(items []keyItem, r box) box {
	at, _ := s.keyRows(items, r.w())
	for i, it := range items {
		l := plot.NewLegend()
		l.Top, l.Left, l.ThumbnailWidth, l.TextStyle = true, true, keySample, s.plain()
		l.Add(s.fit(it.name, s.plain(), r.w()-keySample-5), it.samples...)
		x, y := r.x0+float64(at[i].X), r.y1+float64(at[i].Y)
		l.Draw(s.on(box{x, y - 2*s.look.TextPt, r.x1, y}))
	}
	r.y1 -= s.keyRoom(items, r.w())
	return r
}
