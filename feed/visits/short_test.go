package visits_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
	"bloomgap/forage"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
)

// TestShortRecordBesideAClimate: a record of few springs keeps them all, and the rest is drawn
// from the climate that the yard names, the nearest for auto. The record says how warm its springs are; here they are some 20 K too warm for
// the place, so that its own springs and those of a climate cannot be mistaken.
func TestShortRecordBesideAClimate(t *testing.T) {
	today := time.Date(2027, time.March, 20, 0, 0, 0, 0, time.UTC)
	hot := &weather.Record{Name: "hot.csv", First: time.Date(2023, time.October, 1, 0, 0, 0, 0, time.UTC), Station: weather.Station{LatDeg: 45.3, LonDeg: -72.9, ElevM: 68}}
	for d := hot.First; !d.After(today); d = d.AddDate(0, 0, 1) {
		hot.Days = append(hot.Days, weather.Day{TminC: 22 + float64(d.Day()%7), TmaxC: 30 + float64((d.Day()*d.Day())%11), PrecipMm: float64(d.Day() % 4)})
	}
	for name, c := range map[string]struct {
		climate string
		ofPlace string
	}{
		"auto":  {"auto", "Farnham, Quebec"},
		"named": {"Farnham, Quebec", "Farnham, Quebec"},
		"none":  {"", "Farnham, Quebec"}, // three years are too few for a climate of their own
	} {
		t.Run(name, func(t *testing.T) {
			set := season.DefaultSettings()
			s, ps := season.OneYard(set, today, map[string]string{"lat": "45.3", "lon": "-72.9", "elev_m": "68", "climate": "auto"})
			require.NoError(t, ps.Err())
			s.Yards[0].Climate, s.Yards[0].WeatherFiles = c.climate, []string{"hot.csv"}
			worlds, ps := visits.Worlds(s, func([]string, string) (*weather.Record, read.Problems) { return hot, nil })
			require.NoError(t, ps.Err())
			w := worlds[s.Yards[0].Name]
			require.Equal(t, 3, w.Source.PastSprings, "2024, 2025 and 2026")
			require.Equal(t, c.ofPlace, w.Source.Climate)
			require.GreaterOrEqual(t, w.Source.PastSprings+w.Source.Generated, forage.FewestYears)
			require.Contains(t, w.Warnings, plan.FewSprings{Whole: 3, Generated: w.Source.Generated})
			o, err := w.Outlook()
			require.NoError(t, err)
			require.Len(t, o.Springs, 3+w.Source.Generated)
			hotSprings := 0
			for _, sp := range o.Springs {
				sum := 0.0
				for _, d := range sp.Days[60:] { // after what is known of this season
					sum += (d.TminC + d.TmaxC) / 2
				}
				if sum/float64(len(sp.Days)-60) > 21 {
					hotSprings++
				}
			}
			require.Equal(t, 3, hotSprings, "only those of the record")
		})
	}
}
