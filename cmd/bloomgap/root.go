package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"bloomgap/plots/terminal"
)

func newRootCmd(c *console) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "bloomgap",
		Short: "Feed light colonies from now until nectar: whether, by when, how much, in what",
		Long: `bloomgap answers one question for every colony of every yard: will its stores
last until nectar comes, and if not, what goes on, how much, in what feeder and
by when? It runs each colony through many simulated springs and turns the risk
into a plan, an order of sugar and gear, and a reason in plain words.

Exit codes: 0 done, 1 failed, 2 call not understood, 3 input cannot be used,
4 a check lies outside its published band, 130 stopped.`,
		Example: `  bloomgap demo
  bloomgap init my-spring && bloomgap plan my-spring
  bloomgap hive --lat 45.3 --lon -72.9 --date 2027-03-20 --boxes "1 deep" --heft light --seams 5`,
		Version:       thisBuild().String(),
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	cmd.SetVersionTemplate("{{.Version}}\n")
	cmd.SetUsageTemplate(strings.ReplaceAll(cmd.UsageTemplate(), "FlagUsages", fmt.Sprintf("FlagUsagesWrapped %d", terminal.MinWidth)))
	cmd.SetFlagErrorFunc(badFlag)
	for _, g := range commandGroups(c) {
		cmd.AddGroup(&cobra.Group{ID: g.id, Title: g.title})
		for _, sub := range g.commands {
			sub.GroupID = g.id
			cmd.AddCommand(sub)
		}
	}
	cmd.SetHelpCommandGroupID(groupProgram)
	cmd.SetCompletionCommandGroupID(groupProgram)
	return cmd
}

// groupProgram is the group of the commands about the program itself.
const groupProgram = "program"

// commandGroup is a group of the help and of the table in the README.
type commandGroup struct {
	id, title string
	commands  []*cobra.Command
}

// commandGroups are all commands, in the order in which they are first needed.
func commandGroups(c *console) []commandGroup {
	return []commandGroup{
		{"plan", "The feeding plan:", []*cobra.Command{newDemoCmd(c), newInitCmd(c), newPlanCmd(c), newHiveCmd(c), newCardCmd(c), newServeCmd(c), newMergeCmd(c)}},
		{"weather", "Weather and bloom:", []*cobra.Command{newWeatherCmd(c), newClimatesCmd(c), newBloomCmd(c)}},
		{"trust", "Why to believe it:", []*cobra.Command{newCheckCmd(c), newHindcastCmd(c), newSensitivityCmd(c), newParametersCmd(c)}},
		{groupProgram, "The program:", []*cobra.Command{newAboutCmd(c), newManCmd(c)}},
	}
}
