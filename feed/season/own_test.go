package season_test

import (
	"math"
	"testing"

	"bloomgap/feed/season"
	"bloomgap/forage/bloom"
	"bloomgap/sim/colony"

	"github.com/stretchr/testify/require"
)

func TestBloomRule(t *testing.T) {
	files := good()
	files["yards.csv"] = "yard,lat,climate,bloom_base_c,bloom_start,bloom_need_cd,bloom_spread,bloom_date\n" +
		"Mill,45,auto,2,03-16,253,2.4,\n" +
		"Hill,45,auto,0,12-16,300,,\n" +
		"Lake,45,auto,0,04-01,273,3,2027-05-10\n" +
		"Moor,45,auto,,,,,\n"
	s, ps := load(t, files)
	require.Equal(t, []string{"yards.csv:4:8: warning: a bloom date and a bloom rule are both given; the date is used"}, ps)
	mill, hill, lake, moor := &s.Yards[0], &s.Yards[1], &s.Yards[2], &s.Yards[3]
	require.NoError(t, mill.BloomRule.Validate())
	require.Equal(t, []float64{2, 75, 253, 2.4}, []float64{mill.BloomRule.BaseC, float64(mill.BloomRule.StartDOY), mill.BloomRule.NeedCd, mill.BloomRule.SpreadDays}, "16 March is day 75 of a common year")
	require.Equal(t, bloom.DependableNectar, mill.BloomRule.Role)
	require.Equal(t, -15, hill.BloomRule.StartDOY, "16 December lies 16 days before 1 January, which is day 1")
	require.Equal(t, 5.0, hill.BloomRule.SpreadDays, "the usual spread when none is given")
	require.Zero(t, lake.BloomRule.NeedCd)
	require.Equal(t, 3.0, lake.BloomSpreadDays)
	require.Zero(t, moor.BloomRule.NeedCd, "no rule")

	us := good()
	us["settings.toml"] = "units = \"us\"\n"
	us["yards.csv"] = "yard,lat,climate,bloom_base,bloom_start,bloom_need_cd\nMill,45,auto,32,04-01,273\n"
	s, ps = load(t, us)
	require.Empty(t, ps)
	require.InDelta(t, 0, s.Yards[0].BloomRule.BaseC, 1e-9, "a bare base is in F where the settings say us")
}

func TestBadBloomRule(t *testing.T) {
	for _, c := range []struct {
		name, row string
		want      []string
	}{
		{"half a rule", "2,03-16,", []string{"yards.csv:2:6: the bloom rule lacks bloom_need_cd; give bloom_base_c, bloom_start and bloom_need_cd together, as bloomgap bloom fit prints them"}},
		{"start in summer", "2,08-16,253", []string{`yards.csv:2:5: bloom_start "08-16" is not a day from 1 December to 30 June; write month-day, such as 04-01`}},
		{"base and sum that cannot be", "40,03-16,-3", []string{
			"yards.csv:2:4: bloom_base 40 C is not possible: it must lie from -10 to 20 C; correct it or its unit",
			"yards.csv:2:6: bloom_need_cd -3 is not possible: it must lie from 1 to 3000; correct it"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := good()
			files["yards.csv"] = "yard,lat,climate,bloom_base_c,bloom_start,bloom_need_cd\nMill,45,auto," + c.row + "\n"
			s, ps := load(t, files)
			require.Equal(t, c.want, ps)
			require.Zero(t, s.Yards[0].BloomRule.NeedCd, "a rule with a problem is not kept")
		})
	}
}

func TestStartText(t *testing.T) {
	for doy := -30; doy <= 181; doy++ { // 1 December to 30 June
		back, ok := season.StartDOY(season.StartText(doy))
		require.True(t, ok, "day %d", doy)
		require.Equal(t, doy, back)
	}
}

func TestMonthlyMeans(t *testing.T) {
	const farnhamC = "-9.6 -8.3 -2.4 6.4 13.2 18.1 20.6 19.5 15.0 8.5 2.2 -5.4" // about Farnham, Quebec
	files := good()
	files["yards.csv"] = "yard,lat,monthly_means_c,monthly_means_f,climate\n" +
		"Mill,45," + farnhamC + ",,\n" +
		"Hill,45,,14;18;28;43;56;65;69;67;59;47;36;22,\n" +
		"Lake,45," + farnhamC + ",,farnham\n"
	s, ps := load(t, files)
	require.Equal(t, []string{"yards.csv:4:5: warning: monthly means and a climate are both given; the means are used"}, ps)
	require.Len(t, s.Yards[0].MonthlyMeanC, 12)
	require.Equal(t, -9.6, s.Yards[0].MonthlyMeanC[0])
	require.InDelta(t, -10, s.Yards[1].MonthlyMeanC[0], 1e-9, "14 F")
	require.Empty(t, s.Yards[2].Climate)

	for _, c := range []struct{ name, cells, want string }{
		{"eleven months", "1 2 3 4 5 6 7 8 9 10 11,", "yards.csv:2:3: there are 11 monthly means; write the mean temperature of January to December as twelve numbers separated by spaces"},
		{"a word", "1 2 3 4 5 6 7 8 9 10 11 cold,", `yards.csv:2:3: "cold" is not a number; write the mean temperature of January to December as twelve numbers separated by spaces`},
		{"F written as C", "14 18 28 43 56 65 69 67 59 47 36 22,", "yards.csv:2:3: "},
		{"not a number at all", "NaN 2 3 4 5 6 7 8 9 10 11 12,", "yards.csv:2:3: "},
		{"both", farnhamC + "," + farnhamC, "yards.csv:2:4: monthly means are given in C and in F; keep one of the two"},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := good()
			files["yards.csv"] = "yard,lat,monthly_means_c,monthly_means_f\nMill,45," + c.cells + "\n"
			s, ps := load(t, files)
			require.NotEmpty(t, ps)
			require.Contains(t, ps[0], c.want)
			require.Nil(t, s.Yards[0].MonthlyMeanC)
		})
	}
}

func TestParameters(t *testing.T) {
	first := colony.Catalogue()[0]
	files := good()
	files["settings.toml"] = "seed = 3\n[parameters]\nactivity_mg = 5\nheat_loss_w = 0.3\n"
	s, ps := load(t, files)
	require.Empty(t, ps)
	require.Equal(t, "heat_loss_w", first.Name)
	require.Equal(t, []season.Parameter{{Name: "activity_mg", Value: 5}, {Name: "heat_loss_w", Value: 0.3}}, s.Settings.Parameters)
	require.NoError(t, s.Settings.Validate())

	files["settings.toml"] = "[parameters]\n  activity_mg = 500\nheat_lost_w = 0.3\ncore_brood_c = \"warm\"\ncore_broodless_c = nan\n"
	s, ps = load(t, files)
	require.Equal(t, []string{
		"settings.toml:2:3: parameters.activity_mg = 500 is not possible: it must lie from 0.8 to 11; correct it",
		`settings.toml:3:1: there is no parameter "heat_lost_w"; did you mean "heat_loss_w"? Else bloomgap parameters lists them`,
		"settings.toml:4:1: parameters.core_brood_c must be a number; write it without quotation marks",
		"settings.toml:5:1: parameters.core_broodless_c = NaN is not possible: it must lie from 17 to 27; correct it",
	}, ps)
	require.Empty(t, s.Settings.Parameters)

	bad := season.DefaultSettings()
	bad.Parameters = []season.Parameter{{Name: "activity_mg", Value: math.NaN()}}
	require.ErrorContains(t, bad.Validate(), "activity_mg")
}

func TestOneYard(t *testing.T) {
	s, ps := season.OneYard(season.DefaultSettings(), today, map[string]string{"lat": "45.3", "climate": "auto"})
	require.Empty(t, ps)
	require.Len(t, s.Yards, 1)
	require.Empty(t, s.Colonies)
	_, ps = season.OneYard(season.DefaultSettings(), today, map[string]string{"lat": "95", "climate": "auto"})
	require.Equal(t, "--lat: lat 95 is not possible: it must lie from 25 to 70; correct it", ps[0].String())
}
