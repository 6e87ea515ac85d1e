package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"bloomgap/forage/climate"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
)

func newClimatesCmd(c *console) *cobra.Command {
	var units string
	cmd := &cobra.Command{
		Use:   "climates",
		Short: "List the built-in climates, for a yard without a weather record",
		Long: `Climates lists the places whose climate is built in. A yard without a weather
record runs on springs made up from one of them: name it in the column climate
of the yards, or write auto for the nearest.`,
		Example: "  bloomgap climates\n  bloomgap climates --units us",
		Args:    exactly(0),
		RunE: func(*cobra.Command, []string) error {
			if err := checkUnits(units); err != nil {
				return err
			}
			p := terminal.Page{Style: words.Style{US: units == "us"}}
			printClimates(&p, climate.Builtin())
			return p.Flush(c.out)
		},
	}
	cmd.Flags().StringVar(&units, "units", "", "metric or us: units of what is printed")
	return cmd
}

func printClimates(p *terminal.Page, list []climate.Normals) {
	p.Heading("Built-in climates: monthly mean temperature, %s", p.Name("C"))
	cols := []terminal.Column{terminal.Left("Place", 28), terminal.Left("Years", 0), terminal.Right("North", 0), terminal.Right("East", 0),
		terminal.Right("Height, "+p.Name("m"), 0),
		terminal.Right("Jan", 0), terminal.Right("Feb", 0), terminal.Right("Mar", 0), terminal.Right("Apr", 0), terminal.Right("May", 0)}
	var rows, credits [][]string
	for _, n := range list {
		row := []string{n.Place, n.Span, words.Fixed(n.LatDeg, 2), words.Fixed(n.LonDeg, 2), p.Show(n.ElevM, "m", 0)}
		mean := n.MeanC()
		for m := range 5 {
			row = append(row, p.Show(mean[m], "C", 1))
		}
		rows = append(rows, row)
		credits = append(credits, []string{n.Place, n.Credit})
	}
	p.Grid(cols, rows)
	p.Heading("Where they come from")
	for _, c := range credits {
		p.Item("%s", fmt.Sprintf("%s: %s", c[0], c[1]))
	}
}
