package web

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestSilentConnectionsBlockNobody opens far more connections than there are
// places, that say nothing, half a question, or drip a header, and asks beside
// them.
func TestSilentConnectionsBlockNobody(t *testing.T) {
	t.Parallel()
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	addr := ln.Addr().String()
	h, err := New(Options{Addr: addr, Today: testDay, Errs: io.Discard, Read: readWeather})
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- Serve(ctx, ln, h) }()
	for i := range 3 * mostConnections {
		conn, err := net.Dial("tcp", addr)
		require.NoError(t, err)
		defer conn.Close()
		switch i % 3 {
		case 1:
			_, err = fmt.Fprint(conn, "GET / HTTP/1.1\r\nHost: ")
		case 2:
			_, err = fmt.Fprint(conn, "G")
		}
		if err != nil {
			require.ErrorContains(t, err, "", "a place that was given to another")
		}
	}
	client := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	begin := time.Now()
	for range 5 {
		answer, err := client.Get("http://" + addr + "/page.css")
		require.NoError(t, err)
		_, err = io.Copy(io.Discard, answer.Body)
		require.NoError(t, err)
		require.NoError(t, answer.Body.Close())
		require.Equal(t, http.StatusOK, answer.StatusCode)
	}
	require.Less(t, time.Since(begin), headerTimeout, "nobody waits for the silent ones to be given up")
	stop()
	require.NoError(t, <-ended)
}

func TestCrowdKeepsThoseWhoAsk(t *testing.T) {
	t.Parallel()
	c := newCrowd(nil, 2)
	conn := func() net.Conn {
		a, b := net.Pipe()
		t.Cleanup(func() { _, _ = a.Close(), b.Close() })
		return a
	}
	first, second, third, fourth := conn(), conn(), conn(), conn()
	require.True(t, c.enter(first))
	require.True(t, c.enter(second))
	c.asking(first, 1)
	require.True(t, c.enter(third), "the silent one goes")
	_, err := second.Write([]byte("x"))
	require.ErrorIs(t, err, io.ErrClosedPipe)
	c.asking(third, 1)
	require.False(t, c.enter(fourth), "all places are at work")
	c.asking(first, -1)
	require.True(t, c.enter(fourth), "the first has had its answer")
	c.left(third, http.StateClosed)
	require.Len(t, c.open, 1)
}
