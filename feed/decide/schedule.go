package decide

import (
	"math"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/syrup"
)

// What is asked of a first guess at a colony's need.
const (
	leastKg   = 0.25 // kg of stores under which nothing is needed, own judgement
	strayFrac = 0.05 // share of springs that a visit must still serve, 0.01-0.1, own judgement
)

// strengthOr is the strength of a colony's syrup, or 3:2 for one that gets none.
func strengthOr(out *plan.ColonyPlan) syrup.Strength {
	if out.Strength.IsZero() {
		return syrup.ThreeToTwo()
	}
	return out.Strength
}

// firsts are the visits at which feeding must begin: for the risk, for the
// reserve; late tells that even the first visit comes too late for more springs
// than are accepted.
type firsts struct {
	risk, reserve int
	late          bool
}

// required is the stores, kg, that must have been given by each visit so that
// the colony lasts to the next, from runs left alone.
func (w *Worker) required(s *subject, a *grown) ([]float64, firsts) {
	set, members := &w.o.Season.Settings, a.members
	n := len(s.y.Visits)
	lost := 0 // members in which the food ends before any visit can help
	for m := range members {
		if a.shortByKg[0][m] > 0 {
			lost++
		}
	}
	lostFrac := float64(lost) / float64(members)
	// The members still to be saved must carry what is left of the accepted risk.
	miss := math.Max(set.AcceptRiskFrac-lostFrac, set.AcceptRiskFrac/5) / math.Max(1e-9, 1-lostFrac)
	f := firsts{risk: n - 1, reserve: n - 1, late: lostFrac > set.AcceptRiskFrac}
	need := make([]float64, n)
	foundRisk, foundReserve := false, false
	for k := range n {
		w.sorted = w.sorted[:0]
		for m := range members {
			if a.shortByKg[0][m] <= 0 {
				w.sorted = append(w.sorted, a.shortByKg[k+1][m])
			}
		}
		short := 0.0
		if len(w.sorted) > 0 {
			short = schedule.Quantile(w.sorted, 1-math.Min(1, miss))
		}
		w.sorted = w.sorted[:0]
		for m := range members {
			if a.shortByKg[0][m] <= 0 {
				w.sorted = append(w.sorted, set.ReserveKg-a.leastByKg[k+1][m])
			}
		}
		toReserve := 0.0
		if len(w.sorted) > 0 {
			toReserve = schedule.Quantile(w.sorted, 0.5)
		}
		if short > 0 && !foundRisk {
			f.risk, foundRisk = k, true
		}
		if toReserve > leastKg && !foundReserve {
			f.reserve, foundReserve = k, true
		}
		need[k] = math.Max(0, math.Max(short, toReserve))
		if k > 0 {
			need[k] = math.Max(need[k], need[k-1])
		}
	}
	if f.late {
		f.risk = 0
	}
	return need, f
}
