package words

import (
	"fmt"
	"path/filepath"
	"strconv"
	"time"

	"bloomgap/feed/plan"
)

// warning renders a warning as a phrase without a full stop.
func warning(u Style, n plan.Note) (string, bool) {
	for _, render := range []func(Style, plan.Note) (string, bool){colonyWarning, weatherWarning, workWarning} {
		if text, ok := render(u, n); ok {
			return text, true
		}
	}
	switch x := n.(type) {
	case plan.OrderLacksSyrup:
		return fmt.Sprintf("the order holds the protein supplement for %s but not the extra syrup that it takes, about %s in all",
			Count(x.Colonies, "colony", "colonies"), u.Volume(x.ExtraSyrupL)), true
	case plan.StillAtRisk:
		return fmt.Sprintf("%s over the accepted risk of %s even fed as planned; the worst, %s of %s, starves in %s of springs",
			Count(x.Colonies, "colony stays", "colonies stay"), Share(x.AcceptFrac), x.Worst, x.WorstYard, shareBeside(x.WorstFrac, x.AcceptFrac)), true
	case plan.WinterPlan:
		return fmt.Sprintf("It is winter: visits by an interval are planned from %s on, and this plan tells which hives last until then. Plan again then.",
			u.ShortDay(x.From)), true
	case plan.OpenFeeding:
		return "open feeding was allowed in the settings and is not planned: it does nothing on days without flight, feeds strangers and strong hives, " +
			"starts robbing and spreads disease", true
	case plan.InputNote:
		return inputNote(x), true
	case plan.InputNotesLeftOut:
		return fmt.Sprintf("%s of the input not listed here", Count(x.More, "more warning", "more warnings")), true
	}
	return "", false
}

// inputNote is a warning of the reading, after its place in the file.
func inputNote(x plan.InputNote) string {
	at := "in " + Clean(filepath.Base(x.File))
	switch {
	case x.File == "":
		return Clean(x.Message)
	case x.Line > 0 && x.Column > 0:
		at += fmt.Sprintf(", row %d, column %d", x.Line, x.Column)
	case x.Line > 0:
		at += fmt.Sprintf(", row %d", x.Line)
	}
	return at + ": " + Clean(x.Message)
}

func colonyWarning(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.SampledTally:
		if x.FromColonies == x.ToColonies {
			return fmt.Sprintf("%d of the %d colonies were looked at; the others are taken to be like them", x.LookedAt, x.Colonies), true
		}
		return fmt.Sprintf("%d of about %d colonies were looked at: going by them there are %d to %d, 8 times in 10; the order allows for that. Look at more of the yard to know better",
			x.LookedAt, x.Colonies, x.FromColonies, x.ToColonies), true
	case plan.SmallCluster:
		return fmt.Sprintf("about %s bees is a very small cluster, smaller than the model is made for: cold rather than hunger may decide; think of "+
			"uniting it once you know it is healthy", hundreds(x.Bees)), true
	case plan.ColdCluster:
		return fmt.Sprintf("about %s bees is a small cluster, and up to %.0f days in a row may be too cold to fly. In %s of springs it shrinks under %s bees, about "+
			"one seam, before nectar, and so few hardly keep warm; it can also die of cold within reach of food, for which there is no figure. The risk "+
			"of starving counts neither, and more feed helps with neither: set its food next to the bees, close the hive down to the combs they cover (divider, smaller box, insulation), "+
			"and unite it once both colonies are known to be healthy", hundreds(x.Bees), x.ColdSpellDays, Risk(x.Dwindles), hundreds(x.UnderBees)), true
	case plan.BroodNotSeen:
		return "brood was not looked at; it is estimated from the date", true
	case plan.SeamsNotSeen:
		return "no seams of bees were given; anything from a nucleus to a strong colony is taken as possible", true
	case plan.FoodNotKnown:
		return "nothing is known of its food: weigh or heft it", true
	case plan.NothingSeen:
		return "nothing was written down for it", true
	case plan.LooksUnused:
		return "only the first look was used: " + x.Problem, true
	case plan.LookUnexpected:
		return "on " + u.ShortDay(x.On) + " " + unexpected(x), true
	case plan.FedUntold:
		return fmt.Sprintf("on %s it held about %s more food than the look of %s and the bees explain; this is taken as feed given in between. Was it fed? Then write it in the table of feed given",
			u.ShortDay(x.On), u.Mass(x.StoresKg.P50), u.ShortDay(x.Since)), true
	case plan.LooksWidened:
		return fmt.Sprintf("what was seen fits the model badly; the errors of the looks were taken %.1f times as large", x.Times), true
	case plan.LooksWithoutWeather:
		return "the record lacks the weather between the looks; the weather of other springs is used for it", true
	case plan.GoSooner:
		return "the next visit is too late in some springs: go before " + u.ShortDay(x.Before), true
	case plan.StillStarves:
		return fmt.Sprintf("fed as planned it still starves in %s of springs: go sooner, go more often, or weigh it", shareBeside(x.RiskFrac, x.AcceptFrac)), true
	case plan.ReserveNotHeld:
		return "what the hive takes between visits does not hold the reserve in as many springs as asked", true
	}
	return "", false
}

// unexpected says what a look may mean that the ones before do not explain.
func unexpected(x plan.LookUnexpected) string {
	switch {
	case x.What == plan.Stores && x.More:
		return "it held more food than the earlier looks explain: was it fed, or given combs of food?"
	case x.What == plan.Stores:
		return "it held less food than the earlier looks explain: was it robbed, or were combs of food taken?"
	case x.More:
		return "it held more " + x.What.String() + " than the earlier looks explain: was it united with another, or is a count wrong?"
	}
	return "it held less " + x.What.String() + " than the earlier looks explain: was it split or poisoned, is its queen failing, or is a count wrong?"
}

// mostNamedYears are the most springs that a warning names, own choice, 4-12.
const mostNamedYears = 6

func weatherWarning(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.NectarBeyond:
		return fmt.Sprintf("in some springs no nectar comes by %s, the last day looked at; the need is worked out to that day only", u.ShortDay(x.LastDay)),
			true
	case plan.NoDaysOfSeason:
		return "the weather record has no day of this season; add this year's days for a narrower answer", true
	case plan.GapYears:
		return fmt.Sprintf("the weather record has gaps too long to fill in %s and does without them (bloomgap weather shows where)", years(x.Years)), true
	case plan.FewSprings:
		return fmt.Sprintf("the weather record holds only %s besides this one; %d springs drawn from a climate are added",
			Count(x.Whole, "whole spring", "whole springs"), x.Generated), true
	case plan.NoRecord:
		return fmt.Sprintf("no weather record: springs are drawn from the climate of %s (%s)", x.Climate, x.Credit), true
	}
	return "", false
}

func years(list []int) string {
	if len(list) > mostNamedYears {
		return fmt.Sprintf("%d springs, %d to %d,", len(list), list[0], list[len(list)-1])
	}
	text := ""
	for i, y := range list {
		if i > 0 {
			text += ", "
		}
		text += strconv.Itoa(y)
	}
	return text
}

func workWarning(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.RoundsPast:
		n := len(x.Rounds)
		return fmt.Sprintf("%s of dusting (%s) %s past and taken as done; if not, set dusting_first_round to the day you start",
			Count(n, "round", "rounds"), u.listedDays(x.Rounds), verb(n, "is", "are")), true
	case plan.RoundsCold:
		var on []time.Time
		var maxC []string
		for _, r := range x.Rounds {
			on, maxC = append(on, r.On), append(maxC, u.Temp(r.MaxC))
		}
		return fmt.Sprintf("too cold to take brood frames out on the dusting %s of %s (days of about %s): ask the veterinarian whether %s may wait",
			verb(len(on), "round", "rounds"), u.listedDays(on), Listed(maxC), verb(len(on), "it", "they")), true
	case plan.SupersSoon:
		do := "put the supers on from " + u.ShortDay(x.WaitEnds)
		if x.StartRoundBy.IsZero() {
			do += " (it is too late to start the rounds soon enough)"
		} else {
			do += ", start the rounds by " + u.ShortDay(x.StartRoundBy)
		}
		return fmt.Sprintf("the last round of dusting is on %s and the %d days to wait after it end on %s, but honey supers go on %s: %s, or ask the "+
			"veterinarian",
			u.ShortDay(x.LastRound), x.WaitDays, u.ShortDay(x.WaitEnds), u.ShortDay(x.SupersOn), do), true
	case plan.WaitUnknown:
		return fmt.Sprintf("the last round of dusting is on %s and honey supers go on %s, but nobody has said how long they must wait: ask the "+
			"veterinarian, and give the days before supers in the settings", u.ShortDay(x.LastRound), u.ShortDay(x.SupersOn)), true
	case plan.RobbedBefore:
		return fmt.Sprintf("bees will fly and rob from about %s, before the first visit on %s: close dead colonies sooner", u.ShortDay(x.Fly),
			u.ShortDay(x.FirstVisit)), true
	case plan.VisitMovedLate:
		return fmt.Sprintf("the first visit moved from %s to the dusting round on %s, too late for some colonies to be fed: go on %s to feed those",
			u.ShortDay(x.From), u.ShortDay(x.To), u.ShortDay(x.From)), true
	case plan.SyrupAtSupers:
		return fmt.Sprintf("syrup is planned up to %s, but honey supers go on %s: no syrup with supers on, so no super on a colony that is still fed",
			u.ShortDay(x.LastSyrup), u.ShortDay(x.SupersOn)), true
	}
	return "", false
}

// shortWarning is a warning, a task or a caution on one line where the full one is
// longer.
func shortWarning(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.CleanTools:
		return "disease here: come last, clean tools and gloves, take nothing along", true
	case plan.SampledTally:
		return fmt.Sprintf("%d looked at; going by them there are %d to %d", x.LookedAt, x.FromColonies, x.ToColonies), true
	case plan.SmallCluster:
		return fmt.Sprintf("very small cluster, about %s bees: cold rather than hunger may decide", hundreds(x.Bees)), true
	case plan.ColdCluster:
		if x.Dwindles.Frac >= leastDwindleFrac {
			return fmt.Sprintf("small cluster: under %s bees by nectar in %s of springs, fed or not; food must touch it", hundreds(x.UnderBees), Risk(x.Dwindles)), true
		}
		return fmt.Sprintf("small cluster, about %s bees: it can die of cold beside its food: see that food touches it", hundreds(x.Bees)), true
	case plan.SeamsNotSeen:
		return "no seams of bees given: any size is taken as possible", true
	case plan.LookUnexpected:
		return fmt.Sprintf("on %s it held %s %s than the earlier looks explain", u.ShortDay(x.On), moreOrLess(x.More), thing(x.What)), true
	case plan.FedUntold:
		return fmt.Sprintf("about %s more food on %s than bees can make: was it fed? Write it down", u.Mass(x.StoresKg.P50), u.ShortDay(x.On)), true
	case plan.LooksWidened:
		return "what was seen fits the model badly", true
	case plan.LooksUnused:
		return "only the first look was used", true
	case plan.LooksWithoutWeather:
		return "the weather between the looks is not in the record", true
	case plan.StillStarves:
		return fmt.Sprintf("fed as planned it still starves in %s of springs: go sooner or more often", shareBeside(x.RiskFrac, x.AcceptFrac)), true
	case plan.NectarBeyond:
		return fmt.Sprintf("in some springs no nectar comes by %s, the last day looked at", u.ShortDay(x.LastDay)), true
	case plan.NoDaysOfSeason:
		return "the weather record has no day of this season", true
	case plan.GapYears:
		return Count(len(x.Years), "spring", "springs") + " of the weather record left out for gaps", true
	case plan.FewSprings:
		return fmt.Sprintf("only %s in the weather record", Count(x.Whole, "whole spring", "whole springs")), true
	case plan.NoRecord:
		return "no weather record: springs are drawn from the climate of " + x.Climate, true
	case plan.RoundsPast:
		return Count(len(x.Rounds), "round", "rounds") + " of dusting taken as done", true
	case plan.RoundsCold:
		return "too cold for " + Count(len(x.Rounds), "round", "rounds") + " of dusting", true
	case plan.SupersSoon:
		return fmt.Sprintf("the wait after dusting ends on %s, but supers go on %s", u.ShortDay(x.WaitEnds), u.ShortDay(x.SupersOn)), true
	case plan.WaitUnknown:
		return fmt.Sprintf("how long must supers wait after the dusting round of %s?", u.ShortDay(x.LastRound)), true
	case plan.RobbedBefore:
		return fmt.Sprintf("bees will rob from about %s: close dead colonies before", u.ShortDay(x.Fly)), true
	case plan.VisitMovedLate:
		return fmt.Sprintf("go on %s as well to feed what cannot wait", u.ShortDay(x.From)), true
	case plan.SyrupAtSupers:
		return fmt.Sprintf("syrup is planned up to %s, but supers go on %s", u.ShortDay(x.LastSyrup), u.ShortDay(x.SupersOn)), true
	case plan.OrderLacksSyrup:
		return "the order leaves out the extra syrup that the supplement takes, about " + u.Volume(x.ExtraSyrupL), true
	case plan.StillAtRisk:
		return fmt.Sprintf("%s over the accepted risk even fed as planned", Count(x.Colonies, "colony stays", "colonies stay")), true
	case plan.WinterPlan:
		return fmt.Sprintf("it is winter: visits by an interval are planned from %s on", u.ShortDay(x.From)), true
	case plan.OpenFeeding:
		return "open feeding is not planned: robbing and disease", true
	case plan.SeeDead:
		return "dead: close it, inspect it, clear it away", true
	case plan.GiveSolid:
		return u.Mass(x.SolidKg) + " of solid sugar" + ifLow(x.If), true
	case plan.GiveSyrup:
		return fmt.Sprintf("%s of %s syrup%s", u.Volume(x.SyrupL), x.Strength, ifLow(x.If)), true
	case plan.WrapHive:
		return "wrap it, upper entrance open", true
	case plan.DustingPowder:
		return "the dusting powder is an antibiotic: by prescription and law only, never on open brood", true
	case plan.AskWait:
		return "no honey supers yet: ask the veterinarian how long they must wait", true
	case plan.DustRound:
		return fmt.Sprintf("dusting round %d of %d, as the prescription says", x.Round, x.Of), true
	}
	return shortCaution(n)
}

func moreOrLess(more bool) string {
	if more {
		return "more"
	}
	return "less"
}

func thing(q plan.Quantity) string {
	if q == plan.Stores {
		return "food"
	}
	return q.String()
}

func shortCaution(n plan.Note) (string, bool) {
	switch n.(type) {
	case plan.LookForDisease:
		return "look for disease before feeding, uniting or clearing", true
	case plan.WhiteSugar:
		return "white sugar only; do not boil or acidify syrup", true
	case plan.HeavyBoxes:
		return "a full deep box is heavy: lift with two people or an aid", true
	case plan.FeedInside:
		return "feed inside the hive, entrance reduced, nothing spilt", true
	case plan.NoSyrupWithSupers:
		return "no syrup with honey supers on; drugs only under prescription", true
	case plan.ModelChanged:
		return "the settings change the colony model", true
	case plan.LeavesHealth:
		return "queens that fail, disease, mites and poisoning", true
	case plan.LeavesHunger:
		return "the brood a hungry colony gives up before it dies", true
	}
	return "", false
}

// ifLow says that a feeding hangs on what the hive holds, or on nectar.
func ifLow(l plan.FeedLine) string {
	switch {
	case l.UnderKg <= 0 && l.NeededFrac > 0:
		return " if no nectar yet"
	case l.UnderKg <= 0:
		return ""
	}
	return " if low"
}
