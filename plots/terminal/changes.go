package terminal

import (
	"fmt"
	"strings"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// since prints what changed since an earlier plan, what matters most first: the
// figures that only moved are listed with Screen.Why.
func (p *printer) since(pl *plan.Plan) {
	c := words.ChangedOf(pl, p.Words)
	if c == nil {
		return
	}
	p.heading("What changed since the plan of " + c.Since)
	p.para("", c.Summary)
	list := func(head string, lines []words.ChangedLine) {
		if len(lines) == 0 {
			return
		}
		if head != "" {
			p.para("", head)
		}
		for _, l := range first(lines) {
			text := l.Who + ": " + l.What
			if l.Why != "" {
				text += " Why: " + l.Why
			}
			p.para("  - ", text)
		}
		p.more(len(lines))
	}
	list("Urgent:", c.Urgent)
	list("To do differently:", c.Differs)
	if p.Why {
		list("Figures that moved, with the same to do:", c.Moved)
	} else if len(c.Moved) > 0 {
		names := make([]string, 0, len(c.Moved))
		for _, l := range first(c.Moved) {
			names = append(names, l.Who)
		}
		p.para("", fmt.Sprintf("Only figures moved for %s.", strings.Join(names, "; ")))
	}
	list("What is known now and was not:", c.Yards)
	if len(c.Whole) > 0 {
		p.para("", "Of the whole plan:")
	}
	for _, s := range c.Whole {
		p.para("  - ", s)
	}
}
