package golden

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFirstDifference(t *testing.T) {
	require.Equal(t, "line 2 was\nb\nand is\nc", firstDifference("a\nb", "a\nc"))
	require.Equal(t, "it had 2 lines and has 1", firstDifference("a\nb", "a"))
}
