package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files anew")

// TestTwoYards holds the plan of an invented season with a weather record, a
// forecast, dusting rounds and two looks at a colony, as it is printed.
func TestTwoYards(t *testing.T) {
	const folder, golden = "../../testdata/two-yards", "../../testdata/two-yards/plan.txt"
	var out, errs bytes.Buffer
	require.Equal(t, exitOK, run(context.Background(), []string{"plan", folder}, testConsole(&out, &errs)), errs.String())
	if *update {
		require.NoError(t, os.WriteFile(golden, out.Bytes(), 0o600))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Empty(t, cmp.Diff(string(want), out.String()), "run with -update when that is meant")
}
