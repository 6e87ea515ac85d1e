package schedule

import "math"

// line draws the line of visit k through members still in question, from
// what they were found to hold, what was read and what they ask. What a reading
// tells of a margin is its straight line through the members (least squares), and
// the scatter about it is taken as the members show it.
func (r *Runner) line(s *Set, k int, g *group, at levels) Line {
	none := Line{UnderKg: math.Inf(-1)}
	reserveKg, n := s.Rules.ReserveKg, len(g.members)
	r.risk, r.reserve, r.all = Sized(r.risk, n), Sized(r.reserve, n), Sized(r.all, n)
	for i, m := range g.members {
		a, there := &s.asks[k][m], g.there[i]
		r.risk[i], r.reserve[i], r.all[i] = there-a.short, there-a.least-reserveKg, there-a.leastAll-reserveKg
		if reserveKg <= 0 {
			r.all[i] = there - a.shortAll
		}
	}
	spread := newSpread(g.read)
	risk := spread.fit(r.risk, at.risk, &r.sorted)
	under := risk.zero()
	var reserve margin
	if reserveKg > 0 {
		reserve = spread.fit(r.reserve, at.reserve, &r.sorted)
		under = math.Max(under, reserve.zero())
	}
	under = math.Ceil(under/readStepKg) * readStepKg
	if under <= 0 {
		return none
	}
	if k == 0 && !s.LookFirst && !math.IsInf(under, 0) {
		panic("schedule: the first visit has nothing read yet")
	}
	fed, sum := 0, 0.0
	for _, kg := range g.read {
		if kg < under {
			fed++
			sum += kg
		}
	}
	if fed == 0 {
		return none
	}
	typical := sum / float64(fed) // reading of a hive that is fed
	owed := math.Max(-spread.fit(r.all, 1-at.last, &r.sorted).at(typical), -risk.at(typical))
	if reserveKg > 0 {
		owed = math.Max(owed, -reserve.at(typical))
	}
	return Line{UnderKg: under, Lot: s.lot(k, owed)}
}

// lot rounds the stores owed, kg, up to what can be measured out, at least what is worth
// a trip and at most what the hive takes.
func (s *Set) lot(k int, kg float64) Lot {
	if s.solid(k) {
		give := math.Max(s.Rules.LeastSolidKg, math.Ceil(kg/solidYieldKg/solidStepKg)*solidStepKg)
		return Lot{SolidKg: math.Min(s.solidHoldsKg(), give)}
	}
	give := math.Max(s.Rules.LeastSyrupL, math.Ceil(kg/s.litre().stores/syrupStepL)*syrupStepL)
	return Lot{SyrupL: math.Min(s.holdsL(), give)}
}

// carry is the line of the visit before at visit k: where one is too cold for syrup and
// the other is not, what is given is as many stores of what fits the day.
func (s *Set) carry(k int, before Line) Line {
	if before.Lot.None() || s.solid(k) == s.solid(k-1) {
		return before
	}
	before.Lot = s.lot(k, before.Lot.SyrupL*s.litre().stores+before.Lot.SolidKg*solidYieldKg)
	return before
}

// spread is what the readings of a visit have in common.
type spread struct {
	read           []float64
	mean, variance float64
}

func newSpread(read []float64) spread {
	s := spread{read: read, mean: mean(read)}
	for _, kg := range read {
		s.variance += (kg - s.mean) * (kg - s.mean)
	}
	s.variance /= float64(len(read))
	return s
}

// margin is a straight line: what is to spare at a reading, kg, with all but a
// given share of members above it.
type margin struct{ base, slope, mean float64 }

func (m margin) at(readKg float64) float64 { return m.base + m.slope*(readKg-m.mean) }

// zero is the reading at which nothing is to spare; infinite where readings tell
// nothing.
func (m margin) zero() float64 {
	if m.slope <= 0 {
		if m.base < 0 {
			return math.Inf(1)
		}
		return math.Inf(-1)
	}
	return m.mean - m.base/m.slope
}

// leastSlope is the rise of a margin with the reading, kg a kg, under which readings
// count as telling nothing, 0.02-0.1, own judgement.
const leastSlope = 0.05

// leastReadSD is the spread of readings, kg, under which they tell nothing.
const leastReadSD = 0.05

// fit draws the margin that all but the share p of members exceed.
func (s *spread) fit(margins []float64, p float64, scratch *[]float64) margin {
	m := margin{mean: s.mean}
	if s.variance > leastReadSD*leastReadSD {
		cov := 0.0
		for i, x := range margins {
			if !math.IsInf(x, 0) {
				cov += (s.read[i] - s.mean) * x
			}
		}
		if b := cov / float64(len(margins)) / s.variance; b > leastSlope {
			m.slope = math.Min(1, b)
		}
	}
	rest := Sized(*scratch, len(margins))
	for i, x := range margins {
		rest[i] = x - m.slope*(s.read[i]-s.mean)
	}
	*scratch = rest
	m.base = Quantile(rest, p)
	return m
}
