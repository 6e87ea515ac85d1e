package main

import (
	"encoding/json"
	"io"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/cmd/bloomgap/web"
	"bloomgap/feed/season"
)

// openDemo is the built-in example as an opened folder.
func openDemo(t testing.TB) *web.Folder {
	t.Helper()
	s := season.Demo()
	o := planOptions{set: func(string) bool { return false }}
	plan, planner, err := makePlan(t.Context(), testConsole(io.Discard, io.Discard), s, &o)
	require.NoError(t, err)
	return &web.Folder{Season: s, Planner: planner, Plan: plan}
}

// pageServer serves the page under an address of this machine.
func pageServer(t testing.TB, o *web.Folder) *httptest.Server {
	t.Helper()
	srv := httptest.NewUnstartedServer(nil)
	h, err := web.New(pageOptions(srv.Listener.Addr().String(), o))
	require.NoError(t, err)
	srv.Config.Handler = h
	srv.Start()
	t.Cleanup(srv.Close)
	return srv
}

// browserTools finds what drives a browser; the test is skipped where one is
// missing.
func browserTools(t *testing.T) (node, chromium, playwright string) {
	t.Helper()
	if testing.Short() {
		t.Skip("takes a browser some 20 s")
	}
	playwright = os.Getenv("BLOOMGAP_PLAYWRIGHT")
	if playwright == "" {
		t.Skip("BLOOMGAP_PLAYWRIGHT is not set to the folder of the npm package playwright-core")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not installed (Debian package nodejs)")
	}
	if chromium, err = exec.LookPath("chromium"); err != nil {
		t.Skip("chromium is not installed (Debian package chromium)")
	}
	return node, chromium, playwright
}

// step is what the browser saw at one point.
type step struct {
	Headline, Body, Command, Bar, Address string
	Charts                                int
	Problems                              map[string]string
}

func TestPageInBrowser(t *testing.T) {
	node, chromium, playwright := browserTools(t)
	srv := pageServer(t, openDemo(t))
	report := filepath.Join(t.TempDir(), "plan.html")
	code, _, said := call(t, "demo", "--report", report)
	require.Equal(t, exitOK, code, said)
	cmd := exec.CommandContext(t.Context(), node, "testdata/browser/ask.cjs", playwright, chromium, srv.URL, "file://"+report, os.Getenv("BLOOMGAP_AXE"), os.Getenv("BLOOMGAP_SCREENSHOTS"))
	var errs strings.Builder
	cmd.Stderr = &errs
	b, err := cmd.Output()
	require.NoError(t, err, errs.String())
	var seen struct {
		Console, Elsewhere []string
		Steps              map[string]step
		Ms                 float64
		Wide               map[string]int
		Small              map[string][]string
		Axe                map[string]struct {
			Passes     int
			Violations []string
		}
	}
	require.NoError(t, json.Unmarshal(b, &seen))
	require.Empty(t, seen.Console, "no error on the console")
	require.Empty(t, seen.Elsewhere, "nothing is asked of other machines")
	for name, over := range seen.Wide {
		require.LessOrEqual(t, over, 0, "no sideways scrolling: "+name)
	}
	for name, small := range seen.Small {
		require.Empty(t, small, "no text under 12 px: "+name)
	}
	if os.Getenv("BLOOMGAP_AXE") != "" {
		require.Len(t, seen.Axe, 14, "each of seven pages at two widths")
	}
	for name, found := range seen.Axe {
		require.Greater(t, found.Passes, 10, "axe did look at "+name)
		require.Empty(t, found.Violations, name)
	}
	t.Logf("%.0f ms from the last key to the answer, the pause of 180 ms and 300 ms of the test included", seen.Ms)

	for _, name := range []string{"heft", "light", "key", "heavy", "bloom", "link", "mended", "us", "bare"} {
		t.Run(name, func(t *testing.T) {
			s := seen.Steps[name]
			require.NotEmpty(t, s.Command)
			code, out, errs := call(t, shellWords(t, s.Command)[1:]...)
			require.Equal(t, exitOK, code, errs)
			headline, _, _ := strings.Cut(out, "\n")
			require.Equal(t, headline, s.Headline)
			if name == "bare" {
				return
			}
			for _, mark := range []string{"Give ", "Risk of starving"} {
				for line := range strings.Lines(out) {
					if strings.HasPrefix(line, mark) {
						require.Contains(t, s.Body, strings.TrimSpace(line))
					}
				}
			}
		})
	}
	require.Contains(t, seen.Steps["heft"].Headline, "Feed")
	require.Contains(t, seen.Steps["doubted"].Problems["gross"], "which is much on 20 March")
	require.NotContains(t, seen.Steps["doubted"].Problems["gross"], "--confirm", "the page has a box for it")
	require.Contains(t, seen.Steps["heavy"].Headline, "No feed needed")
	require.Contains(t, seen.Steps["heavy"].Command, "--confirm=hive-weight")
	require.Contains(t, seen.Steps["light"].Command, "--gross=21.5")
	require.Contains(t, seen.Steps["key"].Command, "--gross=22 ", "a slider moves by keys")
	require.NotContains(t, seen.Steps["light"].Command, "--heft", "food is judged in one way at a time")
	require.Contains(t, seen.Steps["bloom"].Command, "--bloom-date=2027-04-19")
	require.Contains(t, seen.Steps["bloom"].Command, "--supplement=false")
	require.NotContains(t, seen.Steps["bloom"].Body, "Protein supplement")
	require.Equal(t, seen.Steps["bloom"].Headline, seen.Steps["link"].Headline)
	require.Equal(t, seen.Steps["bloom"].Body, seen.Steps["link"].Body, "the link holds the whole question")
	require.Contains(t, seen.Steps["problem"].Problems["boxes"], `Boxes "1 dip" cannot be understood`)
	require.Empty(t, seen.Steps["mended"].Problems)
	require.Contains(t, seen.Steps["us"].Body, " lb")
	require.Contains(t, seen.Steps["us"].Command, "--gross='48 kg'", "what was typed keeps its unit")
	require.Contains(t, seen.Steps["heft"].Bar, "risk")
	require.Equal(t, 6, seen.Steps["heft"].Charts)
	require.Equal(t, 6, seen.Steps["colony"].Charts)
	require.NotEmpty(t, seen.Steps["colony"].Headline)
	require.Equal(t, seen.Steps["colony"].Headline, seen.Steps["report"].Headline, "file and page show the same plan")
	require.Equal(t, 6, seen.Steps["report"].Charts)
	require.Equal(t, seen.Steps["colony"].Headline, seen.Steps["again"].Headline, "a colony of the folder asked about again gets the same answer")
}

// shellWords splits a line as a shell does, quotes included.
func shellWords(t *testing.T, line string) []string {
	t.Helper()
	var out []string
	var word strings.Builder
	quoted := false
	for _, r := range line {
		switch {
		case r == '\'':
			quoted = !quoted
		case r == ' ' && !quoted:
			out = append(out, word.String())
			word.Reset()
		default:
			word.WriteRune(r)
		}
	}
	require.False(t, quoted, line)
	return append(out, word.String())
}
