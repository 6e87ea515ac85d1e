package plots

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"

	"bloomgap/feed/plan"
)

// SpringsTitle says how far first bloom and days without flight range.
func SpringsTitle(years []plan.YearFact) string {
	var first, end time.Time
	lo, hi := math.MaxInt, -1
	for _, y := range years {
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
	switch {
	case len(years) == 0:
		return "No springs to show"
	case first.IsZero():
		return fmt.Sprintf("%d to %d days without flight before nectar; no bloom by the end", lo, hi)
	case first.Equal(end) && lo == hi:
		return fmt.Sprintf("First bloom on %s; %d days without flight before nectar", longDate(first), lo)
	}
	return fmt.Sprintf("First bloom from %s to %s; %d to %d days without flight before nectar", longDate(first), longDate(end), lo, hi)
}

// inOneYear moves a date to the same day of 2001, so that dates of different
// years compare.
func inOneYear(t time.Time) time.Time {
	return time.Date(2001, t.Month(), min(t.Day(), monthDays(t.Month())), 0, 0, 0, 0, time.UTC)
}

func monthDays(m time.Month) int { return time.Date(2001, m+1, 0, 0, 0, 0, 0, time.UTC).Day() }

// byYear sorts springs by their label when all labels are years.
func byYear(years []plan.YearFact) []plan.YearFact {
	out := append([]plan.YearFact{}, years...)
	for _, y := range out {
		if _, err := strconv.Atoi(y.Label); err != nil {
			return out
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, _ := strconv.Atoi(out[i].Label)
		b, _ := strconv.Atoi(out[j].Label)
		return a < b
	})
	return out
}

// SpringsChart draws first bloom and days without flight of each possible
// spring of a yard.
func SpringsChart(years []plan.YearFact, l Look) *Chart {
	title := SpringsTitle(years)
	if len(years) == 0 {
		return nothing(title, "There are no springs to draw.", l)
	}
	ys := byYear(years)
	labels := make([]string, len(ys))
	blooms, nons := make([]float64, len(ys)), make([]float64, len(ys))
	for i, y := range ys {
		labels[i] = y.Label
		nons[i] = float64(y.NonFlying)
		blooms[i] = math.NaN()
		if !y.Bloom.IsZero() {
			blooms[i] = dayOf(inOneYear(y.Bloom))
		}
	}
	midBloom, midNon := median(blooms), median(nons)
	desc := fmt.Sprintf("%d springs; middle %s days without flight", len(ys), count(midNon))
	if !math.IsNaN(midBloom) {
		desc += ", middle first bloom " + longDate(dateOf(midBloom))
	}
	xTitle := "Spring, year"
	for _, y := range ys {
		if _, err := strconv.Atoi(y.Label); err != nil {
			xTitle = "Spring" // made ones among them
		}
	}
	views := []slotView{}
	if !math.IsNaN(midBloom) {
		lo, hi := span(blooms)
		views = append(views, slotView{heading: "First bloom, date", v: blooms, lo: lo - 2, hi: hi + 2, dates: true,
			mid: midBloom, midName: "middle " + shortDate(dateOf(midBloom))})
	}
	_, hi := span(nons)
	views = append(views, slotView{heading: "Days without flight until nectar", v: nons, lo: 0, hi: math.Max(hi, 1), bars: true,
		mid: midNon, midName: "middle " + count(midNon) + " days"})
	return slotChart(title, "Possible springs of the yard", desc+".", []string{xTitle, xTitle}, [][]string{labels, labels}, views, l)
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
	dates   bool
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
	p.Y.Min, p.Y.Max = v.lo, v.hi
	if v.dates {
		p.Y.Tick.Marker = dateRows(v.lo, v.hi)
	} else {
		p.Y.Tick.Marker, p.Y.Min, p.Y.Max = roundOut(v.lo, v.hi, 5)
	}
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
func dateRows(lo, hi float64) plot.ConstantTicks {
	step := 1.0
	for _, q := range []float64{1, 2, 5, 7, 14, 28, 56} {
		if step = q; (hi-lo)/q <= 5 {
			break
		}
	}
	var ts plot.ConstantTicks
	for d := math.Ceil(lo/step) * step; d <= hi; d += step {
		ts = append(ts, plot.Tick{Value: d, Label: shortDate(dateOf(d))})
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
