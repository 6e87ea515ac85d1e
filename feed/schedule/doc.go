// Package schedule finds what to feed a colony on which visit: a policy that goes
// by what the keeper reads at each visit.
//
// # The model
//
// What a colony asks of its stores does not depend on them, so that a feeding
// changes only the books, and any policy can be run through the members of an
// ensemble at the price of its books. This is stock control under an uncertain
// demand that is looked at from time to time: a line s at each visit under which to
// order, and an amount that brings the stock back up (Scarf 1960, The optimality of
// (S, s) policies in the dynamic inventory problem, from memory). At each visit,
// through the members still in question, a straight line is drawn from the reading
// to what is to spare until the next visit's feed is taken up; where the chance
// to fall short passes a level, the hive is fed, with an amount that lasts to nectar at
// a chance of its own. The levels are the same at all visits: feeding is worth
// the same trip on any of them. Find moves the levels until the members keep the
// accepted risk and hold the reserve, and takes the fewest feedings of the
// policies that use at most a tenth more sugar than the least. What levels come to is
// counted on members that the lines are not drawn through: each half of the members is
// fed by the lines of the other half. The lines of the policy are then drawn
// through all of them.
//
// A reading is what is there and an error, part of which the keeper makes again at
// every look. A policy is to be judged on members it was not found on: Judge.
//
// Amounts of stores are kg of ripe stores, sugar kg, syrup L; days those of the
// members' runs.
//
// # Left out
//
// A colony that is lost for other reasons than hunger, robbing, and what a keeper
// learns from several looks together: a plan made again at each visit has that.
package schedule
