package decide

import (
	"slices"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// way is one way to give feed. Figures are of common practice unless said otherwise.
type way struct {
	feeder   plan.Feeder
	holdsL   float64       // what one usually holds, L
	touching bool          // syrup is warmed by the cluster
	reach    float64       // how far bees must leave the cluster, 0 touching to 1 to the entrance; own judgement
	opens    float64       // disturbance of a refill, 0 none to 1 hive opened; own judgement
	needs    []season.Item // equipment, first the one that holds the syrup or its bag
}

// ways lists the ways to give syrup inside or at a hive. Open feeding is not
// among them: it is only ever a warning.
func ways() []way {
	return []way{
		{feeder: plan.BagOnBars, holdsL: 4, touching: true, reach: 0, opens: 0.7, needs: []season.Item{season.BagRim}},
		{feeder: plan.PailOverCover, holdsL: 6, touching: false, reach: 0.35, opens: 0.1, needs: []season.Item{season.Pail, season.HoledCover, season.EmptyBox}},
		{feeder: plan.FrameFeeder, holdsL: 3.5, touching: false, reach: 0.55, opens: 0.9, needs: []season.Item{season.FrameFeeder}},
		{feeder: plan.TrayUnderLid, holdsL: 8, touching: false, reach: 0.7, opens: 0.1, needs: []season.Item{season.Tray}},
		{feeder: plan.EntranceJar, holdsL: 1, touching: false, reach: 1, opens: 0, needs: []season.Item{season.EntranceJar}},
	}
}

// wayOf finds the way of a feeder; solid feed and none have no syrup to touch and
// need nothing that holds any.
func wayOf(f plan.Feeder) way {
	for _, wy := range ways() {
		if wy.feeder == f {
			return wy
		}
	}
	return way{}
}

// solidHoldsKg is the most sugar laid over a cluster at once, kg, 1.5-2.5
// (common practice; 2.5 kg in an emergency, National Bee Unit 2013).
const solidHoldsKg = 2.5

// Gear are what a colony's feeding needs.
func Gear(c *plan.ColonyPlan) []season.Item {
	items := wayOf(c.Choice.Feeder).needs
	if c.Choice.Feeder == plan.FrameFeeder && c.Policy.AtATime > 1 {
		items = append(items, season.FrameFeeder)
	}
	for _, f := range c.Feedings {
		if f.SolidKg > 0 && !slices.Contains(items, season.BagRim) {
			return append(items, season.CandyRim)
		}
	}
	return items
}
