package visits

import (
	"time"

	"bloomgap/feed/season"
	"bloomgap/forage"
	"bloomgap/forage/bloom"
	"bloomgap/forage/read"
)

// PlantDates says when a plant blooms in a yard's season.
type PlantDates struct {
	Plant     bloom.Threshold
	Dates     bloom.Distribution // no members when no spring reaches the sum
	WithoutIt bloom.Distribution // the same without this season's weather, to show how far it has narrowed
}

// BloomDates gives the dates of plants at a yard, on the springs that a plan of
// the yard runs on: this season's days, then a forecast, then past or generated
// springs. A date given for the yard is not heeded.
func BloomDates(s *season.Season, y *season.Yard, plants []bloom.Threshold, read ReadWeather) ([]PlantDates, Weather, read.Problems) {
	l := newWeatherLoader(s, read)
	p, w, ok := l.prospect(y)
	if !ok {
		return nil, w, l.ps
	}
	w.Source.ObservedTo = p.ObservedTo()
	p.BloomSeen, p.BloomSD = time.Time{}, 0
	var out []PlantDates
	for _, th := range plants {
		p.Nectar = th
		d := PlantDates{Plant: th}
		for _, known := range []bool{true, false} {
			q := p
			if !known {
				q.Season, q.Forecast = nil, nil
			}
			o, err := forage.NewOutlook(q)
			if err != nil {
				return nil, w, append(l.ps, noOutlook(s, y, err))
			}
			if known {
				d.Dates = datesOf(o, th)
			} else {
				d.WithoutIt = datesOf(o, th)
			}
		}
		out = append(out, d)
	}
	return out, w, l.ps
}

// datesOf reads the days off an outlook on which the sum of a plant is reached.
func datesOf(o *forage.Outlook, th bloom.Threshold) bloom.Distribution {
	d := bloom.Distribution{SpreadDays: th.SpreadDays}
	reached := 0.0
	for _, sp := range o.Springs {
		if sp.BloomDay >= len(sp.Days) {
			d.UnreachedShare += sp.Weight
			continue
		}
		reached += sp.Weight
		d.Members = append(d.Members, bloom.Member{Name: sp.Label, Weight: sp.Weight, Date: o.Date(sp.BloomDay)})
	}
	for i := range d.Members {
		d.Members[i].Weight /= reached
	}
	return d
}
