package plots

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"time"

	"bloomgap/feed"
)

// SpringsTitle says how far first bloom and days without flight range.
func SpringsTitle(years []feed.YearFact) string {
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
func byYear(years []feed.YearFact) []feed.YearFact {
	out := append([]feed.YearFact{}, years...)
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
func SpringsChart(years []feed.YearFact, l Look) *Chart {
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
		views = append(views, slotView{heading: "First bloom, date", v: blooms, lo: lo - 2, hi: hi + 2, dates: true, mid: midBloom, midName: "middle " + shortDate(dateOf(midBloom))})
	}
	_, hi := span(nons)
	views = append(views, slotView{heading: "Days without flight until nectar", v: nons, lo: 0, hi: math.Max(hi, 1), bars: true, mid: midNon, midName: "middle " + count(midNon) + " days"})
	return slotChart(title, "Possible springs of the yard", desc+".", xTitle, labels, views, l)
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
	// least and most are drawn as a band when given.
	least, most []float64
}

// slotChart draws panels one under the other over the same slots.
func slotChart(title, sub, desc, xTitle string, labels []string, views []slotView, l Look) *Chart {
	return &Chart{title: title, subtitle: sub, desc: desc, look: l,
		height: func(s *sheet, w float64) float64 {
			return float64(len(views))*(s.panelExtra(axes{xTitle: "x"})+95) + 4
		},
		draw: func(s *sheet, r box) {
			rs := split(r, len(views), false)
			var ticks [][]tick
			var y0, y1 []float64
			gutter := 0.0
			for _, v := range views {
				ts, a, b := []tick(nil), v.lo, v.hi
				if v.dates {
					ts = dateRows(v.lo, v.hi)
				} else {
					ts, a, b = numberTicks(v.lo, v.hi, 5)
				}
				ticks, y0, y1 = append(ticks, ts), append(y0, a), append(y1, b)
				gutter = math.Max(gutter, s.leftRoom(ts))
			}
			slot := (r.w() - gutter - 4) / float64(len(labels))
			every, widest := 1, 0.0
			for _, q := range labels {
				widest = math.Min(math.Max(widest, s.width(q, s.plain())), r.w()*0.3)
			}
			for _, e := range []int{1, 2, 5, 10, 20, 50, 100, 200, 500} {
				if every = e; slot*float64(e) >= widest+6 {
					break
				}
			}
			var xt []tick
			year0, err := strconv.Atoi(labels[0])
			for i, q := range labels {
				at := i
				if err == nil {
					at = year0 + i // round years
				}
				if at%every == 0 {
					xt = append(xt, tick{float64(i), s.fit(q, s.plain(), math.Max(math.Min(slot*float64(every)-4, r.w()*0.3), 12))})
				}
			}
			xs := make([]float64, len(labels))
			for i := range xs {
				xs[i] = float64(i)
			}
			for k, v := range views {
				head := v.heading
				if v.midName != "" {
					head += " (dashed: " + v.midName + ")"
				}
				p := s.panel(rs[k], axes{heading: head, x0: -0.5, x1: float64(len(labels)) - 0.5, y0: y0[k], y1: y1[k], yTicks: ticks[k], xTicks: xt, xTitle: xTitle, gutter: gutter, rightRoom: 4})
				for i, val := range v.v {
					if i < len(v.least) && i < len(v.most) && !math.IsNaN(v.least[i]) && !math.IsNaN(v.most[i]) {
						half := math.Min(slot*0.3, 6)
						x := p.x(xs[i])
						s.rect(box{x - half, p.y(v.least[i]), x + half, p.y(v.most[i])}, tint(colPlan, outerTint))
					}
					if math.IsNaN(val) {
						continue
					}
					x, y := p.x(xs[i]), p.clampY(p.y(val))
					if v.bars {
						half := math.Min(slot*0.36, 12)
						s.rect(box{x - half, p.r.y0, x + half, y}, tint(colPlan, 0.65))
					} else {
						s.marker(markDot, x, y, math.Max(1.5, math.Min(3, slot*0.3)), colPlan, false)
					}
				}
				if !math.IsNaN(v.mid) && v.midName != "" {
					y := p.y(v.mid)
					s.line(penReserve, pt{p.r.x0, y}, pt{p.r.x1, y})
				}
			}
		}}
}

// dateRows are dates for a vertical axis: 4 to 7 of them.
func dateRows(lo, hi float64) []tick {
	step := 1.0
	for _, q := range []float64{1, 2, 5, 7, 14, 28, 56} {
		if step = q; (hi-lo)/q <= 5 {
			break
		}
	}
	var ts []tick
	for d := math.Ceil(lo/step) * step; d <= hi; d += step {
		ts = append(ts, tick{d, shortDate(dateOf(d))})
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
