package season

import (
	"fmt"
	"math"
	"slices"
	"time"

	"bloomgap/feed/syrup"
	"bloomgap/forage/read"
)

// Given is food that a colony was given on a day, after it was looked at on that
// day, and what became of it by the next look.
type Given struct {
	Yard, Colony string // Colony "": each live colony of the yard got this
	Date         time.Time
	SyrupL       float64 // syrup for each colony, L
	Strength     syrup.Strength
	SolidKg      float64 // sugar laid over the cluster, kg
	FramesDeep   float64 // deep or large combs of food put in, both sides full = 1
	FramesMedium float64 // medium or shallow ones
	LeftL        float64 // of the syrup, what was found left at the next look; NaN = not looked
	LeftSolidKg  float64 // of the sugar, the same
	Note         string
	Line         int // row in its table
}

// GivenByYard lists what was given so far in every yard, in order of date, under
// the yard's name.
func (s *Season) GivenByYard() map[string][]Given {
	out := map[string][]Given{}
	for _, g := range s.Given {
		out[g.Yard] = append(out[g.Yard], g)
	}
	for _, rows := range out {
		slices.SortStableFunc(rows, func(a, b Given) int { return a.Date.Compare(b.Date) })
	}
	return out
}

// GivenTo picks from what was given in a yard what a colony of it got.
func GivenTo(yard []Given, colony string) []Given {
	var out []Given
	for _, g := range yard {
		if g.Colony == "" || sameName(g.Colony, colony) {
			out = append(out, g)
		}
	}
	return out
}

// Bounds of what one colony is given at once: they stop slips of the pen and of
// the unit, own judgement.
const (
	mostSyrupL  = 25.0 // L
	mostSolidKg = 12.0 // kg
)

func (l *loader) givenColumns() []read.Column {
	us := l.s.Settings.UnitsUS
	litres := read.OutputUnit("L", us).Name
	return []read.Column{
		{Name: "yard", Aliases: []string{"apiary"}},
		{Name: "colony", Aliases: []string{"hive", "name"}},
		{Name: "date", Aliases: []string{"date_given", "fed_on"}, Required: true},
		{Name: "syrup", Unit: "L", Bare: litres},
		{Name: "strength", Aliases: []string{"syrup_ratio", "ratio"}},
		{Name: "solid", Aliases: []string{"sugar"}, Unit: "kg", Bare: l.mass()},
		{Name: "food_frames_deep", Aliases: []string{"food_frames", "frames_of_food"}},
		{Name: "food_frames_medium"},
		{Name: "taken"},
		{Name: "left", Unit: "L", Bare: litres},
		{Name: "left_solid", Unit: "kg", Bare: l.mass()},
		{Name: "note", Aliases: []string{"notes"}},
	}
}

// feedGiven reads what was fed so far; the table may be missing.
func (l *loader) feedGiven() {
	g := l.find(givenName, false)
	if g == nil {
		return
	}
	t := read.New(g, l.givenColumns(), &l.ps)
	for _, r := range t.Rows {
		if fed, ok := l.givenRow(r); ok {
			l.givenTwice(r, &fed)
			l.s.Given = append(l.s.Given, fed)
		}
	}
}

// givenTwice looks for a row that was written twice: its food would be counted
// twice.
func (l *loader) givenTwice(r read.Row, g *Given) {
	for i := range l.s.Given {
		o := &l.s.Given[i]
		if o.Date.Equal(g.Date) && o.Yard == g.Yard && sameName(o.Colony, g.Colony) && o.SyrupL == g.SyrupL && o.SolidKg == g.SolidKg &&
			o.FramesDeep == g.FramesDeep && o.FramesMedium == g.FramesMedium {
			r.Problem(
				"",
				fmt.Sprintf("the same feed of the same day stands in row %d", o.Line),
				"take one of the two out; where it was given twice, write the sum in one row",
			)
			return
		}
	}
}

func (l *loader) givenRow(r read.Row) (Given, bool) {
	g := Given{Line: r.Line, Note: r.Text("note")}
	ok := l.whoGot(r, &g)
	if r.Need("date") {
		g.Date = r.Date("date")
	}
	if g.Date.IsZero() {
		return g, false
	}
	if g.Date.After(l.s.Today) && !l.lost {
		r.Problem("date", fmt.Sprintf("date %s lies after today, %s", g.Date.Format(time.DateOnly), l.s.Today.Format(time.DateOnly)),
			"write down what was given, not what is planned; or correct the day named in "+settingsFile)
	}
	l.fedDead(r, &g)
	if first := FirstDay(l.s.Today); g.Date.Before(first) {
		r.Warn(
			"date",
			fmt.Sprintf("this feed was given before this season, which begins on %s, and is not used", first.Format("2 January 2006")),
			"the later looks show what is left of it",
		)
		ok = false
	}
	amount := func(col string, most float64) float64 {
		if v := r.FloatIn(col, 0, most); v >= 0 {
			return v
		}
		return 0
	}
	g.SyrupL, g.SolidKg = amount("syrup", mostSyrupL), amount("solid", mostSolidKg)
	g.FramesDeep, g.FramesMedium = amount("food_frames_deep", mostFrames), amount("food_frames_medium", mostFrames)
	if g.SyrupL+g.SolidKg+g.FramesDeep+g.FramesMedium == 0 {
		if !r.Has("syrup") && !r.Has("solid") && !r.Has("food_frames_deep") && !r.Has("food_frames_medium") {
			r.Problem("", "the row says of no food what was given", "fill in syrup_l, solid_kg, or frames of food")
		}
		return g, false
	}
	l.ratio(r, &g)
	l.becameOf(r, &g)
	return g, ok
}

// fedDead tells of a colony that was fed on the day it was found dead, or later.
func (l *loader) fedDead(r read.Row, g *Given) {
	for _, c := range l.s.ColoniesOf(g.Yard) {
		if c.Name == g.Colony && !c.Alive && !g.Date.Before(c.Last().Date) {
			r.Warn("colony", fmt.Sprintf("the colony %q was dead by then, says the table of colonies", c.Name), "what it was given counts for nothing; if it is alive, correct that table")
		}
	}
}

// whoGot reads the yard and the colony of a row.
func (l *loader) whoGot(r read.Row, g *Given) bool {
	g.Yard, g.Colony = cleanName(r.Text("yard")), cleanName(r.Text("colony"))
	switch y := l.s.Yard(g.Yard); {
	case g.Yard == "" && len(l.s.Yards) == 1:
		g.Yard = l.s.Yards[0].Name
	case g.Yard == "":
		r.Problem("yard", "the row names no yard", "fill in the yard; an empty colony means each live colony of it")
		return false
	case y != nil:
		g.Yard = y.Name
	default:
		l.unknownYard(r, g.Yard)
		return false
	}
	if sameName(g.Colony, "all") {
		g.Colony = ""
	}
	if g.Colony == "" {
		return true
	}
	var known []string
	for _, c := range l.s.ColoniesOf(g.Yard) {
		if sameName(c.Name, g.Colony) {
			g.Colony = c.Name
			return true
		}
		known = append(known, c.Name)
	}
	fix := "add it to the table of colonies, or leave the cell empty for each live colony of the yard"
	if near := read.Nearest(g.Colony, known); near != "" {
		fix = fmt.Sprintf("did you mean %q? Else %s", near, fix)
	}
	r.Problem("colony", fmt.Sprintf("the colony %q of %s is not in the table of colonies", g.Colony, g.Yard), fix)
	return false
}

// ratio reads the strength of the syrup; without one that of the settings, or 3:2.
func (l *loader) ratio(r read.Row, g *Given) {
	if g.SyrupL == 0 {
		return
	}
	if r.Has("strength") {
		var err error
		if g.Strength, err = syrup.Parse(r.Text("strength")); err == nil {
			if p, odd := mixQuestion(g.Strength, read.Problem{}); odd {
				r.Report("strength", p)
			}
			return
		}
		r.Problem("strength", oneLine(err.Error()), "write sugar:water by weight, such as 1:1, 3:2 or 2:1")
	}
	if g.Strength = l.s.Settings.Strength; l.s.Settings.ChooseStrength() {
		g.Strength = syrup.ThreeToTwo()
		if !r.Has("strength") {
			r.Warn("strength", "the ratio of the syrup is not given", "3:2 is assumed")
		}
	}
}

// becameOf reads what was found left of it at the next look.
func (l *loader) becameOf(r read.Row, g *Given) {
	left := func(col, of string, gaveUnits float64) float64 {
		v := r.FloatIn(col, 0, math.Max(mostSyrupL, mostSolidKg))
		if v > gaveUnits {
			r.Problem(col, fmt.Sprintf("more %s was left than was given", of), "correct one of the two; what was given earlier belongs to its own row")
			return gaveUnits
		}
		return v
	}
	g.LeftL, g.LeftSolidKg = left("left", "syrup", g.SyrupL), left("left_solid", "solid feed", g.SolidKg)
	if !r.Has("taken") {
		return
	}
	taken := r.Bool("taken", true)
	if taken && (g.LeftL > 0 || g.LeftSolidKg > 0) {
		r.Problem("taken", "all was taken, and yet some was left", "leave taken empty where some was left")
		return
	}
	all := func(left *float64, gave float64) {
		switch {
		case taken:
			*left = 0
		case math.IsNaN(*left):
			*left = gave
		}
	}
	all(&g.LeftL, g.SyrupL)
	all(&g.LeftSolidKg, g.SolidKg)
}
