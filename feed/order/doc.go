// Package order sums what the colonies of all yards take by their plans, and says
// what to buy.
//
// Yards share weather. What a plan takes is summed over colonies within each
// member first and its quantiles taken after. Sums are kept in whole grams and
// millilitres, so that they are the same in any order, and parts of a season that
// were planned alike can be merged.
//
// A member is the same past year at all yards whose records hold the same
// springs. Where their records hold different years, members still share the
// draws of bees and bloom but not the weather, and the spread of a total comes
// out too narrow.
package order
