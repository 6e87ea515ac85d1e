package bloom

import (
	"math"
	"strings"
)

// Where the built-in figures come from.
const (
	grasslandSource = "European beekeepers' associations, grassland temperature sum"
	ohioSource      = "Ohio State University, base 50 F from 1 January"
	ohioFullSource  = "Ohio State University, base 50 F from 1 January; the sum of full bloom from memory"
	bernSource      = "worked here from cherry full bloom at Worb, Jegenstorf and Oeschberg and the record of Bern-Zollikofen, 95 springs (Source: MeteoSwiss)"
	fargoSource     = "worked here from first-flower dates near Fargo, North Dakota (O. A. Stevens; Travers & Dunnell 2009, Ecology 90:2332, Ecological Archives E090-162) and U.S. National Weather Service temperatures, 15 years 1912-1956"
)

// Names of the forms.
const (
	formGrassland = "grassland sum"
	formBase50    = "base 50 F"
	formBase50Ful = "base 50 F, full bloom"
	formFargo     = "Fargo"
	formFargoMar  = "Fargo, from 1 March"
	formBern      = "grassland sum, Bern"
)

// How the spreads of the published sums were chosen; they were not published.
const (
	whyGrassland = "spread chosen: fitting the sum alone leaves 5-9 days on Swiss cherries near Bern; "
	whyBase50    = "spread chosen: on the Fargo dates the same rule with its sum fitted leaves 10 days for silver maple, 2.5-5 for later trees; "
	whyFew       = "from 5 years only; "
	whyMaple     = "planted trees in Ohio; a few warm afternoons make the whole sum, so a station 1 C warmer than the trees is 3-5 days early " +
		"and a thaw in February counts in full; "
)

// Builtin lists the built-in thresholds, those checked against records first,
// in the usual order of bloom within each form. Hazel and alder are not there: no figures for them were to hand.
//
// The spread is that of the rule at the place that it comes from. Default
// widens it for other places.
func Builtin() []Threshold {
	grass := func(plant string, stage Stage, needCd, spreadDays float64, role Role, note string) Threshold {
		return Threshold{Plant: plant, Stage: stage, Form: formGrassland, StartDOY: 1, NeedCd: needCd, MonthWeights: GrasslandWeights(),
			SpreadDays: spreadDays, SpreadStatus: Chosen, Role: role, Source: grasslandSource, Status: Read, Note: whyGrassland + note}
	}
	base50 := func(plant string, stage Stage, needFd, spreadDays float64, role Role, note string) Threshold {
		return Threshold{Plant: plant, Stage: stage, Form: formBase50, BaseC: base50FC, StartDOY: 1, NeedCd: FahrenheitDays(needFd), RaiseMinToBase: true,
			SpreadDays: spreadDays, SpreadStatus: Chosen, Role: role, Source: ohioSource, Status: Read, Note: whyBase50 + note}
	}
	fargo := func(plant, form string, baseC float64, startDOY int, needCd, spreadDays float64, role Role, note string) Threshold {
		return Threshold{Plant: plant, Stage: FirstFlower, Form: form, BaseC: baseC, StartDOY: startDOY, NeedCd: needCd,
			SpreadDays: spreadDays, SpreadStatus: Worked, Role: role, Source: fargoSource, Status: Worked, Note: note}
	}
	const mar1, mar16, apr1 = 60, 75, 91 // days of a common year
	redMapleFull := base50("red maple", FullBloom, 75, 9, SomeNectar, whyMaple+"the stage that feeds bees; not checked against a record")
	redMapleFull.Form, redMapleFull.Source, redMapleFull.Status = formBase50Ful, ohioFullSource, Memory
	return []Threshold{
		fargo("silver maple", formFargo, 0, mar1, 64, 1.8, PollenOnly, ""),
		fargo("pussy willow", formFargo, 2, mar1, 119, 2.0, SomeNectar, whyFew+"the spread is likely larger"),
		fargo("elm", formFargo, 2, mar16, 87, 1.6, PollenOnly, "American elm"),
		fargo("boxelder", formFargo, 2, mar1, 131, 1.5, PollenOnly, ""),
		fargo("dandelion", formFargo, 0, apr1, 273, 2.9, DependableNectar, "too late where March is mild, since warmth before 1 April does not count"),
		fargo("dandelion", formFargoMar, 0, mar1, 295, 4.1, DependableNectar, "the same dates fitted from 1 March, for places where March is mild"),
		fargo("plum", formFargo, 2, mar16, 253, 2.4, DependableNectar, "American wild plum, North Dakota dates against Fargo weather"),

		{Plant: "cherry", Stage: FullBloom, Form: formBern, StartDOY: 1, NeedCd: 420, MonthWeights: GrasslandWeights(), SpreadDays: 8, SpreadStatus: Worked,
			Role: DependableNectar, Source: bernSource, Status: Worked, Note: "the published 530 comes 8-17 days late there"},
		grass("willow", "", 217, 5, SomeNectar, "the middle of 175-260 C-days as published for the early to the late kinds"),
		grass("cherry", FullBloom, 530, 14, DependableNectar, "8-17 days late near Bern, which the spread allows for"),
		grass("apple", "", 700, 10, DependableNectar, "from the same list as the cherry sum that comes late near Bern"),
		grass("dandelion", "", 700, 14, DependableNectar, "four weeks later than first flower by the Fargo rule; take it for the full flow at the latest"),

		base50("silver maple", FirstFlower, 34, 10, PollenOnly, "a few warm afternoons make the whole sum"),
		base50("red maple", FirstFlower, 44, 9, SomeNectar, whyMaple+"10 days early against the trees of a forest in Massachusetts"),
		redMapleFull,
		base50("forsythia", FirstFlower, 83.5, 7, PollenOnly, "the middle of 81-86 F-days; a marker of the season, of little use to bees"),
		base50("apple", FullBloom, 209, 5, DependableNectar, "crabapple, taken for apple"),
	}
}

// Find gives the built-in threshold of a plant and form, upper and lower case
// alike; an empty form takes the first of the plant in Builtin. A longer name
// finds the plant whose name is part of it: "common dandelion" is dandelion,
// "American elm" is elm. ok is false when there is none.
func Find(plant, form string) (th Threshold, ok bool) {
	words := " " + strings.Join(strings.Fields(strings.ToLower(plant)), " ") + " "
	for _, b := range Builtin() {
		if form != "" && !strings.EqualFold(b.Form, form) {
			continue
		}
		if strings.Contains(words, " "+b.Plant+" ") && len(b.Plant) > len(th.Plant) {
			th, ok = b, true
		}
	}
	return th, ok
}

const (
	fargoLatDeg, fargoLonDeg = 46.9, -96.8 // degrees (atlas)
	nearDeg                  = 3.0         // within this of Fargo its spreads hold, degrees (chosen)
	elsewhereDays            = 3.0         // SD added for other soil, strains and observers, days, 2-5 (chosen: three Swiss villages within 25 km of one station need sums that lie days apart)
	atlanticLonDeg           = -30.0       // west of it is America, degrees
	coldLatDeg               = 44.5        // north of it in America March is frozen at low elevations, degrees (chosen from the reference stations)
	rockiesLonDeg            = -110.0      // and east of it, degrees
)

// Default lists one threshold for each plant that a place is likely to have, of red
// maple one for each stage,
// in the usual order of bloom: the American forms west of 30 W, the European
// east of it. SpreadDays is widened by 3 days (in squares) away from Fargo.
//
// Dandelion, which ends feeding, and cherry are exceptions: the European sum of
// 700 comes ten days to four weeks after both Fargo rules at the reference
// stations, so Europe gets the Fargo rule from 1 March; and cherry the sum
// worked from Bern (see the package comment). In America the rule from 1 April, which
// fits Fargo better, is used only north of 44.5 N and east of 110 W.
func Default(latDeg, lonDeg float64) []Threshold {
	dandelion := formFargoMar
	picks := [][2]string{{"willow", formGrassland}, {"elm", formFargo}, {"dandelion", dandelion}, {"cherry", formBern}, {"apple", formGrassland}}
	if lonDeg < atlanticLonDeg {
		if latDeg > coldLatDeg && lonDeg > rockiesLonDeg {
			dandelion = formFargo
		}
		picks = [][2]string{
			{"silver maple", formFargo},
			{"red maple", formBase50},
			{"red maple", formBase50Ful},
			{"pussy willow", formFargo},
			{"elm", formFargo},
			{"boxelder", formFargo},
			{"forsythia", formBase50},
			{"dandelion", dandelion},
			{"plum", formFargo},
			{"apple", formBase50},
		}
	}
	near := math.Abs(latDeg-fargoLatDeg) < nearDeg && math.Abs(lonDeg-fargoLonDeg) < nearDeg
	var out []Threshold
	for _, p := range picks {
		th, ok := Find(p[0], p[1])
		if !ok {
			panic("bloom: a default threshold is not built in")
		}
		if th.SpreadStatus == Worked && !near {
			th.SpreadDays = math.Hypot(th.SpreadDays, elsewhereDays)
			th.SpreadStatus = Chosen
		}
		out = append(out, th)
	}
	return out
}
