package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// inventedYears writes weather and weights of two hives from 1 January 2022 to 30
// September 2024, by the day. All figures are invented: the weather is a cosine,
// the hives lose 60 g a day to mid April, gain 0.8 kg a day to the end of July and
// are harvested on 1 August.
func inventedYears(t *testing.T) {
	t.Helper()
	var air, hives strings.Builder
	air.WriteString("date,tmin_c,tmax_c,precip_mm\n")
	hives.WriteString("date,hive,weight_kg,temp\n")
	oak := 40.0
	for d := time.Date(2021, 12, 1, 0, 0, 0, 0, time.UTC); d.Year() < 2024 || d.Month() <= 9; d = d.AddDate(0, 0, 1) {
		doy := float64(d.YearDay())
		mean := 9 - 10*math.Cos(2*math.Pi*(doy-15)/365.25) + 3*math.Sin(doy/3+float64(d.Year()))
		fmt.Fprintf(&air, "%s,%.1f,%.1f,0\n", d.Format(time.DateOnly), mean-5, mean+6)
		if d.Year() == 2021 {
			continue
		}
		switch m := d.Month(); {
		case m == time.August && d.Day() == 1:
			oak = 40
		case m > time.April && m < time.August:
			oak += 0.8
		default:
			oak -= 0.06
		}
		for i, name := range []string{"oak", "ash"} {
			fmt.Fprintf(&hives, "%s,%s,%.2f,33.4\n", d.Format(time.DateOnly), name, oak-2*float64(i)+0.05*math.Sin(7*doy))
		}
	}
	require.NoError(t, os.WriteFile("air.csv", []byte(air.String()), 0o600))
	require.NoError(t, os.WriteFile("hives.csv", []byte(hives.String()), 0o600))
}

// TestHindcastOfWholeYears: a file of whole years, to 30 September, gives a run for
// each spring, each with its own bloom, which ends where the model ends, and the
// coverage of all together.
func TestHindcastOfWholeYears(t *testing.T) {
	t.Chdir(t.TempDir())
	inventedYears(t)
	code, out, errs := call(t, "hindcast", "hives.csv", "air.csv", "--lat", "49.8", "--lon", "9.9", "--members", "150")
	require.Equal(t, exitOK, code, errs)
	for _, year := range []string{"2022", "2023", "2024"} {
		require.Regexp(t, `Hive oak, .* to [0-9]+ (April|May) `+year, out)
	}
	require.Equal(t, 6, strings.Count(out, "Dependable nectar: first flower"))
	require.Equal(t, 6, strings.Count(strings.Join(strings.Fields(out), " "), "and the model goes no further"), "three springs of two hives")
	require.Contains(t, out, "All 6 springs of 2 hives together")
	require.Contains(t, errs, "366 weighings of August and September not used")
	require.NotContains(t, out, "later than 31 July")

	for _, to := range []string{"2022-07-31", "2022-09-30"} {
		code, out, errs := call(t, "hindcast", "hives.csv", "air.csv", "--lat", "49.8", "--lon", "9.9", "--members", "150", "--hive", "oak", "--from", "2022-01-02",
			"--to", to, "--json", "--chart", to+".svg")
		require.Equal(t, exitOK, code, errs)
		var doc hindcastDoc
		require.NoError(t, json.Unmarshal([]byte(out), &doc))
		require.Len(t, doc.Hives, 1)
		h := doc.Hives[0]
		require.Equal(t, h.Nectar[2], h.Last)
		require.Positive(t, h.Beyond)
		require.Less(t, float64(h.Days[len(h.Days)-1].P50Kg), 50.0, "no summer's flow is predicted")
	}
	code, _, errs = call(t, "hindcast", "hives.csv", "air.csv", "--lat", "49.8", "--from", "2022-07-01", "--to", "2022-09-30")
	require.Equal(t, exitInput, code)
	require.Contains(t, errs, "fewer than two weighings of 2022 lie before the bloom of dependable nectar")
}

// TestHindcastRefusesAHivesTemperature: the scale's own temperatures are those of
// the brood nest.
func TestHindcastRefusesAHivesTemperature(t *testing.T) {
	t.Chdir(t.TempDir())
	inventedYears(t)
	code, out, errs := call(t, "hindcast", "hives.csv", "--lat", "49.8")
	require.Equal(t, exitInput, code)
	require.Empty(t, out)
	require.Contains(t, errs, `hives.csv:1:4: the column "temp" has 33 C on average in January 2022`)
	require.Contains(t, errs, "it was taken inside the hive; name a weather record")
}

// TestHindcastWithOtherParameters: figures of the model may be given, and what
// bloomgap parameters writes is taken as it is.
func TestHindcastWithOtherParameters(t *testing.T) {
	t.Chdir(t.TempDir())
	inventedYears(t)
	run := func(extra ...string) string {
		code, out, errs := call(t, append([]string{"hindcast", "hives.csv", "air.csv", "--lat", "49.8", "--lon", "9.9", "--members", "150", "--hive", "oak",
			"--from", "2022-01-02", "--to", "2022-03-31"}, extra...)...)
		require.Equal(t, exitOK, code, errs)
		return out
	}
	_, all, _ := call(t, "parameters", "--csv")
	require.NoError(t, os.WriteFile("same.csv", []byte(all), 0o600))
	require.NoError(t, os.WriteFile("hot.csv", []byte("name,value\nheat_loss_w,0.16\n"), 0o600))
	usual := run()
	require.Equal(t, usual, run("--parameters", "same.csv"))
	require.NotEqual(t, usual, run("--parameters", "hot.csv"))
	require.NoError(t, os.WriteFile("bad.csv", []byte("name,value\nheat_lossw,0.16\n"), 0o600))
	code, _, errs := call(t, "hindcast", "hives.csv", "air.csv", "--lat", "49.8", "--parameters", "bad.csv")
	require.Equal(t, exitInput, code)
	require.Contains(t, errs, "did you mean heat_loss_w?")
}

// TestHindcastOfReferenceHives: both weighed hives run through one call each with
// their files as they are, and score to the end of the span.
func TestHindcastOfReferenceHives(t *testing.T) {
	dir := os.Getenv("BLOOMGAP_REFERENCE")
	for _, h := range [][3]string{{"wuerzburg_2017.csv", "wuerzburg_de_05705.csv", "49.77"}, {"schwartau_2017.csv", "grambek_de_01736.csv", "53.92"}} {
		weights, air := filepath.Join(dir, "hives", h[0]), filepath.Join(dir, "weather", h[1])
		if _, err := os.Stat(weights); dir == "" || err != nil {
			t.Skipf("BLOOMGAP_REFERENCE is not set or holds no hives/%s", h[0])
		}
		code, out, errs := call(t, "hindcast", weights, air, "--lat", h[2], "--lon", "10", "--members", "200", "--json")
		require.Equal(t, exitOK, code, errs)
		var doc hindcastDoc
		require.NoError(t, json.Unmarshal([]byte(out), &doc))
		require.Len(t, doc.Hives, 1)
		require.Equal(t, 2017, doc.Hives[0].Spring)
		require.Positive(t, doc.Hives[0].Beyond, "the file goes on to 20 May")
		require.Greater(t, float64(doc.Hives[0].Scores.Held80), 0.6)
	}
}
