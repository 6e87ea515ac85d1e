package observe

import "math"

// From how many standard deviations on two readings of a hive on one day are held to
// contradict each other, 1, 2-3.5, own judgement: TestHowFarHonestReadingsLieApart says how
// often honest readings lie so far apart, and how many slips do.
const (
	eyeContradicts   = 2.5 // a heft or frames and anything else
	scaleContradicts = 3.0 // two weights
)

// Contradict tells by how much two readings lie beyond what their errors explain, as a share
// of that; 1 or less is no contradiction.
func (h *Hive) Contradict(l *Look, a, b Food) float64 {
	limit := scaleContradicts
	for _, k := range []FoodKind{a.Kind, b.Kind} {
		if k == FoodHeft || k == FoodFrames {
			limit = eyeContradicts
		}
	}
	return math.Abs(h.apart(l, a, b)) / limit
}

// apart is how far one reading of a hive's food lies over another of the same look, in
// standard deviations of their difference. Two weights are compared as weights, so that what
// a hive weighs empty falls out. A hive hefted heavy may hold any more, and one hefted light
// any less. NaN when one of them tells nothing.
func (h *Hive) apart(l *Look, a, b Food) float64 {
	plain := *h
	plain.Hand = Hand{}
	aKg, aSDKg := a.TotalKg()
	bKg, bSDKg := b.TotalKg()
	if !math.IsNaN(aKg) && !math.IsNaN(bKg) {
		return (aKg - bKg) / math.Hypot(aSDKg, bSDKg)
	}
	if a.Kind == FoodUnknown || b.Kind == FoodUnknown {
		return math.NaN()
	}
	of := func(f Food) StoresEstimate {
		look := *l
		look.Food = f
		e := plain.StoresSeen(&look)
		e.MeanKg = min(max(e.MeanKg, e.MinKg), e.MaxKg)
		return e
	}
	x, y := of(a), of(b)
	// An eye that overlooks a comb errs by a share of what is there, not of what it saw.
	eye := math.Hypot(framesSDShare*max(x.MeanKg, y.MeanKg), framesSDKg)
	if a.Kind == FoodFrames {
		x.SDKg = eye
	}
	if b.Kind == FoodFrames {
		y.SDKg = eye
	}
	over := x.MeanKg - y.MeanKg
	open := func(f *Food, over float64) bool { // whether the word holds for the other reading too
		return f.Kind == FoodHeft && (f.Heft == HeftHeavy && over < 0 || f.Heft == HeftLight && over > 0)
	}
	if open(&a, over) || open(&b, -over) {
		return 0
	}
	return over / math.Hypot(x.SDKg, y.SDKg)
}
