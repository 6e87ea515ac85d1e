// Package observe says what a reading of a hive is worth, and what several looks
// at one colony teach.
//
// # What a reading is worth
//
// Hive (the equipment) and Look (what a keeper saw) give the spread that a
// colony's draws begin with (Hive.Start) and the readings that they are conditioned
// on (Hive.Observe): how much food a weight, a lift, a heft or a count of frames
// means, how many bees a number of seams, how many cells a comb of brood, and how
// far off each may be. The plan, the answer for one hive, the hindcast and the
// sensitivity study all take these figures from here. Sources stand beside each
// constant; figures marked own judgement or common practice have no published
// source behind them.
//
// # What several looks teach
//
// Assimilate conditions the ensemble of a colony on all that was seen of it, not
// on the last look alone: a second heft tells how fast this colony eats.
//
// # Method
//
// The runs of a colony begin at the first observation. Each member of the
// ensemble holds one possible spring and one draw of what all colonies share.
// In each member many draws of the colony itself (what it held and how strong it
// was on the first day, how warm it keeps, how much it moves about, how its queen
// lays) are run to the last observation and weighed by how well they meet what
// was seen since. One of them is picked in proportion to its weight, by a number
// keyed to the colony and the member. The member then runs on from that draw.
//
// That is importance resampling within each member (Gordon, Salmond & Smith
// 1993, IEE Proc. F 140:107-113, without the steps between). Its effective
// sample size, (sum w)^2 / sum w^2 (Kong, Liu & Wong 1994, J. Am. Stat. Assoc.
// 89:278-288), is guarded: a member gets more draws until it is large enough,
// and when the most draws do not do, the errors of the observations are widened
// until it is. The report says how often and how far.
//
// # Errors of the eye and the scale
//
// Two weighings of a hive share the error of its empty weight, two looks by the
// same keeper share that of the eye. Part of each error may be declared common;
// then the level that two weighings show is no surer than one, but their
// difference is. The first observation is in this sum too: its error is what the
// draw's stores differ from it. A random walk stands for what the model itself
// gets wrong from one look to the next.
//
// A draw that starves before the colony was last seen alive is all but ruled
// out.
//
// # Surprises
//
// Each later observation is held against what the ensemble foretold from those
// before it. One that lies more than three standard deviations off is named: the
// hive was fed or robbed in between, food was moved, or the look was wrong.
// Nothing is thrown out.
//
// # What is not learned
//
// What all colonies share (and the spring itself) keeps its weight: a member is
// the same for every colony, so that totals over colonies can be summed in it.
// What one colony shows of them is put down to the colony's own draw. Its
// evidence on the members is in the report as weights; a reader who looks at one
// colony only may use them.
//
// Papers on method are cited from memory.
package observe
