package asked

import (
	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
)

// unwrap says whether the wrap may come off on a day, against leaving it on until nectar;
// of a bare hive, what one would spare from the next visit on.
func unwrap(k *decide.Case, opt Options) []plan.Note {
	visits := k.Yard().Visits
	day := visits[0].Date
	if !opt.UnwrapOn.IsZero() {
		day = opt.UnwrapOn
	}
	u := k.Unwrap(day, opt.UnwrapKg)
	var says []plan.Note
	switch {
	case !u.Wrapped:
		says = append(says, plan.WrapOn{What: u, Freeze: k.Yard().NightsFreeze()})
	case u.From.After(u.On):
		says = append(says, plan.WrapKeep{What: u})
	default:
		says = append(says, plan.WrapOff{What: u})
	}
	return append(says, plan.WrapRisk{RiskOn: u.RiskOn, RiskOff: u.RiskOff, FedOn: u.FedOn, FedOff: u.FedOff, Fed: len(k.Plan.Feedings) > 0},
		plan.WrapNights{From: u.On, Nectar: k.Plan.Nectar.P50, CoolNights: u.CoolNights, CoolC: u.CoolC},
		plan.WrapFrom{From: u.From, UnderKg: u.UnderKg}, plan.WrapCare{})
}
