// Package sim is the floor of the colony. Its rooms, each using only those
// before it:
//
//   - sim/colony: one colony, one spring, a day at a time;
//   - sim/ensemble: many springs and draws of what is uncertain;
//   - sim/observe: what a look at a hive is worth, and what several looks teach;
//   - sim/check, sim/hindcast and sim/sensitivity: why to believe it.
package sim
