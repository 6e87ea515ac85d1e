package check

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/stoptest"
	"bloomgap/sim/colony"
)

// TestRowsStop: the context is looked at before each run, and when it ends so do the rows.
func TestRowsStop(t *testing.T) {
	opt := Options{Members: 20, Seed: 1}
	whole := stoptest.After(t.Context(), 0)
	_, err := Rows(whole, nil, colony.DefaultParams(), opt)
	require.NoError(t, err)
	require.Greater(t, whole.Looks(), 30*opt.Members, "each run of each row looks")
	t.Logf("longest time between two looks: %v", whole.Longest())
	for _, at := range []int{1, 77} {
		c := stoptest.After(t.Context(), at)
		rows, err := Rows(c, nil, colony.DefaultParams(), opt)
		require.ErrorIs(t, err, context.Canceled)
		require.Nil(t, rows)
		require.Equal(t, at, c.Looks(), "nothing is run after the end")
	}
}
