package decide

import (
	"bloomgap/feed/plan"
	"bloomgap/sim/colony"
)

// mostHungry is how many members the second reading of hunger is worked out on, 100-1000,
// own judgement: they tell only what it changes, for three members in ten that live the
// other way to 5 %.
const mostHungry = 100

// hungry is the second reading beside the careful one: the same members, left alone, with
// brood cut back as stores fall (colony.Runner.SimulateHungry). Only a colony that
// may run out has one. Its risk is the careful one, less the share of members that
// live by it.
func (w *Worker) hungry(a *grown, risk plan.Risk) plan.Hungry {
	n := min(w.o.paired(mostHungry), a.members)
	if count(a.starve[:n]) == 0 {
		return plan.Hungry{}
	}
	least := a.leastByKg[len(a.leastByKg)-1]
	var care colony.Treatment
	var grown, cut []float64
	change := make([]float64, n) // in what starves, by member
	for m := range n {
		w.step()
		c := &a.cases[m]
		if least[m] >= c.Params.HungryFromKg { // it is never hungry
			grown, cut = append(grown, a.bloomBees[m]), append(cut, a.bloomBees[m])
			continue
		}
		o := w.runner.SimulateHungry(c.Spring(), c.Start, &care, 0, nil)
		if a.starve[m] >= 0 {
			change[m]--
		}
		if o.StarveDay >= 0 {
			change[m]++
			continue
		}
		cut = append(cut, o.BloomBees)
		grown = append(grown, a.bloomBees[m])
	}
	return plan.Hungry{Members: n, Risk: changed(risk, change), Growing: risk, BloomBees: w.rangeOf(cut), GrowingBees: w.rangeOf(grown)}
}
