package colony

import (
	"fmt"
	"math"
	"strings"
)

// Params are the values one run of the model goes by. Every field has its
// unit, range, spread and source in Catalogue; nothing else holds a model
// parameter.
type Params struct {
	// Heat
	HeatLossW         float64 // W per K for a 1 kg cluster
	NeedShare         float64 // food needed against the model's, all else equal
	CoreBroodlessC    float64
	CoreBroodC        float64
	BroodHalfWarm     float64 // cells of brood that bring the core half way up
	BroodOpening      float64 // further heat loss of a cluster spread over brood
	WrapHeatShare     float64 // heat lost when wrapped, share of bare
	ContractionPerK   float64 // heat loss shed per K below ContractFromC
	ContractFromC     float64
	EnergyMJPerKg     float64
	BeeMassG          float64
	BroodCellMassG    float64
	ActivityMg        float64 // honey per bee and fully warm day
	ActiveFromC       float64
	FlightMgPerH      float64 // honey per forager and hour of flight
	LarvaHoneyMg      float64 // honey fed to one larva
	NursingHoneyMg    float64 // honey burnt by nurses for one larva
	UnreachableKg     float64
	UnreachableBelowC float64
	HungryFromKg      float64 // only SimulateHungry looks at the two
	HungryStopKg      float64

	// Brood
	LayMaxPerDay      float64
	NurseHalfBees     float64
	CoverCellsPerBee  float64 // at ContractFromC
	BroodColdC        float64 // smoothed temperature of least laying
	BroodWarmC        float64 // smoothed temperature of full laying
	ShortDayShare     float64 // laying at an 8 h day, share of a day of longDayH or more
	AutumnShare       float64 // laying while days shorten, share of spring
	HatchShare        float64
	SealShare         float64
	EmergeShare       float64
	PollenPerWorkerMg float64
	PollenBudgetDays  float64

	// Adults
	WinterLossPerDay   float64
	NursingLoss        float64 // extra daily loss of overwintered bees per open larva and bee
	WinterFlightLoss   float64 // extra loss of overwintered bees per full day of flight
	HouseLossPerDay    float64
	HouseDays          float64 // days before a young bee may turn forager
	RecruitPerDay      float64
	RecruitInhibition  float64
	ForagerFlightLoss  float64 // loss per full day of flight
	ForagerRestLoss    float64 // loss per day without flight
	WinterForagerShare float64
	FullFlightH        float64
	IdleFlightShare    float64 // flight while nothing blooms, share of foraging

	// Forage
	PollenMgPerH      float64
	PollenBeeShare    float64
	PollenFullG       float64 // pollen in store at which none is gathered
	NectarMgPerH      float64
	EarlyNectarShare  float64 // in a landscape with some early forage
	EarlyGoodRatio    float64 // of it where early forage is good
	EarlyNoneRatio    float64 // of it where there is hardly any
	EarlyUnknownSD    float64 // of its logarithm where nobody knows
	NectarDayFlightH  float64
	NectarFromC       float64
	NectarFullC       float64
	BloomToFlowDays   float64
	BloomRampDays     float64
	StartPollenG      float64
	PollenRampDays    float64
	SupplementMgDay   float64
	SupplementPollen  float64
	TakeUpMlPerBee    float64
	TakeUpColdShare   float64
	TakeUpTouchShare  float64
	SolidKgPerKgSugar float64
	SyrupYield        float64
}

// Spread is the shape of a parameter's prior.
type Spread int

// The shapes of a prior: none, additive normal, multiplicative lognormal.
const (
	Fixed Spread = iota
	Normal
	Lognormal
)

func (s Spread) String() string { return [...]string{"fixed", "normal", "lognormal"}[s] }

// Varies tells over what a parameter's prior is drawn.
type Varies int

// What a prior spreads over. What we do not know of bees in general is the same
// for every colony of a possible spring; what differs from hive to hive is drawn
// for each. A total over colonies needs the difference: the first does not
// average out, the second does.
const (
	AmongSprings Varies = iota
	AmongColonies
)

func (v Varies) String() string { return [...]string{"springs", "colonies"}[v] }

// Parameter describes one parameter: its one home. SD is in the unit of the
// parameter for a Normal spread and of the natural logarithm for a Lognormal
// one; draws are cut to [Low, High].
type Parameter struct {
	Name    string
	Meaning string
	Unit    string
	Typical float64
	Low     float64
	High    float64
	Spread  Spread
	SD      float64
	Source  string
	Status  string // read, cited, worked, fitted, common practice, memory, own judgement
	Varies  Varies
	field   func(*Params) *float64
}

// SetAt sets the parameter in p to z standard deviations of its prior from its
// value in base, cut to its range. A fixed parameter takes its value in base.
func (c *Parameter) SetAt(p, base *Params, z float64) {
	v := *c.field(base)
	switch c.Spread {
	case Normal:
		v += c.SD * z
	case Lognormal:
		v *= math.Exp(c.SD * z)
	}
	*c.field(p) = max(c.Low, min(c.High, v))
}

// Catalogue lists every parameter of the model in a fixed order.
func Catalogue() []Parameter { return catalogue }

// DefaultParams returns the typical value of every parameter.
func DefaultParams() Params {
	var p Params
	for i := range catalogue {
		*catalogue[i].field(&p) = catalogue[i].Typical
	}
	return p
}

// Values returns the parameters in the order of Catalogue.
func (p *Params) Values() []float64 {
	v := make([]float64, len(catalogue))
	for i := range catalogue {
		v[i] = *catalogue[i].field(p)
	}
	return v
}

// Set puts a value in by the parameter's name. It refuses an unknown name and a
// value outside the parameter's range, and says which names or what range.
func (p *Params) Set(name string, value float64) error {
	for i := range catalogue {
		c := &catalogue[i]
		if c.Name != name {
			continue
		}
		if math.IsNaN(value) || value < c.Low || value > c.High {
			return fmt.Errorf("parameter %s = %g is outside its range %g to %g %s", name, value, c.Low, c.High, c.Unit)
		}
		*c.field(p) = value
		return nil
	}
	return fmt.Errorf("there is no parameter %q; did you mean %s?", name, strings.Join(nearNames(name), " or "))
}

// nearNames returns the two catalogue names that share most of their words with
// the name given.
func nearNames(name string) []string {
	score := func(c string) int {
		n := 0
		for _, w := range strings.Split(name, "_") {
			if w != "" && strings.Contains(c, w) {
				n += len(w)
			}
		}
		return n
	}
	best := []string{catalogue[0].Name, catalogue[1].Name}
	for i := range catalogue {
		c := catalogue[i].Name
		switch {
		case score(c) > score(best[0]):
			best[0], best[1] = c, best[0]
		case c != best[0] && score(c) > score(best[1]):
			best[1] = c
		}
	}
	return best
}
