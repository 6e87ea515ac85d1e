package weather

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/read"
)

// TestLimitsOnOpenRecords measures how far real weather comes to the limits of
// guards.go: the eight reference records must raise no question, and the figures
// that the comment there names must be theirs.
func TestLimitsOnOpenRecords(t *testing.T) {
	month, days, run, flatMost := 0.0, 0.0, 1, 0
	for _, name := range []string{"milwaukee_wi_us_USW00014839", "grand_forks_nd_us_USC00323621", "farnham_qc_ca_7022320", "marieville_qc_ca_7024627",
		"auteuil_laval_qc_ca_7020392", "bern_ch_BER", "wuerzburg_de_05705", "grambek_de_01736"} {
		rec, ps := ReadFiles([]string{reference(t, "weather/"+name+".csv")})
		for _, p := range ps {
			require.NotEqual(t, read.Ask, p.Level, "%s: %v", name, p)
		}
		var byMonth [13][]monthMean
		all := monthMeans(rec)
		for _, m := range all {
			byMonth[m.month] = append(byMonth[m.month], m)
		}
		for _, m := range all {
			var others []float64
			for _, o := range byMonth[m.month] {
				if o.year != m.year {
					others = append(others, o.meanC)
				}
			}
			month = max(month, math.Abs(m.meanC-median(others)))
		}
		var byPart [37][]float64
		for i := 0; i+spellDays <= len(rec.Days); i++ {
			if m, ok := meanOf(rec.Days[i : i+spellDays]); ok {
				k := rec.Date(i).YearDay() / 10
				byPart[k] = append(byPart[k], m)
			}
		}
		for _, means := range byPart {
			middle := median(means)
			for _, m := range means {
				days = max(days, math.Abs(m-middle))
			}
		}
		flat := map[float64]int{}
		for _, d := range rec.Days {
			if d.HasTemp() && d.TminC == d.TmaxC {
				flat[d.TminC]++
				flatMost = max(flatMost, flat[d.TminC])
			}
		}
		for i, same := 1, 1; i < len(rec.Days); i++ {
			if d, p := rec.Days[i], rec.Days[i-1]; d.HasTemp() && d.TminC == p.TminC && d.TmaxC == p.TmaxC {
				same++
			} else {
				same = 1
			}
			run = max(run, same)
		}
	}
	require.InDelta(t, 12.1, month, 0.2)
	require.InDelta(t, 20.1, days, 0.2)
	require.Equal(t, 4, run)
	require.Equal(t, 1, flatMost)
	require.Less(t, month, jumpC-2)
	require.Less(t, days, spellC-1)
	require.Less(t, run, stuckForWeeks)
	require.Less(t, 2*flatMost, flatDays)
}
