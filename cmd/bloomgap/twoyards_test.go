package main

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/golden"
)

// TestTwoYards holds the plan of an invented season with a weather record, a
// forecast, dusting rounds and two looks at a colony, as it is printed.
func TestTwoYards(t *testing.T) {
	const folder = "../../testdata/two-yards"
	var out, errs bytes.Buffer
	require.Equal(t, exitOK, run(context.Background(), []string{"plan", folder}, testConsole(&out, &errs)), errs.String())
	golden.Equal(t, folder+"/plan.txt", out.Bytes())
}
