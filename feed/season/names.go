package season

import "strings"

// SameName tells whether two names are one to a beekeeper: case and extra spaces
// do not matter.
func SameName(a, b string) bool { return sameName(a, b) }

// sameName compares names as a beekeeper reads them: case and extra spaces do
// not matter.
func sameName(a, b string) bool { return strings.EqualFold(cleanName(a), cleanName(b)) }

func cleanName(s string) string { return strings.Join(strings.Fields(s), " ") }

// nameKey is the same for names that sameName takes for one.
func nameKey(s string) string { return strings.ToLower(cleanName(s)) }
