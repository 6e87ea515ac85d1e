package asked

import (
	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
	"bloomgap/feed/syrup"
)

// timedSugarKg is the sugar whose take-up is timed where the plan gives no syrup, kg,
// 1-4, own choice: a feeder of 3 to 4 L.
const timedSugarKg = 2.0

// ratio sets the three usual strengths beside one another: fed by each, and the same
// sugar timed until it is taken up.
func ratio(k *decide.Case) []plan.Note {
	c := k.Plan
	way := k.Ways()[0]
	visit, _ := k.FirstSyrup()
	sugarKg := timedSugarKg
	for _, f := range c.Feedings {
		if f.SyrupL > 0 {
			sugarKg = f.SugarKg
			for i := range k.Yard().Visits {
				if k.Yard().Visits[i].Date.Equal(f.Date) {
					visit = i
				}
			}
			break
		}
	}
	var says []plan.Note
	switch {
	case c.Verdict != plan.Feed:
		says = append(says, plan.MixNone{RiskFrac: c.Risk.Frac})
	case c.Feedings[0].SolidKg > 0:
		says = append(says, plan.MixSolidFirst{Strength: c.Strength, MaxC: k.Yard().Visits[0].MaxC})
	default:
		clearC, _ := syrup.SaturatedBelowC(c.Strength)
		says = append(says, plan.MixThis{Strength: c.Strength, Feeder: c.Choice.Feeder, ClearFromC: clearC,
			Chosen: k.Yard().Season.Settings.ChooseStrength()})
	}
	for _, s := range []syrup.Strength{syrup.OneToOne(), syrup.ThreeToTwo(), syrup.TwoToOne()} {
		x := plan.MixComes{Strength: s, StoresKgPerKg: s.YieldKgPerKgSugar(), TakenSugarKg: sugarKg, TakenVolumeL: sugarKg / s.SugarKgPerL()}
		if c.Verdict == plan.Feed {
			fed := k.FedWith(s)
			x.SugarKg, x.SyrupL, x.SolidKg, x.Trips, x.RiskFrac = fed.SugarKg, fed.SyrupL, fed.SolidKg, fed.Trips, fed.Risk.Frac
		}
		e := k.Syrup(s, x.TakenVolumeL, way.Feeder == plan.BagOnBars, visit)
		x.TakenDays, x.LeftFrac = e.Days, e.LeftFrac
		says = append(says, x)
	}
	return append(says, plan.MixCare{})
}
