package asked

import (
	"fmt"
	"math"

	"bloomgap/feed/decide"
	"bloomgap/feed/season"
)

// mostApartDays is how far the last looks at two colonies may lie apart for one of them to
// be put on the day of the other, d, 3-14, own choice: in a week of March a colony uses a
// good half kg, less than a hand tells.
const mostApartDays = 7

// NoNeighbourError says why a named colony cannot be the one to unite another with, and
// what to do.
type NoNeighbourError struct{ Why string }

func (e *NoNeighbourError) Error() string { return e.Why }

// named finds a colony of the same yard that another may be united with by name.
func named(k *decide.Case, name string) (*season.Colony, error) {
	no := func(format string, args ...any) (*season.Colony, error) {
		return nil, &NoNeighbourError{fmt.Sprintf(format, args...)}
	}
	yard, here := k.Yard(), k.Plan.Yard
	var col *season.Colony
	for _, c := range yard.Colonies {
		if season.SameName(c.Name, name) {
			col = c
		}
	}
	if col == nil {
		for i := range yard.Season.Colonies {
			if c := &yard.Season.Colonies[i]; season.SameName(c.Name, name) {
				return no("colony %q stands in yard %q, not in %q; name one of the same yard", name, c.Yard, here)
			}
		}
		return no("there is no colony %q in yard %q; name one of that yard", name, here)
	}
	last := col.Last()
	switch {
	case season.SameName(col.Name, k.Plan.Colony):
		return no("colony %q cannot be united with itself; name another of yard %q", name, here)
	case k.Plan.Tally != nil:
		return no("%q stands for many hives, which one colony cannot take; leave the name of the neighbour out", k.Plan.Colony)
	case col.Tally != nil:
		return no("%q stands for many hives; name one hive, or say what is usual of them by its seams and heft", name)
	case !col.Alive:
		return no("colony %q of yard %q is dead; name a live one", name, here)
	case last == nil || last.Food.Kind == season.FoodUnknown || math.IsNaN(last.SeamsOfBees):
		return no("the last look at colony %q of yard %q tells not both its food and its seams of bees; look at it, or say what is usual by seams and heft", name, here)
	}
	if apart := math.Abs(last.Date.Sub(k.Plan.SeenOn).Hours() / 24); apart > mostApartDays {
		return no("colony %q was looked at %.0f days from colony %q, more than %d; look at both within a week of one another", name, apart, k.Plan.Colony, mostApartDays)
	}
	for _, g := range season.GivenTo(yard.Season.GivenByYard()[here], col.Name) {
		if !g.Date.Before(last.Date) {
			return no("colony %q was fed since its last look, so that nobody has seen what it holds; look at it again", name)
		}
	}
	return col, nil
}
