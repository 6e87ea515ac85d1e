package decide

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
)

// weighedTwice is a yard of six hives weighed on two days, each of which has used kg
// since the first.
func weighedTwice(t *testing.T, usedKg float64) *season.Season {
	first, today := time.Date(2027, 2, 20, 0, 0, 0, 0, time.UTC), time.Date(2027, 3, 20, 0, 0, 0, 0, time.UTC)
	s, ps := season.One(season.DefaultSettings(), today, map[string]string{"lat": "45.3", "lon": "-72.9", "climate": "Farnham, Quebec"},
		map[string]string{"date": first.Format(time.DateOnly), "boxes": "1 deep", "gross_kg": "29", "seams": "5", "count_temp": "6", "wrapped": "yes"}, nil)
	require.NoError(t, ps.Err())
	one := s.Colonies[0]
	s.Colonies = nil
	for i := range 6 {
		c := one
		c.Name = fmt.Sprint("H", i)
		again := one.Observations[0]
		again.Date, again.Food.GrossKg = today, 29-usedKg
		c.Observations = []season.Observation{one.Observations[0], again}
		s.Colonies = append(s.Colonies, c)
	}
	return s
}

// TestYardsLearnFromAllTheirHives: where all hives of a yard used more than usual, each of
// its colonies is planned for more, whatever their order, and the same when the yard
// is opened again; one hive tells nothing of the others.
func TestYardsLearnFromAllTheirHives(t *testing.T) {
	sites := func(s *season.Season) (mean float64, of []float64) {
		for _, y := range Open(t, s, 100, 100).yards {
			read := func() (of []float64) {
				for m := range 100 {
					of = append(of, y.Springs.Members[m].SiteZ)
				}
				return of
			}
			of = read()
			y.Close()
			require.NoError(t, y.Reopen())
			require.Equal(t, of, read())
		}
		for _, z := range of {
			mean += z / float64(len(of))
		}
		return mean, of
	}
	usual, _ := sites(weighedTwice(t, 1.5))
	more := weighedTwice(t, 2.5)
	hungry, drawn := sites(more)
	t.Logf("the site's share of the need, in standard deviations: %.2f where 1.5 kg went, %.2f where 2.5 kg did", usual, hungry)
	require.Greater(t, hungry, usual+0.2)
	slices.Reverse(more.Colonies)
	_, turned := sites(more)
	require.Equal(t, drawn, turned)
	lone, other := weighedTwice(t, 1.5), weighedTwice(t, 2.5)
	lone.Colonies, other.Colonies = lone.Colonies[:1], other.Colonies[:1]
	a, _ := sites(lone)
	b, _ := sites(other)
	require.Equal(t, a, b)
}
