package words

import (
	"fmt"
	"strconv"

	"bloomgap/feed/plan"
)

// Called is the name of a colony; of a tally with its number: "light doubles, 12
// colonies".
func Called(c *plan.ColonyPlan) string {
	if c.Tally == nil {
		return Clean(c.Colony)
	}
	about := ""
	if c.Tally.Sampled() {
		about = "about "
	}
	return Clean(c.Colony) + ", " + about + Count(c.Tally.Colonies, "colony", "colonies")
}

// CalledTask is the same of what is to be done.
func CalledTask(t *plan.Task) string {
	if t.Colonies == 0 {
		return Clean(t.Colony)
	}
	return fmt.Sprintf("%s (each of %d)", Clean(t.Colony), t.Colonies)
}

// each says behind an amount that it is for each colony of a tally.
func each(c *plan.ColonyPlan) string {
	if c.Tally == nil {
		return ""
	}
	return " each"
}

// ofAll is what the colonies of a tally are given together, on average: "; all 12: 60
// kg solid, 12 L of 2:1"; "" for one colony.
func (u Style) ofAll(c *plan.ColonyPlan) string {
	if c.Tally == nil {
		return ""
	}
	n := float64(c.Tally.Colonies)
	return "; all " + strconv.Itoa(c.Tally.Colonies) + ": " + u.amountsShort(n*c.SyrupL, n*c.SolidKg, c)
}

// DeadCount is how many colonies of a yard are dead.
func DeadCount(pl *plan.Plan, y plan.YardPlan) int {
	n := len(DeadOf(pl, y))
	for _, c := range With(pl, plan.Dead) {
		if c.Yard == y.Name {
			n += c.Stands() - 1
		}
	}
	return n
}
