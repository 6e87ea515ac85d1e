package words

import (
	"bloomgap/feed/plan"
	"fmt"
	"slices"
	"strings"
)

// Invented mark the example.
const Invented = "INVENTED EXAMPLE: no real hive and no real weather."

// Summary is the plan in a few sentences: how many of how many, the first to
// go to, what to buy.
func Summary(pl *plan.Plan, u Style) string {
	n := Counts(pl)
	s := fmt.Sprintf("%s in %s: %d to feed, %d to watch, %d to leave alone, %d dead.",
		Title(Count(n.All, "colony", "colonies")), Count(len(pl.Yards), "yard", "yards"), n.Feed, n.Watch, n.Leave, n.Clear)
	if n.Feed > 0 {
		c := pl.Colonies[n.first]
		s += fmt.Sprintf(" Most pressing: %s, %s", Clean(c.Yard), Clean(c.Colony))
		if !c.StartBy.IsZero() {
			s += ", by " + u.Day(c.StartBy)
		}
		s += "."
	}
	return s + " " + ShoppingLine(pl.Order, u)
}

// Tally is a number of colonies by verdict.
type Tally struct {
	All, Feed, Watch, Leave, Clear int
	first                          int // index of the first to feed
}

// Counts counts the colonies of a plan by verdict.
func Counts(pl *plan.Plan) Tally {
	t := Tally{first: -1}
	for i, c := range pl.Colonies {
		t.All++
		switch c.Verdict {
		case plan.Feed:
			if t.Feed++; t.first < 0 {
				t.first = i
			}
		case plan.Watch:
			t.Watch++
		case plan.NoFeed:
			t.Leave++
		case plan.Dead:
			t.Clear++
		}
	}
	return t
}

// With lists the colonies of a plan that have a verdict, in their order.
func With(pl *plan.Plan, v plan.Verdict) []*plan.ColonyPlan {
	var out []*plan.ColonyPlan
	for i := range pl.Colonies {
		if pl.Colonies[i].Verdict == v {
			out = append(out, &pl.Colonies[i])
		}
	}
	return out
}

// Way names the way to give the feed of a colony, and tells whether equipment
// for it is still to be got.
func Way(c *plan.ColonyPlan) (way string, toGet bool) {
	way = Feeder(c.Choice.Feeder)
	if way == "" && c.SolidKg > 0 {
		return "solid, over the cluster", false
	}
	return way, way != "" && !c.Choice.OnHand
}

// WatchFor is what settles the case of a colony to watch.
func WatchFor(c *plan.ColonyPlan, u Style) string {
	var out []string
	if c.Confidence.WeighFirst {
		out = append(out, "Weigh it.")
	}
	switch {
	case c.Confidence.NeedGrossKg > 0:
		out = append(out, fmt.Sprintf("Feed if the whole hive weighs under %s.", u.Mass(c.Confidence.NeedGrossKg)))
	case c.Confidence.NeedStoresKg > 0:
		out = append(out, fmt.Sprintf("Feed if it holds under %s of stores.", u.Mass(c.Confidence.NeedStoresKg)))
	}
	if len(out) == 0 {
		return Sentence(u.Note(c.Confidence.Note))
	}
	return strings.Join(out, " ")
}

// DeadOf names the dead colonies of a yard.
func DeadOf(pl *plan.Plan, y plan.YardPlan) []string {
	var out []string
	seen := map[string]bool{}
	add := func(name string) {
		if name = Clean(name); !seen[name] {
			seen[name] = true
			out = append(out, name)
		}
	}
	for _, d := range y.Dead {
		add(d)
	}
	for _, c := range With(pl, plan.Dead) {
		if c.Yard == y.Name {
			add(c.Colony)
		}
	}
	return out
}

// ShortRange is the middle 80 % of a range of dates on two lines.
func (u Style) ShortRange(r plan.DateRange) string {
	if r.P10.IsZero() || r.P90.IsZero() {
		return ""
	}
	return u.ShortDay(r.P10) + " -\n" + u.ShortDay(r.P90)
}

// Round is a visit and the yard it goes to.
type Round struct {
	Yard string
	plan.Visit
}

// Rounds lists the visits of all yards by date.
func Rounds(pl *plan.Plan) []Round {
	var out []Round
	for _, y := range pl.Yards {
		for _, v := range y.Visits {
			out = append(out, Round{y.Name, v})
		}
	}
	slices.SortStableFunc(out, func(a, b Round) int { return a.Date.Compare(b.Date) })
	return out
}

// Tasks writes the tasks of a visit, the colonies of equal tasks together:
// "3.0 L of syrup: B1, B7".
func Tasks(v plan.Visit, u Style) []string {
	var whats []string
	who := map[string][]string{}
	for _, t := range v.Tasks {
		what := Clean(u.Note(t.What))
		if _, ok := who[what]; !ok {
			whats = append(whats, what)
			who[what] = nil
		}
		if t.Colony != "" {
			who[what] = append(who[what], Clean(t.Colony))
		}
	}
	if len(whats) == 0 {
		return []string{u.Note(plan.Look{})}
	}
	for i, what := range whats {
		if names := who[what]; len(names) > 0 {
			whats[i] = what + ": " + strings.Join(names, ", ")
		}
	}
	return whats
}

// UnitHeading is the unit as it ends a heading: kg, lb, l, us_gal.
func (u Style) UnitHeading(metric string) string {
	return strings.ReplaceAll(strings.ToLower(u.Name(metric)), " ", "_")
}

// About tells what the plan was reckoned from, in sentences.
func About(pl *plan.Plan, u Style) []string {
	var out []string
	if pl.Invented {
		out = append(out, "Invented example: no real hive and no real weather.")
	}
	out = append(out, fmt.Sprintf("Feeding plan for %s: %s, seed %d.", u.LongDay(pl.Today), Count(pl.Members, "possible spring at each yard", "possible springs at each yard"), pl.Seed))
	s := fmt.Sprintf("Accepted risk of starving before nectar: %s %%.", strings.TrimSuffix(Decimal(pl.AcceptPct), ".0"))
	if pl.Season != nil && pl.Season.Settings.ReserveKg > 0 {
		s += fmt.Sprintf(" Reserve held: %s.", u.Mass(pl.Season.Settings.ReserveKg))
	}
	out = append(out, s)
	out = append(out, "p10, p50 and p90: one spring in ten lies under p10, half under p50, nine in ten under p90.")
	return out
}
