package hindcast

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/scales"
	"bloomgap/forage/weather"
)

// TestRealWinters: on the weather of real winters at two German stations an
// unknown colony loses between 2 January and 25 March what keepers expect: in the
// middle 3 to 9 kg, which is 0.25 to 0.75 kg a week (institute pages give 1 kg a
// month in midwinter and up to 1 kg a week once it rears brood). The band must be
// wide enough for a small and for a large colony, and no wider than their range.
func TestRealWinters(t *testing.T) {
	for name, at := range map[string]struct{ latDeg, lonDeg, elevM float64 }{
		"wuerzburg_de_05705.csv": {49.77, 9.96, 268},
		"grambek_de_01736.csv":   {53.57, 10.68, 15},
	} {
		dir := os.Getenv("BLOOMGAP_REFERENCE")
		path := filepath.Join(dir, "weather", name)
		if _, err := os.Stat(path); dir == "" || err != nil {
			t.Skipf("BLOOMGAP_REFERENCE is not set or holds no weather/%s", name)
		}
		rec, ps := weather.ReadFiles([]string{path})
		require.NoError(t, ps.Err())
		rec, _ = weather.Fill(rec, nil, weather.DefaultFillOptions())
		least, most := 99.0, 0.0
		for _, year := range []int{1996, 2003, 2005, 2007, 2012, 2014, 2017, 2018, 2019} {
			h := Hive{Name: "unknown", LatDeg: at.latDeg, LonDeg: at.lonDeg, ElevM: at.elevM, Weather: rec, Known: UnknownColony()}
			for d := time.Date(year, 1, 2, 0, 0, 0, 0, time.UTC); d.Month() < 3 || d.Day() <= 25; d = d.AddDate(0, 0, 1) {
				h.Weighings = append(h.Weighings, scales.Weighing{Date: d, GrossKg: 35})
			}
			opt := DefaultOptions()
			opt.Members = 400
			r, err := Run(context.Background(), h, opt)
			require.NoError(t, err)
			last := len(r.Dates) - 1
			middle, low, high := 35-r.Band.P50[last], 35-r.Band.P90[last], 35-r.Band.P10[last]
			t.Logf("%s, %d: %.1f kg lost, 8 in 10 from %.1f to %.1f; bloom %s", name, year, middle, low, high, r.Bloom.P50.Format(time.DateOnly))
			require.True(t, middle > 3 && middle < 9, "%s, %d: %.1f kg", name, year, middle)
			require.Greater(t, low, 0.5, "%s, %d: even a small colony eats, though willow may pay some of it back by 25 March", name, year)
			require.Less(t, high, 12.0, "%s, %d: a strong colony does not eat more", name, year)
			least, most = min(least, middle), max(most, middle)
		}
		require.Greater(t, most, least, "%s: winters differ", name)
	}
}
