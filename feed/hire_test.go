package feed

import (
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
)

// TestRoomIsUsedAgain: workers go from season to season, and what they found before is neither changed
// by that nor changes what they find.
func TestRoomIsUsedAgain(t *testing.T) {
	light := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
	looked := func() (plan.Detail, *plan.Plan, *Planner) {
		pl, p := planOf(t, light, members(200))
		d, ok, err := p.Detail(t.Context(), &pl.Colonies[0])
		require.NoError(t, err)
		require.True(t, ok)
		return d, pl, p
	}
	first, pl, p := looked()
	asked := map[plan.Question]plan.Asked{}
	said := map[plan.Question]string{}
	for _, q := range plan.Questions() {
		if a, ok, err := p.Ask(t.Context(), &pl.Colonies[0], q, DefaultAskOptions()); err == nil && ok {
			asked[q], said[q] = a, fmt.Sprintf("%+v", a)
		}
	}
	require.Greater(t, len(asked), 8)
	_, other := planOf(t, season.Demo(), members(90))
	for i := range other.yards[0].plans {
		_, _, err := other.Detail(t.Context(), &other.yards[0].plans[i])
		require.NoError(t, err)
	}
	for q, a := range asked {
		require.Equal(t, said[q], fmt.Sprintf("%+v", a), "%s", q)
	}
	again, plAgain, _ := looked()
	require.Empty(t, cmp.Diff(first, again, cmpopts.EquateNaNs()))
	require.Empty(t, cmp.Diff(pl, plAgain, ignoring))
}

// TestNoPrices: a plan without the prices of other ways is the same in all else.
func TestNoPrices(t *testing.T) {
	whole, _ := planOf(t, season.Demo(), members(90))
	bare, _ := planOf(t, season.Demo(), func(o *Options) { o.Members, o.MostFactor, o.NoPrices = 90, 1, true })
	priced := 0
	for i := range whole.Colonies {
		require.Empty(t, bare.Colonies[i].Policy.Prices)
		priced += len(whole.Colonies[i].Policy.Prices)
		whole.Colonies[i].Policy.Prices = nil
	}
	require.Positive(t, priced)
	require.Empty(t, cmp.Diff(whole, bare, ignoring))
}

// TestSpringsOfFewYardsAreKept: a colony that was just planned is looked at in the same springs.
func TestSpringsOfFewYardsAreKept(t *testing.T) {
	pl, p := planOf(t, seasontest.OneHive(t, map[string]string{"heft": "light"}, nil), members(90))
	springs := p.yards[0].Springs
	require.NotNil(t, springs)
	_, _, err := p.Detail(t.Context(), &pl.Colonies[0])
	require.NoError(t, err)
	require.True(t, springs == p.yards[0].Springs)

	s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
	site, hive := s.Yards[0], s.Colonies[0]
	for i := range mostReopened {
		site.Name, hive.Yard = fmt.Sprint("yard ", i), fmt.Sprint("yard ", i)
		s.Yards, s.Colonies = append(s.Yards, site), append(s.Colonies, hive)
	}
	_, p = planOf(t, s, members(50))
	for _, y := range p.yards {
		require.True(t, y.Springs == nil, "of many yards they are dropped")
	}
}
