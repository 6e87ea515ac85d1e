package report

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// Charts draws the pictures of a page as SVG. A function that is nil, and one
// that gives "", leave their picture out.
type Charts struct {
	Grid  func(*plan.Plan) ([]string, error)                 // risk of all colonies by week, in pages
	Order func(*plan.Plan) (string, error)                   // the order by yard
	Map   func(*plan.Plan) (string, error)                   // the yards on a map
	Yard  func(*plan.Plan, *plan.YardPlan) ([]string, error) // its colonies ranked, stores against need, its springs
	// Stores, Risk, Bees and Gain are of one colony, day by day; Sugar and Start its
	// risk by amount and by first day.
	Stores, Risk, Bees, Gain, Sugar, Start ColonyChart
}

// ColonyChart draws one chart of a colony.
type ColonyChart func(*plan.Plan, *plan.ColonyPlan, *plan.Detail) (string, error)

// Options says how a page is written.
type Options struct {
	Units    words.Style
	Charts   Charts
	MaxBytes int // the most that a page may take; charts of the least urgent colonies give way
	Workers  int // pages of yards made at once; 0 is 1

	// For a page that is served: the address of a page with the charts of a
	// colony, by its place in plan.Colonies from 0, and of the page that asks
	// about one hive. Both may be left out.
	ColonyURL func(place int) string
	AskURL    string

	up   string // address of the page of all yards; "" for none
	left int    // colonies whose charts were not drawn
}

// MaxPageBytes is the largest page that DefaultOptions allows, bytes: one that a
// phone opens (issue: under 3 MB for 100 colonies).
const MaxPageBytes = 3_000_000

// DefaultOptions is metric, without charts, up to MaxPageBytes.
func DefaultOptions() Options { return Options{MaxBytes: MaxPageBytes} }

// Validate tells whether a page can be written so.
func (o Options) Validate() error {
	if o.MaxBytes <= 0 {
		return errors.New("the largest size of a page must be above 0 bytes")
	}
	return nil
}

//go:embed templates/*.html
var files embed.FS

//go:embed templates/page.js
var script string

// Policy is the content security policy of a page: it fetches nothing, and its
// own script is the only one that runs.
func Policy() string {
	sum := sha256.Sum256([]byte(script))
	return "default-src 'none'; style-src 'unsafe-inline'; img-src data:; script-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// daysAhead is how many days ahead visit days have a sheet, 7-21, own choice: what
// comes later will be planned anew before.
const daysAhead = 14

// Templates parses the templates of the page. The one that is run for a page is
// "page"; the others are parts.
func Templates() *template.Template {
	return template.Must(template.New("report").ParseFS(files, "templates/*.html"))
}

// Write writes the plan as one page. Details are those of plan.Colonies, in
// their order, and may be nil: then no charts of single colonies are drawn.
func Write(w io.Writer, pl *plan.Plan, details []plan.Detail, opt Options) error {
	if err := opt.Validate(); err != nil {
		return err
	}
	if details != nil && len(details) != len(pl.Colonies) {
		panic("report: the details are not those of the plan")
	}
	p, err := newPage(pl, details, opt)
	if err != nil {
		return err
	}
	set := Templates()
	render := func() (*bytes.Buffer, error) {
		var b bytes.Buffer
		err := set.ExecuteTemplate(&b, "page", p)
		return &b, err
	}
	b, err := render()
	if err != nil {
		return err
	}
	if over := b.Len() - opt.MaxBytes; over > 0 {
		p.dropCharts(over)
		if b, err = render(); err != nil {
			return err
		}
		if b.Len() > opt.MaxBytes {
			return fmt.Errorf("the page takes %d bytes even without the charts of colonies, and %d are allowed", b.Len(), opt.MaxBytes)
		}
	}
	_, err = w.Write(b.Bytes())
	return err
}

// dropCharts takes out charts of colonies, the least urgent first, until so
// many bytes are saved.
func (p *page) dropCharts(over int) {
	over += 2000 // for the sentence that says so
	for i := len(p.Colonies) - 1; i >= 0 && over > 0; i-- {
		for _, c := range p.Colonies[i].Charts {
			over -= len(c)
		}
		if len(p.Colonies[i].Charts) > 0 {
			p.Colonies[i].Charts, p.Colonies[i].Dropped = nil, true
			p.Dropped++
		}
	}
}

// page is all that the templates show.
type page struct {
	Title, Day, Summary string
	Changed             *words.Changed // since an earlier plan; nil when none was compared
	Invented            bool
	Weights, Volumes    string // names of the units
	Tally               words.Tally
	Feed                []feedRow
	Watch               []watchRow
	Dead, Leave         []namesRow
	Grid                []template.HTML
	Order               OrderView
	OrderChart          template.HTML
	Rounds              []round
	Map                 template.HTML
	Yards               []yardView
	Colonies            []colonyView
	Dropped             int // colonies whose charts gave way
	Warnings            []words.Grouped
	Cautions, Left      []string
	Inputs              []input
	Seen                []seenRow
	Accept              string
	Ask                 string
	Up                  string
	Policy              string
	Script              template.JS
	FilterYards         []string
	FilterVisits        []string
	Pages               []yardLink // in place of sheets and colonies, for a report of many pages
	MoreFeed            int        // colonies to feed that are listed on other pages only
	Days                []dayView
	DaysAhead           int
}

// dayView is a visit day for the template "days".
type dayView struct {
	Day               string
	Remark, Mix, Load []string
	Yards             []words.DayYard
}

type feedRow struct {
	Link, Yard, Next, Colony, Risk, By, First, InAll, Feeder, RiskFed string
	TooLate, ToGet                                                    bool
}

type watchRow struct{ Link, Yard, Next, Colony, Risk, Stores, Reserve, Look string }

type namesRow struct{ Yard, Next, Names string }

// OrderView is the order for the template "order".
type OrderView struct {
	Of       string // whose order it is
	Sentence string
	Half     string // headings of the two amounts
	Nine     string
	Lines    []words.OrderLine
	Gear     []plan.GearLine
}

// NewOrderView puts an order in the form that the template "order" shows.
func NewOrderView(of string, o plan.Order, u words.Style) OrderView {
	return OrderView{Of: of, Half: words.HalfTheSprings, Nine: words.NineInTen, Sentence: words.ShoppingLine(o, u), Lines: words.OrderLines(o, u), Gear: o.Gear}
}

type round struct {
	Day, Yard string
	Take      []string
	Tasks     []string
}

type yardView struct {
	Name, Next, Bloom, Nectar, NonFlying, Weather string
	Take                                          []string
	Work                                          []tick // of the whole yard, by visit
	Feed, Watch, Leave                            int
	Rows                                          []sheetRow
	LeaveNames, Losses                            string
	Pictures                                      []template.HTML
	Gear                                          []plan.GearLine
}

// sheetRow is a colony on the sheet of its yard.
type sheetRow struct {
	Colony, Do, Amount, How, By string
	Ticks                       []tick
	TooLate                     bool
}

// tick is one thing to tick off.
type tick struct {
	Text, Label string
	Late        bool // only for a hive that is low
}

type colonyView struct {
	ID, Order, Verdict string
	NextDay            string // the next visit of its yard
	Short              string
	words.Answer
	Charts  []template.HTML
	Dropped bool
	URL     string
}

type input struct{ Name, Value string }

type seenRow struct{ Yard, Colony, Date, Alive, Food, Seams, Brood, Boxes, Wrapped, Note string }

func newPage(pl *plan.Plan, details []plan.Detail, opt Options) (*page, error) {
	p := newPageOf(pl, opt)
	u := opt.Units
	next := p.nextVisits(pl, u)
	p.visitDays(pl, u)
	ids := map[*plan.ColonyPlan]string{}
	for i := range pl.Colonies {
		ids[&pl.Colonies[i]] = fmt.Sprintf("c%d", i+1)
	}
	for _, c := range words.With(pl, plan.Feed) {
		p.Feed = append(p.Feed, newFeedRow("#"+ids[c], next[c.Yard], c, u))
	}
	for _, c := range words.With(pl, plan.Watch) {
		p.Watch = append(p.Watch, watchRow{"#" + ids[c], words.Clean(c.Yard), next[c.Yard], words.Called(c), words.Risk(c.Risk),
			u.MassRange(c.StoresKg), u.Day(c.ReserveDate), words.WatchFor(c, u)})
	}
	for i := range pl.Yards {
		y := &pl.Yards[i]
		if dead := words.DeadOf(pl, *y); len(dead) > 0 {
			p.Dead = append(p.Dead, namesRow{words.Clean(y.Name), next[y.Name], strings.Join(dead, ", ")})
		}
		v := newYardView(pl, y, u)
		if v.LeaveNames != "" {
			p.Leave = append(p.Leave, namesRow{v.Name, next[y.Name], v.LeaveNames})
		}
		var err error
		if v.Pictures, err = yardPictures(pl, y, opt.Charts); err != nil {
			return nil, fmt.Errorf("charts of %s: %w", v.Name, err)
		}
		p.Yards = append(p.Yards, v)
	}
	p.Rounds = rounds(pl, u)
	if opt.Charts.Grid != nil {
		pages, err := opt.Charts.Grid(pl)
		if err != nil {
			return nil, err
		}
		p.Grid = make([]template.HTML, len(pages))
		for i := range pages {
			if err := put(&p.Grid[i])(pages[i], nil); err != nil {
				return nil, err
			}
		}
	}
	if err := p.drawAll(pl, opt); err != nil {
		return nil, err
	}
	for i := range pl.Colonies {
		v, err := newColonyView(pl, i, details, opt)
		if err != nil {
			return nil, err
		}
		v.ID, v.NextDay = ids[&pl.Colonies[i]], next[pl.Colonies[i].Yard]
		p.Colonies = append(p.Colonies, v)
	}
	return p, nil
}

// newPageOf is a page without its lists and pictures.
func newPageOf(pl *plan.Plan, opt Options) *page {
	u := opt.Units
	p := &page{Title: "Feeding plan, " + u.LongDay(pl.Today), Day: u.LongDay(pl.Today), Summary: words.Summary(pl, u), Invented: pl.Invented,
		Weights: u.Name("kg"), Volumes: u.Name("L"), Tally: words.Counts(pl), Order: NewOrderView("All yards", pl.Order, u),
		Warnings: words.GroupWarnings(pl, u), Changed: words.ChangedOf(pl, u),
		Cautions: u.Notes(pl.Cautions), Left: u.Notes(pl.Limits), Inputs: inputs(pl, u), Accept: words.Share(pl.AcceptPct / 100), Ask: opt.AskURL,
		Up: opt.up, Dropped: opt.left, Policy: Policy(), Script: template.JS(script), DaysAhead: daysAhead} // the script is the one embedded above
	if opt.up != "" && len(pl.Yards) == 1 {
		name := words.Clean(pl.Yards[0].Name)
		p.Title, p.Order.Of = name+", "+p.Title, name
	}
	if opt.up != "" || OnePage(pl, opt) {
		p.Seen = seen(pl, u)
	}
	return p
}

// visitDays puts the visit days on a page.
func (p *page) visitDays(pl *plan.Plan, u words.Style) {
	for _, d := range words.VisitDays(pl, daysAhead, u) {
		p.Days = append(p.Days, dayView{d.Name(u), d.Remark, d.Mix, d.Load, d.Yards})
	}
}

// drawAll draws what is of all yards: the order and the map.
func (p *page) drawAll(pl *plan.Plan, opt Options) error {
	for _, c := range []struct {
		draw func(*plan.Plan) (string, error)
		to   *template.HTML
	}{{opt.Charts.Order, &p.OrderChart}, {opt.Charts.Map, &p.Map}} {
		if c.draw != nil {
			if err := put(c.to)(c.draw(pl)); err != nil {
				return err
			}
		}
	}
	return nil
}

// newColonyView is the answer for a colony, by its place in the plan.
func newColonyView(pl *plan.Plan, i int, details []plan.Detail, opt Options) (colonyView, error) {
	c := &pl.Colonies[i]
	v := colonyView{Order: fmt.Sprint(i + 1), Verdict: c.Verdict.String(), Answer: words.AnswerFor(pl, c, opt.Units)}
	v.Answer.Place = "" // the sheet of its yard says so
	switch {
	case c.Verdict == plan.Feed && !c.StartBy.IsZero():
		v.Short = fmt.Sprintf("%s by %s, risk %s", opt.Units.FirstFeeding(c), opt.Units.Day(c.StartBy), words.Risk(c.Risk))
	case c.Verdict != plan.Dead:
		v.Short = "risk " + words.Risk(c.Risk)
	}
	if details != nil && len(details[i].Dates) > 0 {
		var err error
		if v.Charts, err = ColonyCharts(pl, c, &details[i], opt.Charts); err != nil {
			return v, fmt.Errorf("%s, %s: %w", v.Yard, v.Colony, err)
		}
	}
	if opt.ColonyURL != nil && c.Verdict != plan.Dead {
		v.URL = opt.ColonyURL(i)
	}
	return v, nil
}

// nextVisits finds the next visit of each yard, and what a page may be filtered by.
func (p *page) nextVisits(pl *plan.Plan, u words.Style) map[string]string {
	next := map[string]string{}
	byDay := map[string]time.Time{}
	for i := range pl.Yards {
		name := pl.Yards[i].Name
		day := words.NextVisit(pl, name)
		next[name] = u.Day(day)
		p.FilterYards = append(p.FilterYards, words.Clean(name))
		if !day.IsZero() {
			byDay[next[name]] = day
		}
	}
	p.FilterVisits = slices.SortedFunc(maps.Keys(byDay), func(a, b string) int { return byDay[a].Compare(byDay[b]) })
	return next
}

// yardPictures draws the charts of a yard.
func yardPictures(pl *plan.Plan, y *plan.YardPlan, charts Charts) ([]template.HTML, error) {
	if charts.Yard == nil {
		return nil, nil
	}
	svgs, err := charts.Yard(pl, y)
	out := make([]template.HTML, len(svgs))
	for k := range svgs {
		if err == nil {
			err = put(&out[k])(svgs[k], nil)
		}
	}
	return out, err
}

// put sets a picture made fit for a page.
func put(to *template.HTML) func(svg string, err error) error {
	return func(svg string, err error) error {
		if err != nil || svg == "" {
			return err
		}
		*to, err = inline(svg)
		return err
	}
}

// ColonyCharts draws the charts of a colony for the template "figures"; one that
// needs no feed gets its stores only.
func ColonyCharts(pl *plan.Plan, c *plan.ColonyPlan, d *plan.Detail, charts Charts) ([]template.HTML, error) {
	list := []ColonyChart{charts.Stores}
	if c.Verdict != plan.NoFeed {
		list = append(list, charts.Risk, charts.Start, charts.Sugar, charts.Bees, charts.Gain)
	}
	var out []template.HTML
	for _, f := range list {
		if f == nil {
			continue
		}
		var pic template.HTML
		if err := put(&pic)(f(pl, c, d)); err != nil {
			return nil, err
		}
		if pic != "" {
			out = append(out, pic)
		}
	}
	return out, nil
}

func newFeedRow(link, next string, c *plan.ColonyPlan, u words.Style) feedRow {
	r := feedRow{Link: link, Next: next, Yard: words.Clean(c.Yard), Colony: words.Called(c), Risk: words.Risk(c.Risk), By: u.Day(c.StartBy),
		TooLate: c.TooLate,
		First:   u.FirstFeeding(c), InAll: u.InAll(c), RiskFed: words.Risk(c.RiskFed)}
	r.Feeder, r.ToGet = words.FeederOf(c)
	return r
}

func newYardView(pl *plan.Plan, y *plan.YardPlan, u words.Style) yardView {
	v := yardView{Name: words.Clean(y.Name), Bloom: u.Days(y.Bloom), Nectar: u.Days(y.Nectar), NonFlying: words.CountRange(y.NonFlying),
		Weather: words.Clean(u.WeatherSource(y.Weather)),
		Feed:    y.Feed, Watch: y.Watch, Leave: y.NoFeed, Gear: y.Order.Gear}
	if next := words.NextVisit(pl, y.Name); !next.IsZero() {
		v.Next, v.Take = u.Day(next), words.Load(pl, y.Name, next, u)
	}
	var leave []string
	for i := range pl.Colonies {
		c := &pl.Colonies[i]
		if c.Yard != y.Name {
			continue
		}
		switch c.Verdict {
		case plan.Feed, plan.Watch:
			v.Rows = append(v.Rows, newSheetRow(c, u))
		case plan.NoFeed:
			leave = append(leave, words.Called(c))
		}
	}
	v.Work = yardWork(y, u)
	for _, name := range words.DeadOf(pl, *y) {
		v.Rows = append(v.Rows, sheetRow{Colony: name, Do: "dead", By: u.Day(y.Flying), Ticks: []tick{{Text: "closed", Label: name + " closed"},
			{Text: "inspected", Label: name + " inspected"}, {Text: "cleared away", Label: name + " cleared away"}}})
	}
	v.LeaveNames = strings.Join(leave, ", ")
	if y.Losses.Of > 0 {
		v.Losses = words.LossLine(&y.Losses)
	}
	return v
}

// yardWork lists what is to be done to a whole yard, in the order of its visits.
func yardWork(y *plan.YardPlan, u words.Style) []tick {
	var out []tick
	for _, visit := range y.Visits {
		for _, t := range visit.Tasks {
			if t.Colony == "" {
				text := u.Day(visit.Date) + ": " + words.Clean(u.Note(t.What))
				out = append(out, tick{Text: text, Label: text + ", done"})
			}
		}
	}
	return out
}

func newSheetRow(c *plan.ColonyPlan, u words.Style) sheetRow {
	r := sheetRow{Colony: words.Called(c), Do: c.Verdict.String(), By: u.Day(c.StartBy), TooLate: c.TooLate}
	if c.Verdict == plan.Watch {
		r.How = words.WatchFor(c, u)
		r.Ticks = []tick{{Text: "weighed or hefted", Label: r.Colony + " weighed or hefted"}}
		return r
	}
	var amounts []string
	if c.SyrupL > 0 {
		amounts = append(amounts, u.Volume(c.SyrupL)+" of "+words.Clean(c.Strength.String()))
	}
	if c.SolidKg > 0 {
		amounts = append(amounts, u.Mass(c.SolidKg)+" solid")
	}
	if r.Amount = strings.Join(amounts, ", "); c.Tally != nil {
		r.Amount += " each"
	}
	var toGet bool
	if r.How, toGet = words.FeederOf(c); toGet {
		r.How += " (to get)"
	}
	if c.Wrap {
		r.Ticks = append(r.Ticks, tick{Text: "wrapped", Label: r.Colony + " wrapped"})
	}
	for _, f := range c.Feedings {
		var what []string
		if f.SyrupL > 0 {
			what = append(what, u.Volume(f.SyrupL))
		}
		if f.SolidKg > 0 {
			what = append(what, u.Mass(f.SolidKg)+" solid")
		}
		t := tick{Text: u.ShortDay(f.Date) + ": " + strings.Join(what, " and "), Late: f.OnlyIfLow}
		if t.Late {
			t.Text += ", if low"
		}
		t.Label = r.Colony + ", " + t.Text + ", given"
		r.Ticks = append(r.Ticks, t)
	}
	return r
}

func rounds(pl *plan.Plan, u words.Style) []round {
	var out []round
	for _, v := range words.Rounds(pl) {
		out = append(out, round{u.Day(v.Date), words.Clean(v.Yard), words.Load(pl, v.Yard, v.Date, u), words.Tasks(v.Visit, u)})
	}
	return out
}
