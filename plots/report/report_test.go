package report_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io"
	"maps"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
	"pgregory.net/rapid"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/plots/plantest"
	"bloomgap/plots/report"
	"bloomgap/plots/words"
)

func write(t require.TestingT, p *plan.Plan, details []plan.Detail, charts bool) string {
	opt := report.DefaultOptions()
	if charts {
		opt.Charts = report.DrawCharts(false)
	}
	var b bytes.Buffer
	require.NoError(t, report.Write(&b, p, details, opt))
	return b.String()
}

// many is the plan with colonies repeated up to n.
func many(n int) *plan.Plan {
	p := plantest.Plan()
	own := p.Colonies
	p.Colonies = nil
	for i := range n {
		c := own[i%len(own)]
		c.Colony = fmt.Sprintf("%s-%d", c.Colony, i)
		p.Colonies = append(p.Colonies, c)
	}
	slices.SortStableFunc(p.Colonies, func(a, b plan.ColonyPlan) int { return int(a.Verdict) - int(b.Verdict) })
	return p
}

// elements lists the elements of a page in order.
func elements(t require.TestingT, page string) []*html.Node {
	doc, err := html.Parse(strings.NewReader(page))
	require.NoError(t, err)
	var out []*html.Node
	for n := range doc.Descendants() {
		if n.Type == html.ElementNode {
			out = append(out, n)
		}
	}
	return out
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func text(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return strings.TrimSpace(b.String())
}

// sound checks what holds for every page: nothing runs, nothing is fetched,
// headings and tables are in order.
func sound(t require.TestingT, page string) {
	allowed := strings.Fields(`html head meta title style body header nav main footer section article h1 h2 h3 h4 p a b ul li div span dl dt dd table caption thead tbody tr th td
		details summary label input form select option br script figure svg g desc path line polyline polygon rect circle ellipse text tspan`)
	ids := map[string]bool{}
	var links []string
	h1 := 0
	for _, n := range elements(t, page) {
		require.Contains(t, allowed, n.Data)
		for _, a := range n.Attr {
			require.False(t, strings.HasPrefix(a.Key, "on"), "%s has %s", n.Data, a.Key)
			require.NotContains(t, []string{"src", "srcset", "style", "action", "formaction", "xlink:href"}, a.Key, "on %s", n.Data)
			switch a.Key {
			case "id":
				require.False(t, ids[a.Val], "id %s twice", a.Val)
				ids[a.Val] = true
			case "href":
				if to, inside := strings.CutPrefix(a.Val, "#"); inside {
					links = append(links, to)
				} else {
					require.Regexp(t, `^(\.\./)?[-a-zA-Z0-9_%.]+(/[-a-zA-Z0-9_%.]+)?\.html$`, a.Val, "a link that leaves the report")
				}
			case "aria-labelledby":
				links = append(links, a.Val)
			}
		}
		switch n.Data {
		case "h1":
			h1++
		case "html":
			require.Equal(t, "en", attr(n, "lang"))
		case "th":
			require.Contains(t, []string{"col", "row"}, attr(n, "scope"))
		case "table":
			require.Equal(t, "caption", firstElement(n).Data, "a table says what it is")
		case "svg":
			require.Equal(t, "img", attr(n, "role"))
			require.NotEmpty(t, text(firstElement(n)), "a picture has a title")
		}
	}
	require.Equal(t, 1, h1)
	require.Equal(t, 1, strings.Count(page, "<script"), "its own script and no other")
	body := between(page, "<script>", "</script>")
	sum := sha256.Sum256([]byte(body))
	require.Contains(t, html.UnescapeString(page), "script-src 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'", "and the policy lets only that one run")
	for _, l := range links {
		require.True(t, ids[l], "nothing is called %s", l)
	}
}

func firstElement(n *html.Node) *html.Node {
	for c := range n.ChildNodes() {
		if c.Type == html.ElementNode {
			return c
		}
	}
	return &html.Node{}
}

func TestPageIsSound(t *testing.T) {
	p := plantest.Plan()
	for name, page := range map[string]string{
		"with charts":    write(t, p, plantest.Details(p), true),
		"without charts": write(t, p, nil, false),
		"empty":          write(t, &plan.Plan{Today: p.Today}, nil, true),
	} {
		t.Run(name, func(t *testing.T) { sound(t, page) })
	}
}

func TestOrderOfThePage(t *testing.T) {
	page := write(t, plantest.Plan(), nil, false)
	at := -1
	for _, id := range []string{"first", "order", "visits", "yards", "colonies", "warnings", "cautions", "method", "inputs"} {
		next := strings.Index(page, `<section id="`+id+`"`)
		require.Greater(t, next, at, id)
		at = next
	}
}

func TestPageShowsWhatMatters(t *testing.T) {
	p := plantest.Plan()
	var all strings.Builder
	for _, n := range elements(t, write(t, p, plantest.Details(p), true)) {
		if n.Data == "body" {
			all.WriteString(strings.Join(strings.Fields(text(n)), " "))
		}
	}
	shown := all.String()
	for _, g := range words.GroupWarnings(p, words.Style{}) {
		require.Contains(t, shown, g.Text, "the page shows the same warnings as the tables")
	}
	for _, c := range (words.Style{}).Notes(p.Cautions) {
		require.Contains(t, shown, c)
	}
	for i := range p.Colonies {
		a := words.AnswerFor(p, &p.Colonies[i], words.Style{})
		require.Contains(t, shown, a.Headline)
		for _, line := range slices.Concat(a.Do, a.Feeder, a.Why, a.Supplement, a.Sure) {
			require.Contains(t, shown, line)
		}
	}
	for _, l := range words.OrderLines(p.Order, words.Style{}) {
		require.Contains(t, shown, l.What)
		require.Contains(t, shown, l.P90)
	}
	require.Contains(t, shown, "Invented example", "an invented plan says so")
	require.Contains(t, shown, "Take along: 3 L of 2:1 syrup; 2.5 L of 3:2 syrup; 2.5 kg of solid sugar.")
}

func TestEachFeedingHasATickBox(t *testing.T) {
	p := plantest.Plan()
	want := 0
	for _, c := range p.Colonies {
		switch c.Verdict {
		case plan.Feed:
			want += len(c.Feedings)
		case plan.Watch:
			want++
		case plan.Dead:
			want += 3 // closed, inspected, cleared away
		}
	}
	for _, d := range words.VisitDays(p, 14, words.Style{}) { // and once more on the sheet of its day
		want += len(d.Mix) + len(d.Load)
		for _, y := range d.Yards {
			want += len(y.Work)
			for _, r := range y.Rows {
				want += len(r.Do)
			}
		}
	}
	got := 0
	for _, n := range elements(t, write(t, p, nil, false)) {
		if n.Data == "input" {
			got++
			require.NotEmpty(t, attr(n, "aria-label"))
		}
	}
	require.Equal(t, want, got)
}

func TestAnyNameIsEscaped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plantest.NastyPlan(t)
		page := write(t, p, nil, false)
		sound(t, page)
		require.False(t, strings.ContainsAny(page, "\x1b\x00\u202e"), "control characters and marks of direction are gone")
	})
}

func TestAnyNameIsEscapedInCharts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plantest.NastyPlan(t)
		p.Colonies = p.Colonies[:1] // drawing takes its time
		sound(t, write(t, p, plantest.Details(p), true))
	})
}

func TestHundredColoniesFit(t *testing.T) {
	p := many(100)
	page := write(t, p, plantest.Details(p), true)
	require.Less(t, len(page), 3_000_000)
	require.Greater(t, strings.Count(page, "<svg"), 100)
	require.NotContains(t, page, "least urgent colonies are left out", "all charts fit")
	sound(t, page)
}

func TestChartsOfTheLeastUrgentGiveWay(t *testing.T) {
	p := many(100)
	full := write(t, p, plantest.Details(p), true)
	opt := report.DefaultOptions()
	opt.Charts = report.DrawCharts(false)
	opt.MaxBytes = len(full) * 2 / 3
	var b bytes.Buffer
	require.NoError(t, report.Write(&b, p, plantest.Details(p), opt))
	page := b.String()
	require.LessOrEqual(t, len(page), opt.MaxBytes)
	require.Contains(t, page, "least urgent colonies are left out, to keep this page small")
	require.Contains(t, between(page, `<details id="c1"`, `<details id="c2"`), "<svg", "the most urgent keeps its charts")
	require.NotContains(t, between(page, `<details id="c86"`, `<details id="c87"`), "<svg")
	sound(t, page)

	opt.MaxBytes = 20_000
	require.ErrorContains(t, report.Write(&b, p, plantest.Details(p), opt), "are allowed")
}

func between(s, from, to string) string {
	_, s, _ = strings.Cut(s, from)
	s, _, _ = strings.Cut(s, to)
	return s
}

func TestSameBytesEachTime(t *testing.T) {
	p := plantest.Plan()
	require.Equal(t, write(t, p, plantest.Details(p), true), write(t, p, plantest.Details(p), true))
}

func TestBadUse(t *testing.T) {
	require.ErrorContains(t, report.Options{}.Validate(), "above 0 bytes")
	require.ErrorContains(t, report.Write(&bytes.Buffer{}, plantest.Plan(), nil, report.Options{}), "above 0 bytes")
	require.PanicsWithValue(t, "report: the details are not those of the plan", func() {
		_ = report.Write(&bytes.Buffer{}, plantest.Plan(), make([]plan.Detail, 1), report.DefaultOptions())
	})
}

func TestChartErrorsAreToldWithTheirColony(t *testing.T) {
	opt := report.DefaultOptions()
	opt.Charts.Stores = func(*plan.Plan, *plan.ColonyPlan, *plan.Detail) (string, error) { return "<svg><g></svg>", nil }
	p := plantest.Plan()
	require.ErrorContains(t, report.Write(&bytes.Buffer{}, p, plantest.Details(p), opt), "Home, B7: a chart is not a whole SVG")
}

func TestPicturesAreMadeSafe(t *testing.T) {
	for _, c := range []struct{ name, svg, want string }{
		{"prolog and size go", `<?xml version="1.0"?><!DOCTYPE svg><svg width="5cm" height="5cm" viewBox="0 0 1 1"><title>T</title></svg>`,
			`<svg viewBox="0 0 1 1" role="img"><title>T</title></svg>`},
		{"scripts go", `<svg><title>T</title><script>alert(1)</script><g onload="x()"><path d="M0 0"/></g></svg>`,
			`<svg role="img"><title>T</title><g><path d="M0 0"></path></g></svg>`},
		{"links and what lies in them go", `<svg><title>T</title><a href="http://x"><text>y</text></a><use href="#a"/></svg>`,
			`<svg role="img"><title>T</title></svg>`},
		{"foreign content goes", `<svg><title>T</title><foreignObject><body xmlns="http://www.w3.org/1999/xhtml"><p>x</p></body></foreignObject></svg>`,
			`<svg role="img"><title>T</title></svg>`},
		{"fetched fills go", `<svg><title>T</title><rect fill="url(http://x)" width="1"/></svg>`,
			`<svg role="img"><title>T</title><rect width="1"></rect></svg>`},
		{"text stays text", `<svg><title>&lt;b&gt;</title><text x="1">&amp;&lt;script&gt;</text></svg>`,
			`<svg role="img"><title>&lt;b&gt;</title><text x="1">&amp;&lt;script&gt;</text></svg>`},
		{"a second picture goes", `<svg><title>T</title></svg><svg><title>U</title></svg>`, `<svg role="img"><title>T</title></svg>`},
	} {
		t.Run(c.name, func(t *testing.T) {
			opt := report.DefaultOptions()
			opt.Charts.Order = func(*plan.Plan) (string, error) { return c.svg, nil }
			var b bytes.Buffer
			require.NoError(t, report.Write(&b, plantest.Plan(), nil, opt))
			require.Contains(t, b.String(), "<figure>"+c.want+"</figure>")
		})
	}
	opt := report.DefaultOptions()
	opt.Charts.Order = func(*plan.Plan) (string, error) { return "<p>no picture</p>", nil }
	require.ErrorContains(t, report.Write(&bytes.Buffer{}, plantest.Plan(), nil, opt), "no svg element")
}

func TestUSUnits(t *testing.T) {
	opt := report.DefaultOptions()
	opt.Units.US = true
	var b bytes.Buffer
	require.NoError(t, report.Write(&b, plantest.Plan(), nil, opt))
	require.Contains(t, b.String(), "3.2 gal of 2:1") // 12 L / 3.785411784 = 3.17
	require.Contains(t, b.String(), "Sat Mar 22")
}

// A plan of any size: an index page and a page for each yard, each sound, their
// links leading to one another, all warnings and colonies there.
func TestPagesOfAnySize(t *testing.T) {
	p := many(400)
	for i := range p.Yards {
		p.Season.Yards = append(p.Season.Yards, season.Yard{Name: p.Yards[i].Name})
	}
	for i := range p.Colonies {
		p.Season.Colonies = append(p.Season.Colonies, season.Colony{Yard: p.Colonies[i].Yard, Name: p.Colonies[i].Colony})
	}
	opt := report.DefaultOptions()
	require.False(t, report.OnePage(many(1000), opt))
	require.True(t, report.OnePage(many(100), opt))
	pages := map[string]string{}
	asked := 0
	details := plantest.Details(p)
	err := report.WritePages(t.Context(), p, "plan.html", "plan-yards", func(_ context.Context, places []int) ([]plan.Detail, error) {
		out := make([]plan.Detail, len(places))
		for k, i := range places {
			asked++
			out[k] = details[i]
			require.NotEqual(t, plan.NoFeed, p.Colonies[i].Verdict)
		}
		return out, nil
	}, opt, func(name string, write func(io.Writer) error) error {
		var b bytes.Buffer
		require.NoError(t, write(&b))
		pages[name] = b.String()
		return nil
	})
	require.NoError(t, err)
	require.Len(t, pages, len(p.Yards)+1)
	require.LessOrEqual(t, asked, 600)
	for name, page := range pages {
		for _, n := range elements(t, page) {
			to := attr(n, "href")
			switch {
			case n.Data != "a" || strings.HasPrefix(to, "#"):
			case name == "":
				file, err := url.PathUnescape(strings.TrimPrefix(to, "plan-yards/"))
				require.NoError(t, err)
				require.Contains(t, slices.Collect(maps.Keys(pages)), file, "a link of the index")
			default:
				require.Equal(t, "../plan.html", to)
			}
		}
		sound(t, page)
	}
	rows := 0
	for name, page := range pages {
		if name != "" {
			rows += strings.Count(between(page, `<section id="inputs"`, "</section>"), "<tr") - 1 // the heading
		}
	}
	require.Equal(t, len(p.Colonies), rows, "what was seen of a colony stands on the page of its yard only")
	for i := range p.Colonies {
		c := &p.Colonies[i]
		found := false
		for name, page := range pages {
			found = found || name != "" && strings.Contains(page, words.AnswerFor(p, c, words.Style{}).Headline) && strings.Contains(page, c.Colony)
		}
		require.True(t, found, c.Colony)
	}
	for _, g := range words.GroupWarnings(p, words.Style{}) {
		require.Contains(t, html.UnescapeString(pages[""]), g.Text)
	}
}

// TestPageSaysWhatChanged: a plan compared with an earlier one says in its first lines for
// how many colonies something else is to be done, and then for which, what and why; the page
// of a yard says so of its own colonies. A plan that was not compared says nothing of it.
func TestPageSaysWhatChanged(t *testing.T) {
	p := many(400)
	at := func(d int) time.Time { return time.Date(2027, 3, d, 0, 0, 0, 0, time.UTC) }
	first, last := &p.Colonies[0], &p.Colonies[len(p.Colonies)-1]
	require.NotEqual(t, first.Yard, last.Yard)
	p.Changes = &plan.Changes{Since: at(10), Same: 397, Whole: []plan.Note{plan.SettingFigure{Setting: "reserve", Before: 5, Now: 8, Unit: "kg"}},
		Colonies: []plan.ColonyChange{
			{Yard: first.Yard, Colony: first.Colony, Matter: plan.Urgent, What: []plan.Note{plan.SoonerNow{}}, Why: []plan.Note{plan.VisitMoved{Before: at(20), Now: at(25)}}},
			{Yard: last.Yard, Colony: last.Colony, Matter: plan.Differs, What: []plan.Note{plan.VerdictTurned{Before: plan.Watch, Now: plan.NoFeed}}},
			{Yard: last.Yard, Colony: "quiet", Matter: plan.Moved, What: []plan.Note{plan.RiskMoved{BeforeFrac: 0.2, NowFrac: 0.1}}}}}
	pages := map[string]string{}
	require.NoError(t, report.WritePages(t.Context(), p, "plan.html", "plan-yards", nil, report.DefaultOptions(), func(name string, write func(io.Writer) error) error {
		var b bytes.Buffer
		require.NoError(t, write(&b))
		pages[name] = strings.Join(strings.Fields(b.String()), " ")
		return nil
	}))
	index := pages[""]
	lead := strings.Index(index, "For 2 colonies something else is to be done")
	require.Greater(t, lead, 0)
	require.Less(t, lead, strings.Index(index, "<main>"), "in the first lines")
	require.Contains(t, index, "The next visit is now too late: go sooner. Why: The next visit is on 25 Mar, 5 days later than it was to be.")
	require.Contains(t, index, "Now no feed needed; before: to watch.")
	require.Contains(t, index, "The setting reserve is 8 kg; it was 5 kg.")
	said := 0
	for name, page := range pages {
		if name == "" {
			continue
		}
		if strings.Contains(page, "now too late: go sooner") {
			said++
			require.Contains(t, page, "For 1 colony something else is to be done")
			require.NotContains(t, page, "Now no feed needed")
		}
	}
	require.Equal(t, 1, said)
	p.Changes = nil
	require.NotContains(t, write(t, p, nil, false), `id="changed"`)
}
