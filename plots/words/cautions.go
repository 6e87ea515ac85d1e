package words

import (
	"fmt"
	"strconv"
	"strings"

	"bloomgap/feed/plan"
)

// caution renders a usual caution, or what the model leaves out.
func caution(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.LookForDisease:
		return "Look for disease before you feed, unite or clear away. Suspected foulbrood must be reported in most places: call the bee inspector and " +
			"move nothing.", true
	case plan.WhiteSugar:
		return "White sugar only. Never honey of unknown origin, brown sugar or molasses. Do not boil or acidify syrup: what burnt sugar turns into " +
			"kills bees.", true
	case plan.HotSyrup:
		return "Hot syrup burns. Let it cool to hand warmth before you carry or give it.", true
	case plan.HeavyBoxes:
		unit := " " + u.Name("kg")
		return fmt.Sprintf("A full deep box weighs %.0f-%.0f%s: lift with two people or an aid, or take frames out first.", u.Value(x.LeastKg, "kg"),
			u.Value(x.MostKg, "kg"), unit), true
	case plan.FeedInside:
		return "Feed inside the hive, entrance reduced, nothing spilt: at dusk in warm weather, in the mild hours in cold. Feeding in the open feeds " +
			"strangers, starts robbing and spreads disease.", true
	case plan.NoSyrupWithSupers:
		return "No syrup with honey supers on. Drugs only by label and veterinary prescription; local law and the inspector come before this plan.", true
	case plan.StoresOfDead:
		return "Food left in a dead colony is not feed until you know why it died.", true
	case plan.DustingPowder:
		return "The dusting powder is an antibiotic (a tetracycline): only where the law allows it and under a veterinary prescription. Never on open " +
			"brood. Never in a colony with signs of foulbrood: call the bee inspector. Ask how long honey supers must wait after it; residues can last " +
			"for months.", true
	case plan.ModelChanged:
		said := make([]string, len(x.Parameters))
		for i, p := range x.Parameters {
			said[i] = fmt.Sprintf("%s = %s %s in place of %s", p.Name, number(p.Value), p.Unit, number(p.Usual))
		}
		return "The settings change the colony model: " + strings.Join(said, "; ") + ".", true
	case plan.LeavesHealth:
		return "queens that fail, disease, mites and poisoning, except as they are part of the spread in how long bees live", true
	case plan.LeavesSite:
		return "robbing, drifting, wind, sunshine, snow and the site's own climate", true
	case plan.LeavesHunger:
		return "the brood a hungry colony gives up before it dies: the need shown is that of a colony kept growing", true
	case plan.LeavesTiny:
		return fmt.Sprintf("colonies under about %s bees, smaller than the figures for their warmth cover", thousands(x.Bees)), true
	}
	return "", false
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }
