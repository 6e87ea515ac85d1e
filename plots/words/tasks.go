package words

import (
	"fmt"
	"math"
	"strconv"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
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
	case plan.CleanTools:
		return "disease here: come last; before you leave, scrape hive tools clean and scorch or wash them, change or wash gloves, and take no comb, feeder or food to " +
			"another yard", true
	case plan.DustRound:
		what := fmt.Sprintf("dusting round %d of %d", x.Round, x.Of)
		if !x.MovedFrom.IsZero() {
			what += fmt.Sprintf(" (the visit of %s moved to it)", u.ShortDay(x.MovedFrom))
		}
		if x.PowderG > 0 {
			what += fmt.Sprintf(": %s a colony, the amount in your settings, at most %s for %s", grams(x.PowderG), grams(x.PowderG*float64(x.Colonies)),
				living(x.Colonies))
		}
		return what + ", as prescription and label say: never on open brood, never where there are signs of foulbrood", true
	case plan.CloseFeeders:
		return "close or lift off open feeders before dusting: no powder in the feed", true
	case plan.NoAcidUntil:
		return fmt.Sprintf("no fumigant acid until after the last round, %s: it cakes the powder", u.ShortDay(x.LastRound)), true
	case plan.AskWait:
		return "no honey supers until the waiting time on the prescription is over: ask the veterinarian for it, and give the days before supers in the " +
			"settings", true
	case plan.NoSupersBefore:
		return fmt.Sprintf("no honey supers before %s, %d days after the last round, or as the prescription says", u.ShortDay(x.On), x.WaitDays), true
	case plan.KeepWraps:
		text := "keep the wraps on: nights still fall to about " + u.Temp(x.NightC)
		if x.CostKg > 0 {
			text += ", and off now they cost a hive about " + u.Mass(x.CostKg) + " more"
		}
		return text, true
	case plan.WrapsOff:
		if x.UnderKg > 0 {
			return fmt.Sprintf("the wraps may come off: from here on they save under %s, nights of about %s", u.Mass(x.UnderKg), u.Temp(x.NightC)), true
		}
		return "the wraps may come off: nights of about " + u.Temp(x.NightC), true
	case plan.WrapHive:
		return "wrap it and leave the upper entrance or vent open: a bare hive eats more", true
	case plan.GiveSolid:
		return u.Mass(x.SolidKg) + " of solid sugar over the cluster" + u.line(x.If), true
	case plan.GiveSyrup:
		return fmt.Sprintf("%s of %s syrup, %s%s", u.Volume(x.SyrupL), x.Strength, Feeder(x.Feeder), u.line(x.If)), true
	case plan.WeighHive:
		return "weigh it: that may change the answer", true
	case plan.HeftAgain:
		return "heft it again", true
	case plan.Look:
		return "look and heft", true
	}
	return "", false
}

// line says on what a feeding hangs, after a comma; "" for one that is given whatever
// the hive reads.
func (u Style) line(l plan.FeedLine) string {
	switch {
	case l.UnderKg <= 0 && l.NeededFrac > 0:
		return ", only if no nectar has come"
	case l.UnderKg <= 0:
		return ""
	}
	return ", only if " + u.Under(l.UnderKg, l.UnderGrossKg, l.UnderHeft)
}

// Under says how little food a hive is judged to hold when it is fed: "it holds
// under 5.5 kg (hefts light; under 25 kg on a scale)".
func (u Style) Under(underKg, grossKg float64, heft season.Heft) string {
	as := "hefts " + heft.String() + " or less"
	switch heft {
	case 0:
		as = "hefts lighter than light"
	case season.HeftLight:
		as = "hefts light"
	}
	if !math.IsNaN(grossKg) {
		as += "; under " + u.Mass(grossKg) + " on a scale"
	}
	return fmt.Sprintf("it holds under %s (%s)", u.Mass(underKg), as)
}

// grams are those of a prescription, which are written in grams in either units.
func grams(g float64) string { return strconv.FormatFloat(math.Round(g*100)/100, 'f', -1, 64) + " g" }

func living(n int) string { return Count(n, "living colony", "living colonies") }
