package hindcast

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/stoptest"
)

// TestRunStops: a hindcast looks at its context before each member and ends there.
func TestRunStops(t *testing.T) {
	h := hive(winter(t, 0), day(time.January, 5), day(time.March, 5))
	opt := DefaultOptions()
	whole := stoptest.After(t.Context(), 0)
	_, err := Run(whole, h, opt)
	require.NoError(t, err)
	require.GreaterOrEqual(t, whole.Looks(), opt.Members)
	t.Logf("longest time between two looks: %v", whole.Longest())
	c := stoptest.After(t.Context(), 5)
	_, err = Run(c, h, opt)
	require.ErrorIs(t, err, context.Canceled)
	require.Equal(t, 5, c.Looks())
}
