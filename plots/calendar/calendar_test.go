package calendar

import (
	"bytes"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	second "github.com/emersion/go-ical"
	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/syrup"
)

func day(d int) time.Time { return time.Date(2027, 3, d, 0, 0, 0, 0, time.UTC) }

func visit(d int, tasks ...plan.Task) plan.Visit { return plan.Visit{Date: day(d), Tasks: tasks} }

func invented() *plan.Plan {
	return &plan.Plan{
		Today: day(20), Invented: true,
		Yards: []plan.YardPlan{
			{Name: "Hill; east, \"upper\"", Visits: []plan.Visit{
				visit(23, plan.Task{Colony: "H1", What: plan.GiveSyrup{SyrupL: 3, Strength: syrup.ThreeToTwo(), Feeder: plan.BagOnBars}},
					plan.Task{Colony: "H1", What: plan.HeftAgain{}}, plan.Task{What: plan.CloseFeeders{}}),
				visit(31, plan.Task{Colony: "H2\nX", What: plan.WeighHive{}}),
			}},
			{Name: "Mill", Visits: []plan.Visit{visit(23, plan.Task{Colony: "M1", What: plan.HeftAgain{}})}},
		},
	}
}

func written(t *testing.T, pl *plan.Plan, old []byte) []byte {
	t.Helper()
	var out bytes.Buffer
	if old == nil {
		require.NoError(t, Write(&out, pl, nil))
	} else {
		require.NoError(t, Write(&out, pl, bytes.NewReader(old)))
	}
	return out.Bytes()
}

// kept is an event as the second parser reads it.
type kept struct {
	uid, sequence, status, day string
}

// eventsOf reads a calendar with a parser that did not write it.
func eventsOf(t *testing.T, b []byte) map[string]kept {
	t.Helper()
	cal, err := second.NewDecoder(bytes.NewReader(b)).Decode()
	require.NoError(t, err)
	out := map[string]kept{}
	for _, e := range cal.Events() {
		k := kept{uid: e.Props.Get("UID").Value, sequence: e.Props.Get("SEQUENCE").Value, status: e.Props.Get("STATUS").Value,
			day: e.Props.Get("DTSTART").Value}
		require.NotContains(t, out, k.uid, "a name appears twice")
		out[k.uid] = k
	}
	return out
}

func TestCalendarHoldsEveryVisit(t *testing.T) {
	out := written(t, invented(), nil)
	cal, err := ics.ParseCalendar(bytes.NewReader(out))
	require.NoError(t, err)
	require.Len(t, cal.Events(), 3)
	first := cal.Events()[0]
	start, err := first.GetAllDayStartAt()
	require.NoError(t, err)
	require.Equal(t, "2027-03-23", start.Format(time.DateOnly))
	require.Equal(t, "INVENTED: Hill; east, \"upper\": work on the whole yard, 1 hive to see to", first.GetProperty(ics.ComponentPropertySummary).Value)
	require.Contains(t, first.GetProperty(ics.ComponentPropertyDescription).Value, "H1: heft it again")
	require.Len(t, eventsOf(t, out), 3, "the second parser finds them as well")
}

func TestSamePlanSameBytes(t *testing.T) {
	first := written(t, invented(), nil)
	require.Equal(t, string(first), string(written(t, invented(), nil)))
	later := invented()
	later.Today = day(21)
	require.Equal(t, string(first), string(written(t, later, first)), "nothing changed, so nothing is new in the calendar")
}

// RFC 5545: the name of an event stays, section 3.8.4.7; its sequence goes up when
// it is changed, 3.8.7.4; what is cancelled says so, 3.8.1.11.
func TestReplanningKeepsTheNames(t *testing.T) {
	first := written(t, invented(), nil)
	before := eventsOf(t, first)
	find := func(events map[string]kept, d string) kept {
		for _, e := range events {
			if e.day == d && !strings.Contains(e.uid, millKey) {
				return e
			}
		}
		t.Fatalf("no event on %s", d)
		return kept{}
	}

	moved := invented()
	moved.Today = day(21)
	moved.Yards[0].Visits[1].Date = day(29)
	second := written(t, moved, first)
	after := eventsOf(t, second)
	require.Len(t, after, 3)
	was, is := find(before, "20270331"), find(after, "20270329")
	require.Equal(t, was.uid, is.uid, "a visit that moves keeps its name")
	require.Equal(t, "1", is.sequence)
	require.Equal(t, "0", find(after, "20270323").sequence, "one that did not change is not a new version")

	fewer := invented()
	fewer.Today = day(22)
	fewer.Yards[0].Visits = fewer.Yards[0].Visits[:1]
	third := written(t, fewer, second)
	gone := eventsOf(t, third)[is.uid]
	require.Equal(t, "CANCELLED", gone.status)
	require.Equal(t, "2", gone.sequence)
	require.Equal(t, "2", eventsOf(t, written(t, fewer, third))[is.uid].sequence, "it is cancelled once")

	back := invented()
	back.Today = day(22)
	back.Yards[0].Visits[1].Date = day(29)
	again := eventsOf(t, written(t, back, third))[is.uid]
	require.Equal(t, "CONFIRMED", again.status)
	require.Equal(t, "3", again.sequence)
}

// millKey marks events of the yard Mill.
var millKey = yardKey("Mill")

func TestAnotherYardIsLeftAlone(t *testing.T) {
	first := written(t, invented(), nil)
	one := invented()
	one.Yards = one.Yards[:1] // a plan of one yard, written over the calendar of both
	events := eventsOf(t, written(t, one, first))
	require.Len(t, events, 3)
	for _, e := range events {
		require.Equal(t, "CONFIRMED", e.status)
	}
}

func TestACalendarThatCannotBeReadIsTakenAsNone(t *testing.T) {
	require.Equal(t, string(written(t, invented(), nil)), string(written(t, invented(), []byte("not a calendar"))))
}

// RFC 5545 section 3.1: lines end in CRLF and hold 75 octets at most.
func TestLinesAreFolded(t *testing.T) {
	for _, line := range strings.Split(strings.TrimSuffix(string(written(t, invented(), nil)), "\r\n"), "\r\n") {
		require.LessOrEqual(t, len(line), 75)
		require.NotContains(t, line, "\n")
	}
}
