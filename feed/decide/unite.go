package decide

import (
	"math"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// Neighbour is a colony of the same yard that another may be united with, as it would be
// found on the day that one was.
type Neighbour struct {
	Seams float64
	Heft  season.Heft
	Named *season.Colony // the colony itself, by its last look, in place of the two; nil for none
}

// Chances are how often a colony reaches nectar, in the careful reading and in that of a
// hungry colony that cuts its brood, 0..1.
type Chances struct{ Careful, Hungry float64 }

// United sets a colony beside the same one united with a neighbour.
type United struct {
	Members              int
	Unfed, Fed           Chances // fed by the plan; zero without one
	Neighbour, Both      Chances // the neighbour by itself and the two as one, not fed
	Bees, BothBees       plan.Range
	NeighbourBees        plan.Range
	CoverBees, SpellDays float64 // of a cluster that cold may decide for, and the spell ahead
}

// Unite works out what becomes of a colony unfed, fed and united, on the same draws.
// Uniting adds bees, brood, stores and pollen; the queen and what is peculiar to a colony
// are the neighbour's. The chances by itself are those of the plan; what the neighbour may
// hold is not drawn (see odds), and what cutting the brood changes is told by each
// member against itself.
func (k *Case) Unite(with Neighbour) United {
	s2 := k.neighbour(with)
	held := s2.seen.Held()
	n := min(mostUnited, k.a.members)
	out := United{Members: n, Bees: k.Plan.Bees, CoverBees: coldClusterBees, SpellDays: k.Plan.ColdSpell.P90}
	out.Unfed = Chances{1 - k.Plan.Risk.Frac, 1 - k.Plan.Risk.Frac}
	if k.Plan.Hungry.Members > 0 {
		out.Unfed.Hungry = 1 - k.Plan.Hungry.Risk.Frac
	}
	var given [][]colony.Feeding
	if len(k.Plan.Feedings) > 0 {
		given = k.w.givenTo(k.s, k.a, k.Plan)
		out.Fed = Chances{1 - k.Plan.RiskFed.Frac, 1 - k.Plan.RiskFed.Frac}
	}
	var both, bees []float64
	var other ensemble.Realization
	add := func(to *float64, frac float64) { *to += frac / float64(n) }
	gain := func(in colony.Spring, start colony.InitialState, given []colony.Feeding) float64 {
		return k.lives(in, start, given, true) - k.lives(in, start, given, false)
	}
	for m := range n {
		k.w.step()
		c := &k.a.cases[m]
		s2.drawer.Realize(s2.key, &s2.seen, m, &other)
		if given != nil {
			add(&out.Fed.Hungry, gain(c.Spring(), c.Start, given[m]))
		}
		bees = append(bees, other.Start.Bees)
		add(&out.Neighbour.Careful, 1-held.Under(k.leastKg(other.Spring(), other.Start)))
		add(&out.Neighbour.Hungry, gain(other.Spring(), other.Start, nil))
		weak := c.Start
		weak.StoresKg, weak.Bees = k.s.seenKg(k.a)[m], k.s.seenBees(k.a)[m] // on the neighbour's day
		one := unite(weak, other.Start)
		both = append(both, one.Bees)
		add(&out.Both.Careful, 1-held.Under(k.leastKg(other.Spring(), one)-weak.StoresKg))
		add(&out.Both.Hungry, gain(other.Spring(), one, nil))
	}
	out.Neighbour.Hungry += out.Neighbour.Careful
	out.Both.Hungry += out.Both.Careful
	for _, c := range []*Chances{&out.Fed, &out.Neighbour, &out.Both} {
		c.Hungry = math.Max(0, math.Min(1, c.Hungry))
	}
	out.BothBees, out.NeighbourBees = plan.RangeOf(both), plan.RangeOf(bees)
	return out
}

// mostUnited are the members that uniting is weighed on, 100-1000, own judgement: a
// chance is then good to 2 %.
const mostUnited = 300

// unite is two colonies as one, in the neighbour's hive.
func unite(weak, neighbour colony.InitialState) colony.InitialState {
	one := neighbour
	one.Bees += weak.Bees
	one.BroodCells += weak.BroodCells
	one.StoresKg += weak.StoresKg
	one.PollenG += weak.PollenG
	return one
}

// lives is 1 for a colony that reaches nectar and 0 for another.
func (k *Case) lives(in colony.Spring, start colony.InitialState, given []colony.Feeding, hungry bool) float64 {
	care, day := colony.Treatment{Feedings: given}, 0
	if hungry {
		day = k.w.runner.SimulateHungry(in, start, &care, 0, nil).StarveDay
	} else {
		day = k.w.runner.Run(in, start, &care, 0, nil).StarveDay
	}
	if day < 0 {
		return 1
	}
	return 0
}

// leastKg is the least stores with which the same colony reaches nectar unfed.
func (k *Case) leastKg(in colony.Spring, start colony.InitialState) float64 {
	return start.StoresKg + k.w.runner.Run(in, start, &colony.Treatment{}, 0, nil).ShortKg
}

// neighbour is a hive of the same yard, seen on the day that this one was: one of the same
// boxes, or a named one with what its own last look showed.
func (k *Case) neighbour(with Neighbour) *subject {
	out := *k.s
	obs := *k.s.obs
	if with.Named != nil {
		obs = *with.Named.Last()
		obs.Date = k.s.obs.Date
		out.col, out.hive = with.Named, with.Named.Hive(k.s.y.Site.Tares, k.s.hive.Masses)
		out.hive.Hand = k.s.hive.Hand
	} else {
		obs.Food = season.Food{Kind: season.FoodHeft, Heft: with.Heft}
		obs.SeamsOfBees, obs.Also = with.Seams, nil
	}
	look := obs.Look(k.s.y.Outlook.Day(obs.Date))
	out.learned, out.looks, out.fed, out.obs = nil, nil, nil, &obs
	out.seen = out.hive.Start(&look)
	out.key = ensemble.KeyOf("neighbour", k.Plan.Yard, k.Plan.Colony)
	return &out
}
