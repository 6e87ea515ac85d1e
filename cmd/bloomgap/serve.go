package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/net/netutil"

	"bloomgap/feed"
	"bloomgap/feed/season"
)

// Bounds of the local page; own choice for one reader on the same machine.
const (
	mostConnections = 64
	mostHeaderBytes = 16 << 10
	headerTimeout   = 5 * time.Second
	readTimeout     = 10 * time.Second
	writeTimeout    = 60 * time.Second
	idleTimeout     = 2 * time.Minute
	stopTimeout     = 3 * time.Second // for answers under way when the page is stopped
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
			addr, err := loopback(listen)
			if err != nil {
				return err
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

// loopback checks that an address cannot be reached from other machines.
func loopback(listen string) (string, error) {
	host, port, err := net.SplitHostPort(listen)
	if err != nil {
		return "", usageError{fmt.Errorf("--listen %q is not an address; write it as 127.0.0.1:8087", listen)}
	}
	if n, err := strconv.Atoi(port); err != nil || n < 0 || n > 65535 {
		return "", usageError{fmt.Errorf("--listen %q has no port from 0 to 65535; write it as 127.0.0.1:8087", listen)}
	}
	if host == "localhost" {
		host = "127.0.0.1"
	}
	if ip := net.ParseIP(host); ip == nil || !ip.IsLoopback() {
		return "", usageError{fmt.Errorf("--listen %q could be reached from other machines; the page is for this one only: write 127.0.0.1:%s", listen, port)}
	}
	return net.JoinHostPort(host, port), nil
}

// serve answers until the context ends.
func serve(ctx context.Context, c *console, addr, folder string) error {
	var o *opened
	if folder != "" {
		var err error
		if o, err = openFolder(ctx, c, folder); err != nil {
			return err
		}
	}
	var lc net.ListenConfig
	ln, err := lc.Listen(ctx, "tcp", addr)
	if err != nil {
		return fmt.Errorf("cannot listen on %s: %w; try --listen 127.0.0.1:0 for a port that is free", addr, err)
	}
	own := ln.Addr().String()
	h, err := newHandler(c, own, o)
	if err != nil {
		return err
	}
	work, stopWork := context.WithCancel(context.WithoutCancel(ctx))
	defer stopWork()
	srv := &http.Server{
		Handler:           h,
		MaxHeaderBytes:    mostHeaderBytes,
		ReadHeaderTimeout: headerTimeout,
		ReadTimeout:       readTimeout,
		WriteTimeout:      writeTimeout,
		IdleTimeout:       idleTimeout,
		ErrorLog:          quiet(),
		BaseContext:       func(net.Listener) context.Context { return work },
	}
	fmt.Fprintf(c.out, "The page is at http://%s/ - for this machine only. Stop it with Ctrl-C.\n", own)
	ended := make(chan error, 1)
	go func() { ended <- srv.Serve(netutil.LimitListener(ln, mostConnections)) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	grace, cancel := context.WithTimeout(work, stopTimeout)
	defer cancel()
	if err := srv.Shutdown(grace); err != nil {
		stopWork()
		_ = srv.Close() // what is still under way is given up
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	fmt.Fprintln(c.errs, "bloomgap: the page is stopped")
	return nil
}

// opened is a season folder that the page can look through.
type opened struct {
	season  *season.Season
	planner *feed.Planner
	plan    *feed.Plan
}

func openFolder(ctx context.Context, c *console, folder string) (*opened, error) {
	s, ps := season.Load(folder, c.today())
	if err := ps.Err(); err != nil {
		return nil, err
	}
	c.warn(ps)
	o := planOptions{set: func(string) bool { return false }}
	plan, planner, err := makePlan(ctx, c, s, &o)
	if err != nil {
		return nil, err
	}
	return &opened{season: s, planner: planner, plan: plan}, nil
}

// yard finds a yard of the folder; nil without one.
func (o *opened) yard(name string) *season.Yard {
	if o == nil || strings.TrimSpace(name) == "" {
		return nil
	}
	return o.season.Yard(name)
}
