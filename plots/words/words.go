package words

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"bloomgap/feed/plan"
	"bloomgap/forage/read"
)

// Style says how figures are written for a reader: metric, or US units with
// the month before the day.
type Style struct{ US bool }

// NotKnown stands for a figure that there is none of.
const NotKnown = "not known"

// Mass writes a weight in kg with its unit: "6.2 kg" or "13.7 lb".
func (u Style) Mass(kg float64) string { return u.figure(kg, "kg") }

// Volume writes a volume in L with its unit: "8.0 L" or "2.1 US gal".
// A fill is a small part of a gallon, so US volumes have one decimal more.
func (u Style) Volume(l float64) string {
	if gal := u.Value(l, "L"); u.US && math.Abs(gal) < 9.995 {
		return strconv.FormatFloat(gal, 'f', 2, 64) + " " + u.Name("L")
	}
	return u.figure(l, "L")
}

// Bags writes a count of whole bags of a size in kg.
func (u Style) Bags(n, bagKg float64) string {
	return fmt.Sprintf("%s of %s", Count(int(math.Round(n)), "bag", "bags"), strings.Replace(u.figure(bagKg, "kg"), ".0 ", " ", 1))
}

// Name is the unit in which a figure held in the metric unit is written.
func (u Style) Name(metric string) string { return read.OutputUnit(metric, u.US).Name }

// Value is a figure held in the metric unit, in the unit it is written in.
func (u Style) Value(v float64, metric string) float64 {
	from, _ := read.FindUnit(metric)
	return read.Convert(v, from, read.OutputUnit(metric, u.US))
}

func (u Style) figure(v float64, metric string) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return NotKnown
	}
	return Decimal(u.Value(v, metric)) + " " + u.Name(metric)
}

// Decimal writes a figure for reading: one decimal below 100, none from there.
func Decimal(v float64) string {
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return NotKnown
	case math.Abs(v) >= 99.95:
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	s := strconv.FormatFloat(v, 'f', 1, 64)
	if s == "-0.0" {
		return "0.0"
	}
	return s
}

// Day writes a day with its weekday: "Thu 20 Mar", or "Thu Mar 20" with US
// units. The zero time is "".
func (u Style) Day(t time.Time) string {
	switch {
	case t.IsZero():
		return ""
	case u.US:
		return t.Format("Mon Jan 2")
	}
	return t.Format("Mon 2 Jan")
}

// LongDay writes a day with its year. The zero time is "".
func (u Style) LongDay(t time.Time) string {
	switch {
	case t.IsZero():
		return ""
	case u.US:
		return t.Format("January 2, 2006")
	}
	return t.Format("2 January 2006")
}

// ShortDay is a day without its weekday.
func (u Style) ShortDay(t time.Time) string {
	switch {
	case t.IsZero():
		return ""
	case u.US:
		return t.Format("Jan 2")
	}
	return t.Format("2 Jan")
}

// Days writes a range of dates: "3 May (26 Apr to 10 May)".
func (u Style) Days(r plan.DateRange) string {
	if r.P50.IsZero() {
		return NotKnown
	}
	if r.P10.IsZero() || r.P90.IsZero() || r.P10.Equal(r.P90) {
		return u.ShortDay(r.P50)
	}
	return fmt.Sprintf("%s (%s to %s)", u.ShortDay(r.P50), u.ShortDay(r.P10), u.ShortDay(r.P90))
}

// MassRange writes a range of weights: "6.2 kg (4.1 to 8.0)".
func (u Style) MassRange(r plan.Range) string {
	if math.IsNaN(r.P50) {
		return NotKnown
	}
	v := func(kg float64) string { return Decimal(u.Value(kg, "kg")) }
	return fmt.Sprintf("%s %s (%s to %s)", v(r.P50), u.Name("kg"), v(r.P10), v(r.P90))
}

// Bees writes a range of bees to the nearest hundred: "8,400 (6,000 to 11,000)".
func Bees(r plan.Range) string {
	if math.IsNaN(r.P50) {
		return NotKnown
	}
	return fmt.Sprintf("%s (%s to %s)", hundreds(r.P50), hundreds(r.P10), hundreds(r.P90))
}

func hundreds(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return NotKnown
	}
	n := strconv.FormatInt(int64(math.Round(v/100))*100, 10)
	for i := len(n) - 3; i > 0 && n[i-1] != '-'; i -= 3 {
		n = n[:i] + "," + n[i:]
	}
	return n
}

// CountRange writes a range of days or other whole things: "9 (5 to 14)".
func CountRange(r plan.Range) string {
	if math.IsNaN(r.P50) {
		return NotKnown
	}
	return fmt.Sprintf("%.0f (%.0f to %.0f)", r.P50, r.P10, r.P90)
}

// Risk writes a risk in per cent with the error that the number of springs and
// draws leaves: "23 % ±2". Risks that round to nothing or to all are "< 1 %"
// and "> 99 %".
func Risk(r plan.Risk) string {
	pct := 100 * r.Frac
	switch {
	case math.IsNaN(pct):
		return NotKnown
	case pct < 0.5:
		return "< 1 %"
	case pct > 99.5:
		return "> 99 %"
	case math.IsNaN(r.ErrFrac) || r.ErrFrac <= 0:
		return fmt.Sprintf("%.0f %%", pct)
	}
	return fmt.Sprintf("%.0f %% ±%.0f", pct, math.Max(1, math.Round(100*r.ErrFrac)))
}

// Share writes a share in whole per cent: "62 %".
func Share(frac float64) string {
	if math.IsNaN(frac) {
		return NotKnown
	}
	return fmt.Sprintf("%.0f %%", 100*frac)
}

// Fills writes how a colony's fills are laid out: "3 x 2.5 L", "4 of
// 1.0-2.5 L", "1 x 2.5 kg solid". Fills that are only for a late spring follow as
// "+ 1 if no nectar". What is given first comes first. Without fills it is "".
func (u Style) Fills(fills []plan.Feeding) string {
	var parts []string
	add := func(get func(plan.Feeding) float64, metric, after string) {
		least, most, n := math.Inf(1), math.Inf(-1), 0
		for _, f := range fills {
			if v := u.Value(get(f), metric); !f.OnlyIfNoNectar && get(f) > 0 {
				least, most, n = math.Min(least, v), math.Max(most, v), n+1
			}
		}
		unit := u.Name(metric) + after
		write := Decimal
		if u.US && metric == "L" {
			write = func(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }
		}
		switch {
		case n == 0:
		case write(least) == write(most):
			parts = append(parts, fmt.Sprintf("%d x %s %s", n, write(most), unit))
		default:
			parts = append(parts, fmt.Sprintf("%d of %s-%s %s", n, write(least), write(most), unit))
		}
	}
	if solidFirst := len(fills) > 0 && fills[0].SolidKg > 0; solidFirst {
		add(func(f plan.Feeding) float64 { return f.SolidKg }, "kg", " solid")
		add(func(f plan.Feeding) float64 { return f.SyrupL }, "L", "")
	} else {
		add(func(f plan.Feeding) float64 { return f.SyrupL }, "L", "")
		add(func(f plan.Feeding) float64 { return f.SolidKg }, "kg", " solid")
	}
	late := 0
	for _, f := range fills {
		if f.OnlyIfNoNectar {
			late++
		}
	}
	if late > 0 {
		parts = append(parts, fmt.Sprintf("+ %d if no nectar", late))
	}
	return strings.Join(parts, ", ")
}

// Clean makes text fit to stand on one line of a terminal or a page: control
// characters and line breaks become spaces, marks that turn the direction of
// writing are dropped, runs of spaces are one.
func Clean(s string) string {
	s = strings.ToValidUTF8(s, "?")
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Cf, r):
			return -1
		case unicode.IsControl(r) || unicode.IsSpace(r) || unicode.Is(unicode.Co, r):
			return ' '
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// Title writes text with a capital letter.
func Title(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// Sentence is a text that begins with a capital letter and ends in a stop.
func Sentence(s string) string { return Title(stop(s)) }

// stop ends a sentence once.
func stop(s string) string {
	s = Clean(s)
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".!?") {
		return s
	}
	return s + "."
}

// Count writes a number of things.
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
