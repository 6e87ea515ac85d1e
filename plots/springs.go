package plots

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"bloomgap/feed/plan"
)

// SpringsTitle says how far first bloom and days without flight range over the
// springs of a yard.
func SpringsTitle(y plan.YardPlan, l Look) string {
	var first, end time.Time
	lo, hi := math.MaxInt, -1
	for _, y := range y.Years {
		lo, hi = min(lo, y.NonFlying), max(hi, y.NonFlying)
		if y.Bloom.IsZero() {
			continue
		}
		b := inOneYear(y.Bloom)
		if first.IsZero() || b.Before(first) {
			first = b
		}
		if b.After(end) {
			end = b
		}
	}
	head := ""
	if y.Name != "" {
		head = y.Name + ": "
	}
	switch {
	case len(y.Years) == 0:
		return head + "no springs to show"
	case first.IsZero():
		return head + fmt.Sprintf("%d to %d days without flight before nectar; no bloom by the end", lo, hi)
	}
	when := "on " + l.long(first)
	if !first.Equal(end) {
		when = "from " + l.long(first) + " to " + l.long(end)
	}
	still := fmt.Sprint(lo)
	if lo != hi {
		still = fmt.Sprintf("%d to %d", lo, hi)
	}
	return head + "first bloom " + when + "; " + still + " days without flight before nectar"
}

// inOneYear moves a date to the same day of 2001, so that dates of different
// years compare.
func inOneYear(t time.Time) time.Time {
	return time.Date(2001, t.Month(), min(t.Day(), monthDays(t.Month())), 0, 0, 0, 0, time.UTC)
}

func monthDays(m time.Month) int { return time.Date(2001, m+1, 0, 0, 0, 0, 0, time.UTC).Day() }

// SpringsChart draws first bloom and days without flight of the springs of a yard,
// each from the least to the most, so that a share of springs can be read off; the
// years at the ends are named.
func SpringsChart(y plan.YardPlan, l Look) *Chart {
	title := SpringsTitle(y, l)
	if len(y.Years) == 0 {
		return nothing(title, "There are no springs to draw.", l)
	}
	var bloom, still ranked
	for _, q := range y.Years {
		if !q.Bloom.IsZero() {
			bloom.add(q.Label, dayOf(inOneYear(q.Bloom)))
		}
		still.add(q.Label, float64(q.NonFlying))
	}
	sort.Stable(bloom)
	sort.Stable(still)
	desc := fmt.Sprintf("%d springs; middle %s days without flight", len(y.Years), count(median(still.v)))
	if len(bloom.v) > 0 {
		desc += ", middle first bloom " + l.long(dateOf(median(bloom.v)))
	}
	sub := fmt.Sprintf("%d springs, each panel sorted", len(y.Years))
	if late := len(y.Years) - len(bloom.v); late > 0 {
		sub += fmt.Sprintf("; no bloom by the end in %d", late)
	}
	panels := 1
	if len(bloom.v) > 0 {
		panels = 2
	}
	return &Chart{title: title, subtitle: sub, desc: desc + ".", look: l,
		height: func(s *sheet, w float64) float64 { return float64(panels) * (s.panelHeight(100) + panelGap/2) },
		draw: func(s *sheet, r box) {
			var ps []*plot.Plot
			if len(bloom.v) > 0 {
				p := s.ranked("First bloom, date", r.w())
				lo, hi := span(bloom.v)
				p.Y.Min, p.Y.Max, p.Y.Tick.Marker = lo-3, hi+5, l.dateRows(lo-3, hi+5)
				s.addRanked(p, bloom, false, l.short(dateOf(median(bloom.v))))
				ps = append(ps, p)
			}
			p := s.ranked("Days without flight until nectar", r.w())
			_, hi := span(still.v)
			p.Y.Tick.Marker, p.Y.Min, p.Y.Max = roundOut(0, 1.2*math.Max(hi, 1), 5)
			s.addRanked(p, still, true, count(median(still.v))+" days")
			s.drawAll(append(ps, p), false, r)
		}}
}

// ranked are values with names, to be sorted by value.
type ranked struct {
	names []string
	v     []float64
}

func (r *ranked) add(name string, v float64) { r.names, r.v = append(r.names, name), append(r.v, v) }

// Len, Less and Swap sort by value.
func (r ranked) Len() int           { return len(r.v) }
func (r ranked) Less(i, k int) bool { return r.v[i] < r.v[k] }
func (r ranked) Swap(i, k int) {
	r.v[i], r.v[k] = r.v[k], r.v[i]
	r.names[i], r.names[k] = r.names[k], r.names[i]
}

// share is the middle of a rank on an axis of percent.
func (r ranked) share(i int) float64 { return 100 * (float64(i) + 0.5) / float64(len(r.v)) }

// ranked are axes for values sorted over the share of springs.
func (s *sheet) ranked(heading string, widthPt float64) *plot.Plot {
	p := s.axes(heading)
	step := steps(niceStep(100, max(2, int(widthPt/45))))
	p.X.Min, p.X.Max, p.X.Tick.Marker, p.X.Label.Text = 0, 100, step, "Share of springs up to here, %"
	add(p, grid(true, false))
	return p
}

// addRanked draws the values and names the years at the ends, and the middle.
func (s *sheet) addRanked(p *plot.Plot, r ranked, bars bool, mid string) {
	var dots plotter.XYs
	var tall []box
	half := 36 / float64(len(r.v)) // of the axis of percent
	for i, v := range r.v {
		x := r.share(i)
		dots, tall = append(dots, plotter.XY{X: x, Y: v}), append(tall, box{x - half, p.Y.Min, x + half, v})
	}
	if bars {
		add(p, rects(tint(colPlan, 0.5), tall...))
	} else {
		add(p, &plotter.Scatter{XYs: dots, GlyphStyle: glyph(markDot, colPlan, math.Max(1.2, math.Min(2.6, 60/float64(len(r.v)))))})
	}
	m := median(r.v)
	add(p, rule(p, m, penReserve))
	st := s.plain()
	for _, i := range []int{0, len(r.v) - 1} {
		if _, err := strconv.Atoi(r.names[i]); err != nil {
			continue // a generated spring has no year that a keeper remembers
		}
		add(p, label{s, []string{r.names[i]}, st, func(c draw.Canvas, p *plot.Plot, w float64) []vg.Point {
			tx, ty := p.Transforms(&c)
			x, y := float64(tx(r.share(i))), float64(ty(r.v[i]))
			x = math.Min(math.Max(x-w/2, float64(c.Min.X)+1), float64(c.Max.X)-w-1)
			var out []vg.Point
			for _, dy := range []float64{4, 7, 10, 14, 18, -12, -16} {
				out = append(out, point(x, y+dy))
			}
			return out
		}})
		if len(r.v) == 1 {
			break
		}
	}
	add(p, s.onRule(m, "middle "+mid, penReserve))
}

func median(v []float64) float64 {
	var c []float64
	for _, x := range v {
		if !math.IsNaN(x) {
			c = append(c, x)
		}
	}
	if len(c) == 0 {
		return math.NaN()
	}
	sort.Float64s(c)
	if n := len(c); n%2 == 0 {
		return (c[n/2-1] + c[n/2]) / 2
	}
	return c[len(c)/2]
}

// slotView is one panel over slots with names: bars or points.
type slotView struct {
	heading string
	v       []float64
	lo, hi  float64
	bars    bool
	mid     float64
	midName string
	// least and most are drawn as a pale bar when given.
	least, most []float64
}

// slotChart draws panels one under the other, each over slots of its own.
func slotChart(title, sub, desc string, xTitles []string, labels [][]string, views []slotView, l Look) *Chart {
	return &Chart{title: title, subtitle: sub, desc: desc, look: l,
		height: func(s *sheet, w float64) float64 { return float64(len(views)) * (s.panelHeight(95) + panelGap/2) },
		draw: func(s *sheet, r box) {
			var ps []*plot.Plot
			for i, v := range views {
				ps = append(ps, s.slots(v, labels[i], xTitles[i], r.w()))
			}
			s.drawAll(ps, false, r)
		}}
}

// slots is the plot of one view on paper of a width.
func (s *sheet) slots(v slotView, labels []string, xTitle string, widthPt float64) *plot.Plot {
	head := v.heading
	if v.midName != "" {
		head += " (dashed: " + v.midName + ")"
	}
	p := s.axes(head)
	p.Y.Tick.Marker, p.Y.Min, p.Y.Max = roundOut(v.lo, v.hi, 5)
	slot := s.panelWidth(box{0, 0, widthPt, 0}, 1, false, p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max), 4) / float64(len(labels))
	p.X.Min, p.X.Max, p.X.Label.Text = -0.5, float64(len(labels))-0.5, xTitle
	p.X.Tick.Marker = s.slotTicks(labels, slot, widthPt)
	add(p, grid(true, false))
	var dots plotter.XYs
	var tall, ranges []box
	for i, val := range v.v {
		x, half := float64(i), math.Min(0.3, 6/slot)
		if i < len(v.least) && i < len(v.most) && !math.IsNaN(v.least[i]) && !math.IsNaN(v.most[i]) {
			ranges = append(ranges, box{x - half, v.least[i], x + half, v.most[i]})
		}
		if math.IsNaN(val) {
			continue
		}
		half = math.Min(0.36, 12/slot)
		dots, tall = append(dots, plotter.XY{X: x, Y: val}), append(tall, box{x - half, p.Y.Min, x + half, val})
	}
	add(p, rects(tint(colPlan, outerTint), ranges...))
	if v.bars {
		add(p, rects(tint(colPlan, 0.65), tall...))
	} else {
		add(p, &plotter.Scatter{XYs: dots, GlyphStyle: glyph(markDot, colPlan, math.Max(1.5, math.Min(3, slot*0.3)))})
	}
	if !math.IsNaN(v.mid) && v.midName != "" {
		add(p, rule(p, v.mid, penReserve))
	}
	return p
}

// slotTicks names as many slots as fit, round years where they are years.
func (s *sheet) slotTicks(labels []string, slot, widthPt float64) plot.Ticker {
	every, widest := 1, 0.0
	for _, q := range labels {
		widest = math.Min(math.Max(widest, s.width(q, s.plain())), widthPt*0.3)
	}
	for _, e := range []int{1, 2, 5, 10, 20, 50, 100, 200, 500} {
		if every = e; slot*float64(e) >= widest+6 {
			break
		}
	}
	var ts plot.ConstantTicks
	year0, err := strconv.Atoi(labels[0])
	for i, q := range labels {
		at := i
		if err == nil {
			at = year0 + i
		}
		if at%every == 0 {
			ts = append(ts, plot.Tick{Value: float64(i), Label: s.fit(q, s.plain(), math.Max(math.Min(slot*float64(every)-4, widthPt*0.3), 12))})
		}
	}
	return ts
}

// dateRows are dates for a vertical axis: 4 to 7 of them.
func (l Look) dateRows(lo, hi float64) plot.ConstantTicks {
	step := 1.0
	for _, q := range []float64{1, 2, 5, 7, 14, 28, 56} {
		if step = q; (hi-lo)/q <= 5 {
			break
		}
	}
	var ts plot.ConstantTicks
	for d := math.Ceil(lo/step) * step; d <= hi; d += step {
		ts = append(ts, plot.Tick{Value: d, Label: l.short(dateOf(d))})
	}
	return ts
}

// Weather is what a climate or a file of records comes to.
type Weather struct {
	Place     string
	MeanC     []float64 // mean temperature of January to December, C; empty = not shown
	MinC      []float64 // mean daily minimum, C
	MaxC      []float64 // mean daily maximum, C
	Years     []int     // springs, in order
	NonFlying []float64 // days without flight in each, NaN = not complete
	Within    string    // the days counted: "1 February to 30 April"
}

// WeatherTitle says how many days without flight a spring has.
func WeatherTitle(w Weather) string {
	place := w.Place
	if place == "" {
		place = "The place"
	}
	lo, hi := span(w.NonFlying)
	if math.IsNaN(lo) {
		if mlen(w.MeanC) == 0 {
			return "No weather to show for " + place
		}
		cold, warm := 0, 0
		for i, v := range w.MeanC {
			if v < w.MeanC[cold] || math.IsNaN(w.MeanC[cold]) {
				cold = i
			}
			if v > w.MeanC[warm] || math.IsNaN(w.MeanC[warm]) {
				warm = i
			}
		}
		return place + " is coldest in " + time.Month(cold%12+1).String() + " and warmest in " + time.Month(warm%12+1).String()
	}
	t := place + " has " + count(median(w.NonFlying)) + " days without flight in the middle spring"
	if lo == hi || mlen(w.NonFlying) < 2 {
		return t
	}
	iLo, iHi := -1, -1
	for i, v := range w.NonFlying {
		if iLo < 0 && v == lo {
			iLo = i
		}
		if iHi < 0 && v == hi {
			iHi = i
		}
	}
	return fmt.Sprintf("%s, from %s (%d) to %s (%d)", t, count(lo), yearAt(w.Years, iLo), count(hi), yearAt(w.Years, iHi))
}

func mlen(v []float64) int {
	n := 0
	for _, x := range v {
		if !math.IsNaN(x) {
			n++
		}
	}
	return n
}

func yearAt(ys []int, i int) int {
	if i < 0 || i >= len(ys) {
		return 0
	}
	return ys[i]
}
