package season_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
	"bloomgap/forage/read"
)

// TestReadingsThatLookWrong holds each question about a reading to its message.
// 27.0 kg of hive is 59.5 lb.
func TestReadingsThatLookWrong(t *testing.T) {
	const cut = "; if it is right as it is, confirm it"
	for name, c := range map[string]struct {
		row, want string // of yard,colony,date,boxes,gross_kg,lift_back_kg,seams,count_temp_c,confirmed
	}{
		"pounds under a kg heading": {"Mill,1,2027-03-18,2 deep,59.5,,6,4,",
			`colonies.csv:2:5: please check: by this weight colony "1" holds 35.6 kg of food, 57 % of what its combs take, which is much on 18 March; if the figure is in lb, the hive weighs 27.0 kg in all and holds about 3.1 kg of food`},
		"the whole weight in a lift column": {"Mill,1,2027-03-18,2 deep,,27,6,4,",
			`colonies.csv:2:6: please check: by this weight colony "1" holds 36.1 kg of food, 57 % of what its combs take, which is much on 18 March; if the figure is in lb, the hive weighs 27.2 kg in all and holds about 3.3 kg of food; ` +
				`if it is the weight of the whole hive, write it under gross: then it holds about 3.1 kg of food`},
		"41 under a C heading": {"Mill,1,2027-03-18,1 deep,,,6,41,",
			`colonies.csv:2:8: please check: it was 41 C when the seams were counted; if that is F, write 41 F`},
		"confirmed in its row": {"Mill,1,2027-03-18,2 deep,59.5,,6,4,yes",
			`colonies.csv:2:5: warning: confirmed: by this weight colony "1" holds 35.6 kg of food, 57 % of what its combs take, which is much on 18 March`},
		"a strong colony may be heavy": {"Mill,1,2027-03-18,2 deep,59.5,,14,4,", ""},
		"a full hive in autumn":        {"Mill,1,2026-11-01,2 deep,65,,8,4,", ""},
	} {
		t.Run(name, func(t *testing.T) {
			files := good()
			files["colonies.csv"] = "yard,colony,date,boxes,gross_kg,lift_back_kg,seams,count_temp_c,confirmed\n" + c.row + "\n"
			_, ps := season.Load(folder(t, files), today)
			var odd []string
			for _, p := range ps {
				if p.Code == season.WeightGuard || p.Code == season.CountTempGuard {
					text, _, _ := strings.Cut(p.String(), cut)
					odd = append(odd, text[strings.Index(text, "colonies.csv"):])
				}
			}
			if c.want == "" {
				require.Empty(t, odd)
				return
			}
			require.Equal(t, []string{c.want}, odd)
		})
	}
}

// TestWhatIsConfirmed: a question stops the run until its code stands under
// [confirm], and a code that nobody asks is a slip.
func TestWhatIsConfirmed(t *testing.T) {
	files := good()
	files["settings.toml"] = "today = 2027-03-20\naccept_risk_percent = 0.2\n"
	_, ps := season.Load(folder(t, files), today)
	require.ErrorContains(t, ps.Err(), "settings.toml:2:1: please check: the accepted risk is 0.2 %: less than one spring in 200; write percent: 20 for 20 %; if it is right as it is, confirm it: --confirm accept-risk")
	files["settings.toml"] += "[confirm]\naccept-risk = true\n"
	s, ps := season.Load(folder(t, files), today)
	require.NoError(t, ps.Err())
	require.Equal(t, 0.002, s.Settings.AcceptRiskFrac)
	require.True(t, s.Reading.Has(season.RiskGuard), "it is told with the plan")
	_, ps = season.LoadAsked(folder(t, files), today, season.Asked{Confirmed: []read.Code{season.RiskGuard}})
	require.NoError(t, ps.Err())
	files["settings.toml"] += "acept-risk = true\n"
	_, ps = season.Load(folder(t, files), today)
	require.ErrorContains(t, ps.Err(), `settings.toml:5:1: there is no question "acept-risk" to confirm; did you mean "accept-risk"? Else the questions are `)
}

// TestEveryGuardIsWhole: each has a code of its own, what it looks at and why.
func TestEveryGuardIsWhole(t *testing.T) {
	seen := map[read.Code]bool{}
	for _, g := range season.Guards() {
		require.False(t, seen[g.Code], "%s appears twice", g.Code)
		seen[g.Code] = true
		require.NotEmpty(t, g.What, g.Code)
		require.NotEmpty(t, g.Source, g.Code)
		_, may := season.ConfirmCode(string(g.Code))
		require.Equal(t, g.Level == read.Ask, may, g.Code)
	}
	require.GreaterOrEqual(t, len(seen), 14)
}
