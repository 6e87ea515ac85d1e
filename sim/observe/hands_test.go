package observe

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestHandByHand: what pairs of a weight and a judgement tell of a keeper, worked out by hand.
func TestHandByHand(t *testing.T) {
	h := single()
	look := Look{SeamsOfBees: 6, CountTempC: 5, BroodFrames: 2, Food: Food{Kind: FoodGross, GrossKg: 28}}
	weight := h.StoresSeen(&look)
	_, tareSD := h.TareKg()
	heft := Food{Kind: FoodHeft, Heft: HeftHeavy}
	p := Pair{Hive: h, Look: look, Other: heft}
	z, own, shared := p.off()
	require.InDelta(t, (16-weight.MeanKg)/4, z, 1e-9, "heavy is 16 kg, give or take 4")
	require.InDelta(t, (weight.SDKg*weight.SDKg-tareSD*tareSD)/16+1-0.25, own, 1e-9)
	require.InDelta(t, tareSD*tareSD/16, shared, 1e-9)
	back := Pair{Hive: h, Look: look, Other: Food{Kind: FoodLiftBack, LiftBackKg: 13.5}}
	z, own, shared = back.off()
	sd := 28 * 0.03 / 0.45
	require.InDelta(t, (30-28)/sd, z, 1e-9)
	require.InDelta(t, (square(0.3/0.45)+0.09)/sd/sd+1-0.64, own, 1e-9)
	require.Zero(t, shared)

	for _, n := range []int{1, 4} {
		var pairs []Pair
		for range n {
			pairs = append(pairs, p, back)
		}
		hand := LearnHand(pairs)
		require.Equal(t, n, hand.Pairs(FoodHeft))
		require.Zero(t, hand.Pairs(FoodFrames))
		z, own, shared := p.off()
		gain := 0.25 / (0.25 + shared + own/float64(n)) // the empty hive weighs the same wrong each time
		require.InDelta(t, gain*z, hand.of[FoodHeft].shift, 1e-9)
		left := 0.5 * math.Sqrt(1-gain)
		require.InDelta(t, left, hand.of[FoodHeft].sdLeft, 1e-9)

		knows := *h
		knows.Hand = hand
		plain, e := h.Stores(&heft, 9000, 2), knows.Stores(&heft, 9000, 2)
		require.InDelta(t, plain.MeanKg-gain*z*4, e.MeanKg, 1e-9)
		hive2 := 0.49 - 0.25 // the hive's own part of what looks have in common
		require.InDelta(t, 4*math.Sqrt(hive2+left*left), e.CommonSDKg, 1e-9)
		require.InDelta(t, 4*math.Sqrt(1-0.49+hive2+left*left), e.SDKg, 1e-9)
		shift, sdBack := hand.backSD()
		zb, ownB, _ := back.off()
		gainB := 0.64 / (0.64 + ownB/float64(n))
		require.InDelta(t, gainB*zb, shift, 1e-9)
		require.InDelta(t, math.Sqrt(1-0.64+0.64*(1-gainB)), sdBack, 1e-9)
		frames := Food{Kind: FoodFrames, FramesDeep: 3}
		plain, e = h.Stores(&frames, 9000, 2), knows.Stores(&frames, 9000, 2)
		require.Equal(t, [2]float64{plain.MeanKg, plain.SDKg}, [2]float64{e.MeanKg, e.SDKg}, "nothing is known of another way")
	}
	var none Hand
	shift, sdBack := none.backSD()
	require.Equal(t, [2]float64{0, 1}, [2]float64{shift, sdBack})
}

// TestReportByHand: what a report says of members and looks.
func TestReportByHand(t *testing.T) {
	l := learnerOf(t)
	l.evidence = []float64{0, math.Log(3), math.Log(4)}
	l.ess, l.widened = []float64{4, 9, 6}, []float64{1, 3, 2}
	l.useAll, l.usePicked = []float64{1, 2, 3}, []float64{4, 5, 6}
	l.storesKg, l.lastBees = []float64{7, 8, 9}, []float64{10, 11, 12}
	l.draws, l.widenedSeen = 48, 2
	l.tally = []tally{{sum: 8, sum2: 24, weight: 4, errSD: 2}, {}, {sum: -8, sum2: 20, weight: 4, errSD: 0.2}}
	r := l.report(3, nil, nil)
	require.InDeltaSlice(t, []float64{1.0 / 8, 3.0 / 8, 4.0 / 8}, r.MemberWeight, 1e-12)
	require.InDelta(t, 64.0/26, r.MemberESS, 1e-12)
	require.Equal(t, [2]float64{6, 2}, [2]float64{r.ESS, r.WidenedBy})
	require.InDelta(t, 2.0/3, r.WidenedFor, 1e-12)
	require.Equal(t, 40, r.LastDay)
	require.Equal(t, Range{1, 2, 3}, r.UseBefore)
	require.Equal(t, Range{4, 5, 6}, r.UseNow)
	require.Len(t, r.Innovations, 3)
	require.Equal(t, 25, r.Innovations[0].Day, "day 14 of a run from day 11 on")
	require.InDelta(t, 2/math.Sqrt(6-4+4), r.Innovations[0].Z, 1e-12)
	require.True(t, math.IsNaN(r.Innovations[1].Z), "nothing could be foretold")
	require.InDelta(t, -2/math.Sqrt(5-4+0.04), r.Innovations[2].Z, 1e-12)
	require.Len(t, r.Warnings, 1, "the errors were widened")
	told := l.report(3, nil, []Innovation{{Day: 25, What: storesSeen, Z: 4}})
	require.Equal(t, 4.0, told.Innovations[0].Z, "as it was before untold food was reckoned with")
	require.Len(t, told.Warnings, 2)
}
