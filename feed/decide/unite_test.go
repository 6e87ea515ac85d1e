package decide

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// A larger united cluster that brings its own share of food never lowers the chance, spring
// by spring: a larger cluster loses less heat a bee, rears less brood a bee and has more
// foragers.
func TestALargerUnitedClusterNeverLowersTheChance(t *testing.T) {
	k := opened(t, seasontest.OneHive(t, map[string]string{"heft": "light", "seams": "3"}, nil), 100)
	s2 := k.neighbour(Neighbour{Seams: 7, Heft: season.HeftFair})
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.IntRange(0, k.a.members-1).Draw(t, "member")
		small := rapid.Float64Range(0.2, 2).Draw(t, "smaller")
		large := small * rapid.Float64Range(1, 2).Draw(t, "by")
		var other ensemble.Realization
		s2.drawer.Realize(s2.key, &s2.seen, m, &other)
		weak := k.a.cases[m].Start
		perBee := weak.StoresKg / weak.Bees
		sized := func(f float64) colony.InitialState {
			n := other.Start
			n.Bees, n.BroodCells, n.PollenG = n.Bees*f, n.BroodCells*f, n.PollenG*f
			n.StoresKg = n.Bees * max(perBee, other.Start.StoresKg/other.Start.Bees) // no poorer than the weak one
			return unite(weak, n)
		}
		if k.lives(other.Spring(), sized(small), nil, false) > 0 {
			require.Positive(t, k.lives(other.Spring(), sized(large), nil, false), "member %d, %g to %g times the neighbour", m, small, large)
		}
	})
}

// Uniting with a named colony is uniting with a typical neighbour that reads alike, whatever
// day of the week before it was looked at on; and what it is otherwise counts.
func TestANamedNeighbourIsATypicalOneThatReadsAlike(t *testing.T) {
	k := opened(t, seasontest.OneHive(t, map[string]string{"heft": "light", "seams": "3"}, nil), 100)
	alike := *k.s.col
	look := *alike.Last()
	look.Food, look.SeamsOfBees, look.Date = season.Food{Kind: season.FoodHeft, Heft: season.HeftFair}, 7, look.Date.AddDate(0, 0, -5)
	alike.Name, alike.Observations = "another", []season.Observation{look}
	typical := k.Unite(Neighbour{Seams: 7, Heft: season.HeftFair})
	require.Equal(t, typical, k.Unite(Neighbour{Named: &alike}))

	look.Food = season.Food{Kind: season.FoodHeft, Heft: season.HeftHeavy}
	alike.Observations = []season.Observation{look}
	require.Greater(t, k.Unite(Neighbour{Named: &alike}).Neighbour.Careful, typical.Neighbour.Careful)
	alike.Insulated = !alike.Insulated
	require.True(t, k.neighbour(Neighbour{Named: &alike}).seen.Wrapped, "it stands in its own hive")
}

// Of a colony that was looked at several times, what it has come to is united, and not what
// it was at first.
func TestACountedColonyIsUnitedAsItIsNow(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"gross": "26", "seams": "3"}, nil)
	col := &s.Colonies[0]
	first := *col.Last()
	first.Date, first.SeamsOfBees = first.Date.AddDate(0, 0, -30), 7
	col.Observations = []season.Observation{first, *col.Last()}
	k := opened(t, s, 100)
	require.NotNil(t, k.s.learned)
	with := Neighbour{Seams: 7, Heft: season.HeftFair}
	s2 := k.neighbour(with)
	var other ensemble.Realization
	var both []float64
	for m := range k.a.members {
		s2.drawer.Realize(s2.key, &s2.seen, m, &other)
		both = append(both, other.Start.Bees+k.s.learned.Bees[m])
	}
	require.Equal(t, plan.RangeOf(both), k.Unite(with).BothBees)
}

// Uniting keeps the books: bees, brood, stores and pollen of both, nothing else of the weak.
func TestUnitingAdds(t *testing.T) {
	a := colony.InitialState{Bees: 3000, BroodCells: 500, StoresKg: 2, PollenG: 30, HeatShare: 1}
	b := colony.InitialState{Bees: 9000, BroodCells: 2500, StoresKg: 6, PollenG: 90, HeatShare: 0.8}
	require.Equal(t, colony.InitialState{Bees: 12000, BroodCells: 3000, StoresKg: 8, PollenG: 120, HeatShare: 0.8}, unite(a, b))
}

// A united colony with a heavier neighbour lives no less often, and the chances left alone
// and fed are those of the plan.
func TestUnitedChancesAgreeWithThePlan(t *testing.T) {
	k := opened(t, seasontest.OneHive(t, map[string]string{"heft": "light"}, nil), 200)
	before := -1.0
	for _, h := range []season.Heft{season.HeftLight, season.HeftFair, season.HeftHeavy} {
		u := k.Unite(Neighbour{Seams: 7, Heft: h})
		require.InDelta(t, 1-k.Plan.Risk.Frac, u.Unfed.Careful, 1e-9)
		require.InDelta(t, 1-k.Plan.Hungry.Risk.Frac, u.Unfed.Hungry, 1e-9)
		require.InDelta(t, 1-k.Plan.RiskFed.Frac, u.Fed.Careful, 0.05, "the plan's risk is of other members")
		require.GreaterOrEqual(t, u.Both.Careful, before)
		require.GreaterOrEqual(t, u.Both.Careful, u.Unfed.Careful)
		before = u.Both.Careful
	}
}
