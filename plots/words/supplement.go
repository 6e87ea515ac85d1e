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
		return fmt.Sprintf("It is too late for a supplement to help by %s.", u.ShortDay(x.WantedOn)), true
	case plan.SupplementEnough:
		return fmt.Sprintf("Leave the supplement out: there will be some %s bees %s without it, enough.", hundreds(x.Bees), u.when(x.WantedOn)), true
	case plan.SupplementWindow:
		return fmt.Sprintf("For bees by %s put it on from %s, %.0f to %.0f days before.", u.ShortDay(x.WantedOn), u.Between(x.From, x.To),
			x.WantedOn.Sub(x.To).Hours()/24, x.WantedOn.Sub(x.From).Hours()/24), true
	case plan.SupplementShort:
		return fmt.Sprintf("Even so it will not reach the %s bees wanted.", hundreds(x.WantedBees)), true
	case plan.SupplementEffect:
		return u.effect(x), true
	case plan.SupplementSlight:
		return fmt.Sprintf("Put on from %s it would hardly change the number of bees %s: pollen comes early enough for the brood they can keep warm.",
			u.ShortDay(x.From), u.when(x.WantedOn)), true
	case plan.SupplementCare:
		return "Keep syrup on with it. Where small hive beetle lives, take leftovers away after 7-10 days.", true
	}
	return "", false
}

// when is the day bees are wanted, or bloom.
func (u Style) when(wanted time.Time) string {
	if wanted.IsZero() {
		return "at bloom"
	}
	return "by " + u.ShortDay(wanted)
}

func (u Style) extraSyrup(l float64) string {
	if l < LittleSyrupL {
		return "hardly any"
	}
	return u.Volume(l)
}

func (u Style) effect(x plan.SupplementEffect) string {
	text := fmt.Sprintf("Put on from %s it would mean some %s more bees %s (± %s, to %s without it).",
		u.ShortDay(x.From), hundreds(x.MoreBees), u.when(x.WantedOn), hundreds(x.ErrBees), hundreds(x.BareBees))
	if !x.Emerge.IsZero() && !x.Forage.IsZero() {
		text += fmt.Sprintf(" Of the bees raised in the first week half emerge by %s and forage by %s.", u.ShortDay(x.Emerge), u.ShortDay(x.Forage))
	}
	return text + fmt.Sprintf(" It takes %s more syrup; without that the risk of starving is %s in place of %s.", u.extraSyrup(x.ExtraSyrupL),
		Share(x.RiskFrac), Share(x.AloneFrac))
}
