package season_test

import (
	"math"
	"testing"
	"time"

	"bloomgap/feed/season"

	"github.com/stretchr/testify/require"
)

func TestDusting(t *testing.T) {
	files := good()
	files["settings.toml"] = "dusting_first_round = 2027-03-30\nsupers_on = 2027-05-20\ndays_before_supers = 30\ndusting_g_per_colony = 12.5\n"
	files["yards.csv"] = "yard,lat,climate,dusting_first_round,dusting_rounds,dusting_days_between,supers_on,days_before_supers,dusting_g_per_colony\n" +
		"Mill,45,auto,,,,,,\n" +
		"Hill,45,auto,2027-04-05,4,7,2027-06-01,28,20\n" +
		"Lake,45,auto,,0,,,,\n"
	s, ps := load(t, files)
	require.Empty(t, ps)
	at := func(k int) season.Dusting { return s.Settings.DustingAt(&s.Yards[k]) }
	require.Equal(t, []time.Time{day(3, 30), day(4, 4), day(4, 9)}, at(0).Dates(), "three rounds five days apart are usual")
	require.Equal(t, 30, at(0).DaysBeforeSupers, "as in the settings")
	require.Equal(t, []time.Time{day(4, 5), day(4, 12), day(4, 19), day(4, 26)}, at(1).Dates(), "a yard's own")
	require.Equal(t, []any{day(6, 1), 28}, []any{at(1).SupersOn, at(1).DaysBeforeSupers})
	require.Equal(t, []float64{12.5, 20}, []float64{at(0).GPerColony, at(1).GPerColony})
	require.Empty(t, at(2).Dates(), "0 rounds leave a yard out")

	s, ps = load(t, good())
	require.Empty(t, ps)
	require.Empty(t, at(0).Dates(), "nothing said, nothing planned")
	require.Zero(t, at(0).GPerColony, "no amount but the keeper's")
}

func TestBadDusting(t *testing.T) {
	for _, c := range []struct {
		name, file, text string
		want             []string
	}{
		{"settings out of range", "settings.toml", "dusting_rounds = 6\ndusting_days_between = 2\ndays_before_supers = 0\n", []string{
			"settings.toml:1:1: dusting_rounds = 6 is not possible: it must lie from 1 to 5; correct it",
			"settings.toml:2:1: dusting_days_between = 2 is not possible: it must lie from 3 to 7; correct it",
			"settings.toml:3:1: days_before_supers = 0 is not possible: it must lie from 1 to 120; correct it"}},
		{"powder", "settings.toml", "dusting_g_per_colony = 0\n", []string{
			"settings.toml:1:1: dusting_g_per_colony = 0 is not possible: it must lie from 0.5 to 500; correct it"}},
		{"powder of a yard", "yards.csv", "yard,lat,climate,dusting_g_per_colony\nMill,45,auto,0.03\n", []string{
			"yards.csv:2:4: dusting_g_per_colony 0.03 is not possible: it must lie from 0.5 to 500; correct it"}},
		{"settings of the wrong kind", "settings.toml", "dusting_rounds = 2.5\nsupers_on = \"soon\"\n", []string{
			"settings.toml:1:1: dusting_rounds must be a whole number; write it without decimals",
			"settings.toml:2:1: supers_on is not a date; write year-month-day without quotation marks, such as 2027-03-20"}},
		{"another year in the settings", "settings.toml", "dusting_first_round = 2028-03-30\n", []string{
			"settings.toml:1:1: dusting_first_round = 2028-03-30 is not in this season; correct the year, or leave it out"}},
		{"the year is that of the settings' own day", "settings.toml", "dusting_first_round = 2028-03-30\ntoday = 2028-03-20\n", []string{
			`colonies.csv:2:3: warning: the colony "1" was last seen 368 days ago; look again before trusting the plan`}},
		{"a yard out of range", "yards.csv", "yard,lat,climate,dusting_rounds,dusting_days_between,supers_on\nMill,45,auto,7,9,2026-05-01\n", []string{
			"yards.csv:2:4: dusting_rounds 7 is not possible: it must lie from 0 to 5; correct it",
			"yards.csv:2:6: supers_on 2026-05-01 is not in this season; correct the year, or leave it empty",
			"yards.csv:2:5: dusting_days_between 9 is not possible: it must lie from 3 to 7; correct it"}},
		{"a date and no rounds", "yards.csv", "yard,lat,climate,dusting_first_round,dusting_rounds\nMill,45,auto,2027-03-30,0\n", []string{
			"yards.csv:2:5: warning: a first round of dusting is given, but 0 rounds; none is planned here; give the rounds, or leave the first one empty"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := good()
			files[c.file] = c.text
			_, ps := load(t, files)
			require.Equal(t, c.want, ps)
		})
	}
	set := season.DefaultSettings()
	set.Dusting.GPerColony = math.NaN()
	set.Dusting.Rounds, set.Dusting.DaysBetween, set.Dusting.DaysBeforeSupers = 0, 9, 400
	err := set.Validate()
	require.ErrorContains(t, err, "1 to 5")
	require.ErrorContains(t, err, "3 to 7")
	require.ErrorContains(t, err, "1 to 120")
	require.ErrorContains(t, err, "0.5 to 500 g")
}
