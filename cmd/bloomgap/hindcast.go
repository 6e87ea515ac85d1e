package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"bloomgap/cmd/bloomgap/outputs"
	"bloomgap/feed/plan"
	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/forage/scales"
	"bloomgap/forage/weather"
	"bloomgap/plots"
	"bloomgap/plots/files"
	"bloomgap/sim/colony"
	"bloomgap/sim/hindcast"
	"bloomgap/sim/observe"
)

const (
	listedReadings = 30   // readings up to which all are listed, and not one a week
	usualLatDeg    = 48.0 // degrees north where it is not known yet, for the swing of a day's temperature, own judgement
	listedSteps    = 12   // steps that are listed one by one
)

// hindcastOptions are the flags of the command hindcast.
type hindcastOptions struct {
	hives             []string
	from, to          string
	lat, lon, elev    float64 // NaN: not given
	bees              float64
	seams, countTempC float64
	boxes             string
	broodFrames       float64
	wrapped           bool
	bloomDate         string
	earlyForage       string
	location          string
	recordUnits       string
	confirm           confirmFlag
	learnDays         int
	members           int
	seed              uint64
	units             string
	json              bool
	chart, outCSV     string
	force             bool
}

func newHindcastCmd(c *console) *cobra.Command {
	std := hindcast.DefaultOptions()
	var o hindcastOptions
	var notes []string // on flags called by an old name
	var text struct{ lat, lon, elev, bees, seams, countTemp, brood string }
	cmd := &cobra.Command{
		Use:   "hindcast WEIGHTS [WEATHER...]",
		Short: "Hold the model against the weights of your own scale hives",
		Long: `Hindcast starts the model on the day of the first weighing, foretells the weights
after it from the weather of those days, and scores what it foretold. WEIGHTS is
the table of a scale, .csv or .xlsx: a day or timestamp and a weight in kg, or
weight_lb; several hives have a column hive or a column of weights each. If
wanted, change_kg holds what was put on or taken off since the row before, and
mark says yes when the hive was worked on. WEATHER is the record of the place; it
can be left out when WEIGHTS holds the temperatures as well.

Nothing need be known of the colony. Steps that bees cannot make are taken out.`,
		Example: `  bloomgap hindcast scale.csv station.csv --lat 49.8 --lon 9.9
  bloomgap hindcast scale.csv station.csv --lat 49.8 --hive oak --from 2024-01-02 --chart oak.svg
  bloomgap hindcast scale.csv station.csv --lat 49.8 --seams 6 --count-temp 8 --learn-days 21`,
		Args: atLeast(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			for _, f := range []struct {
				name, text, unit string
				lo, hi           float64
				to               *float64
			}{
				{"lat", text.lat, "", 0.1, latMost, &o.lat}, {"lon", text.lon, "", -180, 180, &o.lon}, {"elev", text.elev, "m", -500, 5000, &o.elev},
				{"bees", text.bees, "", 100, 100000, &o.bees}, {"seams", text.seams, "", 0.5, 40, &o.seams},
				{"count-temp", text.countTemp, "C", -30, 45, &o.countTempC}, {"brood-frames", text.brood, "", 0, 30, &o.broodFrames},
			} {
				v, err := figure(f.name, f.text, f.unit, f.lo, f.hi)
				if err != nil {
					return err
				}
				*f.to = v
			}
			for _, note := range notes {
				fmt.Fprintln(c.errs, note)
			}
			return runHindcast(cmd.Context(), c, args[0], args[1:], &o)
		},
	}
	f := cmd.Flags()
	f.StringVar(&text.lat, "lat", "", "latitude, degrees north (default: the weather record's)")
	f.StringVar(&text.lon, "lon", "", "longitude, degrees east; west is negative (default: the record's)")
	f.StringVar(&text.elev, "elev", "", "height above sea level, e.g. 270 or \"400 ft\" (default: the record's)")
	f.StringArrayVar(&o.hives, "hive", nil, "hive wanted, where the file holds several; may be given again (default: all)")
	f.StringVar(&o.from, "from", "", "first day used; the run starts at the first weighing from then on")
	f.StringVar(&o.to, "to", "", "last day used")
	f.StringVar(&text.bees, "bees", "", "bees on the first day, if known")
	f.StringVar(&text.seams, "seams", "", "or seams of bees")
	f.StringVar(&text.countTemp, "count-temp", "", "air temperature when the seams were counted, e.g. 8 or \"46 F\"")
	f.StringVar(&o.boxes, "boxes", "deep", "kind of box that the seams and frames are of: deep, medium, shallow or large")
	f.StringVar(&text.brood, "brood-frames", "", "frames of brood on the first day, if known")
	f.BoolVar(&o.wrapped, "wrapped", false, "the hive was wrapped")
	f.StringVar(&o.bloomDate, "bloom-date", "", "first dependable nectar, where it was seen")
	f.StringVar(&o.earlyForage, "early-forage", "", "willow, maple and the like within flight: none, some or good (default: not known)")
	f.IntVar(&o.learnDays, "learn-days", 0, "learn from the readings of so many first days, and score the later ones")
	f.IntVar(&o.members, "members", std.Members, "draws of the colony and the model")
	f.Uint64Var(&o.seed, "seed", std.Seed, "random seed: same seed, same answer")
	f.StringVar(&o.location, "location", "", "place wanted in the weather, where a file holds several")
	f.StringVar(&o.recordUnits, "record-units", "", "metric or us, where the weather does not say")
	o.confirm.register(f)
	f.StringVar(&o.units, "units", "", "metric or us: units of what is printed")
	f.BoolVar(&o.json, "json", false, "print as JSON, in metric units")
	f.StringVar(&o.chart, "chart", "", "file to draw bands and readings to: .svg, .png or .pdf; one a hive")
	f.BoolVar(&o.force, "force", false, forceHelp)
	f.StringVar(&o.outCSV, "out-csv", "", "file to write the bands and readings of each day to, in kg")
	f.SortFlags = false
	f.SetNormalizeFunc(oldNames(&notes))
	return cmd
}

// figure reads a number that may have its unit behind it; NaN when it is not
// given.
func figure(flag, text, unit string, lo, hi float64) (float64, error) {
	if text = strings.TrimSpace(text); text == "" {
		return math.NaN(), nil
	}
	var ps read.Problems
	g := &read.Grid{File: "--" + flag, Rows: []read.GridRow{{Cells: []string{"value"}}, {Cells: []string{text}}}}
	t := read.New(g, []read.Column{{Name: "value", Unit: unit}}, &ps)
	v := t.Rows[0].FloatIn("value", lo, hi)
	for _, p := range ps.Fatal() {
		return v, usageError{fmt.Errorf("--%s: %s; %s", flag, strings.TrimPrefix(p.Message, "value "), p.Fix)}
	}
	return v, nil
}

// known is what the flags tell of the colony, with its words.
func (o *hindcastOptions) known() (hindcast.Known, string, error) {
	k := hindcast.UnknownColony()
	kind := observe.BoxKind(-1)
	for _, b := range []observe.BoxKind{observe.Deep, observe.Medium, observe.Shallow, observe.Large} {
		if strings.Contains(strings.ToLower(o.boxes), b.String()) {
			kind = b
			break
		}
	}
	words := "not known: 10,000 bees or so, nine in ten from 4,100 to 19,500"
	k.Wrapped = o.wrapped
	switch {
	case kind < 0:
		return k, "", usageError{fmt.Errorf("--boxes %q is not known; write deep, medium, shallow or large", o.boxes)}
	case !math.IsNaN(o.bees) && !math.IsNaN(o.seams):
		return k, "", usageError{errors.New("give --bees or --seams, not both")}
	case !math.IsNaN(o.bees):
		k.BeesLogMu, k.BeesLogSD = math.Log(o.bees), observe.CountedBeesLogSD
		words = fmt.Sprintf("%s bees as given, to a quarter", thousands(o.bees))
	case !math.IsNaN(o.seams):
		b := observe.BeesFromSeams(o.seams, o.countTempC, kind)
		k.BeesLogMu, k.BeesLogSD = b.LogParams()
		words = fmt.Sprintf("%s bees, give or take %s, from %g seams", thousands(b.MeanBees), thousands(b.SDBees), o.seams)
	}
	if !math.IsNaN(o.broodFrames) {
		k.BroodCells, k.BroodLogSD = observe.BroodCells(o.broodFrames, kind), observe.CountedBroodLogSD
		words += fmt.Sprintf("; %g frames of brood", o.broodFrames)
	}
	return k, words, nil
}

// thousands is a number of bees, to the hundred.
func thousands(v float64) string {
	n := int(math.Round(v/100)) * 100
	if n < 1000 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%d,%03d", n/1000, n%1000)
}

// hindcastReport is all hives of a call.
type hindcastReport struct {
	weights string
	weather *weather.Record
	latDeg  float64
	latWhy  string
	size    string // what is known of the colony, in words
	hives   []hindcastHive
}

type hindcastHive struct {
	name   string // never ""
	series scales.Series
	*hindcast.Result
}

func runHindcast(ctx context.Context, c *console, weights string, weatherFiles []string, o *hindcastOptions) error {
	if err := checkUnits(o.units); err != nil {
		return err
	}
	format, err := chartFormat(o.chart)
	if err != nil {
		return err
	}
	known, size, err := o.known()
	if err != nil {
		return err
	}
	opt, span, err := o.checked()
	if err != nil {
		return err
	}
	opts, err := c.readOptions(o.location, o.recordUnits, &o.confirm)
	if err != nil {
		return err
	}
	out, err := beginFiles(append([]string{weights}, weatherFiles...), o.force, o.chart, o.outCSV)
	if err != nil {
		return err
	}

	early, ok := colony.ParseEarlyForage(o.earlyForage)
	if !ok {
		return usageError{fmt.Errorf("--early-forage %q is not known; write none, some or good", o.earlyForage)}
	}
	var ps read.Problems
	series := c.readWeights(weights, &ps)
	usual := climate.NearestAt(usualLatDeg, o.lon, o.elev)
	if !math.IsNaN(o.lat) {
		usual = climate.NearestAt(o.lat, o.lon, o.elev)
	}
	rec, shown := hindcastWeather(opts, usual, weights, weatherFiles, &ps)
	series = pickHives(series, o.hives, weights, &ps)
	for i := range series {
		series[i].Weighings = scales.Between(series[i].Weighings, span[0], span[1])
	}
	r := &hindcastReport{weights: weights, weather: rec, latDeg: o.lat, latWhy: "as given", size: size}
	h := hindcast.Hive{LonDeg: o.lon, ElevM: o.elev, Weather: rec, BloomDate: span[2], EarlyForage: early, Known: known}
	if rec != nil {
		if math.IsNaN(r.latDeg) && rec.Station.LatDeg > 0 {
			r.latDeg, r.latWhy = rec.Station.LatDeg, "from the weather record"
		}
		if math.IsNaN(h.LonDeg) {
			h.LonDeg = rec.Station.LonDeg
		}
		if math.IsNaN(h.ElevM) {
			h.ElevM = rec.Station.ElevM
		}
		series = withinWeather(series, rec, shown, &ps)
	}
	if math.IsNaN(r.latDeg) {
		ps.Add("--lat", 0, 0, "where the hives stand is not known, and the weather does not say", "give their latitude, degrees north, such as --lat 49.8")
	}
	if err := ps.Err(); err != nil {
		return err
	}
	c.warn(ps)
	h.LatDeg = r.latDeg
	if err := r.runHives(ctx, c, series, h, opt); err != nil {
		return err
	}
	if err := r.files(ctx, c, out, o, format); err != nil {
		return err
	}
	if o.json {
		return writeJSON(c.out, newHindcastDoc(r))
	}
	p := page{us: o.units == "us"}
	r.print(&p)
	return p.flush(c.out)
}

// checked are the options of the run and the days that it is held to: from, to and
// bloom, zero where none is given.
func (o *hindcastOptions) checked() (opt hindcast.Options, span [3]time.Time, err error) {
	opt = hindcast.DefaultOptions()
	opt.Members, opt.Seed, opt.LearnDays = o.members, o.seed, o.learnDays
	if err := opt.Validate(); err != nil {
		return opt, span, usageError{err}
	}
	for i, f := range []struct{ flag, text string }{{"--from", o.from}, {"--to", o.to}, {"--bloom-date", o.bloomDate}} {
		if f.text == "" {
			continue
		}
		if span[i], err = parseDay(f.flag, f.text); err != nil {
			return opt, span, err
		}
	}
	return opt, span, nil
}

// runHives runs every hive with enough weighings; h is what all have in common.
func (r *hindcastReport) runHives(ctx context.Context, c *console, series []scales.Series, h hindcast.Hive, opt hindcast.Options) error {
	var ps read.Problems
	var err error
	step, done := c.progress("hives")
	defer done()
	for i, s := range series {
		if len(s.Weighings) < 2 {
			continue // told before
		}
		one := hindcastHive{name: s.Hive, series: s}
		if one.name == "" {
			one.name = strings.TrimSuffix(filepath.Base(r.weights), filepath.Ext(r.weights))
		}
		h.Name, h.Weighings = one.name, s.Weighings
		if one.Result, err = hindcast.Run(ctx, h, opt); err != nil {
			if ctx.Err() != nil {
				return err
			}
			ps.Add(r.weights, 0, 0, fmt.Sprintf("hive %s: %v", one.name, err), "correct the table or the weather")
			continue
		}
		r.hives = append(r.hives, one)
		if step != nil {
			step(i+1, len(series))
		}
	}
	return ps.Err()
}

func (c *console) readWeights(file string, ps *read.Problems) []scales.Series {
	data, ok := c.content(file, ps)
	if !ok {
		return nil
	}
	return scales.Read(shownName(file), bytes.NewReader(data), ps)
}

// hindcastWeather reads and fills the weather of the hives, from the records, or
// from a table with hours, or from the table of weights itself. It says how the
// source is called in messages.
func hindcastWeather(opts weather.Options, usual climate.Normals, weights string, files []string, ps *read.Problems) (*weather.Record, string) {
	beside := func(file string) *weather.Record {
		var unused read.Problems // said already, where the weights were read
		data, ok := read.File(file, file, mostStdinBytes, &unused)
		if !ok {
			return nil
		}
		return scales.ReadWeather(file, bytes.NewReader(data), usual, ps)
	}
	var rec *weather.Record
	shown := strings.Join(files, ", ")
	switch {
	case len(files) == 0 || len(files) == 1 && files[0] == weights:
		shown = weights
		if rec = beside(weights); rec == nil {
			if _, err := os.Stat(weights); err == nil {
				ps.Add(weights, 0, 0, "holds no temperatures of the air", "name a weather record of the place behind it")
			}
			return nil, shown
		}
	default:
		var found read.Problems
		if rec, found = opts.ReadFiles(files); rec == nil && len(files) == 1 {
			if rec = beside(files[0]); rec != nil {
				found = nil
			}
		}
		*ps = append(*ps, found...)
	}
	if rec != nil {
		rec, _ = weather.Fill(rec, nil, weather.DefaultFillOptions())
	}
	return rec, shown
}

// pickHives keeps the hives that are wanted.
func pickHives(all []scales.Series, wanted []string, file string, ps *read.Problems) []scales.Series {
	if len(wanted) == 0 || len(all) == 0 {
		return all
	}
	var names []string
	for _, s := range all {
		names = append(names, s.Hive)
	}
	var out []scales.Series
	for _, w := range wanted {
		i := slices.IndexFunc(all, func(s scales.Series) bool { return strings.EqualFold(s.Hive, strings.TrimSpace(w)) })
		switch {
		case i < 0:
			ps.Add(file, 0, 0, fmt.Sprintf("has no hive %q", w), "the hives are: "+listed(names))
		case !slices.ContainsFunc(out, func(s scales.Series) bool { return s.Hive == all[i].Hive }):
			out = append(out, all[i])
		}
	}
	return out
}

// withinWeather keeps the weighings of the days that the record reaches over, and
// tells of hives and holes that are left.
func withinWeather(all []scales.Series, rec *weather.Record, shown string, ps *read.Problems) []scales.Series {
	first, last := time.Time{}, time.Time{}
	for i := range rec.Days {
		if d := rec.Date(i); rec.Days[i].HasTemp() {
			if first.IsZero() {
				first = d
			}
			last = d
		}
	}
	enough, filled := 0, map[time.Time]bool{}
	var short read.Problems
	for i := range all {
		s := &all[i]
		name := ""
		if s.Hive != "" {
			name = "hive " + s.Hive + ": "
		}
		n := len(s.Weighings)
		if n >= 2 {
			s.Weighings = scales.Between(s.Weighings, first, last)
			if k := n - len(s.Weighings); k > 0 {
				ps.Warn(s.File, 0, 0, fmt.Sprintf("%s%s outside the weather of %s to %s not used", name, several(k, "weighing is", "weighings are"), first.Format(time.DateOnly), last.Format(time.DateOnly)),
					"give the weather of all days")
			}
		}
		if len(s.Weighings) < 2 {
			within := ""
			if n > len(s.Weighings) {
				within = fmt.Sprintf(" within the weather of %s to %s", first.Format(time.DateOnly), last.Format(time.DateOnly))
			}
			short.Add(s.File, 0, 0, fmt.Sprintf("%s%s left%s, and two on two days are needed", name, several(len(s.Weighings), "weighing is", "weighings are"), within),
				"give more weighings, or the weather of their days, or other --from and --to")
			continue
		}
		enough++
		holes, at := 0, time.Time{}
		for d := s.Weighings[0].Date; !d.After(s.Weighings[len(s.Weighings)-1].Date); d = d.AddDate(0, 0, 1) {
			if _, ok := rec.At(d); !ok {
				if holes++; holes == 1 {
					at = d
				}
			}
		}
		if holes > 0 {
			ps.Add(shown, 0, 0, fmt.Sprintf("%s without temperatures within the weighings, the first %s", several(holes, "day", "days"), at.Format(time.DateOnly)),
				"use another record, or --from and --to to stay clear of them")
			return all
		}
		for _, f := range rec.Filled {
			for d := f.First; !d.After(f.Last); d = d.AddDate(0, 0, 1) {
				if !d.Before(s.Weighings[0].Date) && !d.After(s.Weighings[len(s.Weighings)-1].Date) {
					filled[d] = true
				}
			}
		}
	}
	if n := len(filled); n > 0 {
		ps.Warn(shown, 0, 0, several(n, "day", "days")+" without temperatures within the weighings filled from the days beside them", "give a fuller record where it matters")
	}
	for i := range short {
		if short[i].Level = read.Error; enough > 0 {
			short[i].Level = read.Note
		}
	}
	*ps = append(*ps, short...)
	return all
}

// files draws and writes what was asked for beside the printed report.
func (r *hindcastReport) files(ctx context.Context, c *console, out *outputs.Set, o *hindcastOptions, format string) (err error) {
	defer func() { err = errors.Join(err, out.Close()) }()
	if o.chart != "" {
		look := plots.DefaultLook()
		if o.units == "us" {
			look.Units = plots.US
		}
		for i := range r.hives {
			h := &r.hives[i]
			path := o.chart
			if len(r.hives) > 1 {
				ext := filepath.Ext(path)
				path = fmt.Sprintf("%s-%s%s", strings.TrimSuffix(path, ext), fileWord(h.name, i), ext)
			}
			chart := plots.HindcastChart(h.picture(), look)
			if err := writeAndSay(ctx, c, out, path, func(w io.Writer) error { return chart.Write(w, format, chartWidthCm, 0) }); err != nil {
				return err
			}
		}
	}
	if o.outCSV == "" {
		return nil
	}
	return writeAndSay(ctx, c, out, o.outCSV, func(w io.Writer) error { return read.WriteCSV(w, r.rows()) })
}

// fileWord is a hive's name as a part of a file's.
func fileWord(name string, i int) string {
	word := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_':
			return r
		}
		return '_'
	}, name)
	if strings.Trim(word, "_") == "" {
		return fmt.Sprint(i + 1)
	}
	return word
}

func (h *hindcastHive) picture() plots.Hindcast {
	out := plots.Hindcast{What: "Hive weight", Unit: "kg", Name: h.name, Dates: h.Dates, Band: plan.Band(h.Band), StartsOn: h.From.AddDate(0, 0, -1)}
	for _, p := range h.Points {
		if !p.LeftOut {
			out.SeenOn, out.Seen = append(out.SeenOn, p.Date), append(out.Seen, p.Kg)
		}
	}
	return out
}

// rows are the bands and readings of each day, as a table.
func (r *hindcastReport) rows() [][]any {
	out := [][]any{{"hive", "date", "p10_kg", "p25_kg", "p50_kg", "p75_kg", "p90_kg", "scale_kg", "used_kg", "left_out"}}
	kg := func(v float64) any { return read.Number{Value: v, Decimals: 3} }
	for i := range r.hives {
		h := &r.hives[i]
		at := h.byDay()
		for d, date := range h.Dates {
			row := []any{h.name, date, kg(h.Band.P10[d]), kg(h.Band.P25[d]), kg(h.Band.P50[d]), kg(h.Band.P75[d]), kg(h.Band.P90[d]), nil, nil, nil}
			if p := at[d]; p != nil {
				row[7], row[8] = kg(p.SeenKg), kg(p.Kg)
				if p.LeftOut {
					row[8], row[9] = nil, "yes"
				}
			}
			out = append(out, row)
		}
	}
	return out
}

// byDay are the readings by the day since the first.
func (h *hindcastHive) byDay() map[int]*hindcast.Point {
	at := map[int]*hindcast.Point{}
	for i := range h.Points {
		at[h.Points[i].Day] = &h.Points[i]
	}
	return at
}

func (r *hindcastReport) print(p *page) {
	for i := range r.hives {
		r.printHive(p, &r.hives[i])
	}
	if len(r.hives) > 1 {
		var all []*hindcast.Result
		for _, h := range r.hives {
			all = append(all, h.Result)
		}
		pooled, err50, err80 := hindcast.Pool(all)
		p.heading("All %d hives together", len(r.hives))
		printScores(p, &pooled, false)
		if !math.IsNaN(err50) {
			p.item("Readings in the bands, mean of the hives: %s of them in the band of half, standard error %s; %s in that of 8 in 10, %s.",
				share(pooled.Held50), share(err50), share(pooled.Held80), share(err80))
		}
	}
	p.heading("How to read it")
	p.item("Bias and error are foretold less seen: a bias above 0 means that the hive lost more, or gained less, than foretold. Changes overlap, and the readings of one hive hang together: the shares of one hive say little.")
	p.item("Latitude %.2f N, %s. Weather: %s.", r.latDeg, r.latWhy, r.weather.Name)
}

func (r *hindcastReport) printHive(p *page, h *hindcastHive) {
	n := len(h.Points)
	kg := p.unit("kg")
	p.heading("Hive %s, %s to %s", h.name, fullDate(h.Points[0].Date), fullDate(h.Points[n-1].Date))
	p.item("%s on %s. Scatter of one: %s %s.", several(n, "weighing", "weighings"), several(h.Points[n-1].Day+1, "day", "days"), p.showDiff(h.Noise.ScatterKg, "kg", 2), kg)
	p.item("Colony at the start: %s.", r.size)
	if later := "later than " + h.LookTo.AddDate(0, 0, -1).Format("2 January"); h.Bloom.P50.IsZero() {
		p.item("First bloom of dependable nectar %s.", later)
	} else {
		last := dayMonth(h.Bloom.P90)
		if h.Bloom.P90.IsZero() {
			last = later
		}
		p.item("First bloom of dependable nectar %s (8 in 10: %s to %s).", dayMonth(h.Bloom.P50), dayMonth(h.Bloom.P10), last)
	}
	if l := h.Learned; l.Days > 0 {
		p.item("Learned from %s of the first %d days: %s bees at the start (8 in 10: %s to %s), before that %s (%s to %s). Scored from %s.",
			several(l.Readings, "reading", "readings"), l.Days, thousands(l.BeesNow[1]), thousands(l.BeesNow[0]), thousands(l.BeesNow[2]),
			thousands(l.Bees[1]), thousands(l.Bees[0]), thousands(l.Bees[2]), dayMonth(h.From))
	}
	for _, w := range h.Warnings {
		p.item("Note: %s.", w)
	}
	if len(h.Steps) == 0 {
		p.item("No steps were taken out.")
	} else {
		p.heading("Steps taken out")
		var rows [][]string
		for i, s := range h.Steps {
			if i == listedSteps {
				rows = append(rows, []string{"", "", "", fmt.Sprintf("and %d more", len(h.Steps)-i), ""})
				break
			}
			rows = append(rows, []string{dayMonth(s.From), dayMonth(s.To), p.showDiff(s.Kg, "kg", 2), string(s.Cause), s.Note})
		}
		p.grid([]column{{"After", 0, false}, {"To", 0, false}, {kg, 0, true}, {"Why", 0, false}, {"Note", 30, false}}, rows)
	}
	p.heading("Change of weight, %s: foretold and seen", kg)
	printScores(p, &h.Scores, true)
	s := &h.Scores
	if s.Readings > 0 {
		p.item("Of %s, %s lie in the band of half and %s in that of 8 in 10; %s under it, %s over it.",
			several(s.Readings, "reading", "readings"), share(s.Held50), share(s.Held80), share(s.Below), share(s.Above))
		p.item("By the last reading the hive had changed by %s %s; %s was foretold.", p.showDiff(s.LastKg, "kg", 1), kg, p.showDiff(s.LastKg+s.LastBiasKg, "kg", 1))
	}
	h.printDays(p)
}

func printScores(p *page, s *hindcast.Scores, start bool) {
	cols := []column{{"Over", 0, false}, {"Changes", 0, true}, {"Seen,\nmean", 0, true}, {"Bias", 0, true}, {"Error,\nmean", 0, true},
		{"In band\nof half", 0, true}, {"In band\nof 8 in 10", 0, true}}
	if start {
		cols = append(cols, column{"From start:\nseen", 0, true}, column{"foretold\n(8 in 10)", 0, true})
	}
	var rows [][]string
	for _, h := range s.Horizons {
		row := []string{fmt.Sprintf("%d days", h.Days), fmt.Sprint(h.Pairs), p.showDiff(h.SeenMeanKg, "kg", 2), p.showDiff(h.BiasKg, "kg", 2), p.showDiff(h.MeanAbsKg, "kg", 2), "-", "-"}
		if h.Pairs > 0 {
			row[5], row[6] = fixed(100*h.Held50, 0)+" %", fixed(100*h.Held80, 0)+" %"
		}
		if start {
			foretold := "-"
			if !math.IsNaN(h.FromStartP50) {
				foretold = fmt.Sprintf("%s (%s to %s)", p.showDiff(h.FromStartP50, "kg", 1), p.showDiff(h.FromStartP10, "kg", 1), p.showDiff(h.FromStartP90, "kg", 1))
			}
			row = append(row, p.showDiff(h.FromStartSeenKg, "kg", 1), foretold)
		}
		rows = append(rows, row)
	}
	p.grid(cols, rows)
}

// printDays lists bands and readings: all readings when they are few, else one
// day a week.
func (h *hindcastHive) printDays(p *page) {
	at := h.byDay()
	var days []int
	if len(h.Points) <= listedReadings {
		p.heading("Reading by reading, %s, steps taken out", p.unit("kg"))
		for _, x := range h.Points {
			days = append(days, x.Day)
		}
	} else {
		p.heading("Week by week, %s, steps taken out", p.unit("kg"))
		last := len(h.Dates) - 1
		for d := 0; d < last; d += 7 {
			days = append(days, d)
		}
		days = append(days, last)
	}
	var rows [][]string
	for _, d := range days {
		seen, where := "-", ""
		b := &h.Band
		if x := at[d]; x != nil {
			seen = p.show(x.Kg, "kg", 1)
			switch {
			case x.LeftOut:
				seen, where = "-", "left out"
			case d == 0:
				where = "start"
			case x.Date.Before(h.From):
				where = "learned from"
			case x.Kg < b.P10[d]:
				where = "under"
			case x.Kg > b.P90[d]:
				where = "over"
			default:
				where = "in band"
			}
		}
		rows = append(rows, []string{dayMonth(h.Dates[d]), p.show(b.P10[d], "kg", 1), p.show(b.P25[d], "kg", 1), p.show(b.P50[d], "kg", 1), p.show(b.P75[d], "kg", 1), p.show(b.P90[d], "kg", 1), seen, where})
	}
	p.grid([]column{{"Day", 0, false}, {"10 %", 0, true}, {"25 %", 0, true}, {"Middle", 0, true}, {"75 %", 0, true}, {"90 %", 0, true}, {"Seen", 0, true}, {"", 0, false}}, rows)
}

// hindcastDoc is the JSON of the command hindcast. Figures are metric; null is
// not known.
type hindcastDoc struct {
	Format  string            `json:"format"`
	Weights string            `json:"weights"`
	Weather string            `json:"weather"`
	LatDeg  files.Num         `json:"lat_deg"`
	LatFrom string            `json:"lat_from"`
	Size    string            `json:"colony_at_start"`
	Hives   []hindcastHiveDoc `json:"hives"`
	Pooled  *scoresDoc        `json:"all_hives,omitempty"`
}

type hindcastHiveDoc struct {
	Hive      string       `json:"hive"`
	First     string       `json:"first"`
	Last      string       `json:"last"`
	Weighings int          `json:"weighings"`
	ScatterKg files.Num    `json:"scatter_kg"`
	Members   int          `json:"members"`
	Bloom     []string     `json:"bloom_p10_p50_p90"`
	Steps     []stepDoc    `json:"steps_taken_out"`
	Learned   *learnedDoc  `json:"learned,omitempty"`
	Scores    scoresDoc    `json:"scores"`
	Warnings  []string     `json:"warnings"`
	Days      []bandDayDoc `json:"days"`
}

type stepDoc struct {
	From string    `json:"from"`
	To   string    `json:"to"`
	Kg   files.Num `json:"kg"`
	Why  string    `json:"why"`
	Note string    `json:"note,omitempty"`
}

type learnedDoc struct {
	Days      int         `json:"days"`
	Readings  int         `json:"readings"`
	ESS       files.Num   `json:"effective_members"`
	WidenedBy files.Num   `json:"errors_widened_by"`
	Before    []files.Num `json:"bees_before_p10_p50_p90"`
	Now       []files.Num `json:"bees_now_p10_p50_p90"`
}

type scoresDoc struct {
	Readings int          `json:"readings"`
	Held50   files.Num    `json:"held_50_frac"`
	Held80   files.Num    `json:"held_80_frac"`
	Below    files.Num    `json:"below_frac"`
	Above    files.Num    `json:"above_frac"`
	SeenKg   files.Num    `json:"last_change_kg"`
	BiasKg   files.Num    `json:"last_bias_kg"`
	Changes  []horizonDoc `json:"changes"`
}

type horizonDoc struct {
	Days      int         `json:"days"`
	Pairs     int         `json:"pairs"`
	SeenKg    files.Num   `json:"seen_mean_kg"`
	BiasKg    files.Num   `json:"bias_kg"`
	MeanAbsKg files.Num   `json:"mean_abs_error_kg"`
	Held50    files.Num   `json:"held_50_frac"`
	Held80    files.Num   `json:"held_80_frac"`
	StartKg   files.Num   `json:"from_start_seen_kg"`
	StartKgs  []files.Num `json:"from_start_p10_p50_p90_kg"`
}

type bandDayDoc struct {
	Date    string    `json:"date"`
	P10Kg   files.Num `json:"p10_kg"`
	P25Kg   files.Num `json:"p25_kg"`
	P50Kg   files.Num `json:"p50_kg"`
	P75Kg   files.Num `json:"p75_kg"`
	P90Kg   files.Num `json:"p90_kg"`
	ScaleKg files.Num `json:"scale_kg"`
	UsedKg  files.Num `json:"used_kg"`
	LeftOut bool      `json:"left_out,omitempty"`
}

func newScoresDoc(s *hindcast.Scores) scoresDoc {
	n := func(v float64) files.Num { return files.Num(v) }
	d := scoresDoc{Readings: s.Readings, Held50: n(s.Held50), Held80: n(s.Held80), Below: n(s.Below), Above: n(s.Above), SeenKg: n(s.LastKg), BiasKg: n(s.LastBiasKg)}
	for _, h := range s.Horizons {
		d.Changes = append(d.Changes, horizonDoc{h.Days, h.Pairs, n(h.SeenMeanKg), n(h.BiasKg), n(h.MeanAbsKg), n(h.Held50), n(h.Held80),
			n(h.FromStartSeenKg), []files.Num{n(h.FromStartP10), n(h.FromStartP50), n(h.FromStartP90)}})
	}
	return d
}

func newHindcastDoc(r *hindcastReport) hindcastDoc {
	n := func(v float64) files.Num { return files.Num(v) }
	iso := func(t time.Time) string {
		if t.IsZero() {
			return ""
		}
		return t.Format(time.DateOnly)
	}
	d := hindcastDoc{Format: "bloomgap hindcast", Weights: r.weights, Weather: r.weather.Name, LatDeg: n(r.latDeg), LatFrom: r.latWhy, Size: r.size}
	var all []*hindcast.Result
	for i := range r.hives {
		h := &r.hives[i]
		all = append(all, h.Result)
		e := hindcastHiveDoc{Hive: h.name, First: iso(h.Dates[0]), Last: iso(h.Dates[len(h.Dates)-1]), Weighings: len(h.Points), ScatterKg: n(h.Noise.ScatterKg), Members: h.Members,
			Bloom: []string{iso(h.Bloom.P10), iso(h.Bloom.P50), iso(h.Bloom.P90)}, Steps: []stepDoc{}, Scores: newScoresDoc(&h.Scores), Warnings: append([]string{}, h.Warnings...)}
		for _, s := range h.Steps {
			e.Steps = append(e.Steps, stepDoc{iso(s.From), iso(s.To), n(s.Kg), string(s.Cause), s.Note})
		}
		if l := h.Learned; l.Days > 0 {
			e.Learned = &learnedDoc{l.Days, l.Readings, n(l.ESS), n(l.WidenedBy), []files.Num{n(l.Bees[0]), n(l.Bees[1]), n(l.Bees[2])}, []files.Num{n(l.BeesNow[0]), n(l.BeesNow[1]), n(l.BeesNow[2])}}
		}
		at := h.byDay()
		for t, date := range h.Dates {
			b := bandDayDoc{Date: iso(date), P10Kg: n(h.Band.P10[t]), P25Kg: n(h.Band.P25[t]), P50Kg: n(h.Band.P50[t]), P75Kg: n(h.Band.P75[t]), P90Kg: n(h.Band.P90[t]), ScaleKg: n(math.NaN()), UsedKg: n(math.NaN())}
			if p := at[t]; p != nil {
				b.ScaleKg, b.LeftOut = n(p.SeenKg), p.LeftOut
				if !p.LeftOut {
					b.UsedKg = n(p.Kg)
				}
			}
			e.Days = append(e.Days, b)
		}
		d.Hives = append(d.Hives, e)
	}
	if len(all) > 1 {
		pooled, _, _ := hindcast.Pool(all)
		s := newScoresDoc(&pooled)
		d.Pooled = &s
	}
	return d
}
