package scales

import (
	"fmt"
	"math"
	"slices"
	"time"

	"bloomgap/forage/climate"
	"bloomgap/forage/read"
)

// The codes of this package.
const (
	GramsGuard  read.Code = "weight-grams" // weights in kg that look like grams
	InHiveGuard read.Code = "air-in-hive"  // temperatures of the air that look like those of a hive
	UnitGuard   read.Code = "weight-unit"  // weights that look like another unit
	LiftGuard   read.Code = "weight-lift"  // weights that no hive has, as of a hive that was lifted
)

// looksLikeGrams asks for grams where the middle of a column without a unit lies
// among the weights of hives in grams. It tells whether it did.
func looksLikeGrams(t *read.Table, heading string, line, column int, ps *read.Problems) bool {
	var kg []float64
	for i := range t.Rows {
		if v, _, ok := read.Figure(t.Rows[i].Text("weight")); ok && !math.IsNaN(v) {
			kg = append(kg, v)
		}
	}
	const gPerKg = 1000
	mid := median(kg)
	if !(mid >= leastHiveKg*gPerKg && mid <= mostHiveKg*gPerKg) {
		return false
	}
	ps.Report(read.Problem{Code: GramsGuard, File: t.File, Line: line, Column: column,
		Message: fmt.Sprintf("the figures under %q lie about %.0f, and no hive weighs so many kg: they look like grams", heading, mid),
		Fix:     "when they are grams, write weight_g over them; when not, check the scale"})
	return true
}

// Middle weights of a hive in a column, kg, outside which it looks like another
// unit (own judgement: a hive of one box without food weighs some 16 kg with its
// bees, one of two boxes full of food 70 kg, and 1 kg is 2.2 lb).
const lightHiveKg, heavyHiveKg = 16.0, 70.0

// looksLikeOtherUnit notes a column whose weights would be usual in lb for kg, or
// in kg for lb.
func looksLikeOtherUnit(t *read.Table, unit, heading string, line, column int, ps *read.Problems) {
	var kg []float64
	for i := range t.Rows {
		if v := t.Rows[i].Float("weight"); v >= leastHiveKg && v <= mostHiveKg {
			kg = append(kg, v)
		}
	}
	from, _ := read.FindUnit("kg")
	lb, _ := read.FindUnit("lb")
	mid := median(kg)
	p := read.Problem{Code: UnitGuard, Level: read.Note, File: t.File, Line: line, Column: column}
	switch other := read.Convert(mid, from, lb); {
	case unit != "lb" && mid > heavyHiveKg:
		p.Message, p.Fix = fmt.Sprintf("the weights under %q lie about %.0f kg, much for a hive", heading, mid), "when they are lb, write weight_lb over them"
	case unit == "lb" && mid < lightHiveKg:
		p.Message, p.Fix = fmt.Sprintf("the weights under %q lie about %.0f lb, little for a hive", heading, other), "when they are kg, write weight_kg over them"
	default:
		return
	}
	ps.Report(p)
}

// inHiveC is how much warmer than usual a month must be for its temperatures to be
// those of a hive, C, 9-20, own judgement: months of the eight reference records
// lie 12.1 C at most from the middle of their kind, and the nearest climate may be a
// few degrees off; a brood nest in April is 20 C and more above the air.
const inHiveC = 13.0

// daysOfMonth is how many days of a month tell its mean, d, 3-15, own judgement.
const daysOfMonth = 5

// inHive finds the first month whose temperatures are those of a hive.
func inHive(days map[time.Time]*airDay, usual climate.Normals) (month time.Time, meanC, usualC float64, found bool) {
	type sums struct {
		n    int
		mean float64
	}
	months := map[time.Time]*sums{}
	for day, d := range days {
		mean := d.mean
		if d.whole {
			mean = (d.low + d.high) / 2
		} else if d.spots == 0 {
			continue
		}
		first := day.AddDate(0, 0, 1-day.Day())
		if months[first] == nil {
			months[first] = &sums{}
		}
		m := months[first]
		m.n++
		m.mean += (mean - m.mean) / float64(m.n)
	}
	var order []time.Time
	for m := range months {
		order = append(order, m)
	}
	slices.SortFunc(order, time.Time.Compare)
	for _, m := range order {
		k := m.Month() - 1
		usualC = (usual.TmaxMeanC[k] + usual.TminMeanC[k]) / 2
		if s := months[m]; s.n >= daysOfMonth && s.mean > usualC+inHiveC {
			return m, s.mean, usualC, true
		}
	}
	return time.Time{}, 0, 0, false
}

// oddWeight is a reading that no hive has.
type oddWeight struct {
	row  *read.Row
	hive string
	day  time.Time
	kg   float64
}

// fewOdd is how many lifts of a hive are told of one by one.
const fewOdd = 3

// sayOdd tells of weights that are not those of a hive: those of one hive on one
// day are one lift of it.
func sayOdd(odd []oddWeight, rows int) {
	fix := "check the scale, or the unit of the column"
	var lifts [][]oddWeight
	for i, o := range odd {
		if i == 0 || o.hive != odd[i-1].hive || !o.day.Equal(odd[i-1].day) {
			lifts = append(lifts, nil)
		}
		n := len(lifts) - 1
		lifts[n] = append(lifts[n], o)
	}
	note := func(at *read.Row, message string) {
		at.Report("weight", read.Problem{Code: LiftGuard, Level: read.Note, Message: message, Fix: fix})
	}
	if len(lifts) > fewOdd {
		note(odd[0].row, fmt.Sprintf("%s and %d more of %d readings, on %d days, are not the weight of a hive (%g-%g kg) and were left out",
			odd[0].row.Text("weight"), len(odd)-1, rows, len(lifts), leastHiveKg, mostHiveKg))
		return
	}
	for _, l := range lifts {
		first := l[0].row
		if len(l) == 1 {
			note(first, first.Text("weight")+" is not the weight of a hive and was left out")
			continue
		}
		low, high := l[0].kg, l[0].kg
		for _, o := range l {
			low, high = math.Min(low, o.kg), math.Max(high, o.kg)
		}
		note(first, fmt.Sprintf("%d readings of %s, %.4g to %.4g kg, are not the weight of a hive and were left out, as when it is lifted",
			len(l), l[0].day.Format(time.DateOnly), low, high))
	}
}
