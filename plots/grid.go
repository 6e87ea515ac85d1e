package plots

import (
	"fmt"
	"math"
	"strings"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"bloomgap/feed/plan"
)

// GridTitle says how many colonies need feed and by when the first must start.
func GridTitle(p plan.Plan, l Look) string {
	n, alive, late := 0, 0, false
	var first time.Time
	for _, c := range p.Colonies {
		if c.Verdict != plan.Dead {
			alive += c.Stands()
		}
		if c.Verdict != plan.Feed {
			continue
		}
		n += c.Stands()
		late = late || c.TooLate
		if !c.StartBy.IsZero() && (first.IsZero() || c.StartBy.Before(first)) {
			first = c.StartBy
		}
	}
	switch {
	case len(p.Colonies) == 0:
		return "No colonies to show"
	case alive == 0:
		return "No colony is alive"
	case n == 0 && alive == 1:
		return "The one live colony needs no feed"
	case n == 0:
		return fmt.Sprintf("None of %d live colonies needs feed", alive)
	}
	t := fmt.Sprintf("%d of %d live colonies need feed", n, alive)
	if n == 1 {
		t = fmt.Sprintf("1 of %d live colonies needs feed", alive)
	}
	switch {
	case late:
		t += ", the first at once"
	case !first.IsZero():
		t += ", the first by " + l.long(first)
	}
	return t
}

// RowsPerPage is the number of rows of the grid on an A4 page at 9 points.
const RowsPerPage = 48

// RiskGrid draws every colony by week: the share of springs in which it has
// starved by that date, as a number and a shade, the most urgent first. It
// grows by one line a colony, so that letters keep their size.
func RiskGrid(p plan.Plan, l Look) *Chart { return riskGrid(p, l, 0, len(p.Colonies)) }

// RiskGridPages is the same grid over pages of at most so many rows; rows below
// 1 take RowsPerPage.
func RiskGridPages(p plan.Plan, l Look, rows int) []*Chart {
	if rows < 1 {
		rows = RowsPerPage
	}
	if len(p.Colonies) == 0 {
		return []*Chart{RiskGrid(p, l)}
	}
	var out []*Chart
	for from := 0; from < len(p.Colonies); from += rows {
		out = append(out, riskGrid(p, l, from, min(from+rows, len(p.Colonies))))
	}
	return out
}

// weeks lays the weeks of all yards over common columns: for each yard the
// column of its first date, and the dates of all columns.
func weeks(p plan.Plan) (offset map[string]int, cols []time.Time) {
	var first, end time.Time
	for _, y := range p.Yards {
		if len(y.WeekDates) == 0 {
			continue
		}
		if f := y.WeekDates[0]; first.IsZero() || f.Before(first) {
			first = f
		}
		if e := y.WeekDates[len(y.WeekDates)-1]; e.After(end) {
			end = e
		}
	}
	offset = map[string]int{}
	if first.IsZero() {
		return offset, nil
	}
	week := func(t time.Time) int { return int(math.Round((dayOf(t) - dayOf(first)) / 7)) }
	for _, y := range p.Yards {
		if len(y.WeekDates) > 0 {
			offset[y.Name] = week(y.WeekDates[0])
		}
	}
	for k := 0; k <= week(end); k++ {
		cols = append(cols, first.AddDate(0, 0, 7*k))
	}
	return offset, cols
}

func riskGrid(p plan.Plan, l Look, from, to int) *Chart {
	title := GridTitle(p, l)
	if len(p.Colonies) == 0 {
		return nothing(title, "There is no colony in the plan.", l)
	}
	g := heat{rows: p.Colonies[from:to], today: p.Today}
	g.offset, g.cols = weeks(p)
	g.group()
	if from > 0 || to < len(p.Colonies) {
		title += fmt.Sprintf(" (rows %d to %d of %d)", from+1, to, len(p.Colonies))
	}
	var keys []keyItem
	drawn := g.shades()
	for n, sh := range shades {
		if !drawn[n] {
			continue
		}
		keys = append(keys, keyItem{sh.word + " %", []plot.Thumbnailer{&plotter.Polygon{Color: sh.fill, LineStyle: lineStyle(pen{soft, 0.4, nil, markNone})}}})
	}
	if g.marksNectar() {
		keys = append(keys, keyItem{"first nectar, middle spring", []plot.Thumbnailer{nectarMark{}}})
	}
	return &Chart{title: title, look: l,
		subtitle: "Springs in which a colony left alone has starved by the date, %; the most urgent first",
		desc:     gridDesc(g.rows),
		height: func(s *sheet, w float64) float64 {
			return s.keyRoom(keys, w) + g.depth()*1.32*l.TextPt + 4.6*l.TextPt
		},
		draw: func(s *sheet, r box) {
			h := g // what it fits to a width is its own
			h.draw(s, s.keyOver(keys, r))
		}}
}

func gridDesc(rows []plan.ColonyPlan) string {
	var parts []string
	for i, c := range rows {
		if i == 5 {
			parts = append(parts, fmt.Sprintf("and %d more", len(rows)-i))
			break
		}
		w := c.Yard + " " + c.Colony + ": " + percent(c.Risk.Frac)
		if c.Verdict == plan.Dead {
			w = c.Yard + " " + c.Colony + ": dead"
		}
		parts = append(parts, w)
	}
	return "Risk of starving before nectar: " + strings.Join(parts, "; ") + "."
}

// heat is a grid of risks, a row a colony and a column one or more weeks.
type heat struct {
	rows   []plan.ColonyPlan
	today  time.Time
	offset map[string]int // the column of a yard's first week
	cols   []time.Time
	before []int // groups opened up to each row
	every  int   // weeks a column; it shows the last, so that no risk is hidden
	side   bool
}

// group opens a group of rows at each new verdict.
func (g *heat) group() {
	n := 0
	for i, c := range g.rows {
		if i == 0 || c.Verdict != g.rows[i-1].Verdict {
			n++
		}
		g.before = append(g.before, n)
	}
}

// y is the middle of a row on the axis; each group has a row for its name over it,
// the first at 0.
func (g *heat) y(i int) float64 { return -float64(i + g.before[i]) }

// depth is the height of all rows, in rows.
func (g *heat) depth() float64 { return 1 - g.y(len(g.rows)-1) }

// shades tells which shades are drawn, at any number of weeks a column.
func (g *heat) shades() map[int]bool {
	out := map[int]bool{}
	for _, c := range g.rows {
		for _, v := range c.RiskByWeek {
			if c.Verdict != plan.Dead && !math.IsNaN(v) {
				out[shadeOf(v)] = true
			}
		}
	}
	return out
}

// nectar is the place of a row's first nectar in the middle spring on the axis of
// columns: between those whose weeks it lies between.
func (g *heat) nectar(c plan.ColonyPlan) (x float64, ok bool) {
	at := c.Nectar.P50
	if c.Verdict == plan.Dead || at.IsZero() || len(g.cols) == 0 {
		return 0, false
	}
	for k := range g.columns() {
		if !g.cols[g.week(k)].Before(at) {
			return float64(k) - 0.5, k > 0
		}
	}
	return 0, false
}

func (g *heat) marksNectar() bool {
	probe := *g
	probe.every = 1
	for _, c := range g.rows {
		if _, ok := probe.nectar(c); ok {
			return true
		}
	}
	return false
}

// nectarMark is a bar beside the last week before nectar, black on white so that it
// shows on every shade.
type nectarMark struct{ x, y []float64 }

var nectarPens = []pen{{paper, 3.4, nil, markNone}, {ink, 1.6, nil, markNone}}

// Plot draws the marks of all rows.
func (n nectarMark) Plot(c draw.Canvas, p *plot.Plot) {
	tx, ty := p.Transforms(&c)
	for _, q := range nectarPens {
		for i := range n.x {
			x := tx(n.x[i])
			c.StrokeLine2(lineStyle(q), x, ty(n.y[i]-0.5), x, ty(n.y[i]+0.5))
		}
	}
}

// Thumbnail draws one.
func (nectarMark) Thumbnail(c *draw.Canvas) {
	x := c.Center().X
	c.FillPolygon(shades[2].fill, corners(c.Rectangle))
	for _, q := range nectarPens {
		c.StrokeLine2(lineStyle(q), x, c.Min.Y, x, c.Max.Y)
	}
}

func (g *heat) columns() int { return max(1, (len(g.cols)+g.every-1)/g.every) }

func (g *heat) week(col int) int { return min((col+1)*g.every-1, len(g.cols)-1) }

// sideHeads are the columns beside the weeks, where there is room.
var sideHeads = []string{"risk fed", "start by"}

// sideWidth is the width of one of them, points.
func (s *sheet) sideWidth() float64 {
	return math.Max(s.width(percent(0.001), s.plain()), s.width("30 Sep", s.plain())) + 8
}

// fitInto chooses what there is room for and gives the width for names and that
// of a cell, points.
func (g *heat) fitInto(s *sheet, w float64) (name, cell float64) {
	for _, c := range g.rows {
		name = math.Max(name, s.width(rowName(c), s.plain()))
	}
	least := s.width("100", s.plain()) + 3
	side := 2 * s.sideWidth()
	name = math.Min(name+6, w*0.34)
	weeks := least * float64(len(g.cols))
	g.side = math.Min(name, w*0.2)+weeks+side <= w // names and weeks come first
	if !g.side {
		side = 0
	}
	name = math.Min(name, math.Max(w*0.24, w-side-weeks))
	for g.every = 1; (w-name-side)/float64(g.columns()) < least && g.every < len(g.cols); {
		g.every++
	}
	return name, math.Min((w-name-side)/float64(g.columns()), 46)
}

// draw draws the grid as a plot: the weeks on one axis, the colonies on the other.
func (g *heat) draw(s *sheet, r box) {
	name, cell := g.fitInto(s, r.w())
	p := s.axes("")
	p.X.LineStyle.Width, p.X.Tick.Length = 0, 0
	p.X.Min, p.X.Max = -0.5, float64(g.columns())-0.5
	p.X.Tick.Marker, p.X.Tick.Label = plot.ConstantTicks(nil), aligned(s.soft(), draw.XCenter)
	unit := "Row: yard and colony. Column: week, by its date"
	if g.every > 1 {
		unit = fmt.Sprintf("Row: yard and colony. Column: %d weeks, by the last date", g.every)
	}
	var names plot.ConstantTicks
	wide := 0.0
	for i, c := range g.rows {
		str := s.fitRow(c, s.plain(), name-5)
		names, wide = append(names, plot.Tick{Value: g.y(i), Label: str}), math.Max(wide, s.width(str, s.plain()))
	}
	p.Y.Min, p.Y.Max, p.Y.Tick.Marker = 0.5-g.depth(), 0.5, names
	g.addCells(s, p, cell*float64(g.columns()))
	p.Add(over{1.7 * s.look.TextPt, func(c draw.Canvas, p *plot.Plot) { g.heads(s, c, p) }})
	foot := s.soft()
	s.text(s.fit(unit, foot, r.w()), r.x0, r.y0+3, foot)
	r.y0 += 1.5 * s.look.TextPt
	r.x1 = math.Min(r.x1, r.x0+wide+s.width(" ", foot)+cell*float64(g.columns()))
	s.drawAll([]*plot.Plot{p}, false, r)
}

// addCells fills the cells of each shade and writes their numbers, over a width in
// points.
func (g *heat) addCells(s *sheet, p *plot.Plot, widthPt float64) {
	cells := make([][]box, len(shades))
	var num plotter.Labels
	num.Offset = point(0, -middle*s.look.TextPt)
	write := func(str string, x, y float64, st draw.TextStyle) {
		num.XYs, num.Labels = append(num.XYs, plotter.XY{X: x, Y: y}), append(num.Labels, str)
		num.TextStyle = append(num.TextStyle, onLine(st))
	}
	const half = 0.47 // of a row: a white line between rows
	var nectar nectarMark
	for i, c := range g.rows {
		y := g.y(i)
		if i == 0 || g.before[i] > g.before[i-1] {
			write(groupNames[c.Verdict], -0.5, y+0.92, s.style(s.look.TextPt, true, ink))
		}
		if x, ok := g.nectar(c); ok {
			nectar.x, nectar.y = append(nectar.x, x), append(nectar.y, y)
		}
		if c.Verdict == plan.Dead {
			write(s.fit("close it up and inspect it, then clear it away", s.soft(), widthPt), -0.45, y, s.soft())
			continue
		}
		for k, v := range g.risks(c) {
			if math.IsNaN(v) {
				continue
			}
			n := shadeOf(v)
			cells[n] = append(cells[n], box{float64(k) - 0.49, y - half, float64(k) + 0.49, y + half})
			if v >= shades[0].below {
				write(count(v*100), float64(k), y, aligned(s.style(s.look.TextPt, false, shades[n].text), draw.XCenter))
			}
		}
	}
	for n, bs := range cells {
		add(p, rects(shades[n].fill, bs...))
	}
	add(p, &num, nectar)
}

// groupNames stand over the rows of a verdict.
var groupNames = map[plan.Verdict]string{plan.Feed: "feed", plan.Watch: "watch", plan.NoFeed: "no feed", plan.Dead: "dead"}

// risks are the values of a row by column, NaN where there is none.
func (g *heat) risks(c plan.ColonyPlan) []float64 {
	out := make([]float64, 0, g.columns())
	shown := -1
	for k := 0; k < g.columns() && len(g.cols) > 0; k++ {
		at := g.week(k) - g.offset[c.Yard]
		w := min(at, len(c.RiskByWeek)-1)
		if at > w && shown == w {
			break // the weeks of this yard are over
		}
		out = append(out, value(c.RiskByWeek, w))
		if w >= 0 && !math.IsNaN(c.RiskByWeek[w]) {
			shown = w
		}
	}
	return out
}

// heads writes the dates over the cells, where a tall grid is read from, and what
// stands beside them; gonum/plot has axes at the left and the foot only.
func (g *heat) heads(s *sheet, c draw.Canvas, p *plot.Plot) {
	tx, ty := p.Transforms(&c)
	soft, plain := s.soft(), s.plain()
	y, end := float64(c.Max.Y)+0.5*s.look.TextPt, math.Inf(-1)
	for k := 0; k < g.columns() && len(g.cols) > 0; k++ {
		str := s.look.short(g.cols[g.week(k)])
		x, w := float64(tx(float64(k))), s.width(str, soft)/2
		if x-w < end+5 || x+w > s.w-margin {
			continue
		}
		end = x + w
		s.text(str, x, y, aligned(soft, draw.XCenter))
	}
	if !g.side {
		return
	}
	right := [2]float64{}
	for k, h := range sideHeads {
		right[k] = float64(c.Max.X) + 6 + s.sideWidth()*float64(k+1) - 2
		if end+5 < right[k]-s.width(h, soft) {
			s.text(h, right[k], y, aligned(soft, draw.XRight))
		}
	}
	for i, row := range g.rows {
		if row.Verdict != plan.Feed {
			continue
		}
		y := float64(ty(g.y(i))) - middle*s.look.TextPt
		s.text(percent(row.RiskFed.Frac), right[0], y, aligned(plain, draw.XRight))
		switch late := row.TooLate || (!g.today.IsZero() && row.StartBy.Before(g.today)); {
		case row.StartBy.IsZero():
		case late:
			s.text("now", right[1], y, aligned(s.style(s.look.TextPt, true, ink), draw.XRight))
		default:
			s.text(s.look.short(row.StartBy), right[1], y, aligned(plain, draw.XRight))
		}
	}
}

// fitRow cuts the name of the yard, at its end, before that of the colony.
func (s *sheet) fitRow(c plan.ColonyPlan, st draw.TextStyle, w float64) string {
	full := rowName(c)
	if s.width(full, st) <= w {
		return full
	}
	r := []rune(c.Yard)
	for n := len(r) - 1; n >= 2; n-- {
		if str := strings.TrimSpace(string(r[:n])) + "… " + c.Colony; s.width(str, st) <= w {
			return str
		}
	}
	return s.fit(full, st, w)
}

func rowName(c plan.ColonyPlan) string {
	if c.Yard == "" {
		return c.Colony
	}
	return c.Yard + " " + c.Colony
}
