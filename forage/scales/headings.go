package scales

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"bloomgap/forage/read"
)

// What the words of a heading mean. Scales write headings of their own, so words
// are looked for, not whole headings.
var (
	dateWords    = wordSet("date dates day datum tag datetime timestamp zeitstempel time zeit zeitpunkt")
	clockWords   = wordSet("time zeit uhrzeit clock hour hours hh stunde")
	dateFiller   = wordSet("of the at on reading readings weighing measured measurement recorded created sample messung mess local utc gmt cet mez iso unix epoch s ms end")
	weightWords  = wordSet("weight weights wt gross mass gewicht bruttogewicht masse kg kgs kilo kilos kilogram kilograms lb lbs pound pounds")
	weightUnits  = wordSet("kg kgs kilo kilos kilogram kilograms g gram grams lb lbs pound pounds oz")
	weightPlain  = wordSet("hive total scale of the in hives value mean average avg median gross net smoothed corrected stock beute waage day daily") // say nothing of whose weight it is
	notWeight    = wordSet("change delta diff difference gain loss rate std sd var error err flag quality count n min max cumulative trend temp temperature humidity tare battery voltage rain raw")
	hiveNames    = wordSet("hive colony name hive_id hive_name hive_no hive_number colony_id colony_name volk bienenvolk stock beute scale_id sensor sensor_id device device_id id")
	inHiveWords  = wordSet("hive inside internal inner brood nest core in innen stock probe cpu board soil ground water dew dewpoint apparent felt surface ts5")
	outsideWords = wordSet("ambient air tt txk tnk tmk")
	notAirWords  = wordSet("sd std flag quality count humidity pressure normal")
	highWords    = wordSet("max maximum high highest tmax txk tx hi")
	lowWords     = wordSet("min minimum low lowest tmin tnk tn lo")
	meanWords    = wordSet("mean avg average tmean tmk mittel")
	tempWords    = wordSet("temp temps temperature temperatur tt t air ta lufttemperatur tmp outside ambient tmax tmin tmean txk tnk tmk tx tn")
	rainWords    = wordSet("rain rainfall precip precipitation prcp rsk niederschlag regen")
	usWords      = wordSet("f fahrenheit degf")
)

func wordSet(list string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(list) {
		m[w] = true
	}
	return m
}

// wordsOf cuts a heading into its words in lower case; "weightKg" has two.
func wordsOf(heading string) []string {
	var out []string
	var word []rune
	flush := func() {
		if len(word) > 0 {
			out = append(out, strings.ToLower(string(word)))
			word = word[:0]
		}
	}
	prev := ' '
	for _, r := range heading {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			flush()
		case unicode.IsUpper(r) && unicode.IsLower(prev):
			flush()
			word = append(word, r)
		default:
			word = append(word, r)
		}
		prev = r
	}
	flush()
	return out
}

func all(ws []string, sets ...map[string]bool) bool {
	for _, w := range ws {
		if !slices.ContainsFunc(sets, func(m map[string]bool) bool { return m[w] }) {
			return false
		}
	}
	return len(ws) > 0
}

func some(ws []string, m map[string]bool) bool {
	return slices.ContainsFunc(ws, func(w string) bool { return m[w] })
}

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
	key := strings.Join(wordsOf(heading), "_")
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
		ws := wordsOf(text)
		joined := strings.Join(ws, "_")
		switch {
		case len(ws) == 0:
		case joined == "year" || joined == "jahr":
			p.year = at
		case joined == "month" || joined == "monat":
			p.month = at
		case native(text, cols[columnChange]) && p.change < 0:
			p.change = at
		case native(text, cols[columnMark]) && p.mark < 0:
			p.mark = at
		case native(text, cols[columnNote]) && p.note < 0:
			p.note = at
		case hiveNames[joined] && p.hive < 0 && fewNames(g, row, at):
			p.hive = at
		case all(ws, dateWords, dateFiller, clockWords):
			rank := dateRank(ws)
			if joined == "day" || joined == "tag" {
				p.day = at
			}
			switch {
			case rank > best:
				if p.date >= 0 && p.clock < 0 && clockIn(g, row, p.date) {
					p.clock = p.date
				}
				p.date, best = at, rank
			case some(ws, clockWords) && p.clock < 0 && clockIn(g, row, at):
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
		switch {
		case w == "day" || w == "tag":
			rank = max(rank, 1)
		case w == "time" || w == "zeit" || w == "zeitpunkt":
			rank = max(rank, 2)
		case dateWords[w]:
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
		func(ws []string) bool { return some(ws, weightWords) && !some(ws, notWeight) },
		func(ws []string) bool { return some(ws, weightWords) && slices.Contains(ws, "raw") },
	} {
		if len(p.weights) > 0 {
			break
		}
		for _, at := range open {
			ws := wordsOf(heads[at])
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
			ws := wordsOf(heads[at])
			if !some(ws, notWeight) && !some(ws, tempWords) && !some(ws, rainWords) && numbersIn(g, p.row, at, leastHiveKg) {
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
		parts := wordsOf(w)
		if all(parts, weightWords, weightUnits) || all(parts, weightUnits) {
			continue
		}
		kept = append(kept, w)
		plain = plain && all(parts, weightPlain, weightWords)
	}
	if plain {
		return ""
	}
	return strings.Join(kept, " ")
}

// unitOf is the unit of weight that a heading names.
func unitOf(ws []string) string {
	for _, w := range ws {
		if weightUnits[w] && (w != "g" && w != "oz" || len(ws) > 1) {
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
		if at >= len(r.Cells) || isMissing(r.Cells[at]) {
			continue
		}
		if filled++; filled > sampleRows {
			break
		}
		if v, err := strconv.ParseFloat(strings.Replace(r.Cells[at], ",", ".", 1), 64); err == nil && v >= leastKg && v <= mostHiveKg {
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
		if at < len(r.Cells) && !isMissing(r.Cells[at]) {
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
		if at < len(r.Cells) && !isMissing(r.Cells[at]) {
			_, ok := clockOf(r.Cells[at])
			return ok
		}
	}
	return false
}

// isMissing tells whether a cell says that there is no value.
func isMissing(cell string) bool {
	switch strings.ToLower(strings.TrimSpace(cell)) {
	case "", "-", "--", "---", "?", "n/a", "na", "nan", "null", "none", "nil", "unknown", "err", "error", "offline", "-999", "-999.0", "-9999", "#n/a":
		return true
	}
	return false
}
