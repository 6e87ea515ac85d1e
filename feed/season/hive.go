package season

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"bloomgap/forage/climate"
	"bloomgap/forage/read"
)

// DayAsked is the day on which a question about one hive is asked: the one
// named, or that of the clock, or the day the hive was seen when that is later.
func DayAsked(clock time.Time, today, seen string) (time.Time, error) {
	if strings.TrimSpace(today) != "" {
		return ParseDay("--today", strings.TrimSpace(today))
	}
	if d, err := read.ParseDate(seen, read.YearLast); err == nil && d.Day.After(clock) {
		return d.Day, nil
	}
	return clock, nil
}

// OneHive makes a season of one hive from cells of the tables. A hive without
// coordinates stands where its built-in climate was measured.
func OneHive(set Settings, day time.Time, yard, colony map[string]string) (*Season, read.Problems) {
	placeOf(yard)
	placed := strings.TrimSpace(yard["lat"]) != ""
	if !placed {
		yard = maps.Clone(yard)
		yard["lat"] = "45" // so that all else can be looked at as well
	}
	s, ps := One(set, day, yard, colony, nil)
	fatal := ps.Fatal()
	if len(fatal) > 1 { // a yard that cannot be read is missing for the colony as well
		ps = slices.DeleteFunc(ps, func(p read.Problem) bool { return p.File == "--yard" })
	}
	if !placed && !slices.ContainsFunc(fatal, func(p read.Problem) bool { return p.File == "--climate" }) {
		var first read.Problems
		first.Add("--lat", 0, 0, "where the hive stands is not known", "give its latitude and longitude, or a built-in climate")
		ps = append(first, ps...)
	}
	return s, ps
}

// placeOf fills in where a built-in climate was measured, when the yard names
// one and nothing else of its place.
func placeOf(yard map[string]string) {
	name := strings.TrimSpace(yard["climate"])
	if name == "" || strings.TrimSpace(yard["lat"]) != "" || strings.TrimSpace(yard["lon"]) != "" {
		return
	}
	for _, n := range climate.Builtin() {
		if town, _, _ := strings.Cut(n.Place, ","); strings.EqualFold(name, n.Place) || strings.EqualFold(name, town) {
			yard["lat"], yard["lon"] = typed(n.LatDeg), typed(n.LonDeg)
			if strings.TrimSpace(yard["elev"]) == "" {
				yard["elev"] = typed(n.ElevM) + " m"
			}
			return
		}
	}
}

// typed is a number as one types it.
func typed(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// ParseDay reads a day in any way of writing that has one reading. what is the flag or field that it was
// written in, for the error.
func ParseDay(what, text string) (time.Time, error) {
	d, err := read.ParseDate(text, read.YearLast)
	switch {
	case err == nil:
		return d.Day, nil
	case err.Code == read.CellDateOrder:
		return time.Time{}, fmt.Errorf("%s %s; %s", what, err.Message, err.Fix)
	}
	return time.Time{}, fmt.Errorf("%s %q is not a day; write it as 2027-03-20", what, text)
}
