package season

import (
	"fmt"
	"strings"
	"time"

	"bloomgap/forage/read"
)

// Truck is how a keeper goes round the yards: on which days, with how much, and how
// long sugar takes to come.
type Truck struct {
	Off        [7]bool // days of the week on which nobody goes, by time.Weekday
	LoadKg     float64 // most feed that one trip carries, kg; 0: not said
	LoadL      float64 // most syrup that one trip carries, L; 0: not said
	ContainerL float64 // what one container of syrup holds, L; 0: not said
	LeadDays   int     // from the order of sugar to its coming
	LeadSaid   bool    // that somebody has said so
}

// Bounds of the settings of the truck; own judgement: slips of the pen and the unit.
const (
	leastLoadKg, mostLoadKg         = 10.0, 40000.0 // kg, a lorry
	leastLoadL, mostLoadL           = 5.0, 30000.0  // L
	leastContainerL, mostContainerL = 1.0, 1500.0   // L, a can to a tote
	mostLeadDays                    = 120           // days
	mostDaysOff                     = 6             // of a week
	daysOffFix                      = `write such as days_off = "sunday", or days_off = "saturday, sunday"`
)

// Working is a day, or the next after it on which somebody goes.
func (t *Truck) Working(day time.Time) time.Time {
	for range mostDaysOff {
		if !t.Off[day.Weekday()] {
			break
		}
		day = day.AddDate(0, 0, 1)
	}
	return day
}

// truck reads the settings of the truck.
func (r *settingsReader) truck(t *Truck) {
	if text, ok := r.text("days_off"); ok {
		r.daysOff(t, text)
	}
	r.pair("load_limit", "kg", "lb", leastLoadKg, mostLoadKg, &t.LoadKg)
	r.pair("load_limit", "L", "gal", leastLoadL, mostLoadL, &t.LoadL)
	r.pair("container", "L", "gal", leastContainerL, mostContainerL, &t.ContainerL)
	t.LeadDays, t.LeadSaid = r.whole("order_lead_days", 0, mostLeadDays)
}

func (r *settingsReader) daysOff(t *Truck, text string) {
	n := 0
	for word := range strings.FieldsFuncSeq(strings.ToLower(text), func(c rune) bool { return isListMark(c) || c == ' ' }) {
		found := false
		for d := time.Sunday; d <= time.Saturday; d++ {
			if name := strings.ToLower(d.String()); word == name || word == name[:3] || word == name+"s" {
				found = true
				if !t.Off[d] {
					t.Off[d] = true
					n++
				}
			}
		}
		if !found {
			r.add("days_off", fmt.Sprintf("%q is no day of the week", word), daysOffFix)
		}
	}
	if n > mostDaysOff {
		r.add("days_off", "all days of the week are off", "leave one on which somebody goes")
		t.Off = [7]bool{}
	}
}

// truckColumns are the columns of a yard about the rounds.
func truckColumns() []read.Column {
	return []read.Column{{Name: "round", Aliases: []string{"route", "tour"}}, {Name: "disease", Aliases: []string{"ill", "diseased"}}}
}

// round reads with which yards a yard is visited: they share their visits. A yard
// without visits of its own takes those of the first of its round.
func (l *loader) round(r read.Row, y *Yard) {
	y.Round, y.Disease = cleanName(r.Text("round")), r.Bool("disease", false)
	if y.Round == "" {
		return
	}
	for i := range l.s.Yards {
		o := &l.s.Yards[i]
		if !sameName(o.Round, y.Round) {
			continue
		}
		y.Round = o.Round
		if y.NextVisit.IsZero() && y.DaysBetween == 0 && len(y.Visits) == 0 {
			y.NextVisit, y.DaysBetween, y.Visits = o.NextVisit, o.DaysBetween, o.Visits
		}
		end := l.s.Today.AddDate(0, 0, mostDaysBetween)
		a, b := o.VisitDates(l.s.Today, end), y.VisitDates(l.s.Today, end)
		same := len(a) == len(b)
		for k := 0; same && k < len(a); k++ {
			same = a[k].Equal(b[k])
		}
		if !same {
			r.Problem("round", fmt.Sprintf("%s and %s are of the round %s, but are visited on other days", y.Name, o.Name, y.Round),
				"give both the same next_visit and days_between, or leave them empty here; or another round")
		}
		return
	}
}
