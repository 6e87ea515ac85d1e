package plan

import (
	"time"

	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

// What to do on a visit, of one colony or of the whole yard.
type (
	// SeeDead is a dead colony. By is when bees fly and rob; zero when not known.
	SeeDead struct{ By time.Time }
	// DustRound is a round of the preventive powder. MovedFrom is the day its visit
	// was due; zero when it stood there. PowderG is what the keeper entered as prescribed
	// for a colony, and Colonies are those alive; both 0 where nothing was entered.
	DustRound struct {
		Round, Of int
		MovedFrom time.Time
		PowderG   float64
		Colonies  int
	}
	// CloseFeeders goes before each round; it stands on the first to come.
	CloseFeeders struct{}
	// NoAcidUntil says that no fumigant acid is used until after the last round; it
	// stands on the first to come.
	NoAcidUntil struct{ LastRound time.Time }
	// NoSupersBefore is the wait after the last round.
	NoSupersBefore struct {
		On       time.Time
		WaitDays int
	}
	// AskWait is for a last round whose wait before honey supers nobody has said.
	AskWait struct{}
	// KeepWraps says that nights are as cold as this, and what taking the wraps off costs a
	// hive in stores; NaN when not known.
	KeepWraps struct{ NightC, CostKg float64 }
	// WrapsOff says that nights are as mild as this, or that a wrap saves less than UnderKg
	// from here on; NaN when that is not known.
	WrapsOff struct{ NightC, UnderKg float64 }
	// WrapHive is for a bare hive that is fed.
	WrapHive struct{}
	// FeedLine is the food under which a hive is fed, as on a Feeding; zero: whatever
	// it reads; with a NeededFrac alone: where no nectar has come.
	FeedLine struct {
		UnderKg, UnderGrossKg float64
		UnderHeft             season.Heft
		NeededFrac            float64 // share of springs in which it will be
	}
	// GiveSolid is solid feed over the cluster.
	GiveSolid struct {
		SolidKg float64
		If      FeedLine
	}
	// GiveSyrup is a feeding of syrup.
	GiveSyrup struct {
		SyrupL   float64
		Strength syrup.Strength
		Feeder   Feeder
		If       FeedLine
	}
	// CleanTools is for a yard whose colonies are or were ill.
	CleanTools struct{}
	// WeighHive says that a scale may change the answer.
	WeighHive struct{}
	// HeftAgain is for a colony to watch.
	HeftAgain struct{}
	// Look is all there is to do on a visit without tasks.
	Look struct{}
)

func (CleanTools) Code() Code     { return "task.clean_tools" }
func (SeeDead) Code() Code        { return "task.see_dead" }
func (DustRound) Code() Code      { return "task.dust_round" }
func (CloseFeeders) Code() Code   { return "task.close_feeders" }
func (NoAcidUntil) Code() Code    { return "task.no_acid_until" }
func (NoSupersBefore) Code() Code { return "task.no_supers_before" }
func (AskWait) Code() Code        { return "task.ask_wait" }
func (KeepWraps) Code() Code      { return "task.keep_wraps" }
func (WrapsOff) Code() Code       { return "task.wraps_off" }
func (WrapHive) Code() Code       { return "task.wrap_hive" }
func (GiveSolid) Code() Code      { return "task.give_solid" }
func (GiveSyrup) Code() Code      { return "task.give_syrup" }
func (WeighHive) Code() Code      { return "task.weigh_hive" }
func (HeftAgain) Code() Code      { return "task.heft_again" }
func (Look) Code() Code           { return "task.look" }
