package plots

import (
	"fmt"
	"math"
	"strings"
	"time"

	"bloomgap/feed"
)

// GridTitle says how many colonies need feed and by when the first must start.
func GridTitle(p feed.Plan) string {
	n, alive, late := 0, 0, false
	var first time.Time
	for _, c := range p.Colonies {
		if c.Verdict != feed.Clear {
			alive++
		}
		if c.Verdict != feed.Feed {
			continue
		}
		n++
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
		t += ", the first by " + longDate(first)
	}
	return t
}

// RowsPerPage is the number of rows of the grid on an A4 page at 9 points.
const RowsPerPage = 48

// RiskGrid draws every colony by week: the share of springs in which it has
// starved by that date, as a number and a shade, the most urgent first. It
// grows by one line a colony, so that letters keep their size.
func RiskGrid(p feed.Plan, l Look) *Chart { return riskGrid(p, l, 0, len(p.Colonies)) }

// RiskGridPages is the same grid over pages of at most so many rows; rows below
// 1 take RowsPerPage.
func RiskGridPages(p feed.Plan, l Look, rows int) []*Chart {
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
func weeks(p feed.Plan) (offset map[string]int, cols []time.Time) {
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

// Rows are in blocks, so that the eye keeps its line; the dates stand over every
// few blocks.
const (
	rowsInBlock    = 10
	blocksPerDates = 3
)

func riskGrid(p feed.Plan, l Look, from, to int) *Chart {
	title := GridTitle(p)
	if len(p.Colonies) == 0 {
		return nothing(title, "There is no colony in the plan.", l)
	}
	offset, cols := weeks(p)
	rows := p.Colonies[from:to]
	if from > 0 || to < len(p.Colonies) {
		title += fmt.Sprintf(" (rows %d to %d of %d)", from+1, to, len(p.Colonies))
	}
	var keys []keyItem
	for _, sh := range shades {
		keys = append(keys, keyItem{sh.word + " %", func(s *sheet, b box) {
			s.rect(b, sh.fill)
			s.frame(b, pen{soft, 0.4, nil, markNone})
		}})
	}
	rowPt := l.TextPt * 1.32
	dateRow := l.TextPt * 1.5
	blocks := (len(rows) + rowsInBlock - 1) / rowsInBlock
	heads := (blocks + blocksPerDates - 1) / blocksPerDates
	return &Chart{title: title, look: l,
		subtitle: "Springs in which a colony left alone has starved by the date, %; the most urgent first",
		desc:     gridDesc(rows),
		height: func(s *sheet, w float64) float64 {
			_, kh := s.keyRows(keys, w)
			return kh + 6 + float64(len(rows))*rowPt + float64(blocks)*3 + float64(heads)*dateRow + l.TextPt*1.6
		},
		draw: func(s *sheet, r box) {
			drawGrid(s, r, rows, from, keys, offset, cols, p.Today)
		}}
}

func gridDesc(rows []feed.ColonyPlan) string {
	var parts []string
	for i, c := range rows {
		if i == 5 {
			parts = append(parts, fmt.Sprintf("and %d more", len(rows)-i))
			break
		}
		w := c.Yard + " " + c.Colony + ": " + percent(c.Risk.Frac)
		if c.Verdict == feed.Clear {
			w = c.Yard + " " + c.Colony + ": dead"
		}
		parts = append(parts, w)
	}
	return "Risk of starving before nectar: " + strings.Join(parts, "; ") + "."
}

func drawGrid(s *sheet, r box, rows []feed.ColonyPlan, from int, keys []keyItem, offset map[string]int, cols []time.Time, today time.Time) {
	_, kh := s.keyRows(keys, r.w())
	s.key(keys, r.x0, r.y1, r.w())
	st, soft := s.plain(), s.softStyle()
	size := st.pt

	// Columns: name, weeks, then risk with the plan and the day to start, where
	// there is room.
	name := 0.0
	for _, c := range rows {
		name = math.Max(name, s.width(rowName(c), st))
	}
	number := s.width("999 ", soft)
	sideHead := []string{"with plan", "start by"}
	sideW := math.Max(s.width("with plan", st), s.width("30 Sep", st)) + 8
	side := 2 * sideW
	cell := s.width("100", st) + 3
	weeksW := cell * float64(len(cols))
	name = math.Min(name+6, r.w()*0.34)
	if short := math.Min(name, r.w()*0.2); short+number+weeksW+side > r.w() {
		side = 0 // names and weeks come first
	}
	name = math.Min(name, math.Max(r.w()*0.24, r.w()-side-number-weeksW))
	grid := r.w() - number - name - side
	every := 1 // weeks a column, more where cells would be too narrow for numbers
	for grid/float64((len(cols)+every-1)/every) < cell && every < len(cols) {
		every++
	}
	nCols := max(1, (len(cols)+every-1)/every)
	cw := math.Min(grid/float64(nCols), 46)
	x0 := r.x0 + number + name
	xSide := x0 + cw*float64(nCols) + 6

	blocks := (len(rows) + rowsInBlock - 1) / rowsInBlock
	heads := (blocks + blocksPerDates - 1) / blocksPerDates
	avail := r.h() - kh - 6 - size*1.6 - float64(blocks)*3 - float64(heads)*size*1.5
	rowPt := math.Min(avail/float64(len(rows)), size*1.8)

	// column k shows the last week it holds, so that no risk is hidden.
	weekOf := func(k int) int { return min((k+1)*every-1, len(cols)-1) }
	y := r.y1 - kh - 6
	type words struct {
		str  string
		x, y float64
		a    align
		st   style
	}
	var later []words // text after all fills, so that SVG paths join
	cells := make([][]box, len(shades))
	top, bottom := y, y
	for i, c := range rows {
		if i%rowsInBlock == 0 {
			if (i/rowsInBlock)%blocksPerDates == 0 {
				y -= size * 1.5
				end := math.Inf(-1)
				for k := 0; k < nCols && len(cols) > 0; k++ {
					lab := shortDate(cols[weekOf(k)])
					x, w := x0+cw*(float64(k)+0.5), s.width(lab, soft)/2
					if x-w < end+5 || x+w > r.x1 {
						continue
					}
					end = x + w
					later = append(later, words{lab, x, y + size*0.35, centre, soft})
				}
				for k, h := range sideHead {
					if at := xSide + sideW*float64(k+1) - 2; side > 0 && end+5 < at-s.width(h, soft) {
						later = append(later, words{h, at, y + size*0.35, right, soft})
					}
				}
			}
			y -= 3
		}
		b := y - rowPt
		base := b + rowPt/2 - 0.35*size
		later = append(later, words{fmt.Sprint(from + i + 1), r.x0 + number - 5, base, right, soft},
			words{s.fitRow(c, st, name-5), r.x0 + number, base, left, st})
		if c.Verdict == feed.Clear {
			later = append(later, words{s.fit("dead: close it and clear it away", soft, grid), x0 + 3, base, left, soft})
			y = b
			continue
		}
		off := offset[c.Yard]
		shown := -1
		for k := 0; k < nCols && len(cols) > 0; k++ {
			w := min(weekOf(k)-off, len(c.RiskByWeek)-1)
			if weekOf(k)-off > len(c.RiskByWeek)-1 && shown == len(c.RiskByWeek)-1 {
				break // the weeks of this yard are over
			}
			if w < 0 || math.IsNaN(c.RiskByWeek[w]) {
				continue
			}
			shown = w
			v := c.RiskByWeek[w]
			sh := shades[shadeOf(v)]
			x := x0 + cw*float64(k)
			if n := len(cells[shadeOf(v)]); n > 0 && cells[shadeOf(v)][n-1].y1 == y-0.4 && math.Abs(cells[shadeOf(v)][n-1].x1-x) < 0.01 {
				cells[shadeOf(v)][n-1].x1 = x + cw // joins the cell before
			} else {
				cells[shadeOf(v)] = append(cells[shadeOf(v)], box{x, b + 0.4, x + cw, y - 0.4})
			}
			if v >= shades[0].below {
				later = append(later, words{count(v * 100), x + cw/2, base, centre, style{size, false, sh.text}})
			}
		}
		if side > 0 && c.Verdict == feed.Feed {
			later = append(later, words{percent(c.RiskFed.Frac), xSide + sideW - 2, base, right, st})
			if !c.StartBy.IsZero() {
				w := words{shortDate(c.StartBy), xSide + 2*sideW - 2, base, right, st}
				if c.TooLate || (!today.IsZero() && c.StartBy.Before(today)) {
					w.str, w.st.bold = "now", true
				}
				later = append(later, w)
			}
		}
		y = b
	}
	bottom = y
	for i, cs := range cells {
		for _, c := range cs {
			s.rect(c, shades[i].fill)
		}
	}
	for k := 1; k < nCols; k++ {
		x := x0 + cw*float64(k)
		s.line(pen{paper, 0.6, nil, markNone}, pt{x, top}, pt{x, bottom})
	}
	for _, t := range later {
		s.text(t.str, t.x, t.y, t.a, t.st)
	}
	unit := "Row: yard and colony. Column: week, by its date"
	if every > 1 {
		unit = fmt.Sprintf("Row: yard and colony. Column: %d weeks, by the last date", every)
	}
	s.text(s.fit(unit, soft, r.w()), r.x0, y-size*1.3, left, soft)
}

// fitRow cuts the name of the yard, at its end, before that of the colony.
func (s *sheet) fitRow(c feed.ColonyPlan, st style, w float64) string {
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

func rowName(c feed.ColonyPlan) string {
	if c.Yard == "" {
		return c.Colony
	}
	return c.Yard + " " + c.Colony
}
