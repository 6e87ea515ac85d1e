// Package weather reads daily weather records as the public weather services
// publish them, says how good they are, mends what may be mended and sums them
// up.
//
// # Reading
//
// Read and ReadFiles know a layout by what is in the file, never by its name:
// plain tables with a date and the day's lowest and highest temperature; the
// four forms of NOAA's daily records (fixed width, one station per file, long
// by year, order form); the yearly daily files of Environment Canada; the daily
// files of MeteoSwiss; the daily climate files of Deutscher Wetterdienst. All of
// them become one Record: a run of calendar days without a hole, where what is
// not known is NaN. A value that the service itself marked as doubtful, a value
// that no place with bees has ever had, and a day whose lowest is above its
// highest are made missing, and each is listed in Record.Removed.
//
// # Quality and mending
//
// Check counts duplicates, stuck values and gaps. Fill mends short gaps of
// temperature from a neighbouring record, shifted by the mean difference of the
// days around the gap, or else by a straight line between the days beside it;
// rain is never made up. Springs tells which years have the days that a run
// needs and why the others were left out.
//
// # Units
//
// Temperatures in C, rain and melted snow in mm, elevation in m, dates at
// midnight UTC. Years 1700 to 2200. Inputs in Fahrenheit and inches are turned
// into C and mm on reading.
//
// # What it leaves out
//
// Hourly records, monthly records, snow depth, wind, sunshine and humidity;
// packed files (unpack them first); spreadsheets (save them as CSV). It does not
// correct for a station that was moved or for the hour of observation.
//
// # Sources
//
// Layout of NOAA's daily records: readme of the Global Historical Climatology
// Network daily; Menne et al. 2012, J. Atmos. Oceanic Technol. 29:897-910.
// Filling from a neighbour by the mean difference of the surrounding days:
// Allen et al. 1998, FAO Irrigation and Drainage Paper 56, annex 4 (from memory,
// in its simplest form: a shift, no slope).
package weather
