package terminal

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

func (p *printer) head(pl *plan.Plan) {
	p.heading("Feeding plan for " + p.Words.LongDay(pl.Today))
	if pl.Invented {
		p.para("", words.Invented)
	}
	p.para("", words.Summary(pl, p.Words))
	if pl.Worth != nil {
		p.para("", p.Words.Note(*pl.Worth))
	}
	p.changed(pl)
	p.since(pl)
}

// changed says at once that the figures of the model are not the usual ones.
func (p *printer) changed(pl *plan.Plan) {
	for _, n := range pl.Cautions {
		if _, ok := n.(plan.ModelChanged); ok {
			p.para("", p.Words.Note(n))
		}
	}
}

// colonies prints a plan colony by colony.
func (p *printer) colonies(pl *plan.Plan) {
	p.feed(pl)
	p.watch(pl)
	p.rest(pl)
	p.yards(pl)
	p.order(pl.Order)
	p.visits(pl)
	if p.Why {
		p.reasons(pl)
	}
	p.warnings(words.GroupWarnings(pl, p.Words))
	if p.Why {
		p.list("Usual cautions", p.Words.Notes(pl.Cautions))
		p.list("What the model leaves out", p.Words.Notes(pl.Limits))
		return
	}
	p.out.WriteByte('\n')
	p.para("", "Reasons, cautions and limits: add --why. One yard: add --yard and its name.")
}

// overview prints a plan yard by yard, the most urgent first.
func (p *printer) overview(pl *plan.Plan) {
	urgent := map[string]*plan.ColonyPlan{} // the first to feed of each yard; colonies come in order of urgency
	place := map[string]int{}
	for i := range pl.Colonies {
		if c := &pl.Colonies[i]; c.Verdict == plan.Feed && urgent[c.Yard] == nil {
			urgent[c.Yard], place[c.Yard] = c, i-len(pl.Colonies)
		}
	}
	yards := make([]*plan.YardPlan, len(pl.Yards))
	for i := range pl.Yards {
		yards[i] = &pl.Yards[i]
	}
	slices.SortStableFunc(yards, func(a, b *plan.YardPlan) int { return cmp.Compare(place[a.Name], place[b.Name]) })
	p.heading("Yards, the most urgent first")
	var rows [][]string
	for _, y := range first(yards) {
		by := "-"
		if c := urgent[y.Name]; c != nil {
			if by = p.Words.Day(c.StartBy); c.TooLate {
				by = "now"
			}
		}
		rows = append(rows, []string{words.Clean(y.Name), dash(p.Words.Day(words.NextVisit(pl, y.Name))), by, fmt.Sprint(y.Feed), fmt.Sprint(y.Watch),
			fmt.Sprint(y.NoFeed),
			fmt.Sprint(words.DeadCount(pl, *y)), p.Words.ShortDay(y.Nectar.P50), amount(p.Words.Value(y.Order.SyrupL.P50, "L")),
			amount(p.Words.Value(y.Order.SugarKg.P50, "kg"))})
	}
	p.grid([]column{{"Yard", 18, bends}, {"Next visit", 10, left}, {"Feed by", 10, left}, {"Feed", 4, right}, {"Watch", 5, right}, {"None", 4, right},
		{"Dead", 4, right},
		{"Nectar", 6, left}, {"Syrup, " + p.Words.Name("L"), 10, right}, {"Sugar, " + p.Words.Name("kg"), 10, right}}, rows)
	p.more(len(pl.Yards))
	p.warnings(words.WarningKinds(pl, p.Words))
	p.out.WriteByte('\n')
	p.para("", "The colonies of one yard: add --yard and its name. All colonies and reasons: add --why. Sheets and calendar: --out, --report, --pdf.")
}

func (p *printer) feed(pl *plan.Plan) {
	list := words.With(pl, plan.Feed)
	if len(list) == 0 {
		p.heading("To feed: none")
		return
	}
	p.heading("To feed, the most urgent first")
	cols := []column{{"Yard", 12, bends}, {"Colony", 8, bends}, {"Risk", 8, right}, {"Start by", 10, left}, {"First feeding", 13, bends},
		{"In all, on average", 22, bends}, {"Feeder", 12, bends}}
	var rows [][]string
	for _, c := range first(list) {
		by := p.Words.Day(c.StartBy)
		if c.TooLate {
			by = strings.TrimLeft(by+"\ngo sooner", "\n")
		}
		feeder, toGet := words.FeederOf(c)
		if toGet {
			feeder += " (to get)"
		}
		rows = append(rows, []string{words.Clean(c.Yard), words.Called(c), p.risk(c.Risk), by, p.Words.FirstFeeding(c), p.Words.InAll(c), feeder})
	}
	p.grid(cols, rows)
	p.more(len(list))
	p.para("", "Risk: of starving before nectar when left alone, with its simulation error. Start by: the last visit that is early enough; go sooner: "+
		"the next visit is already late. If low: only a hive that is low on that day. In all: until nectar, as you look again at each visit and feed "+
		"only what is low; syrup as sugar to water by weight.")
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
		rows = append(rows, []string{words.Clean(c.Yard), words.Called(c), p.risk(c.Risk), p.Words.MassRange(c.StoresKg),
			dash(p.Words.Day(c.ReserveDate)), words.WatchFor(c, p.Words)})
	}
	p.grid([]column{{"Yard", 12, bends}, {"Colony", 8, bends}, {"Risk", 8, right}, {"Stores when seen", 20, left}, {"Below\nreserve", 10, left},
		{"What to look for", 20, bends}}, rows)
	p.more(len(list))
}

const (
	// mostRows is how many colonies, yards or visits a terminal lists; the files
	// hold all, rows, 100-1000, own judgement: more than anyone reads there.
	mostRows = 300
	// mostNames is how long the list of colonies of one warning may be, letters,
	// 400-4000, own judgement.
	mostNames = 1500
)

func first[T any](list []T) []T { return list[:min(len(list), mostRows)] }

// more says what a list leaves out.
func (p *printer) more(n int) {
	if n > mostRows {
		p.para("", fmt.Sprintf("%d more are in the files that --out writes.", n-mostRows))
	}
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
	name("Dead: close them now, inspect them, then clear them away", func(y plan.YardPlan) []string { return words.DeadOf(pl, y) })
	left := map[string][]string{}
	for _, c := range words.With(pl, plan.NoFeed) {
		left[c.Yard] = append(left[c.Yard], words.Called(c))
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
		rows = append(rows, []string{words.Clean(y.Name), fmt.Sprint(y.Feed), fmt.Sprint(y.Watch), fmt.Sprint(y.NoFeed),
			fmt.Sprint(words.DeadCount(pl, y)), p.Words.Day(words.NextVisit(pl, y.Name)),
			p.Words.ShortDay(y.Nectar.P50), p.Words.ShortRange(y.Nectar), words.CountRange(y.NonFlying), amount(p.Words.Value(y.Order.SyrupL.P50, "L")),
			amount(p.Words.Value(y.Order.SugarKg.P50, "kg"))})
	}
	p.grid([]column{{"Yard", 12, bends}, {"Feed", 4, right}, {"Watch", 5, right}, {"No\nfeed", 4, right}, {"Dead", 4, right}, {"Next visit", 10, left},
		{"Nectar", 6, left}, {"in 8 in 10\nsprings", 10, left}, {"Days without\nflight", 14, left}, {"Syrup,\n" + p.Words.Name("L"), 6, right},
		{"Sugar,\n" + p.Words.Name("kg"), 6, right}}, rows)
	p.more(len(pl.Yards))
	p.weather(first(pl.Yards))
}

// weather says where the springs of the yards come from, yards of the same
// source together.
func (p *printer) weather(yards []plan.YardPlan) {
	var sources []string
	names := map[string][]string{}
	for _, y := range yards {
		source := p.Words.WeatherSource(y.Weather)
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
		p.para("", "Springs of "+who+": "+source+".")
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
		p.grid([]column{{"", 20, left}, {words.HalfTheSprings, 24, right}, {words.NineInTen, 24, right}}, rows)
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

// visits prints the next visit of each yard, all visits with Screen.Why.
func (p *printer) visits(pl *plan.Plan) {
	rounds := words.Rounds(pl)
	said := map[string]time.Time{}
	for _, r := range first(rounds) {
		if _, known := said[r.Yard]; known && !p.Why || r.Date.Before(pl.Today) {
			continue
		}
		if len(said) == 0 {
			p.heading("Next visits")
		}
		said[r.Yard] = r.Date
		p.para("  ", fmt.Sprintf("%s, %s: %s.", p.Words.Day(r.Date), words.Clean(r.Yard), strings.Join(words.Tasks(r.Visit, p.Words), "; ")))
	}
}

func (p *printer) reasons(pl *plan.Plan) {
	said := false
	for _, c := range first(pl.Colonies) {
		if c.Verdict != plan.Feed && c.Verdict != plan.Watch || len(c.Reason) == 0 {
			continue
		}
		if !said {
			p.heading("Why")
			said = true
		}
		p.para("  ", fmt.Sprintf("%s, %s: %s", words.Clean(c.Yard), words.Called(&c), strings.Join(p.Words.Sentences(c.Reason), " ")))
	}
	p.more(len(pl.Colonies))
}

// warnings prints each warning once, with what it is about.
func (p *printer) warnings(list []words.Grouped) {
	if len(list) == 0 {
		return
	}
	p.heading("Warnings")
	for _, g := range list {
		s := g.Text
		if where := g.Cut(mostNames).Where; where != "" {
			s = where + ": " + s
		}
		p.para("  - ", s)
	}
}
