package bloom

import (
	"math"
	"time"
)

// Member is the bloom of one possible spring.
type Member struct {
	Name   string
	Weight float64   // all members together make 1
	Date   time.Time // day on which the sum is reached
}

// Distribution is the spread of a bloom date: the members' dates, each blurred
// by a normal error of SpreadDays, and nothing before NotBefore.
type Distribution struct {
	Members        []Member
	SpreadDays     float64   // SD of the error of each member's date
	NotBefore      time.Time // zero: no limit
	UnreachedShare float64   // weight of springs left out because their sum was not reached or not known, 0-1
}

// day of a date as a number; the origin does not matter.
func dayNumber(t time.Time) float64 { return math.Round(float64(t.Unix()) / 86400) }

// Probability gives the chance that bloom comes on the date or before it, 0-1.
func (d Distribution) Probability(date time.Time) float64 {
	if !d.NotBefore.IsZero() && date.Before(d.NotBefore) {
		return 0
	}
	return d.cdf(dayNumber(date) + 0.5)
}

// cdf without the limit, at the end of a day: day + 0.5.
func (d Distribution) cdf(x float64) float64 {
	p := 0.0
	for _, m := range d.Members {
		off := x - dayNumber(m.Date)
		switch {
		case d.SpreadDays > 0:
			p += m.Weight * 0.5 * math.Erfc(-off/(d.SpreadDays*math.Sqrt2))
		case off > 0:
			p += m.Weight
		}
	}
	return p
}

// Quantile gives the first date with at least chance p that bloom has come,
// p between 0 and 1 (both excluded; outside is a programmer's error).
func (d Distribution) Quantile(p float64) time.Time {
	if !(p > 0 && p < 1) || len(d.Members) == 0 {
		panic("bloom: quantile outside 0-1, or of nothing")
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, m := range d.Members {
		lo, hi = math.Min(lo, dayNumber(m.Date)), math.Max(hi, dayNumber(m.Date))
	}
	day, last := int(lo-8*d.SpreadDays)-1, int(hi+8*d.SpreadDays)+1 // 8 SD: beyond rounding
	for day < last {
		if mid := day + (last-day)/2; d.cdf(float64(mid)+0.5) >= p-1e-12 {
			last = mid
		} else {
			day = mid + 1
		}
	}
	t := time.Unix(int64(day)*86400, 0).UTC()
	if !d.NotBefore.IsZero() && t.Before(d.NotBefore) {
		return d.NotBefore
	}
	return t
}

// Quantiles gives the 10, 25, 50, 75 and 90 % dates.
func (d Distribution) Quantiles() [5]time.Time {
	var out [5]time.Time
	for i, p := range [5]float64{0.10, 0.25, 0.50, 0.75, 0.90} {
		out[i] = d.Quantile(p)
	}
	return out
}

// SDDays is the standard deviation of the date, days: of the members' dates
// and of the error together, without regard to NotBefore.
func (d Distribution) SDDays() float64 {
	mean, sq := 0.0, 0.0
	for _, m := range d.Members {
		mean += m.Weight * dayNumber(m.Date)
	}
	for _, m := range d.Members {
		off := dayNumber(m.Date) - mean
		sq += m.Weight * off * off
	}
	return math.Sqrt(sq + d.SpreadDays*d.SpreadDays)
}
