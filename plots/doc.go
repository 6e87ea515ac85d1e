// Package plots draws charts from results: stores, risk and bees of a colony by
// date, the risk of all colonies by week, the order by yard, a map of yards,
// the springs of a yard, and a few for checks of the model.
//
// Each function takes results and a Look and gives a Chart, which can be
// written as SVG, PNG or PDF. The title says what was found and is worked out
// from the same numbers as the drawing. A chart knows its alternative text.
//
// # Units
//
// Values come in metric (kg, L, C, degrees) and are printed in metric or US
// units as the Look says. Lengths inside the package are points (1/72 inch)
// from the bottom left corner; sizes asked for by a caller are centimetres.
//
// # The same bytes each time
//
// Nothing is read from the clock: the same results and size give the same
// file. SVG holds no ids, so many charts can stand in one page. PDF carries the
// date of the Look, or the first day of 2000.
//
// # What is of its own
//
// Plots, axes, grids, bars, lines, points, bands, error bars, legends and their
// alignment are those of gonum/plot. Of its own are, each for the reason at its
// place: tickers of dates and rounded quantities (axes.go); hatching, hollow marks,
// marks over and under the data (marks.go); labels that keep off what is drawn,
// and keys in rows (labels.go); wrapped titles (chart.go); the canvas that knows
// where letters are (sheet.go). SVG and PDF are written here: gonum/plot's SVG has
// no title for screen readers, no second choice of font and is several times
// larger, and its PDF can write the letters of Western Europe only.
//
// # What it leaves out
//
// No engine is run here and nothing is estimated beyond reading a date or a
// share off the slices given. Scripts written from right to left, and letters
// that Liberation Sans does not have, are drawn as the font's empty box in PNG
// and PDF.
//
// # Sources
//
// Colours: M. Okabe and K. Ito, Color Universal Design (2008), jfly.uni-koeln.de/color;
// some made darker here so that lines differ in grey as well. Contrast: W3C, Web
// Content Accessibility Guidelines 2.1, criterion 1.4.11.
package plots
