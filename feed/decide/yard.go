package decide

import (
	"cmp"
	"slices"

	"bloomgap/feed/season"
	"bloomgap/feed/visits"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/observe"
)

// Options are what the decisions of a season have in common.
type Options struct {
	Season      *season.Season
	Base        colony.Params
	Members     int // that every colony runs on
	MostMembers int // that a colony near the line runs on at most; as many again are drawn to judge on
	Supplement  bool
	Hand        observe.Hand // of the keeper, by LearnHand
}

// Yard is a yard whose colonies are decided on.
type Yard struct {
	*visits.Yard

	given    []season.Given          // food given so far, in order of date
	compared map[*season.Colony]bool // those for which other ways are priced
	timing   timing
	shares   map[*season.Colony][]int // colonies of each tally, by member
	numbers  map[*season.Colony]int   // and on average
}

// NewYard readies an open yard. Its error is a read.InputError.
func NewYard(y *visits.Yard, o *Options, draws *ensemble.SharedDraws) (*Yard, error) {
	out := &Yard{Yard: y, given: o.Season.GivenByYard()[y.Site.Name], compared: comparedIn(y.Site.Name, y.Colonies)}
	out.shares = shares(y.Site, y.Colonies, o.Season.Settings.Seed, o.Members)
	out.numbers = wholeNumbers(season.TalliesByName(y.Colonies), out.shares)
	if o.Supplement {
		found, err := out.findTiming(draws, o.Members)
		if err != nil {
			return nil, y.NoOutlook(err)
		}
		out.timing = found
	}
	return out, nil
}

// comparedIn are the colonies of a yard for which other ways are priced, the same
// whatever their order.
func comparedIn(yard string, cs []*season.Colony) map[*season.Colony]bool {
	byKey := slices.Clone(cs)
	slices.SortFunc(byKey, func(a, b *season.Colony) int {
		return cmp.Compare(ensemble.KeyOf("compare", yard, a.Name), ensemble.KeyOf("compare", yard, b.Name))
	})
	out := map[*season.Colony]bool{}
	for _, c := range byKey[:min(comparedMost, len(byKey))] {
		out[c] = true
	}
	return out
}
