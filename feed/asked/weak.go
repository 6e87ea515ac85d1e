package asked

import (
	"math"

	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
)

// harmFrac is the share of springs that uniting may cost the neighbour and still be worth
// it, 0.02-0.1, own judgement: about the risk that is accepted of a colony.
const harmFrac = 0.05

// unite says whether a weak colony is fed, united or given up, with the chances of each.
// A colony under plan.FewestBees, or a small one with a cold spell ahead, is one that cold
// decides for: feeding does not help it, a larger cluster does.
func unite(k *decide.Case, opt Options) []plan.Note {
	c := k.Plan
	u := k.Unite(opt.Neighbour)
	bees := c.Bees.P50
	name := ""
	if opt.Neighbour.Named != nil {
		name = opt.Neighbour.Named.Name
	}
	cold := bees < plan.FewestBees || bees < u.CoverBees && u.SpellDays >= decide.ColdClusterDays
	var says []plan.Note
	switch {
	case bees >= opt.WeakBees:
		says = append(says, plan.UniteNot{Bees: bees, WeakBees: opt.WeakBees})
	case !cold:
		says = append(says, plan.UniteFeed{Bees: bees, WeakBees: opt.WeakBees})
	case u.Both.Careful >= u.Neighbour.Careful-harmFrac:
		says = append(says, plan.UniteDo{Bees: bees, WeakBees: opt.WeakBees, BothBees: u.BothBees.P50, With: name})
	default:
		says = append(says, plan.UniteLose{Bees: bees, WeakBees: opt.WeakBees, BothFrac: u.Both.Careful, NeighbourFrac: u.Neighbour.Careful,
			With: name})
	}
	says = append(says, plan.UniteChances{Unfed: u.Unfed.Careful, UnfedHungry: u.Unfed.Hungry, Fed: u.Fed.Careful, FedHungry: u.Fed.Hungry,
		Both: u.Both.Careful, BothHungry: u.Both.Hungry, Neighbour: u.Neighbour.Careful, Seams: opt.Neighbour.Seams, Heft: opt.Neighbour.Heft,
		Feeds: len(c.Feedings) > 0, With: name})
	if cold {
		says = append(says, plan.UniteCold{Bees: bees, UnderBees: u.CoverBees, SpellDays: u.SpellDays})
	} else {
		says = append(says, plan.UniteHunger{Bees: bees, UnderBees: u.CoverBees})
		if lack := k.LackKg(mostFrac); lack > 0 {
			says = append(says, plan.HoneyFrames{LackKg: lack, Frames: framesOf(lack)})
		}
	}
	return append(says, plan.UniteCare{})
}

// dead says what to look for before a hive is called dead, what is done with it then, and
// what share of a yard is lost.
func dead(k *decide.Case, opt Options) []plan.Note {
	c := k.Plan
	fly := k.Yard().Flying()
	boxes := 0
	for _, b := range c.Boxes {
		boxes += b.Count
	}
	starved := math.NaN()
	if len(c.RiskByWeek) > 0 {
		starved = c.RiskByWeek[0]
	}
	says := []plan.Note{plan.DeadWait{FlyBy: fly, StarvedFrac: starved}, plan.DeadCheck{}, plan.DeadOrder{FlyBy: fly}, plan.DeadReport{},
		plan.DeadGear{Boxes: boxes, StoresKg: c.StoresKg}}
	if opt.Of > 0 {
		says = append(says, plan.LossesOf(opt.Lost, opt.Of))
	}
	return says
}
