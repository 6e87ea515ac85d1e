package words

import (
	"fmt"
	"math"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

// load is the feed that a yard takes on a day, all that may be given.
type load struct{ kg, syrupL float64 }

func (l *load) add(c *plan.ColonyPlan, f plan.Feeding) {
	n := float64(c.Stands())
	l.kg += n * f.SolidKg
	if f.SyrupL > 0 {
		l.kg += n * f.SyrupL * syrup.DensityKgPerL(c.Strength.MassFrac)
		l.syrupL += n * f.SyrupL
	}
}

func (l *load) plus(o load) load { return load{l.kg + o.kg, l.syrupL + o.syrupL} }

// over tells whether it is more than a trip carries.
func (l *load) over(t *season.Truck) bool {
	return t.LoadKg > 0 && l.kg > t.LoadKg || t.LoadL > 0 && l.syrupL > t.LoadL
}

// truckOf are the settings of the truck that a plan was made with.
func truckOf(pl *plan.Plan) season.Truck {
	if pl.Season == nil {
		return season.Truck{}
	}
	return pl.Season.Settings.Truck
}

// together remarks yards that fall on one day though nobody said that they are
// visited together.
func (d *VisitDay) together() []string {
	if d.Round != "" || len(d.Yards) < 2 {
		return nil
	}
	var names []string
	for i := range d.Yards {
		names = append(names, d.Yards[i].Name)
	}
	return []string{fmt.Sprintf("%d yards on one day: %s. See that one day does for them; yards that go together may have one round in the table of yards.",
		len(names), Listed(names))}
}

// trips shares the yards of a day out over trips that carry no more than the limit, in
// their order; nothing when one trip does.
func (d *VisitDay) trips(t *season.Truck, u Style) []string {
	var out []string
	var now load
	var names []string
	n := 1
	end := func() {
		if len(names) > 0 {
			out = append(out, fmt.Sprintf("trip %d: %s, %s", n, Listed(names), u.Mass(now.kg)))
			n++
		}
		now, names = load{}, nil
	}
	for i := range d.Yards {
		y := &d.Yards[i]
		if both := now.plus(y.load); both.over(t) {
			end()
		}
		now, names = now.plus(y.load), append(names, y.Name)
		if now.over(t) { // this yard alone
			times := 1.0
			if t.LoadKg > 0 {
				times = math.Ceil(now.kg / t.LoadKg)
			}
			if t.LoadL > 0 {
				times = math.Max(times, math.Ceil(now.syrupL/t.LoadL))
			}
			out = append(out, fmt.Sprintf("%s alone: %s in %.0f trips", y.Name, u.Mass(now.kg), times))
			now, names = load{}, nil
		}
	}
	end()
	if len(out) < 2 && (len(out) == 0 || n == 2) {
		return nil
	}
	return []string{"More than one trip carries (" + u.limits(t) + "): " + Listed(out) + "."}
}

func (u Style) limits(t *season.Truck) string {
	switch {
	case t.LoadKg > 0 && t.LoadL > 0:
		return u.Mass(t.LoadKg) + ", " + u.Volume(t.LoadL)
	case t.LoadKg > 0:
		return u.Mass(t.LoadKg)
	}
	return u.Volume(t.LoadL)
}

// containers says in how many a syrup is carried; "" where nobody has said what one
// holds.
func (u Style) containers(l float64, t *season.Truck) string {
	if t.ContainerL <= 0 {
		return ""
	}
	return fmt.Sprintf(", in %s of %s", Count(int(math.Ceil(l/t.ContainerL-1e-9)), "container", "containers"), u.Volume(t.ContainerL))
}

// OrderByLine says by when sugar is to be ordered; "" where nobody has said how long it
// takes to come.
func OrderByLine(pl *plan.Plan, u Style) string {
	o := &pl.OrderBy
	if o.First.IsZero() && o.Later.IsZero() {
		return ""
	}
	lead := Count(o.LeadDays, "day", "days") + " from the order to the yard"
	s := ""
	switch {
	case o.First.IsZero():
	case o.First.Before(pl.Today):
		s = fmt.Sprintf("Order at once, and find sugar nearer by for the first visit on %s: with %s an order of today comes too late for it.", u.Day(o.FirstNeeded), lead)
	default:
		s = fmt.Sprintf("Order by %s for the first visits (%s).", u.Day(o.First), lead)
	}
	if !o.Later.IsZero() {
		by := "by " + u.Day(o.Later)
		if !o.Later.After(pl.Today) {
			by = "now"
		}
		if s == "" {
			return fmt.Sprintf("Order %s (%s).", by, lead)
		}
		s += " Order the rest " + by + "."
	}
	return s
}
