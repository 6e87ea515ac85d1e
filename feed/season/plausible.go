package season

import (
	"fmt"
	"math"
	"slices"
	"time"

	"bloomgap/feed/syrup"
	"bloomgap/forage/bloom"
	"bloomgap/forage/read"
)

// What a reading is weighed against. A hive that goes into winter well fed holds
// three quarters of its combs at most and eats a third of that by March; where few
// bees sit on a hive that is still half full in spring, the figure is likely in
// another unit or of another kind (own judgement on common practice; Collison 2017
// gives 27-41 kg for winter and 0.5-1 kg a week in it).
const (
	fullSpringShare = 0.70 // share of its full combs that no hive holds in spring
	fewBeesShare    = 0.50 // the same where bees fill half of the combs or fewer
	unknownShare    = 0.60 // the same where the bees were not counted
	warmCountC      = 30.0 // C; nobody opens a hive to count seams in spring at more (41 F is 5 C)
	warmAprilC      = 25.0 // C; the same to the end of April
	warmMarchC      = 20.0 // C; the same to the end of March, when 20 to 30 F is a usual day
	unevenShare     = 0.5  // a side of a hive that is lifted with less than this share of the other has the scale slipped, or a figure is of another hive
	lightBoxShare   = 0.6  // share of the usual weight under which an empty box has no combs, or kg stands for lb
	heavyBoxShare   = 1.6  // and over which lb stands for kg
	lightPartShare  = 0.2  // the same for lid, floor and cover, whose make differs more
	heavyPartShare  = 2.2
	coldestSummerC  = 10.0 // C; mean of the warmest month below which no bees live
	leastSwingC     = 4.0  // C; between the coldest and the warmest month; at sea, where it is least, it is 7 or more
)

// reading is a weight as it was read, and what it says of the food.
type reading struct {
	figureKg float64 // as written
	totalKg  float64 // of the whole hive
	tareKg   float64 // of it empty
	slackKg  float64 // error of the tare
	fullKg   float64 // food in all its combs full
	frames   float64 // its combs
	foodKg   float64 // food by this reading
	lift     bool    // a lift at the back, about half of the weight
	unit     string  // that the figure was written in
}

// spring tells whether a day lies between the clustering and the main flow.
func spring(d time.Time) bool { return d.Month() >= time.February && d.Month() <= time.June }

// tooFull tells whether a hive holds more food than one does in spring.
func (w *reading) tooFull(o *Observation) bool {
	most := unknownShare
	switch {
	case o.SeamsOfBees <= w.frames/2:
		most = fewBeesShare
	case o.SeamsOfBees > 0:
		most = fullSpringShare
	}
	return spring(o.Date) && w.foodKg > most*w.fullKg
}

// others says what the figure would be if it were meant otherwise, as far as that
// leaves a hive with food in it; "" when it cannot.
func (w *reading) others(show func(kg float64) string) string {
	otherUnit, factor := "lb", 1/inUnit(1, "lb")
	if w.unit == "lb" {
		otherUnit, factor = "kg", inUnit(1, "lb")
	}
	likely := func(totalKg float64) bool {
		return totalKg >= w.tareKg-w.slackKg && totalKg <= w.tareKg+w.fullKg
	}
	text := ""
	if kg := w.totalKg * factor; likely(kg) {
		text = fmt.Sprintf(
			"if the figure is in %s, the hive weighs %s in all and holds about %s of food",
			otherUnit,
			show(kg),
			show(math.Max(0, w.foodKg+kg-w.totalKg)),
		)
	}
	if kg := w.figureKg; w.lift && likely(kg) {
		if text != "" {
			text += "; "
		}
		text += fmt.Sprintf(
			"if it is the weight of the whole hive, write it under gross: then it holds about %s of food",
			show(math.Max(0, w.foodKg+kg-w.totalKg)),
		)
	}
	return text
}

// check is what to do about a weight that cannot be.
func (w *reading) check(show func(kg float64) string) string {
	if other := w.others(show); other != "" {
		return "check the unit and the boxes: " + other
	}
	return "check the unit and the boxes"
}

// question asks about a weight that leaves more food than a hive has in spring, if
// it could be meant otherwise.
func (w *reading) question(e *entry, show func(kg float64) string) (read.Problem, bool) {
	other := w.others(show)
	if !w.tooFull(&e.obs) || other == "" {
		return read.Problem{}, false
	}
	return read.Problem{Code: WeightGuard, Level: read.Ask,
		Message: fmt.Sprintf("by this weight %s %q holds %s of food, %.0f %% of what its combs take, which is much on %s",
			e.what, e.name, show(w.foodKg), 100*w.foodKg/w.fullKg, e.obs.Date.Format("2 January")),
		Fix: other}, true
}

// emptyQuestion asks about a weight that leaves nothing for food, if it could be
// meant otherwise.
func (w *reading) emptyQuestion(e *entry, show func(kg float64) string) (read.Problem, bool) {
	other := w.others(show)
	if w.foodKg >= 0 || other == "" {
		return read.Problem{}, false
	}
	return read.Problem{Code: WeightGuard, Level: read.Ask, Fix: other,
		Message: fmt.Sprintf("by this weight, %s in all, %s %q holds no food", show(w.totalKg), e.what, e.name)}, true
}

// liftQuestion asks about two sides of a hive that weigh very differently.
func liftQuestion(f Food) (read.Problem, bool) {
	least, most := min(f.LiftLeftKg, f.LiftRightKg), max(f.LiftLeftKg, f.LiftRightKg)
	if f.Kind != FoodLiftBoth || least >= unevenShare*most {
		return read.Problem{}, false
	}
	return read.Problem{
		Code:    LiftGuard,
		Level:   read.Ask,
		Message: "one side of the hive weighs less than half of the other",
		Fix:     "lift both sides again; one lift alone stands under lift_back",
	}, true
}

// countQuestion asks about a temperature at the count that looks like F.
func countQuestion(tempC float64, day time.Time) (read.Problem, bool) {
	warm := warmCountC
	switch day.Month() {
	case time.April:
		warm = warmAprilC
	case time.December, time.January, time.February, time.March:
		warm = warmMarchC
	}
	if !(tempC > warm) {
		return read.Problem{}, false
	}
	return read.Problem{Code: CountTempGuard, Level: read.Ask, Message: fmt.Sprintf("it was %.0f C when the seams were counted", tempC),
		Fix: fmt.Sprintf("if that is F, write %.0f F", tempC)}, true
}

// inUnit is a weight in a unit of weight.
func inUnit(kg float64, unit string) float64 {
	from, _ := read.FindUnit("kg")
	to, _ := read.FindUnit(unit)
	return read.Convert(kg, from, to)
}

// partQuestion asks about a part of an empty hive that is far from its usual
// weight. The shares tell kg from lb, of which there are 2.2.
func partQuestion(kg, usualKg float64, box bool, unit string) (read.Problem, bool) {
	low, high, none := lightPartShare, heavyPartShare, kg == 0
	if box {
		low, high, none = lightBoxShare, heavyBoxShare, false
	}
	if none || kg >= low*usualKg && kg <= high*usualKg {
		return read.Problem{}, false
	}
	fix := "check the unit"
	if box {
		fix += "; a box is weighed with its drawn combs"
	}
	return read.Problem{
		Code:    EmptyGuard,
		Level:   read.Ask,
		Message: fmt.Sprintf("%.3g %s is far from the usual %.3g %s", inUnit(kg, unit), unit, inUnit(usualKg, unit), unit),
		Fix:     fix,
	}, true
}

// nectarQuestion asks about a day of the first dependable nectar that is not in
// spring; in the south it may come in February.
func nectarQuestion(day time.Time, latDeg float64) (read.Problem, bool) {
	if p, odd := bloom.OutOfSeason(day); odd {
		return p, true
	}
	switch m := day.Month(); {
	case day.IsZero() || m != time.December && m != time.January && m != time.February, m == time.February && latDeg < surestLatDeg:
		return read.Problem{}, false
	}
	return read.Problem{
		Code:    bloom.SeasonGuard,
		Level:   read.Ask,
		Message: "dependable nectar on " + day.Format("2 January 2006") + " is not in spring",
		Fix:     "correct the month, or the order of day and month",
	}, true
}

// meansOdd tells of twelve monthly means, C, that are of no place with bees and a
// winter.
func meansOdd(meanC []float64) (read.Problem, bool) {
	p := read.Problem{Code: MeansGuard}
	coldest, warmest := slices.Min(meanC), slices.Max(meanC)
	switch {
	case meanC[0] > meanC[6]:
		p.Message, p.Fix = "January is warmer than July", "write the means from January to December, of a place north of the equator"
	case warmest < coldestSummerC:
		p.Message, p.Fix = fmt.Sprintf("the warmest month has a mean of %.0f C", warmest), "check the unit: C under monthly_means_c, F under monthly_means_f"
	case warmest-coldest < leastSwingC:
		p.Message, p.Fix = fmt.Sprintf(
			"the coldest and the warmest month differ by %.0f C",
			warmest-coldest,
		), "write one mean for each month, from January to December"
	default:
		return p, false
	}
	return p, true
}

// mixQuestion asks about a syrup with much more water than sugar, which is none that
// feeds a colony in spring, and about one with more sugar than water dissolves.
func mixQuestion(s syrup.Strength, at read.Problem) (read.Problem, bool) {
	at.Level = read.Ask
	switch {
	case s.IsZero():
		return at, false
	case s.MassFrac < thinnestFrac:
		at.Code, at.Fix = ThinGuard, "write sugar first: 2:1 is two parts of sugar to one of water"
		at.Message = fmt.Sprintf("a syrup of %s is %.0f %% sugar: more water than sugar", s, 100*s.MassFrac)
	case s.MassFrac > thickestFrac:
		at.Code, at.Fix = ThickGuard, "2:1 by weight is the thickest that is mixed; thicker it sets in the feeder"
		at.Message = fmt.Sprintf("a syrup of %s is %.0f %% sugar: more than water dissolves", s, 100*s.MassFrac)
	default:
		return at, false
	}
	return at, true
}

// ask asks about a cell; a row that says confirmed = yes has answered.
func (e *entry) ask(col string, p read.Problem) {
	if p.Level == read.Ask && e.confirmed {
		p = p.Confirmed()
	}
	e.row.Report(col, p)
}
