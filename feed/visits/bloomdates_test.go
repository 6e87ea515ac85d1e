package visits_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
	"bloomgap/feed/visits"
	"bloomgap/forage/bloom"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
)

// steady is a record from 2000 to 2027 whose days all have the same mean, 10 C,
// except that those of the odd years have 5 C.
func steady(to time.Time) visits.ReadWeather {
	return func([]string, string) (*weather.Record, read.Problems) {
		r := &weather.Record{Name: "steady", First: time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)}
		for d := r.First; !d.After(to); d = d.AddDate(0, 0, 1) {
			c := 10.0
			if d.Year()%2 == 1 {
				c = 5
			}
			r.Days = append(r.Days, weather.Day{TminC: c - 4, TmaxC: c + 4, PrecipMm: math.NaN()})
		}
		return r, nil
	}
}

func TestBloomDatesNarrow(t *testing.T) {
	// 100 C-days above 0 C from 1 April are reached on the 10th day at 10 C and
	// on the 20th at 5 C: worked by hand.
	th := bloom.Threshold{Plant: "test plant", StartDOY: 91, NeedCd: 100, SpreadDays: 0, Role: bloom.DependableNectar}
	last := 20
	for _, c := range []struct {
		name        string
		today       time.Time
		early, late int // April
	}{
		{"nothing of April known", time.Date(2027, 3, 31, 0, 0, 0, 0, time.UTC), 10, 20},
		{"ten cold days: 50 left, 5 or 10 days more", time.Date(2027, 4, 10, 0, 0, 0, 0, time.UTC), 15, 20},
		{"all known", time.Date(2027, 4, 25, 0, 0, 0, 0, time.UTC), last, last},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, ps := season.OneYard(season.DefaultSettings(), c.today, map[string]string{"lat": "45", "climate": "auto"})
			require.Empty(t, ps)
			y := &s.Yards[0]
			y.Climate, y.WeatherFiles = "", []string{"steady.csv"}
			dates, w, problems := visits.BloomDates(s, y, []bloom.Threshold{th}, steady(c.today))
			require.NoError(t, problems.Err())
			require.Equal(t, c.today, w.Source.ObservedTo)
			april := func(d time.Time) int { require.Equal(t, time.April, d.Month()); return d.Day() }
			require.Equal(t, c.early, april(dates[0].Dates.Quantile(0.1)))
			require.Equal(t, c.late, april(dates[0].Dates.Quantile(0.9)))
			require.Equal(t, 10, april(dates[0].WithoutIt.Quantile(0.1)), "past springs alone do not narrow")
			require.Equal(t, 20, april(dates[0].WithoutIt.Quantile(0.9)))
		})
	}
}

func TestBloomDatesNotReached(t *testing.T) {
	th := bloom.Threshold{Plant: "test plant", StartDOY: 91, NeedCd: 2500, Role: bloom.DependableNectar} // far more than 106 days of 10 C give
	today := time.Date(2027, 3, 31, 0, 0, 0, 0, time.UTC)
	s, _ := season.OneYard(season.DefaultSettings(), today, map[string]string{"lat": "45", "climate": "auto"})
	s.Yards[0].Climate, s.Yards[0].WeatherFiles = "", []string{"steady.csv"}
	dates, _, ps := visits.BloomDates(s, &s.Yards[0], []bloom.Threshold{th}, steady(today))
	require.NoError(t, ps.Err())
	require.Empty(t, dates[0].Dates.Members)
	require.InDelta(t, 1, dates[0].Dates.UnreachedShare, 1e-9)
}

// TestOwnRuleAndMeans tells that a yard's own rule and typed means reach the
// weather of the plan.
func TestOwnRuleAndMeans(t *testing.T) {
	today := time.Date(2027, 3, 20, 0, 0, 0, 0, time.UTC)
	bloomDay := func(yard map[string]string) float64 {
		s, ps := season.OneYard(season.DefaultSettings(), today, yard)
		require.NoError(t, ps.Err())
		w, problems := visits.Worlds(s, nil)
		require.NoError(t, problems.Err())
		o, err := w[s.Yards[0].Name].Outlook()
		require.NoError(t, err)
		sum := 0.0
		for _, sp := range o.Springs {
			sum += sp.Weight * float64(sp.BloomDay)
		}
		return sum
	}
	usual := bloomDay(map[string]string{"lat": "45.3", "lon": "-72.9", "climate": "farnham"})
	same := bloomDay(map[string]string{"lat": "45.3", "lon": "-72.9", "climate": "farnham", "bloom_base_c": "0", "bloom_start": "04-01", "bloom_need_cd": "273"})
	more := bloomDay(map[string]string{"lat": "45.3", "lon": "-72.9", "climate": "farnham", "bloom_base_c": "0", "bloom_start": "04-01", "bloom_need_cd": "373"})
	require.Equal(t, usual, same, "the built-in dandelion rule for this place, written out")
	require.InDelta(t, usual+8, more, 4, "100 C-days more, at the 12 to 13 C of mid-May, are some 8 days")

	cold := bloomDay(map[string]string{"lat": "45.3", "lon": "-72.9", "monthly_means_c": "-12 -11 -5 3 10 15 18 17 12 6 0 -8"})
	warm := bloomDay(map[string]string{"lat": "45.3", "lon": "-72.9", "monthly_means_c": "-6 -5 1 9 16 21 24 23 18 12 6 -2"})
	require.Greater(t, cold, warm+10, "months 6 C colder bloom far later")
}
