package feed

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/feed/season"
	"bloomgap/forage"
)

func on(m time.Month, d int) time.Time { return time.Date(2027, m, d, 0, 0, 0, 0, time.UTC) }

func roundsOn(days ...time.Time) []dustRound {
	var out []dustRound
	for i, d := range days {
		out = append(out, dustRound{d, i + 1})
	}
	return out
}

func TestJoinRounds(t *testing.T) {
	today := on(3, 20)
	for _, c := range []struct {
		name   string
		visits []time.Time
		rounds []time.Time
		listed bool
		want   []time.Time
		moved  map[time.Time]time.Time
	}{
		{name: "no rounds", visits: []time.Time{on(3, 23), on(3, 31)}, want: []time.Time{on(3, 23), on(3, 31)}},
		{name: "a round far from any visit is a trip of its own", visits: []time.Time{on(3, 23), on(4, 2)}, rounds: []time.Time{on(3, 27)},
			want: []time.Time{on(3, 23), on(3, 27), on(4, 2)}},
		{name: "a round on a visit adds none", visits: []time.Time{on(3, 23), on(3, 31)}, rounds: []time.Time{on(3, 31)},
			want: []time.Time{on(3, 23), on(3, 31)}},
		{name: "two days later and one day earlier move", visits: []time.Time{on(3, 23), on(3, 31), on(4, 8)}, rounds: []time.Time{on(3, 25), on(3, 30)},
			want: []time.Time{on(3, 25), on(3, 30), on(4, 8)}, moved: map[time.Time]time.Time{on(3, 25): on(3, 23), on(3, 30): on(3, 31)}},
		{name: "three days are too far", visits: []time.Time{on(3, 23), on(3, 31)}, rounds: []time.Time{on(3, 28)},
			want: []time.Time{on(3, 23), on(3, 28), on(3, 31)}},
		{name: "listed visits stay", listed: true, visits: []time.Time{on(3, 23), on(3, 31)}, rounds: []time.Time{on(3, 30)},
			want: []time.Time{on(3, 23), on(3, 30), on(3, 31)}},
		{name: "the visit of today stays", visits: []time.Time{on(3, 20), on(3, 30)}, rounds: []time.Time{on(3, 21)},
			want: []time.Time{on(3, 20), on(3, 21), on(3, 30)}},
		{name: "a visit that a round needs is not taken by another", visits: []time.Time{on(3, 28), on(4, 2)}, rounds: []time.Time{on(3, 30), on(4, 2)},
			want: []time.Time{on(3, 30), on(4, 2)}, moved: map[time.Time]time.Time{on(3, 30): on(3, 28)}},
		{name: "of two as near the later comes forward, so that no one is fed later", visits: []time.Time{on(3, 28), on(4, 1)}, rounds: []time.Time{on(3, 30)},
			want: []time.Time{on(3, 28), on(3, 30)}, moved: map[time.Time]time.Time{on(3, 30): on(4, 1)}},
		{name: "the nearer one moves", visits: []time.Time{on(3, 29), on(4, 1)}, rounds: []time.Time{on(3, 30)},
			want: []time.Time{on(3, 30), on(4, 1)}, moved: map[time.Time]time.Time{on(3, 30): on(3, 29)}},
		{name: "no visits at all", rounds: []time.Time{on(3, 30), on(4, 4)}, want: []time.Time{on(3, 30), on(4, 4)}},
		{name: "doubled listed visits are one", listed: true, visits: []time.Time{on(3, 23), on(3, 23)}, want: []time.Time{on(3, 23)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, moved := joinRounds(c.visits, roundsOn(c.rounds...), !c.listed, today)
			require.Equal(t, c.want, got)
			if c.moved == nil {
				c.moved = map[time.Time]time.Time{}
			}
			require.Equal(t, c.moved, moved)
		})
	}
}

// Whatever the visits and rounds: sorted, each day once, every round there, no
// more trips than the plain union, no visit lost but by a move, no move longer
// than moveDays.
func TestJoinRoundsAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		today := on(3, 1)
		days := func(name string, most int) []time.Time {
			var out []time.Time
			for _, d := range rapid.SliceOfNDistinct(rapid.IntRange(0, 60), 0, most, rapid.ID[int]).Draw(t, name) {
				out = append(out, today.AddDate(0, 0, d))
			}
			slices.SortFunc(out, time.Time.Compare)
			return out
		}
		visits, rounds := days("visits", 12), days("rounds", 5)
		interval := rapid.Bool().Draw(t, "interval")
		got, moved := joinRounds(visits, roundsOn(rounds...), interval, today)
		require.True(t, slices.IsSortedFunc(got, time.Time.Compare))
		require.Len(t, slices.Compact(slices.Clone(got)), len(got), "each day once")
		for _, r := range rounds {
			require.Contains(t, got, r)
		}
		from := map[time.Time]bool{}
		for r, v := range moved {
			require.True(t, interval, "listed visits stay")
			require.Contains(t, rounds, r)
			require.Contains(t, visits, v)
			require.LessOrEqual(t, math.Abs(r.Sub(v).Hours()/24), float64(moveDays))
			require.False(t, from[v], "a visit moves once")
			from[v] = true
		}
		union := map[time.Time]bool{}
		for _, d := range append(slices.Clone(visits), rounds...) {
			union[d] = true
		}
		require.Len(t, got, len(union)-len(moved), "each move saves a trip")
		for _, v := range visits {
			require.True(t, from[v] || slices.Contains(got, v), "a visit is kept or moved")
		}
	})
}

func TestSupersWarning(t *testing.T) {
	for _, c := range []struct {
		name   string
		supers time.Time
		first  time.Time
		want   string
	}{
		{"no day of supers", time.Time{}, on(3, 30), ""},
		{"three rounds, 4 weeks and not a day more", on(5, 7), on(3, 30), ""},
		{"a day short, and time to start sooner", on(5, 6), on(3, 30),
			"the last round of dusting, 9 Apr, and the 28 days after it end on 7 May, but honey supers are to go on 6 May: put the supers on from 7 May, start the rounds by 29 Mar, or ask the veterinarian"},
		{"eleven days short, too late to start sooner", on(4, 26), on(3, 30),
			"the last round of dusting, 9 Apr, and the 28 days after it end on 7 May, but honey supers are to go on 26 Apr: put the supers on from 7 May (it is too late to start soon enough), or ask the veterinarian"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := season.DefaultDusting()
			d.FirstRound, d.SupersOn = c.first, c.supers
			tasks := yardTasks{dusting: d, all: d.Rounds}
			require.Equal(t, c.want, tasks.supersWarning(on(3, 20)))
		})
	}
}

// Springs of one temperature are as warm as they are: the warmer they are, the
// sooner the wrap comes off and the bees fly.
func TestWrapsAndFlightComeSoonerInTheWarm(t *testing.T) {
	const days = 100
	outlook := func(addC float64) *forage.Outlook {
		o := &forage.Outlook{Start: on(3, 1)}
		for s := range 5 {
			sp := forage.Spring{Weight: 0.2}
			for d := range days {
				minC := -12 + 0.25*float64(d) + 1.5*float64(s-2) + 3*math.Sin(float64(d+3*s)) + addC
				sp.Days = append(sp.Days, forage.NewDay(o.Date(d), minC, minC+10, 0, 45, 0))
			}
			o.Springs = append(o.Springs, sp)
		}
		return o
	}
	offBefore, flyBefore, coldBefore := math.MaxInt, math.MaxInt, math.Inf(-1)
	moved := 0
	for addC := -6.0; addC <= 12; addC += 0.5 {
		y := yardWork{planner: &Planner{season: &season.Season{Today: on(3, 1)}}, outlook: outlook(addC)}
		for d := 2; d < days; d += 8 {
			y.visits = append(y.visits, visit{day: d, date: y.outlook.Date(d)})
		}
		y.weatherOfWork()
		off := mildVisit(y.tasks.nightC)
		if off < 0 {
			off = math.MaxInt
		}
		fly, ok := firstFlight(y.outlook, 0)
		require.True(t, ok)
		require.Equal(t, y.outlook.Date(fly), y.tasks.fly)
		require.LessOrEqual(t, off, offBefore, "warmer by %g C", addC)
		require.LessOrEqual(t, fly, flyBefore, "warmer by %g C", addC)
		require.Greater(t, y.tasks.nightC[0], coldBefore)
		if off < offBefore {
			moved++
		}
		offBefore, flyBefore, coldBefore = off, fly, y.tasks.nightC[0]
	}
	require.Greater(t, moved, 3, "the wrap does move")
}

func TestFirstFlightIsThatOfHalfTheSprings(t *testing.T) {
	o := &forage.Outlook{Start: on(3, 1)}
	for _, warm := range []int{2, 5, 9} { // the only warm day of each
		sp := forage.Spring{Weight: 1.0 / 3}
		for d := range 12 {
			maxC := 2.0
			if d == warm {
				maxC = 18
			}
			sp.Days = append(sp.Days, forage.NewDay(o.Date(d), 0, maxC, 0, 45, 0))
		}
		o.Springs = append(o.Springs, sp)
	}
	d, ok := firstFlight(o, 0)
	require.True(t, ok)
	require.Equal(t, 5, d, "one of three by day 2, two by day 5")
	d, ok = firstFlight(o, 2)
	require.True(t, ok)
	require.Equal(t, 9, d, "after today, not on it")
	_, ok = firstFlight(o, 9)
	require.False(t, ok)
}

// tasksOn are the tasks of a yard's visit, "colony: what".
func tasksOn(y *YardPlan, date time.Time) []string {
	var out []string
	for _, v := range y.Visits {
		if v.Date.Equal(date) {
			for _, t := range v.Tasks {
				out = append(out, strings.TrimPrefix(t.Colony+": "+t.What, ": "))
			}
		}
	}
	return out
}

func TestRoundsInAPlan(t *testing.T) {
	s := oneHive(t, map[string]string{"heft": "light"}, map[string]string{"dusting_first_round": "2027-03-30", "supers_on": "2027-05-01"})
	plan, _ := planOf(t, s, members(100))
	y := &plan.Yards[0]
	first := tasksOn(y, on(3, 30))
	require.Contains(t, first, "dusting round 1 of 3 (visit of 31 Mar moved to it): dust the preventive powder as the veterinary prescription and the label say")
	require.Contains(t, first, "no fumigant acid until after the last round, 9 Apr: it makes the powder set")
	require.Contains(t, first, "close or lift off open feeders before dusting: no powder in the feed")
	require.Empty(t, tasksOn(y, on(3, 31)), "its visit has moved")
	require.Contains(t, strings.Join(tasksOn(y, on(4, 4)), "\n"), "dusting round 2 of 3: ")
	require.Contains(t, strings.Join(tasksOn(y, on(4, 9)), "\n"), "no honey supers before 7 May, 28 days after the last round, or as the prescription says")
	text := strings.Join(y.Warnings, "\n")
	require.Contains(t, text, "end on 7 May, but honey supers are to go on 1 May: put the supers on from 7 May, start the rounds by 24 Mar, or ask the veterinarian")
	require.Regexp(t, `too cold to take brood frames out on the dusting rounds? of 30 Mar.* C\): dust quickly from above if label and prescription allow it`, text)
	require.Contains(t, text, "no syrup with supers on", "it is fed beyond 1 May")
	require.NotEmpty(t, plan.Colonies[0].Fills)
}

func TestAFirstVisitThatMovedTooLateIsTold(t *testing.T) {
	const told = "the first visit moved from 23 Mar to the dusting round on 25 Mar, and colonies are fed too late: go on 23 Mar to feed those"
	for _, c := range []struct {
		name, gross, first string
		want               bool
	}{
		{"near starving", "18", "2027-03-25", true},
		{"food for weeks", "24", "2027-03-25", false},
		{"near starving, and the visit comes sooner", "18", "2027-03-22", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			plan, _ := planOf(t, oneHive(t, map[string]string{"gross": c.gross}, map[string]string{"dusting_first_round": c.first}), members(200))
			require.Equal(t, c.want, slices.Contains(plan.Yards[0].Warnings, told), plan.Yards[0].Warnings)
		})
	}
}

func TestRoundsThatArePast(t *testing.T) {
	for _, c := range []struct{ first, want string }{
		{"2027-03-20", ""},
		{"2027-03-15", "1 round of dusting lies before the day of the plan (15 Mar) and is taken as done; if not, set dusting_first_round anew"},
		{"2027-03-10", "2 rounds of dusting lie before the day of the plan (10 Mar and 15 Mar) and are taken as done; if not, set dusting_first_round anew"},
	} {
		plan, _ := planOf(t, oneHive(t, map[string]string{"heft": "light"}, map[string]string{"dusting_first_round": c.first}), members(60))
		text := strings.Join(plan.Yards[0].Warnings, "\n")
		if c.want == "" {
			require.NotContains(t, text, "taken as done")
			continue
		}
		require.Contains(t, text, c.want)
		require.Contains(t, strings.Join(tasksOn(&plan.Yards[0], on(3, 20)), "\n")+strings.Join(tasksOn(&plan.Yards[0], on(3, 25)), "\n"), "of 3", "the rest are still planned")
	}
}

// A round after nectar is in the calendar, though no feed is planned for it.
func TestARoundAfterNectarIsInTheCalendar(t *testing.T) {
	s := oneHive(t, map[string]string{"heft": "light"}, map[string]string{"dusting_first_round": "2027-07-10"})
	plan, _ := planOf(t, s, members(60))
	require.Contains(t, strings.Join(tasksOn(&plan.Yards[0], on(7, 20)), "\n"), "dusting round 3 of 3")
	bare, _ := planOf(t, oneHive(t, map[string]string{"heft": "light"}, nil), members(60))
	require.Empty(t, cmp.Diff(bare.Colonies, plan.Colonies, ignoring))
}

func TestNothingIsDustedWhereAllAreDead(t *testing.T) {
	plan, _ := planOf(t, oneHive(t, map[string]string{"alive": "no"}, map[string]string{"dusting_first_round": "2027-03-30"}), members(60))
	require.Len(t, plan.Yards[0].Visits, 1)
	require.NotContains(t, fmt.Sprint(plan.Yards[0].Visits, plan.Yards[0].Warnings), "dust")
}

// withoutVisits is a plan without its tasks and without what it was asked.
var withoutVisits = cmp.Options{ignoring, cmp.FilterPath(func(p cmp.Path) bool { return p.String() == "Yards.Visits" }, cmp.Ignore())}

// Rounds on the days of the visits are no reason to feed otherwise; without a
// first round the other settings change nothing at all.
func TestRoundsOnVisitsChangeNoFeeding(t *testing.T) {
	yard := func(more ...string) map[string]string {
		y := map[string]string{"next_visit": "", "days_between": "", "visits": "2027-04-20 2027-04-25 2027-04-30 2027-05-07 2027-05-14 2027-05-21"}
		for i := 0; i < len(more); i += 2 {
			y[more[i]] = more[i+1]
		}
		return y
	}
	colony := map[string]string{"gross": "24"}
	usual, _ := planOf(t, oneHive(t, colony, yard()), members(100))
	unused, _ := planOf(t, oneHive(t, colony, yard("dusting_rounds", "5", "dusting_days_between", "7", "days_before_supers", "30")), members(100))
	require.Empty(t, cmp.Diff(usual, unused, ignoring), "no first round, no rounds")
	same, _ := planOf(t, oneHive(t, colony, yard("dusting_first_round", "2027-04-20")), members(100))
	require.Empty(t, cmp.Diff(usual.Colonies, same.Colonies, ignoring))
	require.Empty(t, cmp.Diff(usual.Order, same.Order))
	other, _ := planOf(t, oneHive(t, colony, yard("dusting_first_round", "2027-03-25")), members(100))
	require.NotEmpty(t, cmp.Diff(usual.Colonies, other.Colonies, ignoring), "rounds between visits are visits to feed on")
}

// The example without its settings for dusting is planned by its own visits, and
// says nothing of powder.
func TestNothingSetNothingPlanned(t *testing.T) {
	s := season.Demo()
	s.Settings.Dusting = season.DefaultDusting()
	for i := range s.Yards {
		s.Yards[i].Dusting = season.Dusting{}
	}
	plan, p := planOf(t, s, members(60))
	for i, y := range p.yards {
		last := y.visits[len(y.visits)-1].date
		require.Equal(t, y.yard.VisitDates(s.Today, last), visitDates(y.visits))
		require.NotContains(t, fmt.Sprint(plan.Yards[i].Visits, plan.Yards[i].Warnings), "dust")
		require.NotContains(t, fmt.Sprint(plan.Yards[i].Visits, plan.Yards[i].Warnings), "supers")
	}
	dusted, _ := planOf(t, season.Demo(), members(60))
	require.NotEmpty(t, cmp.Diff(plan, dusted, withoutVisits), "the example's rounds change its feeding")
}

func TestWrapTasks(t *testing.T) {
	for _, c := range []struct {
		name                 string
		colony               map[string]string
		keep, wrap, off, mld bool
	}{
		{name: "wrapped in March: keep it on, and off later", colony: map[string]string{"heft": "light", "insulated": "yes"}, keep: true, off: true},
		{name: "bare and light: wrap it, and off later", colony: map[string]string{"heft": "light", "insulated": "no"}, wrap: true, off: true},
		{name: "bare and heavy: left as it is", colony: map[string]string{"gross": "40", "insulated": "no", "boxes": "1 deep"}},
		{name: "dead: no wrap to see to", colony: map[string]string{"alive": "no", "insulated": "yes"}},
		{name: "mild nights from the first visit: off at once", colony: map[string]string{"heft": "light", "insulated": "yes"}, off: true, mld: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			yard := map[string]string{}
			if c.mld {
				yard["next_visit"] = "2027-05-20"
				yard["bloom_date"], yard["bloom_spread"] = "2027-06-10", "3"
			}
			plan, _ := planOf(t, oneHive(t, c.colony, yard), members(60))
			count := func(what string) int {
				n := 0
				for _, v := range plan.Yards[0].Visits {
					for _, task := range v.Tasks {
						if strings.HasPrefix(task.What, what) {
							n++
						}
					}
				}
				return n
			}
			one := func(yes bool) int {
				if yes {
					return 1
				}
				return 0
			}
			require.Equal(t, one(c.keep), count("keep the wraps on: nights fall to about -"))
			require.Equal(t, one(c.wrap), count("wrap it"))
			require.Equal(t, one(c.off), count("the wraps may come off: nights of about "))
			require.Equal(t, c.wrap, plan.Colonies[0].Wrap)
		})
	}
}

func TestADeadColonyIsClearedBeforeBeesFly(t *testing.T) {
	s := oneHive(t, map[string]string{"alive": "no"}, map[string]string{"next_visit": "2027-03-23"})
	plan, p := planOf(t, s, members(60))
	fly := plan.Yards[0].Flying
	require.Equal(t, []string{"this hive: dead: close it and clear it away by " + day(fly) + ", as bees fly and rob from about then; look for foulbrood before any comb is used again"}, tasksOn(&plan.Yards[0], on(3, 23)))
	require.Equal(t, p.yards[0].tasks.fly, fly)
	require.NotContains(t, strings.Join(plan.Yards[0].Warnings, "\n"), "entrances")
	late, _ := planOf(t, oneHive(t, map[string]string{"alive": "no"}, map[string]string{"next_visit": "2027-04-20"}), members(60))
	require.Contains(t, strings.Join(late.Yards[0].Warnings, "\n"), "before the first visit on 20 Apr: close the entrances of dead colonies sooner")
}

func TestTemperaturesAreWrittenWhole(t *testing.T) {
	require.Equal(t, "0 C", about(-0.3, words{}))
	require.Equal(t, "-3 C", about(-3.4, words{}))
	require.Equal(t, "26 F", about(-3.4, words{us: true}))
}

func TestListed(t *testing.T) {
	require.Equal(t, []string{"", "a", "a and b", "a, b and c"},
		[]string{listed(nil), listed([]string{"a"}), listed([]string{"a", "b"}), listed([]string{"a", "b", "c"})})
}
