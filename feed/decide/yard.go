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
	NoPrices    bool         // other ways to feed are not priced
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
	out := &Yard{Yard: y, given: o.Season.GivenByYard()[y.Site.Name], compared: map[*season.Colony]bool{}}
	if !o.NoPrices {
		out.compared = comparedIn(y.Site.Name, y.Colonies)
	}
	out.pool(o)
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

// pool learns from the food that all colonies of a yard used between their looks what
// they have in common.
func (y *Yard) pool(o *Options) {
	w := NewWorker(o)
	var looked []observe.Looked
	for _, c := range byKey("pool", y.Site.Name, y.Colonies) {
		if !c.Alive || len(history(c)) < 2 {
			continue
		}
		if s := w.subject(y, c); s != nil && len(s.looks) > 1 {
			looked = append(looked, observe.Looked{Key: s.key, Start: s.seen, Seen: s.looks, Feedings: s.fed})
		}
	}
	if part, ok := observe.Pool(y.Springs, looked, observe.DefaultOptions()); ok {
		y.Learn(part)
	}
}

// byKey are colonies in an order of their names, the same however they are listed.
func byKey(purpose, yard string, cs []*season.Colony) []*season.Colony {
	out := slices.Clone(cs)
	slices.SortFunc(out, func(a, b *season.Colony) int {
		return cmp.Compare(ensemble.KeyOf(purpose, yard, a.Name), ensemble.KeyOf(purpose, yard, b.Name))
	})
	return out
}

// comparedIn are the colonies of a yard for which other ways are priced, the same
// whatever their order.
func comparedIn(yard string, cs []*season.Colony) map[*season.Colony]bool {
	out := map[*season.Colony]bool{}
	for _, c := range byKey("compare", yard, cs)[:min(comparedMost, len(cs))] {
		out[c] = true
	}
	return out
}
