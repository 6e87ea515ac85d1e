package season_test

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/sim/observe"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/require"
)

func TestDefaultSettings(t *testing.T) {
	s := season.DefaultSettings()
	require.NoError(t, s.Validate())
	require.True(t, s.ChooseStrength())
	bad := s
	bad.AcceptRiskFrac, bad.ReserveKg, bad.SugarBagKg, bad.Draws, bad.Springs, bad.BeesWantedBees = 0, -1, 0, 0, -1, -5
	bad.Rules.AnyFeederFromC = -30
	bad.Strength = syrup.Strength{MassFrac: 2}
	require.Len(t, strings.Split(bad.Validate().Error(), "\n"), 8, "all that is wrong, each on a line")
}

func TestSettings(t *testing.T) {
	files := good()
	files["settings.toml"] = `
units = "Metric"
today = 2027-03-19
accept_risk_percent = 2.5
strength = "3:2"
supplement = true
bees_wanted_date = "2027-05-10"
seams_wanted = 8
springs = 0
draws = 20
seed = 9
feeding = { allow_open = true, solid_only_below_c = 3 }
[prices]
currency = "francs"
colony = 200
sugar = 1.2
trip = 30
trip_hives = 10
day = 250
scale = 90
`
	s, ps := load(t, files)
	require.Empty(t, ps)
	set := s.Settings
	require.Equal(t, day(3, 19), s.Today)
	require.Equal(t, 0.025, set.AcceptRiskFrac)
	require.Equal(t, syrup.ThreeToTwo(), set.Strength)
	require.True(t, set.ProteinConsidered && set.AllowOpenFeeding)
	require.Equal(t, day(5, 10), set.BeesWantedDate)
	require.Equal(t, observe.BeesFromSeams(8, 20, observe.Deep).MeanBees, set.BeesWantedBees)
	require.Equal(t, []int{0, 20, 9}, []int{set.Springs, set.Draws, int(set.Seed)})
	require.Equal(t, season.Prices{Currency: "francs", Colony: 200, SugarPerKg: 1.2, Trip: 30, TripHives: 10, Day: 250, Scale: 90}, set.Prices)
	require.Equal(t, season.FeedRules{SolidOnlyBelowC: 3, TouchingOnlyBelowC: 10, AnyFeederFromC: 13}, set.Rules)
}

func TestBadSettings(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"not TOML", "units metric\n", []string{`settings.toml:1:7: the settings cannot be read: expected '=' after key; write name = value, with text in quotation marks`}},
		{"twice", "seed = 1\nseed = 2\n", []string{`settings.toml:2:1: the settings cannot be read: key seed is already defined; write name = value, with text in quotation marks`}},
		{"unknown and misplaced", "paint = 1\n  sprigns = 3\nallow_open = true\n[feeding]\nseed = 4\n", []string{
			`settings.toml:1:1: the setting "paint" is not known; remove it, or begin its line with #`,
			`settings.toml:2:3: the setting "sprigns" is not known; did you mean "springs"?`,
			`settings.toml:3:1: the setting "allow_open" is not known; it belongs under [feeding]`,
			`settings.toml:5:1: the setting "feeding.seed" is not known; it belongs above the first heading in brackets`}},
		{"wrong kinds", "units = 3\nsupplement = \"yes\"\nseed = 1.5\nreserve_kg = \"5\"\ntoday = 20.3\n", []string{
			`settings.toml:1:1: units must be text; put it in quotation marks`,
			`settings.toml:2:1: supplement must be true or false; write true or false without quotation marks`,
			`settings.toml:3:1: seed must be a whole number; write it without decimals`,
			`settings.toml:4:1: reserve_kg must be a number; write it without quotation marks`,
			`settings.toml:5:1: today is not a date; write year-month-day without quotation marks, such as 2027-03-20`}},
		{"out of range", "accept_risk_percent = 0\nreserve_lb = 500\ndraws = 0\nsugar_bag_kg = nan\n", []string{
			`settings.toml:1:1: accept_risk_percent = 0 is not possible: it must lie from 0.1 to 99; correct it`,
			`settings.toml:2:1: reserve_lb = 500 is not possible: it must lie from 0 to 132.3; correct it`,
			`settings.toml:3:1: draws = 0 is not possible: it must lie from 1 to 1000; correct it`,
			`settings.toml:4:1: sugar_bag_kg = NaN is not possible: it must lie from 0.1 to 1500; correct it`}},
		{"words", "units = \"imperial\"\nstrength = \"thick\"\n", []string{
			`settings.toml:1:1: units "imperial" are not known; write "metric" or "us"`,
			`settings.toml:2:1: "thick" is not a syrup strength; write sugar:water by weight such as 3:2, a percentage such as 60%, or 2:1 by volume; or write "choose"`}},
		{"prices", "colony = 3\nsugar = 1\n[prices]\ncolony = -1\nsugar = \"dear\"\ntrpi = 3\ntrip_hives = 0\n  currency = 5\nday = inf\nscale = nan\n", []string{
			`settings.toml:1:1: the setting "colony" is not known; it belongs under [prices]`,
			`settings.toml:2:1: the setting "sugar" is not known; it belongs under [prices]`,
			`settings.toml:4:1: prices.colony = -1 is not possible: it must lie from 0 to 10000000; correct it`,
			`settings.toml:5:1: prices.sugar must be a number; write it without quotation marks`,
			`settings.toml:6:1: the setting "prices.trpi" is not known; did you mean "trip"?`,
			`settings.toml:7:1: prices.trip_hives = 0 is not possible: it must lie from 1 to 10000; correct it`,
			`settings.toml:8:3: prices.currency must be text; put it in quotation marks`,
			`settings.toml:9:1: prices.day = +Inf is not possible: it must lie from 0 to 10000000; correct it`,
			`settings.toml:10:1: prices.scale = NaN is not possible: it must lie from 0 to 10000000; correct it`}},
		{"prices of too little", "[prices]\nsugar = 1.2\n", []string{
			`settings.toml:1:2: warning: nothing is weighed by these prices; give colony, and sugar or trip, each above 0`}},
		{"both units", "reserve_kg = 5\nreserve_lb = 11\n", []string{`settings.toml:2:1: reserve_kg and reserve_lb are both given; keep one of the two`}},
		{"bees without a day", "bees_wanted = 9000\n", []string{`settings.toml:1:1: bees are wanted, but no day for them is given; write bees_wanted_date = 2027-05-01, say`}},
		{"temperatures out of order", "\n[feeding]\nsolid_only_below_c = 12\n", []string{
			`settings.toml:2:2: the feeding temperatures do not rise; put them in the order solid_only_below, touching_only_below, any_feeder_from`}},
	} {
		files := good()
		files["settings.toml"] = c.text
		_, ps := load(t, files)
		require.Empty(t, cmp.Diff(c.want, ps), c.name)
	}
}

func FuzzSettings(f *testing.F) {
	f.Add("units = \"us\"\nreserve_lb = 5\n[feeding]\nallow_open = true\n")
	f.Add("feeding = {any_feeder_from_f = 1e9}\na.b.c = [1, {x = 2}]\n")
	f.Add("today = 2027-03-20T10:00:00Z\n[[feeding]]\nx = 1\n")
	f.Add("dusting_first_round = 2027-03-30\ndusting_rounds = 4\nsupers_on = 2027-05-20\n")
	f.Add("[prices]\ncolony = 200\nsugar = -0.0\ntrip = nan\ncurrency = \"\\n\"\n")
	f.Add("[parameters]\nactivity_mg = 5\nheat_loss_w = nan\nx.y = 1\n")
	f.Fuzz(func(t *testing.T, text string) {
		files := fstest.MapFS{"settings.toml": {Data: []byte(text)}}
		for name, rest := range good() {
			if name != "settings.toml" {
				files[name] = &fstest.MapFile{Data: []byte(rest)}
			}
		}
		s, ps := season.LoadFS(files, today)
		for _, p := range ps {
			if strings.ContainsAny(p.Message+p.Fix, "\n\r") {
				t.Fatalf("a problem must be one line: %q", p.String())
			}
		}
		if ps.Err() == nil {
			if err := s.Settings.Validate(); err != nil {
				t.Fatalf("%q was accepted: %v", text, err)
			}
			if math.IsNaN(s.Settings.ReserveKg) || s.Today.IsZero() {
				t.Fatalf("%q: %+v", text, s.Settings)
			}
		}
	})
}
