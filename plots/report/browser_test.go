package report_test

import (
	"context"
	"encoding/json"
	"fmt"
	"html"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/plots/plantest"
	"bloomgap/plots/report"
)

// chromium runs the browser without a window and gives what it prints.
func chromium(t *testing.T, args ...string) (out, log string) {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed (Debian package chromium)")
	}
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	flags := append([]string{"--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--enable-logging=stderr", "--user-data-dir=" + t.TempDir()}, args...)
	cmd := exec.CommandContext(ctx, path, flags...)
	var errs strings.Builder
	cmd.Stderr = &errs
	b, err := cmd.Output()
	require.NoError(t, err, errs.String())
	return string(b), errs.String()
}

// probe is run inside the page: it unfolds everything and reports what sticks
// out and, when axe is there, what it finds.
const probe = `<script>
addEventListener("load", async () => {
  const outside = () => {
    const wide = document.documentElement.clientWidth, out = [];
    for (const e of document.querySelectorAll("body *")) {
      if (e.closest(".scroll, svg, .skip, table.cards thead")) continue;
      const r = e.getBoundingClientRect();
      if (r.width > 0 && r.right > wide + 1) out.push(e.tagName + "." + e.className);
    }
    return out;
  };
  const folded = outside();
  for (const d of document.querySelectorAll("details")) d.open = true;
  const small = [];
  for (const e of document.querySelectorAll("td, th, p, li, dd, label")) {
    if (e.textContent.trim() && parseFloat(getComputedStyle(e).fontSize) < 12) small.push(e.tagName);
  }
  const result = {scroll: document.documentElement.scrollWidth - document.documentElement.clientWidth, outside: folded.concat(outside()), small, dark: matchMedia("(prefers-color-scheme: dark)").matches, violations: []};
  if (window.axe) {
    const r = await axe.run({runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]});
    result.violations = r.violations.map(v => v.id + ": " + v.help + ": " + v.nodes.slice(0, 3).map(n => n.html).join(" | "));
    result.passes = r.passes.length;
  }
  window.result = result;
});
</script>`

type found struct {
	Scroll     int
	Outside    []string
	Small      []string
	Violations []string
	Passes     int
	Dark       bool
}

// dark asks the browser for the colours of the night.
const dark = "--blink-settings=preferredColorScheme=0"

// look opens the page in a frame of a width and runs the probe in it.
func look(t *testing.T, page, axe string, width int, flags ...string) found {
	t.Helper()
	// The page forbids scripts; the copy that is probed has that taken out.
	_, rest, ok := strings.Cut(page, `<meta http-equiv="Content-Security-Policy"`)
	require.True(t, ok, "the page forbids scripts and the network")
	before, _, _ := strings.Cut(page, `<meta http-equiv="Content-Security-Policy"`)
	_, rest, _ = strings.Cut(rest, ">")
	script := probe
	if axe != "" {
		script = `<script src="/axe.js"></script>` + probe
	}
	probed := strings.Replace(before+rest, "</body>", script+"</body>", 1)
	mux := http.NewServeMux()
	mux.HandleFunc("/page", func(w http.ResponseWriter, r *http.Request) { fmt.Fprint(w, probed) })
	mux.HandleFunc("/axe.js", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/javascript")
		fmt.Fprint(w, axe)
	})
	mux.HandleFunc("/favicon.ico", func(w http.ResponseWriter, r *http.Request) { w.WriteHeader(http.StatusNoContent) })
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		fmt.Fprintf(w, `<!DOCTYPE html><html lang="en"><title>frame</title><iframe title="page" src="/page" width="%d" height="900"></iframe><pre id="result">waiting</pre>
<script>const look = () => { const r = document.querySelector("iframe").contentWindow.result; if (r) document.getElementById("result").textContent = JSON.stringify(r); else setTimeout(look, 50); }; look();</script></html>`, width)
	})
	server := httptest.NewServer(mux)
	defer server.Close()
	dom, log := chromium(t, append(flags, "--window-size=1300,1000", "--virtual-time-budget=60000", "--dump-dom", server.URL+"/")...)
	require.NotContains(t, log, "CONSOLE", "no error on the console")
	_, dom, _ = strings.Cut(dom, `<pre id="result">`)
	dom, _, _ = strings.Cut(dom, "</pre>")
	var f found
	require.NoError(t, json.Unmarshal([]byte(html.UnescapeString(dom)), &f), dom)
	return f
}

// axeSource reads axe-core; "" when it is not at hand.
func axeSource(t *testing.T) string {
	name := os.Getenv("BLOOMGAP_AXE")
	if name == "" {
		return ""
	}
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	return string(b)
}

func TestPageOnPhoneAndDesk(t *testing.T) {
	p := plantest.Plan()
	page := write(t, p, plantest.Details(p), true)
	axe := axeSource(t)
	for _, width := range []int{320, 390, 800, 1200} {
		t.Run(fmt.Sprint(width), func(t *testing.T) {
			f := look(t, page, axe, width)
			require.LessOrEqual(t, f.Scroll, 0, "no sideways scrolling")
			require.Empty(t, f.Outside, "nothing sticks out")
			require.Empty(t, f.Small, "no text under 12 px")
			require.Empty(t, f.Violations)
		})
	}
}

func TestPageIsAccessible(t *testing.T) {
	axe := axeSource(t)
	if axe == "" {
		t.Skip("BLOOMGAP_AXE is not set to the file axe.min.js of the npm package axe-core")
	}
	p := plantest.Plan()
	pages, at := map[string]string{"whole": write(t, p, plantest.Details(p), true)}, sync.Mutex{}
	opt := report.DefaultOptions()
	opt.Charts = report.DrawCharts(false)
	require.NoError(t, report.WritePages(t.Context(), p, "index.html", "yards", nil, opt, func(name string, to func(io.Writer) error) error {
		var b strings.Builder
		err := to(&b)
		at.Lock()
		defer at.Unlock()
		if name == "" || strings.HasPrefix(name, "001-") { // the other yards are written alike
			pages[name] = b.String()
		}
		return err
	}))
	require.Len(t, pages, 3)
	for name, page := range pages {
		for _, flags := range [][]string{nil, {dark}} {
			if name == "whole" && flags == nil {
				continue // TestPageOnPhoneAndDesk looks at it
			}
			f := look(t, page, axe, 1200, flags...)
			require.Equal(t, len(flags) > 0, f.Dark)
			require.Greater(t, f.Passes, 20, "axe did look")
			require.Empty(t, f.Violations, name, flags)
		}
	}
	faint := strings.Replace(pages[""], "--ink: #ececec", "--ink: #444444", 1)
	require.NotEmpty(t, look(t, faint, axe, 1200, dark).Violations, "dark letters on dark paper are found out")
	broken := strings.Replace(write(t, p, nil, false), `<html lang="en">`, "<html>", 1)
	require.NotEmpty(t, look(t, broken, axe, 1200).Violations, "a page without a language is found out")
}

func TestPageUnchangedHasNoConsoleErrors(t *testing.T) {
	p := plantest.Plan()
	name := filepath.Join(t.TempDir(), "page.html")
	require.NoError(t, os.WriteFile(name, []byte(write(t, p, plantest.Details(p), true)), 0o600))
	dom, log := chromium(t, "--dump-dom", "file://"+name)
	require.Contains(t, dom, "<h1>")
	require.NotContains(t, log, "CONSOLE")
}

func TestEachYardPrintsOnItsOwnPage(t *testing.T) {
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed (Debian package poppler-utils)")
	}
	p := plantest.Plan()
	dir := t.TempDir()
	page, pdf := filepath.Join(dir, "page.html"), filepath.Join(dir, "page.pdf")
	require.NoError(t, os.WriteFile(page, []byte(write(t, p, plantest.Details(p), true)), 0o600))
	chromium(t, "--no-pdf-header-footer", "--print-to-pdf="+pdf, "file://"+page)
	out, err := exec.Command(tool, "-layout", pdf, "-").Output()
	require.NoError(t, err)
	printed := strings.Split(string(out), "\f")
	for _, y := range p.Yards {
		on := 0
		for _, text := range printed {
			if strings.Contains(text, y.Name+": next visit") {
				on++
				require.True(t, strings.HasPrefix(strings.TrimSpace(text), y.Name), "the sheet begins its page")
				for _, other := range p.Yards {
					if other.Name != y.Name {
						require.NotContains(t, text, other.Name)
					}
				}
				for _, c := range p.Colonies {
					if c.Yard == y.Name {
						require.Contains(t, text, c.Colony)
					}
				}
			}
		}
		require.Equal(t, 1, on, y.Name)
	}
	require.NotContains(t, string(out), "Each colony, the most pressing first", "what is folded is not printed")
}
