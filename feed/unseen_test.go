package feed

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
)

// hives is a yard of so many hives of which the same is known.
func hives(t *testing.T, n int, seen map[string]string) *season.Season {
	s := seasontest.OneHive(t, seen, nil)
	one := s.Colonies[0]
	for i := 1; i < n; i++ {
		c := one
		c.Name = fmt.Sprint("hive ", i+1)
		s.Colonies = append(s.Colonies, c)
	}
	return s
}

// An order for hives that nobody looked at is as wide as what is not known of them: they are
// light together or heavy together, so that many of them are hardly surer than one. Weights
// make it sharper.
func TestAnOrderForUnseenHivesIsHonestlyWide(t *testing.T) {
	width := func(n int, seen map[string]string) float64 {
		pl, _ := planOf(t, hives(t, n, seen), members(200))
		a := pl.Order.SugarKg
		require.Positive(t, a.P50)
		return (a.P90 - a.P10) / a.P50
	}
	unseen := width(60, nil)
	require.Greater(t, unseen, 0.75*width(6, nil), "with errors of their own alone sixty hives are surer by a third than six")
	require.Less(t, width(24, map[string]string{"gross": "19.5"}), 0.8*unseen)
}

// One hive that nobody looked at is as uncertain as before: only what it shares with others
// is new.
func TestAnUnseenHiveKeepsItsSpread(t *testing.T) {
	pl, _ := planOf(t, hives(t, 2, nil), members(400))
	var p plan.Range
	for i := range pl.Colonies {
		p = pl.Colonies[i].StoresKg
		require.InDelta(t, 8, p.P50, 1, "8 kg with 5 in one deep box, cut at nothing (sim/observe)")
		require.Greater(t, p.P90-p.P10, 8.0)
	}
}
