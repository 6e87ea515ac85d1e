package read

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestRowsAreCountedBeforeTheyAreRead: blank lines, comments and lines within quotation marks are
// no rows; the row beyond the limit is named by its line.
func TestRowsAreCountedBeforeTheyAreRead(t *testing.T) {
	for text, want := range map[string]int{
		"a\nb\nc\n": 0, "a\nb\nc": 0, "a\nb\nc\nd": 4, "a\n\n# x\r\n\r\nb\nc\nd\n": 7, "a\n\"x\ny\nz\"\nc\n": 0, "a\n\"x\ny\nz\"\nc\nd\n": 6, "": 0, "\n\n\n\n\n": 0,
	} {
		require.Equal(t, want, rowBeyond([]byte(text), 3), "%q", text)
	}
}
