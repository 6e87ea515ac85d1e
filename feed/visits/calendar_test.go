package visits

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/forage"
	"bloomgap/sim/ensemble"
)

func whatOf(v plan.Visit) (out []plan.Note) {
	for _, t := range v.Tasks {
		out = append(out, t.What)
	}
	return out
}

// TestCalendarByHand: the tasks of each visit, from the plans of four colonies.
func TestCalendarByHand(t *testing.T) {
	y := &Yard{Site: &season.Yard{}, Season: &season.Season{Today: on(3, 20)}, Visits: []Visit{{Date: on(3, 23)}, {Date: on(3, 31)}, {Date: on(4, 8)}}}
	y.tasks.nightC = []float64{2, 3, 4} // no wrap comes off
	y.tasks.fly = on(3, 25)
	strength := syrup.ThreeToTwo()
	cs := []*plan.ColonyPlan{
		{Colony: "fed", Verdict: plan.Feed, Strength: strength, Choice: plan.FeederChoice{Feeder: plan.BagOnBars},
			Feedings: []plan.Feeding{{Date: on(3, 23), SolidKg: 2, NeededFrac: 1}, {Date: on(4, 8), SyrupL: 3, UnderKg: 5, UnderGrossKg: 24, UnderHeft: season.HeftLight, NeededFrac: 0.4, OnlyIfLow: true}},
			Tally:    &plan.Tally{Colonies: 7}},
		{Colony: "weigh", Verdict: plan.Watch, Confidence: plan.Confidence{WeighFirst: true}},
		{Colony: "watch", Verdict: plan.Watch},
		{Colony: "dead", Verdict: plan.Dead},
		{Colony: "well", Verdict: plan.NoFeed},
	}
	got := y.Calendar(cs)
	require.Len(t, got, 2, "there is nothing to do on 31 March")
	require.Equal(t, on(3, 23), got[0].Date)
	require.Equal(t, []plan.Note{plan.SeeDead{By: on(3, 25)}, plan.GiveSolid{SolidKg: 2}, plan.WeighHive{}, plan.HeftAgain{}}, whatOf(got[0]))
	require.Equal(t, "dead", got[0].Tasks[0].Colony)
	require.Equal(t, 7, got[0].Tasks[1].Colonies)
	require.Equal(t, "watch", got[0].Tasks[3].Colony)
	require.Zero(t, got[0].Tasks[3].Colonies)
	require.Equal(t, on(4, 8), got[1].Date)
	require.Equal(t, []plan.Note{plan.GiveSyrup{SyrupL: 3, Strength: strength, Feeder: plan.BagOnBars,
		If: plan.FeedLine{UnderKg: 5, UnderGrossKg: 24, UnderHeft: season.HeftLight, NeededFrac: 0.4}}}, whatOf(got[1]))
	require.Equal(t, plan.FeedLine{NeededFrac: 0.3}, lineOf(&plan.Feeding{OnlyIfLow: true, NeededFrac: 0.3}), "whatever it reads, in a third of the springs")
	require.Equal(t, plan.FeedLine{}, lineOf(&plan.Feeding{NeededFrac: 1}))
	y.Site.Disease = true
	require.Equal(t, plan.CleanTools{}, whatOf(y.Calendar(cs)[1])[0], "on every visit of a yard with disease")
	y.Site.Disease = false
	require.False(t, y.Dusted())
	require.Equal(t, on(3, 25), y.Flying())
}

// TestDustingByHand: what a round asks, on a visit and after the last.
func TestDustingByHand(t *testing.T) {
	y := &Yard{Site: &season.Yard{}, Season: &season.Season{Today: on(3, 20)}, Visits: []Visit{{Date: on(3, 23)}, {Date: on(3, 30)}}}
	y.tasks.nightC = []float64{2, 3}
	y.tasks.dusting = season.Dusting{FirstRound: on(3, 23), Rounds: 3, DaysBetween: 7, DaysBeforeSupers: 28}
	require.Equal(t, []time.Time{on(3, 23), on(3, 30), on(4, 6)}, y.tasks.dusting.Dates())
	y.tasks.rounds, y.tasks.all = roundsOn(on(3, 23), on(3, 30), on(4, 6)), 3
	y.tasks.moved = map[time.Time]time.Time{on(3, 30): on(3, 31)}
	fed := []*plan.ColonyPlan{{Colony: "a", Verdict: plan.Feed, Feedings: []plan.Feeding{{Date: on(3, 23), SyrupL: 2}}}}
	got := y.Calendar(fed)
	require.Len(t, got, 3)
	require.Equal(t, []plan.Note{plan.DustRound{Round: 1, Of: 3}, plan.CloseFeeders{}, plan.NoAcidUntil{LastRound: on(4, 6)}}, whatOf(got[0])[:3])
	require.Equal(t, []plan.Note{plan.DustRound{Round: 2, Of: 3, MovedFrom: on(3, 31)}}, whatOf(got[1]))
	require.Equal(t, on(4, 6), got[2].Date, "the last round comes after the last visit")
	require.Equal(t, []plan.Note{plan.DustRound{Round: 3, Of: 3}, plan.NoSupersBefore{On: on(5, 4), WaitDays: 28}}, whatOf(got[2]))
	require.Equal(t, []plan.Note{plan.DustRound{Round: 1, Of: 3}, plan.NoAcidUntil{LastRound: on(4, 6)}}, whatOf(y.Calendar([]*plan.ColonyPlan{{Verdict: plan.NoFeed}})[0]), "nothing is fed")
	y.tasks.dusting.GPerColony = 12
	three := []*plan.ColonyPlan{{Verdict: plan.NoFeed}, {Verdict: plan.Dead}, {Verdict: plan.Watch, Tally: &plan.Tally{Colonies: 7}}}
	require.Contains(t, whatOf(y.Calendar(three)[2]), plan.DustRound{Round: 3, Of: 3, PowderG: 12, Colonies: 8}, "the dead get none")
	y.tasks.dusting.DaysBeforeSupers = 0
	require.Equal(t, plan.AskWait{}, whatOf(y.Calendar(fed)[2])[1])
	require.True(t, y.Dusted())
}

// TestWorkWarningsByHand: robbing, a visit that was moved too late, syrup at the supers.
func TestWorkWarningsByHand(t *testing.T) {
	y := &Yard{Site: &season.Yard{}, Visits: []Visit{{Date: on(3, 25)}}}
	dead, fed := &plan.ColonyPlan{Verdict: plan.Dead}, &plan.ColonyPlan{Feedings: []plan.Feeding{{Date: on(4, 20), SolidKg: 1}, {Date: on(4, 10), SyrupL: 2}}}
	require.Empty(t, y.WorkWarnings([]*plan.ColonyPlan{dead, fed}), "nobody knows when bees fly")
	y.tasks.fly = on(3, 25)
	require.Empty(t, y.WorkWarnings([]*plan.ColonyPlan{dead}), "on the day of the visit")
	y.tasks.fly = on(3, 24)
	require.Equal(t, []plan.Note{plan.RobbedBefore{Fly: on(3, 24), FirstVisit: on(3, 25)}}, y.WorkWarnings([]*plan.ColonyPlan{fed, dead}))
	require.Empty(t, y.WorkWarnings([]*plan.ColonyPlan{fed}))
	y.tasks.moved = map[time.Time]time.Time{on(3, 25): on(3, 23)}
	late := &plan.ColonyPlan{TooLate: true}
	require.Equal(t, []plan.Note{plan.VisitMovedLate{From: on(3, 23), To: on(3, 25)}}, y.WorkWarnings([]*plan.ColonyPlan{late}))
	require.Empty(t, y.WorkWarnings([]*plan.ColonyPlan{fed}), "nobody is late")
	y.tasks.moved = map[time.Time]time.Time{on(3, 25): on(3, 27)}
	require.Empty(t, y.WorkWarnings([]*plan.ColonyPlan{late}), "it was moved sooner")
	y.tasks.moved = nil
	y.tasks.dusting.SupersOn = on(4, 10)
	require.Equal(t, []plan.Note{plan.SyrupAtSupers{LastSyrup: on(4, 10), SupersOn: on(4, 10)}}, y.WorkWarnings([]*plan.ColonyPlan{fed}), "solid feed is no syrup")
	y.tasks.dusting.SupersOn = on(4, 11)
	require.Empty(t, y.WorkWarnings([]*plan.ColonyPlan{fed}))
	y.tasks.warnings = []plan.Note{plan.RoundsPast{}}
	require.Len(t, y.WorkWarnings(nil), 1)
}

// TestWrapsByHand: when a wrap is kept on, put on, taken off.
func TestWrapsByHand(t *testing.T) {
	wrapped := []*season.Colony{{Name: "a", Alive: true, Insulated: true}, {Name: "b", Alive: true}, {Name: "c", Insulated: true}}
	y := &Yard{Site: &season.Yard{}, Colonies: wrapped, Visits: []Visit{{Date: on(3, 23)}, {Date: on(3, 30)}}}
	of := func(k int, nightC []float64, cs ...*plan.ColonyPlan) (out []plan.Note) {
		y.tasks.nightC = nightC
		for _, what := range whatOf(plan.Visit{Tasks: y.workTasks(k, cs)}) {
			if keep, ok := what.(plan.KeepWraps); ok {
				what = plan.KeepWraps{NightC: keep.NightC}
			}
			if off, ok := what.(plan.WrapsOff); ok {
				what = plan.WrapsOff{NightC: off.NightC}
			}
			out = append(out, what)
		}
		return out
	}
	require.Equal(t, []plan.Note{plan.KeepWraps{NightC: 3}}, of(0, []float64{3, 5}))
	require.Equal(t, []plan.Note{plan.WrapsOff{NightC: 5}}, of(1, []float64{3, 5}))
	require.Equal(t, []plan.Note{plan.WrapsOff{NightC: 6}}, of(0, []float64{6, 7}), "the first mild visit")
	require.Empty(t, of(1, []float64{6, 7}))
	require.Empty(t, of(0, []float64{math.NaN(), 4}))
	require.Equal(t, []plan.Note{plan.KeepWraps{NightC: 4.9}}, of(0, []float64{4.9, 4.9}), "no visit is mild")
	toWrap := &plan.ColonyPlan{Colony: "b", Wrap: true}
	require.Equal(t, []plan.Note{plan.WrapHive{}}, of(0, []float64{-2, 5}, toWrap), "one note is enough")
	require.Equal(t, []plan.Note{plan.WrapsOff{NightC: 5}}, of(1, []float64{-2, 5}, toWrap))
	y.Colonies = wrapped[1:]
	require.Empty(t, of(0, []float64{3, 5}), "the one that lives is bare")
	require.Empty(t, of(1, []float64{3, 5}))

	y.Colonies = wrapped
	cs := []*plan.ColonyPlan{{Colony: "a", Verdict: plan.Feed}, {Colony: "b", Verdict: plan.Feed}, {Colony: "b", Verdict: plan.Watch}, {Colony: "c", Verdict: plan.Feed}}
	y.tasks.nightC = []float64{0}
	y.MarkBare(cs)
	require.False(t, cs[1].Wrap, "0 C is no frost")
	y.tasks.nightC = []float64{-0.1}
	y.MarkBare(cs)
	require.Equal(t, []bool{false, true, false, false}, []bool{cs[0].Wrap, cs[1].Wrap, cs[2].Wrap, cs[3].Wrap}, "alive, bare and to be fed")
	cs[1].Wrap, y.tasks.nightC = false, []float64{math.NaN()}
	y.MarkBare(cs)
	require.False(t, cs[1].Wrap)
}

// threeSprings are an outlook of thirty days from 20 March, whose springs are told apart by
// their temperatures.
func threeSprings() *forage.Outlook {
	o := &forage.Outlook{Start: on(3, 20)}
	for i := range 3 {
		sp := forage.Spring{Label: "s", Weight: []float64{0.25, 0.25, 0.5}[i], PollenDay: 5, BloomDay: 15}
		for d := range 30 {
			sp.Days = append(sp.Days, forage.Day{Date: on(3, 20).AddDate(0, 0, d), TminC: float64(d) - 5*float64(i), TmaxC: float64(d) + 5*float64(i), CleansingH: float64(d / 8)})
		}
		o.Springs = append(o.Springs, sp)
	}
	return o
}

// TestWeatherOfVisits: what follows a visit is taken from the days to the next, or a usual round's.
func TestWeatherOfVisits(t *testing.T) {
	y := &Yard{Site: &season.Yard{}, Outlook: threeSprings(), Season: &season.Season{Today: on(3, 20)}, Visits: []Visit{{Day: 4}, {Day: 10}, {Day: 28}}}
	members := []ensemble.Member{{NectarDay: 5}, {NectarDay: 10}, {NectarDay: 11}, {NectarDay: 29}}
	y.weatherAfterVisits(members)
	// Days 4 to 9 of 4..9, 9..14 and 14..19: the ninth of 18 values in order.
	require.InDelta(t, 11, y.Visits[0].MaxC, 1e-9)
	require.InDelta(t, 6, y.Visits[0].MeanC, 1e-9, "the means are those of the days, the same in all three")
	require.Equal(t, []float64{1, 0.5, 0.25}, []float64{y.Visits[0].NeededFrac, y.Visits[1].NeededFrac, y.Visits[2].NeededFrac}, "nectar on the day is nectar")
	require.InDelta(t, 28, y.Visits[2].MeanC, 1e-9, "two days are left")
	y.weatherOfWork()
	// The ten nights after day 4 are 5..14, 0..9 and -5..4.
	require.InDelta(t, 4, y.tasks.nightC[0], 1e-9)
	require.InDelta(t, medianOf(y.Outlook, 11, 21, nightMinC), y.tasks.nightC[1], 1e-9)
	require.True(t, math.IsNaN(medianOf(y.Outlook, 40, 50, nightMinC)))
	require.InDelta(t, 0, medianOf(y.Outlook, -3, 1, dayMaxC)-5, 1e-9, "of 0, 5 and 10")

	// Rounds on days too cold to open hives.
	for day, cold := range map[int]bool{4: true, 5: false, 20: false} {
		y.tasks = yardTasks{rounds: roundsOn(on(3, 20).AddDate(0, 0, day))}
		y.Today = 0
		y.weatherOfWork()
		// Five days about day 4: 2..6, 7..11, 12..16: the eighth of 15 is 9; about day 5 it is 10.
		require.Equal(t, cold, len(y.tasks.warnings) == 1, "day %d", day)
	}
	y.tasks, y.Today = yardTasks{rounds: roundsOn(on(3, 24))}, 4
	y.weatherOfWork()
	require.Empty(t, y.tasks.warnings, "what is past says nothing: days 4 to 6")
}

// TestFactsByHand: days without flight and their longest run, dates of bloom.
func TestFactsByHand(t *testing.T) {
	days := threeSprings().Springs[0].Days
	flies := func(d int) bool { return days[d].CanFly() }
	first := 0
	for !flies(first) {
		first++
	}
	require.Positive(t, first)
	n, longest := nonFlying(days, 0, first+3)
	require.Equal(t, [2]int{first, first}, [2]int{n, longest})
	n, longest = nonFlying(days, 2, first)
	require.Equal(t, [2]int{first - 2, first - 2}, [2]int{n, longest})
	n, _ = nonFlying(days, first, 99)
	require.Zero(t, n)
	cold := days[0]
	days[first+1], days[first+2], days[first+4] = cold, cold, cold
	n, longest = nonFlying(days, first, 99)
	require.Equal(t, [2]int{3, 2}, [2]int{n, longest})
	o := threeSprings()
	require.Equal(t, plan.DateRange{P10: on(3, 21), P50: on(3, 25), P90: on(3, 29)}, dateRange(o, []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}))
}

// TestFirstLookByHand: springs are needed from the first look of this season on.
func TestFirstLookByHand(t *testing.T) {
	look := func(alive bool, days ...time.Time) *season.Colony {
		c := &season.Colony{Name: "a", Alive: alive}
		for _, d := range days {
			c.Observations = append(c.Observations, season.Observation{Date: d})
		}
		return c
	}
	old := time.Date(2026, time.September, 30, 0, 0, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		colonies []*season.Colony
		start    time.Time
		fresh    bool
	}{
		"none":                     {nil, on(3, 20), true},
		"today":                    {[]*season.Colony{look(true, on(3, 20))}, on(3, 20), true},
		"two looks, two colonies":  {[]*season.Colony{look(true, on(3, 1), on(3, 10)), look(true, on(2, 27))}, on(2, 27), true},
		"one of last season":       {[]*season.Colony{look(true, old)}, on(3, 20), false},
		"found dead last season":   {[]*season.Colony{look(false, old), look(true, on(3, 2))}, on(3, 2), true},
		"first day of this season": {[]*season.Colony{look(true, old.AddDate(0, 0, 1))}, old.AddDate(0, 0, 1), true},
	} {
		y := &season.Yard{Name: "Mill"}
		l := &weatherLoader{s: &season.Season{Today: on(3, 20)}, colonies: map[string][]*season.Colony{"Mill": c.colonies}}
		start, fresh := l.firstLook(y)
		require.Equal(t, c.start, start, name)
		require.Equal(t, c.fresh, fresh, name)
		require.Equal(t, !c.fresh, len(l.ps) == 1, name)
	}
	require.Equal(t, 2027, SeasonYear(on(7, 31)))
	require.Equal(t, 2028, SeasonYear(on(8, 1)))
}
