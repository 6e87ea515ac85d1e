package web

import (
	"context"
	"net"
	"net/http"
	"sync"
)

// crowd bounds the connections that are open at once. A newcomer is never kept
// waiting by those that say nothing: when all places are taken, the connection
// that has been silent for longest is closed for it. Silent is one that no
// question is worked on for: it has asked nothing yet, or not to the end, or has
// had its answer.
type crowd struct {
	net.Listener
	most int

	mu    sync.Mutex
	open  map[net.Conn]*guest
	turns uint64
}

type guest struct {
	asking int    // questions that are worked on
	turn   uint64 // when it last fell silent or began to ask, as a number that grows
}

func newCrowd(ln net.Listener, most int) *crowd {
	return &crowd{Listener: ln, most: most, open: map[net.Conn]*guest{}}
}

// Accept waits for the next connection and makes room for it. One that finds all
// places taken by questions being worked on is closed at once.
func (c *crowd) Accept() (net.Conn, error) {
	for {
		conn, err := c.Listener.Accept()
		if err != nil {
			return nil, err
		}
		if c.enter(conn) {
			return conn, nil
		}
		_ = conn.Close() // it may ask again
	}
}

func (c *crowd) enter(conn net.Conn) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.open) >= c.most {
		var oldest net.Conn
		for other, g := range c.open {
			if g.asking == 0 && (oldest == nil || g.turn < c.open[oldest].turn) {
				oldest = other
			}
		}
		if oldest == nil {
			return false
		}
		delete(c.open, oldest)
		_ = oldest.Close() // it said nothing
	}
	c.open[conn] = &guest{turn: c.next()}
	return true
}

// next numbers the moments at which connections fall silent.
func (c *crowd) next() uint64 {
	c.turns++
	return c.turns
}

// left forgets a connection that is closed.
func (c *crowd) left(conn net.Conn, state http.ConnState) {
	if state == http.StateClosed || state == http.StateHijacked {
		c.mu.Lock()
		delete(c.open, conn)
		c.mu.Unlock()
	}
}

// connKey is where a request's context holds its connection.
type connKey struct{}

func withConn(ctx context.Context, conn net.Conn) context.Context {
	return context.WithValue(ctx, connKey{}, conn)
}

// watch tells the crowd which connections have a question worked on.
func (c *crowd) watch(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		conn, _ := r.Context().Value(connKey{}).(net.Conn)
		c.asking(conn, 1)
		defer c.asking(conn, -1)
		next.ServeHTTP(w, r)
	})
}

func (c *crowd) asking(conn net.Conn, n int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if g := c.open[conn]; g != nil {
		g.asking += n
		g.turn = c.next()
	}
}
