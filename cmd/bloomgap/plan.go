package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"bloomgap/feed"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
	"bloomgap/plots/files"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
)

// planOptions are the flags that all commands with a plan share.
type planOptions struct {
	json    bool
	out     string
	seed    uint64
	units   string
	members int
	workers int
	why     bool
	sums    string
	report  string
	pdf     string
	charts  string
	format  string // of the charts
	force   bool
	yards   []string
	since   string // an earlier plan
	asOf    string // the day it is made for, of a folder
	confirm confirmFlag
	set     func(name string) bool // whether a flag was given

	asks askFlags // what is asked beside the plan
}

// forceHelp explains the flag --force of all commands that write files.
const forceHelp = "replace files that bloomgap did not write, or that were changed since"

func (o *planOptions) register(f *pflag.FlagSet) {
	f.BoolVar(&o.json, "json", false, "print the plan as JSON, in metric units")
	f.StringVar(&o.out, "out", "", "folder to write the plan to as CSV, XLSX, JSON and iCalendar")
	f.StringVar(&o.report, "report", "", "HTML file to write the plan to as one page that needs no network")
	f.StringVar(&o.pdf, "pdf", "", "PDF file to write the yard sheets to, for printing")
	f.StringVar(&o.charts, "charts", "", "folder to draw all charts into")
	f.StringVar(&o.format, "chart-format", "svg", "format of the charts: svg, png or pdf")
	f.Uint64Var(&o.seed, "seed", 1, "random seed: same seed, same answer")
	f.StringVar(&o.units, "units", "", "metric or us: units of the answer (default: as the settings say)")
	f.IntVar(&o.members, "members", 0, "simulated springs of each colony (default: springs times draws of the settings)")
	f.IntVar(&o.workers, "workers", 0, "colonies worked on at once; 0: as many as the machine has cores. The answer stays the same")
	f.BoolVar(&o.why, "why", false, "print all behind the short answer: reasons, feedings by date, cautions and limits")
	f.Int("reasons", 0, "of the first versions: see --why")
	_ = f.MarkHidden("reasons") // an error only for a flag that is not there
	f.BoolVar(&o.force, "force", false, forceHelp)
	f.StringArrayVar(&o.yards, "yard", nil, "plan and print this yard only; may be given several times")
	f.StringVar(&o.sums, "sums", "", "file to write the sums of the order to, for merge")
	o.confirm.register(f)
	o.set = f.Changed
}

func (o *planOptions) validate() error {
	if err := checkUnits(o.units); err != nil {
		return err
	}
	switch o.format {
	case "svg", "png", "pdf":
	default:
		return usageError{fmt.Errorf("--chart-format %q is not known; write svg, png or pdf", o.format)}
	}
	if o.set("members") && o.members < 1 {
		return usageError{fmt.Errorf("--members %d is not possible; leave it out, or write 50 or more", o.members)}
	}
	for _, f := range []struct{ flag, path string }{{"out", o.out}, {"charts", o.charts}, {"sums", o.sums}, {"report", o.report}, {"pdf", o.pdf}} {
		if o.set(f.flag) && f.path == "" {
			return usageError{fmt.Errorf("--%s is empty; name a place to write to, or leave it out", f.flag)}
		}
	}
	if err := o.checkStreams(); err != nil {
		return err
	}
	for _, path := range []string{o.sums, o.report, o.pdf} {
		if path == standardOutput {
			continue
		}
		made := filepath.Dir(path) == filepath.Clean(o.out) || filepath.Dir(path) == filepath.Clean(o.charts)
		if path == "" || made && (o.out != "" || o.charts != "") { // a folder that the run makes itself
			continue
		}
		if err := read.CheckFile(path); err != nil {
			return err
		}
	}
	return nil
}

// streams are the outputs that go to standard output.
func (o *planOptions) streams() int {
	n := 0
	for _, path := range []string{o.sums, o.report, o.pdf} {
		if path == standardOutput {
			n++
		}
	}
	return n
}

// checkStreams tells what of the calls for standard output cannot be.
func (o *planOptions) checkStreams() error {
	switch n := o.streams(); {
	case o.out == standardOutput || o.charts == standardOutput:
		return usageError{errors.New("--out and --charts write many files and cannot be -; name a folder")}
	case n > 1:
		return usageError{errors.New("only one of --report, --pdf and --sums can be -")}
	case n == 1 && o.json:
		return usageError{errors.New("--json prints the plan, so that nothing else can go to standard output; name a file in place of -")}
	}
	return nil
}

// apply lets flags override a season's settings.
func (o *planOptions) apply(s *season.Settings) {
	if o.set("seed") {
		s.Seed = o.seed
	}
	if o.units != "" {
		s.SetUnits(o.units == "us")
	}
}

func newPlanCmd(c *console) *cobra.Command {
	var o planOptions
	cmd := &cobra.Command{
		Use:   "plan FOLDER",
		Short: "Plan the feeding of all colonies of a season folder",
		Long: `Plan reads a season folder (settings.toml and the tables yards, colonies,
tallies and equipment as .csv or .xlsx), runs every colony through the simulated
springs of its yard and prints whom to feed, by when, how much of what and in
what feeder, with the order for all yards. One of --report, --pdf and --sums may
be -, for standard output in place of the printed plan.`,
		Example: "  bloomgap plan my-spring\n  bloomgap plan my-spring --units us --out plan-files\n  bloomgap plan my-spring --report plan.html --pdf sheets.pdf\n  bloomgap plan my-spring --since plan-files/plan.json --out plan-files",
		Args:    exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.validate(); err != nil {
				return err
			}
			if err := o.asks.read(); err != nil {
				return err
			}
			confirmed, err := o.confirm.codes()
			if err != nil {
				return err
			}
			asked := season.Asked{Confirmed: confirmed}
			today := c.today()
			if asked.Day, err = c.dayNamed(o.asOf); err != nil {
				return err
			}
			s, ps, err := stoppableRead(cmd.Context(), func() (*season.Season, read.Problems) { return season.LoadAsked(args[0], today, asked) })
			if err != nil {
				return err
			}
			if err := ps.Err(); err != nil {
				return err
			}
			c.warnBesidePlan(ps)
			return runPlan(cmd.Context(), c, s, &o)
		},
	}
	o.register(cmd.Flags())
	cmd.Flags().StringVar(&o.asOf, "today", "", "day the plan is made for, such as 2027-03-25, or now; the day of the settings is left aside")
	o.asks.register(cmd.Flags())
	cmd.Flags().StringArrayVar(&o.asks.colonies, "colony", nil, "colony that --ask is about; may be given several times")
	cmd.Flags().StringVar(&o.since, "since", "", "JSON of an earlier plan of this season: say what changed since, and why")
	return cmd
}

// runPlan plans a season, writes its files and prints it.
func runPlan(ctx context.Context, c *console, s *season.Season, o *planOptions) error {
	pl, err := planAndWrite(ctx, c, s, o)
	if err != nil {
		return err
	}
	return o.print(c, pl)
}

// planAndWrite plans a season and writes the files asked for.
func planAndWrite(ctx context.Context, c *console, s *season.Season, o *planOptions) (*plan.Plan, error) {
	if err := o.asks.price(s); err != nil {
		return nil, err
	}
	out := o.outputs(s)
	if err := o.check(out); err != nil {
		return nil, err
	}
	before, err := o.earlier(c, s)
	if err != nil {
		return nil, err
	}
	pl, planner, err := makePlan(ctx, c, s, o)
	if err != nil {
		return nil, err
	}
	o.compare(before, pl)
	if pl.Asked, err = stoppable(ctx, func() ([]plan.Asked, error) { return o.asks.of(ctx, planner, pl) }); err != nil {
		return nil, err
	}
	return pl, o.files(ctx, c, out, planner, pl)
}

// makePlan turns a season into a plan.
func makePlan(ctx context.Context, c *console, s *season.Season, o *planOptions) (*plan.Plan, *feed.Planner, error) {
	o.apply(&s.Settings)
	if o.set("reasons") {
		fmt.Fprintln(c.errs, "note: --reasons is of the first versions; reasons are printed with --why")
		o.why = true
	}
	if len(o.yards) > 0 {
		if err := s.Keep(o.yards); err != nil {
			return nil, nil, usageError{fmt.Errorf("--yard: %w", err)}
		}
	}
	worlds, ps, err := stoppableRead(ctx, func() (map[string]visits.Weather, read.Problems) { return visits.Worlds(s, readWeather) })
	if err != nil {
		return nil, nil, err
	}
	if s.Dir == "" {
		ps = season.InFlags(ps)
	}
	if err := ps.Err(); err != nil {
		return nil, nil, err
	}
	c.warnBesidePlan(ps)
	opt := feed.DefaultOptions(s.Settings)
	if o.members > 0 {
		opt.Members = o.members
	}
	opt.Workers, opt.Version = o.workers, thisBuild().version
	opt.NoPrices = !o.json && o.out == "" // only the JSON tells them
	step, done := c.progress("planning colonies")
	opt.Progress = step
	if len(s.Colonies) >= manyFrom {
		defer c.gatherAt(manyGC)()
	}
	planner, err := stoppable(ctx, func() (*feed.Planner, error) { return feed.NewPlanner(s, worlds, opt) })
	if ctx.Err() != nil {
		return nil, nil, ctx.Err()
	}
	if err != nil {
		return nil, nil, usageError{err}
	}
	pl, err := stoppable(ctx, func() (*plan.Plan, error) { return planner.Run(ctx) })
	done()
	var unusable read.InputError
	if s.Dir == "" && errors.As(err, &unusable) {
		return nil, nil, season.InFlags(unusable.Problems).Err()
	}
	if err != nil {
		return nil, nil, err
	}
	return pl, planner, nil
}

func readWeather(paths []string, place string) (*weather.Record, read.Problems) {
	opt := weather.DefaultOptions()
	opt.Location = place
	return opt.ReadFiles(paths)
}

// print prints the plan.
func (o *planOptions) print(c *console, pl *plan.Plan) error {
	if o.streams() > 0 {
		return nil
	}
	if o.json {
		return files.WriteJSON(c.out, pl)
	}
	screen := terminal.DefaultScreen()
	screen.Words, screen.Colour, screen.Why = unitsOf(pl), c.outIsTerminal && c.getenv("NO_COLOR") == "", o.why
	if len(pl.Asked) > 0 {
		return terminal.WriteAsked(c.out, pl, screen)
	}
	return terminal.Write(c.out, pl, screen)
}

// unitsOf are the units of the reader of a plan.
func unitsOf(pl *plan.Plan) words.Style {
	return words.Style{US: pl.Season.Settings.UnitsUS}
}
