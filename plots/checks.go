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

// WeatherChart draws the months of a place and its days without flight by year.
func WeatherChart(w Weather, l Look) *Chart {
	title := WeatherTitle(w)
	months := mlen(w.MeanC) > 0
	years := mlen(w.NonFlying) > 0 && len(w.Years) == len(w.NonFlying)
	if !months && !years {
		return nothing(title, "There is no weather to draw.", l)
	}
	c := l.measure("C")
	desc := ""
	var views []slotView
	var slots [][]string
	var names []string
	if months {
		mean := c.each(w.MeanC)
		lowest, highest := c.each(w.MinC), c.each(w.MaxC)
		lo, hi := span(mean, lowest, highest)
		labels := make([]string, len(mean))
		for i := range labels {
			labels[i] = time.Month(i%12 + 1).String()[:3]
		}
		head := "Temperature, " + c.name() + ": mean"
		if mlen(lowest) > 0 && mlen(highest) > 0 {
			head += ", and mean daily minimum to maximum"
		}
		cold, warm := span(mean)
		desc += fmt.Sprintf("Monthly means from %s to %s. ", c.name0(cold), c.name0(warm))
		views = append(views, slotView{heading: head, v: mean, lo: lo, hi: hi, least: lowest, most: highest, mid: math.NaN()})
		slots, names = append(slots, labels), append(names, "Month")
	}
	if years {
		labels := make([]string, len(w.Years))
		for i, y := range w.Years {
			labels[i] = strconv.Itoa(y)
		}
		_, hi := span(w.NonFlying)
		mid := median(w.NonFlying)
		head := "Days without flight"
		if w.Within != "" {
			head += ", " + w.Within
		}
		desc += fmt.Sprintf("%d springs; middle %s days without flight.", mlen(w.NonFlying), count(mid))
		views = append(views, slotView{heading: head, v: w.NonFlying, hi: math.Max(hi, 1), bars: true, mid: mid, midName: "middle " + count(mid) + " days"})
		slots, names = append(slots, labels), append(names, "Spring, year")
	}
	return slotChart(title, "Weather of "+w.Place, desc, names, slots, views, l)
}

// name0 is a printed temperature, already in the printed unit.
func (m measure) name0(v float64) string { return amount(v) + " " + m.name() }

// Bar is the sensitivity of a result to one parameter: the share of its variance
// from that parameter alone and with all that it acts together with, 0..1, each
// with the ends of its interval (NaN = not known).
type Bar struct {
	Name                    string
	First, FirstLo, FirstHi float64
	Total, TotalLo, TotalHi float64
}

// Bars is what BarChart draws.
type Bars struct {
	Of   string // the result: "risk of starving"
	Bars []Bar
	Note string // how it was worked out, one line
}

// BarTitle says which parameter matters most.
func BarTitle(b Bars) string {
	best := -1
	for i, v := range b.Bars {
		if !math.IsNaN(v.Total) && (best < 0 || v.Total > b.Bars[best].Total) {
			best = i
		}
	}
	if best < 0 {
		return "No parameters to show"
	}
	v := b.Bars[best]
	return fmt.Sprintf("The %s depends most on %s: %s of its spread", b.Of, v.Name, percent(v.Total))
}

// BarChart draws shares of spread by parameter, the largest first.
func BarChart(b Bars, l Look) *Chart {
	title := BarTitle(b)
	if len(b.Bars) == 0 {
		return nothing(title, "There are no parameters to draw.", l)
	}
	vs := append([]Bar{}, b.Bars...)
	sort.SliceStable(vs, func(i, j int) bool { return zeroNaN(vs[i].Total) > zeroNaN(vs[j].Total) })
	keys := []keyItem{
		keyFill("alone", colPlan),
		{"with its interactions", []plot.Thumbnailer{spread(box{})}},
		{"interval", []plot.Thumbnailer{whiskerSample{}}},
	}
	sub := "Share of the spread in the " + b.Of + ", %"
	if b.Note != "" {
		sub += "; " + b.Note
	}
	desc := ""
	for i, v := range vs {
		if i == 5 {
			break
		}
		desc += fmt.Sprintf("%s: %s alone, %s in all. ", v.Name, percent(v.First), percent(v.Total))
	}
	return &Chart{title: title, subtitle: sub, desc: desc, look: l,
		height: barsHeight(len(vs), l.TextPt*2.3, keys),
		draw: func(s *sheet, r box) {
			r = s.keyOver(keys, r)
			top, names := 0.0, make([]string, len(vs))
			for i, v := range vs {
				names[i] = v.Name
				for _, q := range []float64{v.First, v.FirstHi, v.Total, v.TotalHi} {
					top = math.Max(top, zeroNaN(q))
				}
			}
			p, rowPt := s.rows(names, r, 0.42, 100*top, "Share of spread, %")
			add(p, grid(false, true))
			th := math.Min(0.36, l.TextPt/rowPt) // of a row
			for i, v := range vs {
				y := -float64(i)
				if x := zeroNaN(v.First); x > 0 {
					add(p, rects(colPlan, box{0, y + 0.5/rowPt, 100 * x, y + th}))
				}
				if x := zeroNaN(v.Total); x > 0 {
					add(p, spread(box{0, y - th, 100 * x, y - 0.5/rowPt}))
				}
				add(p, whisker(v.First, v.FirstLo, v.FirstHi, y+th/2)...)
				add(p, whisker(v.Total, v.TotalLo, v.TotalHi, y-th/2)...)
			}
			s.drawAll([]*plot.Plot{p}, false, r)
		}}
}

// whiskerPens are white under black, so that an interval reads on dark bars.
var whiskerPens = []pen{{paper, 2.6, nil, markNone}, {ink, 1, nil, markNone}}

const whiskerCap = 4 // points

// whisker is an interval about a share, drawn in percent.
func whisker(v, lo, hi, y float64) []plot.Plotter {
	if math.IsNaN(v) || math.IsNaN(lo) || math.IsNaN(hi) || hi <= lo {
		return nil
	}
	lo, hi = math.Max(lo, 0), math.Max(hi, 0)
	var out []plot.Plotter
	for _, q := range whiskerPens {
		out = append(out, &plotter.XErrorBars{XYs: plotter.XYs{{X: 100 * v, Y: y}}, LineStyle: lineStyle(q), CapWidth: whiskerCap,
			XErrors: plotter.XErrors{{Low: 100 * (v - lo), High: 100 * (hi - v)}}})
	}
	return out
}

// whiskerSample is an interval in a key.
type whiskerSample struct{}

// Thumbnail draws it.
func (whiskerSample) Thumbnail(c *draw.Canvas) {
	y := c.Center().Y
	c.StrokeLine2(lineStyle(whiskerPens[1]), c.Min.X, y, c.Max.X, y)
	for _, x := range []vg.Length{c.Min.X, c.Max.X} {
		c.StrokeLine2(lineStyle(whiskerPens[1]), x, y-whiskerCap/2, x, y+whiskerCap/2)
	}
}

// Hindcast is a course worked out for dates that are past, and what was seen.
type Hindcast struct {
	What     string // what was looked at: "Hive weight"
	Unit     string // metric unit that forage/read knows ("kg"), or a plain word ("bees")
	Name     string // which hive or year
	Dates    []time.Time
	Band     plan.Band
	SeenOn   []time.Time
	Seen     []float64
	StartsOn time.Time // observations up to this day were used to start the run; zero = none
}

// HindcastTitle counts the observations that lie in the bands, those that
// started the run left out.
func HindcastTitle(h Hindcast) string {
	n, outer, inner := h.score()
	name := ""
	if h.Name != "" {
		name = " of " + h.Name
	}
	if n == 0 {
		return h.What + name + ": nothing was observed to check it by"
	}
	if n == 1 {
		where := "outside the band of 8 in 10"
		if inner == 1 {
			where = "inside the band of half"
		} else if outer == 1 {
			where = "inside the band of 8 in 10"
		}
		return h.What + name + ": the one observation lies " + where
	}
	return fmt.Sprintf("%s%s: %d of %d observations lie in the band of 8 in 10, %d in that of half", h.What, name, outer, n, inner)
}

func (h Hindcast) score() (n, outer, inner int) {
	for i, t := range h.SeenOn {
		if i >= len(h.Seen) || math.IsNaN(h.Seen[i]) || (!h.StartsOn.IsZero() && !t.After(h.StartsOn)) {
			continue
		}
		k := sort.Search(len(h.Dates), func(k int) bool { return !h.Dates[k].Before(t) })
		if k == len(h.Dates) || !h.Dates[k].Equal(t) {
			continue
		}
		lo, hi := value(h.Band.P10, k), value(h.Band.P90, k)
		if math.IsNaN(lo) || math.IsNaN(hi) {
			continue
		}
		n++
		if v := h.Seen[i]; v >= lo && v <= hi {
			outer++
			if v >= value(h.Band.P25, k) && v <= value(h.Band.P75, k) {
				inner++
			}
		}
	}
	return n, outer, inner
}

// metricUnits are the units that a Look may turn into US ones.
var metricUnits = map[string]bool{"kg": true, "L": true, "C": true, "km": true, "mm": true}

// HindcastChart draws the bands of a course by date and what was seen.
func HindcastChart(h Hindcast, l Look) *Chart {
	title := HindcastTitle(h)
	if len(h.Dates) == 0 || !hasBand(h.Band) {
		return nothing(title, "There are no days to draw.", l)
	}
	bands, seen, unit := h.Band, h.Seen, h.Unit
	if metricUnits[h.Unit] {
		m := l.measure(h.Unit)
		bands, seen, unit = m.band(bands), m.each(seen), m.name()
	}
	lo, hi := span(bands.P10, bands.P50, bands.P90, seen)
	if lo > 0 && lo < hi/2 {
		lo = 0
	}
	step, y0, y1 := roundOut(lo, hi, 5)
	xs := days(h.Dates)
	keys := []keyItem{
		keyLine(middleName, pen{colPlan, 1.8, nil, markNone}),
		keyFill("half", tint(colPlan, innerTint)), keyFill("8 in 10", tint(colPlan, outerTint)),
	}
	start, checked := h.dots(seen)
	if len(checked) > 0 {
		keys = append(keys, keyMark("observed", markDot, colA))
	}
	if len(start) > 0 {
		keys = append(keys, keyMark("observed, used to start", hollow{markDot}, colA))
	}
	head := h.What
	if unit != "" {
		head += ", " + unit
	}
	n, outer, inner := h.score()
	return &Chart{title: title, look: l,
		subtitle: "Predicted day by day, and what was observed",
		desc:     fmt.Sprintf("%d observations checked: %d in the band of 8 in 10, %d in the band of half.", n, outer, inner),
		height:   func(s *sheet, w float64) float64 { return s.keyRoom(keys, w) + s.panelHeight(150) },
		draw: func(s *sheet, r box) {
			r = s.keyOver(keys, r)
			width := s.panelWidth(r, 1, false, step.Ticks(y0, y1), 6)
			p := s.axes(head)
			s.dateAxis(p, h.Dates, width)
			p.Y.Min, p.Y.Max, p.Y.Tick.Marker = y0, y1, step
			add(p, grid(true, false))
			add(p, band(xs, bands.P10, bands.P90, tint(colPlan, outerTint))...)
			add(p, band(xs, bands.P25, bands.P75, tint(colPlan, innerTint))...)
			add(p, lines(xs, bands.P50, pen{colPlan, 1.8, nil, markNone}, width, 0)...)
			add(p, &plotter.Scatter{XYs: start, GlyphStyle: glyph(hollow{markDot}, colA, 2.6)},
				&plotter.Scatter{XYs: checked, GlyphStyle: glyph(markDot, colA, 2.6)})
			s.drawAll([]*plot.Plot{p}, false, r)
		}}
}

// dots are the observations: those that started the run, and the others.
func (h Hindcast) dots(seen []float64) (start, checked plotter.XYs) {
	for i, t := range h.SeenOn {
		switch {
		case i >= len(seen) || math.IsNaN(seen[i]):
		case !h.StartsOn.IsZero() && !t.After(h.StartsOn):
			start = append(start, plotter.XY{X: dayOf(t), Y: seen[i]})
		default:
			checked = append(checked, plotter.XY{X: dayOf(t), Y: seen[i]})
		}
	}
	return start, checked
}
