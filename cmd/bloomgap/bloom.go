package main

import (
	"bytes"
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
	"bloomgap/plots/files"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
)

func newBloomCmd(c *console) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "bloom",
		Short: "When plants bloom: this season's dates, and rules fitted to your own notes",
		Example: `  bloomgap bloom plants
  bloomgap bloom fit my-dandelions.csv station.csv
  bloomgap bloom forecast --lat 45.3 --lon -72.9 --weather station.csv`,
		Args: exactly(0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return usageError{fmt.Errorf("%s: name one of fit, forecast and plants", cmd.CommandPath())}
		},
	}
	cmd.AddCommand(newBloomFitCmd(c), newBloomForecastCmd(c), newBloomPlantsCmd(c))
	return cmd
}

// bloomFitOptions are the flags of bloom fit.
type bloomFitOptions struct {
	plant, place string
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
with plant and place where it holds several. WEATHER is the daily record of the
place, in one file or several. It judges the rule by years that it had not seen,
compares it with simply taking the mean date, and needs five years or more.`,
		Example: `  bloomgap bloom fit my-dandelions.csv station.csv
  bloomgap bloom fit notes.csv 2019.csv 2020.csv 2021.csv --plant dandelion --place home`,
		Args: atLeast(2),
		RunE: func(_ *cobra.Command, args []string) error { return runBloomFit(c, args[0], args[1:], &o) },
	}
	f := cmd.Flags()
	f.StringVar(&o.plant, "plant", "", "plant wanted, where the dates are of several")
	f.StringVar(&o.place, "place", "", "place wanted, where the dates are of several")
	f.StringVar(&o.location, "location", "", "place wanted in the weather, where a file holds several")
	f.StringVar(&o.recordUnits, "record-units", "", "metric or us, where the weather does not say")
	o.confirm.register(f)
	f.BoolVar(&o.json, "json", false, "print as JSON")
	f.SortFlags = false
	return cmd
}

func runBloomFit(c *console, datesFile string, weatherFiles []string, o *bloomFitOptions) error {
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
	rec, problems := opts.ReadFiles(weatherFiles)
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
	opt := bloom.DefaultFitOptions()
	opt.Plant, opt.Role = plant, bloom.DependableNectar
	if plants, _ := bloom.Kinds(chosen); len(plants) == 1 {
		opt.Plant = plants[0]
	}
	fit, err := bloom.Fit(chosen, rec, opt)
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
	case errors.As(err, &mixed):
		ps.Add(file, 0, 0, "the dates are of several places", "name one with --place: "+listed(mixed.Places))
	case errors.As(err, &few):
		ps.Add(file, 0, 0, fmt.Sprintf("%s of dates can be used, and %d are needed", words.Count(few.Usable, "year", "years"), few.Need),
			"give more years, or weather that covers them; until then use a built-in rule (bloomgap bloom plants) or fill in bloom_date")
		for i, d := range few.Dropped {
			if i == mostDropped {
				ps.Add(file, 0, 0, fmt.Sprintf("and %d more dates cannot be used", len(few.Dropped)-i), "see the reasons above")
				break
			}
			ps.Add(file, d.Observation.Line, 0, fmt.Sprintf("%s cannot be used: %s", d.Observation.Date.Format(time.DateOnly), d.Reason), "give weather of that spring, or leave the date out")
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
	name := th.Plant
	if name == "" {
		name = "your plant"
	}
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
	p.Grid([]terminal.Column{terminal.Left("Error, days", 0), terminal.Right("Rule", 0), terminal.Right("Mean date", 0)}, [][]string{
		{"on years it had not seen", words.Fixed(fit.LeftOutRMSEDays, 1), words.Fixed(fit.MeanLeftOutRMSEDays, 1)},
		{"on the years it was fitted to (rosy)", words.Fixed(fit.FitRMSEDays, 1), words.Fixed(fit.SDDays, 1)},
	})
	p.Line("%s", fit.Advice)
	if fit.LeftOutRMSEDays < th.SpreadDays {
		p.Line("The spread to use is %s days: no two people agree better on first bloom.", tenth(th.SpreadDays))
	}

	p.Heading("Year by year")
	var rows [][]string
	for _, y := range fit.Years {
		rows = append(rows, []string{strconv.Itoa(y.Year), words.DayMonth(y.Observed), words.DayMonth(y.Fitted), late(y.FittedErrorDays), words.DayMonth(y.LeftOut), late(y.LeftOutErrorDays)})
	}
	p.Grid([]terminal.Column{terminal.Left("Year", 0), terminal.Right("Seen", 0), terminal.Right("By the rule", 0), terminal.Right("Days late", 0), terminal.Right("Without that year", 0), terminal.Right("Days late", 0)}, rows)
	if len(fit.Dropped) > 0 {
		p.Heading("Dates not used: %d", len(fit.Dropped))
		for _, why := range reasons(fit.Dropped) {
			p.Item("%s", why)
		}
	}

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

type droppedDoc struct {
	Date   string `json:"date"`
	Reason string `json:"reason"`
}

func newFitDoc(fit *bloom.FitResult, year int) fitDoc {
	th := &fit.Threshold
	n := func(v float64) files.Num { return files.Num(v) }
	d := fitDoc{Format: "bloomgap bloom fit", Plant: th.Plant, Rule: fit.Rule, BaseC: n(th.BaseC), Start: season.StartText(th.StartDOY), NeedCd: n(th.NeedCd), SpreadDays: n(th.SpreadDays),
		LeftOutDays: n(fit.LeftOutRMSEDays), FitDays: n(fit.FitRMSEDays), MeanLeftOutDays: n(fit.MeanLeftOutRMSEDays), SDDays: n(fit.SDDays),
		MeanDate: fit.MeanDate(year).Format(time.DateOnly), UseMeanDate: fit.UseMeanDate, Advice: fit.Advice, Columns: map[string]string{}}
	heads, cells := ruleCells(fit, year)
	for i, h := range heads {
		d.Columns[h] = cells[i]
	}
	for _, y := range fit.Years {
		d.Years = append(d.Years, fitYearDoc{y.Year, y.Observed.Format(time.DateOnly), y.Fitted.Format(time.DateOnly), y.LeftOut.Format(time.DateOnly), n(y.LeftOutErrorDays)})
	}
	for _, x := range fit.Dropped {
		d.Dropped = append(d.Dropped, droppedDoc{x.Observation.Date.Format(time.DateOnly), x.Reason})
	}
	return d
}

// bloomForecastOptions are the flags of bloom forecast.
type bloomForecastOptions struct {
	yard    []*hiveFlag
	today   string
	plants  []string
	springs int
	seed    uint64
	json    bool
}

func newBloomForecastCmd(c *console) *cobra.Command {
	o := bloomForecastOptions{}
	wanted := []string{"lat", "lon", "elev", "weather", "climate", "monthly-means-c", "monthly-means-f", "forecast",
		"bloom-base-c", "bloom-start", "bloom-need-cd", "bloom-spread"}
	for _, f := range hiveFlags() {
		if slices.Contains(wanted, f.name) {
			o.yard = append(o.yard, f)
		}
	}
	cmd := &cobra.Command{
		Use:   "forecast",
		Short: "This season's bloom dates of the usual plants, or by your own rule",
		Long: `Forecast gives the spread of dates on which each plant comes into bloom this
season: warmth is added up over the days of this season that the record holds,
then over a forecast, then over past or generated springs. It runs on the very
springs that a plan of that place runs on, and draws together as the season goes
on and the record grows. Several files of one record are separated by ;.`,
		Example: `  bloomgap bloom forecast --lat 45.3 --lon -72.9
  bloomgap bloom forecast --lat 45.3 --lon -72.9 --weather station.csv --today 2027-04-10
  bloomgap bloom forecast --lat 46.9 --lon -96.8 --weather fargo.csv \
      --bloom-base-c=0 --bloom-start=04-01 --bloom-need-cd=273 --bloom-spread=2.9`,
		Args: exactly(0),
		RunE: func(*cobra.Command, []string) error { return runBloomForecast(c, &o) },
	}
	f := cmd.Flags()
	registerHive(f, o.yard)
	f.StringVar(&o.today, "today", "", "day the question is asked (default: the clock's)")
	f.StringSliceVar(&o.plants, "plant", nil, "plants wanted, separated by commas (default: the usual ones of the region)")
	f.IntVar(&o.springs, "springs", season.DefaultSettings().Springs, "possible springs at most; 0 is all that the record holds")
	f.Uint64Var(&o.seed, "seed", 1, "seed of generated springs")
	f.BoolVar(&o.json, "json", false, "print as JSON")
	return cmd
}

func runBloomForecast(c *console, o *bloomForecastOptions) error {
	day := c.today()
	if o.today != "" {
		d, err := parseDay("--today", o.today)
		if err != nil {
			return err
		}
		day = d
	}
	set := season.DefaultSettings()
	set.Springs, set.Seed = o.springs, o.seed
	if err := set.Validate(); err != nil {
		return usageError{err}
	}
	cells := map[string]string{"yard": "asked about"}
	for _, f := range o.yard {
		if strings.TrimSpace(f.value) != "" {
			cells[f.column] = f.value
		}
	}
	if cells["lat"] == "" {
		return usageError{errors.New("bloomgap bloom forecast: --lat is needed")}
	}
	s, ps := season.OneYard(set, day, cells)
	if err := ps.Err(); err != nil {
		return err
	}
	y := &s.Yards[0]
	plants, err := forecastPlants(y, o.plants)
	if err != nil {
		return err
	}
	dates, world, problems := visits.BloomDates(s, y, plants, readWeather)
	if err := problems.Err(); err != nil {
		return err
	}
	c.warn(append(ps, problems...))
	if o.json {
		return writeJSON(c.out, newForecastDoc(s, y, dates, world))
	}
	var p terminal.Page
	printForecast(&p, s, y, dates, world)
	return p.Flush(c.out)
}

// forecastPlants are the plants named, the yard's own rule, or the usual ones.
func forecastPlants(y *season.Yard, names []string) ([]bloom.Threshold, error) {
	lonDeg := y.LonDeg
	if math.IsNaN(lonDeg) {
		lonDeg = 0
	}
	usual := bloom.Default(y.LatDeg, lonDeg)
	var out []bloom.Threshold
	if y.BloomRule.NeedCd > 0 {
		out = append(out, y.BloomRule)
	}
	if len(names) == 0 {
		return append(out, usual...), nil
	}
	for _, name := range names {
		i := slices.IndexFunc(usual, func(th bloom.Threshold) bool { return strings.EqualFold(th.Plant, strings.TrimSpace(name)) })
		if i >= 0 {
			out = append(out, usual[i])
			continue
		}
		th, ok := bloom.Find(name, "")
		if !ok {
			return nil, usageError{fmt.Errorf("--plant %q: no rule is built in; bloomgap bloom plants lists them", name)}
		}
		out = append(out, th)
	}
	return out, nil
}

func printForecast(p *terminal.Page, s *season.Season, y *season.Yard, dates []visits.PlantDates, w visits.Weather) {
	p.Heading("Bloom dates of %d, asked on %s", visits.SeasonYear(s.Today), words.FullDate(s.Today))
	if math.IsNaN(y.LonDeg) {
		p.Item("The longitude is not given: the place is taken as European. --lon sets it.")
	}
	p.Item("Weather: %s%s.", words.Springs(w.Source), observedTo(w))
	for _, note := range w.Warnings {
		p.Item("Note: %s.", words.Style{}.Note(note))
	}
	cols := []terminal.Column{terminal.Left("Plant", 0), terminal.Left("Worth", 0), terminal.Right("1 in 10 by", 0), terminal.Right("1 in 4", 0), terminal.Right("Middle", 0), terminal.Right("3 in 4", 0), terminal.Right("9 in 10", 0),
		terminal.Right("+- days", 0), terminal.Right("Without this\nseason's days", 0)}
	var rows [][]string
	late := 0
	for _, d := range dates {
		row := []string{d.Plant.Plant, d.Plant.Role.String()}
		if len(d.Dates.Members) == 0 {
			rows = append(rows, append(row, "-", "-", "-", "-", "-", "-", "-"))
			continue
		}
		if d.Dates.UnreachedShare > 0 {
			late++
		}
		for _, q := range d.Dates.Quantiles() {
			row = append(row, words.DayMonth(q))
		}
		row = append(row, words.Fixed(d.Dates.SDDays(), 1), "-")
		if len(d.WithoutIt.Members) > 0 {
			row[len(row)-1] = words.Fixed(d.WithoutIt.SDDays(), 1)
		}
		rows = append(rows, row)
	}
	p.Grid(cols, rows)
	p.Line("+- days: standard deviation of the date; beside it, what it would be from past springs alone.")
	if late > 0 {
		p.Line("Springs in which a sum is not reached by mid-July are left out of its dates.")
	}
	if open := inBloom(dates, s.Today); len(open) > 0 {
		p.Line("By their rules in bloom already, as likely as not or more: %s. Look, and write down the date.", strings.Join(open, ", "))
	}
	i := slices.IndexFunc(dates, func(d visits.PlantDates) bool {
		return d.Plant.Role == bloom.DependableNectar && len(d.Dates.Members) > 0
	})
	if i >= 0 {
		q := dates[i].Dates.Quantiles()
		p.Line("Feeding ends with %s: %s, in 8 of 10 springs from %s to %s. That is its bloom; a flow to count on comes some days later, which a plan allows for.",
			dates[i].Plant.Plant, words.FullDate(q[2]), words.DayMonth(q[0]), words.DayMonth(q[4]))
	}
	p.Heading("By which rule")
	for _, d := range dates {
		p.Item("%s: %s", d.Plant.Plant, ruleWords(&d.Plant))
	}
}

// inBloom lists the plants that have come into bloom by a day in half of all
// springs or more.
func inBloom(dates []visits.PlantDates, day time.Time) []string {
	var out []string
	for _, d := range dates {
		if len(d.Dates.Members) > 0 && d.Dates.Probability(day) >= 0.5 {
			out = append(out, d.Plant.Plant)
		}
	}
	return out
}

func observedTo(w visits.Weather) string {
	if w.Source.ObservedTo.IsZero() {
		return "; no day of this season"
	}
	return "; this season's days to " + words.FullDate(w.Source.ObservedTo)
}

func ruleWords(th *bloom.Threshold) string {
	s := fmt.Sprintf("%s, %s C-days above %s C from %s", th.Form, tenth(th.NeedCd), tenth(th.BaseC), startDay(th.StartDOY))
	if th.RaiseMinToBase {
		s += ", lowest raised to the base"
	}
	if slices.Max(th.MonthWeights[:]) > 0 && slices.Min(th.MonthWeights[:]) < 1 {
		s += ", January by a half and February by three quarters"
	}
	return s + fmt.Sprintf(", +- %s days", tenth(th.SpreadDays))
}

// forecastDoc is the JSON of bloom forecast.
type forecastDoc struct {
	Format     string             `json:"format"`
	Year       int                `json:"year"`
	Today      string             `json:"today"`
	LatDeg     files.Num          `json:"lat_deg"`
	LonDeg     files.Num          `json:"lon_deg"`
	Weather    string             `json:"weather"`
	ObservedTo string             `json:"observed_to,omitempty"`
	Warnings   []string           `json:"warnings"`
	Plants     []plantForecastDoc `json:"plants"`
}

type plantForecastDoc struct {
	Plant       string            `json:"plant"`
	Worth       string            `json:"worth"`
	Rule        string            `json:"rule"`
	Dates       map[string]string `json:"dates,omitempty"`
	SDDays      files.Num         `json:"sd_days"`
	WithoutDays files.Num         `json:"sd_without_this_season_days"`
	Unreached   files.Num         `json:"unreached_frac"`
}

func newForecastDoc(s *season.Season, y *season.Yard, dates []visits.PlantDates, w visits.Weather) forecastDoc {
	d := forecastDoc{Format: "bloomgap bloom forecast", Year: visits.SeasonYear(s.Today), Today: s.Today.Format(time.DateOnly), LatDeg: files.Num(y.LatDeg), LonDeg: files.Num(y.LonDeg),
		Weather: words.Springs(w.Source), Warnings: words.Style{}.Notes(w.Warnings)}
	if !w.Source.ObservedTo.IsZero() {
		d.ObservedTo = w.Source.ObservedTo.Format(time.DateOnly)
	}
	for _, x := range dates {
		e := plantForecastDoc{Plant: x.Plant.Plant, Worth: x.Plant.Role.String(), Rule: ruleWords(&x.Plant), SDDays: files.Num(math.NaN()), WithoutDays: files.Num(math.NaN()), Unreached: files.Num(x.Dates.UnreachedShare)}
		if len(x.Dates.Members) > 0 {
			q := x.Dates.Quantiles()
			e.Dates = map[string]string{}
			for i, name := range [5]string{"p10", "p25", "p50", "p75", "p90"} {
				e.Dates[name] = q[i].Format(time.DateOnly)
			}
			e.SDDays = files.Num(x.Dates.SDDays())
		}
		if len(x.WithoutIt.Members) > 0 {
			e.WithoutDays = files.Num(x.WithoutIt.SDDays())
		}
		d.Plants = append(d.Plants, e)
	}
	return d
}

func newBloomPlantsCmd(c *console) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:     "plants",
		Short:   "List the built-in bloom rules with their sources",
		Example: "  bloomgap bloom plants",
		Args:    exactly(0),
		RunE: func(*cobra.Command, []string) error {
			if asJSON {
				return writeJSON(c.out, newPlantDocs(bloom.Builtin()))
			}
			var p terminal.Page
			printPlants(&p, bloom.Builtin())
			return p.Flush(c.out)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print as JSON")
	return cmd
}

func printPlants(p *terminal.Page, list []bloom.Threshold) {
	p.Heading("Built-in bloom rules: warmth above a base, added up from a day")
	var rows [][]string
	var sources []string
	for _, th := range list {
		n := slices.Index(sources, th.Source)
		if n < 0 {
			n = len(sources)
			sources = append(sources, th.Source)
		}
		rows = append(rows, []string{th.Plant, th.Form, th.Role.String(), tenth(th.BaseC), startDay(th.StartDOY), tenth(th.NeedCd),
			tenth(th.SpreadDays) + map[bool]string{true: "*"}[th.SpreadStatus == bloom.Chosen], fmt.Sprintf("%d, %s", n+1, th.Status)})
	}
	p.Grid([]terminal.Column{terminal.Left("Plant", 0), terminal.Left("Rule", 19), terminal.Left("Worth", 0), terminal.Right("Base,\nC", 0), terminal.Right("From", 0), terminal.Right("Sum,\nC-days", 0), terminal.Right("+- days", 0), terminal.Left("Source", 0)}, rows)
	p.Line("* chosen here, not published.")
	p.Line("The grassland sum counts January by a half and February by three quarters. The base 50 F rule raises the day's lowest to the base. +- days is that of the place the rule comes from; elsewhere it is taken wider.")
	p.Heading("Sources")
	for i, s := range sources {
		p.Item("%d: %s", i+1, s)
	}
	p.Heading("What to know before trusting one")
	for _, th := range list {
		if th.Note != "" {
			p.Item("%s, %s: %s.", th.Plant, th.Form, strings.TrimRight(th.Note, "; ."))
		}
	}
}

// plantDoc is a built-in rule as JSON.
type plantDoc struct {
	Plant        string    `json:"plant"`
	Rule         string    `json:"rule"`
	Worth        string    `json:"worth"`
	BaseC        files.Num `json:"base_c"`
	Start        string    `json:"start"`
	NeedCd       files.Num `json:"need_c_days"`
	SpreadDays   files.Num `json:"spread_days"`
	SpreadStatus string    `json:"spread_status"`
	Source       string    `json:"source"`
	Status       string    `json:"status"`
	Note         string    `json:"note,omitempty"`
}

func newPlantDocs(list []bloom.Threshold) []plantDoc {
	var out []plantDoc
	for _, th := range list {
		out = append(out, plantDoc{th.Plant, th.Form, th.Role.String(), files.Num(th.BaseC), season.StartText(th.StartDOY), files.Num(th.NeedCd), files.Num(th.SpreadDays),
			string(th.SpreadStatus), th.Source, string(th.Status), th.Note})
	}
	return out
}
