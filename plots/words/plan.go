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
	s := fmt.Sprintf("%s in %s: %d to feed, %d to watch, %d no feed, %d dead.",
		Title(Count(n.All, "colony", "colonies")), Count(len(pl.Yards), "yard", "yards"), n.Feed, n.Watch, n.Leave, n.Clear)
	if n.Feed > 0 {
		c := pl.Colonies[n.first]
		s += fmt.Sprintf(" Most urgent: %s, %s", Clean(c.Yard), Called(&c))
		if !c.StartBy.IsZero() {
			s += ", by " + u.Day(c.StartBy)
		}
		s += "."
	}
	if risk := RiskLine(pl, u); risk != "" {
		s += " " + risk
	}
	s += " " + ShoppingLine(pl.Order, u)
	if by := OrderByLine(pl, u); by != "" {
		s += " " + by
	}
	return s
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
		k := c.Stands()
		t.All += k
		switch c.Verdict {
		case plan.Feed:
			if t.Feed += k; t.first < 0 {
				t.first = i
			}
		case plan.Watch:
			t.Watch += k
		case plan.NoFeed:
			t.Leave += k
		case plan.Dead:
			t.Clear += k
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

// ShortRange is 8 in 10 springs of a range of dates, on two lines.
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
// "3 L of syrup: B1, B7".
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
			who[what] = append(who[what], CalledTask(&t))
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

// MadeFrom says what the plan was made from, in sentences.
func MadeFrom(pl *plan.Plan, u Style) []string {
	var out []string
	if pl.Invented {
		out = append(out, Title(strings.ToLower(Invented)))
	}
	out = append(out, fmt.Sprintf("Feeding plan for %s: %s, random seed %d.", u.LongDay(pl.Today), Count(pl.Members, "simulated spring at each yard",
		"simulated springs at each yard"), pl.Seed))
	s := fmt.Sprintf("Accepted risk of starving before nectar: %s %%.", short(pl.AcceptPct))
	if pl.Season != nil && pl.Season.Settings.ReserveKg > 0 {
		s += fmt.Sprintf(" Reserve held: %s.", u.Mass(pl.Season.Settings.ReserveKg))
	}
	out = append(out, s)
	out = append(out, "p10, p50 and p90: 1 in 10 springs is below p10, half are below p50, 9 in 10 are below p90.")
	return out
}
