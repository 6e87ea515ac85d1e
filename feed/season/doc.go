// Package season reads the beekeeper's season folder: settings.toml and the
// tables yards, colonies, tallies and equipment, each as .csv or .xlsx, or all as
// sheets of one season.xlsx. It reports every problem of the folder in one run.
//
// What a reading is worth in stores, bees and brood is said by sim/observe; this
// package hands it the equipment (Colony.Hive) and what was seen (Observation.Look).
//
// A yard may carry a bloom rule fitted to the beekeeper's own dates (columns
// bloom_base_c, bloom_start, bloom_need_cd, bloom_spread) and twelve typed monthly
// means in place of a record (monthly_means_c or monthly_means_f). The table
// [parameters] of the settings puts figures of the colony model (sim.Catalogue) in
// place of the usual ones, each within its range.
//
// Rounds of preventive dusting and the day of the honey supers stand in the
// settings (dusting_first_round, dusting_rounds, dusting_days_between, dusting_g_per_colony,
// supers_on, days_before_supers; there is no usual amount of powder); columns of the same names in the table of yards take their
// place for a yard, and 0 under dusting_rounds leaves one out.
//
// Units inside are metric: kg, L, C, m, frames, bees, and dates at midnight
// UTC. A table may be kept in US units; its headings say so (weight_lb). An
// unknown number is NaN, an unknown date the zero time.
//
// Left out: reading the weather records themselves, and whether a date lies in
// them.
//
// Sources stand beside each constant. Figures marked own judgement or common
// practice have no published source behind them.
package season
