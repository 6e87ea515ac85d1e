// Package hindcast tests the model on weighed hives: from what was known of a
// hive on one day it predicts the weights that a scale showed after it, and
// scores them.
//
// # What is predicted
//
// The change of the hive's weight since the first weighing. The model adds up
// stores, feed, bee bread, brood and bees; wood and wax do not change. What the
// colony eats leaves the hive as air and water. Since a hive with food eats the
// same whatever it holds, the stores need not be known, and an unknown colony
// size is a wide prior, not a refusal. The colony runs on the weather of its own
// days; past the last weighing generated days of the nearest built-in climate go
// on, so that a bloom still to come is not taken for one that has come.
//
// # Springs
//
// The model is made for the time until dependable nectar. Springs parts a file of
// whole years by springs, each from 1 October to 31 July and with a bloom of its own.
// Run uses and scores a spring up to the day by which dependable nectar has come in
// nine of ten members; weighings after that are counted as not used.
//
// # What a scale shows besides
//
// Readings scatter; wood, straw and lids take up rain and dry again, water
// condenses and dead bees and droppings lie in the hive for a while; a scale
// drifts with the months. All three are drawn with each member: a scatter of its
// own for each reading (worked out from the readings when it is not given), a
// damp that fades over days, and a drift that is straight in time. The first
// weighing has its scatter and damp too. So the bands are those of readings.
//
// # Work at the hive
//
// A change that the keeper wrote down is taken out, by its amount when that is
// known. A step that bees cannot make is taken for work at the hive or for a
// load on it and found by a rule (Rule): a loss above what a strong colony eats
// and its foragers carry off for the day, or a gain above what flight could bring
// in that day, each with a margin for scatter. A step that goes back within a few
// days was a load (snow, a stone, a hand on the lid): the readings in between are
// left out. Any other is taken out for good, less what the hive changes by in its
// usual day, and the weights after it are counted from there; the bands widen by
// the scatter that this brings in.
//
// # Scores
//
// Errors are predicted less seen. A change over a number of days is scored for
// every pair of readings that lie so far apart, all within the one run, and once
// from the start. Readings of one hive hang together: the share held in a band is
// that of one hive, and says little until there are many hives.
//
// # Learning
//
// On request the first readings are used to weigh the members (importance
// weights, with the errors widened until enough members count), and only the
// later ones are scored.
//
// # What it leaves out
//
// Robbing, swarms, queens that fail, sickness; a colony that dies goes on eating
// in the model. forage/scales reads the weights, one a day.
//
// # Sources
//
// Loss of a day: over 2.3 kg never seen, over 2 kg in a week in a cold snap, G.
// Liebig (State Institute of Apiculture, Hohenheim). Gain of a first flow 0.5 to 2
// kg a day, trade records. The size of scatter, damp and drift is own judgement.
package hindcast
