// Package words writes a plan in English: figures, units and dates as a reader
// wants them (Style), the short answer for one hive, what to watch for, the
// tasks of a visit, the order and the warnings.
//
// Nothing is worked out here; every figure is one of feed.Plan. The terminal,
// the page, the sheets to print, the calendar and the files all take their
// sentences from here, so that all of them say the same.
//
// Units: metric in, and metric or US out, converted by the one table of
// forage/read. Text from a season folder is cleaned of control characters.
package words
