package words

import (
	"fmt"
	"strings"

	"bloomgap/feed/plan"
)

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
	return fmt.Sprintf("For %s, buy %s: enough in 9 in 10 springs.", Count(o.Colonies, "colony", "colonies"), strings.Join(parts, " and ")) + u.nowAndLater(&o)
}

// nowAndLater says how much of the sugar must be there for the first visits, and how
// much more by when.
func (u Style) nowAndLater(o *plan.Order) string {
	if o.LaterBy.IsZero() || o.LaterSugarKg.P90 <= 0 {
		return ""
	}
	more := u.Mass(o.LaterSugarKg.P90)
	if from := u.Mass(o.LaterSugarKg.P50); from != more && o.LaterSugarKg.P50 > 0 {
		more = from + " to " + more
	}
	if o.NowSugarKg.P90 <= 0 {
		return fmt.Sprintf(" None of it is needed at the first visits; have %s by %s.", more, u.Day(o.LaterBy))
	}
	return fmt.Sprintf(" Have %s on hand now, and %s more by %s.", u.Mass(o.NowSugarKg.P90), more, u.Day(o.LaterBy))
}

// RiskLine says which colonies stay over the accepted risk; "" when none does.
func RiskLine(pl *plan.Plan, u Style) string {
	for _, n := range pl.Warnings {
		if risk, ok := n.(plan.StillAtRisk); ok {
			return Sentence(u.Note(risk))
		}
	}
	return ""
}

// Headings of the two amounts of an order.
const (
	HalfTheSprings = "Half the springs"
	NineInTen      = "9 in 10 springs"
)

// OrderLine is one line of the order.
type OrderLine struct{ What, P50, P90 string }

// OrderLines is the order as a table: what, enough in half the springs and in
// nine of ten. Lines with nothing to buy are left out.
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
	add("for syrup", o.SyrupSugarKg, u.Mass)
	add("to give solid", o.SolidKg, u.Mass)
	add("water", o.WaterL, u.Volume)
	add("makes syrup", o.SyrupL, u.Volume)
	add("protein supplement", o.SupplementKg, u.Mass)
	return out
}
