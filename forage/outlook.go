package forage

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"time"

	"bloomgap/forage/bloom"
	"bloomgap/forage/flight"
	"bloomgap/forage/weather"
)

// Year is the weather of one year that this season may come to resemble.
type Year struct {
	Label  string          // "1997", "generated 12"
	Record *weather.Record // holds the year's days without a hole
	Number int             // the calendar year in Record that stands for the season's
	Weight float64         // its share in the ensemble, before all weights are made to sum to 1
	Origin Origin          // Past or Generated
}

// Prospect is what is known of a place and a season before springs are made of
// it.
type Prospect struct {
	LatDeg    float64
	Start     time.Time       // first day wanted: the day after the earliest observation, or that day
	Today     time.Time       // the day the question is asked; days up to it come from Season
	End       time.Time       // last day wanted
	Season    *weather.Record // this season's days so far; nil when there are none
	Forecast  *weather.Record // the next days; nil when there is none
	Years     []Year
	Pollen    bloom.Threshold // first pollen worth flying for
	Nectar    bloom.Threshold // first dependable nectar
	BloomSeen time.Time       // an observed or expected date that overrides Nectar; zero when none
	BloomSD   float64         // its spread, days
	LaterDays int             // every spring comes this many days later than its year's from Today on; negative: earlier
}

// Spring is one possible spring at a place: Days[i] is Start plus i days.
type Spring struct {
	Label     string
	Weight    float64 // all springs of an outlook sum to 1
	Days      []Day
	PollenDay int // day of Days on which pollen bloom begins; negative before it, len(Days) when not reached
	BloomDay  int // the same of dependable nectar bloom
}

// Outlook holds the possible springs of a place.
type Outlook struct {
	Start           time.Time
	Springs         []Spring
	BloomGiven      bool      // the bloom date was given, not reckoned
	BloomSpreadDays float64   // SD of the bloom day round the springs' own
	PollenSpread    float64   // the same of pollen, days
	ObservedTo      time.Time // last day of this season that is known; zero when none is
}

// Date is the calendar date of a day of the outlook.
func (o *Outlook) Date(day int) time.Time { return o.Start.AddDate(0, 0, day) }

// Day is the day of the outlook that a date falls on; it may lie outside.
func (o *Outlook) Day(date time.Time) int {
	return int(math.Round(date.Sub(o.Start).Hours() / 24))
}

// Fingerprint is the same for the same weather and bloom in every spring: 16
// letters of a SHA-256 of them.
func (o *Outlook) Fingerprint() string {
	sum := sha256.New()
	var b []byte
	put := func(v float64) { b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v)) }
	for i := range o.Springs {
		s := &o.Springs[i]
		b = append(b[:0], s.Label...)
		put(s.Weight)
		put(float64(s.PollenDay))
		put(float64(s.BloomDay))
		for k := range s.Days {
			put(s.Days[k].TminC)
			put(s.Days[k].TmaxC)
			put(s.Days[k].PrecipMm)
		}
		sum.Write(b)
	}
	return hex.EncodeToString(sum.Sum(nil))[:16]
}

// NewOutlook makes the springs. It refuses a prospect without years, with its
// dates in the wrong order, or with a year that lacks days.
func NewOutlook(p Prospect) (*Outlook, error) {
	switch {
	case len(p.Years) == 0:
		return nil, fmt.Errorf("no spring can be made: the weather record holds no whole spring and no climate was named")
	case p.End.Before(p.Start):
		return nil, fmt.Errorf("the season ends on %s, before it starts on %s", p.End.Format(time.DateOnly), p.Start.Format(time.DateOnly))
	}
	out := &Outlook{Start: p.Start, BloomGiven: !p.BloomSeen.IsZero(), PollenSpread: p.Pollen.SpreadDays, ObservedTo: p.ObservedTo()}
	if p.BloomSeen.After(p.Today) {
		p.BloomSeen = p.BloomSeen.AddDate(0, 0, p.LaterDays)
	}
	out.BloomSpreadDays = p.Nectar.SpreadDays
	if out.BloomGiven {
		out.BloomSpreadDays = p.BloomSD
	}
	total := 0.0
	for _, y := range p.Years {
		total += y.Weight
	}
	// Warmth is summed from before the start of the run, so the spring is put
	// together from the first day that a threshold may count.
	first := time.Date(p.End.Year()-1, time.December, 1, 0, 0, 0, 0, time.UTC)
	if p.Start.Before(first) {
		first = p.Start
	}
	n := dayNumber(first, p.End) + 1
	tminC, tmaxC := make([]float64, n), make([]float64, n)
	lights := make([]flight.Daylight, n) // the same in every spring
	for _, y := range p.Years {
		sp := Spring{Label: y.Label, Weight: y.Weight / total, Days: make([]Day, 0, dayNumber(p.Start, p.End)+1)}
		for i := range n {
			date := first.AddDate(0, 0, i)
			day, origin, ok := p.dayOf(date, &y)
			if !ok {
				if !date.Before(p.Start) {
					return nil, fmt.Errorf("the weather of %s lacks a temperature for %s; fill the gap or leave the year out", y.Label, date.Format("2 January"))
				}
				tminC[i], tmaxC[i] = math.NaN(), math.NaN()
				continue
			}
			tminC[i], tmaxC[i] = day.TminC, day.TmaxC
			if !date.Before(p.Start) {
				if lights[i].LengthH == 0 {
					lights[i] = flight.NewDaylight(p.LatDeg, date.YearDay())
				}
				sp.Days = append(sp.Days, dayIn(&lights[i], date, day.TminC, day.TmaxC, day.PrecipMm, origin))
			}
		}
		offset := dayNumber(first, p.Start)
		firstDOY := 1 - dayNumber(first, time.Date(p.End.Year(), time.January, 1, 0, 0, 0, 0, time.UTC))
		reach := func(th bloom.Threshold) int {
			if i, ok := th.FirstReached(tminC, tmaxC, firstDOY); ok {
				return i - offset
			}
			return len(sp.Days)
		}
		sp.PollenDay, sp.BloomDay = reach(p.Pollen), reach(p.Nectar)
		if out.BloomGiven {
			sp.BloomDay = dayNumber(p.Start, p.BloomSeen)
		}
		out.Springs = append(out.Springs, sp)
	}
	return out, nil
}

// ObservedTo is the last day of this season, up to today, that is known; the zero
// time when none of the last observedBack is.
func (p *Prospect) ObservedTo() time.Time {
	if p.Season == nil {
		return time.Time{}
	}
	for back := range observedBack {
		date := p.Today.AddDate(0, 0, -back)
		if _, ok := p.Season.At(date); ok {
			return date
		}
	}
	return time.Time{}
}

// observedBack is how far back a day still belongs to this season, d, 90-200,
// own judgement: from today's spring to its winter.
const observedBack = 150

// dayOf finds the weather of a date: this season's up to today, then the
// forecast's, then that of the year. In a spring that comes later the year's days after
// today are those of so many days before; one that the year lacks is the date's own.
func (p *Prospect) dayOf(date time.Time, y *Year) (weather.Day, Origin, bool) {
	if p.Season != nil && !date.After(p.Today) {
		if d, ok := p.Season.At(date); ok {
			return d, Observed, true
		}
	}
	if p.Forecast != nil && date.After(p.Today) {
		if d, ok := p.Forecast.At(date); ok {
			return d, Forecast, true
		}
	}
	in := y.Number + date.Year() - p.End.Year()
	if p.LaterDays != 0 && date.After(p.Today) {
		if d, ok := y.Record.At(inYear(date, in).AddDate(0, 0, -p.LaterDays)); ok {
			return d, y.Origin, ok
		}
	}
	d, ok := y.Record.At(inYear(date, in))
	return d, y.Origin, ok
}

// inYear moves a date into another year; 29 February becomes the 28th where
// that year has none.
func inYear(date time.Time, year int) time.Time {
	moved := time.Date(year, date.Month(), date.Day(), 0, 0, 0, 0, time.UTC)
	if moved.Month() != date.Month() {
		moved = moved.AddDate(0, 0, -1)
	}
	return moved
}

func dayNumber(from, to time.Time) int { return int(math.Round(to.Sub(from).Hours() / 24)) }
