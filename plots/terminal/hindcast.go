package terminal

import (
	"fmt"
	"math"

	"bloomgap/plots/words"
	"bloomgap/sim/hindcast"
)

// Hindcast is what a page of hindcasts shows.
type Hindcast struct {
	Springs []*hindcast.Result // of one hive or several
	Colony  string             // what is known of it at the start
	LatDeg  float64
	LatFrom string // where the latitude is from
	Weather string // name of the record
}

const (
	listedReadings = 30 // readings up to which all are listed, and not one a week
	listedSteps    = 12 // steps that are listed one by one
)

// Hindcast prints the hives one after another, all of them together, and how to
// read it.
func (p *Page) Hindcast(h *Hindcast) {
	for _, r := range h.Springs {
		p.hindcastSpring(r, h.Colony)
	}
	if len(h.Springs) > 1 {
		pooled, err50, err80 := hindcast.Pool(h.Springs)
		p.Heading("%s", together(h.Springs))
		p.hindcastScores(&pooled, false)
		if !math.IsNaN(err50) {
			p.Item("Readings in the bands, each spring of a hive counted once: %s of them in the band of half (standard error %s), %s in that of 8 in 10 (%s).",
				words.Percent(pooled.Held50), words.Percent(err50), words.Percent(pooled.Held80), words.Percent(err80))
		}
	}
	p.Heading("How to read it")
	p.Item("Bias and error are predicted less seen: with a bias above 0 the hive lost more, or gained less, than predicted. " +
		"Changes overlap and the readings of one hive depend on each other, so the shares of one hive say little.")
	p.Item("Latitude %.2f N, %s. Weather: %s.", h.LatDeg, h.LatFrom, h.Weather)
}

// together heads the scores of several springs.
func together(springs []*hindcast.Result) string {
	names := map[string]bool{}
	for _, r := range springs {
		names[r.Hive] = true
	}
	switch hives := len(names); {
	case hives == len(springs):
		return fmt.Sprintf("All %d hives together", hives)
	case hives == 1:
		return fmt.Sprintf("All %d springs together", len(springs))
	default:
		return fmt.Sprintf("All %d springs of %d hives together", len(springs), hives)
	}
}

func (p *Page) hindcastSpring(r *hindcast.Result, colony string) {
	n := len(r.Points)
	kg := p.Name("kg")
	p.Heading("Hive %s, %s to %s", r.Hive, words.FullDate(r.Points[0].Date), words.FullDate(r.Points[n-1].Date))
	p.Item("%s on %s. Scatter of one: %s %s.", words.Count(n, "weighing", "weighings"), words.Count(r.Points[n-1].Day+1, "day", "days"),
		p.ShowDiff(r.Noise.ScatterKg, "kg", 2), kg)
	p.Item("Colony at the start: %s.", colony)
	p.Item("Dependable nectar: first flower %s, first good days of it %s.", between(r.Bloom), between(r.Nectar))
	if r.Beyond > 0 {
		p.Item("%s", words.SpanEnds(r.Dates[len(r.Dates)-1], r.Beyond))
	}
	if l := r.Learned; l.Days > 0 {
		p.Item("Learned from %s of the first %d days: %s bees at the start (8 in 10: %s to %s), before that %s (%s to %s). Scored from %s.",
			words.Count(l.Readings, "reading", "readings"), l.Days, words.Hundreds(l.BeesNow[1]), words.Hundreds(l.BeesNow[0]), words.Hundreds(l.BeesNow[2]),
			words.Hundreds(l.Bees[1]), words.Hundreds(l.Bees[0]), words.Hundreds(l.Bees[2]), words.DayMonth(r.From))
	}
	for _, w := range r.Warnings {
		p.Item("Note: %s.", HindcastWarning(w))
	}
	p.hindcastSteps(r.Steps)
	p.Heading("Change of weight, %s: predicted and seen", kg)
	s := &r.Scores
	p.hindcastScores(s, true)
	if s.Readings > 0 {
		p.Item("Of %s, %s lie in the band of half and %s in that of 8 in 10; %s under it, %s over it.",
			words.Count(s.Readings, "reading", "readings"), words.Percent(s.Held50), words.Percent(s.Held80), words.Percent(s.Below), words.Percent(s.Above))
		p.Item("By the last reading the hive had changed by %s %s; %s was predicted.", p.ShowDiff(s.LastKg, "kg", 1), kg, p.ShowDiff(s.LastKg+s.LastBiasKg, "kg", 1))
	}
	p.hindcastDays(r)
}

// between writes the middle and the band of a date.
func between(d hindcast.DateRange) string {
	const later = "later than 31 July"
	if d.P50.IsZero() {
		return later
	}
	last := words.DayMonth(d.P90)
	if d.P90.IsZero() {
		last = later
	}
	return fmt.Sprintf("%s (8 in 10: %s to %s)", words.DayMonth(d.P50), words.DayMonth(d.P10), last)
}

// HindcastWarning is a warning in words, without a full stop.
func HindcastWarning(w hindcast.Warning) string {
	switch w.Code {
	case hindcast.StepsFound:
		return words.StepsFound(w.Dates)
	case hindcast.ManySteps:
		return words.ManySteps(w.Steps, w.Of)
	case hindcast.FewAgree:
		return words.FewAgree(w.Days, w.Factor)
	}
	panic("terminal: a hindcast warns of what has no words")
}

func (p *Page) hindcastSteps(steps []hindcast.Step) {
	if len(steps) == 0 {
		p.Item("No steps were taken out.")
		return
	}
	p.Heading("Steps taken out")
	var rows [][]string
	for i, s := range steps {
		if i == listedSteps {
			rows = append(rows, []string{"", "", "", fmt.Sprintf("and %d more", len(steps)-i), ""})
			break
		}
		rows = append(rows, []string{words.DayMonth(s.From), words.DayMonth(s.To), p.ShowDiff(s.Kg, "kg", 2), words.StepCause(string(s.Cause)), s.Note})
	}
	p.Grid([]Column{Left("After", 0), Left("To", 0), Right(p.Name("kg"), 0), Left("Why", 0), Left("Note", 30)}, rows)
}

func (p *Page) hindcastScores(s *hindcast.Scores, start bool) {
	cols := []Column{Left("Over", 0), Right("Changes", 0), Right("Seen,\nmean", 0), Right("Bias", 0), Right("Error,\nmean", 0),
		Right("In band\nof half", 0), Right("In band\nof 8 in 10", 0)}
	if start {
		cols = append(cols, Right("From start:\nseen", 0), Right("predicted\n(8 in 10)", 0))
	}
	kg := func(v float64, decimals int) string { return p.ShowDiff(v, "kg", decimals) }
	var rows [][]string
	for _, h := range s.Horizons {
		row := []string{fmt.Sprintf("%d days", h.Days), fmt.Sprint(h.Pairs), kg(h.SeenMeanKg, 2), kg(h.BiasKg, 2), kg(h.MeanAbsKg, 2), "-", "-"}
		if h.Pairs > 0 {
			row[5], row[6] = words.Fixed(100*h.Held50, 0)+" %", words.Fixed(100*h.Held80, 0)+" %"
		}
		if start {
			predicted := "-"
			if !math.IsNaN(h.FromStartP50) {
				predicted = fmt.Sprintf("%s (%s to %s)", kg(h.FromStartP50, 1), kg(h.FromStartP10, 1), kg(h.FromStartP90, 1))
			}
			row = append(row, kg(h.FromStartSeenKg, 1), predicted)
		}
		rows = append(rows, row)
	}
	p.Grid(cols, rows)
}

// hindcastDays lists bands and readings: all readings when they are few, else one
// day a week.
func (p *Page) hindcastDays(r *hindcast.Result) {
	at := r.ByDay()
	var days []int
	if len(r.Points) <= listedReadings {
		p.Heading("Reading by reading, %s, steps taken out", p.Name("kg"))
		for _, x := range r.Points {
			days = append(days, x.Day)
		}
	} else {
		p.Heading("Week by week, %s, steps taken out", p.Name("kg"))
		last := len(r.Dates) - 1
		for d := 0; d < last; d += 7 {
			days = append(days, d)
		}
		days = append(days, last)
	}
	kg := func(v float64) string { return p.Show(v, "kg", 1) }
	var rows [][]string
	for _, d := range days {
		seen, where := "-", ""
		b := &r.Band
		if x := at[d]; x != nil {
			seen = kg(x.Kg)
			switch {
			case x.LeftOut:
				seen, where = "-", "left out"
			case d == 0:
				where = "start"
			case x.Date.Before(r.From):
				where = "learned from"
			case x.Kg < b.P10[d]:
				where = "under"
			case x.Kg > b.P90[d]:
				where = "over"
			default:
				where = "in band"
			}
		}
		rows = append(rows, []string{words.DayMonth(r.Dates[d]), kg(b.P10[d]), kg(b.P25[d]), kg(b.P50[d]), kg(b.P75[d]), kg(b.P90[d]), seen, where})
	}
	p.Grid([]Column{Left("Day", 0), Right("10 %", 0), Right("25 %", 0), Right("Middle", 0), Right("75 %", 0), Right("90 %", 0),
		Right("Seen", 0), Left("", 0)}, rows)
}
