package feed

import (
	"fmt"
	"math"
	"sort"

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
	main   string // what speaks most against it
	onHand bool
}

// choose ranks the ways to give a schedule's syrup and says why.
func choose(y *yardWork, need []float64, start int, strength syrup.Strength, s *season.Season) (way, Choice) {
	rules := &s.Settings.Rules
	coldest, mostL := math.Inf(1), 0.0
	before := 0.0
	for k := start; k < len(y.visits); k++ {
		v := &y.visits[k]
		if v.needed >= strayFrac && v.maxC >= touchingFromC(rules) {
			coldest = math.Min(coldest, v.maxC)
			mostL = math.Max(mostL, (need[k]-before)/strength.StoresKgPerL())
		}
		before = need[k]
	}
	days := y.facts.nectar.P50.Sub(y.visits[start].date).Hours() / 24
	still := clampFrac(y.facts.nonFlying.P50 / math.Max(1, y.facts.nectar.P50.Sub(s.Today).Hours()/24))

	var list []scored
	for _, wy := range ways() {
		if holdsL := s.Holds(y.yard.Name, wy.needs[0]); !math.IsNaN(holdsL) {
			wy.holdsL = holdsL // the keeper's own feeder
		}
		c := scored{way: wy, onHand: true}
		worst := 0.0
		against := func(points float64, why string) {
			c.points += points
			if points > worst {
				worst, c.main = points, why
			}
		}
		for _, item := range wy.needs {
			// A season that lists no equipment has not said that there is none.
			if len(s.Equipment) > 0 && s.OnHand(y.yard.Name, item) == 0 {
				c.onHand = false
			}
		}
		against(pointsReach*wy.reach*still, fmt.Sprintf("bees must leave the cluster for it, and on about %.0f of the days to nectar they cannot fly", y.facts.nonFlying.P50))
		if coldest < rules.AnyFeederFromC && wy.reach > 0.4 {
			against(pointsTooFar, fmt.Sprintf("too far from the cluster for days with a maximum of about %s", words{s.Settings.UnitsUS}.temp(coldest)))
		}
		if coldest < rules.TouchingOnlyBelowC && !wy.touching {
			against(pointsTooFar/4, fmt.Sprintf("does not touch the cluster, and days reach only about %s", words{s.Settings.UnitsUS}.temp(coldest)))
		}
		if !c.onHand {
			against(pointsBuy, "not on hand")
		}
		if lack := mostL/wy.holdsL - 1; lack > 0 {
			against(pointsSmall*lack, fmt.Sprintf("holds %s of the %s that a visit must give", words{s.Settings.UnitsUS}.litres(wy.holdsL), words{s.Settings.UnitsUS}.litres(mostL)))
		}
		against(pointsOpen*wy.opens, "the hive is opened at each fill")
		if wy.touching && still < 0.35 {
			against(pointsOnce, "a bag is used once, and it is warm enough for a feeder that is filled again")
		}
		if wy.holdsL > 2*mostL {
			against(pointsBig, "more room than the fills need")
		}
		list = append(list, c)
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].points < list[j].points })
	best, next := list[0], list[1]
	return best.way, Choice{
		Way:      best.way.name,
		OnHand:   best.onHand,
		Reason:   forReason(y, best.way, still, days),
		Mind:     best.way.risks,
		RunnerUp: next.way.name,
		Against:  next.main,
	}
}

// forReason is why a way was chosen, one line.
func forReason(y *yardWork, wy way, still, days float64) string {
	switch {
	case wy.touching:
		return fmt.Sprintf("about %.0f days without flight to nectar, in one spring of ten %.0f in a row: syrup must lie against the cluster, which warms it",
			y.facts.nonFlying.P50, y.facts.coldSpell.P90)
	case still > 0.35:
		return fmt.Sprintf("about %.0f days without flight to nectar: close over the cluster, filled without opening the brood nest", y.facts.nonFlying.P50)
	case wy.reach > 0.6:
		return fmt.Sprintf("bees fly on most of the %.0f days: a large feeder that is quick to fill", days)
	}
	return fmt.Sprintf("bees fly on most of the %.0f days and reach it: it holds a visit's feed and is filled again", days)
}

// solidChoice is the answer when no syrup is given at all.
func solidChoice(y *yardWork, s *season.Season) Choice {
	return Choice{
		Way:      "solid feed over the cluster",
		OnHand:   len(s.Equipment) == 0 || s.OnHand(y.yard.Name, season.CandyRim) > 0,
		Reason:   fmt.Sprintf("days reach only about %s: too cold for syrup", words{s.Settings.UnitsUS}.temp(y.visits[0].maxC)),
		Mind:     "it must touch the cluster; look again at each visit whether it is eaten",
		RunnerUp: "bag on the top bars",
		Against:  "syrup is not taken while it is this cold",
	}
}

func clampFrac(x float64) float64 { return math.Max(0, math.Min(1, x)) }
