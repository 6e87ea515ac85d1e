package weather

import (
	"fmt"
	"math"
	"time"
)

// stuckDays is the shortest run of days with the same two temperatures that is
// taken for a stuck instrument or a copied figure: 5 days, plausible 4-7 (common
// practice). Figures rounded to whole degrees make shorter runs by chance.
const stuckDays = 5

// Stuck is a run of days with the very same lowest and highest temperatures.
type Stuck struct {
	Span
	TminC, TmaxC float64
}

// Quality is what Check found out about a record.
type Quality struct {
	Span
	Days        int         // calendar days from first to last
	TempDays    int         // days with both temperatures
	PrecipDays  int         // days with precipitation known
	TempShare   float64     // TempDays of Days, 0-1; NaN for an empty record
	PrecipShare float64     // PrecipDays of Days, 0-1; NaN for an empty record
	Duplicates  []time.Time // dates that came twice in a source
	Flagged     []Removed   // failed by the weather service itself
	Impossible  []Removed   // outside the limits
	Crossed     []Removed   // lowest above highest
	Stuck       []Stuck     // still in the record: look at them
	Gaps        []Span      // runs of days without both temperatures
	LongestGap  Span        // zero when there is none
	Warnings    []string    // the above in words, one thing each
}

// Check looks at a record and changes nothing. A record that came from Read holds
// no impossible and no crossed values any more; Check lists those that were
// removed then. In a record made otherwise it lists those that stand in it.
func Check(rec *Record) Quality {
	q := Quality{Days: len(rec.Days), Duplicates: rec.Duplicates, TempShare: math.NaN(), PrecipShare: math.NaN()}
	bad := append(append([]Removed(nil), rec.Removed...), faults(rec)...)
	for _, b := range bad {
		switch b.Reason {
		case Flagged:
			q.Flagged = append(q.Flagged, b)
		case Impossible:
			q.Impossible = append(q.Impossible, b)
		case Crossed:
			q.Crossed = append(q.Crossed, b)
		}
	}
	if q.Days == 0 {
		q.Warnings = []string{"the record has no day"}
		return q
	}
	q.Span = Span{rec.First, rec.Last()}
	run := 0
	for i, d := range rec.Days {
		if d.HasTemp() {
			q.TempDays++
		}
		if !math.IsNaN(d.PrecipMm) {
			q.PrecipDays++
		}
		// NaN is unlike everything, so an unknown day ends a run.
		if i > 0 && d.TminC == rec.Days[i-1].TminC && d.TmaxC == rec.Days[i-1].TmaxC {
			run++
		} else {
			run = 1
		}
		switch {
		case run == stuckDays:
			q.Stuck = append(q.Stuck, Stuck{Span{rec.Date(i - run + 1), rec.Date(i)}, d.TminC, d.TmaxC})
		case run > stuckDays:
			q.Stuck[len(q.Stuck)-1].Last = rec.Date(i)
		}
	}
	q.TempShare = float64(q.TempDays) / float64(q.Days)
	q.PrecipShare = float64(q.PrecipDays) / float64(q.Days)
	for _, g := range gaps(rec) {
		s := Span{rec.Date(g.from), rec.Date(g.to - 1)}
		q.Gaps = append(q.Gaps, s)
		if q.LongestGap.First.IsZero() || s.Days() > q.LongestGap.Days() {
			q.LongestGap = s
		}
	}
	q.words()
	return q
}

func (q *Quality) words() {
	say := func(format string, args ...any) { q.Warnings = append(q.Warnings, fmt.Sprintf(format, args...)) }
	if n := len(q.Duplicates); n > 0 {
		say("%s more than once, the first is %s", count(n, "date comes", "dates come"), q.Duplicates[0].Format(time.DateOnly))
	}
	for _, list := range [][]Removed{q.Flagged, q.Impossible, q.Crossed} {
		if n := len(list); n > 0 {
			say("%s (%s), the first on %s", count(n, "value was taken as missing", "values were taken as missing"), list[0].Reason, list[0].Date.Format(time.DateOnly))
		}
	}
	if n := len(q.Stuck); n > 0 {
		say("%s of %d days or more with the very same temperatures, the first from %s to %s: a stuck instrument or copied figures",
			count(n, "run", "runs"), stuckDays, q.Stuck[0].First.Format(time.DateOnly), q.Stuck[0].Last.Format(time.DateOnly))
	}
	if n := len(q.Gaps); n > 0 {
		say("temperatures are missing on %d of %d days (%.1f %%), in %s; the longest is %s from %s to %s", q.Days-q.TempDays, q.Days,
			100*(1-q.TempShare), count(n, "gap", "gaps"), count(q.LongestGap.Days(), "day", "days"),
			q.LongestGap.First.Format(time.DateOnly), q.LongestGap.Last.Format(time.DateOnly))
	}
	if q.PrecipDays == 0 {
		say("the record has no precipitation: rain is not known on any day")
	} else if missing := q.Days - q.PrecipDays; missing > 0 {
		say("precipitation is missing on %d of %d days (%.1f %%)", missing, q.Days, 100*(1-q.PrecipShare))
	}
	if n := q.Days; float64(n) < daysInYear {
		say("the record has %s; at least 10 springs are wanted for a sound answer", count(n, "day", "days"))
	}
}

// faults lists the impossible and crossed values that stand in a record.
func faults(rec *Record) []Removed {
	var out []Removed
	for i, d := range rec.Days {
		crossed := d.TminC > d.TmaxC
		for e, v := range [...]float64{Tmin: d.TminC, Tmax: d.TmaxC, Precip: d.PrecipMm} {
			switch {
			case impossible(Element(e), v):
				out = append(out, Removed{Date: rec.Date(i), Element: Element(e), Value: v, Reason: Impossible})
			case crossed && Element(e) != Precip && !impossible(Tmin, d.TminC) && !impossible(Tmax, d.TmaxC):
				out = append(out, Removed{Date: rec.Date(i), Element: Element(e), Value: v, Reason: Crossed})
			}
		}
	}
	return out
}

// gap is a run of days [from, to) without both temperatures.
type gap struct{ from, to int }

func gaps(rec *Record) []gap {
	var out []gap
	for i := 0; i < len(rec.Days); i++ {
		if rec.Days[i].HasTemp() {
			continue
		}
		g := gap{from: i}
		for i < len(rec.Days) && !rec.Days[i].HasTemp() {
			i++
		}
		g.to = i
		out = append(out, g)
	}
	return out
}
