package words

import (
	"bloomgap/feed"
	"fmt"
	"slices"
	"strings"
)

// Invented mark the example.
const Invented = "INVENTED EXAMPLE: no real hive and no real weather."

// Summary is the plan in a few sentences: how many of how many, the first to
// go to, what to buy.
func Summary(plan *feed.Plan, u Style) string {
	n := Counts(plan)
	s := fmt.Sprintf("%s in %s: %d to feed, %d to watch, %d to leave alone, %d dead.",
		Title(Count(n.All, "colony", "colonies")), Count(len(plan.Yards), "yard", "yards"), n.Feed, n.Watch, n.Leave, n.Clear)
	if n.Feed > 0 {
		c := plan.Colonies[n.first]
		s += fmt.Sprintf(" Most pressing: %s, %s", Clean(c.Yard), Clean(c.Colony))
		if !c.StartBy.IsZero() {
			s += ", by " + u.Day(c.StartBy)
		}
		s += "."
	}
	return s + " " + ShoppingLine(plan.Order, u)
}

// Tally is a number of colonies by verdict.
type Tally struct {
	All, Feed, Watch, Leave, Clear int
	first                          int // index of the first to feed
}

// Counts counts the colonies of a plan by verdict.
func Counts(plan *feed.Plan) Tally {
	t := Tally{first: -1}
	for i, c := range plan.Colonies {
		t.All++
		switch c.Verdict {
		case feed.Feed:
			if t.Feed++; t.first < 0 {
				t.first = i
			}
		case feed.Watch:
			t.Watch++
		case feed.Leave:
			t.Leave++
		case feed.Clear:
			t.Clear++
		}
	}
	return t
}

// With lists the colonies of a plan that have a verdict, in their order.
func With(plan *feed.Plan, v feed.Verdict) []*feed.ColonyPlan {
	var out []*feed.ColonyPlan
	for i := range plan.Colonies {
		if plan.Colonies[i].Verdict == v {
			out = append(out, &plan.Colonies[i])
		}
	}
	return out
}

// Way names the way to give the feed of a colony, and tells whether equipment
// for it is still to be got.
func Way(c *feed.ColonyPlan) (way string, toGet bool) {
	way = Clean(c.Choice.Way)
	if way == "" && c.SolidKg > 0 {
		return "solid, over the cluster", false
	}
	return way, way != "" && !c.Choice.OnHand
}

// WatchFor is what settles the case of a colony to watch.
func WatchFor(c *feed.ColonyPlan, u Style) string {
	var out []string
	if c.Surety.WeighFirst {
		out = append(out, "Weigh it.")
	}
	switch {
	case c.Surety.NeedGrossKg > 0:
		out = append(out, fmt.Sprintf("Feed if the whole hive weighs under %s.", u.Mass(c.Surety.NeedGrossKg)))
	case c.Surety.NeedStoresKg > 0:
		out = append(out, fmt.Sprintf("Feed if it holds under %s of stores.", u.Mass(c.Surety.NeedStoresKg)))
	}
	if len(out) == 0 {
		return Sentence(c.Surety.Words)
	}
	return strings.Join(out, " ")
}

// DeadOf names the dead colonies of a yard.
func DeadOf(plan *feed.Plan, y feed.YardPlan) []string {
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
	for _, c := range With(plan, feed.Clear) {
		if c.Yard == y.Name {
			add(c.Colony)
		}
	}
	return out
}

// ShortRange is the middle 80 % of a range of dates on two lines.
func (u Style) ShortRange(r feed.DateRange) string {
	if r.P10.IsZero() || r.P90.IsZero() {
		return ""
	}
	return u.ShortDay(r.P10) + " -\n" + u.ShortDay(r.P90)
}

// Round is a visit and the yard it goes to.
type Round struct {
	Yard string
	feed.Visit
}

// Rounds lists the visits of all yards by date.
func Rounds(plan *feed.Plan) []Round {
	var out []Round
	for _, y := range plan.Yards {
		for _, v := range y.Visits {
			out = append(out, Round{y.Name, v})
		}
	}
	slices.SortStableFunc(out, func(a, b Round) int { return a.Date.Compare(b.Date) })
	return out
}

// Tasks writes the tasks of a visit, the colonies of equal tasks together:
// "3.0 L of syrup: B1, B7".
func Tasks(v feed.Visit) []string {
	var whats []string
	who := map[string][]string{}
	for _, t := range v.Tasks {
		what := Clean(t.What)
		if _, ok := who[what]; !ok {
			whats = append(whats, what)
			who[what] = nil
		}
		if t.Colony != "" {
			who[what] = append(who[what], Clean(t.Colony))
		}
	}
	if len(whats) == 0 {
		return []string{"look and heft"}
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
func About(plan *feed.Plan, u Style) []string {
	var out []string
	if plan.Invented {
		out = append(out, "Invented example: no real hive and no real weather.")
	}
	out = append(out, fmt.Sprintf("Feeding plan for %s: %s, seed %d.", u.LongDay(plan.Today), Count(plan.Members, "possible spring at each yard", "possible springs at each yard"), plan.Seed))
	s := fmt.Sprintf("Accepted risk of starving before nectar: %s %%.", strings.TrimSuffix(Decimal(plan.AcceptPct), ".0"))
	if plan.Season != nil && plan.Season.Settings.ReserveKg > 0 {
		s += fmt.Sprintf(" Reserve held: %s.", u.Mass(plan.Season.Settings.ReserveKg))
	}
	out = append(out, s)
	out = append(out, "p10, p50 and p90: one spring in ten lies under p10, half under p50, nine in ten under p90.")
	return out
}
