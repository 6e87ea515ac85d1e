// Package sensitivity tells what drives an answer: which of the things that are
// not known for sure make the days until a colony's stores are gone, and the
// stores it lacks until nectar, come out one way or another.
//
// # Method
//
// The variance of an answer is shared out among factors. The first-order index
// of a factor is the share of the variance that would go if the factor were
// known; its total index is the share that would be left if everything else
// were known. They differ where factors act together. Both lie between 0 and 1;
// estimates may stray a little outside. The first-order indices sum to at most
// 1.
//
// Two samples A and B of n points each are drawn, and for each factor the points
// of A with that factor taken from B. First-order indices come from the
// estimator (b) of table 2 in Saltelli et al. 2010, Comput. Phys. Commun.
// 181:259-270; total indices from Jansen 1999, Comput. Phys. Commun. 117:35-43
// (estimator (f) of the same table). Points are a Latin hypercube (McKay, Beckman
// & Conover 1979, Technometrics 21:239-245) over both samples. Intervals are
// percentiles of a bootstrap over the points (Archer, Saltelli & Sobol 1997, J.
// Stat. Comput. Simul. 58:99-120). A factor may hold several inputs, which are
// then swapped together: its index covers them and what they do among
// themselves.
//
// # The colony
//
// Two answers are looked at. Days to empty are the days until what the bees can
// reach is gone if the dependable bloom failed: early nectar comes until the day
// on which that bloom begins, and none after it. Stores short are the kilograms that a colony lacks until nectar, with a reserve held:
// nothing below zero. They are kilograms of ripe stores, not syrup, so that no
// strength of syrup comes in.
//
// The weather of the spring holds the bloom date that follows from its warmth;
// the factor bloom is only the error of that date round the weather's.
//
// # What it leaves out
//
// Inputs are taken as independent. Parameters that act only through a
// supplement or a feeder are not drawn, since the colony is left alone. A
// variance says nothing of a rare end: for a colony that lacks nothing in most
// springs the indices of stores short rest on the few in which it does.
//
// Papers on method are cited from memory.
package sensitivity
