package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// plannedFolder is a folder with the plain season and a plan of it in out, by a
// run that went well.
func plannedFolder(t *testing.T) (folder string, args []string) {
	t.Helper()
	folder = t.TempDir()
	for name, text := range plainSeason() {
		writeAll(t, filepath.Join(folder, name), text)
	}
	args = []string{"plan", "s", "--members", "50", "--out", "out", "--report", "out/plan.html", "--pdf", "out/sheets.pdf"}
	require.NoError(t, startCommand(t, folder, args...).Wait())
	return folder, args
}

// contentsOf is what the files of a folder hold.
func contentsOf(t *testing.T, folder string) map[string]string {
	t.Helper()
	out := map[string]string{}
	list, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range list {
		if !e.IsDir() {
			out[e.Name()] = readAll(t, filepath.Join(folder, e.Name()))
		}
	}
	return out
}

// TestFullDisk: files that may not grow past some kilobytes, as on a full disk, end
// the run with a message; what was there before stays whole, and nothing is left
// beside it.
func TestFullDisk(t *testing.T) {
	if testing.Short() {
		t.Skip("starts the command some times")
	}
	if _, err := exec.LookPath("bash"); err != nil {
		t.Skip("needs bash to bound the size of files")
	}
	folder, args := plannedFolder(t)
	before := contentsOf(t, filepath.Join(folder, "out"))
	for _, kB := range []int{0, 1, 4, 16, 60} {
		// SIGXFSZ is ignored, so that writing fails with an error as it does on a full disk.
		script := fmt.Sprintf(`trap '' XFSZ; ulimit -f %d; exec "$0" "$@" --seed 2`, kB)
		cmd := exec.CommandContext(t.Context(), "bash", append([]string{"-c", script, os.Args[0]}, args...)...)
		cmd.Dir, cmd.Env = folder, append(os.Environ(), asCommand+"=1")
		out, err := cmd.CombinedOutput()
		var failed *exec.ExitError
		require.True(t, errors.As(err, &failed), "%d kB: %s", kB, out)
		require.Equal(t, exitFailed, failed.ExitCode(), "%d kB: %s", kB, out)
		require.Contains(t, string(out), "file too large", "%d kB", kB)
		require.NotContains(t, string(out), "panic")
		after := contentsOf(t, filepath.Join(folder, "out"))
		for name := range after {
			require.True(t, isWhole(t, filepath.Join(folder, "out", name)), name)
			require.NotContains(t, name, ".tmp")
		}
		for name := range before {
			require.Contains(t, after, name, "nothing that was there is lost")
		}
	}
	require.NoError(t, startCommand(t, folder, args...).Wait())
	for name, text := range contentsOf(t, filepath.Join(folder, "out")) {
		if name != "visits.ics" && name != "bloomgap-files.json" { // a calendar counts its changes, and the record has its hash
			require.True(t, before[name] == text, "%s: the next run writes what the first did", name)
		}
	}
}

// TestReadOnlyFolder: a folder that may not be written to is told of before any
// work is done. Root may write anywhere, so there it is run as nobody.
func TestReadOnlyFolder(t *testing.T) {
	if os.Geteuid() == 0 {
		if _, err := exec.LookPath("setpriv"); err != nil {
			t.Skip("root may write anywhere, and setpriv is not there to be someone else")
		}
	}
	folder := t.TempDir()
	open, err := os.MkdirTemp("", "bloomgap-test") // every part of its path may be entered
	require.NoError(t, err)
	t.Cleanup(func() { _ = os.RemoveAll(open) })
	program := filepath.Join(open, "bloomgap")
	b, err := os.ReadFile(os.Args[0])
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(program, b, 0o755))
	require.NoError(t, os.Chmod(open, 0o755))
	locked := filepath.Join(open, "locked")
	require.NoError(t, os.Mkdir(locked, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(locked, "plan.html"), []byte("mine"), 0o644))
	require.NoError(t, os.Chmod(locked, 0o555))
	t.Cleanup(func() { _ = os.Chmod(locked, 0o755) })
	for _, to := range [][]string{{"--out", "locked"}, {"--report", "locked/plan.html", "--force"}, {"--charts", "locked/pictures"}} {
		call := append([]string{program, "demo", "--members", "50"}, to...)
		if os.Geteuid() == 0 {
			call = append([]string{"setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"}, call...)
		}
		cmd := exec.CommandContext(t.Context(), call[0], call[1:]...)
		cmd.Dir, cmd.Env = open, append(os.Environ(), asCommand+"=1", "HOME="+folder)
		out, err := cmd.CombinedOutput()
		var failed *exec.ExitError
		require.True(t, errors.As(err, &failed), "%v: %s", to, out)
		require.Equal(t, exitFailed, failed.ExitCode(), "%v: %s", to, out)
		require.Contains(t, string(out), "cannot be written: writing there is not allowed", to)
		require.Contains(t, string(out), "locked", to)
	}
	require.Equal(t, map[string]string{"plan.html": "mine"}, contentsOf(t, locked))
}

// TestTwoRunsIntoOneFolder: of runs that write into one folder at once each ends
// well or says that another is at work, and the files are those of one run.
func TestTwoRunsIntoOneFolder(t *testing.T) {
	if testing.Short() {
		t.Skip("starts the command some times")
	}
	folder, args := plannedFolder(t)
	type end struct {
		code int
		errs string
	}
	ends := make(chan end)
	const runs = 6
	for seed := range runs {
		go func() {
			cmd := exec.CommandContext(context.WithoutCancel(t.Context()), os.Args[0], append(args, "--seed", fmt.Sprint(seed+10))...)
			cmd.Dir, cmd.Env = folder, append(os.Environ(), asCommand+"=1")
			var errs bytes.Buffer
			cmd.Stderr = &errs
			_ = cmd.Run()
			ends <- end{cmd.ProcessState.ExitCode(), errs.String()}
		}()
	}
	well := 0
	for range runs {
		switch e := <-ends; e.code {
		case exitOK:
			well++
		default:
			require.Equal(t, exitFailed, e.code, e.errs)
			require.Contains(t, e.errs, "another run of bloomgap", "it says why")
		}
	}
	require.Positive(t, well)
	for name := range contentsOf(t, filepath.Join(folder, "out")) {
		require.True(t, isWhole(t, filepath.Join(folder, "out", name)), name)
	}
	require.NoError(t, startCommand(t, folder, args...).Wait(), "nothing that was left stands in the way")
}

// TestStoppedAtRandomMoments interrupts a plan at random moments: it ends within a
// short time, and what it had written is whole.
func TestStoppedAtRandomMoments(t *testing.T) {
	moments := rand.New(rand.NewPCG(5, 6))
	worst := time.Duration(0)
	for range killings() {
		ctx, cancel := context.WithCancel(t.Context())
		var out, errs bytes.Buffer
		ended := make(chan int, 1)
		go func() { ended <- run(ctx, []string{"demo", "--members", "4000", "--json"}, testConsole(&out, &errs)) }()
		time.Sleep(time.Duration(moments.Float64() * float64(400*time.Millisecond)))
		asked := time.Now()
		cancel()
		code := <-ended
		worst = max(worst, time.Since(asked))
		require.Contains(t, []int{exitInterrupted, exitOK}, code)
		if code == exitInterrupted {
			require.Empty(t, out.String())
		}
	}
	t.Logf("the longest wait was %v", worst)
	require.Less(t, worst, 2*time.Second, "on a loaded machine; 50 ms are aimed at")
}

// writerFunc is a writer that is a function.
type writerFunc func(b []byte) (int, error)

func (f writerFunc) Write(b []byte) (int, error) { return f(b) }

// TestInputChangedMeanwhile changes a table while the plan is made, when a note on the
// springs is printed before any colony is planned: it is told, and the plan is that of the
// table as it was read.
func TestInputChangedMeanwhile(t *testing.T) {
	t.Chdir(t.TempDir())
	for name, text := range plainSeason() {
		writeAll(t, name, text)
	}
	yards := readAll(t, "s/yards.csv")
	farther := strings.Replace(yards, ",-72.9,", ",-75.9,", 1)
	require.NotEqual(t, yards, farther)
	writeAll(t, "s/yards.csv", farther)
	table := readAll(t, "s/colonies.csv")
	plan := func(change func()) (out, said string) {
		var printed, errs bytes.Buffer
		changed := false
		c := testConsole(&printed, writerFunc(func(b []byte) (int, error) {
			if !changed {
				changed = true
				change()
			}
			return errs.Write(b)
		}))
		require.Equal(t, exitOK, run(t.Context(), []string{"plan", "s", "--members", "50", "--json"}, c), errs.String())
		require.True(t, changed, "a note was printed")
		return printed.String(), errs.String()
	}
	before, said := plan(func() {})
	require.NotContains(t, said, "changed while")
	for name, change := range map[string]func(){
		"longer": func() { writeAll(t, "s/colonies.csv", table+"\n") },
		"as long, later": func() {
			require.NoError(t, os.Chtimes("s/colonies.csv", time.Now(), time.Now().Add(time.Hour)))
		},
		"gone": func() { require.NoError(t, os.Remove("s/colonies.csv")) },
	} {
		writeAll(t, "s/colonies.csv", table)
		out, said := plan(change)
		require.Contains(t, said, "warning: "+filepath.Join("s", "colonies.csv")+" was changed while the plan was made; run it again\n", name)
		require.Equal(t, before, out, name)
	}
}
