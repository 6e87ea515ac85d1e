package decide

import (
	"time"

	"bloomgap/feed/plan"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// sugarShares are the shares of the planned sugar whose risk is worked out; own
// choice, from none to half as much again.
var sugarShares = []float64{0, 0.25, 0.5, 0.75, 1, 1.25, 1.5}

// startDelays are the days by which all feedings are put off; own choice, a week
// to four.
var startDelays = []int{0, 7, 14, 21, 28}

// trades weighs other amounts and starts than the planned ones, on the bees and
// brood of a colony without supplement: what each spring is given by the plan, more
// or less of it, or later.
type trades struct {
	sugarDead, startDead []int
	ledger               colony.DailyDemand
	scratch              []colony.Feeding
	sugarKg              float64 // given, over the members
	members              int
}

func newTrades() *trades {
	return &trades{sugarDead: make([]int, len(sugarShares)), startDead: make([]int, len(startDelays))}
}

// add runs one member with what it is given by the plan.
func (t *trades) add(r *colony.Runner, cs *ensemble.Realization, reserveKg float64, given []colony.Feeding) {
	t.members++
	r.SimulatePopulation(cs.Spring(), cs.Start, &colony.Treatment{}, &t.ledger, nil)
	starves := func(share float64, delay int) int {
		t.scratch = t.scratch[:0]
		for _, f := range given {
			if share > 0 {
				f.SyrupKg, f.SugarKg, f.SolidKg = f.SyrupKg*share, f.SugarKg*share, f.SolidKg*share
				f.Day += delay
				t.scratch = append(t.scratch, f)
			}
		}
		if r.SimulateStores(cs.Spring(), cs.Start.StoresKg, t.scratch, reserveKg, &t.ledger, nil).StarveDay >= 0 {
			return 1
		}
		return 0
	}
	for _, f := range given {
		t.sugarKg += f.SugarKg
	}
	for i, share := range sugarShares {
		t.sugarDead[i] += starves(share, 0)
	}
	for i, delay := range startDelays {
		t.startDead[i] += starves(1, delay)
	}
}

// put writes what was found for a plan whose first feeding is on a day, of a colony whose risk
// is known when it is left alone: what members show too much or too little of that, they
// show too much or too little of the others.
func (t *trades) put(d *plan.Detail, alone float64, first time.Time) {
	if t.members == 0 {
		return
	}
	risk := func(dead int) plan.Risk {
		r := plan.RiskOf(dead, t.members)
		if all := t.sugarDead[0]; all > 0 {
			r.Frac = alone * (float64(dead) / float64(all))
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
