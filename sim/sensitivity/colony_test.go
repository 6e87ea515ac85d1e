package sensitivity

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage"
	"bloomgap/forage/bloom"
	"bloomgap/forage/climate"
	"bloomgap/forage/stoptest"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// quebec is an outlook of generated springs of southern Quebec seen on 20 March.
func quebec(t testing.TB, springs int) *forage.Outlook {
	t.Helper()
	const lat, lon = 45.4, -73
	n := climate.NearestAt(lat, lon, 50)
	require.Contains(t, n.Place, "Quebec", "the climate this test speaks of")
	p := forage.Prospect{LatDeg: lat, Start: day(3, 20), Today: day(3, 20), End: day(7, 15), Years: forage.GeneratedYears(n, springs, 1)}
	for _, th := range bloom.Default(lat, lon) {
		if th.Role == bloom.DependableNectar {
			p.Nectar = th
		} else if p.Pollen.Plant == "" {
			p.Pollen = th
		}
	}
	o, err := forage.NewOutlook(p)
	require.NoError(t, err)
	return o
}

func day(month time.Month, d int) time.Time { return time.Date(2027, month, d, 0, 0, 0, 0, time.UTC) }

func seen(bees, storesKg, sdKg float64) ensemble.InitialSpread {
	return ensemble.InitialSpread{BeesLogMu: math.Log(bees), BeesLogSD: 0.25, BroodCells: math.NaN(), StoresKg: storesKg, StoresSDKg: sdKg, StoresMax: 60}
}

func options(points, boots int) Options {
	o := DefaultOptions()
	o.Points, o.Boots = points, boots
	return o
}

func byName(r Result, answer int) map[string]Index {
	out := map[string]Index{}
	for _, x := range r.Answers[answer].Indices {
		out[x.Factor] = x
	}
	return out
}

func TestWhatDrivesAColony(t *testing.T) {
	o := quebec(t, 60)
	r, err := Colony(context.Background(), "light", o, 0, seen(8000, 6, 3), options(2048, 50))
	require.NoError(t, err)
	require.Len(t, r.Answers, 2)
	require.LessOrEqual(t, len(r.Answers[0].Indices), 13, "as many as a reader can take in")
	sum := 0.0
	for _, x := range r.Answers[0].Indices {
		sum += x.First
		require.GreaterOrEqual(t, x.Total, x.First-0.06, "%s: the total holds the first order", x.Factor)
	}
	require.InDelta(t, 1, sum, 0.25, "few interactions: the first-order indices share out nearly all")
	empty := byName(r, daysToEmpty)
	short := byName(r, storesShort)
	require.Greater(t, short[Bloom].Total, empty[Bloom].Total, "bloom ends the need; of the days to empty it ends the early nectar only")
	require.Greater(t, short[Bloom].Total, 0.005)

	// A hive on a scale: what it holds no longer drives the answer.
	weighed, err := Colony(context.Background(), "weighed", o, 0, seen(8000, 6, 0.3), options(2048, 0))
	require.NoError(t, err)
	require.Greater(t, empty[Stores].Total, 5*byName(weighed, daysToEmpty)[Stores].Total)
	require.Greater(t, r.Answers[0].SD, weighed.Answers[0].SD)
}

func TestEveryDrawnParameterIsInOneFactor(t *testing.T) {
	s := seen(8000, 6, 2)
	s.Wrapped = true
	w := newWork(quebec(t, 3), 0, s, options(64, 0))
	where := map[string]string{}
	for factor, names := range w.parameters {
		for _, n := range names {
			require.Empty(t, where[n], n)
			where[n] = factor
		}
	}
	used := map[int]bool{}
	for _, g := range w.groups {
		for _, at := range g.Inputs {
			require.False(t, used[at], "an input stands in one factor only")
			used[at] = true
		}
	}
	require.Len(t, used, w.inputs)
	for _, c := range colony.Catalogue() {
		if c.Spread == colony.Fixed {
			continue
		}
		factor, listed := parameterFactors[c.Name]
		require.True(t, listed, "%s falls to %q: give it a factor", c.Name, Other)
		if factor != "" {
			require.Equal(t, factor, where[c.Name])
		}
	}
}

func TestParametersThatDoNotActAreLeftOut(t *testing.T) {
	for name, factor := range parameterFactors {
		if factor == "" {
			require.True(t, strings.HasPrefix(name, "take_up") || strings.HasPrefix(name, "supplement") ||
				name == "syrup_yield" || name == "solid_kg_per_kg_sugar", "%s acts on a colony left alone", name)
		}
	}
}

func TestSameSeedSameIndices(t *testing.T) {
	o := quebec(t, 10)
	a, err := Colony(context.Background(), "a", o, 0, seen(9000, 6, 2), options(64, 10))
	require.NoError(t, err)
	b, err := Colony(context.Background(), "a", o, 0, seen(9000, 6, 2), options(64, 10))
	require.NoError(t, err)
	require.Equal(t, a, b)
}

func TestNothingShort(t *testing.T) {
	r, err := Colony(context.Background(), "heavy", quebec(t, 5), 0, seen(6000, 55, 0.3), options(64, 10))
	require.NoError(t, err)
	short := r.Answers[storesShort]
	require.EqualValues(t, 1, math.Round(short.AtLimitFrac*1e6)/1e6, "a hive full of food lacks nothing")
	require.True(t, math.IsNaN(short.Indices[0].First), "and nothing drives that")
}

func TestOptionsAndStopping(t *testing.T) {
	o := quebec(t, 2)
	for name, c := range map[string]struct {
		change func(*Options)
		want   string
	}{
		"too few points":   {func(o *Options) { o.Points = 63 }, "points must lie"},
		"too many points":  {func(o *Options) { o.Points = 70000 }, "points must lie"},
		"boots below zero": {func(o *Options) { o.Boots = -1 }, "bootstrap resamples"},
		"reserve unknown":  {func(o *Options) { o.ReserveKg = math.NaN() }, "the reserve must lie"},
	} {
		opt := DefaultOptions()
		c.change(&opt)
		_, err := Colony(context.Background(), "x", o, 0, seen(8000, 6, 2), opt)
		require.ErrorContains(t, err, c.want, name)
	}
	whole := stoptest.After(t.Context(), 0)
	_, err := Colony(whole, "x", o, 0, seen(8000, 6, 2), options(64, 10))
	require.NoError(t, err)
	require.Greater(t, whole.Looks(), 10*64, "before each run, and while the intervals are worked out")
	t.Logf("longest time between two looks: %v", whole.Longest())
	for _, at := range []int{1, 100, whole.Looks() - 1, whole.Looks()} {
		_, err = Colony(stoptest.After(t.Context(), at), "x", o, 0, seen(8000, 6, 2), options(64, 10))
		require.ErrorIs(t, err, context.Canceled)
	}
	late := seen(8000, 6, 2)
	late.Day = 500
	_, err = Colony(context.Background(), "x", o, 0, late, options(64, 0))
	require.ErrorContains(t, err, "after the last day")
}
