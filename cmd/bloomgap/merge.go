package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"bloomgap/feed/order"
	"bloomgap/feed/plan"
	"bloomgap/forage/read"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
)

func newMergeCmd(c *console) *cobra.Command {
	var units string
	cmd := &cobra.Command{
		Use:   "merge SUMS...",
		Short: "Put the orders of yards planned apart together into one",
		Long: `Merge reads what plan --sums wrote for parts of a season and prints the order
for all of them. It comes to the last gram to what one plan of the whole season
would have ordered.`,
		Example: `  bloomgap plan my-spring --yard "Mill Lane" --sums mill.json
  bloomgap plan my-spring --yard "Hill Top" --sums hill.json
  bloomgap merge mill.json hill.json`,
		Args: atLeast(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := checkUnits(units); err != nil {
				return err
			}
			return runMerge(c, args, units == "us")
		},
	}
	cmd.Flags().StringVar(&units, "units", "", "metric or us")
	return cmd
}

func runMerge(c *console, paths []string, us bool) error {
	var parts []plan.Sums
	for _, path := range paths {
		var ps read.Problems
		data, ok := c.content(path, &ps)
		if !ok {
			return ps.Err()
		}
		s, err := order.ReadSums(bytes.NewReader(data))
		if err != nil {
			return unusable(path, err)
		}
		s.Source = path
		parts = append(parts, s)
	}
	all, err := order.MergeSums(parts)
	if err != nil {
		return unusable(strings.Join(paths, ", "), err)
	}
	screen := terminal.DefaultScreen()
	screen.Words = words.Style{US: us}
	fmt.Fprintf(c.out, "Yards: %d. Colonies to feed: %d.\n", len(all.Yards), all.Fed)
	return terminal.WriteOrder(c.out, order.Of(all), all.Invented, screen)
}

// unusable is a file that cannot be used as a whole.
func unusable(path string, err error) error {
	return read.InputError{Problems: read.Problems{{File: path, Message: err.Error(), Fix: "give files that plan --sums wrote with the same settings"}}}
}
