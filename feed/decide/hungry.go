package decide

import (
	"bloomgap/feed/plan"
	"bloomgap/sim/colony"
)

// mostHungry is how many members the second reading of hunger is worked out on,
// 200-1000, own judgement: those of a plan with the usual settings, at a tenth of its
// time; a risk of 20 % is then good to 2 %.
const mostHungry = 300

// hungry is the second reading beside the careful one: the same members, left alone, with
// brood cut back as stores fall (colony.Runner.SimulateHungry). Only a colony that
// may run out has one.
func (w *Worker) hungry(a *grown) plan.Hungry {
	n := min(mostHungry, a.members)
	growing := count(a.starve[:n])
	if growing == 0 {
		return plan.Hungry{}
	}
	died, least := 0, a.leastByKg[len(a.leastByKg)-1]
	var care colony.Treatment
	var grown, cut []float64
	for m := range n {
		w.step()
		c := &a.cases[m]
		if least[m] >= c.Params.HungryFromKg { // it is never hungry
			grown, cut = append(grown, a.bloomBees[m]), append(cut, a.bloomBees[m])
			continue
		}
		o := w.runner.SimulateHungry(c.Spring(), c.Start, &care, 0, nil)
		if o.StarveDay >= 0 {
			died++
			continue
		}
		cut = append(cut, o.BloomBees)
		grown = append(grown, a.bloomBees[m])
	}
	return plan.Hungry{Members: n, Risk: plan.RiskOf(died, n), Growing: plan.RiskOf(growing, n), BloomBees: w.rangeOf(cut), GrowingBees: w.rangeOf(grown)}
}
