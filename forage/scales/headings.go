package scales

import (
	"math"
	"slices"
	"strings"
	"unicode"

	"bloomgap/forage/read"
)

// plan tells where the things of a table stand; -1 is nowhere.
type plan struct {
	row              int // of the headings
	date, clock      int
	year, month, day int
	hive             int
	weights          []weightColumn
	change, mark     int
	note             int
	unused           []int
	guessed          bool // the weights were known by their figures, not by a heading
}

// weightColumn is a column with the weights of a hive.
type weightColumn struct {
	at   int
	hive string // "" when the heading does not say
	unit string // as headings write it; "" when it does not say
}

// headingRows is how far down the headings may stand, rows, 10-60, own judgement.
const headingRows = 40

// understand finds the headings of a grid and what they mean; false when there is
// no row with a day and weights.
func understand(g *read.Grid) (plan, bool) {
	for i := range min(headingRows, len(g.Rows)) {
		if p, ok := understandRow(g, i); ok {
			return p, true
		}
	}
	return plan{}, false
}

// native tells whether forage/read knows a heading as that of a column.
func native(heading string, c read.Column) bool {
	key := strings.Join(read.Words(heading), "_")
	for _, name := range append([]string{c.Name}, c.Aliases...) {
		name = strings.ReplaceAll(name, " ", "_")
		rest, ok := strings.CutPrefix(key, name)
		if _, unit := read.FindUnit(strings.TrimPrefix(rest, "_")); ok && (rest == "" || strings.HasPrefix(rest, "_") && unit) {
			return true
		}
	}
	return false
}

func understandRow(g *read.Grid, row int) (plan, bool) {
	p := plan{row: row, date: -1, clock: -1, year: -1, month: -1, day: -1, hive: -1, change: -1, mark: -1, note: -1}
	cols := columns()
	best := 0
	var open []int
	for at, text := range g.Rows[row].Cells {
		ws := read.Words(text)
		joined := strings.Join(ws, "_")
		switch {
		case len(ws) == 0:
		case len(ws) == 1 && read.AnyWord(ws, read.WordYear):
			p.year = at
		case len(ws) == 1 && read.AnyWord(ws, read.WordMonth):
			p.month = at
		case native(text, cols[columnChange]) && p.change < 0:
			p.change = at
		case native(text, cols[columnMark]) && p.mark < 0:
			p.mark = at
		case native(text, cols[columnNote]) && p.note < 0:
			p.note = at
		case read.MeaningOf(joined)&read.WordHiveColumn != 0 && p.hive < 0 && fewNames(g, row, at):
			p.hive = at
		case read.AllWords(ws, read.WordDate|read.WordMoment|read.WordDay|read.WordDateFiller|read.WordClock):
			rank := dateRank(ws)
			if len(ws) == 1 && read.AnyWord(ws, read.WordDay) {
				p.day = at
			}
			switch {
			case rank > best:
				if p.date >= 0 && p.clock < 0 && clockIn(g, row, p.date) {
					p.clock = p.date
				}
				p.date, best = at, rank
			case read.AnyWord(ws, read.WordClock) && p.clock < 0 && clockIn(g, row, at):
				p.clock = at
			default:
				p.unused = append(p.unused, at)
			}
		default:
			open = append(open, at)
		}
	}
	if p.year >= 0 && p.month >= 0 && p.day >= 0 && best <= 1 {
		p.date = p.day
	} else {
		p.year, p.month, p.day = -1, -1, -1
	}
	p.findWeights(g, open)
	return p, p.date >= 0 && len(p.weights) > 0
}

// dateRank prefers a column whose name can only be a date, and the local clock.
func dateRank(ws []string) int {
	rank := 0
	for _, w := range ws {
		switch m := read.MeaningOf(w); {
		case m&read.WordDay != 0:
			rank = max(rank, 1)
		case m&read.WordMoment != 0:
			rank = max(rank, 2)
		case m&read.WordDate != 0:
			rank = max(rank, 4)
		}
	}
	if rank > 0 && slices.Contains(ws, "local") {
		rank++
	}
	return rank
}

// findWeights picks the columns of weights among those whose headings are not
// spoken for.
func (p *plan) findWeights(g *read.Grid, open []int) {
	heads := g.Rows[p.row].Cells
	byHive := map[string]bool{}
	for _, wanted := range []func(ws []string) bool{
		func(ws []string) bool {
			return read.AnyWord(ws, read.WordWeight) && !read.AnyWord(ws, read.WordNotWeight)
		},
		func(ws []string) bool { return read.AnyWord(ws, read.WordWeight) && slices.Contains(ws, "raw") },
	} {
		if len(p.weights) > 0 {
			break
		}
		for _, at := range open {
			ws := read.Words(heads[at])
			if !wanted(ws) {
				continue
			}
			c := weightColumn{at: at, hive: hiveOf(heads[at]), unit: unitOf(ws)}
			if !byHive[c.hive] { // the same hive in another unit
				byHive[c.hive] = true
				p.weights = append(p.weights, c)
			}
		}
	}
	if len(p.weights) == 0 && p.hive >= 0 && numbersIn(g, p.row, p.hive, leastHiveKg) {
		open = append(open, p.hive) // "hive" stands over its weights
		p.hive = -1
	}
	if len(p.weights) == 0 {
		for _, at := range open { // a hive a column, or a heading in another tongue
			ws := read.Words(heads[at])
			if !read.AnyWord(ws, read.WordNotWeight|read.WordTemp|read.WordTmax|read.WordTmin|read.WordTmean|read.WordOutside|read.WordRain|read.WordPrecip) &&
				numbersIn(g, p.row, at, leastHiveKg) {
				p.weights = append(p.weights, weightColumn{at: at, hive: strings.TrimSpace(heads[at])})
			}
		}
		p.guessed = len(p.weights) > 0
	}
	if p.hive >= 0 && len(p.weights) > 1 {
		p.weights = p.weights[:1]
	}
	if len(p.weights) == 1 && (!p.guessed || hiveOf(heads[p.weights[0].at]) == "") {
		p.weights[0].hive = ""
	}
	for _, at := range open {
		if !slices.ContainsFunc(p.weights, func(c weightColumn) bool { return c.at == at }) {
			p.unused = append(p.unused, at)
		}
	}
	slices.Sort(p.unused)
}

// hiveOf is what a heading of weights says besides weight and unit.
func hiveOf(heading string) string {
	var kept []string
	plain := true
	for _, w := range strings.FieldsFunc(heading, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		parts := read.Words(w)
		if read.AllWords(parts, read.WordWeight|read.WordMassUnit) {
			continue
		}
		kept = append(kept, w)
		plain = plain && read.AllWords(parts, read.WordAnyHive|read.WordWeight)
	}
	if plain {
		return ""
	}
	return strings.Join(kept, " ")
}

// unitOf is the unit of weight that a heading names.
func unitOf(ws []string) string {
	for _, w := range ws {
		if read.MeaningOf(w)&read.WordMassUnit != 0 && (w != "g" && w != "oz" || len(ws) > 1) {
			return w
		}
	}
	return ""
}

// sampleRows is how many rows a column is judged by, 20-500, own judgement.
const sampleRows = 200

// numbersIn tells whether nearly all filled cells of a column are numbers that a
// hive may weigh, at least so many kg.
func numbersIn(g *read.Grid, row, at int, leastKg float64) bool {
	numbers, filled := 0, 0
	for _, r := range g.Rows[row+1:] {
		if at >= len(r.Cells) || missing(r.Cells[at]) {
			continue
		}
		if filled++; filled > sampleRows {
			break
		}
		if v, _, ok := read.Figure(r.Cells[at]); ok && v >= leastKg && v <= mostHiveKg {
			numbers++
		}
	}
	return numbers > 0 && float64(numbers) >= 0.9*math.Min(float64(filled), sampleRows)
}

// fewNames tells whether the cells of a column name hives, and are not numbers of
// rows or readings.
func fewNames(g *read.Grid, row, at int) bool {
	const always = 20 // names, own judgement
	names, filled := map[string]bool{}, 0
	for _, r := range g.Rows[row+1:] {
		if at < len(r.Cells) && !missing(r.Cells[at]) {
			names[r.Cells[at]] = true
			filled++
		}
	}
	return filled > 0 && (len(names) <= always || len(names) <= filled/3)
}

// clockIn tells whether the first filled cell of a column is a time of day, or an
// hour.
func clockIn(g *read.Grid, row, at int) bool {
	for _, r := range g.Rows[row+1:] {
		if at < len(r.Cells) && !missing(r.Cells[at]) {
			_, ok := read.ParseClock(r.Cells[at])
			return ok
		}
	}
	return false
}

// missing tells whether a cell says that there is no value.
func missing(cell string) bool {
	v, _, ok := read.Figure(cell)
	return ok && math.IsNaN(v)
}
