package plots

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"

	"bloomgap/feed/plan"
)

// mostRanked is the number of colonies on one ranking; own choice, 30-60.
const mostRanked = 40

const rankTint = 0.75 // share of colour in the bars of risk

// aliveIn are the live colonies of a yard, the likeliest to starve first.
func aliveIn(p plan.Plan, yard string) []plan.ColonyPlan {
	var out []plan.ColonyPlan
	for _, c := range p.Colonies {
		if c.Yard == yard && c.Verdict != plan.Dead {
			out = append(out, c)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Risk.Frac > out[j].Risk.Frac })
	return out
}

// RankTitle says how many colonies of a yard need feed and which is most at risk.
func RankTitle(p plan.Plan, yard string) string {
	cs := aliveIn(p, yard)
	if len(cs) == 0 {
		return yard + ": no live colony to show"
	}
	n, all := 0, 0
	for _, c := range cs {
		all += c.Stands()
		if c.Verdict == plan.Feed {
			n += c.Stands()
		}
	}
	t := fmt.Sprintf("%s: %d of %d live colonies need feed", yard, n, all)
	switch {
	case n == 0:
		t = fmt.Sprintf("%s: none of %d live colonies needs feed", yard, all)
	case n == 1:
		t = fmt.Sprintf("%s: 1 of %d live colonies needs feed", yard, all)
	}
	return t + "; " + cs[0].Colony + " is most at risk, " + percent(cs[0].Risk.Frac) + " of springs"
}

// RankChart draws the risk of each live colony of a yard, left alone as a bar and
// fed as planned as a mark, the likeliest to starve first.
func RankChart(p plan.Plan, yard string, l Look) *Chart {
	title, cs := RankTitle(p, yard), aliveIn(p, yard)
	if len(cs) == 0 {
		return nothing(title, "There is no live colony in the yard.", l)
	}
	sub := "Springs in which a colony starves before nectar, %" + leftOut(&cs)
	rows := make([]riskRow, len(cs))
	for i, c := range cs {
		rows[i] = riskRow{c.Colony, c.Risk.Frac, c.RiskFed.Frac, len(c.Feedings) > 0}
	}
	return riskRows(title, sub, rows, p.AcceptPct, l)
}

// riskRow is a row of a chart of risks: left alone, and fed where it is.
type riskRow struct {
	name         string
	alone, fedAt float64
	fed          bool
}

// riskRows draws risks left alone as bars and fed as marks, with the accepted one.
func riskRows(title, sub string, rows []riskRow, acceptPct float64, l Look) *Chart {
	keys := []keyItem{keyFill("left alone", tint(colA, rankTint))}
	var desc, labels []string
	fed := false
	for _, c := range rows {
		str := percent(c.alone)
		if c.fed {
			str, fed = str+", fed "+percent(c.fedAt), true
		}
		labels, desc = append(labels, str), append(desc, c.name+" "+str)
	}
	if fed {
		keys = append(keys, keyMark("fed as planned", markDiamond, colPlan))
	}
	keys = append(keys, keyLine("accepted "+amount(acceptPct)+" %", penReserve))
	return &Chart{title: title, subtitle: sub, desc: strings.Join(desc, "; ") + ".", look: l,
		height: barsHeight(len(rows), l.TextPt*1.7, keys),
		draw: func(s *sheet, r box) {
			r = s.keyOver(keys, r)
			names, room, top := make([]string, len(rows)), 0.0, 1.6*acceptPct
			for i, c := range rows {
				names[i], room, top = c.name, math.Max(room, s.width(labels[i], s.plain())+8), math.Max(top, 100*c.alone)
			}
			r.x1 -= room
			a, _ := s.rows(names, r, 0.3, math.Min(top, 100), "Springs, %")
			var bars []box
			var dots, ends plotter.XYs
			for i, c := range rows {
				y := -float64(i)
				bars = append(bars, box{0, y - 0.32, 100 * c.alone, y + 0.32})
				if c.fed {
					dots = append(dots, plotter.XY{X: 100 * c.fedAt, Y: y})
				}
				// right of the bar, the mark and the line of the accepted risk
				ends = append(ends, plotter.XY{X: math.Max(100*math.Max(c.alone, c.fedAt), acceptPct), Y: y})
			}
			add(a, rects(tint(colA, rankTint), bars...))
			if acceptPct > 0 {
				add(a, upright(a, acceptPct, penReserve))
			}
			add(a, &plotter.Scatter{XYs: dots, GlyphStyle: glyph(markDiamond, colPlan, 2.4)}, s.endLabels(ends, labels))
			s.drawAll([]*plot.Plot{a}, false, r)
		}}
}

// leftOut cuts a ranking to what one picture takes and says so.
func leftOut(cs *[]plan.ColonyPlan) string {
	n := len(*cs)
	if n <= mostRanked {
		return ""
	}
	*cs = (*cs)[:mostRanked]
	return fmt.Sprintf("; the %d most at risk of %d", mostRanked, n)
}

// upright is a rule across all rows.
func upright(p *plot.Plot, x float64, q pen) plot.Plotter {
	return &plotter.Line{XYs: plotter.XYs{{X: x, Y: p.Y.Min}, {X: x, Y: p.Y.Max}}, LineStyle: lineStyle(q)}
}

// endLabels are texts right of places.
func (s *sheet) endLabels(at plotter.XYs, words []string) *plotter.Labels {
	out := &plotter.Labels{XYs: at, Labels: words, Offset: point(6, -middle*s.look.TextPt)}
	for range words {
		out.TextStyle = append(out.TextStyle, onLine(s.plain()))
	}
	return out
}

// NeedTitle says in how many colonies of a yard the stores, as they are believed to
// be, cover what is needed to nectar.
func NeedTitle(p plan.Plan, yard string) string {
	cs := aliveIn(p, yard)
	if len(cs) == 0 {
		return yard + ": no live colony to show"
	}
	sure, not, all := 0, 0, 0
	for _, c := range cs {
		all += c.Stands()
		switch {
		case c.StoresKg.P10 >= c.Confidence.NeedStoresKg:
			sure += c.Stands()
		case c.StoresKg.P90 < c.Confidence.NeedStoresKg:
			not += c.Stands()
		}
	}
	if all == 1 {
		switch {
		case sure == 1:
			return yard + ": stores cover the need of the one live colony"
		case not == 1:
			return yard + ": stores fall short in the one live colony"
		}
		return yard + ": the one live colony may hold enough or not"
	}
	t := fmt.Sprintf("%s: stores cover the need in %d of %d live colonies", yard, sure, all)
	if not > 0 {
		t += fmt.Sprintf(", fall short in %d", not)
	}
	if open := all - sure - not; open > 0 {
		t += fmt.Sprintf("; %d may hold enough or not", open)
	}
	return t
}

// NeedChart draws the stores of each live colony of a yard on the day it was
// inspected, with what may be believed of them, against what they need so that the
// accepted risk is kept without feed; and the reserve.
func NeedChart(p plan.Plan, yard string, l Look) *Chart {
	title, cs := NeedTitle(p, yard), aliveIn(p, yard)
	if len(cs) == 0 {
		return nothing(title, "There is no live colony in the yard.", l)
	}
	kg := l.measure("kg")
	sub := "Stores when inspected against what lasts to nectar without feed, " + kg.name() + leftOut(&cs)
	keys := []keyItem{keyMark("stores", markDot, colPlan), keyFill("likely (8 in 10)", tint(colPlan, 0.35)), keyMark("needed without feed", markNeed, colA)}
	reserve := math.NaN()
	if p.Season != nil && p.Season.Settings.ReserveKg > 0 {
		reserve = kg.of(p.Season.Settings.ReserveKg)
		keys = append(keys, keyLine("reserve "+kg.words(p.Season.Settings.ReserveKg), penReserve))
	}
	var desc []string
	for _, c := range cs {
		desc = append(desc, fmt.Sprintf("%s %s of %s", c.Colony, kg.words(c.StoresKg.P50), kg.words(c.Confidence.NeedStoresKg)))
	}
	return &Chart{title: title, subtitle: sub, desc: strings.Join(desc, "; ") + ".", look: l,
		height: barsHeight(len(cs), l.TextPt*1.7, keys),
		draw: func(s *sheet, r box) {
			r = s.keyOver(keys, r)
			names, top := make([]string, len(cs)), zeroNaN(reserve)
			var ranges []box
			var dots, need plotter.XYs
			put := func(to *plotter.XYs, v, y float64) {
				if !math.IsNaN(v) {
					*to, top = append(*to, plotter.XY{X: kg.of(v), Y: y}), math.Max(top, kg.of(v))
				}
			}
			for i, c := range cs {
				y := -float64(i)
				names[i] = c.Colony
				if !math.IsNaN(c.StoresKg.P10) && !math.IsNaN(c.StoresKg.P90) {
					ranges, top = append(ranges, box{kg.of(c.StoresKg.P10), y - 0.25, kg.of(c.StoresKg.P90), y + 0.25}), math.Max(top, kg.of(c.StoresKg.P90))
				}
				put(&dots, c.StoresKg.P50, y)
				put(&need, c.Confidence.NeedStoresKg, y)
			}
			r.x1 -= 10
			a, _ := s.rows(names, r, 0.3, top, "Stores, "+kg.name())
			add(a, grid(false, true), rects(tint(colPlan, 0.35), ranges...))
			if !math.IsNaN(reserve) {
				add(a, upright(a, reserve, penReserve))
			}
			add(a, &plotter.Scatter{XYs: need, GlyphStyle: glyph(markNeed, colA, 3.4)}, &plotter.Scatter{XYs: dots, GlyphStyle: glyph(markDot, colPlan, 2.2)})
			s.drawAll([]*plot.Plot{a}, false, r)
		}}
}

// VisitsTitle says when the first yard is to be fed.
func VisitsTitle(p plan.Plan, l Look) string {
	n := 0
	var first time.Time
	where := ""
	for _, y := range p.Yards {
		for _, v := range y.Visits {
			if v.Date.Before(p.Today) || !feeds(p, y.Name, v.Date) {
				continue
			}
			n++
			if first.IsZero() || v.Date.Before(first) {
				first, where = v.Date, y.Name
			}
		}
	}
	switch n {
	case 0:
		return "No visit to feed is planned"
	case 1:
		return "One visit to feed: " + where + " on " + l.long(first)
	}
	return fmt.Sprintf("%d visits to feed, the first at %s on %s", n, where, l.long(first))
}

// feeds tells that a colony of a yard is to be fed on a day whatever the nectar.
func feeds(p plan.Plan, yard string, day time.Time) bool {
	for _, c := range p.Colonies {
		if c.Yard != yard {
			continue
		}
		for _, f := range c.Feedings {
			if f.Date.Equal(day) && !f.OnlyIfLow {
				return true
			}
		}
	}
	return false
}

// VisitsChart draws the visits of each yard along the dates, those that feed
// filled, and the time of first nectar.
func VisitsChart(p plan.Plan, l Look) *Chart {
	title := VisitsTitle(p, l)
	from, to := visitSpan(p)
	if from.IsZero() {
		return nothing(title, "There is no visit in the plan.", l)
	}
	var feedOn, lookOn plotter.XYs
	var nectar []coming
	var desc []string
	for i, y := range p.Yards {
		words := []string{}
		for _, v := range y.Visits {
			at := plotter.XY{X: dayOf(v.Date), Y: -float64(i)}
			if feeds(p, y.Name, v.Date) {
				feedOn, words = append(feedOn, at), append(words, l.short(v.Date))
			} else {
				lookOn = append(lookOn, at)
			}
		}
		nectar = append(nectar, coming{"first nectar", []float64{0.1, 0.5, 0.9}, []time.Time{y.Nectar.P10, y.Nectar.P50, y.Nectar.P90}})
		if len(words) > 0 {
			desc = append(desc, y.Name+": feed on "+strings.Join(words, ", "))
		}
	}
	var keys []keyItem
	if len(feedOn) > 0 {
		keys = append(keys, keyMark("visit that feeds", markDown, colPlan))
	}
	if len(lookOn) > 0 {
		keys = append(keys, keyMark("visit to look, or to feed if low", hollow{markUp}, soft))
	}
	if len(nectar) > 0 && !nectar[0].date[0].IsZero() {
		keys = append(keys, nectar[0].key())
	}
	return &Chart{title: title, subtitle: "Visits by yard and date", desc: strings.Join(desc, "; ") + ".", look: l,
		height: barsHeight(len(p.Yards), l.TextPt*2, keys),
		draw: func(s *sheet, r box) {
			r = s.keyOver(keys, r)
			names := make([]string, len(p.Yards))
			for i, y := range p.Yards {
				names[i] = y.Name
			}
			a, _ := s.rows(names, r, 0.3, 1, "")
			a.Y.LineStyle.Width = 0
			s.dateAxis(a, []time.Time{from, to}, r.w()*0.7)
			for i, c := range nectar {
				if !c.date[0].IsZero() {
					h := c.span()
					h.y0, h.y1 = -float64(i)-0.4, 0.4-float64(i)
					add(a, h)
				}
				add(a, rule(a, -float64(i), penGrid))
			}
			add(a, &plotter.Scatter{XYs: lookOn, GlyphStyle: glyph(hollow{markUp}, soft, 3)}, &plotter.Scatter{XYs: feedOn, GlyphStyle: glyph(markDown, colPlan, 3.2)})
			s.drawAll([]*plot.Plot{a}, false, r)
		}}
}

// visitSpan is from the first visit to the last, with the time of nectar.
func visitSpan(p plan.Plan) (from, to time.Time) {
	for _, y := range p.Yards {
		for _, v := range y.Visits {
			if from.IsZero() || v.Date.Before(from) {
				from = v.Date
			}
			if v.Date.After(to) {
				to = v.Date
			}
		}
	}
	if from.IsZero() {
		return from, to
	}
	for _, y := range p.Yards {
		if y.Nectar.P90.After(to) {
			to = y.Nectar.P90
		}
	}
	return from.AddDate(0, 0, -2), to.AddDate(0, 0, 2)
}

// sugarTitle says what less and more than the planned sugar would do.
func sugarTitle(d plan.Detail, l Look) string {
	kg := l.measure("kg")
	t := d.Colony + ": "
	for i, tr := range d.BySugar {
		if !tr.Planned {
			continue
		}
		t += kg.words(tr.SugarKg) + " of sugar as planned leaves a risk of " + percent(tr.Risk.Frac)
		if i > 1 {
			half := d.BySugar[i/2]
			t += "; " + kg.words(half.SugarKg) + ", " + percent(half.Risk.Frac)
		}
	}
	return t
}

// SugarChart draws the risk of a colony against the amount of sugar it is given,
// on the visits of its plan.
func SugarChart(d plan.Detail, acceptPct float64, l Look) *Chart {
	if len(d.BySugar) < 2 {
		return nothing("No feeding to weigh for "+d.Colony, "There is no feed in the plan.", l)
	}
	kg := l.measure("kg")
	xs := make([]float64, len(d.BySugar))
	for i, tr := range d.BySugar {
		xs[i] = kg.of(tr.SugarKg)
	}
	return tradeChart(sugarTitle(d, l), "Colony "+d.Colony+place(d)+": all feedings smaller or larger by the same share", d.BySugar, xs, acceptPct, l,
		func(s *sheet, p *plot.Plot, width float64) {
			step, _, x1 := roundOut(0, xs[len(xs)-1], max(3, int(width/50)))
			p.X.Min, p.X.Max, p.X.Tick.Marker, p.X.Label.Text = 0, x1, step, "Sugar given, "+kg.name()
		})
}

// startTitle says what waiting costs.
func startTitle(d plan.Detail, l Look) string {
	a, b := d.ByStart[0], d.ByStart[1]
	more := b.Risk.Frac - a.Risk.Frac
	t := fmt.Sprintf("%s: starting on %s leaves a risk of %s; ", d.Colony, l.long(a.Start), percent(a.Risk.Frac))
	wait := fmt.Sprintf("%.0f days later", b.Start.Sub(a.Start).Hours()/24)
	if more < 0.005 {
		return t + wait + " hardly more"
	}
	return t + wait + ", " + percent(b.Risk.Frac)
}

// StartChart draws the risk of a colony against the day of its first feeding, the
// others moved with it.
func StartChart(d plan.Detail, acceptPct float64, l Look) *Chart {
	if len(d.ByStart) < 2 {
		return nothing("No feeding to wait with for "+d.Colony, "There is no feed in the plan.", l)
	}
	xs := make([]float64, len(d.ByStart))
	var starts []time.Time
	for i, tr := range d.ByStart {
		xs[i], starts = dayOf(tr.Start), append(starts, tr.Start)
	}
	return tradeChart(startTitle(d, l), "Colony "+d.Colony+place(d)+": all feedings put off by the same days", d.ByStart, xs, acceptPct, l,
		func(s *sheet, p *plot.Plot, width float64) {
			s.dateAxis(p, starts, width)
			p.X.Label.Text = "First feeding"
			var ts plot.ConstantTicks
			end := math.Inf(-1)
			for i, x := range xs {
				at, w := (x-xs[0])/(xs[len(xs)-1]-xs[0])*width, s.width(l.short(starts[i]), s.plain())
				if at-w/2 > end+6 {
					ts, end = append(ts, plot.Tick{Value: x, Label: l.short(starts[i])}), at+w/2
				}
			}
			p.X.Tick.Marker = ts
		})
}

// tradeChart draws risks with twice their simulation error over something chosen.
func tradeChart(title, sub string, ts []plan.Trade, xs []float64, acceptPct float64, l Look, axis func(s *sheet, p *plot.Plot, width float64)) *Chart {
	risk, lo, hi := make([]float64, len(ts)), make([]float64, len(ts)), make([]float64, len(ts))
	var planned plotter.XYs
	var desc []string
	for i, t := range ts {
		risk[i] = 100 * t.Risk.Frac
		lo[i], hi[i] = math.Max(0, risk[i]-200*t.Risk.ErrFrac), math.Min(100, risk[i]+200*t.Risk.ErrFrac)
		if t.Planned {
			planned = append(planned, plotter.XY{X: xs[i], Y: risk[i]})
		}
		desc = append(desc, percent(t.Risk.Frac))
	}
	_, top := span(hi, []float64{1.6 * acceptPct})
	step, _, y1 := roundOut(0, math.Min(100, top), 5)
	keys := []keyItem{keyLine("risk", penAlone), keyFill("twice the simulation error", tint(colA, outerTint)), keyMark("as planned", markDiamond, colPlan)}
	return &Chart{title: title, subtitle: sub, desc: "Risk in order: " + strings.Join(desc, ", ") + ".", look: l,
		height: func(s *sheet, w float64) float64 { return s.keyRoom(keys, w) + s.panelHeight(130) },
		draw: func(s *sheet, r box) {
			r = s.keyOver(keys, r)
			width := s.panelWidth(r, 1, false, step.Ticks(0, y1), 6)
			p := s.axes("Springs in which it starves before nectar, %")
			axis(s, p, width)
			p.Y.Min, p.Y.Max, p.Y.Tick.Marker = 0, y1, step
			add(p, grid(true, false))
			add(p, band(xs, lo, hi, tint(colA, outerTint))...)
			add(p, lines(xs, risk, pen{penAlone.col, penAlone.width, nil, markNone}, width, 0)...)
			add(p, dotsAt(xs, risk, penAlone)...)
			add(p, &plotter.Scatter{XYs: planned, GlyphStyle: glyph(markDiamond, colPlan, 3.4)})
			if acceptPct > 0 {
				add(p, rule(p, acceptPct, penReserve), s.onRule(acceptPct, "accepted "+amount(acceptPct)+" %", penReserve))
			}
			s.drawAll([]*plot.Plot{p}, false, r)
		}}
}

// dotsAt marks each place of a curve.
func dotsAt(xs, ys []float64, q pen) []plot.Plotter {
	var out []plot.Plotter
	for _, run := range xys(xs, ys) {
		out = append(out, &plotter.Scatter{XYs: run, GlyphStyle: glyph(q.mark, q.col, markRadius)})
	}
	return out
}

// GainTitle says how many more bees a supplement gives, and how sure that is: the
// paired gain that the plan advises by.
func GainTitle(d plan.Detail, q plan.Supplement) string {
	if !hasBand(d.BeesGain) || len(d.Dates) == 0 || !q.Considered {
		return "No supplement to weigh for " + d.Colony
	}
	when := "at bloom"
	if q.WantedBees.P50 > 0 {
		when = "on the day wanted"
	}
	g := q.GainBees
	in := fmt.Sprintf("%s more bees %s in the middle spring", round100(g.P50), when)
	switch {
	case g.P90 < 50:
		return fmt.Sprintf("Supplement gives %s no more bees %s", d.Colony, when)
	case g.P10 < 0:
		return fmt.Sprintf("Supplement may give %s more bees or fewer: %s (%s: %s fewer to %s more)", d.Colony, in, outerName, round100(-g.P10), round100(g.P90))
	}
	return fmt.Sprintf("Supplement gives %s %s (%s: %s to %s)", d.Colony, in, outerName, round100(g.P10), round100(g.P90))
}

// GainChart draws how many more adult bees a supplement gives by date, each spring
// against itself, with its range.
func GainChart(d plan.Detail, q plan.Supplement, l Look) *Chart {
	title := GainTitle(d, q)
	if len(d.Dates) == 0 || !hasBand(d.BeesGain) {
		return nothing(title, "There is no supplement to compare.", l)
	}
	xs, g, inBloom := days(d.Dates), d.BeesGain, bloomOf(d)
	lo, hi := span(g.P10, g.P50, g.P90, []float64{0})
	step, y0, y1 := roundOut(lo, hi, 5)
	keys := []keyItem{
		keyLine(middleName, pen{colPlan, 1.8, nil, markNone}),
		keyFill(innerName, tint(colPlan, innerTint)), keyFill(outerName, tint(colPlan, outerTint)),
	}
	if inBloom.known() {
		keys = append(keys, inBloom.key())
	}
	i := bloomIndex(d)
	return &Chart{title: title, look: l,
		subtitle: "Colony " + d.Colony + place(d) + ": more adult bees with supplement than without, in the same spring",
		desc:     fmt.Sprintf("On %s: %s more in the middle spring.", l.long(d.Dates[i]), round100(value(g.P50, i))),
		height:   func(s *sheet, w float64) float64 { return s.keyRoom(keys, w) + s.panelHeight(130) },
		draw: func(s *sheet, r box) {
			r = s.keyOver(keys, r)
			width := s.panelWidth(r, 1, false, step.Ticks(y0, y1), 6)
			p := s.axes("More adult bees")
			s.dateAxis(p, d.Dates, width)
			p.Y.Min, p.Y.Max, p.Y.Tick.Marker = y0, y1, step
			add(p, grid(true, false))
			add(p, inBloom.shade()...)
			add(p, band(xs, g.P10, g.P90, tint(colPlan, outerTint))...)
			add(p, band(xs, g.P25, g.P75, tint(colPlan, innerTint))...)
			add(p, lines(xs, g.P50, pen{colPlan, 1.8, nil, markNone}, width, 0)...)
			add(p, inBloom.middle(p)...)
			if y0 < 0 {
				add(p, rule(p, 0, penAxis))
			}
			add(p, inBloom.name(s)...)
			s.drawAll([]*plot.Plot{p}, false, r)
		}}
}
