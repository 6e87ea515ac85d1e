package terminal

import (
	"fmt"
	"io"
	"slices"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// WriteHive prints the answer for one hive: eight lines, and the warnings. With
// Screen.Why the feedings by date, the reasons, how sure it is, the cautions and
// what the model leaves out follow.
func WriteHive(w io.Writer, pl *plan.Plan, c *plan.ColonyPlan, s Screen) error {
	if err := s.Validate(); err != nil {
		return err
	}
	p := &printer{Screen: s}
	a := words.AnswerFor(pl, c, s.Words)
	lines := a.Short()
	p.heading(lines[0])
	if pl.Invented {
		p.para("", words.Invented)
	}
	p.changed(pl)
	for _, line := range lines[1:] {
		p.para("", line)
	}
	warnings := a.Warnings
	for _, n := range words.Warnings(pl, s.Words) {
		if text := words.Sentence(n.Text); n.Colony == "" && (n.Yard == "" || n.Yard == c.Yard) && !slices.Contains(warnings, text) {
			warnings = append(warnings, text)
		}
	}
	p.list("Warnings", warnings)
	if s.Why {
		p.why(pl, c, a)
	} else {
		p.out.WriteByte('\n')
		p.para("", "Reasons, feedings by date, cautions and limits: add --why.")
	}
	_, err := io.WriteString(w, p.out.String())
	return err
}

// why prints what stands behind an answer.
func (p *printer) why(pl *plan.Plan, c *plan.ColonyPlan, a words.Answer) {
	if len(a.Feedings) > 0 {
		p.heading("Feedings")
		var rows [][]string
		for _, f := range a.Feedings {
			rows = append(rows, []string{f.When, dash(f.Syrup), dash(f.Sugar), dash(f.Solid), f.Note})
		}
		p.grid([]column{{"Visit", 12, left}, {"Syrup", 12, right}, {"Sugar in it", 12, right}, {"Solid", 12, right}, {"", 30, bends}}, rows)
	}
	p.list("Why", a.Why)
	p.list("The feeder", a.Feeder)
	p.list("Protein supplement", a.Supplement)
	p.list("How sure", a.Sure)
	p.list("Usual cautions", p.Words.Notes(pl.Cautions))
	p.list("What the model leaves out", p.Words.Notes(pl.Limits))
	p.out.WriteByte('\n')
	p.para("", fmt.Sprintf("%s, %s, on %s: %s, random seed %d.", a.Yard, a.Colony, p.Words.LongDay(pl.Today), words.Count(c.Members, "simulated spring",
		"simulated springs"), pl.Seed))
}
