// Package decide is the decision on one colony: whether it is fed, from when, with
// how much of what, in which feeder, and how sure that is.
//
// # How a colony is judged
//
// Every member of the yard's ensemble is run on the same draws left alone, and
// with a protein supplement. From the run left alone come the risk, the day the
// reserve is passed and how much was missing by each visit. A policy that brings
// the needed share of members through is found on them (package schedule) and
// judged on as many others: the risk left is that of those.
package decide
