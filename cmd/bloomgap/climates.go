package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"bloomgap/forage/climate"
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
			p := page{us: units == "us"}
			printClimates(&p, climate.Builtin())
			return p.flush(c.out)
		},
	}
	cmd.Flags().StringVar(&units, "units", "", "metric or us: units of what is printed")
	return cmd
}

func printClimates(p *page, list []climate.Normals) {
	p.heading("Built-in climates: monthly mean temperature, %s", p.unit("C"))
	cols := []column{{"Place", 28, false}, {"Years", 0, false}, {"North", 0, true}, {"East", 0, true}, {"Height, " + p.unit("m"), 0, true},
		{"Jan", 0, true}, {"Feb", 0, true}, {"Mar", 0, true}, {"Apr", 0, true}, {"May", 0, true}}
	var rows, credits [][]string
	for _, n := range list {
		row := []string{n.Place, n.Span, fixed(n.LatDeg, 2), fixed(n.LonDeg, 2), p.show(n.ElevM, "m", 0)}
		mean := n.MeanC()
		for m := range 5 {
			row = append(row, p.show(mean[m], "C", 1))
		}
		rows = append(rows, row)
		credits = append(credits, []string{n.Place, n.Credit})
	}
	p.grid(cols, rows)
	p.heading("Where they come from")
	for _, c := range credits {
		p.item("%s", fmt.Sprintf("%s: %s", c[0], c[1]))
	}
}
