package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"bloomgap/feed/season"
)

func newInitCmd(c *console) *cobra.Command {
	asBook := false
	cmd := &cobra.Command{
		Use:     "init FOLDER",
		Short:   "Write a commented season folder that can be planned as it is",
		Example: "  bloomgap init my-spring\n  bloomgap init my-spring --xlsx\n  bloomgap plan my-spring",
		Args:    exactly(1),
		RunE: func(_ *cobra.Command, args []string) error {
			write, where := season.WriteStarter, "its tables"
			if asBook {
				write, where = season.WriteStarterBook, "the sheets of season.xlsx"
			}
			if err := write(args[0], c.today()); err != nil {
				return err
			}
			fmt.Fprintf(c.out, "Wrote a starter season to %s. Put your own yards and colonies in %s, then: bloomgap plan %s\n", args[0], where, args[0])
			return nil
		},
	}
	cmd.Flags().BoolVar(&asBook, "xlsx", false, "write the tables as one workbook, season.xlsx, with lists to choose from and checks")
	return cmd
}
