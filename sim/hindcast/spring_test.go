package hindcast

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/scales"
)

func date(year int, month time.Month, d int) time.Time {
	return time.Date(year, month, d, 0, 0, 0, 0, time.UTC)
}

func TestSpringsPartAFile(t *testing.T) {
	h := Hive{Name: "oak"}
	for d := date(2022, 7, 1); !d.After(date(2024, 10, 5)); d = d.AddDate(0, 0, 1) {
		h.Weighings = append(h.Weighings, scales.Weighing{Date: d, GrossKg: 35})
	}
	springs, unused := Springs(h)
	require.Equal(t, 3*61, unused, "August and September of three years")
	require.Len(t, springs, 4)
	for i, want := range [][2]time.Time{{date(2022, 7, 1), date(2022, 7, 31)}, {date(2022, 10, 1), date(2023, 7, 31)}, {date(2023, 10, 1), date(2024, 7, 31)},
		{date(2024, 10, 1), date(2024, 10, 5)}} {
		ws := springs[i].Weighings
		require.Equal(t, want, [2]time.Time{ws[0].Date, ws[len(ws)-1].Date})
		require.Equal(t, "oak", springs[i].Name)
	}
}

// TestScoresEndWithTheSpan: weighings through the flow change nothing of what is
// predicted and scored before it, and are counted.
func TestScoresEndWithTheSpan(t *testing.T) {
	rec := winter(t, 0)
	opt := DefaultOptions()
	opt.Members = 300
	long := hive(rec, day(1, 2), day(7, 31))
	r, err := Run(context.Background(), long, opt)
	require.NoError(t, err)
	last := r.Dates[len(r.Dates)-1]
	require.Equal(t, r.Nectar.P90, last)
	require.True(t, last.After(r.Bloom.P50) && last.Before(day(6, 15)), "%s", last)
	require.Equal(t, dayNumber(last, day(7, 31)), r.Beyond)
	require.Equal(t, dayNumber(day(1, 2), last), r.Scores.Readings)
	require.Less(t, r.Band.P50[len(r.Dates)-1], 50.0, "no flow of summer is predicted")

	after := hive(rec, day(6, 20), day(7, 31))
	_, err = Run(context.Background(), after, opt)
	var outside OutsideError
	require.ErrorAs(t, err, &outside)
	require.Equal(t, 2024, outside.Spring)
	require.Equal(t, r.Bloom.P90, outside.Ends)
}

// TestBloomSeenCountsForItsYear: a date of another year's bloom is not this one's.
func TestBloomSeenCountsForItsYear(t *testing.T) {
	opt := DefaultOptions()
	opt.Members = 200
	run := func(seen time.Time) *Result {
		h := hive(winter(t, 0), day(1, 2), day(3, 2))
		h.BloomDate = seen
		r, err := Run(context.Background(), h, opt)
		require.NoError(t, err)
		return r
	}
	require.Equal(t, day(5, 20), run(day(5, 20)).Bloom.P50)
	require.Equal(t, run(time.Time{}).Bloom, run(date(2023, 5, 20)).Bloom)
}
