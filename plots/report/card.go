package report

import (
	"bytes"
	"fmt"
	"io"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// WriteCardsPage writes the cards of yards as one page, each to be printed on a sheet of
// its own, broad side down.
func WriteCardsPage(w io.Writer, cards []plan.Card, u words.Style) error {
	page := struct {
		Title string
		Cards []words.CardPage
	}{Title: "Feeding cards"}
	for i := range cards {
		page.Cards = append(page.Cards, words.CardOf(&cards[i], u))
	}
	var b bytes.Buffer
	if err := Templates().ExecuteTemplate(&b, "card", page); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

// cardPt is the size of letters of a card, points, 10-12, own choice: all rows and days
// on one sheet.
const cardPt, cardLine = 10.0, 4.4

// WriteCardSheets writes them as a PDF, A4 or Letter with US units.
func WriteCardSheets(w io.Writer, cards []plan.Card, u words.Style) error {
	if len(cards) == 0 {
		return fmt.Errorf("there is no yard to make a card of")
	}
	s, err := newSheets("L", "Feeding cards, "+u.LongDay(cards[0].Today), cards[0].Today, u)
	if err != nil {
		return err
	}
	s.foot = fmt.Sprintf("bloomgap, card of %s.", u.LongDay(cards[0].Today))
	s.pt, s.line = cardPt, cardLine
	for i := range cards {
		s.card(words.CardOf(&cards[i], u))
	}
	return s.f.Output(w)
}

func (s *sheets) card(c words.CardPage) {
	s.page(c.Title)
	for _, text := range c.Lead {
		s.para(text, false)
	}
	for _, t := range c.Hives {
		s.columns = []column{{"Seams", 18}}
		for _, d := range c.Days {
			s.columns = append(s.columns, column{d, (sheetAcross - 18) / float64(len(c.Days))})
		}
		if s.y+float64(len(t.Rows)+1)*5*s.line > s.bottom() && len(c.Hives) > 1 {
			s.page(c.Title + ", continued")
		}
		s.para("Hives of "+t.Hives+": feed under", true)
		s.heading()
		for _, r := range t.Rows {
			cells := []cell{{text: r.Seams}}
			for _, x := range r.Cells {
				if x.Give == "" {
					cells = append(cells, cell{text: "-"})
					continue
				}
				cells = append(cells, cell{list: x.Under, end: "give " + x.Give})
			}
			s.row(c.Title, cells)
		}
		s.y += 1
		for _, text := range t.Feeder {
			s.para(text, false)
		}
	}
	for _, text := range c.Foot {
		s.para(text, false)
	}
}
