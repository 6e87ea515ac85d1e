package plots

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
)

// texts are all that a chart has written at a width.
func texts(c *Chart, widthCm float64) []string {
	var out []string
	for _, w := range laid(c, widthCm, 1).texts {
		out = append(out, w.str)
	}
	return out
}

// Each feeding has its amount, in rows where they are close; where they are too
// close for that, one line sums them up.
func TestEachFeedingIsLabelled(t *testing.T) {
	t.Parallel()
	with := func(every int) plan.Detail {
		d := inventDetail("North", "B7")
		d.Feedings = nil
		for i := 3; i < len(d.Dates); i += every {
			d.Feedings = append(d.Feedings, plan.Feeding{Date: d.Dates[i], SyrupL: 1 + 0.25*float64(len(d.Feedings))})
		}
		return d
	}
	for _, every := range []int{7, 10, 30} {
		for _, width := range []float64{10.3, 17} {
			d := with(every)
			got := texts(StoresChart(d, DefaultLook()), width)
			for _, f := range d.Feedings {
				require.Contains(t, got, DefaultLook().feedingWords(f), "every %d days, %g cm", every, width)
			}
		}
	}
	d := with(1)
	require.Contains(t, texts(StoresChart(d, DefaultLook()), 17), fmt.Sprintf("%d feedings, 1 L to 17.8 L each", len(d.Feedings)))
}

// Keys name the marks that are drawn, and no others.
func TestKeysNameWhatIsDrawn(t *testing.T) {
	t.Parallel()
	l := DefaultLook()
	p := inventPlan(36)
	require.Contains(t, texts(OrderChart(p, l), 17), "enough in 9 in 10 springs")
	for i := range p.Yards {
		p.Yards[i].Order.SyrupL.P90 = p.Yards[i].Order.SyrupL.P50
	}
	require.NotContains(t, texts(OrderChart(p, l), 17), "enough in 9 in 10 springs", "no yard needs more")

	d := inventDetail("North", "B7")
	require.Subset(t, texts(StoresChart(d, l), 17), []string{"syrup", "solid feed", "syrup only if low", "visit"})
	d.Feedings, d.Visits = d.Feedings[1:2], nil
	got := texts(StoresChart(d, l), 17)
	require.Contains(t, got, "syrup")
	for _, absent := range []string{"solid feed", "syrup only if low", "visit"} {
		require.NotContains(t, got, absent)
	}

	h := inventHindcast()
	require.Subset(t, texts(HindcastChart(h, l), 17), []string{"observed", "observed, used to start"})
	h.StartsOn = time.Time{}
	require.NotContains(t, texts(HindcastChart(h, l), 17), "observed, used to start")

	light := plan.Plan{Yards: []plan.YardPlan{{Name: "A", WeekDates: []time.Time{day(3, 14)}}}, Colonies: []plan.ColonyPlan{{Yard: "A", Colony: "1", Verdict: plan.NoFeed, RiskByWeek: []float64{0.02}}}}
	got = texts(RiskGrid(light, l), 17)
	require.Contains(t, got, "1-5 %")
	require.NotContains(t, got, "over 80 %")
	require.NotContains(t, got, "first nectar, middle spring", "the date is not known")
}

// The grid has its dates once, names each verdict over its rows, and counts in its
// title as the plan does.
func TestGridGroups(t *testing.T) {
	t.Parallel()
	p := inventPlan(36)
	s := laid(RiskGrid(p, DefaultLook()), 17, 1)
	at := map[string][]box{}
	for _, w := range s.texts {
		at[w.str] = append(at[w.str], w.box)
	}
	for _, once := range []string{"14 Mar", "feed", "no feed", "dead", "risk fed", "start by"} {
		require.Len(t, at[once], 1, once)
	}
	fed := slices.IndexFunc(p.Colonies, func(c plan.ColonyPlan) bool { return c.Verdict != plan.Feed })
	lastFed, firstNot := at[rowName(p.Colonies[fed-1])][0], at[rowName(p.Colonies[fed])][0]
	require.Less(t, at["no feed"][0].y1, lastFed.y0+0.5)
	require.Greater(t, at["no feed"][0].y0, firstNot.y1-0.5)
	require.True(t, strings.HasPrefix(GridTitle(p, DefaultLook()), fmt.Sprintf("%d of ", fed)))
}

// First nectar stands between the last week before it and the first with it.
func TestGridNectar(t *testing.T) {
	t.Parallel()
	weeks := []time.Time{day(4, 1), day(4, 8), day(4, 15)}
	g := heat{cols: weeks, every: 1}
	at := func(date time.Time) (float64, bool) {
		return g.nectar(plan.ColonyPlan{Nectar: plan.DateRange{P50: date}})
	}
	for _, c := range []struct {
		date time.Time
		x    float64
		ok   bool
	}{
		{day(4, 5), 0.5, true}, {day(4, 8), 0.5, true}, {day(4, 9), 1.5, true},
		{day(3, 20), 0, false}, {day(5, 1), 0, false}, {time.Time{}, 0, false},
	} {
		x, ok := at(c.date)
		require.Equal(t, c.ok, ok, c.date)
		if ok {
			require.Equal(t, c.x, x, c.date)
		}
	}
}

// A map is drawn where yards lie apart and one of them needs syrup.
func TestMapSays(t *testing.T) {
	t.Parallel()
	p := inventPlan(36)
	require.True(t, MapSays(p))
	one := p
	one.Yards = p.Yards[:1]
	require.False(t, MapSays(one), "one yard")
	near := plan.Plan{Yards: []plan.YardPlan{p.Yards[0], p.Yards[0]}}
	require.False(t, MapSays(near), "two on one spot")
	dry := plan.Plan{Yards: []plan.YardPlan{{LatDeg: 45}, {LatDeg: 46}}}
	require.False(t, MapSays(dry), "no syrup")
}

// The ranking counts and orders as the plan does, and titles keep to what is drawn.
func TestRankingAgreesWithThePlan(t *testing.T) {
	t.Parallel()
	p := inventPlan(36)
	for _, y := range p.Yards {
		cs := aliveIn(p, y.Name)
		fed, worst := 0, 0.0
		for _, c := range p.Colonies {
			if c.Yard == y.Name && c.Verdict == plan.Feed {
				fed++
			}
			if c.Yard == y.Name && c.Verdict != plan.Dead {
				worst = max(worst, c.Risk.Frac)
			}
		}
		require.Equal(t, worst, cs[0].Risk.Frac)
		require.True(t, strings.HasPrefix(RankTitle(p, y.Name), fmt.Sprintf("%s: %d of %d live", y.Name, fed, len(cs))), RankTitle(p, y.Name))
		got := texts(RankChart(p, y.Name, DefaultLook()), 17)
		for _, c := range cs {
			require.Contains(t, got, c.Colony)
		}
	}
}
