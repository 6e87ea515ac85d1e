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

// Answer is what to do with one colony: the short answer, in no more than eight
// lines with its headline, and what stands behind it. The terminal and the page
// show the same sentences.
type Answer struct {
	Yard, Colony string
	Verdict      plan.Verdict
	Headline     string   // verdict, amount and date
	Do           []string // syrup, feeder and visits, risk, the one reason, weigh or not
	Place, Next  string   // where the springs come from; the next visit
	Feedings     []FeedingLine
	Feeder       []string // why this feeder, what to mind with it, the next best
	Why          []string
	Supplement   []string // empty when not considered
	Sure         []string
	Warnings     []string
}

// HasLate says whether some feedings are given only to a hive that is low.
func (a Answer) HasLate() bool {
	return slices.ContainsFunc(a.Feedings, func(f FeedingLine) bool { return f.Note != "" })
}

// Short is the short answer, its headline first.
func (a Answer) Short() []string {
	out := append([]string{a.Headline}, a.Do...)
	for _, line := range []string{a.Place, a.Next} {
		if line != "" {
			out = append(out, line)
		}
	}
	return out
}

// FeedingLine is one feeding in words.
type FeedingLine struct {
	When, Syrup, Sugar, Solid string
	Note                      string // when it is given only to a hive that is low
}

// AnswerFor puts the plan of one colony into words.
func AnswerFor(pl *plan.Plan, c *plan.ColonyPlan, u Style) Answer {
	a := Answer{Yard: Clean(c.Yard), Colony: Called(c), Verdict: c.Verdict, Headline: asGuess(c, u.headline(pl, c)), Warnings: u.Sentences(c.Warnings)}
	if c.Verdict == plan.Dead {
		a.Why = u.Sentences(c.Reason)
		return a
	}
	a.Do = u.doLines(c)
	a.Place, a.Next = u.placeLine(pl, c), u.nextLine(pl, c)
	a.Feedings = u.feedingLines(c)
	a.Feeder = u.feederLines(c)
	a.Why = u.whyLines(c)
	a.Supplement = u.supplementLines(c)
	a.Sure = u.sureLines(c)
	return a
}

// NextVisit is the first visit of a yard from the day of the plan on; the zero
// time when there is none.
func NextVisit(pl *plan.Plan, yard string) time.Time {
	for i := range pl.Yards {
		if pl.Yards[i].Name != yard {
			continue
		}
		if v := nextVisit(pl, &pl.Yards[i]); v != nil {
			return v.Date
		}
	}
	return time.Time{}
}

func nextVisit(pl *plan.Plan, y *plan.YardPlan) *plan.Visit {
	for i := range y.Visits {
		if !y.Visits[i].Date.Before(pl.Today) {
			return &y.Visits[i]
		}
	}
	return nil
}

// asGuess puts first that nothing is known of a colony but its place and boxes, and
// what to look at: the food, which decides most, and the bees.
func asGuess(c *plan.ColonyPlan, headline string) string {
	has := func(code plan.Code) bool {
		return slices.ContainsFunc(c.Warnings, func(n plan.Note) bool { return n.Code() == code })
	}
	if c.Verdict == plan.Dead || !has(plan.FoodNotKnown{}.Code()) || !has(plan.SeamsNotSeen{}.Code()) {
		return headline
	}
	return "Not enough is known: heft it first, and count the seams of bees. A guess until then: " + strings.ToLower(headline[:1]) + headline[1:]
}

// headline is the verdict with amount and date.
func (u Style) headline(pl *plan.Plan, c *plan.ColonyPlan) string {
	next := NextVisit(pl, c.Yard)
	switch c.Verdict {
	case plan.Feed:
		what := u.first(c)
		switch {
		case c.TooLate && c.StartBy.IsZero():
			return fmt.Sprintf("Feed %s, and go sooner than the next visit.", what)
		case c.TooLate && c.StartBy.Equal(next) && !next.After(pl.Today):
			return fmt.Sprintf("Feed %s at once.", what)
		case c.TooLate && c.StartBy.Equal(next):
			return fmt.Sprintf("Feed %s before the next visit, %s.", what, u.Day(next))
		case c.TooLate:
			return fmt.Sprintf("Feed %s by %s, sooner than the next visit.", what, u.Day(c.StartBy))
		case c.StartBy.IsZero():
			return fmt.Sprintf("Feed %s.", what)
		}
		return fmt.Sprintf("Feed %s, starting by %s.", what, u.Day(c.StartBy))
	case plan.Watch:
		if next.IsZero() {
			return "Watch. No feed yet; look or weigh again at the next visit."
		}
		return fmt.Sprintf("Watch. No feed yet; look or weigh again on %s.", u.Day(next))
	case plan.Dead:
		return "Dead. Close it, inspect it, then clear it away."
	}
	return "No feed needed."
}

// first is what goes on at the first feeding of a colony.
func (u Style) first(c *plan.ColonyPlan) string {
	if len(c.Feedings) == 0 {
		return "as below"
	}
	f := c.Feedings[0]
	what := u.Amounts(&plan.ColonyPlan{SyrupL: f.SyrupL, SolidKg: f.SolidKg, Strength: c.Strength}) + each(c)
	if f.UnderKg > 0 {
		what += " if it hefts low"
	} else if f.OnlyIfLow {
		what += " if no nectar has come"
	}
	return what
}

// Amounts is what a colony is given in all: "6 L of 3:2 syrup and 2.5 kg of solid
// sugar"; "" for nothing.
func (u Style) Amounts(c *plan.ColonyPlan) string {
	var parts []string
	if c.SyrupL > 0 {
		parts = append(parts, strings.Join(strings.Fields(u.Volume(c.SyrupL)+" of "+Strength(c.Strength)+" syrup"), " "))
	}
	if c.SolidKg > 0 {
		parts = append(parts, u.Mass(c.SolidKg)+" of solid sugar")
	}
	return strings.Join(parts, " and ")
}

func (u Style) doLines(c *plan.ColonyPlan) []string {
	var out []string
	for _, f := range c.Feedings {
		if f.SyrupL > 0 {
			out = append(out, fmt.Sprintf("Syrup: %s of sugar in %s of water make %s.", u.Mass(f.SugarKg), u.Volume(f.WaterL), u.Volume(f.SyrupL)))
			break
		}
	}
	if len(c.Feedings) > 0 {
		name, toGet := FeederOf(c)
		if name == "" {
			name = "none chosen"
		}
		if toGet {
			name += " (to get)"
		}
		again := ""
		if looksAgain(c.Feedings) {
			again = ". Look again at each visit and feed only a hive under that day's line"
		}
		out = append(out, fmt.Sprintf("Feeder: %s%s%s.", name, again, u.onAverage(c)))
	}
	risk := fmt.Sprintf("Risk of starving before nectar: %s left alone", Risk(c.Risk))
	if len(c.Feedings) > 0 {
		risk += fmt.Sprintf("; fed as planned: %s", Risk(c.RiskFed))
	}
	out = append(out, risk+"."+besideHunger(c))
	if why := u.oneReason(c); why != "" {
		out = append(out, "Why: "+stop(why))
	}
	if sure := Sentence(u.Short(c.Confidence.Note)); sure != "" {
		out = append(out, sure)
	}
	return out
}

// leastDwindleFrac is the risk of dwindling that is told beside that of starving, 0.02-0.1, own
// judgement: the risk that is accepted of a colony.
const leastDwindleFrac = 0.05

// besideHunger says how likely a small cluster dwindles, which no feed helps; "" where
// that is unlikely or the cluster is not small.
func besideHunger(c *plan.ColonyPlan) string {
	for _, n := range c.Warnings {
		if x, ok := n.(plan.ColdCluster); ok && x.Dwindles.Frac >= leastDwindleFrac {
			return fmt.Sprintf(" Not counted in it: cold. Fed or not, it shrinks under %s bees in %s of springs.", hundreds(x.UnderBees), Risk(x.Dwindles))
		}
	}
	return ""
}

// looksAgain tells whether later feedings are given only to a hive that is low.
func looksAgain(list []plan.Feeding) bool {
	return slices.ContainsFunc(list[min(1, len(list)):], func(f plan.Feeding) bool { return f.UnderKg > 0 })
}

// onAverage is what feeding by the lines comes to.
func (u Style) onAverage(c *plan.ColonyPlan) string {
	if c.Policy.Feedings <= 0 {
		return ""
	}
	sugarKg := c.SyrupSugarKg + c.SolidKg
	s := fmt.Sprintf(": on average %.1f feedings and %s of sugar in all", c.Policy.Feedings, u.Mass(sugarKg))
	if c.Tally != nil {
		s += fmt.Sprintf(" for each, %s for all %d", u.Mass(sugarKg*float64(c.Tally.Colonies)), c.Tally.Colonies)
	}
	return s
}

// oneReason is the first reasons of a colony on one line.
func (u Style) oneReason(c *plan.ColonyPlan) string {
	var parts []string
	for _, n := range c.Reason {
		switch n.(type) {
		case plan.Starves, plan.Holds: // the line of the risk says so
		default:
			parts = append(parts, u.Short(n))
		}
	}
	if len(parts) > 2 {
		parts = parts[:2]
	}
	return strings.Join(parts, "; ")
}

// placeLine is where the springs of a colony's yard come from.
func (u Style) placeLine(pl *plan.Plan, c *plan.ColonyPlan) string {
	for _, y := range pl.Yards {
		if y.Name == c.Yard {
			if s := Springs(y.Weather); s != "" {
				return "Weather: " + s + u.away(y.Weather) + "."
			}
		}
	}
	return ""
}

// nextLine is what the next visit is for, as far as a colony goes.
func (u Style) nextLine(pl *plan.Plan, c *plan.ColonyPlan) string {
	for i := range pl.Yards {
		y := &pl.Yards[i]
		if y.Name != c.Yard {
			continue
		}
		v := nextVisit(pl, y)
		if v == nil {
			return ""
		}
		var what []string
		for _, t := range v.Tasks {
			if t.Colony == c.Colony || t.Colony == "" {
				what = append(what, u.Short(t.What))
			}
		}
		if len(what) == 0 {
			what = []string{u.Short(plan.Look{})}
		}
		return fmt.Sprintf("Next visit, %s: %s.", u.Day(v.Date), strings.Join(what, "; "))
	}
	return ""
}

func (u Style) feedingLines(c *plan.ColonyPlan) []FeedingLine {
	var out []FeedingLine
	solid, syrup := false, false // given before
	for _, f := range c.Feedings {
		l := FeedingLine{When: u.Day(f.Date)}
		if f.SyrupL > 0 {
			l.Syrup, l.Sugar = u.Volume(f.SyrupL), u.Mass(f.SugarKg)
		}
		if f.SolidKg > 0 {
			l.Solid = u.Mass(f.SolidKg)
		}
		if f.UnderKg > 0 {
			l.Note = fmt.Sprintf("only if %s%s: %s of springs", u.Under(f.UnderKg, f.UnderGrossKg, f.UnderHeft), roomFor(&f, solid, syrup), Share(f.NeededFrac))
		} else if f.OnlyIfLow {
			l.Note = fmt.Sprintf("only if no nectar has come: %s of springs", Share(f.NeededFrac))
		}
		solid, syrup = solid || f.SolidKg > 0, syrup || f.SyrupL > 0
		out = append(out, l)
	}
	return out
}

// roomFor says what must be gone of an earlier feed before the next of its kind is given;
// "" where there was none.
func roomFor(f *plan.Feeding, solid, syrup bool) string {
	switch {
	case f.SyrupL > 0 && syrup:
		return " and the feeder is half empty"
	case f.SolidKg > 0 && solid:
		return " and what lies over the cluster is half gone"
	}
	return ""
}

func (u Style) feederLines(c *plan.ColonyPlan) []string {
	if c.Choice.Feeder == plan.NoFeeder {
		return nil
	}
	var out []string
	add := func(lead, text string) {
		if text != "" {
			out = append(out, lead+stop(text))
		}
	}
	add(Title(Feeder(c.Choice.Feeder))+": ", u.Note(c.Choice.Reason))
	add("Mind: ", Mind(c.Choice.Feeder))
	if c.Choice.RunnerUp != plan.NoFeeder {
		next := Feeder(c.Choice.RunnerUp)
		if against := u.Note(c.Choice.Against); against != "" {
			next += ", but " + against
		}
		add("Next best: ", next)
	}
	return out
}

func (u Style) whyLines(c *plan.ColonyPlan) []string {
	out := u.Sentences(c.Reason)
	out = append(out, fmt.Sprintf("Bees on %s: %s.", u.ShortDay(c.SeenOn), Bees(c.Bees)),
		fmt.Sprintf("First dependable bloom: %s. Nectar in the hive: %s.", u.Days(c.Bloom), u.Days(c.Nectar)))
	if len(c.Feedings) > 0 && !math.IsNaN(c.ReserveFrac) {
		out = append(out, fmt.Sprintf("Fed as planned it holds the reserve in %s of springs.", Share(c.ReserveFrac)))
	}
	if !c.ReserveDate.IsZero() {
		out = append(out, fmt.Sprintf("Left alone, its stores fall below the reserve about %s.", u.ShortDay(c.ReserveDate)))
	}
	if line := u.unwrapLine(c); line != "" {
		out = append(out, line)
	}
	out = append(out, hungryLines(&c.Hungry)...)
	return append(out, fmt.Sprintf("Days without flight before nectar: %s; the longest run of them: %s.", CountRange(c.NonFlying), CountRange(c.ColdSpell)))
}

// hungryLines set the second reading of hunger beside the careful one.
func hungryLines(h *plan.Hungry) []string {
	if h.Members == 0 {
		return nil
	}
	out := []string{
		fmt.Sprintf(
			"The risk of starving is the careful number, for a colony that goes on rearing brood; the plan rests on it. A hungry colony rears less: left alone "+
				"it then starves in %s of the same springs, not %s.",
			Risk(h.Risk),
			Risk(h.Growing),
		),
	}
	if h.BloomBees.P50 > 0 && h.Risk.Frac < 1 {
		out[0] += fmt.Sprintf(" Where it survives, it has %s bees at bloom; with enough food it would have %s.", Bees(h.BloomBees), Bees(h.GrowingBees))
	}
	return out
}

func (u Style) supplementLines(c *plan.ColonyPlan) []string {
	p := c.Supplement
	if !p.Considered {
		return nil
	}
	out := u.Sentences(p.Advice)
	if !p.From.IsZero() {
		out = append(out, fmt.Sprintf("Put on from %s, the risk is %s with no feed, and %s fed as planned with the extra syrup.", u.ShortDay(p.From),
			Risk(p.Risk), Risk(p.RiskFed)))
	}
	if p.WantedBees.P50 > 0 {
		out = append(out, fmt.Sprintf("Bees on the day wanted: %s without it, and %s more with it in the same spring.", Bees(p.BareWanted), Bees(p.GainBees)))
	} else { // the bees at bloom of a colony left alone are of the springs that it survives, those with it of all
		out = append(out, fmt.Sprintf("Bees at bloom: %s more with it than without in the same spring.", Bees(p.GainBees)))
	}
	eaten := fmt.Sprintf("they eat about %s of supplement.", u.Mass(p.SupplementKg))
	if !slices.ContainsFunc(p.Advice, func(n plan.Note) bool { return n.Code() == plan.SupplementEffect{}.Code() }) {
		eaten = fmt.Sprintf("it takes %s more syrup; ", u.extraSyrup(p.ExtraSyrupL)) + eaten
	}
	out = append(out, Sentence(eaten))
	if !p.WindowFrom.IsZero() && !p.WindowTo.IsZero() {
		out = append(out, fmt.Sprintf("For the day wanted, put it on from %s.", u.Between(p.WindowFrom, p.WindowTo)))
	}
	return out
}

func (u Style) sureLines(c *plan.ColonyPlan) []string {
	s := c.Confidence
	var out []string
	if s.Note != nil {
		out = append(out, Sentence(u.Note(s.Note)))
	}
	if _, said := s.Note.(plan.WeighIt); !said && !math.IsNaN(s.RiskIfLightFrac) && !math.IsNaN(s.RiskIfHeavyFrac) {
		out = append(out, fmt.Sprintf("If it is as light as it may be, the risk is %s; if as heavy, %s.", Share(s.RiskIfLightFrac), Share(s.RiskIfHeavyFrac)))
	}
	return out
}

// Strength is the ratio of a syrup, "" when none was chosen.
func Strength(s syrup.Strength) string {
	if s.IsZero() {
		return ""
	}
	return Clean(s.String())
}

// FeederOf names the feeder of a colony, and tells whether equipment for it is
// still to be got.
func FeederOf(c *plan.ColonyPlan) (name string, toGet bool) {
	name = Feeder(c.Choice.Feeder)
	if name == "" && c.SolidKg > 0 {
		return Feeder(plan.SolidOverCluster), false
	}
	return name, name != "" && !c.Choice.OnHand
}
