package words

import (
	"slices"
	"strings"

	"bloomgap/feed/plan"
)

// About is a note and what it is about.
type About struct {
	Yard     string // "" for all yards
	Colony   string // "" for the whole yard
	Colonies int    // that it is about; 0 for the whole yard
	What     plan.Note
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
			out = append(out, About{Yard: c.Yard, Colony: c.Colony, Colonies: c.Stands(), What: w})
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

// Cut is the warning with no more than so many letters of what it is about.
func (g Grouped) Cut(most int) Grouped {
	if where := []rune(g.Where); len(where) > most {
		g.Where = strings.TrimRight(string(where[:most]), ",;: ") + " and more"
	}
	return g
}

// WarningKinds puts warnings of the same code together, for a screen: the first of
// them, how many there are, and where. What was remarked while reading stands as
// it is.
func WarningKinds(pl *plan.Plan, u Style) []Grouped {
	var kinds []string
	of := map[string][]About{}
	for _, n := range WarningNotes(pl) {
		kind := string(n.What.Code())
		if kind == "warning.input" {
			kind += u.Note(n.What)
		}
		if of[kind] == nil {
			kinds = append(kinds, kind)
		}
		of[kind] = append(of[kind], n)
	}
	out := make([]Grouped, 0, len(kinds))
	for _, kind := range kinds {
		list := of[kind]
		g := Grouped{Where: many(list), Text: Sentence(u.Note(list[0].What))}
		for _, n := range list[1:] {
			if u.Note(n.What) != u.Note(list[0].What) {
				g.Text += " And others like it."
				break
			}
		}
		out = append(out, g)
	}
	return out
}

// many says how many things notes are about: the name of one, the number of more.
func many(list []About) string {
	yards, colonies := map[string]bool{}, 0
	for _, n := range list {
		if n.Yard != "" {
			yards[n.Yard] = true
		}
		if n.Colony != "" {
			colonies += n.Colonies
		}
	}
	switch {
	case len(yards) == 0:
		return ""
	case len(list) == 1 && colonies == 1:
		return Clean(list[0].Yard) + ": " + Clean(list[0].Colony)
	case colonies == 0 && len(yards) == 1:
		return Clean(list[0].Yard)
	case colonies == 0:
		return Count(len(yards), "yard", "yards")
	}
	return Count(colonies, "colony", "colonies") + " in " + Count(len(yards), "yard", "yards")
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
