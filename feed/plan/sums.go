package plan

import "bloomgap/feed/season"

// SumsFormat names the layout of Sums as it is written to a file.
const SumsFormat = "bloomgap sums 3"

// Sums are all that parts of a season planned apart must share to make one
// order: what their schedules use in each member, and their equipment. Members
// are the same for the same seed, and the sums are whole numbers, so that parts
// come together exactly, in any order.
type Sums struct {
	Source      string      `json:"-"` // how the part is called in messages; "": by its number
	Format      string      `json:"format"`
	Terms       []Term      `json:"terms"` // what parts must have in common
	Invented    bool        `json:"invented_example"`
	Seed        uint64      `json:"seed"`
	Members     int         `json:"members"`
	BagKg       float64     `json:"sugar_bag_kg"`
	Yards       []string    `json:"yards"`
	Keys        []string    `json:"yard_keys"` // of Yards, the same for the same colonies
	Fed         int         `json:"colonies_fed"`
	SyrupML     []int64     `json:"syrup_ml"`
	WaterML     []int64     `json:"water_ml"`
	SugarG      []int64     `json:"syrup_sugar_g"`
	SolidG      []int64     `json:"solid_g"`
	SupplementG []int64     `json:"supplement_g"`
	NowG        []int64     `json:"first_visit_sugar_g"`
	WasteFrac   float64     `json:"waste_frac"`
	LaterBy     string      `json:"later_by"` // first day after the first visits that may need feed, yyyy-mm-dd; "": none
	Needed      []GearCount `json:"equipment_needed"`
	OnHand      []GearCount `json:"equipment_on_hand"`
}

// GearCount is a number of one item at a yard; yard "" is for all yards.
type GearCount struct {
	Yard  string      `json:"yard"`
	Item  season.Item `json:"item"`
	Count int         `json:"count"`
}

// Term is something that parts planned apart must have in common for their sums
// to mean the same: its name in plain words, and its value as text.
type Term struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}
