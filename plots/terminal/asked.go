package terminal

import (
	"io"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// WriteAsked prints the answers to what was asked of a plan's colonies: the question,
// and under it no more than eight lines.
func WriteAsked(w io.Writer, pl *plan.Plan, s Screen) error {
	if err := s.Validate(); err != nil {
		return err
	}
	p := &printer{Screen: s}
	if pl.Invented {
		p.para("", words.Invented)
	}
	for i := range pl.Asked {
		a := &pl.Asked[i]
		title := words.QuestionTitle(a.Question)
		if len(pl.Colonies) > 1 {
			title = words.Clean(a.Yard) + ", " + words.Clean(a.Colony) + ": " + title
		}
		p.heading(title)
		for _, line := range s.Words.Said(a) {
			p.para("", line)
		}
	}
	_, err := io.WriteString(w, p.out.String())
	return err
}
