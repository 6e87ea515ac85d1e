package forage

import (
	"time"

	"bloomgap/forage/flight"
)

// NewDay works out what a day's weather means at a latitude. calendar is the
// date of the season being planned, which for a past spring differs from the
// date of the weather by whole years.
func NewDay(calendar time.Time, tminC, tmaxC, precipMm, latDeg float64, origin Origin) Day {
	doy := calendar.YearDay()
	foragingH, cleansingH := flight.Hours(tminC, tmaxC, precipMm, latDeg, doy)
	return Day{
		Date:       calendar,
		TminC:      tminC,
		TmaxC:      tmaxC,
		PrecipMm:   precipMm,
		DayLengthH: flight.DayLengthH(latDeg, doy),
		ForagingH:  foragingH,
		CleansingH: cleansingH,
		Origin:     origin,
	}
}

// CanFly tells whether bees can leave the hive at all that day: the day has at
// least flight.FlyingDayH hours warm and dry enough.
func (d Day) CanFly() bool { return d.CleansingH >= flight.FlyingDayH }
