package samples

import (
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

func answerSamples() []plan.Note {
	wrap := plan.Unwrap{Wrapped: true, On: sampleDay(3, 23), CostKg: plan.Range{P10: 0.6, P50: 0.9, P90: 1.3}, CoolC: 5, From: sampleDay(4, 18), UnderKg: 0.5}
	leaving := plan.AgainstLeaving{NonFlyingDays: 21}
	return []plan.Note{
		plan.MixThis{Strength: syrup.TwoToOne(), Feeder: plan.BagOnBars, ClearFromC: 20, Chosen: true}, plan.MixNone{RiskFrac: 0.01},
		plan.MixSolidFirst{Strength: syrup.TwoToOne(), MaxC: 6},
		plan.MixComes{Strength: syrup.ThreeToTwo(), SugarKg: 6.8, SyrupL: 2.4, SolidKg: 4.9, Trips: 1.7, RiskFrac: 0.03, StoresKgPerKg: 1.1,
			TakenSugarKg: 3.1, TakenVolumeL: 4, TakenDays: plan.Range{P10: 4, P50: 7, P90: 12}, LeftFrac: 0.07},
		plan.MixCare{},
		plan.FeederIs{Feeder: plan.BagOnBars, Why: plan.FeederTouches{NonFlyingDays: 21, ColdSpellDays: 17}},
		plan.FeederNot{Feeders: []plan.Feeder{plan.PailOverCover, plan.EntranceJar}, Why: leaving},
		plan.OpenNot{Days: 21, Of: 54, SpellDays: 17}, plan.OpenCare{},
		plan.HoneyNot{}, plan.HoneyFrames{LackKg: 4.7, Frames: 2}, plan.HoneyEnough{RiskFrac: 0.01}, plan.HoneyCare{},
		plan.CandyNow{MaxC: 6, BelowC: 10}, plan.CandyNotNow{MaxC: 14, BelowC: 10},
		plan.CandyLasts{SugarKg: 2.5, StoresKg: 3, Days: plan.Range{P10: 18, P50: 26, P90: 36}}, plan.CandyCare{},
		plan.JarNot{Why: leaving}, plan.JarCan{}, plan.JarHolds{HoldsL: 1, FoodDays: 5, Days: plan.Range{P10: 1, P50: 3, P90: 5}}, plan.JarCare{},
		plan.SpringMoved{LaterDays: 14, Nectar: sampleDay(5, 27), PlainNectar: sampleDay(5, 13), RiskFrac: 0.71, PlainRiskFrac: 0.56, SugarKg: 8.2,
			PlainSugarKg: 6.7, Trips: 2.1, PlainTrips: 1.7, StartBy: sampleDay(3, 23), PlainStartBy: sampleDay(3, 23), FedFrac: 0.03, PlainFedFrac: 0.03,
			ByPlainFrac: 0.06, SolidKg: 5, PlainSolidKg: 5},
		plan.SpringThirds{EarlyNectar: sampleDay(5, 6), LateNectar: sampleDay(5, 22), EarlyFrac: 0.47, LateFrac: 0.64, EarlyFed: 0.02, LateFed: 0.04,
			EarlyKg: 5.9, LateKg: 7.4, Feeds: true},
		plan.SpringWeek{KgPerWeek: 1.1}, plan.SpringLook{Next: sampleDay(3, 23)},
		plan.WrapKeep{What: wrap}, plan.WrapOff{What: wrap}, plan.WrapOn{What: wrap, Freeze: true},
		plan.WrapRisk{RiskOn: plan.Risk{Frac: 0.03}, RiskOff: plan.Risk{Frac: 0.05}, Fed: true},
		plan.WrapNights{From: sampleDay(3, 23), Nectar: sampleDay(5, 13), CoolNights: plan.Range{P10: 34, P50: 40, P90: 46}, CoolC: 5},
		plan.WrapFrom{From: sampleDay(4, 18), UnderKg: 0.5}, plan.WrapCare{},
		plan.UniteNot{Bees: 9000, WeakBees: 6000}, plan.UniteFeed{Bees: 5200, WeakBees: 6000}, plan.UniteDo{Bees: 3100, WeakBees: 6000, BothBees: 14200},
		plan.UniteLose{Bees: 1500, WeakBees: 6000, BothFrac: 0.4, NeighbourFrac: 0.6},
		plan.UniteChances{Unfed: 0.45, UnfedHungry: 0.7, Fed: 0.96, FedHungry: 0.98, Both: 0.8, BothHungry: 0.9, Neighbour: 0.7, Seams: 7,
			Heft: season.HeftFair, Feeds: true},
		plan.UniteCold{Bees: 3100, UnderBees: 6000, SpellDays: 17}, plan.UniteHunger{Bees: 5200, UnderBees: 6000}, plan.UniteCare{},
		plan.DeadWait{FlyBy: sampleDay(4, 2), StarvedFrac: 0.2}, plan.DeadCheck{}, plan.DeadOrder{FlyBy: sampleDay(4, 2)}, plan.DeadReport{},
		plan.DeadGear{Boxes: 1, StoresKg: plan.Range{P10: 1, P50: 4.3, P90: 8}}, plan.LossesOf(3, 20),
		plan.WorthNone{Currency: "francs", RiskFrac: 0.02, Loss: 4}, plan.WorthFeed{Currency: "francs", Saved: 104, Spent: 15, SavedFrac: 0.52, SugarKg: 6.7,
			Trips: 1.7, ByTrip: 61, ByKg: 15.5}, plan.WorthFrom{RiskFrac: 0.1},
		plan.WorthPlan{Currency: "francs", Colonies: 3.4, Saved: 680, Spent: 110, SugarKg: 31, Visits: 2.3, ByTrip: 296, ByKg: 21.9},
		plan.WorthBest{Currency: "francs", Fed: true, AcceptFrac: 0.1, RiskFrac: 0.06, SugarKg: 5.1, Trips: 1.2, Total: 24, PlannedTotal: 26},
		plan.WorthScale{Currency: "francs", Gain: 3, SavedFrac: 0.01, SugarKg: 0.4, Price: 200, Colonies: 1, Hives: 67}, plan.WorthCare{},
		plan.WinterNeed{On: sampleDay(1, 10), Nectar: sampleDay(5, 13), NeedStoresKg: 13, NeedGrossKg: 29, AcceptFrac: 0.05, Bees: 8400},
		plan.WinterHas{StoresKg: plan.Range{P10: 1.3, P50: 4.3, P90: 8}, LackKg: 9.8},
		plan.WinterSizes{Bees: []float64{5000, 8400, 12600}, NeedKg: []float64{10, 13, 16}},
		plan.WinterSolid{SolidKg: 5, RiskFrac: 0.2, Before: sampleDay(2, 1)}, plan.WinterSafe{RiskFrac: 0.01, Before: sampleDay(2, 1)},
		plan.WinterScope{From: sampleDay(2, 1)},
	}
}
