package feed

import "bloomgap/feed/season"

// way is one way to give feed. Figures are of feeding.md's practice table
// (common practice) unless said otherwise.
type way struct {
	name     string
	holdsL   float64       // what one usually holds, L
	touching bool          // syrup is warmed by the cluster
	reach    float64       // how far bees must leave the cluster, 0 touching to 1 to the entrance; own judgement
	opens    float64       // disturbance of a refill, 0 none to 1 hive opened; own judgement
	needs    []season.Item // equipment, first the one that holds the syrup or its bag
	risks    string        // what to mind
}

// ways lists the ways to give syrup inside or at a hive. Open feeding is not
// among them: it is only ever a warning.
func ways() []way {
	return []way{
		{name: "bag on the top bars", holdsL: 4, touching: true, reach: 0, opens: 0.7, needs: []season.Item{season.BagRim},
			risks: "scrape burr comb first, slit the bag on top only, lay it over the cluster and not over an empty gap"},
		{name: "pail over the inner cover", holdsL: 6, touching: false, reach: 0.35, opens: 0.1, needs: []season.Item{season.Pail, season.HoledCover, season.EmptyBox},
			risks: "fill to the brim and cool before turning it over; warm days and cold nights make it drip"},
		{name: "frame feeder", holdsL: 3.5, touching: false, reach: 0.55, opens: 0.9, needs: []season.Item{season.FrameFeeder},
			risks: "float or ladder against drowning; takes the place of an outer frame"},
		{name: "tray under the lid", holdsL: 8, touching: false, reach: 0.7, opens: 0.1, needs: []season.Item{season.Tray},
			risks: "coldest place for syrup: bees come up in warm weather only"},
		{name: "jar at the entrance", holdsL: 1, touching: false, reach: 1, opens: 0, needs: []season.Item{season.EntranceJar},
			risks: "mild weather only; worst for robbing"},
	}
}

// solidHoldsKg is the most sugar laid over a cluster at once, kg, 1.5-2.5
// (feeding.md; 2.5 kg in an emergency, National Bee Unit 2013).
const solidHoldsKg = 2.5
