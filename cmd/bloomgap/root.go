package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
)

func newRootCmd(c *console) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "bloomgap",
		Short: "Feed light colonies from now until nectar: whether, by when, how much, in what",
		Long: `bloomgap answers one question for every colony of every yard: will its stores
last until nectar comes, and if not, what goes on, how much, in what feeder and
by when? It runs each colony through many possible springs and turns the risk
into a plan, an order of sugar and gear, and a reason in plain words.

Exit codes: 0 done, 1 failed, 2 call not understood, 3 input cannot be used,
4 a check lies outside its published band, 130 stopped.`,
		Example: `  bloomgap demo
  bloomgap init my-spring && bloomgap plan my-spring
  bloomgap hive --lat 45.3 --lon -72.9 --date 2027-03-20 --boxes "1 deep" --heft light --seams 5`,
		SilenceErrors:     true,
		SilenceUsage:      true,
		CompletionOptions: cobra.CompletionOptions{HiddenDefaultCmd: true},
	}
	cmd.SetUsageTemplate(strings.ReplaceAll(cmd.UsageTemplate(), "FlagUsages", fmt.Sprintf("FlagUsagesWrapped %d", pageWidth)))
	cmd.SetFlagErrorFunc(badFlag)
	cmd.AddCommand(
		newDemoCmd(c), newPlanCmd(c), newHiveCmd(c), newServeCmd(c), newInitCmd(c), newMergeCmd(c), newCheckCmd(c),
		newWeatherCmd(c), newClimatesCmd(c), newBloomCmd(c), newParametersCmd(c), newHindcastCmd(c), newSensitivityCmd(c),
	)
	return cmd
}
