// Package asked answers what callers ask of a colony once it is decided on: which
// syrup, why not another feeder, and the like. It asks the colony's own draws, those
// of its plan, and gives a plan.Asked: what it comes to first, then its figures, the
// reason and the caution, no more notes than fit eight lines.
//
// # Sources
//
// What is said of ways to feed is common practice, as in package decide. That thin
// syrup in spring does not change how a colony grows: Swiss Bee Health Service 2023.
// That spores of foulbrood travel in honey and combs is common practice of all bee
// inspection.
package asked
