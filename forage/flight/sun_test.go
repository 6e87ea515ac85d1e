package flight

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const toleranceMin = 5.0 // minutes, what the package promises at 40-60 N

// Sunrise-to-sunset times as printed in almanacs for a common year, from memory;
// each is held against almanacDayLengthH below as well.
func TestDayLengthPublished(t *testing.T) {
	tests := []struct {
		name string
		lat  float64
		doy  int
		h, m int
	}{
		{"40 N, June solstice: 15 h 01 in US Naval Observatory tables", 40, 172, 15, 1},
		{"40 N, December solstice: 9 h 20", 40, 355, 9, 20},
		{"40 N, March equinox: over 12 h, for the sun is a disc and is lifted", 40, 79, 12, 8},
		{"New York, June solstice", 40.71, 172, 15, 5},
		{"New York, December solstice", 40.71, 355, 9, 15},
		{"Minneapolis, June solstice", 44.98, 172, 15, 37},
		{"Minneapolis, December solstice", 44.98, 355, 8, 46},
		{"Seattle, June solstice", 47.61, 172, 15, 59},
		{"Seattle, December solstice", 47.61, 355, 8, 25},
		{"Winnipeg, June solstice", 49.90, 172, 16, 21},
		{"Winnipeg, December solstice", 49.90, 355, 8, 5},
		{"London, June solstice", 51.51, 172, 16, 38},
		{"London, December solstice", 51.51, 355, 7, 50},
		{"Edinburgh, June solstice", 55.95, 172, 17, 36},
		{"Edinburgh, December solstice", 55.95, 355, 6, 57},
		{"Oslo, June solstice", 59.91, 172, 18, 50},
		{"Oslo, December solstice", 59.91, 355, 5, 54},
		{"60 N, March equinox: the sun crosses the horizon slowly, worked", 60, 79, 12, 13},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			want := float64(tt.h) + float64(tt.m)/60
			require.InDelta(t, want, almanacDayLengthH(tt.lat, time.Date(2023, 1, tt.doy, 0, 0, 0, 0, time.UTC)), toleranceMin/60, "the check itself")
			require.InDelta(t, want, DayLengthH(tt.lat, tt.doy), toleranceMin/60)
		})
	}
}

// almanacDayLengthH is the day length on a date of a real year, by the sun of
// Meeus, Astronomical Algorithms, 2nd ed. 1998, chapter 25 (good to 0.01 degrees; from
// memory), with sunrise at a zenith distance of 90 degrees 50 minutes as in US Naval
// Observatory tables.
func almanacDayLengthH(lat float64, date time.Time) float64 {
	const rad = math.Pi / 180
	c := date.Add(12*time.Hour).Sub(time.Date(2000, 1, 1, 12, 0, 0, 0, time.UTC)).Hours() / 24 / 36525
	l0 := 280.46646 + 36000.76983*c + 0.0003032*c*c
	m := (357.52911 + 35999.05029*c - 0.0001537*c*c) * rad
	centre := (1.914602-0.004817*c-0.000014*c*c)*math.Sin(m) + (0.019993-0.000101*c)*math.Sin(2*m) + 0.000289*math.Sin(3*m)
	node := (125.04 - 1934.136*c) * rad
	lambda := (l0 + centre - 0.00569 - 0.00478*math.Sin(node)) * rad
	tilt := (23.43929 - 0.0130042*c + 0.00256*math.Cos(node)) * rad
	decl := math.Asin(math.Sin(tilt) * math.Sin(lambda))
	x := (math.Cos(90.8333*rad) - math.Sin(lat*rad)*math.Sin(decl)) / (math.Cos(lat*rad) * math.Cos(decl))
	return 2 * math.Acos(x) / rad / 15
}

func TestDayLengthEveryDay(t *testing.T) {
	for _, lat := range []float64{40, 45, 50, 55, 60} {
		t.Run(fmt.Sprintf("%g N, every day of 1990-2030 against Meeus 1998", lat), func(t *testing.T) {
			worst, when := 0.0, time.Time{}
			for date := time.Date(1990, 1, 1, 0, 0, 0, 0, time.UTC); date.Year() <= 2030; date = date.AddDate(0, 0, 1) {
				if off := 60 * (DayLengthH(lat, date.YearDay()) - almanacDayLengthH(lat, date)); math.Abs(off) > math.Abs(worst) {
					worst, when = off, date
				}
			}
			t.Logf("worst %+.1f minutes on %s", worst, when.Format(time.DateOnly))
			require.LessOrEqual(t, math.Abs(worst), toleranceMin)
		})
	}
}

func TestDayLengthLimits(t *testing.T) {
	require.Equal(t, 24.0, DayLengthH(75, 172), "polar day")
	require.Equal(t, 0.0, DayLengthH(75, 355), "polar night")
	require.Equal(t, 0.0, DayLengthH(-75, 172), "polar night in the south")
	for doy := 1; doy <= 366; doy++ {
		require.InDelta(t, 12.12, DayLengthH(0, doy), 0.03, "the equator has 12 h 7 min all year")
	}
}

func TestClearSky(t *testing.T) {
	require.Zero(t, clearSkyRadiationWm2(-0.2), "below the horizon")
	require.InDelta(t, 1037, clearSkyRadiationWm2(1), 1, "sun overhead: 1098 exp(-0.057), worked")
	require.InDelta(t, 490, clearSkyRadiationWm2(0.5), 1, "sun at 30 degrees: 549 exp(-0.114), worked")
}
