package season

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/read"
)

func TestProblemsOfOneHiveSpeakOfFlags(t *testing.T) {
	for from, want := range map[string]string{
		`the yard "this yard" has no weather record`:                                     "the place has no weather record",
		"name a record under weather, or write auto under climate":                       "name a record with --weather, or write auto with --climate",
		`the hive of colony "this hive" weighs 59.5 kg in all`:                           "the hive weighs 59.5 kg in all",
		"correct it, or the day named in settings.toml":                                  "correct it, or name that day with --today",
		"give twelve monthly means (monthly_means_c, --monthly-means-c)":                 "give twelve monthly means (--monthly-means-c)",
		"lift both sides, or write one lift under lift_back":                             "lift both sides, or write one lift with --lift-back",
		"yard this yard: springs made from a climate begin on 1 October":                 "springs made from a climate begin on 1 October",
		`nothing is known of the food of colony "this hive"`:                             "nothing is known of the food of the hive",
		"yard this yard has no visit between 2027-03-20 and nectar":                      "the place has no visit between 2027-03-20 and nectar",
		"give next_visit, or other dates":                                                "give --next-visit, or other dates",
		`the weather file "next_visit.csv" is not there`:                                 `the weather file "next_visit.csv" is not there`,
		"a wide guess is used; count the seams of bees from the top":                     "a wide guess is used; count the seams of bees from the top",
		"row 2 of the table of colonies: colony this hive of this yard was last seen on": "the hive was last seen on",
	} {
		ps := InFlags(read.Problems{{Message: from}})
		require.Equal(t, want, ps[0].Message)
		require.Equal(t, "flags", ps[0].File)
	}
}

// TestDayAsked: a hive seen on a day to come is asked about on that day, however the day
// is written; a day that may be two is refused with both.
func TestDayAsked(t *testing.T) {
	clock := time.Date(2026, time.November, 27, 0, 0, 0, 0, time.UTC)
	seen := time.Date(2027, time.March, 20, 0, 0, 0, 0, time.UTC)
	for _, text := range []string{"2027-03-20", " 20 March 2027", "3/20/2027", "20.3.2027"} {
		day, err := DayAsked(clock, "", text)
		require.NoError(t, err)
		require.Equal(t, seen, day, text)
		day, err = DayAsked(clock, text, "2027-03-25")
		require.NoError(t, err)
		require.Equal(t, seen, day, "the day named counts: %s", text)
	}
	day, err := DayAsked(clock, "", "2026-11-20")
	require.NoError(t, err)
	require.Equal(t, clock, day, "seen before")
	_, err = DayAsked(clock, "3/4/2027", "")
	require.EqualError(t, err, `--today "3/4/2027" may be 3 April or 4 March; write it as 2027-04-03 or 2027-03-04`)
	_, err = DayAsked(clock, "soon", "")
	require.EqualError(t, err, `--today "soon" is not a day; write it as 2027-03-20`)
}
