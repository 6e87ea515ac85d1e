package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/plots/words"
)

// inputs lists the settings that a plan was made with.
func inputs(pl *plan.Plan, u words.Style) []input {
	out := []input{
		{"Day of the plan", u.LongDay(pl.Today)},
		{"Simulated springs of each colony", strconv.Itoa(pl.Members)},
		{"Random seed", strconv.FormatUint(pl.Seed, 10)},
		{"Accepted risk of starving before nectar", words.Share(pl.AcceptPct / 100)},
	}
	if pl.Season != nil {
		s := pl.Season.Settings
		out = append(out, input{"Reserve to hold", u.Mass(s.ReserveKg)})
		strength := "chosen by the plan"
		if !s.ChooseStrength() {
			strength = words.Clean(s.Strength.String())
		}
		out = append(out, input{"Syrup", strength})
		if s.SugarBagKg > 0 {
			out = append(out, input{"Bag of sugar", u.Mass(s.SugarBagKg)})
		}
		protein := "not considered"
		if s.ProteinConsidered {
			protein = "considered"
			if !s.BeesWantedDate.IsZero() {
				protein += ", bees wanted on " + u.LongDay(s.BeesWantedDate)
			}
		}
		out = append(out, input{"Protein supplement", protein})
		for i := range pl.Season.Yards {
			y := &pl.Season.Yards[i]
			if rounds := dusting(s.DustingAt(y), u); rounds != "" {
				out = append(out, input{"Dusting and supers at " + words.Clean(y.Name), rounds})
			}
		}
		if pl.Season.Dir != "" {
			out = append(out, input{"Season folder", words.Clean(pl.Season.Dir)})
		}
	}
	for _, y := range pl.Yards {
		if source := u.WeatherSource(y.Weather); source != "" {
			out = append(out, input{"Weather of " + words.Clean(y.Name), words.Clean(source)})
		}
	}
	return out
}

// dusting tells the rounds of a yard and the day of its supers; "" for neither.
func dusting(d season.Dusting, u words.Style) string {
	var parts []string
	if dates := d.Dates(); len(dates) > 0 {
		var days []string
		for _, date := range dates {
			days = append(days, u.Day(date))
		}
		wait := "wait before supers not given"
		if d.DaysBeforeSupers > 0 {
			wait = fmt.Sprintf("then %d days before supers", d.DaysBeforeSupers)
		}
		if d.GPerColony > 0 {
			wait += fmt.Sprintf(", %g g of powder a colony as entered from the prescription", d.GPerColony)
		}
		parts = append(parts, fmt.Sprintf("rounds on %s, %s", strings.Join(days, ", "), wait))
	}
	if !d.SupersOn.IsZero() {
		parts = append(parts, "honey supers on "+u.LongDay(d.SupersOn))
	}
	return strings.Join(parts, "; ")
}

// seen lists what was seen at each colony, the last time.
func seen(pl *plan.Plan, u words.Style) []seenRow {
	if pl.Season == nil {
		return nil
	}
	var out []seenRow
	for i := range pl.Season.Colonies {
		c := &pl.Season.Colonies[i]
		name := words.Clean(c.Name)
		if c.Tally != nil {
			name += ", " + words.Count(c.Tally.LookedAt, "colony", "colonies") + " looked at"
		}
		r := seenRow{Yard: words.Clean(c.Yard), Colony: name, Alive: yesNo(c.Alive), Boxes: boxes(c), Wrapped: yesNo(c.Insulated)}
		if o := c.Last(); o != nil {
			r.Date, r.Food, r.Seams, r.Brood, r.Note = u.Day(o.Date), food(o.Food, u), figure(o.SeamsOfBees), figure(o.BroodFrames), words.Clean(o.Note)
			r.Alive = yesNo(o.Alive)
		}
		out = append(out, r)
	}
	return out
}

func yesNo(v bool) string {
	if v {
		return "yes"
	}
	return "no"
}

func figure(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func boxes(c *season.Colony) string {
	var parts []string
	for _, b := range c.Boxes {
		parts = append(parts, fmt.Sprintf("%d %s", b.Count, b.Kind))
	}
	return strings.Join(parts, ", ")
}

func food(f season.Food, u words.Style) string {
	switch f.Kind {
	case season.FoodGross:
		return "weighed " + u.Mass(f.GrossKg)
	case season.FoodLiftBoth:
		return fmt.Sprintf("lifted %s and %s", u.Mass(f.LiftLeftKg), u.Mass(f.LiftRightKg))
	case season.FoodLiftBack:
		return fmt.Sprintf("lifted %s at the back", u.Mass(f.LiftBackKg))
	case season.FoodFrames:
		return fmt.Sprintf("%s deep and %s medium frames of food", figure(f.FramesDeep), figure(f.FramesMedium))
	case season.FoodHeft:
		return "hefted " + f.Heft.String()
	}
	return f.Kind.String()
}
