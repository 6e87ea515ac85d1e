package hindcast

import (
	"fmt"
	"math"
	"slices"
	"time"

	"bloomgap/forage"
	"bloomgap/forage/scales"
)

// Rule says which steps of the weight bees cannot make.
type Rule struct {
	StillLossKg float64 // most that a colony loses on a day without flight, kg/d, 0.2-3
	FlownLossKg float64 // more on a day of full flight, kg/d, 0-5
	GainKgPerH  float64 // most that a colony gains per full hour of foraging, kg/h, 0-3
	FullFlightH float64 // hours of foraging that make a day of full flight, 1-16
	Sigmas      float64 // margin, in standard deviations of the scatter of a step, 2-10
	LeastKg     float64 // least margin, kg, 0-3: rain and snow
	BackDays    int     // days within which a load is gone again, 0-30
}

// DefaultRule is meant so: 0.6 kg without flight is twice a strong colony's 2 kg in a week of
// a cold snap; with a day of flight it comes to 2.3 kg, never exceeded (Liebig,
// Hohenheim); half a kilogram an hour is 3.5 kg in a day of 7 hours, well over the
// 2 kg of a strong first flow (trade records). Margins are own judgement.
func DefaultRule() Rule {
	return Rule{StillLossKg: 0.6, FlownLossKg: 1.7, GainKgPerH: 0.5, FullFlightH: 7, Sigmas: 4, LeastKg: 0.7, BackDays: 7}
}

// Validate tells what is out of range.
func (r Rule) Validate() error {
	in := func(x, low, high float64) bool { return x >= low && x <= high }
	switch {
	case !in(r.StillLossKg, 0.2, 3) || !in(r.FlownLossKg, 0, 5) || !in(r.GainKgPerH, 0, 3) || !in(r.FullFlightH, 1, 16):
		return fmt.Errorf(
			"the loss and gain that bees can make are out of range: %g, %g kg a day, %g kg/h, %g h",
			r.StillLossKg,
			r.FlownLossKg,
			r.GainKgPerH,
			r.FullFlightH,
		)
	case !in(r.Sigmas, 2, 10) || !in(r.LeastKg, 0, 3):
		return fmt.Errorf("the margin of a step must be 2 to 10 standard deviations and 0 to 3 kg at least, not %g and %g", r.Sigmas, r.LeastKg)
	case r.BackDays < 0 || r.BackDays > 30:
		return fmt.Errorf("a load must be gone within 0 to 30 days, not %d", r.BackDays)
	}
	return nil
}

// Cause is why a step was taken out.
type Cause string

// The causes.
const (
	Written Cause = "written" // down by the keeper
	Gained  Cause = "gained"  // more than flight allows
	Lost    Cause = "lost"    // more than bees can eat
	Load    Cause = "load"    // that was gone again
)

// Step is a change of weight that is not the bees'.
type Step struct {
	From, To time.Time // the weighings before and after; of a load, its first and last reading
	Kg       float64   // taken out; of a load, the most it weighed
	Cause    Cause
	Surely   bool // the amount was written down
	Note     string
}

// Point is a weighing as it is used.
type Point struct {
	Date    time.Time
	Day     int     // days since the first weighing
	SeenKg  float64 // as the scale showed it
	Kg      float64 // with all steps up to it taken out: as if nobody had touched the hive
	Steps   int     // steps of unknown amount up to it
	LeftOut bool    // under a load
}

// fewestRates is how many steps a usual day is worked out from, 1, 3-10, own
// judgement.
const fewestRates = 3

// rateWithinDays is how near they must lie, d, 7-30, own judgement.
const rateWithinDays = 14

// scatterOf works out the scatter of single readings in kg from series of three
// with a day between each: w1 - 2 w2 + w3 has 6 times their variance, and a
// middle that outliers do not move. It needs ten such series; else NaN.
func scatterOf(ws []scales.Weighing) float64 {
	var d []float64
	for i := 2; i < len(ws); i++ {
		if ws[i].Handled || ws[i-1].Handled || dayNumber(ws[i-2].Date, ws[i].Date) != 2 || dayNumber(ws[i-2].Date, ws[i-1].Date) != 1 {
			continue
		}
		d = append(d, math.Abs(ws[i-2].GrossKg-2*ws[i-1].GrossKg+ws[i].GrossKg))
	}
	if len(d) < 10 {
		return math.NaN()
	}
	const normalMAD = 0.6745 // middle of |z| for a standard normal z (tables)
	return median(d) / normalMAD / math.Sqrt(6)
}

// takeOut takes the steps out of weighings in order. day gives the weather of a
// date, false when it is not known: then full flight is allowed for.
func takeOut(ws []scales.Weighing, scatterKg float64, day func(time.Time) (forage.Day, bool), rule Rule) ([]Point, []Step) {
	margin := math.Max(rule.LeastKg, rule.Sigmas*math.Sqrt2*scatterKg)
	n := len(ws)
	low, high := make([]float64, n), make([]float64, n)
	delta := make([]float64, n)
	normal := make([]bool, n) // a step that bees can make
	for i := 1; i < n; i++ {
		low[i], high[i] = possible(ws[i-1].Date, ws[i].Date, day, rule)
		delta[i] = ws[i].GrossKg - ws[i-1].GrossKg
		normal[i] = !ws[i].Handled && delta[i] >= low[i]-margin && delta[i] <= high[i]+margin
	}
	usual := func(i int) float64 {
		var rates []float64
		for j := 1; j < n; j++ {
			if normal[j] && math.Abs(float64(dayNumber(ws[i].Date, ws[j].Date))) <= rateWithinDays {
				rates = append(rates, delta[j]/float64(dayNumber(ws[j-1].Date, ws[j].Date)))
			}
		}
		if len(rates) < fewestRates {
			return 0
		}
		return median(rates) * float64(dayNumber(ws[i-1].Date, ws[i].Date))
	}

	points := make([]Point, 0, n)
	var steps []Step
	shift, unsure := 0.0, 0
	add := func(i int, leftOut bool) {
		points = append(points, Point{Date: ws[i].Date, Day: dayNumber(ws[0].Date, ws[i].Date), SeenKg: ws[i].GrossKg,
			Kg: ws[i].GrossKg - shift, Steps: unsure, LeftOut: leftOut})
	}
	for i := 0; i < n; i++ {
		if i == 0 || normal[i] {
			add(i, false)
			continue
		}
		if !ws[i].Handled {
			if j := backAt(ws, i, rule.BackDays); j > i {
				most := 0.0
				for k := i; k < j; k++ {
					if kg := ws[k].GrossKg - ws[i-1].GrossKg; math.Abs(kg) > math.Abs(most) {
						most = kg
					}
					add(k, true)
				}
				steps = append(steps, Step{From: ws[i].Date, To: ws[j-1].Date, Kg: most, Cause: Load, Note: ws[i].Note})
				add(j, false)
				i = j
				continue
			}
		}
		step := Step{From: ws[i-1].Date, To: ws[i].Date, Cause: Gained, Note: ws[i].Note}
		switch {
		case ws[i].Handled && !math.IsNaN(ws[i].ChangeKg):
			step.Cause, step.Kg, step.Surely = Written, ws[i].ChangeKg, true
		case ws[i].Handled:
			step.Cause, step.Kg = Written, delta[i]-usual(i)
			unsure++
		default:
			if delta[i] < 0 {
				step.Cause = Lost
			}
			step.Kg = delta[i] - usual(i)
			unsure++
		}
		shift += step.Kg
		steps = append(steps, step)
		add(i, false)
	}
	return points, steps
}

// possible gives the least and most change that bees can make after one date up
// to another.
func possible(from, to time.Time, day func(time.Time) (forage.Day, bool), rule Rule) (low, high float64) {
	flown := 0.0
	for d := from.AddDate(0, 0, 1); !d.After(to); d = d.AddDate(0, 0, 1) {
		hours := rule.FullFlightH
		if w, ok := day(d); ok {
			hours = w.ForagingH
		}
		low -= rule.StillLossKg
		high += rule.GainKgPerH * hours
		flown = math.Max(flown, math.Min(1, hours/rule.FullFlightH))
	}
	return low - rule.FlownLossKg*flown, high
}

// backAt finds the first weighing within BackDays of a step at i on which two
// thirds of the step are gone and no more than that and what is eaten; i when
// there is none or the hive was worked on before it. (Feed that was laid on is
// not gone so soon.)
func backAt(ws []scales.Weighing, i, backDays int) int {
	step := ws[i].GrossKg - ws[i-1].GrossKg
	third := math.Abs(step) / 3
	for j := i + 1; j < len(ws); j++ {
		days := dayNumber(ws[i].Date, ws[j].Date)
		if ws[j].Handled || days > backDays {
			return i
		}
		if kg := ws[j].GrossKg - ws[i-1].GrossKg; kg <= third && kg >= -third-eatenKgPerDay*float64(days) {
			return j
		}
	}
	return i
}

// eatenKgPerDay is what a colony may well eat while a load lies on its hive, kg/d,
// 0.04-0.2: 1 kg a week in early spring (institute pages).
const eatenKgPerDay = 0.15

func dayNumber(from, to time.Time) int { return int(math.Round(to.Sub(from).Hours() / 24)) }

// inOrder tells whether weighings stand in order, one a day.
func inOrder(ws []scales.Weighing) bool {
	return slices.IsSortedFunc(ws, func(a, b scales.Weighing) int {
		if !a.Date.Before(b.Date) {
			return 1
		}
		return -1
	})
}

// median leaves x sorted; NaN for an empty one.
func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	slices.Sort(x)
	n := len(x)
	return (x[(n-1)/2] + x[n/2]) / 2
}
