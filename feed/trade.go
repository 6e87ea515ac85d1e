package feed

import (
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
// brood of a colony without supplement.
type trades struct {
	bySugar, byStart     [][]colony.Feeding
	sugarDead, startDead []int
	ledger               colony.DailyDemand
	planned              []colony.Feeding
	members              int
}

func newTrades(planned []colony.Feeding) *trades {
	t := &trades{planned: planned}
	if len(planned) == 0 {
		return t
	}
	for _, share := range sugarShares {
		var fs []colony.Feeding
		for _, f := range planned {
			if share > 0 {
				f.SyrupKg, f.SugarKg, f.SolidKg = f.SyrupKg*share, f.SugarKg*share, f.SolidKg*share
				fs = append(fs, f)
			}
		}
		t.bySugar = append(t.bySugar, fs)
	}
	for _, delay := range startDelays {
		fs := append([]colony.Feeding{}, planned...)
		for i := range fs {
			fs[i].Day += delay
		}
		t.byStart = append(t.byStart, fs)
	}
	t.sugarDead, t.startDead = make([]int, len(t.bySugar)), make([]int, len(t.byStart))
	return t
}

// add runs one member.
func (t *trades) add(r *colony.Runner, cs *ensemble.Realization, reserveKg float64) {
	if len(t.planned) == 0 {
		return
	}
	t.members++
	r.SimulatePopulation(&cs.Params, cs.Forcing, cs.Start, cs.Span, &colony.Treatment{}, &t.ledger, nil)
	starves := func(fs []colony.Feeding) int {
		if r.SimulateStores(&cs.Params, cs.Forcing, cs.Start.StoresKg, cs.Span, fs, reserveKg, &t.ledger, nil).StarveDay >= 0 {
			return 1
		}
		return 0
	}
	for i, fs := range t.bySugar {
		t.sugarDead[i] += starves(fs)
	}
	for i, fs := range t.byStart {
		t.startDead[i] += starves(fs)
	}
}

// put writes what was found.
func (t *trades) put(d *plan.Detail, s *subject) {
	sugar := 0.0
	for _, f := range t.planned {
		sugar += f.SugarKg
	}
	for i := range t.bySugar {
		d.BySugar = append(d.BySugar, plan.Trade{SugarKg: sugar * sugarShares[i], Risk: riskOf(t.sugarDead[i], t.members), Planned: sugarShares[i] == 1})
	}
	for i, fs := range t.byStart {
		d.ByStart = append(d.ByStart, plan.Trade{SugarKg: sugar, Start: s.y.outlook.Date(s.first + fs[0].Day),
			Risk: riskOf(t.startDead[i], t.members), Planned: startDelays[i] == 0})
	}
}
