package plots

import (
	"fmt"
	"math"
	"strings"
	"time"

	"bloomgap/feed"
)

// wide is the width, points, from which panels stand side by side and lines are
// named at their ends: 12.5 cm.
const wide = 12.5 * ptPerCm

// nectarIndex is the day by which half the springs give nectar, or bloom where
// nectar is not known; the last day when neither comes by then.
func nectarIndex(d feed.Detail) int {
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
func passes(d feed.Detail, p50 []float64) int {
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

// StoresTitle says when middle stores pass the reserve, left alone and with the
// plan.
func StoresTitle(d feed.Detail) string {
	if len(d.Dates) == 0 || !hasBand(d.StoresAlone) {
		return "No stores to show for " + d.Colony
	}
	i := passes(d, d.StoresAlone.P50)
	var t string
	switch {
	case i == 0:
		t = "Stores of " + d.Colony + " are under the reserve from the start"
	case i > 0:
		t = "Stores of " + d.Colony + " pass the reserve about " + longDate(d.Dates[i])
	case firstAt(d.NectarFrac, 0.5) >= 0:
		return "Stores of " + d.Colony + " hold the reserve to nectar, about " + longDate(d.Dates[nectarIndex(d)])
	default:
		return "Stores of " + d.Colony + " hold the reserve to " + longDate(d.Dates[nectarIndex(d)])
	}
	if !hasBand(d.StoresFed) {
		return t
	}
	start := 0
	if i == 0 { // the plan cannot mend what is already short: look from the first fill on
		start = firstAbove(d.StoresFed.P50, d.ReserveKg)
		if start < 0 {
			return t + ", and with the plan as well"
		}
		return t + "; with the plan they hold it from " + longDate(d.Dates[min(start, len(d.Dates)-1)])
	}
	switch j := passes(d, d.StoresFed.P50); {
	case j < 0:
		return t + "; with the plan they hold it"
	default:
		return t + "; with the plan about " + longDate(d.Dates[j])
	}
}

func firstAbove(v []float64, level float64) int {
	for i, x := range v {
		if x >= level {
			return i
		}
	}
	return -1
}

func place(d feed.Detail) string {
	if d.Yard == "" {
		return ""
	}
	return ", yard " + d.Yard
}

// bandNames say what bands mean, in springs.
const (
	outerName  = "8 springs in 10"
	innerName  = "half of springs"
	middleName = "middle spring"
)

// StoresChart draws stores by date left alone and, when there are fills, with
// the plan: the middle spring, the bands of half the springs and of 8 in 10, the
// reserve, the dates of first nectar, visits and fills.
func StoresChart(d feed.Detail, l Look) *Chart {
	title := StoresTitle(d)
	if len(d.Dates) == 0 || !hasBand(d.StoresAlone) {
		return nothing(title, "There are no days to draw.", l)
	}
	kg := l.measure("kg")
	xs := days(d.Dates)
	type view struct {
		name  string
		band  feed.Band
		pen   pen
		fills bool
		p50   []float64 // kg
	}
	views := []view{{"left alone", kg.band(d.StoresAlone), penAlone, false, d.StoresAlone.P50}}
	if hasBand(d.StoresFed) {
		views = append(views, view{"with the plan", kg.band(d.StoresFed), penPlan, true, d.StoresFed.P50})
	}
	reserve := kg.of(d.ReserveKg)
	// The scale is that of the time before nectar: what comes in after it would
	// press flat what matters.
	top, over := 1.4*reserve, false
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
	yt, y0, shown := numberTicks(0, top*1.02, 5)
	for _, v := range views {
		_, hi := span(v.band.P50, v.band.P90)
		over = over || hi > shown
	}
	sub := "Colony " + d.Colony + place(d) + ": stores by date before nectar"
	if over {
		sub += "; more than " + amount(shown) + " " + kg.name() + " is not drawn"
	}
	y1 := shown
	if len(d.Fills) > 0 { // room for the arrows
		y1 *= 1.3
	}
	keys := []keyItem{
		keyItem{middleName, func(s *sheet, b box) {
			y := (b.y0 + b.y1) / 2
			q := pen{ink, 1.8, nil, markNone}
			s.line(q, pt{b.x0, y}, pt{b.x1, y})
		}},
		keyFill(innerName, tint(ink, innerTint)),
		keyFill(outerName, tint(ink, outerTint)),
	}
	nectar := nectarOf(d)
	if nectar.known() {
		keys = append(keys, keyItem{nectar.word + ", " + outerName, func(s *sheet, b box) { s.bloomBox(b) }})
	}
	if len(d.Visits) > 0 {
		keys = append(keys, keyMark("visit", markUp, soft, true))
	}
	for _, f := range d.Fills {
		if !f.OnlyIfNoNectar {
			keys = append(keys, keyMark("fill", markDown, colPlan, false))
			break
		}
	}
	for _, f := range d.Fills {
		if f.OnlyIfNoNectar {
			keys = append(keys, keyMark("fill only if no nectar yet", markDown, colPlan, true))
			break
		}
	}
	return &Chart{title: title, look: l,
		subtitle: sub,
		desc:     storesDesc(d, kg),
		height:   besideHeight(len(views), keys),
		draw: func(s *sheet, r box) {
			r = s.keyUnder(keys, r)
			rs := split(r, len(views), r.w() >= wide)
			gutter := s.leftRoom(yt)
			for i, v := range views {
				ticks := s.dateTicks(xs[0], xs[len(xs)-1], rs[i].w()-gutter-4)
				p := s.panel(rs[i], axes{heading: "Stores, " + kg.name() + ": " + v.name, x0: xs[0], x1: xs[len(xs)-1], y0: y0, y1: y1,
					xTicks: ticks, yTicks: yt, xTitle: dateTitle(d.Dates[0], d.Dates[len(d.Dates)-1]), gutter: gutter, rightRoom: 4})
				p.top = shown
				p.shade(nectar)
				p.band(xs, v.band.P10, v.band.P90, tint(v.pen.col, outerTint))
				p.band(xs, v.band.P25, v.band.P75, tint(v.pen.col, innerTint))
				p.draw(xs, v.band.P50, pen{v.pen.col, v.pen.width, nil, markNone}, 0)
				p.middle(nectar)
				p.visits(d.Visits)
				if v.fills {
					p.fills(d.Fills, l)
				}
				p.marksOfCurves()
				if k := passes(d, v.p50); k > 0 {
					p.passing(xs[k], v.band.P50[k], v.pen)
				}
				p.level(reserve, penReserve, "reserve "+kg.words(d.ReserveKg))
				p.middleName(nectar)
			}
		}}
}

// passing rings the day on which the middle passes the reserve and names it.
func (p *panel) passing(x, v float64, q pen) {
	at := pt{p.x(x), p.clampY(p.y(v))}
	p.s.marker(markDot, at.x, at.y, 3, q.col, true)
	p.s.marks = append(p.s.marks, box{at.x - 3.5, at.y - 3.5, at.x + 3.5, at.y + 3.5})
	st := style{p.s.look.TextPt, true, q.col}
	str := shortDate(dateOf(x))
	w := p.s.width(str, st)
	p.label(str, st, []pt{{at.x + 4, at.y + 5}, {at.x - w/2, at.y - 15}, {at.x - w - 5, at.y - 12}, {at.x - w/2, at.y + 12}, {at.x + 5, at.y + 12}})
}

func storesDesc(d feed.Detail, kg measure) string {
	var b strings.Builder
	at := func(name string, band feed.Band, i int) {
		if !math.IsNaN(value(band.P50, i)) && i < len(d.Dates) {
			fmt.Fprintf(&b, "%s on %s: %s", name, longDate(d.Dates[i]), kg.words(band.P50[i]))
			if !math.IsNaN(value(band.P10, i)) && !math.IsNaN(value(band.P90, i)) {
				fmt.Fprintf(&b, " (8 springs in 10: %s to %s)", amount(kg.of(band.P10[i])), kg.words(band.P90[i]))
			}
			b.WriteString(". ")
		}
	}
	n := nectarIndex(d)
	at("Middle stores left alone", d.StoresAlone, 0)
	at("Left alone", d.StoresAlone, n)
	at("With the plan", d.StoresFed, n)
	fmt.Fprintf(&b, "Reserve: %s.", kg.words(d.ReserveKg))
	if len(d.Fills) > 0 {
		fmt.Fprintf(&b, " Fills: %d.", len(d.Fills))
	}
	return b.String()
}

// split cuts a rectangle into n, side by side or one under the other.
func split(r box, n int, side bool) []box {
	var out []box
	const gap = 12
	for i := range n {
		if side {
			w := (r.w() - gap*float64(n-1)) / float64(n)
			x := r.x0 + float64(i)*(w+gap)
			out = append(out, box{x, r.y0, x + w, r.y1})
		} else {
			h := r.h() / float64(n)
			out = append(out, box{r.x0, r.y1 - float64(i+1)*h, r.x1, r.y1 - float64(i)*h})
		}
	}
	return out
}

// coming is something that comes at a date that differs from spring to spring.
type coming struct {
	word string
	by   []float64 // share of springs in which it has come, by date
	date []time.Time
}

// nectarOf is the first nectar, or bloom where nectar is not known.
func nectarOf(d feed.Detail) coming {
	if len(d.NectarFrac) == 0 {
		return bloomOf(d)
	}
	return coming{"first nectar", d.NectarFrac, d.Dates}
}

func bloomOf(d feed.Detail) coming { return coming{"bloom", d.BloomFrac, d.Dates} }

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

func (s *sheet) bloomBox(b box) {
	s.rect(b, bloom)
	s.hatch(b, penHatch, 5)
	s.frame(b, penHatch)
}

// shade marks the days by which it has come in 1 to 9 springs of 10, to the
// edge of the panel where the ninth comes later.
func (p *panel) shade(c coming) {
	lo, ok := c.at(0.1)
	if !ok {
		return
	}
	hi, ok := c.at(0.9)
	if !ok {
		hi = p.x1
	}
	b := box{p.x(lo), p.r.y0, math.Max(p.x(hi), p.x(lo)+1), p.r.y1}
	p.s.bloomBox(b)
	p.s.edges = append(p.s.edges, box{b.x0 - 1, b.y0, b.x0 + 1, b.y1}, box{b.x1 - 1, b.y0, b.x1 + 1, b.y1})
}

// middle draws the day of the middle spring over the data.
func (p *panel) middle(c coming) {
	if mid, ok := c.at(0.5); ok {
		p.s.line(pen{bloomIn, 1, []float64{1.5, 2}, markNone}, pt{p.x(mid), p.r.y0}, pt{p.x(mid), p.r.y1})
		p.s.marks = append(p.s.marks, box{p.x(mid) - 1, p.r.y0, p.x(mid) + 1, p.r.y1})
	}
}

// middleName names the day of the middle spring where there is room.
func (p *panel) middleName(c coming) {
	mid, ok := c.at(0.5)
	if !ok {
		return
	}
	lo, _ := c.at(0.1)
	hi, ok := c.at(0.9)
	if !ok {
		hi = p.x1
	}
	st := style{p.s.look.TextPt, false, rgb(0x5c5500)}
	for _, str := range []string{c.word + " about " + shortDate(dateOf(mid)), c.word + " " + shortDate(dateOf(mid)), shortDate(dateOf(mid))} {
		w := p.s.width(str, st)
		var places []pt
		for k := 0; k < 9; k++ {
			y := p.r.y1 - st.pt*(1+1.2*float64(k))
			places = append(places, pt{p.x(lo) - w - 4, y}, pt{p.x(hi) + 4, y}, pt{p.x(mid) - w - 4, y}, pt{p.x(mid) + 4, y})
		}
		if p.label(str, st, places) {
			return
		}
	}
}

func (p *panel) visits(vs []time.Time) {
	for _, v := range vs {
		x := dayOf(v)
		if x < p.x0 || x > p.x1 {
			continue
		}
		p.s.marker(markUp, p.x(x), p.r.y0+3.4, 3, soft, true)
		p.s.marks = append(p.s.marks, box{p.x(x) - 3.4, p.r.y0, p.x(x) + 3.4, p.r.y0 + 7})
	}
}

// FillWords is what goes on at a fill: "4 L", "2 kg solid".
func fillWords(f feed.Fill, l Look) string {
	var parts []string
	if f.SyrupL > 0 {
		parts = append(parts, l.measure("L").words(f.SyrupL))
	}
	if f.SolidKg > 0 {
		parts = append(parts, l.measure("kg").words(f.SolidKg)+" solid")
	}
	return strings.Join(parts, ", ")
}

// fills draws an arrow at the top for each fill, and what it is where there is
// room, in two rows.
func (p *panel) fills(fs []feed.Fill, l Look) {
	st := style{p.s.look.TextPt, false, colPlan}
	tip := p.r.y1 - st.pt*3.2
	for _, f := range fs {
		d := dayOf(f.Date)
		if d < p.x0 || d > p.x1 {
			continue
		}
		x := p.x(d)
		p.s.line(pen{colPlan, 0.9, nil, markNone}, pt{x, tip + 8}, pt{x, tip + 3})
		p.s.marker(markDown, x, tip, 3, colPlan, f.OnlyIfNoNectar)
		p.s.marks = append(p.s.marks, box{x - 3, tip - 3, x + 3, tip + 8})
	}
	for _, f := range fs {
		d := dayOf(f.Date)
		str := fillWords(f, l)
		if d < p.x0 || d > p.x1 || str == "" {
			continue
		}
		w := p.s.width(str, st)
		x := math.Min(math.Max(p.x(d)-w/2, p.r.x0), p.r.x1-w)
		p.label(str, st, []pt{{x, tip + 11}, {x, tip + 11 + st.pt*1.1}})
	}
}

// RiskTitle says how many springs in 100 starve the colony, left alone and with
// the plan.
func RiskTitle(d feed.Detail) string {
	a := last(d.RiskAlone)
	if len(d.Dates) == 0 || math.IsNaN(a) {
		return "No risk to show for " + d.Colony
	}
	t := "Left alone, " + d.Colony + " starves in " + springs(a)
	if a < 0.005 {
		t = "Left alone, " + d.Colony + " starves in hardly any spring"
	}
	if f := last(d.RiskFed); !math.IsNaN(f) {
		if f < 0.005 {
			return t + "; with the plan in hardly any"
		}
		t += "; with the plan in " + count(f*100)
	}
	return t
}

func springs(frac float64) string {
	n := math.Round(frac * 100)
	if n == 1 {
		return "1 spring of 100"
	}
	return count(n) + " springs of 100"
}

// series is a named line.
type series struct {
	name string
	v    []float64
	pen  pen
}

// RiskChart draws the share of springs in which the colony has starved by each
// date: left alone, with the plan, with a protein supplement and no extra syrup,
// with both; and the risk that is accepted, percent.
func RiskChart(d feed.Detail, acceptPct float64, l Look) *Chart {
	title := RiskTitle(d)
	if len(d.Dates) == 0 || len(d.RiskAlone) == 0 {
		return nothing(title, "There are no days to draw.", l)
	}
	xs := days(d.Dates)
	all := []series{
		{"left alone", d.RiskAlone, penAlone},
		{"with the plan", d.RiskFed, penPlan},
		{"protein, no extra syrup", d.RiskProtein, penProt},
		{"protein and syrup", d.RiskProtFed, penBoth},
	}
	var shown []series
	var keys []keyItem
	var words []string
	top := acceptPct * 1.6
	for _, q := range all {
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
		keys = append(keys, keyLine(q.name+" "+percent(last(q.v)), q.pen))
		words = append(words, q.name+" "+percent(last(q.v)))
	}
	nectar := nectarOf(d)
	sub := "Colony " + d.Colony + place(d) + ": risk of starving before nectar, by date"
	if nectar.known() {
		sub += "; shaded: " + nectar.word + " in " + outerName
	}
	yt, y0, y1 := numberTicks(0, math.Min(100, math.Max(top, 4)), 5)
	return &Chart{title: title, look: l,
		subtitle: sub,
		desc:     "By " + longDate(d.Dates[len(d.Dates)-1]) + ": " + strings.Join(words, ", ") + ". Accepted: " + amount(acceptPct) + " %.",
		height: func(s *sheet, w float64) float64 {
			h := s.panelExtra(axes{xTitle: "x"}) + 150
			if w < wide {
				h += s.keyRoom(keys, w)
			}
			return h
		},
		draw: func(s *sheet, r box) {
			room := 0.0
			if r.w() >= wide {
				for _, q := range shown {
					room = math.Max(room, s.width(q.name+" "+percent(last(q.v)/100), s.plain()))
				}
				room = math.Min(room+14, r.w()*0.38)
			} else {
				r = s.keyUnder(keys, r)
				room = 5
			}
			p := s.panel(r, axes{heading: "Springs in which it has starved, %", x0: xs[0], x1: xs[len(xs)-1], y0: y0, y1: y1,
				xTicks: s.dateTicks(xs[0], xs[len(xs)-1], r.w()-s.leftRoom(yt)-room), yTicks: yt,
				xTitle: dateTitle(d.Dates[0], d.Dates[len(d.Dates)-1]), rightRoom: room})
			p.shade(nectar)
			p.middle(nectar)
			var names []string
			var ends []float64
			var pens []pen
			for i := len(shown) - 1; i >= 0; i-- {
				q := shown[i]
				p.draw(xs, q.v, q.pen, float64(i)/4)
			}
			for _, q := range shown {
				if math.IsNaN(last(q.v)) {
					continue
				}
				names, pens = append(names, q.name+" "+percent(last(q.v)/100)), append(pens, q.pen)
				ends = append(ends, p.clampY(p.y(last(q.v))))
			}
			p.marksOfCurves()
			if acceptPct > 0 {
				p.level(acceptPct, penReserve, "accepted "+amount(acceptPct)+" %")
			}
			p.middleName(nectar)
			if r.w() >= wide {
				p.sideLabels(names, ends, pens)
			}
		}}
}

// BeesTitle says how many more bees a supplement gives at bloom.
func BeesTitle(d feed.Detail, q feed.Protein) string {
	if len(d.Dates) == 0 || !hasBand(d.Bees) {
		return "No bees to show for " + d.Colony
	}
	i := bloomIndex(d)
	when := " bees at bloom, " + longDate(d.Dates[i])
	if firstAt(d.BloomFrac, 0.5) < 0 {
		when = " bees on " + longDate(d.Dates[i]) // bloom is later, or not known
	}
	more := value(d.BeesProtein.P50, i) - value(d.Bees.P50, i)
	if math.IsNaN(more) {
		return d.Colony + " has about " + round100(value(d.Bees.P50, i)) + when
	}
	start := "A supplement"
	if !q.From.IsZero() {
		start = "A supplement from " + longDate(q.From)
	}
	if math.Abs(more) < 50 {
		return start + " changes " + d.Colony + " by fewer than 100" + when
	}
	way := " more"
	if more < 0 {
		way = " fewer"
	}
	return start + " gives " + d.Colony + " about " + round100(math.Abs(more)) + way + when
}

func round100(v float64) string {
	if math.IsNaN(v) {
		return "an unknown number of"
	}
	return count(math.Round(v/100) * 100)
}

// bloomIndex is the day by which half the springs are in bloom; the last day
// when they are not by then.
func bloomIndex(d feed.Detail) int {
	if i := firstAt(d.BloomFrac, 0.5); i >= 0 && i < len(d.Dates) {
		return i
	}
	return len(d.Dates) - 1
}

// BeesChart draws adult bees and brood by date, with and without a protein
// supplement, and the lead time from putting it on to its greatest effect on
// foragers.
func BeesChart(d feed.Detail, q feed.Protein, l Look) *Chart {
	title := BeesTitle(d, q)
	if len(d.Dates) == 0 || !hasBand(d.Bees) {
		return nothing(title, "There are no days to draw.", l)
	}
	xs := days(d.Dates)
	type view struct {
		heading    string
		bare, with feed.Band
		lead       bool
	}
	views := []view{{"Adult bees", d.Bees, d.BeesProtein, true}}
	if hasBand(d.Brood) {
		views = append(views, view{"Brood, cells", d.Brood, d.BroodProtein, false})
	}
	var keys []keyItem
	keys = append(keys, keyLine("no supplement", penAlone), keyFill("no supplement, "+outerName, tint(penAlone.col, outerTint)))
	if hasBand(d.BeesProtein) {
		keys = append(keys, keyLine("with supplement", penPlan), keyLine("with supplement, "+outerName, thin(penPlan)))
	}
	lead := q.Considered && !q.From.IsZero() && q.LeadDays.P50 > 0
	inBloom := bloomOf(d)
	if inBloom.known() {
		keys = append(keys, keyItem{inBloom.word + ", " + outerName, func(s *sheet, b box) { s.bloomBox(b) }})
	}
	if lead {
		keys = append(keys, keyItem{"supplement on, to the day its bees are there: " + leadWords(q), func(s *sheet, b box) {
			y := (b.y0 + b.y1) / 2
			s.rect(box{b.x0 + 12, y - 2.5, b.x1, y + 2.5}, tint(ink, 0.3))
			s.line(penLead, pt{b.x0, y}, pt{b.x0 + 15, y})
			s.line(penLead, pt{b.x0, y - 4}, pt{b.x0, y + 4})
			s.marker(markDiamond, b.x0+15, y, 2.6, ink, false)
		}})
	}
	i := bloomIndex(d)
	desc := "On " + longDate(d.Dates[i]) + ": " + round100(value(d.Bees.P50, i)) + " adult bees without supplement"
	if v := value(d.BeesProtein.P50, i); !math.IsNaN(v) {
		desc += ", " + round100(v) + " with it"
	}
	desc += "."
	if lead {
		desc += " From putting it on to the day its bees are there: " + leadWords(q) + "."
	}
	return &Chart{title: title, look: l,
		subtitle: "Colony " + d.Colony + place(d) + ": adult bees and brood by date",
		desc:     desc,
		height:   besideHeight(len(views), keys),
		draw: func(s *sheet, r box) {
			r = s.keyUnder(keys, r)
			rs := split(r, len(views), r.w() >= wide)
			for i, v := range views {
				_, top := span(v.bare.P50, v.bare.P90, v.with.P50, v.with.P90)
				yt, y0, y1 := numberTicks(0, top, 5)
				if lead && v.lead {
					y1 *= 1.25
				}
				p := s.panel(rs[i], axes{heading: v.heading, x0: xs[0], x1: xs[len(xs)-1], y0: y0, y1: y1, yTicks: yt,
					xTicks: s.dateTicks(xs[0], xs[len(xs)-1], rs[i].w()-s.leftRoom(yt)-4),
					xTitle: dateTitle(d.Dates[0], d.Dates[len(d.Dates)-1]), rightRoom: 4})
				p.shade(inBloom)
				p.band(xs, v.bare.P10, v.bare.P90, tint(penAlone.col, outerTint))
				p.draw(xs, v.with.P10, thin(penPlan), 0)
				p.draw(xs, v.with.P90, thin(penPlan), 0)
				p.draw(xs, v.bare.P50, penAlone, 0)
				p.draw(xs, v.with.P50, penPlan, 0.5)
				p.middle(inBloom)
				p.marksOfCurves()
				if lead && v.lead {
					p.leadTime(q)
				}
				p.middleName(inBloom)
			}
		}}
}

func thin(p pen) pen { return pen{p.col, 0.8, []float64{2, 2}, markNone} }

var penLead = pen{ink, 1.1, nil, markNone}

// leadWords is the lead time: "43 days (38 to 49 in 8 springs of 10)".
func leadWords(q feed.Protein) string {
	w := count(q.LeadDays.P50) + " days"
	if q.LeadDays.P10 > 0 && q.LeadDays.P90 > q.LeadDays.P10 {
		w += " (" + count(q.LeadDays.P10) + " to " + count(q.LeadDays.P90) + ")"
	}
	return w
}

// leadTime draws the span from putting on to the greatest effect, with the band
// of the end, at the top of the panel.
func (p *panel) leadTime(q feed.Protein) {
	st := p.s.plain()
	y := p.r.y1 - st.pt*1.85
	from := dayOf(q.From)
	if from > p.x1 {
		return
	}
	in := func(d float64) float64 { return p.x(math.Min(math.Max(d, p.x0), p.x1)) }
	a, m := in(from), in(from+q.LeadDays.P50)
	lo, hi := in(from+q.LeadDays.P10), in(from+q.LeadDays.P90)
	if hi > lo && q.LeadDays.P10 > 0 {
		p.s.rect(box{lo, y - 2.5, hi, y + 2.5}, tint(ink, 0.3))
	}
	p.s.line(penLead, pt{a, y}, pt{m, y})
	p.s.line(penLead, pt{a, y - 4}, pt{a, y + 4})
	p.s.marker(markDiamond, m, y, 2.6, ink, false)
	p.s.marks = append(p.s.marks, box{a, y - 4, math.Max(m, hi), y + 4})
	days := count(q.LeadDays.P50) + " days"
	for _, str := range []string{"supplement on " + shortDate(q.From) + ", " + days, days} {
		w := p.s.width(str, st)
		x := math.Max(p.r.x0, math.Min(a, p.r.x1-w))
		if p.label(str, st, []pt{{x, y + 7}, {x, y - st.pt - 4}}) {
			return
		}
	}
}
