package calendar

import (
	"bytes"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/syrup"
)

func invented() *plan.Plan {
	visit := func(day int, tasks ...plan.Task) plan.Visit {
		return plan.Visit{Date: time.Date(2027, 3, day, 0, 0, 0, 0, time.UTC), Tasks: tasks}
	}
	return &plan.Plan{
		Today: time.Date(2027, 3, 20, 0, 0, 0, 0, time.UTC), Invented: true,
		Yards: []plan.YardPlan{
			{Name: "Hill; east, \"upper\"", Visits: []plan.Visit{
				visit(23, plan.Task{Colony: "H1", What: plan.GiveSyrup{SyrupL: 3, Strength: syrup.ThreeToTwo(), Feeder: plan.BagOnBars}}, plan.Task{Colony: "H1", What: plan.HeftAgain{}}, plan.Task{What: plan.CloseFeeders{}}),
				visit(31, plan.Task{Colony: "H2\nX", What: plan.WeighHive{}}),
			}},
			{Name: "Mill", Visits: []plan.Visit{visit(23, plan.Task{Colony: "M1", What: plan.HeftAgain{}})}},
		},
	}
}

// The file is read back by the library's own parser of RFC 5545.
func TestCalendarHoldsEveryVisit(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, Write(&out, invented()))
	cal, err := ics.ParseCalendar(bytes.NewReader(out.Bytes()))
	require.NoError(t, err)
	require.Len(t, cal.Events(), 3)
	first := cal.Events()[0]
	start, err := first.GetAllDayStartAt()
	require.NoError(t, err)
	require.Equal(t, "2027-03-23", start.Format(time.DateOnly))
	require.Equal(t, "INVENTED: Hill; east, \"upper\": work of the whole yard, 1 to see to", first.GetProperty(ics.ComponentPropertySummary).Value)
	require.Contains(t, first.GetProperty(ics.ComponentPropertyDescription).Value, "H1: heft it again")
	ids := map[string]bool{}
	for _, e := range cal.Events() {
		ids[e.Id()] = true
	}
	require.Len(t, ids, 3, "every event has a name of its own")
}

func TestSamePlanSameBytes(t *testing.T) {
	var a, b bytes.Buffer
	require.NoError(t, Write(&a, invented()))
	require.NoError(t, Write(&b, invented()))
	require.Equal(t, a.String(), b.String())
}

// RFC 5545 section 3.1: lines end in CRLF and hold 75 octets at most.
func TestLinesAreFolded(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, Write(&out, invented()))
	for _, line := range strings.Split(strings.TrimSuffix(out.String(), "\r\n"), "\r\n") {
		require.LessOrEqual(t, len(line), 75)
		require.NotContains(t, line, "\n")
	}
}
