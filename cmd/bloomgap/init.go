package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"bloomgap/feed/season"
)

func newInitCmd(c *console) *cobra.Command {
	return &cobra.Command{
		Use:     "init FOLDER",
		Short:   "Write a commented season folder that can be planned as it is",
		Example: "  bloomgap init my-spring\n  bloomgap plan my-spring",
		Args:    exactly(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := season.WriteStarter(args[0], c.today()); err != nil {
				return err
			}
			fmt.Fprintf(c.out, "Wrote a starter season to %s. Put your own yards and colonies in its tables, then: bloomgap plan %s\n", args[0], args[0])
			return nil
		},
	}
}
