package main

import (
	"github.com/spf13/cobra"

	"bloomgap/feed/season"
)

func newDemoCmd(c *console) *cobra.Command {
	var o planOptions
	cmd := &cobra.Command{
		Use:     "demo",
		Short:   "Plan the built-in example: four invented yards with invented weather",
		Example: "  bloomgap demo\n  bloomgap demo --units us",
		Args:    exactly(0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := o.validate(); err != nil {
				return err
			}
			return runPlan(cmd.Context(), c, season.Demo(), &o)
		},
	}
	o.register(cmd.Flags())
	return cmd
}
