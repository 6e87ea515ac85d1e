// Command bloomgap plans the spring feeding of bee colonies. It reads files,
// wires the rooms of the house together and prints; it does no arithmetic of
// its own.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"

	"golang.org/x/term"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	signal.Ignore(syscall.SIGPIPE) // a reader that has enough: writing then fails, and run ends quietly
	c := console{
		in: os.Stdin, out: os.Stdout, errs: os.Stderr,
		outIsTerminal:  term.IsTerminal(int(os.Stdout.Fd())),
		errsIsTerminal: term.IsTerminal(int(os.Stderr.Fd())),
		getenv:         os.Getenv,
		now:            time.Now,
	}
	os.Exit(run(ctx, os.Args[1:], &c))
}
