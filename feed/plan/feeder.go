package plan

import "fmt"

// Feeder is a way to put feed on a hive.
type Feeder int

// The feeders. Open feeding is not among them: it is only ever a warning.
const (
	NoFeeder         Feeder = iota
	BagOnBars               // a bag of syrup on the top bars, over the cluster
	PailOverCover           // a pail turned over the hole of the inner cover
	FrameFeeder             // in place of an outer frame
	TrayUnderLid            // a tray under the lid
	EntranceJar             // a jar at the entrance
	SolidOverCluster        // solid sugar laid over the cluster
)

// Feeders lists the feeders, NoFeeder left out.
func Feeders() []Feeder {
	return []Feeder{BagOnBars, PailOverCover, FrameFeeder, TrayUnderLid, EntranceJar, SolidOverCluster}
}

// String is the code of a feeder; "" for none. plots/words has its name.
func (f Feeder) String() string {
	return [...]string{"", "bag_on_bars", "pail_over_cover", "frame_feeder", "tray_under_lid", "entrance_jar", "solid_over_cluster"}[f]
}

// MarshalText writes the code.
func (f Feeder) MarshalText() ([]byte, error) { return []byte(f.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (f *Feeder) UnmarshalText(text []byte) error {
	*f = NoFeeder
	for _, known := range Feeders() {
		if known.String() == string(text) {
			*f = known
		}
	}
	if *f == NoFeeder && len(text) > 0 {
		return fmt.Errorf("there is no feeder %q", text)
	}
	return nil
}

// FeederChoice is a feeder, with why.
type FeederChoice struct {
	Feeder   Feeder // NoFeeder for none
	Reason   Note   // nil for none
	RunnerUp Feeder // the next best; NoFeeder for none
	Against  Note   // why the runner-up came second; nil for none
	OnHand   bool   // the equipment for it is on hand
}

// Why a feeder was chosen.
type (
	// FeederTouches is for syrup that must lie against the cluster.
	FeederTouches struct {
		NonFlyingDays float64 // to nectar, median
		ColdSpellDays float64 // longest run of them in one spring of ten
	}
	// FeederClose is for a feeder close over the cluster that is filled without
	// opening the brood nest.
	FeederClose struct{ NonFlyingDays float64 }
	// FeederLarge is for a large feeder while bees fly on most days.
	FeederLarge struct{ DaysToNectar float64 }
	// FeederRefilled is for one that bees reach and that is filled again.
	FeederRefilled struct{ DaysToNectar float64 }
	// FeederSolid is for solid feed: days are too cold for syrup.
	FeederSolid struct{ MaxC float64 }
)

// What speaks against a feeder.
type (
	// AgainstLeaving is for one that bees must leave the cluster for.
	AgainstLeaving struct{ NonFlyingDays float64 }
	// AgainstFar is for one too far from the cluster for such days.
	AgainstFar struct{ MaxC float64 }
	// AgainstNotTouching is for one that does not touch the cluster on such days.
	AgainstNotTouching struct{ MaxC float64 }
	// AgainstNotOnHand is for one that must be bought.
	AgainstNotOnHand struct{}
	// AgainstSmall is for one that holds less than a visit must give.
	AgainstSmall struct{ HoldsL, WantedL float64 }
	// AgainstOpening is for one that needs the hive opened at each feeding.
	AgainstOpening struct{}
	// AgainstUsedOnce is for a bag when a feeder could be filled again.
	AgainstUsedOnce struct{}
	// AgainstLarge is for one with more room than is needed.
	AgainstLarge struct{}
	// AgainstSyrupCold is for syrup while it is not taken.
	AgainstSyrupCold struct{}
)

func (FeederTouches) Code() Code      { return "feeder.touches" }
func (FeederClose) Code() Code        { return "feeder.close" }
func (FeederLarge) Code() Code        { return "feeder.large" }
func (FeederRefilled) Code() Code     { return "feeder.refilled" }
func (FeederSolid) Code() Code        { return "feeder.solid" }
func (AgainstLeaving) Code() Code     { return "against.leaving_cluster" }
func (AgainstFar) Code() Code         { return "against.far" }
func (AgainstNotTouching) Code() Code { return "against.not_touching" }
func (AgainstNotOnHand) Code() Code   { return "against.not_on_hand" }
func (AgainstSmall) Code() Code       { return "against.small" }
func (AgainstOpening) Code() Code     { return "against.opening" }
func (AgainstUsedOnce) Code() Code    { return "against.used_once" }
func (AgainstLarge) Code() Code       { return "against.large" }
func (AgainstSyrupCold) Code() Code   { return "against.syrup_cold" }
