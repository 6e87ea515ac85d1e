package syrup

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Strength is how strong a syrup is: the mass of sucrose in the mass of the
// whole, and the name that a beekeeper gives it. The zero Strength means that
// none was chosen.
type Strength struct {
	MassFrac float64 // kg sucrose per kg syrup, 0..MaxMassFrac
	Label    string  // "1:1", "3:2", "2:1", "60%", "2:1 by volume"
}

// MaxMassFrac is the strongest mix that Parse takes, kg sugar per kg syrup.
// About 0.70 is all that warm water dissolves; the rest is slack for bought
// syrups that are not all sucrose (own judgement; range 0.70-0.80).
const MaxMassFrac = 0.80

// OneToOne is thin syrup, one part of sugar to one of water by weight.
func OneToOne() Strength { return Strength{MassFrac: 1.0 / 2, Label: "1:1"} }

// ThreeToTwo is middling syrup, three parts of sugar to two of water by weight.
func ThreeToTwo() Strength { return Strength{MassFrac: 3.0 / 5, Label: "3:2"} }

// TwoToOne is thick syrup, two parts of sugar to one of water by weight.
func TwoToOne() Strength { return Strength{MassFrac: 2.0 / 3, Label: "2:1"} }

// IsZero tells that no strength was chosen.
func (s Strength) IsZero() bool { return s.MassFrac == 0 }

// String is the name of the strength.
func (s Strength) String() string {
	if s.Label != "" {
		return s.Label
	}
	return strconv.FormatFloat(100*s.MassFrac, 'g', 4, 64) + "%"
}

// Validate tells whether the strength can be mixed.
func (s Strength) Validate() error {
	if math.IsNaN(s.MassFrac) || s.MassFrac <= 0 || s.MassFrac > MaxMassFrac {
		return fmt.Errorf("a syrup of %s sugar by weight cannot be mixed; use 1:1, 3:2 or 2:1", percent(s.MassFrac))
	}
	return nil
}

// Parse reads a strength: "3:2", "3/2", "3 to 2" (sugar first, by weight),
// "2:1 by volume" (granulated sugar measured in the same vessel as the water),
// or "60%" (sugar in the whole, by weight).
func Parse(text string) (Strength, error) {
	given := strings.TrimSpace(text)
	t := strings.ToLower(strings.Join(strings.Fields(given), " "))
	byVolume := false
	for _, tail := range []string{"by volume", "by vol", "v/v"} {
		if strings.HasSuffix(t, tail) {
			byVolume, t = true, strings.TrimSpace(strings.TrimSuffix(t, tail))
		}
	}
	if !byVolume {
		for _, tail := range []string{"by weight", "by mass", "w/w"} {
			t = strings.TrimSpace(strings.TrimSuffix(t, tail))
		}
	}
	if num, ok := strings.CutSuffix(t, "%"); ok {
		p, err := number(num)
		if err != nil || byVolume {
			return Strength{}, badStrength(given)
		}
		s := Strength{MassFrac: p / 100, Label: strconv.FormatFloat(p, 'g', -1, 64) + "%"}
		return s, s.Validate()
	}
	for _, sep := range []string{" to ", ":", "/"} {
		a, b, ok := strings.Cut(t, sep)
		if !ok {
			continue
		}
		sugar, errA := number(a)
		water, errB := number(b)
		if errA != nil || errB != nil || sugar <= 0 || water <= 0 {
			return Strength{}, badStrength(given)
		}
		label := strconv.FormatFloat(sugar, 'g', -1, 64) + ":" + strconv.FormatFloat(water, 'g', -1, 64)
		s := Strength{MassFrac: sugar / (sugar + water), Label: label}
		if byVolume {
			s = ByVolume(sugar, water)
		}
		return s, s.Validate()
	}
	return Strength{}, badStrength(given)
}

func number(text string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err == nil && (math.IsNaN(v) || math.IsInf(v, 0) || v > 1e6) {
		return 0, strconv.ErrRange
	}
	return v, err
}

func badStrength(given string) error {
	return fmt.Errorf("%q is not a syrup strength; write sugar:water by weight such as 3:2, a percentage such as 60%%, or 2:1 by volume", given)
}

func percent(frac float64) string { return strconv.FormatFloat(100*frac, 'g', 4, 64) + " %" }

// MarshalText writes the label.
func (s Strength) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what Parse reads.
func (s *Strength) UnmarshalText(text []byte) error {
	got, err := Parse(string(text))
	if err != nil {
		return err
	}
	*s = got
	return nil
}
