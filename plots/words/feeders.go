package words

import (
	"fmt"

	"bloomgap/feed/plan"
)

// Feeder is the name of a feeder, "" for none.
func Feeder(f plan.Feeder) string {
	return [...]string{
		plan.NoFeeder: "", plan.BagOnBars: "bag on the top bars", plan.PailOverCover: "pail over the inner cover", plan.FrameFeeder: "frame feeder",
		plan.TrayUnderLid: "tray under the lid", plan.EntranceJar: "jar at the entrance", plan.SolidOverCluster: "solid sugar over the cluster",
	}[f]
}

// Mind is what to mind with a feeder, common practice; "" for none.
func Mind(f plan.Feeder) string {
	return [...]string{
		plan.NoFeeder:         "",
		plan.BagOnBars:        "scrape off burr comb first, slit the bag on top only, and lay it over the cluster, not over a gap",
		plan.PailOverCover:    "fill it to the brim and let it cool before you turn it over; warm days and cold nights make it drip",
		plan.FrameFeeder:      "put in a float or a ladder so that bees do not drown; it takes the place of an outer frame",
		plan.TrayUnderLid:     "the coldest place for syrup: bees come up in warm weather only",
		plan.EntranceJar:      "for mild weather only, and the worst for robbing",
		plan.SolidOverCluster: "it must touch the cluster; look at each visit whether they are eating it",
	}[f]
}

// feeder says why a feeder was chosen, or what speaks against one.
func feeder(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.FeederTouches:
		return fmt.Sprintf("about %.0f days without flight before nectar, %.0f in a row in 1 spring in 10: syrup must lie against the cluster, which "+
			"keeps it warm",
			x.NonFlyingDays, x.ColdSpellDays), true
	case plan.FeederClose:
		return fmt.Sprintf("about %.0f days without flight before nectar: it is close over the cluster, and you fill it without opening the brood nest",
			x.NonFlyingDays), true
	case plan.FeederLarge:
		return fmt.Sprintf("bees fly on most of the %.0f days: it is large and quick to fill", x.DaysToNectar), true
	case plan.FeederRefilled:
		return fmt.Sprintf("bees fly on most of the %.0f days and reach it: it holds a visit's feed and is filled again", x.DaysToNectar), true
	case plan.FeederSolid:
		return fmt.Sprintf("days reach only about %s, too cold for syrup", u.Temp(x.MaxC)), true
	case plan.AgainstLeaving:
		return fmt.Sprintf("bees must leave the cluster for it, and on about %.0f of the days before nectar they cannot fly", x.NonFlyingDays), true
	case plan.AgainstFar:
		return fmt.Sprintf("it is too far from the cluster for days of about %s", u.Temp(x.MaxC)), true
	case plan.AgainstNotTouching:
		return fmt.Sprintf("it does not touch the cluster, and days reach only about %s", u.Temp(x.MaxC)), true
	case plan.AgainstNotOnHand:
		return "you have none on hand", true
	case plan.AgainstSmall:
		return fmt.Sprintf("it holds %s of the %s that a visit must give", u.Volume(x.HoldsL), u.Volume(x.WantedL)), true
	case plan.AgainstOpening:
		return "you open the hive at each feeding", true
	case plan.AgainstUsedOnce:
		return "a bag is used once, and it is warm enough for a feeder that is filled again", true
	case plan.AgainstLarge:
		return "it has more room than the feedings need", true
	case plan.AgainstSyrupCold:
		return "bees take no syrup while it is this cold", true
	}
	return "", false
}

// shortAdvice is what is said of feeders and of supplement on one line.
func shortAdvice(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.FeederTouches:
		return fmt.Sprintf("touches the cluster; about %.0f days without flight before nectar", x.NonFlyingDays), true
	case plan.FeederClose:
		return fmt.Sprintf("close over the cluster; about %.0f days without flight before nectar", x.NonFlyingDays), true
	case plan.SupplementWindow:
		return fmt.Sprintf("put it on from %s for bees by %s", u.Between(x.From, x.To), u.ShortDay(x.WantedOn)), true
	case plan.SupplementEffect:
		return fmt.Sprintf("from %s on: some %s more bees %s, for %s more syrup", u.ShortDay(x.From), hundreds(x.MoreBees), u.when(x.WantedOn),
			u.extraSyrup(x.ExtraSyrupL)), true
	case plan.SupplementSlight:
		return "it would hardly change the number of bees " + u.when(x.WantedOn), true
	case plan.SupplementEnough:
		return fmt.Sprintf("leave it out: some %s bees %s without it, enough", hundreds(x.Bees), u.when(x.WantedOn)), true
	}
	return "", false
}
