package feed

import (
	"runtime"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/asked"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/feed/visits"
)

// TestOptionsAtTheirEnds: what still is in range, and what a planner refuses.
func TestOptionsAtTheirEnds(t *testing.T) {
	for _, o := range []Options{{Members: 50, MostFactor: 1}, {Members: 100000, MostFactor: 16}, {Members: 60, MostFactor: 2, Workers: 1}} {
		require.NoError(t, o.Validate(), "%+v", o)
	}
	s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
	worlds, ps := visits.Worlds(s, nil)
	require.NoError(t, ps.Err())
	_, err := NewPlanner(s, worlds, Options{Members: 49, MostFactor: 1})
	require.ErrorContains(t, err, "49")
	_, err = NewPlanner(s, map[string]visits.Weather{}, Options{Members: 50, MostFactor: 1})
	require.ErrorContains(t, err, s.Yards[0].Name)
	p, err := NewPlanner(s, worlds, Options{Members: 60, MostFactor: 3, Protein: true})
	require.NoError(t, err)
	require.Equal(t, runtime.GOMAXPROCS(0), p.opt.Workers, "one a core")
	require.Equal(t, 360, p.draws.Members(), "as many again to judge on")
	require.Equal(t, []int{60, 180}, []int{p.terms.Members, p.terms.MostMembers})
	require.True(t, p.terms.Supplement)
	p, err = NewPlanner(s, worlds, Options{Members: 60, MostFactor: 3, Workers: 3})
	require.NoError(t, err)
	require.Equal(t, 3, p.opt.Workers)
	bad := asked.DefaultOptions()
	require.NoError(t, bad.Validate())
	_, _, err = p.Ask(t.Context(), &plan.ColonyPlan{Yard: "nowhere", Colony: s.Colonies[0].Name}, plan.AskRatio, bad)
	require.ErrorContains(t, err, "nowhere")
	_, _, err = p.Detail(t.Context(), &plan.ColonyPlan{Yard: "nowhere", Colony: s.Colonies[0].Name})
	require.ErrorContains(t, err, "nowhere")

	set := season.DefaultSettings()
	set.Parameters = []season.Parameter{{Name: "no such figure", Value: 1}}
	require.Panics(t, func() { DefaultOptions(set) })
	set.Parameters = []season.Parameter{{Name: "bee_mass_g", Value: 0.12}}
	require.NotEqual(t, DefaultOptions(season.DefaultSettings()).Base, DefaultOptions(set).Base)
}

// TestAPlanIsGatheredByHand: what the plan of the example says of the season, its yards and its
// order is put together again from its colonies.
func TestAPlanIsGatheredByHand(t *testing.T) {
	s := season.Demo()
	s.Settings.AllowOpenFeeding, s.Settings.AcceptRiskFrac = true, 0.04
	s.Settings.Truck.LeadSaid, s.Settings.Truck.LeadDays = true, 3
	empty := s.Yards[0]
	empty.Name = "Nobody's"
	s.Yards = append(s.Yards, empty)
	pl, p := planOf(t, s, members(60))
	require.Equal(t, []any{s.Today, 60, s.Settings.Seed, true}, []any{pl.Today, pl.Members, pl.Seed, pl.Invented})
	require.InDelta(t, 4, pl.AcceptPct, 1e-9)
	require.Len(t, pl.Colonies, len(s.Colonies))
	require.Len(t, pl.Yards, len(s.Yards))
	var laterBy, firstNeeded time.Time
	earliest := func(a *time.Time, b time.Time) {
		if !b.IsZero() && (a.IsZero() || b.Before(*a)) {
			*a = b
		}
	}
	fed := 0
	for i, y := range pl.Yards {
		site := &s.Yards[i]
		require.Equal(t, []any{site.Name, site.Round, site.Disease, site.LatDeg, site.LonDeg}, []any{y.Name, y.Round, y.Disease, y.LatDeg, y.LonDeg})
		require.Equal(t, i == len(s.Yards)-1, p.yards[i].Springs == nil, "few yards keep their springs, one without colonies drops them")
		var counts [3]int
		var dead []string
		var later time.Time
		for j := range pl.Colonies {
			c := &pl.Colonies[j]
			if c.Yard != y.Name {
				continue
			}
			switch c.Verdict {
			case plan.Feed:
				counts[0] += c.Stands()
			case plan.Watch:
				counts[1] += c.Stands()
			case plan.NoFeed:
				counts[2] += c.Stands()
			case plan.Dead:
				dead = append(dead, c.Colony)
			}
			if c.Verdict != plan.Dead {
				require.Len(t, c.RiskByWeek, len(y.WeekDates))
			}
			for _, f := range c.Feedings {
				if f.Date.After(y.Visits[0].Date) {
					earliest(&later, f.Date)
				}
			}
		}
		require.Equal(t, counts, [3]int{y.Feed, y.Watch, y.NoFeed})
		require.Equal(t, dead, y.Dead)
		require.Equal(t, len(dead) > 0, y.Losses.Of > 0)
		require.Equal(t, y.Feed, y.Order.Colonies)
		fed += y.Feed
		if y.Order.LaterSugarKg.P90 <= 0 {
			require.True(t, y.Order.LaterBy.IsZero())
		} else {
			require.Equal(t, later, y.Order.LaterBy)
		}
		earliest(&laterBy, later)
		if y.Order.NowSugarKg.P90 > 0 {
			earliest(&firstNeeded, y.Visits[0].Date)
		}
		for k := range y.WeekDates[1:] {
			require.True(t, y.WeekDates[k].AddDate(0, 0, 7).Equal(y.WeekDates[k+1]))
		}
	}
	require.Positive(t, fed)
	require.Equal(t, fed, pl.Order.Colonies)
	require.Zero(t, pl.Yards[len(pl.Yards)-1].Order.SugarKg.P90, "no colonies, no sugar")
	require.Equal(t, laterBy, pl.Order.LaterBy)
	require.Equal(t, plan.OrderBy{First: firstNeeded.AddDate(0, 0, -4), Later: laterBy.AddDate(0, 0, -4), FirstNeeded: firstNeeded, LeadDays: 3}, pl.OrderBy)
	require.Contains(t, pl.Warnings, plan.Note(plan.OpenFeeding{}))
	require.NotContains(t, codes(pl.Warnings), plan.WinterPlan{}.Code())

	advised, extraL := 0, 0.0
	for i := range pl.Colonies {
		if c := &pl.Colonies[i]; c.Supplement.Advised {
			advised += c.Stands()
			extraL += c.Supplement.ExtraSyrupL * float64(c.Stands())
		}
	}
	lacks, ok := said[plan.OrderLacksSyrup](pl.Warnings)
	require.Equal(t, advised > 0, ok)
	require.Equal(t, advised, lacks.Colonies)
	require.InDelta(t, extraL, lacks.ExtraSyrupL, 1e-9)
	over := plan.StillAtRiskOf(pl.Colonies, 0.04)
	risky, ok := said[plan.StillAtRisk](pl.Warnings)
	require.Equal(t, over.Colonies > 0, ok)
	require.Equal(t, over.Colonies, risky.Colonies)
}

func codes(notes []plan.Note) (out []plan.Code) {
	for _, n := range notes {
		out = append(out, n.Code())
	}
	return out
}

// TestNothingMoreIsSaid: a plan of March, without a tub in the open and without a supplement, warns of neither.
func TestNothingMoreIsSaid(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"gross": "40", "confirmed": "yes"}, nil)
	pl, p := planOf(t, s, members(50))
	require.Equal(t, plan.NoFeed, pl.Colonies[0].Verdict)
	for _, code := range []plan.Code{plan.OpenFeeding{}.Code(), plan.WinterPlan{}.Code(), plan.OrderLacksSyrup{}.Code(), plan.StillAtRisk{}.Code()} {
		require.NotContains(t, codes(pl.Warnings), code)
	}
	require.True(t, pl.Order.LaterBy.IsZero())
	require.Equal(t, plan.OrderBy{}, pl.OrderBy)
	cards, err := p.Cards(t.Context(), season.FoodUnknown)
	require.NoError(t, err)
	require.Len(t, cards, 1)
	require.Nil(t, p.yards[0].Springs, "dropped again")

	winter := seasontest.OneHive(t, map[string]string{"heft": "light", "date": "2027-01-10"}, map[string]string{"next_visit": "2027-01-14"})
	winter.Today = time.Date(2027, time.January, 10, 0, 0, 0, 0, time.UTC)
	pl, _ = planOf(t, winter, members(50))
	from, ok := said[plan.WinterPlan](pl.Warnings)
	require.True(t, ok)
	require.True(t, from.From.After(winter.Today))
}

// TestLossesOfAYard: each hive of a dead tally is lost, of all that stand there.
func TestLossesOfAYard(t *testing.T) {
	var y plan.YardPlan
	countVerdicts(&y, []*plan.ColonyPlan{{Verdict: plan.Dead, Colony: "d", Tally: &plan.Tally{Colonies: 3}}, {Verdict: plan.Dead, Colony: "e"},
		{Verdict: plan.Feed, Tally: &plan.Tally{Colonies: 5}}, {Verdict: plan.Watch}})
	require.Equal(t, []string{"d", "e"}, y.Dead)
	require.Equal(t, plan.LossesOf(4, 10), y.Losses)
	require.Equal(t, []int{5, 1, 0}, []int{y.Feed, y.Watch, y.NoFeed})
	y = plan.YardPlan{}
	countVerdicts(&y, []*plan.ColonyPlan{{Verdict: plan.Watch}})
	require.Zero(t, y.Losses)
}

// TestTheRightYardIsLookedAt: colonies of the same name in two yards are told apart.
func TestTheRightYardIsLookedAt(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"gross": "18", "confirmed": "yes"}, nil)
	site, hive := s.Yards[0], s.Colonies[0]
	site.Name, hive.Yard = "other", "other"
	hive.Observations = slices.Clone(hive.Observations)
	hive.Observations[0].Food.GrossKg = 36
	s.Yards, s.Colonies = append(s.Yards, site), append(s.Colonies, hive)
	pl, p := planOf(t, s, members(50))
	for i := range pl.Colonies {
		c := &pl.Colonies[i]
		d, ok, err := p.Detail(t.Context(), c)
		require.NoError(t, err)
		require.True(t, ok)
		require.InDelta(t, c.Risk.Frac, d.RiskAlone[len(d.RiskAlone)-1], 1e-4, c.Yard)
		_, ok, err = p.Ask(t.Context(), c, plan.AskCandy, asked.DefaultOptions())
		require.NoError(t, err)
		require.True(t, ok)
	}
	require.NotEqual(t, pl.Colonies[0].Risk.Frac, pl.Colonies[1].Risk.Frac)
	require.Len(t, p.reopened, 2)
	require.Equal(t, pl.Colonies[1].Yard, p.reopened[1].site.Name, "the last used last")
	_, _, err := p.Detail(t.Context(), &pl.Colonies[0])
	require.NoError(t, err)
	require.Equal(t, pl.Colonies[0].Yard, p.reopened[1].site.Name)
	require.Len(t, p.reopened, 2)
}
