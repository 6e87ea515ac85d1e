package plots

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"bloomgap/feed/plan"
)

// axes are a plot in the look of all charts: its heading level over it, so that
// it is read without turning the head, grid lines and no vertical axis.
func (s *sheet) axes(heading string) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	p.Title.Text, p.Title.TextStyle, p.Title.Padding = heading, s.plain(), vg.Length(0.5*s.look.TextPt)
	p.Title.TextStyle.YAlign = draw.YTop
	p.X.Padding, p.Y.Padding = 0, 0
	p.X.LineStyle, p.X.Tick.LineStyle, p.X.Tick.Length = lineStyle(penAxis), lineStyle(penAxis), vg.Length(0.62*s.look.TextPt)
	p.X.Tick.Label = aligned(s.plain(), draw.XCenter)
	p.X.Tick.Label.YAlign = draw.YTop
	p.X.Label.TextStyle, p.X.Label.Position = aligned(s.soft(), draw.XCenter), draw.PosRight
	p.Y.LineStyle.Width, p.Y.Tick.Length = 0, 0
	p.Y.Label.TextStyle = s.soft()
	p.Y.Tick.Label = aligned(s.plain(), draw.XRight)
	p.Y.Tick.Label.YAlign = s.level(p.Y.Tick.Label)
	p.Add(leftLabels{s})
	return p
}

// leftLabels keeps room for labels of the horizontal axis that reach over its left
// end; gonum/plot looks at those that reach over its right end only.
type leftLabels struct{ s *sheet }

// Plot draws nothing.
func (leftLabels) Plot(draw.Canvas, *plot.Plot) {}

// GlyphBoxes are the labels, less the room that the vertical axis has anyhow.
func (l leftLabels) GlyphBoxes(p *plot.Plot) []plot.GlyphBox {
	gutter := 0.0
	for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		gutter = math.Max(gutter, l.s.width(t.Label+" ", p.Y.Tick.Label))
	}
	var out []plot.GlyphBox
	for _, t := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
		if reach := l.s.width(t.Label, p.X.Tick.Label)/2 - gutter; reach > 0 {
			out = append(out, plot.GlyphBox{X: p.X.Norm(t.Value), Rectangle: vg.Rectangle{Min: point(-reach, 0)}})
		}
	}
	return out
}

// level is the alignment that puts the middle of capitals on the line of a
// vertical axis; gonum/plot sets whole letters with room for accents on it.
func (s *sheet) level(st draw.TextStyle) draw.YAlignment {
	e, size := st.FontExtents(), st.Font.Size
	return draw.YAlignment((e.Ascent - e.Descent - size*(1+middle)) / st.Height("0"))
}

// grid are the grid lines along the ticks of one or both axes.
func grid(across, up bool) *plotter.Grid {
	g := &plotter.Grid{}
	if across {
		g.Horizontal = lineStyle(penGrid)
	}
	if up {
		g.Vertical = lineStyle(penGrid)
	}
	return g
}

// still is a plotter that changes neither the range of the axes, which the
// charts set, nor the room round the data.
type still struct{ plot.Plotter }

func add(p *plot.Plot, ps ...plot.Plotter) {
	for _, q := range ps {
		p.Add(still{q})
	}
}

// draw draws a plot with its heading at the left edge of its tile.
func (s *sheet) draw(p *plot.Plot, c, tile draw.Canvas) {
	p.Title.Text = s.fit(p.Title.Text, p.Title.TextStyle, float64(c.Max.X-tile.Min.X))
	if w := p.Title.TextStyle.Width(p.Title.Text); w > 0 {
		p.Title.TextStyle.XAlign = draw.XAlignment((tile.Min.X - c.Center().X) / w) // gonum/plot starts from the middle
	}
	p.Draw(c)
}

// panelGap is the room between panels, points.
const panelGap = 12

// drawAll draws plots of one size side by side or one under the other.
func (s *sheet) drawAll(ps []*plot.Plot, side bool, r box) {
	t := draw.Tiles{Rows: len(ps), Cols: 1, PadY: panelGap / 2}
	rows := make([][]*plot.Plot, len(ps))
	for i, p := range ps {
		rows[i] = []*plot.Plot{p}
	}
	if side {
		t, rows = draw.Tiles{Rows: 1, Cols: len(ps), PadX: panelGap}, [][]*plot.Plot{ps}
	}
	for y, row := range plot.Align(rows, t, s.on(r)) {
		for x, c := range row {
			s.draw(rows[y][x], c, t.At(s.on(r), x, y))
		}
	}
}

// panelWidth is about what data get of a panel, points, given the widest label
// of its vertical axis.
func (s *sheet) panelWidth(r box, panels int, side bool, yTicks []plot.Tick, right float64) float64 {
	w := r.w()
	if side {
		w = (w - panelGap*float64(panels-1)) / float64(panels)
	}
	widest := 0.0
	for _, t := range yTicks {
		widest = math.Max(widest, s.width(t.Label, s.plain()))
	}
	return w - widest - 6 - right
}

// panelHeight is the height of a panel whose data are so high.
func (s *sheet) panelHeight(dataPt float64) float64 { return dataPt + 5.6*s.look.TextPt }

// wide is the width, points, from which panels stand side by side and lines are
// named at their ends: 12.5 cm.
const wide = 12.5 * ptPerCm

// besideHeight is the height of a chart of panels that stand side by side, or,
// when there are two and little width, one over the other.
func besideHeight(panels int, keys []keyItem, strip float64) func(s *sheet, w float64) float64 {
	return func(s *sheet, w float64) float64 {
		one := s.panelHeight(135) + strip
		if w < wide && panels == 2 {
			return s.keyRoom(keys, w) + 2*one - strip
		}
		return s.keyRoom(keys, w) + one + 6
	}
}

// steps is a ticker with a label at each multiple of it; unlike the one of
// gonum/plot it knows the range that was rounded for it, and prints thousands
// with commas.
type steps float64

// Ticks are the multiples from lo to hi.
func (t steps) Ticks(lo, hi float64) []plot.Tick {
	var ts []plot.Tick
	step := float64(t)
	digits := digitsOf(step)
	for k := math.Ceil(lo/step-1e-9) + 0; k <= hi/step+1e-9; k++ {
		label := strconv.FormatFloat(k*step, 'f', digits, 64)
		if digits == 0 {
			label = count(k * step)
		}
		ts = append(ts, plot.Tick{Value: k * step, Label: label})
	}
	return ts
}

// digitsOf are the decimals that a step needs.
func digitsOf(step float64) int { return max(0, int(math.Ceil(-math.Log10(step)-1e-9))) }

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

// roundOut gives the step of about n ticks over lo..hi and the range rounded to
// it.
func roundOut(lo, hi float64, n int) (t steps, from, to float64) {
	if math.IsNaN(lo) || math.IsNaN(hi) || hi <= lo {
		hi = lo + 1
		if math.IsNaN(lo) {
			lo, hi = 0, 1
		}
	}
	step := niceStep(hi-lo, n)
	return steps(step), math.Floor(lo/step+1e-9) * step, math.Ceil(hi/step-1e-9) * step
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

// dates is a ticker with as many dates as fit a width: every day, some days of
// each month, months, or some months.
type dates struct {
	s     *sheet
	width float64 // points
}

// Ticks are dates between two days.
func (t dates) Ticks(from, to float64) []plot.Tick {
	for _, days := range [][]int{nil, {1, 6, 11, 16, 21, 26}, {1, 8, 15, 22}, {1, 15}, {1}} {
		ts, ok := t.try(from, to, t.s.look.short, func(d time.Time) bool {
			for _, day := range days {
				if d.Day() == day {
					return true
				}
			}
			return days == nil
		})
		if ok {
			return ts
		}
	}
	for _, every := range []int{2, 3, 6, 12} {
		month := func(d time.Time) string { return d.Format("Jan 2006") }
		if ts, ok := t.try(from, to, month, func(d time.Time) bool { return d.Day() == 1 && (int(d.Month())-1)%every == 0 }); ok {
			return ts
		}
	}
	return []plot.Tick{{Value: from, Label: t.s.look.short(dateOf(from))}}
}

// try lays the dates that are wanted; it fails when they would meet.
func (t dates) try(from, to float64, label func(time.Time) string, want func(time.Time) bool) ([]plot.Tick, bool) {
	var ts []plot.Tick
	end := math.Inf(-1)
	for d := math.Ceil(from); d <= to; d++ {
		if !want(dateOf(d)) {
			continue
		}
		tick := plot.Tick{Value: d, Label: label(dateOf(d))}
		x, w := (d-from)/math.Max(1, to-from)*t.width, t.s.width(tick.Label, t.s.plain())/2
		if x-w < end+8 {
			return nil, false
		}
		end = x + w
		ts = append(ts, tick)
	}
	return ts, len(ts) > 0
}

// dateAxis sets the axis of dates with its year.
func (s *sheet) dateAxis(p *plot.Plot, ds []time.Time, width float64) {
	from, to := ds[0], ds[len(ds)-1]
	p.X.Min, p.X.Max = dayOf(from), dayOf(to)
	if p.X.Min == p.X.Max { // one day stands in the middle
		p.X.Min, p.X.Max = p.X.Min-0.5, p.X.Max+0.5
	}
	p.X.Tick.Marker = plot.ConstantTicks(dates{s, width}.Ticks(p.X.Min, p.X.Max)) // laid out once
	p.X.Label.Text = fmt.Sprintf("Date, %d", from.Year())
	if from.Year() != to.Year() {
		p.X.Label.Text = fmt.Sprintf("Date, %d to %d", from.Year(), to.Year())
	}
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
func hasBand(b plan.Band) bool { return len(b.P50) > 0 }
