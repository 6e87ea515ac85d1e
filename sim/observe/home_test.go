package observe

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// figure is a constant that sounds like what a reading is worth: what a bee, a
// comb, a seam or a box weighs or holds, and how far off an eye or a scale is.
var figure = regexp.MustCompile(`(?i)^\s*(?:const\s+)?(\w*(?:bee|bees|brood|comb|frame|seam|heft|tare|scale|lift|pollen|bread)s?(?:kg|massg|cellg|logsd|sd|sdkg|sdshare|perseam))\s*(?:float64\s*)?=\s*[0-9]`)

// TestNoSecondHome reads the code of all rooms: such a figure stands here or in
// the catalogue of the colony model.
func TestNoSecondHome(t *testing.T) {
	elsewhere := map[string]string{
		"autumnBroodSD": "sim/check/stations.go: brood of the colonies of a published experiment, not of a look",
		"autumnBeesSD":  "the same, its bees",

		"mostBroodPerSeam": "feed/season/guards.go: from where a keeper is asked whether it is a slip, not what a look is worth",
	}
	here := 0
	root := "../.."
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(p, ".go") || strings.HasSuffix(p, "_test.go") {
			return err
		}
		text, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		inside := filepath.Dir(p) == filepath.Join(root, "sim/observe")
		for line := range strings.Lines(string(text)) {
			if m := figure.FindStringSubmatch(line); m != nil {
				if inside {
					here++
				} else if elsewhere[m[1]] == "" {
					t.Errorf("%s: %s belongs to this room: %s", p, m[1], strings.TrimSpace(line))
				}
			}
		}
		return nil
	})
	require.NoError(t, err)
	require.Greater(t, here, 5, "the figures of this room are found by the same words")
}
