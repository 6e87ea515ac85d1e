package web

import (
	"context"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"runtime"
	"sync/atomic"
	"time"
)

const (
	mostQueryBytes = 4 << 10          // of a question, own choice: all fields filled take under 1 KB
	mostWaiting    = 16               // questions that wait for a core, own choice
	workTimeout    = 20 * time.Second // for one answer, own choice: one takes well under a second
)

// guard lets through only what comes from a page of this server, opened in a
// browser on this machine: a page from elsewhere could otherwise make the
// browser ask here, and a foreign name that points here could read the answer.
type guard struct {
	hosts map[string]bool // as in a Host header
	next  http.Handler
}

func newGuard(addr string, next http.Handler) *guard {
	host, port, _ := net.SplitHostPort(addr)
	g := &guard{hosts: map[string]bool{}, next: next}
	for _, h := range []string{host, "localhost", "127.0.0.1"} {
		g.hosts[net.JoinHostPort(h, port)] = true
		if port == "80" {
			g.hosts[h] = true
		}
	}
	return g
}

func (g *guard) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set(
		"Content-Security-Policy",
		"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
	)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
	switch {
	case !g.hosts[r.Host]:
		refuse(w, http.StatusForbidden, "This page answers under its own address only. Open the address that bloomgap serve printed.")
	case r.Header.Get("Origin") != "" && !g.ownOrigin(r.Header.Get("Origin")):
		refuse(w, http.StatusForbidden, "Other pages may not ask here.")
	case !ownSite(r.Header.Get("Sec-Fetch-Site")):
		refuse(w, http.StatusForbidden, "Other pages may not ask here. To open a link, paste it into the address line.")
	case r.Method != http.MethodGet && r.Method != http.MethodHead:
		h.Set("Allow", "GET, HEAD")
		refuse(w, http.StatusMethodNotAllowed, "This page is only read: ask with GET.")
	case r.ContentLength != 0:
		refuse(w, http.StatusRequestEntityTooLarge, "A question is asked in the address; nothing may come behind it.")
	case len(r.URL.RawQuery) > mostQueryBytes:
		refuse(w, http.StatusRequestURITooLong, "The question is too long.")
	default:
		g.next.ServeHTTP(w, r)
	}
}

func (g *guard) ownOrigin(origin string) bool {
	const scheme = "http://"
	return len(origin) > len(scheme) && origin[:len(scheme)] == scheme && g.hosts[origin[len(scheme):]]
}

// ownSite tells whether a browser asks from one of these pages, or because its
// user typed the address. Programs that are no browsers say nothing.
func ownSite(site string) bool { return site == "" || site == "same-origin" || site == "none" }

func refuse(w http.ResponseWriter, code int, words string) {
	http.Error(w, words, code)
}

// quiet keeps the server's own log off the terminal; what matters is said in
// answers.
func quiet() *log.Logger { return log.New(io.Discard, "", 0) }

// errBusy tells that too many questions wait already.
var errBusy = errors.New("too many questions at once; try again in a moment")

// desk hands out cores to work: one each, and a short queue.
type desk struct {
	slots   chan struct{}
	waiting atomic.Int64
}

func newDesk() *desk { return &desk{slots: make(chan struct{}, runtime.GOMAXPROCS(0))} }

// work runs do when a core is free. It gives up with the context.
func (d *desk) work(ctx context.Context, do func() error) error {
	if d.waiting.Add(1) > int64(mostWaiting+cap(d.slots)) {
		d.waiting.Add(-1)
		return errBusy
	}
	defer d.waiting.Add(-1)
	select {
	case d.slots <- struct{}{}:
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { <-d.slots }()
	if err := ctx.Err(); err != nil {
		return err
	}
	return do()
}
