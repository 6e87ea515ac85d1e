package plots

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"bloomgap/feed/plan"
)

// OrderTitle says how much syrup to have and which yard takes the most.
func OrderTitle(p plan.Plan, l Look) string {
	m := l.measure("L")
	if len(p.Yards) == 0 {
		return "No yards to show"
	}
	if !(p.Order.SyrupL.P90 > 0) {
		return "No syrup is needed"
	}
	t := "Have " + m.words(p.Order.SyrupL.P90) + " of syrup, enough in 9 in 10 springs"
	if len(p.Yards) > 1 {
		most := 0
		for i, y := range p.Yards {
			if y.Order.SyrupL.P90 > p.Yards[most].Order.SyrupL.P90 {
				most = i
			}
		}
		t += "; " + p.Yards[most].Name + " takes the most"
	}
	return t
}

// OrderChart draws the syrup of each yard: the middle spring as a bar, and what
// is enough in 9 in 10 as a longer, hatched one.
func OrderChart(p plan.Plan, l Look) *Chart {
	title := OrderTitle(p, l)
	if len(p.Yards) == 0 {
		return nothing(title, "There is no yard in the plan.", l)
	}
	m := l.measure("L")
	ys := append([]plan.YardPlan{}, p.Yards...)
	sort.SliceStable(ys, func(i, j int) bool { return ys[i].Order.SyrupL.P90 > ys[j].Order.SyrupL.P90 })
	var bars []rangeBar
	parts := 0.0
	var desc []string
	for _, y := range ys {
		a := y.Order.SyrupL
		label := amount(m.of(a.P50)) + ", up to " + m.words(a.P90)
		if amount(m.of(a.P50)) == amount(m.of(a.P90)) {
			label = m.words(a.P90)
		}
		if !(a.P90 > 0) {
			label = "none"
		}
		bars = append(bars, rangeBar{name: y.Name, mid: m.of(a.P50), hi: m.of(a.P90), label: label})
		desc = append(desc, y.Name+" "+label)
		parts += zeroNaN(a.P90)
	}
	sub := "Syrup by yard, " + m.name()
	if amount(m.of(parts)) != amount(m.of(p.Order.SyrupL.P90)) && parts > p.Order.SyrupL.P90 {
		sub += "; yards share weather, so what each needs in 9 in 10 springs adds up to more than the whole"
	}
	var keys []keyItem // of the marks that are drawn
	if slices.ContainsFunc(bars, func(b rangeBar) bool { return b.mid > 0 }) {
		keys = append(keys, keyFill(middleName, colPlan))
	}
	if slices.ContainsFunc(bars, func(b rangeBar) bool { return b.hi > b.mid }) {
		keys = append(keys, keyItem{"enough in 9 in 10 springs", []plot.Thumbnailer{spread(box{})}})
	}
	return barChart(title, sub, strings.Join(desc, "; ")+".", "Syrup, "+m.name(), bars, keys, l)
}

// rangeBar is a bar to mid and a longer one to hi.
type rangeBar struct {
	name, label string
	mid, hi     float64
}

// barsHeight is the height of a chart of bars, a row each, over an axis.
func barsHeight(rows int, rowPt float64, keys []keyItem) func(s *sheet, w float64) float64 {
	return func(s *sheet, w float64) float64 {
		return s.keyRoom(keys, w) + float64(rows)*rowPt + s.look.TextPt*3.2
	}
}

// rows are axes for bars that lie, one a row, the first at 0 and the next below;
// with no share of the width for names none are written. rowPt is the height of a
// row.
func (s *sheet) rows(names []string, r box, share, top float64, axis string) (p *plot.Plot, rowPt float64) {
	p = s.axes("")
	st := s.plain()
	var ts plot.ConstantTicks
	gutter := 0.0
	for i, n := range names {
		if share > 0 {
			n = s.fit(n, st, r.w()*share-8)
			ts = append(ts, plot.Tick{Value: -float64(i), Label: n})
			gutter = math.Max(gutter, s.width(n, st))
		}
	}
	p.Y.Tick.Marker, p.Y.Min, p.Y.Max = ts, 0.5-float64(len(names)), 0.5
	if share > 0 {
		p.Y.LineStyle = lineStyle(penAxis)
	}
	step, _, x1 := roundOut(0, top, max(3, int((r.w()-gutter)/60)))
	p.X.Min, p.X.Max, p.X.Tick.Marker, p.X.Label.Text = 0, x1, step, s.fit(axis, s.soft(), r.w()-gutter)
	return p, (r.h() - 3.2*s.look.TextPt) / float64(len(names))
}

func barChart(title, sub, desc, axis string, bars []rangeBar, keys []keyItem, l Look) *Chart {
	return &Chart{title: title, subtitle: sub, desc: desc, look: l,
		height: barsHeight(len(bars), l.TextPt*2.1, keys),
		draw: func(s *sheet, r box) {
			r = s.keyOver(keys, r)
			names, lab, top := make([]string, len(bars)), 0.0, 0.0
			for i, b := range bars {
				names[i] = b.name
				lab = math.Max(lab, s.width(b.label, s.plain()))
				top = math.Max(top, math.Max(zeroNaN(b.hi), zeroNaN(b.mid)))
			}
			under := r.w() < wide // names and labels stand over the bars
			share, room := 0.3, lab+10
			if under {
				share, room = 0, 12
			}
			r.x1 -= room
			p, rowPt := s.rows(names, r, share, top, axis)
			s.addBars(p, bars, rowPt, under, r.w()+room)
			s.drawAll([]*plot.Plot{p}, false, r)
		}}
}

// addBars draws the bars and writes their labels at their ends or, with the names,
// over them.
func (s *sheet) addBars(p *plot.Plot, bars []rangeBar, rowPt float64, under bool, widthPt float64) {
	th, mid := math.Min(0.55, s.look.TextPt*1.3/rowPt), 0.0 // of a row
	if under {
		th, mid = math.Min(0.4, s.look.TextPt/rowPt), -0.22
	}
	st := s.plain()
	labels := &plotter.Labels{Offset: point(5, -middle*s.look.TextPt)}
	if under {
		labels.Offset = point(2, 2.5)
	}
	for i, b := range bars {
		y := mid - float64(i)
		if b.hi > b.mid {
			add(p, spread(box{0, y - th/2, b.hi, y + th/2}))
		}
		if b.mid > 0 {
			add(p, rects(colPlan, box{0, y - th/2, b.mid, y + th/2}))
		}
		at, str := plotter.XY{X: math.Max(zeroNaN(b.hi), zeroNaN(b.mid)), Y: y}, b.label
		if under {
			at = plotter.XY{Y: y + th/2}
			str = s.fit(b.name, st, widthPt-s.width(": "+b.label, st)-4) + ": " + b.label
		}
		labels.XYs, labels.Labels, labels.TextStyle = append(labels.XYs, at), append(labels.Labels, str), append(labels.TextStyle, onLine(st))
	}
	add(p, labels)
}

// onLine sets a text of gonum/plot on its base line.
func onLine(st draw.TextStyle) draw.TextStyle {
	st.YAlign = draw.YAlignment((st.FontExtents().Ascent - st.Font.Size) / st.Height("0"))
	return st
}

func zeroNaN(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// ErrNoCoordinates tells that no yard has both latitude and longitude.
var ErrNoCoordinates = errors.New("no yard has a latitude and a longitude: fill in lat and lon in the yards table to get the map")

// MapTitle says where most of the syrup goes.
func MapTitle(p plan.Plan, l Look) string {
	m := l.measure("L")
	best := -1
	n := 0
	for i, y := range p.Yards {
		if y.Order.SyrupL.P50 > 0 {
			n++
			if best < 0 || y.Order.SyrupL.P50 > p.Yards[best].Order.SyrupL.P50 {
				best = i
			}
		}
	}
	if best < 0 {
		return "No yard needs syrup in the middle spring"
	}
	y := p.Yards[best]
	if n == 1 {
		return "Only " + y.Name + " needs syrup in the middle spring: " + m.words(y.Order.SyrupL.P50)
	}
	return "Most syrup goes to " + y.Name + ": " + m.words(y.Order.SyrupL.P50) + " in the middle spring"
}

// kmPerDegree is the length of a degree of latitude, km (mean sphere of radius
// 6371 km; 110.6-111.7 on the ellipsoid).
const kmPerDegree = 111.2

// YardMap draws the yards by latitude and longitude, an area of disc for the
// syrup of the middle spring. Degrees of longitude are shortened by the cosine
// of the middle latitude. Yards without both coordinates are named below the
// map; ErrNoCoordinates when none has them.
func YardMap(p plan.Plan, l Look) (*Chart, error) {
	title := MapTitle(p, l)
	var ys []plan.YardPlan
	var without []string
	for _, y := range p.Yards {
		if math.IsNaN(y.LatDeg) || math.IsNaN(y.LonDeg) || math.Abs(y.LatDeg) > 90 || math.Abs(y.LonDeg) > 180 {
			without = append(without, y.Name)
			continue
		}
		ys = append(ys, y)
	}
	if len(ys) == 0 {
		return nil, ErrNoCoordinates
	}
	sub := "Yards on the ground; the area of a disc is the syrup of the middle spring"
	if len(without) > 0 {
		sub += ". Without coordinates: " + strings.Join(without, ", ")
	}
	m := l.measure("L")
	var desc []string
	for _, y := range ys {
		desc = append(desc, fmt.Sprintf("%s at %s, %s: %s", y.Name, degrees(y.LatDeg, "N", "S", 2), degrees(y.LonDeg, "E", "W", 2), m.words(y.Order.SyrupL.P50)))
	}
	return &Chart{title: title, subtitle: sub, desc: strings.Join(desc, "; ") + ".", look: l,
		height: func(s *sheet, w float64) float64 { return math.Min(w*0.8, 330) },
		draw:   func(s *sheet, r box) { drawMap(s, r, ys, l) },
	}, nil
}

// MapSays tells whether a map shows more than the chart of the order does: at least
// two yards that need syrup or do not, on different places.
func MapSays(p plan.Plan) bool {
	var lats, lons []float64
	need := false
	for _, y := range p.Yards {
		if math.IsNaN(y.LatDeg) || math.IsNaN(y.LonDeg) {
			continue
		}
		lats, lons = append(lats, y.LatDeg), append(lons, y.LonDeg)
		need = need || y.Order.SyrupL.P50 > 0
	}
	la0, la1 := span(lats)
	lo0, lo1 := span(lons)
	const apart = 0.005 // degrees, about half a kilometre: nearer yards are one place on the map; own judgement
	return need && (la1-la0 > apart || lo1-lo0 > apart)
}

func degrees(v float64, pos, neg string, digits int) string {
	side := pos
	if v < 0 {
		side, v = neg, -v
	}
	return fmt.Sprintf("%.*f° %s", digits, v, side)
}

// degreeTicks is a ticker of degrees.
type degreeTicks struct {
	pos, neg string
	n        int // about as many
}

// Ticks are places from lo to hi.
func (t degreeTicks) Ticks(lo, hi float64) []plot.Tick {
	step := niceStep(hi-lo, t.n)
	ts := steps(step).Ticks(lo, hi)
	for i := range ts {
		ts[i].Label = degrees(ts[i].Value, t.pos, t.neg, digitsOf(step))
	}
	return ts
}

func drawMap(s *sheet, r box, ys []plan.YardPlan, l Look) {
	p := s.axes("Latitude, degrees")
	p.X.Label.Text = "Longitude, degrees"
	p.X.Tick.Marker, p.Y.Tick.Marker = degreeTicks{"E", "W", max(1, int(r.w()/s.width("000.00° W", s.plain()))-2)}, degreeTicks{"N", "S", 4}
	p.Y.LineStyle = lineStyle(penAxis)
	lats, lons := make([]float64, len(ys)), make([]float64, len(ys))
	top := 0.0
	for i, y := range ys {
		lats[i], lons[i] = y.LatDeg, y.LonDeg
		top = math.Max(top, zeroNaN(y.Order.SyrupL.P50))
	}
	r.x1 -= 4
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = lons[0]-1, lons[0]+1, lats[0]-1, lats[0]+1
	var in box
	var scale float64
	for range 4 { // the room for data hangs on the labels, and they on the range
		in = boxOf(p.DataCanvas(s.on(r)).Rectangle)
		scale = ground(p, in, lats, lons)
	}
	biggest := math.Min(20, in.h()/10)
	order, radius := make([]int, len(ys)), make([]float64, len(ys))
	for i, y := range ys {
		order[i] = i
		radius[i] = 2.5
		if top > 0 {
			radius[i] = math.Max(2.5, biggest*math.Sqrt(math.Max(0, zeroNaN(y.Order.SyrupL.P50))/top))
		}
	}
	// The largest disc first, so that none is hidden.
	sort.SliceStable(order, func(a, b int) bool { return radius[order[a]] > radius[order[b]] })
	discs, dots := &plotter.Scatter{}, &plotter.Scatter{GlyphStyle: glyph(markDot, ink, 1)}
	for _, i := range order {
		discs.XYs = append(discs.XYs, plotter.XY{X: lons[i], Y: lats[i]})
	}
	dots.XYs = discs.XYs
	discs.GlyphStyleFunc = func(k int) draw.GlyphStyle {
		var shape draw.GlyphDrawer = pale{markDot}
		if !(ys[order[k]].Order.SyrupL.P50 > 0) {
			shape = hollow{markDot}
		}
		return glyph(shape, colPlan, radius[order[k]])
	}
	add(p, grid(true, true), discs, dots, scaleBar{s, scale})
	m := l.measure("L")
	names := yardNames{s: s}
	for _, i := range order {
		names.at, names.radius = append(names.at, plotter.XY{X: lons[i], Y: lats[i]}), append(names.radius, radius[i])
		names.names, names.needs = append(names.names, ys[i].Name), append(names.needs, m.words(ys[i].Order.SyrupL.P50))
	}
	add(p, names)
	s.drawAll([]*plot.Plot{p}, false, r)
}

// ground sets the ranges of axes so that a kilometre is as long to the east as to
// the north at the middle latitude, and gives the scale in points a degree of
// latitude.
func ground(p *plot.Plot, in box, lats, lons []float64) float64 {
	la0, la1 := span(lats)
	lo0, lo1 := span(lons)
	squeeze := math.Max(0.05, math.Cos((la0+la1)/2*math.Pi/180))
	const least = 0.02 // degrees: a map of one yard is about 2 km wide
	const room = 1.5   // whole map over what the yards span, own judgement
	needLat, needLon := math.Max(la1-la0, least)*room, math.Max((lo1-lo0)*squeeze, least)*room
	scale := math.Min(in.w()/needLon, in.h()/needLat)
	halfLat, halfLon := in.h()/scale/2, in.w()/scale/2/squeeze
	midLat, midLon := (la0+la1)/2, (lo0+lo1)/2
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = midLon-halfLon, midLon+halfLon, midLat-halfLat, midLat+halfLat
	return scale
}

type disc struct{ x, y, r float64 }

// onDisc tells that a box meets a disc.
func onDisc(b box, ds []disc) bool {
	for _, d := range ds {
		dx := d.x - math.Min(math.Max(d.x, b.x0), b.x1)
		dy := d.y - math.Min(math.Max(d.y, b.y0), b.y1)
		if math.Hypot(dx, dy) < d.r+0.5 {
			return true
		}
	}
	return false
}

// yardNames writes the names of yards round their discs, where labels of gonum/plot
// would lie on one another.
type yardNames struct {
	s            *sheet
	at           plotter.XYs
	radius       []float64
	names, needs []string
}

// Plot writes each at the nearest free place, with a thin line when it is not next
// to its disc. Where there is none the name is tried without its litres; then it
// is left to the description.
func (n yardNames) Plot(c draw.Canvas, p *plot.Plot) {
	tx, ty := p.Transforms(&c)
	var discs []disc
	for i, at := range n.at {
		discs = append(discs, disc{float64(tx(at.X)), float64(ty(at.Y)), n.radius[i]})
	}
	for i, d := range discs {
		if !n.s.nameDisc(c, discs, d, n.names[i]+", "+n.needs[i]) {
			n.s.nameDisc(c, discs, d, n.names[i])
		}
	}
}

func (s *sheet) nameDisc(c draw.Canvas, discs []disc, d disc, str string) bool {
	st, in := s.plain(), boxOf(c.Rectangle)
	str = s.fit(str, st, in.w()*0.45)
	w := s.width(str, st)
	for ring := range 12 {
		far := d.r + 3 + float64(ring)*7
		for k := range 16 {
			cos, sin := math.Cos(float64(k)*math.Pi/8), math.Sin(float64(k)*math.Pi/8)
			// the text's near side touches the ring
			x, y := d.x+far*cos-w*(1-cos)/2, d.y+far*sin-middle*s.look.TextPt+0.5*s.look.TextPt*sin
			b := textBox(x, y, w, s.look.TextPt)
			if !b.grow(1.5).within(in) || !s.free(b.grow(1), false) || onDisc(b, discs) {
				continue
			}
			if ring > 1 {
				c.StrokeLines(lineStyle(pen{soft, 0.5, nil, markNone}), []vg.Point{point(d.x+d.r*cos, d.y+d.r*sin), point(d.x+(far-1.5)*cos, d.y+(far-1.5)*sin)})
			}
			s.text(str, x, y, st)
			return true
		}
	}
	return false
}

// scaleBar draws a length on the ground at the lower left; gonum/plot has none.
type scaleBar struct {
	s           *sheet
	ptPerDegree float64
}

// Plot draws it.
func (b scaleBar) Plot(c draw.Canvas, _ *plot.Plot) {
	in := boxOf(c.Rectangle)
	km := b.s.look.measure("km")
	perUnit := b.ptPerDegree / kmPerDegree / km.of(1) // points a printed unit
	n := niceStep(in.w()*0.25/perUnit, 1)
	for n*perUnit > in.w()*0.35 {
		n /= 2
	}
	x0, x1, y := vg.Length(in.x0+8), vg.Length(in.x0+8+n*perUnit), vg.Length(in.y0+8)
	c.StrokeLines(lineStyle(pen{ink, 1, nil, markNone}), []vg.Point{{X: x0, Y: y}, {X: x1, Y: y}},
		[]vg.Point{{X: x0, Y: y - 2}, {X: x0, Y: y + 2}}, []vg.Point{{X: x1, Y: y - 2}, {X: x1, Y: y + 2}})
	b.s.text(amountSmall(n)+" "+km.name(), float64(x0), float64(y)+4, b.s.plain())
}

func amountSmall(v float64) string {
	if v < 10 {
		return fmt.Sprintf("%.3g", v)
	}
	return count(v)
}
