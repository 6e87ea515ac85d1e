package words

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bloomgap/feed/plan"
)

// VisitDay is all that is done on one day, for the truck and the clipboard: what
// to mix the day before, what to load, then yard by yard what each colony gets on
// that day only.
type VisitDay struct {
	Date  time.Time
	Mix   []string // syrup by ratio, with its sugar and water
	Load  []string // solid sugar, feeders
	Yards []DayYard
}

// DayYard is what is done at one yard on one day.
type DayYard struct {
	Name string
	Work []string // of the whole yard
	Rows []DayRow
}

// DayRow is what one colony gets, or what is done to it.
type DayRow struct {
	Colony string
	Do     []string
}

// VisitDays lists the days on which yards are visited from the day of the plan on
// through so many days after it; yards in the order of their table.
func VisitDays(pl *plan.Plan, within int, u Style) []VisitDay {
	days := map[time.Time]*VisitDay{}
	sums := map[time.Time]*daySum{}
	last := pl.Today.AddDate(0, 0, within)
	for i := range pl.Yards {
		y := &pl.Yards[i]
		for _, v := range y.Visits {
			if v.Date.Before(pl.Today) || v.Date.After(last) {
				continue
			}
			if days[v.Date] == nil {
				days[v.Date], sums[v.Date] = &VisitDay{Date: v.Date}, &daySum{syrup: map[string]*batch{}, feeders: map[plan.Feeder]int{}}
			}
			days[v.Date].Yards = append(days[v.Date].Yards, u.dayYard(y.Name, v))
		}
	}
	for i := range pl.Colonies {
		for _, f := range pl.Colonies[i].Feedings {
			if s := sums[f.Date]; s != nil {
				s.add(&pl.Colonies[i], f)
			}
		}
	}
	out := make([]VisitDay, 0, len(days))
	for date, d := range days {
		d.Mix, d.Load = sums[date].mix(u), sums[date].load(u)
		out = append(out, *d)
	}
	slices.SortFunc(out, func(a, b VisitDay) int { return a.Date.Compare(b.Date) })
	return out
}

func (u Style) dayYard(name string, v plan.Visit) DayYard {
	d := DayYard{Name: Clean(name)}
	at := map[string]int{}
	for _, t := range v.Tasks {
		what := u.Note(t.What)
		if t.Colony == "" {
			d.Work = append(d.Work, what)
			continue
		}
		i, known := at[t.Colony]
		if !known {
			i = len(d.Rows)
			at[t.Colony] = i
			d.Rows = append(d.Rows, DayRow{Colony: calledTask(&t)})
		}
		d.Rows[i].Do = append(d.Rows[i].Do, what)
	}
	if len(v.Tasks) == 0 {
		d.Work = []string{u.Note(plan.Look{})}
	}
	return d
}

// daySum adds up the feedings of a day.
type daySum struct {
	ratios         []string
	syrup          map[string]*batch
	solid, solidIf float64 // kg; solidIf only for hives that are low
	feeders        map[plan.Feeder]int
}

// batch is syrup of one ratio: surely, and only for hives that are low.
type batch struct{ l, sugarKg, waterL, lateL, lateKg, lateWaterL float64 }

func (s *daySum) add(c *plan.ColonyPlan, f plan.Feeding) {
	n := float64(c.Stands())
	if f.SolidKg > 0 {
		if f.OnlyIfLow {
			s.solidIf += n * f.SolidKg
		} else {
			s.solid += n * f.SolidKg
		}
		s.feeders[plan.SolidOverCluster] += c.Stands()
	}
	if f.SyrupL <= 0 {
		return
	}
	s.feeders[c.Choice.Feeder] += c.Stands()
	ratio := Strength(c.Strength)
	b := s.syrup[ratio]
	if b == nil {
		b = &batch{}
		s.ratios, s.syrup[ratio] = append(s.ratios, ratio), b
	}
	if f.OnlyIfLow {
		b.lateL, b.lateKg, b.lateWaterL = b.lateL+n*f.SyrupL, b.lateKg+n*f.SugarKg, b.lateWaterL+n*f.WaterL
		return
	}
	b.l, b.sugarKg, b.waterL = b.l+n*f.SyrupL, b.sugarKg+n*f.SugarKg, b.waterL+n*f.WaterL
}

func (s *daySum) mix(u Style) []string {
	var out []string
	slices.Sort(s.ratios)
	for _, ratio := range s.ratios {
		b := s.syrup[ratio]
		of := strings.TrimSpace(ratio + " syrup")
		if b.l > 0 {
			out = append(out, fmt.Sprintf("%s of %s: %s of sugar in %s of water", u.Volume(b.l), of, u.Mass(b.sugarKg), u.Volume(b.waterL)))
		}
		if b.lateL > 0 {
			out = append(out, fmt.Sprintf("only for hives that are low, %s of %s: %s of sugar in %s of water", u.Volume(b.lateL), of, u.Mass(b.lateKg),
				u.Volume(b.lateWaterL)))
		}
	}
	return out
}

func (s *daySum) load(u Style) []string {
	var out []string
	if s.solid > 0 {
		out = append(out, u.Mass(s.solid)+" of solid sugar")
	}
	if s.solidIf > 0 {
		out = append(out, u.Mass(s.solidIf)+" of solid sugar, only for hives that are low")
	}
	for _, f := range plan.Feeders() {
		if n := s.feeders[f]; n > 0 && f != plan.SolidOverCluster {
			out = append(out, fmt.Sprintf("%s for %s", Feeder(f), Count(n, "hive", "hives")))
		}
	}
	if n := s.feeders[plan.SolidOverCluster]; n > 0 {
		out = append(out, fmt.Sprintf("rims for solid sugar for %s", Count(n, "hive", "hives")))
	}
	return out
}
