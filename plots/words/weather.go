package words

import (
	"fmt"

	"bloomgap/feed/plan"
)

// Springs says where the possible springs of a yard come from: "20 past springs
// of Farnham and 10 generated from the climate of Ottawa".
func Springs(w plan.WeatherSource) string {
	switch {
	case w.Record == "" && w.Generated > 0:
		return fmt.Sprintf("%d springs generated from the climate of %s", w.Generated, w.Climate)
	case w.Record == "":
		return ""
	}
	text := fmt.Sprintf("%d past springs of %s", w.PastSprings, w.Record)
	switch {
	case w.Generated > 0 && w.Climate == "":
		text += fmt.Sprintf(" and %d generated from a climate worked out from that record", w.Generated)
	case w.Generated > 0:
		text += fmt.Sprintf(" and %d generated from the climate of %s", w.Generated, w.Climate)
	}
	return text
}

// WeatherSource says besides which days of this season are known, and where the
// bloom date comes from; "" when nothing is known.
func WeatherSource(w plan.WeatherSource) string {
	text := Springs(w)
	if text == "" {
		return ""
	}
	if !w.ObservedTo.IsZero() {
		text += "; this season's days to " + day(w.ObservedTo)
	}
	if !w.ForecastTo.IsZero() {
		text += "; forecast to " + day(w.ForecastTo)
	}
	switch {
	case !w.Bloom.IsZero() && w.BloomSDDays == 0:
		return text + "; bloom seen " + day(w.Bloom)
	case !w.Bloom.IsZero():
		return text + fmt.Sprintf("; bloom given as %s +- %.0f days", day(w.Bloom), w.BloomSDDays)
	case w.Plant != "":
		return text + fmt.Sprintf("; %s by thermal time", w.Plant)
	}
	return text
}
