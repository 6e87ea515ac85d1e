package check

import (
	"math"

	"bloomgap/sim/colony"
)

// The two-stage colony of Khoury, Myerscough & Barron 2011, PLoS ONE
// 6(4):e18491 (formula from memory, numbers worked), with H house bees, F
// foragers and N = H + F:
//
//	dH/dt = L N/(w+N) - H (alpha - sigma F/N)
//	dF/dt = H (alpha - sigma F/N) - m F
const (
	layPerDay  = 2000.0  // L, 1/d
	halfBees   = 27000.0 // w, bees
	recruit    = 0.25    // alpha, 1/d
	inhibition = 0.75    // sigma, 1/d
	lossPerDay = 0.24    // m of the equilibrium, 1/d
)

// twoStageParams turn the daily step into the two-stage equations: everything
// that the equations do not have is set to have no effect.
func twoStageParams(loss float64) colony.Params {
	p := colony.DefaultParams()
	p.LayMaxPerDay, p.NurseHalfBees, p.RecruitPerDay, p.RecruitInhibition = layPerDay, halfBees, recruit, inhibition
	p.ForagerFlightLoss, p.ForagerRestLoss, p.HouseLossPerDay, p.HouseDays = loss, 0, 0, 0
	p.IdleFlightShare = 1
	p.HatchShare, p.SealShare, p.EmergeShare = 1, 1, 1
	p.CoverCellsPerBee = 1e9
	p.WinterLossPerDay, p.NursingLoss, p.WinterFlightLoss = 0.1, 0, 0 // the bees of the start die out
	return p
}

// twoStage takes the two-stage colony through a number of days.
func twoStage(loss, bees float64, days int) *colony.Path {
	p := twoStageParams(loss)
	f := make([]colony.ForceDay, days)
	for i := range f {
		f[i] = colony.ForceDay{MeanC: p.CoreBroodC, SmoothC: p.BroodWarmC, Season: 1, Cover: 1, Flight: 1}
	}
	var r colony.Runner
	path := &colony.Path{}
	r.Run(
		colony.Spring{Params: &p, Forcing: f, Span: colony.Span{PollenDay: days, BloomDay: days, NectarDay: days, ReadDay: -1, Days: days}},
		colony.InitialState{Bees: bees, PollenG: 1e12, HeatShare: 1},
		&colony.Treatment{},
		0,
		path,
	)
	return path
}

// twoStage are the rows of the limit case.
func (b *bench) twoStage() []Row {
	const source = "Khoury, Myerscough & Barron 2011, PLoS ONE 6(4):e18491, two-stage equations"
	const settleDays, smallBees = 6000, 10.0
	// A colony so small that w+N is w grows or shrinks by the sign of its rate.
	grows := func(m float64) bool {
		n := twoStage(m, smallBees, settleDays).Bees
		return n[settleDays-1] > n[settleDays/2]
	}
	low, high := 0.2, 0.6
	for range 20 {
		if mid := (low + high) / 2; grows(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	path := twoStage(lossPerDay, 20000, settleDays)
	row := func(what, unit string, value, model float64) Row {
		return Row{Quantity: what, Unit: unit, PublishedValue: value, PublishedLow: value * (1 - limitBand), PublishedHigh: value * (1 + limitBand),
			Source: source, Status: "formula from memory, numbers worked", Climate: "none: every day alike",
			Assumed: "L=2000, w=27000, alpha=0.25, sigma=0.75; no brood, pollen or warmth limit", Use: Identity}.With([]float64{model})
	}
	end := settleDays - 1
	return []Row{
		row("two-stage limit: forager loss at which the colony collapses", "1/d", 0.3552, (low+high)/2),
		row("two-stage limit: bees at m = 0.24", "bees", 8458, path.Bees[end]),
		row("two-stage limit: foragers at m = 0.24", "bees", 1988, path.ForagerNum[end]),
		row("two-stage limit: house bees at m = 0.24", "bees", 6470, path.HouseBees[end]),
	}
}

const limitBand = 0.005 // share by which a daily step may differ from the equations, 0.001-0.02, own judgement

// stages are the rows on the ages of brood, read off one day's eggs.
func (b *bench) stages() []Row {
	const days = 60
	p := b.base
	f := make([]colony.ForceDay, days)
	for i := range f {
		f[i] = colony.ForceDay{MeanC: 20, SmoothC: p.BroodWarmC, Cover: 1}
	}
	f[0].Season = 1
	var r colony.Runner
	path := &colony.Path{}
	r.Run(
		colony.Spring{Params: &p, Forcing: f, Span: colony.Span{PollenDay: days, BloomDay: days, NectarDay: days, ReadDay: -1, Days: days}},
		colony.InitialState{Bees: 15000, PollenG: 1e6, HeatShare: 1},
		&colony.Treatment{},
		0,
		path,
	)
	laid, emerged, day := 0.0, 0.0, math.NaN()
	for i := range path.Laid {
		laid += path.Laid[i]
		emerged += path.Emerged[i]
		if math.IsNaN(day) && path.Emerged[i] > 0 {
			day = float64(i)
		}
	}
	const source = "Fukuda & Sakagami 1968, Res. Popul. Ecol. 10:31-39"
	return []Row{
		Row{Quantity: "egg to adult", Unit: "d", PublishedValue: 20, PublishedLow: 20, PublishedHigh: 21,
			Source: source, Status: "read", Climate: "none", Use: Identity, Reason: "the ages of the model come from this source"}.With([]float64{day}),
		Row{Quantity: "adults from 100 eggs", Unit: "bees", PublishedValue: 85.1, PublishedLow: 84, PublishedHigh: 86,
			Source: source, Status: "read", Climate: "none", Use: Identity, Reason: "the survival of the model comes from this source"}.With([]float64{100 * emerged / laid}),
	}
}
