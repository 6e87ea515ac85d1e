package decide

import (
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/observe"
)

// What tests of whole plans compare with.
const (
	WorthSyrupL  = worthSyrupL
	WorthSolidKg = worthSolidKg
	RareFrac     = rareFrac
)

// HoldsL is what the usual feeder of a kind holds.
func HoldsL(f plan.Feeder) float64 { return wayOf(f).holdsL }

// Decided is a season whose yards are open, with the plans of its colonies.
type Decided struct {
	options Options
	yards   map[string]*Yard
	Plans   []plan.ColonyPlan
}

// Open opens the yards of a season on its built-in climates, with the draws of its
// plan.
func Open(t testing.TB, s *season.Season, members, most int) *Decided {
	t.Helper()
	return openWith(t, s, members, most, colony.DefaultParams())
}

// openWith is Open with figures of the colony model that need not be the usual ones.
func openWith(t testing.TB, s *season.Season, members, most int, base colony.Params) *Decided {
	t.Helper()
	d := &Decided{yards: map[string]*Yard{}, options: Options{Season: s, Base: base, Members: members, MostMembers: most,
		Hand: LearnHand(s, observe.MassesOf(&base))}}
	draws := ensemble.NewSharedDraws(base, 2*most, s.Settings.Seed, false)
	worlds, ps := visits.Worlds(s, nil)
	require.NoError(t, ps.Err())
	colonies := s.ByYard()
	for i := range s.Yards {
		site := &s.Yards[i]
		v, err := visits.Open(s, site, colonies[site.Name], worlds[site.Name], visits.Options{Draws: draws, Base: &base, Members: members})
		require.NoError(t, err)
		d.yards[site.Name], err = NewYard(v, &d.options, draws)
		require.NoError(t, err)
	}
	return d
}

// besideSupplement decides on the one colony of a season with a supplement weighed up.
func besideSupplement(t testing.TB, s *season.Season, members, most int) (*Decided, *Yard, Decision) {
	t.Helper()
	d := Open(t, s, members, most)
	d.options.Supplement = true
	require.Len(t, d.yards, 1)
	var y *Yard
	for _, open := range d.yards {
		var err error
		y, err = NewYard(open.Yard, &d.options, open.drawsOf(t, d))
		require.NoError(t, err)
	}
	made, err := NewWorker(&d.options).Decide(t.Context(), y, y.Colonies[0])
	require.NoError(t, err)
	return d, y, made
}

// decideAll opens the yards of a season and decides on all its colonies.
func decideAll(t testing.TB, s *season.Season, members, most int) *Decided {
	t.Helper()
	d := Open(t, s, members, most)
	w := NewWorker(&d.options)
	for _, y := range d.yards {
		for _, c := range y.Colonies {
			of, err := w.Decide(t.Context(), y, c)
			require.NoError(t, err)
			d.Plans = append(d.Plans, of.Plan)
		}
	}
	return d
}

// demo decides on the example with the members of its settings.
func demo(t testing.TB) *Decided {
	s := season.Demo()
	return decideAll(t, s, s.Settings.Springs*s.Settings.Draws, EnoughMembers)
}

// subject finds a planned colony again, ready to run.
func (d *Decided) subject(t testing.TB, c *plan.ColonyPlan) (*Yard, *subject, *Worker) {
	t.Helper()
	y := d.yards[c.Yard]
	for _, col := range y.Colonies {
		if col.Name == c.Colony {
			w := NewWorker(&d.options)
			return y, w.subject(y, col), w
		}
	}
	t.Fatalf("no colony %s in %s", c.Colony, c.Yard)
	return nil, nil, nil
}

// Truth is what a hive really is in a spring: what it holds, and the error of the
// hand that judged it, in its standard deviations.
type Truth struct {
	Member        int // of the draws
	StoresKg, Err float64
}

// Lived is what a colony that is fed by its plan is given, by visit, then truth. The key is
// that of what is read at the visits to come.
func (d *Decided) Lived(t testing.TB, c *plan.ColonyPlan, key uint64, truths []Truth) [][]schedule.Lot {
	_, s, w := d.subject(t, c)
	cases, demand := make([]ensemble.Realization, len(truths)), make([]colony.DailyDemand, len(truths))
	members := make([]schedule.Member, len(truths))
	for i, is := range truths {
		seen, x := s.seen, &cases[i]
		seen.StoresKg, seen.StoresSDKg = is.StoresKg, 0
		s.drawer.Realize(ensemble.KeyOf("truth", c.Colony), &seen, is.Member, x)
		w.runner.SimulatePopulation(x.Spring(), x.Start, &colony.Treatment{}, &demand[i], nil)
		members[i] = schedule.Member{Spring: x.Spring(), Demand: &demand[i], StartKg: x.Start.StoresKg, Hand: is.Err}
	}
	var on tried
	w.engine.Prepare(&on.set, key, members, w.termsOf(s, c))
	w.engine.Judge(&on.set, s.policyOf(c.Feedings), &on.on)
	return on.on.Lots
}

// drawsOf are the draws of its plan.
func (y *Yard) drawsOf(t testing.TB, d *Decided) *ensemble.SharedDraws {
	t.Helper()
	return ensemble.NewSharedDraws(d.options.Base, 2*d.options.MostMembers, d.options.Season.Settings.Seed, false)
}
