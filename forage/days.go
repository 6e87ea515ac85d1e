package forage

import (
	"time"

	"bloomgap/forage/flight"
)

// NewDay works out what a day's weather means at a latitude. calendar is the
// date of the season being planned, which for a past spring differs from the
// date of the weather by whole years.
func NewDay(calendar time.Time, tminC, tmaxC, precipMm, latDeg float64, origin Origin) Day {
	light := flight.NewDaylight(latDeg, calendar.YearDay())
	return dayIn(&light, calendar, tminC, tmaxC, precipMm, origin)
}

// dayIn is NewDay by the light of that day, worked out before.
func dayIn(light *flight.Daylight, calendar time.Time, tminC, tmaxC, precipMm float64, origin Origin) Day {
	foragingH, cleansingH := light.Hours(tminC, tmaxC, precipMm)
	return Day{
		Date:       calendar,
		TminC:      tminC,
		TmaxC:      tmaxC,
		PrecipMm:   precipMm,
		DayLengthH: light.LengthH,
		ForagingH:  foragingH,
		CleansingH: cleansingH,
		Origin:     origin,
	}
}

// CanFly tells whether bees can leave the hive at all that day: the day has at
// least flight.FlyingDayH hours warm and dry enough.
func (d Day) CanFly() bool { return d.CleansingH >= flight.FlyingDayH }
