package asked

import (
	"math"

	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
)

// Moved is a colony decided on anew in springs that come later or earlier, and opened
// there with its plain plan.
type Moved struct {
	Plan plan.ColonyPlan
	Case *decide.Case // its Plan is the plain one
}

// spring sets the answer in a moved spring beside the plain one, and under it the third of
// the plain springs that are as late or early as they come.
func spring(k *decide.Case, moved *Moved, laterDays int) ([]plan.Note, []plan.SpringCase) {
	c, m := k.Plan, &moved.Plan
	x := plan.SpringMoved{LaterDays: laterDays, Nectar: m.Nectar.P50, PlainNectar: c.Nectar.P50, Verdict: m.Verdict, PlainVerdict: c.Verdict,
		RiskFrac: m.Risk.Frac, PlainRiskFrac: c.Risk.Frac, SugarKg: sugarKg(m), PlainSugarKg: sugarKg(c), Trips: m.Policy.Feedings, PlainTrips: c.Policy.Feedings,
		StartBy: m.StartBy, PlainStartBy: c.StartBy, FedFrac: m.RiskFed.Frac, PlainFedFrac: c.RiskFed.Frac}
	x.SolidKg, x.SyrupL = first(m)
	x.PlainSolidKg, x.PlainSyrupL = first(c)
	if len(c.Feedings) > 0 {
		x.ByPlainFrac = moved.Case.FedAsPlanned().Risk.Frac
	}
	early, late := k.Thirds()
	o := k.Yard().Outlook
	day := func(t decide.Third) plan.SpringCase {
		return plan.SpringCase{Nectar: o.Date(int(math.Round(t.NectarDay))), Verdict: c.Verdict, Risk: t.Risk, RiskFed: t.Fed.Risk, SugarKg: t.Fed.SugarKg,
			Trips: t.Fed.Trips, StartBy: c.StartBy}
	}
	e, l := day(early), day(late)
	e.Kind, l.Kind = plan.EarlyThird, plan.LateThird
	all, other := caseOf(c), caseOf(m)
	other.Kind, other.LaterDays = plan.MovedSprings, laterDays
	says := []plan.Note{x, plan.SpringThirds{EarlyNectar: e.Nectar, LateNectar: l.Nectar, EarlyFrac: e.Risk.Frac, LateFrac: l.Risk.Frac,
		EarlyFed: e.RiskFed.Frac, LateFed: l.RiskFed.Frac, EarlyKg: e.SugarKg, LateKg: l.SugarKg, Feeds: len(c.Feedings) > 0},
		plan.SpringWeek{KgPerWeek: 7 * k.NeedKgPerDay()}}
	for _, v := range k.Yard().Visits {
		if v.Date.After(k.Yard().Season.Today) { // what goes on today is no look
			says = append(says, plan.SpringLook{Next: v.Date})
			break
		}
	}
	springs := []plan.SpringCase{e, all, l, other}
	if laterDays < 0 {
		springs = []plan.SpringCase{other, e, all, l}
	}
	return says, springs
}

func caseOf(c *plan.ColonyPlan) plan.SpringCase {
	return plan.SpringCase{Nectar: c.Nectar.P50, Verdict: c.Verdict, Risk: c.Risk, RiskFed: c.RiskFed, SugarKg: sugarKg(c), Trips: c.Policy.Feedings,
		StartBy: c.StartBy}
}

func sugarKg(c *plan.ColonyPlan) float64 { return c.SyrupSugarKg + c.SolidKg }

// first is what goes on at the first feeding of a plan.
func first(c *plan.ColonyPlan) (solidKg, syrupL float64) {
	if len(c.Feedings) == 0 {
		return 0, 0
	}
	return c.Feedings[0].SolidKg, c.Feedings[0].SyrupL
}
