package decide

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// A tally is decided on once, as one colony of it; what it takes is summed over all
// its colonies, each with draws of its own. Its first colony has the draws of a
// colony that bears the tally's name, so that a tally of one is that colony.

// tallyKey are the draws of a colony of a tally, numbered from 0.
func tallyKey(yard, name string, number int) ensemble.Key {
	if number == 0 {
		return ensemble.KeyOf("colony", yard, name)
	}
	return ensemble.KeyOf("colony", yard, name, strconv.Itoa(number))
}

// unseenPrior is what a tally counts for before anyone looked, in colonies looked at:
// half of one, after Jeffreys' prior of a multinomial.
const unseenPrior = 0.5

// betweenHivesKg is how far hives differ that were put into one tally by a weight,
// kg, SD, 1-4, own judgement: a keeper sorts by some 5 kg.
const betweenHivesKg = 1.5

// shares are the colonies of each tally of a yard, by member. Those that nobody looked
// at fall to the tallies of hives as large as theirs (to any where the yard has no such
// tally or their size is not known) as those looked at did: one after the other, each to
// a tally with the chance that what is known and drawn so far gives it (the urn of Polya,
// which draws from the Dirichlet-multinomial that a sample leaves).
func shares(y *season.Yard, cs []*season.Colony, seed uint64, members int) map[*season.Colony][]int {
	tallies := season.TalliesByName(cs)
	out := make(map[*season.Colony][]int, len(tallies))
	for _, c := range tallies {
		out[c] = slices.Repeat([]int{c.Tally.LookedAt}, members)
	}
	if len(tallies) == 0 {
		return out
	}
	for i, group := range y.NotLookedAt {
		like := slices.DeleteFunc(slices.Clone(tallies), func(c *season.Colony) bool { return c.SizeOfHive() != group.Boxes })
		if len(like) == 0 {
			like = tallies
		}
		// The same draws wherever the same colonies may fall, however their boxes were written.
		names := []string{"not looked at", y.Name, fmt.Sprint(seed, i)}
		for _, c := range like {
			names = append(names, c.Name)
		}
		key := ensemble.KeyOf(names...)
		for m := range members {
			fall(like, out, m, group.Colonies, key)
		}
	}
	return out
}

// fall lets colonies fall to tallies in one member.
func fall(to []*season.Colony, numbers map[*season.Colony][]int, member, colonies int, key ensemble.Key) {
	all := 0.0
	for _, c := range to {
		all += float64(numbers[c][member]) + unseenPrior
	}
	for n := range colonies {
		u := key.Unit("fell to", uint64(member)<<24|uint64(n)) * (all + float64(n))
		where := to[len(to)-1]
		for _, c := range to {
			if u -= float64(numbers[c][member]) + unseenPrior; u < 0 {
				where = c
				break
			}
		}
		numbers[where][member]++
	}
}

// wholeNumbers are how many colonies each tally stands for on average: whole, and all
// of the yard together (what is left over goes to the largest remainders).
func wholeNumbers(tallies []*season.Colony, shares map[*season.Colony][]int) map[*season.Colony]int {
	type part struct {
		c    *season.Colony
		rest float64
	}
	out := make(map[*season.Colony]int, len(tallies))
	var parts []part
	left := 0.0
	for _, c := range tallies {
		sum := 0
		for _, n := range shares[c] {
			sum += n
		}
		mean := float64(sum) / float64(len(shares[c]))
		out[c] = int(mean)
		parts = append(parts, part{c, mean - math.Trunc(mean)})
		left += mean - math.Trunc(mean)
	}
	slices.SortStableFunc(parts, func(a, b part) int {
		switch {
		case a.rest > b.rest:
			return -1
		case a.rest < b.rest:
			return 1
		}
		return 0
	})
	for i := range min(len(parts), int(math.Round(left))) {
		out[parts[i].c]++
	}
	return out
}

// tallyOf says for how many colonies a tally stands; nil for one colony.
func (y *Yard) tallyOf(c *season.Colony) *plan.Tally {
	if c.Tally == nil {
		return nil
	}
	n := make([]float64, len(y.shares[c]))
	for m, k := range y.shares[c] {
		n[m] = float64(k)
	}
	return &plan.Tally{Colonies: y.numbers[c], LookedAt: c.Tally.LookedAt, Range: plan.RangeOf(n)}
}

// Twins are the colonies beside the first that a decision stands for, at most.
func (d *Decision) Twins() int {
	if len(d.Shares) == 0 {
		return 0
	}
	return max(0, slices.Max(d.Shares)-1)
}

// Twin is what the colony of a tally with a number from 1 takes by the decision on it,
// in each member that has so many. It ends early with the context's error.
func (w *Worker) Twin(ctx context.Context, y *Yard, col *season.Colony, d *Decision, number int) (out Decision, err error) {
	err = w.until(ctx, func() { out = w.twin(y, col, d, number) })
	return out, err
}

func (w *Worker) twin(y *Yard, col *season.Colony, d *Decision, number int) Decision {
	s := w.subject(y, col)
	s.key = tallyKey(y.Site.Name, col.Name, number)
	s = s.learn(w.o.Members)
	out := Decision{Key: s.key, Plan: d.Plan, Shares: d.Shares, Number: number}
	a, care := &w.alone, colony.Treatment{}
	s.draw(a, 0, w.o.Members)
	a.members = w.o.Members
	if d.policy != nil {
		w.grow(a, &care, 0, a.members)
		on := &w.mine
		on.members = s.membersFor(a, 0, a.members, on.members)
		w.engine.Prepare(&on.set, uint64(s.key), on.members, d.terms)
		w.engine.Judge(&on.set, d.policy, &on.on)
		out.Lots = on.on.Lots
	}
	if d.SupplementG != nil {
		b := &w.supplemented
		b.members, b.cases = a.members, a.cases[:a.members]
		b.resize(a.members, len(y.Visits)+1, len(y.Weeks))
		w.grow(b, &colony.Treatment{Supplement: true, SupplementFrom: y.timing.day - s.first}, 0, a.members)
		out.SupplementG = b.supplementG[:a.members]
	}
	return out
}

// kept is what of a decision its twins need, apart from the room of the worker.
func (f *fed) kept() (schedule.Policy, schedule.Terms) {
	return slices.Clone(f.policy), f.terms
}
