package season_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
)

func TestGiven(t *testing.T) {
	files := good()
	files["colonies.csv"] = "yard,colony,date,boxes,heft,seams,sugar_over_cluster_lb\nMill,1,2027-03-18,1 deep,light,5,2\nMill,2,2027-03-18,1 deep,fair,5,\n"
	files["given.csv"] = "yard,colony,date,syrup_gal,strength,solid_lb,food_frames_deep,taken,left_l,left_solid_lb,note\n" +
		"Mill,,2027-03-19,0.5,1:1,,,,,,all of them\n" +
		"mill,2,2027-03-16,,,5,,,,2,\n" +
		"Mill,1,2027-03-17,1,2:1,,1,yes,,,\n" +
		"Mill,1,2027-03-18,1,2:1,,,no,,,\n"
	s, ps := load(t, files)
	require.Empty(t, ps)
	require.InEpsilon(t, 2*0.45359237, s.Colonies[0].Last().OverKg, 1e-12)
	require.True(t, math.IsNaN(s.Colonies[1].Last().OverKg), "not looked")
	yard := s.GivenByYard()["Mill"]
	require.Len(t, yard, 4)
	require.Equal(t, day(3, 16), yard[0].Date, "in order of date")
	one, two := season.GivenTo(yard, "1"), season.GivenTo(yard, " 2 ")
	require.Len(t, one, 3)
	require.Len(t, two, 2)
	require.InEpsilon(t, 3.785411784, one[0].SyrupL, 1e-12)
	require.Equal(t, "2:1", one[0].Strength.String())
	require.Equal(t, 0.0, one[0].LeftL, "all was taken")
	require.Equal(t, 1.0, one[0].FramesDeep)
	require.Equal(t, one[1].SyrupL, one[1].LeftL, "none was taken")
	require.True(t, math.IsNaN(one[2].LeftL), "nobody looked")
	require.InEpsilon(t, 2*0.45359237, two[0].LeftSolidKg, 1e-12)
	require.NoError(t, s.Keep([]string{"Mill"}))
	require.Len(t, s.Given, 4)
}

// TestGivenProblems: all problems of the table come in one run, each with its line
// and what to do.
func TestGivenProblems(t *testing.T) {
	files := good()
	files["given.csv"] = "yard,colony,date,syrup_l,strength,solid_kg,taken,left_l\n" +
		"Mil,1,2027-03-19,1,1:1,,,\n" +
		"Mill,9,2027-03-19,1,1:1,,,\n" +
		"Mill,1,2027-04-19,1,1:1,,,\n" +
		"Mill,1,2027-03-19,1.1,sweet,,,\n" +
		"Mill,1,2027-03-19,1.2,1:1,,,2\n" +
		"Mill,1,2027-03-19,1.3,1:1,,yes,0.5\n" +
		"Mill,1,2027-03-19,,,,,\n" +
		"Mill,1,2027-03-19,80,1:1,,,\n" +
		"Mill,1,2026-03-19,1,1:1,,,\n" +
		"Mill,1,2027-03-19,1.4,,,,\n" +
		"Mill,1,2027-03-19,1.4,3:2,,,\n"
	_, ps := load(t, files)
	require.Len(t, ps, 11, "%q", ps)
	for i, says := range []string{"did you mean \"Mill\"", "the colony \"9\" of Mill is not in the table", "lies after today", "sugar:water by weight",
		"more syrup was left than was given", "all was taken, and yet some was left", "says of no food what was given", "80", "before this season", "3:2 is assumed", "the same feed of the same day stands in row 11; take one of the two out"} {
		require.Contains(t, ps[i], says)
		require.Contains(t, ps[i], "given.csv:")
	}
}

func TestStarterHoldsTheTableOfFeedGiven(t *testing.T) {
	dir := t.TempDir() + "/new"
	require.NoError(t, season.WriteStarter(dir, today))
	require.FileExists(t, dir+"/given.csv")
	s, ps := season.Load(dir, today)
	require.NoError(t, ps.Err())
	require.Empty(t, s.Given, "a table to be filled in")
}

// TestFedWhenDead: food for a colony that was dead by then is told of; that it was fed
// before it died is nothing to say.
func TestFedWhenDead(t *testing.T) {
	for date, told := range map[string]bool{"2027-03-10": false, "2027-03-14": true, "2027-03-19": true} {
		files := good()
		files["colonies.csv"] = "yard,colony,date,boxes,heft,seams,alive\nMill,1,2027-03-14,1 deep,,,no\nMill,2,2027-03-14,1 deep,light,5,yes\n"
		files["given.csv"] = "yard,colony,date,syrup_l,strength\nMill,1," + date + ",1,2:1\nMill,2," + date + ",1,2:1\n"
		_, ps := load(t, files)
		if !told {
			require.Empty(t, ps, date)
			continue
		}
		require.Equal(t, []string{`given.csv:2:2: warning: the colony "1" was dead by then, says the table of colonies; what it was given counts for nothing; if it is alive, correct that table`}, ps, date)
	}
}
