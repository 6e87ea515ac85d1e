// Package read reads the tables a beekeeper makes in a spreadsheet or a text
// editor and says, for every cell it cannot use, where it is, what is wrong
// and what to do about it. It also writes tables that are safe to open.
//
// A table is a heading row and rows under it. Headings match whatever their
// case, spaces and underscores. Lines that begin with # and blank lines are
// skipped. Text tables may use commas, semicolons or tabs; with semicolons or
// tabs a decimal comma is read as well. Workbooks are read by their stored
// values, so the look of a cell does not matter.
//
// Units: a heading may end in its unit (weight_lb), and so may a cell (70 lb).
// All numbers come out in the unit that the reader declares for the column.
// One list of units serves reading and writing; see Units.
//
// Left out: formulas (their stored results are read), merged cells, and tables
// larger than Limits.
package read
