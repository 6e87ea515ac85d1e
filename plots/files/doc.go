// Package files writes a plan for programs and spreadsheets: CSV files, a
// workbook and JSON.
//
// A heading of a CSV file or of a sheet ends in its unit, metric or US; JSON is
// always metric. Sentences are those of bloomgap/plots/words.
//
// Text from the season folder is made safe in CSV and workbooks against being
// run as a formula. Left out: pictures (bloomgap/plots) and the page and sheets
// to print (bloomgap/plots/report).
package files
