package colony

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// TestGivenBeforeIsAsGivenInTheRun: what was given before the question is asked
// leaves the stores that the same feedings as a treatment leave, day by day. Solid
// feed that still lies over the cluster counts as stores in the treatment only.
func TestGivenBeforeIsAsGivenInTheRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyParams(t)
		f := Forcing(anySpring(t, 120), &p)
		start, sp, care := anyStart(t), anySpan(t, f, &p), anyCare(t, 120)
		sp.NectarDay = 120 // a treatment is not given once nectar has come
		if len(care.Feedings) > 0 {
			care.Feedings[0].CombKg = 1.5
		}
		var r Runner
		var with, before Path
		r.Run(Spring{&p, f, sp}, start, care, 0, &with)
		sp.Fed = care.Feedings
		care.Feedings = nil
		out := r.Run(Spring{&p, f, sp}, start, care, 0, &before)
		for day := range with.StoresKg {
			kg := with.StoresKg[day] - with.SolidKg[day]
			if len(sp.Fed) > 0 && max(0, sp.Fed[0].Day) == day {
				kg -= sp.Fed[0].CombKg // shown on the evening itself by the one, from the next day on by the other
			}
			require.InDelta(t, kg, before.StoresKg[day], 1e-9*(1+math.Abs(kg)), "day %d", day)
		}
		require.InDelta(t, 0, out.Balance.GapKg(), 1e-9*(1+out.Balance.EatenKg+out.Balance.NectarKg))
		require.Zero(t, out.FeedingsUsed, "no feeding of the plan")
	})
}

func TestGiftIsThereTheNextMorning(t *testing.T) {
	p := DefaultParams()
	rapid.Check(t, func(t *rapid.T) {
		f := Forcing(anySpring(t, 60), &p)
		start, sp := anyStart(t), anySpan(t, f, &p)
		sp.Days = 60
		var r Runner
		var gift, none Path
		r.Run(Spring{&p, f, sp}, start, &Treatment{}, 0, &none)
		sp.Gifts = []Gift{{Day: 40, Kg: 3}}
		r.Run(Spring{&p, f, sp}, start, &Treatment{}, 0, &gift)
		require.Equal(t, none.StoresKg[40], gift.StoresKg[40])
		require.InDelta(t, none.StoresKg[41]+3, gift.StoresKg[41], 1e-9)
	})
}
