package order

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// Bounds of what a part of an order may hold; own choice, far above any season.
const (
	mostPartUnits = 1e12 // of a sum, g or ml: a million tonnes
	mostPartCount = 1e7  // of colonies or pieces of equipment
)

// termsOf a plan: the program, the day, the springs and every setting that its
// amounts depend on.
func termsOf(s *season.Season, made Made) []plan.Term {
	set := &s.Settings
	strength := "choose"
	if !set.ChooseStrength() {
		strength = set.Strength.String()
	}
	wanted := "none"
	if !set.BeesWantedDate.IsZero() {
		wanted = set.BeesWantedDate.Format(time.DateOnly)
		if !math.IsNaN(set.BeesWantedBees) {
			wanted += fmt.Sprintf(", %g bees", set.BeesWantedBees)
		}
	}
	out := []plan.Term{
		{Name: "version", Value: made.Version},
		{Name: "day", Value: s.Today.Format(time.DateOnly)},
		{Name: "seed", Value: fmt.Sprint(set.Seed)},
		{Name: "springs", Value: fmt.Sprint(set.Springs)},
		{Name: "draws", Value: fmt.Sprint(set.Draws)},
		{Name: "members", Value: fmt.Sprint(made.Members)},
		{Name: "accepted risk", Value: fmt.Sprintf("%g %%", 100*set.AcceptRiskFrac)},
		{Name: "reserve", Value: fmt.Sprintf("%g kg", set.ReserveKg)},
		{Name: "reserve held in", Value: fmt.Sprintf("%g %% of springs", 100*set.ReserveFrac)},
		{Name: "colonies lost", Value: fmt.Sprintf("%g %%", 100*set.LossFrac)},
		{Name: "waste of sugar", Value: fmt.Sprintf("%g %%", 100*set.WasteFrac)},
		{Name: "syrup", Value: strength},
		{Name: "bag of sugar", Value: fmt.Sprintf("%g kg", set.SugarBagKg)},
		{Name: "supplement considered", Value: fmt.Sprint(made.Supplement)},
		{Name: "bees wanted", Value: wanted},
		{Name: "open feeding", Value: fmt.Sprint(set.AllowOpenFeeding)},
		{Name: "feeding temperatures", Value: fmt.Sprintf("%g, %g, %g C", set.Rules.SolidOnlyBelowC, set.Rules.TouchingOnlyBelowC, set.Rules.AnyFeederFromC)},
	}
	for _, q := range set.Parameters {
		out = append(out, plan.Term{Name: "parameter " + q.Name, Value: fmt.Sprint(q.Value)})
	}
	return out
}

// colonyKeys tell the yards of a part apart by what stands in them, so that a
// yard whose name was written in another way is still found twice: a short hash
// of its place and of all that was seen of its colonies.
func colonyKeys(s *season.Season) []string {
	colonies := s.ByYard()
	keys := make([]string, len(s.Yards))
	for i := range s.Yards {
		y := &s.Yards[i]
		hash := sha256.New()
		fmt.Fprintln(hash, y.LatDeg, y.LonDeg)
		for _, c := range colonies[y.Name] {
			fmt.Fprintf(hash, "%q %v %v %v\n", c.Name, c.Alive, c.Boxes, c.Observations)
			if c.Tally != nil {
				fmt.Fprintln(hash, c.Tally.LookedAt, y.NotLookedAt)
			}
		}
		keys[i] = hex.EncodeToString(hash.Sum(nil)[:8])
	}
	return keys
}

// unlike tells in what two lists of terms differ; "" when they agree.
func unlike(one, other []plan.Term) (name, a, b string) {
	values := map[string]string{}
	for _, t := range other {
		values[t.Name] = t.Value
	}
	for _, t := range one {
		v, ok := values[t.Name]
		if !ok {
			return t.Name, t.Value, "none"
		}
		if v != t.Value {
			return t.Name, t.Value, v
		}
		delete(values, t.Name)
	}
	for _, t := range other {
		if v, left := values[t.Name]; left {
			return t.Name, "none", v
		}
	}
	return "", "", ""
}

// checkSums tells what in a part cannot come from a plan.
func checkSums(s *plan.Sums) error {
	switch {
	case s.Format != plan.SumsFormat:
		return fmt.Errorf("its format is %q, not %q; write it again with this version", s.Format, plan.SumsFormat)
	case len(s.Yards) == 0:
		return errors.New("it holds no yard")
	case len(s.Keys) != len(s.Yards):
		return fmt.Errorf("it holds %d yards, but %d keys of yards", len(s.Yards), len(s.Keys))
	case s.LaterBy != "" && !isDay(s.LaterBy):
		return fmt.Errorf("%q is not a day", s.LaterBy)
	case s.Fed < 0 || s.Fed > mostPartCount:
		return fmt.Errorf("%d colonies to feed are not possible", s.Fed)
	}
	d := Demand{syrupML: s.SyrupML, waterML: s.WaterML, sugarG: s.SugarG, solidG: s.SolidG, supplementG: s.SupplementG, nowG: s.NowG}
	for _, col := range d.columns() {
		if n := len(*col); n != 0 && n != s.Members || n != len(s.SyrupML) {
			return fmt.Errorf("it does not hold a sum for each of its %d members", s.Members)
		}
		for _, v := range *col {
			if v < 0 || v > mostPartUnits {
				return fmt.Errorf("a sum of %d is not possible", v)
			}
		}
	}
	for _, list := range [][]plan.GearCount{s.Needed, s.OnHand} {
		for _, g := range list {
			switch {
			case g.Count < 0 || g.Count > mostPartCount:
				return fmt.Errorf("%d of %s are not possible", g.Count, g.Item)
			case !slices.Contains(season.Items(), g.Item):
				return fmt.Errorf("there is no equipment %q", g.Item)
			case g.Yard != "" && !slices.Contains(s.Yards, g.Yard):
				return fmt.Errorf("it tells of equipment of yard %q, which is not in it", g.Yard)
			}
		}
	}
	return nil
}

func isDay(text string) bool {
	_, err := time.Parse(time.DateOnly, text)
	return err == nil
}

// yardTwice finds a yard of a part among those put together so far: by its name,
// case and spaces ignored, or by the same colonies under another name.
func yardTwice(have *plan.Sums, part *plan.Sums) error {
	for i, name := range part.Yards {
		for j, other := range have.Yards {
			switch {
			case season.SameName(name, other):
				return fmt.Errorf("yard %s stands in two parts", name)
			case part.Keys[i] == have.Keys[j]:
				return fmt.Errorf("yard %s holds the very colonies of yard %s: one yard, written in two ways", name, other)
			}
		}
	}
	return nil
}

// partName is how a part is called in messages.
func partName(s *plan.Sums, i int) string {
	if name := strings.TrimSpace(s.Source); name != "" {
		return name
	}
	return fmt.Sprintf("part %d", i+1)
}
