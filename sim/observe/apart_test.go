package observe

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// honest is a hive of one or two deep boxes with what a keeper reads of it by eye, hand and
// scale, whose errors are those that this room reckons with.
type honest struct {
	hive                       Hive
	look                       Look
	weight, back, frames, heft Food
	storesKg                   float64
}

func readHonestly(rnd *rand.Rand) honest {
	boxes := 1 + rnd.IntN(2)
	h := honest{hive: *hiveOf(Boxes{Kind: Deep, Count: boxes})}
	mean, sd := unknownKg(float64(boxes))
	for h.storesKg = -1; h.storesKg < 0 || h.storesKg > h.hive.FullKg(); {
		h.storesKg = mean + sd*rnd.NormFloat64()
	}
	h.look = Look{SeamsOfBees: 6, CountTempC: 5, BroodFrames: 2}
	besides, besidesSD := h.hive.NotFoodKg(h.hive.Bees(&h.look).MeanBees, 2)
	gross := h.storesKg + besides + besidesSD*rnd.NormFloat64()
	h.weight = Food{Kind: FoodGross, GrossKg: gross + scaleSDKg*rnd.NormFloat64()}
	h.back = Food{Kind: FoodLiftBack, LiftBackKg: gross*(backShare+backShareSD*rnd.NormFloat64()) + scaleSDKg*rnd.NormFloat64()}
	full := Deep.FullFrameKg()
	h.frames = Food{Kind: FoodFrames, FramesDeep: math.Max(0, math.Round(2*h.storesKg/full*(1+framesSDShare*rnd.NormFloat64()))/2)}
	// The word is the nearest to what the hand feels: an eye's error of 2.5 kg (own judgement),
	// and half of it the keeper's own.
	felt, best := h.storesKg+2.5*rnd.NormFloat64(), math.Inf(1)
	for _, w := range []Heft{HeftLight, HeftFair, HeftHeavy} {
		if kg, _ := heftKg(w, float64(boxes)); math.Abs(kg-felt) < best {
			best, h.heft = math.Abs(kg-felt), Food{Kind: FoodHeft, Heft: w}
		}
	}
	return h
}

// TestHowFarHonestReadingsLieApart: fewer than one in a hundred pairs of honest readings is
// asked about, while readings that were swapped between a light and a heavy hive are, and so
// are a heavy heft on a starving weight, a light one on a full hive, a lift of the whole hive.
func TestHowFarHonestReadingsLieApart(t *testing.T) {
	const n = 2000
	rnd := rand.New(rand.NewPCG(13, 1))
	limits := []float64{0.8, 1, 1.2, 1.4} // of Contradict
	beyond := map[string][]int{}
	asked := func(name string, by float64) {
		if beyond[name] == nil {
			beyond[name] = make([]int, len(limits))
		}
		for i, limit := range limits {
			if by > limit {
				beyond[name][i]++
			}
		}
	}
	for range n {
		h := readHonestly(rnd)
		asked("weight and heft", h.hive.Contradict(&h.look, h.weight, h.heft))
		asked("weight and frames", h.hive.Contradict(&h.look, h.weight, h.frames))
		asked("weight and back lift", h.hive.Contradict(&h.look, h.weight, h.back))
		asked("frames and heft", h.hive.Contradict(&h.look, h.frames, h.heft))
		for other := readHonestly(rnd); ; other = readHonestly(rnd) { // a hive with 12 kg more or less
			if math.Abs(other.storesKg-h.storesKg) > 12 && other.hive.Frames() == h.hive.Frames() {
				asked("slip: heft of a hive 12 kg off", h.hive.Contradict(&h.look, h.weight, other.heft))
				asked("slip: frames of a hive 12 kg off", h.hive.Contradict(&h.look, h.weight, other.frames))
				asked("slip: lift of a hive 12 kg off", h.hive.Contradict(&h.look, h.weight, other.back))
				break
			}
		}
	}
	for name, of := range beyond {
		t.Logf("%-34s beyond %v: %.2f %.2f %.2f %.2f %%", name, limits, pct(of[0], n), pct(of[1], n), pct(of[2], n), pct(of[3], n))
	}
	for _, name := range []string{"weight and heft", "weight and frames", "weight and back lift", "frames and heft"} {
		require.Less(t, pct(beyond[name][1], n), 1.0, name)
	}
	require.Greater(t, pct(beyond["slip: lift of a hive 12 kg off"][1], n), 90.0)
	require.Greater(t, pct(beyond["slip: heft of a hive 12 kg off"][1], n), 33.0)

	single := single()
	look := Look{SeamsOfBees: 6, CountTempC: 5, BroodFrames: 2}
	besides, _ := single.NotFoodKg(single.Bees(&look).MeanBees, 2)
	gross := func(storesKg float64) Food { return Food{Kind: FoodGross, GrossKg: besides + storesKg} }
	heft := func(h Heft) Food { return Food{Kind: FoodHeft, Heft: h} }
	require.Greater(t, single.Contradict(&look, heft(HeftHeavy), gross(2)), 1.0, "heavy, and all but empty")
	require.Less(t, single.Contradict(&look, heft(HeftHeavy), gross(8)), 1.0, "a keeper who calls 8 kg heavy")
	require.Greater(t, single.Contradict(&look, gross(15), heft(HeftLight)), 1.0, "light, and half full")
	require.Less(t, single.Contradict(&look, gross(10), heft(HeftLight)), 1.0)
	require.Zero(t, single.Contradict(&look, gross(28), heft(HeftHeavy)), "heavy has no upper end")
	require.Zero(t, single.Contradict(&look, heft(HeftLight), gross(0)), "light has no lower end")
	require.Greater(t, single.Contradict(&look, Food{Kind: FoodLiftBack, LiftBackKg: 27}, Food{Kind: FoodGross, GrossKg: 27}), 1.0, "a lift is half of the weight")
	require.True(t, math.IsNaN(single.Contradict(&look, Food{}, heft(HeftFair))))
}

func pct(n, of int) float64 { return 100 * float64(n) / float64(of) }
