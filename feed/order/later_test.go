package order

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
)

// TestLaterBy: more sugar is needed from the first feeding behind the first visit on,
// be it given to every hive or only to one that is low.
func TestLaterBy(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2027, time.April, d, 0, 0, 0, 0, time.UTC) }
	firm := plan.ColonyPlan{Feedings: []plan.Feeding{{Date: day(9)}}}
	low := plan.ColonyPlan{Feedings: []plan.Feeding{{Date: day(1)}, {Date: day(17), UnderKg: 5}}}
	require.Equal(t, day(9), LaterBy([]*plan.ColonyPlan{&low, &firm}, day(1)))
	require.Equal(t, day(17), LaterBy([]*plan.ColonyPlan{&low}, day(1)))
	require.True(t, LaterBy([]*plan.ColonyPlan{&firm}, day(9)).IsZero())
}
