package words

import (
	"strings"

	"bloomgap/feed/plan"
)

// StyleOf is the style that the settings of a plan ask for.
func StyleOf(pl *plan.Plan) Style {
	return Style{US: pl.Season != nil && pl.Season.Settings.UnitsUS}
}

// Note renders any note in full: one or more sentences, or a phrase for what
// stands in a list (a warning, a task, what speaks against a feeder), cleaned. A code
// that is not known is an error of the program and panics.
func (u Style) Note(n plan.Note) string {
	if n == nil {
		return ""
	}
	for _, render := range []func(Style, plan.Note) (string, bool){reason, confidence, feeder, supplement, warning, task, caution, change, asked} {
		if text, ok := render(u, n); ok {
			return Clean(text)
		}
	}
	panic("words: no sentence for " + string(n.Code()))
}

// Short renders a note on one line, without a full stop.
func (u Style) Short(n plan.Note) string {
	if n == nil {
		return ""
	}
	for _, render := range []func(Style, plan.Note) (string, bool){shortReason, shortAdvice, shortWarning} {
		if text, ok := render(u, n); ok {
			return Clean(text)
		}
	}
	return strings.TrimSuffix(u.Note(n), ".")
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

// Sentences renders each note as a sentence.
func (u Style) Sentences(ns []plan.Note) []string {
	out := make([]string, len(ns))
	for i, n := range ns {
		out[i] = Sentence(u.Note(n))
	}
	return out
}
