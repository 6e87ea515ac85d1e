package terminal

import (
	"fmt"
	"io"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// WriteHive prints the answer for one hive: the short answer first, then why,
// protein, how sure, warnings and cautions.
func WriteHive(w io.Writer, pl *plan.Plan, c *plan.ColonyPlan, s Screen) error {
	if err := s.Validate(); err != nil {
		return err
	}
	p := &printer{Screen: s}
	a := words.AnswerFor(pl, c, s.Words)
	p.heading(a.Headline)
	if pl.Invented {
		p.para("", words.Invented)
	}
	for _, line := range a.Do {
		p.para("", line)
	}
	if len(a.Fills) > 1 {
		p.out.WriteByte('\n')
		var rows [][]string
		for _, f := range a.Fills {
			rows = append(rows, []string{f.When, dash(f.Syrup), dash(f.Sugar), dash(f.Solid), f.Note})
		}
		p.grid([]column{{"Visit", 12, left}, {"Syrup", 12, right}, {"Sugar in it", 12, right}, {"Solid", 12, right}, {"", 30, bends}}, rows)
	}
	p.list("Why", a.Why)
	p.list("Protein supplement", a.Protein)
	p.list("How sure", a.Sure)
	warnings := a.Warnings
	for _, n := range words.Warnings(pl, s.Words) {
		if n.Colony == "" && (n.Yard == "" || n.Yard == c.Yard) {
			warnings = append(warnings, words.Sentence(n.Text))
		}
	}
	p.list("Warnings", warnings)
	p.list("Usual cautions", s.Words.Notes(pl.Cautions))
	p.list("What the model leaves out", s.Words.Notes(pl.Limits))
	p.out.WriteByte('\n')
	p.para("", fmt.Sprintf("%s, %s. Reckoned for %s from %s, seed %d.", a.Yard, a.Colony, s.Words.LongDay(pl.Today), words.Count(c.Members, "possible spring", "possible springs"), pl.Seed))
	_, err := io.WriteString(w, p.out.String())
	return err
}
