package decide_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/feed"
	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/feed/syrup"
	"bloomgap/feed/visits"
)

// planOf plans a season with its built-in climates.
func planOf(t testing.TB, s *season.Season, change func(*feed.Options)) *plan.Plan {
	t.Helper()
	worlds, ps := visits.Worlds(s, nil)
	require.NoError(t, ps.Err())
	opt := feed.DefaultOptions(s.Settings)
	change(&opt)
	p, err := feed.NewPlanner(s, worlds, opt)
	require.NoError(t, err)
	pl, err := p.Run(context.Background())
	require.NoError(t, err)
	return pl
}

// anySeason is a season of one to two invented yards with any looks and settings.
func anySeason(t *rapid.T, outer testing.TB) *season.Season {
	today := time.Date(2027, time.Month(rapid.IntRange(2, 4).Draw(t, "month")), rapid.IntRange(1, 28).Draw(t, "day"), 0, 0, 0, 0, time.UTC)
	places := [][2]string{{"45.3", "-72.9"}, {"46.99", "7.46"}, {"42.96", "-87.9"}}
	place := rapid.SampledFrom(places).Draw(t, "place")
	s, ps := season.One(season.DefaultSettings(), today,
		map[string]string{"lat": place[0], "lon": place[1], "next_visit": today.AddDate(0, 0, rapid.IntRange(0, 9).Draw(t, "next")).Format(time.DateOnly),
			"days_between": fmt.Sprint(rapid.IntRange(5, 16).Draw(t, "between"))},
		map[string]string{"date": today.Format(time.DateOnly), "boxes": rapid.SampledFrom([]string{"1 deep", "2 deep", "1 deep + 1 medium"}).Draw(t, "boxes"), "heft": "fair", "seams": "5", "count_temp": "6"}, nil)
	require.NoError(outer, ps.Err())
	one := s.Colonies[0]
	s.Colonies = nil
	if rapid.Bool().Draw(t, "two yards") {
		second := s.Yards[0]
		second.Name = "Second"
		s.Yards = append(s.Yards, second)
	}
	for i := range 3 {
		c := one
		c.Yard = s.Yards[i%len(s.Yards)].Name
		c.Name = fmt.Sprint("H", i)
		o := one.Observations[0]
		o.SeamsOfBees = rapid.Float64Range(1, 9).Draw(t, "seams")
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 0:
			o.Food = season.Food{Kind: season.FoodHeft, Heft: rapid.SampledFrom([]season.Heft{season.HeftLight, season.HeftFair}).Draw(t, "heft")}
		case 1:
			hive := c.Hive(s.Yards[0].Tares, s.Settings.Masses())
			tareKg, _ := hive.TareKg()
			o.Food = season.Food{Kind: season.FoodGross, GrossKg: tareKg + rapid.Float64Range(2, 14).Draw(t, "gross")}
		default:
			o.Food = season.Food{Kind: season.FoodFrames, FramesDeep: rapid.Float64Range(0.3, 4).Draw(t, "frames")}
		}
		c.Observations = []season.Observation{o}
		s.Colonies = append(s.Colonies, c)
	}
	s.Settings.AcceptRiskFrac = rapid.SampledFrom([]float64{0.01, 0.05, 0.1}).Draw(t, "accepted")
	s.Settings.ReserveKg = rapid.SampledFrom([]float64{0, 5, 10}).Draw(t, "reserve")
	s.Settings.Strength = rapid.SampledFrom([]syrup.Strength{{}, syrup.OneToOne(), syrup.TwoToOne()}).Draw(t, "strength")
	if rapid.Bool().Draw(t, "equipment") {
		for _, item := range []season.Item{season.BagRim, season.CandyRim, season.FrameFeeder, season.Pail, season.HoledCover, season.EmptyBox} {
			s.Equipment = append(s.Equipment, season.Equipment{Item: item, Count: rapid.IntRange(0, 2).Draw(t, "count"), HoldsL: math.NaN()})
		}
	}
	return s
}

// TestInvariants: what a plan says of feeding agrees with itself, for any colonies,
// yards and settings.
func TestInvariants(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s := anySeason(r, t)
		pl := planOf(t, s, func(o *feed.Options) { o.Members, o.MostFactor, o.Protein = 80, 2, rapid.Bool().Draw(r, "supplement") })
		for i := range pl.Colonies {
			invariants(t, s, &pl.Colonies[i])
		}
		invariantsOfAll(t, s, pl)
	})
}

// TestDemoKeepsTheInvariants holds the example to them with other draws.
func TestDemoKeepsTheInvariants(t *testing.T) {
	seeds := 20
	if testing.Short() {
		seeds = 2
	}
	for seed := range seeds {
		s := season.Demo()
		s.Settings.Seed = uint64(seed)
		pl := planOf(t, s, func(*feed.Options) {})
		for i := range pl.Colonies {
			invariants(t, s, &pl.Colonies[i])
		}
		invariantsOfAll(t, s, pl)
	}
}

// invariantsOfAll are those of a plan as a whole.
func invariantsOfAll(t testing.TB, s *season.Season, pl *plan.Plan) {
	accept := s.Settings.AcceptRiskFrac
	promised := map[string]map[season.Item]int{} // by yard, and "" for all of them
	said, advised := 0, 0
	for i := range pl.Colonies {
		c := &pl.Colonies[i]
		over := c.Verdict == plan.Feed && c.RiskFed.Frac > accept
		if over {
			said++
		}
		if before := max(0, i-1); over && !pl.Colonies[before].TooLate {
			require.Greater(t, pl.Colonies[before].RiskFed.Frac, accept, "those that stay over the accepted risk stand at the top, after those to go to sooner")
		}
		if c.Supplement.Advised {
			advised++
			require.Greater(t, c.Supplement.GainBees.P50, 2*c.Supplement.GainErrBees, "advised for a sure gain only")
		}
		if c.Verdict != plan.Feed || !c.Choice.OnHand || len(s.Equipment) == 0 {
			continue
		}
		for _, yard := range []string{"", c.Yard} {
			if promised[yard] == nil {
				promised[yard] = map[season.Item]int{}
			}
			for _, item := range decide.Gear(c) {
				promised[yard][item]++
			}
		}
	}
	total := map[season.Item]int{}
	for _, e := range s.Equipment {
		total[e.Item] += e.Count
	}
	for yard, items := range promised {
		for item, n := range items {
			most := total[item]
			if yard != "" {
				most = s.OnHand(yard, item)
			}
			require.LessOrEqual(t, n, most, "%s of %q is promised once", item, yard)
		}
	}
	i := slices.IndexFunc(pl.Warnings, func(n plan.Note) bool { return n.Code() == plan.StillAtRisk{}.Code() })
	if said > 0 {
		require.Zero(t, i, "what stays over the accepted risk is said first of all")
		require.Equal(t, said, pl.Warnings[i].(plan.StillAtRisk).Colonies)
	} else {
		require.Negative(t, i)
	}
	require.Equal(t, advised > 0, pl.Order.SupplementKg.P50 > 0, "a supplement is ordered where it is advised")
	if pl.Order.LaterSugarKg.P90 > 0 {
		require.False(t, pl.Order.LaterBy.IsZero())
	}
	require.LessOrEqual(t, pl.Order.SugarKg.P10, pl.Order.SugarKg.P50)
	require.LessOrEqual(t, pl.Order.SugarKg.P50, pl.Order.SugarKg.P90)
}

// invariants of one colony.
func invariants(t testing.TB, s *season.Season, c *plan.ColonyPlan) {
	set := &s.Settings
	if c.Verdict != plan.Feed {
		require.Empty(t, c.Feedings)
		require.Zero(t, c.SyrupL+c.SolidKg)
		return
	}
	require.NotEmpty(t, c.Feedings, "feed has a feeding")
	for i, f := range c.Feedings {
		require.True(t, f.SyrupL > 0 != (f.SolidKg > 0), "either")
		require.True(t, f.SolidKg >= decide.WorthSolidKg || f.SyrupL >= math.Min(decide.WorthSyrupL, decide.HoldsL(c.Choice.Feeder)), "%+v is worth a trip", f)
		require.Greater(t, f.NeededFrac+decide.RareFrac, 0.0)
		require.True(t, f.OnlyIfLow || !f.Date.After(c.Nectar.P50), "after nectar only if: %+v", f)
		if i > 0 {
			require.True(t, f.Date.After(c.Feedings[i-1].Date))
		}
		if f.UnderKg > 0 {
			require.Greater(t, f.UnderGrossKg, f.UnderKg)
		}
	}
	require.False(t, c.Feedings[0].Date.After(c.StartBy), "the first feeding is not after the day to start by")
	if !c.StarveDate.IsZero() && c.StartBy.After(c.StarveDate) {
		require.True(t, c.TooLate, "a start after the accepted risk is passed is told as too late")
	}
	if c.TooLate {
		require.True(t, slices.ContainsFunc(c.Warnings, func(n plan.Note) bool { return n.Code() == plan.GoSooner{}.Code() }))
	}
	require.Equal(t, c.RiskFed.Frac > set.AcceptRiskFrac,
		slices.ContainsFunc(c.Warnings, func(n plan.Note) bool { return n.Code() == plan.StillStarves{}.Code() }))
	require.Greater(t, c.Risk.Frac, set.AcceptRiskFrac, "the verdict and the policy go by the same members")
}

// TestASupplementChangesNoOtherPrice: what other ways to feed a colony come to is the
// same whether or not a supplement is weighed up besides.
func TestASupplementChangesNoOtherPrice(t *testing.T) {
	t.Parallel()
	prices := func(supplement bool) []plan.Price {
		s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
		pl := planOf(t, s, func(o *feed.Options) { o.Members, o.MostFactor, o.Protein = 200, 1, supplement })
		require.Equal(t, plan.Feed, pl.Colonies[0].Verdict)
		return pl.Colonies[0].Policy.Prices
	}
	require.Len(t, prices(false), 3)
	require.Equal(t, prices(false), prices(true))
}

// TestColdNotHunger: of a heavy hive with few bees the plan says that cold may be its
// danger, not hunger; of one with many bees it does not. The smaller the cluster, the
// sooner it dwindles, and food does not change that.
func TestColdNotHunger(t *testing.T) {
	told := func(seams, heft string) (n plan.ColdCluster, found bool) {
		s := seasontest.OneHive(t, map[string]string{"seams": seams, "heft": heft}, nil)
		pl := planOf(t, s, func(o *feed.Options) { o.Members = 80 })
		if heft == "heavy" {
			require.NotEqual(t, plan.Feed, pl.Colonies[0].Verdict)
		}
		for _, w := range pl.Colonies[0].Warnings {
			if x, ok := w.(plan.ColdCluster); ok {
				return x, true
			}
		}
		return n, false
	}
	three, found := told("3", "heavy")
	require.True(t, found)
	two, found := told("2", "heavy")
	require.True(t, found)
	require.Greater(t, two.Dwindles.Frac, three.Dwindles.Frac)
	require.Less(t, three.Dwindles.Frac, 0.5, "three seams mostly come through")
	light, found := told("2", "light")
	require.True(t, found)
	require.Equal(t, two.Dwindles, light.Dwindles)
	_, found = told("8", "heavy")
	require.False(t, found)
}
