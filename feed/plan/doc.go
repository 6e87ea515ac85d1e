// Package plan is the answer for a season as plain data: no English, no choice
// of units. Masses are kg, volumes L, temperatures C, shares 0..1, dates days in
// UTC; the unit ends a field's name. A figure that is not known is NaN, a date
// that is not known the zero time.
//
// Whatever has to be said in a sentence is a Note: a code and the figures that
// the sentence holds. Package plots/words renders it; the JSON of a plan carries
// code, figures and sentence. A new sentence is a type here, with one sample in
// Samples, and a case in plots/words.
package plan
