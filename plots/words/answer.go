package words

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/syrup"
)

// Answer is what to do with one colony, in sentences: the short answer first.
// The terminal and the page show the same sentences.
type Answer struct {
	Yard, Colony string
	Verdict      plan.Verdict
	Headline     string   // verdict and by when
	Do           []string // how much of what, in what, how often; the risk without and with
	Fills        []FillLine
	Why          []string
	Protein      []string // empty when not considered
	Sure         []string
	Warnings     []string
}

// HasLateFills tells that some fills are given only if nectar has not come.
func (a Answer) HasLateFills() bool {
	return slices.ContainsFunc(a.Fills, func(f FillLine) bool { return f.Note != "" })
}

// FillLine is one fill in words.
type FillLine struct {
	When, Syrup, Sugar, Solid string
	Note                      string // when it is given only if nectar has not come
}

// AnswerFor puts the plan of one colony into sentences.
func AnswerFor(pl *plan.Plan, c *plan.ColonyPlan, u Style) Answer {
	a := Answer{Yard: Clean(c.Yard), Colony: Clean(c.Colony), Verdict: c.Verdict}
	next := NextVisit(pl, c.Yard)
	switch c.Verdict {
	case plan.Feed:
		a.Headline = "Feed."
		switch {
		case c.TooLate:
			a.Headline = "Feed, and go sooner than the next visit."
			if !c.StartBy.IsZero() {
				a.Headline = fmt.Sprintf("Feed by %s: go sooner than the next visit.", u.Day(c.StartBy))
			}
		case !c.StartBy.IsZero():
			a.Headline = fmt.Sprintf("Feed. Start on the visit of %s at the latest.", u.Day(c.StartBy))
		}
	case plan.Watch:
		a.Headline = "Watch. No feed yet; look or weigh again at the next visit."
		if !next.IsZero() {
			a.Headline = fmt.Sprintf("Watch. No feed yet; look or weigh again on %s.", u.Day(next))
		}
	case plan.NoFeed:
		a.Headline = "No feed needed."
	case plan.Dead:
		a.Headline = "Dead. Close it and clear it away."
		a.Why = sentences(u.Text(c.Reason))
		a.Warnings = cleaned(u.Notes(c.Warnings))
		return a
	}
	a.Do = doLines(c, u)
	a.Fills = fillLines(c, u)
	a.Why = whyLines(pl, c, u)
	a.Protein = proteinLines(c, u)
	a.Sure = sureLines(c, u)
	a.Warnings = cleaned(u.Notes(c.Warnings))
	return a
}

// NextVisit is the first visit of a yard from the day of the plan on; the zero
// time when there is none.
func NextVisit(pl *plan.Plan, yard string) time.Time {
	for _, y := range pl.Yards {
		if y.Name != yard {
			continue
		}
		for _, v := range y.Visits {
			if !v.Date.Before(pl.Today) {
				return v.Date
			}
		}
	}
	return time.Time{}
}

func doLines(c *plan.ColonyPlan, u Style) []string {
	var out []string
	if c.SyrupL > 0 {
		water := c.SyrupL * c.Strength.WaterLPerL()
		out = append(out, fmt.Sprintf("Give %s of %s syrup: %s of sugar in %s of water.", u.Volume(c.SyrupL), Strength(c.Strength), u.Mass(c.SyrupSugarKg), u.Volume(water)))
	}
	if c.SolidKg > 0 {
		out = append(out, fmt.Sprintf("Give %s of sugar solid, over the cluster, while it is too cold for syrup.", u.Mass(c.SolidKg)))
	}
	if c.Wrap {
		out = append(out, "Wrap it on the first visit: a bare hive eats more.")
	}
	if c.Choice.Feeder != plan.NoFeeder {
		s := fmt.Sprintf("Way: %s.", Feeder(c.Choice.Feeder))
		if !c.Choice.OnHand {
			s = fmt.Sprintf("Way: %s (equipment not on hand).", Feeder(c.Choice.Feeder))
		}
		if f := u.Fills(c.Feedings); f != "" {
			s += " Fills: " + f + every(c.Feedings) + "."
		}
		out = append(out, s)
		if c.Choice.Reason != nil {
			out = append(out, Sentence(u.Note(c.Choice.Reason)))
		}
		if mind := Mind(c.Choice.Feeder); mind != "" {
			out = append(out, "Mind: "+stop(mind))
		}
		if c.Choice.RunnerUp != plan.NoFeeder {
			s := "Next best: " + Feeder(c.Choice.RunnerUp)
			if c.Choice.Against != nil {
				s += ", but " + Clean(u.Note(c.Choice.Against))
			}
			out = append(out, stop(s))
		}
	} else if f := u.Fills(c.Feedings); f != "" {
		out = append(out, "Fills: "+f+every(c.Feedings)+".")
	}
	risk := fmt.Sprintf("Risk of starving before nectar: %s left alone", Risk(c.Risk))
	if len(c.Feedings) > 0 {
		risk += fmt.Sprintf(", %s with this feeding", Risk(c.RiskFed))
	}
	out = append(out, risk+".")
	if len(c.Feedings) > 0 && !math.IsNaN(c.ReserveFrac) {
		out = append(out, fmt.Sprintf("The reserve is held in %s of springs.", Share(c.ReserveFrac)))
	}
	return out
}

// every tells the days between fills, when they are even enough to say.
func every(fills []plan.Feeding) string {
	least, most := math.Inf(1), 0.0
	for i := 1; i < len(fills); i++ {
		d := fills[i].Date.Sub(fills[i-1].Date).Hours() / 24
		if d == 0 { // two kinds of feed on one visit
			continue
		}
		least, most = math.Min(least, d), math.Max(most, d)
	}
	switch {
	case most == 0:
		return ""
	case least == most:
		return fmt.Sprintf(", every %.0f days", most)
	}
	return fmt.Sprintf(", every %.0f to %.0f days", least, most)
}

func fillLines(c *plan.ColonyPlan, u Style) []FillLine {
	var out []FillLine
	for _, f := range c.Feedings {
		l := FillLine{When: u.Day(f.Date)}
		if f.SyrupL > 0 {
			l.Syrup, l.Sugar = u.Volume(f.SyrupL), u.Mass(f.SugarKg)
		}
		if f.SolidKg > 0 {
			l.Solid = u.Mass(f.SolidKg)
		}
		if f.OnlyIfNoNectar {
			l.Note = fmt.Sprintf("only if nectar has not come (%s of springs)", Share(f.NeededFrac))
		}
		out = append(out, l)
	}
	return out
}

func whyLines(pl *plan.Plan, c *plan.ColonyPlan, u Style) []string {
	out := sentences(u.Text(c.Reason))
	out = append(out,
		fmt.Sprintf("Stores on %s: %s. Bees: %s.", u.Day(c.SeenOn), u.MassRange(c.StoresKg), Bees(c.Bees)),
		fmt.Sprintf("First dependable bloom: %s. Nectar in the hive: %s.", u.Days(c.Bloom), u.Days(c.Nectar)))
	if !c.ReserveDate.IsZero() {
		out = append(out, fmt.Sprintf("Left alone, its stores pass the reserve about %s.", u.Day(c.ReserveDate)))
	}
	if !c.StarveDate.IsZero() {
		out = append(out, fmt.Sprintf("Left alone, it has starved by %s in %s of springs.", u.Day(c.StarveDate), Share(pl.AcceptPct/100)))
	}
	out = append(out, fmt.Sprintf("Days without flight until nectar: %s; the longest run of them: %s.", CountRange(c.NonFlying), CountRange(c.ColdSpell)))
	return out
}

func proteinLines(c *plan.ColonyPlan, u Style) []string {
	p := c.Supplement
	if !p.Considered {
		return nil
	}
	out := sentences(u.Text(p.Advice))
	if !p.From.IsZero() {
		out = append(out, fmt.Sprintf("Compared from %s: risk %s with supplement and no feed, %s with supplement, this feeding and the extra syrup.", u.Day(p.From), Risk(p.Risk), Risk(p.RiskFed)))
	}
	out = append(out,
		fmt.Sprintf("Bees at bloom: %s without, %s with it.", Bees(c.BloomBees), Bees(p.BloomBees)))
	if p.WantedBees.P50 > 0 {
		out = append(out, fmt.Sprintf("Bees on the day wanted: %s without, %s with it.", Bees(p.BareWanted), Bees(p.WantedBees)))
	}
	cost := u.Volume(p.ExtraSyrupL)
	if p.ExtraSyrupL < LittleSyrupL {
		cost = "hardly any"
	}
	out = append(out, fmt.Sprintf("It costs %s more syrup; about %s of supplement is eaten.", cost, u.Mass(p.SupplementKg)))
	if !p.Emerge.IsZero() && !p.Forage.IsZero() {
		out = append(out, fmt.Sprintf("Of the bees of its first week, half have emerged by %s and half are in the field by %s.", u.Day(p.Emerge), u.Day(p.Forage)))
	}
	if !p.WindowFrom.IsZero() && !p.WindowTo.IsZero() {
		out = append(out, fmt.Sprintf("For the day wanted, put it on from %s to %s.", u.Day(p.WindowFrom), u.Day(p.WindowTo)))
	}
	return out
}

func sureLines(c *plan.ColonyPlan, u Style) []string {
	s := c.Confidence
	out := sentences(u.Note(s.Note))
	if len(out) == 0 { // the words say the same when there are any
		if s.WeighFirst {
			out = append(out, "Weigh it first: that may change the answer.")
		}
		if s.NeedStoresKg > 0 {
			line := fmt.Sprintf("It needs no feed if it held more than %s on %s", u.Mass(s.NeedStoresKg), u.Day(c.SeenOn))
			if s.NeedGrossKg > 0 {
				line += fmt.Sprintf(": above %s on a scale under the whole hive", u.Mass(s.NeedGrossKg))
			}
			out = append(out, line+".")
		}
	}
	if !math.IsNaN(s.RiskIfLightFrac) && !math.IsNaN(s.RiskIfHeavyFrac) {
		out = append(out, fmt.Sprintf("If it is as light as it may be, the risk is %s; if as heavy, %s.", Share(s.RiskIfLightFrac), Share(s.RiskIfHeavyFrac)))
	}
	return out
}

// sentences is a text as a list of one, ended by a full stop; none when empty.
func sentences(s string) []string {
	if s = Sentence(s); s == "" {
		return nil
	}
	return []string{s}
}

func cleaned(texts []string) []string {
	var out []string
	for _, t := range texts {
		out = append(out, sentences(t)...)
	}
	return out
}

// ShoppingLine is the order in one sentence.
func ShoppingLine(o plan.Order, u Style) string {
	if o.Colonies == 0 {
		return "Nothing to buy: no colony needs feed."
	}
	var parts []string
	if o.SugarKg.P90 > 0 {
		s := u.Mass(o.SugarKg.P90) + " of sugar"
		if o.BagKg > 0 {
			s += fmt.Sprintf(" (%s)", u.Bags(o.SugarBags.P90, o.BagKg))
		}
		parts = append(parts, s)
	}
	if o.SupplementKg.P90 > 0 {
		parts = append(parts, u.Mass(o.SupplementKg.P90)+" of protein supplement")
	}
	if len(parts) == 0 {
		return fmt.Sprintf("%s to feed; no sugar to buy.", Title(Count(o.Colonies, "colony", "colonies")))
	}
	return fmt.Sprintf("For %s, buy %s: enough in 9 springs of 10.", Count(o.Colonies, "colony", "colonies"), strings.Join(parts, " and "))
}

// OrderLine is one line of the order.
type OrderLine struct{ What, P50, P90 string }

// OrderLines is the order as a table: what, at the median and at 90 % of
// springs. Lines with nothing to buy are left out.
func OrderLines(o plan.Order, u Style) []OrderLine {
	var out []OrderLine
	add := func(what string, a plan.Amount, write func(float64) string) {
		if a.P90 > 0 || a.P50 > 0 {
			out = append(out, OrderLine{what, write(a.P50), write(a.P90)})
		}
	}
	add("sugar in all", o.SugarKg, u.Mass)
	if o.BagKg > 0 {
		add("in whole bags", o.SugarBags, func(n float64) string { return u.Bags(n, o.BagKg) })
	}
	add("of it for syrup", o.SyrupSugarKg, u.Mass)
	add("of it given solid", o.SolidKg, u.Mass)
	add("water", o.WaterL, u.Volume)
	add("makes syrup", o.SyrupL, u.Volume)
	add("protein supplement", o.SupplementKg, u.Mass)
	return out
}

// Strength is the name of a strength, "" when none was chosen.
func Strength(s syrup.Strength) string {
	if s.IsZero() {
		return ""
	}
	return Clean(s.String())
}
