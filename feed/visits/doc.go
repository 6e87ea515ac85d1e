// Package visits is the world of a yard before and after its colonies are
// decided on: the springs it may have, the days somebody comes by, what the
// weather after each of them is like, and what else is to do then.
//
// Worlds reads weather records and makes the springs of every yard. A Yard is
// opened on them: its members, visits and weeks. Once its colonies are planned,
// Calendar lists what to do on each visit.
//
// # Other spring work
//
// Rounds of preventive dusting are visits like any other, so feed may be given on
// them; a visit of an interval within two days of a round moves onto it. Warnings
// tell of rounds too near to the honey supers, in the past, or in the cold. The
// springs of the yard say while which nights a wrap stays on and by when dead
// colonies must be closed. None of it changes what the model takes for food: a
// wrap put on or taken off on a visit is left out. Label and prescription rule;
// the rules are common practice. How long honey supers wait after the last round
// must be said: residues outlast what common practice waits (season.DefaultDusting).
package visits
