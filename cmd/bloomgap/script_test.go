package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/rogpeppe/go-internal/testscript"

	"bloomgap/plots/terminal"
)

// testDay is the day of the clock in all tests of the command.
func testDay() time.Time { return time.Date(2027, time.March, 20, 9, 30, 0, 0, time.UTC) }

// testConsole is a console off a terminal with a clock that stands still.
func testConsole(out, errs io.Writer) *console {
	return &console{in: strings.NewReader(""), out: out, errs: errs, getenv: func(string) string { return "" }, now: testDay}
}

// asCommand makes the test's own program the command, so that a test can start it
// and kill it.
const asCommand = "BLOOMGAP_TEST_AS_COMMAND"

func TestMain(m *testing.M) {
	if os.Getenv(asCommand) != "" {
		os.Exit(run(context.Background(), os.Args[1:], testConsole(os.Stdout, os.Stderr)))
	}
	testscript.Main(m, map[string]func(){
		"bloomgap": func() {
			c := testConsole(os.Stdout, os.Stderr)
			c.in = os.Stdin
			os.Exit(run(context.Background(), os.Args[1:], c))
		},
	})
}

// TestScripts runs the command as a user does. Beside the usual words of such
// scripts there are:
//
//	exit N bloomgap ARGS...   the exit code must be N
//	narrow                    no line of the last output is wider than 100 columns
//	json KEY VALUE            the last output is one JSON document, and KEY (a.0.b) is VALUE; VALUE may be * for anything
//	lines N TEXT              the last error output has N lines that hold TEXT
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                "testdata/script",
		RequireUniqueNames: true,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"exit": scriptExit, "narrow": scriptNarrow, "json": scriptJSON, "lines": scriptLines,
		},
		Setup: func(env *testscript.Env) error {
			env.Setenv("REFERENCE", os.Getenv("BLOOMGAP_REFERENCE"))
			return nil
		},
	})
}

func scriptExit(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exit N command args...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	var failed *exec.ExitError
	switch {
	case errors.As(err, &failed):
		got = failed.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

func scriptNarrow(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 0 {
		ts.Fatalf("usage: narrow")
	}
	text := ts.ReadFile("stdout")
	if strings.TrimSpace(text) == "" {
		ts.Fatalf("there is no output")
	}
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\n")
		if n := utf8.RuneCountInString(line); n > terminal.MinWidth {
			ts.Fatalf("%d columns: %s", n, line)
		}
		if strings.TrimRight(line, " ") != line {
			ts.Fatalf("spaces at the end of %q", line)
		}
	}
}

func scriptJSON(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: json key value")
	}
	dec := json.NewDecoder(strings.NewReader(ts.ReadFile("stdout")))
	dec.UseNumber()
	var doc any
	ts.Check(dec.Decode(&doc))
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		ts.Fatalf("something follows the document")
	}
	at := doc
	for _, key := range strings.Split(args[0], ".") {
		switch v := at.(type) {
		case map[string]any:
			next, ok := v[key]
			if !ok {
				ts.Fatalf("no key %q", key)
			}
			at = next
		case []any:
			i, err := strconv.Atoi(key)
			ts.Check(err)
			if i >= len(v) {
				ts.Fatalf("only %d entries at %q", len(v), args[0])
			}
			at = v[i]
		default:
			ts.Fatalf("nothing under %q", key)
		}
	}
	if got := fmt.Sprint(at); args[1] != "*" && got != args[1] {
		ts.Fatalf("%s is %s, want %s", args[0], got, args[1])
	}
}

func scriptLines(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: lines N text")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	for line := range strings.Lines(ts.ReadFile("stderr")) {
		if strings.Contains(line, args[1]) {
			got++
		}
	}
	if got != want {
		ts.Fatalf("%d lines hold %q, want %d", got, args[1], want)
	}
}

// call runs the command inside the test.
func call(t *testing.T, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(context.Background(), args, testConsole(&o, &e))
	return code, o.String(), e.String()
}

// reference is a file of the reference data; the test is skipped without it.
func reference(t *testing.T, name string) string {
	t.Helper()
	dir := os.Getenv("BLOOMGAP_REFERENCE")
	path := filepath.Join(dir, filepath.FromSlash(name))
	if dir == "" {
		t.Skipf("BLOOMGAP_REFERENCE is not set: %s is needed", name)
	}
	if _, err := os.Stat(path); err != nil {
		t.Skipf("%s is not there", path)
	}
	return path
}
