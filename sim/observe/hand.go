package observe

import "math"

// Hand is what is known of how one keeper judges hives, by way: from hives that
// were judged and weighed on the same day. The zero Hand knows nothing.
type Hand struct{ of [FoodHeft + 1]hand }

// hand is one way: how far the keeper reads too high, in standard deviations of the
// way, and what is left of not knowing it.
type hand struct {
	pairs         int
	shift, sdLeft float64
}

// The part of an error that is the keeper's: the same at every hive.
const (
	handEyeShare  = 0.5 // of the error of a heft or a count of frames, 1, 0.3-0.7, own judgement; with hiveEyeShare it makes commonEyeShare
	handBackShare = 0.8 // of the error of the share that a lift at the back reads, 1, 0.5-0.95, own judgement: where and how the hand pulls
)

// hiveEyeShare is the part that is the hive's, the same at each look by this keeper.
var hiveEyeShare = math.Sqrt(commonEyeShare*commonEyeShare - handEyeShare*handEyeShare)

// handShare is the keeper's part of the error of a way, 1; 0 for a scale.
func handShare(k FoodKind) float64 {
	switch k {
	case FoodHeft, FoodFrames:
		return handEyeShare
	case FoodLiftBack:
		return handBackShare
	}
	return 0
}

// Pair is a hive that was weighed and judged in another way on the same day.
type Pair struct {
	Hive  *Hive
	Look  Look // with the weight as its Food
	Other Food
}

// LearnHand works out from pairs how a keeper's judgement is off. The weights have
// an error in common too, that of the empty equipment, which no number of pairs
// takes away; a lift at the back shares it and is compared with the weight itself.
func LearnHand(pairs []Pair) Hand {
	var out Hand
	for k := range out.of {
		kind := FoodKind(k)
		c := handShare(kind)
		if c == 0 {
			continue
		}
		n, sum, own, shared := 0.0, 0.0, 0.0, 0.0
		for i := range pairs {
			p := &pairs[i]
			if p.Other.Kind != kind || !p.Look.Food.Kind.Weighed() {
				continue
			}
			z, ownVar, sharedVar := p.off()
			n++
			sum += z
			own += ownVar
			shared += sharedVar
		}
		if n == 0 {
			continue
		}
		gain := c * c / (c*c + shared/n + own/n/n)
		out.of[k] = hand{pairs: int(n), shift: gain * sum / n, sdLeft: c * math.Sqrt(1-gain)}
	}
	return out
}

// off is how far the other reading of a pair lies over the weight, in standard
// deviations of its way, with the variance that is this pair's own and the one that
// it may share with other pairs.
func (p *Pair) off() (z, ownVar, sharedVar float64) {
	c := handShare(p.Other.Kind)
	weighedKg, weighedSDKg := p.Look.Food.TotalKg()
	if p.Other.Kind == FoodLiftBack {
		kg, _ := p.Other.TotalKg()
		sd := weighedKg * backShareSD / backShare
		own := math.Hypot(scaleSDKg/backShare, weighedSDKg) / sd
		return (kg - weighedKg) / sd, own*own + 1 - c*c, 0
	}
	weight := p.Hive.StoresSeen(&p.Look)
	other := p.Look
	other.Food = p.Other
	plain := *p.Hive
	plain.Hand = Hand{}
	e := plain.StoresSeen(&other)
	_, tareSDKg := p.Hive.TareKg()
	shared := tareSDKg / e.SDKg
	own := math.Sqrt(math.Max(0, weight.SDKg*weight.SDKg-tareSDKg*tareSDKg)) / e.SDKg
	return (e.MeanKg - weight.MeanKg) / e.SDKg, own*own + 1 - c*c, shared * shared
}

// Pairs is the number of pairs behind what is known of a way.
func (h *Hand) Pairs(k FoodKind) int { return h.of[k].pairs }

// backSD is what is left of the error of a lift at the back, in its standard
// deviations, and how far it reads too high.
func (h *Hand) backSD() (shift, sd float64) {
	if at := &h.of[FoodLiftBack]; at.pairs > 0 {
		return at.shift, math.Sqrt(1 - handBackShare*handBackShare + at.sdLeft*at.sdLeft)
	}
	return 0, 1
}

// correct shifts and narrows a heft or a count of frames by the hand.
func (h *Hand) correct(e *StoresEstimate) {
	at := &h.of[e.Kind]
	if at.pairs == 0 || e.Kind == FoodLiftBack {
		return
	}
	sd := e.SDKg
	common2 := hiveEyeShare*hiveEyeShare + at.sdLeft*at.sdLeft
	e.MeanKg -= at.shift * sd
	e.CommonSDKg = sd * math.Sqrt(common2)
	e.SDKg = sd * math.Sqrt(1-commonEyeShare*commonEyeShare+common2)
}
