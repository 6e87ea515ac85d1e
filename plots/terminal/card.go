package terminal

import (
	"io"
	"strings"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// WriteCards prints the cards of yards, one after the other.
func WriteCards(w io.Writer, cards []plan.Card, s Screen) error {
	if err := s.Validate(); err != nil {
		return err
	}
	p := &printer{Screen: s}
	for i := range cards {
		p.card(words.CardOf(&cards[i], p.Words))
	}
	_, err := io.WriteString(w, p.out.String())
	return err
}

func (p *printer) card(c words.CardPage) {
	p.heading(c.Title)
	for _, text := range c.Lead {
		p.para("", text)
	}
	for _, t := range c.Hives {
		p.heading("Hives of " + t.Hives + ": feed under")
		cols := []column{{"Seams", 10, left}}
		for _, d := range c.Days {
			cols = append(cols, column{d, 13, bends})
		}
		var rows [][]string
		for _, r := range t.Rows {
			row := []string{r.Seams}
			for _, cell := range r.Cells {
				if cell.Give == "" {
					row = append(row, "-")
					continue
				}
				row = append(row, strings.Join(cell.Under, "\n")+"\ngive "+cell.Give)
			}
			rows = append(rows, row)
		}
		p.grid(cols, rows)
		for _, f := range t.Feeder {
			p.para("", f)
		}
	}
	for _, text := range c.Foot {
		p.para("", text)
	}
}
