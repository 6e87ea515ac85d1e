package words

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// StepCause says why a step of a hive's weight was taken out, by the code of
// sim/hindcast.
func StepCause(code string) string {
	switch code {
	case "written":
		return "written down"
	case "gained":
		return "more than flight allows"
	case "lost":
		return "more than bees can eat"
	case "load":
		return "a load, gone again"
	}
	return code
}

// StepsFound warns of steps in a hive's weight that nobody wrote down; the dates
// are those of the weighings after them.
func StepsFound(dates []time.Time) string {
	const most = 5
	var days []string
	for i, d := range dates {
		if i == most {
			days = append(days, fmt.Sprintf("and %d more", len(dates)-most))
			break
		}
		days = append(days, d.Format("2 January"))
	}
	return "steps that bees cannot make were taken for work at the hive: " + strings.Join(days, ", ") + "; write that work down if you know it"
}

// ManySteps warns of a scale that steps too often.
func ManySteps(steps, weighings int) string {
	return fmt.Sprintf("%d steps in %d weighings were taken out: the scale may not stand well", steps, weighings)
}

// FewAgree warns that the first readings fit few of the simulated colonies.
func FewAgree(days int, factor float64) string {
	return fmt.Sprintf("few simulated colonies agree with the first %d days; the errors of the readings were taken as %.1f times as large", days, factor)
}

// StartingColony says what is known of a colony on the first day of a hindcast.
// A figure that is not known is NaN.
func StartingColony(bees, seams, meanBees, sdBees, broodFrames float64) string {
	text := "not known; about 10,000 bees, nine in ten from 4,100 to 19,500"
	switch {
	case !math.IsNaN(bees):
		text = Hundreds(bees) + " bees as given, to within a quarter"
	case !math.IsNaN(seams):
		text = fmt.Sprintf("%s bees, give or take %s, from %g seams", Hundreds(meanBees), Hundreds(sdBees), seams)
	}
	if !math.IsNaN(broodFrames) {
		text += fmt.Sprintf("; %g frames of brood", broodFrames)
	}
	return text
}

// SpanEnds says where the scores of a hive end and why.
func SpanEnds(last time.Time, beyond int) string {
	return fmt.Sprintf("Scored to %s: by then dependable nectar has come in nine of ten simulated springs, and the model goes no further. Not used: %s.",
		last.Format("2 January"), Count(beyond, "later weighing", "later weighings"))
}
