package words

import (
	"fmt"
	"math"
	"strings"

	"bloomgap/feed/plan"
	"bloomgap/feed/syrup"
)

// QuestionTitle is a question as a caller asks it.
func QuestionTitle(q plan.Question) string {
	return [...]string{
		plan.AskRatio: "1:1, 3:2 or 2:1?", plan.AskFeeder: "Why not another feeder?", plan.AskOpen: "A tub in the open?", plan.AskHoney: "Honey as feed?",
		plan.AskCandy: "Candy or dry sugar?", plan.AskJar: "A jar at the door?",
		plan.AskLate: "A late spring?", plan.AskEarly: "An early spring?", plan.AskUnwrap: "Wrap off?", plan.AskUnite: "Too weak?", plan.AskDead: "Is it dead?", plan.AskWorth: "Worth it?", plan.AskWinter: "Enough for winter?",
	}[q]
}

// Said is an answer to a question as lines to be read out, the answer first.
func (u Style) Said(a *plan.Asked) []string { return u.Sentences(a.Says) }

// asked renders what is answered of syrup and feeders.
func asked(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.MixThis:
		return u.mixThis(&x), true
	case plan.MixNone:
		return fmt.Sprintf("None: it needs no feed, its risk is %s. Put on all the same, the strengths compare so.", Share(x.RiskFrac)), true
	case plan.MixSolidFirst:
		return fmt.Sprintf("No syrup yet: solid sugar first, since days reach only about %s. When they are milder, mix %s.", u.Temp(x.MaxC),
			mixed(x.Strength)), true
	case plan.MixComes:
		return u.mixComes(&x), true
	case plan.MixCare:
		return "Thin syrup in spring does not make a colony grow, and is more water to drive off. White sugar only; let hot syrup cool, it burns.", true
	}
	for _, render := range []func(Style, plan.Note) (string, bool){fedOtherwise, springs, wraps, weak, worth, winter} {
		if text, ok := render(u, n); ok {
			return text, true
		}
	}
	return "", false
}

func mixed(s syrup.Strength) string { return Strength(s) + " by weight" }

func (u Style) mixThis(x *plan.MixThis) string {
	text := "Mix " + mixed(x.Strength)
	switch {
	case !x.Chosen:
		text += ", as you set it"
	case math.IsNaN(x.ClearFromC):
		text += ": thicker would crystallise in the feeder on such days"
	default:
		text += fmt.Sprintf(": the least water to drive off, and over the cluster it stays warm enough to stay clear (about %s)", u.Temp(x.ClearFromC))
	}
	return text + "."
}

func (u Style) mixComes(x *plan.MixComes) string {
	text := Strength(x.Strength) + ": "
	if x.Trips > 0 {
		text += fmt.Sprintf("%s of sugar, %.1f trips, risk %s. ", u.Mass(x.SugarKg), x.Trips, Share(x.RiskFrac))
	}
	return text + fmt.Sprintf("%s of sugar is %s, gone in %s.", u.Mass(x.TakenSugarKg), u.Volume(x.TakenVolumeL), daysGone(x.TakenDays, x.LeftFrac))
}

// daysTaken is how long a filling lasts: "9 days (6 to 14)", with the share of springs
// in which some is left.
func daysTaken(r plan.Range, leftFrac float64) string {
	text := daysGone(r, leftFrac)
	if leftFrac >= 0.05 && leftFrac <= mostlyLeft {
		text += fmt.Sprintf("; some is left at nectar in %s of springs", Share(leftFrac))
	}
	return text
}

// daysGone is the same without that share.
func daysGone(r plan.Range, leftFrac float64) string {
	switch {
	case leftFrac > mostlyLeft || math.IsNaN(r.P50):
		return "more days than there are to nectar"
	case r.P10 == r.P90:
		return Count(int(r.P50), "day", "days")
	}
	return fmt.Sprintf("%.0f days (%.0f to %.0f)", r.P50, r.P10, r.P90)
}

// mostlyLeft is the share of springs from which on a filling is said not to be emptied,
// own choice.
const mostlyLeft = 0.5

// fedOtherwise renders what is answered of feeders and of other feed than syrup.
func fedOtherwise(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.FeederIs:
		return Title(Feeder(x.Feeder)) + ": " + u.Note(x.Why), true
	case plan.FeederNot:
		var names []string
		for _, f := range x.Feeders {
			names = append(names, "the "+Feeder(f))
		}
		return "Not " + strings.Join(names, ", not ") + ": " + u.Note(x.Why), true
	case plan.OpenNot:
		return fmt.Sprintf("No: on about %.0f of the %.0f days to nectar no bee can fly to it, in one spring of ten %.0f of them in a row. What stands "+
			"outside then does not keep this hive alive.", x.Days, x.Of, x.SpellDays), true
	case plan.OpenCare:
		return "A tub in the open feeds strangers and the strong before the weak, starts robbing and spreads disease.", true
	case plan.HoneyNot:
		return "No bought honey, and none of unknown origin: it can carry the spores of foulbrood. White sugar is safe.", true
	case plan.HoneyFrames:
		return fmt.Sprintf("Combs of food from a heavy hive of the same yard do as well: left alone this one lacks up to %s in nine springs of ten, about %s "+
			"full deep frames.", u.Mass(x.LackKg), short(x.Frames)), true
	case plan.HoneyEnough:
		return fmt.Sprintf("It lacks nothing in nine springs of ten (risk %s).", Share(x.RiskFrac)), true
	case plan.HoneyCare:
		return "Move combs only between hives that were looked through and are known to be healthy, never from a dead hive that nobody has inspected. " +
			"Suspected foulbrood: call the bee inspector and move nothing.", true
	case plan.CandyNow:
		return fmt.Sprintf("Yes: days reach only about %s, and under %s bees take hardly any syrup. Solid sugar over the cluster is the feed for now.",
			u.Temp(x.MaxC), u.Temp(x.BelowC)), true
	case plan.CandyNotNow:
		return fmt.Sprintf("It does no harm, but days reach about %s, from %s on bees take syrup, and syrup gets more food into the combs.", u.Temp(x.MaxC),
			u.Temp(x.BelowC)), true
	case plan.CandyLasts:
		return fmt.Sprintf("A block of %s comes to about %s of stores; this colony eats it in %s.", u.Mass(x.SugarKg), u.Mass(x.StoresKg),
			daysTaken(x.Days, 0)), true
	case plan.CandyCare:
		return "It must touch the cluster: lay it over the bees, on paper under a low rim. White sugar only, nothing boiled brown. Look at each visit whether " +
			"they eat it.", true
	case plan.JarNot:
		return "Not for this hive: " + u.Note(x.Why), true
	case plan.JarCan:
		return "Yes, at this one: the days are mild enough, and little is needed at a time", true
	case plan.JarHolds:
		return fmt.Sprintf("It holds %s, food for about %.0f days; put on at the first visit warm enough for syrup, it is emptied in %s.", u.Volume(x.HoldsL), x.FoodDays, daysTaken(x.Days, x.LeftFrac)), true
	case plan.JarCare:
		return "Syrup at the entrance calls robbers more than any other feeder: entrance as small as it goes, fill it at dusk, spill nothing.", true
	}
	return "", false
}
