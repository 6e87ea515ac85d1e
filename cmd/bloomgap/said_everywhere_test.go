package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"bloomgap/cmd/bloomgap/web"
)

// TestWarningsOfReadingStandEverywhere: what was found in the tables is said once
// in each output, not only where the command was called.
func TestWarningsOfReadingStandEverywhere(t *testing.T) {
	t.Chdir(t.TempDir())
	files := edited(t, "s/colonies.csv", "brood_frames>brod_frames")
	for name, text := range files {
		writeAll(t, name, text)
	}
	code, screen, errs := call(t, "plan", "s", "--members", "50", "--out", "out", "--report", "page.html", "--pdf", "sheets.pdf")
	require.Equal(t, exitOK, code, errs)
	const warned = `the column "brod_frames" is not known and not used`
	flat := func(s string) string { return strings.Join(strings.Fields(s), " ") }
	require.Equal(t, 1, strings.Count(flat(screen), warned), screen)
	require.Equal(t, 1, strings.Count(errs, warned))
	page := strings.NewReplacer("&#34;", `"`, "&quot;", `"`).Replace(readAll(t, "page.html"))
	require.Equal(t, 1, strings.Count(flat(page), warned))
	require.Equal(t, 1, strings.Count(readAll(t, "out/plan.json"), `"text": "in colonies.csv, row 1, column 16: the column \"brod_frames\" is not known and not used`))
	require.Equal(t, 1, strings.Count(strings.ReplaceAll(readAll(t, "out/plan-notes.csv"), `""`, `"`), warned))
	require.Equal(t, 1, strings.Count(workbookText(t, "out/plan.xlsx"), warned))
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Log("pdftotext is not installed: the sheets are not looked into")
		return
	}
	text, err := exec.CommandContext(t.Context(), "pdftotext", "sheets.pdf", "-").Output()
	require.NoError(t, err)
	require.Equal(t, 1, strings.Count(flat(string(text)), warned), "%s", text)
}

func workbookText(t *testing.T, path string) string {
	t.Helper()
	book, err := excelize.OpenFile(path)
	require.NoError(t, err)
	defer book.Close()
	var b strings.Builder
	for _, sheet := range book.GetSheetList() {
		rows, err := book.GetRows(sheet)
		require.NoError(t, err)
		for _, r := range rows {
			b.WriteString(strings.Join(r, "\t") + "\n")
		}
	}
	return b.String()
}

// TestWarningOfReadingOnThePage: the page of serve says it once.
func TestWarningOfReadingOnThePage(t *testing.T) {
	page, err := web.New(web.Options{Addr: "127.0.0.1:8087", Today: testDay, Errs: io.Discard, Read: readWeather})
	require.NoError(t, err)
	q := url.Values{"lat": {"45.3"}, "lon": {"-72.9"}, "climate": {"farnham"}, "date": {"2027-03-20"}, "today": {"2027-03-20"}, "boxes": {"1 deep"}, "heft": {"light"},
		"seams": {"5"}, "count-temp": {"6"}, "next-visit": {"2027-03-10"}, "days-between": {"10"}}
	r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, "/?"+q.Encode(), nil)
	r.Host = "127.0.0.1:8087"
	w := httptest.NewRecorder()
	page.ServeHTTP(w, r)
	require.Equal(t, http.StatusOK, w.Code)
	require.Equal(t, 1, strings.Count(w.Body.String(), "next visit on 2027-03-10 is past"))
}

// TestSurroundingsChangeNothing: no home, another zone of time, another language,
// another folder for scratch: the answer is the same to the last letter.
func TestSurroundingsChangeNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("starts the command some times")
	}
	folder := t.TempDir()
	for name, text := range plainSeason() {
		writeAll(t, filepath.Join(folder, name), text)
	}
	answer := func(env ...string) string {
		cmd := startable(t, folder, "plan", "s", "--json")
		cmd.Env = append(env, asCommand+"=1", "PATH="+os.Getenv("PATH"))
		var out, errs bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errs
		require.NoError(t, cmd.Run(), errs.String())
		require.Empty(t, errs.String())
		return out.String()
	}
	usual := answer("HOME=" + t.TempDir())
	require.Contains(t, usual, `"verdict"`)
	for _, env := range [][]string{{}, {"HOME=/nowhere"}, {"TZ=Pacific/Kiritimati"}, {"TZ=America/St_Johns"}, {"TZ=no/such"}, {"LANG=de_CH.UTF-8", "LC_ALL=de_CH.UTF-8"}, {"LC_ALL=tr_TR.UTF-8"},
		{"LANG=\xff"}, {"TMPDIR=/nowhere"}, {"GOMAXPROCS=1"}, {"GOMAXPROCS=7"}} {
		require.Equal(t, usual, answer(env...), env)
	}
}

// startable is the command as a process of its own, not yet started.
func startable(t *testing.T, folder string, args ...string) *exec.Cmd {
	t.Helper()
	cmd := exec.CommandContext(context.WithoutCancel(t.Context()), os.Args[0], args...)
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), asCommand+"=1")
	return cmd
}
