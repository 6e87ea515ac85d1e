package main

import (
	"encoding/xml"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// killings is how often a run is killed at a random moment; BLOOMGAP_LONG=1 does
// fifty.
func killings() int {
	if os.Getenv("BLOOMGAP_LONG") != "" {
		return 50
	}
	return 3
}

// startCommand starts the command as a process of its own.
func startCommand(t *testing.T, folder string, args ...string) *exec.Cmd {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), os.Args[0], args...)
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), asCommand+"=1")
	require.NoError(t, cmd.Start())
	return cmd
}

// TestKilledWhileWriting kills a run at random moments: each file is whole or not
// there, nothing of the keeper's is touched, and the next run goes through and
// clears what was left.
func TestKilledWhileWriting(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the command some times over")
	}
	t.Parallel()
	folder := t.TempDir()
	args := []string{"demo", "--members", "50", "--out", "plan", "--charts", "plan", "--report", "plan.html"}
	require.NoError(t, os.WriteFile(filepath.Join(folder, "mine.txt"), []byte("mine"), 0o600))
	start := time.Now()
	require.NoError(t, startCommand(t, folder, args...).Wait())
	whole := time.Since(start)
	moments, litter := rand.New(rand.NewPCG(1, 2)), 0
	for range killings() {
		cmd := startCommand(t, folder, args...)
		time.Sleep(time.Duration(moments.Float64() * float64(whole)))
		_ = cmd.Process.Kill() // it may have ended already
		_ = cmd.Wait()
		for _, path := range allFiles(t, folder) {
			require.True(t, isWhole(t, path), path)
		}
		litter = max(litter, len(litterIn(t, folder)))
		require.LessOrEqual(t, litter, mostLitter, "what killed runs leave does not pile up")
	}
	t.Logf("%d killed; at most %d half-written files lay about, under names of their own", killings(), litter)
	require.NoError(t, startCommand(t, folder, args...).Wait(), "what a killed run left does not stand in the way")
	require.Empty(t, litterIn(t, folder))
	mine, err := os.ReadFile(filepath.Join(folder, "mine.txt"))
	require.NoError(t, err)
	require.Equal(t, "mine", string(mine))
}

// mostLitter is the most half-written files that may lie in a folder: each run clears those of
// the one before, and writes as many at once as there are cores, and some that finish.
const mostLitter = 32

// litterIn lists the half-written files in a folder and those in it.
func litterIn(t *testing.T, folder string) []string {
	t.Helper()
	var out []string
	for _, pattern := range []string{".bloomgap-*", "*/.bloomgap-*", "*.tmp", "*/*.tmp"} {
		list, err := filepath.Glob(filepath.Join(folder, pattern))
		require.NoError(t, err)
		out = append(out, list...)
	}
	return out
}

func allFiles(t *testing.T, folder string) []string {
	t.Helper()
	var out []string
	for _, pattern := range []string{"*", "*/*"} {
		list, err := filepath.Glob(filepath.Join(folder, pattern))
		require.NoError(t, err)
		for _, path := range list {
			if info, err := os.Stat(path); err == nil && !info.IsDir() && !strings.HasSuffix(path, ".tmp") {
				out = append(out, path)
			}
		}
	}
	return out
}

// isWhole tells whether a file reads to its end, by what stands there in each
// kind of file.
func isWhole(t *testing.T, path string) bool {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	text := strings.TrimSpace(string(b))
	switch filepath.Ext(path) {
	case ".html":
		return strings.HasSuffix(text, "</html>")
	case ".json":
		return strings.HasSuffix(text, "}")
	case ".ics":
		return strings.HasSuffix(text, "END:VCALENDAR")
	case ".svg":
		dec := xml.NewDecoder(strings.NewReader(text))
		for {
			if _, err := dec.Token(); err != nil {
				return err == io.EOF
			}
		}
	}
	return text != ""
}

// TestInterruptedWhileWriting does the same with the signal of Ctrl-C, which the
// command answers at once and cleanly.
func TestInterruptedWhileWriting(t *testing.T) {
	if testing.Short() {
		t.Skip("runs the command some times over")
	}
	t.Parallel()
	program := filepath.Join(t.TempDir(), "bloomgap")
	out, err := exec.CommandContext(t.Context(), "go", "build", "-o", program, ".").CombinedOutput()
	require.NoError(t, err, string(out))
	moments := rand.New(rand.NewPCG(3, 4))
	for range killings() {
		folder := t.TempDir()
		cmd := exec.CommandContext(t.Context(), program, "demo", "--members", "2000", "--out", "plan", "--charts", "plan", "--report", "plan.html")
		cmd.Dir = folder
		require.NoError(t, cmd.Start())
		time.Sleep(time.Duration(moments.Float64() * float64(3*time.Second)))
		asked := time.Now()
		_ = cmd.Process.Signal(syscall.SIGINT)
		err := cmd.Wait()
		took := time.Since(asked)
		if err != nil {
			require.Equal(t, exitInterrupted, cmd.ProcessState.ExitCode(), "%v", err)
		}
		require.Less(t, took, 3*time.Second, "a loaded machine and all")
		for _, path := range allFiles(t, folder) {
			require.True(t, isWhole(t, path), path)
		}
		left, err := filepath.Glob(filepath.Join(folder, "*", ".bloomgap-*"))
		require.NoError(t, err)
		require.Empty(t, left)
	}
}
