package plots

import (
	"fmt"
	"math"
	"strings"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"bloomgap/feed/plan"
)

// nectarIndex is the day by which half the springs give nectar, or bloom where
// nectar is not known; the last day when neither comes by then.
func nectarIndex(d plan.Detail) int {
	for _, f := range [][]float64{d.NectarFrac, d.BloomFrac} {
		if len(f) > 0 {
			if i := firstAt(f, 0.5); i >= 0 {
				return i
			}
			break
		}
	}
	return len(d.Dates) - 1
}

// passes is the first day up to and with the day of nectar at which middle
// stores are under the reserve; -1 when they stay over it.
func passes(d plan.Detail, p50 []float64) int {
	end := nectarIndex(d)
	for i, v := range p50 {
		if i > end {
			break
		}
		if v < d.ReserveKg {
			return i
		}
	}
	return -1
}

// StoresTitle says in what share of springs the reserve is held, left alone and
// fed as planned; where that is not known, when the middle stores pass it.
func StoresTitle(d plan.Detail, l Look) string {
	if len(d.Dates) == 0 || !hasBand(d.StoresAlone) {
		return "No stores to show for " + d.Colony
	}
	if d.Reserve == nil || math.IsNaN(d.Reserve.Alone) {
		return middleTitle(d, l)
	}
	t := "Left alone, " + d.Colony + " holds its reserve to nectar in " + percent(d.Reserve.Alone) + " of springs"
	if hasBand(d.StoresFed) && !math.IsNaN(d.Reserve.Fed) {
		t += "; fed as planned, in " + percent(d.Reserve.Fed)
	}
	return t
}

// middleTitle says when the middle stores pass the reserve.
func middleTitle(d plan.Detail, l Look) string {
	i := passes(d, d.StoresAlone.P50)
	name := "In the middle spring " + d.Colony
	var t string
	switch {
	case i == 0:
		t = name + " is under its reserve from the start"
	case i > 0:
		t = name + " passes its reserve about " + l.long(d.Dates[i])
	case firstAt(d.NectarFrac, 0.5) >= 0:
		return name + " holds its reserve to nectar, about " + l.long(d.Dates[nectarIndex(d)])
	default:
		return name + " holds its reserve to " + l.long(d.Dates[nectarIndex(d)])
	}
	if !hasBand(d.StoresFed) {
		return t
	}
	if i == 0 { // the plan cannot mend what is already short: look from the first feeding on
		start := firstAbove(d.StoresFed.P50, d.ReserveKg)
		if start < 0 {
			return t + ", and fed as planned as well"
		}
		return t + "; fed as planned it holds it from " + l.long(d.Dates[min(start, len(d.Dates)-1)])
	}
	if j := passes(d, d.StoresFed.P50); j >= 0 {
		return t + "; fed as planned about " + l.long(d.Dates[j])
	}
	return t + "; fed as planned it holds it"
}

func firstAbove(v []float64, level float64) int {
	for i, x := range v {
		if x >= level {
			return i
		}
	}
	return -1
}

func place(d plan.Detail) string {
	if d.Yard == "" {
		return ""
	}
	return ", yard " + d.Yard
}

// bandNames say what bands mean, in springs.
const (
	outerName  = "8 in 10 springs"
	innerName  = "half the springs"
	middleName = "middle spring"
)

// view is one panel of a chart of stores.
type view struct {
	name string
	band plan.Band
	pen  pen
	fed  bool
	p50  []float64 // kg
}

// StoresChart draws stores by date left alone and, when there are feedings,
// fed as planned: the middle spring, the bands of half the springs and of 8 in 10, the
// reserve, the dates of first nectar, visits and fills.
func StoresChart(d plan.Detail, l Look) *Chart {
	title := StoresTitle(d, l)
	if len(d.Dates) == 0 || !hasBand(d.StoresAlone) {
		return nothing(title, "There are no days to draw.", l)
	}
	kg := l.measure("kg")
	views := []view{{"left alone", kg.band(d.StoresAlone), penAlone, false, d.StoresAlone.P50}}
	if hasBand(d.StoresFed) {
		views = append(views, view{"fed as planned", kg.band(d.StoresFed), penPlan, true, d.StoresFed.P50})
	}
	step, shown := storesScale(d, views, kg.of(d.ReserveKg))
	sub := "Colony " + d.Colony + place(d) + ": stores by date before nectar"
	for _, v := range views {
		if _, hi := span(v.band.P50, v.band.P90); hi > shown {
			sub += "; more than " + amount(shown) + " " + kg.name() + " is not drawn"
			break
		}
	}
	keys := storesKeys(d, views)
	room := func(s *sheet, r box) (width, strip float64) {
		width = s.panelWidth(r, len(views), r.w() >= wide, step.Ticks(0, shown), 4)
		if len(views) > 1 {
			strip = s.strip(d).height(width)
		}
		return width, strip
	}
	return &Chart{title: title, look: l, subtitle: sub, desc: storesDesc(d, kg, l),
		height: func(s *sheet, w float64) float64 {
			_, strip := room(s, box{0, 0, w, 0})
			return besideHeight(len(views), keys, strip)(s, w)
		},
		draw: func(s *sheet, r box) {
			r = s.keyOver(keys, r)
			side := r.w() >= wide
			width, strip := room(s, r)
			var ps []*plot.Plot
			for _, v := range views {
				p := s.axes("Stores, " + kg.name() + ": " + v.name)
				s.dateAxis(p, d.Dates, width)
				p.Y.Min, p.Y.Max, p.Y.Tick.Marker = 0, shown, step
				if strip > 0 && (v.fed || side) {
					p.Add(over{strip, func(c draw.Canvas, p *plot.Plot) {
						if v.fed {
							s.strip(d).plot(c, p, strip)
						}
					}})
				}
				s.addStores(p, d, v, kg, width)
				ps = append(ps, p)
			}
			s.drawAll(ps, side, r)
		}}
}

// addStores puts bands, the middle and what is to be read off them on a panel.
func (s *sheet) addStores(p *plot.Plot, d plan.Detail, v view, kg measure, width float64) {
	xs, nectar, reserve := days(d.Dates), nectarOf(d), kg.of(d.ReserveKg)
	add(p, grid(true, false))
	add(p, nectar.shade()...)
	add(p, band(xs, v.band.P10, v.band.P90, tint(v.pen.col, outerTint))...)
	add(p, band(xs, v.band.P25, v.band.P75, tint(v.pen.col, innerTint))...)
	add(p, lines(xs, v.band.P50, pen{v.pen.col, v.pen.width, nil, markNone}, width, 0)...)
	add(p, nectar.middle(p)...)
	add(p, foot{days(d.Visits), glyph(hollow{markUp}, soft, 3)})
	if k := passes(d, v.p50); k > 0 {
		add(p, ring(xs[k], v.band.P50[k], v.pen), s.beside(xs[k], v.band.P50[k], s.look.short(d.Dates[k]), v.pen))
	}
	if reserve <= p.Y.Max {
		add(p, rule(p, reserve, penReserve), s.onRule(reserve, "reserve "+kg.words(d.ReserveKg), penReserve))
	}
	add(p, nectar.name(s)...)
}

// storesScale is the scale of the time before nectar: what comes in after it
// would press flat what matters.
func storesScale(d plan.Detail, views []view, reserve float64) (step steps, shown float64) {
	top := 1.4 * reserve
	soon := len(d.Dates)
	if i := firstAt(nectarOf(d).by, 0.25); i >= 0 {
		soon = i + 1
	}
	upTo := func(v []float64, n int) []float64 { return v[:min(n, len(v))] }
	for _, v := range views {
		if _, hi := span(upTo(v.band.P90, soon), upTo(v.band.P50, nectarIndex(d)+1)); hi > top {
			top = hi
		}
	}
	step, _, shown = roundOut(0, top*1.02, 5)
	return step, shown
}

// storesKeys names the marks that are drawn, and no others.
func storesKeys(d plan.Detail, views []view) []keyItem {
	keys := []keyItem{keyLine(middleName, pen{ink, 1.8, nil, markNone})}
	inner, outer := false, false
	for _, v := range views {
		inner, outer = inner || mlen(v.band.P25) > 0, outer || mlen(v.band.P10) > 0
	}
	if inner {
		keys = append(keys, keyFill(innerName, tint(ink, innerTint)))
	}
	if outer {
		keys = append(keys, keyFill(outerName, tint(ink, outerTint)))
	}
	if n := nectarOf(d); n.known() {
		keys = append(keys, n.key())
	}
	first, end := d.Dates[0], d.Dates[len(d.Dates)-1]
	for _, v := range d.Visits {
		if !v.Before(first) && !v.After(end) {
			keys = append(keys, keyMark("visit", hollow{markUp}, soft))
			break
		}
	}
	names := map[draw.GlyphDrawer]string{markDown: "syrup", markSquare: "solid feed",
		hollow{markDown}: "syrup only if low", hollow{markSquare}: "solid feed only if low"}
	if len(views) < 2 {
		return keys // without feed
	}
	for _, shape := range []draw.GlyphDrawer{markDown, markSquare, hollow{markDown}, hollow{markSquare}} {
		for _, f := range d.Feedings {
			if !f.Date.Before(first) && !f.Date.After(end) && feedingMark(f) == shape {
				keys = append(keys, keyMark(names[shape], shape, colPlan))
				break
			}
		}
	}
	return keys
}

func storesDesc(d plan.Detail, kg measure, l Look) string {
	var b strings.Builder
	at := func(name string, band plan.Band, i int) {
		if !math.IsNaN(value(band.P50, i)) && i < len(d.Dates) {
			fmt.Fprintf(&b, "%s on %s: %s", name, l.long(d.Dates[i]), kg.words(band.P50[i]))
			if !math.IsNaN(value(band.P10, i)) && !math.IsNaN(value(band.P90, i)) {
				fmt.Fprintf(&b, " (8 in 10 springs: %s to %s)", amount(kg.of(band.P10[i])), kg.words(band.P90[i]))
			}
			b.WriteString(". ")
		}
	}
	n := nectarIndex(d)
	at("Middle stores left alone", d.StoresAlone, 0)
	at("Left alone", d.StoresAlone, n)
	at("Fed as planned", d.StoresFed, n)
	fmt.Fprintf(&b, "Reserve: %s.", kg.words(d.ReserveKg))
	if len(d.Feedings) > 0 {
		fmt.Fprintf(&b, " Feedings: %d.", len(d.Feedings))
	}
	return b.String()
}

// coming is something that comes at a date that differs from spring to spring.
type coming struct {
	word string
	by   []float64 // share of springs in which it has come, by date
	date []time.Time
}

// nectarOf is the first nectar, or bloom where nectar is not known.
func nectarOf(d plan.Detail) coming {
	if len(d.NectarFrac) == 0 {
		return bloomOf(d)
	}
	return coming{"first nectar", d.NectarFrac, d.Dates}
}

func bloomOf(d plan.Detail) coming { return coming{"bloom", d.BloomFrac, d.Dates} }

// at is the day by which it has come in a share of springs.
func (c coming) at(share float64) (day float64, known bool) {
	i := firstAt(c.by, share)
	if i < 0 || i >= len(c.date) {
		return 0, false
	}
	return dayOf(c.date[i]), true
}

func (c coming) known() bool { _, ok := c.at(0.1); return ok }

var penHatch = pen{rgb(0xc9bf52), 0.4, nil, markNone}

// span is the time in which it comes in 8 springs of 10, to the edge of the axes
// where the ninth of ten comes later.
func (c coming) span() hatched {
	h := hatched{x0: math.NaN(), x1: math.NaN(), y0: math.NaN(), y1: math.NaN(), fill: bloom, hatch: penHatch, edge: penHatch, step: 5}
	if lo, ok := c.at(0.1); ok {
		h.x0 = lo
	}
	if hi, ok := c.at(0.9); ok {
		h.x1 = hi
	}
	return h
}

func (c coming) key() keyItem {
	return keyItem{c.word + ", " + outerName, []plot.Thumbnailer{c.span()}}
}

// shade marks the days by which it has come in 1 to 9 springs of 10.
func (c coming) shade() []plot.Plotter {
	if !c.known() {
		return nil
	}
	return []plot.Plotter{c.span()}
}

// middle draws the day of the middle spring.
func (c coming) middle(p *plot.Plot) []plot.Plotter {
	mid, ok := c.at(0.5)
	if !ok {
		return nil
	}
	q := pen{bloomIn, 1, []float64{1.5, 2}, markNone}
	return []plot.Plotter{&plotter.Line{XYs: plotter.XYs{{X: mid, Y: p.Y.Min}, {X: mid, Y: p.Y.Max}}, LineStyle: lineStyle(q)}}
}

// name names the day of the middle spring where there is room.
func (c coming) name(s *sheet) []plot.Plotter {
	mid, ok := c.at(0.5)
	if !ok {
		return nil
	}
	day := s.look.short(dateOf(mid))
	st := s.style(s.look.TextPt, false, rgb(0x5c5500))
	places := func(on draw.Canvas, p *plot.Plot, w float64) []vg.Point {
		tx, _ := p.Transforms(&on)
		lo, _ := c.at(0.1)
		hi, ok := c.at(0.9)
		if !ok {
			hi = p.X.Max
		}
		x := func(v float64) float64 { return float64(tx(v)) }
		var out []vg.Point
		for k := range 9 {
			y := float64(on.Max.Y) - s.look.TextPt*(1+1.2*float64(k))
			out = append(out, point(x(lo)-w-4, y), point(x(hi)+4, y), point(x(mid)-w-4, y), point(x(mid)+4, y))
		}
		return out
	}
	return []plot.Plotter{label{s, []string{c.word + " about " + day, c.word + " " + day, day}, st, places}}
}

// feedingWords is what goes on at a feeding: "4 L", "2 kg".
func (l Look) feedingWords(f plan.Feeding) string {
	var parts []string
	if f.SyrupL > 0 {
		parts = append(parts, l.words().Volume(f.SyrupL))
	}
	if f.SolidKg > 0 {
		parts = append(parts, l.words().Mass(f.SolidKg))
	}
	return strings.Join(parts, " + ")
}

// strip is what stands over the data: an arrow for each feeding with its amount,
// in as many rows as keep the amounts apart.
type strip struct {
	s        *sheet
	feedings []plan.Feeding // within the dates shown
	from, to float64        // days
	summary  string         // instead of amounts where they are too many
}

// mostStripRows is the number of rows from which amounts are summed up; own
// choice, 2-4.
const mostStripRows = 3

func (s *sheet) strip(d plan.Detail) strip {
	t := strip{s: s, from: dayOf(d.Dates[0]), to: dayOf(d.Dates[len(d.Dates)-1])}
	var litres, kg []float64
	for _, f := range d.Feedings {
		if x := dayOf(f.Date); x >= t.from && x <= t.to {
			t.feedings = append(t.feedings, f)
			if f.SyrupL > 0 {
				litres = append(litres, f.SyrupL)
			}
			if f.SolidKg > 0 {
				kg = append(kg, f.SolidKg)
			}
		}
	}
	var parts []string
	w := s.look.words()
	for _, q := range []struct {
		v     []float64
		words func(float64) string
	}{{litres, w.Volume}, {kg, w.Mass}} {
		if lo, hi := span(q.v); !math.IsNaN(lo) {
			str := q.words(hi)
			if q.words(lo) != str {
				str = q.words(lo) + " to " + str
			}
			parts = append(parts, str)
		}
	}
	t.summary = fmt.Sprintf("%d feedings, %s each", len(t.feedings), strings.Join(parts, " or "))
	return t
}

// rows is the row of each amount over data of a width; ok tells that they fit.
func (t strip) rows(widthPt float64) (row []int, used int, ok bool) {
	var ends []float64
	for _, f := range t.feedings {
		x, w := t.at(f, widthPt)
		k := 0
		for k < len(ends) && ends[k]+4 > x {
			k++
		}
		if k == len(ends) {
			ends = append(ends, 0)
		}
		ends[k] = x + w
		row = append(row, k)
	}
	return row, len(ends), len(ends) <= mostStripRows
}

// at is the left end of an amount, from the left of the data, and its width.
func (t strip) at(f plan.Feeding, widthPt float64) (x, w float64) {
	w = t.s.width(t.s.look.feedingWords(f), t.s.plain())
	if t.to > t.from {
		x = (dayOf(f.Date) - t.from) / (t.to - t.from) * widthPt
	}
	return math.Min(math.Max(x-w/2, 0), math.Max(0, widthPt-w)), w
}

const stripRow = 1.2 // height of a row, sizes of letter

// height is the room over data of a width, points.
func (t strip) height(widthPt float64) float64 {
	if len(t.feedings) == 0 {
		return 0
	}
	_, n, ok := t.rows(widthPt * 0.93) // labels of the axis may take some of it
	if !ok {
		n = 1
	}
	return t.roomFor(n)
}

func (t strip) roomFor(rows int) float64 { return 14 + stripRow*t.s.look.TextPt*float64(rows) }

// plot draws it in a height over the data.
func (t strip) plot(c draw.Canvas, p *plot.Plot, heightPt float64) {
	tx, _ := p.Transforms(&c)
	st, b := t.s.style(t.s.look.TextPt, false, colPlan), boxOf(c.Rectangle)
	tip := c.Max.Y + 5
	row, n, ok := t.rows(b.w())
	ok = ok && t.roomFor(n) <= heightPt+0.1
	for i, f := range t.feedings {
		x := tx(dayOf(f.Date))
		c.StrokeLine2(lineStyle(pen{colPlan, 0.9, nil, markNone}), x, tip+8, x, tip+3)
		c.DrawGlyphNoClip(glyph(feedingMark(f), colPlan, 3), vg.Point{X: x, Y: tip})
		if ok {
			at, _ := t.at(f, b.w())
			t.s.text(t.s.look.feedingWords(f), b.x0+at, b.y1+15+stripRow*t.s.look.TextPt*float64(row[i]), st)
		}
	}
	if !ok {
		str := t.s.fit(t.summary, st, b.w())
		t.s.text(str, b.x0, b.y1+15, st)
	}
}

// feedingMark points down for syrup and is a block for solid feed; hollow where it
// is only given if nectar is late.
func feedingMark(f plan.Feeding) draw.GlyphDrawer {
	m := markDown
	if !(f.SyrupL > 0) {
		m = markSquare
	}
	if f.OnlyIfLow {
		return hollow{m}
	}
	return m
}

// RiskTitle says in what share of springs the colony starves, left alone and fed
// as planned.
func RiskTitle(d plan.Detail) string {
	if len(d.Dates) == 0 || len(d.RiskAlone) == 0 {
		return "No risk to show for " + d.Colony
	}
	e := riskEnds(&d)
	t := "Left alone, " + d.Colony + " starves in " + percent(e.Alone) + " of springs"
	if len(d.RiskFed) > 0 {
		t += "; fed as planned, in " + percent(e.Fed)
	}
	return t
}

// riskEnds are the risks that a picture tells: those of the plan, or else the ends of the
// curves.
func riskEnds(d *plan.Detail) plan.Ends {
	if d.Starves != nil {
		return *d.Starves
	}
	return plan.Ends{Alone: last(d.RiskAlone), Fed: last(d.RiskFed), Supplement: last(d.RiskSupplement), SupplementFed: last(d.RiskSupplementFed)}
}

// series is a named line.
type series struct {
	name string
	v    []float64
	pen  pen
}

// RiskChart draws the share of springs in which the colony has starved by each
// date: left alone, fed as planned, with supplement and not fed, with both; and the risk that is accepted, percent.
func RiskChart(d plan.Detail, acceptPct float64, l Look) *Chart {
	title := RiskTitle(d)
	if len(d.Dates) == 0 || len(d.RiskAlone) == 0 {
		return nothing(title, "There are no days to draw.", l)
	}
	xs := days(d.Dates)
	e := riskEnds(&d)
	all := []series{
		{"left alone", d.RiskAlone, penAlone},
		{"fed as planned", d.RiskFed, penPlan},
		{"supplement, not fed", d.RiskSupplement, penProt},
		{"supplement and fed", d.RiskSupplementFed, penBoth},
	}
	told := []float64{e.Alone, e.Fed, e.Supplement, e.SupplementFed}
	var shown []series
	var keys []keyItem
	var words []string
	top := acceptPct * 1.6
	for k, q := range all {
		if len(q.v) == 0 {
			continue
		}
		pc := make([]float64, len(q.v))
		for i := range pc {
			pc[i] = 100 * q.v[i]
		}
		if _, hi := span(pc); hi > top {
			top = hi
		}
		shown = append(shown, series{q.name, pc, q.pen})
		text := q.name + " " + percent(told[k])
		keys, words = append(keys, keyLine(text, q.pen)), append(words, text)
	}
	nectar := nectarOf(d)
	sub := "Colony " + d.Colony + place(d) + ": risk of starving before nectar, by date"
	if nectar.known() {
		sub += "; shaded: " + nectar.word + " in " + outerName
	}
	step, _, y1 := roundOut(0, math.Min(100, math.Max(top, 4)), 5)
	return &Chart{title: title, look: l,
		subtitle: sub,
		desc:     "By " + l.long(d.Dates[len(d.Dates)-1]) + ": " + strings.Join(words, ", ") + ". Accepted: " + amount(acceptPct) + " %.",
		height: func(s *sheet, w float64) float64 {
			h := s.panelHeight(150)
			if w < wide {
				h += s.keyRoom(keys, w)
			}
			return h
		},
		draw: func(s *sheet, r box) {
			room, side := 5.0, r.w() >= wide
			if side {
				room = s.endRoom(words, r.w())
			} else {
				r = s.keyOver(keys, r)
			}
			width := s.panelWidth(r, 1, false, step.Ticks(0, y1), room)
			p := s.axes("Springs in which it has starved, %")
			s.dateAxis(p, d.Dates, width)
			p.Y.Min, p.Y.Max, p.Y.Tick.Marker = 0, y1, step
			add(p, grid(true, false))
			add(p, nectar.shade()...)
			add(p, nectar.middle(p)...)
			named := ends{s: s, room: room}
			for i := len(shown) - 1; i >= 0; i-- {
				add(p, lines(xs, shown[i].v, shown[i].pen, width, float64(i)/4)...)
			}
			for i, q := range shown {
				if v := last(q.v); side && !math.IsNaN(v) {
					named.names, named.at, named.pens = append(named.names, words[i]), append(named.at, v), append(named.pens, q.pen)
				}
			}
			if acceptPct > 0 {
				add(p, rule(p, acceptPct, penReserve), s.onRule(acceptPct, "accepted "+amount(acceptPct)+" %", penReserve))
			}
			add(p, nectar.name(s)...)
			p.Add(named)
			s.drawAll([]*plot.Plot{p}, false, r)
		}}
}

// endRoom is the room that names at the ends of lines need.
func (s *sheet) endRoom(names []string, w float64) float64 {
	room := 0.0
	for _, n := range names {
		room = math.Max(room, s.width(n, s.plain()))
	}
	return math.Min(room+14, w*0.38)
}

// BeesTitle says how many bees there are at bloom in the middle spring, with and
// without a supplement; what it gives in one and the same spring is the matter of
// GainChart.
func BeesTitle(d plan.Detail, l Look) string {
	if len(d.Dates) == 0 || !hasBand(d.Bees) {
		return "No bees to show for " + d.Colony
	}
	i := bloomIndex(d)
	when := " bees at bloom, " + l.long(d.Dates[i])
	if firstAt(d.BloomFrac, 0.5) < 0 {
		when = " bees on " + l.long(d.Dates[i]) // bloom is later, or not known
	}
	t := d.Colony + " has about " + round100(value(d.Bees.P50, i)) + when
	if with := value(d.BeesSupplement.P50, i); !math.IsNaN(with) {
		t += "; with supplement about " + round100(with)
	}
	return t
}

func round100(v float64) string {
	if math.IsNaN(v) {
		return "an unknown number of"
	}
	return count(math.Round(v/100) * 100)
}

// bloomIndex is the day by which half the springs are in bloom; the last day
// when they are not by then.
func bloomIndex(d plan.Detail) int {
	if i := firstAt(d.BloomFrac, 0.5); i >= 0 && i < len(d.Dates) {
		return i
	}
	return len(d.Dates) - 1
}

// BeesChart draws adult bees and brood by date, with and without a protein
// supplement, and the lead time from putting it on to its greatest effect on
// foragers.
func BeesChart(d plan.Detail, q plan.Supplement, l Look) *Chart {
	title := BeesTitle(d, l)
	if len(d.Dates) == 0 || !hasBand(d.Bees) {
		return nothing(title, "There are no days to draw.", l)
	}
	xs := days(d.Dates)
	type panel struct {
		heading    string
		bare, with plan.Band
		lead       bool
	}
	lead := q.Considered && !q.From.IsZero() && q.LeadDays.P50 > 0
	views := []panel{{"Adult bees", d.Bees, d.BeesSupplement, lead}}
	if hasBand(d.Brood) {
		views = append(views, panel{"Brood, cells", d.Brood, d.BroodSupplement, false})
	}
	var keys []keyItem
	keys = append(keys, keyLine("no supplement", penAlone), keyFill("no supplement, "+outerName, tint(penAlone.col, outerTint)))
	if hasBand(d.BeesSupplement) {
		keys = append(keys, keyLine("with supplement", penPlan), keyLine("with supplement, "+outerName, thin(penPlan)))
	}
	inBloom := bloomOf(d)
	if inBloom.known() {
		keys = append(keys, inBloom.key())
	}
	strip := 0.0
	if lead {
		keys = append(keys, keyItem{"supplement on, to the day its bees are there: " + leadWords(q), []plot.Thumbnailer{leadSample{}}})
		strip = 2.6 * l.TextPt
	}
	i := bloomIndex(d)
	desc := "On " + l.long(d.Dates[i]) + ": " + round100(value(d.Bees.P50, i)) + " adult bees without supplement"
	if v := value(d.BeesSupplement.P50, i); !math.IsNaN(v) {
		desc += ", " + round100(v) + " with it"
	}
	desc += "."
	if lead {
		desc += " From putting it on to the day its bees are there: " + leadWords(q) + "."
	}
	return &Chart{title: title, look: l,
		subtitle: "Colony " + d.Colony + place(d) + ": adult bees and brood by date",
		desc:     desc,
		height:   besideHeight(len(views), keys, strip),
		draw: func(s *sheet, r box) {
			r = s.keyOver(keys, r)
			side := r.w() >= wide
			var ps []*plot.Plot
			for _, v := range views {
				_, top := span(v.bare.P50, v.bare.P90, v.with.P50, v.with.P90)
				step, y0, y1 := roundOut(0, top, 5)
				width := s.panelWidth(r, len(views), side, step.Ticks(y0, y1), 4)
				p := s.axes(v.heading)
				s.dateAxis(p, d.Dates, width)
				p.Y.Min, p.Y.Max, p.Y.Tick.Marker = y0, y1, step
				add(p, grid(true, false))
				add(p, inBloom.shade()...)
				add(p, band(xs, v.bare.P10, v.bare.P90, tint(penAlone.col, outerTint))...)
				for _, edge := range [][]float64{v.with.P10, v.with.P90} {
					add(p, lines(xs, edge, thin(penPlan), width, 0)...)
				}
				add(p, lines(xs, v.bare.P50, penAlone, width, 0)...)
				add(p, lines(xs, v.with.P50, penPlan, width, 0.5)...)
				add(p, inBloom.middle(p)...)
				add(p, inBloom.name(s)...)
				if strip > 0 && (v.lead || side) {
					p.Add(over{strip, func(c draw.Canvas, p *plot.Plot) {
						if v.lead {
							s.leadTime(c, p, q)
						}
					}})
				}
				ps = append(ps, p)
			}
			s.drawAll(ps, side, r)
		}}
}

func thin(p pen) pen { return pen{p.col, 0.8, []float64{2, 2}, markNone} }

var penLead = pen{ink, 1.1, nil, markNone}

// leadWords is the lead time: "43 days (38 to 49)".
func leadWords(q plan.Supplement) string {
	w := count(q.LeadDays.P50) + " days"
	if q.LeadDays.P10 > 0 && q.LeadDays.P90 > q.LeadDays.P10 {
		w += " (" + count(q.LeadDays.P10) + " to " + count(q.LeadDays.P90) + ")"
	}
	return w
}

// leadSample is the lead time in a key.
type leadSample struct{}

// Thumbnail draws it.
func (leadSample) Thumbnail(c *draw.Canvas) {
	w := c.Max.X - c.Min.X
	drawLead(c, c.Min.X, c.Min.X+0.75*w, c.Min.X+0.6*w, c.Max.X, c.Center().Y)
}

// drawLead draws a span with the band of its end.
func drawLead(c *draw.Canvas, from, mid, lo, hi, y vg.Length) {
	if hi > lo {
		c.FillPolygon(tint(ink, 0.3), corners(vg.Rectangle{Min: vg.Point{X: lo, Y: y - 2.5}, Max: vg.Point{X: hi, Y: y + 2.5}}))
	}
	c.StrokeLines(lineStyle(penLead), []vg.Point{{X: from, Y: y}, {X: mid, Y: y}}, []vg.Point{{X: from, Y: y - 4}, {X: from, Y: y + 4}})
	c.DrawGlyphNoClip(glyph(markDiamond, ink, 2.6), vg.Point{X: mid, Y: y})
}

// leadTime draws the span from putting on to the greatest effect over the data.
func (s *sheet) leadTime(c draw.Canvas, p *plot.Plot, q plan.Supplement) {
	tx, _ := p.Transforms(&c)
	in := func(days float64) vg.Length { return min(max(tx(dayOf(q.From)+days), c.Min.X), c.Max.X) }
	if !c.ContainsX(tx(dayOf(q.From))) {
		return
	}
	lo, hi := in(q.LeadDays.P10), in(q.LeadDays.P90)
	if q.LeadDays.P10 <= 0 {
		lo = hi
	}
	st, b := s.plain(), boxOf(c.Rectangle)
	strip := box{b.x0, b.y1, b.x1, b.y1 + 2.6*s.look.TextPt}
	y := vg.Length(strip.y0 + 7)
	drawLead(&c, in(0), in(q.LeadDays.P50), lo, hi, y)
	days := count(q.LeadDays.P50) + " days"
	for _, str := range []string{"supplement on " + s.look.short(q.From) + ", " + days, days} {
		w := s.width(str, st)
		x := math.Max(b.x0, math.Min(float64(in(0)), b.x1-w))
		if s.putFirst(str, st, strip, []vg.Point{point(x, float64(y)+6)}) {
			return
		}
	}
}
