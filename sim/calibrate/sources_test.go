package calibrate

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestHalfIsKeptForChecking: at least half of the sources feed no parameter, and
// what is fitted says why.
func TestHalfIsKeptForChecking(t *testing.T) {
	fits, checks, seen := 0, 0, map[string]bool{}
	for _, s := range Sources() {
		require.NotEmpty(t, s.What)
		require.False(t, seen[s.Name+string(s.Use)], "%s is listed twice as %s", s.Name, s.Use)
		seen[s.Name+string(s.Use)] = true
		switch s.Use {
		case Fit:
			fits++
			require.NotEmpty(t, s.Why, "%s is fitted and does not say why", s.Name)
		case Check:
			checks++
		default:
			t.Fatalf("%s is neither fitted nor checked", s.Name)
		}
	}
	require.GreaterOrEqual(t, checks, fits)
}
