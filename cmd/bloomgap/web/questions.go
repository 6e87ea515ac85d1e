package web

import (
	"context"
	"html/template"
	"strings"
	"sync"

	"bloomgap/feed"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/plots/report"
	"bloomgap/plots/words"
)

// questionLink is one of what callers ask, a tap away.
type questionLink struct {
	Title string
	URL   template.URL
	Open  bool // it is answered on this page
}

// saidAnswer is the answer to one.
type saidAnswer struct {
	Title  string
	Lines  []string
	Charts []template.HTML
}

// worked is a hive that was planned, with what the page shows of it, kept so that a
// further question about it is answered without planning it again.
type worked struct {
	planner *feed.Planner
	plan    *plan.Plan
	notes   []string // what the reading of its weather had to say
	doubts  []doubt  // and to ask
	answer  hiveAnswer
	asking  feed.AskOptions

	lock sync.Mutex
	said map[plan.Question]plan.Asked
}

// ask adds the questions to a page, and the answer to the one asked. at is the address
// of the page without it.
func (w *worked) ask(ctx context.Context, out *hiveAnswer, word, at string) error {
	c := &w.plan.Colonies[0]
	if word == "" && season.WinterVisits(w.plan.Today) {
		word = plan.AskWinter.String() // a plan by visits is for spring
	}
	return asking{w.plan, c, func(q plan.Question) (plan.Asked, bool, error) {
		w.lock.Lock()
		defer w.lock.Unlock()
		if a, ok := w.said[q]; ok {
			return a, true, nil
		}
		a, ok, err := w.planner.Ask(ctx, c, q, w.asking)
		if err == nil && ok {
			if w.said == nil {
				w.said = map[plan.Question]plan.Asked{}
			}
			w.said[q] = a
		}
		return a, ok, err
	}, w.asking.Prices.Given()}.show(ctx, out, word, at)
}

// asking is a colony that questions are asked of.
type asking struct {
	plan   *plan.Plan
	colony *plan.ColonyPlan
	ask    func(plan.Question) (plan.Asked, bool, error)
	prices bool // prices were given
}

// show puts the questions of a colony on its page, and under them the answer to the one
// whose word is given. A word that is none is left out, as a mistyped address.
func (k asking) show(ctx context.Context, out *hiveAnswer, word, at string) error {
	if k.colony.Members == 0 { // dead, or not looked at
		return nil
	}
	join := "?"
	if strings.Contains(at, "?") {
		join = "&"
	}
	for _, q := range plan.Questions() {
		if q == plan.AskWorth && !k.prices {
			continue // nothing is said of money unless prices were given
		}
		if q == plan.AskWinter && !season.WinterVisits(k.plan.Today) {
			continue
		}
		open := q.String() == word
		link := template.URL(at + join + "ask=" + q.String() + "#asked") // at is encoded
		out.Questions = append(out.Questions, questionLink{words.QuestionTitle(q), link, open})
		if !open {
			continue
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		a, ok, err := k.ask(q)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		u := unitsOf(k.plan)
		charts, err := report.AskedCharts(k.plan, &a, u.US)
		if err != nil {
			return err
		}
		out.Asked = append(out.Asked, saidAnswer{words.QuestionTitle(q), u.Said(&a), charts})
	}
	return nil
}

// What is kept at most, own choice. A planned hive holds some MB, so that they are few, 2-16;
// an answer as it was sent holds some 60 KB, 50-500 of them.
const (
	mostKept      = 4
	mostPages     = 100
	mostPageBytes = 16 << 20
)
