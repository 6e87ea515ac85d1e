// Package feed is the decision: which colonies are fed, from when, with how
// much of what, in which feeder, on which visits; and what that comes to for
// all yards.
//
// # How a colony is judged
//
// Every member of the yard's ensemble is run on the same draws left alone, and
// with a protein supplement. From the run left alone come the risk, the day the
// reserve is passed and how much was missing by each visit. A schedule that
// brings the needed share of members through is laid over the visits, cut to
// what feeders hold and what the cold allows, and then run: what it still lacks
// is added, what it has to spare is taken off, a few times at most. The risk
// left is that of the run with the schedule, not of the sum behind it.
//
// # Totals
//
// Yards share weather. What a schedule uses is summed over colonies within
// each member first and its quantiles taken after. Sums are kept in whole grams
// and millilitres, so that they are the same in any order and can be merged.
//
// A member is the same past year at all yards whose records hold the same
// springs. Where their records hold different years, members still share the
// draws of bees and bloom but not the weather, and the spread of a total comes
// out too narrow.
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
//
// # What it leaves out
//
// Robbing, honey that is moved between hives, what a feeder loses to leaks and
// drowned bees, the time a round of visits takes, prices.
package feed
