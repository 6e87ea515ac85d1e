package climate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"bloomgap/forage/weather"
)

// Constants of Generate.
const (
	firstSpring  = 2001               // calendar year of the first generated spring, by convention
	mostSD       = 4.5                // standard deviations; a departure beyond is cut there (about 1 in 150,000)
	leastSwingC  = 0.2                // C, least difference of a day's extremes
	streamStride = 0x9E3779B97F4A7C15 // odd number that parts the seeds of the years, golden ratio of 2^64
)

// Generate makes springs: one record a year, from 1 October of the year before
// to 31 July, named "generated 1", "generated 2" and so on and dated as the
// springs of 2001, 2002 and so on, so that leap years occur as they do. Rain is
// NaN where the normals hold none. Temperatures are to a tenth of a degree and
// rain to a tenth of a millimetre, as in published records, and no minimum lies
// above its maximum.
//
// Each year draws from its own stream of the seed: the same seed gives the same
// years, and asking for more changes none of the earlier. Normals that Validate
// refuses are a programmer's error and panic. Zero or fewer years give none.
func Generate(n Normals, years int, seed uint64) []*weather.Record {
	if n.Validate() != nil {
		panic("climate: normals must be validated before Generate")
	}
	var r [12]residuals
	for m := range r {
		r[m], _ = newResiduals(n.Memory, m) // Validate has tried it
	}
	s := newSeason(n)
	var out []*weather.Record
	for i := range max(0, years) {
		rng := rand.New(rand.NewPCG(seed, (uint64(i)+1)*streamStride))
		out = append(out, generateYear(n, s, &r, i, rng))
	}
	return out
}

func generateYear(n Normals, s *season, r *[12]residuals, i int, rng *rand.Rand) *weather.Record {
	first := time.Date(firstSpring+i-1, time.October, 1, 0, 0, 0, 0, time.UTC)
	end := time.Date(firstSpring+i, time.August, 1, 0, 0, 0, 0, time.UTC)
	rec := &weather.Record{
		Name:    fmt.Sprintf("generated %d", i+1),
		Layout:  "generated",
		Station: weather.Station{Name: n.Place, LatDeg: n.LatDeg, LonDeg: n.LonDeg, ElevM: n.ElevM},
		First:   first,
		Days:    make([]weather.Day, 0, 304+1),
	}
	var wet int
	var z state
	for date := first; date.Before(end); date = date.AddDate(0, 0, 1) {
		d, m := dayIndex(date), date.Month()-1
		chance := s.wetAfter[wet][d]
		if date.Equal(first) {
			chance = s.wet[d]
			z = r[m].first(rng)
		} else {
			z = r[m].next(z, rng)
		}
		// Drawn in any case, so that temperatures do not hang on whether rain is known.
		u := rng.Float64()
		wet = 0
		if s.hasRain && u < chance {
			wet = 1
		}
		day := weather.Day{PrecipMm: math.NaN()}
		if s.hasRain {
			day.PrecipMm = 0
			if wet == 1 {
				shape := s.rainShape[d]
				gamma := distuv.Gamma{Alpha: shape, Beta: shape / s.rainMm[d], Src: rng}
				day.PrecipMm = tenth(WetMm + gamma.Rand())
			}
		}
		zmax, zmin := r[m].departures(z)
		tmax := s.maxMean[wet][d] + s.maxSD[wet][d]*cut(zmax)
		tmin := s.minMean[wet][d] + s.minSD[wet][d]*cut(zmin)
		if tmax-tmin < leastSwingC {
			middle := (tmax + tmin) / 2
			tmin, tmax = middle-leastSwingC/2, middle+leastSwingC/2
		}
		day.TminC, day.TmaxC = tenth(tmin), tenth(tmax)
		rec.Days = append(rec.Days, day)
	}
	return rec
}

// dayIndex is the place of a date in the 365-day curves.
func dayIndex(date time.Time) int {
	d := date.YearDay() - 1
	if y := date.Year(); d >= 59 && (y%4 == 0 && (y%100 != 0 || y%400 == 0)) {
		d-- // 29 February takes the 28th, and all later days move up
	}
	return d
}

func cut(z float64) float64 { return math.Max(-mostSD, math.Min(mostSD, z)) }

func tenth(x float64) float64 { return math.Round(x*10) / 10 }
