// Package ensemble is many springs at once: it pairs the possible springs of a
// place with draws of what is not known of bees, bloom and the hive looked at.
//
// SharedDraws hold what the members of all places share. A SpringEnsemble is
// one place: a forcing table for each possible spring, and members that pair a
// spring with a shared draw. A Sampler draws one colony in one member, a
// Realization, on which every treatment of that colony is run. Draws are keyed
// by seed, purpose, yard, colony and member, so that treatments share draws and
// a new yard changes no other.
//
// Days count from the start of the outlook; masses are kg, bees and cells counts.
package ensemble
