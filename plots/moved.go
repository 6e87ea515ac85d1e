package plots

import (
	"fmt"

	"bloomgap/feed/plan"
)

// MovedTitle says what a late or early spring does to a colony.
func MovedTitle(a plan.Asked) string {
	var plain, moved plan.SpringCase
	for _, s := range a.Springs {
		switch s.Kind {
		case plan.AllSprings:
			plain = s
		case plan.MovedSprings:
			moved = s
		}
	}
	t := fmt.Sprintf("%s: left alone it starves in %s of springs, not %s", movedName(moved.LaterDays), percent(moved.Risk.Frac), percent(plain.Risk.Frac))
	if percent(moved.Risk.Frac) == percent(plain.Risk.Frac) {
		t = fmt.Sprintf("%s: left alone it starves in %s of springs either way", movedName(moved.LaterDays), percent(plain.Risk.Frac))
	}
	if moved.SugarKg > 0 {
		t += "; fed, in " + percent(moved.RiskFed.Frac)
	}
	return t
}

func movedName(days int) string {
	if days < 0 {
		return fmt.Sprintf("%d days early", -days)
	}
	return fmt.Sprintf("%d days late", days)
}

// MovedChart draws the risk of a colony in the earliest and the latest third of its
// springs, in all of them, and in springs that come late or early.
func MovedChart(p plan.Plan, a plan.Asked, l Look) *Chart {
	if len(a.Springs) == 0 {
		return nothing("No spring was asked about", "There are no springs to set beside one another.", l)
	}
	rows := make([]riskRow, len(a.Springs))
	for i, s := range a.Springs {
		name := [...]string{plan.AllSprings: "all springs", plan.EarlyThird: "earliest third", plan.LateThird: "latest third",
			plan.MovedSprings: movedName(s.LaterDays)}[s.Kind]
		rows[i] = riskRow{name + ", nectar " + l.short(s.Nectar), s.Risk.Frac, s.RiskFed.Frac, s.SugarKg > 0}
	}
	return riskRows(MovedTitle(a), "Springs in which "+a.Colony+" of "+a.Yard+" starves before nectar, %", rows, p.AcceptPct, l)
}
