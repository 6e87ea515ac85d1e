package asked

import (
	"time"

	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
)

// winterSizes are the clusters set beside the one seen, as shares of it, own choice.
func winterSizes() []float64 { return []float64{0.6, 1, 1.5} }

// winter says what a hive must weigh to reach nectar unfed, and what to do at once if it
// does not last to the first visit of spring.
func winter(k *decide.Case) []plan.Note {
	c := k.Plan
	y := k.Yard()
	set := &y.Season.Settings
	first := SpringFrom(y.Season.Today)
	sizes := plan.WinterSizes{}
	for _, x := range winterSizes() {
		sizes.Bees = append(sizes.Bees, x*c.Bees.P50)
		sizes.NeedKg = append(sizes.NeedKg, k.NeedKg(x, set.AcceptRiskFrac))
	}
	lack := max(0, k.LackKg(1-set.AcceptRiskFrac))
	says := []plan.Note{
		plan.WinterNeed{On: c.SeenOn, Nectar: c.Nectar.P50, NeedStoresKg: c.Confidence.NeedStoresKg, NeedGrossKg: c.Confidence.NeedGrossKg,
			AcceptFrac: set.AcceptRiskFrac, Bees: c.Bees.P50},
		plan.WinterHas{StoresKg: c.StoresKg, LackKg: lack, MaxC: y.Visits[0].MaxC, Mild: y.Visits[0].MaxC >= set.Rules.TouchingOnlyBelowC}, sizes}
	if !season.WinterVisits(y.Season.Today) { // spring has its visits
		return says
	}
	if risk := k.StarvedBy(y.Outlook.Day(first)); risk > set.AcceptRiskFrac {
		kg := k.SolidHoldsKg()
		if len(c.Feedings) > 0 && c.Feedings[0].SolidKg > 0 {
			kg = c.Feedings[0].SolidKg
		}
		says = append(says, plan.WinterSolid{SolidKg: kg, RiskFrac: risk, Before: first})
	} else {
		says = append(says, plan.WinterSafe{RiskFrac: risk, Before: first})
	}
	return append(says, plan.WinterScope{From: first})
}

// SpringFrom is the day from which visits of spring are planned: 1 February, or the day
// asked when that is later.
func SpringFrom(today time.Time) time.Time {
	first := time.Date(visits.SeasonYear(today), time.February, 1, 0, 0, 0, 0, time.UTC)
	if first.Before(today) {
		return today
	}
	return first
}
