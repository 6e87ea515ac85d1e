package words

import (
	"fmt"
	"math"

	"bloomgap/feed/plan"
)

// wraps renders what is answered of wraps.
func wraps(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.WrapKeep:
		return fmt.Sprintf("Leave it on: taken off on %s the hive eats %s more before nectar.", u.Day(x.What.On), u.MassRange(x.What.CostKg)), true
	case plan.WrapOff:
		return fmt.Sprintf("Yes, on %s it may come off: the hive eats %s more before nectar for it.", u.Day(x.What.On), u.MassRange(x.What.CostKg)), true
	case plan.WrapOn:
		text := fmt.Sprintf("It stands bare: a wrap from %s on would spare it %s before nectar.", u.Day(x.What.On), u.MassRange(x.What.CostKg))
		if x.Freeze {
			return text + " Nights still freeze: wrap it if you feed it.", true
		}
		return text, true
	case plan.WrapRisk:
		text := fmt.Sprintf("Risk of starving left alone: %s with the wrap, %s without", Share(x.RiskOn.Frac), Share(x.RiskOff.Frac))
		if x.Fed {
			text += fmt.Sprintf("; fed as planned: %s and %s", Share(x.FedOn.Frac), Share(x.FedOff.Frac))
		}
		return text + ".", true
	case plan.WrapNights:
		return fmt.Sprintf("Why: %s nights under %s are still to come from %s to nectar, about %s.", CountRange(x.CoolNights), u.Temp(x.CoolC),
			u.ShortDay(x.From), u.ShortDay(x.Nectar)), true
	case plan.WrapFrom:
		return fmt.Sprintf("From %s on it costs under %s in nine springs of ten.", u.ShortDay(x.From), u.Mass(x.UnderKg)), true
	case plan.WrapCare:
		return "A wrap leaves the upper entrance or a vent open: it must not keep the damp in.", true
	}
	return "", false
}

// unwrapLine is what a plan says of a colony's wrap; "" for nothing.
func (u Style) unwrapLine(c *plan.ColonyPlan) string {
	x := &c.Unwrap
	if !x.Known() || math.IsNaN(x.CostKg.P50) || !x.Wrapped && !c.Wrap {
		return ""
	}
	what := "leave it on"
	switch {
	case !x.Wrapped:
		what = "put it on"
	case !x.From.After(x.On):
		what = "it may come off"
	}
	text := fmt.Sprintf("The wrap: %s; bare from %s on the hive eats %s more before nectar (risk left alone %s, not %s).", what, u.ShortDay(x.On),
		u.MassRange(x.CostKg), Share(x.RiskOff.Frac), Share(x.RiskOn.Frac))
	if x.From.After(x.On) {
		text += fmt.Sprintf(" From %s on it saves under %s.", u.ShortDay(x.From), u.Mass(x.UnderKg))
	}
	return text
}
