package asked

import (
	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
)

// World is what the yard of a colony can be asked for.
type World interface {
	// Moved decides on the colony anew in springs that come so many days later.
	Moved(days int) (*Moved, error)
}

// Of answers a question of a colony.
func Of(k *decide.Case, q plan.Question, w World, opt Options) (plan.Asked, error) {
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
	case plan.AskWorth:
		if !opt.Prices.Given() {
			return out, ErrNoPrices
		}
		out.Says = worth(k, &opt.Prices)
	case plan.AskWinter:
		out.Says = winter(k)
	case plan.AskUnite:
		if opt.With != "" {
			with, err := named(k, opt.With)
			if err != nil {
				return out, err
			}
			opt.Neighbour = decide.Neighbour{Named: with}
		}
		out.Says = unite(k, opt)
	case plan.AskDead:
		out.Says = dead(k, opt)
	case plan.AskUnwrap:
		out.Says = unwrap(k, opt)
	case plan.AskLate, plan.AskEarly:
		days := opt.ShiftDays
		if q == plan.AskEarly {
			days = -days
		}
		m, err := w.Moved(days)
		if err != nil {
			return out, err
		}
		out.Says, out.Springs = spring(k, m, days)
	}
	return out, nil
}

// daysToNectar is how long nectar is away from the first visit, median.
func daysToNectar(k *decide.Case) float64 {
	return k.Plan.Nectar.P50.Sub(k.Yard().Season.Today).Hours() / 24
}
