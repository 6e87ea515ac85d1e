package words

import (
	"fmt"

	"bloomgap/feed/plan"
)

// Feeder is the name of a feeder, "" for none.
func Feeder(f plan.Feeder) string {
	return [...]string{
		plan.NoFeeder: "", plan.BagOnBars: "bag on the top bars", plan.PailOverCover: "pail over the inner cover", plan.FrameFeeder: "frame feeder",
		plan.TrayUnderLid: "tray under the lid", plan.EntranceJar: "jar at the entrance", plan.SolidOverCluster: "solid feed over the cluster",
	}[f]
}

// Mind is what to mind with a feeder, common practice; "" for none.
func Mind(f plan.Feeder) string {
	return [...]string{
		plan.NoFeeder:         "",
		plan.BagOnBars:        "scrape burr comb first, slit the bag on top only, lay it over the cluster and not over an empty gap",
		plan.PailOverCover:    "fill to the brim and cool before turning it over; warm days and cold nights make it drip",
		plan.FrameFeeder:      "float or ladder against drowning; takes the place of an outer frame",
		plan.TrayUnderLid:     "coldest place for syrup: bees come up in warm weather only",
		plan.EntranceJar:      "mild weather only; worst for robbing",
		plan.SolidOverCluster: "it must touch the cluster; look again at each visit whether it is eaten",
	}[f]
}

// feeder says why a feeder was chosen, or what speaks against one.
func feeder(u Style, n plan.Note) (string, bool) {
	switch x := n.(type) {
	case plan.FeederTouches:
		return fmt.Sprintf("about %.0f days without flight to nectar, in one spring of ten %.0f in a row: syrup must lie against the cluster, which warms it",
			x.NonFlyingDays, x.ColdSpellDays), true
	case plan.FeederClose:
		return fmt.Sprintf("about %.0f days without flight to nectar: close over the cluster, filled without opening the brood nest", x.NonFlyingDays), true
	case plan.FeederLarge:
		return fmt.Sprintf("bees fly on most of the %.0f days: a large feeder that is quick to fill", x.DaysToNectar), true
	case plan.FeederRefilled:
		return fmt.Sprintf("bees fly on most of the %.0f days and reach it: it holds a visit's feed and is filled again", x.DaysToNectar), true
	case plan.FeederSolid:
		return fmt.Sprintf("days reach only about %s: too cold for syrup", u.temp(x.MaxC)), true
	case plan.AgainstLeaving:
		return fmt.Sprintf("bees must leave the cluster for it, and on about %.0f of the days to nectar they cannot fly", x.NonFlyingDays), true
	case plan.AgainstFar:
		return fmt.Sprintf("too far from the cluster for days with a maximum of about %s", u.temp(x.MaxC)), true
	case plan.AgainstNotTouching:
		return fmt.Sprintf("does not touch the cluster, and days reach only about %s", u.temp(x.MaxC)), true
	case plan.AgainstNotOnHand:
		return "not on hand", true
	case plan.AgainstSmall:
		return fmt.Sprintf("holds %s of the %s that a visit must give", u.litres(x.HoldsL), u.litres(x.WantedL)), true
	case plan.AgainstOpening:
		return "the hive is opened at each feeding", true
	case plan.AgainstUsedOnce:
		return "a bag is used once, and it is warm enough for a feeder that is filled again", true
	case plan.AgainstLarge:
		return "more room than the feedings need", true
	case plan.AgainstSyrupCold:
		return "syrup is not taken while it is this cold", true
	}
	return "", false
}
