// Package terminal prints a plan, the answer for one hive and an order on a
// terminal, in tables and short paragraphs no wider than the terminal (Screen).
//
// Nothing is worked out here, and sentences, units and dates are those of
// bloomgap/plots/words. Text from a season folder is cleaned of what a terminal
// would act on.
package terminal
