package main

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/forage/read"
	"bloomgap/plots/terminal"
)

// hiveFlag is a flag that fills a cell of the tables, so that one hive is read
// by the same rules as a season folder.
type hiveFlag struct {
	name, column, help string
	group              string // title in the help
	measure            string // metric unit of a bare number; "" for none
	yard               bool
	value              string
}

// Groups of the help of the command hive.
const (
	groupWhere = "Where it stands (a latitude or a built-in climate is needed)"
	groupSeen  = "What was seen (boxes and seams of bees are needed for a sure answer)"
	groupFood  = "Its food, in any one way (needed for a sure answer)"
	groupWhen  = "Visits and bloom"
	groupRules = "What you accept and want"
	groupAsk   = "What else is asked"
	groupShow  = "What is printed and written"
)

func hiveFlags() []*hiveFlag {
	return []*hiveFlag{
		{name: "lat", column: "lat", yard: true, group: groupWhere, help: "latitude of the yard, degrees north"},
		{name: "lon", column: "lon", yard: true, group: groupWhere, help: "longitude, degrees east; west is negative"},
		{name: "elev", column: "elev", yard: true, group: groupWhere, measure: "m", help: "height above sea level, such as 120m or 400ft"},
		{name: "climate", column: "climate", yard: true, group: groupWhere, help: "name of a built-in climate, or auto for the nearest"},
		{name: "weather", column: "weather", yard: true, group: groupWhere, help: "weather record of the place, a file; separate several with ;"},
		{name: "weather-place", column: "weather_place", yard: true, group: groupWhere, help: "place to take from a record that holds several"},
		{
			name:   "monthly-means-c",
			column: "monthly_means_c",
			yard:   true,
			group:  groupWhere,
			help:   "mean temperatures of January to December in C, twelve numbers, in place of a record",
		},
		{name: "monthly-means-f", column: "monthly_means_f", yard: true, group: groupWhere, help: "the same in F"},
		{name: "forecast", column: "forecast", yard: true, group: groupWhere, help: "forecast of the next days, a weather table"},
		{name: "date", column: "date", group: groupSeen, help: "day it was inspected, such as 2027-03-20 (default: today)"},
		{name: "boxes", column: "boxes", group: groupSeen, help: "boxes by number and kind, such as \"1 deep + 1 medium\""},
		{name: "frames-per-box", column: "frames_per_box", group: groupSeen, help: "frames in a full box (default 10)"},
		{name: "seams", column: "seams", group: groupSeen, help: "seams of bees, counted from the top"},
		{name: "count-temp", column: "count_temp", group: groupSeen, measure: "C", help: "air temperature at the count, such as 6C or 43F"},
		{name: "brood-frames", column: "brood_frames", group: groupSeen, help: "frames of brood, if looked at"},
		{name: "wrapped", column: "wrapped", group: groupSeen, help: "yes or no (default no)"},
		{name: "name", column: "colony", group: groupSeen, help: "name of the colony"},
		{name: "gross", column: "gross", group: groupFood, measure: "kg", help: "weight of the whole hive, such as 27.5kg or 60lb"},
		{name: "lift-back", column: "lift_back", group: groupFood, measure: "kg", help: "reading of a hand scale at the back, such as 12kg or 26lb"},
		{name: "lift-left", column: "lift_left", group: groupFood, measure: "kg", help: "reading of a hand scale at the left, together with --lift-right"},
		{name: "lift-right", column: "lift_right", group: groupFood, measure: "kg", help: "reading at the right"},
		{name: "heft", column: "heft", group: groupFood, help: "lifted by hand: light, fair or heavy"},
		{name: "food-frames-deep", column: "food_frames_deep", group: groupFood, help: "deep frames of food"},
		{name: "food-frames-medium", column: "food_frames_medium", group: groupFood, help: "medium frames of food"},
		{name: "next-visit", column: "next_visit", yard: true, group: groupWhen, help: "day of the next visit, such as 2027-03-24"},
		{name: "days-between", column: "days_between", yard: true, group: groupWhen, help: "days from visit to visit"},
		{name: "bloom-date", column: "bloom_date", yard: true, group: groupWhen, help: "day of the first dependable nectar, seen or expected"},
		{name: "bloom-spread", column: "bloom_spread", yard: true, group: groupWhen, help: "how far off that date or rule may be, days"},
		{
			name:   "early-forage",
			column: "early_forage",
			yard:   true,
			group:  groupWhen,
			help:   "willow, maple and the like within flight: none, some or good (default: not known)",
		},
		{name: "bloom-base-c", column: "bloom_base_c", yard: true, group: groupWhen, help: "your own bloom rule, as bloom fit gives it: base temperature, C"},
		{name: "bloom-start", column: "bloom_start", yard: true, group: groupWhen, help: "its first day, month-day"},
		{name: "bloom-need-cd", column: "bloom_need_cd", yard: true, group: groupWhen, help: "its sum, C-days"},
	}
}

// hiveOptions are the flags of the command hive.
type hiveOptions struct {
	planOptions
	cells            []*hiveFlag
	inputUnits       string
	today            string
	strength, wanted string
	supplement       bool
	riskPercent      float64
	reserveKg        float64
	notes            []string // on flags called by an old name
}

func newHiveCmd(c *console) *cobra.Command {
	o := &hiveOptions{cells: hiveFlags()}
	std := season.DefaultSettings()
	cmd := &cobra.Command{
		Use:   "hive",
		Short: "Answer for one hive, given by flags",
		Long: `Hive answers for a single colony: does it need food, by when, how much of what,
in what feeder, how often. A number may have its unit behind it: 60lb, 27.5kg,
43F, 6C, 400ft. Without one it is in kg, C and m, or as --input-units says.`,
		Example: `  bloomgap hive --lat 45.3 --lon -72.9 --date 2027-03-20 --boxes "1 deep" --heft light --seams 5
  bloomgap hive --lat 46.9 --lon 7.4 --weather bern.csv --boxes "1 deep" --gross 21kg --seams 6
  bloomgap hive --lat 44.5 --lon -73.2 --boxes "1 deep" --gross 47lb --seams 5 --units us`,
		Args: exactly(0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			for _, note := range o.notes {
				fmt.Fprintln(c.errs, note)
			}
			if err := o.validate(); err != nil {
				return err
			}
			if o.asks.options.With != "" {
				return usageError{errors.New("--neighbour names a colony of a season folder, for bloomgap plan; of one hive, say what the other is like by " +
					"--neighbour-seams and --neighbour-heft")}
			}
			if err := o.asks.read(); err != nil {
				return err
			}
			return runHive(cmd.Context(), c, o)
		},
	}
	f := cmd.Flags()
	registerHive(f, o.cells)
	f.StringVar(&o.inputUnits, "input-units", "", "metric or us: units of numbers that are given without one (default metric)")
	f.StringVar(&o.today, "today", "", "day the question is asked (default: the clock's)")
	f.StringVar(&o.strength, "strength", "choose", "syrup, sugar to water by weight: choose, 1:1, 3:2, 2:1 or 60%")
	f.StringVar(&o.wanted, "bees-wanted", "", "day by which many bees are wanted, for pollination or nucs")
	f.BoolVar(&o.supplement, "supplement", true, "weigh up a protein supplement")
	f.Float64Var(&o.riskPercent, "accept-risk", 100*std.AcceptRiskFrac, "risk of starving that is accepted, percent")
	f.Float64Var(&o.reserveKg, "reserve", std.ReserveKg, "stores to hold, kg")
	o.asks.register(f)
	o.register(f)
	for _, name := range []string{"yard", "reasons", "neighbour"} { // of folders
		f.Lookup(name).Hidden = true
	}
	f.SetNormalizeFunc(oldNames(&o.notes))
	groupFlags(cmd, hiveGroups(o.cells))
	return cmd
}

// oldNames reads flags by the names of earlier versions, and notes it.
func oldNames(notes *[]string) func(*pflag.FlagSet, string) pflag.NormalizedName {
	now := map[string]string{"protein": "supplement", "insulated": "wrapped"}
	said := map[string]bool{}
	return func(_ *pflag.FlagSet, name string) pflag.NormalizedName {
		if new, old := now[name]; old {
			if !said[name] {
				*notes = append(*notes, fmt.Sprintf("--%s is called --%s now; it is read all the same", name, new))
				said[name] = true
			}
			name = new
		}
		return pflag.NormalizedName(name)
	}
}

func hiveGroups(cells []*hiveFlag) []flagGroup {
	var out []flagGroup
	for _, h := range cells {
		if len(out) == 0 || out[len(out)-1].title != h.group {
			out = append(out, flagGroup{title: h.group})
		}
		last := &out[len(out)-1]
		last.names = append(last.names, h.name)
	}
	for i := range out {
		switch out[i].title {
		case groupSeen:
			out[i].names = append(out[i].names, "input-units")
		case groupWhen:
			out[i].names = append(out[i].names, "today")
		}
	}
	return append(out,
		flagGroup{groupAsk, (&askFlags{}).names()},
		flagGroup{groupRules, []string{"accept-risk", "reserve", "strength", "supplement", "bees-wanted"}},
		flagGroup{groupShow, nil}) // all others
}

// runHive answers for one hive.
func runHive(ctx context.Context, c *console, o *hiveOptions) error {
	defer c.gatherAt(oneHiveGC)()
	if err := bareNumbers(o.cells, o.units, o.inputUnits); err != nil {
		return err
	}
	yard, colony := map[string]string{}, map[string]string{}
	for _, f := range o.cells {
		switch {
		case strings.TrimSpace(f.value) == "":
		case f.yard:
			yard[f.column] = f.value
		default:
			colony[f.column] = f.value
		}
	}
	if yard["climate"] == "" && yard["weather"] == "" && yard["lat"] != "" {
		yard["climate"] = "auto" // the answer says which climate that is, and how far
	}
	day, err := season.DayAsked(c.today(), o.today, colony["date"])
	if err != nil {
		return usageError{err}
	}
	set, err := o.settings(day)
	if err != nil {
		return err
	}
	s, ps := season.OneHive(set, day, yard, colony)
	ps = append(ps, season.Weigh(set).Confirm(set.Confirmed)...)
	if err := ps.Err(); err != nil {
		return err
	}
	s.Settings.SetUnits(o.units == "us") // those of the answer
	if len(o.asks.questions) == 0 && season.WinterVisits(s.Today) {
		o.asks.questions = []plan.Question{plan.AskWinter} // a plan by visits is for spring
	}
	c.warnBesidePlan(ps)
	pl, err := planAndWrite(ctx, c, s, &o.planOptions)
	if err != nil {
		return err
	}
	if o.json || o.streams() > 0 {
		return o.print(c, pl)
	}
	screen := terminal.DefaultScreen()
	screen.Words, screen.Colour, screen.Why = unitsOf(pl), c.outIsTerminal && c.getenv("NO_COLOR") == "", o.why
	if len(pl.Asked) > 0 && (!o.why || len(o.asks.words) > 0) {
		return terminal.WriteAsked(c.out, pl, screen)
	}
	return terminal.WriteHive(c.out, pl, &pl.Colonies[0], screen)
}

// settings are what the flags say of the rules, on the day of the question.
func (o *hiveOptions) settings(day time.Time) (season.Settings, error) {
	set := season.DefaultSettings()
	set.SetUnits(o.inputUnits == "us") // while the cells are read
	var err error
	if set.Confirmed, err = o.confirm.codes(); err != nil {
		return set, err
	}
	set.AcceptRiskFrac, set.ReserveKg, set.ProteinConsidered = o.riskPercent/100, o.reserveKg, o.supplement
	if err := setStrength(&set, o.strength); err != nil {
		return set, err
	}
	if o.wanted != "" {
		d, err := parseDay("--bees-wanted", o.wanted)
		if err != nil {
			return set, err
		}
		if d.Before(day) {
			return set, usageError{fmt.Errorf("--bees-wanted %s is past; give a day after %s", o.wanted, day.Format(time.DateOnly))}
		}
		set.BeesWantedDate = d
	}
	if err := set.Validate(); err != nil {
		return set, usageError{err}
	}
	return set, nil
}

// bareNumber is a number without a unit.
var bareNumber = regexp.MustCompile(`^[-+]?[0-9]+([.,][0-9]+)?$`)

// bareNumbers refuses to guess: who has the answer printed in US units and gives a
// number without its unit may mean either, and the two are pounds and kilograms
// apart.
func bareNumbers(cells []*hiveFlag, units, inputUnits string) error {
	switch inputUnits {
	case "metric", "us":
		return nil
	case "":
	default:
		return usageError{fmt.Errorf("--input-units %q is not known; write metric or us", inputUnits)}
	}
	if units != "us" {
		return nil
	}
	for _, f := range cells {
		text := strings.TrimSpace(f.value)
		if f.measure == "" || !bareNumber.MatchString(text) {
			continue
		}
		us := read.OutputUnit(f.measure, true).Name
		return usageError{
			fmt.Errorf("--%s %s has no unit, and with --units us it could be %s or %s; write %s%s or %s%s, or say what bare numbers are in with --input-units",
				f.name, text, us, f.measure, text, us, text, f.measure),
		}
	}
	return nil
}

func registerHive(f *pflag.FlagSet, flags []*hiveFlag) {
	for _, h := range flags {
		f.StringVar(&h.value, h.name, "", h.help)
	}
	f.SortFlags = false
}
