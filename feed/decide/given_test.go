package decide

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/sim/colony"
	"bloomgap/sim/observe"
)

func march(day int) time.Time { return time.Date(2027, time.March, day, 0, 0, 0, 0, time.UTC) }

func fromFirst(d time.Time) int { return int(d.Sub(march(1)).Hours() / 24) }

// TestGivenIsWeighed: what was given keeps its sugar, in the feeder, in the combs
// and over the cluster, on the right day.
func TestGivenIsWeighed(t *testing.T) {
	p := colony.DefaultParams()
	hive := season.Colony{Name: "1", Boxes: []season.Boxes{{Kind: season.Deep, Count: 1}}, FramesPerBox: 10}
	h := hive.Hive(observe.DefaultTares(), observe.MassesOf(&p))
	looks := []season.Observation{{Date: march(2)}, {Date: march(12)}}
	strength := syrup.TwoToOne()
	sugarKgPerL := 2.0 / 3 * syrup.DensityKgPerL(2.0/3)
	fed := func(g season.Given) []colony.Feeding {
		return fedTo(&h, looks, []season.Given{g}, &p, fromFirst, march(20))
	}

	got := fed(season.Given{Date: march(4), SyrupL: 3, Strength: strength, LeftL: math.NaN(), LeftSolidKg: math.NaN()})
	require.Len(t, got, 1, "nobody looked: all of it may still lie in the feeder")
	require.Equal(t, 3, got[0].Day)
	require.InDelta(t, 3*sugarKgPerL, got[0].SugarKg, 1e-9)
	require.InDelta(t, 3/got[0].LPerKg, got[0].SyrupKg, 1e-9, "as many litres as were given")
	require.Greater(t, got[0].SyrupKg, got[0].SugarKg, "ripe stores hold some water")

	got = fed(season.Given{Date: march(4), SyrupL: 3, Strength: strength, LeftL: 1, LeftSolidKg: math.NaN()})
	require.Len(t, got, 2, "a third was found left at the next look")
	require.Equal(t, []int{3, 11}, []int{got[0].Day, got[1].Day})
	require.InDelta(t, 2*strength.StoresKgPerL()*p.SyrupYield, got[0].CombKg, 1e-9)
	require.InDelta(t, sugarKgPerL, got[1].SugarKg, 1e-9)

	got = fed(season.Given{Date: march(14), SyrupL: 3, Strength: strength, LeftL: 0, LeftSolidKg: math.NaN()})
	require.Len(t, got, 1, "taken whole")
	require.InDelta(t, 3*strength.StoresKgPerL()*p.SyrupYield, got[0].CombKg, 1e-9)

	got = fed(season.Given{Date: march(4), SolidKg: 2, LeftL: math.NaN(), LeftSolidKg: 0.5})
	require.Len(t, got, 2)
	require.Equal(t, []float64{1.5, 0.5}, []float64{got[0].SolidKg, got[1].SolidKg})
	require.Equal(t, []int{3, 11}, []int{got[0].Day, got[1].Day})
}

// TestInTheFeederAtALook: a weight holds what was found left of the syrup then, and
// nothing that was given on the day or after.
func TestInTheFeederAtALook(t *testing.T) {
	looks := []season.Observation{{Date: march(2)}, {Date: march(12)}, {Date: march(19)}}
	given := func(day int, left float64) season.Given {
		return season.Given{Date: march(day), SyrupL: 3, Strength: syrup.OneToOne(), LeftL: left}
	}
	at := func(day int, gs ...season.Given) float64 { return inFeederKg(looks, gs, march(day), march(20)) }
	litre := syrup.DensityKgPerL(0.5)
	require.Zero(t, at(12))
	require.InDelta(t, litre, at(12, given(4, 1)), 1e-9)
	require.InDelta(t, 1.5*litre, at(12, given(4, 1), given(6, 0.5)), 1e-9)
	require.Zero(t, at(12, given(12, 1)), "a look comes before the feed of its day")
	require.Zero(t, at(12, given(14, math.NaN())))
	require.Zero(t, at(19, given(4, 1)), "what was left at an earlier look is no longer known to be there")
	require.True(t, math.IsNaN(at(12, given(4, math.NaN()))), "nobody looked")
	require.Zero(t, at(12, season.Given{Date: march(4), SolidKg: 2, LeftL: math.NaN()}), "no syrup was given")
}
