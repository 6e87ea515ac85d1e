package words

import (
	"fmt"
	"strconv"
	"strings"

	"bloomgap/feed/plan"
)

// caution renders a usual caution, or what the model leaves out.
func caution(_ Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.LookForDisease:
		return "Look for disease before feeding, uniting or clearing: suspected foulbrood is notifiable in most places; call the bee inspector and move nothing.", true
	case plan.WhiteSugar:
		return "White sugar only. Never honey of unknown origin, brown sugar or molasses. Do not boil or acidify syrup: the products of burnt sugar kill bees.", true
	case plan.HotSyrup:
		return "Hot syrup burns. Let it cool to hand warmth before it is carried or given.", true
	case plan.HeavyBoxes:
		return fmt.Sprintf("A full deep box weighs %.0f-%.0f kg (80-90 lb): lift with two people or an aid, or take frames out first.", x.LeastKg, x.MostKg), true
	case plan.FeedInside:
		return "Feed inside the hive, in the evening, entrance reduced, nothing spilt. Feeding in the open feeds strangers, starts robbing and spreads disease.", true
	case plan.NoSyrupWithSupers:
		return "No syrup with honey supers on. Drugs only by label and veterinary prescription; local law and the inspector rule over this plan.", true
	case plan.StoresOfDead:
		return "Stores of a dead colony are not feed until it is known why it died.", true
	case plan.ModelChanged:
		said := make([]string, len(x.Parameters))
		for i, p := range x.Parameters {
			said[i] = fmt.Sprintf("%s = %s %s in place of %s", p.Name, number(p.Value), p.Unit, number(p.Usual))
		}
		return "The settings change the colony model: " + strings.Join(said, "; ") + ".", true
	case plan.LeavesHealth:
		return "queens that fail, disease, mites and poisoning, except as they hide in the spread of bee mortality", true
	case plan.LeavesSite:
		return "robbing, drifting, wind, sunshine, snow and the site's own climate", true
	case plan.LeavesHunger:
		return "the brood a hungry colony gives up before it dies: the need shown is that of a colony kept growing", true
	case plan.LeavesTiny:
		return fmt.Sprintf("colonies under about %s bees, where the figures behind the heat balance end", thousands(x.Bees)), true
	}
	return "", false
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }

func thousands(v float64) string {
	n := strconv.FormatFloat(v, 'f', 0, 64)
	for i := len(n) - 3; i > 0; i -= 3 {
		n = n[:i] + "," + n[i:]
	}
	return n
}
