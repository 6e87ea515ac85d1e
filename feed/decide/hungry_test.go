package decide

import (
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
)

// TestHungryReadingIsTheMilder: on the demo's colonies a colony that cuts its brood
// starves in no more springs than one kept growing, on the same members, and in
// fewer where food is short; the headline keeps the careful number.
func TestHungryReadingIsTheMilder(t *testing.T) {
	s := season.Demo()
	seen, milder := 0, 0
	for _, c := range decideAll(t, s, 100, 100).Plans {
		h := c.Hungry
		if h.Members == 0 {
			require.False(t, c.Members > 0 && c.Risk.Frac > 0.05, c.Colony)
			continue
		}
		seen++
		require.Equal(t, 33, h.Members, "%s: a third of 100, as with 300", c.Colony)
		require.InDelta(t, c.Risk.Frac, h.Growing.Frac, 1e-12, "%s: the careful reading is that of the plan", c.Colony)
		require.LessOrEqual(t, h.Risk.Frac, h.Growing.Frac, c.Colony)
		if h.Risk.Frac < h.Growing.Frac {
			milder++
		}
		require.LessOrEqual(t, h.BloomBees.P50, 1.05*h.GrowingBees.P50, "%s: less brood makes hardly more bees", c.Colony)
	}
	require.Greater(t, seen, 8)
	require.Greater(t, milder, seen/2)
}
