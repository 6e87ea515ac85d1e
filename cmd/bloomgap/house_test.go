package main

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// floors are the floors of the house, the lowest first.
var floors = []string{"forage", "sim", "feed", "plots", "cmd"}

// floorOf is the floor a package stands on, -1 for one outside the house.
func floorOf(pkg string) int {
	rest, inside := strings.CutPrefix(pkg, "bloomgap/")
	if !inside {
		return -1
	}
	top, _, _ := strings.Cut(rest, "/")
	for i, f := range floors {
		if f == top {
			return i
		}
	}
	return -1
}

// TestEachFloorKnowsOnlyThoseUnderIt asks the go command what every package
// imports.
func TestEachFloorKnowsOnlyThoseUnderIt(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}}{{range .Imports}} {{.}}{{end}}`, "bloomgap/...").Output()
	require.NoError(t, err)
	seen := 0
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		from := floorOf(words[0])
		require.GreaterOrEqual(t, from, 0, "%s stands on no floor", words[0])
		seen++
		for _, imported := range words[1:] {
			require.LessOrEqual(t, floorOf(imported), from, "%s imports %s", words[0], imported)
		}
	}
	require.Greater(t, seen, 10)
}

// TestNothingBelowTheCommandLooksOutside keeps the clock, the environment and the
// standard streams to the command.
func TestNothingBelowTheCommandLooksOutside(t *testing.T) {
	for _, floor := range floors[:len(floors)-1] {
		// grep ends with 1 when nothing is found.
		out, err := exec.Command("grep", "-rnE", `time\.Now\(|os\.(Getenv|Stdout|Stderr|Stdin)|log\.`, "../../"+floor, "--include=*.go", "--exclude=*_test.go").Output()
		if err == nil {
			require.Empty(t, string(out))
		}
	}
}

// TestNoRoomIsCalledForNothing holds the names that say nothing out of the house.
func TestNoRoomIsCalledForNothing(t *testing.T) {
	out, err := exec.Command("go", "list", "bloomgap/...").Output()
	require.NoError(t, err)
	for pkg := range strings.Lines(string(out)) {
		for _, word := range []string{"util", "common", "helper"} {
			require.NotContains(t, pkg, word)
		}
	}
}
