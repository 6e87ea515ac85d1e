package words

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
)

// Every code has a sentence in both units, and no figure shows as a slip of the
// format.
func TestEveryCodeHasItsSentence(t *testing.T) {
	for _, style := range []Style{{}, {US: true}} {
		for _, n := range plan.Samples() {
			text := style.Note(n)
			require.NotEmpty(t, text, n.Code())
			for _, slip := range []string{"%!", "NaN", "<nil>", "0001", "  "} {
				require.NotContains(t, text, slip, n.Code())
			}
			if style.US {
				for _, metric := range []string{" L ", " C ", " kg."} {
					require.NotContains(t, text, metric, n.Code())
				}
			}
			require.Equal(t, strings.TrimSpace(text), text, n.Code())
		}
	}
}

func TestTemperaturesInWholeDegrees(t *testing.T) {
	require.Equal(t, "0 C", Style{}.about(-0.3))
	require.Equal(t, "-3 C", Style{}.about(-3.4))
	require.Equal(t, "26 F", Style{US: true}.about(-3.4))
}

func TestListed(t *testing.T) {
	require.Equal(t, []string{"", "a", "a and b", "a, b and c"},
		[]string{listed(nil), listed([]string{"a"}), listed([]string{"a", "b"}), listed([]string{"a", "b", "c"})})
}

func TestFeedersHaveNames(t *testing.T) {
	for _, f := range plan.Feeders() {
		require.NotEmpty(t, Feeder(f))
		require.NotEmpty(t, Mind(f))
	}
	require.Empty(t, Feeder(plan.NoFeeder)+Mind(plan.NoFeeder))
}
