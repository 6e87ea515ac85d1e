package samples

import (
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

func changeSamples() []plan.Note {
	return []plan.Note{
		plan.ColonyNew{Verdict: plan.Watch}, plan.ColonyGone{Verdict: plan.NoFeed}, plan.ColonyMoved{FromYard: "Home"},
		plan.VerdictTurned{Before: plan.Watch, Now: plan.Feed}, plan.SoonerNow{StartBy: sampleDay(4, 2)}, plan.NotSoonerNow{},
		plan.VisitTurned{On: sampleDay(4, 3), BeforeSyrupL: 3, BeforeUnderKg: 5.5, NowSolidKg: 2.5},
		plan.StaysAtRisk{BeforeFrac: 0.03, NowFrac: 0.12}, plan.FeederTurned{Before: plan.BagOnBars, Now: plan.PailOverCover},
		plan.TallyRecounted{Before: 12, Now: 10}, plan.RiskMoved{BeforeFrac: 0.49, NowFrac: 0.12},
		plan.LookedSince{On: sampleDay(4, 2), Food: season.FoodHeft, Looks: 1, BeforeOn: sampleDay(3, 20), BeforeKg: 4.3, StoresKg: 7.5},
		plan.LookRewritten{On: sampleDay(3, 20)}, plan.GivenSince{LastOn: sampleDay(3, 23), SyrupL: 3, SolidKg: 2.5, CombFood: 1, SugarKg: 5.1},
		plan.GivenRewritten{On: sampleDay(3, 23)}, plan.DaysGone{Days: 12}, plan.WeatherKnown{BeforeTo: sampleDay(3, 19), To: sampleDay(4, 1)},
		plan.ForecastKnown{To: sampleDay(4, 9)}, plan.NectarMoved{Before: sampleDay(5, 13), Now: sampleDay(5, 10)},
		plan.VisitMoved{Before: sampleDay(4, 3), Now: sampleDay(4, 8)}, plan.BloomGiven{Now: sampleDay(5, 6)}, plan.SourceTurned{Before: "Farnham, Quebec", Now: "invented record"},
		plan.SettingFigure{Setting: "reserve", Before: 5, Now: 8, Unit: "kg"}, plan.SettingWord{Setting: "strength", Now: "1:1"},
		plan.OtherDraws{BeforeMembers: 300, NowMembers: 600}, plan.YardNew{Yard: "Hill"}, plan.YardGone{Yard: "Mill"},
		plan.OrderMoved{BeforeKg: 5.3, BeforeMostKg: 10.1, GivenKg: 4.2, NowKg: 1.1, NowMostKg: 5},
	}
}
