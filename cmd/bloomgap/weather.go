package main

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"gonum.org/v1/gonum/stat"

	"bloomgap/forage/flight"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
	"bloomgap/plots/files"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
)

const (
	poorStraight   = 2    // days; a straight line over more is off by 3-5 C (weather.DefaultFillOptions)
	manySprings    = 10   // springs from which one in ten can be told
	listedGaps     = 5    // gaps that are listed one by one
	listedSpells   = 5    // cold spells that are listed
	latLeast       = 0.0  // degrees; flight hours are worked out for the north
	latMost        = 66.0 // degrees; formula of day length
	listedProblems = 8    // removed values that are listed one by one
)

// weatherOptions are the flags of the command weather.
type weatherOptions struct {
	beside      []string
	location    string
	recordUnits string
	confirm     confirmFlag
	from, to    string
	lat         float64
	latGiven    bool
	years       int
	json        bool
	units       string
	chart       string
	force       bool
}

// readOptions turns flags into options of reading.
func (c *console) readOptions(location, units string, confirm *confirmFlag) (weather.Options, error) {
	o := weather.DefaultOptions()
	o.Location, o.Stdin = location, c.in
	var err error
	if o.Confirmed, err = confirm.codes(); err != nil {
		return o, err
	}
	switch units {
	case "":
	case "metric":
		o.Units = weather.UnitsMetric
	case "us":
		o.Units = weather.UnitsUS
	default:
		return o, usageError{fmt.Errorf("--record-units %q is not known; write metric or us", units)}
	}
	return o, nil
}

func checkUnits(units string) error {
	switch units {
	case "", "metric", "us":
		return nil
	}
	return usageError{fmt.Errorf("--units %q is not known; write metric or us", units)}
}

func newWeatherCmd(c *console) *cobra.Command {
	var o weatherOptions
	cmd := &cobra.Command{
		Use:   "weather FILE...",
		Short: "Sum up a weather record: how good it is, its normals and its days without flight",
		Long: `Weather reads the daily record of one place, in one file or several, as the
weather services publish it or as a plain table with date, tmin_c, tmax_c and
precip_mm. It says what is missing or doubtful and how gaps are filled, and
prints monthly normals and, for each spring, the days without flight, the longest
cold spell and the last frost.`,
		Example: `  bloomgap weather station.csv
  bloomgap weather 2023.csv 2024.csv --beside neighbour.csv --from 03-01 --to 04-30
  bloomgap weather station.csv --lat 45.3 --chart springs.svg`,
		Args: atLeast(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			o.latGiven = cmd.Flags().Changed("lat")
			return runWeather(cmd.Context(), c, args, &o)
		},
	}
	f := cmd.Flags()
	f.StringArrayVar(&o.beside, "beside", nil, "record of a neighbouring place to fill gaps from; may be given again")
	f.StringVar(&o.location, "location", "", "place wanted where a file holds several: its id or name, or a part of it")
	f.StringVar(&o.recordUnits, "record-units", "", "metric or us, where the record does not say")
	o.confirm.register(f)
	f.StringVar(&o.from, "from", "03-20", "first day counted of each spring, month-day")
	f.StringVar(&o.to, "to", "05-15", "last day counted, month-day")
	f.Float64Var(&o.lat, "lat", 0, "latitude, degrees north (default: the record's)")
	f.IntVar(&o.years, "years", 20, "latest springs that are listed; 0 is all. The middle is of all")
	f.BoolVar(&o.json, "json", false, "print as JSON, in metric units")
	f.StringVar(&o.units, "units", "", "metric or us: units of what is printed")
	f.StringVar(&o.chart, "chart", "", "file to draw the springs and normals to: .svg, .png or .pdf")
	f.BoolVar(&o.force, "force", false, forceHelp)
	f.SortFlags = false
	return cmd
}

// weatherReport is a record once it is read, checked, filled and summed up.
type weatherReport struct {
	asRead weather.Quality
	fill   weather.FillReport
	sum    weather.Summary
	latDeg float64
	latWhy string // where the latitude comes from
	rain   bool   // whether any rain is known
}

func runWeather(ctx context.Context, c *console, files []string, o *weatherOptions) error {
	if err := checkUnits(o.units); err != nil {
		return err
	}
	opts, err := c.readOptions(o.location, o.recordUnits, &o.confirm)
	if err != nil {
		return err
	}
	from, err := parseMonthDay("--from", o.from)
	if err != nil {
		return err
	}
	to, err := parseMonthDay("--to", o.to)
	if err != nil {
		return err
	}
	if o.latGiven && !(o.lat >= latLeast && o.lat <= latMost) {
		return usageError{fmt.Errorf("--lat %g is out of range; give degrees north, %g to %g", o.lat, latLeast, latMost)}
	}
	if o.years < 0 {
		return usageError{errors.New("--years must be 0 or more")}
	}
	format, err := chartFormat(o.chart)
	if err != nil {
		return err
	}
	out, err := beginFiles(slices.Concat(files, o.beside), o.force, o.chart)
	if err != nil {
		return err
	}
	all, ps, err := stoppableRead(ctx, func() (recs []*weather.Record, ps read.Problems) {
		for _, list := range append([][]string{files}, slices.Collect(slices.Chunk(o.beside, 1))...) {
			rec, problems := opts.ReadFiles(list)
			ps = append(ps, problems...)
			recs = append(recs, rec)
		}
		return recs, ps
	})
	if err != nil {
		return err
	}
	rec, beside := all[0], all[1:]
	if err := ps.Err(); err != nil {
		return err
	}
	if !o.latGiven && math.IsNaN(rec.Station.LatDeg) {
		return usageError{
			fmt.Errorf("%s does not say at what latitude it was taken, which the days without flight need; give --lat", strings.Join(files, ", ")),
		}
	}
	c.warn(ps)
	r := reportWeather(rec, beside, from, to, o)
	if o.chart != "" {
		chart := weatherChart(r, o.units == "us")
		write := func(w io.Writer) error { return chart.Write(w, format, chartWidthCm, 0) }
		if err := errors.Join(writeAndSay(ctx, c, out, o.chart, write), out.Close()); err != nil {
			return err
		}
	}
	if o.json {
		return writeJSON(c.out, newWeatherDoc(r))
	}
	p := terminal.Page{Style: words.Style{US: o.units == "us"}}
	r.print(&p, o)
	return p.Flush(c.out)
}

// reportWeather checks, fills and sums up.
func reportWeather(rec *weather.Record, beside []*weather.Record, from, to weather.MonthDay, o *weatherOptions) *weatherReport {
	r := &weatherReport{asRead: weather.Check(rec), latDeg: rec.Station.LatDeg, latWhy: "as the record says"}
	if o.latGiven {
		r.latDeg, r.latWhy = o.lat, "as given"
	}
	filled, fill := weather.Fill(rec, beside, weather.DefaultFillOptions())
	r.fill = fill
	r.sum = weather.Summarise(filled, from, to, func(d weather.Day, doy int) bool {
		return !flight.CanFly(d.TminC, d.TmaxC, d.PrecipMm, r.latDeg, doy)
	})
	r.rain = r.asRead.PrecipDays > 0
	return r
}

func parseMonthDay(flag, text string) (weather.MonthDay, error) {
	d, err := weather.ParseMonthDay(text)
	if err != nil {
		return d, usageError{fmt.Errorf("%s %q is not a day of the year; write month-day, such as 03-20", flag, text)}
	}
	return d, nil
}

// whole lists the springs that know every day.
func (r *weatherReport) whole() []weather.SpringDays {
	var out []weather.SpringDays
	for _, s := range r.sum.Springs {
		if s.KnownDays == s.Days {
			out = append(out, s)
		}
	}
	return out
}

// quantiles are the 10, 50 and 90 % of a figure of the whole springs.
func quantiles(springs []weather.SpringDays, figure func(weather.SpringDays) int) (q [3]float64, ok bool) {
	var v []float64
	for _, s := range springs {
		v = append(v, float64(figure(s)))
	}
	if len(v) == 0 {
		return q, false
	}
	slices.Sort(v)
	for i, p := range []float64{0.1, 0.5, 0.9} {
		q[i] = stat.Quantile(p, stat.Empirical, v, nil)
	}
	return q, true
}

func (r *weatherReport) frost(year int) (weather.LastFrost, bool) {
	for _, f := range r.sum.Frosts {
		if f.Year == year {
			return f, true
		}
	}
	return weather.LastFrost{}, false
}

func (r *weatherReport) print(p *terminal.Page, o *weatherOptions) {
	s, q := &r.sum, &r.asRead
	p.Heading("Weather record %s", s.Name)
	p.Item("%s to %s, %s. Layout: %s.", words.FullDate(q.First), words.FullDate(q.Last), words.Count(q.Days, "day", "days"), s.Layout)
	p.Item("%s", place(s.Station, p))
	p.Item("Both temperatures known on %s of days, rain on %s.", words.Percent(q.TempShare), words.Percent(q.PrecipShare))
	r.printQuality(p, len(o.beside) > 0)
	r.printNormals(p)
	r.printSprings(p, o.years)
}

func place(st weather.Station, p *terminal.Page) string {
	var parts []string
	if st.Name != "" {
		parts = append(parts, st.Name)
	}
	if st.ID != "" && st.ID != st.Name {
		parts = append(parts, "station "+st.ID)
	}
	if !math.IsNaN(st.LatDeg) {
		parts = append(parts, degrees(st.LatDeg, "N", "S"))
		if !math.IsNaN(st.LonDeg) {
			parts = append(parts, degrees(st.LonDeg, "E", "W"))
		}
	}
	if !math.IsNaN(st.ElevM) {
		parts = append(parts, p.Show(st.ElevM, "m", 0)+" "+p.Name("m"))
	}
	if len(parts) == 0 {
		return "The record does not say where it was taken."
	}
	return strings.Join(parts, ", ") + "."
}

func degrees(deg float64, plus, minus string) string {
	if deg < 0 {
		return words.Fixed(-deg, 2) + " " + minus
	}
	return words.Fixed(deg, 2) + " " + plus
}

func (r *weatherReport) printQuality(p *terminal.Page, hasBeside bool) {
	q := &r.asRead
	p.Heading("How good it is, and what was done")
	if len(q.Warnings) == 0 {
		p.Item("Nothing is missing and nothing looks wrong.")
	}
	for _, w := range q.Warnings {
		p.Item("%s.", strings.ToUpper(w[:1])+w[1:])
	}
	removed := slices.Concat(q.Flagged, q.Impossible, q.Crossed)
	for i, v := range removed {
		if i == listedProblems {
			p.Item("... and %d more values made missing.", len(removed)-i)
			break
		}
		at := ""
		if v.File != "" && v.Line > 0 {
			at = fmt.Sprintf("%s:%d: ", v.File, v.Line)
		}
		p.Item("%s%s, %s %g: %s; made missing.", at, v.Date.Format(time.DateOnly), v.Element, v.Value, v.Reason)
	}
	if len(q.Gaps) == 0 {
		return
	}
	p.Item("Gaps of temperature: %d filled (%s), %d left (%s). Rain is never made up.",
		r.fill.FilledGaps, words.Count(r.fill.FilledDays, "day", "days"), r.fill.LeftGaps, words.Count(r.fill.LeftDays, "day", "days"))
	straight, poor := 0, 0
	longest := slices.Clone(r.fill.Actions)
	slices.SortStableFunc(longest, func(a, b weather.FillAction) int { return cmp.Compare(b.Days(), a.Days()) })
	for _, a := range r.fill.Actions {
		if a.Method == weather.StraightLine {
			straight++
			if a.Days() > poorStraight {
				poor++
			}
		}
	}
	for i, a := range longest {
		if i == listedGaps {
			p.Item("... and %s besides, none longer.", words.Count(len(longest)-i, "gap", "gaps"))
			break
		}
		p.Item("%s.", a)
	}
	if straight > 0 {
		p.Item("%s by a straight line, which is off by 3 to 5 C and is poor beyond 2 or 3 days; longer than %d: %d.",
			words.Count(straight, "gap was filled", "gaps were filled"), poorStraight, poor)
	}
	if !hasBeside && (straight > 0 || r.fill.LeftGaps > 0) {
		p.Item("A neighbouring record fills them within about 1 C: give it with --beside FILE.")
	}
}

func (r *weatherReport) printNormals(p *terminal.Page) {
	p.Heading("Monthly normals")
	c, mm := ", "+p.Name("C"), ", "+p.Name("mm")
	cols := []terminal.Column{terminal.Left("Month", 0), terminal.Right("Days known", 0), terminal.Right("Lowest"+c, 0),
		terminal.Right("Highest"+c, 0), terminal.Right("Mean"+c, 0), terminal.Right("SD of days"+c, 0)}
	if r.rain {
		cols = append(cols, terminal.Right("Rain"+mm, 0), terminal.Right("Wet days", 0))
	}
	var rows [][]string
	for _, m := range r.sum.Months {
		row := []string{
			m.Month.String(),
			words.Percent(m.TempShare),
			p.Show(m.TminC, "C", 1),
			p.Show(m.TmaxC, "C", 1),
			p.Show(m.TmeanC, "C", 1),
			p.ShowDiff(m.TmeanSDC, "C", 1),
		}
		if m.Days == 0 {
			row[1] = "-"
		}
		if r.rain {
			wet := "-"
			if !math.IsNaN(m.WetShare) {
				wet = words.Fixed(100*m.WetShare, 0) + " %"
			}
			row = append(row, p.Show(m.PrecipMm, "mm", 0), wet)
		}
		rows = append(rows, row)
	}
	p.Grid(cols, rows)
	p.Line(
		"Days known: share of days with both temperatures once gaps are filled. SD: standard deviation; about two days of three lie within one of the mean. Wet: %s %s of rain or more.",
		p.Show(weather.WetDayMm, "mm", 0),
		p.Name("mm"),
	)
}

func (r *weatherReport) printSprings(p *terminal.Page, latest int) {
	s := &r.sum
	span := fmt.Sprintf("%s to %s", monthDay(s.From), monthDay(s.To))
	p.Heading("Days without flight, %s", span)
	if len(s.Springs) == 0 {
		p.Item("No spring lies whole within the record.")
		return
	}
	whole := r.whole()
	if q, ok := quantiles(whole, func(d weather.SpringDays) int { return d.NonFlying }); ok {
		line := fmt.Sprintf("Middle of %s: %.0f of %d days", words.Count(len(whole), "whole spring", "whole springs"), q[1], whole[0].Days)
		if len(whole) >= manySprings {
			line += fmt.Sprintf("; 8 of 10 springs have %.0f to %.0f", q[0], q[2])
		}
		p.Item("%s.", line)
	}
	if q, ok := quantiles(whole, func(d weather.SpringDays) int { return spanDays(d.LongestConfined) }); ok && len(whole) >= manySprings {
		p.Item("Longest run of them: %.0f days in the middle spring, %.0f in one of ten.", q[1], q[2])
	}
	p.Item(
		"A day counts when bees cannot fly out for an hour: too cold by its hourly run of temperature, too wet, or too short. Latitude %.2f N, %s.",
		r.latDeg,
		r.latWhy,
	)
	if !r.rain {
		p.Item("The record holds no rain: a mean day's share is taken, and wet days are not told from dry ones.")
	}
	springs := s.Springs
	if latest > 0 && len(springs) > latest {
		springs = springs[len(springs)-latest:]
		p.Item("The latest %d of %d springs; --years 0 lists all.", latest, len(s.Springs))
	}
	limit := p.Show(weather.ColdDayC, "C", 0) + " " + p.Name("C")
	cols := []terminal.Column{
		terminal.Left("Spring", 0),
		terminal.Right("Days\nknown", 0),
		terminal.Right("Without\nflight", 0),
		terminal.Left("Longest run of them", 0),
		terminal.Right("Days under\n"+limit, 0),
		terminal.Left("Longest cold spell", 0),
		terminal.Left("Last frost", 0),
	}
	var rows [][]string
	for _, d := range springs {
		frost := "-"
		if f, ok := r.frost(d.Year); ok && !f.Date.IsZero() {
			frost = words.DayMonth(f.Date)
			if f.UnknownDays > 0 {
				frost += " or later"
			}
		}
		if d.KnownDays == 0 {
			rows = append(rows, []string{fmt.Sprint(d.Year), fmt.Sprintf("0 of %d", d.Days), "-", "-", "-", "-", frost})
			continue
		}
		rows = append(rows, []string{fmt.Sprint(d.Year), fmt.Sprintf("%d of %d", d.KnownDays, d.Days), fmt.Sprint(d.NonFlying), runOf(d.LongestConfined),
			fmt.Sprint(d.ColdDays), runOf(d.ColdSpell), frost})
	}
	p.Grid(cols, rows)
	p.Line("Cold spell: days in a row with a highest under %s. Last frost: last day to 30 June with a lowest of %s %s or less.",
		limit, p.Show(weather.FrostC, "C", 0), p.Name("C"))

	p.Heading("Longest cold spells, %s", span)
	for _, d := range longestSpells(s.Springs) {
		p.Item("%s, from %s to %s", words.Count(spanDays(d.ColdSpell), "day", "days"), words.DayMonth(d.ColdSpell.First), words.FullDate(d.ColdSpell.Last))
	}
}

// longestSpells are the springs with the longest cold spells, one spell a year.
func longestSpells(springs []weather.SpringDays) []weather.SpringDays {
	out := slices.Clone(springs)
	slices.SortStableFunc(out, func(a, b weather.SpringDays) int {
		return cmp.Compare(spanDays(b.ColdSpell), spanDays(a.ColdSpell))
	})
	out = out[:min(len(out), listedSpells)]
	return slices.DeleteFunc(out, func(d weather.SpringDays) bool { return spanDays(d.ColdSpell) == 0 })
}

// spanDays is the length of a span that may be empty.
func spanDays(s weather.Span) int {
	if s.First.IsZero() {
		return 0
	}
	return s.Days()
}

func runOf(s weather.Span) string {
	if spanDays(s) == 0 {
		return "-"
	}
	return fmt.Sprintf("%s from %s", words.Count(spanDays(s), "day", "days"), words.DayMonth(s.First))
}

func monthDay(m weather.MonthDay) string { return fmt.Sprintf("%d %s", m.Day, m.Month) }

// writeJSON prints a document.
func writeJSON(w io.Writer, doc any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(doc)
}

// weatherDoc is the JSON of the command weather. Figures are metric; null is not
// known.
type weatherDoc struct {
	Format         string         `json:"format"`
	Name           string         `json:"name"`
	Layout         string         `json:"layout"`
	First          string         `json:"first"`
	Last           string         `json:"last"`
	Days           int            `json:"days"`
	TempShare      files.Num      `json:"temperature_known_frac"`
	PrecipShare    files.Num      `json:"rain_known_frac"`
	LatDeg         files.Num      `json:"lat_deg"`
	LatFrom        string         `json:"lat_from"`
	LonDeg         files.Num      `json:"lon_deg"`
	ElevM          files.Num      `json:"elev_m"`
	Warnings       []string       `json:"warnings"`
	Flagged        int            `json:"values_flagged"`
	Impossible     int            `json:"values_impossible"`
	Crossed        int            `json:"values_crossed"`
	Duplicates     int            `json:"dates_twice"`
	Stuck          int            `json:"runs_stuck"`
	Gaps           int            `json:"gaps"`
	Filled         []string       `json:"gaps_done"`
	FilledDays     int            `json:"filled_days"`
	LeftDays       int            `json:"left_days"`
	Months         []monthDoc     `json:"months"`
	From           string         `json:"from"`
	To             string         `json:"to"`
	NonFlyingRange []files.Num    `json:"days_without_flight_p10_p50_p90"`
	Springs        []springDayDoc `json:"springs"`
}

type monthDoc struct {
	Month    string    `json:"month"`
	Known    files.Num `json:"known_frac"`
	TminC    files.Num `json:"tmin_c"`
	TmaxC    files.Num `json:"tmax_c"`
	TmeanC   files.Num `json:"tmean_c"`
	TmeanSDC files.Num `json:"tmean_sd_c"`
	PrecipMm files.Num `json:"rain_mm"`
	WetShare files.Num `json:"wet_frac"`
}

type springDayDoc struct {
	Year       int    `json:"year"`
	Days       int    `json:"days"`
	KnownDays  int    `json:"known_days"`
	NonFlying  int    `json:"days_without_flight"`
	LongestRun int    `json:"longest_run_days"`
	ColdDays   int    `json:"cold_days"`
	ColdSpell  int    `json:"longest_cold_spell_days"`
	ColdFrom   string `json:"longest_cold_spell_from,omitempty"`
	LastFrost  string `json:"last_frost,omitempty"`
}

func newWeatherDoc(r *weatherReport) weatherDoc {
	q, s := &r.asRead, &r.sum
	n := func(v float64) files.Num { return files.Num(v) }
	d := weatherDoc{Format: "bloomgap weather", Name: s.Name, Layout: s.Layout, First: q.First.Format(time.DateOnly), Last: q.Last.Format(time.DateOnly),
		Days: q.Days, TempShare: n(q.TempShare), PrecipShare: n(q.PrecipShare), LatDeg: n(r.latDeg), LatFrom: r.latWhy,
		LonDeg: n(s.Station.LonDeg), ElevM: n(s.Station.ElevM),
		Warnings: q.Warnings, Flagged: len(q.Flagged), Impossible: len(q.Impossible), Crossed: len(q.Crossed), Duplicates: len(q.Duplicates),
		Stuck: len(q.Stuck), Gaps: len(q.Gaps),
		FilledDays: r.fill.FilledDays, LeftDays: r.fill.LeftDays, From: s.From.String(), To: s.To.String()}
	for _, a := range r.fill.Actions {
		d.Filled = append(d.Filled, a.String())
	}
	for _, m := range s.Months {
		d.Months = append(
			d.Months,
			monthDoc{m.Month.String(), n(m.TempShare), n(m.TminC), n(m.TmaxC), n(m.TmeanC), n(m.TmeanSDC), n(m.PrecipMm), n(m.WetShare)},
		)
	}
	if q, ok := quantiles(r.whole(), func(d weather.SpringDays) int { return d.NonFlying }); ok {
		d.NonFlyingRange = []files.Num{n(q[0]), n(q[1]), n(q[2])}
	}
	for _, sp := range s.Springs {
		e := springDayDoc{
			Year:       sp.Year,
			Days:       sp.Days,
			KnownDays:  sp.KnownDays,
			NonFlying:  sp.NonFlying,
			LongestRun: spanDays(sp.LongestConfined),
			ColdDays:   sp.ColdDays,
			ColdSpell:  spanDays(sp.ColdSpell),
		}
		if e.ColdSpell > 0 {
			e.ColdFrom = sp.ColdSpell.First.Format(time.DateOnly)
		}
		if f, ok := r.frost(sp.Year); ok && !f.Date.IsZero() {
			e.LastFrost = f.Date.Format(time.DateOnly)
		}
		d.Springs = append(d.Springs, e)
	}
	return d
}
