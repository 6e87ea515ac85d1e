package plan

import (
	"time"

	"bloomgap/feed/season"
)

// Why a colony gets its verdict. A colony that was run has Seen, Need and one of
// Starves, PassesReserve, NearTheLine and Holds.
type (
	// DeadColony is the whole reason of a dead colony.
	DeadColony struct{}
	// NotSeen is the whole reason of a colony that nothing was written down for.
	NotSeen struct{}
	// Seen is what was seen of it, on the last of its looks.
	Seen struct {
		Food     season.FoodKind
		On       time.Time
		Before   int // looks before that one
		StoresKg Range
		Bees     float64
	}
	// FedSince is what it was given since the first of its looks, as written down.
	FedSince struct {
		LastOn                    time.Time
		SyrupL, SolidKg, CombFood float64 // CombFood in combs
	}
	// Need is what it must hold on the day seen to reach nectar, early forage
	// counted; KgPerWeek is what it eats, early forage not counted. In LackFrac of
	// springs, those accepted to be lost, it is short of LackKg or more; what goes on
	// is sized by that and not by the middles, which may nearly meet.
	Need struct {
		Nectar           DateRange
		On               time.Time // day seen
		StoresKg         Range
		KgPerWeek        float64
		LackKg, LackFrac float64 // zero where nothing is lacking
	}
	// Starves is for a colony to feed.
	Starves struct {
		RiskFrac, AcceptFrac, FedFrac float64   // left alone, accepted, fed as planned
		AcceptedBy                    time.Time // day by which AcceptFrac of springs has starved; zero for none
		SolidFirst                    bool      // it begins with solid feed
	}
	// PassesReserve is for a colony to watch whose stores pass the reserve.
	PassesReserve struct {
		RiskFrac, ReserveKg float64
		On                  time.Time
	}
	// NearTheLine is for a colony to watch because of its risk alone.
	NearTheLine struct{ RiskFrac float64 }
	// Holds is for a colony that needs no feed.
	Holds struct{ RiskFrac, ReserveKg float64 }
)

// How sure the verdict is. Stores are those of the day it was last seen; the
// gross weight is NaN when the tare is not known.
type (
	// WeighIt is for a hive whose verdict a scale may change.
	WeighIt struct {
		RiskIfLightFrac, RiskIfHeavyFrac float64
		NeedStoresKg, NeedGrossKg        float64 // no feed above these
		On                               time.Time
	}
	// WasWeighed is for a hive that was weighed.
	WasWeighed struct {
		NeedStoresKg, NeedGrossKg float64
		On                        time.Time
	}
	// WeighingIdle is for a hive whose verdict a scale would hardly change.
	WeighingIdle struct {
		NeedStoresKg, NeedGrossKg float64
		On                        time.Time
	}
)

func (DeadColony) Code() Code    { return "reason.dead" }
func (NotSeen) Code() Code       { return "reason.not_seen" }
func (Seen) Code() Code          { return "reason.seen" }
func (FedSince) Code() Code      { return "reason.fed_since" }
func (Need) Code() Code          { return "reason.need" }
func (Starves) Code() Code       { return "reason.starves" }
func (PassesReserve) Code() Code { return "reason.passes_reserve" }
func (NearTheLine) Code() Code   { return "reason.near_the_line" }
func (Holds) Code() Code         { return "reason.holds" }
func (WeighIt) Code() Code       { return "confidence.weigh_it" }
func (WasWeighed) Code() Code    { return "confidence.was_weighed" }
func (WeighingIdle) Code() Code  { return "confidence.weighing_idle" }
