package asked

import (
	"errors"
	"math"
	"slices"

	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
)

// Prices are what things cost, in the user's own money; what is 0 is not counted.
type Prices struct {
	Currency   string  // the user's word; may be ""
	SugarPerKg float64 // a kg of sugar
	Trip       float64 // a trip to the yard
	TripHives  int     // hives that a trip serves, 1 or more
	Colony     float64 // a colony alive at nectar
	Day        float64 // a day of work
	Scale      float64 // a scale
}

// feedingDays is the work of mixing for one hive and feeding it, d, 0.01-0.06, own
// judgement: a quarter of an hour of a day of eight hours.
const feedingDays = 0.03

// Given tells that prices enough are known to weigh feeding: a colony, and sugar or a trip.
func (p Prices) Given() bool { return p.Colony > 0 && (p.SugarPerKg > 0 || p.Trip > 0) }

// ErrNoPrices is the answer to whether feeding pays when too few prices are known.
var ErrNoPrices = errors.New("whether feeding pays takes the price of a colony, and of a kg of sugar or a trip")

// mostPrice bounds a price, own choice: a slip of the keys lies beyond.
const mostPrice = 1e7

func (p Prices) validate() error {
	for _, v := range []float64{p.SugarPerKg, p.Trip, p.Colony, p.Day, p.Scale} {
		if !(v >= 0 && v <= mostPrice) {
			return errors.New("a price must lie from 0 to 10 million")
		}
	}
	if p.TripHives < 1 {
		return errors.New("a trip serves one hive or more")
	}
	return nil
}

// offer is a way to feed a colony, with what it comes to.
type offer struct {
	acceptFrac          float64 // the accepted risk that it was found for; NaN: not fed
	riskFrac, kg, trips float64
}

// cost is what an offer costs in a spring, without what it loses.
func (p Prices) cost(o offer) float64 {
	return o.kg*p.SugarPerKg + o.trips*(p.Trip/float64(max(1, p.TripHives))+feedingDays*p.Day)
}

// total is the same with the colonies lost.
func (p Prices) total(o offer) float64 { return p.cost(o) + o.riskFrac*p.Colony }

// cheapest is the offer that costs least with what it loses; of two that cost the same, the
// one with fewer trips. So a dearer trip never means more of them.
func (p Prices) cheapest(list []offer) offer {
	return slices.MinFunc(list, func(a, b offer) int {
		if x, y := p.total(a), p.total(b); math.Abs(x-y) > 1e-9*math.Max(1, y) {
			if x < y {
				return -1
			}
			return 1
		}
		switch {
		case a.trips < b.trips:
			return -1
		case a.trips > b.trips:
			return 1
		}
		return 0
	})
}

// acceptedTried are the accepted risks that plans are found for to be priced, own choice.
func acceptedTried() []float64 { return []float64{0.02, 0.05, 0.1, 0.2, 0.35} }

// worth weighs feeding a colony by prices: what it saves and costs, by trip and by kg, the
// risk from which it pays, the cheapest plan, and what a scale is worth.
func worth(k *decide.Case, p Prices) []plan.Note {
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
	best := p.cheapest(list)
	saved := (none.riskFrac - planned.riskFrac) * p.Colony
	spent := p.cost(planned)
	says := []plan.Note{plan.WorthFeed{Currency: p.Currency, Saved: saved, Spent: spent, SavedFrac: none.riskFrac - planned.riskFrac, SugarKg: planned.kg,
		Trips: planned.trips, ByTrip: saved / math.Max(1e-9, planned.trips), ByKg: saved / math.Max(1e-9, planned.kg)},
		plan.WorthFrom{RiskFrac: planned.riskFrac + spent/p.Colony},
		plan.WorthBest{Currency: p.Currency, Fed: !math.IsNaN(best.acceptFrac), AcceptFrac: best.acceptFrac, RiskFrac: best.riskFrac, SugarKg: best.kg,
			Trips: best.trips, Total: p.total(best), PlannedTotal: p.total(planned)}}
	if x, ok := scaleWorth(c, p); ok {
		says = append(says, x)
	}
	return append(says, plan.WorthCare{})
}

// scaleWorth is what weighing at the later visits is worth a hive and spring against
// hefting, or hefting against it, by what the plan prices; false where it prices neither.
func scaleWorth(c *plan.ColonyPlan, p Prices) (plan.WorthScale, bool) {
	var scale, hand offer
	of := func(x plan.Price) offer { return offer{0, x.RiskFrac, x.SugarKg, x.Feedings} }
	found := false
	for _, x := range c.Policy.Prices {
		switch x.Kind {
		case plan.ByScale:
			scale, hand, found = of(x), of(c.Policy.Given), true
		case plan.ByHeft:
			scale, hand, found = of(c.Policy.Given), of(x), true
		}
	}
	gain := p.total(hand) - p.total(scale)
	out := plan.WorthScale{Currency: p.Currency, Gain: gain, SavedFrac: hand.riskFrac - scale.riskFrac, SugarKg: hand.kg - scale.kg, Price: p.Scale}
	if p.Scale > 0 {
		out.Colonies = p.Scale / p.Colony
		if gain > 0 {
			out.Hives = math.Ceil(p.Scale / gain)
		}
	}
	return out, found
}
