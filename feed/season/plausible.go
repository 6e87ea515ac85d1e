package season

import (
	"fmt"
	"math"
	"time"

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
	otherUnit, factor := "lb", 0.45359237
	if w.unit == "lb" {
		otherUnit, factor = "kg", 1/0.45359237
	}
	likely := func(totalKg float64) bool {
		return totalKg >= w.tareKg-w.slackKg && totalKg <= w.tareKg+w.fullKg
	}
	text := ""
	if kg := w.totalKg * factor; likely(kg) {
		text = fmt.Sprintf("if the figure is in %s, the hive weighs %s in all and holds about %s of food", otherUnit, show(kg), show(math.Max(0, w.foodKg+kg-w.totalKg)))
	}
	if kg := w.figureKg; w.lift && likely(kg) {
		if text != "" {
			text += "; "
		}
		text += fmt.Sprintf("if it is the weight of the whole hive, write it under gross: then it holds about %s of food", show(math.Max(0, w.foodKg+kg-w.totalKg)))
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
func (w *reading) question(c *Colony, o *Observation, show func(kg float64) string) (read.Problem, bool) {
	other := w.others(show)
	if !w.tooFull(o) || other == "" {
		return read.Problem{}, false
	}
	return read.Problem{Code: WeightGuard, Level: read.Ask,
		Message: fmt.Sprintf("by this weight colony %q holds %s of food, %.0f %% of what its combs take, which is much on %s",
			c.Name, show(w.foodKg), 100*w.foodKg/w.fullKg, o.Date.Format("2 January")),
		Fix: other}, true
}

// countQuestion asks about a temperature at the count that looks like F.
func countQuestion(tempC float64) (read.Problem, bool) {
	if !(tempC > warmCountC) {
		return read.Problem{}, false
	}
	return read.Problem{Code: CountTempGuard, Level: read.Ask, Message: fmt.Sprintf("it was %.0f C when the seams were counted", tempC),
		Fix: fmt.Sprintf("if that is F, write %.0f F", tempC)}, true
}

// ask asks about a cell; a row that says confirmed = yes has answered.
func (e *entry) ask(col string, p read.Problem) {
	if p.Level == read.Ask && e.confirmed {
		p = p.Confirmed()
	}
	e.row.Report(col, p)
}
