package plots

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

func lineStyle(q pen) draw.LineStyle {
	l := draw.LineStyle{Color: q.col, Width: vg.Length(q.width)}
	for _, d := range q.dash {
		l.Dashes = append(l.Dashes, vg.Length(d))
	}
	return l
}

// mark is a shape of marker. gonum/plot has no diamond, none that points down,
// and no hollow one that hides the line under it.
type mark int

const (
	markNone mark = iota
	markDot
	markSquare
	markUp
	markDiamond
	markDown
	markNeed // a bar that stands
)

// DrawGlyph draws a filled mark.
func (m mark) DrawGlyph(c *draw.Canvas, g draw.GlyphStyle, at vg.Point) { m.fill(c, g, at, g.Color) }

// hollow is a mark that is white inside.
type hollow struct{ mark }

// DrawGlyph draws a mark in white with an edge.
func (m hollow) DrawGlyph(c *draw.Canvas, g draw.GlyphStyle, at vg.Point) {
	m.fill(c, g, at, paper)
}

// pale is a mark with a tint inside.
type pale struct{ mark }

// DrawGlyph draws a mark in a tint with an edge.
func (m pale) DrawGlyph(c *draw.Canvas, g draw.GlyphStyle, at vg.Point) {
	m.fill(c, g, at, tint(g.Color.(color.NRGBA), innerTint))
}

func (m mark) fill(c *draw.Canvas, g draw.GlyphStyle, at vg.Point, inside color.Color) {
	if m == markNone {
		return
	}
	var p vg.Path
	if m == markDot {
		p.Move(vg.Point{X: at.X + g.Radius, Y: at.Y})
		p.Arc(at, g.Radius, 0, 2*math.Pi)
	} else {
		for i, q := range m.corners() {
			q = at.Add(q.Scale(g.Radius))
			if i == 0 {
				p.Move(q)
			} else {
				p.Line(q)
			}
		}
	}
	p.Close()
	c.SetColor(inside)
	c.Fill(p)
	c.SetLineStyle(draw.LineStyle{Color: g.Color, Width: 0.9})
	c.Stroke(p)
}

// corners of a mark of radius 1.
func (m mark) corners() []vg.Point {
	switch m {
	case markSquare:
		return []vg.Point{{X: -0.9, Y: -0.9}, {X: 0.9, Y: -0.9}, {X: 0.9, Y: 0.9}, {X: -0.9, Y: 0.9}}
	case markUp:
		return []vg.Point{{X: -1.1, Y: -0.8}, {X: 1.1, Y: -0.8}, {X: 0, Y: 1.15}}
	case markNeed:
		return []vg.Point{{X: -0.22, Y: -1.4}, {X: 0.22, Y: -1.4}, {X: 0.22, Y: 1.4}, {X: -0.22, Y: 1.4}}
	case markDown:
		return []vg.Point{{X: -1.1, Y: 0.8}, {X: 1.1, Y: 0.8}, {X: 0, Y: -1.15}}
	}
	return []vg.Point{{X: -1.25}, {Y: -1.25}, {X: 1.25}, {Y: 1.25}}
}

func glyph(shape draw.GlyphDrawer, c color.NRGBA, radius float64) draw.GlyphStyle {
	return draw.GlyphStyle{Color: c, Radius: vg.Length(radius), Shape: shape}
}

// markRadius is the radius of a marker on a line, points.
const markRadius = 2.3

// xys pairs slices in runs without a NaN.
func xys(xs, ys []float64) []plotter.XYs {
	var runs []plotter.XYs
	var run plotter.XYs
	for i := range min(len(xs), len(ys)) {
		if math.IsNaN(ys[i]) || math.IsInf(ys[i], 0) {
			if len(run) > 0 {
				runs = append(runs, run)
			}
			run = nil
			continue
		}
		run = append(run, plotter.XY{X: xs[i], Y: ys[i]})
	}
	if len(run) > 0 {
		runs = append(runs, run)
	}
	return runs
}

// lines are a curve, in pieces where it has gaps, with a marker every so many
// points of paper; shift moves the first so that those of two lines do not fall
// together. A piece of one day is a marker.
func lines(xs, ys []float64, q pen, widthPt, shift float64) []plot.Plotter {
	const pitch = 46
	every := max(1, int(math.Round(pitch/math.Max(widthPt, 1)*float64(len(xs)))))
	dot := glyph(max(q.mark, markDot), q.col, markRadius)
	var out []plot.Plotter
	for _, run := range xys(xs, ys) {
		if len(run) == 1 {
			out = append(out, &plotter.Scatter{XYs: run, GlyphStyle: dot})
			continue
		}
		out = append(out, &plotter.Line{XYs: run, LineStyle: lineStyle(q)})
		if q.mark == markNone {
			continue
		}
		var marked plotter.XYs
		for i := int((0.3 + shift) * float64(every)); i < len(run); i += every {
			marked = append(marked, run[i])
		}
		out = append(out, &plotter.Scatter{XYs: marked, GlyphStyle: dot})
	}
	return out
}

// band fills between two slices, in pieces where one has gaps.
func band(xs, lo, hi []float64, c color.NRGBA) []plot.Plotter {
	n := min(len(xs), len(lo), len(hi))
	clean := func(v []float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = v[i]
			if math.IsNaN(lo[i]) || math.IsNaN(hi[i]) {
				out[i] = math.NaN()
			}
		}
		return out
	}
	var out []plot.Plotter
	los, his := xys(xs[:n], clean(lo)), xys(xs[:n], clean(hi))
	for i, ring := range los {
		for k := len(his[i]) - 1; k >= 0; k-- {
			ring = append(ring, his[i][k])
		}
		out = append(out, &plotter.Polygon{XYs: []plotter.XYs{ring}, Color: c})
	}
	return out
}

// rects fill rectangles, given in the units of the axes, with one colour.
func rects(c color.Color, bs ...box) *plotter.Polygon {
	p := &plotter.Polygon{Color: c}
	for _, b := range bs {
		p.XYs = append(p.XYs, plotter.XYs{{X: b.x0, Y: b.y0}, {X: b.x1, Y: b.y0}, {X: b.x1, Y: b.y1}, {X: b.x0, Y: b.y1}})
	}
	return p
}

// rule is a level line over the whole width.
func rule(p *plot.Plot, v float64, q pen) plot.Plotter {
	return &plotter.Line{XYs: plotter.XYs{{X: p.X.Min, Y: v}, {X: p.X.Max, Y: v}}, LineStyle: lineStyle(q)}
}

// hatched is a rectangle with slanted lines, so that it shows in grey; without
// ends of its own it fills its canvas. gonum/plot has no hatching.
type hatched struct {
	x0, x1, y0, y1 float64 // NaN: to the edge of the axes
	fill           color.Color
	hatch, edge    pen
	step           float64 // points from line to line
}

// Plot draws it in the units of the axes.
func (h hatched) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	in := func(v float64, at func(float64) vg.Length, lo, hi, edge vg.Length) vg.Length {
		if math.IsNaN(v) {
			return edge
		}
		return min(max(at(v), lo), hi)
	}
	c.Rectangle = vg.Rectangle{
		Min: vg.Point{X: in(h.x0, x, c.Min.X, c.Max.X, c.Min.X), Y: in(h.y0, y, c.Min.Y, c.Max.Y, c.Min.Y)},
		Max: vg.Point{X: in(h.x1, x, c.Min.X, c.Max.X, c.Max.X), Y: in(h.y1, y, c.Min.Y, c.Max.Y, c.Max.Y)}}
	h.Thumbnail(&c)
}

// Thumbnail fills a canvas.
func (h hatched) Thumbnail(c *draw.Canvas) {
	c.FillPolygon(h.fill, corners(c.Rectangle))
	b := boxOf(c.Rectangle)
	for at := b.x0 - b.h() + h.step; at < b.x1; at += h.step {
		c.StrokeLines(lineStyle(h.hatch), c.ClipLinesX([]vg.Point{point(at, b.y0), point(at+b.h(), b.y1)})...)
	}
	c.StrokeLines(lineStyle(h.edge), append(corners(c.Rectangle), c.Min))
}

// spread is the look of what 9 springs of 10 need.
func spread(b box) hatched {
	return hatched{x0: b.x0, x1: b.x1, y0: b.y0, y1: b.y1, fill: tint(colPlan, outerTint),
		hatch: pen{tint(colPlan, 0.6), 0.5, nil, markNone}, edge: pen{colPlan, 0.6, nil, markNone}, step: 4}
}

// ring marks one place on a curve.
func ring(x, y float64, q pen) plot.Plotter {
	return &plotter.Scatter{XYs: plotter.XYs{{X: x, Y: y}}, GlyphStyle: glyph(hollow{markDot}, q.col, 3)}
}

// foot draws marks that stand on the horizontal axis; they need no room of their
// own, which those of gonum/plot take.
type foot struct {
	xs []float64
	draw.GlyphStyle
}

// Plot draws those within the range of the axis.
func (f foot) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	for _, v := range f.xs {
		if c.ContainsX(x(v)) {
			c.DrawGlyphNoClip(f.GlyphStyle, vg.Point{X: x(v), Y: c.Min.Y + f.Radius + 0.4})
		}
	}
}

// over keeps room over the data and draws there: what stands beside the scale is
// not cut by it.
type over struct {
	height float64 // points
	plot   func(c draw.Canvas, p *plot.Plot)
}

// Plot draws over the data.
func (o over) Plot(c draw.Canvas, p *plot.Plot) { o.plot(c, p) }

// GlyphBoxes asks for the room.
func (o over) GlyphBoxes(*plot.Plot) []plot.GlyphBox {
	return []plot.GlyphBox{{X: 0.5, Y: 1, Rectangle: vg.Rectangle{Max: vg.Point{Y: vg.Length(o.height)}}}}
}
