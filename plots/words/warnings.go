package words

import (
	"slices"
	"strings"

	"bloomgap/feed/plan"
)

// About is a note and what it is about.
type About struct {
	Yard   string // "" for all yards
	Colony string // "" for the whole yard
	What   plan.Note
}

// WarningNotes lists all warnings of a plan: of the whole, of the yards, of the
// colonies in order of urgency. Every output shows these and no others.
func WarningNotes(pl *plan.Plan) []About {
	var out []About
	for _, w := range pl.Warnings {
		out = append(out, About{What: w})
	}
	for _, y := range pl.Yards {
		for _, w := range y.Warnings {
			out = append(out, About{Yard: y.Name, What: w})
		}
	}
	for _, c := range pl.Colonies {
		for _, w := range c.Warnings {
			out = append(out, About{Yard: c.Yard, Colony: c.Colony, What: w})
		}
	}
	return out
}

// Warned is a warning in words and what it is about, "" for all.
type Warned struct{ Yard, Colony, Text string }

// Warnings puts WarningNotes into words.
func Warnings(pl *plan.Plan, u Style) []Warned {
	notes := WarningNotes(pl)
	out := make([]Warned, len(notes))
	for i, n := range notes {
		out[i] = Warned{n.Yard, n.Colony, u.Note(n.What)}
	}
	return out
}

// Grouped is a warning with all that it is about.
type Grouped struct {
	Where string // "" for all yards
	Text  string
}

// GroupWarnings puts equal warnings together, for people: "Home: B1, B7".
func GroupWarnings(pl *plan.Plan, u Style) []Grouped {
	var texts []string
	about := map[string][]Warned{}
	for _, n := range Warnings(pl, u) {
		t := Sentence(n.Text)
		if about[t] == nil {
			texts = append(texts, t)
		}
		about[t] = append(about[t], n)
	}
	out := make([]Grouped, 0, len(texts))
	for _, t := range texts {
		out = append(out, Grouped{Where: where(about[t]), Text: t})
	}
	return out
}

func where(notes []Warned) string {
	var yards []string
	colonies := map[string][]string{}
	for _, n := range notes {
		y := Clean(n.Yard)
		if y == "" {
			return "" // it is about everything
		}
		if !slices.Contains(yards, y) {
			yards = append(yards, y)
		}
		if c := Clean(n.Colony); c != "" && !slices.Contains(colonies[y], c) {
			colonies[y] = append(colonies[y], c)
		}
	}
	parts := make([]string, len(yards))
	for i, y := range yards {
		parts[i] = y
		if len(colonies[y]) > 0 {
			parts[i] += ": " + strings.Join(colonies[y], ", ")
		}
	}
	return strings.Join(parts, "; ")
}
