// Package flight says how long bees can fly on a day: the day length, the run
// of temperature through the day, and the hours of foraging and of cleansing
// flight that follow from them.
//
// # Model
//
// Day length is the formula of Forsythe et al. 1995, with sunrise and sunset
// where the upper edge of the sun, lifted by refraction, touches the horizon,
// and with the sun's declination by the Astronomical Almanac's short formulas:
// the paper's own declination runs most of a day late.
// All times of day are local solar time, so noon is 12.
//
// Between the day's extremes the temperature follows Parton and Logan 1981: a
// sine from the minimum at sunrise over the maximum 1.86 h after solar noon to
// sunset, then a decay through the night. The published decay stops about a
// tenth of the way short of the minimum; here it is stretched to reach it, so
// that the curve has no step at sunrise.
//
// A moment of daylight counts for foraging by the product of three shares:
//
//   - temperature: 0 at 12 C and below, rising evenly to 1 at 20 C;
//   - light: clear-sky radiation over 460 W/m2, at most 1 (low sun counts less);
//   - rain: the day's rain thins out the whole day, 1 when dry, 0.5 at 3 mm,
//     0.1 at 10 mm and more.
//
// For cleansing flight the temperature share rises from 0 at 9 C to 1 at 11 C,
// any daylight will do, and the rain share is the same. A day with less than
// an hour of cleansing flight is a non-flying day.
//
// # Units
//
// Temperatures are C, rain is mm a day, times and day lengths are hours, and
// latitudes are degrees, north positive. The day of the year counts from 1.
//
// # Where the sources disagree
//
// Burrill and Dietz 1981 saw no foraging below 12 C and a rise up to 20 C and
// to 460 W/m2. Vicens and Bosch 2000 saw bees fully active at 12-14 C once
// the sun gave 300 W/m2. Here 13 C with strong sun is an eighth of full
// foraging, so the first source is followed and the second is missed on
// purpose: scale hives gained nothing on days below 13 C even in full dandelion
// bloom, and little up to 20 C (Schwenkel 2009). Bees that fly are not yet
// bees that bring something home. Cleansing flight, which is full from 11 C,
// is nearer to what Vicens and Bosch counted. They also saw no flight in light
// rain; the daily sum does not tell when it rained, so rain takes a share of
// the day instead.
//
// # What it leaves out
//
// Wind, which cuts flight from 24 km/h and stops it at 40 (common practice),
// air humidity and cloud: few daily records hold them. On a windy or a dark dry
// day the hours are too many. SunShare estimates the light of a day from its range
// of temperature, for who wants to count them by it; on a coast it is too low. The shadow of hills and houses, and the sun that
// warms a hive's front, are left out as well.
//
// # Sources
//
//   - Forsythe, Rykiel, Stahl, Wu and Schoolfield 1995, Ecological Modelling 80:87-95
//   - Astronomical Almanac, section C, low-precision formulas for the sun
//   - Parton and Logan 1981, Agricultural Meteorology 23:205-216
//   - Bristow and Campbell 1984, Agricultural and Forest Meteorology 31:159-166 (sun by the day's range)
//   - Haurwitz 1945, Journal of Meteorology 2:154-166 (clear-sky radiation)
//   - Burrill and Dietz 1981, Apidologie 12:319-328
//   - Vicens and Bosch 2000, Environmental Entomology 29:413-420
//   - Schwenkel 2009, scale hives in the Black Forest
package flight
