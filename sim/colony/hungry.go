package colony

import "math"

// hungryRounds bounds the rounds of SimulateHungry. What is laid is asked of the
// stores from the next day on, so each round settles at least one further day, and
// in practice about a week; where a few kilograms decide, a dozen rounds do.
const hungryRounds = 60

// hungryKg is by how much stores may differ from one round to the next when they
// are taken to have settled, kg.
const hungryKg = 0.005

// SimulateHungry runs a colony that cuts its brood as its stores fall: the queen
// lays all that Run would let her at hungry_from_kg and above, evenly less below
// it and nothing at hungry_stop_kg. It eats less and lives longer than the same
// colony in Run, and mostly comes to bloom with fewer bees (early brood also wears
// out bees of winter), so it is the second reading beside the careful one: what a
// keeper who does nothing would see. With 8,000 bees and about 4 kg on 20 March at
// six stations, risks of 38 to 57 % become 13 to 21 %, and bees at bloom change by
// -18 to +1 %.
//
// More food is not always safer here, since a fed colony rears more mouths: a
// decision must not rest on it. Brood that is there is reared; colonies that run
// out of food also eat it, which is left out. Arguments are those of Run.
func (r *Runner) SimulateHungry(in Spring, s InitialState, care *Treatment, reserveKg float64, path *Path) Outcome {
	p, days := in.Params, in.days()
	if path == nil {
		path = &r.hungryPath
	}
	if cap(r.brake) < days {
		r.brake, r.settled = make([]float64, days), make([]float64, days)
	}
	brake, settled := r.brake[:days], r.settled[:days]
	for t := range brake {
		brake[t], settled[t] = 1, math.Inf(1)
	}
	defer func() { r.laying = nil }()
	r.laying = brake
	var out Outcome
	for range hungryRounds {
		out = r.Run(in, s, care, reserveKg, path)
		moved := 0.0
		there := s.StoresKg
		for t := range brake {
			brake[t] = clamp01((there - p.HungryStopKg) / (p.HungryFromKg - p.HungryStopKg))
			there = path.StoresKg[t] + path.FeederKg[t]
			if there < p.HungryFromKg || settled[t] < p.HungryFromKg {
				moved = max(moved, math.Abs(there-settled[t]))
			}
			settled[t] = there
		}
		if moved < hungryKg {
			break
		}
	}
	return out
}
