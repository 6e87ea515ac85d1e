package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"bloomgap/forage/read"
)

// Exit codes, as documented in the README.
const (
	exitOK          = 0
	exitFailed      = 1 // something went wrong that is not the input's fault
	exitUsage       = 2 // the words of the call
	exitInput       = 3 // a file or figure that cannot be used
	exitOutside     = 4 // a check lies outside its published band
	exitInterrupted = 130
)

// console is all that a command sees of the world outside: nothing else in the
// program reads the clock, the environment or the standard streams.
type console struct {
	in             io.Reader
	out, errs      io.Writer
	outIsTerminal  bool
	errsIsTerminal bool
	getenv         func(string) string
	now            func() time.Time
}

// usageError is a call whose words are off.
type usageError struct{ error }

// outsideError tells that a check lies outside its published band.
type outsideError struct{ error }

// run carries out one call and gives its exit code. Errors are printed here and
// nowhere else.
func run(ctx context.Context, args []string, c *console) (code int) {
	defer func() {
		if fault := recover(); fault != nil {
			fmt.Fprintf(c.errs, "bloomgap: a fault of the program, not of your input: %v\nPlease report it with the call and the files that led to it.\n", fault)
			code = exitFailed
		}
	}()
	printed := &watched{w: c.out}
	own := *c
	own.out = printed
	root := newRootCmd(&own)
	root.SetArgs(args)
	root.SetIn(c.in)
	root.SetOut(printed)
	root.SetErr(c.errs)
	cmd, err := root.ExecuteContextC(ctx)
	if printed.err != nil && (err == nil || errors.Is(err, printed.err)) {
		err = fmt.Errorf("what was to be printed is cut short: %w; print it elsewhere", printed.err)
	}
	if err == nil || errors.Is(err, syscall.EPIPE) { // a reader that has enough is no failure
		return exitOK
	}
	var input read.InputError
	var usage usageError
	var outside outsideError
	switch {
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(c.errs, "bloomgap: stopped; nothing was half written")
		return exitInterrupted
	case errors.As(err, &input):
		fmt.Fprintln(c.errs, err)
		return exitInput
	case errors.As(err, &outside):
		fmt.Fprintln(c.errs, "bloomgap:", err)
		return exitOutside
	case errors.As(err, &usage) || strings.HasPrefix(err.Error(), "unknown command"):
		fmt.Fprintln(c.errs, "bloomgap:", err)
		fmt.Fprintf(c.errs, "See %s --help.\n", cmd.CommandPath())
		return exitUsage
	}
	fmt.Fprintln(c.errs, "bloomgap:", err)
	return exitFailed
}

// watched keeps the first error of what is printed, for those who print without
// looking.
type watched struct {
	w   io.Writer
	err error
}

func (w *watched) Write(b []byte) (int, error) {
	n, err := w.w.Write(b)
	if w.err == nil {
		w.err = err
	}
	return n, err
}

// today is the calendar day of the clock, at midnight UTC.
func (c *console) today() time.Time {
	y, m, d := c.now().Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// warn prints warnings to the error stream.
func (c *console) warn(ps read.Problems) {
	for _, p := range ps.Warnings() {
		fmt.Fprintln(c.errs, p)
	}
}

// warnBesidePlan is warn for what the plan says as well: on a terminal it would
// stand there twice, and to a file the plan goes unseen.
func (c *console) warnBesidePlan(ps read.Problems) {
	if !c.outIsTerminal {
		c.warn(ps)
	}
}

// progress shows on a terminal how far long work has come; elsewhere it is
// silent. Several goroutines may tell their steps. done must be called at the
// end.
func (c *console) progress(what string) (step func(done, all int), done func()) {
	if !c.errsIsTerminal {
		return nil, func() {}
	}
	var lock sync.Mutex
	var bar *progressbar.ProgressBar // made when it is known how long it is
	most := 0
	return func(n, all int) {
			lock.Lock()
			defer lock.Unlock()
			if bar == nil {
				bar = progressbar.NewOptions(all,
					progressbar.OptionSetWriter(c.errs),
					progressbar.OptionSetDescription(what),
					progressbar.OptionShowCount(),
					progressbar.OptionClearOnFinish(),
					progressbar.OptionThrottle(100*time.Millisecond))
			}
			most = max(most, n) // steps may be told out of turn
			_ = bar.Set(most)
		}, func() {
			lock.Lock()
			defer lock.Unlock()
			if bar != nil {
				_ = bar.Finish()
			}
		}
}

// exactly wants so many arguments, none of them empty.
func exactly(n int) cobra.PositionalArgs { return between(n, n) }

// atLeast wants so many arguments or more, none of them empty.
func atLeast(n int) cobra.PositionalArgs { return between(n, math.MaxInt) }

// between wants at least and at most so many arguments.
func between(least, most int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		what := ""
		switch {
		case len(args) < least && len(args) == 0:
			what = "something is missing"
		case len(args) < least:
			what = fmt.Sprintf("something is missing after %q", args[len(args)-1])
		case len(args) > most:
			what = fmt.Sprintf("%q is one too many", args[most])
			if f := cmd.Flags().Lookup("supplement"); f != nil {
				what += "; a yes or no is written behind an equals sign, such as --supplement=false"
			}
		case slices.Contains(args, ""):
			what = "a name is empty"
		default:
			return nil
		}
		return usageError{fmt.Errorf("%s; write %s", what, cmd.UseLine())}
	}
}

// badFlag puts an error of the reading of flags in plain words.
func badFlag(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var value *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown) && unknown.GetSpecifiedShortnames() == "":
		var known []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
		if near := read.Nearest(unknown.GetSpecifiedName(), known); near != "" {
			return usageError{fmt.Errorf("%w; did you mean --%s?", err, near)}
		}
	case errors.As(err, &value):
		f := value.GetFlag()
		wanted := map[string]string{"int": "a whole number", "uint64": "a whole number, 0 or more", "float64": "a number", "bool": "true or false"}[f.Value.Type()]
		if wanted != "" {
			return usageError{fmt.Errorf("--%s %q is not %s", f.Name, value.GetValue(), wanted)}
		}
	}
	return usageError{err}
}
