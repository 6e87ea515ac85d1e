package climate

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

const yearDays = 365 // days; 29 February takes the figures of the 28th

var monthLengths = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// knots gives, for each day of the year, the two mid-months it lies between and
// the weight of the second.
func knots(visit func(day, month, a, b int, weight float64)) {
	var middle [12]float64
	start := 0
	for m, n := range monthLengths {
		middle[m] = float64(start) + float64(n)/2
		start += n
	}
	day := 0
	for m, n := range monthLengths {
		for range n {
			at := float64(day) + 0.5
			a, b := m, (m+1)%12
			if at < middle[m] {
				a, b = (m+11)%12, m
			}
			span := math.Mod(middle[b]-middle[a]+yearDays, yearDays)
			visit(day, m, a, b, math.Mod(at-middle[a]+yearDays, yearDays)/span)
			day++
		}
	}
}

// daily turns 12 monthly means into 365 daily values that run in straight lines
// between mid-months and whose mean over each month is the mean given (Sheng and
// Zwiers 1998). The values at mid-month are solved for.
func daily(monthly [12]float64) [yearDays]float64 {
	weights := mat.NewDense(12, 12, nil)
	knots(func(_, month, a, b int, w float64) {
		n := float64(monthLengths[month])
		weights.Set(month, a, weights.At(month, a)+(1-w)/n)
		weights.Set(month, b, weights.At(month, b)+w/n)
	})
	var middle mat.VecDense
	if err := middle.SolveVec(weights, mat.NewVecDense(12, monthly[:])); err != nil {
		panic("climate: the month weights cannot be solved")
	}
	var out [yearDays]float64
	knots(func(day, _, a, b int, w float64) {
		out[day] = middle.AtVec(a)*(1-w) + middle.AtVec(b)*w
	})
	return out
}

// dailyWithin is daily, kept within bounds.
func dailyWithin(monthly [12]float64, low, high float64) [yearDays]float64 {
	out := daily(monthly)
	for d := range out {
		out[d] = math.Max(low, math.Min(high, out[d]))
	}
	return out
}

// Floors that keep the daily curves usable.
const (
	leastSDC    = 0.2  // C, least spread of a day within wet or dry, assumed
	leastChance = 0.01 // least chance of a wet or a dry day, assumed
)

// season is the daily form of Normals: what a wet and a dry day is like on each
// day of the year. Index 0 is dry, 1 is wet.
type season struct {
	hasRain   bool
	wet       [yearDays]float64    // share of wet days
	wetAfter  [2][yearDays]float64 // chance of a wet day after a dry, a wet day
	maxMean   [2][yearDays]float64 // C
	minMean   [2][yearDays]float64
	maxSD     [2][yearDays]float64
	minSD     [2][yearDays]float64
	rainMm    [yearDays]float64 // mean rain above WetMm on a wet day
	rainShape [yearDays]float64
	anyMax    [yearDays]float64 // mean whatever the rain
	anyMin    [yearDays]float64
	anyMaxSD  [yearDays]float64
	anyMinSD  [yearDays]float64
}

func newSeason(n Normals) *season {
	s := &season{hasRain: n.HasRain()}
	s.anyMax, s.anyMin = daily(n.TmaxMeanC), daily(n.TminMeanC)
	s.anyMaxSD = dailyWithin(n.TmaxSDC, leastSDC, mostSDC)
	s.anyMinSD = dailyWithin(n.TminSDC, leastSDC, mostSDC)
	if !s.hasRain {
		for k := range 2 {
			s.maxMean[k], s.minMean[k], s.maxSD[k], s.minSD[k] = s.anyMax, s.anyMin, s.anyMaxSD, s.anyMinSD
		}
		return s
	}
	s.wet = dailyWithin(n.WetShare, leastChance, 1-leastChance)
	s.wetAfter[1] = dailyWithin(n.WetAfterWet, leastChance, 1-leastChance)
	for d, w := range s.wet {
		// In the long run w = w p11 + (1-w) p01.
		s.wetAfter[0][d] = math.Max(0, math.Min(1, w*(1-s.wetAfter[1][d])/(1-w)))
	}
	s.maxMean, s.maxSD = split(s.wet, s.anyMax, s.anyMaxSD, daily(n.TmaxWetDiffC), dailyWithin(n.TmaxWetSpread, 0.1, 10))
	s.minMean, s.minSD = split(s.wet, s.anyMin, s.anyMinSD, daily(n.TminWetDiffC), dailyWithin(n.TminWetSpread, 0.1, 10))
	var amount [12]float64
	for m := range amount {
		days := float64(monthLengths[m])
		if m == 1 {
			days = 28.25
		}
		amount[m] = n.PrecipMm[m]/(days*math.Max(n.WetShare[m], leastChance)) - WetMm
	}
	s.rainMm = dailyWithin(amount, 0.01, mostRainMm)
	s.rainShape = dailyWithin(n.RainShape, 0.1, 10)
	return s
}

// split parts a mean and a spread into those of dry and of wet days, such that
// both together give the mean and the spread again:
// sd^2 = w(1-w) diff^2 + (1-w) dry^2 + w (spread dry)^2.
func split(wet, mean, sd, diff, spread [yearDays]float64) (means, sds [2][yearDays]float64) {
	for d, w := range wet {
		means[0][d], means[1][d] = mean[d]-w*diff[d], mean[d]+(1-w)*diff[d]
		within := math.Max(leastSDC*leastSDC, sd[d]*sd[d]-w*(1-w)*diff[d]*diff[d])
		dry := math.Sqrt(within / (1 - w + w*spread[d]*spread[d]))
		sds[0][d], sds[1][d] = dry, dry*spread[d]
	}
	return means, sds
}
