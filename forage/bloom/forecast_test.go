package bloom

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// of is the distribution of one date with a normal error.
func of(date time.Time, spreadDays float64) Distribution {
	return Distribution{Members: []Member{{Name: "one", Weight: 1, Date: date}}, SpreadDays: spreadDays}
}

func TestDistributionOfOneDate(t *testing.T) {
	seen := of(date(2024, 4, 28), 0)
	for _, q := range seen.Quantiles() {
		require.Equal(t, date(2024, 4, 28), q)
	}
	// Normal: 10 and 90 % lie 1.2816 SD out (tables), 5.1 days for an SD of 4.
	q := of(date(2024, 4, 28), 4).Quantiles()
	require.Equal(t, date(2024, 4, 23), q[0])
	require.Equal(t, date(2024, 4, 28), q[2])
	require.Equal(t, date(2024, 5, 3), q[4])
}

func TestDistributionOfMembers(t *testing.T) {
	dist := Distribution{Members: []Member{{"warm", 0.75, date(2023, 1, 5)}, {"cool", 0.25, date(2023, 1, 25)}}}
	require.Equal(t, date(2023, 1, 5), dist.Quantile(0.75))
	require.Equal(t, date(2023, 1, 25), dist.Quantile(0.76))
	require.InDelta(t, 20*math.Sqrt(0.75*0.25), dist.SDDays(), 1e-9)
	require.Zero(t, dist.Probability(date(2023, 1, 4)))
	require.InDelta(t, 0.75, dist.Probability(date(2023, 1, 5)), 1e-12)
}

func TestNotBefore(t *testing.T) {
	d := of(date(2024, 4, 10), 3)
	d.NotBefore = date(2024, 4, 12)
	require.Equal(t, date(2024, 4, 12), d.Quantile(0.1))
	require.Equal(t, date(2024, 4, 14), d.Quantile(0.9)) // 1.28 x 3 = 3.8 days
	require.Zero(t, d.Probability(date(2024, 4, 11)))
	require.InDelta(t, 0.7977, d.Probability(date(2024, 4, 12)), 1e-4, "two and a half days of three: 0.8333 SD (tables)")
	require.InDelta(t, 0.9332, d.Probability(date(2024, 4, 14)), 1e-4, "1.5 SD (tables)")
	d.NotBefore = time.Time{}
	require.InDelta(t, 0.5662, d.Probability(date(2024, 4, 10)), 1e-4, "half a day: 0.1667 SD")
}

// The quantiles of a distribution are those of draws: a member's date, moved by its
// error and rounded to a day, not before the limit.
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
				got := m.Date.AddDate(0, 0, int(math.Round(z*d.SpreadDays)))
				if got.Before(d.NotBefore) {
					got = d.NotBefore
				}
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
