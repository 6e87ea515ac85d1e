package hives

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/scales"
	"bloomgap/forage/weather"
	"bloomgap/sim/check"
	"bloomgap/sim/colony"
)

// Without its records a row is not run: neither inside nor outside.
func TestNotRunWithoutRecords(t *testing.T) {
	rows, err := Rows(t.Context(), nil, colony.DefaultParams(), 1)
	require.NoError(t, err)
	require.Len(t, rows, len(Wanted())+2)
	for _, r := range rows {
		require.Equal(t, "not run", r.Verdict())
		require.Equal(t, check.Fitted, r.Use)
	}
	require.Zero(t, check.Outside(rows))
	for _, s := range Wanted() {
		require.NotEmpty(t, s.Landscape, s.Name)
	}
}

// invented is a hive that weighs the same for four months, in the weather of a
// cold spring.
func invented(loseKgPerDay float64) Hive {
	rec := &weather.Record{First: time.Date(2016, time.December, 1, 0, 0, 0, 0, time.UTC)}
	for range 160 {
		rec.Days = append(rec.Days, weather.Day{TminC: -2, TmaxC: 4, PrecipMm: math.NaN()})
	}
	h := Hive{Site: Wanted()[0], Record: rec}
	for d := time.Date(2017, time.January, 1, 0, 0, 0, 0, time.UTC); !d.After(last); d = d.AddDate(0, 0, 1) {
		day := float64(len(h.Weighings))
		h.Weighings = append(h.Weighings, scales.Weighing{Date: d, GrossKg: 50 - loseKgPerDay*day, ChangeKg: math.NaN()})
	}
	return h
}

// A hive that eats nothing is missed, and by more than one that eats like a
// colony.
func TestRowsTellAHiveFromAStone(t *testing.T) {
	stone, err := Rows(t.Context(), []Hive{invented(0)}, colony.DefaultParams(), 1)
	require.NoError(t, err)
	bees, err := Rows(t.Context(), []Hive{invented(0.045)}, colony.DefaultParams(), 1)
	require.NoError(t, err)
	require.Less(t, bees[0].ModelMedian, stone[0].ModelMedian)
	require.Equal(t, "OUTSIDE", stone[0].Verdict())
	require.NotEmpty(t, stone[0].Reason)
	require.Equal(t, "not run", stone[1].Verdict())
}
