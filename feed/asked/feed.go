package asked

import (
	"math"
	"slices"

	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
	"bloomgap/feed/syrup"
	"bloomgap/sim/observe"
)

// feeder says which it is and what speaks against each of the others.
func feeder(k *decide.Case) []plan.Note {
	c := k.Plan
	ways := k.Ways()
	says := []plan.Note{}
	left := ways
	if c.Choice.Feeder == plan.SolidOverCluster {
		says = append(says, plan.FeederIs{Feeder: plan.SolidOverCluster, Why: c.Choice.Reason})
	} else {
		why := c.Choice.Reason
		if why == nil { // nothing is fed: why it would be this one
			why = k.WhyBest()
		}
		says = append(says, plan.FeederIs{Feeder: ways[0].Feeder, Why: why})
		left = ways[1:]
	}
	var not []plan.FeederNot
	for _, w := range left {
		i := slices.IndexFunc(not, func(n plan.FeederNot) bool { return n.Why == w.Against })
		if i < 0 {
			i, not = len(not), append(not, plan.FeederNot{Why: w.Against})
		}
		not[i].Feeders = append(not[i].Feeders, w.Feeder)
	}
	for _, n := range not {
		says = append(says, n)
	}
	return append(says, plan.OpenCare{})
}

// open says why no tub stands in the open.
func open(k *decide.Case) []plan.Note {
	c := k.Plan
	return []plan.Note{plan.OpenNot{Days: c.NonFlying.P50, Of: daysToNectar(k), SpellDays: c.ColdSpell.P90}, plan.OpenCare{}}
}

// mostFrac is the share of springs that an amount of food is to do for, own choice.
const mostFrac = 0.9

// honey says what stands against it and what sound combs of the same yard would do.
func honey(k *decide.Case) []plan.Note {
	says := []plan.Note{plan.HoneyNot{}}
	if lack := k.LackKg(mostFrac); lack > 0 {
		says = append(says, plan.HoneyFrames{LackKg: lack, Frames: framesOf(lack)})
	} else {
		says = append(says, plan.HoneyEnough{RiskFrac: k.Plan.Risk.Frac})
	}
	return append(says, plan.HoneyCare{})
}

// framesOf is how many deep frames surely hold so much food, to the half frame.
func framesOf(kg float64) float64 { return math.Ceil(kg/observe.LeastDeepFrameKg*2) / 2 }

// candy says whether solid feed is for the days to come, and how long a block lasts.
func candy(k *decide.Case) []plan.Note {
	maxC, below := k.Yard().Visits[0].MaxC, k.Yard().Season.Settings.Rules.TouchingOnlyBelowC
	var first plan.Note = plan.CandyNotNow{MaxC: maxC, BelowC: below}
	if maxC < below {
		first = plan.CandyNow{MaxC: maxC, BelowC: below}
	}
	kg := k.SolidHoldsKg()
	return []plan.Note{first, plan.CandyLasts{SugarKg: kg, StoresKg: kg * k.SolidKgPerKgSugar(), Days: k.Solid(kg, 0).Days}, plan.CandyCare{}}
}

// jar sets a jar at the entrance beside the chosen feeder.
func jar(k *decide.Case) []plan.Note {
	ways := k.Ways()
	best, it := ways[0], ways[0]
	for _, w := range ways {
		if w.Feeder == plan.EntranceJar {
			it = w
		}
	}
	visit, _ := k.FirstSyrup()
	strength := syrup.ThreeToTwo()
	e := k.Syrup(strength, it.HoldsL, false, visit)
	var first plan.Note = plan.JarCan{}
	if best.Feeder != plan.EntranceJar {
		first = plan.JarNot{Why: it.Against}
	}
	holds := plan.JarHolds{HoldsL: it.HoldsL, FoodDays: it.HoldsL * strength.StoresKgPerL() / k.NeedKgPerDay(), Days: e.Days, LeftFrac: e.LeftFrac}
	return []plan.Note{first, holds, plan.JarCare{}}
}
