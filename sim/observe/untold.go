package observe

import (
	"math"

	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// Untold is food that was given between two looks, as far as the second tells,
// though nobody wrote it down.
type Untold struct {
	AfterDay, SeenDay int     // of the outlook: the look before and the look that shows it
	Frac              float64 // chance that food was given at all, 0-1
	StoresKg          Range   // what was given, as ripe stores, where it was
}

// How food that nobody wrote down is reckoned with. It comes into question where a
// look shows more food than the looks before explain by more than unexplainedSD.
const (
	unexplainedSD = 1.0  // standard deviations, 0.5-2, own judgement: what the errors of the looks alone seldom make
	untoldFrac    = 0.5  // chance before the look that a hive was fed and nobody wrote it down, 1, 0.2-0.7, own judgement: keepers feed what was found light
	besidesFrac   = 0.1  // the same where a feeding between the two looks was written down, 1, 0.03-0.3, own judgement: it was more, or another is missing
	mostUntoldKg  = 12.0 // the most that is given between two looks, kg of stores, 6-15, own judgement; any less is as likely
	triedSD       = 3.0  // standard deviations about the gap in which amounts are tried
	fewMembers    = 50   // members on which gaps are looked for
)

// gap is a time between two looks at the stores in which food may have been given.
type gap struct {
	day           int     // of the run on whose evening it is taken to be given: that of the look before
	seen          int     // of the run: the look that shows it
	lowKg, highKg float64 // the amounts that are tried
	frac          float64 // chance before the look that there was any
}

// giftsOf appends to out what a draw of a member was given in each gap: in half of
// the draws nothing. It depends on the key, the member and the draw only.
func (l *learner) giftsOf(out []colony.Gift, m int, draw uint32) []colony.Gift {
	for i, g := range l.gaps {
		l.pcg.Seed(uint64(l.key)^0xbb67ae8584caa73b^uint64(i)<<40, uint64(m)<<32|uint64(draw))
		kg := 0.0
		if u := l.rnd.Float64(); u >= 0.5 {
			kg = g.lowKg + (g.highKg-g.lowKg)*(2*u-1)
		}
		out = append(out, colony.Gift{Day: g.day, Kg: kg})
	}
	return out
}

// giftPrior is the log weight that sets the share and the amounts that are drawn
// right by what is thought of them before the look.
func (l *learner) giftPrior(gifts []colony.Gift) float64 {
	logW := 0.0
	for i, g := range gifts {
		if g.Kg > 0 {
			logW += math.Log(l.gaps[i].frac * (l.gaps[i].highKg - l.gaps[i].lowKg) / mostUntoldKg)
		} else {
			logW += math.Log(1 - l.gaps[i].frac)
		}
	}
	return logW
}

// findUntold looks through the looks at the stores in their order for gains that
// the looks before, the bees and the feed written down do not explain. It also
// gives how far off each such look was.
func findUntold(pl *ensemble.SpringEnsemble, key ensemble.Key, start ensemble.InitialSpread, seen []Observation, opt Options) ([]gap, []Innovation, error) {
	var gaps []gap
	var found []Innovation
	few := opt
	few.Most = few.Fewest
	few.LeastESS = 1
	var l *learner
	for i := 0; ; i++ {
		if l == nil {
			var err error
			if l, err = newLearner(pl, key, start, seen, few); err != nil {
				return nil, nil, err
			}
			l.gaps = gaps
			for m := range min(fewMembers, len(pl.Members)) {
				l.member(m)
			}
		}
		if i >= len(l.later) {
			return gaps, found, nil
		}
		at := l.later[i]
		ch, t := &l.ch[at.ch], &l.tally[i]
		if ch.what != storesSeen || at.k == 0 || !(t.weight > 0) {
			continue
		}
		mean := t.sum / t.weight
		sd := math.Sqrt(math.Max(0, t.sum2/t.weight-mean*mean) + t.errSD*t.errSD)
		if !(mean > unexplainedSD*sd) {
			continue
		}
		frac := untoldFrac
		if l.fedBetween(ch.at[at.k-1], ch.at[at.k]) {
			frac = besidesFrac
		}
		gaps = append(gaps, gap{day: ch.at[at.k-1], seen: ch.at[at.k], frac: frac,
			lowKg: math.Max(0, math.Min(mean-triedSD*sd, mostUntoldKg)), highKg: math.Max(mean+triedSD*sd, 1)})
		found = append(found, Innovation{Day: l.start.Day + 1 + ch.at[at.k], What: ch.what, Z: mean / sd})
		l = nil // the looks after it are held against runs that were fed
	}
}

// fedBetween tells whether feed was written down between two looks, days of the
// run.
func (l *learner) fedBetween(after, to int) bool {
	for _, f := range l.care.Feedings {
		if f.Day > after && f.Day <= to {
			return true
		}
	}
	return false
}

// untold sums up what the picked draws were given.
func (l *learner) untold(gifts [][]colony.Gift) []Untold {
	var out []Untold
	for i, g := range l.gaps {
		u := Untold{AfterDay: l.start.Day + 1 + g.day, SeenDay: l.start.Day + 1 + g.seen}
		var kg []float64
		for m := range gifts {
			if v := gifts[m][i].Kg; v > 0 {
				kg = append(kg, v)
			}
		}
		if u.Frac = float64(len(kg)) / float64(len(gifts)); len(kg) > 0 {
			u.StoresKg = rangeOf(kg)
		} else {
			u.StoresKg = Range{math.NaN(), math.NaN(), math.NaN()}
		}
		out = append(out, u)
	}
	return out
}
