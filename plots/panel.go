package plots

import (
	"fmt"
	"image/color"
	"math"
	"strconv"
	"time"

	"bloomgap/feed"
)

// tick is a place on an axis and its label.
type tick struct {
	at    float64
	label string
}

// panel is one set of axes. Headings stand over the vertical axis, level, so
// that they are read without turning the head.
type panel struct {
	s              *sheet
	r              box // where data is drawn
	x0, x1, y0, y1 float64
	top            float64 // largest value drawn; above it lines are left out and bands end
	curves         []curve
}

type curve struct {
	ps []pt
	p  pen
}

// axes is what a panel shows round its data.
type axes struct {
	heading        string // what is drawn and its unit
	x0, x1, y0, y1 float64
	xTicks, yTicks []tick
	xTitle         string
	gutter         float64 // room at the left for labels; 0 = as wide as they are
	rightRoom      float64 // room at the right for labels of lines
}

// leftRoom is the room that tick labels need at the left.
func (s *sheet) leftRoom(ts []tick) float64 {
	w := 0.0
	for _, t := range ts {
		w = math.Max(w, s.width(t.label, s.plain()))
	}
	return w + 6
}

// headRoom is the room over a panel for its heading, in sizes of letter.
const headRoom = 1.95

// panelExtra is the height of all of a panel but its data.
func (s *sheet) panelExtra(a axes) float64 {
	h := s.look.TextPt*headRoom + s.look.TextPt*1.6 // heading and tick labels
	if a.xTitle != "" {
		h += s.look.TextPt * 1.3
	}
	return h
}

func (s *sheet) panel(r box, a axes) *panel {
	size := s.look.TextPt
	if a.gutter == 0 {
		a.gutter = s.leftRoom(a.yTicks)
	}
	in := box{r.x0 + a.gutter, r.y0 + size*1.6, r.x1 - a.rightRoom, r.y1 - size*headRoom}
	if a.xTitle != "" {
		in.y0 += size * 1.3
	}
	p := &panel{s: s, r: in, x0: a.x0, x1: a.x1, y0: a.y0, y1: a.y1, top: a.y1}
	if a.heading != "" {
		st := s.headStyle()
		st.bold = false
		s.text(s.fit(a.heading, st, r.w()), r.x0, r.y1-size*0.95, left, st)
	}
	for _, t := range a.yTicks {
		y := p.y(t.at)
		if y < in.y0-0.1 || y > in.y1+0.1 {
			continue
		}
		s.line(penGrid, pt{in.x0, y}, pt{in.x1, y})
		s.textMid(t.label, in.x0-4, y, right, s.plain())
	}
	for _, t := range a.xTicks {
		x := p.x(t.at)
		if x < in.x0-0.1 || x > in.x1+0.1 {
			continue
		}
		s.line(penAxis, pt{x, in.y0}, pt{x, in.y0 - 3})
		w := s.width(t.label, s.plain()) / 2
		s.text(t.label, math.Min(math.Max(x, r.x0+w), r.x1-w), in.y0-3-size*1.15, centre, s.plain())
	}
	s.line(penAxis, pt{in.x0, in.y0}, pt{in.x1, in.y0})
	if a.xTitle != "" {
		st := s.softStyle()
		s.text(s.fit(a.xTitle, st, in.w()), in.x1, in.y0-3-size*2.35, right, st)
	}
	return p
}

func (p *panel) x(v float64) float64 {
	if p.x1 == p.x0 {
		return (p.r.x0 + p.r.x1) / 2
	}
	return p.r.x0 + (v-p.x0)/(p.x1-p.x0)*p.r.w()
}

func (p *panel) y(v float64) float64 {
	if p.y1 == p.y0 {
		return (p.r.y0 + p.r.y1) / 2
	}
	return p.r.y0 + (v-p.y0)/(p.y1-p.y0)*p.r.h()
}

// clampY keeps a place inside the panel.
func (p *panel) clampY(y float64) float64 {
	return math.Min(math.Max(y, p.r.y0), math.Min(p.r.y1, p.y(p.top)))
}

// under cuts a line where it leaves the panel at the top and takes it up where
// it comes back.
func (p *panel) under(run []pt) [][]pt {
	lim := math.Min(p.r.y1, p.y(p.top)) + 1e-6
	var out [][]pt
	var cur []pt
	for i, b := range run {
		if i > 0 {
			if a := run[i-1]; (a.y > lim) != (b.y > lim) {
				cur = append(cur, pt{a.x + (lim-a.y)/(b.y-a.y)*(b.x-a.x), lim})
			}
		}
		if b.y <= lim {
			cur = append(cur, b)
		} else if len(cur) > 0 {
			out, cur = append(out, cur), nil
		}
	}
	if len(cur) > 0 {
		out = append(out, cur)
	}
	return out
}

// fineness is the distance, points, within which a curve is drawn true: under
// what print or a screen shows.
const fineness = 0.2

// points are the places of a slice of values, one run for each stretch without
// a NaN.
func (p *panel) points(xs, ys []float64) [][]pt {
	var runs [][]pt
	var run []pt
	for i := range ys {
		if i >= len(xs) {
			break
		}
		if math.IsNaN(ys[i]) || math.IsInf(ys[i], 0) {
			if len(run) > 0 {
				runs = append(runs, run)
			}
			run = nil
			continue
		}
		run = append(run, pt{p.x(xs[i]), math.Max(p.r.y0, p.y(ys[i]))})
	}
	if len(run) > 0 {
		runs = append(runs, run)
	}
	return runs
}

// draw draws a line with its markers, every so many points; shift moves the
// first marker so that those of two lines do not fall together.
func (p *panel) draw(xs, ys []float64, q pen, shift float64) {
	const pitch, radius = 46, 2.3
	var runs [][]pt
	for _, run := range p.points(xs, ys) {
		runs = append(runs, p.under(run)...)
	}
	for _, run := range runs {
		if len(run) == 1 {
			p.s.marker(max(q.mark, markDot), run[0].x, run[0].y, radius, q.col, false)
			p.curves = append(p.curves, curve{run, q})
			continue
		}
		kept := simplify(run, fineness)
		p.s.line(q, kept...)
		p.curves = append(p.curves, curve{kept, q})
		if q.mark == markNone {
			continue
		}
		next := p.r.x0 + pitch*(0.3+shift)
		for _, a := range run {
			if a.x >= next {
				p.s.marker(q.mark, a.x, a.y, radius, q.col, false)
				for next <= a.x {
					next += pitch
				}
			}
		}
	}
}

// band fills between two slices.
func (p *panel) band(xs, lo, hi []float64, c color.NRGBA) {
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
	los, his := p.points(xs[:n], clean(lo)), p.points(xs[:n], clean(hi))
	for i := range los {
		for k := range los[i] {
			los[i][k].y, his[i][k].y = p.clampY(los[i][k].y), p.clampY(his[i][k].y)
		}
		up, down := simplify(los[i], fineness), simplify(his[i], fineness)
		ps := append([]pt{}, up...)
		for k := len(down) - 1; k >= 0; k-- {
			ps = append(ps, down[k])
		}
		p.s.area(c, ps...)
		p.s.edges = append(append(p.s.edges, along(up)...), along(down)...)
	}
}

// along covers a line with small boxes.
func along(ps []pt) []box {
	var out []box
	for i := 1; i < len(ps); i++ {
		a, b := ps[i-1], ps[i]
		n := int(math.Max(math.Abs(b.x-a.x), math.Abs(b.y-a.y))/4) + 1
		for k := 0; k < n; k++ {
			f := float64(k) / float64(n)
			x, y := a.x+f*(b.x-a.x), a.y+f*(b.y-a.y)
			out = append(out, box{x - 1.5, y - 1.5, x + 1.5, y + 1.5})
		}
	}
	return out
}

// marksOfCurves makes labels keep off the curves drawn so far.
func (p *panel) marksOfCurves() {
	for _, c := range p.curves {
		p.s.marks = append(p.s.marks, along(c.ps)...)
	}
}

// label writes at the first place that is free, base line and left edge given;
// it tells whether one was.
func (p *panel) label(str string, st style, places []pt) bool {
	w := p.s.width(str, st)
	for _, strict := range []bool{true, false} {
		for _, at := range places {
			b := textBox(at.x, at.y, w, left, st.pt)
			if b.within(p.r) && p.s.free(b.grow(0.5), strict) {
				p.s.text(str, at.x, at.y, left, st)
				return true
			}
		}
	}
	return false
}

// level draws a level line and names it over or under it.
func (p *panel) level(v float64, q pen, str string) {
	y := p.y(v)
	if y < p.r.y0 || y > p.r.y1 {
		return
	}
	p.s.line(q, pt{p.r.x0, y}, pt{p.r.x1, y})
	st := style{p.s.look.TextPt, false, q.col}
	w := p.s.width(str, st)
	var places []pt
	for _, dy := range []float64{3, -st.pt} {
		for k := 0; k <= 20; k++ {
			places = append(places, pt{p.r.x0 + 3 + (p.r.w()-w-6)*float64(k)/20, y + dy})
		}
	}
	p.label(str, st, places)
}

// sideLabels writes the names of lines at the right of the panel, each as near
// to the end of its line as the others let it, with a thin line to it.
func (p *panel) sideLabels(names []string, ends []float64, pens []pen) {
	if len(names) == 0 {
		return
	}
	st := p.s.plain()
	pitch := st.pt * 1.25
	lines := make([][]string, len(names))
	order := make([]int, 0, len(names))
	room := p.s.w - margin - p.r.x1 - 14
	total := 0.0
	for i := range names {
		lines[i] = p.s.wrap(names[i], st, room)
		total += float64(len(lines[i])) * pitch
		k := len(order)
		for k > 0 && ends[order[k-1]] < ends[i] {
			k--
		}
		order = append(order[:k], append([]int{i}, order[k:]...)...)
	}
	// From the top: each block no higher than the one before lets it; then
	// pushed up from the bottom where the last ones leave the panel.
	top := make([]float64, len(names))
	ceil := p.r.y1 + pitch
	for _, i := range order {
		h := float64(len(lines[i])) * pitch
		top[i] = math.Min(ends[i]+h/2, ceil)
		ceil = top[i] - h
	}
	floor := p.r.y0 - pitch*0.3
	for k := len(order) - 1; k >= 0; k-- {
		i := order[k]
		h := float64(len(lines[i])) * pitch
		top[i] = math.Max(top[i], floor+h)
		floor = top[i]
	}
	for _, i := range order {
		c := pens[i]
		h := float64(len(lines[i])) * pitch
		mid := top[i] - h/2
		p.s.line(pen{c.col, 0.7, nil, markNone}, pt{p.r.x1 + 1, ends[i]}, pt{p.r.x1 + 8, mid})
		p.s.marker(max(c.mark, markDot), p.r.x1, ends[i], 2.3, c.col, false)
		for k, l := range lines[i] {
			p.s.text(l, p.r.x1+11, top[i]-float64(k)*pitch-pitch*0.78, left, style{st.pt, false, c.col})
		}
	}
}

// keyItem is one entry of a key.
type keyItem struct {
	name string
	draw func(s *sheet, b box)
}

const keySample = 20 // width of a sample, points

// keyRows puts entries in rows; y counts down from 0.
func (s *sheet) keyRows(items []keyItem, w float64) (at []pt, height float64) {
	x, y := 0.0, -s.look.TextPt*1.0
	for _, it := range items {
		need := keySample + 5 + s.width(it.name, s.plain())
		if x > 0 && x+need > w {
			x, y = 0, y-s.look.TextPt*1.4
		}
		at = append(at, pt{x, y})
		x += need + 13
	}
	if len(items) == 0 {
		return nil, 0
	}
	return at, -y + s.look.TextPt*0.5
}

func (s *sheet) key(items []keyItem, x, y, w float64) {
	at, _ := s.keyRows(items, w)
	for i, it := range items {
		b := box{x + at[i].x, y + at[i].y - 1, x + at[i].x + keySample, y + at[i].y + s.look.TextPt*0.75}
		it.draw(s, b)
		s.text(s.fit(it.name, s.plain(), w-keySample-5), b.x1+5, y+at[i].y, left, s.plain())
	}
}

// keyGap is the room over a key, points.
const keyGap = 4

// keyRoom is the height that a key takes, with the gap over it.
func (s *sheet) keyRoom(items []keyItem, w float64) float64 {
	_, h := s.keyRows(items, w)
	return h + keyGap
}

// keyUnder draws a key at the foot of a box and gives the box that is left.
func (s *sheet) keyUnder(items []keyItem, r box) box {
	s.key(items, r.x0, r.y1, r.w())
	r.y1 -= s.keyRoom(items, r.w())
	return r
}

// besideHeight is the height of a chart of panels that stand side by side, or,
// when there are two and little width, one over the other.
func besideHeight(panels int, keys []keyItem) func(s *sheet, w float64) float64 {
	return func(s *sheet, w float64) float64 {
		one := s.panelExtra(axes{xTitle: "x"}) + 135
		if w < wide && panels == 2 {
			return s.keyRoom(keys, w) + 2*one
		}
		return s.keyRoom(keys, w) + one + 6
	}
}

// barsHeight is the height of a chart of bars, a row each, over an axis.
func barsHeight(rows int, rowPt float64, keys []keyItem) func(s *sheet, w float64) float64 {
	return func(s *sheet, w float64) float64 {
		return s.keyRoom(keys, w) + float64(rows)*rowPt + s.look.TextPt*3
	}
}

func keyLine(name string, q pen) keyItem {
	return keyItem{name, func(s *sheet, b box) {
		y := (b.y0 + b.y1) / 2
		s.line(q, pt{b.x0, y}, pt{b.x1, y})
		s.marker(q.mark, (b.x0+b.x1)/2, y, 2.3, q.col, false)
	}}
}

func keyFill(name string, c color.NRGBA) keyItem {
	return keyItem{name, func(s *sheet, b box) { s.rect(b, c) }}
}

func keyMark(name string, m mark, c color.NRGBA, hollow bool) keyItem {
	return keyItem{name, func(s *sheet, b box) {
		s.marker(m, (b.x0+b.x1)/2, (b.y0+b.y1)/2, 3, c, hollow)
	}}
}

// niceStep is the step of 1, 2 or 5 times a power of ten that gives about n
// ticks over a span.
func niceStep(span float64, n int) float64 {
	if !(span > 0) || math.IsInf(span, 0) {
		return 1
	}
	raw := span / float64(n)
	p := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5} {
		if raw <= m*p*1.0001 {
			return m * p
		}
	}
	return 10 * p
}

// numberTicks covers lo..hi with nice steps and gives the rounded range.
func numberTicks(lo, hi float64, n int) (ts []tick, from, to float64) {
	if math.IsNaN(lo) || math.IsNaN(hi) || hi <= lo {
		hi = lo + 1
		if math.IsNaN(lo) {
			lo, hi = 0, 1
		}
	}
	step := niceStep(hi-lo, n)
	a, b := math.Floor(lo/step+1e-9), math.Ceil(hi/step-1e-9)
	digits := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	for k := a; k <= b; k++ {
		v := k * step
		label := strconv.FormatFloat(v, 'f', digits, 64)
		if digits == 0 {
			label = count(v)
		}
		ts = append(ts, tick{v, label})
	}
	return ts, a * step, b * step
}

// span is the least and the largest of slices, NaN left out; NaN when there
// is none.
func span(vs ...[]float64) (lo, hi float64) {
	lo, hi = math.NaN(), math.NaN()
	for _, v := range vs {
		for _, x := range v {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				continue
			}
			if !(lo <= x) {
				lo = x
			}
			if !(hi >= x) {
				hi = x
			}
		}
	}
	return lo, hi
}

// dayOf counts days since 1 January 1970.
func dayOf(t time.Time) float64 { return float64(t.Unix()) / 86400 }

func days(ts []time.Time) []float64 {
	out := make([]float64, len(ts))
	for i, t := range ts {
		out[i] = dayOf(t)
	}
	return out
}

func dateOf(day float64) time.Time { return time.Unix(int64(math.Round(day))*86400, 0).UTC() }

// dateTicks are as many dates between two days as fit a width: every day, some
// days of each month, months, or some months.
func (s *sheet) dateTicks(from, to, width float64) []tick {
	ofMonth := [][]int{nil, {1, 6, 11, 16, 21, 26}, {1, 8, 15, 22}, {1, 15}, {1}}
	try := func(want func(t time.Time) bool, format string) ([]tick, bool) {
		var ts []tick
		end := math.Inf(-1)
		for d := math.Ceil(from); d <= to; d++ {
			t := dateOf(d)
			if !want(t) {
				continue
			}
			label := t.Format(format)
			x, w := (d-from)/math.Max(1, to-from)*width, s.width(label, s.plain())/2
			x = math.Min(x, width+4-w) // the last one is moved in from the edge
			if x-w < end+7 {
				return nil, false
			}
			end = x + w
			ts = append(ts, tick{d, label})
		}
		return ts, len(ts) > 0
	}
	for _, set := range ofMonth {
		ts, ok := try(func(t time.Time) bool {
			if set == nil {
				return true
			}
			for _, d := range set {
				if t.Day() == d {
					return true
				}
			}
			return false
		}, "2 Jan")
		if ok {
			return ts
		}
	}
	for _, every := range []int{2, 3, 6, 12} {
		if ts, ok := try(func(t time.Time) bool { return t.Day() == 1 && (int(t.Month())-1)%every == 0 }, "Jan 2006"); ok {
			return ts
		}
	}
	return []tick{{from, dateOf(from).Format("2 Jan 2006")}}
}

// dateTitle names the axis of dates, with its year.
func dateTitle(from, to time.Time) string {
	if from.Year() == to.Year() {
		return fmt.Sprintf("Date, %d", from.Year())
	}
	return fmt.Sprintf("Date, %d to %d", from.Year(), to.Year())
}

// firstAt is the first index at which a rising share reaches a value; -1 when
// it does not.
func firstAt(fracs []float64, want float64) int {
	for i, f := range fracs {
		if f >= want-1e-12 {
			return i
		}
	}
	return -1
}

// value is v[i], or NaN outside.
func value(v []float64, i int) float64 {
	if i < 0 || i >= len(v) {
		return math.NaN()
	}
	return v[i]
}

func last(v []float64) float64 { return value(v, len(v)-1) }

// hasBand tells that a band holds at least a middle.
func hasBand(b feed.Band) bool { return len(b.P50) > 0 }
