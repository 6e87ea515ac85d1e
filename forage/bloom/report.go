package bloom

import (
	"fmt"
	"math"
	"time"
)

// choose picks a rule by its mean squared error on years left out: the
// plainest, unless a richer one cuts the error by the share asked for.
func choose(mse []float64, share float64) int {
	best := 0
	for m := 1; m < len(mse); m++ {
		if math.Sqrt(mse[m]) < (1-share)*math.Sqrt(mse[best]) {
			best = m
		}
	}
	return best
}

// report chooses the rule and works the errors out. For the error of a year,
// the choice of the rule is made again from the other years alone: each rule
// is judged there by its errors on a second year left out.
func report(springs []spring, models []rule, found []*searched, dropped []Dropped, opt FitOptions) FitResult {
	n := len(springs)
	mse := make([]float64, len(models))
	for m, f := range found {
		for _, e := range f.missed {
			mse[m] += e * e / float64(n)
		}
	}
	chosen := choose(mse, opt.SimplerShare)
	res := FitResult{Threshold: found[chosen].best.threshold(), Rule: models[chosen].name, Dropped: dropped}
	for _, s := range springs {
		res.MeanDOY += float64(s.day) / float64(n)
	}
	for o := range springs {
		s := &springs[o]
		inner := make([]float64, len(models))
		for m, f := range found {
			for i := range springs {
				if i != o {
					e := f.pair[o*n+i]
					inner[m] += e * e / float64(n-1)
				}
			}
		}
		left := s.dayOf(found[choose(inner, opt.SimplerShare)].without[o].threshold())
		fitted := s.dayOf(res.Threshold)
		y := YearFit{Year: s.year, Observed: s.obs.Date,
			Fitted: jan1(s.year).AddDate(0, 0, fitted-1), FittedErrorDays: float64(fitted - s.day),
			LeftOut: jan1(s.year).AddDate(0, 0, left-1), LeftOutErrorDays: float64(left - s.day)}
		res.Years = append(res.Years, y)
		d := float64(s.day) - res.MeanDOY
		miss := d * float64(n) / float64(n-1) // from the mean of the others
		res.FitRMSEDays += y.FittedErrorDays * y.FittedErrorDays
		res.LeftOutRMSEDays += y.LeftOutErrorDays * y.LeftOutErrorDays
		res.SDDays += d * d
		res.MeanLeftOutRMSEDays += miss * miss
	}
	res.FitRMSEDays = math.Sqrt(res.FitRMSEDays / float64(n))
	res.LeftOutRMSEDays = math.Sqrt(res.LeftOutRMSEDays / float64(n))
	res.MeanLeftOutRMSEDays = math.Sqrt(res.MeanLeftOutRMSEDays / float64(n))
	res.SDDays = math.Sqrt(res.SDDays / float64(n-1))
	res.UseMeanDate = res.LeftOutRMSEDays >= (1-opt.SimplerShare)*res.MeanLeftOutRMSEDays

	th := &res.Threshold
	th.Plant, th.Stage, th.Role, th.Form = opt.Plant, springs[0].obs.Stage, opt.Role, "own dates"
	th.SpreadDays = math.Min(maxSpreadDays, math.Max(minSpreadDays, res.LeftOutRMSEDays))
	th.SpreadStatus, th.Status = Fitted, Fitted
	th.Source = fmt.Sprintf("fitted to %d years of own dates, %d-%d", n, springs[0].year, springs[n-1].year)
	res.compare(models, found, mse)
	return res
}

// compare lists the ways with their errors on years left out and names the
// winner: the mean date where thermal time is not to be used, else the way of the
// rule that was chosen. Each way's numbers were fitted without the year; the error
// of what is used, with the choice made anew each time, is LeftOutRMSEDays.
func (r *FitResult) compare(models []rule, found []*searched, mse []float64) {
	fitted := Candidate{Way: FittedStart, LeftOutRMSEDays: math.NaN()}
	for m := 1; m < len(models); m++ {
		if rmse := math.Sqrt(mse[m]); !(rmse >= fitted.LeftOutRMSEDays) {
			fitted.LeftOutRMSEDays, fitted.StartDOY = rmse, found[m].best.startDOY
		}
	}
	r.Candidates = []Candidate{
		{Way: FromNewYear, StartDOY: found[0].best.startDOY, LeftOutRMSEDays: math.Sqrt(mse[0])},
		fitted,
		{Way: MeanDate, LeftOutRMSEDays: r.MeanLeftOutRMSEDays},
	}
	switch {
	case r.UseMeanDate:
		r.Winner = MeanDate
	case r.Rule == models[0].name:
		r.Winner = FromNewYear
	default:
		r.Winner = FittedStart
	}
}

// MeanDate is the mean date on the calendar of a year; its spread is
// MeanLeftOutRMSEDays.
func (r FitResult) MeanDate(year int) time.Time {
	return jan1(year).AddDate(0, 0, int(math.Round(r.MeanDOY))-1)
}
