package main

import "runtime/debug"

// The heap, as a percentage on top of what is in use, at which memory is gathered up, own choice.
const (
	oneHiveGC = 1000 // for one hive, which needs some 20 MB and is over at once
	servedGC  = 400  // while hives are answered one at a time: what earlier answers left is kept as well
	manyGC    = 30   // for the plan of many colonies, which takes some 4 kB for each and keeps it to the end
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
