package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/golden"
)

// demoFigures is what the example comes to, a line for each colony, and the order;
// rounded so that a change of the last digits is none.
func demoFigures(t *testing.T) string {
	t.Helper()
	code, out, errs := call(t, "demo", "--json")
	require.Equal(t, exitOK, code, errs)
	var doc struct {
		Colonies []struct {
			Yard    string `json:"yard"`
			Colony  string `json:"colony"`
			Verdict string `json:"verdict"`
			Risk    struct {
				Frac float64 `json:"frac"`
			} `json:"risk"`
			RiskFed struct {
				Frac float64 `json:"frac"`
			} `json:"risk_fed"`
			SyrupL  float64 `json:"syrup_l"`
			SolidKg float64 `json:"solid_kg"`
			StartBy *string `json:"start_by"`
		} `json:"colonies"`
		Order struct {
			SugarKg struct{ P50, P90 float64 } `json:"sugar_kg"`
		} `json:"order"`
	}
	require.NoError(t, json.Unmarshal([]byte(out), &doc))
	var b strings.Builder
	for _, c := range doc.Colonies {
		start := "-"
		if c.StartBy != nil && *c.StartBy != "" {
			start = *c.StartBy
		}
		fmt.Fprintf(&b, "%s %s: %s, risk %.0f %%, fed %.0f %%, %.1f L, %.1f kg, %s\n", c.Yard, c.Colony, c.Verdict, 100*c.Risk.Frac, 100*c.RiskFed.Frac, c.SyrupL, c.SolidKg, start)
	}
	fmt.Fprintf(&b, "sugar %.0f and %.0f kg\n", doc.Order.SugarKg.P50, doc.Order.SugarKg.P90)
	return b.String()
}

// answersSection is what the release notes say of changed answers in their newest
// entry.
func answersSection(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile("CHANGELOG.md")
	require.NoError(t, err)
	_, newest, ok := strings.Cut(string(b), "\n## ")
	require.True(t, ok)
	newest, _, _ = strings.Cut(newest, "\n## ")
	_, answers, ok := strings.Cut(newest, "\nAnswers\n")
	require.True(t, ok, "the newest entry of CHANGELOG.md has a part named Answers")
	for _, next := range []string{"\nNew\n", "\nChanged\n", "\nMended\n"} {
		answers, _, _ = strings.Cut(answers, next)
	}
	return strings.Join(strings.Fields(answers), " ")
}

// TestChangedAnswersAreSaid: the figures of the example are kept with a mark of what
// the release notes said when they were written. Other figures need another line
// there: -update does not write them without one.
func TestChangedAnswersAreSaid(t *testing.T) {
	const path = "testdata/demo-figures.txt"
	figures := demoFigures(t)
	mark := fmt.Sprintf("release notes %x\n", sha256.Sum256([]byte(answersSection(t))))[:len("release notes ")+16] + "\n"
	kept, err := os.ReadFile(path)
	if err == nil {
		require.NoError(t, unsaid(string(kept), figures, mark), "say under Answers in CHANGELOG.md what moved and why, then run this test with -update")
	}
	if old, _, _ := strings.Cut(string(kept), "release notes "); err == nil && old == figures && !golden.Updating() {
		return // other lines of the release notes alone ask for nothing
	}
	golden.Equal(t, filepath.FromSlash(path), []byte(figures+mark))
}

// unsaid tells that figures changed and the release notes did not.
func unsaid(kept, figures, mark string) error {
	old, oldMark, ok := strings.Cut(kept, "release notes ")
	if ok && old != figures && "release notes "+oldMark == mark {
		return fmt.Errorf("the figures of the example changed, the release notes did not:\n%s", firstOther(old, figures))
	}
	return nil
}

func firstOther(was, is string) string {
	a, b := strings.Split(was, "\n"), strings.Split(is, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return "was " + a[i] + "\nis  " + b[i]
		}
	}
	return "other lines"
}

// TestUnsaidFigures: the guard itself.
func TestUnsaidFigures(t *testing.T) {
	require.NoError(t, unsaid("a\nrelease notes 1\n", "a\n", "release notes 1\n"))
	require.NoError(t, unsaid("a\nrelease notes 1\n", "b\n", "release notes 2\n"), "said")
	require.ErrorContains(t, unsaid("a\nrelease notes 1\n", "b\n", "release notes 1\n"), "was a\nis  b")
	require.False(t, bytes.Contains([]byte(answersSection(t)), []byte("## ")), "one entry only")
}
