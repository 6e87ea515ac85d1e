package forage

import "time"

// Origin tells where a day of a spring came from.
type Origin uint8

// The origins of a day, in the order in which they follow each other.
const (
	Observed  Origin = iota // this season's record
	Forecast                // a forecast file
	Past                    // the same date of a past year
	Generated               // a generated year
)

func (o Origin) String() string {
	return [...]string{"observed", "forecast", "past spring", "generated"}[o]
}

// Day is one day outside the hive.
type Day struct {
	Date       time.Time // midnight UTC, in the season being planned
	TminC      float64
	TmaxC      float64
	PrecipMm   float64 // NaN when not known
	DayLengthH float64
	ForagingH  float64 // equivalent full hours of foraging flight
	CleansingH float64 // hours in which bees can leave the hive at all
	Origin     Origin
}
