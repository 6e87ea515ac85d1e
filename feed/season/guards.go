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

	RiskGuard      read.Code = "accept-risk"  // a share written for percent
	FarGuard       read.Code = "climate-far"  // no built-in climate is near
	FarNote        read.Code = "place-far"    // springs of a place some way off
	FarRecordGuard read.Code = "weather-far"  // a record of another part of the world
	ForecastOld    read.Code = "forecast-old" // a forecast that is past

	WeightGuard    read.Code = "hive-weight"      // a weight that leaves too much food
	CountTempGuard read.Code = "count-temp"       // a count of seams in the heat
	MeansGuard     read.Code = "climate-southern" // monthly means with a summer in January
)

// leastRiskPct is the accepted risk below which the figure looks like a share
// written for percent, %: 0.05 for 5 (own judgement: under 1 in 200 no number of
// draws tells one risk from another).
const leastRiskPct = 0.5

// riskQuestion asks about an accepted risk under leastRiskPct at the place given.
func riskQuestion(pct float64, at read.Problem) read.Problem {
	at.Code, at.Level = RiskGuard, read.Ask
	at.Message = fmt.Sprintf("the accepted risk is %g %%: less than one spring in 200", pct)
	at.Fix = fmt.Sprintf("write percent: %g for %g %%", 100*pct, 100*pct)
	return at
}

// WeighRisk asks about an accepted risk in settings that came from no file; where
// names its place in messages.
func WeighRisk(s Settings, where string) read.Problems {
	if pct := 100 * s.AcceptRiskFrac; pct < leastRiskPct {
		return read.Problems{riskQuestion(math.Round(1e6*pct)/1e6, read.Problem{File: where})}
	}
	return nil
}

// Guards lists every rule of plausibility that what a keeper wrote is weighed
// against: those of this package, of bloom dates and of weather.
func Guards() []read.Guard {
	out := []read.Guard{
		{Code: RiskGuard, Level: read.Ask, What: "an accepted risk under 0.5 %", Source: "own judgement: a run of 300 springs cannot tell risks so small"},
		{Code: WeightGuard, Level: read.Ask, What: "food of more than 70 % of full combs from February to June, 50 % where bees fill half of the combs or fewer, 60 % where they were not counted, " +
			"if another unit or kind of weight would fit", Source: "own judgement on common practice (Collison 2017: 27-41 kg for winter, 0.5-1 kg a week)"},
		{Code: CountTempGuard, Level: read.Ask, What: "seams counted at more than 30 C", Source: "own judgement: 41 F is 5 C"},
		{Code: MeansGuard, Level: read.Error, What: "monthly means whose January is warmer than their July", Source: "the seasons"},
		{Code: bloom.SeasonGuard, Level: read.Ask, What: "bloom from August to November", Source: "own judgement: nothing that bees build up on in spring blooms then"},
	}
	out = append(out,
		read.Guard{Code: FarNote, Level: read.Note, What: "springs of a place 150 km or 300 m of height away", Source: "own judgement: spring there differs by about 2 C or six days"},
		read.Guard{Code: FarGuard, Level: read.Error, What: "climate = auto with no built-in climate within 1,000 km", Source: "own judgement: another climate"},
		read.Guard{Code: FarRecordGuard, Level: read.Ask, What: "a weather record of a place 1,000 km away or further", Source: "own judgement: another climate"},
		read.Guard{Code: ForecastOld, Level: read.Note, What: "a forecast that ends before today", Source: "the calendar"})
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
