// Package seasontest makes invented seasons for tests.
package seasontest

import (
	"maps"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
)

// OneHive is an invented single in Quebec, seen on 20 March 2027, with changes to
// the cells of its colony and its yard.
func OneHive(t testing.TB, colony, yard map[string]string) *season.Season {
	t.Helper()
	today := time.Date(2027, 3, 20, 0, 0, 0, 0, time.UTC)
	y := map[string]string{"lat": "45.3", "lon": "-72.9", "next_visit": "2027-03-23", "days_between": "8"}
	c := map[string]string{"date": "2027-03-20", "boxes": "1 deep", "seams": "5", "count_temp": "6"}
	maps.Copy(y, yard)
	maps.Copy(c, colony)
	if c["alive"] == "no" {
		delete(c, "seams") // a dead hive has none to count
		delete(c, "count_temp")
	}
	s, ps := season.One(season.DefaultSettings(), today, y, c, nil)
	require.NoError(t, ps.Err())
	return s
}
