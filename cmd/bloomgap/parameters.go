package main

import (
	"fmt"
	"math"
	"strconv"

	"github.com/spf13/cobra"

	"bloomgap/forage/read"
	"bloomgap/plots/files"
	"bloomgap/plots/terminal"
	"bloomgap/sim/colony"
)

func newParametersCmd(c *console) *cobra.Command {
	var asJSON, asCSV bool
	cmd := &cobra.Command{
		Use:   "parameters",
		Short: "List every figure of the colony model with its range and source",
		Long: `Parameters lists the figures of the colony model: the typical value, the range it
may take, how far it is drawn apart over springs or colonies, and where it comes
from. A season folder can put its own typical value in place of one, in
settings.toml:

  [parameters]
  activity_mg = 3.0

A value outside the range is refused. The draws then spread around that value.`,
		Example: "  bloomgap parameters\n  bloomgap parameters --csv > parameters.csv",
		Args:    exactly(0),
		RunE: func(*cobra.Command, []string) error {
			list := colony.Catalogue()
			switch {
			case asJSON && asCSV:
				return usageError{fmt.Errorf("--json and --csv are both given; keep one of the two")}
			case asJSON:
				return writeJSON(c.out, newParameterDocs(list))
			case asCSV:
				return read.WriteCSV(c.out, parameterRows(list))
			}
			var p terminal.Page
			printParameters(&p, list)
			return p.Flush(c.out)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print as JSON")
	cmd.Flags().BoolVar(&asCSV, "csv", false, "print as CSV")
	return cmd
}

// number is a figure in as few digits as say it.
func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// spreadWords says how a parameter is drawn.
func spreadWords(q *colony.Parameter) string {
	switch q.Spread {
	case colony.Normal:
		return "+- " + number(q.SD)
	case colony.Lognormal:
		return fmt.Sprintf("x/ %.2f", math.Exp(q.SD))
	}
	return "fixed"
}

// overWords says over what it is drawn.
func overWords(q *colony.Parameter) string {
	switch {
	case q.Spread == colony.Fixed:
		return "-"
	case q.Varies == colony.AmongColonies:
		return "colonies"
	}
	return "springs"
}

func printParameters(p *terminal.Page, list []colony.Parameter) {
	p.Heading("Figures of the colony model: %d", len(list))
	var rows [][]string
	for i := range list {
		q := &list[i]
		rows = append(rows, []string{q.Name, number(q.Typical), number(q.Low) + " - " + number(q.High), q.Unit, spreadWords(q), overWords(q), q.Status})
	}
	p.Grid(
		[]terminal.Column{
			terminal.Left("Name", 0),
			terminal.Right("Typical", 0),
			terminal.Left("Range", 0),
			terminal.Left("Unit", 0),
			terminal.Left("Spread", 0),
			terminal.Left("Over", 0),
			terminal.Left("Status", 16),
		},
		rows,
	)
	p.Line(
		"Spread: +- one standard deviation, or x/ the factor of one; over springs it is drawn once for all colonies of a spring, over colonies for each. What is drawn stays in the range. Unit 1: a share or a factor; d: day; K: degree of difference.",
	)
	p.Heading("What each is, and where it comes from")
	for i := range list {
		q := &list[i]
		p.Item("%s: %s. Source: %s.", q.Name, q.Meaning, q.Source)
	}
}

func parameterRows(list []colony.Parameter) [][]any {
	rows := [][]any{{"name", "typical", "low", "high", "unit", "spread", "sd", "over", "meaning", "source", "status"}}
	for i := range list {
		q := &list[i]
		rows = append(
			rows,
			[]any{q.Name, number(q.Typical), number(q.Low), number(q.High), q.Unit, spreadName(q), number(q.SD), overWords(q), q.Meaning, q.Source, q.Status},
		)
	}
	return rows
}

func spreadName(q *colony.Parameter) string {
	switch q.Spread {
	case colony.Normal:
		return "normal"
	case colony.Lognormal:
		return "lognormal"
	}
	return "fixed"
}

// parameterDoc is a parameter as JSON. SD is in the unit, or of the natural
// logarithm for a lognormal spread.
type parameterDoc struct {
	Name    string    `json:"name"`
	Meaning string    `json:"meaning"`
	Unit    string    `json:"unit"`
	Typical files.Num `json:"typical"`
	Low     files.Num `json:"low"`
	High    files.Num `json:"high"`
	Spread  string    `json:"spread"`
	SD      files.Num `json:"sd"`
	Over    string    `json:"over"`
	Source  string    `json:"source"`
	Status  string    `json:"status"`
}

func newParameterDocs(list []colony.Parameter) []parameterDoc {
	var out []parameterDoc
	for i := range list {
		q := &list[i]
		out = append(
			out,
			parameterDoc{
				q.Name,
				q.Meaning,
				q.Unit,
				files.Num(q.Typical),
				files.Num(q.Low),
				files.Num(q.High),
				spreadName(q),
				files.Num(q.SD),
				overWords(q),
				q.Source,
				q.Status,
			},
		)
	}
	return out
}
