package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"bloomgap/feed/season"
	"bloomgap/feed/visits"
	"bloomgap/forage/bloom"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
	"bloomgap/plots/files"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
)

// bloomFitOptions are the flags of bloom fit.
type bloomFitOptions struct {
	plant, place string
	stage        string
	location     string
	recordUnits  string
	confirm      confirmFlag
	json         bool
}

func newBloomFitCmd(c *console) *cobra.Command {
	var o bloomFitOptions
	cmd := &cobra.Command{
		Use:   "fit DATES WEATHER...",
		Short: "Fit a bloom rule to your own dates of first bloom",
		Long: `Fit looks for the day, base temperature and sum of warmth that best give your own
dates of first bloom. DATES is a table with a column date, one row a year, and
with plant, place and stage (first flower, full bloom) where it holds several.
WEATHER is the daily record of the place, in one file or several. It judges by
years that it had not seen: warmth from 1 January, warmth from a fitted day, and
simply the mean date. It needs five years or more.`,
		Example: `  bloomgap bloom fit my-dandelions.csv station.csv
  bloomgap bloom fit notes.csv 2019.csv 2020.csv 2021.csv --plant dandelion --place home`,
		Args: atLeast(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runBloomFit(cmd.Context(), c, args[0], args[1:], &o)
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.plant, "plant", "", "plant wanted, where the dates are of several")
	f.StringVar(&o.place, "place", "", "place wanted, where the dates are of several")
	f.StringVar(&o.stage, "stage", "", "stage wanted, where the dates are of several: first flower or full bloom")
	f.StringVar(&o.location, "location", "", "place wanted in the weather, where a file holds several")
	f.StringVar(&o.recordUnits, "record-units", "", "metric or us, where the weather does not say")
	o.confirm.register(f)
	f.BoolVar(&o.json, "json", false, "print as JSON")
	f.SortFlags = false
	return cmd
}

func runBloomFit(ctx context.Context, c *console, datesFile string, weatherFiles []string, o *bloomFitOptions) error {
	opts, err := c.readOptions(o.location, o.recordUnits, &o.confirm)
	if err != nil {
		return err
	}
	var ps read.Problems
	var notes []bloom.Observation
	if data, ok := c.content(datesFile, &ps); ok {
		var found read.Problems
		notes, found = bloom.ReadDates(shownName(datesFile), bytes.NewReader(data))
		ps = append(ps, found.Confirm(opts.Confirmed)...)
	}
	rec, problems, err := stoppableRead(ctx, func() (*weather.Record, read.Problems) { return opts.ReadFiles(weatherFiles) })
	if err != nil {
		return err
	}
	ps = append(ps, problems...)
	if err := ps.Err(); err != nil {
		return err
	}
	plants, _ := bloom.Kinds(notes)
	plant := pickName(&ps, datesFile, "plant", o.plant, plants)
	_, places := bloom.Kinds(bloom.Select(notes, plant, ""))
	place := pickName(&ps, datesFile, "place", o.place, places)
	if err := ps.Err(); err != nil {
		return err
	}
	chosen := bloom.Select(notes, plant, place)
	stages := bloom.Stages(chosen)
	if chosen = bloom.OfStage(chosen, bloom.ParseStage(o.stage)); len(chosen) == 0 {
		ps.Add(datesFile, 0, 0, fmt.Sprintf("has no dates of the stage %q", o.stage), "the stages are: "+listed(stages))
		return ps.Err()
	}
	opt := bloom.DefaultFitOptions()
	opt.Plant, opt.Role = plant, bloom.DependableNectar
	if plants, _ := bloom.Kinds(chosen); len(plants) == 1 {
		opt.Plant = plants[0]
	}
	fit, err := bloom.Fit(ctx, chosen, rec, opt)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return refusedFit(datesFile, err)
	}
	c.warn(ps)
	year := visits.SeasonYear(c.today())
	if o.json {
		return writeJSON(c.out, newFitDoc(&fit, year))
	}
	var p terminal.Page
	printFit(&p, &fit, place, year)
	return p.Flush(c.out)
}

// pickName finds a name among those of a file: the same, or the only one that
// holds it. No name wanted picks none.
func pickName(ps *read.Problems, file, what, wanted string, names []string) string {
	wanted = strings.TrimSpace(wanted)
	if wanted == "" {
		return ""
	}
	var holding []string
	for _, n := range names {
		if strings.EqualFold(n, wanted) {
			return n
		}
		if strings.Contains(strings.ToLower(n), strings.ToLower(wanted)) {
			holding = append(holding, n)
		}
	}
	switch len(holding) {
	case 0:
		ps.Add(file, 0, 0, fmt.Sprintf("has no dates of the %s %q", what, wanted), fmt.Sprintf("the %ss are: %s", what, listed(names)))
		return ""
	case 1:
		return holding[0]
	}
	ps.Add(file, 0, 0, fmt.Sprintf("has several %ss with %q", what, wanted), "write one of them in full: "+listed(holding))
	return ""
}

// refusedFit tells why there is no fit and what to do.
func refusedFit(file string, err error) error {
	const mostDropped = 10 // dates that are listed
	var ps read.Problems
	var mixed bloom.MixedError
	var few bloom.TooFewError
	switch {
	case errors.As(err, &mixed) && len(mixed.Plants) > 1:
		ps.Add(file, 0, 0, "the dates are of several plants", "name one with --plant: "+listed(mixed.Plants))
	case errors.As(err, &mixed) && len(mixed.Places) > 1:
		ps.Add(file, 0, 0, "the dates are of several places", "name one with --place: "+listed(mixed.Places))
	case errors.As(err, &mixed):
		ps.Add(file, 0, 0, "the dates are of several stages, which lie days apart", "name one with --stage: "+listed(mixed.Stages))
	case errors.As(err, &few):
		ps.Add(file, 0, 0, fmt.Sprintf("%s of dates can be used, and %d are needed", words.Count(few.Usable, "year", "years"), few.Need),
			"give more years, or weather that covers them; until then use a built-in rule (bloomgap bloom plants) or fill in bloom_date")
		for i, d := range few.Dropped {
			if i == mostDropped {
				ps.Add(file, 0, 0, fmt.Sprintf("and %d more dates cannot be used", len(few.Dropped)-i), "see the reasons above")
				break
			}
			ps.Add(file, d.Observation.Line, 0, fmt.Sprintf("%s cannot be used: %s", d.Observation.Date.Format(time.DateOnly), d.Reason),
				"give weather of that spring, or leave the date out")
		}
	default:
		return err
	}
	return ps.Err()
}

// listed writes out a list, cut when it is long.
func listed(words []string) string {
	const most = 12
	words = slices.DeleteFunc(slices.Clone(words), func(w string) bool { return w == "" })
	if len(words) == 0 {
		return "none is named"
	}
	if len(words) > most {
		return strings.Join(words[:most], "; ") + fmt.Sprintf(" and %d more", len(words)-most)
	}
	return strings.Join(words, "; ")
}

// ruleCells are the columns that put a fit into the table of yards.
func ruleCells(fit *bloom.FitResult, year int) (heads, cells []string) {
	th := &fit.Threshold
	if fit.UseMeanDate {
		return []string{"bloom_date", "bloom_spread"}, []string{fit.MeanDate(year).Format(time.DateOnly), tenth(fit.MeanLeftOutRMSEDays)}
	}
	return []string{"bloom_base_c", "bloom_start", "bloom_need_cd", "bloom_spread"},
		[]string{tenth(th.BaseC), season.StartText(th.StartDOY), tenth(th.NeedCd), tenth(th.SpreadDays)}
}

// tenth is a number to a tenth without needless zeros.
func tenth(v float64) string { return strconv.FormatFloat(math.Round(10*v)/10, 'f', -1, 64) }

func startDay(doy int) string {
	return time.Date(2001, time.January, doy, 0, 0, 0, 0, time.UTC).Format("2 January")
}

func printFit(p *terminal.Page, fit *bloom.FitResult, place string, year int) {
	th := &fit.Threshold
	name := plantName(th)
	if place != "" {
		name += " at " + place
	}
	p.Heading("Bloom rule for %s, from %s of your own dates", name, words.Count(len(fit.Years), "year", "years"))
	p.Item("Add up each day's mean temperature above %s C from %s; bloom is due at %s C-days.", tenth(th.BaseC), startDay(th.StartDOY), tenth(th.NeedCd))
	switch fit.Rule {
	case "sum only":
		p.Item("Only the sum is fitted; the day and the base are plain ones. With ten years or more they may be fitted too.")
	case "start day and sum":
		p.Item("The day and the sum are fitted; a base of its own did not pay.")
	default:
		p.Item("The day, the base and the sum are fitted.")
	}
	if th.Stage == "" {
		p.Item("Your dates do not say their stage. First flower and full bloom lie days apart: write which it is in a column stage.")
	}
	printWays(p, fit)

	p.Heading("Year by year")
	var rows [][]string
	for _, y := range fit.Years {
		rows = append(rows, []string{strconv.Itoa(y.Year), words.DayMonth(y.Observed), words.DayMonth(y.Fitted), late(y.FittedErrorDays),
			words.DayMonth(y.LeftOut), late(y.LeftOutErrorDays)})
	}
	p.Grid([]terminal.Column{terminal.Left("Year", 0), terminal.Right("Seen", 0), terminal.Right("By the rule", 0), terminal.Right("Days late", 0),
		terminal.Right("Without that year", 0), terminal.Right("Days late", 0)}, rows)
	if len(fit.Dropped) > 0 {
		p.Heading("Dates not used: %d", len(fit.Dropped))
		for _, why := range reasons(fit.Dropped) {
			p.Item("%s", why)
		}
	}
	printFitUse(p, fit, year)
}

// plantName is the plant of a rule with its stage.
func plantName(th *bloom.Threshold) string {
	name := th.Plant
	if name == "" {
		name = "your plant"
	}
	if th.Stage != "" {
		name += ", " + string(th.Stage)
	}
	return name
}

// printWays compares the ways to tell the date.
func printWays(p *terminal.Page, fit *bloom.FitResult) {
	th := &fit.Threshold
	p.Heading("Which way is best, on years it had not seen")
	var rows [][]string
	for _, c := range fit.Candidates {
		name := map[bloom.Way]string{bloom.FromNewYear: "warmth from " + startDay(c.StartDOY) + ", only the sum fitted",
			bloom.FittedStart: "warmth from a fitted day", bloom.MeanDate: "the mean date, " + words.DayMonth(fit.MeanDate(2001))}[c.Way] // 2001: a common year
		errs := words.Fixed(c.LeftOutRMSEDays, 1)
		switch {
		case math.IsNaN(c.LeftOutRMSEDays):
			errs = "not tried"
		case c.Way == bloom.FittedStart:
			name = "warmth from " + startDay(c.StartDOY) + ", the day fitted"
		}
		mark := ""
		if c.Way == fit.Winner {
			mark = "use this"
		}
		rows = append(rows, []string{name, errs, mark})
	}
	p.Grid([]terminal.Column{terminal.Left("Way", 0), terminal.Right("Error, days", 0), terminal.Left("", 0)}, rows)
	p.Line("%s", words.BloomAdvice(fit.UseMeanDate, fit.MeanDate(2001), fit.MeanLeftOutRMSEDays, fit.LeftOutRMSEDays))
	p.Line("On the years it was fitted to the rule is off by %s days, which is rosy; the dates themselves vary by %s.",
		words.Fixed(fit.FitRMSEDays, 1), words.Fixed(fit.SDDays, 1))
	if fit.LeftOutRMSEDays < th.SpreadDays {
		p.Line("The spread to use is %s days: no two people agree better on a bloom.", tenth(th.SpreadDays))
	}
}

// printFitUse says how to put a fit to use.
func printFitUse(p *terminal.Page, fit *bloom.FitResult, year int) {
	p.Heading("How to use it")
	heads, cells := ruleCells(fit, year)
	p.Item("In the table of yards, for the yards that lie by that place:")
	p.Exact(strings.Join(heads, ","))
	p.Exact(strings.Join(cells, ","))
	call := "bloomgap bloom forecast --lat LAT --lon LON --weather FILE"
	if fit.UseMeanDate {
		return
	}
	p.Item("For this season's dates, with your own place and record:")
	for i, h := range heads {
		call += " --" + strings.ReplaceAll(h, "_", "-") + "=" + cells[i]
	}
	p.Exact(call)
}

// late is an error of a date with its sign.
func late(days float64) string {
	if days == 0 {
		return "0"
	}
	return fmt.Sprintf("%+.0f", days)
}

// reasons groups what was dropped by its reason, in the order met.
func reasons(dropped []bloom.Dropped) []string {
	var order []string
	years := map[string][]string{}
	for _, d := range dropped {
		if len(years[d.Reason]) == 0 {
			order = append(order, d.Reason)
		}
		years[d.Reason] = append(years[d.Reason], strconv.Itoa(d.Observation.Date.Year()))
	}
	for i, r := range order {
		order[i] = fmt.Sprintf("%s: %s", r, strings.Join(years[r], " "))
	}
	return order
}

// fitDoc is the JSON of bloom fit.
type fitDoc struct {
	Format          string            `json:"format"`
	Plant           string            `json:"plant"`
	Stage           string            `json:"stage,omitempty"`
	Rule            string            `json:"rule"`
	BaseC           files.Num         `json:"base_c"`
	Start           string            `json:"start"`
	NeedCd          files.Num         `json:"need_c_days"`
	SpreadDays      files.Num         `json:"spread_days"`
	LeftOutDays     files.Num         `json:"left_out_error_days"`
	FitDays         files.Num         `json:"fitted_error_days"`
	MeanLeftOutDays files.Num         `json:"mean_date_left_out_error_days"`
	SDDays          files.Num         `json:"dates_sd_days"`
	MeanDate        string            `json:"mean_date"`
	UseMeanDate     bool              `json:"use_mean_date"`
	Advice          string            `json:"advice"`
	Winner          string            `json:"winner"`
	Candidates      []candidateDoc    `json:"compared_on_years_left_out"`
	Columns         map[string]string `json:"yard_columns"`
	Years           []fitYearDoc      `json:"years"`
	Dropped         []droppedDoc      `json:"not_used"`
}

type fitYearDoc struct {
	Year         int       `json:"year"`
	Seen         string    `json:"seen"`
	Fitted       string    `json:"fitted"`
	LeftOut      string    `json:"left_out"`
	LeftOutError files.Num `json:"left_out_error_days"`
}

type candidateDoc struct {
	Way   string    `json:"way"`
	Start string    `json:"start,omitempty"`
	Error files.Num `json:"error_days"`
}

type droppedDoc struct {
	Date   string `json:"date"`
	Reason string `json:"reason"`
}

func newFitDoc(fit *bloom.FitResult, year int) fitDoc {
	th := &fit.Threshold
	n := func(v float64) files.Num { return files.Num(v) }
	d := fitDoc{Format: "bloomgap bloom fit", Plant: th.Plant, Stage: string(th.Stage), Winner: string(fit.Winner), Rule: fit.Rule,
		BaseC: n(th.BaseC), Start: season.StartText(th.StartDOY), NeedCd: n(th.NeedCd),
		SpreadDays:  n(th.SpreadDays),
		LeftOutDays: n(fit.LeftOutRMSEDays),
		FitDays:     n(fit.FitRMSEDays), MeanLeftOutDays: n(fit.MeanLeftOutRMSEDays), SDDays: n(fit.SDDays),
		MeanDate: fit.MeanDate(year).Format(time.DateOnly), UseMeanDate: fit.UseMeanDate,
		Advice:  words.BloomAdvice(fit.UseMeanDate, fit.MeanDate(2001), fit.MeanLeftOutRMSEDays, fit.LeftOutRMSEDays),
		Columns: map[string]string{}}
	heads, cells := ruleCells(fit, year)
	for i, h := range heads {
		d.Columns[h] = cells[i]
	}
	for _, c := range fit.Candidates {
		x := candidateDoc{Way: string(c.Way), Error: n(c.LeftOutRMSEDays)}
		if c.Way != bloom.MeanDate && !math.IsNaN(c.LeftOutRMSEDays) {
			x.Start = season.StartText(c.StartDOY)
		}
		d.Candidates = append(d.Candidates, x)
	}
	for _, y := range fit.Years {
		d.Years = append(d.Years, fitYearDoc{y.Year, y.Observed.Format(time.DateOnly), y.Fitted.Format(time.DateOnly), y.LeftOut.Format(time.DateOnly),
			n(y.LeftOutErrorDays)})
	}
	for _, x := range fit.Dropped {
		d.Dropped = append(d.Dropped, droppedDoc{x.Observation.Date.Format(time.DateOnly), x.Reason})
	}
	return d
}
