// Package calendar writes the visits of a plan as an iCalendar file (RFC 5545),
// one all-day event for each visit of a yard, for the calendar of a phone.
//
// Dates are whole days without a time zone. The stamp of an event is the day of
// the plan that last changed it, so that the same plan gives the same bytes.
//
// A later plan replaces what an earlier one put into a calendar: it is given the
// file that the earlier one wrote, an event keeps its name (UID) when its visit
// moves or its work changes, and its SEQUENCE goes up by one then (section
// 3.8.7.4). A visit that is no longer planned stays in the file as cancelled, so
// that calendars take it away. Left out: alarms.
package calendar

import (
	"fmt"
	"hash/fnv"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// mostMovedDays is how far a visit may move and still be the same one, days, 3-10,
// own choice: half of the usual interval.
const mostMovedDays = 5

// Write writes the calendar in the units of the season's settings. Old is what an
// earlier plan wrote, nil for none; a calendar that cannot be read is taken as
// none.
func Write(w io.Writer, pl *plan.Plan, old io.Reader) error {
	cal := ics.NewCalendarFor("bloomgap")
	cal.SetMethod(ics.MethodPublish)
	cal.SetName("Spring feeding")
	known := readEvents(old, pl.Today.Year())
	style := words.StyleOf(pl)
	for _, y := range pl.Yards {
		of := yardKey(y.Name)
		mine := known[of]
		delete(known, of)
		planned := make([]event, 0, len(y.Visits))
		for _, v := range y.Visits {
			planned = append(planned, event{day: v.Date, stamp: pl.Today, summary: summary(pl, y, v), description: description(v, style), place: y.Name})
		}
		for _, e := range renew(planned, mine, of, pl.Today) {
			e.add(cal)
		}
	}
	// Yards that this plan does not hold are left as they were.
	for _, of := range slices.Sorted(maps.Keys(known)) {
		for _, e := range known[of] {
			e.add(cal)
		}
	}
	return cal.SerializeTo(w, ics.WithNewLineWindows)
}

// event is a visit as the calendar holds it.
type event struct {
	uid                         string
	sequence                    int
	day, stamp                  time.Time
	summary, description, place string
	cancelled                   bool
}

func (e *event) add(cal *ics.Calendar) {
	v := cal.AddEvent(e.uid)
	v.SetDtStampTime(e.stamp)
	v.SetSequence(e.sequence)
	v.SetAllDayStartAt(e.day)
	v.SetAllDayEndAt(e.day.AddDate(0, 0, 1))
	v.SetSummary(e.summary)
	v.SetDescription(e.description)
	v.SetLocation(e.place)
	if e.cancelled {
		v.SetStatus(ics.ObjectStatusCancelled)
	} else {
		v.SetStatus(ics.ObjectStatusConfirmed)
	}
}

// sameAs says whether two events show the same, whatever their names.
func (e *event) sameAs(other *event) bool {
	return e.day.Equal(other.day) && e.summary == other.summary && e.description == other.description && e.place == other.place && e.cancelled == other.cancelled
}

// renew gives the planned visits of a yard the names of those known before: of
// the same day first, then of the nearest day. Known visits that are past stay as
// they are; others that are no longer planned are cancelled.
func renew(planned, known []event, yard string, today time.Time) []event {
	used := make([]bool, len(known))
	from := make([]int, len(planned)) // index in known, -1 for a new visit
	match := func(within int, revive bool) {
		for i := range planned {
			best, bestDays := -1, within+1
			for k := range known {
				days := int(max(planned[i].day.Sub(known[k].day), known[k].day.Sub(planned[i].day)).Hours() / 24)
				if !used[k] && days < bestDays && !known[k].day.Before(today) && (revive || !known[k].cancelled) {
					best, bestDays = k, days
				}
			}
			if from[i] < 0 && best >= 0 {
				from[i], used[best] = best, true
			}
		}
	}
	for i := range from {
		from[i] = -1
	}
	match(0, true)
	match(mostMovedDays, false)

	var out []event
	taken := map[string]bool{}
	for k := range known {
		taken[known[k].uid] = true
		if used[k] {
			continue
		}
		e := known[k]
		if !e.cancelled && !e.day.Before(today) {
			e.cancelled, e.stamp, e.sequence = true, today, e.sequence+1
		}
		out = append(out, e)
	}
	for i := range planned {
		e := planned[i]
		if from[i] < 0 {
			e.uid = uid(yard, e.day, taken)
			taken[e.uid] = true
		} else {
			was := &known[from[i]]
			e.uid, e.sequence = was.uid, was.sequence
			if e.sameAs(was) {
				e.stamp = was.stamp
			} else {
				e.sequence++
			}
		}
		out = append(out, e)
	}
	slices.SortStableFunc(out, func(a, b event) int { return a.day.Compare(b.day) })
	return out
}

// readEvents reads what Write wrote, by yard; what is of another year is left out.
func readEvents(old io.Reader, year int) map[string][]event {
	out := map[string][]event{}
	if old == nil {
		return out
	}
	cal, err := ics.ParseCalendar(old)
	if err != nil {
		return out
	}
	text := func(v *ics.VEvent, name ics.ComponentProperty) string {
		if p := v.GetProperty(name); p != nil {
			return p.Value
		}
		return ""
	}
	for _, v := range cal.Events() {
		day, err := v.GetAllDayStartAt()
		_, rest, ok := strings.Cut(v.Id(), "-")
		of, _, home := strings.Cut(rest, "@bloomgap")
		if err != nil || !ok || !home || day.Year() != year {
			continue
		}
		of, _, _ = strings.Cut(of, "-")
		e := event{uid: v.Id(), day: time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, time.UTC), summary: text(v, ics.ComponentPropertySummary),
			description: text(v, ics.ComponentPropertyDescription), place: text(v, ics.ComponentPropertyLocation),
			cancelled: text(v, ics.ComponentPropertyStatus) == string(ics.ObjectStatusCancelled)}
		e.sequence, _ = strconv.Atoi(text(v, ics.ComponentPropertySequence)) // none is 0, section 3.8.7.4
		if e.stamp, err = v.GetDtStampTime(); err != nil {
			e.stamp = e.day
		}
		out[of] = append(out[of], e)
	}
	return out
}

// summary says at a glance what a visit is for.
func summary(pl *plan.Plan, y plan.YardPlan, v plan.Visit) string {
	prefix := ""
	if pl.Invented {
		prefix = "INVENTED: "
	}
	colonies, hives, yard := map[string]bool{}, 0, 0
	for _, t := range v.Tasks {
		if t.Colony == "" {
			yard++
			continue
		}
		if !colonies[t.Colony] {
			colonies[t.Colony] = true
			hives += max(1, t.Colonies)
		}
	}
	toSee := words.Count(hives, "hive", "hives") + " to see to"
	switch {
	case yard == 0:
		return fmt.Sprintf("%s%s: %s", prefix, y.Name, toSee)
	case len(colonies) == 0:
		return fmt.Sprintf("%s%s: work on the whole yard", prefix, y.Name)
	}
	return fmt.Sprintf("%s%s: work on the whole yard, %s", prefix, y.Name, toSee)
}

func description(v plan.Visit, style words.Style) string {
	lines := make([]string, len(v.Tasks))
	for i, t := range v.Tasks {
		lines[i] = words.Sentence(style.Note(t.What))
		if t.Colony != "" {
			lines[i] = words.CalledTask(&t) + ": " + style.Note(t.What)
		}
	}
	return strings.Join(lines, "\n")
}

// yardKey stands for a yard in names of events.
func yardKey(yard string) string {
	h := fnv.New64a()
	io.WriteString(h, yard) // a hash takes every byte
	return fmt.Sprintf("%016x", h.Sum64())
}

// uid names a new event by its yard and the day it is first planned for.
func uid(yard string, day time.Time, taken map[string]bool) string {
	name := fmt.Sprintf("%s-%s@bloomgap", day.Format("20060102"), yard)
	for n := 2; taken[name]; n++ {
		name = fmt.Sprintf("%s-%s-%d@bloomgap", day.Format("20060102"), yard, n)
	}
	return name
}
