package main

import (
	"context"
	"fmt"
	"net"

	"github.com/spf13/cobra"

	"bloomgap/cmd/bloomgap/web"
	"bloomgap/feed/season"
	"bloomgap/forage/read"
)

func newServeCmd(c *console) *cobra.Command {
	var listen string
	cmd := &cobra.Command{
		Use:   "serve [FOLDER]",
		Short: "Answer in a browser on this machine: does this hive need food?",
		Long: `Serve opens a page on this machine for the question that comes by phone: does
this hive need food? The answer changes while figures are typed. With a season
folder its plan can be looked through, and its yards can be asked about with
their own weather. The page is for this machine only and stops with Ctrl-C.`,
		Example: "  bloomgap serve\n  bloomgap serve my-spring --listen 127.0.0.1:0",
		Args:    between(0, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			addr, err := web.Loopback(listen)
			if err != nil {
				return usageError{err}
			}
			folder := ""
			if len(args) > 0 {
				folder = args[0]
			}
			return serve(cmd.Context(), c, addr, folder)
		},
	}
	cmd.Flags().StringVar(&listen, "listen", "127.0.0.1:8087", "address on this machine; port 0 takes any that is free")
	return cmd
}

// serve answers until the context ends.
func serve(ctx context.Context, c *console, addr, folder string) error {
	opt := web.Options{Today: c.today, Errs: c.errs, Read: readWeather}
	if folder != "" {
		var err error
		if opt.Folder, err = openFolder(ctx, c, folder); err != nil {
			return err
		}
	}
	var lc net.ListenConfig
	ln, err := lc.Listen(ctx, "tcp", addr)
	if err != nil {
		return fmt.Errorf("cannot listen on %s: %w; try --listen 127.0.0.1:0 for a port that is free", addr, err)
	}
	opt.Addr = ln.Addr().String()
	page, err := web.New(opt)
	if err != nil {
		return err
	}
	if folder == "" {
		defer c.gatherAt(servedGC)()
	}
	fmt.Fprintf(c.out, "The page is at http://%s/ - for this machine only. Stop it with Ctrl-C.\n", opt.Addr)
	if err := web.Serve(ctx, ln, page); err != nil {
		return err
	}
	fmt.Fprintln(c.errs, "bloomgap: the page is stopped")
	return nil
}

func openFolder(ctx context.Context, c *console, folder string) (*web.Folder, error) {
	today := c.today()
	s, ps, err := stoppableRead(ctx, func() (*season.Season, read.Problems) { return season.Load(folder, today) })
	if err != nil {
		return nil, err
	}
	if err := ps.Err(); err != nil {
		return nil, err
	}
	c.warn(ps)
	o := planOptions{set: func(string) bool { return false }}
	plan, planner, err := makePlan(ctx, c, s, &o)
	if err != nil {
		return nil, err
	}
	return &web.Folder{Season: s, Planner: planner, Plan: plan}, nil
}
