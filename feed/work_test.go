package feed

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/feed/plan"
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
		want   plan.Note
	}{
		{"no day of supers", time.Time{}, on(3, 30), nil},
		{"three rounds, 4 weeks and not a day more", on(5, 7), on(3, 30), nil},
		{"a day short, and time to start sooner", on(5, 6), on(3, 30),
			plan.SupersSoon{LastRound: on(4, 9), WaitDays: 28, WaitEnds: on(5, 7), SupersOn: on(5, 6), StartRoundBy: on(3, 29)}},
		{"eleven days short, too late to start sooner", on(4, 26), on(3, 30),
			plan.SupersSoon{LastRound: on(4, 9), WaitDays: 28, WaitEnds: on(5, 7), SupersOn: on(4, 26)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := season.DefaultDusting()
			d.FirstRound, d.SupersOn, d.DaysBeforeSupers = c.first, c.supers, 28
			tasks := yardTasks{dusting: d, all: d.Rounds}
			require.Equal(t, c.want, tasks.supersWarning(on(3, 20)))
			if !c.supers.IsZero() {
				tasks.dusting.DaysBeforeSupers = 0
				require.Equal(t, plan.WaitUnknown{LastRound: on(4, 9), SupersOn: c.supers}, tasks.supersWarning(on(3, 20)), "no wait is taken in silence")
			}
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

// tasksOn are the tasks of a yard's visit.
func tasksOn(y *plan.YardPlan, date time.Time) []plan.Note {
	var out []plan.Note
	for _, v := range y.Visits {
		if v.Date.Equal(date) {
			for _, t := range v.Tasks {
				out = append(out, t.What)
			}
		}
	}
	return out
}

// said finds the note of a type among others.
func said[T plan.Note](notes []plan.Note) (T, bool) {
	for _, n := range notes {
		if x, ok := n.(T); ok {
			return x, true
		}
	}
	var none T
	return none, false
}

// tellsOfDusting tells whether a yard's tasks or warnings hold anything of powder
// or supers.
func tellsOfDusting(y *plan.YardPlan) bool {
	notes := slices.Clone(y.Warnings)
	for _, v := range y.Visits {
		notes = append(notes, tasksOn(y, v.Date)...)
	}
	return slices.ContainsFunc(notes, func(n plan.Note) bool {
		switch n.(type) {
		case plan.DustRound, plan.CloseFeeders, plan.NoAcidUntil, plan.AskWait, plan.WaitUnknown, plan.NoSupersBefore,
			plan.RoundsPast, plan.RoundsCold, plan.SupersSoon, plan.VisitMovedLate, plan.SyrupAtSupers:
			return true
		}
		return false
	})
}

func TestRoundsInAPlan(t *testing.T) {
	s := oneHive(t, map[string]string{"heft": "light"}, map[string]string{"dusting_first_round": "2027-03-30", "supers_on": "2027-05-01", "days_before_supers": "28"})
	pl, _ := planOf(t, s, members(100))
	y := &pl.Yards[0]
	first := tasksOn(y, on(3, 30))
	require.Contains(t, first, plan.DustRound{Round: 1, Of: 3, MovedFrom: on(3, 31)})
	require.Contains(t, first, plan.NoAcidUntil{LastRound: on(4, 9)})
	require.Contains(t, first, plan.CloseFeeders{})
	require.Empty(t, tasksOn(y, on(3, 31)), "its visit has moved")
	require.Contains(t, tasksOn(y, on(4, 4)), plan.DustRound{Round: 2, Of: 3})
	require.Contains(t, pl.Cautions, plan.DustingPowder{})
	for _, later := range []time.Time{on(4, 4), on(4, 9)} {
		require.NotContains(t, tasksOn(y, later), plan.CloseFeeders{}, "said once a yard")
		require.NotContains(t, tasksOn(y, later), plan.NoAcidUntil{LastRound: on(4, 9)}, "said once a yard")
	}
	require.Contains(t, tasksOn(y, on(4, 9)), plan.NoSupersBefore{On: on(5, 7), WaitDays: 28})
	require.Contains(t, y.Warnings, plan.SupersSoon{LastRound: on(4, 9), WaitDays: 28, WaitEnds: on(5, 7), SupersOn: on(5, 1), StartRoundBy: on(3, 24)})
	cold, ok := said[plan.RoundsCold](y.Warnings)
	require.True(t, ok)
	require.Equal(t, on(3, 30), cold.Rounds[0].On)
	require.Less(t, cold.Rounds[0].MaxC, openFromC)
	late, ok := said[plan.SyrupAtSupers](y.Warnings)
	require.True(t, ok, "it is fed beyond 1 May")
	require.True(t, late.LastSyrup.After(late.SupersOn))
	require.NotEmpty(t, pl.Colonies[0].Feedings)
}

func TestNoWaitBeforeSupersIsTakenInSilence(t *testing.T) {
	for _, supers := range []string{"", "2027-05-20"} {
		pl, _ := planOf(t, oneHive(t, map[string]string{"heft": "light"}, map[string]string{"dusting_first_round": "2027-03-30", "supers_on": supers}), members(60))
		y := &pl.Yards[0]
		require.Contains(t, tasksOn(y, on(4, 9)), plan.AskWait{})
		_, asked := said[plan.WaitUnknown](y.Warnings)
		require.Equal(t, supers != "", asked)
		_, wait := said[plan.NoSupersBefore](tasksOn(y, on(4, 9)))
		require.False(t, wait)
	}
}

// One colony to wrap among wrapped ones: the yard is told to wrap it, and not to
// keep wraps on besides.
func TestKeepAndWrapAreNeverBothSaid(t *testing.T) {
	s := oneHive(t, map[string]string{"heft": "light", "insulated": "no"}, nil)
	other := s.Colonies[0]
	other.Name, other.Insulated = "wrapped", true
	s.Colonies = append(s.Colonies, other)
	pl, _ := planOf(t, s, members(60))
	first := tasksOn(&pl.Yards[0], pl.Yards[0].Visits[0].Date)
	require.Contains(t, first, plan.WrapHive{})
	_, keep := said[plan.KeepWraps](first)
	require.False(t, keep)
}

func TestAFirstVisitThatMovedTooLateIsTold(t *testing.T) {
	told := plan.VisitMovedLate{From: on(3, 23), To: on(3, 25)}
	for _, c := range []struct {
		name, gross, first string
		want               bool
	}{
		{"near starving", "18", "2027-03-25", true},
		{"food for weeks", "24", "2027-03-25", false},
		{"near starving, and the visit comes sooner", "18", "2027-03-22", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			pl, _ := planOf(t, oneHive(t, map[string]string{"gross": c.gross}, map[string]string{"dusting_first_round": c.first}), members(200))
			got, ok := said[plan.VisitMovedLate](pl.Yards[0].Warnings)
			require.Equal(t, c.want, ok)
			require.True(t, !ok || got == told, got)
		})
	}
}

func TestRoundsThatArePast(t *testing.T) {
	for _, c := range []struct {
		first string
		want  []time.Time
	}{
		{"2027-03-20", nil},
		{"2027-03-15", []time.Time{on(3, 15)}},
		{"2027-03-10", []time.Time{on(3, 10), on(3, 15)}},
	} {
		pl, _ := planOf(t, oneHive(t, map[string]string{"heft": "light"}, map[string]string{"dusting_first_round": c.first}), members(60))
		past, ok := said[plan.RoundsPast](pl.Yards[0].Warnings)
		require.Equal(t, c.want != nil, ok)
		require.Equal(t, c.want, past.Rounds)
		_, dusted := said[plan.DustRound](append(tasksOn(&pl.Yards[0], on(3, 20)), tasksOn(&pl.Yards[0], on(3, 25))...))
		require.True(t, dusted, "the rest are still planned")
	}
}

// A round after nectar is in the calendar, though no feed is planned for it.
func TestARoundAfterNectarIsInTheCalendar(t *testing.T) {
	s := oneHive(t, map[string]string{"heft": "light"}, map[string]string{"dusting_first_round": "2027-07-10"})
	pl, _ := planOf(t, s, members(60))
	require.Contains(t, tasksOn(&pl.Yards[0], on(7, 20)), plan.DustRound{Round: 3, Of: 3})
	bare, _ := planOf(t, oneHive(t, map[string]string{"heft": "light"}, nil), members(60))
	require.Empty(t, cmp.Diff(bare.Colonies, pl.Colonies, ignoring))
}

func TestNothingIsDustedWhereAllAreDead(t *testing.T) {
	pl, _ := planOf(t, oneHive(t, map[string]string{"alive": "no"}, map[string]string{"dusting_first_round": "2027-03-30"}), members(60))
	require.Len(t, pl.Yards[0].Visits, 1)
	require.False(t, tellsOfDusting(&pl.Yards[0]))
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
	pl, p := planOf(t, s, members(60))
	for i, y := range p.yards {
		last := y.visits[len(y.visits)-1].date
		require.Equal(t, y.yard.VisitDates(s.Today, last), visitDates(y.visits))
		require.False(t, tellsOfDusting(&pl.Yards[i]))
	}
	dusted, _ := planOf(t, season.Demo(), members(60))
	require.NotEmpty(t, cmp.Diff(pl, dusted, withoutVisits), "the example's rounds change its feeding")
}

func TestWrapTasks(t *testing.T) {
	for _, c := range []struct {
		name                 string
		colony               map[string]string
		keep, wrap, off, mld bool
	}{
		{name: "wrapped in March: keep it on, and off later", colony: map[string]string{"heft": "light", "wrapped": "yes"}, keep: true, off: true},
		{name: "bare and light: wrap it, and off later", colony: map[string]string{"heft": "light", "wrapped": "no"}, wrap: true, off: true},
		{name: "bare and heavy: left as it is", colony: map[string]string{"gross": "40", "wrapped": "no", "boxes": "1 deep", "confirmed": "yes"}},
		{name: "dead: no wrap to see to", colony: map[string]string{"alive": "no", "wrapped": "yes"}},
		{name: "mild nights from the first visit: off at once", colony: map[string]string{"heft": "light", "wrapped": "yes"}, off: true, mld: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			yard := map[string]string{}
			if c.mld {
				yard["next_visit"] = "2027-05-20"
				yard["bloom_date"], yard["bloom_spread"] = "2027-06-10", "3"
			}
			pl, _ := planOf(t, oneHive(t, c.colony, yard), members(60))
			count := func(code plan.Code) int {
				n := 0
				for _, v := range pl.Yards[0].Visits {
					for _, task := range v.Tasks {
						if task.What.Code() == code {
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
			require.Equal(t, one(c.keep), count(plan.KeepWraps{}.Code()))
			require.Equal(t, one(c.wrap), count(plan.WrapHive{}.Code()))
			require.Equal(t, one(c.off), count(plan.WrapsOff{}.Code()))
			require.Equal(t, c.wrap, pl.Colonies[0].Wrap)
		})
	}
}

func TestADeadColonyIsClearedBeforeBeesFly(t *testing.T) {
	s := oneHive(t, map[string]string{"alive": "no"}, map[string]string{"next_visit": "2027-03-23"})
	pl, p := planOf(t, s, members(60))
	fly := pl.Yards[0].Flying
	require.Equal(t, []plan.Note{plan.SeeDead{By: fly}}, tasksOn(&pl.Yards[0], on(3, 23)))
	require.Equal(t, p.yards[0].tasks.fly, fly)
	_, ok := said[plan.RobbedBefore](pl.Yards[0].Warnings)
	require.False(t, ok)
	late, _ := planOf(t, oneHive(t, map[string]string{"alive": "no"}, map[string]string{"next_visit": "2027-04-20"}), members(60))
	require.Contains(t, late.Yards[0].Warnings, plan.RobbedBefore{Fly: late.Yards[0].Flying, FirstVisit: on(4, 20)})
}
