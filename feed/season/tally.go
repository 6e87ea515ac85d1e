package season

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"bloomgap/forage/read"
)

// Tally says that a row stands for several colonies of which the same was seen and
// that nobody told apart: twelve light doubles with five seams of bees.
type Tally struct {
	LookedAt int // colonies that were looked at and found so
}

// Bounds of a tally, own choice.
const (
	mostTallied   = 20000 // colonies of one row, above any yard
	tallyRoundFor = 7     // days that one round of a yard may take: rows of other days are another round
)

func (l *loader) tallyColumns() []read.Column {
	cols := slices.Clone(l.colonyColumns())
	for i := range cols {
		if cols[i].Name == "colony" {
			cols[i] = read.Column{Name: "tally", Aliases: []string{"group", "name"}, Required: true}
		}
	}
	return append(cols, read.Column{Name: "colonies", Aliases: []string{"number", "count"}, Required: true}, read.Column{Name: "looked_at"})
}

// tallied is a row of the table of tallies.
type tallied struct {
	entry
	colonies, lookedAt int
}

// tallies reads colonies that were counted by what was found rather than row by row;
// the table may be missing.
func (l *loader) tallies() {
	if l.given != nil {
		return
	}
	g := l.find(talliesName, false)
	if g == nil {
		return
	}
	t := read.New(g, l.tallyColumns(), &l.ps)
	byYard := map[string][]tallied{}
	var order []string
	for _, r := range t.Rows {
		if l.ps.Full() {
			break
		}
		if x, ok := l.tallyRow(r); ok && l.newTally(byYard[x.yard], &x) {
			if len(byYard[x.yard]) == 0 {
				order = append(order, x.yard)
			}
			byYard[x.yard] = append(byYard[x.yard], x)
		}
	}
	for _, yard := range order {
		l.addTallies(l.yard(yard), latestOf(byYard[yard]))
	}
}

func (l *loader) tallyRow(r read.Row) (tallied, bool) {
	e, ok := l.entry(r, "tally")
	x := tallied{entry: e}
	r.Need("colonies")
	n, said := r.Int("colonies", 0, mostTallied)
	x.colonies, x.lookedAt = n, n
	if k, sample := r.Int("looked_at", 0, mostTallied); sample {
		if x.lookedAt = k; said && k > n {
			r.Problem("looked_at", fmt.Sprintf("%d of the %d colonies of %q were looked at", k, n, x.name),
				"write under colonies how many the row stands for, and under looked_at how many of them you looked at")
			ok = false
		}
	}
	if ok && said && x.lookedAt == 0 && n > 0 && (x.obs.Food.Kind != FoodUnknown || x.obs.SeamsOfBees >= 0) {
		r.Problem("looked_at", fmt.Sprintf("no colony of %q was looked at, but the row says what was seen", x.name),
			"write how many were looked at; a row for the others of the yard says nothing of food and bees")
		ok = false
	}
	return x, ok && said
}

// newTally looks for a row that names a colony of the yard, or stands there twice.
func (l *loader) newTally(before []tallied, x *tallied) bool {
	for i := range l.s.Colonies {
		if c := &l.s.Colonies[i]; sameName(c.Yard, x.yard) && sameName(c.Name, x.name) {
			x.row.Problem("tally", fmt.Sprintf("%q of %s is a colony with a row of its own, in row %d of the table of colonies", x.name, x.yard, c.Line),
				"give the tally another name, and count no colony twice")
			return false
		}
	}
	for i := range before {
		if o := &before[i]; sameName(o.name, x.name) && o.obs.Date.Equal(x.obs.Date) {
			x.row.Problem("tally", fmt.Sprintf("the tally %q of %s appears twice for %s, first in row %d", x.name, x.yard, iso(x.obs.Date), o.row.Line),
				"keep one row for a tally and day, or give the other colonies another name")
			return false
		}
	}
	return true
}

// latestOf keeps the last row of each tally of a yard, in the order of the table.
func latestOf(rows []tallied) []tallied {
	var out []tallied
	for i := range rows {
		k := slices.IndexFunc(out, func(o tallied) bool { return sameName(o.name, rows[i].name) })
		switch {
		case k < 0:
			out = append(out, rows[i])
		case rows[i].obs.Date.After(out[k].obs.Date):
			out[k] = rows[i]
		}
	}
	return out
}

// addTallies adds the tallies of a yard to its colonies. Those that nobody looked at
// are counted on the yard.
func (l *loader) addTallies(y *Yard, rows []tallied) {
	if y == nil {
		return
	}
	newest, seen := time.Time{}, 0
	for i := range rows {
		if rows[i].obs.Date.After(newest) {
			newest = rows[i].obs.Date
		}
		seen += rows[i].lookedAt
	}
	for i := range rows {
		x := &rows[i]
		if x.colonies == 0 {
			continue
		}
		if ago := days(x.obs.Date, newest); ago > tallyRoundFor {
			x.ask("date", read.Problem{Code: TallyGuard, Level: read.Ask,
				Message: fmt.Sprintf("the tally %q of %s was last made on %s, others of the yard on %s: its %d colonies may be counted twice", x.name, x.yard, iso(x.obs.Date), iso(newest), x.colonies),
				Fix:     fmt.Sprintf("add a row for %s with what it came to then, 0 colonies when none is left in it", iso(newest))})
		}
		y.leave(sizeOfHive(x.boxes), x.colonies-x.lookedAt)
		if x.lookedAt == 0 {
			if seen == 0 {
				x.row.Problem("looked_at", fmt.Sprintf("none of the colonies of %s was looked at", x.yard), "look at some of them, and write what was seen in a row of its own")
				return
			}
			continue
		}
		c := l.colony([]entry{x.entry})
		c.Tally = &Tally{LookedAt: x.lookedAt}
		l.s.Colonies = append(l.s.Colonies, c)
	}
}

// leave notes colonies that nobody looked at, those of one size of hive together and
// in the order of their sizes.
func (y *Yard) leave(boxes string, colonies int) {
	if colonies == 0 {
		return
	}
	i, found := slices.BinarySearchFunc(y.NotLookedAt, boxes, func(n NotLookedAt, b string) int { return cmp.Compare(n.Boxes, b) })
	if !found {
		y.NotLookedAt = slices.Insert(y.NotLookedAt, i, NotLookedAt{Boxes: boxes})
	}
	y.NotLookedAt[i].Colonies += colonies
}

// SizeOfHive names the boxes of a hive, however they were written; hives of one size
// have the same.
func (c *Colony) SizeOfHive() string { return sizeOfHive(c.Boxes) }

func sizeOfHive(boxes []Boxes) string {
	sorted := slices.SortedFunc(slices.Values(boxes), func(a, b Boxes) int { return cmp.Compare(a.Kind, b.Kind) })
	if len(sorted) == 0 {
		return ""
	}
	return fmt.Sprint(sorted)
}

// TalliesByName are the tallies among colonies in the order of their names, which is
// the same whatever the order of the table.
func TalliesByName(cs []*Colony) []*Colony {
	var out []*Colony
	for _, c := range cs {
		if c.Tally != nil {
			out = append(out, c)
		}
	}
	slices.SortFunc(out, func(a, b *Colony) int { return cmp.Compare(nameKey(a.Name), nameKey(b.Name)) })
	return out
}
