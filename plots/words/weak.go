package words

import (
	"fmt"

	"bloomgap/feed/plan"
)

// weak renders what is answered of weak and of dead colonies.
func weak(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.UniteNot:
		return fmt.Sprintf("No: about %s bees are enough to stand alone (too weak is under %s).", hundreds(x.Bees), hundreds(x.WeakBees)), true
	case plan.UniteFeed:
		return fmt.Sprintf("Save it where it stands: about %s bees are few (under %s), but hunger and not cold decides, and feed helps.", hundreds(x.Bees),
			hundreds(x.WeakBees)), true
	case plan.UniteDo:
		return fmt.Sprintf("Unite it, if both are known to be healthy: about %s bees (under %s) come to %s with %s.", hundreds(x.Bees),
			hundreds(x.WeakBees), hundreds(x.BothBees), neighbour(x.With)), true
	case plan.UniteLose:
		return fmt.Sprintf("Accept the loss: with about %s bees it does not stand alone, and united the two reach nectar in %s of springs, %s alone "+
			"in %s.", hundreds(x.Bees), Share(x.BothFrac), neighbour(x.With), Share(x.NeighbourFrac)), true
	case plan.UniteChances:
		return uniteChances(&x), true
	case plan.UniteCold:
		return fmt.Sprintf("Why: under about %s bees, with up to %.0f days in a row without flight ahead (1 spring in 10), cold can kill beside full combs; these "+
			"chances count hunger only, and feed does not help against cold.", hundreds(x.UnderBees), x.SpellDays), true
	case plan.UniteHunger:
		if x.Bees < x.UnderBees {
			return "Why: no long cold spell is ahead, so hunger decides. See that food touches the cluster and the hive is closed down to what they cover.", true
		}
		return fmt.Sprintf("Why: from about %s bees on hunger decides and not cold.", hundreds(x.UnderBees)), true
	case plan.UniteCare:
		return "Look both through first: unite only healthy ones, on a mild day. Signs of foulbrood: call the bee inspector and move nothing.", true
	}
	return deadOnes(u, n)
}

func uniteChances(x *plan.UniteChances) string {
	pair := func(careful, hungry float64) string { return fmt.Sprintf("%s (%s)", Share(careful), Share(hungry)) }
	text := "Chance to reach nectar (in brackets if it cuts its brood): unfed " + pair(x.Unfed, x.UnfedHungry)
	if x.Feeds {
		text += ", fed " + pair(x.Fed, x.FedHungry)
	}
	if x.With != "" {
		return text + fmt.Sprintf(", united with %s %s; that one alone %s.", neighbour(x.With), pair(x.Both, x.BothHungry), Share(x.Neighbour))
	}
	return text + fmt.Sprintf(", united with %s seams that heft %s %s; these alone %s.", short(x.Seams), x.Heft, pair(x.Both, x.BothHungry), Share(x.Neighbour))
}

// neighbour is what a colony would be united with.
func neighbour(name string) string {
	if name == "" {
		return "the neighbour"
	}
	return "colony " + Clean(name)
}

// deadOnes renders what is answered of dead colonies.
func deadOnes(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.DeadWait:
		if x.FlyBy.IsZero() {
			return "Not in the cold: still bees may be chilled, not dead. Look on a mild day, when bees of other hives fly.", true
		}
		return fmt.Sprintf("Not in the cold: still bees may be chilled. Look on a mild day; bees mostly fly by %s.", u.Day(x.FlyBy)), true
	case plan.DeadCheck:
		return "Knock and listen; look for dead bees carried out. A handful of still bees taken indoors moves again if it is only chilled.", true
	case plan.DeadOrder:
		by := " before bees fly and rob"
		if !x.FlyBy.IsZero() {
			by = " by " + u.Day(x.FlyBy)
		}
		return "If it is dead: close it" + by + "; inspect it for foulbrood; then clear it, freeze sound frames and store them bee-tight.", true
	case plan.DeadReport:
		return "Any suspicion of foulbrood: move nothing and call the bee inspector; local law rules.", true
	case plan.DeadGear:
		return fmt.Sprintf("Freed: %s; its food, %s, is no feed until inspected.", Count(x.Boxes, "box", "boxes"), u.MassRange(x.StoresKg)), true
	case plan.Losses:
		return LossLine(&x), true
	}
	return "", false
}

// LossLine is the losses of a yard as a share with its range.
func LossLine(x *plan.Losses) string {
	return fmt.Sprintf("Lost: %d of %d, %s (exact 95 %% range %s to %s).", x.Lost, x.Of, Share(x.Frac), Share(x.LeastFrac), Share(x.MostFrac))
}
