package words

import (
	"fmt"
	"math"
	"time"

	"bloomgap/feed/plan"
)

// reason says why a colony gets its verdict.
func reason(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.DeadColony:
		return "Dead. Close the entrance now and clear it before flying weather, or it will be robbed out; look for foulbrood before any comb is used again.", true
	case plan.NotSeen:
		return "Nothing was written down for this colony. Look at it at the next visit.", true
	case plan.Seen:
		return fmt.Sprintf("Food %s on %s%s: about %s for some %.0f bees.", x.Food, day(x.On), before(x.Before), u.kgRange(x.StoresKg), round(x.Bees, 100)), true
	case plan.Need:
		return fmt.Sprintf("Nectar can be counted on from %s; until then it needs about %s a week.", days(x.Nectar), u.kg(x.KgPerWeek)), true
	case plan.Starves:
		return starves(x), true
	case plan.PassesReserve:
		return fmt.Sprintf("Left alone it starves in %s of springs, which is accepted, but its stores pass under the reserve of %s about %s. Look again at the next visit.",
			percent(x.RiskFrac), u.kg(x.ReserveKg), day(x.On)), true
	case plan.NearTheLine:
		return fmt.Sprintf("Left alone it starves in %s of springs, which is accepted, but not by much. Look again at the next visit.", percent(x.RiskFrac)), true
	case plan.Holds:
		return fmt.Sprintf("Left alone it starves in %s of springs and holds the reserve of %s in most.", percent(x.RiskFrac), u.kg(x.ReserveKg)), true
	}
	return "", false
}

func before(looks int) string {
	switch {
	case looks < 1:
		return ""
	case looks == 1:
		return ", and once before"
	}
	return fmt.Sprintf(", and %d times before", looks)
}

func starves(x plan.Starves) string {
	text := fmt.Sprintf("Left alone it starves before nectar in %s of springs", percent(x.RiskFrac))
	if !x.AcceptedBy.IsZero() {
		text += fmt.Sprintf(", the first %s of them by %s", percent(x.AcceptFrac), day(x.AcceptedBy))
	}
	text += fmt.Sprintf("; %s is accepted. With the plan %s remain.", percent(x.AcceptFrac), percent(x.FedFrac))
	if x.SolidFirst {
		text += " It begins with solid feed, since syrup is not taken in such cold."
	}
	return text + " Once begun, go on until nectar comes: what was given is eaten."
}

// confidence says whether weighing would change the answer.
func confidence(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.WeighIt:
		return fmt.Sprintf("Weigh it: if it is as light as it may be the risk is %s, if as heavy %s. It %s.",
			percent(x.RiskIfLightFrac), percent(x.RiskIfHeavyFrac), u.noFeedFrom(x.NeedStoresKg, x.NeedGrossKg, x.On)), true
	case plan.WasWeighed:
		return fmt.Sprintf("It was weighed. It %s.", u.noFeedFrom(x.NeedStoresKg, x.NeedGrossKg, x.On)), true
	case plan.WeighingIdle:
		return fmt.Sprintf("Weighing would hardly change the answer. It %s.", u.noFeedFrom(x.NeedStoresKg, x.NeedGrossKg, x.On)), true
	}
	return "", false
}

func (u Style) noFeedFrom(storesKg, grossKg float64, on time.Time) string {
	line := fmt.Sprintf("needs no feed from about %s of stores on %s up", u.kg(storesKg), day(on))
	if !math.IsNaN(grossKg) {
		line += fmt.Sprintf(" (about %s on a scale under the whole hive)", u.kg(grossKg))
	}
	return line
}
