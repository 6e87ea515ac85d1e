// Package tables writes a plan for people and for programs: tables on a
// terminal, CSV files, a workbook, JSON, and the short answer for one hive.
//
// Nothing is worked out here; every figure is one of feed.Plan. What is done is
// rounding for reading, units of the reader, and words. All outputs show the
// same warnings; see Warnings.
//
// Units: metric in, and metric or US out (Units), converted by the one table of
// forage/read. A heading of a CSV file or of a sheet ends in its unit. JSON is
// always metric.
//
// Text from the season folder is cleaned of control characters for a terminal,
// and in CSV and workbooks made safe against being run as a formula.
//
// Left out: pictures (bloomgap/plots) and the page and sheets to print
// (bloomgap/plots/report).
package tables
