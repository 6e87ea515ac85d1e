package plots

import (
	"errors"
	"fmt"
	"image/color"
	"math"
	"strconv"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/plots/words"
)

// Units is the system in which values are printed.
type Units int

// The systems.
const (
	Metric Units = iota // kg, L, C
	US                  // lb, US gal, F
)

// Look is what all charts of one job share.
type Look struct {
	Units  Units
	TextPt float64   // size of plain text at print size, points, 8..14
	Source string    // line at the bottom: whose numbers, which seed
	Day    time.Time // day written into a PDF; zero = 1 January 2000
}

// MinTextPt is the smallest letter at print size, points (common practice for
// print that is read in the hand: 8).
const MinTextPt = 8

// DefaultLook is metric, 9 points, without a source line.
func DefaultLook() Look { return Look{Units: Metric, TextPt: 9} }

// LookOf is the look for the charts of a plan: its units, its day, and a source
// line with the number of springs and the seed, headed "Invented example" when
// there is no real hive behind it.
func LookOf(p plan.Plan) Look {
	l := DefaultLook()
	if p.Season != nil && p.Season.Settings.UnitsUS {
		l.Units = US
	}
	l.Day = p.Today
	var parts []string
	if p.Invented {
		parts = append(parts, "Invented example: no real hives.")
	}
	if p.Members > 0 {
		parts = append(parts, fmt.Sprintf("bloomgap, %s simulated springs, random seed %d.", count(float64(p.Members)), p.Seed))
	} else {
		parts = append(parts, fmt.Sprintf("bloomgap, random seed %d.", p.Seed))
	}
	if !p.Today.IsZero() {
		parts = append(parts, "Worked out for "+l.words().LongDay(p.Today)+".")
	}
	l.Source = strings.Join(parts, " ")
	return l
}

// Validate tells what is wrong with a look.
func (l Look) Validate() error {
	if l.Units != Metric && l.Units != US {
		return errors.New("units are neither metric nor US")
	}
	if !(l.TextPt >= MinTextPt && l.TextPt <= 14) {
		return fmt.Errorf("text of %g points: give a size from %d to 14", l.TextPt, MinTextPt)
	}
	return nil
}

// The colours. Each is one of Okabe and Ito (2008) or a darker shade of it. The
// four lines lie at least 10 steps of CIE lightness apart, so that they differ
// in grey, and each has 3:1 against white at least; the tests hold both.
var (
	ink     = rgb(0x1a1a1a) // text and axes
	soft    = rgb(0x555555) // second text
	faint   = rgb(0xdddddd) // grid lines
	paper   = rgb(0xffffff)
	colA    = rgb(0xb84e00) // left alone: vermillion d55e00 made darker
	colPlan = rgb(0x002942) // with the plan: blue 0072b2 made darker
	colProt = rgb(0x7f3a64) // protein alone: reddish purple cc79a7 made darker
	colBoth = rgb(0x009e73) // protein and syrup: bluish green, as published
	bloom   = rgb(0xfbf6bf) // bloom: yellow f0e442 made paler
	bloomIn = rgb(0x8a7f00) // lines of the bloom: yellow made darker
)

// shades runs from no risk to sure; the number stands in each cell as well.
var shades = []struct {
	below float64 // risk below which it is used, 0..1
	fill  color.NRGBA
	text  color.NRGBA
	word  string
}{
	{0.01, rgb(0xf4f4f4), soft, "under 1"},
	{0.05, rgb(0xfbe3d1), ink, "1-5"},
	{0.20, rgb(0xf3b688), ink, "5-20"},
	{0.50, rgb(0xdb7a33), ink, "20-50"},
	{0.80, rgb(0x9a4200), paper, "50-80"},
	{math.Inf(1), rgb(0x4a2000), paper, "over 80"},
}

func shadeOf(risk float64) int {
	for i, s := range shades {
		if risk < s.below {
			return i
		}
	}
	return len(shades) - 1
}

// pen is how a line looks: colour, width, dash and marker together, so that no
// one of them is needed to tell lines apart.
type pen struct {
	col   color.NRGBA
	width float64
	dash  []float64
	mark  mark
}

var (
	penAlone   = pen{colA, 1.8, nil, markDot}
	penPlan    = pen{colPlan, 1.8, []float64{7, 2.5}, markSquare}
	penProt    = pen{colProt, 1.6, []float64{2, 2}, markUp}
	penBoth    = pen{colBoth, 1.8, []float64{8, 2.5, 1.5, 2.5}, markDiamond}
	penReserve = pen{ink, 1, []float64{4, 3}, markNone}
	penAxis    = pen{soft, 0.7, nil, markNone}
	penGrid    = pen{faint, 0.5, nil, markNone}
)

func rgb(hex uint32) color.NRGBA {
	return color.NRGBA{R: uint8(hex >> 16), G: uint8(hex >> 8), B: uint8(hex), A: 255}
}

// tint mixes a share of the colour with white; opaque, so that print and grey
// show the same.
func tint(c color.NRGBA, share float64) color.NRGBA {
	mix := func(v uint8) uint8 { return uint8(math.Round(255 - share*(255-float64(v)))) }
	return color.NRGBA{R: mix(c.R), G: mix(c.G), B: mix(c.B), A: 255}
}

// The shares of colour in the outer and the inner band.
const (
	outerTint = 0.20
	innerTint = 0.45
)

// measure is a metric unit and how it is printed under a look.
type measure struct {
	style  words.Style
	metric string
}

func (l Look) measure(metric string) measure { return measure{l.words(), metric} }

func (m measure) name() string {
	if m.metric == "C" {
		return "°" + m.style.Name("C")
	}
	return m.style.Name(m.metric)
}
func (m measure) of(v float64) float64 { return m.style.Value(v, m.metric) }

func (m measure) each(v []float64) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		out[i] = m.of(v[i])
	}
	return out
}

func (m measure) band(b plan.Band) plan.Band {
	return plan.Band{P10: m.each(b.P10), P25: m.each(b.P25), P50: m.each(b.P50), P75: m.each(b.P75), P90: m.each(b.P90)}
}

// words is a value with its unit: "8.5 kg", "120 L".
func (m measure) words(v float64) string { return amount(m.of(v)) + " " + m.name() }

// amount rounds to what a reader can use: one decimal under 10, none above.
func amount(v float64) string {
	switch {
	case math.IsNaN(v):
		return "unknown"
	case math.Abs(v) < 9.95:
		return strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0")
	}
	return count(v)
}

// count is a whole number with commas at thousands.
func count(v float64) string {
	s := strconv.FormatFloat(math.Abs(math.Round(v)), 'f', 0, 64)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	if v <= -0.5 {
		return "-" + s
	}
	return s
}

// percent is a share in words that claims no more than it knows.
func percent(frac float64) string {
	switch {
	case math.IsNaN(frac):
		return "unknown"
	case frac <= 0:
		return "0 %"
	case frac < 0.01:
		return "under 1 %"
	case frac > 0.99 && frac < 1:
		return "over 99 %"
	}
	return count(frac*100) + " %"
}

// words are the reader's words for units and dates.
func (l Look) words() words.Style { return words.Style{US: l.Units == US} }

// short is a day as it stands on an axis: "2 Jan", or "Jan 2" with US units.
func (l Look) short(t time.Time) string { return l.words().ShortDay(t) }

// long is a day in a sentence.
func (l Look) long(t time.Time) string {
	if l.Units == US {
		return t.Format("January 2")
	}
	return t.Format("2 January")
}
