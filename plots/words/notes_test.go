package words

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/plan/samples"
)

// mostShort is the longest a note on one line may be, letters: a terminal's line.
const mostShort = 100

// Every code has its words in both units and both lengths, and no figure shows as
// a slip of the format.
func TestEveryCodeHasItsWords(t *testing.T) {
	for _, style := range []Style{{}, {US: true}} {
		for _, n := range samples.Notes() {
			for _, text := range []string{style.Note(n), style.Short(n)} {
				require.NotEmpty(t, text, n.Code())
				for _, slip := range []string{"%!", "NaN", "<nil>", "0001", "  ", "_"} {
					if slip == "_" && (n.Code() == "caution.model_changed" || n.Code() == "warning.rounds_past") {
						continue // names of a setting
					}
					require.NotContains(t, text, slip, n.Code())
				}
				for _, unit := range unitsOfTheOther(style) {
					if n.Code() == "caution.model_changed" {
						continue // a parameter has its own unit
					}
					require.NotRegexp(t, `\d `+unit+`\b`, text, n.Code())
				}
				require.Equal(t, strings.TrimSpace(text), text, n.Code())
			}
			if n.Code().Kind() == "answer" {
				continue // said in full, and nowhere else
			}
			short := style.Short(n)
			require.LessOrEqual(t, len([]rune(short)), mostShort, "%s: %s", n.Code(), short)
			require.False(t, strings.HasSuffix(short, "."), "%s: a line has no full stop: %s", n.Code(), short)
		}
	}
}

func unitsOfTheOther(s Style) []string {
	if s.US {
		return []string{"kg", "L", "C", "km", "Mar", "Apr", "May", "Jun", "March", "April"}
	}
	return []string{"lb", "gal", "qt", "F", "miles"}
}

func TestDatesFollowTheUnits(t *testing.T) {
	for _, n := range samples.Notes() {
		require.NotRegexp(t, `(Mar|Apr|May|Jun|Jul|March|April|July) \d`, Style{}.Note(n), n.Code())
		require.NotRegexp(t, `\d (Mar|Apr|May|Jun|Jul|March|April|July)`, Style{US: true}.Note(n), n.Code())
	}
}

func TestTemperaturesInWholeDegrees(t *testing.T) {
	require.Equal(t, "0 C", Style{}.Temp(-0.3))
	require.Equal(t, "-3 C", Style{}.Temp(-3.4))
	require.Equal(t, "26 F", Style{US: true}.Temp(-3.4))
}

func TestListed(t *testing.T) {
	require.Equal(t, []string{"", "a", "a and b", "a, b and c"},
		[]string{Listed(nil), Listed([]string{"a"}), Listed([]string{"a", "b"}), Listed([]string{"a", "b", "c"})})
}

func TestFeedersHaveNames(t *testing.T) {
	for _, f := range plan.Feeders() {
		require.NotEmpty(t, Feeder(f))
		require.NotEmpty(t, Mind(f))
	}
	require.Empty(t, Feeder(plan.NoFeeder)+Mind(plan.NoFeeder))
}

func TestAFeedingAfterNectarSaysSo(t *testing.T) {
	late := plan.FeedLine{NeededFrac: 0.3}
	require.Equal(t, "1 kg of solid sugar over the cluster, only if no nectar has come", Style{}.Note(plan.GiveSolid{SolidKg: 1, If: late}))
	require.Equal(t, "1 kg of solid sugar if no nectar yet", Style{}.Short(plan.GiveSolid{SolidKg: 1, If: late}))
	require.Equal(t, "1 kg of solid sugar over the cluster", Style{}.Note(plan.GiveSolid{SolidKg: 1}))
}

// TestChangesAreSaidOnce: nothing left to buy is said as that, and what is said of the
// whole plan is not said again for each colony, a setting that was not there before too.
func TestChangesAreSaidOnce(t *testing.T) {
	t.Parallel()
	set := plan.SettingFigure{Setting: "activity_mg", Before: math.NaN(), Now: 3}
	c := ChangedOf(&plan.Plan{Changes: &plan.Changes{Whole: []plan.Note{set, plan.OrderMoved{BeforeKg: 5, BeforeMostKg: 10, GivenKg: 5}},
		Colonies: []plan.ColonyChange{{Yard: "Mill", Colony: "1", Matter: plan.Moved, What: []plan.Note{plan.NotSoonerNow{}}, Why: []plan.Note{set}}}}}, Style{})
	require.Equal(t, "No sugar to buy, with 5 kg given since; it was 5 kg to 10 kg.", c.Whole[1])
	require.Empty(t, c.Moved[0].Why)
}
