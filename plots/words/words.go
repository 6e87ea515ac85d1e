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

// Style is how a reader wants figures: metric with the day before the month
// ("24 Mar"), or US units with the month before the day ("Mar 24"). Everything
// that is said of a plan goes through one.
type Style struct{ US bool }

// NotKnown stands for a figure that there is none of.
const NotKnown = "not known"

// Mass writes a weight in kg with its unit: "6.2 kg", or "14 lb". Pounds are
// whole from fewPounds on.
func (u Style) Mass(kg float64) string { return u.massFigure(kg) + u.unitAfter(kg, "kg") }

// fewPounds is the weight under which a tenth of a pound matters, lb, own choice.
const fewPounds = 3

func (u Style) massFigure(kg float64) string {
	if v := u.Value(kg, "kg"); u.US && math.Abs(v) >= fewPounds-0.05 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return short(u.Value(kg, "kg"))
}

func (u Style) unitAfter(v float64, metric string) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	return " " + u.Name(metric)
}

// quartsInGallon, and the litres of a US gallon, by definition.
const (
	quartsInGallon = 4
	litresInGallon = 3.785411784
)

// Volume writes a volume in L with its unit: "8 L"; in US units "2.1 gal", or
// "2.6 qt" for less than a gallon.
func (u Style) Volume(l float64) string {
	if u.US && math.Abs(l) < 0.99*litresInGallon && l != 0 {
		return short(quartsInGallon*l/litresInGallon) + " qt"
	}
	return short(u.Value(l, "L")) + u.unitAfter(l, "L")
}

// Temp writes a temperature in C to the whole degree.
func (u Style) Temp(c float64) string {
	return strconv.FormatFloat(math.Round(u.Value(c, "C"))+0, 'f', 0, 64) + " " + u.Name("C") // no minus before 0
}

// Bags writes a count of whole bags of a size in kg: "4 bags of 25 kg".
func (u Style) Bags(n, bagKg float64) string {
	return fmt.Sprintf("%s of %s", Count(int(math.Round(n)), "bag", "bags"), u.Mass(bagKg))
}

// Name is the unit in which a figure held in the metric unit is written; a US
// reader has no other gallon.
func (u Style) Name(metric string) string {
	return strings.TrimPrefix(read.OutputUnit(metric, u.US).Name, "US ")
}

// UnitHeading is the unit as it ends a heading of a file: kg, lb, l, us_gal.
func (u Style) UnitHeading(metric string) string {
	return strings.ReplaceAll(strings.ToLower(read.OutputUnit(metric, u.US).Name), " ", "_")
}

// Value is a figure held in the metric unit, in the unit it is written in.
func (u Style) Value(v float64, metric string) float64 {
	from, _ := read.FindUnit(metric)
	return read.Convert(v, from, read.OutputUnit(metric, u.US))
}

// Decimal writes a figure for a column: one decimal below 100, none from there.
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

// short is Decimal without a zero after the point.
func short(v float64) string { return strings.TrimSuffix(Decimal(v), ".0") }

// Day writes a day with its weekday: "Thu 20 Mar", or "Thu Mar 20" with US
// units. The zero time is "".
func (u Style) Day(t time.Time) string { return u.format(t, "Mon 2 Jan", "Mon Jan 2") }

// ShortDay is a day without its weekday.
func (u Style) ShortDay(t time.Time) string { return u.format(t, "2 Jan", "Jan 2") }

// LongDay writes a day with its year. The zero time is "".
func (u Style) LongDay(t time.Time) string { return u.format(t, "2 January 2006", "January 2, 2006") }

func (u Style) format(t time.Time, metric, us string) string {
	switch {
	case t.IsZero():
		return ""
	case u.US:
		return t.Format(us)
	}
	return t.Format(metric)
}

// Days writes a range of dates: "13 May (5 to 22 May)", or "May 13 (May 5 to 22)".
func (u Style) Days(r plan.DateRange) string {
	if r.P50.IsZero() {
		return NotKnown
	}
	if r.P10.IsZero() || r.P90.IsZero() || r.P10.Equal(r.P90) {
		return u.ShortDay(r.P50)
	}
	return fmt.Sprintf("%s (%s)", u.ShortDay(r.P50), u.Between(r.P10, r.P90))
}

// Between writes two days, their month once where it is the same.
func (u Style) Between(from, to time.Time) string {
	first, last := u.ShortDay(from), u.ShortDay(to)
	if from.Month() == to.Month() {
		if u.US {
			last = to.Format("2")
		} else {
			first = from.Format("2")
		}
	}
	return first + " to " + last
}

// MassRange writes a range of weights: "6.2 kg (4.1 to 8)".
func (u Style) MassRange(r plan.Range) string {
	if math.IsNaN(r.P50) {
		return NotKnown
	}
	return fmt.Sprintf("%s (%s to %s)", u.Mass(r.P50), u.massFigure(r.P10), u.massFigure(r.P90))
}

// Bees writes a range of bees to the nearest hundred: "8,400 (6,000 to 11,000)".
func Bees(r plan.Range) string {
	if math.IsNaN(r.P50) {
		return NotKnown
	}
	return fmt.Sprintf("%s (%s to %s)", hundreds(r.P50), hundreds(r.P10), hundreds(r.P90))
}

// hundreds writes a number to the nearest hundred.
func hundreds(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return NotKnown
	}
	return thousands(math.Round(v/100) * 100)
}

// thousands writes a whole number with a comma at each thousand.
func thousands(v float64) string {
	n := strconv.FormatFloat(v, 'f', 0, 64)
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

// Risk writes a risk in per cent with its simulation error: "23 % ±2". Risks that
// round to nothing or to all are "< 1 %" and "> 99 %".
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

// Share writes a share in whole per cent: "62 %"; a share that is not none or all
// never looks so.
func Share(frac float64) string {
	switch {
	case math.IsNaN(frac):
		return NotKnown
	case frac > 0 && frac < 0.005:
		return "under 1 %"
	case frac < 1 && frac > 0.995:
		return "over 99 %"
	}
	return fmt.Sprintf("%.0f %%", 100*frac)
}

// shareBeside is a share that is read beside a limit; one over it is written fine
// enough to be seen over it: 5.3 % where the limit is 5 %.
func shareBeside(frac, limit float64) string {
	if s := Share(frac); frac <= limit || s != Share(limit) {
		return s
	}
	if fine := fmt.Sprintf("%.1f %%", 100*frac); fine != fmt.Sprintf("%.1f %%", 100*limit) {
		return fine
	}
	return "just over " + Share(limit)
}

// FirstFeeding is what goes on at the first feeding of a colony, on one line: "5 kg
// solid", "4 L of 3:2", "2.5 kg solid, if low"; "" without feedings.
func (u Style) FirstFeeding(c *plan.ColonyPlan) string {
	if len(c.Feedings) == 0 {
		return ""
	}
	f := &c.Feedings[0]
	what := u.amountsShort(f.SyrupL, f.SolidKg, c) + each(c)
	if f.UnderKg > 0 {
		what += ", if low"
	} else if f.OnlyIfLow {
		what += ", if no nectar yet"
	}
	return what
}

// InAll is what all feedings of a colony come to, on average over its simulated
// springs: "1.7 feedings: 2.8 L of 2:1, 4.7 kg solid"; "" without feedings.
func (u Style) InAll(c *plan.ColonyPlan) string {
	if len(c.Feedings) == 0 {
		return ""
	}
	what := u.amountsShort(c.SyrupL, c.SolidKg, c)
	if c.Policy.Feedings > 0 {
		what = fmt.Sprintf("%.1f feedings: %s", c.Policy.Feedings, what)
	}
	return what + each(c) + u.ofAll(c)
}

func (u Style) amountsShort(syrupL, solidKg float64, c *plan.ColonyPlan) string {
	var parts []string
	if solidKg > 0 {
		parts = append(parts, u.Mass(solidKg)+" solid")
	}
	if syrupL > 0 {
		parts = append(parts, u.Volume(syrupL)+" of "+Strength(c.Strength))
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

// verb is the word for one thing or for many.
func verb(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// Listed joins words: "a", "a and b", "a, b and c".
func Listed(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	n := len(list) - 1
	return strings.Join(list[:n], ", ") + " and " + list[n]
}

func (u Style) listedDays(on []time.Time) string {
	list := make([]string, len(on))
	for i, t := range on {
		list[i] = u.ShortDay(t)
	}
	return Listed(list)
}
