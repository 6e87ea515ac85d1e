package order

import (
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// TestGearGoesToTheMostUrgent: what is on hand goes to colonies in their order, the
// yard's own before what is for all; one that is not to be fed takes none, and one
// that is not reached must buy.
func TestGearGoesToTheMostUrgent(t *testing.T) {
	colony := func(yard, name string, v plan.Verdict) plan.ColonyPlan {
		c := plan.ColonyPlan{Yard: yard, Colony: name, Verdict: v}
		c.Choice.Feeder = plan.PailOverCover
		return c
	}
	cs := []plan.ColonyPlan{colony("Mill", "1", plan.Feed), colony("Hill", "1", plan.NoFeed), colony("Hill", "2", plan.Feed), colony("Mill", "2", plan.Feed), colony("Mill", "3", plan.Feed)}
	var have []season.Equipment
	for _, item := range decide.Gear(&cs[0]) {
		have = append(have, season.Equipment{Yard: "MILL", Item: item, Count: 1}, season.Equipment{Item: item, Count: 2})
	}
	require.NotEmpty(t, have)
	got := ShareGear(have, cs)
	var onHand []bool
	for _, c := range cs {
		onHand = append(onHand, c.Choice.OnHand)
	}
	require.Equal(t, []bool{true, false, true, true, false}, onHand)
	for _, item := range decide.Gear(&cs[0]) {
		require.Equal(t, 2, got[Pool{"Mill", item}])
		require.Equal(t, 1, got[Pool{"Hill", item}])
	}

	alone := []plan.ColonyPlan{colony("Mill", "1", plan.Feed)}
	alone[0].Choice.OnHand = true
	require.Empty(t, ShareGear(nil, alone), "nobody said what is on hand: nothing is said of it")
	require.True(t, alone[0].Choice.OnHand)
	ShareGear([]season.Equipment{{Item: season.Tray, Count: 1}}, alone)
	require.False(t, alone[0].Choice.OnHand, "there is no pail")
}
