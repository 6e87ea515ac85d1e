package ensemble

import (
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage"
	"bloomgap/sim/colony"
)

// TestMembersMadeAsNeededAreTheSame: a member that is worked out when it is taken, by several at once,
// before or after the yard was learned from, is the one that is worked out with all others.
func TestMembersMadeAsNeededAreTheSame(t *testing.T) {
	const members = 1500
	base := colony.DefaultParams()
	o := &forage.Outlook{Start: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), BloomSpreadDays: 3, PollenSpread: 2,
		Springs: []forage.Spring{{Weight: 0.25, Days: inventedSpring(120, -1), PollenDay: 20, BloomDay: 74},
			{Weight: 0.75, Days: inventedSpring(110, 2), PollenDay: 12, BloomDay: 61}}}
	opt := SpringEnsembleOptions{Today: 3, ReadDay: -1, Yard: "one", Early: colony.EarlyUnknown}
	part := YardPart{Mean: [2]float64{0.3, -0.2}, Lower: [2][2]float64{{0.8, 0}, {0.1, 0.9}}}
	for _, learnAfter := range []int{0, 700} {
		all := NewSpringEnsemble(o, NewSharedDraws(base, members, 7, false), opt)
		all.Learn(part)
		draws := NewSharedDrawsAsNeeded(base, 300, members, 7)
		pl := NewSpringEnsemble(o, draws, opt)
		require.Nil(t, pl.Members[members-1].Params, "nobody has taken it")
		require.NotNil(t, pl.Members[299].Params)
		pl.upTo(learnAfter)
		pl.Learn(part)
		var both sync.WaitGroup
		for _, order := range [][]int{{0, 299, 300, 900, members - 1}, {members - 1, 301, 5}} {
			both.Go(func() {
				d := NewSampler(pl)
				for _, m := range order {
					var c Realization
					d.Realize(KeyOf("hive"), &InitialSpread{StoresKg: 5, StoresMax: 9, BeesLogMu: 9}, m, &c)
				}
			})
		}
		both.Wait()
		require.True(t, slices.EqualFunc(all.Members, pl.Members, func(a, b Member) bool {
			x, y := a, b
			x.Params, y.Params = nil, nil
			return x == y && *a.Params == *b.Params
		}))
	}
}
