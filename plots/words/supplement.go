package words

import (
	"fmt"
	"time"

	"bloomgap/feed/plan"
)

// LittleSyrupL is more syrup that nobody would measure out, L, 0.05-0.3, own
// judgement.
const LittleSyrupL = 0.1

func supplement(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.SupplementUnwanted:
		return "Leave the supplement out: no early bees are wanted.", true
	case plan.SupplementIdle:
		return "Leave the supplement out.", true
	case plan.SupplementLate:
		return fmt.Sprintf("It is too late for a supplement to help by %s.", day(x.WantedOn)), true
	case plan.SupplementEnough:
		return fmt.Sprintf("Leave the supplement out: there are some %.0f bees %s without it, enough.", round(x.Bees, 100), when(x.WantedOn)), true
	case plan.SupplementWindow:
		return fmt.Sprintf("For bees by %s put it on between %s and %s, %.0f to %.0f days before.", day(x.WantedOn), day(x.From), day(x.To),
			x.WantedOn.Sub(x.To).Hours()/24, x.WantedOn.Sub(x.From).Hours()/24), true
	case plan.SupplementShort:
		return fmt.Sprintf("Even so the %.0f wanted are not reached.", round(x.WantedBees, 100)), true
	case plan.SupplementEffect:
		return u.effect(x), true
	case plan.SupplementSlight:
		return fmt.Sprintf("From %s on it would hardly change the number of bees %s: pollen comes early enough for the brood they can keep warm.", day(x.From), when(x.WantedOn)), true
	case plan.SupplementCare:
		return "Keep syrup on with it, and take leftovers away after 7-10 days where small hive beetle lives.", true
	}
	return "", false
}

// when is the day bees are wanted, or bloom.
func when(wanted time.Time) string {
	if wanted.IsZero() {
		return "at bloom"
	}
	return "by " + day(wanted)
}

func (u Style) effect(x plan.SupplementEffect) string {
	cost := "about " + u.litres(x.ExtraSyrupL)
	if x.ExtraSyrupL < LittleSyrupL {
		cost = "hardly any"
	}
	return fmt.Sprintf("From %s on it would mean some %.0f more bees %s (%.0f instead of %.0f), half of those from the first week emerged by %s and in the field by %s; it costs %s more syrup, and without that the risk is %s instead of %s.",
		day(x.From), round(x.Bees-x.BareBees, 100), when(x.WantedOn), round(x.Bees, 100), round(x.BareBees, 100), day(x.Emerge), day(x.Forage),
		cost, percent(x.RiskFrac), percent(x.AloneFrac))
}
