package asked

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/feed/season"
)

// Of the same offers, a dearer trip never means more of them, dearer sugar never more of it,
// and a dearer colony never more risk.
func TestDearerNeverMeansMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		list := make([]offer, rapid.IntRange(1, 8).Draw(t, "offers"))
		for i := range list {
			list[i] = offer{0.05, rapid.Float64Range(0, 1).Draw(t, "risk"), rapid.Float64Range(0, 20).Draw(t, "kg"), float64(rapid.IntRange(0, 60).Draw(t, "trips")) / 10}
		}
		p := &season.Prices{SugarPerKg: rapid.Float64Range(0, 5).Draw(t, "sugar"), Trip: rapid.Float64Range(0, 100).Draw(t, "trip"), TripHives: rapid.IntRange(1, 40).Draw(t, "hives"),
			Colony: rapid.Float64Range(1, 500).Draw(t, "colony"), Day: rapid.Float64Range(0, 300).Draw(t, "day")}
		best := cheapest(p, list)
		for _, o := range list {
			require.LessOrEqual(t, best.total(p), o.total(p)*(1+1e-8)+1e-8)
		}
		more := rapid.Float64Range(1, 10).Draw(t, "times")
		dearer := *p
		dearer.Trip = p.Trip*more + 1
		require.LessOrEqual(t, cheapest(&dearer, list).trips, best.trips+1e-9)
		dearer = *p
		dearer.SugarPerKg = p.SugarPerKg*more + 0.1
		require.LessOrEqual(t, cheapest(&dearer, list).kg, best.kg+1e-6)
		dearer = *p
		dearer.Colony = p.Colony*more + 10
		require.LessOrEqual(t, cheapest(&dearer, list).riskFrac, best.riskFrac+1e-6)
	})
}

func TestPricesByHand(t *testing.T) {
	p := &season.Prices{SugarPerKg: 1.5, Trip: 20, TripHives: 10, Colony: 200, Day: 100}
	o := offer{0.05, 0.04, 6, 2}
	require.InDelta(t, 6*1.5+2*(20.0/10+0.03*100), o.cost(p), 1e-12, "9 of sugar, 4 of trips, 6 of work")
	require.InDelta(t, 19+8, o.total(p), 1e-12, "and 8 of colonies lost")
	require.True(t, p.Given())
	require.False(t, (&season.Prices{SugarPerKg: 1, TripHives: 1}).Given(), "nothing is weighed without the price of a colony")
	require.ErrorContains(t, (&season.Prices{Colony: -1, TripHives: 1}).Validate(), "from 0 to 10 million")
	require.ErrorContains(t, (&season.Prices{}).Validate(), "one hive or more")
}
