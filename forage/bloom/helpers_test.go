package bloom

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"bloomgap/forage/weather"

	"github.com/stretchr/testify/require"
)

// reference opens a file of the reference data, or skips.
func reference(t *testing.T, name string) *os.File {
	t.Helper()
	dir := os.Getenv("BLOOMGAP_REFERENCE")
	if dir == "" {
		t.Skipf("BLOOMGAP_REFERENCE is not set, %s is needed", name)
	}
	f, err := os.Open(filepath.Join(dir, name))
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	return f
}

// referenceRecord reads a record; days and years that the file lacks are NaN.
func referenceRecord(t *testing.T, name string) *weather.Record {
	t.Helper()
	rec, ps := weather.ReadFiles([]string{reference(t, name).Name()})
	require.NoError(t, ps.Err())
	return rec
}

func emptyRecord(first, last time.Time) *weather.Record {
	rec := &weather.Record{First: first}
	for d := first; !d.After(last); d = d.AddDate(0, 0, 1) {
		rec.Days = append(rec.Days, weather.Day{TminC: math.NaN(), TmaxC: math.NaN(), PrecipMm: math.NaN()})
	}
	return rec
}

// madeRecord invents a record: a yearly wave with its low in late January,
// and day-to-day weather that lasts about a week. Not a real place.
func madeRecord(firstYear, lastYear int, meanC, waveC float64, seed uint64) *weather.Record {
	rng := rand.New(rand.NewPCG(seed, 1))
	rec := emptyRecord(jan1(firstYear), jan1(lastYear+1).AddDate(0, 0, -1))
	dev := 0.0
	for i := range rec.Days {
		d := rec.First.AddDate(0, 0, i)
		dev = 0.85*dev + 2.2*rng.NormFloat64()
		m := meanC - waveC*math.Cos(2*math.Pi*float64(d.YearDay()-25)/365.25) + dev
		half := 3 + 3*rng.Float64()
		rec.Days[i].TminC, rec.Days[i].TmaxC = m-half, m+half
	}
	return rec
}

// madeNotes invents the notes of a plant that follows a rule with an error.
func madeNotes(th Threshold, rec *weather.Record, sdDays float64, seed uint64) []Observation {
	rng := rand.New(rand.NewPCG(seed, 2))
	var out []Observation
	for y := rec.First.Year(); y <= rec.Last().Year(); y++ {
		z := rng.NormFloat64()
		if d, ok := th.DateReached(rec, y); ok {
			out = append(out, Observation{Date: d.AddDate(0, 0, int(math.Round(z*sdDays)))})
		}
	}
	return out
}

func date(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }
