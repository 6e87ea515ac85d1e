package check

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/weather"
	"bloomgap/sim/colony"
)

// reference reads the records of all stations, or skips.
func reference(t *testing.T) Records {
	dir := os.Getenv("BLOOMGAP_REFERENCE")
	out := Records{}
	for _, s := range Wanted() {
		path := filepath.Join(dir, "weather", s.File)
		if _, err := os.Stat(path); dir == "" || err != nil {
			t.Skipf("BLOOMGAP_REFERENCE does not hold weather/%s", s.File)
		}
		rec, problems := weather.ReadFiles([]string{path})
		require.NoError(t, problems.Err())
		out[s.Key] = rec
	}
	return out
}

// outside are the rows known to lie outside their band, with the reason in the
// row. A row that joins or leaves them is news and belongs in the notes.
var outside = []string{
	"two colonies united against one",
	"sealed brood of small colonies in late May",
}

// onEdge are rows whose median stands on the edge of its band: the seed decides.
var onEdge = []string{
	"more workers reared by midsummer with supplement",
	"more brood on 10 April with supplement", // generated climate: outside with six of seven seeds
	"weight lost by small colonies over winter",
	"fewest bees, days after 11 March", // generated climate
	"from fewest bees to the number of 11 March",
	"cells of brood two weeks after the solstice", // Farnham
	"honey per bee and day at 0.34 cells of brood a bee",
	"bees of small colonies in late May",
	"bees in late May, Scotland",
}

func requireKnown(t *testing.T, rows []Row) {
	var got []string
	for _, r := range rows {
		require.NotEmpty(t, r.Source, r.Quantity)
		require.NotEmpty(t, r.Status, r.Quantity)
		require.NotEmpty(t, r.Climate, r.Quantity)
		require.Positive(t, r.Members, r.Quantity)
		require.LessOrEqual(t, r.ModelLow, r.ModelMedian, r.Quantity)
		require.LessOrEqual(t, r.ModelMedian, r.ModelHigh, r.Quantity)
		if r.Use == Fitted {
			require.Contains(t, r.Reason, "fed ", r.Quantity)
		}
		if !r.Inside {
			if !slices.Contains(onEdge, r.Quantity) {
				got = append(got, r.Quantity)
			}
			require.NotEmpty(t, r.Reason, "%s is outside and does not say why", r.Quantity)
		}
	}
	require.Equal(t, outside, got)
	require.GreaterOrEqual(t, Outside(rows), len(outside))
}

func TestRowsOnRecords(t *testing.T) {
	rows, err := Rows(t.Context(), reference(t), colony.DefaultParams(), DefaultOptions())
	require.NoError(t, err)
	requireKnown(t, rows)
	for _, r := range rows {
		require.NotContains(t, r.Climate, "generated", r.Quantity)
	}
}

func TestRowsOnGeneratedClimate(t *testing.T) {
	rows, err := Rows(t.Context(), nil, colony.DefaultParams(), DefaultOptions())
	require.NoError(t, err)
	requireKnown(t, rows)
	for _, r := range rows {
		require.NotContains(t, r.Climate, "record", r.Quantity)
	}
}

// A row must be able to fail: each of these sets breaks what its row is about.
func TestRowsCanFail(t *testing.T) {
	if testing.Short() {
		t.Skip("every set runs all rows")
	}
	tests := []struct {
		name, parameter string
		value           float64
		row             string
	}{
		{"bees that die twice as fast", "winter_loss_per_day", 0.006, "bees alive early March of those at the end of October"},
		{"a cluster that leaks heat", "heat_loss_w", 0.45, "food used in winter at a mean of 3.5 C"},
		{"bees that never rest", "activity_mg", 8, "honey per bee and day without brood, 34000 bees"},
		{"a cluster that keeps its heat", "heat_loss_w", 0.13, "food used by a strong colony in a cold week"},
		{"brood regardless of day length", "short_day_share", 0.5, "cells of brood two weeks after the solstice"},
		{"eggs that die", "hatch_share", 0.6, "adults from 100 eggs"},
		{"bees that never rest in warmth", "activity_mg", 8, "honey per bee and day at 0.72 cells of brood a bee"},
		{"brood late in autumn", "autumn_share", 1, "colonies with brood, November"},
		{"brood that waits for warmth", "brood_cold_c", 2, "colonies with brood, February and March"},
		{"bees that nurse little", "nurse_half_bees", 25000, "cells of brood in late May, Scotland"},
		{"bees of winter that die", "winter_loss_per_day", 0.006, "bees in late May, Scotland"},
		{"bees that live on", "house_loss_per_day", 0.005, "bees of small colonies in late May"},
		{"foragers that die fast", "forager_flight_loss", 0.4, "from fewest bees to the number of 11 March"},
	}
	opt := Options{Members: 40, Seed: 1}
	usual := map[string]Row{}
	rows, err := Rows(t.Context(), nil, colony.DefaultParams(), opt)
	require.NoError(t, err)
	for _, r := range rows {
		usual[r.Quantity] = r
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := colony.DefaultParams()
			require.NoError(t, p.Set(tt.parameter, tt.value))
			rows, err := Rows(t.Context(), nil, p, opt)
			require.NoError(t, err)
			for _, r := range rows {
				// One that stands on its edge must go well beyond it.
				was, there := usual[r.Quantity]
				if r.Quantity == tt.row && !r.Inside && there && (was.Inside || math.Abs(r.ModelMedian-was.ModelMedian) > 0.15*was.ModelMedian) {
					return
				}
			}
			t.Fatalf("no row %q lies outside", tt.row)
		})
	}
}

func TestRowsAreDeterministic(t *testing.T) {
	opt := Options{Members: 20, Seed: 7}
	a, err := Rows(t.Context(), nil, colony.DefaultParams(), opt)
	require.NoError(t, err)
	b, err := Rows(t.Context(), nil, colony.DefaultParams(), opt)
	require.NoError(t, err)
	require.Equal(t, Table(a), Table(b))
	for _, cells := range Table(a) {
		require.Len(t, cells, len(Header()))
	}
}

func TestOptionsValidate(t *testing.T) {
	for _, members := range []int{-1, 0, 19, 2001} {
		_, err := Rows(t.Context(), nil, colony.DefaultParams(), Options{Members: members})
		require.ErrorContains(t, err, "members", "%d", members)
	}
	require.NoError(t, DefaultOptions().Validate())
}

// A record with too few whole seasons is not used, and the row says so.
func TestShortRecordFallsBack(t *testing.T) {
	rec := &weather.Record{First: time.Date(2000, 10, 1, 0, 0, 0, 0, time.UTC), Days: make([]weather.Day, 400)}
	s := Wanted()[0]
	_, source, err := s.Outlook(Records{s.Key: rec})
	require.NoError(t, err)
	require.Contains(t, source, "generated")
}

func TestBand(t *testing.T) {
	r := Row{PublishedLow: 0.55, PublishedHigh: 0.8}.With([]float64{0.6, 0.9, 0.7})
	require.True(t, r.Inside)
	require.Equal(t, "0.55 to 0.8", r.Band())
	require.InDelta(t, 0.65, r.ModelMedian, 0.051)
	require.False(t, Row{PublishedLow: 1, PublishedHigh: 2}.With(nil).Inside, "no member is no agreement")
}

func BenchmarkRows(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Rows(b.Context(), nil, colony.DefaultParams(), DefaultOptions()); err != nil {
			b.Fatal(err)
		}
	}
}
