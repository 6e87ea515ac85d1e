package asked

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// ErrNoPrices is the answer to whether feeding pays when too few prices are known.
var ErrNoPrices = errors.New("whether feeding pays takes the price of a colony, and of a kg of sugar or a trip")

// offer is a way to feed a colony, with what it comes to.
type offer struct {
	acceptFrac          float64 // the accepted risk that it was found for; NaN: not fed
	riskFrac, kg, trips float64
}

// cost is what an offer costs in a spring, without what it loses.
func (o offer) cost(p *season.Prices) float64 {
	return o.kg*p.SugarPerKg + o.trips*(p.Trip/float64(max(1, p.TripHives))+season.FeedingDays*p.Day)
}

// total is the same with the colonies lost.
func (o offer) total(p *season.Prices) float64 { return o.cost(p) + o.riskFrac*p.Colony }

// cheapest is the offer that costs least with what it loses; of two that cost the same, the
// one with fewer trips. So a dearer trip never means more of them.
func cheapest(p *season.Prices, list []offer) offer {
	return slices.MinFunc(list, func(a, b offer) int {
		if x, y := a.total(p), b.total(p); math.Abs(x-y) > 1e-9*math.Max(1, y) {
			return cmp.Compare(x, y)
		}
		return cmp.Compare(a.trips, b.trips)
	})
}

// acceptedTried are the accepted risks that plans are found for to be priced, own choice.
func acceptedTried() []float64 { return []float64{0.02, 0.05, 0.1, 0.2, 0.35} }

// worth weighs feeding a colony by prices: what it saves and costs, by trip and by kg, the
// risk from which it pays, the cheapest plan, and what a scale is worth.
func worth(k *decide.Case, p *season.Prices) []plan.Note {
	c := k.Plan
	none := offer{math.NaN(), c.Risk.Frac, 0, 0}
	if c.Verdict != plan.Feed {
		return []plan.Note{plan.WorthNone{Currency: p.Currency, RiskFrac: c.Risk.Frac, Loss: c.Risk.Frac * p.Colony}, plan.WorthCare{}}
	}
	planned := offer{k.Yard().Season.Settings.AcceptRiskFrac, c.RiskFed.Frac, sugarKg(c), c.Policy.Feedings}
	list := []offer{none, planned}
	for _, a := range acceptedTried() {
		f := k.FedAt(a)
		list = append(list, offer{a, f.Risk.Frac, f.SugarKg, f.Trips})
	}
	best := cheapest(p, list)
	saved := (none.riskFrac - planned.riskFrac) * p.Colony
	spent := planned.cost(p)
	says := []plan.Note{plan.WorthFeed{Currency: p.Currency, Saved: saved, Spent: spent, SavedFrac: none.riskFrac - planned.riskFrac, SugarKg: planned.kg,
		Trips: planned.trips, ByTrip: saved / math.Max(1e-9, planned.trips), ByKg: saved / math.Max(1e-9, planned.kg)},
		plan.WorthFrom{RiskFrac: planned.riskFrac + spent/p.Colony},
		plan.WorthBest{Currency: p.Currency, Fed: !math.IsNaN(best.acceptFrac), AcceptFrac: best.acceptFrac, RiskFrac: best.riskFrac, SugarKg: best.kg,
			Trips: best.trips, Total: best.total(p), PlannedTotal: planned.total(p)}}
	if x, ok := scaleWorth(c, k.OtherWays(), p); ok {
		says = append(says, x)
	}
	return append(says, plan.WorthCare{})
}

// scaleWorth is what weighing at the later visits is worth a hive and spring against
// hefting, or hefting against it, by what other ways to feed come to; false where neither is among
// them.
func scaleWorth(c *plan.ColonyPlan, ways []plan.Price, p *season.Prices) (plan.WorthScale, bool) {
	var scale, hand offer
	of := func(x plan.Price) offer { return offer{0, x.RiskFrac, x.SugarKg, x.Feedings} }
	found := false
	for _, x := range ways {
		switch x.Kind {
		case plan.ByScale:
			scale, hand, found = of(x), of(c.Policy.Given), true
		case plan.ByHeft:
			scale, hand, found = of(c.Policy.Given), of(x), true
		}
	}
	gain := hand.total(p) - scale.total(p)
	out := plan.WorthScale{Currency: p.Currency, Gain: gain, SavedFrac: hand.riskFrac - scale.riskFrac, SugarKg: hand.kg - scale.kg, Price: p.Scale}
	if p.Scale > 0 {
		out.Colonies = p.Scale / p.Colony
		if gain > 0 {
			out.Hives = math.Ceil(p.Scale / gain)
		}
	}
	return out, found
}
