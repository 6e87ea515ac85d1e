package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestReadmeFigures: the README's figures of speed stand as .ci/figures writes them, each with its
// unit, and name their machine. What they are is that machine's and is not asserted.
func TestReadmeFigures(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	program, err := os.ReadFile("../../.ci/figures/main.go")
	require.NoError(t, err)
	marks := regexp.MustCompile(`(?m)^const begin, end = "(.*)\\n", "(.*)\\n"$`).FindStringSubmatch(string(program))
	require.Len(t, marks, 3)
	_, rest, found := strings.Cut(string(readme), marks[1]+"\n")
	require.True(t, found, "where the figures begin")
	block, _, found := strings.Cut(rest, marks[2])
	require.True(t, found, "where they end")
	lines := strings.Split(strings.TrimSpace(block), "\n")
	require.Regexp(t, `^Measured on \S.*, \d+ cores, go\d+\.\d+\S*\.$`, lines[0])
	require.Equal(t, []string{"", "| what | processor time |", "|---|---|"}, lines[1:4])
	for _, l := range lines[4:] {
		require.Regexp(t, `^\| [^|]+ \| [\d.]+ (ns|ms|s)(, [\d.]+ (MB|of the bees))? \|$`, l)
	}
	require.Len(t, lines, 4+8, "a row for each figure")
}
