package observe

import (
	"math"

	"bloomgap/sim/ensemble"
)

// Look is what a keeper saw of a colony on a day, in the keeper's measures.
// What was not looked at is NaN or FoodUnknown.
type Look struct {
	Day         int // of the outlook; seen in the evening
	Food        Food
	SeamsOfBees float64 // spaces between combs filled with bees
	CountTempC  float64 // outdoor temperature when the seams were counted
	BroodFrames float64 // combs of brood of the main kind of box, both sides full = 1
	OverKg      float64 // solid sugar lying over the cluster, kg; NaN: not looked
	InFeederKg  float64 // weight of the syrup in the feeder, kg, where it is known; 0: none, NaN: not known
}

// Spreads of brood, natural logarithm.
const (
	// CountedBroodLogSD is how far off a count of brood combs is, 0.15-0.5, own
	// judgement: combs are seldom full on both sides.
	CountedBroodLogSD = 0.3
	// UnseenBroodLogSD is that of brood estimated from the date, 0.3-1, own judgement.
	UnseenBroodLogSD = 0.5
)

// Bees is what a look tells of the adult bees of a hive.
func (h *Hive) Bees(l *Look) BeesEstimate {
	return BeesFromSeams(l.SeamsOfBees, l.CountTempC, h.MainKind())
}

// StoresSeen is what a look tells of the stores of a hive, with what lies over the
// cluster.
func (h *Hive) StoresSeen(l *Look) StoresEstimate {
	e := h.Stores(&l.Food, h.Bees(l).MeanBees, l.BroodFrames)
	overKg, inFeederKg := known(l.OverKg), known(l.InFeederKg)
	switch {
	case l.Food.Kind == FoodUnknown:
	case l.Food.Kind == FoodFrames: // combs only
		e.MeanKg += overKg * h.Masses.StoresPerSolid
	default: // the whole hive: sugar weighs less than the stores it is worth, syrup is no stores yet
		e.MeanKg += overKg*(h.Masses.StoresPerSolid-1) - inFeederKg
	}
	return e
}

// known is v, and 0 where it is not known.
func known(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// Start is a look as the spread that a colony's draws begin with.
func (h *Hive) Start(l *Look) ensemble.InitialSpread {
	mu, sd := h.Bees(l).LogParams()
	stores := h.StoresSeen(l)
	s := ensemble.InitialSpread{
		Day: l.Day, BeesLogMu: mu, BeesLogSD: sd,
		BroodCells: math.NaN(), BroodLogSD: UnseenBroodLogSD,
		StoresKg: stores.MeanKg, StoresSDKg: stores.SDKg, StoresMin: stores.MinKg, StoresMax: stores.MaxKg,
		Wrapped: h.Wrapped,
	}
	if l.Food.Kind == FoodUnknown {
		s.StoresCommon = unseenCommon
	}
	if !math.IsNaN(l.BroodFrames) {
		s.BroodCells, s.BroodLogSD = BroodCells(l.BroodFrames, h.MainKind()), CountedBroodLogSD
	}
	return s
}

// unseenCommon is how much alike hives are whose food nobody judged, as a correlation, 1,
// 0.2-0.8, own judgement: one keeper, one autumn, one feeding.
const unseenCommon = 0.5

// Observe is a look as the ensemble is conditioned on it.
func (h *Hive) Observe(l *Look) Observation {
	x := NothingSeen(l.Day)
	x.Way = int(l.Food.Kind)
	x.WithFeeder = l.Food.Kind != FoodFrames && math.IsNaN(l.InFeederKg)
	x.WithoutSolid = l.Food.Kind == FoodFrames && math.IsNaN(l.OverKg)
	if l.Food.Kind != FoodUnknown {
		e := h.StoresSeen(l)
		x.StoresKg, x.StoresSDKg, x.CommonSDKg = e.MeanKg, e.SDKg, e.CommonSDKg
	}
	if !math.IsNaN(l.SeamsOfBees) {
		x.BeesLogMu, x.BeesLogSD = h.Bees(l).LogParams()
		x.BeesCommonLogSD = commonBeesShare * x.BeesLogSD
	}
	if !math.IsNaN(l.BroodFrames) {
		x.BroodCells, x.BroodLogSD = BroodCells(l.BroodFrames, h.MainKind()), CountedBroodLogSD
	}
	return x
}
