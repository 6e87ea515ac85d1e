package decide

import (
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/sim/colony"
)

// sugarShares are the shares of the planned sugar whose risk is worked out; own
// choice, from none to half as much again.
var sugarShares = []float64{0, 0.25, 0.5, 0.75, 1, 1.25, 1.5}

// startDelays are the days by which all feedings are put off; own choice, a week
// to four.
var startDelays = []int{0, 7, 14, 21, 28}

// trades weighs other amounts and starts than the planned ones on the members that the
// plan was judged on: what each spring is given by the plan, more or less of it, or later.
type trades struct {
	sugarDead, startDead []int
	scratch              []colony.Feeding
	sugarKg              float64 // given, over the members
	members              int
}

func newTrades() *trades {
	return &trades{sugarDead: make([]int, len(sugarShares)), startDead: make([]int, len(startDelays))}
}

// add runs one member with what it is given by the plan, and tells the day on which it starves
// by that; -1 never.
func (t *trades) add(r *colony.Runner, x *schedule.Member, reserveKg float64, given []colony.Feeding) (starve int) {
	t.members++
	starves := func(share float64, delay int) int {
		t.scratch = t.scratch[:0]
		for _, f := range given {
			if share > 0 {
				f.SyrupKg, f.SugarKg, f.SolidKg = f.SyrupKg*share, f.SugarKg*share, f.SolidKg*share
				f.Day += delay
				t.scratch = append(t.scratch, f)
			}
		}
		return r.SimulateStores(x.Spring, x.StartKg, t.scratch, reserveKg, x.Demand, nil).StarveDay
	}
	for _, f := range given {
		t.sugarKg += f.SugarKg
	}
	for i, share := range sugarShares {
		if starves(share, 0) >= 0 {
			t.sugarDead[i]++
		}
	}
	for i, delay := range startDelays {
		day := starves(1, delay)
		if day >= 0 {
			t.startDead[i]++
		}
		if delay == 0 {
			starve = day
		}
	}
	return starve
}

// put writes what was found for a plan whose first feeding is on a day. Of nothing given and of
// the plan the risks are known better than by counting: in between members tell.
func (t *trades) put(d *plan.Detail, first time.Time) {
	if t.members == 0 {
		return
	}
	none, planned := float64(t.sugarDead[0]), float64(t.startDead[0])
	risk := func(dead int) plan.Risk {
		r := plan.RiskOf(dead, t.members)
		switch n := float64(dead); {
		case n > planned:
			r.Frac = d.Starves.Fed + (d.Starves.Alone-d.Starves.Fed)*((n-planned)/(none-planned))
		case n < planned:
			r.Frac = d.Starves.Fed * (n / planned)
		default:
			r.Frac = d.Starves.Fed
		}
		return r
	}
	meanKg := t.sugarKg / float64(t.members)
	for i, share := range sugarShares {
		d.BySugar = append(d.BySugar, plan.Trade{SugarKg: meanKg * share, Risk: risk(t.sugarDead[i]), Planned: share == 1})
	}
	for i, delay := range startDelays {
		d.ByStart = append(d.ByStart, plan.Trade{SugarKg: meanKg, Start: first.AddDate(0, 0, delay),
			Risk: risk(t.startDead[i]), Planned: delay == 0})
	}
}
