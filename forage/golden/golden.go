// Package golden compares what tests make with files that are kept under
// testdata, and writes those files anew when a test runs with -update. Only tests
// import it.
package golden

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the files that tests compare with anew")

// Updating tells whether the files are written anew.
func Updating() bool { return *update }

// Equal fails a test whose bytes are not those of the file at path, and shows the
// first line that differs. With -update it writes the file instead.
func Equal(t testing.TB, path string, got []byte) {
	t.Helper()
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v: run this test with -update to write it", err)
	}
	if bytes.Equal(want, got) {
		return
	}
	t.Fatalf("%s is out of date (run this test with -update and read what changed):\n%s", path, firstDifference(string(want), string(got)))
}

// firstDifference shows where two texts part.
func firstDifference(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range min(len(w), len(g)) {
		if w[i] != g[i] {
			return fmt.Sprintf("line %d was\n%s\nand is\n%s", i+1, w[i], g[i])
		}
	}
	return fmt.Sprintf("it had %d lines and has %d", len(w), len(g))
}
