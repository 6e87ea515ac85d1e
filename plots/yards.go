package plots

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"

	"bloomgap/feed"
)

// OrderTitle says how much syrup to have and which yard takes the most.
func OrderTitle(p feed.Plan, l Look) string {
	m := l.measure("L")
	if len(p.Yards) == 0 {
		return "No yards to show"
	}
	if !(p.Order.SyrupL.P90 > 0) {
		return "No syrup is needed"
	}
	t := "Have " + m.words(p.Order.SyrupL.P90) + " of syrup to be safe in 9 springs of 10"
	if len(p.Yards) > 1 {
		most := 0
		for i, y := range p.Yards {
			if y.Order.SyrupL.P90 > p.Yards[most].Order.SyrupL.P90 {
				most = i
			}
		}
		t += "; " + p.Yards[most].Name + " takes the most"
	}
	return t
}

// OrderChart draws the syrup of each yard: the middle spring as a bar, and what
// 9 springs of 10 need as a longer, hatched one.
func OrderChart(p feed.Plan, l Look) *Chart {
	title := OrderTitle(p, l)
	if len(p.Yards) == 0 {
		return nothing(title, "There is no yard in the plan.", l)
	}
	m := l.measure("L")
	ys := append([]feed.YardPlan{}, p.Yards...)
	sort.SliceStable(ys, func(i, j int) bool { return ys[i].Order.SyrupL.P90 > ys[j].Order.SyrupL.P90 })
	var bars []rangeBar
	parts := 0.0
	var desc []string
	for _, y := range ys {
		a := y.Order.SyrupL
		label := amount(m.of(a.P50)) + ", up to " + m.words(a.P90)
		if amount(m.of(a.P50)) == amount(m.of(a.P90)) {
			label = m.words(a.P90)
		}
		if !(a.P90 > 0) {
			label = "none"
		}
		bars = append(bars, rangeBar{name: y.Name, mid: m.of(a.P50), hi: m.of(a.P90), label: label})
		desc = append(desc, y.Name+" "+label)
		parts += zeroNaN(a.P90)
	}
	sub := "Syrup by yard, " + m.name()
	if amount(m.of(parts)) != amount(m.of(p.Order.SyrupL.P90)) && parts > p.Order.SyrupL.P90 {
		sub += "; yards share weather, so the parts for 9 springs of 10 add up to more than the whole"
	}
	keys := []keyItem{keyFill("middle spring", colPlan), keyItem{"9 springs of 10", func(s *sheet, b box) { s.spreadBox(b) }}}
	return barChart(title, sub, strings.Join(desc, "; ")+".", "Syrup, "+m.name(), bars, keys, l)
}

// rangeBar is a bar to mid and a longer one to hi.
type rangeBar struct {
	name, label string
	mid, hi     float64
}

func (s *sheet) spreadBox(b box) {
	s.rect(b, tint(colPlan, outerTint))
	s.hatch(b, pen{tint(colPlan, 0.6), 0.5, nil, markNone}, 4)
	s.frame(b, pen{colPlan, 0.6, nil, markNone})
}

func barChart(title, sub, desc, axis string, bars []rangeBar, keys []keyItem, l Look) *Chart {
	rowPt := l.TextPt * 2.1
	return &Chart{title: title, subtitle: sub, desc: desc, look: l,
		height: barsHeight(len(bars), rowPt, keys),
		draw: func(s *sheet, r box) {
			r = s.keyUnder(keys, r)
			st := s.plain()
			name, lab, top := 0.0, 0.0, 0.0
			for _, b := range bars {
				name = math.Max(name, s.width(b.name, st))
				lab = math.Max(lab, s.width(b.label, st))
				top = math.Max(top, math.Max(zeroNaN(b.hi), zeroNaN(b.mid)))
			}
			name = math.Min(name+8, r.w()*0.3)
			under := r.w() < wide // names and labels stand over the bars
			room := lab + 10
			if under {
				room, name = 12, 4
			}
			ts, _, x1 := numberTicks(0, top, max(3, int((r.w()-name-room)/50)))
			p := &panel{s: s, x0: 0, x1: x1, r: box{r.x0 + name, r.y0 + l.TextPt*2.6, r.x1 - room, r.y1}}
			s.xAxis(p, ts, axis)
			h := p.r.h() / float64(len(bars))
			for i, b := range bars {
				mid := p.r.y1 - (float64(i)+0.5)*h
				th := math.Min(h*0.55, l.TextPt*1.3)
				if under {
					th = math.Min(h*0.4, l.TextPt)
					mid -= h * 0.22
				}
				if !under {
					s.textMid(s.fit(b.name, st, name-8), p.r.x0-5, mid, right, st)
				}
				if zeroNaN(b.hi) > 0 {
					s.spreadBox(box{p.r.x0, mid - th/2, p.x(b.hi), mid + th/2})
				}
				if zeroNaN(b.mid) > 0 {
					s.rect(box{p.r.x0, mid - th/2, p.x(b.mid), mid + th/2}, colPlan)
				}
				if under {
					w := p.r.w() + room - 2
					str := s.fit(b.name, st, w-s.width(": "+b.label, st)) + ": " + b.label
					s.rect(textBox(p.r.x0+2, mid+th/2+2.5, s.width(str, st), left, st.pt), paper)
					s.text(str, p.r.x0+2, mid+th/2+2.5, left, st)
				} else {
					x := p.x(math.Max(zeroNaN(b.hi), zeroNaN(b.mid))) + 5
					s.rect(textBox(x, mid-0.35*st.pt, s.width(b.label, st), left, st.pt), paper)
					s.textMid(b.label, x, mid, left, st)
				}
			}
			s.line(penAxis, pt{p.r.x0, p.r.y0}, pt{p.r.x0, p.r.y1})
		}}
}

func zeroNaN(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// xAxis draws a horizontal number axis with grid lines.
func (s *sheet) xAxis(p *panel, ts []tick, title string) {
	size := s.look.TextPt
	for _, t := range ts {
		x := p.x(t.at)
		if x > p.r.x1+0.1 {
			continue
		}
		s.line(penGrid, pt{x, p.r.y0}, pt{x, p.r.y1})
		s.text(t.label, x, p.r.y0-size*1.15, centre, s.plain())
	}
	s.line(penAxis, pt{p.r.x0, p.r.y0}, pt{p.r.x1, p.r.y0})
	st := s.softStyle()
	s.text(s.fit(title, st, p.r.w()+20), p.r.x1, p.r.y0-size*2.35, right, st)
}

// ErrNoCoordinates tells that no yard has both latitude and longitude.
var ErrNoCoordinates = errors.New("no yard has a latitude and a longitude: fill in lat and lon in the yards table to get the map")

// MapTitle says where most of the syrup goes.
func MapTitle(p feed.Plan, l Look) string {
	m := l.measure("L")
	best := -1
	n := 0
	for i, y := range p.Yards {
		if y.Order.SyrupL.P50 > 0 {
			n++
			if best < 0 || y.Order.SyrupL.P50 > p.Yards[best].Order.SyrupL.P50 {
				best = i
			}
		}
	}
	if best < 0 {
		return "No yard needs syrup in the middle spring"
	}
	y := p.Yards[best]
	if n == 1 {
		return "Only " + y.Name + " needs syrup in the middle spring: " + m.words(y.Order.SyrupL.P50)
	}
	return "Most syrup goes to " + y.Name + ": " + m.words(y.Order.SyrupL.P50) + " in the middle spring"
}

// kmPerDegree is the length of a degree of latitude, km (mean sphere of radius
// 6371 km; 110.6-111.7 on the ellipsoid).
const kmPerDegree = 111.2

// YardMap draws the yards by latitude and longitude, an area of disc for the
// syrup of the middle spring. Degrees of longitude are shortened by the cosine
// of the middle latitude. Yards without both coordinates are named below the
// map; ErrNoCoordinates when none has them.
func YardMap(p feed.Plan, l Look) (*Chart, error) {
	title := MapTitle(p, l)
	var ys []feed.YardPlan
	var without []string
	for _, y := range p.Yards {
		if math.IsNaN(y.LatDeg) || math.IsNaN(y.LonDeg) || math.Abs(y.LatDeg) > 90 || math.Abs(y.LonDeg) > 180 {
			without = append(without, y.Name)
			continue
		}
		ys = append(ys, y)
	}
	if len(ys) == 0 {
		return nil, ErrNoCoordinates
	}
	sub := "Yards on the ground; the area of a disc is the syrup of the middle spring"
	if len(without) > 0 {
		sub += ". Without coordinates: " + strings.Join(without, ", ")
	}
	m := l.measure("L")
	var desc []string
	for _, y := range ys {
		desc = append(desc, fmt.Sprintf("%s at %s, %s: %s", y.Name, degrees(y.LatDeg, "N", "S", 2), degrees(y.LonDeg, "E", "W", 2), m.words(y.Order.SyrupL.P50)))
	}
	return &Chart{title: title, subtitle: sub, desc: strings.Join(desc, "; ") + ".", look: l,
		height: func(s *sheet, w float64) float64 { return math.Min(w*0.8, 330) },
		draw:   func(s *sheet, r box) { drawMap(s, r, ys, l) },
	}, nil
}

func degrees(v float64, pos, neg string, digits int) string {
	side := pos
	if v < 0 {
		side, v = neg, -v
	}
	return fmt.Sprintf("%.*f° %s", digits, v, side)
}

func drawMap(s *sheet, r box, ys []feed.YardPlan, l Look) {
	st := s.plain()
	m := l.measure("L")
	lats, lons := make([]float64, len(ys)), make([]float64, len(ys))
	for i, y := range ys {
		lats[i], lons[i] = y.LatDeg, y.LonDeg
	}
	in := box{r.x0 + s.width("00.00° N", st) + 8, r.y0 + l.TextPt*2.9, r.x1 - 4, r.y1 - l.TextPt*1.5}
	s.text("Latitude, degrees", r.x0, r.y1-l.TextPt*0.95, left, st)

	p, scale := s.ground(in, lats, lons)
	halfLat, halfLon := (p.y1-p.y0)/2, (p.x1-p.x0)/2

	digits := func(step float64) int { return max(0, int(math.Ceil(-math.Log10(step)-1e-9))) }
	stepY := niceStep(2*halfLat, 5)
	for v := math.Ceil(p.y0/stepY) * stepY; v <= p.y1; v += stepY {
		s.line(penGrid, pt{in.x0, p.y(v)}, pt{in.x1, p.y(v)})
		s.textMid(degrees(v, "N", "S", digits(stepY)), in.x0-4, p.y(v), right, st)
	}
	stepX := niceStep(2*halfLon, max(3, int(in.w()/55)))
	for v := math.Ceil(p.x0/stepX) * stepX; v <= p.x1; v += stepX {
		s.line(penGrid, pt{p.x(v), in.y0}, pt{p.x(v), in.y1})
		lab := degrees(v, "E", "W", digits(stepX))
		w := s.width(lab, st) / 2
		s.text(lab, math.Min(p.x(v), r.x1-w), in.y0-l.TextPt*1.15, centre, st)
	}
	s.frame(in, penAxis)
	s.text("Longitude, degrees", in.x1, in.y0-l.TextPt*2.35, right, s.softStyle())

	// Discs, the largest first so that none is hidden.
	top := 0.0
	for _, y := range ys {
		top = math.Max(top, zeroNaN(y.Order.SyrupL.P50))
	}
	order := make([]int, len(ys))
	radius := make([]float64, len(ys))
	biggest := math.Min(20, in.h()/10)
	for i, y := range ys {
		order[i] = i
		radius[i] = 2.5
		if top > 0 {
			radius[i] = math.Max(2.5, biggest*math.Sqrt(math.Max(0, zeroNaN(y.Order.SyrupL.P50))/top))
		}
	}
	sort.SliceStable(order, func(a, b int) bool { return radius[order[a]] > radius[order[b]] })
	var discs []disc
	for _, i := range order {
		x, y := p.x(lons[i]), p.y(lats[i])
		fill := tint(colPlan, 0.45)
		if !(ys[i].Order.SyrupL.P50 > 0) {
			fill = paper
		}
		s.disc(x, y, radius[i], fill, &pen{colPlan, 0.9, nil, markNone})
		discs = append(discs, disc{x, y, radius[i]})
	}
	for _, i := range order {
		s.disc(p.x(lons[i]), p.y(lats[i]), 1.2, ink, nil)
	}
	s.scaleBar(p, scale, l)
	for _, i := range order {
		s.mapLabel(p, discs, p.x(lons[i]), p.y(lats[i]), radius[i], ys[i].Name, m.words(ys[i].Order.SyrupL.P50))
	}
}

// ground is a panel on which a kilometre is as long to the east as to the north
// at the middle latitude, and its scale in points a degree of latitude.
func (s *sheet) ground(in box, lats, lons []float64) (*panel, float64) {
	la0, la1 := span(lats)
	lo0, lo1 := span(lons)
	squeeze := math.Max(0.05, math.Cos((la0+la1)/2*math.Pi/180))
	const least = 0.02 // degrees: a map of one yard is about 2 km wide
	const room = 1.5   // whole map over what the yards span, own judgement
	needLat, needLon := math.Max(la1-la0, least)*room, math.Max((lo1-lo0)*squeeze, least)*room
	scale := math.Min(in.w()/needLon, in.h()/needLat)
	halfLat, halfLon := in.h()/scale/2, in.w()/scale/2/squeeze
	midLat, midLon := (la0+la1)/2, (lo0+lo1)/2
	return &panel{s: s, r: in, x0: midLon - halfLon, x1: midLon + halfLon, y0: midLat - halfLat, y1: midLat + halfLat}, scale
}

type disc struct{ x, y, r float64 }

// onDisc tells that a box meets a disc.
func onDisc(b box, ds []disc) bool {
	for _, d := range ds {
		dx := d.x - math.Min(math.Max(d.x, b.x0), b.x1)
		dy := d.y - math.Min(math.Max(d.y, b.y0), b.y1)
		if math.Hypot(dx, dy) < d.r+0.5 {
			return true
		}
	}
	return false
}

// mapLabel writes a name at the nearest free place round a disc, with a thin
// line when it is not next to it. Where there is none the name is tried without
// its litres; then it is left to the description.
func (s *sheet) mapLabel(p *panel, discs []disc, x, y, r float64, name, need string) {
	st := s.plain()
	for _, str := range []string{name + ", " + need, name} {
		str = s.fit(str, st, p.r.w()*0.45)
		w := s.width(str, st)
		for ring := 0; ring < 12; ring++ {
			d := r + 3 + float64(ring)*7
			for k := 0; k < 16; k++ {
				a := float64(k) * math.Pi / 8
				cx, cy := x+d*math.Cos(a), y+d*math.Sin(a)
				// the text's near side touches the ring
				tx := cx - w*(1-math.Cos(a))/2
				ty := cy - 0.35*st.pt + 0.5*st.pt*math.Sin(a)
				b := textBox(tx, ty, w, left, st.pt)
				if !b.grow(1.5).within(p.r) || !s.free(b.grow(1), false) || onDisc(b, discs) {
					continue
				}
				if ring > 1 {
					s.line(pen{soft, 0.5, nil, markNone}, pt{x + r*math.Cos(a), y + r*math.Sin(a)}, pt{cx - 1.5*math.Cos(a), cy - 1.5*math.Sin(a)})
				}
				s.text(str, tx, ty, left, st)
				return
			}
		}
	}
}

// scaleBar draws a length on the ground at the lower left.
func (s *sheet) scaleBar(p *panel, ptPerDegree float64, l Look) {
	km := l.measure("km")
	perUnit := ptPerDegree / kmPerDegree / km.of(1) // points a printed unit
	n := niceStep(p.r.w()*0.25/perUnit, 1)
	for n*perUnit > p.r.w()*0.35 {
		n /= 2
	}
	str := amountSmall(n) + " " + km.name()
	x, y := p.r.x0+8, p.r.y0+8
	q := pen{ink, 1, nil, markNone}
	s.line(q, pt{x, y}, pt{x + n*perUnit, y})
	s.line(q, pt{x, y - 2}, pt{x, y + 2})
	s.line(q, pt{x + n*perUnit, y - 2}, pt{x + n*perUnit, y + 2})
	s.text(str, x, y+4, left, s.plain())
	s.marks = append(s.marks, box{x, y - 2, x + n*perUnit, y + 2})
}

func amountSmall(v float64) string {
	if v < 10 {
		return fmt.Sprintf("%.3g", v)
	}
	return count(v)
}
