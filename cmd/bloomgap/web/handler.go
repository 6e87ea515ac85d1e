package web

import (
	"bytes"
	"context"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"net/url"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"golang.org/x/sync/singleflight"

	"bloomgap/feed"
	"bloomgap/feed/plan"
	"bloomgap/feed/visits"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
	"bloomgap/plots/report"
	"bloomgap/plots/words"
)

//go:embed page
var pageFiles embed.FS

// handler answers the local page.
type handler struct {
	today  func() time.Time
	errs   io.Writer
	set    *template.Template
	opened *Folder // nil without a season folder
	desk   *desk
	hives  kept[*worked] // planned last
	pages  kept[[]byte]  // answers as they were sent
	under  singleflight.Group
	plans  atomic.Int64 // hives planned so far
	read   visits.ReadWeather
	style  []byte
	script []byte
	report []byte // the plan of the folder as one page
	all    http.Handler
}

func (h *handler) ServeHTTP(w http.ResponseWriter, r *http.Request) { h.all.ServeHTTP(w, r) }

// New makes the page of a server. All but the season folder comes from inside
// the program.
func New(opt Options) (http.Handler, error) { return newHandler(opt) }

func newHandler(opt Options) (*handler, error) {
	set, err := report.Templates().ParseFS(pageFiles, "page/*.html")
	if err != nil {
		return nil, err
	}
	h := &handler{today: opt.Today, errs: opt.Errs, set: set, opened: opt.Folder, desk: newDesk(), read: onceRead(opt.Read)}
	h.hives.most, h.pages.most, h.pages.mostBytes = mostKept, mostPages, mostPageBytes
	if h.script, err = pageFiles.ReadFile("page/page.js"); err != nil {
		return nil, err
	}
	own, err := pageFiles.ReadFile("page/page.css")
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := set.ExecuteTemplate(&b, "style", nil); err != nil {
		return nil, err
	}
	h.style = append(b.Bytes(), own...)
	mux := http.NewServeMux()
	mux.HandleFunc("/{$}", h.page)
	mux.HandleFunc("/answer", h.fragment)
	mux.HandleFunc("/page.css", unchanging("text/css; charset=utf-8", h.style))
	mux.HandleFunc("/page.js", unchanging("text/javascript; charset=utf-8", h.script))
	if h.opened != nil {
		if err := h.writeReport(); err != nil {
			return nil, err
		}
		mux.HandleFunc("/plan", h.plan)
		mux.HandleFunc("/plan/{place}", h.colony)
	}
	h.all = newGuard(opt.Addr, h.catch(mux))
	return h, nil
}

// catch keeps a fault of one answer from the reader and from other answers.
func (h *handler) catch(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if fault := recover(); fault != nil {
				fmt.Fprintf(h.errs, "bloomgap: a fault in the program: %v\n%s", fault, debug.Stack())
				refuse(w, http.StatusInternalServerError, "A fault in the program; this question cannot be answered. The terminal says more.")
			}
		}()
		ctx, cancel := context.WithTimeout(r.Context(), workTimeout)
		defer cancel()
		next.ServeHTTP(w, r.WithContext(ctx))
	})
}

// onceRead keeps what was read, so that a yard is asked about without reading
// its records again. Only files that the opened folder names come here.
func onceRead(fetch visits.ReadWeather) visits.ReadWeather {
	type kept struct {
		record   *weather.Record
		problems read.Problems
	}
	var lock sync.Mutex
	all := map[string]kept{}
	return func(paths []string, place string) (*weather.Record, read.Problems) {
		lock.Lock()
		defer lock.Unlock()
		key := strings.Join(append([]string{place}, paths...), "\x00")
		k, ok := all[key]
		if !ok {
			k.record, k.problems = fetch(paths, place)
			all[key] = k
		}
		return k.record, k.problems
	}
}

func unchanging(kind string, b []byte) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", kind)
		_, _ = w.Write(b) // a reader that went away
	}
}

// shown is what a page is made of; answer tells that it holds one, which is kept.
type shown struct {
	template string
	data     any
	answer   bool
}

// errNotShown is of a page that cannot be written; the terminal was told why.
var errNotShown = errors.New("the page cannot be shown; the terminal says more")

// reply sends a page, the one that was sent before to the same question on the same day. What
// else an answer hangs on, the version and the opened folder, stays while the page is served.
// Those who ask the same at once wait for one answer.
func (h *handler) reply(w http.ResponseWriter, r *http.Request, work func(context.Context) (shown, error)) {
	key := h.today().Format(time.DateOnly) + " " + r.URL.Path + "?" + r.URL.Query().Encode()
	for {
		page, ok := h.pages.find(key)
		if !ok {
			made, err, _ := h.under.Do(key, func() (any, error) { return h.make(r.Context(), key, work) })
			if errors.Is(err, context.Canceled) && r.Context().Err() == nil {
				continue // who asked first went away
			}
			if err != nil {
				fail(w, r, err)
				return
			}
			page, _ = made.([]byte)
		}
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = w.Write(page) // a reader that went away
		return
	}
}

// make works a page out when a core is free, and keeps it if it is an answer.
func (h *handler) make(ctx context.Context, key string, work func(context.Context) (shown, error)) ([]byte, error) {
	var p shown
	if err := h.desk.work(ctx, func() (err error) {
		p, err = work(ctx)
		return err
	}); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := h.set.ExecuteTemplate(&b, p.template, p.data); err != nil { // whole or not at all
		fmt.Fprintln(h.errs, "bloomgap:", err)
		return nil, errNotShown
	}
	if p.answer {
		h.pages.put(key, b.Bytes(), len(key)+b.Cap())
	}
	return b.Bytes(), nil
}

// fail tells why there is no answer. A reader that went away is told nothing.
func fail(w http.ResponseWriter, r *http.Request, err error) {
	switch {
	case errors.Is(err, errBusy):
		w.Header().Set("Retry-After", "1")
		refuse(w, http.StatusServiceUnavailable, sentence(err.Error()))
	case errors.Is(err, context.DeadlineExceeded):
		refuse(w, http.StatusServiceUnavailable, "The answer took too long. Try again.")
	case r.Context().Err() != nil:
	default:
		refuse(w, http.StatusInternalServerError, sentence(err.Error()))
	}
}

// askPage is the whole page.
type askPage struct {
	*hiveAnswer
	Title  string
	Was    string // units that the fields were shown in
	Folder string // the season folder that is open
}

func (h *handler) page(w http.ResponseWriter, r *http.Request) {
	h.reply(w, r, func(ctx context.Context) (shown, error) {
		a, err := h.answer(ctx, readAsk(r.URL.Query(), h.opened))
		if err != nil {
			return shown{}, err
		}
		p := askPage{hiveAnswer: a, Title: "Does this hive need food?", Was: "metric"}
		if a.Ask.us {
			p.Was = "us"
		}
		if h.opened != nil {
			p.Folder = words.Clean(h.opened.Season.Dir)
		}
		return shown{"ask", p, a.Word != ""}, nil
	})
}

func (h *handler) fragment(w http.ResponseWriter, r *http.Request) {
	h.reply(w, r, func(ctx context.Context) (shown, error) {
		a, err := h.answer(ctx, readAsk(r.URL.Query(), h.opened))
		if err != nil {
			return shown{}, err
		}
		return shown{"hive-answer", a, a.Word != ""}, nil
	})
}

// writeReport writes the plan of the folder once, with addresses in place of
// the charts of colonies.
func (h *handler) writeReport() error {
	opt := report.DefaultOptions()
	opt.Units = unitsOf(h.opened.Plan)
	opt.Charts = report.DrawCharts(opt.Units.US)
	opt.AskURL = "/"
	opt.ColonyURL = func(place int) string { return fmt.Sprintf("/plan/%d", place+1) }
	opt.MaxBytes *= 4 // it goes over no network
	var b bytes.Buffer
	if err := report.Write(&b, h.opened.Plan, nil, opt); err != nil {
		return err
	}
	h.report = b.Bytes()
	return nil
}

func (h *handler) plan(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Security-Policy", report.Policy()+"; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = w.Write(h.report) // a reader that went away
}

// colonyPage is one colony of the opened folder.
type colonyPage struct {
	*hiveAnswer
	Title, Place, Before, After string
	Again                       template.URL // asks about it with other figures
	Looks                       int          // times it was looked at; the question holds the last
}

func (h *handler) colony(w http.ResponseWriter, r *http.Request) {
	pl := h.opened.Plan
	place, err := strconv.Atoi(r.PathValue("place"))
	if err != nil || place < 1 || place > len(pl.Colonies) {
		refuse(w, http.StatusNotFound, fmt.Sprintf("There is no such colony. They are numbered from 1 to %d.", len(pl.Colonies)))
		return
	}
	h.reply(w, r, func(ctx context.Context) (shown, error) { return h.colonyPage(ctx, place, r.URL) })
}

// colonyPage is the page of a colony of the folder, with what is asked of it.
func (h *handler) colonyPage(ctx context.Context, place int, at *url.URL) (shown, error) {
	pl := h.opened.Plan
	c := &pl.Colonies[place-1]
	a := &hiveAnswer{Answer: words.AnswerFor(pl, c, unitsOf(pl)), Invented: pl.Invented, Word: c.Verdict.String(), Short: shortRisk(c)}
	if err := h.charts(ctx, a, h.opened.Planner, pl, c); err != nil {
		return shown{}, err
	}
	ask := func(q plan.Question) (plan.Asked, bool, error) {
		return h.opened.Planner.Ask(ctx, c, q, feed.DefaultAskOptions())
	}
	if err := (asking{pl, c, ask, false}).show(ctx, a, at.Query().Get("ask"), at.Path); err != nil {
		return shown{}, err
	}
	p := colonyPage{
		hiveAnswer: a,
		Title:      a.Colony + ", " + a.Yard,
		Place:      fmt.Sprintf("%d of %d, the most urgent first", place, len(pl.Colonies)),
		Again:      questionOf(h.opened, c),
		Looks:      looksAt(h.opened, c),
	}
	if place > 1 {
		p.Before = fmt.Sprintf("/plan/%d", place-1)
	}
	if place < len(pl.Colonies) {
		p.After = fmt.Sprintf("/plan/%d", place+1)
	}
	return shown{"colony-page", p, true}, nil
}

// looksAt is how often a colony of the folder was looked at.
func looksAt(o *Folder, c *plan.ColonyPlan) int {
	if col := colonyOf(o, c); col != nil {
		return len(col.Observations)
	}
	return 0
}

// unitsOf are the units of the reader of a plan.
func unitsOf(pl *plan.Plan) words.Style {
	return words.Style{US: pl.Season.Settings.UnitsUS}
}
