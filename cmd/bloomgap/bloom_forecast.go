package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
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
		RunE: func(cmd *cobra.Command, _ []string) error { return runBloomForecast(cmd.Context(), c, &o) },
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

func runBloomForecast(ctx context.Context, c *console, o *bloomForecastOptions) error {
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
	type forecast struct {
		dates []visits.PlantDates
		world visits.Weather
	}
	found, problems, err := stoppableRead(ctx, func() (f forecast, ps read.Problems) {
		f.dates, f.world, ps = visits.BloomDates(s, y, plants, readWeather)
		return f, ps
	})
	if err != nil {
		return err
	}
	dates, world := found.dates, found.world
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
		before := len(out)
		for _, th := range usual { // each stage of it
			if strings.EqualFold(th.Plant, strings.TrimSpace(name)) {
				out = append(out, th)
			}
		}
		if len(out) > before {
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
	cols := []terminal.Column{terminal.Left("Plant", 14), terminal.Left("Worth", 0), terminal.Right("1 in 10 by", 0), terminal.Right("1 in 4", 0),
		terminal.Right("Middle", 0), terminal.Right("3 in 4", 0), terminal.Right("9 in 10", 0), terminal.Right("+- days", 0),
		terminal.Right("By past\nsprings", 0)}
	var rows [][]string
	late := 0
	for _, d := range dates {
		row := []string{plantName(&d.Plant), d.Plant.Role.String()}
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
		p.Item("%s: %s", plantName(&d.Plant), ruleWords(&d.Plant))
	}
}

// inBloom lists the plants that have come into bloom by a day in half of all
// springs or more.
func inBloom(dates []visits.PlantDates, day time.Time) []string {
	var out []string
	for _, d := range dates {
		if len(d.Dates.Members) > 0 && d.Dates.Probability(day) >= 0.5 {
			out = append(out, plantName(&d.Plant))
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
	Stage       string            `json:"stage,omitempty"`
	Worth       string            `json:"worth"`
	Rule        string            `json:"rule"`
	Dates       map[string]string `json:"dates,omitempty"`
	SDDays      files.Num         `json:"sd_days"`
	WithoutDays files.Num         `json:"sd_without_this_season_days"`
	Unreached   files.Num         `json:"unreached_frac"`
}

func newForecastDoc(s *season.Season, y *season.Yard, dates []visits.PlantDates, w visits.Weather) forecastDoc {
	d := forecastDoc{Format: "bloomgap bloom forecast", Year: visits.SeasonYear(s.Today), Today: s.Today.Format(time.DateOnly),
		LatDeg: files.Num(y.LatDeg), LonDeg: files.Num(y.LonDeg),
		Weather: words.Springs(w.Source), Warnings: words.Style{}.Notes(w.Warnings)}
	if !w.Source.ObservedTo.IsZero() {
		d.ObservedTo = w.Source.ObservedTo.Format(time.DateOnly)
	}
	for _, x := range dates {
		e := plantForecastDoc{Plant: x.Plant.Plant, Stage: string(x.Plant.Stage), Worth: x.Plant.Role.String(), Rule: ruleWords(&x.Plant),
			SDDays: files.Num(math.NaN()), WithoutDays: files.Num(math.NaN()), Unreached: files.Num(x.Dates.UnreachedShare)}
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
