package bloom

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"bloomgap/forage/weather"
)

const (
	farDays      = 60   // least distance from the middle of the dates at which a date is held to be a slip, days (chosen)
	farScatters  = 5.0  // and the number of robust SDs, 1 (chosen)
	afterDays    = 60   // days looked at beyond each bloom, so that a rule that comes late is seen to
	rateDays     = 10   // days over which warmth is averaged to go on beyond the record
	needStep     = 1.01 // ratio of one sum tried to the next, 1: under half a day at any date of spring
	daysMinStart = 3    // a start day lies at least this long before the earliest bloom, days (chosen)
	springDOY    = 60   // plants that never bloom before this day get no start day before 1 January, day of the year (chosen)
)

// prepare pairs each note with its weather. It returns the springs in order of
// time and the first day (of a common year) from which all of them have weather.
func prepare(notes []Observation, rec *weather.Record, opt FitOptions) ([]spring, int, []Dropped) {
	var dropped []Dropped
	drop := func(o Observation, format string, args ...any) {
		dropped = append(dropped, Dropped{o, fmt.Sprintf(format, args...)})
	}
	notes = slices.Clone(notes)
	slices.SortStableFunc(notes, func(a, b Observation) int { return a.Date.Compare(b.Date) })

	// Which spring each belongs to.
	early, winter := 0, 0
	for _, o := range notes {
		if o.Date.Month() <= time.April {
			early++
		} else if o.Date.Month() >= time.November {
			winter++
		}
	}
	wrap := 2*(early+winter) > len(notes)
	var springs []spring
	for _, o := range notes {
		s := spring{obs: o, year: o.Date.Year()}
		if wrap && o.Date.Month() >= time.November {
			s.year++
		}
		s.leap = isLeap(s.year)
		s.day = 1 + int(math.Round(o.Date.Sub(jan1(s.year)).Hours()/24))
		springs = append(springs, s)
	}
	springs = slices.DeleteFunc(springs, func(s spring) bool {
		mid, scatter := middle(springs)
		limit := math.Max(farDays, farScatters*scatter)
		if off := float64(s.day) - mid; math.Abs(off) > limit {
			drop(s.obs, "it lies %.0f days from the middle of the dates; check month and day", math.Abs(off))
			return true
		}
		return false
	})
	var kept []spring
	for _, s := range springs {
		if len(kept) > 0 && kept[len(kept)-1].year == s.year {
			drop(s.obs, "an earlier date of the same spring is used")
			continue
		}
		if why := s.load(rec); why != "" {
			drop(s.obs, "%s", why)
			continue
		}
		kept = append(kept, s)
	}
	if len(kept) == 0 {
		return nil, 0, dropped
	}

	// A start day can be tried only where all years have weather from it on.
	// Going back in time costs years; at most one in ten is given up for it.
	earliestBloom := math.MaxInt
	for _, s := range kept {
		earliestBloom = min(earliestBloom, s.day)
	}
	usable := func(from int) (n int) {
		for _, s := range kept {
			if s.firstDOY <= shiftDOY(from, s.leap) {
				n++
			}
		}
		return n
	}
	lowest := opt.EarliestDOY
	if earliestBloom >= springDOY {
		lowest = max(lowest, 1)
	}
	latest := max(lowest, earliestBloom-daysMinStart)
	most := usable(latest)
	first := latest
	for first > lowest {
		if n := usable(first - 1); n < most-most/10 || (most >= opt.MinYears && n < opt.MinYears) {
			break
		}
		first--
	}
	out := kept[:0:0]
	for _, s := range kept {
		if s.firstDOY > shiftDOY(first, s.leap) {
			drop(s.obs, "its weather has a hole or begins too late: %d days before bloom are known, the fit needs them from day %d of the year",
				s.day-s.firstDOY, first)
			continue
		}
		out = append(out, s)
	}
	return out, first, dropped
}

// middle gives the median day and a robust SD of the days.
func middle(springs []spring) (median, sd float64) {
	if len(springs) == 0 {
		return 0, 0
	}
	xs := make([]float64, len(springs))
	med := func() float64 {
		slices.Sort(xs)
		n := len(xs)
		return (xs[(n-1)/2] + xs[n/2]) / 2
	}
	for i, s := range springs {
		xs[i] = float64(s.day)
	}
	median = med()
	for i, s := range springs {
		xs[i] = math.Abs(float64(s.day) - median)
	}
	return median, 1.4826 * med() // median deviation to SD of a normal
}

// load finds the unbroken run of weather around the bloom day; it returns why
// there is none.
func (s *spring) load(rec *weather.Record) string {
	n, firstDOY, at := yearView(rec, s.year)
	bloom := s.day - firstDOY
	if n == 0 || bloom < 0 || bloom >= n {
		return "the weather record does not reach the date"
	}
	from, gap := bloom, 0 // back to the first known day
	for i := bloom; i >= 0; i-- {
		if lo, hi := at(i); math.IsNaN(lo + hi) {
			if gap++; gap > MaxFillDays {
				break
			}
			continue
		}
		from, gap = i, 0
	}
	gap = 0
	last := -1 // last known day
	for i := bloom - MaxFillDays; i < min(n, bloom+1+afterDays); i++ {
		if i < 0 {
			continue
		}
		if lo, hi := at(i); math.IsNaN(lo + hi) {
			if gap++; gap > MaxFillDays && i >= bloom {
				break
			}
			continue
		}
		last, gap = i, 0
	}
	if last < bloom {
		return "no temperatures on or after the date, so it cannot be told from the end of the record"
	}
	if lo, hi := at(from); from == bloom || math.IsNaN(lo+hi) {
		return "no temperatures before the date"
	}
	to := last + 1
	s.firstDOY = firstDOY + from
	s.lo, s.hi = make([]float64, to-from), make([]float64, to-from)
	for i := from; i < to; i++ {
		lo, hi := at(i)
		if math.IsNaN(lo + hi) {
			var o outcome
			if lo, hi, o = bridge(n, i, 0, at); o != reached {
				return "more than a week in a row has no temperatures"
			}
		}
		s.lo[i-from], s.hi[i-from] = lo, hi
	}
	return ""
}

// searched is the outcome of a search: the best rule for all years, for all
// but one, and for all but two.
type searched struct {
	best    node
	sse     float64
	without []node    // without[o]: best for all years but o
	missed  []float64 // missed[o]: its error in year o, days
	pair    []float64 // pair[o*n+i]: error in year i of the best rule for all but o and i
}

type node struct {
	form
	needCd float64
}

// threshold of a node, for its dates.
func (nd node) threshold() Threshold {
	return Threshold{BaseC: nd.baseC, StartDOY: nd.startDOY, NeedCd: nd.needCd, MonthWeights: nd.weights, RaiseMinToBase: nd.raise}
}

// search tries every form with every sum. One pass gives the best rule for all
// years, for every set with one year out and for every set with two out: the
// sum of squares of a set is the whole less the squares of those left out. It ends early
// with the context's error.
func search(ctx context.Context, forms []form, springs []spring) (*searched, error) {
	n := len(springs)
	out := &searched{sse: math.Inf(1), without: make([]node, n), missed: make([]float64, n), pair: make([]float64, n*n)}
	bestOne := make([]float64, n)
	bestTwo := make([]float64, n*n)
	for i := range bestOne {
		bestOne[i] = math.Inf(1)
	}
	for i := range bestTwo {
		bestTwo[i] = math.Inf(1)
	}
	worst := math.Inf(1) // the largest of bestTwo: a rule that cannot beat it is passed over
	sums := make([][]float64, n)
	rate := make([]float64, n)
	at := make([]int, n)
	e := make([]float64, n)
	sq := make([]float64, n)
	for _, f := range forms {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		th := node{form: f}.threshold()
		lo, hi := math.Inf(1), 0.0
		for y := range springs {
			s := &springs[y]
			sums[y] = s.prefix(&th, sums[y])
			start := max(0, th.startIn(s.leap)-s.firstDOY)
			v := sums[y][s.day-s.firstDOY]
			lo, hi = math.Min(lo, v), math.Max(hi, v)
			k := max(1, min(rateDays, len(sums[y])-start))
			end := len(sums[y]) - 1
			before := 0.0
			if end-k >= 0 {
				before = sums[y][end-k]
			}
			rate[y] = math.Max(0.5, (sums[y][end]-before)/float64(k))
			at[y] = start
		}
		// The sums tried are powers of needStep, the same for every set of years.
		k := math.Floor(math.Log(math.Max(lo, 1)) / math.Log(needStep))
		for need := math.Pow(needStep, k); need <= math.Max(hi, 1)*needStep*needStep; need *= needStep {
			sse := 0.0
			top1, top2 := 0.0, 0.0
			for y := range springs {
				s := &springs[y]
				sum := sums[y]
				i := at[y]
				for i < len(sum) && sum[i] < need {
					i++
				}
				at[y] = i
				var day float64 // place of the day that reaches it, smoothed over the day
				if i < len(sum) {
					before := 0.0
					if i > 0 {
						before = sum[i-1]
					}
					day = float64(i) - 0.5 + (need-before)/(sum[i]-before)
				} else {
					day = float64(len(sum)) - 0.5 + math.Min(afterDays, (need-sum[len(sum)-1])/rate[y])
				}
				e[y] = day - float64(s.day-s.firstDOY)
				sq[y] = e[y] * e[y]
				sse += sq[y]
				if sq[y] > top1 {
					top1, top2 = sq[y], top1
				} else if sq[y] > top2 {
					top2 = sq[y]
				}
			}
			if sse < out.sse {
				out.sse, out.best = sse, node{f, need}
			}
			if sse-top1-top2 >= worst {
				continue
			}
			improved := false
			for o := range springs {
				if v := sse - sq[o]; v < bestOne[o] {
					bestOne[o], out.without[o], out.missed[o] = v, node{f, need}, e[o]
				}
				row := bestTwo[o*n:]
				for i := 0; i < o; i++ {
					if v := sse - sq[o] - sq[i]; v < row[i] {
						row[i] = v
						out.pair[o*n+i], out.pair[i*n+o] = e[i], e[o]
						improved = true
					}
				}
			}
			if improved {
				worst = 0
				for o := range springs {
					for i := 0; i < o; i++ {
						worst = math.Max(worst, bestTwo[o*n+i])
					}
				}
			}
		}
	}
	return out, nil
}

// prefix fills dst with the sums of warmth up to each day.
func (s *spring) prefix(th *Threshold, dst []float64) []float64 {
	dst = dst[:0]
	start := th.startIn(s.leap)
	sum := 0.0
	for i := range s.lo {
		if doy := s.firstDOY + i; doy >= start {
			sum += th.DayCd(s.lo[i], s.hi[i]) * th.weight(doy, s.leap)
		}
		dst = append(dst, sum)
	}
	return dst
}

// day gives the bloom of a spring by a threshold, as day of the year, whole
// days; beyond the weather it goes on at the rate of the last days.
func (s *spring) dayOf(th Threshold) int {
	i, o := th.walk(len(s.lo), s.firstDOY, s.leap, func(i int) (float64, float64) { return s.lo[i], s.hi[i] }, nil)
	if o == reached {
		return s.firstDOY + i
	}
	sums := s.prefix(&th, nil)
	end := len(sums) - 1
	k := min(rateDays, end)
	rate := math.Max(0.5, (sums[end]-sums[end-k])/float64(max(1, k)))
	return s.firstDOY + end + int(math.Ceil(math.Min(afterDays, (th.NeedCd-sums[end])/rate)))
}
