package feed

import (
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
)

// What the charts of a fed colony say is what its plan says, and more sugar or an
// earlier start never raises the risk.
func TestDetailAgreesWithThePlan(t *testing.T) {
	s := oneHive(t, map[string]string{"heft": "light"}, nil)
	pl, planner := planOf(t, s, members(400))
	c := &pl.Colonies[0]
	require.Equal(t, plan.Feed, c.Verdict)
	d, ok, err := planner.Detail(c)
	require.NoError(t, err)
	require.True(t, ok)

	sugar := c.SyrupSugarKg + c.SolidKg
	last := func(v []float64) float64 { return v[len(v)-1] }
	require.Equal(t, c.Risk.Frac, last(d.RiskAlone))
	require.Equal(t, c.ReserveFrac, d.Reserve.Fed)
	require.LessOrEqual(t, d.Reserve.Alone, d.Reserve.Fed)
	require.Len(t, d.BySugar, len(sugarShares))
	require.Equal(t, c.Risk.Frac, d.BySugar[0].Risk.Frac, "nothing given")
	for _, trades := range [][]plan.Trade{d.BySugar, d.ByStart} {
		planned := 0
		for i, tr := range trades {
			if tr.Planned {
				planned++
				// The plan is judged on other springs than those of the picture.
				require.InDelta(t, c.RiskFed.Frac, tr.Risk.Frac, 3*c.RiskFed.ErrFrac)
				require.InEpsilon(t, sugar, tr.SugarKg, 0.1)
			}
			if i > 0 && tr.Start.IsZero() {
				require.LessOrEqual(t, tr.Risk.Frac, trades[i-1].Risk.Frac)
			} else if i > 0 {
				require.GreaterOrEqual(t, tr.Risk.Frac, trades[i-1].Risk.Frac)
			}
		}
		require.Equal(t, 1, planned)
	}
	require.Equal(t, c.Feedings[0].Date, d.ByStart[0].Start)
}
