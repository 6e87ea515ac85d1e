package season

import "strings"

// DeepCombs is the comb area of a frame of this kind in deep combs (worked from
// the usual comb dimensions; Medium and Shallow common practice).
func (k BoxKind) DeepCombs() float64 {
	switch k {
	case Medium:
		return 0.67
	case Shallow:
		return 0.55
	case Large:
		return 1.27
	}
	return 1
}

// String is the word used in tables.
func (k BoxKind) String() string {
	switch k {
	case Medium:
		return "medium"
	case Shallow:
		return "shallow"
	case Large:
		return "large"
	}
	return "deep"
}

// String is the word used in tables.
func (h Heft) String() string {
	switch h {
	case HeftLight:
		return "light"
	case HeftFair:
		return "fair"
	case HeftHeavy:
		return "heavy"
	}
	return "not hefted"
}

// String is the way in plain words.
func (k FoodKind) String() string {
	switch k {
	case FoodGross:
		return "weighed"
	case FoodLiftBoth:
		return "lifted at both sides"
	case FoodFrames:
		return "counted in frames"
	case FoodLiftBack:
		return "lifted at the back"
	case FoodHeft:
		return "hefted"
	}
	return "not known"
}

// SameName tells whether two names are one to a beekeeper: case and extra spaces
// do not matter.
func SameName(a, b string) bool { return sameName(a, b) }

// FigureCode is the way as the figure of a note: that of the columns it is written
// in.
func (k FoodKind) FigureCode() string {
	return [...]string{FoodUnknown: "unknown", FoodGross: "gross", FoodLiftBoth: "lift_both", FoodFrames: "frames", FoodLiftBack: "lift_back", FoodHeft: "heft"}[k]
}

// sameName compares names as a beekeeper reads them: case and extra spaces do
// not matter.
func sameName(a, b string) bool { return strings.EqualFold(cleanName(a), cleanName(b)) }

func cleanName(s string) string { return strings.Join(strings.Fields(s), " ") }

// nameKey is the same for names that sameName takes for one.
func nameKey(s string) string { return strings.ToLower(cleanName(s)) }
