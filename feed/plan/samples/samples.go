// Package samples holds one note of every code of a plan, with plausible invented
// figures, for the tests of all that renders notes.
package samples

import (
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

func cautionSamples() []plan.Note {
	changed := plan.ModelChanged{Parameters: []plan.ChangedParameter{{Name: "solid_kg_per_kg_sugar", Value: 1.1, Usual: 1.2, Unit: "kg/kg"}}}
	return append(append(plan.Cautions(), plan.DustingPowder{}, changed), plan.Limits()...)
}

func feederSamples() []plan.Note {
	return []plan.Note{
		plan.FeederTouches{NonFlyingDays: 21, ColdSpellDays: 17}, plan.FeederClose{NonFlyingDays: 21}, plan.FeederLarge{DaysToNectar: 40},
		plan.FeederRefilled{DaysToNectar: 40}, plan.FeederSolid{MaxC: 3.4},
		plan.AgainstLeaving{NonFlyingDays: 21}, plan.AgainstFar{MaxC: 7.6}, plan.AgainstNotTouching{MaxC: 7.6}, plan.AgainstNotOnHand{},
		plan.AgainstSmall{HoldsL: 1, WantedL: 2.5}, plan.AgainstOpening{}, plan.AgainstUsedOnce{}, plan.AgainstLarge{}, plan.AgainstSyrupCold{},
	}
}

// Notes holds one note of every code, with plausible figures, for tests that
// render them all.
func Notes() []plan.Note {
	var all []plan.Note
	for _, of := range [][]plan.Note{
		reasonSamples(), feederSamples(), supplementSamples(), warningSamples(), taskSamples(), cautionSamples(), changeSamples(), answerSamples(),
	} {
		all = append(all, of...)
	}
	return all
}

// sampleDay is a day of an invented spring.
func sampleDay(month time.Month, day int) time.Time {
	return time.Date(2027, month, day, 0, 0, 0, 0, time.UTC)
}

func reasonSamples() []plan.Note {
	return []plan.Note{
		plan.DeadColony{}, plan.NotSeen{},
		plan.Seen{Food: season.FoodHeft, On: sampleDay(3, 20), Before: 1, StoresKg: plan.Range{P10: 1.4, P50: 4, P90: 6.6}, Bees: 8700},
		plan.FedSince{LastOn: sampleDay(3, 23), SyrupL: 3, SolidKg: 2.5, CombFood: 1},
		plan.Need{
			Nectar:    plan.DateRange{P10: sampleDay(5, 5), P50: sampleDay(5, 13), P90: sampleDay(5, 22)},
			On:        sampleDay(3, 20),
			StoresKg:  plan.Range{P10: 3.1, P50: 5.2, P90: 8.4},
			KgPerWeek: 1.1,
			LackKg:    5.6, LackFrac: 0.05,
		},
		plan.Starves{RiskFrac: 0.62, AcceptFrac: 0.05, FedFrac: 0.051, AcceptedBy: sampleDay(3, 25), SolidFirst: true},
		plan.PassesReserve{RiskFrac: 0.03, ReserveKg: 5, On: sampleDay(4, 26)},
		plan.NearTheLine{RiskFrac: 0.03}, plan.Holds{RiskFrac: 0.001, ReserveKg: 5},
		plan.WeighIt{RiskIfLightFrac: 0.72, RiskIfHeavyFrac: 0.03, NeedStoresKg: 7, NeedGrossKg: 24.6, On: sampleDay(3, 20)},
		plan.WasWeighed{NeedStoresKg: 7, NeedGrossKg: 24.6, On: sampleDay(3, 20)},
		plan.WeighingIdle{NeedStoresKg: 9.5, NeedGrossKg: 24.6, On: sampleDay(3, 20)},
	}
}

func supplementSamples() []plan.Note {
	wanted := sampleDay(5, 20)
	return []plan.Note{
		plan.SupplementUnwanted{}, plan.SupplementIdle{}, plan.SupplementLate{WantedOn: wanted}, plan.SupplementEnough{Bees: 20400, WantedOn: wanted},
		plan.SupplementWindow{WantedOn: wanted, From: sampleDay(4, 10), To: sampleDay(4, 22)}, plan.SupplementShort{WantedBees: 20000},
		plan.SupplementEffect{From: sampleDay(4, 12), MoreBees: 2300, ErrBees: 180, BareBees: 11800, WantedOn: wanted, Emerge: sampleDay(5, 8),
			Forage: sampleDay(5, 26), ExtraSyrupL: 1.9, RiskFrac: 0.93, AloneFrac: 0.86},
		plan.SupplementSlight{From: sampleDay(4, 12), WantedOn: wanted}, plan.SupplementCare{},
	}
}

func taskSamples() []plan.Note {
	return []plan.Note{
		plan.CleanTools{}, plan.SeeDead{
			By: sampleDay(4, 2),
		}, plan.DustRound{Round: 1, Of: 3, MovedFrom: sampleDay(3, 31), PowderG: 12, Colonies: 7}, plan.CloseFeeders{}, plan.NoAcidUntil{LastRound: sampleDay(4, 9)},
		plan.NoSupersBefore{On: sampleDay(6, 4), WaitDays: 56}, plan.AskWait{}, plan.KeepWraps{NightC: -4.2, CostKg: 0.9}, plan.WrapsOff{NightC: 3.3, UnderKg: 0.5},
		plan.WrapHive{},
		plan.GiveSolid{
			SolidKg: 2.5,
		}, plan.GiveSyrup{SyrupL: 3, Strength: syrup.ThreeToTwo(), Feeder: plan.BagOnBars,
			If: plan.FeedLine{UnderKg: 5.5, UnderGrossKg: 24.6, UnderHeft: season.HeftLight, NeededFrac: 0.3}},
		plan.WeighHive{}, plan.HeftAgain{}, plan.Look{},
	}
}

func warningSamples() []plan.Note {
	return []plan.Note{
		plan.SampledTally{Colonies: 13, LookedAt: 5, FromColonies: 9, ToColonies: 17}, plan.SmallCluster{Bees: 1400},
		plan.ColdCluster{Bees: 3900, ColdSpellDays: 12, UnderBees: 2000, Dwindles: plan.Risk{Frac: 0.23, ErrFrac: 0.02}},
		plan.BroodNotSeen{}, plan.SeamsNotSeen{}, plan.FoodNotKnown{}, plan.NothingSeen{},
		plan.LooksUnused{Problem: "a colony was seen after the last day looked at"},
		plan.LookUnexpected{
			On:   sampleDay(3, 22),
			What: plan.Stores,
			More: true,
		}, plan.FedUntold{Since: sampleDay(3, 19), On: sampleDay(4, 2), StoresKg: plan.Range{P10: 4.1, P50: 5.6, P90: 7.2}, Frac: 0.9},
		plan.LooksWidened{Times: 1.7}, plan.LooksWithoutWeather{},
		plan.GoSooner{Before: sampleDay(3, 24)}, plan.StillStarves{RiskFrac: 0.053, AcceptFrac: 0.05}, plan.ReserveNotHeld{},
		plan.NectarBeyond{LastDay: sampleDay(7, 15)}, plan.NoDaysOfSeason{}, plan.GapYears{Years: []int{1998, 2003}}, plan.FewSprings{Whole: 6, Generated: 24},
		plan.NoRecord{Climate: "Farnham", Credit: "invented normals"}, plan.RoundsPast{Rounds: []time.Time{sampleDay(3, 10), sampleDay(3, 15)}},
		plan.RoundsCold{Rounds: []plan.ColdRound{{On: sampleDay(3, 25), MaxC: 3.2}, {On: sampleDay(3, 30), MaxC: 5.1}}},
		plan.SupersSoon{LastRound: sampleDay(4, 9), WaitDays: 56, WaitEnds: sampleDay(6, 4), SupersOn: sampleDay(5, 6), StartRoundBy: sampleDay(3, 1)},
		plan.WaitUnknown{LastRound: sampleDay(4, 9), SupersOn: sampleDay(5, 20)},
		plan.RobbedBefore{Fly: sampleDay(4, 2), FirstVisit: sampleDay(4, 20)}, plan.VisitMovedLate{From: sampleDay(3, 23), To: sampleDay(3, 25)},
		plan.SyrupAtSupers{LastSyrup: sampleDay(5, 8), SupersOn: sampleDay(5, 6)},
		plan.OrderLacksSyrup{
			Colonies:    3,
			ExtraSyrupL: 4.2,
		}, plan.StillAtRisk{Colonies: 2, WorstYard: "North", Worst: "7", WorstFrac: 0.12, AcceptFrac: 0.05}, plan.WinterPlan{From: sampleDay(2, 1)}, plan.OpenFeeding{},
		plan.InputNote{
			Check:   "column-unknown",
			File:    "colonies.csv",
			Line:    1,
			Column:  3,
			Message: "the column \"queen\" is not known and not used",
		}, plan.InputNotesLeftOut{More: 12},
	}
}
