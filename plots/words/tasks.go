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
			by = fmt.Sprintf(" by %s, when bees start to fly and rob", u.ShortDay(x.By))
		}
		return "dead: close it" + by + "; inspect it for foulbrood, then clear it away", true
	case plan.DustRound:
		what := fmt.Sprintf("dusting round %d of %d", x.Round, x.Of)
		if !x.MovedFrom.IsZero() {
			what += fmt.Sprintf(" (the visit of %s moved to it)", u.ShortDay(x.MovedFrom))
		}
		return what + ", as prescription and label say: never on open brood, never where there are signs of foulbrood", true
	case plan.CloseFeeders:
		return "close or lift off open feeders before dusting: no powder in the feed", true
	case plan.NoAcidUntil:
		return fmt.Sprintf("no fumigant acid until after the last round, %s: it cakes the powder", u.ShortDay(x.LastRound)), true
	case plan.AskWait:
		return "no honey supers until the waiting time on the prescription is over: ask the veterinarian for it, and give the days before supers in the settings", true
	case plan.NoSupersBefore:
		return fmt.Sprintf("no honey supers before %s, %d days after the last round, or as the prescription says", u.ShortDay(x.On), x.WaitDays), true
	case plan.KeepWraps:
		return "keep the wraps on: nights still fall to about " + u.Temp(x.NightC), true
	case plan.WrapsOff:
		return "the wraps may come off: nights of about " + u.Temp(x.NightC), true
	case plan.WrapHive:
		return "wrap it and leave the upper entrance or vent open: a bare hive eats more", true
	case plan.GiveSolid:
		return u.Mass(x.SolidKg) + " of solid sugar over the cluster" + late(x.OnlyIfNoNectar), true
	case plan.GiveSyrup:
		return fmt.Sprintf("%s of %s syrup, %s%s", u.Volume(x.SyrupL), x.Strength, Feeder(x.Feeder), late(x.OnlyIfNoNectar)), true
	case plan.WeighHive:
		return "weigh it: that may change the answer", true
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
