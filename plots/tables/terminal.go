package tables

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	pretty "github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"bloomgap/feed"
)

// Style says how a terminal is written to.
type Style struct {
	Units   Units
	Colour  bool // bold headings and red risks; only for a terminal that shows them
	Width   int  // columns, MinWidth or more
	Reasons int  // colonies whose reason is printed, the most pressing first
}

// inventedWords mark the example.
const inventedWords = "INVENTED EXAMPLE: no real hive and no real weather."

// MinWidth is the narrowest terminal that the tables fit, columns.
const MinWidth = 100

// DefaultStyle is metric, without colour, 100 columns, 20 reasons.
func DefaultStyle() Style { return Style{Width: MinWidth, Reasons: 20} }

// Validate tells whether tables can be written so.
func (s Style) Validate() error {
	if s.Width < MinWidth {
		return fmt.Errorf("tables need %d columns and only %d are given", MinWidth, s.Width)
	}
	if s.Reasons < 0 {
		return errors.New("the number of reasons to print is below 0")
	}
	return nil
}

// Write prints the plan for a terminal: first what to do, then what to watch,
// the yards, the order, the equipment, the reasons, warnings and cautions. No
// line is wider than the style says.
func Write(w io.Writer, plan *feed.Plan, s Style) error {
	if err := s.Validate(); err != nil {
		return err
	}
	p := &printer{Style: s}
	p.head(plan)
	p.feed(plan)
	p.watch(plan)
	p.rest(plan)
	p.yards(plan)
	p.order(plan.Order)
	p.visits(plan)
	p.reasons(plan)
	p.warnings(plan)
	p.list("Usual cautions", plan.Cautions)
	p.list("What the model leaves out", plan.Left)
	_, err := io.WriteString(w, p.out.String())
	return err
}

// printer collects what is printed.
type printer struct {
	Style
	out strings.Builder
}

func (p *printer) heading(s string) {
	if p.out.Len() > 0 {
		p.out.WriteByte('\n')
	}
	s = wrapLines(s, p.Width)
	if p.Colour {
		s = "\x1b[1m" + strings.ReplaceAll(s, "\n", "\x1b[0m\n\x1b[1m") + "\x1b[0m"
	}
	p.out.WriteString(s + "\n")
}

// para prints text wrapped, its later lines set in.
func (p *printer) para(lead, s string) {
	in := strings.Repeat(" ", text.StringWidthWithoutEscSequences(lead))
	for i, line := range wrap(Clean(s), p.Width-len(in)) {
		if i > 0 {
			lead = in
		}
		p.out.WriteString(strings.TrimRight(lead+line, " ") + "\n")
	}
}

// column is a column of a table: its heading, the most it may be wide, and its
// side. A column that bends shares the room that the others leave, and is never
// narrower than its width.
type column struct {
	name  string
	width int
	side  side
}

type side int

const (
	left side = iota
	right
	bends // left, and takes part in sharing the room
)

// gap is the spaces between columns.
const gap = 2

// grid prints a table. Cells must be clean; they may hold line breaks. The
// least widths and the gaps must fit the narrowest terminal.
func (p *printer) grid(cols []column, rows [][]string) {
	t := pretty.NewWriter()
	style := pretty.StyleLight
	style.Options = pretty.Options{SeparateHeader: true}
	style.Box.PaddingLeft, style.Box.PaddingRight = "", strings.Repeat(" ", gap)
	style.Format.Header = text.FormatDefault
	t.SetStyle(style)
	t.SuppressTrailingSpaces()
	widths := p.share(cols, rows)
	configs := make([]pretty.ColumnConfig, len(cols))
	header := make(pretty.Row, len(cols))
	for i, c := range cols {
		header[i] = c.name
		configs[i] = pretty.ColumnConfig{Number: i + 1, WidthMax: widths[i], WidthMaxEnforcer: wrapLines, VAlignHeader: text.VAlignBottom}
		if c.side == right {
			configs[i].Align, configs[i].AlignHeader = text.AlignRight, text.AlignRight
		}
	}
	t.SetColumnConfigs(configs)
	t.AppendHeader(header)
	for _, r := range rows {
		row := make(pretty.Row, len(cols))
		for i := range cols {
			row[i] = r[i]
		}
		t.AppendRow(row)
	}
	for line := range strings.Lines(t.Render() + "\n") {
		line = strings.TrimRight(line, " \n")
		if rule := strings.Repeat(style.Box.MiddleHorizontal, gap); strings.Trim(line, style.Box.MiddleHorizontal) == "" {
			line = strings.TrimSuffix(line, rule) // no rule under the last gap
		}
		p.out.WriteString(line + "\n")
	}
}

// share gives each column its width.
func (p *printer) share(cols []column, rows [][]string) []int {
	widths, wants := make([]int, len(cols)), make([]int, len(cols))
	room := p.Width - gap*(len(cols)-1)
	for i, c := range cols {
		wants[i] = widest(c.name)
		for _, r := range rows {
			wants[i] = max(wants[i], widest(r[i]))
		}
		widths[i] = min(wants[i], c.width)
		room -= widths[i]
	}
	if room < 0 {
		panic("tables: the columns of a table are wider than the narrowest terminal")
	}
	for given := true; room > 0 && given; {
		given = false
		for i, c := range cols {
			if c.side == bends && room > 0 && widths[i] < wants[i] {
				widths[i]++
				room--
				given = true
			}
		}
	}
	return widths
}

func widest(cell string) int {
	w := 0
	for line := range strings.SplitSeq(cell, "\n") {
		w = max(w, text.StringWidthWithoutEscSequences(line))
	}
	return w
}

// wrapLines wraps each line of a cell by itself.
func wrapLines(s string, width int) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.Join(wrap(lines[i], width), "\n")
	}
	return strings.Join(lines, "\n")
}

// wrap cuts text into lines of at most width columns, between words where it
// can. Letters that take two columns count as two. It is written here because
// the library's wrapping lets a wide letter at the edge stick out.
func wrap(s string, width int) []string {
	if text.StringWidthWithoutEscSequences(s) <= width {
		return []string{s}
	}
	var lines []string
	var line strings.Builder
	used := 0
	next := func() {
		lines = append(lines, line.String())
		line.Reset()
		used = 0
	}
	for _, word := range strings.Fields(s) {
		w := text.StringWidthWithoutEscSequences(word)
		if used > 0 {
			if used+1+w <= width {
				line.WriteByte(' ')
				used++
			} else {
				next()
			}
		}
		for _, r := range word {
			if n := text.RuneWidth(r); used+n > width {
				next()
			}
			line.WriteRune(r)
			used += text.RuneWidth(r)
		}
	}
	return append(lines, line.String())
}

func (p *printer) head(plan *feed.Plan) {
	p.heading(fmt.Sprintf("Feeding plan for %s", p.Units.LongDay(plan.Today)))
	if plan.Invented {
		p.para("", inventedWords)
	}
	p.para("", Summary(plan, p.Units))
}

// Summary is the plan in a few sentences: how many of how many, the first to
// go to, what to buy.
func Summary(plan *feed.Plan, u Units) string {
	n := Counts(plan)
	s := fmt.Sprintf("%s in %s: %d to feed, %d to watch, %d to leave alone, %d dead.",
		title(count(n.All, "colony", "colonies")), count(len(plan.Yards), "yard", "yards"), n.Feed, n.Watch, n.Leave, n.Clear)
	if n.Feed > 0 {
		c := plan.Colonies[n.first]
		s += fmt.Sprintf(" Most pressing: %s, %s", Clean(c.Yard), Clean(c.Colony))
		if !c.StartBy.IsZero() {
			s += ", by " + u.Day(c.StartBy)
		}
		s += "."
	}
	return s + " " + ShoppingLine(plan.Order, u)
}

// Tally is a number of colonies by verdict.
type Tally struct {
	All, Feed, Watch, Leave, Clear int
	first                          int // index of the first to feed
}

// Counts counts the colonies of a plan by verdict.
func Counts(plan *feed.Plan) Tally {
	t := Tally{first: -1}
	for i, c := range plan.Colonies {
		t.All++
		switch c.Verdict {
		case feed.Feed:
			if t.Feed++; t.first < 0 {
				t.first = i
			}
		case feed.Watch:
			t.Watch++
		case feed.Leave:
			t.Leave++
		case feed.Clear:
			t.Clear++
		}
	}
	return t
}

// With lists the colonies of a plan that have a verdict, in their order.
func With(plan *feed.Plan, v feed.Verdict) []*feed.ColonyPlan {
	var out []*feed.ColonyPlan
	for i := range plan.Colonies {
		if plan.Colonies[i].Verdict == v {
			out = append(out, &plan.Colonies[i])
		}
	}
	return out
}

func (p *printer) feed(plan *feed.Plan) {
	list := With(plan, feed.Feed)
	if len(list) == 0 {
		p.heading("To feed: none")
		return
	}
	p.heading("To feed, the most pressing first")
	litres, kilos := p.Units.Name("L"), p.Units.Name("kg")
	cols := []column{{"Yard", 12, bends}, {"Colony", 8, bends}, {"Risk", 8, right}, {"Start by", 10, left}, {"Syrup,\n" + litres, 7, right},
		{"Mix", 6, left}, {"Solid,\n" + kilos, 6, right}, {"Way", 10, bends}, {"Fills", 16, bends}}
	var rows [][]string
	for _, c := range first(list) {
		by := p.Units.Day(c.StartBy)
		if c.TooLate {
			by = strings.TrimLeft(by+"\ngo sooner", "\n")
		}
		way, toGet := Way(c)
		if toGet {
			way += " (to get)"
		}
		rows = append(rows, []string{Clean(c.Yard), Clean(c.Colony), p.risk(c.Risk), by, amount(p.Units.Value(c.SyrupL, "L")), strengthText(c.Strength),
			amount(p.Units.Value(c.SolidKg, "kg")), way, strings.ReplaceAll(p.Units.Fills(c.Fills), ", ", "\n")})
	}
	p.grid(cols, rows)
	p.more(len(list))
	p.para("", "Risk: of starving before nectar when left alone, with the error of reckoning. Start by: the last visit that is early enough; go sooner: the next visit is already late. Syrup and solid: all fills until nectar.")
}

// Way names the way to give the feed of a colony, and tells whether equipment
// for it is still to be got.
func Way(c *feed.ColonyPlan) (way string, toGet bool) {
	way = Clean(c.Choice.Way)
	if way == "" && c.SolidKg > 0 {
		return "solid, over the cluster", false
	}
	return way, way != "" && !c.Choice.OnHand
}

// risk marks a risk on a terminal with colours.
func (p *printer) risk(r feed.Risk) string {
	s := Risk(r)
	if p.Colour && r.Frac >= 0.5 {
		return "\x1b[31m" + s + "\x1b[0m"
	}
	return s
}

// amount is a figure, "-" for none.
func amount(v float64) string {
	if v == 0 {
		return "-"
	}
	return Decimal(v)
}

func (p *printer) watch(plan *feed.Plan) {
	list := With(plan, feed.Watch)
	if len(list) == 0 {
		return
	}
	p.heading("To watch: no feed yet")
	var rows [][]string
	for _, c := range first(list) {
		rows = append(rows, []string{Clean(c.Yard), Clean(c.Colony), p.risk(c.Risk), p.Units.MassRange(c.StoresKg), dash(p.Units.Day(c.ReserveDate)), WatchFor(c, p.Units)})
	}
	p.grid([]column{{"Yard", 12, bends}, {"Colony", 8, bends}, {"Risk", 8, right}, {"Stores when seen", 20, left}, {"Reserve\npassed", 10, left},
		{"What to look for", 20, bends}}, rows)
	p.more(len(list))
}

// mostRows is how many colonies, yards or visits a terminal lists; the files
// hold all, rows, 100-1000, own judgement: more than anyone reads there.
const mostRows = 300

// mostNames is how long the list of colonies of one warning may be, letters,
// 400-4000, own judgement.
const mostNames = 1500

func first[T any](list []T) []T { return list[:min(len(list), mostRows)] }

// more tells what a list leaves out.
func (p *printer) more(n int) {
	if n > mostRows {
		p.para("", fmt.Sprintf("%d more are in the files that --out writes.", n-mostRows))
	}
}

// WatchFor is what settles the case of a colony to watch.
func WatchFor(c *feed.ColonyPlan, u Units) string {
	var out []string
	if c.Surety.WeighFirst {
		out = append(out, "Weigh it.")
	}
	switch {
	case c.Surety.NeedGrossKg > 0:
		out = append(out, fmt.Sprintf("Feed if the whole hive weighs under %s.", u.Mass(c.Surety.NeedGrossKg)))
	case c.Surety.NeedStoresKg > 0:
		out = append(out, fmt.Sprintf("Feed if it holds under %s of stores.", u.Mass(c.Surety.NeedStoresKg)))
	}
	if len(out) == 0 {
		return title(stop(c.Surety.Words))
	}
	return strings.Join(out, " ")
}

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

// rest names the dead and those that need nothing.
func (p *printer) rest(plan *feed.Plan) {
	yards := first(plan.Yards)
	name := func(head string, get func(y feed.YardPlan) []string) {
		said := false
		for _, y := range yards {
			if names := get(y); len(names) > 0 {
				if !said {
					p.heading(head)
					said = true
				}
				p.para("  ", Clean(y.Name)+": "+strings.Join(names, ", "))
			}
		}
	}
	name("Dead: close them and clear them away before flying weather", func(y feed.YardPlan) []string { return DeadOf(plan, y) })
	left := map[string][]string{}
	for _, c := range With(plan, feed.Leave) {
		left[c.Yard] = append(left[c.Yard], Clean(c.Colony))
	}
	name("No feed needed", func(y feed.YardPlan) []string { return left[y.Name] })
}

// DeadOf names the dead colonies of a yard.
func DeadOf(plan *feed.Plan, y feed.YardPlan) []string {
	var out []string
	seen := map[string]bool{}
	add := func(name string) {
		if name = Clean(name); !seen[name] {
			seen[name] = true
			out = append(out, name)
		}
	}
	for _, d := range y.Dead {
		add(d)
	}
	for _, c := range With(plan, feed.Clear) {
		if c.Yard == y.Name {
			add(c.Colony)
		}
	}
	return out
}

func (p *printer) yards(plan *feed.Plan) {
	if len(plan.Yards) == 0 {
		return
	}
	p.heading("Yards")
	var rows [][]string
	for _, y := range first(plan.Yards) {
		rows = append(rows, []string{Clean(y.Name), fmt.Sprint(y.Feed), fmt.Sprint(y.Watch), fmt.Sprint(y.Leave), fmt.Sprint(len(DeadOf(plan, y))), p.Units.Day(NextVisit(plan, y.Name)),
			p.Units.ShortDay(y.Nectar.P50), p.Units.shortRange(y.Nectar), CountRange(y.NonFlying), amount(p.Units.Value(y.Order.SyrupL.P50, "L")), amount(p.Units.Value(y.Order.SugarKg.P50, "kg"))})
	}
	p.grid([]column{{"Yard", 12, bends}, {"Feed", 4, right}, {"Watch", 5, right}, {"No\nfeed", 4, right}, {"Dead", 4, right}, {"Next visit", 10, left},
		{"Nectar", 6, left}, {"8 of 10\nsprings", 8, left}, {"Days without\nflight", 14, left}, {"Syrup,\n" + p.Units.Name("L"), 6, right}, {"Sugar,\n" + p.Units.Name("kg"), 6, right}}, rows)
	p.more(len(plan.Yards))
	p.weather(first(plan.Yards))
}

// weather tells where the springs of the yards come from, yards of the same
// source together.
func (p *printer) weather(yards []feed.YardPlan) {
	var sources []string
	names := map[string][]string{}
	for _, y := range yards {
		if y.Weather == "" {
			continue
		}
		if names[y.Weather] == nil {
			sources = append(sources, y.Weather)
		}
		names[y.Weather] = append(names[y.Weather], Clean(y.Name))
	}
	for _, source := range sources {
		who := strings.Join(names[source], ", ")
		if len(sources) == 1 && len(yards) > 1 {
			who = "all yards"
		}
		p.para("", "Springs of "+who+": "+Clean(source)+".")
	}
}

// shortRange is the middle 80 % of a range of dates on two lines.
func (u Units) shortRange(r feed.DateRange) string {
	if r.P10.IsZero() || r.P90.IsZero() {
		return ""
	}
	return u.ShortDay(r.P10) + " -\n" + u.ShortDay(r.P90)
}

// WriteOrder prints an order by itself, as the plan prints it.
func WriteOrder(w io.Writer, order feed.Order, invented bool, s Style) error {
	if err := s.Validate(); err != nil {
		return err
	}
	p := &printer{Style: s}
	if invented {
		p.para("", inventedWords)
	}
	p.order(order)
	_, err := io.WriteString(w, p.out.String())
	return err
}

func (p *printer) order(order feed.Order) {
	p.heading("THE ORDER, all yards")
	if lines := OrderLines(order, p.Units); len(lines) > 0 {
		var rows [][]string
		for _, l := range lines {
			rows = append(rows, []string{l.What, l.P50, l.P90})
		}
		p.grid([]column{{"", 20, left}, {"Median spring", 24, right}, {"9 springs of 10", 24, right}}, rows)
	}
	p.para("", ShoppingLine(order, p.Units))
	if len(order.Gear) == 0 {
		return
	}
	p.heading("Equipment")
	var rows [][]string
	for _, g := range order.Gear {
		rows = append(rows, []string{Clean(string(g.Item)), fmt.Sprint(g.Needed), fmt.Sprint(g.OnHand), fmt.Sprint(g.Buy)})
	}
	p.grid([]column{{"", 40, left}, {"Needed", 8, right}, {"On hand", 8, right}, {"To get", 8, right}}, rows)
}

// maxVisits is how many visits a terminal shows for each yard; the files and
// the page show all.
const maxVisits = 3

func (p *printer) visits(plan *feed.Plan) {
	if len(Rounds(plan)) == 0 {
		return
	}
	p.heading("Next visits")
	shown := map[string]int{}
	for _, r := range first(Rounds(plan)) {
		if shown[r.Yard]++; shown[r.Yard] <= maxVisits {
			p.para("  ", fmt.Sprintf("%s, %s: %s.", p.Units.Day(r.Date), Clean(r.Yard), strings.Join(Tasks(r.Visit), "; ")))
		}
	}
}

// Round is a visit and the yard it goes to.
type Round struct {
	Yard string
	feed.Visit
}

// Rounds lists the visits of all yards by date.
func Rounds(plan *feed.Plan) []Round {
	var out []Round
	for _, y := range plan.Yards {
		for _, v := range y.Visits {
			out = append(out, Round{y.Name, v})
		}
	}
	slices.SortStableFunc(out, func(a, b Round) int { return a.Date.Compare(b.Date) })
	return out
}

// Tasks writes the tasks of a visit, the colonies of equal tasks together:
// "3.0 L of syrup: B1, B7".
func Tasks(v feed.Visit) []string {
	var whats []string
	who := map[string][]string{}
	for _, t := range v.Tasks {
		what := Clean(t.What)
		if _, ok := who[what]; !ok {
			whats = append(whats, what)
			who[what] = nil
		}
		if t.Colony != "" {
			who[what] = append(who[what], Clean(t.Colony))
		}
	}
	if len(whats) == 0 {
		return []string{"look and heft"}
	}
	for i, what := range whats {
		if names := who[what]; len(names) > 0 {
			whats[i] = what + ": " + strings.Join(names, ", ")
		}
	}
	return whats
}

func (p *printer) reasons(plan *feed.Plan) {
	n, more := 0, 0
	for _, c := range plan.Colonies {
		if c.Verdict != feed.Feed && c.Verdict != feed.Watch || Clean(c.Reason) == "" {
			continue
		}
		if n == p.Reasons {
			more++
			continue
		}
		if n == 0 {
			p.heading("Why")
		}
		n++
		p.para("  ", fmt.Sprintf("%s, %s: %s", Clean(c.Yard), Clean(c.Colony), title(stop(c.Reason))))
	}
	if more > 0 {
		p.para("  ", fmt.Sprintf("The reasons of %s more are in the files and in the report.", count(more, "colony", "colonies")))
	}
}

func (p *printer) warnings(plan *feed.Plan) {
	list := GroupWarnings(plan)
	if len(list) == 0 {
		return
	}
	p.heading("Warnings")
	for _, g := range list {
		s := g.Text
		if where := []rune(g.Where); len(where) > mostNames {
			s = strings.TrimRight(string(where[:mostNames]), ",; ") + " and more: " + s
		} else if g.Where != "" {
			s = g.Where + ": " + s
		}
		p.para("  - ", s)
	}
}

func (p *printer) list(head string, items []string) {
	if len(items) == 0 {
		return
	}
	p.heading(head)
	for _, s := range items {
		p.para("  - ", title(stop(s)))
	}
}
