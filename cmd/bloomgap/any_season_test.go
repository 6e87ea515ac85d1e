package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// anySeasons is how many seasons are made up; BLOOMGAP_LONG=1 makes many.
func anySeasons() int {
	if os.Getenv("BLOOMGAP_LONG") != "" {
		return 300
	}
	return 6
}

// anySeason writes tables of some colonies, seen in any of the ways there are, with any settings
// in their ranges.
func anySeason(rnd *rand.Rand) map[string]string {
	pick := func(list ...string) string { return list[rnd.IntN(len(list))] }
	files := plainSeason()
	files["s/settings.toml"] = fmt.Sprintf("today = 2027-03-%02d\nsprings = 12\ndraws = 4\nseed = %d\naccept_risk_percent = %.1f\nreserve_kg = %.1f\nstrength = %q\nlost_percent = %d\nwaste_percent = %d\n%s",
		10+rnd.IntN(11), rnd.IntN(1000), 0.5+25*rnd.Float64(), 8*rnd.Float64(), pick("choose", "1:1", "3:2", "2:1"), rnd.IntN(20), rnd.IntN(15),
		pick("", "bees_wanted_date = 2027-05-10\nbees_wanted = 20000\n"))
	files["s/equipment.csv"] = "yard,item,count,holds_l\n" + pick("", ",pail,2,4\n", ",tray,1,6\n,bag rim,9,\n", ",frame feeder,8,2\n")
	head, _, _ := strings.Cut(files["s/yards.csv"], "\n")
	files["s/yards.csv"] = head + "\n"
	for i, place := range []string{"45.3,-72.9,68,farnham", "49.8,9.9,270,auto"} {
		files["s/yards.csv"] += fmt.Sprintf("Yard %d,%s,2027-03-%02d,%d,,,,%s,,,,\n", i+1, place, 22+rnd.IntN(7), 5+rnd.IntN(16), pick("", "none", "good"))
	}
	head, _, _ = strings.Cut(files["s/colonies.csv"], "\n")
	files["s/colonies.csv"] = head + "\n"
	for i := range 3 {
		boxes := 1 + rnd.IntN(2)
		food := make([]string, 6) // gross, back, left, right, heft, frames
		stores := 1 + 9*rnd.Float64()
		gross := fmt.Sprintf("%.1f", 6.5+7.4*float64(boxes)+2.5+stores)
		switch rnd.IntN(5) {
		case 0:
			food[0] = gross
		case 1:
			kg, _ := strconv.ParseFloat(gross, 64)
			food[1] = fmt.Sprintf("%.1f", 0.45*kg)
		case 2:
			food[4] = pick("light", "fair", "heavy")
		case 3:
			food[5] = fmt.Sprintf("%.1f", stores/3)
		}
		files["s/colonies.csv"] += fmt.Sprintf("Yard %d,C%d,2027-03-%02d,yes,%d deep,,%s,%s,%s,%s,%s,%s,%s,%s,5,%s,,%s,,\n", 1+i%2, i, 1+rnd.IntN(9), boxes,
			pick("yes", "no"), food[0], food[1], food[2], food[3], food[4], food[5], pick("", "3", "6", "8.5"), pick("", "0", "1"), pick("", "", "1"))
	}
	return files
}

// holdsMost is the most that the ways to feed hold at once, L, by equipment of the yard or as usual.
var holdsMost = map[string]float64{"bag_on_bars": 4, "pail_over_cover": 6, "frame_feeder": 3.5, "tray_under_lid": 8, "entrance_jar": 1}

// TestAnySeasonIsPlannedSoundly: whatever the season, no figure of JSON or tables is not a number,
// shares are shares, no visit gives more than its feeders and blocks hold, feedings fall on
// visits, and the order of the rows changes nothing.
func TestAnySeasonIsPlannedSoundly(t *testing.T) {
	rnd := rand.New(rand.NewPCG(27, 3))
	planned := 0
	for n := range anySeasons() {
		t.Chdir(t.TempDir())
		files := anySeason(rnd)
		plan := func(files map[string]string) (string, int) {
			for name, text := range files {
				writeAll(t, name, text)
			}
			var out, errs bytes.Buffer
			code := run(t.Context(), []string{"plan", "s", "--members", "50", "--json", "--out", "out"}, testConsole(&out, &errs))
			require.Contains(t, []int{exitOK, exitInput}, code, "season %d: %s", n, errs.String())
			return out.String(), code
		}
		text, code := plan(files)
		if code != exitOK {
			continue // it is asked about
		}
		planned++
		soundPlan(t, []byte(text))
		withinFeeders(t, text, files["s/equipment.csv"])
		tables, err := filepath.Glob("out/*.csv")
		require.NoError(t, err)
		require.NotEmpty(t, tables)
		for _, name := range tables {
			rows, err := csv.NewReader(strings.NewReader(readAll(t, name))).ReadAll()
			require.NoError(t, err, name)
			for _, row := range rows {
				require.Len(t, row, len(rows[0]), name)
				for _, cell := range row {
					require.NotContains(t, []string{"NaN", "+Inf", "-Inf", "Inf"}, cell, "%s: %v", name, row)
				}
			}
		}
		lines := strings.Split(strings.TrimSuffix(files["s/colonies.csv"], "\n"), "\n")
		slices.Reverse(lines[1:])
		files["s/colonies.csv"] = strings.Join(lines, "\n") + "\n"
		lines = strings.Split(strings.TrimSuffix(files["s/yards.csv"], "\n"), "\n")
		slices.Reverse(lines[1:])
		files["s/yards.csv"] = strings.Join(lines, "\n") + "\n"
		again, _ := plan(files)
		require.Equal(t, sorted(t, text), sorted(t, again), "season %d: the order of rows changes nothing", n)
	}
	require.GreaterOrEqual(t, planned, anySeasons()/2, "most are planned, not asked about")
}

// withinFeeders fails for a feeding that no feeder holds, or that falls on no visit.
func withinFeeders(t *testing.T, text, equipment string) {
	t.Helper()
	var doc struct {
		Colonies []struct {
			Yard, Colony string
			Feedings     []struct {
				Date            string
				SyrupL, SolidKg float64
			}
			Policy struct {
				Feeders float64 `json:"feeders_at_a_time"`
				Blocks  float64 `json:"solid_blocks_at_a_time"`
			}
			Feeder struct{ Code string }
		}
		Yards []struct {
			Yard   string
			Visits []struct{ Date string }
		}
	}
	fields := strings.NewReplacer(`"syrup_l"`, `"SyrupL"`, `"solid_kg"`, `"SolidKg"`)
	require.NoError(t, json.Unmarshal([]byte(fields.Replace(text)), &doc))
	own := map[string]string{"pail_over_cover": ",pail,", "tray_under_lid": ",tray,", "frame_feeder": ",frame feeder,"}
	for _, c := range doc.Colonies {
		holds := holdsMost[c.Feeder.Code]
		if mark, ok := own[c.Feeder.Code]; ok {
			for line := range strings.Lines(equipment) {
				if strings.HasPrefix(line, mark) {
					cells := strings.Split(strings.TrimSpace(line), ",")
					v, err := strconv.ParseFloat(cells[3], 64)
					require.NoError(t, err)
					holds = v
				}
			}
		}
		for _, f := range c.Feedings {
			require.LessOrEqual(t, f.SyrupL, holds*max(1, c.Policy.Feeders)+1e-9, "%s %s, %s", c.Yard, c.Colony, c.Feeder.Code)
			require.LessOrEqual(t, f.SolidKg, 2.5*max(1, c.Policy.Blocks)+1e-9)
			require.True(t, f.SyrupL == 0 || f.SolidKg == 0)
			for _, y := range doc.Yards {
				if y.Yard == c.Yard {
					require.True(t, slices.ContainsFunc(y.Visits, func(v struct{ Date string }) bool { return v.Date == f.Date }), "%s %s on %s", c.Yard, c.Colony, f.Date)
				}
			}
		}
	}
}

// sorted is a plan with its yards by name.
func sorted(t *testing.T, text string) string {
	t.Helper()
	var doc map[string]any
	require.NoError(t, json.Unmarshal([]byte(text), &doc))
	yards, ok := doc["yards"].([]any)
	require.True(t, ok)
	slices.SortFunc(yards, func(a, b any) int { return strings.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
	delete(doc, "warnings") // they name places of the tables
	b, err := json.Marshal(doc)
	require.NoError(t, err)
	return string(b)
}
