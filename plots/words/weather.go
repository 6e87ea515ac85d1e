package words

import (
	"fmt"
	"math"

	"bloomgap/feed/plan"
)

// Springs says where the possible springs of a yard come from: "20 past springs
// of Farnham and 10 drawn from the climate of Ottawa".
func Springs(w plan.WeatherSource) string {
	switch {
	case w.Record == "" && w.Generated > 0:
		return fmt.Sprintf("%d springs drawn from the climate of %s", w.Generated, Clean(w.Climate))
	case w.Record == "":
		return ""
	}
	text := fmt.Sprintf("%d past springs of %s", w.PastSprings, Clean(w.Record))
	switch {
	case w.Generated > 0 && w.Climate == "":
		text += fmt.Sprintf(" and %d drawn from the climate of that record", w.Generated)
	case w.Generated > 0:
		text += fmt.Sprintf(" and %d drawn from the climate of %s", w.Generated, Clean(w.Climate))
	}
	return text
}

// WeatherSource says besides which days of this season are known, and where the
// bloom date comes from; "" when nothing is known.
func (u Style) WeatherSource(w plan.WeatherSource) string {
	text := Springs(w)
	if text == "" {
		return ""
	}
	if !w.ObservedTo.IsZero() {
		text += "; this season's days to " + u.ShortDay(w.ObservedTo)
	}
	if !w.ForecastTo.IsZero() {
		text += "; forecast to " + u.ShortDay(w.ForecastTo)
	}
	switch {
	case !w.Bloom.IsZero() && w.BloomSDDays == 0:
		return text + "; bloom seen " + u.ShortDay(w.Bloom)
	case !w.Bloom.IsZero():
		return text + fmt.Sprintf("; bloom given as %s, give or take %.0f days", u.ShortDay(w.Bloom), w.BloomSDDays)
	case w.Plant != "":
		return text + fmt.Sprintf("; bloom of %s by thermal time", Clean(w.Plant))
	}
	return text
}

// away says how far that place is from the yard, "" when it is not known.
func (u Style) away(w plan.WeatherSource) string {
	switch {
	case w.AwayKm <= 0:
		return ""
	case w.AwayKm < 1:
		return ", on the spot"
	case u.US:
		return fmt.Sprintf(", %.0f miles away", math.Max(1, math.Round(w.AwayKm/kmInMile)))
	}
	return fmt.Sprintf(", %.0f km away", w.AwayKm)
}

// kmInMile by definition.
const kmInMile = 1.609344
