package bloom

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"bloomgap/forage/weather"
)

// Spring is one possible spring on the calendar of a common year, past or
// generated.
type Spring struct {
	Name         string
	Weight       float64   // more than 0; 1 for all is usual
	FirstDOY     int       // day of the year of the first entry, 1 is 1 January
	TminC, TmaxC []float64 // C, NaN when not known
}

// SpringsOf cuts a record into its springs, 1 November of the year before to
// 31 August, leaving 29 February out. Years in skip are left out, such as the
// one that is forecast. A year without any temperature is left out too.
func SpringsOf(rec *weather.Record, skip ...int) []Spring {
	var out []Spring
	if len(rec.Days) == 0 {
		return out
	}
next:
	for year := rec.First.Year(); year <= rec.Last().Year(); year++ {
		for _, s := range skip {
			if s == year {
				continue next
			}
		}
		const first, last = -60, 243 // 1 November before, 31 August
		s := Spring{Name: strconv.Itoa(year), Weight: 1, FirstDOY: first}
		zero := rec.Index(jan1(year)) - 1
		known := 0
		for doy := first; doy <= last; doy++ {
			d := weather.Day{TminC: math.NaN(), TmaxC: math.NaN()}
			if i := zero + shiftDOY(doy, isLeap(year)); i >= 0 && i < len(rec.Days) {
				d = rec.Days[i]
			}
			if d.HasTemp() && doy > 0 {
				known++
			}
			s.TminC, s.TmaxC = append(s.TminC, d.TminC), append(s.TmaxC, d.TmaxC)
		}
		if known > 0 {
			out = append(out, s)
		}
	}
	return out
}

// ForecastInput is what Forecast works from.
type ForecastInput struct {
	Year      int
	Season    *weather.Record // this season's days, observed and then forecast; may be nil, may have holes
	Springs   []Spring        // what may come after; also fills holes of Season
	NotBefore time.Time       // bloom was not seen before this day, usually today; zero when nobody looked
}

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

// NoDateError says why no spring gave a date.
type NoDateError struct {
	Springs int
	Reasons map[string]int // reason -> springs
}

func (e NoDateError) Error() string {
	if e.Springs == 0 {
		return "no possible springs were given; give a weather record or monthly normals"
	}
	s := fmt.Sprintf("none of %d springs gave a bloom date", e.Springs)
	for r := reached; r <= startsLater; r++ {
		if n := e.Reasons[r.String()]; n > 0 {
			s += fmt.Sprintf("; %d: %s", n, r)
		}
	}
	return s
}

// Forecast gives the bloom dates of this season: on each possible spring, with
// its days replaced by those of the season wherever they are known, the day on
// which the sum is reached. So the dates draw together as the season goes on.
//
// Errors: NoDateError; those of th.Validate; a weight that is not a positive
// number.
func Forecast(th Threshold, in ForecastInput) (Distribution, error) {
	if err := th.Validate(); err != nil {
		return Distribution{}, err
	}
	leap := isLeap(in.Year)
	dist := Distribution{SpreadDays: th.SpreadDays, NotBefore: in.NotBefore}
	reasons := map[string]int{}
	total, lost := 0.0, 0.0
	for _, s := range in.Springs {
		if !(s.Weight > 0) || math.IsInf(s.Weight, 1) {
			return Distribution{}, fmt.Errorf("spring %s has weight %g, it must be more than 0", s.Name, s.Weight)
		}
		if len(s.TminC) != len(s.TmaxC) {
			panic("bloom: minima and maxima of unequal length")
		}
		total += s.Weight
		// The walk begins at the earlier of the spring's first day and the start day.
		firstDOY := min(shiftDOY(s.FirstDOY, leap), th.startIn(leap))
		end := shiftDOY(s.FirstDOY+len(s.TminC)-1, leap)
		at := func(i int) (float64, float64) {
			doy := firstDOY + i
			if in.Season != nil {
				if d, ok := in.Season.At(jan1(in.Year).AddDate(0, 0, doy-1)); ok {
					return d.TminC, d.TmaxC
				}
			}
			common := doy
			if leap && doy >= 60 {
				common-- // 29 February takes the weather of the 28th
			}
			if k := common - s.FirstDOY; k >= 0 && k < len(s.TminC) {
				return s.TminC[k], s.TmaxC[k]
			}
			return math.NaN(), math.NaN()
		}
		i, o := th.walk(max(0, end-firstDOY+1), firstDOY, leap, at, nil)
		if o != reached {
			reasons[o.String()]++
			lost += s.Weight
			continue
		}
		dist.Members = append(dist.Members, Member{s.Name, s.Weight, jan1(in.Year).AddDate(0, 0, firstDOY+i-1)})
	}
	if len(dist.Members) == 0 {
		return Distribution{}, NoDateError{Springs: len(in.Springs), Reasons: reasons}
	}
	for i := range dist.Members {
		dist.Members[i].Weight /= total - lost
	}
	dist.UnreachedShare = lost / total
	return dist, nil
}

// ObservedOverride is the distribution of a date that the beekeeper has seen
// (spread 0) or expects (its SD in days, 0-60).
func ObservedOverride(date time.Time, spreadDays float64) Distribution {
	if !(spreadDays >= 0) {
		panic("bloom: spread of a date below 0")
	}
	return Distribution{Members: []Member{{Name: "observed", Weight: 1, Date: date}}, SpreadDays: spreadDays}
}

// Draw gives the bloom date of a spring in the ensemble: the day on which its
// sum is reached, moved by z standard errors (z from a standard normal, given
// by the caller, the same for all yards and treatments of a draw) and rounded
// to a day; never before notBefore, unless that is the zero time.
func Draw(thermal time.Time, spreadDays, z float64, notBefore time.Time) time.Time {
	d := thermal.AddDate(0, 0, int(math.Round(z*spreadDays)))
	if !notBefore.IsZero() && d.Before(notBefore) {
		return notBefore
	}
	return d
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
