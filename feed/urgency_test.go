package feed

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// TestUrgencyByHand: the order of a list of colonies, whatever order they come in.
func TestUrgencyByHand(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2027, time.April, d, 0, 0, 0, 0, time.UTC) }
	want := []plan.ColonyPlan{
		{Colony: "late", Verdict: plan.Feed, TooLate: true, StartBy: day(9)},
		{Colony: "stays over", Verdict: plan.Feed, StartBy: day(8), RiskFed: plan.Risk{Frac: 0.051}},
		{Colony: "first visit, soon", Verdict: plan.Feed, StartBy: day(1), StarveDate: day(5), RiskFed: plan.Risk{Frac: 0.05}},
		{Colony: "first visit, later", Verdict: plan.Feed, StartBy: day(1), StarveDate: day(6)},
		{Colony: "second visit", Verdict: plan.Feed, StartBy: day(2), StarveDate: day(4), Risk: plan.Risk{Frac: 0.9}},
		{Colony: "second visit, less", Verdict: plan.Feed, StartBy: day(2), StarveDate: day(4), Risk: plan.Risk{Frac: 0.8}},
		{Colony: "watched", Verdict: plan.Watch, Risk: plan.Risk{Frac: 0.03}, StartBy: day(1), RiskFed: plan.Risk{Frac: 1}},
		{Colony: "b", Yard: "A", Verdict: plan.NoFeed},
		{Colony: "a", Yard: "B", Verdict: plan.NoFeed},
		{Colony: "c", Yard: "B", Verdict: plan.NoFeed},
		{Colony: "dead", Verdict: plan.Dead},
	}
	require.Less(t, plan.Watch, plan.NoFeed)
	rnd := rand.New(rand.NewPCG(1, 1))
	for range 50 {
		got := make([]plan.ColonyPlan, len(want))
		for i, j := range rnd.Perm(len(want)) {
			got[i] = want[j]
		}
		sortByUrgency(got, 0.05)
		for i := range want {
			require.Equal(t, want[i].Colony, got[i].Colony, "place %d", i)
		}
	}
	at := plan.StillAtRiskOf([]plan.ColonyPlan{{Verdict: plan.Feed, RiskFed: plan.Risk{Frac: 0.05}}, {Verdict: plan.Watch, RiskFed: plan.Risk{Frac: 0.9}},
		{Verdict: plan.Feed, Yard: "A", Colony: "x", RiskFed: plan.Risk{Frac: 0.06}}, {Verdict: plan.Feed, Yard: "B", Colony: "y", RiskFed: plan.Risk{Frac: 0.2}, Tally: &plan.Tally{Colonies: 4}},
		{Verdict: plan.Feed, Yard: "C", Colony: "z", RiskFed: plan.Risk{Frac: 0.1}}}, 0.05)
	require.Equal(t, plan.StillAtRisk{AcceptFrac: 0.05, Colonies: 6, WorstYard: "B", Worst: "y", WorstFrac: 0.2}, at)
	var y plan.YardPlan
	countVerdicts(&y, []*plan.ColonyPlan{{Verdict: plan.Feed}, {Verdict: plan.Feed, Tally: &plan.Tally{Colonies: 3}}, {Verdict: plan.Watch}, {Verdict: plan.NoFeed, Tally: &plan.Tally{Colonies: 2}}, {Verdict: plan.Dead, Colony: "d"}})
	require.Equal(t, [3]int{4, 1, 2}, [3]int{y.Feed, y.Watch, y.NoFeed})
	require.Equal(t, []string{"d"}, y.Dead)
}

// TestMembersByHand: how many springs a colony near the line may run on.
func TestMembersByHand(t *testing.T) {
	for _, c := range []struct{ members, factor, want int }{{300, 4, 1200}, {300, 100, 2400}, {4000, 4, 4000}, {300, 1, 300}} {
		o := Options{Members: c.members, MostFactor: c.factor}
		require.Equal(t, c.want, o.mostMembers())
	}
}

// TestOrderByHand: sugar is ordered so long before the day before the first visit that needs any,
// and the rest before the first later one.
func TestOrderByHand(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2027, time.April, d, 0, 0, 0, 0, time.UTC) }
	yard := func(now float64, visits ...int) plan.YardPlan {
		y := plan.YardPlan{}
		y.Order.NowSugarKg.P90 = now
		for _, d := range visits {
			y.Visits = append(y.Visits, plan.Visit{Date: day(d)})
		}
		return y
	}
	pl := &plan.Plan{Yards: []plan.YardPlan{yard(3, 12, 20), yard(0, 5), yard(2, 10, 15), yard(2, 11), yard(9)}}
	pl.Order.SugarKg.P90, pl.Order.LaterBy = 20, day(15)
	truck := season.Truck{LeadSaid: true, LeadDays: 4}
	require.Equal(t, plan.OrderBy{LeadDays: 4, FirstNeeded: day(10), First: day(5), Later: day(10)}, orderBy(&truck, pl))
	pl.Order.LaterBy = time.Time{}
	require.True(t, orderBy(&truck, pl).Later.IsZero())
	pl.Yards = pl.Yards[1:2]
	require.True(t, orderBy(&truck, pl).First.IsZero(), "nothing is needed at the first visits")
	pl.Order.SugarKg.P90 = 0
	require.Equal(t, plan.OrderBy{}, orderBy(&truck, pl))
	pl.Order.SugarKg.P90, truck.LeadSaid = 20, false
	require.Equal(t, plan.OrderBy{}, orderBy(&truck, pl))
}
