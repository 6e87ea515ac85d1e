package words

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// CardPage is the card of a yard in words, for one sheet of paper.
type CardPage struct {
	Title string
	Lead  []string // how to use it
	Days  []string // heads of the columns
	Hives []CardTable
	Foot  []string // when it ends, where its springs come from, cautions
}

// CardTable is for hives that are built alike.
type CardTable struct {
	Hives  string   // "2 deep, wrapped"
	Feeder []string // which feeder, one line for each that the rows use
	Rows   []CardLine
}

// CardLine is for hives with so many seams of bees.
type CardLine struct {
	Seams string
	Cells []CardCell // one for each day
}

// CardCell is what decides at one visit; empty where no hive is fed.
type CardCell struct {
	Under []string // "whole hive 24.5 kg", "back 11 kg", "2.5 frames", "light"
	Give  string   // "3.5 L of 2:1"
}

// CardOf puts a card into words.
func CardOf(c *plan.Card, u Style) CardPage {
	out := CardPage{Title: "Feeding card of " + Clean(c.Yard)}
	if c.Invented {
		out.Lead = append(out.Lead, Title(strings.ToLower(Invented)))
	}
	for _, d := range c.Visits {
		out.Days = append(out.Days, u.Day(d))
	}
	last := c.Visits[len(c.Visits)-1]
	out.Lead = append(out.Lead, "Count the seams of bees on "+u.Day(c.Visits[0])+" and keep the hive on that row. On each visit, feed a hive that reads under "+
		"the figure of the day, read in any one of the ways given: the whole hive on a scale, a hand scale at the back, full frames of food, or by hand. "+
		"Feed still in the hive counts as food. A hive that reads more gets nothing; look again at the next visit. \"-\": feed none.")
	out.Lead = append(out.Lead, fmt.Sprintf("The figures allow for the error of food that is %s.", c.Judged))
	for i := range c.Hives {
		out.Hives = append(out.Hives, u.cardTable(&c.Hives[i]))
	}
	if s := c.Hives[0].Rows[0].Strength; !s.IsZero() {
		batchL := 10.0
		if u.US {
			batchL = 5 * litresInGallon
		}
		out.Foot = append(out.Foot, fmt.Sprintf("%s of %s syrup: %s of sugar in %s of water.", u.Volume(batchL), Strength(s), u.Mass(batchL*s.SugarKgPerL()),
			u.Volume(batchL*s.WaterLPerL())))
	}
	out.Foot = append(out.Foot, fmt.Sprintf("Good to %s; make a new one then, or when nectar has come (likely %s).", u.Day(last), u.Days(c.Nectar)))
	if s := Springs(c.Weather); s != "" {
		out.Foot = append(out.Foot, "Weather: "+s+u.away(c.Weather)+".")
	}
	out.Foot = append(out.Foot, "Look for disease before you feed: with any sign of foulbrood give nothing, move nothing and call the bee inspector. White sugar only. "+
		"Two people to a heavy hive. No syrup with honey supers on. Hives of three seams or fewer may die of cold beside their food.")
	return out
}

func (u Style) cardTable(h *plan.CardHives) CardTable {
	t := CardTable{Hives: BoxWords(h.Boxes)}
	if h.Frames != usualFrames {
		t.Hives += fmt.Sprintf(" of %d frames", h.Frames)
	}
	if t.Hives += ", not wrapped"; h.Wrapped {
		t.Hives = strings.TrimSuffix(t.Hives, ", not wrapped") + ", wrapped"
	}
	var feeders []plan.Feeder
	rows := map[plan.Feeder][]string{}
	for i := range h.Rows {
		r := &h.Rows[i]
		line := CardLine{Seams: seamsOf(r)}
		syrup := false
		for k := range r.Cells {
			line.Cells = append(line.Cells, u.cardCell(&r.Cells[k], r))
			syrup = syrup || r.Cells[k].SyrupL > 0
		}
		if syrup {
			if !slices.Contains(feeders, r.Feeder) {
				feeders = append(feeders, r.Feeder)
			}
			rows[r.Feeder] = append(rows[r.Feeder], line.Seams)
		}
		t.Rows = append(t.Rows, line)
	}
	for _, f := range feeders {
		text := "Syrup in: " + Feeder(f)
		if len(feeders) > 1 {
			text += " for " + Listed(rows[f]) + " seams"
		}
		t.Feeder = append(t.Feeder, text+". "+Sentence(Mind(f)))
	}
	return t
}

// usualFrames in a box need no word.
const usualFrames = 10

func seamsOf(r *plan.CardRow) string {
	switch {
	case r.FromSeams == 0:
		return fmt.Sprintf("up to %d", r.ToSeams)
	case r.ToSeams == 0:
		return fmt.Sprintf("%d or more", r.FromSeams)
	}
	return fmt.Sprintf("%d to %d", r.FromSeams, r.ToSeams)
}

func (u Style) cardCell(c *plan.CardCell, r *plan.CardRow) CardCell {
	if c.None() {
		return CardCell{}
	}
	var out CardCell
	if out.Give = u.Mass(c.SolidKg) + " solid"; c.SyrupL > 0 {
		out.Give = u.Volume(c.SyrupL) + " of " + Strength(r.Strength)
	}
	if c.All {
		out.Under = []string{"every hive"}
		return out
	}
	out.Under = []string{"hive " + u.Mass(c.UnderGrossKg), "back " + u.Mass(c.UnderBackKg), framesText(c.UnderFrames), "hefts " + heftText(c.UnderHeft)}
	return out
}

// framesText is a number of frames in halves.
func framesText(n float64) string {
	halves := math.Max(1, math.Round(2*n))
	if halves == 2 {
		return "1 frame"
	}
	return short(halves/2) + " frames"
}

// heftText is the heaviest heft that is fed.
func heftText(h season.Heft) string {
	if h == 0 {
		return "very light"
	}
	return h.String()
}

// BoxWords are the boxes of a hive: "1 deep + 1 medium".
func BoxWords(list []season.Boxes) string {
	var parts []string
	for _, b := range list {
		parts = append(parts, fmt.Sprintf("%d %s", b.Count, b.Kind))
	}
	return strings.Join(parts, " + ")
}
