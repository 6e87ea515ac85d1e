package plan

import (
	"time"

	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

// Card decides at the hive: for hives of a yard by their seams of bees, and for each
// visit ahead, the food under which to feed, and what to give.
type Card struct {
	Yard     string
	Today    time.Time
	Invented bool
	Judged   season.FoodKind // the way of judging food whose error the lines allow for
	Visits   []time.Time
	Hives    []CardHives
	Nectar   DateRange
	Weather  WeatherSource
	Warnings []Note
}

// CardHives are the hives of a yard that are built alike.
type CardHives struct {
	Boxes   []season.Boxes
	Frames  int // in a full box
	Wrapped bool
	Rows    []CardRow
}

// CardRow is for hives with so many seams of bees on the first visit.
type CardRow struct {
	FromSeams, ToSeams int // from and up to this many; ToSeams 0: or more
	Strength           syrup.Strength
	Feeder             Feeder
	Cells              []CardCell // by visit
}

// CardCell is what to do at one visit: nothing where nothing is given.
type CardCell struct {
	SyrupL, SugarKg, WaterL float64
	SolidKg                 float64
	All                     bool        // whatever the hive holds
	UnderKg                 float64     // kg of stores, feed still in the hive among them
	UnderGrossKg            float64     // the same on a scale under the whole hive
	UnderBackKg             float64     // and on a hand scale at the back
	UnderFrames             float64     // in full combs of food, of the main kind of box
	UnderHeft               season.Heft // the heaviest word that such a hive hefts as; 0: lighter than light
}

// None tells that nothing is given.
func (c *CardCell) None() bool { return c.SyrupL == 0 && c.SolidKg == 0 }
