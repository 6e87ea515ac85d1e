package schedule

import "math"

// Bounds of the search for a policy's levels.
const (
	firstLast  = 0.7  // share of springs that a fill is to last in, to begin with, 0.5-0.9, own judgement: near the end of what the sugar limit allows
	sugarLimit = 1.10 // sugar against the least that keeps the same, 1.05-1.2, own judgement: what a trip saved is worth
	heldSlack  = 0.04 // how far over the share of springs to hold the reserve in is near enough, 0.02-0.1, own judgement
	mostTries  = 5    // of each level, 3-10, own judgement
	// littleSugar, a share of the sugar, and littleGiven, feedings of a hive, are what a further
	// step of the same kind must promise, by what the step before saved, 0.01-0.05, own judgement.
	littleSugar, littleGiven = 0.02, 0.02
	// cautionErrors is how far under the accepted risk a policy is found, in standard
	// errors of a risk of that size on as many members, 0-1, own judgement: what
	// crossed says of a policy is right on average, so that one found at the accepted risk
	// itself would be over it on every second set of other members, by half an error on every third.
	cautionErrors = 0.5
	// mostSearched are the members that levels are searched on, the first of the set, 300-2400,
	// own judgement: they tell a risk of 5 % to 0.9 %. Lines are drawn through all.
	mostSearched = 600
	// leastReserve and mostReserve are the bounds of levels.reserve, 1, own judgement:
	// one who feeds at a lower chance than that heaps up sugar that holds no more.
	leastReserve, mostReserve = 0.3, 0.9
	// secondFrom is the feedings of a hive from which a second feeder at a time is
	// tried, and secondSaves what it must save, feedings, own judgement.
	secondFrom, secondSaves = 2.0, 0.4
)

// Found is a policy with what policies of its levels come to on members of the set that
// they were not drawn through.
type Found struct {
	Policy Policy
	Feeder Feeder // as used: with the number at a time
	RiskFrac,
	HeldFrac,
	SugarKg, // mean over members
	Given float64 // feedings, mean over members
	LeastSugarKg float64 // the least of the policies tried that keep as much
	Tries        int
	levels       levels
	lost         int // members that starve before the first visit can help
}

// goal is what a policy is to keep on the members it is found on.
type goal struct {
	risk, held float64 // share of members: at most, at least
}

// goalOf is the goal on members of which some starve before the first visit.
func goalOf(rules *Rules, members, lost int) goal {
	accept, n := rules.AcceptRiskFrac, float64(members)
	lostFrac := float64(lost) / n
	caution := cautionErrors * math.Sqrt(accept*(1-accept)/n)
	// Those still to be saved carry what is left of the accepted risk.
	left := math.Max(accept-caution-lostFrac, accept/5)
	return goal{risk: lostFrac + (1-lostFrac)*left, held: rules.ReserveFrac}
}

// try says what the policy of some levels comes to, without its lines.
func (r *Runner) try(s *Set, at levels) Found {
	r.crossed(s, at, &r.result)
	return Found{Tries: 1, Feeder: s.Feeder, RiskFrac: r.result.RiskFrac(), HeldFrac: r.result.HeldFrac(),
		SugarKg: r.result.MeanSugarKg(), Given: r.result.MeanGiven(), levels: at, lost: r.result.Lost}
}

// Find finds the policy with the fewest feedings among those that keep the accepted
// risk and hold the reserve in the share of springs asked for, with at most
// sugarLimit of the least sugar. Where no policy keeps both it is the one that
// comes nearest. A hive takes up to mostFeeders feeders or mostBlocks blocks of solid
// feed at once; more than one are used where they save trips. What the policy comes to on
// the members that its lines are drawn through goes into out.
func (r *Runner) Find(s *Set, mostFeeders, mostBlocks int, out *Result) Found {
	whole := s.members
	s.members = whole[:min(len(whole), mostSearched)]
	s.Feeder.AtATime, s.Feeder.Blocks = 1, 1
	best := r.keep(s, levels{risk: s.Rules.AcceptRiskFrac, reserve: 1 - s.Rules.ReserveFrac, last: firstLast})
	short := best.HeldFrac < s.Rules.ReserveFrac && s.Rules.ReserveKg > 0
	if max(mostFeeders, mostBlocks) > 1 && (best.Given > secondFrom || short) {
		s.Feeder.AtATime, s.Feeder.Blocks = mostFeeders, mostBlocks
		two := r.keep(s, best.levels)
		two.Tries += best.Tries
		keeps := two.RiskFrac <= math.Max(best.RiskFrac, s.Rules.AcceptRiskFrac) && two.HeldFrac >= math.Min(best.HeldFrac, s.Rules.ReserveFrac)
		holdsMore := best.HeldFrac < s.Rules.ReserveFrac && two.HeldFrac > best.HeldFrac+heldSlack
		if keeps && (holdsMore || two.SugarKg <= sugarLimit*best.SugarKg && two.Given <= best.Given-secondSaves) {
			best = two
		}
		best.Tries = two.Tries
	}
	s.Feeder = best.Feeder
	best = r.save(s, best)
	s.members = whole
	best.Policy = r.found(s, best.levels, out)
	return best
}

// keep looks for levels that keep the risk and hold the reserve, with the feeders and blocks of
// the set, from levels to begin with.
func (r *Runner) keep(s *Set, at levels) Found {
	best := r.try(s, at)
	g := goalOf(&s.Rules, len(s.members), best.lost)
	if s.Rules.ReserveKg > 0 {
		best = r.search(s, best, dial{level: func(l *levels) *float64 { return &l.reserve }, low: leastReserve, high: mostReserve,
			over: g.overHeld, slack: heldSlack})
	}
	if best.RiskFrac > g.risk || s.Rules.ReserveKg <= 0 {
		// Under 2 of all members a line through half of them is that of the worst of them.
		best = r.search(s, best, dial{level: func(l *levels) *float64 { return &l.risk }, low: 2 / float64(len(s.members)), high: 0.5,
			over: g.overRisk, slack: g.risk / 8, step: 2})
	}
	return best
}

// save looks for how long fills are to last: of those that keep as much as a policy does it takes
// the one with the fewest feedings at little more than the least sugar.
func (r *Runner) save(s *Set, best Found) Found {
	g, tries := goalOf(&s.Rules, len(s.members), best.lost), best.Tries
	kept := []Found{best}
	// Fills that last less long, while they save sugar; and longer, while they save trips and are
	// not too dear.
	for _, way := range [][]float64{{0.55, 0.4}, {0.85, 0.95}} {
		before := best
		if best.SugarKg > sugarLimit*kept[len(kept)-1].SugarKg { // too dear already: longer fills are more so
			break
		}
		for _, last := range way {
			at := best.levels
			at.last = last
			f := r.try(s, at)
			tries++
			if f.RiskFrac > math.Max(g.risk, best.RiskFrac) || f.HeldFrac < math.Min(g.held, best.HeldFrac) {
				break
			}
			kept = append(kept, f)
			if last < firstLast && f.SugarKg > (1-littleSugar)*before.SugarKg ||
				last > firstLast && (f.SugarKg > sugarLimit*best.SugarKg || f.Given > before.Given-littleGiven) {
				break
			}
			before = f
		}
	}
	least := math.Inf(1)
	for i := range kept {
		least = math.Min(least, kept[i].SugarKg)
	}
	best = kept[0]
	for _, f := range kept[1:] {
		within, bestWithin := f.SugarKg <= sugarLimit*least, best.SugarKg <= sugarLimit*least
		if within && (!bestWithin || f.Given < best.Given) {
			best = f
		}
	}
	best.LeastSugarKg, best.Tries = least, tries
	return best
}

// overHeld is by how much more a policy holds the reserve than it must.
func (g goal) overHeld(f *Found) float64 { return f.HeldFrac - g.held }

// overRisk is by how much it keeps under the risk.
func (g goal) overRisk(f *Found) float64 { return g.risk - f.RiskFrac }

// dial is one level to move, its bounds, and what it is moved for.
type dial struct {
	level     func(*levels) *float64
	low, high float64
	over      func(*Found) float64 // by how much a policy keeps too much; below 0 too little
	slack     float64              // how far over 0 is near enough
	step      float64              // how many times the level is moved by first; 0: to the bound, for there may be nothing to find before it
}

// tried is a level with by how much its policy keeps too much; NaN where it was not tried.
type tried struct{ at, over float64 }

// near tells that a policy keeps enough, and no more than is near enough.
func (d *dial) near(over float64) bool { return over >= 0 && over <= d.slack }

// next is the level to try between one that keeps too much and one that keeps too little: where a
// straight line over the logarithm of the level meets the middle of what is near enough, not
// too near either. A bound that was not tried is tried itself, but after a step towards it.
func (d *dial) next(low, high tried, first bool) float64 {
	switch {
	case math.IsNaN(low.over) && first && d.step > 0:
		return math.Max(low.at, high.at/d.step)
	case math.IsNaN(low.over):
		return low.at
	case math.IsNaN(high.over) && first && d.step > 0:
		return math.Min(high.at, low.at*d.step)
	case math.IsNaN(high.over):
		return high.at
	}
	part := math.Max(0.15, math.Min(0.85, (low.over-d.slack/2)/(low.over-high.over)))
	return low.at * math.Pow(high.at/low.at, part)
}

// search moves one level between one that keeps too little and one that keeps too much, until
// it is near enough. Of those that keep enough it returns the one that keeps least too much; else
// the one that comes nearest. Its tries are all made.
func (r *Runner) search(s *Set, from Found, d dial) Found {
	best, tries := from, from.Tries
	low, high := tried{d.low, math.NaN()}, tried{d.high, math.NaN()}
	for i := range mostTries {
		x := d.over(&best)
		if d.near(x) {
			break
		}
		at := from.levels
		now := tried{*d.level(&from.levels), d.over(&from)}
		if now.over < 0 { // a lower level keeps more
			high = now
		} else {
			low = now
		}
		if high.at/low.at < 1.1 {
			break
		}
		*d.level(&at) = d.next(low, high, i == 0)
		from = r.try(s, at)
		tries++
		y := d.over(&from)
		if x < 0 && y > x || x > 0 && y >= 0 && y < x {
			best = from
		}
	}
	best.Tries = tries
	return best
}
