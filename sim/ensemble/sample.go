package ensemble

import (
	"math"

	"bloomgap/sim/colony"
)

// Sample is one point of everything a run draws, in the caller's hand: for
// analyses that vary one thing at a time. The Z values are standard normal.
type Sample struct {
	Params                  colony.Params
	Spring                  int // of the outlook
	BloomZ, PollenZ, EarlyZ float64
	BeesZ, BroodZ, StoresZ  float64
	BloomSpread, PollenDays float64 // SD of the bloom and pollen day, d
}

// NormalAt is the standard normal with the share u of the distribution below
// it; u is held inside (0, 1).
func NormalAt(u float64) float64 {
	return normalAt(math.Max(1e-12, math.Min(1-1e-12, u)))
}

// RealizeAt makes the realization of a colony at a sample, as a Sampler does at a draw of
// its own. today is the day of the outlook on which the question is asked.
func (pl *SpringEnsemble) RealizeAt(seen *InitialSpread, s *Sample, today int, c *Realization) {
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
	c.Params.InLandscape(pl.early, s.EarlyZ)
	c.begin(table, seen, s.BeesZ, s.BroodZ, s.StoresZ)
	c.cover(seen, pollen, bloom, colony.FlowDay(table, bloom, &c.Params), -1)
}
