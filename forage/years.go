package forage

import (
	"fmt"
	"math"
	"slices"

	"bloomgap/forage/climate"
	"bloomgap/forage/weather"
)

// RecencyHalfLifeYears halves the weight of a spring for every so many years that
// it lies back, y, 10-100, own judgement: springs of the cold-temperate north
// have warmed by some 0.3 C in ten years, so that twenty years are about a
// quarter of the spread between springs. Infinity weighs all alike.
const RecencyHalfLifeYears = 20.0

// FewestYears are the springs of a record below which generated ones stand
// beside them, y, 5-20, own judgement.
const FewestYears = 10

// PastYears lists the whole springs of a record other than the season's own, the
// latest first, at most so many; 0 asks for all. The record must have been
// filled: a spring that lacks a day between the two dates is left out.
func PastYears(rec *weather.Record, seasonYear, most int, from, to weather.MonthDay, halfLifeYears float64) []Year {
	kept := weather.Springs(rec, from, to, 0).Kept
	slices.Sort(kept)
	slices.Reverse(kept)
	var out []Year
	for _, y := range kept {
		if y == seasonYear {
			continue
		}
		if most > 0 && len(out) == most {
			break
		}
		back := math.Max(0, float64(seasonYear-1-y))
		out = append(out, Year{Label: fmt.Sprint(y), Record: rec, Number: y, Weight: math.Exp2(-back / halfLifeYears), Origin: Past})
	}
	return out
}

// GeneratedYears lists springs of a climate's generator, all of one weight.
func GeneratedYears(n climate.Normals, years int, seed uint64) []Year {
	out := make([]Year, 0, years)
	for _, rec := range climate.Generate(n, years, seed) {
		out = append(out, Year{Label: rec.Name, Record: rec, Number: rec.Last().Year(), Weight: 1, Origin: Generated})
	}
	return out
}
