package words

import (
	"fmt"
	"math"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// reason says why a colony gets its verdict.
func reason(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.DeadColony:
		return "Dead. Close the entrance now so that it is not robbed out. Inspect it: know why it died, and look for foulbrood, before any comb or " +
			"food of it is used again.", true
	case plan.NotSeen:
		return "Nothing was written down for this colony. Look at it at the next visit.", true
	case plan.Seen:
		return fmt.Sprintf("On %s%s %s: about %s for some %s bees.", u.ShortDay(x.On), earlier(x.Before), judged(x.Food), u.stores(x.StoresKg),
			hundreds(x.Bees)), true
	case plan.FedSince:
		return u.fedSince(x), true
	case plan.Need:
		return fmt.Sprintf("Nectar is likely from %s. To reach it a hive like this needs about %s on %s: it eats about %s a week, "+
			"less what early forage brings.%s", u.Days(x.Nectar), u.stores(x.StoresKg), u.ShortDay(x.On), u.Mass(x.KgPerWeek), u.lacks(x)), true
	case plan.Starves:
		return u.starves(x), true
	case plan.PassesReserve:
		return fmt.Sprintf("Left alone it starves before nectar in %s of springs, which is accepted, but its stores fall below the reserve of %s about "+
			"%s. Look again at the next visit.",
			Share(x.RiskFrac), u.Mass(x.ReserveKg), u.ShortDay(x.On)), true
	case plan.NearTheLine:
		return fmt.Sprintf("Left alone it starves before nectar in %s of springs, which is accepted, but only just. Look again at the next visit.",
			Share(x.RiskFrac)), true
	case plan.Holds:
		return fmt.Sprintf("Left alone it starves before nectar in %s of springs, and holds the reserve of %s in most.", Share(x.RiskFrac),
			u.Mass(x.ReserveKg)), true
	}
	return "", false
}

// fedSince tells what was given since it was looked at first.
func (u Style) fedSince(x plan.FedSince) string {
	var what []string
	if x.SyrupL > 0 {
		what = append(what, u.Volume(x.SyrupL)+" of syrup")
	}
	if x.SolidKg > 0 {
		what = append(what, u.Mass(x.SolidKg)+" of solid feed")
	}
	if x.CombFood > 0 {
		what = append(what, fmt.Sprintf("%.3g combs of food", x.CombFood))
	}
	return fmt.Sprintf("It was given %s, last on %s.", strings.Join(what, " and "), u.ShortDay(x.LastOn))
}

// stores writes stores with their range: "4 kg of stores (1.4 to 6.6)".
func (u Style) stores(r plan.Range) string {
	return fmt.Sprintf("%s of stores (%s to %s)", u.Mass(r.P50), u.massFigure(r.P10), u.massFigure(r.P90))
}

// lacks says what a feed is sized by, where something is lacking: what a hive as
// light as this may be is short of in a spring that asks much.
func (u Style) lacks(x plan.Need) string {
	if x.LackKg <= 0 {
		return ""
	}
	return fmt.Sprintf(" It may hold less and the spring may ask more: in %s of springs it is short of %s or more, and the feed is sized by that.",
		Share(x.LackFrac), u.Mass(x.LackKg))
}

// spread is a mass and its range.
func (u Style) spread(r plan.Range) string {
	return fmt.Sprintf("%s (%s to %s)", u.Mass(r.P50), u.massFigure(r.P10), u.massFigure(r.P90))
}

// earlier says how often a colony was looked at before.
func earlier(looks int) string {
	switch {
	case looks < 1:
		return ""
	case looks == 1:
		return " (and once before)"
	}
	return fmt.Sprintf(" (and %d times before)", looks)
}

// judged says how the food of a colony was judged.
func judged(k season.FoodKind) string {
	switch k {
	case season.FoodGross:
		return "the whole hive was weighed"
	case season.FoodLiftBoth:
		return "it was lifted at both sides with a hand scale"
	case season.FoodFrames:
		return "its frames of food were counted"
	case season.FoodLiftBack:
		return "it was lifted at the back with a hand scale"
	case season.FoodHeft:
		return "it was hefted"
	}
	return "its food was not judged"
}

func (u Style) starves(x plan.Starves) string {
	text := fmt.Sprintf("Left alone it starves before nectar in %s of springs", Share(x.RiskFrac))
	if !x.AcceptedBy.IsZero() {
		text += fmt.Sprintf(" (%s of springs by %s)", Share(x.AcceptFrac), u.ShortDay(x.AcceptedBy))
	}
	text += fmt.Sprintf("; %s is accepted. Fed as planned: %s.", Share(x.AcceptFrac), shareBeside(x.FedFrac, x.AcceptFrac))
	if x.SolidFirst {
		text += " It starts with solid sugar because bees take no syrup in such cold."
	}
	return text + " Look again at each visit until nectar comes, and feed by the line: they will have eaten what was given."
}

// confidence says whether weighing would change the answer.
func confidence(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.WeighIt:
		return fmt.Sprintf("Weigh it: if it is as light as it may be the risk is %s, if as heavy %s. %s.",
			Share(x.RiskIfLightFrac), Share(x.RiskIfHeavyFrac), u.noFeedFrom(x.NeedStoresKg, x.NeedGrossKg, x.On)), true
	case plan.WasWeighed:
		return fmt.Sprintf("It was weighed. %s.", u.noFeedFrom(x.NeedStoresKg, x.NeedGrossKg, x.On)), true
	case plan.WeighingIdle:
		return fmt.Sprintf("Weighing would hardly change the answer. %s.", u.noFeedFrom(x.NeedStoresKg, x.NeedGrossKg, x.On)), true
	}
	return "", false
}

func (u Style) noFeedFrom(storesKg, grossKg float64, on time.Time) string {
	line := fmt.Sprintf("It needs no feed if it held %s of stores or more on %s", u.Mass(storesKg), u.ShortDay(on))
	if !math.IsNaN(grossKg) {
		line += fmt.Sprintf(" (%s with the whole hive on a scale)", u.Mass(grossKg))
	}
	return line
}

// noFeedAt is noFeedFrom on one line: the weight of the whole hive where it is
// known.
func (u Style) noFeedAt(storesKg, grossKg float64) string {
	if !math.IsNaN(grossKg) {
		return fmt.Sprintf("no feed needed at %s or more, whole hive on a scale", u.Mass(grossKg))
	}
	return fmt.Sprintf("no feed needed with %s of stores or more", u.Mass(storesKg))
}

// shortReason is reason and confidence on one line.
func shortReason(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.DeadColony:
		return "dead: close it, inspect it, then clear it away", true
	case plan.NotSeen:
		return "nothing was written down for it; look at the next visit", true
	case plan.Seen:
		return fmt.Sprintf("about %s on %s", u.stores(x.StoresKg), u.ShortDay(x.On)), true
	case plan.Need:
		text := fmt.Sprintf("needs about %s to reach nectar, about %s", u.spread(x.StoresKg), u.ShortDay(x.Nectar.P50))
		if x.LackKg > 0 {
			text += fmt.Sprintf("; short of %s in %s of springs", u.Mass(x.LackKg), Share(x.LackFrac))
		}
		return text, true
	case plan.Starves:
		return fmt.Sprintf("starves before nectar in %s of springs left alone, %s fed as planned", Share(x.RiskFrac), Share(x.FedFrac)), true
	case plan.PassesReserve:
		return fmt.Sprintf("stores fall below the reserve of %s about %s", u.Mass(x.ReserveKg), u.ShortDay(x.On)), true
	case plan.NearTheLine:
		return fmt.Sprintf("starves before nectar in %s of springs, close to what is accepted", Share(x.RiskFrac)), true
	case plan.Holds:
		return fmt.Sprintf("holds the reserve of %s in most springs", u.Mass(x.ReserveKg)), true
	case plan.WeighIt:
		return "weigh it, that may change the answer: " + u.noFeedAt(x.NeedStoresKg, x.NeedGrossKg), true
	case plan.WasWeighed:
		return "it was weighed: " + u.noFeedAt(x.NeedStoresKg, x.NeedGrossKg), true
	case plan.WeighingIdle:
		return "weighing would hardly change the answer: " + u.noFeedAt(x.NeedStoresKg, x.NeedGrossKg), true
	}
	return "", false
}
