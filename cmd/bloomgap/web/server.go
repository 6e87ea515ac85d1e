package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"strings"
	"time"

	"bloomgap/feed"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
)

// Bounds of the local page; own choice for one reader on the same machine.
const (
	mostConnections = 64
	mostHeaderBytes = 16 << 10
	headerTimeout   = 2 * time.Second
	readTimeout     = 10 * time.Second
	writeTimeout    = 60 * time.Second
	idleTimeout     = 2 * time.Minute
	stopTimeout     = 3 * time.Second // for answers under way when the page is stopped
)

// Options are what the page needs of the world outside.
type Options struct {
	Addr   string             // host and port that it answers under
	Today  func() time.Time   // the day of the clock
	Errs   io.Writer          // faults of the program are told here
	Read   visits.ReadWeather // reads the records that the opened folder names
	Folder *Folder            // nil without a season folder
}

// Folder is a season folder that the page can look through.
type Folder struct {
	Season  *season.Season
	Planner *feed.Planner
	Plan    *plan.Plan
}

// yard finds a yard of the folder; nil without one.
func (o *Folder) yard(name string) *season.Yard {
	if o == nil || strings.TrimSpace(name) == "" {
		return nil
	}
	return o.Season.Yard(name)
}

// Loopback checks that an address cannot be reached from other machines, and
// puts it in one form. Its errors name the flag --listen.
func Loopback(listen string) (string, error) {
	host, port, err := net.SplitHostPort(listen)
	if err != nil {
		return "", fmt.Errorf("--listen %q is not an address; write it as 127.0.0.1:8087", listen)
	}
	if n, err := strconv.Atoi(port); err != nil || n < 0 || n > 65535 {
		return "", fmt.Errorf("--listen %q has no port from 0 to 65535; write it as 127.0.0.1:8087", listen)
	}
	if host == "localhost" {
		host = "127.0.0.1"
	}
	if ip := net.ParseIP(host); ip == nil || !ip.IsLoopback() {
		return "", fmt.Errorf("--listen %q could be reached from other machines; the page is for this one only: write 127.0.0.1:%s", listen, port)
	}
	return net.JoinHostPort(host, port), nil
}

// Serve answers on a listener until the context ends; it closes the listener.
// Answers under way are given three seconds to end then.
func Serve(ctx context.Context, ln net.Listener, h http.Handler) error {
	work, stopWork := context.WithCancel(context.WithoutCancel(ctx))
	defer stopWork()
	guests := newCrowd(ln, mostConnections)
	srv := &http.Server{
		Handler:           guests.watch(h),
		ConnState:         guests.left,
		ConnContext:       withConn,
		MaxHeaderBytes:    mostHeaderBytes,
		ReadHeaderTimeout: headerTimeout,
		ReadTimeout:       readTimeout,
		WriteTimeout:      writeTimeout,
		IdleTimeout:       idleTimeout,
		ErrorLog:          quiet(),
		BaseContext:       func(net.Listener) context.Context { return work },
	}
	ended := make(chan error, 1)
	go func() { ended <- srv.Serve(guests) }()
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
	return nil
}
