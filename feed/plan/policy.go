package plan

// Policy is what feeding a colony by its lines comes to, over springs.
type Policy struct {
	Feedings float64 // of a spring, mean
	SugarKg  Range   // given, solid and in syrup
	AtATime  int     // feeders in the hive at once
	Blocks   int     // blocks of solid feed at once
	Given    Price   // the same in short, beside the prices of other ways to go about it
	Prices   []Price // only for some colonies of a yard, to be read for all of it
}

// Price is what one way to go about feeding costs and keeps.
type Price struct {
	Kind        PriceKind
	RiskFrac    float64 // of starving, on springs that it was not found on
	ReserveFrac float64 // share of springs in which the keeper's reserve is held, by WithoutReserve as well
	SugarKg     float64 // mean
	Feedings    float64 // mean
}

// PriceKind is a way to go about feeding.
type PriceKind int

// The ways compared: as planned; the risk alone, without the reserve; a list
// that is given whatever the hive holds; and looks of the other kind.
const (
	AsPlanned PriceKind = iota
	WithoutReserve
	FixedList
	ByScale
	ByHeft
)

func (k PriceKind) String() string {
	return [...]string{"as_planned", "without_reserve", "fixed_list", "by_scale", "by_heft"}[k]
}

// MarshalText writes the code.
func (k PriceKind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }
