package season

import (
	"bloomgap/forage/bloom"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
	"fmt"
	"math"
)

// The codes of this package.
const (
	SettingsUnreadable read.Code = "settings-unreadable" // no TOML, or too much of it
	TodayUnreadable    read.Code = "settings-today"      // the day named in the settings is none
	ConfirmUnknown     read.Code = "confirm-unknown"     // a question is confirmed that nobody asks

	RiskGuard      read.Code = "accept-risk"   // a share written for percent
	FarGuard       read.Code = "climate-far"   // no built-in climate is near
	FarNote        read.Code = "place-far"     // springs of a place some way off
	FarRecordGuard read.Code = "weather-far"   // a record of another part of the world
	ForecastOld    read.Code = "forecast-old"  // a forecast that is past, or of days far ahead
	AheadGuard     read.Code = "weather-ahead" // a record of days to come

	WeightGuard    read.Code = "hive-weight"      // a weight that leaves too much food
	LiftGuard      read.Code = "lift-sides"       // two sides of a hive that weigh very differently
	ApartGuard     read.Code = "readings-apart"   // two readings of a hive on one day that contradict each other
	EmptyGuard     read.Code = "empty-weight"     // an empty part of a hive far from its usual weight
	ThinGuard      read.Code = "syrup-thin"       // a syrup with more water than sugar
	ThickGuard     read.Code = "syrup-thick"      // a syrup with more sugar than water dissolves
	BroodGuard     read.Code = "brood-bees"       // much more brood than the bees cover
	BloomFarGuard  read.Code = "bloom-far"        // a bloom date far from the one the warmth makes likely
	CountTempGuard read.Code = "count-temp"       // a count of seams in the heat
	TallyGuard     read.Code = "tally-old"        // a tally that other tallies of its yard are much later than
	MeansGuard     read.Code = "climate-southern" // monthly means with a summer in January
)

// leastRiskPct is the accepted risk below which the figure looks like a share
// written for percent, %: 0.05 for 5 (own judgement: under 1 in 200 no number of
// draws tells one risk from another).
const leastRiskPct = 0.5

// mostRiskPct is the accepted risk above which the figure looks like the risk that
// is not accepted, or a slip, % (own judgement: nobody accepts that three colonies
// in ten starve).
const mostRiskPct = 30.0

// thinnestFrac is the share of sugar under which a syrup looks written with the
// water first (own judgement: 1:1 by weight, 0.5, is the thinnest that is fed in
// spring; 1:1 by volume is 0.46).
const thinnestFrac = 0.45

// thickestFrac is the share of sugar over which no water of a hive dissolves a syrup:
// sucrose saturates at 67 % by weight at 20 C and 70 % at 40 C (handbook values of the
// solubility of sucrose, from memory); bought syrups of several sugars reach more.
const thickestFrac = 0.72

// mostBroodPerSeam is how many frames of brood, both sides full, a seam of bees
// keeps warm at the most: one covers two sides, and a warm day lets
// them spread out by half (own judgement).
const mostBroodPerSeam = 1.5

// riskQuestion asks about an accepted risk that is too small or too large, at the
// place given.
func riskQuestion(pct float64, at read.Problem) (read.Problem, bool) {
	at.Code, at.Level = RiskGuard, read.Ask
	switch {
	case pct < leastRiskPct:
		at.Message = fmt.Sprintf("the accepted risk is %g %%: less than one spring in 200", pct)
		at.Fix = fmt.Sprintf("write percent: %g for %g %%", 100*pct, 100*pct)
	case pct > mostRiskPct:
		at.Message = fmt.Sprintf("the accepted risk is %g %%: so many springs in a hundred may starve the colony", pct)
		at.Fix = "write the risk that you accept; 5 is usual"
	default:
		return at, false
	}
	return at, true
}

// Weigh asks about settings that came from no file: the accepted risk and the
// strength of the syrup. They are called by the flags they come from.
func Weigh(s Settings) read.Problems {
	var ps read.Problems
	if p, odd := riskQuestion(math.Round(1e8*s.AcceptRiskFrac)/1e6, read.Problem{File: "--accept-risk"}); odd {
		ps.Report(p)
	}
	if p, odd := mixQuestion(s.Strength, read.Problem{File: "--strength"}); odd {
		ps.Report(p)
	}
	return ps
}

// Guards lists every rule of plausibility that what a keeper wrote is weighed
// against: those of this package, of bloom dates and of weather.
func Guards() []read.Guard {
	out := []read.Guard{
		{Code: RiskGuard, Level: read.Ask, What: "an accepted risk under 0.5 % or over 30 %", Source: "own judgement: a run of 300 springs cannot tell risks so small, and nobody accepts ones so large"},
		{Code: WeightGuard, Level: read.Ask, What: "food of more than 70 % of full combs from February to June, 50 % where bees fill half of the combs or fewer, 60 % where they were not counted, " +
			"or no food at all, if another unit or kind of weight would fit", Source: "own judgement on common practice (Collison 2017: 27-41 kg for winter, 0.5-1 kg a week)"},
		{Code: CountTempGuard, Level: read.Ask, What: "seams counted at more than 30 C, 25 C in April, 20 C from December to March", Source: "own judgement: 41 F is 5 C"},
		{Code: LiftGuard, Level: read.Ask, What: "one side of a hive that weighs less than half of the other", Source: "own judgement: all honey on one side of a box makes six tenths"},
		{Code: ApartGuard, Level: read.Ask, What: "two readings of the food of a hive on one day (a weight, lifts, frames, a heft) that lie 2.5 standard deviations of their errors apart, two weights 3",
			Source: "own judgement on the errors of sim/observe: of honest readings fewer than one in a hundred lie so far apart"},
		{Code: EmptyGuard, Level: read.Ask, What: "an empty box that weighs less than 0.6 or more than 1.6 times the usual, another part less than 0.2 or more than 2.2 times",
			Source: "own judgement: a kilogram is 2.2 lb"},
		{Code: ThinGuard, Level: read.Ask, What: "syrup of less than 45 % sugar", Source: "common practice: 1:1 is the thinnest"},
		{Code: ThickGuard, Level: read.Ask, What: "syrup of more than 72 % sugar", Source: "solubility of sucrose, 67 % by weight at 20 C, 70 % at 40 C, from memory"},
		{Code: BroodGuard, Level: read.Ask, What: "more than 1.5 frames of brood, both sides full, for each seam of bees and one more", Source: "own judgement: a seam of bees covers two sides of comb"},
		{Code: BloomFarGuard, Level: read.Ask, What: "a bloom date more than 35 days from the middle of those that the warmth of the yard's springs makes likely",
			Source: "own judgement: springs scatter by 8 to 10 days and the rules by 3 to 8, so that three times both is 30 to 40"},
		{Code: TallyGuard, Level: read.Ask, What: "a tally whose last row is more than 7 days older than another tally of its yard", Source: "own judgement: a round of a yard takes days, and a later round counts the same colonies again"},
		{Code: MeansGuard, Level: read.Error, What: "monthly means whose January is warmer than their July, whose warmest month is under 10 C, or that differ by less than 4 C", Source: "the seasons"},
		{Code: bloom.SeasonGuard, Level: read.Ask, What: "bloom from August to November; the first dependable nectar from December to January, north of 38 degrees to February", Source: "own judgement: nothing that bees build up on in spring blooms then"},
	}
	out = append(out,
		read.Guard{Code: FarNote, Level: read.Note, What: "springs of a place 150 km or 300 m of height away, or of one chosen by the latitude alone", Source: "own judgement: 300 m are 2 C, five to six days of dandelion; 400 km are 0.9 to 1.6 C between open records"},
		read.Guard{Code: FarGuard, Level: read.Error, What: "climate = auto with no built-in climate within 1,000 km", Source: "own judgement: another climate"},
		read.Guard{Code: FarRecordGuard, Level: read.Ask, What: "a weather record of a place 1,000 km away or further", Source: "own judgement: another climate"},
		read.Guard{Code: AheadGuard, Level: read.Note, What: "a weather record that goes on for more than 16 days after today", Source: "own judgement: no forecast does"},
		read.Guard{Code: ForecastOld, Level: read.Note, What: "a forecast that ends before today or begins more than 16 days after it", Source: "the calendar"})
	return append(out, weather.Guards()...)
}

// ConfirmCode is the code of a question that may be confirmed; false for any
// other word.
func ConfirmCode(word string) (read.Code, bool) {
	for _, g := range Guards() {
		if g.Level == read.Ask && string(g.Code) == word {
			return g.Code, true
		}
	}
	return "", false
}

// ConfirmCodes lists the questions that may be confirmed.
func ConfirmCodes() []string {
	var out []string
	for _, g := range Guards() {
		if g.Level == read.Ask {
			out = append(out, string(g.Code))
		}
	}
	return out
}
