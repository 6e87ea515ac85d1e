package plan

import (
	"math"
	"time"

	"bloomgap/feed/season"
)

// WorthOf weighs feeding the colonies of a plan by prices; false where too few of them are
// known or nothing is fed. A visit to a yard serves all its colonies and is counted once:
// in as many springs as feed the colony that is fed there oftenest on that day. So it is
// the least number of visits; colonies fed in other springs than that one make it more.
// Yards of one round are each a trip of their own. Sugar is what is given, without the
// waste that an order allows for. Trips are what a trip costs to yards that have a price of
// their own.
func WorthOf(cs []ColonyPlan, p *season.Prices, trips map[string]float64) (WorthPlan, bool) {
	out := WorthPlan{Currency: p.Currency}
	if !p.Given() {
		return out, false
	}
	type visit struct {
		yard string
		day  time.Time
	}
	var met []visit // in order of the colonies, so that the sum is the same in every run
	most := map[visit]float64{}
	feedings, fed := 0.0, false
	for i := range cs {
		c := &cs[i]
		if c.Verdict != Feed {
			continue
		}
		n := float64(c.Stands())
		fed = true
		out.Colonies += n * (c.Risk.Frac - c.RiskFed.Frac)
		out.SugarKg += n * (c.SyrupSugarKg + c.SolidKg)
		feedings += n * c.Policy.Feedings
		for k := range c.Feedings {
			f := &c.Feedings[k]
			at := visit{c.Yard, f.Date}
			if _, ok := most[at]; !ok {
				met = append(met, at)
			}
			most[at] = math.Max(most[at], f.NeededFrac)
		}
	}
	driven := 0.0
	for _, at := range met {
		out.Visits += most[at]
		price, own := trips[at.yard]
		if !own {
			price = p.Trip
		}
		driven += most[at] * price
	}
	out.Saved = out.Colonies * p.Colony
	out.Spent = out.SugarKg*p.SugarPerKg + driven + feedings*season.FeedingDays*p.Day
	if out.Visits > 0 {
		out.ByTrip = out.Saved / out.Visits
	}
	if out.SugarKg > 0 {
		out.ByKg = out.Saved / out.SugarKg
	}
	return out, fed
}
