package main

import (
	"context"
	"html"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/cmd/bloomgap/web"
	"bloomgap/feed/season"
)

const testAddr = "127.0.0.1:8087"

// question is one that gets an answer.
const goodQuestion = "lat=45.3&lon=-72.9&date=2027-03-20&boxes=1+deep&heft=light&seams=5"

func newTestHandler(t testing.TB, o *web.Folder) http.Handler {
	t.Helper()
	h, err := web.New(pageOptions(testAddr, o))
	require.NoError(t, err)
	return h
}

// pageOptions are those of the command, with a clock that stands still.
func pageOptions(addr string, o *web.Folder) web.Options {
	c := testConsole(io.Discard, io.Discard)
	return web.Options{Addr: addr, Today: c.today, Errs: c.errs, Read: readWeather, Folder: o}
}

// get asks the handler as a browser on this machine does.
func get(h http.Handler, target string, change ...func(*http.Request)) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodGet, target, nil)
	r.Host = testAddr
	for _, f := range change {
		f(r)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

var commandOf = regexp.MustCompile(`<code id="command">(.*?)</code>`)

// shown is the text of an answer without its marks.
func shown(body string) string {
	body = regexp.MustCompile(`(?s)<svg.*?</svg>`).ReplaceAllString(body, "")
	body = regexp.MustCompile(`<[^>]*>`).ReplaceAllString(body, " ")
	return strings.Join(strings.Fields(html.UnescapeString(body)), " ")
}

func TestSameAnswerAsTheCommand(t *testing.T) {
	h := newTestHandler(t, nil)
	for _, c := range []struct{ name, question string }{
		{"hefted", goodQuestion},
		{"weighed", "lat=46.9&lon=7.4&date=2027-02-20&boxes=1+deep&gross=21.5&seams=6&brood-frames=1"},
		{"US units", "lat=45.3&lon=-72.9&date=2027-03-20&boxes=1+deep&gross=47&seams=5&count-temp=40&units=us"},
		{"a weight with its unit", "lat=45.3&lon=-72.9&date=2027-03-20&boxes=1+deep&gross=21+kg&seams=5&units=us"},
		{"a climate alone", "climate=Bern,+Switzerland&date=2027-03-01&boxes=2+deep&lift-back=12&seams=7"},
		{"frames, wrapped, no supplement", "lat=45.3&date=2027-03-20&boxes=1+deep+%2B+1+medium&food-frames-deep=2&food-frames-medium=1&seams=6&wrapped=yes&supplement=no"},
		{"supplement asked for once", "lat=45.3&date=2027-03-20&heft=fair&seams=6&supplement=no&supplement=yes"},
		{"bloom known, another seed", "lat=45.3&date=2027-03-20&heft=fair&seams=6&bloom-date=2027-04-25&seed=42"},
		{"bees wanted, next visit", "lat=45.3&date=2027-03-20&heft=light&seams=6&bees-wanted=2027-05-10&next-visit=2027-03-25&days-between=7&name=B7"},
		{"a quote in the name", "lat=45.3&date=2027-03-20&heft=light&seams=6&name=O%27Brien"},
		{"nothing known but the place", "lat=45.3&date=2027-03-20"},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := get(h, "/answer?"+c.question)
			require.Equal(t, 200, w.Code)
			m := commandOf.FindStringSubmatch(w.Body.String())
			require.NotNil(t, m, w.Body.String())
			words, err := splitWords(html.UnescapeString(m[1]))
			require.NoError(t, err)
			code, out, errs := call(t, words[1:]...)
			require.Equal(t, exitOK, code, errs)
			text := shown(w.Body.String())
			require.Contains(t, text, "Risk of starving before nectar")
			// Everything that the command says stands on the page, but for the
			// table of fills and headings.
			joined := strings.Join(strings.Fields(out), " ")
			joined, _, _ = strings.Cut(joined, "Usual cautions")
			for _, sentence := range regexp.MustCompile(`(?:^|[.-] )([A-Z][^─]*?\.)(?: |$)`).FindAllStringSubmatch(joined, -1) {
				if strings.Contains(sentence[1], " - ") || strings.Contains(sentence[1], "Visit ") {
					continue // across two items or into the table
				}
				require.Contains(t, text, sentence[1])
			}
			// And the whole page says what the fragment says.
			page := get(h, "/?"+c.question)
			require.Contains(t, page.Body.String(), strings.TrimSpace(w.Body.String()))
		})
	}
}

func TestProblemsBesideFields(t *testing.T) {
	h := newTestHandler(t, nil)
	flags := []string{"hive", "--lat=95", "--boxes=1 dip", "--gross=-4", "--count-temp=41 kg", "--seams=5"}
	code, _, errs := call(t, flags...)
	require.Equal(t, exitInput, code)
	body := get(h, "/?lat=95&boxes=1+dip&gross=-4&count-temp=41+kg&seams=5").Body.String()
	require.NotContains(t, body, `id="link"`, "there is no answer")
	found := 0
	for line := range strings.Lines(errs) {
		flag, words, ok := strings.Cut(strings.TrimSpace(line), ": ")
		if !ok || strings.Contains(line, "warning:") {
			continue
		}
		found++
		field := strings.TrimPrefix(flag, "--")
		p := regexp.MustCompile(`<p class="problem" id="f-` + field + `-p">(.*?)</p>`).FindStringSubmatch(body)
		require.NotNil(t, p, flag)
		require.Equal(t, sentenceOf(words), html.UnescapeString(p[1]), "the words of the command")
		require.Regexp(t, `id="f-`+field+`"[^>]*aria-invalid="true"`, body)
	}
	require.Equal(t, 4, found, errs)
}

func TestProgressOnATerminal(t *testing.T) {
	var out, errs lockedBuffer
	c := testConsole(&out, &errs)
	c.errsIsTerminal = true
	folder := t.TempDir()
	code := run(t.Context(), []string{"demo", "--report", filepath.Join(folder, "plan.html"), "--charts", folder}, c)
	require.Equal(t, exitOK, code)
	for _, what := range []string{"planning colonies", "running colonies day by day", "drawing charts"} {
		require.Contains(t, errs.String(), what)
	}
}

// lockedBuffer is written by one goroutine and read by another.
type lockedBuffer struct {
	lock sync.Mutex
	b    strings.Builder
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.lock.Lock()
	defer l.lock.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.lock.Lock()
	defer l.lock.Unlock()
	return l.b.String()
}

func TestServeStartsAndStops(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "spring")
	require.NoError(t, season.WriteStarter(folder, testDay()))
	var out, errs lockedBuffer
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"serve", folder, "--listen", "localhost:0"}, testConsole(&out, &errs))
	}()
	address := regexp.MustCompile(`http://127\.0\.0\.1:[0-9]+/`)
	require.Eventually(t, func() bool { return address.MatchString(out.String()) }, time.Minute, 10*time.Millisecond)
	at := address.FindString(out.String())
	for _, path := range []string{"", "plan", "plan/1", "page.js", "page.css", "answer?" + goodQuestion} {
		r, err := http.Get(at + path)
		require.NoError(t, err)
		b, err := io.ReadAll(r.Body)
		require.NoError(t, err)
		require.NoError(t, r.Body.Close())
		require.Equal(t, 200, r.StatusCode, path)
		require.NotEmpty(t, b)
	}
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, at, nil)
	require.NoError(t, err)
	r.Header.Set("X-Much", strings.Repeat("x", 64<<10))
	answer, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	require.NoError(t, answer.Body.Close())
	require.Equal(t, http.StatusRequestHeaderFieldsTooLarge, answer.StatusCode)

	code, _, busy := call(t, "serve", "--listen", strings.TrimSuffix(strings.TrimPrefix(at, "http://"), "/"))
	require.Equal(t, exitFailed, code)
	require.Contains(t, busy, "--listen 127.0.0.1:0")

	stop()
	select {
	case code := <-ended:
		require.Equal(t, exitOK, code, errs.String())
	case <-time.After(time.Minute):
		t.Fatal("the page does not stop")
	}
	require.Contains(t, errs.String(), "the page is stopped")
	_, err = http.Get(at)
	require.ErrorContains(t, err, "refused")
}

// sentenceOf begins with a capital and ends in a full stop, as on the page.
func sentenceOf(s string) string { return strings.ToUpper(s[:1]) + s[1:] + "." }
