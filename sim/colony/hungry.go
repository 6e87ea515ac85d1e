package colony

// hunger is the brake that falling stores put on brood: it follows the stores a day
// behind the bees.
type hunger struct {
	p      *Params
	run    *StoresRun
	fills  []Feeding
	next   int // of fills
	booked booking
}

// share is what hunger leaves of the eggs of day t, once the days before it are done.
func (h *hunger) share(t int) float64 {
	h.through(t - 1)
	there := h.run.StoresKg + h.run.SolidKg + h.run.FeederKg
	return clamp01((there - h.p.HungryStopKg) / (h.p.HungryFromKg - h.p.HungryStopKg))
}

// through takes the stores to the evening of a day whose need is known.
func (h *hunger) through(day int) {
	if day >= 0 {
		h.booked.day(day)
	}
	for ; h.next < len(h.fills) && h.fills[h.next].Day <= day; h.next++ {
		h.run.Until(h.fills[h.next].Day)
		h.run.Give(&h.fills[h.next])
	}
	h.run.Until(day)
}

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
	if path != nil {
		path.Reset(in.days())
	}
	bare := in
	bare.Span.Fed, bare.Span.Gifts = nil, nil // booked day by day here
	r.stores.Begin(bare, s.StoresKg, reserveKg, &r.ledger, path)
	r.brake = hunger{p: in.Params, run: &r.stores, fills: care.Feedings,
		booked: booking{l: &r.ledger, p: in.Params, f: in.Forcing[:in.days()], fed: in.Span.Fed, gifts: in.Span.Gifts}}
	r.hungry = true
	growth := r.SimulatePopulation(bare, s, care, &r.ledger, path)
	r.hungry = false
	r.brake.through(in.days() - 1)
	out := r.stores.Outcome()
	out.Growth = growth
	return out
}
