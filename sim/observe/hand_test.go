package observe

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestKeepersOwnHand: keepers, each with a hand of their own, judge hives of which a
// few are weighed on the same day. With those pairs the error of all the others
// falls, and the bands, which narrow, go on holding what they say.
func TestKeepersOwnHand(t *testing.T) {
	const keepers, hives = 150, 12
	h := double()
	h.Tares.Own = true
	for _, kind := range []FoodKind{FoodHeft, FoodLiftBack, FoodFrames} {
		var missBefore, missAfter, widthBefore, widthAfter, heldBefore, heldAfter float64
		for keeper := range keepers {
			rnd := rand.New(rand.NewPCG(uint64(keeper), uint64(kind)))
			hand, tareKg := handShare(kind)*rnd.NormFloat64(), ownTareSDKg*math.Sqrt2*rnd.NormFloat64()
			judge := func(storesKg float64) Food {
				e := h.Stores(&Food{Kind: kind, Heft: HeftFair, FramesDeep: 4, LiftBackKg: 18}, 1e4, 1)
				off := hand + math.Sqrt(1-handShare(kind)*handShare(kind))*rnd.NormFloat64()
				switch kind {
				case FoodLiftBack:
					besides, _ := h.NotFoodKg(1e4, 1)
					kg := besides + storesKg
					return Food{Kind: kind, LiftBackKg: kg * (backShare + off*backShareSD)}
				case FoodFrames:
					return read(h, kind, storesKg*(1+off*framesSDShare), 1e4, 1)
				}
				return read(h, kind, storesKg+off*e.SDKg, 1e4, 1)
			}
			var pairs []Pair
			for range 6 {
				kg := 3 + 20*rnd.Float64()
				w := read(h, FoodGross, kg+tareKg+scaleSDKg*rnd.NormFloat64(), 1e4, 1)
				pairs = append(pairs, Pair{Hive: h, Look: Look{Food: w, SeamsOfBees: 1e4 / BeesPerSeam(6), CountTempC: 6, BroodFrames: 1}, Other: judge(kg)})
			}
			knows := *h
			knows.Hand = LearnHand(pairs)
			require.Equal(t, 6, knows.Hand.Pairs(kind))
			for range hives {
				kg := 3 + 20*rnd.Float64()
				f := judge(kg)
				before, after := h.Stores(&f, 1e4, 1), knows.Stores(&f, 1e4, 1)
				const n = keepers * hives
				missBefore += math.Abs(before.MeanKg-kg) / n
				missAfter += math.Abs(after.MeanKg-kg) / n
				widthBefore += before.SDKg / n
				widthAfter += after.SDKg / n
				const band80 = 1.2816
				if math.Abs(before.MeanKg-kg) < band80*before.SDKg {
					heldBefore += 1.0 / n
				}
				if math.Abs(after.MeanKg-kg) < band80*after.SDKg {
					heldAfter += 1.0 / n
				}
			}
		}
		t.Logf("%s: miss %.2f to %.2f kg, SD %.2f to %.2f kg, 80 %% band holds %.0f to %.0f %%", kind, missBefore, missAfter, widthBefore, widthAfter, 100*heldBefore, 100*heldAfter)
		require.Less(t, missAfter, missBefore, "%s: the error falls", kind)
		require.Less(t, widthAfter, widthBefore, kind)
		require.Greater(t, heldAfter, 0.72, "%s: the band holds", kind)
	}
}

// TestNoPairsChangeNothing: without pairs, and for a scale, a reading is worth what
// it was.
func TestNoPairsChangeNothing(t *testing.T) {
	h := double()
	knows := *h
	knows.Hand = LearnHand(nil)
	for kind := FoodUnknown; kind <= FoodHeft; kind++ {
		f := Food{Kind: kind, GrossKg: 40, LiftLeftKg: 20, LiftRightKg: 20, LiftBackKg: 18, FramesDeep: 3, Heft: HeftLight}
		a, b := h.Stores(&f, 1e4, 1), knows.Stores(&f, 1e4, 1)
		if math.IsNaN(a.TareKg) {
			a.TareKg, b.TareKg = 0, 0
		}
		require.Equal(t, a, b)
	}
}
