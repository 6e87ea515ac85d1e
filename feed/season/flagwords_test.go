package season

import (
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/read"
)

func TestProblemsOfOneHiveSpeakOfFlags(t *testing.T) {
	for from, want := range map[string]string{
		`the yard "this yard" has no weather record`:                                     "the place has no weather record",
		"name a record under weather, or write auto under climate":                       "name a record with --weather, or write auto with --climate",
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
