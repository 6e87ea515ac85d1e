// Package scales reads the tables that hive scales and their keepers write: the
// weights of hives by the day or by the minute, and the temperatures that stand
// beside them.
//
// # Headings
//
// Scales write headings of their own. Read looks for the words in a heading, not
// for the whole of it; days may be written in any of the usual ways, with a time
// or a column of times; several hives stand under one another with a column that
// names them, or have a column each. ReadWeather takes the temperatures of the
// outside air from such a table, or from one by the hour. What was guessed or
// not used comes back as a warning.
//
// # Units
//
// Weights in kg (pounds and the like are converted), temperatures in C, rain in
// mm, dates at midnight UTC by the clock at the hive.
//
// # What it leaves out
//
// What the weights mean: sim/hindcast takes out the steps that bees cannot make.
// The readings of a day become one, the middle of those from 18 h on when their
// hours are given.
package scales
