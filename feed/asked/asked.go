package asked

import (
	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
)

// Of answers a question of a colony.
func Of(k *decide.Case, q plan.Question) plan.Asked {
	out := plan.Asked{Question: q, Yard: k.Plan.Yard, Colony: k.Plan.Colony}
	switch q {
	case plan.AskRatio:
		out.Says = ratio(k)
	case plan.AskFeeder:
		out.Says = feeder(k)
	case plan.AskOpen:
		out.Says = open(k)
	case plan.AskHoney:
		out.Says = honey(k)
	case plan.AskCandy:
		out.Says = candy(k)
	case plan.AskJar:
		out.Says = jar(k)
	}
	return out
}

// daysToNectar is how long nectar is away from the first visit, median.
func daysToNectar(k *decide.Case) float64 {
	return k.Plan.Nectar.P50.Sub(k.Yard().Season.Today).Hours() / 24
}
