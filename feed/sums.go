package feed

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sort"
	"syscall"

	"bloomgap/feed/season"
)

// SumsFormat names the layout of Sums as it is written to a file.
const SumsFormat = "bloomgap sums 2"

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
	Needed      []GearCount `json:"equipment_needed"`
	OnHand      []GearCount `json:"equipment_on_hand"`
}

// GearCount is a number of one item at a yard; yard "" is for all yards.
type GearCount struct {
	Yard  string      `json:"yard"`
	Item  season.Item `json:"item"`
	Count int         `json:"count"`
}

// sums of a planned season.
func (p *Planner) sums(cs []ColonyPlan) Sums {
	set := &p.season.Settings
	s := Sums{Format: SumsFormat, Terms: p.terms(), Keys: p.colonyKeys(), Invented: p.season.Invented, Seed: set.Seed, Members: p.opt.Members, BagKg: set.SugarBagKg}
	var all demand
	for _, y := range p.yards {
		s.Yards = append(s.Yards, y.yard.Name)
		all.add(&y.sum)
	}
	s.SyrupML, s.WaterML, s.SugarG, s.SolidG, s.SupplementG = all.syrupML, all.waterML, all.sugarG, all.solidG, all.supplementG
	needed, onHand := map[gearKey]int{}, map[gearKey]int{}
	for i := range cs {
		if cs[i].Verdict != Feed {
			continue
		}
		s.Fed++
		for _, item := range cs[i].gearItems() {
			needed[gearKey{cs[i].Yard, item}]++
		}
	}
	for _, e := range p.season.Equipment {
		onHand[gearKey{e.Yard, e.Item}] += e.Count
	}
	s.Needed, s.OnHand = gearCounts(needed), gearCounts(onHand)
	return s
}

type gearKey struct {
	yard string
	item season.Item
}

func gearCounts(m map[gearKey]int) []GearCount {
	out := make([]GearCount, 0, len(m))
	for k, n := range m {
		out = append(out, GearCount{k.yard, k.item, n})
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].Yard != out[j].Yard {
			return out[i].Yard < out[j].Yard
		}
		return out[i].Item < out[j].Item
	})
	return out
}

// Order is what the sums come to.
func (s Sums) Order() Order {
	all := demand{syrupML: s.SyrupML, waterML: s.WaterML, sugarG: s.SugarG, solidG: s.SolidG, supplementG: s.SupplementG}
	o := all.order(s.Fed, s.BagKg)
	needed, onHand := map[season.Item]int{}, map[season.Item]int{}
	for _, g := range s.Needed {
		needed[g.Item] += g.Count
	}
	for _, g := range s.OnHand {
		onHand[g.Item] += g.Count
	}
	o.Gear = gearLines(needed, onHand)
	return o
}

// MergeSums puts parts together. They must have all Terms in common; a yard may
// stand in one of them only, whatever the spelling of its name, and equipment for
// all yards must agree where several tell of it.
func MergeSums(parts []Sums) (Sums, error) {
	if len(parts) == 0 {
		return Sums{}, fmt.Errorf("there is nothing to merge")
	}
	first := &parts[0]
	out := Sums{Format: SumsFormat, Terms: first.Terms, Seed: first.Seed, Members: first.Members, BagKg: first.BagKg}
	var all demand
	needed, onHand := map[gearKey]int{}, map[gearKey]int{}
	for i := range parts {
		p := &parts[i]
		if err := p.check(); err != nil {
			return Sums{}, fmt.Errorf("%s: %w", p.partName(i), err)
		}
		if name, a, b := unlike(first.Terms, p.Terms); name != "" {
			return Sums{}, fmt.Errorf("%s was planned with another %s (%s) than %s (%s): plan all parts alike", p.partName(i), name, b, first.partName(0), a)
		}
		if p.Seed != out.Seed || p.Members != out.Members || p.BagKg != out.BagKg {
			return Sums{}, fmt.Errorf("%s does not hold the seed, members and bag of its terms", p.partName(i))
		}
		if err := yardTwice(&out, p); err != nil {
			return Sums{}, err
		}
		out.Yards, out.Keys = append(out.Yards, p.Yards...), append(out.Keys, p.Keys...)
		d := demand{syrupML: p.SyrupML, waterML: p.WaterML, sugarG: p.SugarG, solidG: p.SolidG, supplementG: p.SupplementG}
		out.Fed += p.Fed
		out.Invented = out.Invented || p.Invented
		all.add(&d)
		for _, g := range p.Needed {
			needed[gearKey{g.Yard, g.Item}] += g.Count
		}
		for _, g := range p.OnHand {
			k := gearKey{g.Yard, g.Item}
			if n, told := onHand[k]; told && n != g.Count {
				return Sums{}, fmt.Errorf("parts tell of %d and of %d of %s on hand", n, g.Count, g.Item)
			}
			onHand[k] = g.Count
		}
	}
	out.SyrupML, out.WaterML, out.SugarG, out.SolidG, out.SupplementG = all.syrupML, all.waterML, all.sugarG, all.solidG, all.supplementG
	out.Needed, out.OnHand = gearCounts(needed), gearCounts(onHand)
	return out, nil
}

// Write writes the sums as JSON.
func (s Sums) Write(w io.Writer) error {
	return json.NewEncoder(w).Encode(s)
}

// ReadSums reads what Write wrote.
func ReadSums(r io.Reader) (Sums, error) {
	var s Sums
	d := json.NewDecoder(r)
	d.DisallowUnknownFields()
	if err := d.Decode(&s); err != nil {
		switch {
		case errors.Is(err, io.EOF):
			return Sums{}, errors.New("the file is empty")
		case errors.Is(err, syscall.EISDIR):
			return Sums{}, errors.New("this is a folder, not a file of sums")
		}
		return Sums{}, errors.New("this is not a file of sums")
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return Sums{}, errors.New("something stands behind the part; give one part a file")
	}
	return s, nil
}
