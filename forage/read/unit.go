package read

import (
	"strings"
	"sync"
	"unicode"
)

// Dimension is what a unit measures.
type Dimension int

// The dimensions that are known.
const (
	NoDimension Dimension = iota
	Mass
	Volume
	Temperature
	Length
	Power
	Speed
)

// String is the dimension in plain words, with its article.
func (d Dimension) String() string {
	switch d {
	case Mass:
		return "a weight"
	case Volume:
		return "a volume"
	case Temperature:
		return "a temperature"
	case Length:
		return "a length"
	case Power:
		return "a power"
	case Speed:
		return "a speed"
	}
	return "a plain number"
}

// Unit is one unit: base = value x Factor + Offset, where the base units are
// kg, L, C, m, W and km/h.
type Unit struct {
	Name           string // as it is printed: "kg", "US gal"
	Aliases        []string
	Dimension      Dimension
	Factor, Offset float64
	US             string // name of the unit that takes its place in US output; "" = itself
}

// Units is the one list of units, metric first in each dimension. The factors
// are exact by definition of the units.
func Units() []Unit {
	return []Unit{
		{Name: "kg", Aliases: []string{"kilo", "kilos", "kilogram", "kilograms", "kgs"}, Dimension: Mass, Factor: 1, US: "lb"},
		{Name: "g", Aliases: []string{"gram", "grams"}, Dimension: Mass, Factor: 0.001, US: "oz"},
		{Name: "lb", Aliases: []string{"lbs", "pound", "pounds"}, Dimension: Mass, Factor: 0.45359237},
		{Name: "oz", Aliases: []string{"ounce", "ounces"}, Dimension: Mass, Factor: 0.028349523125},
		{Name: "L", Aliases: []string{"liter", "liters", "litre", "litres", "ltr"}, Dimension: Volume, Factor: 1, US: "US gal"},
		{Name: "mL", Aliases: []string{"milliliter", "millilitre"}, Dimension: Volume, Factor: 0.001, US: "US qt"},
		{Name: "US gal", Aliases: []string{"gal", "gallon", "gallons", "us gallon", "us gallons"}, Dimension: Volume, Factor: 3.785411784},
		{Name: "US qt", Aliases: []string{"qt", "quart", "quarts", "us quart", "us quarts"}, Dimension: Volume, Factor: 3.785411784 / 4},
		{Name: "US pt", Aliases: []string{"pt", "pint", "pints", "us pint", "us pints"}, Dimension: Volume, Factor: 3.785411784 / 8},
		{Name: "C", Aliases: []string{"deg c", "degc", "celsius"}, Dimension: Temperature, Factor: 1, US: "F"},
		{Name: "F", Aliases: []string{"deg f", "degf", "fahrenheit"}, Dimension: Temperature, Factor: 5.0 / 9, Offset: -160.0 / 9},
		{Name: "m", Aliases: []string{"meter", "meters", "metre", "metres"}, Dimension: Length, Factor: 1, US: "ft"},
		{Name: "mm", Aliases: []string{"millimeter", "millimetre"}, Dimension: Length, Factor: 0.001, US: "in"},
		{Name: "cm", Aliases: []string{"centimeter", "centimetre"}, Dimension: Length, Factor: 0.01, US: "in"},
		{Name: "km", Aliases: []string{"kilometer", "kilometre"}, Dimension: Length, Factor: 1000, US: "mi"},
		{Name: "ft", Aliases: []string{"foot", "feet"}, Dimension: Length, Factor: 0.3048},
		{Name: "in", Aliases: []string{"inch", "inches"}, Dimension: Length, Factor: 0.0254},
		{Name: "mi", Aliases: []string{"mile", "miles"}, Dimension: Length, Factor: 1609.344},
		{Name: "W", Aliases: []string{"watt", "watts"}, Dimension: Power, Factor: 1},
		{Name: "km/h", Aliases: []string{"kmh", "kph"}, Dimension: Speed, Factor: 1, US: "mph"},
		{Name: "m/s", Aliases: []string{"mps"}, Dimension: Speed, Factor: 3.6, US: "mph"},
		{Name: "mph", Aliases: []string{"miles per hour"}, Dimension: Speed, Factor: 1.609344},
	}
}

// unitNames finds each unit by its name and its aliases, made once: headings and
// figures ask for units over and over.
var unitNames = sync.OnceValue(func() map[string]Unit {
	names := map[string]Unit{}
	for _, u := range Units() {
		for _, name := range append([]string{u.Name}, u.Aliases...) {
			names[normal(name)] = u
		}
	}
	return names
})

// FindUnit finds a unit by its name or an alias, whatever the case and spacing.
func FindUnit(name string) (Unit, bool) {
	u, ok := unitNames()[normal(name)]
	return u, ok
}

// mustUnit finds a unit that the source code names.
func mustUnit(name string) Unit {
	u, ok := FindUnit(name)
	if !ok {
		panic("read: a unit is used that is not in the list")
	}
	return u
}

// OutputUnit is the unit in which a value held in the metric unit is printed:
// itself, or its US counterpart. The name must be in Units.
func OutputUnit(metric string, us bool) Unit {
	u := mustUnit(metric)
	if us && u.US != "" {
		return mustUnit(u.US)
	}
	return u
}

// Convert changes a value from one unit to another of the same dimension;
// another dimension is a programmer's error and panics.
func Convert(value float64, from, to Unit) float64 {
	if from.Dimension != to.Dimension {
		panic("read: units of different dimensions cannot be converted")
	}
	if from.Name == to.Name {
		return value
	}
	return (value*from.Factor + from.Offset - to.Offset) / to.Factor
}

// ConvertDifference changes a difference, for which zero points do not matter:
// 5 C of warming is 9 F of warming.
func ConvertDifference(value float64, from, to Unit) float64 {
	from.Offset, to.Offset = 0, 0
	return Convert(value, from, to)
}

// normal brings a heading or a unit to the form that is compared: lower case,
// each run of anything but letters and digits one underscore.
func normal(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range strings.ToLower(s) {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if gap && b.Len() > 0 {
				b.WriteByte('_')
			}
			gap = false
			b.WriteRune(r)
		default:
			gap = true
		}
	}
	return b.String()
}
