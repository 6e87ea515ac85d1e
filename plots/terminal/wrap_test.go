package terminal

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestFiguresKeepTheirUnits: wherever a line ends, a figure keeps its unit and a day its month, and
// no line is wider than asked; where the room is too narrow for both, they part.
func TestFiguresKeepTheirUnits(t *testing.T) {
	const said = "Have 4.1 kg on hand by Tue 23 Mar, and (±3 %) of 2.5 L more for 12 hives at 400 ft on 5 April."
	for width := 14; width < 100; width++ {
		all := wrap(said, width)
		require.Equal(t, said, strings.Join(all, " "))
		for _, line := range all {
			require.LessOrEqual(t, len([]rune(line)), width)
			for _, broken := range []string{"4.1", "Tue", "23", "(±3", "2.5", "400", "5"} {
				require.False(t, line == broken || strings.HasSuffix(line, " "+broken), "%d: %q", width, line)
			}
		}
	}
	require.Equal(t, []string{"12", "hives"}, wrap("12 hives", 5))
	require.Equal(t, []string{"2.5", "kg"}, wrap("2.5 kg", 4))
}
