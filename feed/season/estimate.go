package season

import (
	"math"
)

// What one frame and one bee weigh or hold.
const (
	beeKg             = 0.00012 // kg a bee; range 0.00010-0.00014 (feeding advisers' figure, common practice)
	beeSDKg           = 0.00001 // kg a bee, SD of the mean bee of a colony (worked from that range)
	fullDeepFrameKg   = 3.15    // kg food in a deep comb; range 2.7-3.6 (trade and advisers' tables)
	fullMediumFrameKg = 1.85    // kg food in a medium comb; range 1.6-2.1 (as above)
	broodFrameKg      = 1.0     // kg by which a comb of brood outweighs an empty one; range 0.8-1.2: 6,800 cells of 0.12 g, and 1.19 in Aurell et al. 2025, J. Econ. Entomol. toaf126
	broodFrameSDKg    = 0.2     // kg, SD of the above (worked from that range)
	beeBreadKg        = 0.5     // kg bee bread at winter's end; range 0-1.5 (own judgement)
	beeBreadSDKg      = 0.4     // kg, SD of the above (own judgement)
	cellsPerDeepSide  = 3400    // worker cells on one side of a deep comb; range 3,300-3,500 (trade tables)
)

// How far off a way of judging food is.
const (
	scaleSDKg      = 0.3  // kg, a hive scale in the field (own judgement; range 0.1-0.5)
	liftBothSDKg   = 0.7  // kg, sum of two lifts (own judgement; range 0.4-1.2)
	backShare      = 0.45 // share of the whole that a lift at one end reads; range 0.42-0.49 (beekeepers' measurements)
	backShareSD    = 0.03 // SD of the share (own judgement: food lies off the middle)
	framesSDShare  = 0.17 // SD over mean of food judged by frames: 0.08 for the weight of a full one (from its range), 0.15 for the eye (own judgement)
	framesSDKg     = 0.3  // kg, SD of arcs of food not counted (own judgement)
	tareSDKg       = 1.0  // kg a box and root of boxes, default tares: published ones of a double differ by 5 kg
	ownTareSDKg    = 0.5  // kg a box and root of boxes, tares weighed by the yard: cocoons, damp wood (own judgement)
	unknownBees    = 10000
	unknownBeesSD  = 5000 // bees, with unknownBees: a wintered single of unknown strength (own judgement; range 2,000-20,000)
	unknownBrood   = 1.0
	unknownBroodSD = 1.0 // frames, with unknownBrood: late winter to early spring (own judgement; range 0-4)
)

// DefaultTares are the weights of empty 10-frame equipment. Boxes hold drawn
// combs. Lid, inner cover, screened floor, medium box: published weights of
// 10-frame equipment; the deep box is 6.2 kg with frames without wax (as
// published) and 0.12 kg of wax a comb (own judgement). Shallow and large box
// and the wrap: own judgement, by comb area. Let each yard weigh its own.
func DefaultTares() Tares {
	return Tares{LidKg: 3.9, InnerCoverKg: 0.8, FloorKg: 1.8, DeepKg: 7.4, MediumKg: 4.6, ShallowKg: 4.0, LargeKg: 9.2, WrapKg: 1.0}
}

// boxKg is the weight of one box of 10 frames.
func (t Tares) boxKg(k BoxKind) float64 {
	switch k {
	case Medium:
		return t.MediumKg
	case Shallow:
		return t.ShallowKg
	case Large:
		return t.LargeKg
	}
	return t.DeepKg
}

// standardFrames is the number of frames that Tares are given for.
const standardFrames = 10

// TareKg is the weight of a colony's empty equipment in kg, combs included,
// and its SD. Boxes of other than 10 frames count in proportion when the tares
// are the default ones.
func (c *Colony) TareKg(t Tares) (meanKg, sdKg float64) {
	kg := t.LidKg + t.InnerCoverKg + t.FloorKg
	for _, b := range c.Boxes {
		kg += float64(b.Count) * t.boxKg(b.Kind)
	}
	each := ownTareSDKg
	if !t.Own {
		each = tareSDKg
		kg *= float64(c.FramesPerBox) / standardFrames
	}
	if c.Insulated {
		kg += t.WrapKg
	}
	return kg, each * math.Sqrt(math.Max(1, float64(c.BoxCount())))
}

// FullKg is the food in kg that all combs hold when full.
func (c *Colony) FullKg() float64 {
	kg := 0.0
	for _, b := range c.Boxes {
		kg += float64(b.Count*c.FramesPerBox) * b.Kind.fullFrameKg()
	}
	return kg
}

// fullFrameKg is the food in a full comb, kg: published for deep and medium, by
// comb area for the others.
func (k BoxKind) fullFrameKg() float64 {
	if k == Medium {
		return fullMediumFrameKg
	}
	return fullDeepFrameKg * k.DeepCombs()
}

// Stores says what an observation tells of the food of a colony, given its
// adult bees and its combs of brood: a weight includes both. Pass NaN for what
// is not known; then a wide guess stands for it. Weights in kg. A colony
// without any sign of its food gets a wide guess by its boxes.
func (c *Colony) Stores(o *Observation, bees, broodFrames float64, t Tares) StoresEstimate {
	e := StoresEstimate{MinKg: 0, MaxKg: c.FullKg(), TareKg: math.NaN(), Kind: o.Food.Kind}
	if !math.IsNaN(broodFrames) { // brood takes the place of food
		e.MaxKg = math.Max(1, e.MaxKg-broodFrames*c.MainKind().fullFrameKg())
	}
	switch f := o.Food; f.Kind {
	case FoodGross:
		c.byWeight(&e, f.GrossKg, scaleSDKg, bees, broodFrames, t)
	case FoodLiftBoth:
		c.byWeight(&e, f.LiftLeftKg+f.LiftRightKg, liftBothSDKg, bees, broodFrames, t)
	case FoodLiftBack:
		totalKg := f.LiftBackKg / backShare
		c.byWeight(&e, totalKg, math.Hypot(totalKg*backShareSD/backShare, scaleSDKg/backShare), bees, broodFrames, t)
	case FoodFrames:
		deep, medium := Deep, Medium
		for _, b := range c.Boxes { // the columns serve the nearest kinds too
			switch b.Kind {
			case Large:
				deep = Large
			case Shallow:
				medium = Shallow
			}
		}
		if c.has(Deep) {
			deep = Deep
		}
		if c.has(Medium) {
			medium = Medium
		}
		e.MeanKg = f.FramesDeep*deep.fullFrameKg() + f.FramesMedium*medium.fullFrameKg()
		e.SDKg = math.Hypot(e.MeanKg*framesSDShare, framesSDKg)
	case FoodHeft:
		e.MeanKg, e.SDKg = heftKg(f.Heft, c.deepBoxes())
	default:
		e.MeanKg, e.SDKg = unknownKg(c.deepBoxes())
	}
	return e
}

func (c *Colony) has(k BoxKind) bool {
	for _, b := range c.Boxes {
		if b.Kind == k {
			return true
		}
	}
	return false
}

// deepBoxes is the comb area in deep boxes of 10 frames.
func (c *Colony) deepBoxes() float64 {
	n := 0.0
	for _, b := range c.Boxes {
		n += float64(b.Count*c.FramesPerBox) / standardFrames * b.Kind.DeepCombs()
	}
	return n
}

// byWeight takes from a weight what is not food.
func (c *Colony) byWeight(e *StoresEstimate, totalKg, totalSDKg, bees, broodFrames float64, t Tares) {
	tareKg, tareSD := c.TareKg(t)
	beesSDKg := bees * beeSDKg
	if math.IsNaN(bees) {
		bees, beesSDKg = unknownBees, unknownBeesSD*beeKg
	}
	combs := c.MainKind().DeepCombs() // brood is counted in combs of the main kind
	broodSDKg := broodFrames * combs * broodFrameSDKg
	if math.IsNaN(broodFrames) {
		broodFrames, broodSDKg = unknownBrood, unknownBroodSD*broodFrameKg
	}
	e.TareKg = tareKg
	e.MeanKg = totalKg - tareKg - bees*beeKg - broodFrames*combs*broodFrameKg - beeBreadKg
	e.SDKg = math.Sqrt(totalSDKg*totalSDKg + tareSD*tareSD + beesSDKg*beesSDKg + broodSDKg*broodSDKg + beeBreadSDKg*beeBreadSDKg)
}

// hefts is the food behind the three words, kg, for a colony in one and in two
// deep boxes. Own judgement: hefting is "not an exact science" in advisers'
// words; light lies about the 5 kg that the Swiss Bee Health Service holds for
// the least, fair about the 10 kg of the Atlantic Canada advisers.
var hefts = map[Heft][2]struct{ meanKg, sdKg float64 }{
	HeftLight: {{4, 2}, {6, 3}},
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

// BroodCells is the number of worker cells on combs of brood full on both
// sides: 6,800 for a deep comb (trade tables, 3,300-3,500 a side), by comb area
// for the others.
func BroodCells(frames float64, k BoxKind) float64 {
	return frames * 2 * cellsPerDeepSide * k.DeepCombs()
}

// Bees in a seam of deep combs.
const (
	seamLooseBees   = 1350.0 // bees a seam from seamLooseC up; range 1,100-1,500: 1,400 on occupied combs (Burgett and Burikam 1985, J. Econ. Entomol. 78:1154-1156), 1,100 worked from quick counts that read twice the full estimate (Aurell et al. 2025)
	seamLooseC      = 14.0   // C from which bees are spread out (own judgement; range 10-16)
	seamClusterBees = 1900.0 // bees a seam when just clustered; range 1,700-2,100: a single layer on both sides of a comb (Burgett and Burikam 1985)
	seamClusterC    = 4.0    // C from which the volume of the cluster was followed down (Severson and Erickson 1990, Apidologie 21:135-142)
	seamTightC      = -23.0  // C where it was least (as above)
	tightVolume     = 0.45   // volume left of that at 4 C (as above, 55 % less)
	unknownCountC   = 7.0    // C assumed when the count has none (own judgement: an early spring look)
	seamsSDShare    = 0.25   // SD over mean for a count with its temperature (own judgement from the spread above)
	seamsWideShare  = 0.35   // the same without a temperature, or a few seams only (own judgement)
	fewSeams        = 2.0    // seams at or under which half a seam of error weighs much (own judgement)
	mostBeesPerSeam = 2430.0 // bees of a comb full on both sides (Burgett and Burikam 1985, from memory)
)

// BeesPerSeam is the adult bees in one seam of deep combs when seams are
// counted at an outdoor temperature in C. From 14 C up bees are spread out:
// 1,350. At 4 C they are clustered: 1,900. Below, the volume of the cluster
// falls by 55 % to -23 C, and a seam count with its cube root, so that bees per
// seam rise with volume^(-1/3), up to what a comb holds. Straight lines between.
func BeesPerSeam(countTempC float64) float64 {
	switch {
	case math.IsNaN(countTempC):
		return BeesPerSeam(unknownCountC)
	case countTempC >= seamLooseC:
		return seamLooseBees
	case countTempC >= seamClusterC:
		return seamClusterBees + (seamLooseBees-seamClusterBees)*(countTempC-seamClusterC)/(seamLooseC-seamClusterC)
	}
	cold := math.Min(1, (seamClusterC-countTempC)/(seamClusterC-seamTightC))
	return math.Min(mostBeesPerSeam, seamClusterBees*math.Pow(1-(1-tightVolume)*cold, -1.0/3))
}

// BeesFromSeams is the adult bees behind a count of seams, given the outdoor
// temperature at the count in C (NaN = unknown) and the kind of box. The SD is
// 25 % of the mean, 35 % without a temperature or with two seams or fewer. A
// quick look from the top overstates: the low figure for warm days allows for
// it. seams NaN gives the guess for an unknown colony, 10,000 +- 5,000 bees.
func BeesFromSeams(seams, countTempC float64, k BoxKind) BeesEstimate {
	if math.IsNaN(seams) {
		return BeesEstimate{MeanBees: unknownBees, SDBees: unknownBeesSD}
	}
	mean := seams * BeesPerSeam(countTempC) * k.DeepCombs()
	share := seamsSDShare
	if math.IsNaN(countTempC) || seams <= fewSeams {
		share = seamsWideShare
	}
	return BeesEstimate{MeanBees: mean, SDBees: share * mean}
}

// Bees is what an observation tells of the adult bees of a colony.
func (c *Colony) Bees(o *Observation) BeesEstimate {
	return BeesFromSeams(o.SeamsOfBees, o.CountTempC, c.MainKind())
}
