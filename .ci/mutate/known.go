package main

import (
	"bufio"
	"errors"
	"io/fs"
	"os"
	"strings"
)

// readKnown reads the survivors that were looked at: lines of the form
//
//   - KEY | same: why the change makes no difference to any answer
//   - KEY | open: why no test notices it
//
// Only changes marked same are left out of the share.
func readKnown(path string) (map[string]string, error) {
	out := map[string]string{}
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		rest, ok := strings.CutPrefix(lines.Text(), "- ")
		if i := strings.LastIndex(rest, " | "); ok && i > 0 {
			out[rest[:i]] = rest[i+3:]
		}
	}
	return out, lines.Err()
}
