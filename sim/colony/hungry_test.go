package colony

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestHungry: a colony that cuts its brood eats less and comes to bloom with fewer
// bees than one kept growing; with food enough the two are one.
func TestHungry(t *testing.T) {
	p := DefaultParams()
	f := Forcing(inventedSpring(120, 0), &p)
	sp := Span{PollenDay: 20, BloomDay: 90, NectarDay: 119, ReadDay: -1, Days: 120}
	run := func(kg float64, fills ...Feeding) (careful, hungry Outcome, path Path) {
		var r Runner
		s := InitialState{Bees: 9000, BroodCells: 1500, StoresKg: kg, PollenG: 900, HeatShare: 1}
		care := &Treatment{Feedings: fills}
		careful = r.Run(Spring{&p, f, sp}, s, care, 2, nil)
		hungry = r.SimulateHungry(Spring{&p, f, sp}, s, care, 2, &path)
		after := r.Run(Spring{&p, f, sp}, s, care, 2, nil)
		require.Equal(t, careful, after, "the brake is off again")
		require.InDelta(t, 0, hungry.Balance.GapKg(), 1e-9)
		return careful, hungry, path
	}
	careful, hungry, _ := run(60)
	require.Equal(t, careful, hungry, "never hungry")

	for _, kg := range []float64{4, 6, 8} {
		careful, hungry, path := run(kg)
		require.Less(t, hungry.ShortKg, careful.ShortKg, "%g kg", kg)
		require.Less(t, hungry.BloomBees, careful.BloomBees, "%g kg", kg)
		require.Less(t, hungry.Balance.EatenKg, careful.Balance.EatenKg, "%g kg", kg)
		if careful.StarveDay < 0 {
			require.Negative(t, hungry.StarveDay)
		} else if hungry.StarveDay >= 0 {
			require.GreaterOrEqual(t, hungry.StarveDay, careful.StarveDay)
		}
		for day, there := range path.StoresKg {
			if day+1 < len(path.Laid) && there+path.FeederKg[day] < p.HungryStopKg {
				require.Zero(t, path.Laid[day+1], "day %d lays on %.2f kg", day+1, there)
			}
		}
	}
	_, starved, _ := run(4)
	_, fed, _ := run(4, Feeding{Day: 10, SyrupKg: 4, SugarKg: 4, LPerKg: 1.16})
	require.Greater(t, fed.BloomBees, starved.BloomBees, "food keeps brood")
}
