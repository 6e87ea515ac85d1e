package terminal

import (
	"bloomgap/sim/check"
)

// Check prints the rows of a check; full adds sources, assumptions and reasons
// below the table.
func (p *Page) Check(rows []check.Row, full bool) {
	p.Heading("What the model says beside what was published")
	// Columns of check.Header that fit a terminal, the first with its climate;
	// full and the CSV hold the rest.
	shown := []int{0, 1, 3, 4, 5, 6, 7, 8}
	var cells [][]string
	for _, r := range check.Table(rows) {
		var row []string
		for _, i := range shown {
			row = append(row, r[i])
		}
		row[0] += "; " + r[9]
		cells = append(cells, row)
	}
	p.Grid([]Column{Left("Quantity", 34), Left("Unit", 7), Right("Published", 12), Right("10 %", 7),
		Right("Model", 7), Right("90 %", 7), Left("", 7), Left("", 8)}, cells)
	p.Line("Model: the middle of the springs it was run through, between the values of 10 and of 90 in 100. Unit 1: a share or a factor. " +
		"SD: standard deviation; about two of three lie within one of it. d: days.")
	if !full {
		p.Heading("Outside their bands, and why")
		for _, r := range rows {
			if !r.Inside && !r.NotRun {
				p.Item("%s, %s: %s", r.Quantity, r.Climate, r.Reason)
			}
		}
		return
	}
	for _, r := range rows {
		p.Heading("%s, %s", r.Quantity, r.Climate)
		lines := []string{"Source: " + r.Source + " (" + r.Status + ").", "", r.Reason}
		if r.Assumed != "" {
			lines[1] = "Assumed: " + r.Assumed
		}
		for _, line := range lines {
			if line != "" {
				p.Item("%s", line)
			}
		}
	}
}
