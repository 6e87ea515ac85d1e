package decide

import (
	"cmp"
	"math"
	"slices"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
)

// Third is the third of a colony's members with the earliest or the latest nectar.
type Third struct {
	NectarDay float64 // of the outlook, median
	Risk      plan.Risk
	Fed       Fed // by the plan; zero without feeding
}

// Thirds are the earliest and the latest third.
func (k *Case) Thirds() (early, late Third) {
	n := k.a.members
	order := make([]int, n)
	for m := range order {
		order[m] = m
	}
	nectar := func(m int) int { return k.a.cases[m].Span.NectarDay }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(nectar(a), nectar(b)) })
	var on *schedule.Result
	if len(k.Plan.Feedings) > 0 {
		on = &k.w.tryPlan(k.s, k.a, k.Plan).on
	}
	starves := k.s.starves(k.a, k.a)
	of := func(members []int) Third {
		days, alone := make([]float64, 0, len(members)), make([]float64, 0, len(members))
		var fed Fed
		died := 0
		for _, m := range members {
			days = append(days, float64(nectar(m)+k.s.first))
			alone = append(alone, starves[m])
			if on == nil {
				continue
			}
			if on.Starves[m] {
				died++
			}
			fed.SugarKg += on.SugarKg[m]
			fed.Trips += float64(on.Given[m])
		}
		share := math.Max(1, float64(len(members)))
		fed.SugarKg, fed.Trips = fed.SugarKg/share, fed.Trips/share
		if on != nil {
			fed.Risk = plan.RiskOf(died, len(members))
		}
		return Third{schedule.Quantile(days, 0.5), riskOver(alone), fed}
	}
	return of(order[:n/3]), of(order[n-n/3:])
}

// FedAsPlanned is what the lines of its plan come to on the members that they were found
// on, or on those of another world that the case was opened in. A visit that the plan does
// not have gives nothing.
func (k *Case) FedAsPlanned() Fed {
	on := &k.w.tryPlan(k.s, k.a, k.Plan).on
	return Fed{Risk: plan.RiskOf(on.Starved, k.a.members), SugarKg: on.MeanSugarKg(), SyrupL: on.MeanSyrupL(), SolidKg: on.MeanSolidKg(), Trips: on.MeanGiven()}
}
