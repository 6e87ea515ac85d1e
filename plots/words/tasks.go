package words

import (
	"fmt"

	"bloomgap/feed/plan"
)

// task renders a thing to do on a visit as a phrase without a full stop.
func task(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.SeeDead:
		by := ""
		if !x.By.IsZero() {
			by = fmt.Sprintf(" by %s, as bees fly and rob from about then", day(x.By))
		}
		return "dead: close it and clear it away" + by + "; look for foulbrood before any comb is used again", true
	case plan.DustRound:
		what := fmt.Sprintf("dusting round %d of %d", x.Round, x.Of)
		if !x.MovedFrom.IsZero() {
			what += fmt.Sprintf(" (visit of %s moved to it)", day(x.MovedFrom))
		}
		return what + ": dust the preventive powder as the veterinary prescription and the label say", true
	case plan.CloseFeeders:
		return "close or lift off open feeders before dusting: no powder in the feed", true
	case plan.NoAcidUntil:
		return fmt.Sprintf("no fumigant acid until after the last round, %s: it cakes the powder", day(x.LastRound)), true
	case plan.AcidAfterRound:
		return "a fumigant acid waits until this last round is over: it cakes the powder", true
	case plan.NoSupersBefore:
		return fmt.Sprintf("no honey supers before %s, %d days after the last round, or as the prescription says", day(x.On), x.WaitDays), true
	case plan.KeepWraps:
		return "keep the wraps on: nights fall to about " + u.about(x.NightC), true
	case plan.WrapsOff:
		return "the wraps may come off: nights of about " + u.about(x.NightC), true
	case plan.WrapHive:
		return "wrap it, a bare hive eats more", true
	case plan.GiveSolid:
		return u.kg(x.SolidKg) + " solid feed over the cluster" + late(x.OnlyIfNoNectar), true
	case plan.GiveSyrup:
		return fmt.Sprintf("%s syrup %s, %s%s", u.litres(x.SyrupL), x.Strength, Feeder(x.Feeder), late(x.OnlyIfNoNectar)), true
	case plan.WeighHive:
		return "weigh it: a scale may change the answer", true
	case plan.HeftAgain:
		return "heft it again", true
	case plan.Look:
		return "look and heft", true
	}
	return "", false
}

func late(onlyIfNoNectar bool) string {
	if onlyIfNoNectar {
		return ", only if nectar has not come"
	}
	return ""
}
