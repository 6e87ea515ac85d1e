package check

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/stat"
)

// Use tells what a row is worth as evidence.
type Use string

// The uses of a row.
const (
	Check    Use = "check"    // the published value fed no parameter
	Fitted   Use = "fitted"   // the value helped to choose a parameter: the fit holds, no evidence
	Identity Use = "identity" // the model must give it by construction: tests the code
)

// Row is one line of the table: what was published and what the model gives.
// Unit is that of all its numbers.
type Row struct {
	Quantity       string
	Unit           string
	PublishedLow   float64 // lower end of the band; -Inf: none
	PublishedHigh  float64 // upper end; +Inf: none
	PublishedValue float64 // NaN when only a band is given
	Source         string
	Status         string // how the source came here: read, cited, worked, memory
	Climate        string // the springs that the row ran on
	Assumed        string // what the source does not tell and the row had to assume
	ModelLow       float64
	ModelMedian    float64
	ModelHigh      float64
	Members        int
	Inside         bool // the model's median lies in the band
	NotRun         bool // the records that the row needs are not there
	Use            Use
	Reason         string // which parameters it fed; why it is outside

	explained bool // Reason says why it is outside
}

// quantiles of the ensemble in the table.
const (
	lowShare  = 0.1
	highShare = 0.9
)

// With closes a row with the values that the members gave; NaN ones are left
// out.
func (r Row) With(values []float64) Row {
	values = slices.DeleteFunc(slices.Clone(values), math.IsNaN)
	r.Members = len(values)
	if r.Use == "" {
		r.Use = Check
	}
	if len(values) == 0 {
		r.ModelLow, r.ModelMedian, r.ModelHigh = math.NaN(), math.NaN(), math.NaN()
		return r
	}
	slices.Sort(values)
	r.ModelLow = stat.Quantile(lowShare, stat.LinInterp, values, nil)
	r.ModelMedian = stat.Quantile(0.5, stat.LinInterp, values, nil)
	r.ModelHigh = stat.Quantile(highShare, stat.LinInterp, values, nil)
	r.Inside = r.ModelMedian >= r.PublishedLow && r.ModelMedian <= r.PublishedHigh
	return r
}

// Because gives a row the reason why it is outside, if it is.
func (r Row) Because(why string) Row {
	if r.Inside || r.Members == 0 {
		return r
	}
	r.explained = true
	if r.Reason != "" {
		why = r.Reason + "; " + why
	}
	r.Reason = why
	return r
}

// Band is the published band in words.
func (r Row) Band() string {
	switch {
	case math.IsInf(r.PublishedLow, -1):
		return "at most " + number(r.PublishedHigh)
	case math.IsInf(r.PublishedHigh, 1):
		return "at least " + number(r.PublishedLow)
	}
	return number(r.PublishedLow) + " to " + number(r.PublishedHigh)
}

// Verdict is inside, outside or not run.
func (r Row) Verdict() string {
	switch {
	case r.NotRun:
		return "not run"
	case r.Inside:
		return "inside"
	}
	return "OUTSIDE"
}

// Outside counts the rows outside their band.
func Outside(rows []Row) int {
	n := 0
	for i := range rows {
		if !rows[i].Inside && !rows[i].NotRun {
			n++
		}
	}
	return n
}

// Header names the columns of Table.
func Header() []string {
	return []string{"quantity", "unit", "published", "band", "model 10 %", "model 50 %", "model 90 %", "verdict", "use", "climate", "source", "status", "assumed", "reason"}
}

// Table gives the rows as text, a cell for each column of Header.
func Table(rows []Row) [][]string {
	out := make([][]string, len(rows))
	for i, r := range rows {
		out[i] = []string{r.Quantity, r.Unit, number(r.PublishedValue), r.Band(), number(r.ModelLow), number(r.ModelMedian), number(r.ModelHigh),
			r.Verdict(), string(r.Use), r.Climate, r.Source, r.Status, r.Assumed, r.Reason}
	}
	return out
}

// number writes a value to three figures, and to whole ones above 100; nothing
// for one that is not known.
func number(x float64) string {
	switch {
	case math.IsNaN(x):
		return ""
	case math.Abs(x) >= 100:
		return fmt.Sprintf("%.0f", x)
	}
	return strconv.FormatFloat(x, 'g', 3, 64)
}
