package plots

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"time"

	"bloomgap/feed"
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
	var charts []*Chart
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
		charts = append(charts, slotChart("", "", "", "Month", labels, []slotView{{heading: head, v: mean, lo: lo, hi: hi, least: lowest, most: highest, mid: math.NaN()}}, l))
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
		charts = append(charts, slotChart("", "", "", "Spring, year", labels, []slotView{{heading: head, v: w.NonFlying, hi: math.Max(hi, 1), bars: true, mid: mid, midName: "middle " + count(mid) + " days"}}, l))
	}
	return stack(title, "Weather of "+w.Place, desc, charts, l)
}

// name0 is a printed temperature, already in the printed unit.
func (m measure) name0(v float64) string { return amount(v) + " " + m.name() }

// stack puts drawings one under the other in one chart.
func stack(title, sub, desc string, parts []*Chart, l Look) *Chart {
	return &Chart{title: title, subtitle: sub, desc: desc, look: l,
		height: func(s *sheet, w float64) float64 {
			h := 0.0
			for _, p := range parts {
				h += p.height(s, w)
			}
			return h
		},
		draw: func(s *sheet, r box) {
			for i, b := range split(r, len(parts), false) {
				parts[i].draw(s, b)
			}
		}}
}

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
	return fmt.Sprintf("The %s hangs most on %s: %s of its spread", b.Of, v.Name, percent(v.Total))
}

// BarChart draws shares of spread by parameter, the largest first.
func BarChart(b Bars, l Look) *Chart {
	title := BarTitle(b)
	if len(b.Bars) == 0 {
		return nothing(title, "There are no parameters to draw.", l)
	}
	vs := append([]Bar{}, b.Bars...)
	sort.SliceStable(vs, func(i, j int) bool { return zeroNaN(vs[i].Total) > zeroNaN(vs[j].Total) })
	keys := []keyItem{keyFill("alone", colPlan), keyItem{"with what it acts together with", func(s *sheet, b box) { s.spreadBox(b) }},
		keyItem{"interval", func(s *sheet, b box) { s.whisker(b.x0, b.x1, (b.y0+b.y1)/2) }}}
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
	rowPt := l.TextPt * 2.3
	return &Chart{title: title, subtitle: sub, desc: desc, look: l,
		height: barsHeight(len(vs), rowPt, keys),
		draw: func(s *sheet, r box) {
			r = s.keyUnder(keys, r)
			st := s.plain()
			name, top := 0.0, 0.0
			for _, v := range vs {
				name = math.Max(name, s.width(v.Name, st))
				for _, q := range []float64{v.First, v.FirstHi, v.Total, v.TotalHi} {
					top = math.Max(top, zeroNaN(q))
				}
			}
			name = math.Min(name+8, r.w()*0.42)
			ts, _, x1 := numberTicks(0, 100*top, max(3, int((r.w()-name)/60)))
			p := &panel{s: s, x0: 0, x1: x1, r: box{r.x0 + name, r.y0 + l.TextPt*2.6, r.x1 - 12, r.y1}}
			s.xAxis(p, ts, "Share of spread, %")
			h := p.r.h() / float64(len(vs))
			th := math.Min(h*0.36, l.TextPt)
			for i, v := range vs {
				mid := p.r.y1 - (float64(i)+0.5)*h
				lines := s.wrap(v.Name, st, name-8)
				if len(lines) > 2 || h < st.pt*2.2 {
					lines = []string{s.fit(v.Name, st, name-8)}
				}
				for k, line := range lines {
					s.textMid(line, p.r.x0-5, mid+(float64(len(lines)-1)/2-float64(k))*st.pt*1.05, right, st)
				}
				if x := zeroNaN(v.First); x > 0 {
					s.rect(box{p.r.x0, mid + 0.5, p.x(100 * x), mid + th}, colPlan)
				}
				if x := zeroNaN(v.Total); x > 0 {
					s.spreadBox(box{p.r.x0, mid - th, p.x(100 * x), mid - 0.5})
				}
				at := func(lo, hi, y float64) {
					if !math.IsNaN(lo) && !math.IsNaN(hi) && hi > lo {
						s.whisker(p.x(100*math.Max(lo, 0)), p.x(100*math.Max(hi, 0)), y)
					}
				}
				at(v.FirstLo, v.FirstHi, mid+th/2)
				at(v.TotalLo, v.TotalHi, mid-th/2)
			}
			s.line(penAxis, pt{p.r.x0, p.r.y0}, pt{p.r.x0, p.r.y1})
		}}
}

// whisker is an interval: white under black, so that it reads on dark bars.
func (s *sheet) whisker(x0, x1, y float64) {
	for _, q := range []pen{{paper, 2.6, nil, markNone}, {ink, 1, nil, markNone}} {
		s.line(q, pt{x0, y}, pt{x1, y})
		s.line(q, pt{x0, y - 2}, pt{x0, y + 2})
		s.line(q, pt{x1, y - 2}, pt{x1, y + 2})
	}
}

// Hindcast is a course worked out for dates that are past, and what was seen.
type Hindcast struct {
	What     string // what was looked at: "Hive weight"
	Unit     string // metric unit that forage/read knows ("kg"), or a plain word ("bees")
	Name     string // which hive or year
	Dates    []time.Time
	Band     feed.Band
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
		return h.What + name + ": nothing was seen to check it by"
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
	band, seen, unit := h.Band, h.Seen, h.Unit
	if metricUnits[h.Unit] {
		m := l.measure(h.Unit)
		band, seen, unit = m.band(band), m.each(seen), m.name()
	}
	lo, hi := span(band.P10, band.P50, band.P90, seen)
	if lo > 0 && lo < hi/2 {
		lo = 0
	}
	yt, y0, y1 := numberTicks(lo, hi, 5)
	xs := days(h.Dates)
	keys := []keyItem{
		keyItem{middleName, func(s *sheet, b box) {
			y := (b.y0 + b.y1) / 2
			s.line(pen{colPlan, 1.8, nil, markNone}, pt{b.x0, y}, pt{b.x1, y})
		}},
		keyFill("half", tint(colPlan, innerTint)), keyFill("8 in 10", tint(colPlan, outerTint)),
		keyMark("seen", markDot, colA, false),
	}
	if !h.StartsOn.IsZero() {
		keys = append(keys, keyMark("seen, and used to start", markDot, colA, true))
	}
	head := h.What
	if unit != "" {
		head += ", " + unit
	}
	n, outer, inner := h.score()
	return &Chart{title: title, look: l,
		subtitle: "Worked out day by day, and what was seen",
		desc:     fmt.Sprintf("%d observations checked: %d in the band of 8 in 10, %d in the band of half.", n, outer, inner),
		height: func(s *sheet, w float64) float64 {
			return s.keyRoom(keys, w) + s.panelExtra(axes{xTitle: "x"}) + 150
		},
		draw: func(s *sheet, r box) {
			r = s.keyUnder(keys, r)
			p := s.panel(r, axes{heading: head, x0: xs[0], x1: xs[len(xs)-1], y0: y0, y1: y1, yTicks: yt,
				xTicks: s.dateTicks(xs[0], xs[len(xs)-1], r.w()-s.leftRoom(yt)-6),
				xTitle: dateTitle(h.Dates[0], h.Dates[len(h.Dates)-1]), rightRoom: 6})
			p.band(xs, band.P10, band.P90, tint(colPlan, outerTint))
			p.band(xs, band.P25, band.P75, tint(colPlan, innerTint))
			p.draw(xs, band.P50, pen{colPlan, 1.8, nil, markNone}, 0)
			for i, t := range h.SeenOn {
				d := dayOf(t)
				if i >= len(seen) || math.IsNaN(seen[i]) || d < p.x0 || d > p.x1 {
					continue
				}
				s.marker(markDot, p.x(d), p.clampY(p.y(seen[i])), 2.6, colA, !h.StartsOn.IsZero() && !t.After(h.StartsOn))
			}
		}}
}
