package report_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/feed/plan"
	"bloomgap/plots/plantest"
	"bloomgap/plots/report"
	"bloomgap/plots/words"
)

func sheets(t require.TestingT, p *plan.Plan, us bool) []byte {
	opt := report.DefaultOptions()
	opt.Units = words.Style{US: us}
	var b bytes.Buffer
	require.NoError(t, report.WriteSheets(&b, p, opt))
	return b.Bytes()
}

var pageObject = regexp.MustCompile(`/Type /Page\b`)

func pages(pdf []byte) int { return len(pageObject.FindAll(pdf, -1)) }

func TestOneSheetForEachYard(t *testing.T) {
	pdf := sheets(t, plantest.Plan(), false)
	require.True(t, bytes.HasPrefix(pdf, []byte("%PDF")))
	require.Equal(t, len(words.VisitDays(plantest.Plan(), 14, words.Style{}))+3, pages(pdf), "a sheet for each day, then one for each yard")
	require.Contains(t, string(pdf), "595.28 841.89", "A4")
	require.Contains(t, string(sheets(t, plantest.Plan(), true)), "612.00 792.00", "Letter with US units")
	require.Greater(t, pages(sheets(t, many(150), false)), 6, "a large yard goes on to the next page")
	require.Equal(t, 1, pages(sheets(t, &plan.Plan{Today: plantest.Plan().Today}, false)))
}

func TestSheetsAreTheSameEachTime(t *testing.T) {
	require.True(t, bytes.Equal(sheets(t, plantest.Plan(), false), sheets(t, plantest.Plan(), false)))
	require.Contains(t, string(sheets(t, plantest.Plan(), false)), "D:20250320", "dated by the plan")
}

func TestSheetsTakeAnyName(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		require.GreaterOrEqual(t, pages(sheets(t, plantest.NastyPlan(t), false)), 3)
	})
}

func TestSheetsCanBeRead(t *testing.T) {
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed (Debian package poppler-utils)")
	}
	p := many(60)
	name := filepath.Join(t.TempDir(), "sheets.pdf")
	require.NoError(t, os.WriteFile(name, sheets(t, p, false), 0o600))
	out, err := exec.Command(tool, "-layout", name, "-").Output()
	require.NoError(t, err)
	read := string(out)
	require.Contains(t, read, "Côte-à-Liguori: next visit Tue 25 Mar", "letters beyond English print")
	for _, c := range p.Colonies {
		require.Contains(t, read, c.Colony, "every colony is on a sheet")
	}
	words := strings.Join(strings.Fields(read), " ")
	require.Contains(t, words, "Home, continued")
	require.Contains(t, words, "Take along:")
}
