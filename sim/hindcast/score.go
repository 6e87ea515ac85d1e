package hindcast

import (
	"math"

	"gonum.org/v1/gonum/stat"
)

// Horizon is how changes over a number of days were predicted. Errors are
// predicted less seen, so that a bias above 0 means that the hive lost more, or
// gained less, than predicted.
type Horizon struct {
	Days       int
	Pairs      int     // pairs of readings so far apart; they overlap
	BiasKg     float64 // NaN without a pair
	MeanAbsKg  float64
	SeenMeanKg float64 // mean change seen
	// Share of the pairs whose change lies in the bands of such changes.
	Held50, Held80 float64

	// From the start: the reading nearest that day, NaN when none is near.
	FromStartSeenKg                          float64
	FromStartP10, FromStartP50, FromStartP90 float64 // predicted, kg
}

// Scores tell how well a hive was predicted.
type Scores struct {
	Horizons           []Horizon // 7, 14, 30 and 60 days
	Readings           int       // readings scored for the bands
	Held50, Held80     float64   // share of them in the band, NaN without any
	Below, Above       float64   // share under and over the band of 80 %
	LastBiasKg, LastKg float64   // the last reading: predicted (middle) less seen, and the change seen
}

// horizons are the days over which changes are scored.
var horizons = [...]int{7, 14, 30, 60}

// nearShare is how far from the wanted day a reading may lie, 1, 0.05-0.2, own
// judgement; a day at least.
const nearShare = 0.15

func (w *work) score() {
	s := &w.r.Scores
	b := &w.r.Band
	held50, held80, below, above := 0.0, 0.0, 0.0, 0.0
	for i := range w.r.Points {
		p := &w.r.Points[i]
		if !w.scored(p) {
			continue
		}
		s.Readings++
		switch {
		case p.Kg < b.P10[p.Day]:
			below++
		case p.Kg > b.P90[p.Day]:
			above++
		default:
			held80++
		}
		if p.Kg >= b.P25[p.Day] && p.Kg <= b.P75[p.Day] {
			held50++
		}
		s.LastBiasKg, s.LastKg = b.P50[p.Day]-p.Kg, p.Kg-w.r.Points[0].Kg
	}
	n := float64(s.Readings) // 0/0 is NaN: nothing to score
	s.Held50, s.Held80, s.Below, s.Above = held50/n, held80/n, below/n, above/n
	for _, days := range horizons {
		s.Horizons = append(s.Horizons, w.horizon(days))
	}
}

// scored tells whether a reading counts: not the first, not under a load, not
// one that was learned from.
func (w *work) scored(p *Point) bool {
	return p.Day > 0 && !p.LeftOut && !p.Date.Before(w.r.From)
}

func (w *work) horizon(days int) Horizon {
	h := noPairs(days)
	x := make([]float64, w.opt.Members)
	var bias, off, seen, held50, held80 float64
	for i := range w.r.Points {
		a := &w.r.Points[i]
		if a.LeftOut || a.Date.AddDate(0, 0, 1).Before(w.r.From) {
			continue
		}
		if i > 0 && a.Day+days > w.days {
			break // a shorter pair at the end would stand in for it
		}
		z := w.nearest(a.Day + days)
		if z == nil || !w.scored(z) || math.Abs(float64(z.Day-a.Day-days)) > math.Max(1, nearShare*float64(days)) || z.Day <= a.Day {
			continue
		}
		for m := range x {
			x[m] = w.change[m][z.Day] - w.change[m][a.Day]
		}
		change := z.Kg - a.Kg
		d := w.quantiles(x, 0.5)[0] - change
		h.Pairs++
		bias, off, seen = bias+d, off+math.Abs(d), seen+change
		below := w.shareBelow(a, z, change)
		if below >= 0.25 && below <= 0.75 {
			held50++
		}
		if below >= 0.1 && below <= 0.9 {
			held80++
		}
		if i == 0 {
			for m := range x {
				x[m] = w.seen[m][z.Day]
			}
			q := w.quantiles(x, 0.1, 0.5, 0.9)
			h.FromStartSeenKg, h.FromStartP10, h.FromStartP50, h.FromStartP90 = change, q[0], q[1], q[2]
		}
	}
	if h.Pairs > 0 {
		n := float64(h.Pairs)
		h.BiasKg, h.MeanAbsKg, h.SeenMeanKg = bias/n, off/n, seen/n
		h.Held50, h.Held80 = held50/n, held80/n
	}
	return h
}

func noPairs(days int) Horizon {
	nan := math.NaN()
	return Horizon{Days: days, BiasKg: nan, MeanAbsKg: nan, SeenMeanKg: nan, Held50: nan, Held80: nan,
		FromStartSeenKg: nan, FromStartP10: nan, FromStartP50: nan, FromStartP90: nan}
}

// shareBelow is the share of members in which readings change by less from one
// point to another.
func (w *work) shareBelow(a, z *Point, change float64) float64 {
	share := 0.0
	for m := range w.seen {
		if w.seen[m][z.Day]-w.seen[m][a.Day] < change {
			if w.weight != nil {
				share += w.weight[m]
			} else {
				share += 1 / float64(len(w.seen))
			}
		}
	}
	return share
}

// nearest is the reading nearest a day, loads left out; nil when there is none.
func (w *work) nearest(day int) *Point {
	var best *Point
	for i := range w.r.Points {
		p := &w.r.Points[i]
		if !p.LeftOut && (best == nil || math.Abs(float64(p.Day-day)) < math.Abs(float64(best.Day-day))) {
			best = p
		}
	}
	return best
}

// Pool puts the scores of several hives together: errors by pairs, bands by
// hive, since the readings of one hive hang together. HeldErr50 and HeldErr80 are
// the standard errors of the shares from hive to hive, NaN for fewer than two.
func Pool(hives []*Result) (s Scores, heldErr50, heldErr80 float64) {
	for _, days := range horizons {
		h := noPairs(days)
		var bias, off, seen, held50, held80 float64
		for _, r := range hives {
			for _, x := range r.Scores.Horizons {
				if x.Days == days && x.Pairs > 0 {
					n := float64(x.Pairs)
					h.Pairs += x.Pairs
					bias, off, seen = bias+n*x.BiasKg, off+n*x.MeanAbsKg, seen+n*x.SeenMeanKg
					held50, held80 = held50+n*x.Held50, held80+n*x.Held80
				}
			}
		}
		if h.Pairs > 0 {
			n := float64(h.Pairs)
			h.BiasKg, h.MeanAbsKg, h.SeenMeanKg = bias/n, off/n, seen/n
			h.Held50, h.Held80 = held50/n, held80/n
		}
		s.Horizons = append(s.Horizons, h)
	}
	var held50, held80, below, above []float64
	for _, r := range hives {
		if x := r.Scores; x.Readings > 0 {
			s.Readings += x.Readings
			held50, held80 = append(held50, x.Held50), append(held80, x.Held80)
			below, above = append(below, x.Below), append(above, x.Above)
			s.LastBiasKg += x.LastBiasKg
			s.LastKg += x.LastKg
		}
	}
	n := float64(len(held50))
	s.LastBiasKg, s.LastKg = s.LastBiasKg/n, s.LastKg/n
	mean := func(x []float64) float64 { return stat.Mean(x, nil) }
	s.Held50, s.Held80, s.Below, s.Above = mean(held50), mean(held80), mean(below), mean(above)
	if len(held50) < 2 {
		return s, math.NaN(), math.NaN()
	}
	return s, stat.StdErr(stat.StdDev(held50, nil), n), stat.StdErr(stat.StdDev(held80, nil), n)
}

// ByDay are the readings by the day since the first.
func (r *Result) ByDay() map[int]*Point {
	at := map[int]*Point{}
	for i := range r.Points {
		at[r.Points[i].Day] = &r.Points[i]
	}
	return at
}
