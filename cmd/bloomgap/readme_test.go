package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/golden"
)

// readmeFile is the README, from this package's folder.
const readmeFile = "../../README.md"

// TestReadme runs what the README shows. In its blocks marked console or sh, a
// line that begins with "$ " is a command, and the lines under it are what it
// prints. A line "..." stands for any number of lines; a command with nothing
// under it may print anything. Blocks marked "csv FILE" or "toml FILE" are
// written to that file. All run one after the other in one new folder, on 20
// March 2027.
func TestReadme(t *testing.T) {
	text, err := os.ReadFile(readmeFile)
	if errors.Is(err, os.ErrNotExist) {
		t.Skipf("%s is not there", readmeFile)
	}
	require.NoError(t, err)
	steps, err := readmeSteps(string(text))
	require.NoError(t, err)
	require.NotEmpty(t, steps, "the README shows no command")
	readme, err := filepath.Abs(readmeFile)
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	ran := 0
	shown := map[int][]string{} // by line of the command, what it prints now
	for _, s := range steps {
		if s.file != "" {
			require.NoError(t, os.MkdirAll(filepath.Dir(s.file), 0o755))
			require.NoError(t, os.WriteFile(s.file, []byte(strings.Join(s.shown, "\n")+"\n"), 0o600))
			continue
		}
		got, did, err := runReadme(s.command)
		require.NoError(t, err, "line %d: %s", s.line, s.command)
		if !did {
			continue
		}
		ran++
		if len(s.shown) > 0 && golden.Updating() {
			shown[s.line] = s.again(got)
		} else if len(s.shown) > 0 {
			require.NoError(t, sameOutput(s.shown, got), "line %d: %s", s.line, s.command)
		}
	}
	require.Positive(t, ran, "the README runs no bloomgap command")
	if !golden.Updating() {
		return
	}
	var out []string
	lines := strings.Split(string(text), "\n")
	for i, s := 0, 0; i < len(lines); i++ {
		out = append(out, lines[i])
		for s < len(steps) && steps[s].line < i+1 {
			s++
		}
		if again := shown[i+1]; again != nil {
			out = append(out, again...)
			i += len(steps[s].shown)
		}
	}
	require.NoError(t, os.WriteFile(readme, []byte(strings.Join(out, "\n")), 0o644))
}

// again is what a step shows when its output has changed: as many lines at the
// beginning as before, and behind a line "..." as many at the end.
func (s readmeStep) again(got string) []string {
	lines := strings.Split(strings.TrimRight(got, "\n"), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	first, last := slices.Index(s.shown, "..."), len(s.shown)
	if first < 0 {
		return lines
	}
	for s.shown[last-1] != "..." {
		last--
	}
	head, tail := min(first, len(lines)), min(len(s.shown)-last, len(lines))
	return slices.Concat(lines[:head], []string{"..."}, lines[len(lines)-tail:])
}

// readmeStep is a command with the output shown, or a file to write.
type readmeStep struct {
	line    int
	command string
	shown   []string
	file    string
}

// readmeSteps finds the steps of a README.
func readmeSteps(text string) ([]readmeStep, error) {
	var steps []readmeStep
	kind := "" // of the block that is open: "run", "file", "other"
	for i, line := range strings.Split(text, "\n") {
		trimmed := strings.TrimSpace(line)
		switch {
		case kind == "" && strings.HasPrefix(trimmed, "```"):
			words := strings.Fields(strings.TrimPrefix(trimmed, "```"))
			kind = "other"
			switch {
			case len(words) == 1 && slices.Contains([]string{"console", "sh"}, words[0]):
				kind = "run"
			case len(words) == 2 && slices.Contains([]string{"csv", "toml"}, words[0]):
				if !filepath.IsLocal(words[1]) {
					return nil, fmt.Errorf("line %d: %s lies outside the folder", i+1, words[1])
				}
				kind = "file"
				steps = append(steps, readmeStep{line: i + 1, file: words[1]})
			}
		case kind != "" && trimmed == "```":
			kind = ""
		case kind == "run" && strings.HasPrefix(line, "$ "):
			steps = append(steps, readmeStep{line: i + 1, command: strings.TrimPrefix(line, "$ ")})
		case kind == "file":
			steps[len(steps)-1].shown = append(steps[len(steps)-1].shown, line)
		case kind == "run" && len(steps) > 0 && steps[len(steps)-1].command != "":
			last := &steps[len(steps)-1]
			last.shown = append(last.shown, line)
		case kind == "run" && trimmed != "":
			return nil, fmt.Errorf("line %d: a block begins with output, not with a command: %s", i+1, line)
		}
	}
	if kind != "" {
		return nil, errors.New("a block is not closed")
	}
	return steps, nil
}

// notRun are beginnings of commands of a README that a test cannot run: they
// fetch or build, or are this very test.
func notRun() []string {
	return []string{"go test", "go build", "go install", "go vet", "git clone", "cd "}
}

// runReadme runs the bloomgap commands of one line, joined by &&. did is false
// for a line that is known and not run; any other word is an error.
func runReadme(line string) (out string, did bool, err error) {
	var all bytes.Buffer
	for part := range strings.SplitSeq(line, "&&") {
		words, err := splitWords(part)
		if err != nil {
			return "", false, err
		}
		for len(words) > 0 && strings.Contains(words[0], "=") && !strings.HasPrefix(words[0], "-") {
			words = words[1:] // a variable of the environment
		}
		plain := strings.Join(words, " ")
		switch {
		case len(words) > 0 && words[0] == "bloomgap":
			words = words[1:]
		case len(words) > 3 && strings.HasPrefix(plain, "go run ./cmd/bloomgap "):
			words = words[3:]
		case slices.ContainsFunc(notRun(), func(begin string) bool { return strings.HasPrefix(plain+" ", begin) }):
			continue
		default:
			return "", false, fmt.Errorf("the test does not know how to run %q", plain)
		}
		did = true
		to := ""
		if i := slices.Index(words, ">"); i >= 0 {
			if i != len(words)-2 || !filepath.IsLocal(words[i+1]) {
				return "", true, errors.New("> must come last but one and name a file of the folder")
			}
			to, words = words[i+1], words[:i]
		}
		var o bytes.Buffer
		errs := &all
		c := testConsole(&all, errs)
		if to != "" {
			c.out = &o
		}
		if code := run(context.Background(), words, c); code != exitOK {
			return all.String(), true, fmt.Errorf("exit code %d:\n%s", code, all.String())
		}
		if to != "" {
			if err := os.WriteFile(to, o.Bytes(), 0o600); err != nil {
				return "", true, err
			}
		}
	}
	return all.String(), did, nil
}

// splitWords splits a line as a shell does, with quotes and backslashes.
func splitWords(line string) ([]string, error) {
	var words []string
	var word strings.Builder
	quote, in, escaped := rune(0), false, false
	for _, c := range line {
		switch {
		case escaped:
			word.WriteRune(c)
			escaped = false
		case c == '\\' && quote != '\'':
			escaped, in = true, true
		case quote != 0 && c == quote:
			quote = 0
		case quote != 0:
			word.WriteRune(c)
		case c == '"' || c == '\'':
			quote, in = c, true
		case c == ' ' || c == '\t':
			if in {
				words = append(words, word.String())
				word.Reset()
				in = false
			}
		case c == '#' && !in:
			return words, nil
		default:
			word.WriteRune(c)
			in = true
		}
	}
	if quote != 0 || escaped {
		return nil, fmt.Errorf("a quotation mark or backslash is left open in %q", line)
	}
	if in {
		words = append(words, word.String())
	}
	return words, nil
}

// sameOutput compares what is shown with what was printed. Spaces at the end of
// a line and blank lines at either end do not matter.
func sameOutput(shown []string, got string) error {
	want, have := trimLines(shown), trimLines(strings.Split(got, "\n"))
	at, skipping := 0, false
	for _, w := range want {
		if w == "..." {
			skipping = true
			continue
		}
		if skipping {
			i := slices.Index(have[at:], w)
			if i < 0 {
				return fmt.Errorf("no line %q from line %d on in:\n%s", w, at+1, strings.Join(have, "\n"))
			}
			at, skipping = at+i+1, false
			continue
		}
		if at >= len(have) {
			return fmt.Errorf("the output ends before %q:\n%s", w, strings.Join(have, "\n"))
		}
		if have[at] != w {
			return fmt.Errorf("line %d of the output is\n%s\nand the README shows\n%s\nwhole output:\n%s", at+1, have[at], w, strings.Join(have, "\n"))
		}
		at++
	}
	if at < len(have) && !skipping {
		return fmt.Errorf("the output goes on after what is shown: %q; end the block with ... to cut it", have[at])
	}
	return nil
}

func trimLines(lines []string) []string {
	var out []string
	for _, l := range lines {
		out = append(out, strings.TrimRight(l, " \t\r"))
	}
	for len(out) > 0 && out[0] == "" {
		out = out[1:]
	}
	for len(out) > 0 && out[len(out)-1] == "" {
		out = out[:len(out)-1]
	}
	return out
}

func TestReadmeSteps(t *testing.T) {
	steps, err := readmeSteps("# Title\n```sh\n$ go test ./...\n```\ntext\n```csv a/b.csv\nx,y\n1,2\n```\n```console\n$ bloomgap demo\none\n\n...\n$ bloomgap plan x\n```\n```go\n$ not a command\n```\n")
	require.NoError(t, err)
	require.Equal(t, []readmeStep{
		{line: 3, command: "go test ./..."},
		{line: 6, file: "a/b.csv", shown: []string{"x,y", "1,2"}},
		{line: 11, command: "bloomgap demo", shown: []string{"one", "", "..."}},
		{line: 15, command: "bloomgap plan x"},
	}, steps)
	for text, want := range map[string]string{
		"```console\nfoo\n```\n":        "line 2: a block begins with output, not with a command: foo",
		"```console\n$ bloomgap demo\n": "a block is not closed",
		"```csv ../x.csv\n1\n```\n":     "line 1: ../x.csv lies outside the folder",
	} {
		_, err := readmeSteps(text)
		require.EqualError(t, err, want)
	}
}

func TestSameOutput(t *testing.T) {
	const got = "\none\ntwo  \nthree\nfour\n\n"
	for _, c := range []struct {
		name  string
		shown []string
		same  bool
	}{
		{"all of it", []string{"one", "two", "three", "four"}, true},
		{"the middle left out", []string{"one", "...", "four"}, true},
		{"cut at the end", []string{"one", "two", "..."}, true},
		{"cut at the start", []string{"...", "four"}, true},
		{"only the end shown, nothing elided", []string{"three", "four"}, false},
		{"a line differs", []string{"one", "2", "three", "four"}, false},
		{"a line is missing", []string{"one", "three", "four"}, false},
		{"the output goes on", []string{"one", "two"}, false},
		{"a line that does not come", []string{"one", "...", "five"}, false},
		{"in the wrong order", []string{"...", "three", "...", "two", "..."}, false},
		{"more than there is", []string{"one", "two", "three", "four", "five"}, false},
	} {
		err := sameOutput(c.shown, got)
		require.Equal(t, c.same, err == nil, "%s: %v", c.name, err)
	}
}

func TestRunReadme(t *testing.T) {
	t.Chdir(t.TempDir())
	out, did, err := runReadme(`bloomgap init "my spring" && go run ./cmd/bloomgap climates > list.txt`)
	require.NoError(t, err)
	require.True(t, did)
	require.Contains(t, out, "Wrote a starter season")
	require.NotContains(t, out, "Farnham", "it went to the file")
	list, err := os.ReadFile("list.txt")
	require.NoError(t, err)
	require.Contains(t, string(list), "Farnham")
	require.DirExists(t, "my spring")

	for _, known := range []string{"go test ./...", "BLOOMGAP_REFERENCE=/data go test ./...", "go install ./cmd/bloomgap", "git clone URL && cd bloomgap"} {
		_, did, err := runReadme(known)
		require.NoError(t, err, known)
		require.False(t, did, "%s must not be run by the test", known)
	}
	for bad, want := range map[string]string{
		"rm -r x":                  `the test does not know how to run "rm -r x"`,
		"bloomgap nonsense":        "exit code 2:",
		"bloomgap plan nowhere":    "exit code 3:",
		`bloomgap demo "`:          "a quotation mark or backslash is left open",
		"bloomgap climates > ../x": "> must come last but one and name a file of the folder",
	} {
		_, _, err := runReadme(bad)
		require.ErrorContains(t, err, want, bad)
	}
}

// TestReadmeListsTheCommands holds the table of commands to the groups of the
// help: the same commands, in the same order of groups.
func TestReadmeListsTheCommands(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile(readmeFile)
	require.NoError(t, err)
	var rows []string
	for line := range strings.Lines(string(text)) {
		if strings.HasPrefix(line, "| `") {
			rows = append(rows, line)
		}
	}
	groups := commandGroups(testConsole(&bytes.Buffer{}, &bytes.Buffer{}))
	require.Len(t, rows, len(groups), "a row for each group")
	name := regexp.MustCompile("`([a-z]+)( [a-z]+)?`")
	for i, g := range groups {
		var want, got []string
		for _, cmd := range g.commands {
			want = append(want, cmd.Name())
		}
		cell := strings.Split(rows[i], "|")[1]
		for _, m := range name.FindAllStringSubmatch(cell, -1) {
			if !slices.Contains(got, m[1]) {
				got = append(got, m[1])
			}
		}
		if g.id == groupProgram {
			want = append(want, "completion")
		}
		require.Equal(t, want, got, rows[i])
	}
}

// TestProseIsNarrow keeps the lines of the documents to a width that every editor
// shows.
func TestProseIsNarrow(t *testing.T) {
	t.Parallel()
	for _, file := range []string{readmeFile, "../../DEVELOPERS.md", "CHANGELOG.md"} {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		n := 0
		for line := range strings.Lines(string(text)) {
			n++
			if strings.HasPrefix(line, "$ ") || strings.HasPrefix(line, "| ") {
				continue // a command is copied whole, a row of a table cannot be broken
			}
			require.LessOrEqual(t, len([]rune(strings.TrimRight(line, "\n"))), 160, "%s:%d", file, n)
		}
	}
}
