package feed

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
)

func on(m time.Month, d int) time.Time { return time.Date(2027, m, d, 0, 0, 0, 0, time.UTC) }

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
	s := seasontest.OneHive(t, map[string]string{"heft": "light"}, map[string]string{"dusting_first_round": "2027-03-30", "supers_on": "2027-05-01", "days_before_supers": "28"})
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
	require.Less(t, cold.Rounds[0].MaxC, 10.0, "brood frames stay in the hive under that")
	late, ok := said[plan.SyrupAtSupers](y.Warnings)
	require.True(t, ok, "it is fed beyond 1 May")
	require.True(t, late.LastSyrup.After(late.SupersOn))
	require.NotEmpty(t, pl.Colonies[0].Feedings)
}

func TestNoWaitBeforeSupersIsTakenInSilence(t *testing.T) {
	for _, supers := range []string{"", "2027-05-20"} {
		pl, _ := planOf(t, seasontest.OneHive(t, map[string]string{"heft": "light"}, map[string]string{"dusting_first_round": "2027-03-30", "supers_on": supers}), members(60))
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
	s := seasontest.OneHive(t, map[string]string{"heft": "light", "insulated": "no"}, nil)
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
			pl, _ := planOf(t, seasontest.OneHive(t, map[string]string{"gross": c.gross}, map[string]string{"dusting_first_round": c.first}), members(200))
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
		pl, _ := planOf(t, seasontest.OneHive(t, map[string]string{"heft": "light"}, map[string]string{"dusting_first_round": c.first}), members(60))
		past, ok := said[plan.RoundsPast](pl.Yards[0].Warnings)
		require.Equal(t, c.want != nil, ok)
		require.Equal(t, c.want, past.Rounds)
		_, dusted := said[plan.DustRound](append(tasksOn(&pl.Yards[0], on(3, 20)), tasksOn(&pl.Yards[0], on(3, 25))...))
		require.True(t, dusted, "the rest are still planned")
	}
}

// A round after nectar is in the calendar, though no feed is planned for it.
func TestARoundAfterNectarIsInTheCalendar(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"heft": "light"}, map[string]string{"dusting_first_round": "2027-07-10"})
	pl, _ := planOf(t, s, members(60))
	require.Contains(t, tasksOn(&pl.Yards[0], on(7, 20)), plan.DustRound{Round: 3, Of: 3})
	bare, _ := planOf(t, seasontest.OneHive(t, map[string]string{"heft": "light"}, nil), members(60))
	require.Empty(t, cmp.Diff(bare.Colonies, pl.Colonies, ignoring))
}

func TestNothingIsDustedWhereAllAreDead(t *testing.T) {
	pl, _ := planOf(t, seasontest.OneHive(t, map[string]string{"alive": "no"}, map[string]string{"dusting_first_round": "2027-03-30"}), members(60))
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
	usual, _ := planOf(t, seasontest.OneHive(t, colony, yard()), members(100))
	unused, _ := planOf(t, seasontest.OneHive(t, colony, yard("dusting_rounds", "5", "dusting_days_between", "7", "days_before_supers", "30")), members(100))
	require.Empty(t, cmp.Diff(usual, unused, ignoring), "no first round, no rounds")
	same, _ := planOf(t, seasontest.OneHive(t, colony, yard("dusting_first_round", "2027-04-20")), members(100))
	require.Empty(t, cmp.Diff(usual.Colonies, same.Colonies, ignoring))
	require.Empty(t, cmp.Diff(usual.Order, same.Order))
	other, _ := planOf(t, seasontest.OneHive(t, colony, yard("dusting_first_round", "2027-03-25")), members(100))
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
		last := y.Visits[len(y.Visits)-1].Date
		require.Equal(t, y.Site.VisitDates(s.Today, last), y.Dates())
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
				yard["next_visit"] = "2027-05-28"
				yard["bloom_date"], yard["bloom_spread"] = "2027-06-10", "3"
			}
			pl, _ := planOf(t, seasontest.OneHive(t, c.colony, yard), members(60))
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
	s := seasontest.OneHive(t, map[string]string{"alive": "no"}, map[string]string{"next_visit": "2027-03-23"})
	pl, p := planOf(t, s, members(60))
	fly := pl.Yards[0].Flying
	require.Equal(t, []plan.Note{plan.SeeDead{By: fly}}, tasksOn(&pl.Yards[0], on(3, 23)))
	require.Equal(t, p.yards[0].Flying(), fly)
	_, ok := said[plan.RobbedBefore](pl.Yards[0].Warnings)
	require.False(t, ok)
	late, _ := planOf(t, seasontest.OneHive(t, map[string]string{"alive": "no"}, map[string]string{"next_visit": "2027-04-20"}), members(60))
	require.Contains(t, late.Yards[0].Warnings, plan.RobbedBefore{Fly: late.Yards[0].Flying, FirstVisit: on(4, 20)})
}
