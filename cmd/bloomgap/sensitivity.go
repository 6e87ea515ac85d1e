package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/sync/errgroup"

	"bloomgap/cmd/bloomgap/outputs"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
	"bloomgap/forage"
	"bloomgap/forage/read"
	"bloomgap/plots"
	"bloomgap/plots/files"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/observe"
	"bloomgap/sim/sensitivity"
)

const (
	sensitivityClimate = "Farnham" // of the built-in climates: Quebec, where the gap is long
	leastShare         = 0.01      // share of the spread below which a factor is not listed, in all answers
	fewSpread          = 0.05      // share of runs off the limit below which an answer says little
)

// typicalColony is a colony that the indices are worked out for.
type typicalColony struct {
	name, words        string
	boxes, heft, seams string
}

// typicalColonies are what a keeper hefts in March, own judgement.
func typicalColonies() []typicalColony {
	return []typicalColony{
		{"light", "one deep box, hefted light, 4 seams of bees", "1 deep", "light", "4"},
		{"fair", "one deep box, hefted fair, 6 seams of bees", "1 deep", "fair", "6"},
		{"strong", "two deep boxes, hefted fair, 10 seams of bees", "2 deep", "fair", "10"},
	}
}

// sensitivityOptions are the flags of the command sensitivity.
type sensitivityOptions struct {
	yard   map[string]*string
	date   string
	points int
	seed   uint64
	of     string
	json   bool
	chart  string
	force  bool
}

func newSensitivityCmd(c *console) *cobra.Command {
	o := sensitivityOptions{yard: map[string]*string{}}
	cmd := &cobra.Command{
		Use:   "sensitivity",
		Short: "Show what drives the answer: heft, bees, weather, bloom or the model's figures",
		Long: `Sensitivity shares out the spread of two answers among what is not known for
sure: the days until a colony's stores are gone should the bloom fail, and the
stores it lacks until nectar. Alone is the share that would go if the one thing
were known, in all the share that would stay if all else were known; they differ
where things act together. It looks at a light, a fair and a strong colony that
are hefted and left alone.

Without a place it takes the built-in climate of ` + sensitivityClimate + `, Quebec.`,
		Example: `  bloomgap sensitivity
  bloomgap sensitivity --climate bern --date 03-01
  bloomgap sensitivity --lat 49.8 --weather station.csv --chart drivers.svg`,
		Args: exactly(0),
		RunE: func(cmd *cobra.Command, _ []string) error { return runSensitivity(cmd.Context(), c, &o) },
	}
	f := cmd.Flags()
	for _, h := range hiveFlags() {
		switch h.column {
		case "lat", "lon", "elev", "weather", "climate", "bloom_date", "bloom_spread", "early_forage":
			o.yard[h.column] = f.String(h.name, "", h.help)
		}
	}
	f.StringVar(&o.date, "date", "03-20", "day the colonies are hefted, month-day or year-month-day")
	f.IntVar(&o.points, "points", sensitivity.DefaultOptions().Points, "points a sample; more make the intervals narrower")
	f.Uint64Var(&o.seed, "seed", 1, "random seed: same seed, same answer")
	f.BoolVar(&o.json, "json", false, "print as JSON")
	f.StringVar(&o.chart, "chart", "", "file to draw bars to: .svg, .png or .pdf; one a colony")
	f.BoolVar(&o.force, "force", false, forceHelp)
	f.StringVar(&o.of, "of", "days", "answer that is drawn: days (to empty) or short (stores short)")
	f.SortFlags = false
	return cmd
}

// sensitivityReport is what drives the answers of the colonies at a place.
type sensitivityReport struct {
	latDeg  float64
	weather string
	today   time.Time
	points  int
	early   colony.EarlyForage   // of the yard
	results []sensitivity.Result // by typical colony
}

// sensitivityPlace is a yard with its springs, what is seen of the typical colonies in it,
// and the files that were read.
type sensitivityPlace struct {
	yard    *season.Yard
	source  plan.WeatherSource
	outlook *forage.Outlook
	seen    []ensemble.InitialSpread // by typical colony
	files   []string
	ps      read.Problems
}

func (o *sensitivityOptions) place(today time.Time, yard map[string]string) (*sensitivityPlace, error) {
	at := &sensitivityPlace{}
	for _, k := range typicalColonies() {
		set := season.DefaultSettings()
		set.Seed = o.seed
		s, ps := season.OneHive(set, today, yard,
			map[string]string{"colony": k.name, "date": today.Format(time.DateOnly), "boxes": k.boxes, "heft": k.heft, "seams": k.seams})
		if err := ps.Err(); err != nil {
			return nil, err
		}
		if at.outlook == nil {
			worlds, found := visits.Worlds(s, readWeather)
			if err := found.Err(); err != nil {
				return nil, err
			}
			at.ps, at.files = append(ps, found...), weatherFilesOf(s)
			at.yard = &s.Yards[0]
			world := worlds[at.yard.Name]
			at.source = world.Source
			var err error
			if at.outlook, err = world.Outlook(); err != nil {
				return nil, err
			}
		}
		at.seen = append(at.seen, seenOf(&s.Colonies[0], s.Yards[0].Tares, at.outlook))
	}
	return at, nil
}

func runSensitivity(ctx context.Context, c *console, o *sensitivityOptions) error {
	format, err := chartFormat(o.chart)
	if err != nil {
		return err
	}
	if o.of != "days" && o.of != "short" {
		return usageError{fmt.Errorf("--of %q is not known; write days or short", o.of)}
	}
	opt := sensitivity.DefaultOptions()
	opt.Points, opt.Seed = o.points, o.seed
	if err := opt.Validate(); err != nil {
		return usageError{err}
	}
	day, err := dayOfSpring(c.today(), o.date)
	if err != nil {
		return err
	}
	yard := map[string]string{}
	for col, v := range o.yard {
		if strings.TrimSpace(*v) != "" {
			yard[col] = *v
		}
	}
	if yard["lat"] == "" && yard["lon"] == "" && yard["weather"] == "" && yard["climate"] == "" {
		yard["climate"] = sensitivityClimate
	}
	r := &sensitivityReport{today: day, points: o.points}
	colonies := typicalColonies()
	at, err := stoppable(ctx, func() (*sensitivityPlace, error) { return o.place(r.today, yard) })
	if err != nil {
		return err
	}
	c.warn(at.ps)
	r.latDeg, r.weather, r.early = at.yard.LatDeg, words.Style{}.WeatherSource(at.source), at.yard.EarlyForage
	out, err := beginFiles(at.files, o.force, o.chart)
	if err != nil {
		return err
	}
	outlook, seen := at.outlook, at.seen
	opt.Early = r.early
	r.results = make([]sensitivity.Result, len(colonies))
	work, each := errgroup.WithContext(ctx)
	for i, k := range colonies {
		work.Go(func() (err error) {
			r.results[i], err = sensitivity.Colony(each, k.name, outlook, outlook.Day(day), seen[i], opt)
			return err
		})
	}
	if _, err := stoppable(ctx, func() (any, error) { return nil, work.Wait() }); err != nil {
		return err
	}
	if o.chart != "" {
		if err := errors.Join(r.draw(ctx, c, out, o, format), out.Close()); err != nil {
			return err
		}
	}
	if o.json {
		return writeJSON(c.out, newSensitivityDoc(r))
	}
	var p terminal.Page
	r.print(&p)
	return p.Flush(c.out)
}

// dayOfSpring is a day of the spring that the clock looks forward to, or of the
// year that is named.
func dayOfSpring(clock time.Time, text string) (time.Time, error) {
	if d, err := time.Parse(time.DateOnly, text); err == nil {
		return d, nil
	}
	d, err := parseMonthDay("--date", text)
	if err != nil {
		return time.Time{}, err
	}
	return d.In(visits.SeasonYear(clock)), nil
}

// seenOf is what a look at a colony tells, as spreads.
func seenOf(col *season.Colony, tares season.Tares, o *forage.Outlook) ensemble.InitialSpread {
	base := colony.DefaultParams()
	hive, obs := col.Hive(tares, observe.MassesOf(&base)), col.Last()
	look := obs.Look(o.Day(obs.Date))
	return hive.Start(&look)
}

// says tells whether an answer varies enough to ask what drives it.
func says(a *sensitivity.Answer) bool { return a.SD > 0 && a.AtLimitFrac <= 1-fewSpread }

// ranked are the factors of an answer that varies, the largest first.
func ranked(a *sensitivity.Answer) []sensitivity.Index {
	out := slices.Clone(a.Indices)
	slices.SortStableFunc(out, func(x, y sensitivity.Index) int { return cmp.Compare(y.Total, x.Total) })
	return out
}

// most says in a line what drives an answer of the colonies.
func (r *sensitivityReport) most(answer int) string {
	type sum struct {
		factor string
		total  float64
		each   []string
	}
	var sums []sum
	n := 0
	for i := range r.results {
		a := &r.results[i].Answers[answer]
		if !says(a) {
			continue
		}
		n++
		for _, x := range a.Indices {
			k := slices.IndexFunc(sums, func(s sum) bool { return s.factor == x.Factor })
			if k < 0 {
				k = len(sums)
				sums = append(sums, sum{factor: x.Factor})
			}
			sums[k].total += x.Total
			sums[k].each = append(sums[k].each, fmt.Sprintf("%s %s", r.results[i].Colony, percentOf(x.Total)))
		}
	}
	if n == 0 {
		return "no colony's answer varies enough to tell"
	}
	slices.SortStableFunc(sums, func(x, y sum) int { return cmp.Compare(y.total, x.total) })
	text := fmt.Sprintf("%s (%s)", sums[0].factor, strings.Join(sums[0].each, ", "))
	if len(sums) > 2 {
		text += fmt.Sprintf(
			", then %s (%s) and %s (%s)",
			sums[1].factor,
			percentOf(sums[1].total/float64(n)),
			sums[2].factor,
			percentOf(sums[2].total/float64(n)),
		)
	}
	return text
}

func percentOf(frac float64) string {
	if math.IsNaN(frac) {
		return "-"
	}
	return words.Fixed(100*math.Max(0, frac), 0) + " %"
}

func withRange(v, low, high float64) string {
	if math.IsNaN(v) {
		return "-"
	}
	if math.IsNaN(low) || math.IsNaN(high) {
		return percentOf(v)
	}
	return fmt.Sprintf("%s (%s-%s)", percentOf(v), words.Fixed(100*math.Max(0, low), 0), words.Fixed(100*math.Max(0, high), 0))
}

func (r *sensitivityReport) print(p *terminal.Page) {
	p.Line("What matters most for the days until the stores are gone: %s.", r.most(0))
	p.Line("What matters most for the stores short until nectar: %s.", r.most(1))
	p.Line("SD: standard deviation; about two springs of three lie within one of it.")
	for i, k := range typicalColonies() {
		days, short := &r.results[i].Answers[0], &r.results[i].Answers[1]
		p.Heading("The %s colony: %s", k.name, k.words)
		p.Item(
			"Stores last %s days (SD %s) from %s should the bloom fail%s.",
			words.Fixed(days.Mean, 0),
			words.Fixed(days.SD, 0),
			words.DayMonth(r.today),
			atLimit(days, "; to the end of the days looked at in %s of the runs"),
		)
		p.Item(
			"It lacks %s kg (SD %s) until nectar, with the reserve held%s.",
			words.Fixed(short.Mean, 1),
			words.Fixed(short.SD, 1),
			atLimit(short, "; nothing in %s of the runs"),
		)
		for _, a := range []*sensitivity.Answer{days, short} {
			if !says(a) {
				p.Item("Its %s hardly vary: their shares say nothing and are left out.", a.Name)
			}
		}
		var rows [][]string
		first := days
		if !says(first) {
			first = short
		}
		for _, x := range ranked(first) {
			row := []string{x.Factor}
			largest := 0.0
			for _, a := range []*sensitivity.Answer{days, short} {
				k := slices.IndexFunc(a.Indices, func(y sensitivity.Index) bool { return y.Factor == x.Factor })
				if !says(a) || k < 0 {
					row = append(row, "-", "-")
					continue
				}
				y := a.Indices[k]
				largest = math.Max(largest, y.Total)
				row = append(row, withRange(y.First, y.FirstLow, y.FirstHigh), withRange(y.Total, y.TotalLow, y.TotalHigh))
			}
			if largest >= leastShare {
				rows = append(rows, row)
			}
		}
		if len(rows) > 0 {
			p.Grid(
				[]terminal.Column{
					terminal.Left("Share of the spread", 0),
					terminal.Right("Days to empty:\nalone", 0),
					terminal.Right("in all", 0),
					terminal.Right("Stores short:\nalone", 0),
					terminal.Right("in all", 0),
				},
				rows,
			)
		}
	}
	p.Heading("How to read it")
	p.Item(
		"Alone: what would go if this were known. In all: what would stay if all else were known. In brackets: 9 in 10, from the %d points. Factors under %s in all are not listed; --json has them, with the parameters in each.",
		r.points,
		percentOf(leastShare),
	)
	p.Item("Latitude %.2f N, %s. Weather: %s.", r.latDeg, words.FullDate(r.today), strings.TrimSuffix(r.weather, "."))
}

func atLimit(a *sensitivity.Answer, text string) string {
	if a.AtLimitFrac == 0 {
		return ""
	}
	return fmt.Sprintf(text, words.Percent(math.Round(1000*a.AtLimitFrac)/1000))
}

// draw writes the bars of each colony whose answer varies.
func (r *sensitivityReport) draw(ctx context.Context, c *console, out *outputs.Set, o *sensitivityOptions, format string) error {
	answer := 0
	if o.of == "short" {
		answer = 1
	}
	ext := filepath.Ext(o.chart)
	for i := range r.results {
		res := &r.results[i]
		a := &res.Answers[answer]
		if !says(a) {
			fmt.Fprintf(c.errs, "the %s of the %s colony hardly vary and are not drawn\n", a.Name, res.Colony)
			continue
		}
		b := plots.Bars{Of: [...]string{"time to empty", "shortage"}[answer] + " of the " + res.Colony + " colony"}
		for _, x := range ranked(a) {
			if x.Total >= leastShare {
				b.Bars = append(
					b.Bars,
					plots.Bar{
						Name:    x.Factor,
						First:   math.Max(0, x.First),
						FirstLo: x.FirstLow,
						FirstHi: x.FirstHigh,
						Total:   math.Max(0, x.Total),
						TotalLo: x.TotalLow,
						TotalHi: x.TotalHigh,
					},
				)
			}
		}
		look := plots.DefaultLook()
		chart := plots.BarChart(b, look)
		path := strings.TrimSuffix(o.chart, ext) + "-" + res.Colony + ext
		if err := writeAndSay(ctx, c, out, path, func(w io.Writer) error { return chart.Write(w, format, chartWidthCm, 0) }); err != nil {
			return err
		}
	}
	return nil
}

// sensitivityDoc is the JSON of the command sensitivity; null is not known.
type sensitivityDoc struct {
	Format   string                 `json:"format"`
	Date     string                 `json:"date"`
	LatDeg   files.Num              `json:"lat_deg"`
	Weather  string                 `json:"weather"`
	Points   int                    `json:"points"`
	Colonies []sensitivityColonyDoc `json:"colonies"`
}

type sensitivityColonyDoc struct {
	Colony     string              `json:"colony"`
	What       string              `json:"what"`
	Answers    []answerDoc         `json:"answers"`
	Parameters map[string][]string `json:"parameters_by_factor"`
}

type answerDoc struct {
	Answer  string     `json:"answer"`
	Unit    string     `json:"unit"`
	Mean    files.Num  `json:"mean"`
	SD      files.Num  `json:"sd"`
	AtLimit files.Num  `json:"at_limit_frac"`
	Factors []indexDoc `json:"factors"`
}

type indexDoc struct {
	Factor    string    `json:"factor"`
	First     files.Num `json:"first_order"`
	FirstLow  files.Num `json:"first_order_p5"`
	FirstHigh files.Num `json:"first_order_p95"`
	Total     files.Num `json:"total"`
	TotalLow  files.Num `json:"total_p5"`
	TotalHigh files.Num `json:"total_p95"`
}

func newSensitivityDoc(r *sensitivityReport) sensitivityDoc {
	n := func(v float64) files.Num { return files.Num(v) }
	d := sensitivityDoc{Format: "bloomgap sensitivity", Date: r.today.Format(time.DateOnly), LatDeg: n(r.latDeg), Weather: r.weather, Points: r.points}
	for i, k := range typicalColonies() {
		e := sensitivityColonyDoc{Colony: k.name, What: k.words, Parameters: r.results[i].Parameters}
		for j := range r.results[i].Answers {
			a := &r.results[i].Answers[j]
			x := answerDoc{Answer: a.Name, Unit: a.Unit, Mean: n(a.Mean), SD: n(a.SD), AtLimit: n(a.AtLimitFrac)}
			for _, f := range ranked(a) {
				x.Factors = append(x.Factors, indexDoc{f.Factor, n(f.First), n(f.FirstLow), n(f.FirstHigh), n(f.Total), n(f.TotalLow), n(f.TotalHigh)})
			}
			e.Answers = append(e.Answers, x)
		}
		d.Colonies = append(d.Colonies, e)
	}
	return d
}
