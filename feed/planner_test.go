package feed

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
)

// TestDefaultOptionsByHand: how many members, and whether a supplement is weighed up.
func TestDefaultOptionsByHand(t *testing.T) {
	for _, c := range []struct {
		springs, draws int
		considered     bool
		wanted         bool
		members        int
		protein        bool
	}{{30, 10, true, false, 300, true}, {30, 10, false, false, 300, false}, {30, 10, false, true, 300, true}, {10, 3, true, true, 50, true}, {0, 2, true, false, 2 * season.DefaultSettings().Springs, true}} {
		s := season.DefaultSettings()
		s.Springs, s.Draws, s.ProteinConsidered = c.springs, c.draws, c.considered
		if c.wanted {
			s.BeesWantedDate = time.Date(2027, time.May, 1, 0, 0, 0, 0, time.UTC)
		}
		o := DefaultOptions(s)
		require.Equal(t, max(50, c.members), o.Members, "%+v", c)
		require.Equal(t, c.protein, o.Protein, "%+v", c)
		require.NoError(t, o.Validate())
	}
	o := DefaultOptions(season.DefaultSettings())
	for want, bad := range map[string]func(*Options){
		"not 49": func(o *Options) { o.Members = 49 }, "not 100001": func(o *Options) { o.Members = 100001 },
		"not 0": func(o *Options) { o.MostFactor = 0 }, "not 17": func(o *Options) { o.MostFactor = 17 }, "got -1": func(o *Options) { o.Workers = -1 },
	} {
		x := o
		bad(&x)
		require.ErrorContains(t, x.Validate(), want)
	}
}

// TestYardsAreClosed: a yard of many colonies is worked on in parts, by one worker or more, and
// done after the last; its plans are all there.
func TestYardsAreClosed(t *testing.T) {
	for _, n := range []int{1, 8, 9, 20} {
		s := season.Demo()
		s.Yards = s.Yards[:1]
		proto := *s.ColoniesOf(s.Yards[0].Name)[0]
		s.Colonies = nil
		for i := range n {
			c := proto
			c.Name = fmt.Sprintf("N%02d", i)
			s.Colonies = append(s.Colonies, c)
		}
		s.Given = nil
		for _, workers := range []int{1, 3} {
			worlds, ps := visits.Worlds(s, nil)
			require.NoError(t, ps.Err())
			opt := DefaultOptions(s.Settings)
			opt.Members, opt.MostFactor, opt.Workers, opt.Protein = 50, 1, workers, false
			told := 0
			opt.Progress = func(done, all int) {
				require.Equal(t, n, all)
				require.LessOrEqual(t, done, all)
				if workers == 1 {
					told++
					require.Equal(t, told, done)
				}
			}
			p, err := NewPlanner(s, worlds, opt)
			require.NoError(t, err)
			pl, err := p.Run(t.Context())
			require.NoError(t, err)
			require.Len(t, pl.Colonies, n)
			seen := map[string]bool{}
			for i := range pl.Colonies {
				seen[pl.Colonies[i].Colony] = true
				require.NotZero(t, pl.Colonies[i].Members)
			}
			require.Len(t, seen, n)
			require.Len(t, p.reopened, 1, "its springs are kept once")
			_, _, err = p.Detail(t.Context(), &plan.ColonyPlan{Yard: s.Yards[0].Name, Colony: "nobody"})
			require.ErrorContains(t, err, "nobody")
		}
	}
}

// TestCautionsOfTheSeason: figures of the model that the settings change are named with what they
// usually are, and dusting has its own.
func TestCautionsOfTheSeason(t *testing.T) {
	s := season.Demo()
	s.Settings.Parameters = []season.Parameter{{Name: "bee_mass_g", Value: 0.12}}
	p := &Planner{season: s}
	notes := p.ownCautions()
	require.Len(t, notes, 1)
	changed, ok := notes[0].(plan.ModelChanged)
	require.True(t, ok)
	require.Len(t, changed.Parameters, 1)
	require.Equal(t, "bee_mass_g", changed.Parameters[0].Name)
	require.Equal(t, 0.12, changed.Parameters[0].Value)
	require.NotEqual(t, 0.12, changed.Parameters[0].Usual)
	s.Settings.Parameters = nil
	require.Empty(t, p.ownCautions())
}
