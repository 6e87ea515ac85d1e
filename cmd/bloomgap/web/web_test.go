package web

import (
	"context"
	"errors"
	"fmt"
	"html"
	"html/template"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
	"bloomgap/plots/words"
)

const testAddr = "127.0.0.1:8087"

// goodQuestion is one that gets an answer.
const goodQuestion = "lat=45.3&lon=-72.9&date=2027-03-20&boxes=1+deep&heft=light&seams=5"

// testDay is the day of the clock in all tests of the page.
func testDay() time.Time { return time.Date(2027, time.March, 20, 0, 0, 0, 0, time.UTC) }

func readWeather(paths []string, place string) (*weather.Record, read.Problems) {
	opt := weather.DefaultOptions()
	opt.Location = place
	return opt.ReadFiles(paths)
}

// openSeason plans a season as an opened folder.
func openSeason(t testing.TB, s *season.Season) *Folder {
	t.Helper()
	worlds, ps := visits.Worlds(s, readWeather)
	require.NoError(t, ps.Err())
	planner, err := feed.NewPlanner(s, worlds, feed.DefaultOptions(s.Settings))
	require.NoError(t, err)
	pl, err := planner.Run(t.Context())
	require.NoError(t, err)
	return &Folder{Season: s, Planner: planner, Plan: pl}
}

func newTestHandler(t testing.TB, o *Folder) *handler {
	t.Helper()
	h, err := newHandler(Options{Addr: testAddr, Today: testDay, Errs: io.Discard, Read: readWeather, Folder: o})
	require.NoError(t, err)
	return h
}

// get asks the handler as a browser on this machine does.
func get(h *handler, target string, change ...func(*http.Request)) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodGet, target, nil)
	r.Host = testAddr
	for _, f := range change {
		f(r)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func TestLoopback(t *testing.T) {
	for _, c := range []struct {
		name, listen, want string
		bad                string
	}{
		{name: "usual", listen: "127.0.0.1:8087", want: "127.0.0.1:8087"},
		{name: "any port", listen: "127.0.0.1:0", want: "127.0.0.1:0"},
		{name: "by name", listen: "localhost:80", want: "127.0.0.1:80"},
		{name: "other loopback", listen: "127.1.2.3:80", want: "127.1.2.3:80"},
		{name: "v6", listen: "[::1]:80", want: "[::1]:80"},
		{name: "all interfaces", listen: ":8087", bad: "other machines"},
		{name: "all interfaces, spelt out", listen: "0.0.0.0:8087", bad: "other machines"},
		{name: "all v6", listen: "[::]:8087", bad: "other machines"},
		{name: "a network address", listen: "192.168.1.4:8087", bad: "other machines"},
		{name: "a name", listen: "example.org:8087", bad: "other machines"},
		{name: "a name that begins well", listen: "localhost.example.org:8087", bad: "other machines"},
		{name: "no port", listen: "127.0.0.1", bad: "write it as"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Loopback(c.listen)
			if c.bad != "" {
				require.ErrorContains(t, err, c.bad)
				return
			}
			require.NoError(t, err)
			require.Equal(t, c.want, got)
		})
	}
}

func TestGuard(t *testing.T) {
	h := newTestHandler(t, nil)
	head := func(name, value string) func(*http.Request) {
		return func(r *http.Request) { r.Header.Set(name, value) }
	}
	host := func(name string) func(*http.Request) { return func(r *http.Request) { r.Host = name } }
	for _, c := range []struct {
		name   string
		change func(*http.Request)
		want   int
	}{
		{"as it is", func(*http.Request) {}, 200},
		{"by name", host("localhost:8087"), 200},
		{"a foreign name that points here", host("evil.example:8087"), 403},
		{"another port", host("127.0.0.1:8088"), 403},
		{"no port", host("127.0.0.1"), 403},
		{"no host", host(""), 403},
		{"own origin", head("Origin", "http://127.0.0.1:8087"), 200},
		{"other origin", head("Origin", "http://evil.example"), 403},
		{"origin null", head("Origin", "null"), 403},
		{"origin with the right host over another scheme", head("Origin", "https://127.0.0.1:8087"), 403},
		{"origin that begins well", head("Origin", "http://127.0.0.1:8087.evil.example"), 403},
		{"typed address", head("Sec-Fetch-Site", "none"), 200},
		{"own page", head("Sec-Fetch-Site", "same-origin"), 200},
		{"other page", head("Sec-Fetch-Site", "cross-site"), 403},
		{"other port of this machine", head("Sec-Fetch-Site", "same-site"), 403},
		{"post", func(r *http.Request) { r.Method = http.MethodPost }, 405},
		{"a body", func(r *http.Request) { r.ContentLength, r.Body = 5, io.NopCloser(strings.NewReader("hello")) }, 413},
		{"a body of no said length", func(r *http.Request) { r.ContentLength, r.Body = -1, io.NopCloser(strings.NewReader("hello")) }, 413},
		{"long question", func(r *http.Request) { r.URL.RawQuery = "name=" + strings.Repeat("x", 5000) }, 414},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := get(h, "/", c.change)
			require.Equal(t, c.want, w.Code, w.Body.String())
			require.Contains(t, w.Header().Get("Content-Security-Policy"), "default-src 'none'")
			require.Equal(t, "nosniff", w.Header().Get("X-Content-Type-Options"))
			require.Equal(t, "no-store", w.Header().Get("Cache-Control"))
			require.Empty(t, w.Header().Get("Access-Control-Allow-Origin"))
			if c.want != 200 {
				require.NotContains(t, w.Body.String(), "<form")
			}
		})
	}
	require.Equal(t, 404, get(h, "/nothing").Code)
	require.Equal(t, 404, get(h, "/page/ask.html").Code)
	require.Equal(t, 404, get(h, "/plan").Code, "no folder is open")
}

func TestOddQuestions(t *testing.T) {
	h := newTestHandler(t, openSeason(t, season.Demo()))
	for _, c := range []struct{ name, question, want string }{
		{"nothing asked", "", "Say where the hive stands"},
		{"no place", "heft=light", "Where the hive stands is not known"},
		{"a day that is none", "lat=45&date=soon", "soon"},
		{"today is no day", "lat=45&today=soon", `Today &#34;soon&#34; is not a day; write it as 2027-03-20.`},
		{"a seed that is none", "lat=45&seed=-1", "is not a seed"},
		{"a seed with something behind", "lat=45&seed=1x", "is not a seed"},
		{"an unknown climate", "climate=Atlantis", "There is no built-in climate &#34;Atlantis&#34;"},
		{"an unknown yard", "at=Elsewhere&heft=light", "The opened folder has no yard &#34;Elsewhere&#34;"},
		{"too long", "lat=45&name=" + strings.Repeat("n", 81), "This is too long"},
		{"bees wanted after the days looked at", "lat=45&bees-wanted=2027-11-01", "Bees are wanted on 2027-11-01"},
		{"marks", "lat=45&boxes=%3Cscript%3Ealert(1)%3C/script%3E", "&lt;script&gt;"},
		{"a field it has not", "lat=45&%3Cb%3E=1", "no field &#34;&lt;b&gt;&#34;"},
		{"after the days that are looked at", "lat=45&date=2027-07-14&today=2027-07-15&next-visit=2027-09-01", "is no day to plan spring feed"},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, path := range []string{"/", "/answer"} {
				w := get(h, path+"?"+c.question)
				require.Equal(t, 200, w.Code)
				require.Contains(t, w.Body.String(), c.want)
				require.NotContains(t, w.Body.String(), "<script>")
				require.NotContains(t, w.Body.String(), "ZgotmplZ", "nothing had to be cut out by the templates")
			}
		})
	}
}

// No field of the page names a file.
func TestPageOpensNoFiles(t *testing.T) {
	file := filepath.Join(t.TempDir(), "weather.csv")
	require.NoError(t, os.WriteFile(file, []byte("date,tmin,tmax\n"), 0o600))
	h := newTestHandler(t, nil)
	plain := get(h, "/answer?"+goodQuestion).Body.String()
	for _, name := range []string{"weather", "forecast", "monthly-means-c", "out", "report", "charts", "folder"} {
		body := get(h, "/answer?"+goodQuestion+"&"+name+"="+url.QueryEscape(file)).Body.String()
		require.Contains(t, body, fmt.Sprintf("The page has no field &#34;%s&#34;", name))
		require.NotContains(t, body, file)
		before, _, _ := strings.Cut(body, "<h3>What was put in</h3>")
		require.True(t, strings.HasPrefix(plain, strings.TrimRight(before, "\n")), "the answer is the same without it: "+name)
	}
}

func TestLinkHoldsTheQuestion(t *testing.T) {
	h := newTestHandler(t, openSeason(t, season.Demo()))
	link := regexp.MustCompile(`id="link" href="([^"]*)"`)
	for _, question := range []string{goodQuestion, "at=Alder+Bottom&gross=21&seams=5&bloom-date=2027-05-01", goodQuestion + "&units=us&supplement=no&wrapped=yes"} {
		first := get(h, "/?"+question).Body.String()
		m := link.FindStringSubmatch(first)
		require.NotNil(t, m, question)
		at := html.UnescapeString(m[1])
		require.Contains(t, at, "today=2027-03-20", "the day is held as well")
		second := get(h, at, func(r *http.Request) {}).Body.String()
		_, a, _ := strings.Cut(first, `<section id="answer"`)
		_, b, _ := strings.Cut(second, `<section id="answer"`)
		require.Equal(t, a, b)
	}
}

// A change of units leaves what was typed as it was.
func TestUnitsChange(t *testing.T) {
	h := newTestHandler(t, nil)
	us := get(h, "/?lat=45.3&date=2027-03-20&gross=21&count-temp=4&seams=5&units=us&was=metric").Body.String()
	require.Contains(t, us, `value="21 kg"`)
	require.Contains(t, us, `value="4 C"`)
	require.Contains(t, us, `value="5"`, "seams have no unit")
	require.Contains(t, us, "Weight of the whole hive, lb")
	metric := get(h, "/?lat=45.3&date=2027-03-20&gross=21&count-temp=4&seams=5").Body.String()
	risk := regexp.MustCompile(`data-short="[^"]*"`)
	require.NotEmpty(t, risk.FindString(us))
	require.Equal(t, risk.FindString(metric), risk.FindString(us))
	same := get(h, "/?lat=45.3&date=2027-03-20&gross=47&units=us&was=us").Body.String()
	require.Contains(t, same, `value="47"`)
}

func TestColoniesOfTheFolder(t *testing.T) {
	o := openSeason(t, season.Demo())
	h := newTestHandler(t, o)
	pl := get(h, "/plan")
	require.Equal(t, 200, pl.Code)
	require.Contains(t, pl.Body.String(), `href="/plan/1"`)
	require.Contains(t, pl.Body.String(), `<a href="/">Ask about one hive</a>`)
	again := regexp.MustCompile(`id="again" href="([^"]*)"`)
	headline := regexp.MustCompile(`<p class="headline">(.*?)</p>`)
	same := 0
	for i := range o.Plan.Colonies {
		if testing.Short() && i%6 != 0 {
			continue
		}
		c := &o.Plan.Colonies[i]
		w := get(h, fmt.Sprintf("/plan/%d", i+1))
		require.Equal(t, 200, w.Code)
		body := w.Body.String()
		require.Contains(t, body, html.EscapeString(c.Colony+", "+c.Yard))
		m := again.FindStringSubmatch(body)
		if m == nil {
			require.Equal(t, "dead", c.Verdict.String(), "only the dead are not asked about")
			continue
		}
		require.Contains(t, body, "<svg")
		if i%6 != 0 { // one in six is asked about, to be quick
			continue
		}
		asked := get(h, html.UnescapeString(m[1])).Body.String()
		require.Equal(t, headline.FindString(body), headline.FindString(asked), "%s of %s asked about gets the answer of the plan", c.Colony, c.Yard)
		same++
	}
	require.Greater(t, same, 3)
	for _, place := range []string{"0", "37", "-1", "x", "1e1", "9999999999999999999999"} {
		require.Equal(t, 404, get(h, "/plan/"+place).Code, place)
	}
	require.Equal(t, 404, get(h, "/plan/1/2").Code)

	first := colonyOf(o, &o.Plan.Colonies[0])
	require.NotContains(t, get(h, "/plan/1").Body.String(), "last look only")
	first.Observations = append([]season.Observation{first.Observations[0]}, first.Observations...)
	require.NotContains(t, get(h, "/plan/1").Body.String(), "last look only", "the page as it was sent")
	require.Contains(t, get(newTestHandler(t, o), "/plan/1").Body.String(), "takes its last look only, the plan all 2")
}

// Names from a folder are text and nothing else.
func TestNamesAreEscaped(t *testing.T) {
	const evil = `<img src=x onerror=alert(1)>"'`
	s := season.Demo()
	old := s.Yards[0].Name
	s.Yards[0].Name = evil
	for i := range s.Colonies {
		if s.Colonies[i].Yard == old {
			s.Colonies[i].Yard = evil
			s.Colonies[i].Name = evil + s.Colonies[i].Name
		}
	}
	for i := range s.Equipment {
		if s.Equipment[i].Yard == old {
			s.Equipment[i].Yard = evil
		}
	}
	o := openSeason(t, s)
	pl := o.Plan
	h := newTestHandler(t, o)
	paths := []string{"/", "/plan", "/?at=" + url.QueryEscape(evil) + "&heft=light&name=" + url.QueryEscape(evil)}
	for i, c := range pl.Colonies {
		if c.Yard == evil {
			paths = append(paths, fmt.Sprintf("/plan/%d", i+1))
		}
	}
	require.Greater(t, len(paths), 4)
	for _, path := range paths {
		w := get(h, path)
		require.Equal(t, 200, w.Code)
		require.NotContains(t, w.Body.String(), "<img", path)
		require.Contains(t, w.Body.String(), "&lt;img", path)
	}
}

func TestDesk(t *testing.T) {
	d := newDesk()
	for range cap(d.slots) {
		d.slots <- struct{}{}
	}
	// All cores are busy: questions wait, and one that its asker gives up goes.
	ctx, cancel := context.WithCancel(t.Context())
	var left sync.WaitGroup
	results := make(chan error, mostWaiting+cap(d.slots))
	for range mostWaiting + cap(d.slots) {
		left.Go(func() {
			results <- d.work(ctx, func() error { return errors.New("it ran") })
		})
	}
	require.Eventually(t, func() bool { return d.waiting.Load() == int64(mostWaiting+cap(d.slots)) }, 10*time.Second, time.Millisecond)
	require.ErrorIs(t, d.work(t.Context(), func() error { return nil }), errBusy)
	cancel()
	left.Wait()
	close(results)
	for err := range results {
		require.ErrorIs(t, err, context.Canceled, "what was given up is not run")
	}
	require.Zero(t, d.waiting.Load())
	<-d.slots
	require.NoError(t, d.work(t.Context(), func() error { return nil }))
}

// inner is the handler behind the guard.
func inner(t *testing.T, o *Folder) *handler {
	t.Helper()
	return &handler{today: testDay, errs: io.Discard, opened: o, desk: newDesk(), read: onceRead(readWeather)}
}

func TestBusy(t *testing.T) {
	h := inner(t, nil)
	for range cap(h.desk.slots) {
		h.desk.slots <- struct{}{}
	}
	h.desk.waiting.Store(int64(mostWaiting + cap(h.desk.slots)))
	w := httptest.NewRecorder()
	h.fragment(w, httptest.NewRequest(http.MethodGet, "/answer?"+goodQuestion, nil))
	require.Equal(t, 503, w.Code)
	require.Equal(t, "1", w.Header().Get("Retry-After"))
	require.Equal(t, "Too many questions at once; try again in a moment.\n", w.Body.String())
}

func TestGivenUp(t *testing.T) {
	h := inner(t, nil)
	q, err := url.ParseQuery(goodQuestion)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = h.answer(ctx, readAsk(q, nil))
	require.ErrorIs(t, err, context.Canceled, "the planner stops when the browser goes away")
	w := httptest.NewRecorder()
	h.fragment(w, httptest.NewRequest(http.MethodGet, "/answer?"+goodQuestion, nil).WithContext(ctx))
	require.Empty(t, w.Body.String(), "nobody is there to be told")
	late, stop := context.WithTimeout(t.Context(), 0)
	defer stop()
	w = httptest.NewRecorder()
	h.fragment(w, httptest.NewRequest(http.MethodGet, "/answer?"+goodQuestion, nil).WithContext(late))
	require.Equal(t, 503, w.Code)
	require.Contains(t, w.Body.String(), "took too long")
}

// A question whose browser goes away leaves the queue without being worked out.
func TestBrowserGoesAway(t *testing.T) {
	h := newTestHandler(t, nil)
	srv := httptest.NewServer(h)
	t.Cleanup(srv.Close)
	desk := h.desk
	h.all = newGuard(srv.Listener.Addr().String(), h.all.(*guard).next)
	for range cap(desk.slots) {
		desk.slots <- struct{}{}
	}
	ctx, leave := context.WithCancel(t.Context())
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, srv.URL+"/answer?"+goodQuestion, nil)
	require.NoError(t, err)
	gone := make(chan error, 1)
	go func() {
		answer, err := srv.Client().Do(r)
		if err == nil {
			_ = answer.Body.Close()
		}
		gone <- err
	}()
	require.Eventually(t, func() bool { return desk.waiting.Load() == 1 }, time.Minute, time.Millisecond)
	leave()
	require.ErrorIs(t, <-gone, context.Canceled)
	require.Eventually(t, func() bool { return desk.waiting.Load() == 0 }, time.Minute, time.Millisecond)
	require.Len(t, desk.slots, cap(desk.slots), "no core was taken for it")
}

func TestFaultIsCaught(t *testing.T) {
	var errs strings.Builder
	h := &handler{today: testDay, errs: &errs}
	w := httptest.NewRecorder()
	h.catch(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { panic("a secret") })).ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/", nil))
	require.Equal(t, 500, w.Code)
	require.NotContains(t, w.Body.String(), "secret")
	require.Contains(t, errs.String(), "a secret")
}

// Many at once, the same question and others, get each the answer that it gets
// alone.
func TestManyAtOnce(t *testing.T) {
	h := newTestHandler(t, openSeason(t, season.Demo()))
	paths := []string{"/answer?" + goodQuestion, "/answer?at=Alder+Bottom&gross=21&seams=5", "/plan/1", "/plan/2", "/answer?lat=95"}
	alone := make([]string, len(paths))
	for i, p := range paths {
		alone[i] = get(h, p).Body.String()
	}
	var all sync.WaitGroup
	for range 3 {
		for i, p := range paths {
			all.Go(func() {
				if got := get(h, p).Body.String(); got != alone[i] {
					t.Errorf("%s: another answer when many ask", p)
				}
			})
		}
	}
	all.Wait()
}

// The settings of a folder cannot make one question endless.
func TestWorkIsBounded(t *testing.T) {
	o := openSeason(t, season.Demo())
	o.Season.Settings.Springs, o.Season.Settings.Draws = 500, 1000
	h := inner(t, o)
	q, err := url.ParseQuery("at=" + url.QueryEscape(o.Season.Yards[0].Name) + "&heft=light&seams=5")
	require.NoError(t, err)
	a, err := h.answer(t.Context(), readAsk(q, o))
	require.NoError(t, err)
	m := regexp.MustCompile(`: ([0-9]+) simulated springs`).FindStringSubmatch(a.Foot)
	require.NotNil(t, m, a.Foot)
	var n int
	_, err = fmt.Sscan(m[1], &n)
	require.NoError(t, err)
	require.LessOrEqual(t, n, mostAskMembers*mostAskFactor)
	require.Equal(t, runtime.GOMAXPROCS(0), cap(h.desk.slots), "one for each core")
}

func FuzzAsk(f *testing.F) {
	f.Add(goodQuestion)
	f.Add("lat=95&boxes=1+dip&gross=-4&was=us&units=metric")
	f.Add("climate=bern&seed=18446744073709551615&today=2027-13-01&bloom-date=1-1-1")
	f.Add("=&&%00=%ff;lat=NaN&lon=inf&elev=1e9999")
	f.Add("at=yard&supplement=&name=\"'<>\\")
	f.Fuzz(func(t *testing.T, query string) {
		q, err := url.ParseQuery(query)
		if err != nil {
			return
		}
		a := readAsk(q, nil)
		s := a.season(testDay(), nil)
		if (s == nil) != a.bad {
			t.Fatalf("season %v, bad %v", s != nil, a.bad)
		}
		if s != nil {
			again, err := url.ParseQuery(strings.TrimPrefix(string(a.link()), "/?"))
			if err != nil {
				t.Fatal(err)
			}
			b := readAsk(again, nil)
			if b.season(testDay(), nil) == nil {
				t.Fatalf("the link of a good question is bad: %s", a.link())
			}
			if a.link() != b.link() {
				t.Fatalf("%s became %s", a.link(), b.link())
			}
		}
	})
}

func BenchmarkAnswer(b *testing.B) {
	h := newTestHandler(b, nil)
	for seed := 1; b.Loop(); seed++ { // a new question each time
		if w := get(h, fmt.Sprint("/answer?", goodQuestion, "&seed=", seed)); w.Code != 200 {
			b.Fatal(w.Body.String())
		}
	}
}

// TestTheWeatherIsSaidOnce: where the springs come from stands once under the verdict, and where there
// is no record once among the warnings.
func TestTheWeatherIsSaidOnce(t *testing.T) {
	body := get(newTestHandler(t, nil), "/answer?"+goodQuestion).Body.String()
	require.Equal(t, 1, strings.Count(body, "Weather: "))
	require.Equal(t, 1, strings.Count(body, "No weather record"))
}

// TestFurtherQuestions: every question stands under the answer as a link that answers it, a
// hive is planned once for all of them, and a word that is none is passed over.
func TestFurtherQuestions(t *testing.T) {
	h := newTestHandler(t, nil)
	question := "/?climate=Farnham%2C+Quebec&boxes=1+deep&heft=light&seams=5&supplement=no"
	page := get(h, question).Body.String()
	require.NotContains(t, page, `class="said"`)
	require.NotContains(t, page, "ask=worth", "nothing of money without prices")
	question += "&price-colony=200&price-sugar=1.2"
	page = get(h, question).Body.String()
	for _, q := range plan.Questions() {
		if q == plan.AskWinter {
			require.NotContains(t, page, "ask=winter", "it is March")
			continue
		}
		require.Contains(t, page, "ask="+q.String()+"#asked")
		asked := get(h, question+"&ask="+q.String())
		require.Equal(t, 200, asked.Code)
		require.Contains(t, asked.Body.String(), `<section class="said" aria-label="`+template.HTMLEscapeString(words.QuestionTitle(q)))
		require.NotContains(t, asked.Body.String(), "The page has no field")
	}
	require.Len(t, h.hives.all, 2, "with and without prices")
	require.NotContains(t, get(h, question+"&ask=queen").Body.String(), `class="said"`)
	for seed := range 2 * mostKept {
		get(h, fmt.Sprintf("%s&seed=%d", question, seed+2))
	}
	require.Len(t, h.hives.all, mostKept)
}
