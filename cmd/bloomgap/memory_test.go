package main

import (
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/require"
)

// Memory is gathered up as the work asks, unless whoever calls the program has said how.
func TestMemoryIsGatheredAsTheWorkAsks(t *testing.T) {
	now := func() int {
		at := debug.SetGCPercent(100)
		debug.SetGCPercent(at)
		return at
	}
	before := now()
	said := ""
	c := console{getenv: func(string) string { return said }}
	undo := c.gatherAt(manyGC)
	require.Equal(t, manyGC, now())
	undo()
	require.Equal(t, before, now())
	said = "200"
	c.gatherAt(manyGC)()
	undo = c.gatherAt(manyGC)
	require.Equal(t, before, now())
	undo()
	require.Equal(t, before, now())
}
