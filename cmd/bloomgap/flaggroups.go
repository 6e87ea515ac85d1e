package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"bloomgap/plots/terminal"
)

// flagGroup is a part of the help of a command with many flags. The group without
// names takes all flags that no other has.
type flagGroup struct {
	title string
	names []string
}

// groupFlags has the help of a command list its flags in groups.
func groupFlags(cmd *cobra.Command, groups []flagGroup) {
	cmd.SetUsageFunc(func(cmd *cobra.Command) error {
		_, err := fmt.Fprintf(cmd.OutOrStderr(), "Usage:\n  %s\n\nExamples:\n%s\n\n%s\n", cmd.UseLine(), cmd.Example, groupedFlags(cmd.Flags(), groups))
		return err
	})
}

// groupedFlags lists flags by group.
func groupedFlags(flags *pflag.FlagSet, groups []flagGroup) string {
	group := map[string]int{}
	rest := 0
	for i, g := range groups {
		for _, name := range g.names {
			group[name] = i
		}
		if g.names == nil {
			rest = i
		}
	}
	parts := make([]*pflag.FlagSet, len(groups))
	for i := range parts {
		parts[i] = pflag.NewFlagSet("", pflag.ContinueOnError)
		parts[i].SortFlags = false
	}
	flags.VisitAll(func(f *pflag.Flag) {
		i, ok := group[f.Name]
		if !ok {
			i = rest
		}
		parts[i].AddFlag(f)
	})
	var b strings.Builder
	for i, g := range groups {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(g.title + ":\n" + parts[i].FlagUsagesWrapped(terminal.MinWidth))
	}
	return strings.TrimRight(b.String(), "\n")
}
