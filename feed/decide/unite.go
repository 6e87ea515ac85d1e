package decide

import (
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
// are the neighbour's.
func (k *Case) Unite(with Neighbour) United {
	s2 := k.neighbour(with)
	n := min(mostHungry, k.a.members)
	out := United{Members: n, Bees: k.Plan.Bees, CoverBees: coldClusterBees, SpellDays: k.Plan.ColdSpell.P90}
	var given [][]colony.Feeding
	if len(k.Plan.Feedings) > 0 {
		given = k.w.givenTo(k.s, k.a, k.Plan)
	}
	var both, bees []float64
	var other ensemble.Realization
	live := func(at *float64, lives bool) {
		if lives {
			*at += 1 / float64(n)
		}
	}
	for m := range n {
		c := &k.a.cases[m]
		s2.drawer.Realize(s2.key, &s2.seen, m, &other)
		live(&out.Unfed.Careful, k.a.starve[m] < 0)
		live(&out.Unfed.Hungry, k.lives(c.Spring(), c.Start, nil, true))
		if given != nil {
			live(&out.Fed.Careful, k.lives(c.Spring(), c.Start, given[m], false))
			live(&out.Fed.Hungry, k.lives(c.Spring(), c.Start, given[m], true))
		}
		bees = append(bees, other.Start.Bees)
		live(&out.Neighbour.Careful, k.lives(other.Spring(), other.Start, nil, false))
		live(&out.Neighbour.Hungry, k.lives(other.Spring(), other.Start, nil, true))
		weak := c.Start
		weak.StoresKg, weak.Bees = k.s.seenKg(k.a)[m], k.s.seenBees(k.a)[m] // on the neighbour's day
		one := unite(weak, other.Start)
		both = append(both, one.Bees)
		live(&out.Both.Careful, k.lives(other.Spring(), one, nil, false))
		live(&out.Both.Hungry, k.lives(other.Spring(), one, nil, true))
	}
	out.BothBees, out.NeighbourBees = plan.RangeOf(both), plan.RangeOf(bees)
	return out
}

// unite is two colonies as one, in the neighbour's hive.
func unite(weak, neighbour colony.InitialState) colony.InitialState {
	one := neighbour
	one.Bees += weak.Bees
	one.BroodCells += weak.BroodCells
	one.StoresKg += weak.StoresKg
	one.PollenG += weak.PollenG
	return one
}

// lives tells whether a colony reaches nectar.
func (k *Case) lives(in colony.Spring, start colony.InitialState, given []colony.Feeding, hungry bool) bool {
	care := colony.Treatment{Feedings: given}
	if hungry {
		return k.w.runner.SimulateHungry(in, start, &care, 0, nil).StarveDay < 0
	}
	return k.w.runner.Run(in, start, &care, 0, nil).StarveDay < 0
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
