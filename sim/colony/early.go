package colony

import "math"

// EarlyForage is what a keeper knows of the willow, maple and the like within
// flight of a yard: what blooms before the first dependable nectar.
type EarlyForage uint8

// The classes of early forage. The zero value is a yard of which nobody has said
// anything.
const (
	EarlyUnknown EarlyForage = iota
	EarlyNone                // hardly any: open fields, conifers, town centres
	EarlySome                // a few trees and hedges
	EarlyGood                // wet meadows with willow, maple woods
)

func (e EarlyForage) String() string { return [...]string{"unknown", "none", "some", "good"}[e] }

// ParseEarlyForage reads a class by its word; an empty text is EarlyUnknown.
func ParseEarlyForage(text string) (e EarlyForage, ok bool) {
	if text == "" {
		return EarlyUnknown, true
	}
	for e = EarlyUnknown; e <= EarlyGood; e++ {
		if e.String() == text {
			return e, true
		}
	}
	return EarlyUnknown, false
}

// InLandscape sets the early nectar of p, drawn for a landscape with some early
// forage, to that of a class. z is a standard normal of the yard; it counts only
// where the class is unknown.
func (p *Params) InLandscape(e EarlyForage, z float64) {
	switch e {
	case EarlyUnknown:
		p.EarlyNectarShare *= math.Exp(p.EarlyUnknownSD * z)
	case EarlyNone:
		p.EarlyNectarShare *= p.EarlyNoneRatio
	case EarlyGood:
		p.EarlyNectarShare *= p.EarlyGoodRatio
	}
	p.EarlyNectarShare = math.Min(p.EarlyNectarShare, 1)
}
