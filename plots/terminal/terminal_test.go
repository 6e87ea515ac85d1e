package terminal_test

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/jedib0t/go-pretty/v6/text"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/feed/plan"
	"bloomgap/forage/golden"
	"bloomgap/plots/plantest"
	"bloomgap/plots/terminal"
	"bloomgap/plots/words"
)

// wanted compares with a file under testdata.
func wanted(t *testing.T, name string, got []byte) {
	t.Helper()
	golden.Equal(t, filepath.Join("testdata", name), got)
}

func screen(us bool) terminal.Screen {
	s := terminal.DefaultScreen()
	s.Words.US = us
	return s
}

func printed(t require.TestingT, p *plan.Plan, s terminal.Screen) string {
	var b bytes.Buffer
	require.NoError(t, terminal.Write(&b, p, s))
	return b.String()
}

func answered(t require.TestingT, p *plan.Plan, i int, s terminal.Screen) string {
	var b bytes.Buffer
	require.NoError(t, terminal.WriteHive(&b, p, &p.Colonies[i], s))
	return b.String()
}

func TestGolden(t *testing.T) {
	p := plantest.Plan()
	wanted(t, "plan.txt", []byte(printed(t, p, screen(false))))
	wanted(t, "plan-us.txt", []byte(printed(t, p, screen(true))))
	why := screen(false)
	why.Why = true
	wanted(t, "plan-why.txt", []byte(printed(t, p, why)))
	wanted(t, "hive-why.txt", []byte(answered(t, p, 0, why)))
	wanted(t, "hive-feed.txt", []byte(answered(t, p, 0, screen(false))))
	wanted(t, "hive-watch-us.txt", []byte(answered(t, p, 4, screen(true))))
}

// narrow fails when a line is wider than a terminal or holds what a terminal
// would act on.
func narrow(t require.TestingT, out string, width int) {
	for i, line := range strings.Split(out, "\n") {
		require.LessOrEqual(t, text.StringWidth(line), width, "line %d: %q", i+1, line)
		require.False(t, strings.HasSuffix(line, " "), "line %d ends in a space", i+1)
		for _, r := range line {
			require.False(t, unicode.IsControl(r) || unicode.Is(unicode.Cf, r), "line %d holds %U", i+1, r)
		}
	}
}

func TestEveryLineFits(t *testing.T) {
	for _, us := range []bool{false, true} {
		for _, width := range []int{100, 140} {
			p := plantest.Plan()
			s := screen(us)
			s.Width = width
			narrow(t, printed(t, p, s), width)
			for i := range p.Colonies {
				narrow(t, answered(t, p, i, s), width)
			}
		}
	}
}

func TestWideStyleUsesTheRoom(t *testing.T) {
	p := plantest.Plan()
	p.Colonies[0].Yard = "A yard with quite a long name"
	s := screen(false)
	s.Width = 160
	require.Contains(t, printed(t, p, s), "A yard with quite a long name  B7", "60 columns more leave room for the name on one line")
}

func TestColourOnlyWhenAsked(t *testing.T) {
	p := plantest.Plan()
	require.NotContains(t, printed(t, p, screen(false)), "\x1b")
	s := screen(false)
	s.Colour = true
	coloured := printed(t, p, s)
	require.Contains(t, coloured, "\x1b[1m")
	require.Equal(t, printed(t, p, screen(false)), text.StripEscape(coloured), "colour changes nothing but colour")
}

func TestStyleValidate(t *testing.T) {
	require.NoError(t, terminal.DefaultScreen().Validate())
	require.ErrorContains(t, terminal.Screen{Width: 80}.Validate(), "100 columns")

	require.ErrorContains(t, terminal.Write(&bytes.Buffer{}, plantest.Plan(), terminal.Screen{Width: 80}), "100 columns")
}

func TestWhatToDoComesFirst(t *testing.T) {
	out := printed(t, plantest.Plan(), screen(false))
	last := -1
	for _, head := range []string{"To feed, the most urgent first", "To watch", "Dead:", "No feed needed\n", "Yards\n", "THE ORDER", "Equipment", "Next visits", "Warnings"} {
		at := strings.Index(out, head)
		require.Greater(t, at, last, "%q is there, after what comes before it", head)
		last = at
	}
}

func TestReasonsOnlyWhenAsked(t *testing.T) {
	p := plantest.Plan()
	require.NotContains(t, printed(t, p, screen(false)), "\nWhy\n")
	s := screen(false)
	s.Why = true
	out := printed(t, p, s)
	last := -1
	for _, head := range []string{"Next visits", "Why\n", "Warnings", "Usual cautions", "What the model leaves out"} {
		at := strings.Index(out, head)
		require.Greater(t, at, last, "%q is there, after what comes before it", head)
		last = at
	}
}

// fortyYards is the plan of plantest with its yards many times over.
func fortyYards() *plan.Plan {
	p := plantest.Plan()
	yards, colonies := p.Yards, p.Colonies
	p.Yards, p.Colonies = nil, nil
	for i := range 40 {
		y := yards[i%len(yards)]
		was := y.Name
		y.Name = fmt.Sprintf("Yard %d", i+1)
		p.Yards = append(p.Yards, y)
		for _, c := range colonies {
			if c.Yard == was {
				c.Yard = y.Name
				p.Colonies = append(p.Colonies, c)
			}
		}
	}
	return p
}

// A plan of 40 yards is a line for each, with no more about it than a screen
// holds; any of them is behind it.
func TestFortyYardsOnOneScreen(t *testing.T) {
	p := fortyYards()
	for _, us := range []bool{false, true} {
		out := printed(t, p, screen(us))
		narrow(t, out, 100)
		for _, y := range p.Yards {
			require.Contains(t, out, "\n"+y.Name+" ")
		}
		require.LessOrEqual(t, strings.Count(out, "\n"), 40+22, "%s", out)
		require.Contains(t, out, "add --yard")
		flat := strings.ToLower(strings.Join(strings.Fields(out), " "))
		for _, g := range words.WarningKinds(p, words.Style{US: us}) {
			require.Contains(t, flat, strings.ToLower(g.Text), "a warning of each kind is there")
		}
	}
}

// The answer for a hive is eight lines at most; warnings come besides.
func TestHiveAnswerIsEightLines(t *testing.T) {
	p := plantest.Plan()
	for _, us := range []bool{false, true} {
		for i := range p.Colonies {
			a := words.AnswerFor(p, &p.Colonies[i], words.Style{US: us})
			require.LessOrEqual(t, len(a.Short()), 8, "%s", p.Colonies[i].Colony)
		}
	}
}

func TestEveryWarningIsPrinted(t *testing.T) {
	p := plantest.Plan()
	require.Len(t, words.Warnings(p, words.Style{}), 5)
	everyWarning(t, p, "terminal", printed(t, p, screen(false)), false)
	require.Contains(t, printed(t, p, screen(false)), "Côte-à-Liguori: L3; Home: B12: Brood was not looked at", "equal warnings stand together")
}

// everyWarning makes sure an output shows each warning of the plan, whatever
// the wrapping.
func everyWarning(t *testing.T, p *plan.Plan, where, out string, us bool) {
	t.Helper()
	flat := strings.ToLower(strings.Join(strings.Fields(out), " "))
	for _, n := range words.Warnings(p, words.Style{US: us}) {
		require.Contains(t, flat, strings.ToLower(n.Text), where)
	}
}

func TestEmptyPlan(t *testing.T) {
	p := &plan.Plan{Today: plantest.Plan().Today}
	out := printed(t, p, screen(false))
	require.Contains(t, out, "To feed: none")
	require.Contains(t, out, "Nothing to buy")
	narrow(t, out, 100)
}

func TestAnyNameIsMadeSafe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plantest.NastyPlan(t)
		us := rapid.Bool().Draw(t, "us")
		narrow(t, printed(t, p, screen(us)), 100)
		narrow(t, answered(t, p, 0, screen(us)), 100)
	})
}
