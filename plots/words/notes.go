package words

import (
	"fmt"
	"math"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/forage/read"
)

// StyleOf is the style that the settings of a plan ask for.
func StyleOf(pl *plan.Plan) Style {
	return Style{US: pl.Season != nil && pl.Season.Settings.UnitsUS}
}

// Note renders any note as one or more sentences, or as a phrase for what stands
// in a list: a warning, a task, a caution, what speaks against a feeder. A code
// that is not known is an error of the program and panics.
func (u Style) Note(n plan.Note) string {
	if n == nil {
		return ""
	}
	for _, render := range []func(Style, plan.Note) (string, bool){reason, confidence, feeder, supplement, warning, task, caution} {
		if text, ok := render(u, n); ok {
			return Clean(text)
		}
	}
	panic("words: no sentence for " + string(n.Code()))
}

// Text renders notes as one paragraph.
func (u Style) Text(ns []plan.Note) string { return strings.Join(u.Notes(ns), " ") }

// Notes renders each note.
func (u Style) Notes(ns []plan.Note) []string {
	out := make([]string, len(ns))
	for i, n := range ns {
		out[i] = u.Note(n)
	}
	return out
}

func (u Style) amount(value float64, metric, format string) string {
	from := read.OutputUnit(metric, false)
	to := read.OutputUnit(metric, u.US)
	return fmt.Sprintf(format+" %s", read.Convert(value, from, to), to.Name)
}

func (u Style) kg(kg float64) string { return u.amount(kg, "kg", "%.1f") }

func (u Style) litres(l float64) string {
	if u.US { // a feeding is a small part of a gallon
		return u.amount(l, "L", "%.2f")
	}
	return u.amount(l, "L", "%.1f")
}

func (u Style) temp(c float64) string { return u.amount(c, "C", "%.0f") }

// about writes a temperature in whole degrees.
func (u Style) about(c float64) string {
	if !u.US {
		c = math.Round(c) + 0 // no minus before 0
	}
	return u.temp(c)
}

func (u Style) kgRange(r plan.Range) string {
	from, to := read.OutputUnit("kg", false), read.OutputUnit("kg", u.US)
	at := func(kg float64) float64 { return read.Convert(kg, from, to) }
	return fmt.Sprintf("%.1f %s (%.1f-%.1f)", at(r.P50), to.Name, at(r.P10), at(r.P90))
}

func day(t time.Time) string { return t.Format("2 Jan") }

func days(r plan.DateRange) string {
	return fmt.Sprintf("%s (%s to %s)", day(r.P50), day(r.P10), day(r.P90))
}

func percent(f float64) string {
	switch {
	case f > 0 && f < 0.005:
		return "under 1 %"
	case f < 1 && f > 0.995:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*f)
}

func round(x, step float64) float64 { return math.Round(x/step) * step }

func countOf(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func verb(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// listed joins words: "a", "a and b", "a, b and c".
func listed(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	n := len(list) - 1
	return strings.Join(list[:n], ", ") + " and " + list[n]
}
