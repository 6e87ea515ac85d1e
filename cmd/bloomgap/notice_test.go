package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/golden"
)

// linkedModule is a module that stands in the program on some system.
type linkedModule struct {
	Path, Version, Dir string
	Main               bool
	licence            string   // in a word or two
	texts              []string // of its files of licence
}

// linkedModules asks the go command what is linked on the three usual systems.
func linkedModules(t *testing.T) []linkedModule {
	t.Helper()
	seen := map[string]linkedModule{}
	for _, system := range []string{"linux", "darwin", "windows"} {
		cmd := exec.CommandContext(t.Context(), "go", "list", "-deps", "-f", `{{with .Module}}{"Path":"{{.Path}}","Version":"{{.Version}}","Dir":{{printf "%q" .Dir}},"Main":{{.Main}}}{{end}}`, ".")
		cmd.Env = append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
		out, err := cmd.Output()
		require.NoError(t, err, system)
		for line := range strings.Lines(string(out)) {
			if strings.TrimSpace(line) == "" {
				continue
			}
			var m linkedModule
			require.NoError(t, json.Unmarshal([]byte(line), &m), line)
			if !m.Main {
				seen[m.Path] = m
			}
		}
	}
	var all []linkedModule
	for _, m := range seen {
		m.readLicence(t)
		all = append(all, m)
	}
	slices.SortFunc(all, func(a, b linkedModule) int { return cmp.Compare(a.Path, b.Path) })
	return all
}

var licenceFile = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice)`)

// readLicence finds the files of licence of a module: those at its top, and those
// of the folders that it keeps others' licences in.
func (m *linkedModule) readLicence(t *testing.T) {
	t.Helper()
	for _, pattern := range []string{"*", "THIRD_PARTY_LICENSES/*", "licenses/ftl.txt"} {
		files, err := filepath.Glob(filepath.Join(m.Dir, pattern))
		require.NoError(t, err)
		for _, f := range files {
			st, err := os.Stat(f)
			require.NoError(t, err)
			if st.IsDir() || pattern == "*" && !licenceFile.MatchString(filepath.Base(f)) {
				continue
			}
			b, err := os.ReadFile(f)
			require.NoError(t, err)
			text := tidyText(string(b))
			m.texts = append(m.texts, text)
			if name := licenceName(text); name != "" && !strings.Contains(m.licence, name) {
				m.licence = strings.TrimPrefix(m.licence+", "+name, ", ")
			}
		}
	}
}

// tidyText has no spaces at the ends of lines and one line break at its own.
func tidyText(s string) string {
	var lines []string
	for line := range strings.SplitSeq(strings.ReplaceAll(s, "\r\n", "\n"), "\n") {
		lines = append(lines, strings.TrimRight(line, " \t\f"))
	}
	return strings.Trim(strings.Join(lines, "\n"), "\n")
}

// licenceName tells the kind of a licence by words that only it holds.
func licenceName(text string) string {
	flat := strings.Join(strings.Fields(text), " ")
	for _, k := range []struct{ words, name string }{
		{"Creative Commons Attribution 4.0 International Public License", "CC-BY-4.0"},
		{"SIL OPEN FONT LICENSE Version 1.1", "OFL-1.1"},
		{"The FreeType Project LICENSE", "FTL"},
		{"Apache License Version 2.0", "Apache-2.0"},
		{"Boost Software License - Version 1.0", "BSL-1.0"},
		{"Permission is hereby granted, free of charge, to any person obtaining a copy", "MIT"},
		{"Neither the name", "BSD-3-Clause"},
		{"may not be used to endorse or promote", "BSD-3-Clause"},
		{"Redistributions of source code must retain", "BSD-2-Clause"},
	} {
		if strings.Contains(flat, k.words) {
			return k.name
		}
	}
	return ""
}

// noticeText is the file of notices: what is linked, its licence, and each text
// once.
func noticeText(mods []linkedModule, golang string) string {
	var b strings.Builder
	b.WriteString(`# Licences of what is built into bloomgap

bloomgap itself is under the MIT licence. The program also holds the modules below, each under its own licence; their texts follow. Where a module
offers a choice, the first one named is taken. ` + "`bloomgap about --notices`" + ` prints this.

Weather figures of the built-in climates are worked out from open records of NOAA (U.S. Government work), Environment and Climate Change Canada (contains
information licensed under the Open Government Licence - Canada), MeteoSwiss (Source: MeteoSwiss) and Deutscher Wetterdienst (CC BY 4.0).

| module | version | licence |
|---|---|---|
`)
	for _, m := range mods {
		fmt.Fprintf(&b, "| %s | %s | %s |\n", m.Path, m.Version, m.licence)
	}
	fmt.Fprintf(&b, "| the standard library of Go | as the program says with --version | BSD-3-Clause |\n")
	mods = append(slices.Clone(mods), linkedModule{Path: "the standard library of Go", texts: []string{golang}})
	var order []string
	of := map[string][]string{}
	for _, m := range mods {
		for _, text := range m.texts {
			if len(of[text]) == 0 {
				order = append(order, text)
			}
			of[text] = append(of[text], m.Path)
		}
	}
	for _, text := range order {
		fmt.Fprintf(&b, "\n## %s\n\n", strings.Join(of[text], ", "))
		b.WriteString("```text\n" + text + "\n```\n")
	}
	return b.String()
}

// TestNoticesAreComplete writes the file of notices anew from the modules that
// are linked, and compares.
func TestNoticesAreComplete(t *testing.T) {
	mods := linkedModules(t)
	require.Greater(t, len(mods), 20)
	kinds := map[string]int{}
	for _, m := range mods {
		require.NotEmpty(t, m.texts, "%s has no file of licence", m.Path)
		require.NotEmpty(t, m.licence, "the licence of %s is of no known kind: add it to licenceName", m.Path)
		for kind := range strings.SplitSeq(m.licence, ", ") {
			kinds[kind]++
		}
	}
	require.Positive(t, kinds["CC-BY-4.0"])
	require.Positive(t, kinds["Apache-2.0"])
	root, err := exec.CommandContext(t.Context(), "go", "env", "GOROOT").Output()
	require.NoError(t, err)
	golang, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "LICENSE"))
	if os.IsNotExist(err) { // some systems keep it elsewhere: the network package of Go has the same text
		i := slices.IndexFunc(mods, func(m linkedModule) bool { return m.Path == "golang.org/x/net" })
		require.GreaterOrEqual(t, i, 0)
		golang, err = []byte(mods[i].texts[0]), nil
	}
	require.NoError(t, err)
	golden.Equal(t, "NOTICE.md", []byte(noticeText(mods, tidyText(string(golang)))))
}

func TestLicenceNames(t *testing.T) {
	for words, want := range map[string]string{
		"Apache License\n Version 2.0, January 2004":                                    "Apache-2.0",
		"Permission is hereby granted, free of charge, to any person obtaining a\ncopy": "MIT",
		"All rights reserved": "",
	} {
		require.Equal(t, want, licenceName(words))
	}
}

// TestDirectModulesAreUsed asserts that the libraries chosen for a purpose are
// imported by name for it, not kept for the sake of the list.
func TestDirectModulesAreUsed(t *testing.T) {
	imports := map[string]int{}
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") {
			return err
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for _, m := range regexp.MustCompile(`(?m)^\s*(?:import )?(_ |\. |[a-z]\w* )?"([^"\s]+)"$`).FindAllStringSubmatch(string(b), -1) {
			if m[1] != "_ " {
				imports[m[2]]++
			}
		}
		return nil
	})
	require.NoError(t, err)
	for _, c := range []struct{ prefix, what string }{
		{"gonum.org/v1/gonum/stat", "statistics"},
		{"gonum.org/v1/gonum/", "numerics"},
		{"gonum.org/v1/plot", "charts"},
		{"github.com/spf13/cobra", "commands"},
		{"github.com/stretchr/testify/require", "tests"},
	} {
		used := 0
		for path, n := range imports {
			if path == c.prefix || strings.HasPrefix(path, strings.TrimSuffix(c.prefix, "/")+"/") {
				used += n
			}
		}
		require.Positive(t, used, "%s is not imported for %s", c.prefix, c.what)
	}
}
