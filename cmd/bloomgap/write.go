package main

import (
	"context"
	"fmt"
	"io"

	"bloomgap/cmd/bloomgap/outputs"
	"bloomgap/feed/season"
	"bloomgap/forage/read"
)

// outputs begins the files of a run that reads a season.
func (o *planOptions) outputs(s *season.Season) *outputs.Set {
	return outputs.New(weatherFilesOf(s), s.Dir, o.force)
}

// weatherFilesOf are the records and forecasts that the yards of a season name.
func weatherFilesOf(s *season.Season) []string {
	var out []string
	for _, y := range s.Yards {
		out = append(append(out, y.WeatherFiles...), y.ForecastFile)
	}
	return out
}

// beginFiles begins the files of a run that reads the inputs, and looks whether
// those wanted can be written; "" stands for none.
func beginFiles(inputs []string, force bool, wanted ...string) (*outputs.Set, error) {
	out := outputs.New(inputs, "", force)
	for _, path := range wanted {
		if path == "" {
			continue
		}
		if err := read.CheckFile(path); err != nil {
			return nil, err
		}
		if err := out.Check(path); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// writeAndSay writes a file and says so; standard output is just written to.
func writeAndSay(ctx context.Context, c *console, out *outputs.Set, path string, write func(io.Writer) error) error {
	if path == standardOutput {
		return write(c.out)
	}
	if err := out.WriteFile(ctx, path, write); err != nil {
		return err
	}
	fmt.Fprintf(c.errs, "wrote %s\n", path)
	return nil
}

// check looks, before long work, whether all that is asked for can be written.
func (o *planOptions) check(out *outputs.Set) error {
	for _, dir := range []string{o.out, o.charts} {
		if dir == "" {
			continue
		}
		if err := out.CheckFolder(dir); err != nil {
			return err
		}
	}
	for _, path := range []string{o.sums, o.report, o.pdf} {
		if path == "" || path == standardOutput {
			continue
		}
		if err := out.Check(path); err != nil {
			return err
		}
	}
	return nil
}
