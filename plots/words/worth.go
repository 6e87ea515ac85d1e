package words

import (
	"fmt"
	"math"
	"strconv"

	"bloomgap/feed/plan"
)

// money writes a sum in the user's own word for money, whole from ten on.
func money(v float64, currency string) string {
	text := strconv.FormatFloat(v, 'f', 2, 64)
	if math.Abs(v) >= 9.995 {
		text = thousands(v)
	}
	if currency = Clean(currency); currency != "" {
		text += " " + currency
	}
	return text
}

// worth renders what is answered of prices.
func worth(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.WorthNone:
		return fmt.Sprintf("Nothing to feed: left alone it starves in %s of springs, %s on average.", Share(x.RiskFrac), money(x.Loss, x.Currency)), true
	case plan.WorthFeed:
		verdict := "Yes"
		if x.Saved < x.Spent {
			verdict = "Not by these prices"
		}
		return fmt.Sprintf("%s: feeding as planned saves %s of a colony in the average spring, %s, and costs %s (%s of sugar, %.1f trips). That is %s a trip "+
			"and %s a %s of sugar.", verdict, decimal2(x.SavedFrac), money(x.Saved, x.Currency), money(x.Spent, x.Currency), u.Mass(x.SugarKg), x.Trips,
			money(x.ByTrip, x.Currency), money(x.ByKg/u.Value(1, "kg"), x.Currency), u.Name("kg")), true
	case plan.WorthPlan:
		return u.worthPlan(&x), true
	case plan.WorthFrom:
		if x.RiskFrac >= 1 {
			return "At these prices feeding never pays: it costs more than the colony.", true
		}
		return fmt.Sprintf("Feeding so pays from a risk of %s left alone on.", Share(x.RiskFrac)), true
	case plan.WorthBest:
		if !x.Fed {
			return fmt.Sprintf("Cheapest, losses counted in: no feed, %s a spring; as planned %s.", money(x.Total, x.Currency),
				money(x.PlannedTotal, x.Currency)), true
		}
		return fmt.Sprintf("Cheapest, losses counted in: accept %s (%s of sugar, %.1f trips), %s a spring; as planned %s.",
			Share(x.AcceptFrac), u.Mass(x.SugarKg), x.Trips, money(x.Total, x.Currency), money(x.PlannedTotal, x.Currency)), true
	case plan.WorthScale:
		return u.worthScale(&x), true
	case plan.WorthCare:
		return "Averages over springs, at your prices; what a starved hive costs in robbing and disease is left out.", true
	}
	return "", false
}

func decimal2(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }

func (u Style) worthScale(x *plan.WorthScale) string {
	if x.Gain <= 0 {
		return "A scale saves nothing here against lifting by hand."
	}
	text := fmt.Sprintf("A scale in place of lifting by hand is worth %s a hive and spring", money(x.Gain, x.Currency))
	if x.Price > 0 {
		text += fmt.Sprintf("; %s (%s colonies) pay from %.0f such hives on", money(x.Price, x.Currency), decimal2(x.Colonies), x.Hives)
	}
	return text + "."
}

func (u Style) worthPlan(x *plan.WorthPlan) string {
	verdict := "Feeding as planned pays"
	if x.Saved < x.Spent {
		verdict = "By these prices feeding as planned does not pay"
	}
	return fmt.Sprintf("%s: in the average spring it saves %s colonies, %s, and costs %s (%s of sugar, at least %.1f visits). It saves %s a visit "+
		"and %s a %s of sugar.", verdict, decimal2(x.Colonies), money(x.Saved, x.Currency), money(x.Spent, x.Currency), u.Mass(x.SugarKg), x.Visits,
		money(x.ByTrip, x.Currency), money(x.ByKg/u.Value(1, "kg"), x.Currency), u.Name("kg"))
}
