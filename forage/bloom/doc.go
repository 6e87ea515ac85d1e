// Package bloom says when plants bloom: by thermal time, fitted to a
// beekeeper's own dates or with built-in figures, as a spread of dates for this
// season, or by a date that was seen.
//
// # Model
//
// A Threshold adds up warmth from a start day: each day the mean of minimum and
// maximum less a base, nothing when below it, times a weight for the month. The
// plant blooms on the first day on which the sum is at least NeedCd. Three
// families come from this one form: base 0 C or 2 C from a day in March or
// April (worked here from dates near Fargo), the European grassland sum (base
// 0 C from 1 January, January counted half and February three quarters), and
// the American base 50 F rule (the minimum is raised to the base). What the
// rule does not explain is a normal error with SD SpreadDays.
//
// Up to a week of missing temperatures is bridged by a straight line. A longer
// hole before bloom, or a record that begins more than a week after the start
// day, gives no date.
//
// # Fitting
//
// Fit tries every combination of start day (first and sixteenth of the month),
// base (-2 to 8 C in steps of 2) and sum (in steps of 1 %) and keeps the one
// with the least squared error of the dates. Under ten years only the sum is
// fitted, on a start day and base given or plain (1 January, 0 C); up to
// twenty years the richer rule must cut the left-out error by 5 % to be taken;
// from twenty on, start day and sum on base 0 C stands between the two. The error
// given is leave-one-out: for each year all numbers, and the choice of the
// rule, are worked out again without it. Two things stay: the range of start
// days, and which years count as usable. The mean date is judged the same way
// and advised when thermal time does not beat it by 5 %.
//
// The grid is coarse because a fine one (single days, steps of 1 C) was worse
// on years left out: 3.6-4.2 days for Fargo dandelion in place of 2.9. This
// choice was made by looking at ten of the sets below (all but golden currant):
// some forty combinations of grid, ladder of rules, smoothing and penalty on
// the base were tried, and the other coarse ones gave 2.9-3.6 days for
// dandelion. With the ladder that is used from twenty years on, dandelion has
// 3.3. So the errors below are rosy, by up to half a day for dandelion. The
// plants of the tests that are invented had no part in it; one of them showed
// that very early plants need start days close to bloom. Left-out error in
// days, then that of the mean date:
//
//	Fargo, North Dakota, weather of 1 March-20 May only
//	dandelion        15 years   2.9   7.4
//	American elm     15 years   3.4  10.3
//	boxelder         14 years   2.2  10.4
//	silver maple     15 years   1.8   7.5
//	wild plum        13 years   2.6   7.7
//	cottonwood       12 years   1.1  11.4
//	juneberry        10 years   1.4   7.9
//	golden currant    8 years   3.0   6.6
//	cherry full bloom, weather of Bern-Zollikofen, up to 25 km away
//	Worb             38 years   5.7   9.0
//	Jegenstorf       14 years   5.0   7.7
//	Oeschberg        43 years   8.1  11.1
//
// The Swiss errors are larger, perhaps since height, slope and observer differ
// from the station's (not tested). Elm shows what few years do: with start day
// and base known beforehand (16 March, 2 C) the error is 1.7 days; to find them
// from 14 years costs as much again. The Fargo weather ends on 20 May and is of
// 15 years only, so blooms after that day are not among the years used, and
// the latest springs of late plants are missing.
//
// # Dandelion, and the built-in figures against each other
//
// Mean dates at the reference stations (1980 on) by three rules: Fargo from 1
// April (273 C-days), Fargo from 1 March (295), grassland sum 700.
//
//	Grand Forks   9 May    7 May    4 June
//	Farnham       8 May    5 May    3 June
//	Milwaukee     4 May   25 Apr   26 May
//	Bern          2 May   16 Apr   16 May
//	Wuerzburg    28 Apr   12 Apr    8 May
//	Grambek       2 May   20 Apr   17 May
//
// Common practice is mid-April to mid-May. Where March is frozen the two Fargo
// rules agree. Where it is mild, warmth before 1 April is left out by the
// first, which then comes 9-16 days late and hides the difference between
// years (SD 4 days in place of 7); so Default takes the rule from 1 March
// there. The sum of 700 stands ten days to four weeks behind both. It is likely
// meant for the full flow, and the list that it comes from runs late: its
// cherry sum of 530 is 8-17 days late near Bern, where the dates themselves
// give 424. It is kept as published with a wide spread and is not a default
// for dandelion. For cherry Default uses the sum worked from the Bern dates.
//
// "Bloom" is the first flower for the Fargo and base 50 F figures, full bloom
// for cherry. First flower is not yet a flow: weather and the number of
// flowers come on top, and are not modelled here.
//
// # Stages
//
// A sum belongs to a stage. First flower and full bloom lie days apart (at Farnham
// the two Ohio sums of red maple 8 days, at Milwaukee 11), and trees of a kind differ
// among themselves by about as much. Notes carry the stage, and notes of two
// stages are not fitted as one.
//
// Red maple by the published 44 F-days of first flower came 9.6 days early at
// Harvard Forest, Massachusetts, a record that nothing here was fitted to. The sum is that of
// planted trees in Ohio and is made of a few warm afternoons, each counted in full
// from 1 January on, since the lowest is raised to the base: 1 C at the station
// moves the date by 3 to 4 days at Farnham, Milwaukee and Grand Forks, and at Milwaukee it differs
// by 15 days (SD) from year to year where dandelion differs by 7. Counting the
// hours above the base instead would bring it 5 to 7 days later; which count the
// source has is not known, so the sum stands as published. For what feeds bees the sum of full bloom is
// listed beside it. Silver maple by the same rule comes 5 days late at Fargo.
//
// # Forecast
//
// feed/visits runs a rule over the springs of a yard; a Distribution holds what comes of it.
//
// # Units and signs
//
// Temperatures in C, sums in C-days, dates at midnight UTC, days of the year
// counted from 1 (0 and less: before New Year). An error of a date is
// positive when the rule is late.
//
// # Left out
//
// Need for winter cold, day length, rain, frost damage, height above the
// station; the southern half of the world; hazel and alder among the built-in
// figures, for want of a source.
//
// # Sources
//
// Dates near Fargo: O. A. Stevens; Travers & Dunnell 2009, Ecology 90:2332,
// Ecological Archives E090-162. Fargo temperatures: U.S. National Weather
// Service. Cherry dates and Bern temperatures: Source: MeteoSwiss. Base 50 F
// sums: Ohio State University. Grassland sums: European beekeepers'
// associations. Spreads of the last two were not published and are chosen; the
// reason stands in Note. Station records: NOAA GHCN-Daily; Environment and
// Climate Change Canada; MeteoSwiss; Deutscher Wetterdienst.
package bloom
