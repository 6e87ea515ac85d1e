package decide

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/sim/colony"
)

// TestPlansArePutTogetherByHand: what a plan says of its feeder, syrup, sums and supplement is
// worked out again from the parts, for each colony of the example.
func TestPlansArePutTogetherByHand(t *testing.T) {
	seen := map[string]int{}
	for _, accept := range []float64{0.05, 0.6} {
		putTogether(t, accept, seen)
	}
	for _, what := range []string{"syrup", "supplement", "fed beside"} {
		require.Positive(t, seen[what], what)
	}
}

func putTogether(t *testing.T, accept float64, seen map[string]int) {
	t.Helper()
	example := season.Demo()
	example.Settings.AcceptRiskFrac = accept
	d := Open(t, example, 60, 60)
	d.options.Supplement = true
	for _, y := range d.yards { // opened again, with the timing of a supplement
		again, err := NewYard(y.Yard, &d.options, y.drawsOf(t, d))
		require.NoError(t, err)
		*y = *again
	}
	set := &d.options.Season.Settings
	for _, name := range []string{"Alder Bottom", "Church Field", "Quarry Road", "Windmill Rise"} {
		y := d.yards[name]
		for _, col := range y.Colonies {
			w := NewWorker(&d.options)
			made, err := w.Decide(t.Context(), y, col)
			require.NoError(t, err)
			p := &made.Plan
			if p.Members == 0 {
				continue
			}
			own := NewWorker(&d.options)
			s := own.subject(y, col)
			a, s, _ := own.leftAlone(s)
			need, first := own.required(s, a)
			start := min(first.risk, first.reserve, len(y.Visits)-1)
			syrup := slices.ContainsFunc(p.Feedings, func(f plan.Feeding) bool { return f.SyrupL > 0 })
			switch {
			case p.Verdict != plan.Feed:
				require.Empty(t, p.Feedings)
				require.Zero(t, p.Unwrap.FedOn)
			case syrup:
				way, choice := choose(y, need, start, d.options.Season)
				require.Equal(t, choice, p.Choice)
				require.Equal(t, chosenStrength(set, way, p.Bees.P50, y.firstSyrup(start)), p.Strength)
				seen["syrup"]++
			default:
				require.Equal(t, solidChoice(y, d.options.Season), p.Choice)
				seen["solid only"]++
			}
			if p.Verdict == plan.Feed {
				require.InDelta(t, p.SyrupL*p.Strength.SugarKgPerL(), p.SyrupSugarKg, 1e-9)
				require.GreaterOrEqual(t, p.Policy.AtATime, 1)
				require.InDelta(t, p.Policy.Given.SugarKg, p.SyrupSugarKg+p.SolidKg, 1e-6, "what is given on average")
				require.NotZero(t, p.Unwrap.FedOn.ErrFrac)
			}
			supplemented(t, y, s, a, p, own, seen)
		}
	}
}

// supplemented works out again what a supplement changes for a colony left alone, and beside feed.
func supplemented(t *testing.T, y *Yard, s *subject, a *grown, p *plan.ColonyPlan, own *Worker, seen map[string]int) {
	t.Helper()
	n, q := 60, &p.Supplement
	wanted := !y.Season.Settings.BeesWantedDate.IsZero()
	few := own.o.paired(mostSupplemented)
	if wanted {
		few = own.o.paired(mostWanted)
	}
	require.True(t, q.Considered)
	require.Equal(t, y.Outlook.Date(y.timing.day), q.From)
	require.Equal(t, y.Outlook.Date(y.timing.day+y.timing.emergeDays), q.Emerge)
	require.Equal(t, y.Outlook.Date(y.timing.day+y.timing.forageDays), q.Forage)
	care := &colony.Treatment{Supplement: true, SupplementFrom: y.timing.day - s.first}
	held := s.seen.Held()
	var bloom, more, short, grams, change []float64
	for m := range n {
		c := &a.cases[m]
		var run colony.Runner
		bare := run.Run(c.Spring(), c.Start, &colony.Treatment{}, s.reserveKg, nil)
		with := run.Run(c.Spring(), c.Start, care, s.reserveKg, nil)
		if q.Advised || m < few { // what is eaten is ordered: of all members
			grams = append(grams, with.SupplementG)
		}
		if m >= few {
			continue
		}
		if s.learned != nil {
			change = append(change, ones([]bool{with.StarveDay >= 0})[0]-ones([]bool{bare.StarveDay >= 0})[0])
		} else {
			change = append(change, held.Under(c.Start.StoresKg+with.ShortKg)-held.Under(c.Start.StoresKg+bare.ShortKg))
		}
		bloom = append(bloom, with.BloomBees)
		gain := with.BloomBees - bare.BloomBees
		if wanted {
			gain = with.ReadBees - bare.ReadBees
		}
		more, short = append(more, gain), append(short, with.ShortKg-bare.ShortKg)
	}
	require.InDelta(t, changed(p.Risk, change).Frac, q.Risk.Frac, 1e-9)
	require.InDelta(t, changed(p.Risk, change).ErrFrac, q.Risk.ErrFrac, 1e-9)
	require.Equal(t, plan.RangeOf(bloom), q.BloomBees)
	require.Equal(t, plan.RangeOf(more), q.GainBees)
	require.InDelta(t, math.Max(0, schedule.Quantile(short, 0.5)), q.ExtraKg, 1e-9)
	beside := p.Verdict != plan.Feed && q.Risk.Frac > y.Season.Settings.AcceptRiskFrac
	require.InDelta(t, q.ExtraKg/strengthOr(p).StoresKgPerL(), q.ExtraSyrupL, 1e-9, "of the syrup that is mixed for it")
	require.InDelta(t, plan.RangeOf(grams).P50/1000, q.SupplementKg, 1e-12)
	seen["supplement"]++
	if !beside {
		return
	}
	// It is fed with the supplement only: its lines are found for colonies with it.
	seen["fed beside"]++
	require.NotEmpty(t, q.Feedings)
	require.Less(t, q.RiskFed.Frac, q.Risk.Frac)
	b := &own.supplemented
	b.members, b.cases = n, a.cases[:n]
	b.resize(n, len(y.Visits)+1, len(y.Weeks))
	own.grow(b, care, 0, n)
	again := *p
	again.Feedings, again.Choice.Feeder, again.Policy = q.Feedings, q.Feeder, plan.Policy{AtATime: 1, Blocks: 1}
	on := own.tryPlan(s, b, &again)
	require.GreaterOrEqual(t, q.RiskFed.Frac, float64(on.on.Starved)/float64(n)-1e-12, "its lines look better on the members that they are drawn through")
}
