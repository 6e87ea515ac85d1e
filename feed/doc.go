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
// # What it leaves out
//
// Robbing, honey that is moved between hives, what a feeder loses to leaks and
// drowned bees, the time a round of visits takes, prices.
package feed
