package decide

import (
	"math"
	"sort"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

// Weights of what speaks against a way to feed, in points; own judgement,
// ordered by what common practice holds to matter: bees that cannot reach the
// syrup starve beside it, then what is not on hand, then work and disturbance.
const (
	pointsReach  = 6.0 // for bees that must leave the cluster on days without flight
	pointsTooFar = 20. // for a feeder that the temperature rule forbids
	pointsBuy    = 1.5 // for what is not on hand
	pointsSmall  = 2.0 // for a feeder that holds half of what a visit must give
	pointsOpen   = 0.6 // for a hive opened at each fill
	pointsOnce   = 0.8 // for a bag, used once, when any feeder would do
	pointsBig    = 0.3 // for a large feeder on a small fill: the syrup stands
)

// scored is a way with what speaks against it.
type scored struct {
	way    way
	points float64
	main   plan.Note // what speaks most against it
	onHand bool
}

// choose takes the best way to give a schedule's syrup and says why.
func choose(y *Yard, need []float64, start int, s *season.Season) (way, plan.FeederChoice) {
	list := ranked(y, need, start, s)
	best, next := list[0], list[1]
	return best.way, plan.FeederChoice{
		Feeder:   best.way.feeder,
		OnHand:   best.onHand,
		Reason:   forReason(y, best.way, stillFrac(y, s), daysToNectar(y, start)),
		RunnerUp: next.way.feeder,
		Against:  next.main,
	}
}

// daysToNectar is how long nectar is away from a visit, d, median.
func daysToNectar(y *Yard, visit int) float64 {
	return y.Facts.Nectar.P50.Sub(y.Visits[visit].Date).Hours() / 24
}

// stillFrac is the share of days without flight until nectar, median.
func stillFrac(y *Yard, s *season.Season) float64 {
	return clampFrac(y.Facts.NonFlying.P50 / math.Max(1, y.Facts.Nectar.P50.Sub(s.Today).Hours()/24))
}

// ranked lists the ways to give a schedule's syrup, the best first, with what speaks
// against each.
func ranked(y *Yard, need []float64, start int, s *season.Season) []scored {
	rules, strength := &s.Settings.Rules, syrup.ThreeToTwo()
	coldest, mostL := math.Inf(1), 0.0
	before := 0.0
	for k := start; k < len(y.Visits); k++ {
		v := &y.Visits[k]
		if v.NeededFrac >= strayFrac && v.MaxC >= rules.TouchingOnlyBelowC {
			coldest = math.Min(coldest, v.MaxC)
			mostL = math.Max(mostL, (need[k]-before)/strength.StoresKgPerL())
		}
		before = need[k]
	}
	still := stillFrac(y, s)

	var list []scored
	for _, wy := range ways() {
		if holdsL := s.Holds(y.Site.Name, wy.needs[0]); !math.IsNaN(holdsL) {
			wy.holdsL = holdsL // the keeper's own feeder
		}
		c := scored{way: wy, onHand: true}
		worst := 0.0
		against := func(points float64, why plan.Note) {
			c.points += points
			if points > worst {
				worst, c.main = points, why
			}
		}
		for _, item := range wy.needs {
			// A season that lists no equipment has not said that there is none.
			if len(s.Equipment) > 0 && s.OnHand(y.Site.Name, item) == 0 {
				c.onHand = false
			}
		}
		against(pointsReach*wy.reach*still, plan.AgainstLeaving{NonFlyingDays: y.Facts.NonFlying.P50})
		if coldest < rules.AnyFeederFromC && wy.reach > 0.4 {
			against(pointsTooFar, plan.AgainstFar{MaxC: coldest})
		}
		if coldest < rules.TouchingOnlyBelowC && !wy.touching {
			against(pointsTooFar/4, plan.AgainstNotTouching{MaxC: coldest})
		}
		if !c.onHand {
			against(pointsBuy, plan.AgainstNotOnHand{})
		}
		if lack := mostL/wy.holdsL - 1; lack > 0 {
			against(pointsSmall*lack, plan.AgainstSmall{HoldsL: wy.holdsL, WantedL: mostL})
		}
		against(pointsOpen*wy.opens, plan.AgainstOpening{})
		if wy.touching && still < 0.35 {
			against(pointsOnce, plan.AgainstUsedOnce{})
		}
		if wy.holdsL > 2*mostL {
			against(pointsBig, plan.AgainstLarge{})
		}
		list = append(list, c)
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].points < list[j].points })
	return list
}

// forReason is why a feeder was chosen.
func forReason(y *Yard, wy way, still, days float64) plan.Note {
	switch {
	case wy.touching:
		return plan.FeederTouches{NonFlyingDays: y.Facts.NonFlying.P50, ColdSpellDays: y.Facts.ColdSpell.P90}
	case still > 0.35:
		return plan.FeederClose{NonFlyingDays: y.Facts.NonFlying.P50}
	case wy.reach > 0.6:
		return plan.FeederLarge{DaysToNectar: days}
	}
	return plan.FeederRefilled{DaysToNectar: days}
}

// solidChoice is the answer when no syrup is given at all.
func solidChoice(y *Yard, s *season.Season) plan.FeederChoice {
	return plan.FeederChoice{
		Feeder:   plan.SolidOverCluster,
		OnHand:   len(s.Equipment) == 0 || s.OnHand(y.Site.Name, season.CandyRim) > 0,
		Reason:   plan.FeederSolid{MaxC: y.Visits[0].MaxC},
		RunnerUp: plan.BagOnBars,
		Against:  plan.AgainstSyrupCold{},
	}
}

func clampFrac(x float64) float64 { return math.Max(0, math.Min(1, x)) }
