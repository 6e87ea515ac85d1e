package words

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// change renders what moved since an earlier plan, and why, as a phrase without a
// full stop.
func change(u Style, n plan.Note) (string, bool) {
	for _, render := range []func(Style, plan.Note) (string, bool){turnedOfColony, whyTurned} {
		if text, ok := render(u, n); ok {
			return text, true
		}
	}
	switch x := n.(type) {
	case plan.SettingFigure:
		return fmt.Sprintf("the setting %s is %s; it was %s", Clean(x.Setting), u.setting(x.Now, x.Unit), u.setting(x.Before, x.Unit)), true
	case plan.SettingWord:
		now, before := orNone(x.Now), orNone(x.Before)
		if x.Setting == "strength" {
			now, before = cmp.Or(Clean(x.Now), "left to the plan"), cmp.Or(Clean(x.Before), "left to the plan")
		}
		return fmt.Sprintf("the setting %s is %s; it was %s", Clean(x.Setting), now, before), true
	case plan.OtherDraws:
		text := "other springs were drawn, so small differences are chance"
		if x.BeforeMembers != x.NowMembers {
			text = fmt.Sprintf("%d springs were drawn, not %d, so small differences are chance", x.NowMembers, x.BeforeMembers)
		}
		return text, true
	case plan.YardNew:
		return "new yard: " + Clean(x.Yard), true
	case plan.YardGone:
		return "not planned this time: the yard " + Clean(x.Yard), true
	case plan.OrderMoved:
		text := "no sugar to buy"
		if x.NowMostKg > 0 {
			text = fmt.Sprintf("sugar to buy: %s to %s", u.Mass(x.NowKg), u.Mass(x.NowMostKg))
		}
		if x.GivenKg > 0 {
			text += fmt.Sprintf(", with %s given since", u.Mass(x.GivenKg))
		}
		return text + fmt.Sprintf("; it was %s to %s", u.Mass(x.BeforeKg), u.Mass(x.BeforeMostKg)), true
	}
	return "", false
}

// turnedOfColony is what is now different of a colony.
func turnedOfColony(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.ColonyNew:
		return "new in this plan: " + verdictWord(x.Verdict), true
	case plan.ColonyGone:
		return fmt.Sprintf("no longer in the table (before: %s); if it died, write alive = no", verdictWord(x.Verdict)), true
	case plan.ColonyMoved:
		return "moved here from " + Clean(x.FromYard), true
	case plan.VerdictTurned:
		return fmt.Sprintf("now %s; before: %s", verdictWord(x.Now), verdictWord(x.Before)), true
	case plan.SoonerNow:
		text := "the next visit is now too late: go sooner"
		if !x.StartBy.IsZero() {
			text += fmt.Sprintf(", by %s", u.ShortDay(x.StartBy))
		}
		return text, true
	case plan.NotSoonerNow:
		return "the next visit is early enough; before it was too late", true
	case plan.VisitTurned:
		return fmt.Sprintf("%s: %s; before: %s", u.ShortDay(x.On), u.lot(x.NowSyrupL, x.NowSolidKg, x.NowUnderKg), u.lot(x.BeforeSyrupL, x.BeforeSolidKg,
			x.BeforeUnderKg)), true
	case plan.StaysAtRisk:
		return fmt.Sprintf("fed as planned it now starves in %s of springs, more than is accepted", Share(x.NowFrac)), true
	case plan.FeederTurned:
		return fmt.Sprintf("feeder: %s; before: %s", orNone(Feeder(x.Now)), orNone(Feeder(x.Before))), true
	case plan.RiskMoved:
		return fmt.Sprintf("risk of starving with no more feed: %s; before: %s", Share(x.NowFrac), Share(x.BeforeFrac)), true
	}
	return "", false
}

// whyTurned is what is known now and was not.
func whyTurned(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.LookedSince:
		return u.lookedSince(x), true
	case plan.LookRewritten:
		if x.Gone {
			return fmt.Sprintf("the look of %s is no longer in the table", u.ShortDay(x.On)), true
		}
		return fmt.Sprintf("the look of %s is written otherwise than before", u.ShortDay(x.On)), true
	case plan.GivenSince:
		return "given since: " + u.givenSince(x), true
	case plan.TallyRecounted:
		return fmt.Sprintf("%d colonies, not %d", x.Now, x.Before), true
	case plan.GivenRewritten:
		return fmt.Sprintf("what was given on %s is written otherwise than before", u.ShortDay(x.On)), true
	case plan.DaysGone:
		return Count(x.Days, "day has gone by", "days have gone by") + " without another look", true
	case plan.WeatherKnown:
		if x.BeforeTo.IsZero() {
			return fmt.Sprintf("the weather of this season is known to %s; before, none of it was", u.ShortDay(x.To)), true
		}
		return fmt.Sprintf("the weather is known to %s; before, to %s", u.ShortDay(x.To), u.ShortDay(x.BeforeTo)), true
	case plan.ForecastKnown:
		return "a forecast reaches to " + u.ShortDay(x.To), true
	case plan.NectarMoved:
		days := int(math.Round(x.Now.Sub(x.Before).Hours() / 24))
		return fmt.Sprintf("nectar about %s, %s than before", u.ShortDay(x.Now), laterOrEarlier(days)), true
	case plan.VisitMoved:
		days := int(math.Round(x.Now.Sub(x.Before).Hours() / 24))
		return fmt.Sprintf("the next visit is on %s, %s than it was to be", u.ShortDay(x.Now), laterOrEarlier(days)), true
	case plan.BloomGiven:
		return fmt.Sprintf("the date given for the bloom is %s; it was %s", dayOrNone(u, x.Now), dayOrNone(u, x.Before)), true
	case plan.SourceTurned:
		return fmt.Sprintf("springs come from %s; before, from %s", orNone(x.Now), orNone(x.Before)), true
	}
	return "", false
}

func verdictWord(v plan.Verdict) string {
	return [...]string{plan.Feed: "to feed", plan.Watch: "to watch", plan.NoFeed: "no feed needed", plan.Dead: "dead"}[v]
}

// lot is what a visit gives: "3 L of syrup if it holds under 5 kg", "nothing".
func (u Style) lot(syrupL, solidKg, underKg float64) string {
	var parts []string
	if syrupL > 0 {
		parts = append(parts, u.Volume(syrupL)+" of syrup")
	}
	if solidKg > 0 {
		parts = append(parts, u.Mass(solidKg)+" solid")
	}
	switch {
	case len(parts) == 0:
		return "nothing"
	case underKg > 0:
		return strings.Join(parts, " and ") + " if it holds under " + u.Mass(underKg)
	}
	return strings.Join(parts, " and ")
}

func (u Style) givenSince(x plan.GivenSince) string {
	var parts []string
	if x.SyrupL > 0 {
		parts = append(parts, u.Volume(x.SyrupL)+" of syrup")
	}
	if x.SolidKg > 0 {
		parts = append(parts, u.Mass(x.SolidKg)+" of solid sugar")
	}
	if x.CombFood > 0 {
		combs := fmt.Sprintf("%.3g combs of food", x.CombFood)
		if x.CombFood == 1 {
			combs = "1 comb of food"
		}
		parts = append(parts, combs)
	}
	return fmt.Sprintf("%s, last on %s", Listed(parts), u.ShortDay(x.LastOn))
}

func (u Style) lookedSince(x plan.LookedSince) string {
	how := map[season.FoodKind]string{season.FoodGross: "weighed", season.FoodLiftBoth: "lifted at both sides", season.FoodFrames: "frames counted",
		season.FoodLiftBack: "lifted at the back", season.FoodHeft: "hefted"}[x.Food]
	if how == "" {
		how = "looked at"
	}
	text := fmt.Sprintf("%s on %s", how, u.ShortDay(x.On))
	if !math.IsNaN(x.StoresKg) {
		text += fmt.Sprintf(": about %s of stores", u.Mass(x.StoresKg))
		if !math.IsNaN(x.BeforeKg) && !x.BeforeOn.IsZero() {
			text += fmt.Sprintf(" (%s on %s)", u.Mass(x.BeforeKg), u.ShortDay(x.BeforeOn))
		}
	}
	return text
}

func laterOrEarlier(days int) string {
	if days < 0 {
		return Count(-days, "day earlier", "days earlier")
	}
	return Count(days, "day later", "days later")
}

func dayOrNone(u Style, t time.Time) string { return orNone(u.ShortDay(t)) }

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return Clean(s)
}

// setting writes a figure of a setting.
func (u Style) setting(v float64, unit string) string {
	switch {
	case math.IsNaN(v):
		return "none"
	case unit == "kg":
		return u.Mass(v)
	case unit == "share":
		return Share(v)
	}
	return fmt.Sprintf("%.4g", v)
}

// ChangedLine is what changed for a colony, or what is known of a yard, on one line.
type ChangedLine struct {
	Who, What, Why string // Why "" for none
}

// Changed is what moved since an earlier plan, in words.
type Changed struct {
	Since   string
	Summary string
	Urgent  []ChangedLine // colonies, by how much it matters
	Differs []ChangedLine
	Moved   []ChangedLine
	Yards   []ChangedLine
	Whole   []string
}

// ChangedOf puts what moved since an earlier plan into words; nil when none was
// compared.
func ChangedOf(pl *plan.Plan, u Style) *Changed {
	c := pl.Changes
	if c == nil {
		return nil
	}
	out := &Changed{Since: u.LongDay(c.Since), Whole: u.Sentences(c.Whole)}
	lines := map[plan.Matter]*[]ChangedLine{plan.Urgent: &out.Urgent, plan.Differs: &out.Differs, plan.Moved: &out.Moved}
	for i := range c.Colonies {
		x := &c.Colonies[i]
		*lines[x.Matter] = append(*lines[x.Matter], ChangedLine{Who: Clean(x.Yard) + ", " + Clean(x.Colony),
			What: strings.Join(u.Sentences(x.What), " "), Why: u.because(u.without(x.Why, c.Whole))})
	}
	for _, y := range c.Yards {
		out.Yards = append(out.Yards, ChangedLine{Who: Clean(y.Yard), What: u.because(y.Why)})
	}
	urgent, differs := len(out.Urgent), len(out.Differs)
	switch {
	case urgent+differs == 0:
		out.Summary = "What to do stays as it was for all colonies."
	case urgent == 0:
		out.Summary = fmt.Sprintf("For %s something else is to be done than the plan of %s said.", Count(differs, "colony", "colonies"), u.ShortDay(c.Since))
	default:
		out.Summary = fmt.Sprintf("For %s something else is to be done than the plan of %s said; for %d of them it is urgent.",
			Count(urgent+differs, "colony", "colonies"), u.ShortDay(c.Since), urgent)
	}
	if n := c.Same + len(out.Moved); n > 0 && urgent+differs > 0 {
		out.Summary += fmt.Sprintf(" For %s what to do stays as it was.", Count(n, "colony", "colonies"))
	}
	return out
}

// without leaves out what is said of the whole plan.
func (u Style) without(list, said []plan.Note) []plan.Note {
	return slices.DeleteFunc(slices.Clone(list), func(n plan.Note) bool {
		return slices.ContainsFunc(said, func(m plan.Note) bool { return m.Code() == n.Code() && u.Note(m) == u.Note(n) })
	})
}

// because joins reasons on one line.
func (u Style) because(why []plan.Note) string {
	if len(why) == 0 {
		return ""
	}
	return Sentence(strings.Join(u.Notes(why), "; "))
}
