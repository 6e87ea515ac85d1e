package report_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/plots/plantest"
	"bloomgap/plots/report"
	"bloomgap/plots/words"
)

// withYardWork is a plan with n long tasks of the whole first yard and a colony
// to wrap.
func withYardWork(n int) *plan.Plan {
	p := plantest.Plan()
	v := &p.Yards[0].Visits[0]
	for range n {
		v.Tasks = append(v.Tasks, plan.Task{What: plan.DustRound{Round: 1, Of: 3}})
	}
	p.Yards[0].Flying = v.Date.AddDate(0, 0, 2)
	for i := range p.Colonies {
		p.Colonies[i].Wrap = p.Colonies[i].Verdict == plan.Feed
	}
	return p
}

func TestWorkOfTheYardIsOnItsSheet(t *testing.T) {
	p := withYardWork(1)
	var b bytes.Buffer
	require.NoError(t, report.Write(&b, p, nil, report.DefaultOptions()))
	page := b.String()
	require.Equal(t, 1, strings.Count(page, `<ul class="work"`), "on the sheet of the yard that has some, and no other")
	require.Contains(t, page, words.Style{}.Note(plan.DustRound{Round: 1, Of: 3}))
	require.Contains(t, page, " wrapped\" autocomplete=\"off\">wrapped</label>")

	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed (Debian package poppler-utils)")
	}
	const many = 90 // more than a page holds
	name := filepath.Join(t.TempDir(), "sheets.pdf")
	require.NoError(t, os.WriteFile(name, sheets(t, withYardWork(many), false), 0o600))
	out, err := exec.Command(tool, "-layout", name, "-").Output()
	require.NoError(t, err)
	require.Equal(t, 2*many, strings.Count(string(out), "dusting round 1 of 3"), "on the sheet of the day and on that of the yard")
	require.Greater(t, pages(sheets(t, withYardWork(many), false)), pages(sheets(t, withYardWork(1), false)))
}
