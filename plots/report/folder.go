package report

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"io"
	"net/url"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/sync/errgroup"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/plots/words"
)

// What a page takes at least, bytes, measured on the example (its charts left
// out): for a colony with its answer and its rows, and for a yard with its sheet,
// its visits and its springs.
const (
	colonyBytes = 7_000
	yardBytes   = 30_000
)

// OnePage says, before any work is done, whether a plan goes on one page of so
// many bytes. A larger one goes on an index page and a page for each yard.
func OnePage(pl *plan.Plan, opt Options) bool {
	return len(pl.Colonies)*colonyBytes+len(pl.Yards)*yardBytes <= opt.MaxBytes
}

// Detail runs colonies of a plan, by their places in plan.Colonies, day by day. An
// empty plan.Detail leaves the charts of its colony out.
type Detail func(ctx context.Context, places []int) ([]plan.Detail, error)

// mostCharted is the most colonies of a report of many pages whose charts are
// drawn, the most urgent of each yard, own choice, 200-2000: drawing takes longer
// than planning.
const mostCharted = 600

// mostUrgent is the most colonies that an index page lists, own choice, 50-300.
const mostUrgent = 100

const (
	mostDayYards = 60  // yards whose visit days an index page holds, own choice, 20-200
	mostNames    = 300 // letters of the names that a warning on it is about, own choice, 100-1000
)

// yardLink is a yard on the index page.
type yardLink struct {
	Name, File, Next, By      string
	Feed, Watch, NoFeed, Dead int
	Take                      []string
}

// WritePages writes a plan of any size: an index page, and a page for each yard
// in a folder beside it; both are named for the links. Detail may be nil for pages without the charts of
// colonies; it is asked for a few yards at a time, so that memory does not grow
// with the plan, and not for colonies that need no feed. File is called for each
// page with its name, by several goroutines, the index last and under the name "".
func WritePages(ctx context.Context, pl *plan.Plan, index, folder string, detail Detail, opt Options,
	file func(name string, write func(io.Writer) error) error) error {
	if err := opt.Validate(); err != nil {
		return err
	}
	places := map[string][]int{}
	for i := range pl.Colonies {
		places[pl.Colonies[i].Yard] = append(places[pl.Colonies[i].Yard], i)
	}
	var seen map[string][]*season.Colony
	if pl.Season != nil {
		seen = pl.Season.ByYard()
	}
	links := make([]yardLink, len(pl.Yards))
	names, fileOf := make([]string, len(pl.Yards)), map[string]string{}
	for i := range pl.Yards {
		names[i] = fmt.Sprintf("%03d-%s.html", i+1, fileName(pl.Yards[i].Name))
		fileOf[pl.Yards[i].Name] = url.PathEscape(folder) + "/" + url.PathEscape(names[i])
	}
	group, within := errgroup.WithContext(ctx)
	group.SetLimit(max(1, opt.Workers))
	for i := range pl.Yards {
		group.Go(func() error {
			if err := within.Err(); err != nil {
				return err
			}
			y := &pl.Yards[i]
			one, mine := ofYard(pl, y, places[y.Name], seen[y.Name]), opt
			mine.up, mine.Charts.Map = "../"+url.PathEscape(index), nil
			details, left, err := detailsOf(within, pl, places[y.Name], detail, max(1, mostCharted/len(pl.Yards)))
			if err != nil {
				return err
			}
			mine.left = left
			if err := file(names[i], func(w io.Writer) error { return writeYard(w, one, details, mine) }); err != nil {
				return err
			}
			links[i] = newYardLink(one, y, fileOf[y.Name], opt.Units)
			return nil
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	return file("", func(w io.Writer) error { return writeIndex(w, pl, links, fileOf, opt) })
}

// writeYard writes the page of a yard as large as it must be.
func writeYard(w io.Writer, one *plan.Plan, details []plan.Detail, opt Options) error {
	if least := 2 * (len(one.Colonies)*colonyBytes + yardBytes); least > opt.MaxBytes {
		opt.MaxBytes = least
	}
	return Write(w, one, details, opt)
}

// ofYard is a plan with one of its yards.
func ofYard(pl *plan.Plan, y *plan.YardPlan, places []int, seen []*season.Colony) *plan.Plan {
	one := *pl
	one.Yards, one.Order = []plan.YardPlan{*y}, y.Order
	one.OrderBy, one.Worth = plan.OrderBy{}, nil // of all yards together
	one.Colonies = make([]plan.ColonyPlan, len(places))
	for k, i := range places {
		one.Colonies[k] = pl.Colonies[i]
	}
	one.Warnings = nil
	for _, n := range pl.Warnings {
		if _, all := n.(plan.StillAtRisk); !all {
			one.Warnings = append(one.Warnings, n)
		}
	}
	if risky := plan.StillAtRiskOf(one.Colonies, pl.AcceptPct/100); risky.Colonies > 0 {
		one.Warnings = append([]plan.Note{risky}, one.Warnings...)
	}
	one.Changes = changesOf(pl.Changes, y.Name, len(places))
	if pl.Season != nil { // what was seen of other yards stands on their pages
		s := *pl.Season
		s.Yards, s.Colonies = nil, make([]season.Colony, len(seen))
		if own := pl.Season.Yard(y.Name); own != nil {
			s.Yards = []season.Yard{*own}
		}
		for i, c := range seen {
			s.Colonies[i] = *c
		}
		one.Season = &s
	}
	return &one
}

// changesOf are the changes of a yard with so many colonies; what is of the whole plan
// stands on the index. Nil when no earlier plan was compared.
func changesOf(c *plan.Changes, yard string, colonies int) *plan.Changes {
	if c == nil {
		return nil
	}
	own := plan.Changes{Since: c.Since}
	for i := range c.Colonies {
		if c.Colonies[i].Yard == yard {
			own.Colonies = append(own.Colonies, c.Colonies[i])
		}
	}
	for i := range c.Yards {
		if c.Yards[i].Yard == yard {
			own.Yards = append(own.Yards, c.Yards[i])
		}
	}
	own.Same = max(0, colonies-len(own.Colonies))
	return &own
}

// detailsOf runs the first colonies to feed or to watch, most at the most, and
// counts those left out.
func detailsOf(ctx context.Context, pl *plan.Plan, places []int, detail Detail, most int) (details []plan.Detail, left int, err error) {
	if detail == nil {
		return nil, 0, nil
	}
	var wanted, at []int
	for k, i := range places {
		if v := pl.Colonies[i].Verdict; v == plan.Feed || v == plan.Watch {
			wanted, at = append(wanted, i), append(at, k)
		}
	}
	left = max(0, len(wanted)-most)
	wanted = wanted[:len(wanted)-left]
	got, err := detail(ctx, wanted)
	if err != nil {
		return nil, 0, err
	}
	out := make([]plan.Detail, len(places))
	for k := range got {
		out[at[k]] = got[k]
	}
	return out, left, nil
}

func newYardLink(one *plan.Plan, y *plan.YardPlan, file string, u words.Style) yardLink {
	l := yardLink{Name: words.Clean(y.Name), File: file, Feed: y.Feed, Watch: y.Watch, NoFeed: y.NoFeed, Dead: words.DeadCount(one, *y)}
	for i := range one.Colonies {
		if c := &one.Colonies[i]; c.Verdict == plan.Feed {
			l.By = u.Day(c.StartBy)
			if c.TooLate {
				l.By = "now"
			}
			break
		}
	}
	if next := words.NextVisit(one, y.Name); !next.IsZero() {
		l.Next, l.Take = u.Day(next), words.Load(one, y.Name, next, u)
	}
	return l
}

// writeIndex writes the page of all yards.
func writeIndex(w io.Writer, pl *plan.Plan, links []yardLink, fileOf map[string]string, opt Options) error {
	p := newPageOf(pl, opt)
	next := p.nextVisits(pl, opt.Units)
	urgent := map[string]int{}
	for _, c := range words.With(pl, plan.Feed) {
		if _, known := urgent[c.Yard]; !known {
			urgent[c.Yard] = len(urgent) - len(pl.Yards)
		}
		if len(p.Feed) == mostUrgent {
			p.MoreFeed++
			continue
		}
		p.Feed = append(p.Feed, newFeedRow(fileOf[c.Yard], next[c.Yard], c, opt.Units))
	}
	order := make([]int, len(links))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(urgent[pl.Yards[a].Name], urgent[pl.Yards[b].Name]) })
	for _, i := range order {
		p.Pages = append(p.Pages, links[i])
	}
	if len(pl.Yards) <= mostDayYards {
		p.visitDays(pl, opt.Units)
	}
	for i := range p.Warnings {
		p.Warnings[i] = p.Warnings[i].Cut(mostNames)
	}
	if err := p.drawAll(pl, opt); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := Templates().ExecuteTemplate(&b, "page", p); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

// longestName is the most letters of a yard's name in the name of its page, own
// choice.
const longestName = 30

// fileName makes a name fit for the name of a file on any system.
func fileName(name string) string {
	letters := []rune(strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return '-'
	}, words.Clean(name)))
	return strings.Trim(string(letters[:min(len(letters), longestName)]), "-")
}
