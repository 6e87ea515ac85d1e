package decide

import (
	"cmp"
	"math"
	"slices"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/sim/colony"
	"bloomgap/sim/observe"
)

// see turns the looks at a colony, and what it was given, into spreads: its runs
// begin at the first look, and are conditioned on the later ones.
func (s *subject) see(looks []season.Observation, given []season.Given, p *colony.Params) {
	o := s.y.Outlook
	end := s.y.Season.Today
	var seen []observe.Look
	for i := range looks {
		l := looks[i].Look(o.Day(looks[i].Date))
		l.InFeederKg = inFeederKg(looks, given, looks[i].Date, end)
		seen = append(seen, l)
	}
	s.seen = s.hive.Start(&seen[0])
	for _, f := range fedTo(&s.hive, looks, given, p, o.Day, end) {
		if f.Day < s.seen.Day { // the first look shows what it came to
			continue
		}
		s.fed = append(s.fed, f)
		f.Day -= s.seen.Day + 1
		s.seen.Fed = append(s.seen.Fed, f)
	}
	for _, g := range given {
		if o.Day(g.Date) < s.seen.Day {
			continue
		}
		if s.given == nil {
			s.given = &plan.FedSince{}
		}
		s.given.LastOn = g.Date
		s.given.SyrupL += g.SyrupL
		s.given.SolidKg += g.SolidKg
		s.given.CombFood += g.FramesDeep + g.FramesMedium
	}
	if len(seen) > 1 {
		for i := range seen {
			s.looks = append(s.looks, s.hive.Observe(&seen[i]))
		}
	}
}

// likelyFed is the chance from which feed that nobody wrote down is asked about, 1,
// 0.3-0.8, own judgement.
const likelyFed = 0.5

// fedUntold tells whether a look is explained by feed that nobody wrote down.
func (s *subject) fedUntold(x observe.Innovation) bool {
	return x.Z > 0 && x.What == plan.Stores.String() && slices.ContainsFunc(s.learned.Untold, func(f observe.Untold) bool {
		return f.SeenDay == x.Day && f.Frac >= likelyFed
	})
}

// foundOn is the day on which it was seen what became of food given on a day: that
// of the next look, or today.
func foundOn(looks []season.Observation, given, today time.Time) time.Time {
	for i := range looks {
		if looks[i].Date.After(given) {
			return looks[i].Date
		}
	}
	return today
}

// inFeederKg is the weight of the syrup in the feeder at a look, kg: 0 where
// nothing was given before, NaN where nobody looked.
func inFeederKg(looks []season.Observation, given []season.Given, at, today time.Time) float64 {
	kg := 0.0
	for _, g := range given {
		switch {
		case g.SyrupL == 0 || !g.Date.Before(at):
		case math.IsNaN(g.LeftL):
			return math.NaN()
		case foundOn(looks, g.Date, today).Equal(at):
			kg += g.LeftL * syrup.DensityKgPerL(g.Strength.MassFrac)
		}
	}
	return kg
}

// fedTo turns what a colony was given into feedings by day of the outlook, in
// order. What is known to have been taken stands in the combs from the day it was
// given; what was found left at the next look lies there from then on. The feeder,
// which is not written down, is taken to touch the cluster, as a bag or a pail
// does, own judgement.
func fedTo(h *observe.Hive, looks []season.Observation, given []season.Given, p *colony.Params, day func(time.Time) int, today time.Time) []colony.Feeding {
	var out []colony.Feeding
	for _, g := range given {
		on, found := day(g.Date), day(foundOn(looks, g.Date, today))
		combsKg := h.CombsKg(g.FramesDeep, g.FramesMedium)
		if g.SyrupL > 0 {
			perL, sugarPerL := g.Strength.StoresKgPerL(), g.Strength.SugarKgPerL()
			inFeeder := func(day int, litres float64) {
				out = append(out, colony.Feeding{Day: day, SyrupKg: litres * perL, SugarKg: litres * sugarPerL, LPerKg: 1 / perL, Touching: true})
			}
			switch {
			case math.IsNaN(g.LeftL):
				inFeeder(on, g.SyrupL)
			case g.LeftL > 0:
				inFeeder(found, g.LeftL)
				fallthrough
			default:
				combsKg += (g.SyrupL - g.LeftL) * perL * p.SyrupYield
			}
		}
		if combsKg > 0 {
			out = append(out, colony.Feeding{Day: on, CombKg: combsKg})
		}
		lying := func(day int, kg float64) {
			if kg > 0 {
				out = append(out, colony.Feeding{Day: day, SolidKg: kg, SugarKg: kg})
			}
		}
		if math.IsNaN(g.LeftSolidKg) {
			lying(on, g.SolidKg)
		} else {
			lying(on, g.SolidKg-g.LeftSolidKg)
			lying(found, g.LeftSolidKg)
		}
	}
	slices.SortStableFunc(out, func(a, b colony.Feeding) int { return cmp.Compare(a.Day, b.Day) })
	return out
}

// LearnHand works out how the keeper of a season judges hives, from all that were
// weighed and judged in another way on the same day.
func LearnHand(s *season.Season, m observe.Masses) observe.Hand {
	var pairs []observe.Pair
	for i := range s.Colonies {
		c := &s.Colonies[i]
		if c.Tally != nil { // no reading of one hive
			continue
		}
		for k := range c.Observations {
			o := &c.Observations[k]
			if len(o.Also) == 0 || !o.Food.Kind.Weighed() {
				continue
			}
			hive := c.Hive(s.Yard(c.Yard).Tares, m)
			for _, other := range o.Also {
				pairs = append(pairs, observe.Pair{Hive: &hive, Look: o.Look(0), Other: other})
			}
		}
	}
	return observe.LearnHand(pairs)
}
