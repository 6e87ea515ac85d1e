package words

import (
	"fmt"
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
		return fmt.Sprintf("the order holds the protein supplement for %d colonies but not the syrup it costs besides, about %s in all", x.Colonies, u.litres(x.ExtraSyrupL)), true
	case plan.OpenFeeding:
		return "open feeding was allowed in the settings and is not planned: it does nothing on days without flight, feeds strangers and the strong, starts robbing and spreads disease", true
	}
	return "", false
}

func colonyWarning(_ Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.SmallCluster:
		return fmt.Sprintf("a cluster of about %.0f bees is smaller than the figures behind the heat balance: cold, not hunger, may decide; think of uniting it once it is known to be healthy", x.Bees), true
	case plan.BroodNotSeen:
		return "brood was not looked at; it is estimated from the date", true
	case plan.SeamsNotSeen:
		return "no seams of bees given; any size from a nucleus to a strong colony is taken as possible", true
	case plan.FoodNotKnown:
		return "nothing is known of its food; weigh or heft it", true
	case plan.NothingSeen:
		return "no observation", true
	case plan.LooksUnused:
		return "only the first look was used: " + x.Problem, true
	case plan.LookUnexpected:
		return "on " + longDay(x.On) + " " + unexpected(x), true
	case plan.LooksWidened:
		return fmt.Sprintf("the observations agree with few runs of the model; their errors were taken as %.1f times as large", x.Times), true
	case plan.LooksWithoutWeather:
		return "the weather between the looks is not in the record: past or generated springs stand for it", true
	case plan.GoSooner:
		return "the next visit is too late for some springs: go before " + longDay(x.Before), true
	case plan.StillStarves:
		return fmt.Sprintf("with these visits and this feeder %.0f in 100 springs still starve it: come sooner, come more often, or give solid feed at once", 100*x.RiskFrac), true
	case plan.ReserveNotHeld:
		return "the reserve is not held in half the springs with what one feeder takes between visits", true
	}
	return "", false
}

func longDay(t time.Time) string { return t.Format("2 January") }

// unexpected says what a look may mean that the ones before do not explain.
func unexpected(x plan.LookUnexpected) string {
	switch {
	case x.What == plan.Stores && x.More:
		return "it held more food than the looks before explain: was it fed, or food put in?"
	case x.What == plan.Stores:
		return "it held less food than the looks before explain: was it robbed, or food taken out?"
	case x.More:
		return "it held more " + x.What.String() + " than the looks before explain: was it united with another, or a count wrong?"
	}
	return "it held less " + x.What.String() + " than the looks before explain: was it split or poisoned, is its queen failing, or a count wrong?"
}

// mostNamedYears are the most springs that a warning names, own choice, 4-12.
const mostNamedYears = 6

func weatherWarning(_ Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.NectarBeyond:
		return fmt.Sprintf("in some springs no nectar comes by %s, the last day looked at; the need is worked out to that day only", longDay(x.LastDay)), true
	case plan.NoDaysOfSeason:
		return "the weather record has no day of this season; add this year's days for a narrower answer", true
	case plan.GapYears:
		return fmt.Sprintf("the weather record has gaps too long to fill in %s and does without them; bloomgap weather tells where", years(x.Years)), true
	case plan.FewSprings:
		return fmt.Sprintf("the weather record holds only %d whole springs besides this one; %d generated springs stand beside them", x.Whole, x.Generated), true
	case plan.NoRecord:
		return fmt.Sprintf("no weather record: springs are generated from the climate of %s (%s)", x.Climate, x.Credit), true
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
		return fmt.Sprintf("%s of dusting %s before the day of the plan (%s) and %s taken as done; if not, set dusting_first_round anew",
			countOf(n, "round", "rounds"), verb(n, "lies", "lie"), listedDays(x.Rounds), verb(n, "is", "are")), true
	case plan.RoundsCold:
		var on []time.Time
		var maxC []string
		for _, r := range x.Rounds {
			on, maxC = append(on, r.On), append(maxC, u.about(r.MaxC))
		}
		return fmt.Sprintf("too cold to take brood frames out on the dusting %s of %s (days of about %s): dust quickly from above if label and prescription allow it, or ask the veterinarian whether the round may wait",
			verb(len(on), "round", "rounds"), listedDays(on), listed(maxC)), true
	case plan.SupersSoon:
		do := fmt.Sprintf("put the supers on from %s", day(x.WaitEnds))
		if x.StartRoundBy.IsZero() {
			do += " (it is too late to start soon enough)"
		} else {
			do += fmt.Sprintf(", start the rounds by %s", day(x.StartRoundBy))
		}
		return fmt.Sprintf("the last round of dusting, %s, and the %d days after it end on %s, but honey supers are to go on %s: %s, or ask the veterinarian",
			day(x.LastRound), x.WaitDays, day(x.WaitEnds), day(x.SupersOn), do), true
	case plan.RobbedBefore:
		return fmt.Sprintf("bees will fly and rob from about %s, before the first visit on %s: close the entrances of dead colonies sooner", day(x.Fly), day(x.FirstVisit)), true
	case plan.VisitMovedLate:
		return fmt.Sprintf("the first visit moved from %s to the dusting round on %s, and colonies are fed too late: go on %s to feed those", day(x.From), day(x.To), day(x.From)), true
	case plan.SyrupAtSupers:
		return fmt.Sprintf("syrup is planned up to %s, but honey supers are to go on %s: no syrup with supers on, so no super on a colony still fed", day(x.LastSyrup), day(x.SupersOn)), true
	}
	return "", false
}

func listedDays(on []time.Time) string {
	list := make([]string, len(on))
	for i, t := range on {
		list[i] = day(t)
	}
	return listed(list)
}
