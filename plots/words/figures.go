package words

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"bloomgap/forage/read"
)

// Difference is a difference or a standard deviation held in the metric unit, in
// the unit it is written in.
func (u Style) Difference(v float64, metric string) float64 {
	from, _ := read.FindUnit(metric)
	return read.ConvertDifference(v, from, read.OutputUnit(metric, u.US))
}

// Fixed is a number with so many decimals, "-" when it is not known.
func Fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "-"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-") // no minus before nothing
	}
	return s
}

// Percent is a share, 0 to 1, as a percentage; one that is not whole is never shown
// as 100.
func Percent(frac float64) string {
	if frac < 1 && frac > 0.999 {
		return "99.9 %"
	}
	s := Fixed(100*frac, 1)
	return strings.TrimSuffix(s, ".0") + " %"
}

// DayMonth is a day for a column, "-" for none.
func DayMonth(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return t.Format("2 Jan")
}

// FullDate is a day with its year, whatever the units.
func FullDate(t time.Time) string { return t.Format("2 January 2006") }

// Hundreds is a number of bees, to the hundred: "10,400".
func Hundreds(v float64) string { return hundreds(v) }

// BloomAdvice says whether to use thermal time or the mean date, by their errors in
// days on years left out.
func BloomAdvice(useMean bool, mean time.Time, meanDays, thermalDays float64) string {
	day := mean.Format("2 January")
	if useMean {
		return fmt.Sprintf("On years left out the mean date, %s, is off by %.1f days and warmth by %.1f: use the mean date.", day, meanDays, thermalDays)
	}
	return fmt.Sprintf("On years left out warmth, with the way chosen anew each time, is off by %.1f days and the mean date, %s, by %.1f: use warmth.",
		thermalDays, day, meanDays)
}
