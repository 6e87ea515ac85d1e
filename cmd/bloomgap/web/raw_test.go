package web

import (
	"bufio"
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// FuzzRawRequest sends whatever bytes as a request: none gets past the guard but
// a plain question to this page, and none brings the page down.
func FuzzRawRequest(f *testing.F) {
	h, err := newHandler(Options{Addr: testAddr, Today: testDay, Errs: io.Discard, Read: readWeather})
	if err != nil {
		f.Fatal(err)
	}
	for _, seed := range []string{
		"GET / HTTP/1.1\r\nHost: 127.0.0.1:8087\r\n\r\n",
		"GET /answer?lat=95&boxes=1+dip HTTP/1.1\r\nHost: 127.0.0.1:8087\r\n\r\n",
		"POST / HTTP/1.1\r\nHost: 127.0.0.1:8087\r\nContent-Length: 3\r\n\r\na=b",
		"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\n\r\n",
		"GET /page.css HTTP/1.0\r\n\r\n",
		"GET /%2e%2e/%00 HTTP/1.1\r\nHost: localhost:8087\r\nOrigin: null\r\n\r\n",
		"OPTIONS * HTTP/1.1\r\nHost: 127.0.0.1:8087\r\n\r\n",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		r, err := http.ReadRequest(bufio.NewReader(bytes.NewReader(raw)))
		if err != nil {
			return // the server refuses it itself
		}
		if strings.Contains(r.URL.RawQuery, "lat=") && strings.HasPrefix(r.URL.Path, "/") {
			r.URL.RawQuery = "lat=95&" + r.URL.RawQuery // one of two latitudes is bad: no answer is worked out
		}
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		switch {
		case w.Code >= 500:
			t.Fatalf("%d: %s", w.Code, w.Body)
		case w.Code == http.StatusOK && r.Host != testAddr && r.Host != "localhost:8087":
			t.Fatalf("an answer for %q", r.Host)
		case w.Code == http.StatusOK && r.Method != http.MethodGet && r.Method != http.MethodHead:
			t.Fatalf("an answer to %s", r.Method)
		}
	})
}
