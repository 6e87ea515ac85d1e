package sim

import "math"

// Sample is one point of everything a run draws, in the caller's hand: for
// analyses that vary one thing at a time. The Z values are standard normal.
type Sample struct {
	Params                  Params
	Spring                  int // of the outlook
	BloomZ, PollenZ         float64
	BeesZ, BroodZ, StoresZ  float64
	BloomSpread, PollenDays float64 // SD of the bloom and pollen day, d
}

// Shift sets the parameter at index i of Catalogue in p to z standard
// deviations of its prior from its value in base, cut to its range. A fixed
// parameter stays as it is.
func (p *Params) Shift(i int, base *Params, z float64) {
	c := &catalogue[i]
	if c.Spread == Fixed {
		return
	}
	q := prior{field: c.field, typical: *c.field(base), sd: c.SD, lowest: c.Low, highest: c.High, spread: c.Spread}
	q.set(p, z)
}

// NormalAt is the standard normal with the share u of the distribution below
// it; u is held inside (0, 1).
func NormalAt(u float64) float64 {
	return normalAt(math.Max(1e-12, math.Min(1-1e-12, u)))
}

// CaseAt makes the case of a colony at a sample, as a Drawer does at a draw of
// its own. today is the day of the outlook on which the question is asked.
func (pl *Place) CaseAt(seen *Seen, s *Sample, today int, c *Case) {
	sp := &pl.Outlook.Springs[s.Spring]
	table := pl.Forcing[s.Spring]
	n := len(sp.Days)
	bloom := sp.BloomDay
	if !pl.Outlook.BloomGiven || s.BloomSpread > 0 {
		bloom = later(bloom, s.BloomZ*s.BloomSpread, today, n)
	}
	pollen := min(n, sp.PollenDay+int(math.Round(s.PollenZ*s.PollenDays)))

	c.Member = -1
	c.Params = s.Params
	c.begin(table, seen, s.BeesZ, s.BroodZ, s.StoresZ)
	c.cover(seen, pollen, bloom, FlowDay(table, bloom, &c.Params), -1)
}
