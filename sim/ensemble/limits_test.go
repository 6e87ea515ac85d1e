package ensemble

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"bloomgap/sim/colony"
)

// TestASiteThatAsksMore: a yard whose site is known to ask more makes all of its colonies ask more, by its
// share of the spread among colonies, and one that asks less, less.
func TestASiteThatAsksMore(t *testing.T) {
	need := func(siteZ float64) float64 {
		pl := inventedYard("north", colony.EarlySome)
		for m := range pl.Members {
			pl.Members[m].SiteZ = siteZ
		}
		seen := InitialSpread{Day: 1, BeesLogMu: 9, BroodCells: 1, StoresKg: 7, StoresMax: 30}
		d := NewSampler(pl)
		var c Realization
		var shares []float64
		for m := range pl.Members {
			d.Realize(KeyOf("hive"), &seen, m, &c)
			shares = append(shares, c.Params.NeedShare)
		}
		return stat.Mean(shares, nil)
	}
	require.Less(t, need(-1), need(0))
	require.Less(t, need(0), need(1))
	require.Less(t, need(1), need(2))
}

// TestGiftsOfEachMember: what nobody wrote down is given to each member by itself.
func TestGiftsOfEachMember(t *testing.T) {
	pl := inventedYard("north", colony.EarlySome)
	seen := InitialSpread{Day: 1, BeesLogMu: 9, BroodCells: 1, StoresKg: 7, StoresMax: 30}
	for m := range pl.Members {
		seen.Gifts = append(seen.Gifts, []colony.Gift{{Day: m, Kg: 1}})
	}
	d := NewSampler(pl)
	var c Realization
	for _, m := range []int{3, 0, 17} {
		d.Realize(KeyOf("hive"), &seen, m, &c)
		require.Equal(t, m, c.Member)
		require.Equal(t, seen.Gifts[m], c.Span.Gifts)
	}
}
