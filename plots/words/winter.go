package words

import (
	"fmt"
	"math"

	"bloomgap/feed/plan"
)

// winter renders what is answered from October to January.
func winter(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.WinterNeed:
		text := fmt.Sprintf("On %s about %s bees must hold %s of stores", u.ShortDay(x.On), hundreds(x.Bees), u.Mass(x.NeedStoresKg))
		if !math.IsNaN(x.NeedGrossKg) {
			text += fmt.Sprintf(", the whole hive %s on a scale,", u.Mass(x.NeedGrossKg))
		}
		return text + fmt.Sprintf(" to reach nectar about %s unfed in all but %s of springs.", u.ShortDay(x.Nectar), Share(x.AcceptFrac)), true
	case plan.WinterHas:
		if x.LackKg <= 0 {
			return fmt.Sprintf("It holds about %s: enough.", u.MassRange(x.StoresKg)), true
		}
		text := fmt.Sprintf("It holds about %s and lacks up to %s", u.MassRange(x.StoresKg), u.Mass(x.LackKg))
		if x.Mild {
			text += fmt.Sprintf(": feed that now, while days still reach %s", u.Temp(x.MaxC))
		}
		return text + ".", true
	case plan.WinterSizes:
		var list []string
		for i := range x.Bees {
			list = append(list, fmt.Sprintf("%s bees %s", hundreds(x.Bees[i]), u.Mass(x.NeedKg[i])))
		}
		return "By cluster: " + Listed(list) + ".", true
	case plan.WinterSolid:
		return fmt.Sprintf("Emergency: it starves before %s in %s of springs. Lay %s of solid sugar over the cluster now, touching it; no syrup in the cold, and "+
			"keep the opening short.", u.ShortDay(x.Before), Share(x.RiskFrac), u.Mass(x.SolidKg)), true
	case plan.WinterSafe:
		return fmt.Sprintf("No emergency: before %s it starves in %s of springs. Lift it again on a mild day.", u.ShortDay(x.Before),
			Share(x.RiskFrac)), true
	case plan.WinterScope:
		return fmt.Sprintf("At this time of year that is all there is to answer: feed by visits is planned from %s on. Look and ask again then.", u.ShortDay(x.From)), true
	}
	return "", false
}
