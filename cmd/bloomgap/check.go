package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"bloomgap/forage/read"
	"bloomgap/forage/scales"
	"bloomgap/forage/weather"
	"bloomgap/plots/terminal"
	"bloomgap/sim/check"
	"bloomgap/sim/check/hives"
	"bloomgap/sim/colony"
)

// referenceVariable names the folder of reference records; without it the check
// runs on the built-in climates and says so.
const referenceVariable = "BLOOMGAP_REFERENCE"

type checkOptions struct {
	csv     bool
	full    bool
	members int
	seed    uint64
}

func newCheckCmd(c *console) *cobra.Command {
	std := check.DefaultOptions()
	var o checkOptions
	cmd := &cobra.Command{
		Use:   "check",
		Short: "Show what the model says beside what was published",
		Long: `Check runs the model where it was measured and prints its answer beside the
published value and band, line by line, with one set of parameters for all. It
ends with exit code 4 when a line lies outside its band.

The weather of the places comes from the folder that ` + referenceVariable + ` names, where
it holds their records, and from the built-in climates otherwise; each line says
which.`,
		Example: "  bloomgap check\n  bloomgap check --why",
		Args:    exactly(0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			opt := check.Options{Members: o.members, Seed: o.seed}
			if err := opt.Validate(); err != nil {
				return usageError{err}
			}
			return runCheck(cmd.Context(), c, &o)
		},
	}
	f := cmd.Flags()
	f.BoolVar(&o.csv, "csv", false, "print as CSV, with sources and reasons")
	f.BoolVar(&o.full, "why", false, "print sources, assumptions and reasons below each line")
	f.IntVar(&o.members, "members", std.Members, "springs that each line is run through, each with figures of its own")
	f.Uint64Var(&o.seed, "seed", std.Seed, "random seed: same seed, same answer")
	return cmd
}

func runCheck(ctx context.Context, c *console, o *checkOptions) error {
	opt := check.DefaultOptions()
	opt.Members, opt.Seed = o.members, o.seed
	folder := c.getenv(referenceVariable)
	rows, err := stoppable(ctx, func() ([]check.Row, error) { return checkRows(ctx, folder, opt) })
	if err != nil {
		return err
	}
	if o.csv {
		if err := writeCheckCSV(c, rows); err != nil {
			return err
		}
	} else {
		var p terminal.Page
		p.Check(rows, o.full)
		if err := p.Flush(c.out); err != nil {
			return err
		}
	}
	if n := check.Outside(rows); n > 0 {
		return outsideError{fmt.Errorf("%d of %d lines lie outside their published bands", n, len(rows))}
	}
	return nil
}

// checkRows are all rows, with the records that a folder holds.
func checkRows(ctx context.Context, folder string, opt check.Options) ([]check.Row, error) {
	records, ps := referenceRecords(folder)
	weighed, more := referenceHives(folder)
	if err := append(ps, more...).Err(); err != nil {
		return nil, err
	}
	rows, err := check.Rows(ctx, records, colony.DefaultParams(), opt)
	if err != nil {
		return nil, err
	}
	ofHives, err := hives.Rows(ctx, weighed, colony.DefaultParams(), opt.Seed)
	return append(rows, ofHives...), err
}

// stoppableRead is stoppable for what is read of files, with what is wrong in them.
func stoppableRead[T any](ctx context.Context, work func() (T, read.Problems)) (T, read.Problems, error) {
	type found struct {
		made T
		ps   read.Problems
	}
	f, err := stoppable(ctx, func() (found, error) {
		made, ps := work()
		return found{made, ps}, nil
	})
	return f.made, f.ps, err
}

// stoppable gives what work makes, or the end of the context as soon as it comes.
// The work, which must touch nothing outside, is then left behind.
func stoppable[T any](ctx context.Context, work func() (T, error)) (T, error) {
	type outcome struct {
		made T
		err  error
	}
	ended := make(chan outcome, 1)
	go func() {
		var o outcome
		o.made, o.err = work()
		ended <- o
	}()
	select {
	case o := <-ended:
		return o.made, o.err
	case <-ctx.Done():
		var none T
		return none, ctx.Err()
	}
}

// referenceRecords reads the records of the check's places that a folder holds.
func referenceRecords(dir string) (check.Records, read.Problems) {
	records := check.Records{}
	var ps read.Problems
	if dir == "" {
		return records, ps
	}
	for _, s := range check.Wanted() {
		path := filepath.Join(dir, "weather", s.File)
		if _, err := os.Stat(path); err != nil {
			continue
		}
		rec, problems := weather.ReadFiles([]string{path})
		ps = append(ps, problems.Fatal()...)
		if rec != nil {
			records[s.Key], _ = weather.Fill(rec, nil, weather.DefaultFillOptions())
		}
	}
	return records, ps
}

// referenceHives reads the weighed hives and their weather that a folder holds.
func referenceHives(dir string) ([]hives.Hive, read.Problems) {
	var out []hives.Hive
	var ps read.Problems
	if dir == "" {
		return nil, nil
	}
	for _, s := range hives.Wanted() {
		f, err := os.Open(filepath.Join(dir, "hives", s.File))
		if err != nil {
			continue
		}
		series := scales.Read(s.File, f, &ps)
		f.Close()
		rec, problems := weather.ReadFiles([]string{filepath.Join(dir, "weather", s.Weather)})
		ps = append(ps, problems.Fatal()...)
		if len(series) > 0 && rec != nil {
			rec, _ = weather.Fill(rec, nil, weather.DefaultFillOptions())
			out = append(out, hives.Hive{Site: s, Weighings: series[0].Weighings, Record: rec})
		}
	}
	return out, ps
}

func writeCheckCSV(c *console, rows []check.Row) error {
	out := [][]any{asCells(check.Header())}
	for _, r := range check.Table(rows) {
		out = append(out, asCells(r))
	}
	return read.WriteCSV(c.out, out)
}

func asCells(row []string) []any {
	cells := make([]any, len(row))
	for i, text := range row {
		cells[i] = text
	}
	return cells
}
