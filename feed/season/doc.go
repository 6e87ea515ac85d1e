// Package season reads the beekeeper's season folder: settings.toml and the
// tables yards, colonies and equipment, each as .csv or .xlsx, or all three as
// sheets of one season.xlsx. It reports every problem of the folder in one run.
//
// It also says what an observation is worth: how much food a weight, a lift, a
// heft or a count of frames means, and how many bees a number of seams means,
// each as a distribution. It only gives the parameters; drawing is done by the
// colony model.
//
// A yard may carry a bloom rule fitted to the beekeeper's own dates (columns
// bloom_base_c, bloom_start, bloom_need_cd, bloom_spread) and twelve typed monthly
// means in place of a record (monthly_means_c or monthly_means_f). The table
// [parameters] of the settings puts figures of the colony model (sim.Catalogue) in
// place of the usual ones, each within its range.
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
