package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/forage/scales"
	"bloomgap/forage/weather"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
	"bloomgap/sim/colony"
	"bloomgap/sim/hindcast"
	"bloomgap/sim/observe"
)

// usualLatDeg is the latitude where it is not known yet, for the swing of a day's
// temperature, degrees north, own judgement.
const usualLatDeg = 48.0

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
	parameters        string // file of figures of the model
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
		Long: `Hindcast starts the model on the day of the first weighing, predicts the weights
after it from the weather of those days, and scores the prediction. WEIGHTS is
the table of a scale, .csv or .xlsx: a day or timestamp and a weight in kg, or
weight_lb, weight_g; several hives have a column hive or a column of weights each.
If wanted, change_kg holds what was put on or taken off since the row before, and
mark says yes when the hive was worked on. WEATHER is the record of the place; it
can be left out when WEIGHTS holds the temperatures of the air as well.

Nothing need be known of the colony. Steps that bees cannot make are taken out. A
file may hold whole years: each spring runs by itself, from 1 October or its first
weighing until dependable nectar has come, where the model ends. The flags that
describe the colony count for the start of each spring.`,
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
	f.StringVar(&o.parameters, "parameters", "", "table of figures of the model to use instead: name and value, as bloomgap parameters names them")
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
	k.Wrapped = o.wrapped
	meanBees, sdBees := math.NaN(), math.NaN()
	switch {
	case kind < 0:
		return k, "", usageError{fmt.Errorf("--boxes %q is not known; write deep, medium, shallow or large", o.boxes)}
	case !math.IsNaN(o.bees) && !math.IsNaN(o.seams):
		return k, "", usageError{errors.New("give --bees or --seams, not both")}
	case !math.IsNaN(o.bees):
		k.BeesLogMu, k.BeesLogSD = math.Log(o.bees), observe.CountedBeesLogSD
	case !math.IsNaN(o.seams):
		b := observe.BeesFromSeams(o.seams, o.countTempC, kind)
		meanBees, sdBees = b.MeanBees, b.SDBees
		k.BeesLogMu, k.BeesLogSD = b.LogParams()
	}
	if !math.IsNaN(o.broodFrames) {
		k.BroodCells, k.BroodLogSD = observe.BroodCells(o.broodFrames, kind), observe.CountedBroodLogSD
	}
	return k, words.StartingColony(o.bees, o.seams, meanBees, sdBees, o.broodFrames), nil
}

// hindcastReport is all hives of a call.
type hindcastReport struct {
	weights string
	shown   terminal.Hindcast
}

// hindcastCall is a call whose words are understood.
type hindcastCall struct {
	opt    hindcast.Options
	hive   hindcast.Hive // what all hives have in common
	from   time.Time
	to     time.Time
	read   weather.Options
	format string // of charts
	colony string // what is known of it, in words
}

// understood checks the words of the call.
func (o *hindcastOptions) understood(c *console) (call hindcastCall, err error) {
	if err := checkUnits(o.units); err != nil {
		return call, err
	}
	if call.format, err = chartFormat(o.chart); err != nil {
		return call, err
	}
	call.hive = hindcast.Hive{LatDeg: o.lat, LonDeg: o.lon, ElevM: o.elev}
	if call.hive.Known, call.colony, err = o.known(); err != nil {
		return call, err
	}
	call.opt = hindcast.DefaultOptions()
	call.opt.Members, call.opt.Seed, call.opt.LearnDays = o.members, o.seed, o.learnDays
	if err := call.opt.Validate(); err != nil {
		return call, usageError{err}
	}
	for _, f := range []struct {
		flag, text string
		to         *time.Time
	}{{"--from", o.from, &call.from}, {"--to", o.to, &call.to}, {"--bloom-date", o.bloomDate, &call.hive.BloomDate}} {
		if f.text == "" {
			continue
		}
		if *f.to, err = parseDay(f.flag, f.text); err != nil {
			return call, err
		}
	}
	if call.read, err = c.readOptions(o.location, o.recordUnits, &o.confirm); err != nil {
		return call, err
	}
	ok := false
	if call.hive.EarlyForage, ok = colony.ParseEarlyForage(o.earlyForage); !ok {
		return call, usageError{fmt.Errorf("--early-forage %q is not known; write none, some or good", o.earlyForage)}
	}
	return call, nil
}

func runHindcast(ctx context.Context, c *console, weights string, weatherFiles []string, o *hindcastOptions) error {
	call, err := o.understood(c)
	if err != nil {
		return err
	}
	inputs := append([]string{weights}, weatherFiles...)
	if o.parameters != "" {
		inputs = append(inputs, o.parameters)
	}
	out, err := beginFiles(inputs, o.force, o.chart, o.outCSV)
	if err != nil {
		return err
	}
	var ps read.Problems
	if o.parameters != "" {
		if data, ok := c.content(o.parameters, &ps); ok {
			base, found := colony.ReadOverrides(shownName(o.parameters), bytes.NewReader(data), call.opt.Base)
			call.opt.Base, ps = base, append(ps, found...)
		}
	}
	r := &hindcastReport{weights: weights, shown: terminal.Hindcast{Colony: call.colony, LatDeg: o.lat, LatFrom: "as given"}}
	springs, err := stoppable(ctx, func() ([]hindcast.Hive, error) {
		series := pickHives(c.readWeights(weights, &ps), o.hives, weights, &ps)
		return r.prepare(&call, series, weatherFiles, &ps), nil
	})
	if err != nil {
		return err
	}
	if err := ps.Err(); err != nil {
		return err
	}
	c.warn(ps)
	if err := r.run(ctx, c, springs, call.opt); err != nil {
		return err
	}
	if err := r.files(ctx, c, out, o, call.format); err != nil {
		return err
	}
	if o.json {
		return writeJSON(c.out, newHindcastDoc(r))
	}
	p := terminal.Page{Style: words.Style{US: o.units == "us"}}
	p.Hindcast(&r.shown)
	return p.Flush(c.out)
}

// prepare reads the weather and parts the weighings by springs, each with its
// place and weather.
func (r *hindcastReport) prepare(call *hindcastCall, series []scales.Series, weatherFiles []string, ps *read.Problems) []hindcast.Hive {
	h := call.hive
	usual := climate.NearestAt(usualLatDeg, h.LonDeg, h.ElevM)
	if !math.IsNaN(h.LatDeg) {
		usual = climate.NearestAt(h.LatDeg, h.LonDeg, h.ElevM)
	}
	rec, shown := hindcastWeather(call.read, usual, r.weights, weatherFiles, ps)
	if rec != nil {
		r.shown.Weather, h.Weather = rec.Name, rec
		if math.IsNaN(h.LatDeg) && rec.Station.LatDeg > 0 {
			h.LatDeg, r.shown.LatDeg, r.shown.LatFrom = rec.Station.LatDeg, rec.Station.LatDeg, "from the weather record"
		}
		if math.IsNaN(h.LonDeg) {
			h.LonDeg = rec.Station.LonDeg
		}
		if math.IsNaN(h.ElevM) {
			h.ElevM = rec.Station.ElevM
		}
	}
	if math.IsNaN(h.LatDeg) {
		ps.Add("--lat", 0, 0, "where the hives stand is not known, and the weather does not say", "give their latitude, degrees north, such as --lat 49.8")
	}
	if rec == nil || len(series) == 0 {
		return nil
	}
	var springs []hindcast.Hive
	unused := 0
	for _, s := range series {
		one := h
		if one.Name = s.Hive; one.Name == "" {
			one.Name = strings.TrimSuffix(filepath.Base(r.weights), filepath.Ext(r.weights))
		}
		one.Weighings = scales.Between(s.Weighings, call.from, call.to)
		parts, n := hindcast.Springs(one)
		if springs, unused = append(springs, parts...), unused+n; len(parts) == 0 {
			springs = append(springs, hindcast.Hive{Name: one.Name, Weather: rec}) // told of below
		}
	}
	if unused > 0 {
		ps.Warn(r.weights, 0, 0, words.Count(unused, "weighing", "weighings")+" of August and September not used",
			"nothing need be done: the model runs from October to the first nectar")
	}
	return withinWeather(springs, r.weights, shown, ps)
}

// run runs every spring with enough weighings. One that lies outside the span of
// the model is told of; when no other is left the run fails.
func (r *hindcastReport) run(ctx context.Context, c *console, springs []hindcast.Hive, opt hindcast.Options) error {
	var ps read.Problems
	step, done := c.progress("springs")
	defer done()
	for i, h := range springs {
		one, err := hindcast.Run(ctx, h, opt)
		var outside hindcast.OutsideError
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.As(err, &outside):
			ps.Report(read.Problem{Level: read.Note, File: r.weights, Message: fmt.Sprintf("hive %s: %v", h.Name, err), Fix: "give weighings from before nectar"})
		case err != nil:
			ps.Add(r.weights, 0, 0, fmt.Sprintf("hive %s: %v", h.Name, err), "correct the table or the weather")
		default:
			r.shown.Springs = append(r.shown.Springs, one)
		}
		if step != nil {
			step(i+1, len(springs))
		}
	}
	if len(r.shown.Springs) == 0 {
		for i := range ps {
			ps[i].Level = read.Error
		}
	}
	if err := ps.Err(); err != nil {
		return err
	}
	c.warn(ps)
	return nil
}
