// Package calendar writes the visits of a plan as an iCalendar file (RFC 5545),
// one all-day event for each visit of a yard, for the calendar of a phone.
//
// Dates are whole days without a time zone. The stamp of an event is the day of
// the plan, so that the same plan gives the same bytes. Left out: alarms, and
// changes to events that an earlier plan put into a calendar; events of the same
// visit have the same name (UID), so a calendar that is given a later plan
// replaces them.
package calendar

import (
	"fmt"
	"hash/fnv"
	"io"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// Write writes the calendar. Tasks are written in the units of the season's settings.
func Write(w io.Writer, pl *plan.Plan) error {
	cal := ics.NewCalendarFor("bloomgap")
	cal.SetMethod(ics.MethodPublish)
	cal.SetName("Spring feeding")
	for _, y := range pl.Yards {
		for _, v := range y.Visits {
			e := cal.AddEvent(uid(y.Name, v.Date))
			e.SetDtStampTime(pl.Today)
			e.SetAllDayStartAt(v.Date)
			e.SetAllDayEndAt(v.Date.AddDate(0, 0, 1))
			e.SetSummary(summary(pl, y, v))
			e.SetDescription(description(v, words.StyleOf(pl)))
			e.SetLocation(y.Name)
		}
	}
	return cal.SerializeTo(w, ics.WithNewLineWindows)
}

// summary says at a glance what a visit is for.
func summary(pl *plan.Plan, y plan.YardPlan, v plan.Visit) string {
	prefix := ""
	if pl.Invented {
		prefix = "INVENTED: "
	}
	colonies, yard := map[string]bool{}, 0
	for _, t := range v.Tasks {
		if t.Colony == "" {
			yard++
			continue
		}
		colonies[t.Colony] = true
	}
	switch {
	case yard == 0:
		return fmt.Sprintf("%s%s: %d to see to", prefix, y.Name, len(colonies))
	case len(colonies) == 0:
		return fmt.Sprintf("%s%s: work of the whole yard", prefix, y.Name)
	}
	return fmt.Sprintf("%s%s: work of the whole yard, %d to see to", prefix, y.Name, len(colonies))
}

func description(v plan.Visit, s words.Style) string {
	lines := make([]string, len(v.Tasks))
	for i, t := range v.Tasks {
		lines[i] = s.Note(t.What)
		if t.Colony != "" {
			lines[i] = t.Colony + ": " + lines[i]
		}
	}
	return strings.Join(lines, "\n")
}

// uid names the event of a yard and day, the same in every plan.
func uid(yard string, date time.Time) string {
	h := fnv.New64a()
	io.WriteString(h, yard) // a hash takes every byte
	return fmt.Sprintf("%s-%016x@bloomgap", date.Format("20060102"), h.Sum64())
}
