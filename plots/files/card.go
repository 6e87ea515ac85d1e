package files

import (
	"encoding/json"
	"io"
	"math"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/forage/read"
	"bloomgap/plots/words"
)

// CardFormat and CardVersion name what WriteCardsJSON writes.
const (
	CardFormat  = "bloomgap card"
	CardVersion = 1
)

// CardsDoc are cards as JSON. Figures are always metric.
type CardsDoc struct {
	Format  string    `json:"format"`
	Version int       `json:"version"`
	Cards   []CardDoc `json:"cards"`
}

// CardDoc is the card of one yard.
type CardDoc struct {
	Yard     string        `json:"yard"`
	Today    Day           `json:"today"`
	Invented bool          `json:"invented"`
	JudgedBy string        `json:"judged_by"` // gross, lift_back, heft, frames: whose error the lines allow for
	Visits   []Day         `json:"visits"`
	Nectar   DateRangeDoc  `json:"nectar"`
	Hives    []CardHiveDoc `json:"hives"`
}

// CardHiveDoc is for hives that are built alike.
type CardHiveDoc struct {
	Boxes   string       `json:"boxes"`
	Frames  int          `json:"frames_per_box"`
	Wrapped bool         `json:"wrapped"`
	Rows    []CardRowDoc `json:"rows"`
}

// CardRowDoc is for hives with so many seams of bees on the first visit.
type CardRowDoc struct {
	FromSeams int           `json:"from_seams"`
	ToSeams   *int          `json:"to_seams"` // null: or more
	Strength  string        `json:"syrup_ratio"`
	Feeder    string        `json:"feeder"`
	Cells     []CardCellDoc `json:"cells"` // by visit
}

// CardCellDoc is what decides at one visit.
type CardCellDoc struct {
	Date       Day    `json:"date"`
	Feed       string `json:"feed"` // none, all, under
	UnderKg    Num    `json:"under_kg"`
	UnderGross Num    `json:"under_gross_kg"`
	UnderBack  Num    `json:"under_lift_back_kg"`
	UnderFrame Num    `json:"under_food_frames"`
	UnderHeft  string `json:"under_heft"` // the heaviest word; "": lighter than light, or no line
	SyrupL     Num    `json:"syrup_l"`
	SugarKg    Num    `json:"sugar_kg"`
	WaterL     Num    `json:"water_l"`
	SolidKg    Num    `json:"solid_kg"`
}

// feedWord says whom a cell feeds.
func feedWord(c *plan.CardCell) string {
	switch {
	case c.None():
		return "none"
	case c.All:
		return "all"
	}
	return "under"
}

// WriteCardsJSON writes cards as JSON.
func WriteCardsJSON(w io.Writer, cards []plan.Card) error {
	doc := CardsDoc{Format: CardFormat, Version: CardVersion, Cards: []CardDoc{}}
	for i := range cards {
		c := &cards[i]
		d := CardDoc{Yard: c.Yard, Today: Day{c.Today}, Invented: c.Invented, JudgedBy: c.Judged.FigureCode(), Nectar: dateRangeDoc(c.Nectar)}
		for _, v := range c.Visits {
			d.Visits = append(d.Visits, Day{v})
		}
		for k := range c.Hives {
			d.Hives = append(d.Hives, cardHives(c, &c.Hives[k]))
		}
		doc.Cards = append(doc.Cards, d)
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(doc)
}

func cardHives(c *plan.Card, h *plan.CardHives) CardHiveDoc {
	out := CardHiveDoc{Boxes: words.BoxWords(h.Boxes), Frames: h.Frames, Wrapped: h.Wrapped}
	for i := range h.Rows {
		r := &h.Rows[i]
		row := CardRowDoc{FromSeams: r.FromSeams, Strength: r.Strength.String(), Feeder: r.Feeder.String()}
		if r.ToSeams > 0 {
			row.ToSeams = &r.ToSeams
		}
		for k := range r.Cells {
			x, none := &r.Cells[k], math.NaN()
			cell := CardCellDoc{Date: Day{c.Visits[k]}, Feed: feedWord(x), SyrupL: Num(x.SyrupL), SugarKg: Num(x.SugarKg), WaterL: Num(x.WaterL),
				SolidKg: Num(x.SolidKg), UnderKg: Num(none), UnderGross: Num(none), UnderBack: Num(none), UnderFrame: Num(none)}
			if cell.Feed == "under" {
				cell.UnderKg, cell.UnderGross, cell.UnderBack, cell.UnderFrame = Num(x.UnderKg), Num(x.UnderGrossKg), Num(x.UnderBackKg), Num(x.UnderFrames)
				cell.UnderHeft = heftWord(x.UnderHeft)
			}
			row.Cells = append(row.Cells, cell)
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}

// cardCell is a cell with all that it stands under.
type cardCell struct {
	card  *plan.Card
	hives *plan.CardHives
	row   *plan.CardRow
	date  time.Time
	*plan.CardCell
}

// WriteCardsCSV writes cards as a table, a row for each cell.
func WriteCardsCSV(w io.Writer, cards []plan.Card, u words.Style) error {
	var cells []cardCell
	for i := range cards {
		c := &cards[i]
		for j := range c.Hives {
			for k := range c.Hives[j].Rows {
				r := &c.Hives[j].Rows[k]
				for n := range r.Cells {
					cells = append(cells, cardCell{c, &c.Hives[j], r, c.Visits[n], &r.Cells[n]})
				}
			}
		}
	}
	under := func(name, metric string, get func(*plan.CardCell) float64) field[cardCell] {
		return measured(u, name, metric, 1, func(c cardCell) float64 {
			if feedWord(c.CardCell) != "under" {
				return math.NaN()
			}
			return get(c.CardCell)
		})
	}
	amount := func(name, metric string, get func(*plan.CardCell) float64) field[cardCell] {
		return measured(u, name, metric, 2, func(c cardCell) float64 { return none(get(c.CardCell)) })
	}
	return read.WriteCSV(w, rowsOf([]field[cardCell]{
		{"yard", func(c cardCell) any { return c.card.Yard }},
		{"boxes", func(c cardCell) any { return words.BoxWords(c.hives.Boxes) }},
		{"frames_per_box", func(c cardCell) any { return c.hives.Frames }},
		{"wrapped", func(c cardCell) any { return c.hives.Wrapped }},
		{"from_seams", func(c cardCell) any { return c.row.FromSeams }},
		{"to_seams", func(c cardCell) any {
			if c.row.ToSeams == 0 {
				return nil
			}
			return c.row.ToSeams
		}},
		{"date", func(c cardCell) any { return c.date }},
		{"feed", func(c cardCell) any { return feedWord(c.CardCell) }},
		under("under_stores", "kg", func(c *plan.CardCell) float64 { return c.UnderKg }),
		under("under_gross", "kg", func(c *plan.CardCell) float64 { return c.UnderGrossKg }),
		under("under_lift_back", "kg", func(c *plan.CardCell) float64 { return c.UnderBackKg }),
		{"under_food_frames", func(c cardCell) any {
			if feedWord(c.CardCell) != "under" {
				return nil
			}
			return plain(c.UnderFrames, 1)
		}},
		{"under_heft", func(c cardCell) any { return heftWord(c.UnderHeft) }},
		amount("syrup", "L", func(c *plan.CardCell) float64 { return c.SyrupL }),
		{"syrup_ratio", func(c cardCell) any {
			if c.SyrupL == 0 {
				return nil
			}
			return words.Strength(c.row.Strength)
		}},
		amount("sugar", "kg", func(c *plan.CardCell) float64 { return c.SugarKg }),
		amount("solid", "kg", func(c *plan.CardCell) float64 { return c.SolidKg }),
		{"feeder", func(c cardCell) any {
			if c.SyrupL == 0 {
				return nil
			}
			return words.Feeder(c.row.Feeder)
		}},
	}, cells))
}
