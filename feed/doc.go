// Package feed plans a season: which colonies are fed, from when, with how much of
// what, in which feeder, on which visits; and what that comes to for all yards.
//
// A Planner ties the rooms of this floor together. Each yard is opened on its
// possible springs (package visits), its colonies are decided on one by one by
// several workers (packages decide and schedule), what they take is summed member by
// member (package order), and all of it is put together as a plan.Plan.
//
// # What it leaves out
//
// Robbing, honey that is moved between hives, what a feeder loses to leaks and
// drowned bees, the time a round of visits takes.
package feed
