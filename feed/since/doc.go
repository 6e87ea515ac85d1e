// Package since compares a plan with an earlier one of the same season: what to do
// is now different for whom, and what is known now that was not. It compares what
// the two plans say and what they were made of; it runs no colony.
package since
