package main

import "runtime/debug"

// The heap, as a percentage on top of what is in use, at which memory is gathered up, own choice.
const (
	oneHiveGC = 400 // while one hive at a time is answered: an answer needs some 30 MB and is over at once
	manyGC    = 40  // for the plan of many colonies, which takes some 4 kB for each and keeps it to the end
	manyFrom  = 20000
)

// gatherAt sets that, where the caller of the program has not set another, and returns what
// undoes it.
func (c *console) gatherAt(percent int) (undo func()) {
	if c.getenv("GOGC") != "" {
		return func() {}
	}
	before := debug.SetGCPercent(percent)
	return func() { debug.SetGCPercent(before) }
}
