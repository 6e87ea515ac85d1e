package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"bloomgap/feed/season"
	"bloomgap/plots/terminal"
)

// hiveFlag is a flag that fills a cell of the tables, so that one hive is read
// by the same rules as a season folder.
type hiveFlag struct {
	name, column, help string
	yard               bool
	value              string
}

func hiveFlags() []*hiveFlag {
	return []*hiveFlag{
		{name: "lat", column: "lat", yard: true, help: "latitude of the yard, degrees north"},
		{name: "lon", column: "lon", yard: true, help: "longitude, degrees east (west is negative)"},
		{name: "elev", column: "elev", yard: true, help: "height above sea level, e.g. 120 or \"400 ft\""},
		{name: "weather", column: "weather", yard: true, help: "weather record of the place; without one the nearest built-in climate is used"},
		{name: "weather-place", column: "weather_place", yard: true, help: "place to take from a record that holds several"},
		{name: "climate", column: "climate", yard: true, help: "name of a built-in climate, or auto"},
		{name: "monthly-means-c", column: "monthly_means_c", yard: true, help: "mean temperatures of January to December, C, twelve numbers, in place of a record"},
		{name: "monthly-means-f", column: "monthly_means_f", yard: true, help: "the same in F"},
		{name: "forecast", column: "forecast", yard: true, help: "forecast of the next days, as a weather table"},
		{name: "next-visit", column: "next_visit", yard: true, help: "day of the next visit, e.g. 2027-03-24"},
		{name: "days-between", column: "days_between", yard: true, help: "days from visit to visit"},
		{name: "bloom-date", column: "bloom_date", yard: true, help: "first dependable nectar, seen or expected"},
		{name: "bloom-spread", column: "bloom_spread", yard: true, help: "how far off that date or rule may be, days"},
		{name: "bloom-base-c", column: "bloom_base_c", yard: true, help: "your own bloom rule, as bloom fit gives it: base temperature, C"},
		{name: "bloom-start", column: "bloom_start", yard: true, help: "its first day, month-day"},
		{name: "bloom-need-cd", column: "bloom_need_cd", yard: true, help: "its sum, C-days"},
		{name: "name", column: "colony", help: "name of the colony"},
		{name: "date", column: "date", help: "day it was looked at (default: today)"},
		{name: "boxes", column: "boxes", help: "boxes by kind and number, e.g. \"1 deep + 1 medium\""},
		{name: "frames-per-box", column: "frames_per_box", help: "frames in a full box"},
		{name: "insulated", column: "insulated", help: "yes when wrapped"},
		{name: "gross", column: "gross", help: "weight of the whole hive, e.g. 27.5 or \"60 lb\""},
		{name: "lift-back", column: "lift_back", help: "reading of a hand scale at the back"},
		{name: "lift-left", column: "lift_left", help: "reading of a hand scale at the left, with --lift-right"},
		{name: "lift-right", column: "lift_right", help: "reading at the right"},
		{name: "heft", column: "heft", help: "light, fair or heavy"},
		{name: "food-frames-deep", column: "food_frames_deep", help: "deep frames of food"},
		{name: "food-frames-medium", column: "food_frames_medium", help: "medium frames of food"},
		{name: "seams", column: "seams", help: "seams of bees"},
		{name: "count-temp", column: "count_temp", help: "air temperature when the seams were counted"},
		{name: "brood-frames", column: "brood_frames", help: "frames of brood, if looked at"},
	}
}

func newHiveCmd(c *console) *cobra.Command {
	var o planOptions
	flags := hiveFlags()
	set := season.DefaultSettings()
	var strength, wanted string
	var today string
	var riskPercent, reserveKg float64
	cmd := &cobra.Command{
		Use:   "hive",
		Short: "Answer for one hive, given by flags",
		Long: `Hive answers for a single colony: does it need food, by when, how much of what,
in what feeder, how often. Food is given by any one of --gross, --lift-back,
--lift-left with --lift-right, --heft, --food-frames-deep or -medium.`,
		Example: `  bloomgap hive --lat 45.3 --lon -72.9 --date 2027-03-20 --boxes "1 deep" --heft light --seams 5
  bloomgap hive --lat 46.9 --lon 7.4 --weather bern.csv --boxes "1 deep" --gross 21 --seams 6`,
		Args: exactly(0),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := o.validate(); err != nil {
				return err
			}
			yard, colony := map[string]string{}, map[string]string{}
			for _, f := range flags {
				switch {
				case strings.TrimSpace(f.value) == "":
				case f.yard:
					yard[f.column] = f.value
				default:
					colony[f.column] = f.value
				}
			}
			confirmed, err := o.confirm.codes()
			if err != nil {
				return err
			}
			set.Confirmed = confirmed
			set.UnitsUS = o.units == "us"
			set.AcceptRiskFrac, set.ReserveKg = riskPercent/100, reserveKg
			day, err := season.DayAsked(c.today(), today, colony["date"])
			if err != nil {
				return usageError{err}
			}
			if err := setStrength(&set, strength); err != nil {
				return err
			}
			if wanted != "" {
				d, err := parseDay("--bees-wanted", wanted)
				if err != nil {
					return err
				}
				if d.Before(day) {
					return usageError{fmt.Errorf("--bees-wanted %s is past; give a day after %s", wanted, day.Format(time.DateOnly))}
				}
				set.BeesWantedDate = d
			}
			if err := set.Validate(); err != nil {
				return usageError{err}
			}
			s, ps := season.OneHive(set, day, yard, colony)
			ps = append(ps, season.WeighRisk(set, "--accept-risk").Confirm(confirmed)...)
			if err := ps.Err(); err != nil {
				return err
			}
			c.warn(ps)
			plan, planner, err := makePlan(cmd.Context(), c, s, &o)
			if err != nil {
				return err
			}
			if err := o.files(cmd.Context(), c, planner, plan); err != nil {
				return err
			}
			if o.json {
				return o.print(c, plan)
			}
			screen := terminal.DefaultScreen()
			screen.Words, screen.Colour, screen.Why = unitsOf(plan), c.outIsTerminal && c.getenv("NO_COLOR") == "", o.why
			return terminal.WriteHive(c.out, plan, &plan.Colonies[0], screen)
		},
	}
	f := cmd.Flags()
	registerHive(f, flags)
	f.StringVar(&today, "today", "", "day the question is asked (default: the clock's)")
	f.StringVar(&strength, "strength", "choose", "syrup: choose, 1:1, 3:2, 2:1 or 60%, by weight")
	f.StringVar(&wanted, "bees-wanted", "", "day by which many bees are wanted, for pollination or nucs")
	f.BoolVar(&set.ProteinConsidered, "protein", true, "weigh up a protein supplement")
	f.Float64Var(&riskPercent, "accept-risk", 100*set.AcceptRiskFrac, "risk of starving that is accepted, percent")
	f.Float64Var(&reserveKg, "reserve", set.ReserveKg, "stores to hold, kg")
	o.register(f)
	return cmd
}

func registerHive(f *pflag.FlagSet, flags []*hiveFlag) {
	for _, h := range flags {
		f.StringVar(&h.value, h.name, "", h.help)
	}
	f.SortFlags = false
}
