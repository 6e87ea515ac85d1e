package decide

import (
	"math"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
)

// reason says why a colony gets its verdict.
func (w *Worker) reason(s *subject, alone *grown, out *plan.ColonyPlan) []plan.Note {
	set := &w.o.Season.Settings
	seen := plan.Seen{Food: s.obs.Food.Kind, On: s.obs.Date, Before: max(0, len(s.looks)-1), StoresKg: out.StoresKg, Bees: out.Bees.P50}
	need := plan.Need{Nectar: out.Nectar, On: s.obs.Date, StoresKg: w.neededKg(s, alone), KgPerWeek: 7 * w.rangeOf(alone.needKgPerDay[:out.Members]).P50}
	w.sorted = append(w.sorted[:0], alone.shortKg[:out.Members]...)
	if lack := schedule.Quantile(w.sorted, 1-set.AcceptRiskFrac); lack > 0 {
		need.LackKg, need.LackFrac = lack, set.AcceptRiskFrac
	}
	var verdict plan.Note
	switch {
	case out.Verdict == plan.Feed:
		verdict = plan.Starves{RiskFrac: out.Risk.Frac, AcceptFrac: set.AcceptRiskFrac, FedFrac: out.RiskFed.Frac, AcceptedBy: out.StarveDate,
			SolidFirst: len(out.Feedings) > 0 && out.Feedings[0].SolidKg > 0}
	case out.Verdict == plan.Watch && !out.ReserveDate.IsZero():
		verdict = plan.PassesReserve{RiskFrac: out.Risk.Frac, ReserveKg: set.ReserveKg, On: out.ReserveDate}
	case out.Verdict == plan.Watch:
		verdict = plan.NearTheLine{RiskFrac: out.Risk.Frac}
	default:
		verdict = plan.Holds{RiskFrac: out.Risk.Frac, ReserveKg: set.ReserveKg}
	}
	if s.given != nil {
		return []plan.Note{seen, *s.given, need, verdict}
	}
	return []plan.Note{seen, need, verdict}
}

// neededKg is what a colony had to hold on the day seen to reach nectar, in kg:
// what it held and what it was short of, or less what was to spare.
func (w *Worker) neededKg(s *subject, alone *grown) plan.Range {
	w.sorted = w.sorted[:0]
	for m, kg := range s.seenKg(alone) {
		w.sorted = append(w.sorted, math.Max(0, kg+alone.shortKg[m]))
	}
	return plan.RangeOf(w.sorted)
}

// confidenceNote says whether weighing would change the answer.
func (s *subject) confidenceNote(u *plan.Confidence) plan.Note {
	switch {
	case u.WeighFirst:
		return plan.WeighIt{RiskIfLightFrac: u.RiskIfLightFrac, RiskIfHeavyFrac: u.RiskIfHeavyFrac,
			NeedStoresKg: u.NeedStoresKg, NeedGrossKg: u.NeedGrossKg, On: s.obs.Date}
	case s.obs.Food.Kind.Weighed():
		return plan.WasWeighed{NeedStoresKg: u.NeedStoresKg, NeedGrossKg: u.NeedGrossKg, On: s.obs.Date}
	}
	return plan.WeighingIdle{NeedStoresKg: u.NeedStoresKg, NeedGrossKg: u.NeedGrossKg, On: s.obs.Date}
}
