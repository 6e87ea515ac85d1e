package order

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sort"
	"syscall"
	"time"

	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// Made is how a plan was made: what the amounts of an order depend on beside the
// season.
type Made struct {
	Version    string // of the program
	Members    int
	Supplement bool // was considered
}

// SumsOf are the sums of a planned season, whose yards take all, more than at the
// first visits from the day laterBy on.
func SumsOf(s *season.Season, made Made, cs []plan.ColonyPlan, all *Demand, laterBy time.Time) plan.Sums {
	set := &s.Settings
	out := plan.Sums{Format: plan.SumsFormat, Terms: termsOf(s, made), Keys: colonyKeys(s), Invented: s.Invented,
		Seed: set.Seed, Members: made.Members, BagKg: set.SugarBagKg, WasteFrac: set.WasteFrac}
	for i := range s.Yards {
		out.Yards = append(out.Yards, s.Yards[i].Name)
	}
	out.SyrupML, out.WaterML, out.SugarG, out.SolidG, out.SupplementG, out.NowG = all.syrupML, all.waterML, all.sugarG, all.solidG, all.supplementG, all.nowG
	needed, onHand := map[gearKey]int{}, map[gearKey]int{}
	out.LaterBy = dayOrNone(laterBy)
	for i := range cs {
		if cs[i].Verdict != plan.Feed {
			continue
		}
		out.Fed += cs[i].Stands()
		for _, item := range decide.Gear(&cs[i]) {
			needed[gearKey{cs[i].Yard, item}] += cs[i].Stands()
		}
	}
	for _, e := range s.Equipment {
		yard := ""
		if e.Yard != "" {
			y := s.Yard(e.Yard)
			if y == nil {
				continue // of a yard that is planned apart
			}
			yard = y.Name
		}
		onHand[gearKey{yard, e.Item}] += e.Count
	}
	out.Needed, out.OnHand = gearCounts(needed), gearCounts(onHand)
	return out
}

type gearKey struct {
	yard string
	item season.Item
}

func gearCounts(m map[gearKey]int) []plan.GearCount {
	out := make([]plan.GearCount, 0, len(m))
	for k, n := range m {
		out = append(out, plan.GearCount{Yard: k.yard, Item: k.item, Count: n})
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].Yard != out[j].Yard {
			return out[i].Yard < out[j].Yard
		}
		return out[i].Item < out[j].Item
	})
	return out
}

// Of is what the sums come to.
func Of(s plan.Sums) plan.Order {
	all := Demand{syrupML: s.SyrupML, waterML: s.WaterML, sugarG: s.SugarG, solidG: s.SolidG, supplementG: s.SupplementG, nowG: s.NowG}
	o := all.Order(s.Fed, s.BagKg, s.Seed, s.WasteFrac)
	if by, err := time.Parse(time.DateOnly, s.LaterBy); err == nil && o.LaterSugarKg.P90 > 0 {
		o.LaterBy = by
	}
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
func MergeSums(parts []plan.Sums) (plan.Sums, error) {
	if len(parts) == 0 {
		return plan.Sums{}, fmt.Errorf("there is nothing to merge")
	}
	first := &parts[0]
	out := plan.Sums{Format: plan.SumsFormat, Terms: first.Terms, Seed: first.Seed, Members: first.Members, BagKg: first.BagKg, WasteFrac: first.WasteFrac}
	var all Demand
	needed, onHand := map[gearKey]int{}, map[gearKey]int{}
	for i := range parts {
		p := &parts[i]
		if err := checkSums(p); err != nil {
			return plan.Sums{}, fmt.Errorf("%s: %w", partName(p, i), err)
		}
		if name, a, b := unlike(first.Terms, p.Terms); name != "" {
			return plan.Sums{}, fmt.Errorf("%s was planned with another %s (%s) than %s (%s): plan all parts alike", partName(p, i), name, b, partName(first, 0), a)
		}
		if p.Seed != out.Seed || p.Members != out.Members || p.BagKg != out.BagKg || p.WasteFrac != out.WasteFrac {
			return plan.Sums{}, fmt.Errorf("%s does not hold the seed, members, bag and waste of its terms", partName(p, i))
		}
		if err := yardTwice(&out, p); err != nil {
			return plan.Sums{}, err
		}
		out.Yards, out.Keys = append(out.Yards, p.Yards...), append(out.Keys, p.Keys...)
		d := Demand{syrupML: p.SyrupML, waterML: p.WaterML, sugarG: p.SugarG, solidG: p.SolidG, supplementG: p.SupplementG, nowG: p.NowG}
		out.Fed += p.Fed
		if p.LaterBy != "" && (out.LaterBy == "" || p.LaterBy < out.LaterBy) {
			out.LaterBy = p.LaterBy
		}
		out.Invented = out.Invented || p.Invented
		all.Add(&d)
		for _, g := range p.Needed {
			needed[gearKey{g.Yard, g.Item}] += g.Count
		}
		for _, g := range p.OnHand {
			k := gearKey{g.Yard, g.Item}
			if n, told := onHand[k]; told && n != g.Count {
				return plan.Sums{}, fmt.Errorf("parts tell of %d and of %d of %s on hand", n, g.Count, g.Item)
			}
			onHand[k] = g.Count
		}
	}
	out.SyrupML, out.WaterML, out.SugarG, out.SolidG, out.SupplementG, out.NowG = all.syrupML, all.waterML, all.sugarG, all.solidG, all.supplementG, all.nowG
	out.Needed, out.OnHand = gearCounts(needed), gearCounts(onHand)
	return out, nil
}

// WriteSums writes the sums as JSON.
func WriteSums(w io.Writer, s plan.Sums) error {
	return json.NewEncoder(w).Encode(s)
}

// ReadSums reads what WriteSums wrote.
func ReadSums(r io.Reader) (plan.Sums, error) {
	var s plan.Sums
	d := json.NewDecoder(r)
	d.DisallowUnknownFields()
	if err := d.Decode(&s); err != nil {
		switch {
		case errors.Is(err, io.EOF):
			return plan.Sums{}, errors.New("the file is empty")
		case errors.Is(err, syscall.EISDIR):
			return plan.Sums{}, errors.New("this is a folder, not a file of sums")
		}
		return plan.Sums{}, errors.New("this is not a file of sums")
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return plan.Sums{}, errors.New("something stands behind the part; give one part a file")
	}
	return s, nil
}

// dayOrNone is a day as text; "" for none.
func dayOrNone(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}
