package words

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// VisitDay is all that is done on one day, for the truck and the clipboard: what
// to mix the day before, what to load, then yard by yard what each colony gets on
// that day only.
type VisitDay struct {
	Date   time.Time
	Round  string   // of the yards that are visited together; "" for those of none
	Remark []string // yards that fall on one day though nobody said that they go together; more than a trip carries
	Mix    []string // syrup by ratio, with its sugar, water and containers
	Load   []string // solid sugar, feeders, what all feed weighs
	Yards  []DayYard
}

// Name is the day, and its round.
func (d *VisitDay) Name(u Style) string {
	if d.Round == "" {
		return u.Day(d.Date)
	}
	name := Clean(d.Round)
	if !strings.HasPrefix(strings.ToLower(name), "round") {
		name = "round " + name
	}
	return u.Day(d.Date) + ", " + name
}

// DayYard is what is done at one yard on one day.
type DayYard struct {
	Name string
	Work []string // of the whole yard
	Rows []DayRow
	Rest []DayRow // its other live colonies, whose heft may be written down
	load load
}

// DayRow is what one colony gets, or what is done to it.
type DayRow struct {
	Colony string
	Do     []string
	Tally  bool // of several hives, which are tallied again
}

// trip is a day and a round.
type trip struct {
	date  time.Time
	round string
}

// VisitDays lists the days on which yards are visited from the day of the plan on
// through so many days after it, a round apart from the others; yards in the order of
// their table, those with disease last.
func VisitDays(pl *plan.Plan, within int, u Style) []VisitDay {
	days, sums := map[trip]*VisitDay{}, map[trip]*daySum{}
	last := pl.Today.AddDate(0, 0, within)
	byYard := map[string][]*plan.ColonyPlan{}
	for i := range pl.Colonies {
		c := &pl.Colonies[i]
		byYard[c.Yard] = append(byYard[c.Yard], c)
	}
	yards := make([]*plan.YardPlan, len(pl.Yards))
	for i := range pl.Yards {
		yards[i] = &pl.Yards[i]
	}
	slices.SortStableFunc(yards, func(a, b *plan.YardPlan) int { return order(a.Disease) - order(b.Disease) })
	for _, y := range yards {
		for _, v := range y.Visits {
			if v.Date.Before(pl.Today) || v.Date.After(last) {
				continue
			}
			t := trip{v.Date, y.Round}
			if days[t] == nil {
				days[t], sums[t] = &VisitDay{Date: v.Date, Round: y.Round}, &daySum{syrup: map[string]*batch{}, feeders: map[plan.Feeder]int{}, powder: map[float64]int{}}
			}
			d := u.dayYard(y.Name, v, byYard[y.Name])
			sums[t].dust(v)
			for _, c := range byYard[y.Name] {
				for _, f := range c.Feedings {
					if f.Date.Equal(v.Date) {
						sums[t].add(c, f)
						d.load.add(c, f)
					}
				}
			}
			days[t].Yards = append(days[t].Yards, d)
		}
	}
	out := make([]VisitDay, 0, len(days))
	truck := truckOf(pl)
	for t, d := range days {
		d.Mix, d.Load = sums[t].mix(u, &truck), sums[t].load(u)
		d.Remark = append(d.together(), d.trips(&truck, u)...)
		out = append(out, *d)
	}
	slices.SortFunc(out, func(a, b VisitDay) int { return cmp.Or(a.Date.Compare(b.Date), cmp.Compare(a.Round, b.Round)) })
	return out
}

func order(last bool) int {
	if last {
		return 1
	}
	return 0
}

func (u Style) dayYard(name string, v plan.Visit, colonies []*plan.ColonyPlan) DayYard {
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
			d.Rows = append(d.Rows, DayRow{Colony: CalledTask(&t), Tally: t.Colonies > 0})
		}
		d.Rows[i].Do = append(d.Rows[i].Do, what)
	}
	if len(v.Tasks) == 0 {
		d.Work = []string{u.Note(plan.Look{})}
	}
	for _, c := range colonies {
		if _, there := at[c.Colony]; !there && c.Verdict != plan.Dead {
			d.Rest = append(d.Rest, DayRow{Colony: Called(c), Tally: c.Tally != nil})
		}
	}
	return d
}

// daySum adds up the feedings of a day.
type daySum struct {
	ratios         []string
	syrup          map[string]*batch
	solid, solidIf float64 // kg; solidIf only for hives that are low
	feeders        map[plan.Feeder]int
	powder         map[float64]int // colonies to dust by what is prescribed for each, g
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

// dust adds up the powder of a round for which the keeper entered the prescribed amount.
func (s *daySum) dust(v plan.Visit) {
	for _, t := range v.Tasks {
		if r, ok := t.What.(plan.DustRound); ok && r.PowderG > 0 {
			s.powder[r.PowderG] += r.Colonies
		}
	}
}

func (s *daySum) mix(u Style, truck *season.Truck) []string {
	var out []string
	slices.Sort(s.ratios)
	for _, ratio := range s.ratios {
		b := s.syrup[ratio]
		of := strings.TrimSpace(ratio + " syrup")
		if b.l > 0 {
			out = append(out, fmt.Sprintf("%s of %s: %s of sugar in %s of water", u.Volume(b.l), of, u.Mass(b.sugarKg), u.Volume(b.waterL))+u.containers(b.l, truck))
		}
		if b.lateL > 0 {
			out = append(out, fmt.Sprintf("only for hives that are low, %s of %s: %s of sugar in %s of water", u.Volume(b.lateL), of, u.Mass(b.lateKg),
				u.Volume(b.lateWaterL))+u.containers(b.lateL, truck))
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
	for _, g := range slices.Sorted(maps.Keys(s.powder)) {
		n := s.powder[g]
		out = append(out, fmt.Sprintf("prescribed powder, at most %s: %s each for %s, the amount in your settings; label and prescription rule",
			grams(g*float64(n)), grams(g), living(n)))
	}
	return out
}
