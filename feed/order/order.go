package order

import (
	"math"
	"sort"
	"strings"
	"time"

	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/sim/ensemble"
)

// Taken is what one colony takes by its plan.
type Taken struct {
	Key         ensemble.Key     // of the colony
	Lots        [][]schedule.Lot // by visit, then member
	Strength    syrup.Strength   // of the syrup in them
	LossFrac    float64          // share of colonies lost for other reasons than hunger by the last visit
	SupplementG []float64        // by member; nil for none
	Shares      []int            // of a tally: its colonies, by member; nil for one colony
	Number      int              // of the colony in its tally, from 0; a member with no so many takes nothing
}

// absent tells that a member's tally has no colony of this number.
func (t *Taken) absent(m int) bool { return t.Shares != nil && t.Number >= t.Shares[m] }

// Of makes d what a colony takes in each of the members that all colonies share. A
// colony that is lost for other reasons takes no more from a visit on.
func (d *Demand) Of(t *Taken, members int) {
	d.grow(members)
	sugarPerL, waterPerL := t.Strength.SugarKgPerL(), t.Strength.WaterLPerL()
	whole := func(x float64) int64 { return int64(math.Round(1000 * x)) }
	for k, lots := range t.Lots {
		for m, l := range lots[:members] {
			if l.None() || t.absent(m) || lostBy(t.Key, m, k, len(t.Lots), t.LossFrac) {
				continue
			}
			d.syrupML[m] += whole(l.SyrupL)
			d.waterML[m] += whole(l.SyrupL * waterPerL)
			d.sugarG[m] += whole(l.SyrupL * sugarPerL)
			d.solidG[m] += whole(l.SolidKg)
			if k == 0 {
				d.nowG[m] += whole(l.SyrupL*sugarPerL) + whole(l.SolidKg)
			}
		}
	}
	for m, g := range t.SupplementG {
		if t.absent(m) {
			continue
		}
		d.supplementG[m] = int64(math.Round(g))
	}
}

// lostBy tells whether a colony is lost for other reasons than hunger before a
// visit, in a member: as likely before any of the visits after the first.
func lostBy(key ensemble.Key, member, visit, visits int, lossFrac float64) bool {
	u := key.Unit("loss", uint64(member))
	return u < lossFrac*float64(visit)/float64(max(1, visits-1))
}

// wasted is what of a member's sugar is bought beside what is given: from none to
// wasteFrac, the same for all colonies, since one keeper mixes for all.
func wasted(seed uint64, member int, wasteFrac float64) float64 {
	return wasteFrac * ensemble.KeyOf("waste").Unit("waste", seed^uint64(member))
}

// Order turns a summed demand into what to buy.
func (d *Demand) Order(colonies int, bagKg float64, seed uint64, wasteFrac float64) plan.Order {
	o := plan.Order{Colonies: colonies, BagKg: bagKg}
	if len(d.syrupML) == 0 {
		return o
	}
	over := make([]float64, len(d.syrupML)) // what a member buys for each kg given
	for m := range over {
		over[m] = 1 + wasted(seed, m, wasteFrac)
	}
	amount := func(value func(m int) float64) plan.Amount {
		x := make([]float64, len(over))
		for m := range x {
			x[m] = value(m) * over[m]
		}
		return plan.Amount{P10: schedule.Quantile(x, 0.1), P50: schedule.Quantile(x, 0.5), P90: schedule.Quantile(x, 0.9)}
	}
	syrupL := func(m int) float64 { return float64(d.syrupML[m]) / 1000 }
	sugarKg := func(m int) float64 { return float64(d.sugarG[m]) / 1000 }
	solidKg := func(m int) float64 { return float64(d.solidG[m]) / 1000 }
	allKg := func(m int) float64 { return float64(d.sugarG[m]+d.solidG[m]) / 1000 }
	o.SyrupL, o.SyrupSugarKg, o.SolidKg, o.SugarKg = amount(syrupL), amount(sugarKg), amount(solidKg), amount(allKg)
	o.WaterL = amount(func(m int) float64 { return float64(d.waterML[m]) / 1000 })
	if len(d.supplementG) > 0 {
		o.SupplementKg = amount(func(m int) float64 { return float64(d.supplementG[m]) / 1000 / over[m] })
	}
	nowKg := func(m int) float64 { return float64(d.nowG[m]) / 1000 }
	o.NowSugarKg = amount(nowKg)
	o.LaterSugarKg = amount(func(m int) float64 { return allKg(m) - nowKg(m) })
	o.SugarBags = plan.Amount{P10: math.Ceil(o.SugarKg.P10 / bagKg), P50: math.Ceil(o.SugarKg.P50 / bagKg), P90: math.Ceil(o.SugarKg.P90 / bagKg)}
	return o
}

// Pool is one kind of equipment of one yard; yard "" is for all.
type Pool struct {
	yard string
	item season.Item
}

// ShareGear hands out what is on hand in order of urgency, and says what each yard
// got; a colony that it no longer reaches is told that its gear must be bought.
func ShareGear(have []season.Equipment, cs []plan.ColonyPlan) map[Pool]int {
	got := map[Pool]int{}
	if len(have) == 0 {
		return got
	}
	left := map[Pool]int{}
	for _, e := range have {
		left[Pool{strings.ToLower(e.Yard), e.Item}] += e.Count
	}
	take := func(yard string, item season.Item, want int) bool {
		for _, k := range []Pool{{strings.ToLower(yard), item}, {"", item}} {
			n := min(want, left[k])
			left[k], want = left[k]-n, want-n
			if n > 0 {
				got[Pool{yard, item}] += n
			}
		}
		return want == 0
	}
	for i := range cs {
		c := &cs[i]
		if c.Verdict != plan.Feed {
			continue
		}
		all := true
		for _, item := range decide.Gear(c) {
			all = take(c.Yard, item, c.Stands()) && all
		}
		c.Choice.OnHand = all
	}
	return got
}

// LaterBy is the first visit at which more than what goes out at the first visits may
// be needed by the colonies of a yard, whose first visit is given; zero when none is.
func LaterBy(cs []*plan.ColonyPlan, first time.Time) (by time.Time) {
	for _, c := range cs {
		for _, f := range c.Feedings {
			if f.Date.After(first) && (by.IsZero() || f.Date.Before(by)) {
				by = f.Date
			}
		}
	}
	return by
}

// GearOf sums the equipment of a yard's colonies against what is theirs of that on
// hand.
func GearOf(cs []*plan.ColonyPlan, shares map[Pool]int) []plan.GearLine {
	needed, onHand := map[season.Item]int{}, map[season.Item]int{}
	for _, c := range cs {
		if c.Verdict == plan.Feed {
			for _, item := range decide.Gear(c) {
				needed[item] += c.Stands()
				onHand[item] = shares[Pool{c.Yard, item}]
			}
		}
	}
	return gearLines(needed, onHand)
}

func gearLines(needed, onHand map[season.Item]int) []plan.GearLine {
	var out []plan.GearLine
	for item, n := range needed {
		out = append(out, plan.GearLine{Item: item, Needed: n, OnHand: onHand[item], Buy: max(0, n-onHand[item])})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Item < out[j].Item })
	return out
}
