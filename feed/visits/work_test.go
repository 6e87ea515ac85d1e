package visits

import (
	"math"
	"slices"
	"testing"
	"time"

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
		y := Yard{Season: &season.Season{Today: on(3, 1)}, Outlook: outlook(addC)}
		for d := 2; d < days; d += 8 {
			y.Visits = append(y.Visits, Visit{Day: d, Date: y.Outlook.Date(d)})
		}
		y.weatherOfWork()
		off := mildVisit(y.tasks.nightC)
		if off < 0 {
			off = math.MaxInt
		}
		fly, ok := firstFlight(y.Outlook, 0)
		require.True(t, ok)
		require.Equal(t, y.Outlook.Date(fly), y.tasks.fly)
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
