package bloom

import (
	"math"
	"testing"
	"time"

	"bloomgap/forage/weather"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestForecastOnThePastIsDateReached(t *testing.T) {
	// With the whole season known, every member gives the season's own date.
	rec := madeRecord(2000, 2024, 8, 12, 3)
	th := Threshold{Plant: "test", StartDOY: 32, NeedCd: 200, SpreadDays: 2}
	for _, year := range []int{2022, 2024} { // a common and a leap year
		want, ok := th.DateReached(rec, year)
		require.True(t, ok)
		dist, err := Forecast(th, ForecastInput{Year: year, Season: rec, Springs: SpringsOf(rec, year)})
		require.NoError(t, err)
		require.Len(t, dist.Members, 24)
		for _, m := range dist.Members {
			require.Equal(t, want, m.Date, m.Name)
		}
		require.Equal(t, want, dist.Quantile(0.5))
		require.InDelta(t, 2, dist.SDDays(), 1e-9)
	}
	// With nothing known, a common past year gives its own date, moved to this year.
	dist, err := Forecast(th, ForecastInput{Year: 2023, Springs: SpringsOf(rec, 2023)})
	require.NoError(t, err)
	for _, m := range dist.Members {
		if m.Name == "2001" || m.Name == "2019" {
			y := map[string]int{"2001": 2001, "2019": 2019}[m.Name]
			want, _ := th.DateReached(rec, y)
			require.Equal(t, want.YearDay(), m.Date.YearDay())
		}
	}
}

// upTo is a record cut after a date.
func upTo(rec *weather.Record, last time.Time) *weather.Record {
	cut := *rec
	cut.Days = rec.Days[:rec.Index(last)+1]
	return &cut
}

func narrowing(t *testing.T, rec *weather.Record, th Threshold, years []int) (sds []float64) {
	t.Helper()
	for _, cut := range []int{-10, 60, 75, 91, 106} { // days of the year known up to
		sum := 0.0
		for _, y := range years {
			dist, err := Forecast(th, ForecastInput{Year: y, Season: upTo(rec, jan1(y).AddDate(0, 0, cut-1)), Springs: SpringsOf(rec, y)})
			require.NoError(t, err)
			sum += dist.SDDays()
		}
		sds = append(sds, sum/float64(len(years)))
	}
	return sds
}

func TestForecastNarrows(t *testing.T) {
	th, _ := Find("dandelion", formFargoMar)
	sds := narrowing(t, madeRecord(1990, 2024, 8, 12, 5), th, []int{2010, 2012, 2015, 2018, 2020, 2023})
	for i := 2; i < len(sds); i++ {
		require.Less(t, sds[i], sds[i-1])
	}
}

func TestForecastNarrowsAtBern(t *testing.T) {
	rec := referenceRecord(t, "weather/bern_ch_BER.csv")
	th, _ := Find("cherry", formGrassland)
	var years []int
	for y := 1995; y <= 2024; y++ {
		years = append(years, y)
	}
	sds := narrowing(t, rec, th, years)
	t.Logf("Bern, cherry 530, mean SD of the forecast with days known to 21 Dec, 1 Mar, 16 Mar, 1 Apr, 16 Apr: %.1f", sds)
	for i := 1; i < len(sds); i++ {
		require.Less(t, sds[i], sds[i-1])
	}
}

func TestForecastFillsSeasonThatBeginsLate(t *testing.T) {
	rec := madeRecord(2000, 2024, 8, 12, 9)
	season := emptyRecord(date(2024, 3, 1), date(2024, 3, 20))
	for i := range season.Days {
		season.Days[i].TminC, season.Days[i].TmaxC = 4, 14
	}
	season.Days[5] = weather.Day{TminC: math.NaN(), TmaxC: math.NaN()}
	dist, err := Forecast(grassland(300), ForecastInput{Year: 2024, Season: season, Springs: SpringsOf(rec, 2024)})
	require.NoError(t, err)
	require.Greater(t, len(dist.Members), 20)
}

func TestForecastErrors(t *testing.T) {
	_, err := Forecast(grassland(0), ForecastInput{Year: 2024})
	require.ErrorContains(t, err, "sum needed")
	_, err = Forecast(grassland(200), ForecastInput{Year: 2024})
	require.ErrorContains(t, err, "no possible springs")
	lo, hi := constant(120, -5)
	_, err = Forecast(grassland(200), ForecastInput{Year: 2024, Springs: []Spring{{Name: "a", Weight: 1, FirstDOY: 1, TminC: lo, TmaxC: hi}, {Name: "b", Weight: 1, FirstDOY: 60, TminC: lo, TmaxC: hi}}})
	var none NoDateError
	require.ErrorAs(t, err, &none)
	require.Equal(t, 2, none.Springs)
	require.Len(t, none.Reasons, 2)
	_, err = Forecast(grassland(200), ForecastInput{Year: 2024, Springs: []Spring{{Name: "a", FirstDOY: 1, TminC: lo, TmaxC: hi}}})
	require.ErrorContains(t, err, "weight")
}

func TestForecastWeightsAndShareLeftOut(t *testing.T) {
	th := Threshold{Plant: "test", StartDOY: 1, NeedCd: 50}
	spring := func(name string, tempC, weight float64) Spring {
		lo, hi := constant(60, tempC)
		return Spring{Name: name, Weight: weight, FirstDOY: 1, TminC: lo, TmaxC: hi}
	}
	dist, err := Forecast(th, ForecastInput{Year: 2023, Springs: []Spring{spring("warm", 10, 3), spring("cool", 2, 1), spring("cold", -2, 4)}})
	require.NoError(t, err)
	require.InDelta(t, 0.5, dist.UnreachedShare, 1e-12)
	require.Equal(t, []Member{{"warm", 0.75, date(2023, 1, 5)}, {"cool", 0.25, date(2023, 1, 25)}}, dist.Members)
	require.Equal(t, date(2023, 1, 5), dist.Quantile(0.75))
	require.Equal(t, date(2023, 1, 25), dist.Quantile(0.76))
	require.InDelta(t, 20*math.Sqrt(0.75*0.25), dist.SDDays(), 1e-9)
	require.Zero(t, dist.Probability(date(2023, 1, 4)))
	require.InDelta(t, 0.75, dist.Probability(date(2023, 1, 5)), 1e-12)
}

func TestObservedOverride(t *testing.T) {
	seen := ObservedOverride(date(2024, 4, 28), 0)
	for _, q := range seen.Quantiles() {
		require.Equal(t, date(2024, 4, 28), q)
	}
	// Normal: 10 and 90 % lie 1.2816 SD out (tables), 5.1 days for an SD of 4.
	q := ObservedOverride(date(2024, 4, 28), 4).Quantiles()
	require.Equal(t, date(2024, 4, 23), q[0])
	require.Equal(t, date(2024, 4, 28), q[2])
	require.Equal(t, date(2024, 5, 3), q[4])
}

func TestNotBefore(t *testing.T) {
	d := ObservedOverride(date(2024, 4, 10), 3)
	d.NotBefore = date(2024, 4, 12)
	require.Equal(t, date(2024, 4, 12), d.Quantile(0.1))
	require.Equal(t, date(2024, 4, 14), d.Quantile(0.9)) // 1.28 x 3 = 3.8 days
	require.Zero(t, d.Probability(date(2024, 4, 11)))

	require.Equal(t, date(2024, 4, 4), Draw(date(2024, 4, 10), 3, -2, time.Time{}))
	require.Equal(t, date(2024, 4, 12), Draw(date(2024, 4, 10), 3, -2, date(2024, 4, 12)))
	require.Equal(t, date(2024, 4, 16), Draw(date(2024, 4, 10), 3, 2, date(2024, 4, 12)))
	require.Equal(t, date(2024, 4, 10), Draw(date(2024, 4, 10), 3, 0, time.Time{}))
}

// The quantiles of a distribution are those of the draws that the ensemble makes.
func TestQuantilesAreThoseOfDraws(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := Distribution{SpreadDays: rapid.Float64Range(0, 9).Draw(rt, "spread")}
		n := rapid.IntRange(1, 6).Draw(rt, "n")
		for range n {
			d.Members = append(d.Members, Member{Weight: 1 / float64(n), Date: date(2024, 4, 1).AddDate(0, 0, rapid.IntRange(-20, 40).Draw(rt, "day"))})
		}
		if rapid.Bool().Draw(rt, "limit") {
			d.NotBefore = date(2024, 4, 5)
		}
		p := rapid.Float64Range(0.05, 0.95).Draw(rt, "p")
		q := d.Quantile(p)
		// Share of draws up to q and up to the day before, z in the middle of 2,000 equal slices.
		upTo, before := 0.0, 0.0
		const slices = 2000
		for _, m := range d.Members {
			for k := range slices {
				z := math.Sqrt2 * math.Erfinv(2*(float64(k)+0.5)/slices-1)
				got := Draw(m.Date, d.SpreadDays, z, d.NotBefore)
				if !got.After(q) {
					upTo += m.Weight / slices
				}
				if got.Before(q) {
					before += m.Weight / slices
				}
			}
		}
		if upTo < p-0.002 || before > p+0.002 {
			rt.Fatalf("quantile %g is %s: %.3f of draws by then, %.3f before", p, q.Format(time.DateOnly), upTo, before)
		}
	})
}
