package weather

import (
	"fmt"
	"math"
	"time"
)

// FillOptions steer Fill.
type FillOptions struct {
	MaxGapDays    int // longest gap that is filled, days; 0 fills none
	WindowDays    int // days on either side of a gap from which the difference to a neighbour is taken
	MinSharedDays int // fewest days within the window that both records must know
}

// DefaultFillOptions fills gaps of up to 5 days (plausible 3-7), with the mean
// difference of 30 days on either side (plausible 15-45) if at least 15 of them are
// known in both records.
//
// What a filled day is worth, as the root mean square error of its mean temperature
// from February to May, worked out by losing known days: from a neighbour 1.1 C
// (gaps of 5 days at Farnham from Marieville); by a straight line 3.0 C in gaps of
// 1 day and 4.6 C in gaps of 5 at Milwaukee, 1.4 and 2.7 C at Bern, where the
// month's mean would be 5.5 and 3.8 C off. A neighbour is worth the trouble.
// (Data: NOAA GHCN-Daily; MeteoSwiss; Environment and Climate Change Canada,
// Open Government Licence - Canada.)
func DefaultFillOptions() FillOptions {
	return FillOptions{MaxGapDays: 5, WindowDays: 30, MinSharedDays: 15}
}

// Validate tells what is wrong with the options.
func (o FillOptions) Validate() error {
	switch {
	case o.MaxGapDays < 0 || o.MaxGapDays > 31:
		return fmt.Errorf("longest gap to fill: %d days is outside 0 to 31; 5 is usual", o.MaxGapDays)
	case o.WindowDays < 1 || o.WindowDays > 183:
		return fmt.Errorf("days around a gap: %d is outside 1 to 183; 30 is usual", o.WindowDays)
	case o.MinSharedDays < 1 || o.MinSharedDays > 2*o.WindowDays:
		return fmt.Errorf("shared days around a gap: %d is outside 1 to %d; 15 is usual", o.MinSharedDays, 2*o.WindowDays)
	}
	return nil
}

// Method tells how a gap was filled.
type Method uint8

// The methods of Fill.
const (
	NotFilled Method = iota
	FromNeighbour
	StraightLine
)

func (m Method) String() string {
	switch m {
	case FromNeighbour:
		return "from a neighbouring record"
	case StraightLine:
		return "straight line between the days beside it"
	}
	return "not filled"
}

// FillAction is what was done with one gap.
type FillAction struct {
	Span
	Method          Method
	Neighbour       string  // name of the record it was filled from
	ShiftTminC      float64 // mean of this record less the neighbour's, C; NaN unless FromNeighbour
	ShiftTmaxC      float64
	SharedDays      int    // days the shift was taken from
	CrossedMended   int    // days whose filled lowest came out above the highest and were set to their middle
	Why             string // why it was not filled
	HalfKnownDays   int    // days on which one temperature was known and kept
	NeighboursTried int    // neighbours that were looked at
}

func (a FillAction) String() string {
	s := fmt.Sprintf("%s to %s (%s): %s", a.First.Format(time.DateOnly), a.Last.Format(time.DateOnly), count(a.Days(), "day", "days"), a.Method)
	switch a.Method {
	case FromNeighbour:
		s += fmt.Sprintf(
			" %s, shifted by %+.1f C (lowest) and %+.1f C (highest), the mean of %d days around the gap",
			a.Neighbour,
			a.ShiftTminC,
			a.ShiftTmaxC,
			a.SharedDays,
		)
	case NotFilled:
		s += ", " + a.Why
	}
	return s
}

// FillReport lists what Fill did, gap by gap, in the order of the calendar.
type FillReport struct {
	Actions    []FillAction
	FilledGaps int
	FilledDays int
	LeftGaps   int
	LeftDays   int
}

// Fill returns a copy of the record whose short gaps of temperature are filled;
// the record itself is not changed. A gap is a run of days without both
// temperatures. Of each day in it only what is missing is made up:
//
//   - from the first neighbour that knows the whole gap, shifted for each of the
//     two temperatures by the mean difference of the two records over the days
//     around the gap;
//   - else by a straight line between the days just before and just after it.
//
// Gaps longer than MaxGapDays, and gaps at an end of the record that no neighbour
// knows, stay. Precipitation is never made up: it stays NaN. Options that do not
// validate panic.
func Fill(rec *Record, neighbours []*Record, opt FillOptions) (*Record, FillReport) {
	if opt.Validate() != nil {
		panic("weather: fill options do not validate")
	}
	out := rec.Clone()
	var rep FillReport
	for _, g := range gaps(rec) {
		a := FillAction{Span: Span{rec.Date(g.from), rec.Date(g.to - 1)}, ShiftTminC: math.NaN(), ShiftTmaxC: math.NaN()}
		if n := g.to - g.from; n > opt.MaxGapDays {
			a.Why = fmt.Sprintf("longer than %s", count(opt.MaxGapDays, "day", "days"))
		} else {
			fillGap(rec, out, g, neighbours, opt, &a)
		}
		if a.Method == NotFilled {
			rep.LeftGaps++
			rep.LeftDays += a.Days()
		} else {
			rep.FilledGaps++
			rep.FilledDays += a.Days()
			out.Filled = append(out.Filled, a.Span)
		}
		rep.Actions = append(rep.Actions, a)
	}
	return out, rep
}

func fillGap(rec, out *Record, g gap, neighbours []*Record, opt FillOptions, a *FillAction) {
	var guess func(i int) Day
	for _, near := range neighbours {
		if near == nil {
			continue
		}
		a.NeighboursTried++
		shiftMin, shiftMax, shared, ok := shift(rec, near, g, opt)
		if !ok {
			continue
		}
		offset := near.Index(rec.First)
		guess = func(i int) Day {
			d := near.Days[offset+i]
			return Day{TminC: d.TminC + shiftMin, TmaxC: d.TmaxC + shiftMax}
		}
		a.Method, a.Neighbour, a.ShiftTminC, a.ShiftTmaxC, a.SharedDays = FromNeighbour, near.Name, shiftMin, shiftMax, shared
		break
	}
	if a.Method == NotFilled {
		if g.from == 0 || g.to == len(rec.Days) {
			a.Why = "at an end of the record, and no neighbouring record knows these days"
			return
		}
		before, after := rec.Days[g.from-1], rec.Days[g.to]
		steps := float64(g.to - g.from + 1)
		guess = func(i int) Day {
			w := float64(i-g.from+1) / steps
			return Day{TminC: before.TminC + w*(after.TminC-before.TminC), TmaxC: before.TmaxC + w*(after.TmaxC-before.TmaxC)}
		}
		a.Method = StraightLine
	}
	for i := g.from; i < g.to; i++ {
		d, made := &out.Days[i], guess(i)
		lowKnown, highKnown := !math.IsNaN(d.TminC), !math.IsNaN(d.TmaxC)
		if !lowKnown {
			d.TminC = made.TminC
		}
		if !highKnown {
			d.TmaxC = made.TmaxC
		}
		if lowKnown || highKnown {
			a.HalfKnownDays++
		}
		if d.TminC > d.TmaxC {
			// What was measured stands; what was made up gives way.
			a.CrossedMended++
			switch {
			case lowKnown:
				d.TmaxC = d.TminC
			case highKnown:
				d.TminC = d.TmaxC
			default:
				d.TminC = (d.TminC + d.TmaxC) / 2
				d.TmaxC = d.TminC
			}
		}
	}
}

// shift is the mean difference of the two records over the days around the gap.
func shift(rec, near *Record, g gap, opt FillOptions) (lowC, highC float64, shared int, ok bool) {
	offset := near.Index(rec.First)
	at := func(i int) (Day, bool) {
		if k := offset + i; k >= 0 && k < len(near.Days) && near.Days[k].HasTemp() {
			return near.Days[k], true
		}
		return Day{}, false
	}
	for i := g.from; i < g.to; i++ {
		if _, known := at(i); !known {
			return 0, 0, 0, false
		}
	}
	for i := max(0, g.from-opt.WindowDays); i < min(len(rec.Days), g.to+opt.WindowDays); i++ {
		d := rec.Days[i]
		n, known := at(i)
		if !known || !d.HasTemp() {
			continue
		}
		lowC += d.TminC - n.TminC
		highC += d.TmaxC - n.TmaxC
		shared++
	}
	if shared < opt.MinSharedDays {
		return 0, 0, shared, false
	}
	return lowC / float64(shared), highC / float64(shared), shared, true
}

// DroppedSpring is a year that cannot be used, and why.
type DroppedSpring struct {
	Year        int
	MissingDays int
	Longest     Span // longest run of unknown days, zero when the record does not reach over the span
	Why         string
}

// SpringReport tells which years of a record can be used.
type SpringReport struct {
	From, To   MonthDay
	MaxGapDays int
	Kept       []int // years, rising
	Dropped    []DroppedSpring
}

// Springs tells which years of a record have the days from..to, both included. A
// span that runs over the new year, such as 11-01 to 05-31, is named after the
// year it ends in. A year is kept when the record reaches over the whole span and
// no run of days without temperatures is longer than maxGapDays; 0 keeps only
// years that know every day, which is what a run needs. Call Fill first.
func Springs(rec *Record, from, to MonthDay, maxGapDays int) SpringReport {
	checkWindow(from, to)
	if maxGapDays < 0 {
		panic("weather: the longest gap is negative")
	}
	rep := SpringReport{From: from, To: to, MaxGapDays: maxGapDays}
	if len(rec.Days) == 0 {
		return rep
	}
	for year := rec.First.Year(); year <= rec.Last().Year()+1; year++ {
		s := window(from, to, year)
		a, b := rec.Index(s.First), rec.Index(s.Last)
		if b < 0 || a >= len(rec.Days) {
			continue
		}
		d := DroppedSpring{Year: year}
		run, longest := 0, 0
		for i := a; i <= b; i++ {
			if i >= 0 && i < len(rec.Days) && rec.Days[i].HasTemp() {
				run = 0
				continue
			}
			d.MissingDays++
			if run++; run > longest {
				longest = run
				d.Longest = Span{rec.Date(i - run + 1), rec.Date(i)}
			}
		}
		switch {
		case a < 0:
			d.Why = fmt.Sprintf("the record begins only on %s", rec.First.Format(time.DateOnly))
		case b >= len(rec.Days):
			d.Why = fmt.Sprintf("the record ends on %s", rec.Last().Format(time.DateOnly))
		case longest > maxGapDays:
			d.Why = fmt.Sprintf("%s without temperatures from %s to %s", count(longest, "day", "days"),
				d.Longest.First.Format(time.DateOnly), d.Longest.Last.Format(time.DateOnly))
		default:
			rep.Kept = append(rep.Kept, year)
			continue
		}
		rep.Dropped = append(rep.Dropped, d)
	}
	return rep
}
