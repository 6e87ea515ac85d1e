package terminal

import (
	"fmt"
	"io"

	"bloomgap/feed"
	"bloomgap/plots/words"
)

// WriteHive prints the answer for one hive: the short answer first, then why,
// protein, how sure, warnings and cautions.
func WriteHive(w io.Writer, plan *feed.Plan, c *feed.ColonyPlan, s Screen) error {
	if err := s.Validate(); err != nil {
		return err
	}
	p := &printer{Screen: s}
	a := words.AnswerFor(plan, c, s.Words)
	p.heading(a.Headline)
	if plan.Invented {
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
	for _, n := range words.Warnings(plan) {
		if n.Colony == "" && (n.Yard == "" || n.Yard == c.Yard) {
			warnings = append(warnings, words.Sentence(n.Text))
		}
	}
	p.list("Warnings", warnings)
	p.list("Usual cautions", plan.Cautions)
	p.list("What the model leaves out", plan.Left)
	p.out.WriteByte('\n')
	p.para("", fmt.Sprintf("%s, %s. Reckoned for %s from %s, seed %d.", a.Yard, a.Colony, s.Words.LongDay(plan.Today), words.Count(c.Members, "possible spring", "possible springs"), plan.Seed))
	_, err := io.WriteString(w, p.out.String())
	return err
}
