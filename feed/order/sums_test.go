package order

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

func TestPartsThatDoNotBelongTogetherAreRefused(t *testing.T) {
	good := plan.Sums{Format: plan.SumsFormat, Terms: []plan.Term{{Name: "seed", Value: "1"}, {Name: "accepted risk", Value: "5 %"}}, Keys: []string{"a1"}, Seed: 1, Members: 2, BagKg: 25, Yards: []string{"A"}, SyrupML: []int64{1, 2}, WaterML: []int64{1, 2}, SugarG: []int64{1, 2}, SolidG: []int64{0, 0}, SupplementG: []int64{0, 0}, NowG: []int64{0, 0}}
	for _, c := range []struct {
		name  string
		spoil func(*plan.Sums)
		want  string
	}{
		{"another seed", func(s *plan.Sums) { s.Terms[0].Value = "2" }, "two.json was planned with another seed (2) than one.json (1): plan all parts alike"},
		{"another accepted risk", func(s *plan.Sums) { s.Terms[1].Value = "10 %" }, "two.json was planned with another accepted risk (10 %) than one.json (5 %): plan all parts alike"},
		{"a term too few", func(s *plan.Sums) { s.Terms = s.Terms[:1] }, "two.json was planned with another accepted risk (none) than one.json (5 %): plan all parts alike"},
		{"a term too many", func(s *plan.Sums) { s.Terms = append(s.Terms, plan.Term{Name: "parameter x", Value: "3"}) }, "two.json was planned with another parameter x (3) than one.json (none): plan all parts alike"},
		{"more members", func(s *plan.Sums) { s.Members = 3 }, "two.json: it does not hold a sum for each of its 3 members"},
		{"another bag than it says", func(s *plan.Sums) { s.BagKg = 10 }, "two.json does not hold the seed, members, bag and waste of its terms"},
		{"the same yard", func(s *plan.Sums) { s.Yards = []string{"A"} }, "yard A stands in two parts"},
		{"the same yard, written otherwise", func(s *plan.Sums) { s.Yards = []string{"  a "} }, "yard   a  stands in two parts"},
		{"the same colonies under another name", func(s *plan.Sums) { s.Keys = []string{"a1"} }, "yard B holds the very colonies of yard A: one yard, written in two ways"},
		{"another format", func(s *plan.Sums) { s.Format = "sums 0" }, `two.json: its format is "sums 0", not "bloomgap sums 3"; write it again with this version`},
		{"a member too few", func(s *plan.Sums) { s.SolidG = s.SolidG[:1] }, "two.json: it does not hold a sum for each of its 2 members"},
		{"unequal equipment", func(s *plan.Sums) { s.OnHand = []plan.GearCount{{Item: season.Pail, Count: 2}} }, "parts tell of 1 and of 2 of pail on hand"},
		{"a sum is missing", func(s *plan.Sums) { s.WaterML = nil }, "two.json: it does not hold a sum for each of its 2 members"},
		{"a sum below nothing", func(s *plan.Sums) { s.SugarG = []int64{1, -2} }, "two.json: a sum of -2 is not possible"},
		{"a sum beyond all sugar", func(s *plan.Sums) { s.SugarG = []int64{1, 1 << 62} }, "two.json: a sum of 4611686018427387904 is not possible"},
		{"colonies below nothing", func(s *plan.Sums) { s.Fed = -1 }, "two.json: -1 colonies to feed are not possible"},
		{"no yard", func(s *plan.Sums) { s.Yards = nil }, "two.json: it holds no yard"},
		{"equipment below nothing", func(s *plan.Sums) { s.Needed = []plan.GearCount{{Yard: "B", Item: season.Pail, Count: -3}} }, "two.json: -3 of pail are not possible"},
	} {
		t.Run(c.name, func(t *testing.T) {
			first, second := good, good
			first.OnHand = []plan.GearCount{{Item: season.Pail, Count: 1}}
			first.Source, second.Source = "one.json", "two.json"
			second.Yards, second.Keys, second.Terms = []string{"B"}, []string{"b1"}, slices.Clone(good.Terms)
			c.spoil(&second)
			_, err := MergeSums([]plan.Sums{first, second})
			require.EqualError(t, err, c.want)
		})
	}
}

// Every setting that amounts depend on stands in the terms of a part.
func TestTermsOfAPartNameTheSettings(t *testing.T) {
	for name, change := range map[string]func(*season.Season){
		"day":                   func(s *season.Season) { s.Today = s.Today.AddDate(0, 0, 1) },
		"seed":                  func(s *season.Season) { s.Settings.Seed++ },
		"springs":               func(s *season.Season) { s.Settings.Springs++ },
		"draws":                 func(s *season.Season) { s.Settings.Draws++ },
		"accepted risk":         func(s *season.Season) { s.Settings.AcceptRiskFrac = 0.1 },
		"reserve":               func(s *season.Season) { s.Settings.ReserveKg++ },
		"bag of sugar":          func(s *season.Season) { s.Settings.SugarBagKg++ },
		"open feeding":          func(s *season.Season) { s.Settings.AllowOpenFeeding = true },
		"feeding temperatures":  func(s *season.Season) { s.Settings.Rules.SolidOnlyBelowC-- },
		"bees wanted":           func(s *season.Season) { s.Settings.BeesWantedDate = s.Today.AddDate(0, 1, 0) },
		"supplement considered": func(s *season.Season) { s.Settings.ProteinConsidered = !s.Settings.ProteinConsidered },
	} {
		one, other := season.Demo(), season.Demo()
		one.Settings.BeesWantedDate, other.Settings.BeesWantedDate = time.Time{}, time.Time{}
		change(other)
		made := func(s *season.Season) Made {
			return Made{Members: s.Settings.Springs * s.Settings.Draws, Supplement: s.Settings.ProteinConsidered || !s.Settings.BeesWantedDate.IsZero()}
		}
		got, _, _ := unlike(termsOf(one, made(one)), termsOf(other, made(other)))
		require.Equal(t, name, got)
		require.Equal(t, colonyKeys(one), colonyKeys(other), "keys of yards do not hang on the settings")
	}
}

func TestOneFileHoldsOnePart(t *testing.T) {
	var file bytes.Buffer
	require.NoError(t, WriteSums(&file, plan.Sums{Format: plan.SumsFormat}))
	one := file.String()
	_, err := ReadSums(strings.NewReader(one))
	require.NoError(t, err)
	_, err = ReadSums(strings.NewReader(one + one))
	require.EqualError(t, err, "something stands behind the part; give one part a file")
	_, err = ReadSums(strings.NewReader(""))
	require.EqualError(t, err, "the file is empty")
}

// A total over colonies is summed within each member first: the 90 % of a sum
// of colonies that share their weather is not the sum of their 90 %.
func TestTotalsAreSummedWithinMembers(t *testing.T) {
	none := make([]int64, 4)
	var d Demand
	d.Add(&Demand{syrupML: []int64{0, 1000, 2000, 3000}, waterML: none, sugarG: none, solidG: none, nowG: none})
	d.Add(&Demand{syrupML: []int64{3000, 2000, 1000, 0}, waterML: none, sugarG: none, solidG: none, nowG: none})
	o := d.Order(2, 25, 1, 0)
	require.Equal(t, plan.Amount{P10: 3, P50: 3, P90: 3}, o.SyrupL, "each member uses 3 L though each colony's spread is 3 L wide")
}

func TestBagsAreWhole(t *testing.T) {
	d := Demand{syrupML: []int64{1}, waterML: []int64{1}, sugarG: []int64{25001}, solidG: []int64{0}, nowG: []int64{0}}
	require.Equal(t, plan.Amount{P10: 2, P50: 2, P90: 2}, d.Order(1, 25, 1, 0).SugarBags)
}
