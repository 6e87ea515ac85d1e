package terminal

import (
	"errors"
	"fmt"
	"io"
	"strings"

	pretty "github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// Screen says how a terminal is written to.
type Screen struct {
	Words   words.Style
	Colour  bool // bold headings and red risks; only for a terminal that shows them
	Width   int  // columns, MinWidth or more
	Reasons int  // colonies whose reason is printed, the most pressing first
}

// MinWidth is the narrowest terminal that the tables fit, columns.
const MinWidth = 100

// DefaultScreen is metric, without colour, 100 columns, 20 reasons.
func DefaultScreen() Screen { return Screen{Width: MinWidth, Reasons: 20} }

// Validate tells whether tables can be written so.
func (s Screen) Validate() error {
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
func Write(w io.Writer, pl *plan.Plan, s Screen) error {
	if err := s.Validate(); err != nil {
		return err
	}
	p := &printer{Screen: s}
	p.head(pl)
	p.feed(pl)
	p.watch(pl)
	p.rest(pl)
	p.yards(pl)
	p.order(pl.Order)
	p.visits(pl)
	p.reasons(pl)
	p.warnings(pl)
	p.list("Usual cautions", p.Words.Notes(pl.Cautions))
	p.list("What the model leaves out", p.Words.Notes(pl.Limits))
	_, err := io.WriteString(w, p.out.String())
	return err
}

// printer collects what is printed.
type printer struct {
	Screen
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
	for i, line := range wrap(words.Clean(s), p.Width-len(in)) {
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

func (p *printer) head(pl *plan.Plan) {
	p.heading(fmt.Sprintf("Feeding plan for %s", p.Words.LongDay(pl.Today)))
	if pl.Invented {
		p.para("", words.Invented)
	}
	p.para("", words.Summary(pl, p.Words))
}

func (p *printer) feed(pl *plan.Plan) {
	list := words.With(pl, plan.Feed)
	if len(list) == 0 {
		p.heading("To feed: none")
		return
	}
	p.heading("To feed, the most pressing first")
	litres, kilos := p.Words.Name("L"), p.Words.Name("kg")
	cols := []column{{"Yard", 12, bends}, {"Colony", 8, bends}, {"Risk", 8, right}, {"Start by", 10, left}, {"Syrup,\n" + litres, 7, right},
		{"Mix", 6, left}, {"Solid,\n" + kilos, 6, right}, {"Way", 10, bends}, {"Fills", 16, bends}}
	var rows [][]string
	for _, c := range first(list) {
		by := p.Words.Day(c.StartBy)
		if c.TooLate {
			by = strings.TrimLeft(by+"\ngo sooner", "\n")
		}
		way, toGet := words.Way(c)
		if toGet {
			way += " (to get)"
		}
		rows = append(rows, []string{words.Clean(c.Yard), words.Clean(c.Colony), p.risk(c.Risk), by, amount(p.Words.Value(c.SyrupL, "L")), words.Strength(c.Strength),
			amount(p.Words.Value(c.SolidKg, "kg")), way, strings.ReplaceAll(p.Words.Fills(c.Feedings), ", ", "\n")})
	}
	p.grid(cols, rows)
	p.more(len(list))
	p.para("", "Risk: of starving before nectar when left alone, with the error of reckoning. Start by: the last visit that is early enough; go sooner: the next visit is already late. Syrup and solid: all fills until nectar.")
}

// risk marks a risk on a terminal with colours.
func (p *printer) risk(r plan.Risk) string {
	s := words.Risk(r)
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
	return words.Decimal(v)
}

func (p *printer) watch(pl *plan.Plan) {
	list := words.With(pl, plan.Watch)
	if len(list) == 0 {
		return
	}
	p.heading("To watch: no feed yet")
	var rows [][]string
	for _, c := range first(list) {
		rows = append(rows, []string{words.Clean(c.Yard), words.Clean(c.Colony), p.risk(c.Risk), p.Words.MassRange(c.StoresKg), dash(p.Words.Day(c.ReserveDate)), words.WatchFor(c, p.Words)})
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

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return s
}

// rest names the dead and those that need nothing.
func (p *printer) rest(pl *plan.Plan) {
	yards := first(pl.Yards)
	name := func(head string, get func(y plan.YardPlan) []string) {
		said := false
		for _, y := range yards {
			if names := get(y); len(names) > 0 {
				if !said {
					p.heading(head)
					said = true
				}
				p.para("  ", words.Clean(y.Name)+": "+strings.Join(names, ", "))
			}
		}
	}
	name("Dead: close them and clear them away before flying weather", func(y plan.YardPlan) []string { return words.DeadOf(pl, y) })
	left := map[string][]string{}
	for _, c := range words.With(pl, plan.NoFeed) {
		left[c.Yard] = append(left[c.Yard], words.Clean(c.Colony))
	}
	name("No feed needed", func(y plan.YardPlan) []string { return left[y.Name] })
}

func (p *printer) yards(pl *plan.Plan) {
	if len(pl.Yards) == 0 {
		return
	}
	p.heading("Yards")
	var rows [][]string
	for _, y := range first(pl.Yards) {
		rows = append(rows, []string{words.Clean(y.Name), fmt.Sprint(y.Feed), fmt.Sprint(y.Watch), fmt.Sprint(y.NoFeed), fmt.Sprint(len(words.DeadOf(pl, y))), p.Words.Day(words.NextVisit(pl, y.Name)),
			p.Words.ShortDay(y.Nectar.P50), p.Words.ShortRange(y.Nectar), words.CountRange(y.NonFlying), amount(p.Words.Value(y.Order.SyrupL.P50, "L")), amount(p.Words.Value(y.Order.SugarKg.P50, "kg"))})
	}
	p.grid([]column{{"Yard", 12, bends}, {"Feed", 4, right}, {"Watch", 5, right}, {"No\nfeed", 4, right}, {"Dead", 4, right}, {"Next visit", 10, left},
		{"Nectar", 6, left}, {"8 of 10\nsprings", 8, left}, {"Days without\nflight", 14, left}, {"Syrup,\n" + p.Words.Name("L"), 6, right}, {"Sugar,\n" + p.Words.Name("kg"), 6, right}}, rows)
	p.more(len(pl.Yards))
	p.weather(first(pl.Yards))
}

// weather tells where the springs of the yards come from, yards of the same
// source together.
func (p *printer) weather(yards []plan.YardPlan) {
	var sources []string
	names := map[string][]string{}
	for _, y := range yards {
		source := words.WeatherSource(y.Weather)
		if source == "" {
			continue
		}
		if names[source] == nil {
			sources = append(sources, source)
		}
		names[source] = append(names[source], words.Clean(y.Name))
	}
	for _, source := range sources {
		who := strings.Join(names[source], ", ")
		if len(sources) == 1 && len(yards) > 1 {
			who = "all yards"
		}
		p.para("", "Springs of "+who+": "+words.Clean(source)+".")
	}
}

// WriteOrder prints an order by itself, as the plan prints it.
func WriteOrder(w io.Writer, order plan.Order, invented bool, s Screen) error {
	if err := s.Validate(); err != nil {
		return err
	}
	p := &printer{Screen: s}
	if invented {
		p.para("", words.Invented)
	}
	p.order(order)
	_, err := io.WriteString(w, p.out.String())
	return err
}

func (p *printer) order(order plan.Order) {
	p.heading("THE ORDER, all yards")
	if lines := words.OrderLines(order, p.Words); len(lines) > 0 {
		var rows [][]string
		for _, l := range lines {
			rows = append(rows, []string{l.What, l.P50, l.P90})
		}
		p.grid([]column{{"", 20, left}, {"Median spring", 24, right}, {"9 springs of 10", 24, right}}, rows)
	}
	p.para("", words.ShoppingLine(order, p.Words))
	if len(order.Gear) == 0 {
		return
	}
	p.heading("Equipment")
	var rows [][]string
	for _, g := range order.Gear {
		rows = append(rows, []string{words.Clean(string(g.Item)), fmt.Sprint(g.Needed), fmt.Sprint(g.OnHand), fmt.Sprint(g.Buy)})
	}
	p.grid([]column{{"", 40, left}, {"Needed", 8, right}, {"On hand", 8, right}, {"To get", 8, right}}, rows)
}

// maxVisits is how many visits a terminal shows for each yard; the files and
// the page show all.
const maxVisits = 3

func (p *printer) visits(pl *plan.Plan) {
	if len(words.Rounds(pl)) == 0 {
		return
	}
	p.heading("Next visits")
	shown := map[string]int{}
	for _, r := range first(words.Rounds(pl)) {
		if shown[r.Yard]++; shown[r.Yard] <= maxVisits {
			p.para("  ", fmt.Sprintf("%s, %s: %s.", p.Words.Day(r.Date), words.Clean(r.Yard), strings.Join(words.Tasks(r.Visit, p.Words), "; ")))
		}
	}
}

func (p *printer) reasons(pl *plan.Plan) {
	n, more := 0, 0
	for _, c := range pl.Colonies {
		if c.Verdict != plan.Feed && c.Verdict != plan.Watch || len(c.Reason) == 0 {
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
		p.para("  ", fmt.Sprintf("%s, %s: %s", words.Clean(c.Yard), words.Clean(c.Colony), words.Sentence(p.Words.Text(c.Reason))))
	}
	if more > 0 {
		p.para("  ", fmt.Sprintf("The reasons of %s more are in the files and in the report.", words.Count(more, "colony", "colonies")))
	}
}

func (p *printer) warnings(pl *plan.Plan) {
	list := words.GroupWarnings(pl, p.Words)
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
		p.para("  - ", words.Sentence(s))
	}
}
