package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"

	"bloomgap/forage/table"
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
	root := newRootCmd(c)
	root.SetArgs(args)
	root.SetIn(c.in)
	root.SetOut(c.out)
	root.SetErr(c.errs)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return exitOK
	}
	var input table.InputError
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
		fmt.Fprintln(c.errs, "See bloomgap --help.")
		return exitUsage
	}
	fmt.Fprintln(c.errs, "bloomgap:", err)
	return exitFailed
}

// today is the calendar day of the clock, at midnight UTC.
func (c *console) today() time.Time {
	y, m, d := c.now().Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// warn prints warnings to the error stream.
func (c *console) warn(ps table.Problems) {
	for _, p := range ps.Warnings() {
		fmt.Fprintln(c.errs, p)
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

// exactly is cobra.ExactArgs with a usage error.
func exactly(n int) cobra.PositionalArgs { return asUsage(cobra.ExactArgs(n)) }

// atLeast is cobra.MinimumNArgs with a usage error.
func atLeast(n int) cobra.PositionalArgs { return asUsage(cobra.MinimumNArgs(n)) }

func asUsage(check cobra.PositionalArgs) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if err := check(cmd, args); err != nil {
			return usageError{fmt.Errorf("%s: %w", cmd.CommandPath(), err)}
		}
		return nil
	}
}
