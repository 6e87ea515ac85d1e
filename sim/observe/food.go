package observe

import (
	"math"

	"bloomgap/sim/colony"
)

// FoodKind is the way in which the food of a colony was judged.
type FoodKind int

// The ways to judge food, the surest first.
const (
	FoodUnknown  FoodKind = iota // nothing is known
	FoodGross                    // whole hive on a scale
	FoodLiftBoth                 // hand scale at the left and at the right
	FoodFrames                   // frames of food counted
	FoodLiftBack                 // hand scale at the back only
	FoodHeft                     // hefted: light, fair, heavy
)

// String is the way in plain words.
func (k FoodKind) String() string {
	switch k {
	case FoodGross:
		return "weighed"
	case FoodLiftBoth:
		return "lifted at both sides"
	case FoodFrames:
		return "counted in frames"
	case FoodLiftBack:
		return "lifted at the back"
	case FoodHeft:
		return "hefted"
	}
	return "not known"
}

// FigureCode is the way as the figure of a note: that of the columns it is written
// in.
func (k FoodKind) FigureCode() string {
	return [...]string{FoodUnknown: "unknown", FoodGross: "gross", FoodLiftBoth: "lift_both", FoodFrames: "frames", FoodLiftBack: "lift_back", FoodHeft: "heft"}[k]
}

// Weighed tells that the whole of a hive was on a scale, at once or by its two
// sides.
func (k FoodKind) Weighed() bool { return k == FoodGross || k == FoodLiftBoth }

// Heft is what the hand says.
type Heft int

// The words for a heft.
const (
	HeftLight Heft = iota + 1
	HeftFair
	HeftHeavy
)

// String is the word used in tables.
func (h Heft) String() string {
	switch h {
	case HeftLight:
		return "light"
	case HeftFair:
		return "fair"
	case HeftHeavy:
		return "heavy"
	}
	return "not hefted"
}

// ParseHeft reads a word that String writes for a hive that was hefted.
func ParseHeft(word string) (Heft, bool) {
	for _, h := range []Heft{HeftLight, HeftFair, HeftHeavy} {
		if h.String() == word {
			return h, true
		}
	}
	return 0, false
}

// Food is what is known of a colony's food, by one way. Only the fields of
// that way are set; the others are zero.
type Food struct {
	Kind                    FoodKind
	GrossKg                 float64 // FoodGross: hive with all in it, from floor to lid
	LiftLeftKg, LiftRightKg float64 // FoodLiftBoth
	LiftBackKg              float64 // FoodLiftBack
	Heft                    Heft    // FoodHeft
	FramesDeep              float64 // FoodFrames: deep or large combs full of food, both sides = 1
	FramesMedium            float64 // FoodFrames: medium or shallow combs full of food
}

// TotalKg is the weight of the whole hive that a reading shows, and its SD from
// the reading alone; NaN where nothing was weighed.
func (f *Food) TotalKg() (meanKg, sdKg float64) {
	switch f.Kind {
	case FoodGross:
		return f.GrossKg, scaleSDKg
	case FoodLiftBoth:
		return f.LiftLeftKg + f.LiftRightKg, liftBothSDKg
	case FoodLiftBack:
		kg := f.LiftBackKg / backShare
		return kg, math.Hypot(kg*backShareSD/backShare, scaleSDKg/backShare)
	}
	return math.NaN(), math.NaN()
}

// BackLiftKg is what a hand scale at the back reads of a hive that weighs so much, kg.
func BackLiftKg(grossKg float64) float64 { return backShare * grossKg }

// totalKg is TotalKg as this hive's keeper reads it.
func (h *Hive) totalKg(f *Food) (meanKg, sdKg float64) {
	kg, sd := f.TotalKg()
	if f.Kind == FoodLiftBack {
		shift, left := h.Hand.backSD()
		each := kg * backShareSD / backShare
		kg, sd = kg-shift*each, math.Hypot(left*each, scaleSDKg/backShare)
	}
	return kg, sd
}

// Masses are what one bee and one cell of brood weigh, g, and the stores that a kg
// of solid sugar is worth, kg. Their home is the
// catalogue of the colony model, so that a hive put together by the model comes
// apart again here.
type Masses struct{ BeeG, BroodCellG, StoresPerSolid float64 }

// MassesOf are those of a set of parameters.
func MassesOf(p *colony.Params) Masses {
	return Masses{BeeG: p.BeeMassG, BroodCellG: p.BroodCellMassG, StoresPerSolid: p.SolidKgPerKgSugar}
}

// What is in a hive besides food.
const (
	beeSDKg        = 0.00001 // kg a bee, SD of the mean bee of a colony (worked from the range of bee_mass_g)
	broodFrameSDKg = 0.25    // kg, SD of what a deep comb of brood weighs more than an empty one (own judgement: 0.6 kg for cells of all ages, 0.9 when all are sealed; 1.19 in Aurell et al. 2025, J. Econ. Entomol. toaf126, food and bee bread at its edge included)
	beeBreadKg     = 0.5     // kg bee bread at winter's end; range 0-1.5 (own judgement)
	beeBreadSDKg   = 0.4     // kg, SD of the above (own judgement)
	unknownBrood   = 1.0
	unknownBroodSD = 1.0 // deep combs, with unknownBrood: late winter to early spring (own judgement; range 0-4)
)

// How far off a way of judging food is.
const (
	scaleSDKg     = 0.3  // kg, a hive scale in the field (own judgement; range 0.1-0.5)
	liftBothSDKg  = 0.7  // kg, sum of two lifts (own judgement; range 0.4-1.2)
	backShare     = 0.45 // share of the whole that a lift at one end reads; range 0.42-0.49 (beekeepers' measurements)
	backShareSD   = 0.03 // SD of the share (own judgement: food lies off the middle)
	framesSDShare = 0.25 // SD over mean of food judged by frames: 0.08 for the weight of a full one (from its range), 0.24 for the eye (own judgement: 133 weighed colonies scatter by 3.5 kg about their count, Aurell et al. 2025)
	framesSDKg    = 0.6  // kg, SD of arcs of food not counted (own judgement; range 0.3-1)
)

// Parts of a reading's error that are the same each time the same hive is
// judged in the same way.
const (
	commonEyeShare  = 0.7 // of the error of a heft or a count of frames, 1, 0.5-0.9, own judgement: the same hand and the same hive
	commonBeesShare = 0.6 // of the error of a count of seams, 1, 0.3-0.9, own judgement
	ownScaleKg      = 0.5 // of a weight on a scale that is each reading's own, kg, 0.3-0.8, own judgement: the scale, and brood and bees gained or lost since; tare and what else is not food stay
	ownLiftKg       = 0.9 // of a weight by lifts, kg, 0.6-1.5, own judgement: two pulls, each to a third of a kg, more or less than doubled
)

// hefts is the food behind the three words, kg, for a colony in one and in two
// deep boxes. Own judgement: hefting is "not an exact science" in advisers'
// words; light lies about the 5 kg that the Swiss Bee Health Service holds for
// the least, fair about the 10 kg of the Atlantic Canada advisers. A light one may
// be all but empty, or as heavy as the next keeper's fair.
var hefts = map[Heft][2]struct{ meanKg, sdKg float64 }{
	HeftLight: {{4, 3}, {6, 4}},
	HeftFair:  {{9, 3}, {13, 4}},
	HeftHeavy: {{16, 4}, {23, 6}},
}

// Boxes between which the guesses by box are interpolated.
const fewestBoxes, mostBoxes = 0.5, 3.0

func heftKg(h Heft, deepBoxes float64) (meanKg, sdKg float64) {
	at := hefts[h]
	x := math.Min(math.Max(deepBoxes, fewestBoxes), mostBoxes) - 1
	return at[0].meanKg + x*(at[1].meanKg-at[0].meanKg), at[0].sdKg + x*(at[1].sdKg-at[0].sdKg)
}

// unknownKg is the guess when nothing is known: 8 +- 5 kg in one deep box, 12
// +- 7 in two (own judgement).
func unknownKg(deepBoxes float64) (meanKg, sdKg float64) {
	x := math.Min(math.Max(deepBoxes, fewestBoxes), mostBoxes) - 1
	return 8 + 4*x, 5 + 2*x
}

// StoresEstimate is what is known of the stores of a colony: a normal
// distribution cut off at MinKg and MaxKg. MeanKg and SDKg are those of the
// normal before the cut. CommonSDKg is the part of SDKg that another reading of
// the same kind at the same hive shares.
type StoresEstimate struct {
	MeanKg, SDKg float64
	CommonSDKg   float64
	MinKg, MaxKg float64
	TareKg       float64 // equipment taken off; NaN where no weight was read
	Kind         FoodKind
}

// Stores says what a reading tells of the food of a colony, given its adult
// bees and its combs of brood, both sides full = 1: a weight includes both. Pass
// NaN for what is not known; then a wide guess stands for it. A colony without
// any sign of its food gets a wide guess by its boxes.
func (h *Hive) Stores(f *Food, bees, broodFrames float64) StoresEstimate {
	e := StoresEstimate{MinKg: 0, MaxKg: h.FullKg(), TareKg: math.NaN(), Kind: f.Kind}
	if !math.IsNaN(broodFrames) { // brood takes the place of food
		e.MaxKg = math.Max(1, e.MaxKg-broodFrames*h.MainKind().FullFrameKg())
	}
	switch f.Kind {
	case FoodGross, FoodLiftBoth, FoodLiftBack:
		totalKg, totalSDKg := h.totalKg(f)
		besidesKg, besidesSDKg := h.NotFoodKg(bees, broodFrames)
		e.TareKg, _ = h.TareKg()
		e.MeanKg, e.SDKg = totalKg-besidesKg, math.Hypot(totalSDKg, besidesSDKg)
	case FoodFrames:
		e.MeanKg = h.CombsKg(f.FramesDeep, f.FramesMedium)
		e.SDKg = math.Hypot(e.MeanKg*framesSDShare, framesSDKg)
	case FoodHeft:
		e.MeanKg, e.SDKg = heftKg(f.Heft, h.deepBoxes())
	default:
		e.MeanKg, e.SDKg = unknownKg(h.deepBoxes())
	}
	e.CommonSDKg = commonOf(f.Kind, e.SDKg)
	h.Hand.correct(&e)
	return e
}

// commonOf is the part of a reading's error that the next one of its kind
// shares, kg.
func commonOf(k FoodKind, sdKg float64) float64 {
	switch k {
	case FoodGross:
		return math.Sqrt(math.Max(0, sdKg*sdKg-ownScaleKg*ownScaleKg))
	case FoodLiftBoth, FoodLiftBack:
		return math.Sqrt(math.Max(0, sdKg*sdKg-ownLiftKg*ownLiftKg))
	}
	return commonEyeShare * sdKg
}

// CombsKg is the food in combs full on both sides, kg. The counts of deep and of
// medium combs serve the nearest kinds of box too.
func (h *Hive) CombsKg(framesDeep, framesMedium float64) float64 {
	deep, medium := Deep, Medium
	if !h.has(Deep) && h.has(Large) {
		deep = Large
	}
	if !h.has(Medium) && h.has(Shallow) {
		medium = Shallow
	}
	return framesDeep*deep.FullFrameKg() + framesMedium*medium.FullFrameKg()
}

// NotFoodKg is what of a hive's weight is not food, kg, and its SD: equipment,
// bees, brood and bee bread. NaN for bees or brood that were not looked at.
func (h *Hive) NotFoodKg(bees, broodFrames float64) (meanKg, sdKg float64) {
	tareKg, tareSDKg := h.TareKg()
	beeKg := h.Masses.BeeG / 1000
	beesSDKg := bees * beeSDKg
	if math.IsNaN(bees) {
		bees, beesSDKg = unknownBees, unknownBeesSD*beeKg
	}
	combs := h.MainKind().DeepCombs() // brood is counted in combs of the main kind
	combKg := 2 * cellsPerDeepSide * h.Masses.BroodCellG / 1000
	broodSDKg := broodFrames * combs * broodFrameSDKg
	if math.IsNaN(broodFrames) {
		broodFrames, broodSDKg = unknownBrood, unknownBroodSD*combKg
	}
	meanKg = tareKg + bees*beeKg + broodFrames*combs*combKg + beeBreadKg
	return meanKg, math.Sqrt(tareSDKg*tareSDKg + beesSDKg*beesSDKg + broodSDKg*broodSDKg + beeBreadSDKg*beeBreadSDKg)
}
