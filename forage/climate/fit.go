package climate

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"

	"bloomgap/forage/weather"
)

// Constants of Fit.
const (
	fewestDays   = 140  // days, fewest days with temperatures in a month over all years (5 Februaries), assumed
	fewestWet    = 15   // days, fewest wet and dry days of a month for its own figures, assumed
	longestLagD  = 90   // days, longest distance looked at for slow change, assumed
	mostFitShare = 0.5  // share, largest slow share tried, assumed
	shareStep    = 0.01 // share, step of the grid
	pullBack     = 0.98 // ratio between steps by which correlations with the day before are drawn in, assumed
	mostPulls    = 12   // number of such steps, assumed
	pullCost     = 20   // squared log error that drawing in by its whole is worth, assumed
	fewestPairs  = 1000 // pairs of days, fewest for the correlations, assumed
)

// Fit works normals out of a daily record. It needs at least 140 days with both
// temperatures in each calendar month, so about five full years, and says which
// months fall short. Rain is fitted when every month has as many days with rain
// known, else the normals hold none. Place and position are the station's; Credit
// is left empty.
func Fit(r *weather.Record) (Normals, error) {
	n := Normals{Place: r.Station.Name, LatDeg: r.Station.LatDeg, LonDeg: r.Station.LonDeg, ElevM: r.Station.ElevM}
	if n.Place == "" {
		n.Place = r.Name
	}
	if len(r.Days) > 0 {
		n.Span = fmt.Sprintf("%d-%d", r.First.Year(), r.Last().Year())
	}
	days := fitDays(r)
	if err := enough(r.Name, days); err != nil {
		return Normals{}, err
	}
	hasRain := true
	for m := range 12 {
		hasRain = hasRain && countMonth(days, m, func(d fitDay) bool { return d.hasTemp && d.hasRain }) >= fewestDays
	}
	for m := range 12 {
		n.TmaxMeanC[m] = monthMean(days, m, func(d fitDay) float64 { return d.tmax })
		n.TminMeanC[m] = monthMean(days, m, func(d fitDay) float64 { return d.tmin })
		if hasRain {
			fitRain(&n, days, m)
		} else {
			noRain(&n, m)
		}
	}
	fitSpread(days, n.TmaxMeanC, func(d fitDay) float64 { return d.tmax }, hasRain, &n.TmaxSDC, &n.TmaxWetDiffC, &n.TmaxWetSpread)
	fitSpread(days, n.TminMeanC, func(d fitDay) float64 { return d.tmin }, hasRain, &n.TminSDC, &n.TminWetDiffC, &n.TminWetSpread)
	var err error
	if n.Memory, err = fitMemory(days, n, newSeason(n)); err != nil {
		return Normals{}, fmt.Errorf("%s: %w", r.Name, err)
	}
	return n, n.Validate()
}

// fitDay is a day of the record with what Fit asks of it.
type fitDay struct {
	month, day       int // 0-11; place in the 365-day curves
	tmax, tmin, rain float64
	hasTemp, hasRain bool
}

func (d fitDay) wet() bool { return d.rain >= WetMm }

func fitDays(r *weather.Record) []fitDay {
	out := make([]fitDay, len(r.Days))
	for i, d := range r.Days {
		date := r.First.AddDate(0, 0, i)
		out[i] = fitDay{
			month: int(date.Month()) - 1, day: dayIndex(date),
			tmax: d.TmaxC, tmin: d.TminC, rain: d.PrecipMm,
			hasTemp: d.HasTemp(), hasRain: !math.IsNaN(d.PrecipMm),
		}
	}
	return out
}

func countMonth(days []fitDay, m int, ok func(fitDay) bool) int {
	n := 0
	for _, d := range days {
		if d.month == m && ok(d) {
			n++
		}
	}
	return n
}

func enough(name string, days []fitDay) error {
	var errs []error
	for m := range 12 {
		if got := countMonth(days, m, func(d fitDay) bool { return d.hasTemp }); got < fewestDays {
			errs = append(
				errs,
				fmt.Errorf(
					"%s: %s has %d days with both temperatures and %d are needed (about five years); use a longer record or type 12 monthly figures",
					name,
					monthNames[m],
					got,
					fewestDays,
				),
			)
		}
	}
	return errors.Join(errs...)
}

func monthMean(days []fitDay, m int, value func(fitDay) float64) float64 {
	var sum, n float64
	for _, d := range days {
		if d.month == m && d.hasTemp {
			sum += value(d)
			n++
		}
	}
	return sum / n
}

func noRain(n *Normals, m int) {
	nan := math.NaN()
	n.PrecipMm[m], n.WetShare[m], n.WetAfterWet[m], n.RainShape[m] = nan, nan, nan, nan
}

// fitRain works out the wet days of a month: the chances of Richardson 1981, and
// the gamma distribution of amounts by its moments.
func fitRain(n *Normals, days []fitDay, m int) {
	var known, wet, pairs, both, total float64
	var amounts []float64
	for i, d := range days {
		if d.month != m || !d.hasRain {
			continue
		}
		known++
		total += d.rain
		if d.wet() {
			wet++
			amounts = append(amounts, d.rain-WetMm)
		}
		if i > 0 && days[i-1].hasRain && days[i-1].wet() {
			pairs++
			if d.wet() {
				both++
			}
		}
	}
	length := float64(monthLengths[m])
	if m == 1 {
		length = 28.25
	}
	n.PrecipMm[m] = total / known * length
	n.WetShare[m] = wet / known
	n.WetAfterWet[m], n.RainShape[m] = n.WetShare[m], 1
	if pairs >= fewestWet {
		n.WetAfterWet[m] = both / pairs
		mean, sd := stat.MeanStdDev(amounts, nil)
		n.RainShape[m] = math.Max(0.3, math.Min(3, mean*mean/(sd*sd)))
	}
}

// fitSpread works out, month by month, the spread around the daily mean and how
// wet days differ from dry ones.
func fitSpread(days []fitDay, monthly [12]float64, value func(fitDay) float64, hasRain bool, sd, diff, spread *[12]float64) {
	mean := daily(monthly)
	for m := range 12 {
		var all, dry, wet []float64
		for _, d := range days {
			if d.month != m || !d.hasTemp {
				continue
			}
			x := value(d) - mean[d.day]
			all = append(all, x)
			switch {
			case !d.hasRain:
			case d.wet():
				wet = append(wet, x)
			default:
				dry = append(dry, x)
			}
		}
		sd[m], diff[m], spread[m] = stat.StdDev(all, nil), 0, 1
		if hasRain && len(dry) >= fewestWet && len(wet) >= fewestWet {
			dryMean, drySD := stat.MeanStdDev(dry, nil)
			wetMean, wetSD := stat.MeanStdDev(wet, nil)
			diff[m], spread[m] = wetMean-dryMean, wetSD/drySD
		}
	}
}

// series is one kind of temperature in Fit: departures from the mean of the
// season in standard deviations, NaN where not known, and by month what rain does
// to them in the model.
type series struct {
	z      []float64
	diff   [12]float64    // wet minus dry, standard deviations
	spread [12][2]float64 // spread of dry and of wet days, standard deviations
}

// fitMemory works out how departures hang together from day to day, and how much
// of them is slow. The correlations are those of all days, less what the turn
// from wet to dry days alone would give in the model. (Taking them from
// departures within wet and within dry days, as Richardson did, makes maxima
// forget too fast, since the temperature lags behind the rain.)
func fitMemory(days []fitDay, n Normals, s *season) (Memory, error) {
	both := [2]series{
		newSeries(days, func(d fitDay) float64 { return d.tmax }, &s.anyMax, &s.anyMaxSD, &s.maxMean, &s.maxSD),
		newSeries(days, func(d fitDay) float64 { return d.tmin }, &s.anyMin, &s.anyMinSD, &s.minMean, &s.minSD),
	}
	var m Memory
	var observed [12][longestLagD + 1]float64
	for month := range 12 {
		near := func(day int) bool { // the month and its neighbours
			apart := (days[day].month - month + 12) % 12
			return apart <= 1 || apart == 11
		}
		if _, pairs := lagged(both[0].z, both[0].z, 1, near); pairs < fewestPairs {
			return Memory{}, errors.New("too few days follow each other; use a record with fewer gaps")
		}
		corr := func(a, b series, lag int) float64 {
			c, _ := lagged(a.z, b.z, lag, near)
			if !s.hasRain {
				return c
			}
			wet := n.WetShare[month]
			fade := math.Pow(math.Max(0, (n.WetAfterWet[month]-wet)/(1-wet)), float64(lag)) // of the Markov chain
			da, db, sa, sb := a.diff[month], b.diff[month], a.spread[month], b.spread[month]
			stay := wet * (1 - wet) * fade
			scale := (wet*wet+stay)*sa[1]*sb[1] + ((1-wet)*(1-wet)+stay)*sa[0]*sb[0] +
				(wet*(1-wet)-stay)*(sa[0]*sb[1]+sa[1]*sb[0])
			return (c - stay*da*db) / scale
		}
		hi, lo := both[0], both[1]
		m.MaxMin[month] = corr(hi, lo, 0)
		m.MaxAfterMax[month] = corr(hi, hi, 1)
		m.MinAfterMin[month] = corr(lo, lo, 1)
		m.MaxAfterMin[month] = corr(hi, lo, 1)
		m.MinAfterMax[month] = corr(lo, hi, 1)
		for k := range observed[month] {
			observed[month][k] = corr(hi, hi, k) + corr(hi, lo, k) + corr(lo, hi, k) + corr(lo, lo, k)
		}
		for k, whole := longestLagD, observed[month][0]; k >= 0; k-- {
			observed[month][k] /= whole
		}
	}
	return fitSlow(m, &observed)
}

func newSeries(days []fitDay, value func(fitDay) float64, mean, sd *[yearDays]float64, means, sds *[2][yearDays]float64) series {
	s := series{z: make([]float64, len(days))}
	for i, d := range days {
		s.z[i] = math.NaN()
		if d.hasTemp {
			s.z[i] = (value(d) - mean[d.day]) / sd[d.day]
		}
	}
	start := 0
	for m, length := range monthLengths {
		at := start + length/2
		s.diff[m] = (means[1][at] - means[0][at]) / sd[at]
		s.spread[m] = [2]float64{sds[0][at] / sd[at], sds[1][at] / sd[at]}
		start += length
	}
	return s
}

// lagged is the correlation of a with b lag days before, over the pairs known
// whose later day is asked for, and their number. Both have mean 0 by construction.
func lagged(a, b []float64, lag int, ask func(day int) bool) (corr float64, n int) {
	var ab, aa, bb float64
	for i := lag; i < len(a); i++ {
		x, y := a[i], b[i-lag]
		if math.IsNaN(x) || math.IsNaN(y) || !ask(i) {
			continue
		}
		ab, aa, bb = ab+x*y, aa+x*x, bb+y*y
		n++
	}
	return ab / math.Sqrt(aa*bb), n
}

// Means over so many days are to vary as much in generated as in observed years.
var blockDays = [...]int{2, 3, 5, 10, 20, 30, 60, 90}

// fitSlow searches the memory of the slow part and its share in each month on a
// grid, such that means over 2 to 90 days vary as they do in the record. An AR(1)
// alone makes long means too steady: the overdispersion of Wilks and Wilby 1999.
// Where the correlations with the day before are too high for that, or contradict
// each other, they are drawn in.
func fitSlow(m Memory, observed *[12][longestLagD + 1]float64) (Memory, error) {
	best, worst := m, math.Inf(1)
	for _, slowDays := range []float64{5, 7, 10, 14, 20, 30, 45, 60, 90, 120, 180} {
		try := m
		try.SlowDays = slowDays
		var total float64
		for month := range 12 {
			off := math.Inf(1)
			for pull := range mostPulls {
				by := math.Pow(pullBack, float64(pull))
				drawn := drawIn(m, month, by)
				drawn.SlowDays = slowDays
				if o := fitShare(&drawn, month, &observed[month]) + pullCost*(1-by)*(1-by); o < off {
					off = o
					try.set(month, drawn)
				}
			}
			total += off
		}
		if total < worst {
			best, worst = try, total
		}
	}
	if math.IsInf(worst, 1) {
		return Memory{}, errMemory
	}
	return best, nil
}

// drawIn draws a month's correlations with the day before towards 0.
func drawIn(m Memory, month int, by float64) Memory {
	m.MaxAfterMax[month] *= by
	m.MinAfterMin[month] *= by
	m.MaxAfterMin[month] *= by
	m.MinAfterMax[month] *= by
	return m
}

// set takes a month's figures from another memory.
func (m *Memory) set(month int, from Memory) {
	m.MaxMin[month] = from.MaxMin[month]
	m.MaxAfterMax[month] = from.MaxAfterMax[month]
	m.MinAfterMin[month] = from.MinAfterMin[month]
	m.MaxAfterMin[month] = from.MaxAfterMin[month]
	m.MinAfterMax[month] = from.MinAfterMax[month]
	m.SlowShare[month] = from.SlowShare[month]
}

// fitShare sets the slow share of a month to the best on the grid and returns its
// error, infinite when no share fits the correlations.
func fitShare(m *Memory, month int, observed *[longestLagD + 1]float64) float64 {
	least, at := math.Inf(1), 0.0
	for share := 0.0; share <= mostFitShare; share += shareStep {
		m.SlowShare[month] = share
		r, err := newResiduals(*m, month)
		if err != nil {
			continue
		}
		if off := blockError(r.midCorrelation(), *observed); off < least {
			least, at = off, share
		}
	}
	m.SlowShare[month] = at
	return least
}

// midCorrelation is the correlation of maximum plus minimum with itself, by days
// apart.
func (r residuals) midCorrelation() [longestLagD + 1]float64 {
	var out [longestLagD + 1]float64
	cov := r.start.mul(r.start.transposed())
	slow := 4 * r.slow * r.slow
	variance := sum(cov) + slow
	for k := range out {
		out[k] = (sum(cov) + slow*math.Pow(r.keep, float64(k))) / variance
		cov = r.a.mul(cov)
	}
	return out
}

func sum(a matrix2) float64 { return a[0][0] + a[0][1] + a[1][0] + a[1][1] }

func blockError(model, observed [longestLagD + 1]float64) float64 {
	var off float64
	for _, n := range blockDays {
		d := math.Log(blockVariance(model, n) / blockVariance(observed, n))
		off += d * d
	}
	return off
}

// blockVariance is the variance of a mean over n days of a series of variance 1:
// (1 + 2 sum (1-k/n) corr(k)) / n.
func blockVariance(corr [longestLagD + 1]float64, n int) float64 {
	v := 1.0
	for k := 1; k < n; k++ {
		v += 2 * (1 - float64(k)/float64(n)) * corr[k]
	}
	return math.Max(v, 1e-6) / float64(n)
}
