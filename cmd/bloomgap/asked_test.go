package main

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/plots/files"
)

// quebec is an invented light single near Farnham, asked about on 20 March.
func quebec(more ...string) []string {
	return append([]string{"--lat", "45.3", "--lon", "-72.9", "--date", "2027-03-20", "--next-visit", "2027-03-23", "--days-between", "8",
		"--boxes", "1 deep", "--heft", "light", "--seams", "5", "--count-temp", "6", "--supplement=false", "--members", "200"}, more...)
}

// bern is an invented hive near Bern that was weighed on 10 April.
func bern(more ...string) []string {
	return append([]string{"--lat", "46.9", "--lon", "7.4", "--date", "2027-04-10", "--today", "2027-04-10", "--boxes", "1 deep", "--gross", "19.5",
		"--seams", "6", "--supplement=false", "--members", "200"}, more...)
}

// heavy is an invented double with all the food it needs.
func heavy(more ...string) []string {
	return append([]string{"--lat", "45.3", "--lon", "-72.9", "--date", "2027-03-20", "--boxes", "2 deep", "--gross", "45", "--seams", "7",
		"--supplement=false", "--members", "200"}, more...)
}

// callScript is a question as a caller puts it, and the kind of answer that must come: the
// codes of its lines in order, and what must hold between its figures.
type callScript struct {
	who   string
	flags []string
	ask   string
	codes []string
	holds func(t *testing.T, says []files.NoteDoc)
}

// said is a figure of the line with a code.
func said(t *testing.T, says []files.NoteDoc, code, figure string) float64 {
	t.Helper()
	for _, n := range says {
		if n.Code == code {
			v, ok := n.Figures[figure].(float64)
			require.True(t, ok, "%s has the figure %s: %v", code, figure, n.Figures)
			return v
		}
	}
	require.Fail(t, "no line "+code)
	return 0
}

// middle is the middle of a range among the figures of a line.
func middle(t *testing.T, n files.NoteDoc, figure string) float64 {
	t.Helper()
	r, ok := n.Figures[figure].(map[string]any)
	require.True(t, ok, "%s has the range %s", n.Code, figure)
	v, ok := r["p50"].(float64)
	require.True(t, ok, "%s of %s is known", figure, n.Code)
	return v
}

func calls() []callScript {
	wrapCodes := func(first string) []string {
		return []string{first, "answer.wrap_risk", "answer.wrap_nights", "answer.wrap_from", "answer.wrap_care"}
	}
	prices := []string{"--price-colony", "200", "--price-sugar", "1.2", "--price-trip", "30", "--trip-hives", "10", "--price-scale", "250", "--currency", "francs"}
	springCodes := []string{"answer.spring_moved", "answer.spring_thirds", "answer.spring_week", "answer.spring_look"}
	return []callScript{
		{"cold March: which syrup?", quebec(), "ratio",
			[]string{"answer.mix_solid_first", "answer.mix_comes", "answer.mix_comes", "answer.mix_comes", "answer.mix_care"}, thinTakesLonger},
		{"mild April: which syrup?", bern(), "ratio",
			[]string{"answer.mix_this", "answer.mix_comes", "answer.mix_comes", "answer.mix_comes", "answer.mix_care"}, thinTakesLonger},
		{"nothing is needed: which syrup?", heavy(), "ratio",
			[]string{"answer.mix_none", "answer.mix_comes", "answer.mix_comes", "answer.mix_comes", "answer.mix_care"},
			func(t *testing.T, says []files.NoteDoc) {
				thinTakesLonger(t, says)
				for _, n := range says[1:4] {
					require.Zero(t, n.Figures["trips"], "nothing is fed")
				}
			}},
		{"why not my frame feeder?", quebec(), "feeder", []string{"answer.feeder_is", "answer.feeder_not", "answer.open_care"}, nil},
		{"a tub by the shed?", quebec(), "open", []string{"answer.open_not", "answer.open_care"}, func(t *testing.T, says []files.NoteDoc) {
			days := said(t, says, "answer.open_not", "days")
			require.Greater(t, days, 5.0)
			require.Less(t, days, said(t, says, "answer.open_not", "of"))
			require.LessOrEqual(t, said(t, says, "answer.open_not", "spell_days"), said(t, says, "answer.open_not", "of"))
		}},
		{"honey from the shop, light hive?", quebec(), "honey", []string{"answer.honey_not", "answer.honey_frames", "answer.honey_care"},
			func(t *testing.T, says []files.NoteDoc) {
				require.GreaterOrEqual(t, said(t, says, "answer.honey_frames", "frames")*2.7, said(t, says, "answer.honey_frames", "lack_kg"), "the frames hold what it lacks")
			}},
		{"honey, heavy hive?", heavy(), "honey", []string{"answer.honey_not", "answer.honey_enough", "answer.honey_care"}, nil},
		{"candy in a cold March?", quebec(), "candy", []string{"answer.candy_now", "answer.candy_lasts", "answer.candy_care"}, func(t *testing.T, says []files.NoteDoc) {
			require.Less(t, said(t, says, "answer.candy_now", "max_c"), said(t, says, "answer.candy_now", "below_c"))
			require.Greater(t, middle(t, says[1], "days"), 10.0, "about a kg of stores a week and less (Austrian and German institute pages)")
		}},
		{"candy in a mild April?", bern(), "candy", []string{"answer.candy_not_now", "answer.candy_lasts", "answer.candy_care"}, nil},
		{"a jar at the door in March?", quebec(), "jar", []string{"answer.jar_not", "answer.jar_holds", "answer.jar_care"}, func(t *testing.T, says []files.NoteDoc) {
			require.Less(t, said(t, says, "answer.jar_holds", "food_days"), 10.0, "a litre is days of food, not weeks")
		}},
		{"spring two weeks late?", quebec(), "late", springCodes, laterIsHungrier},
		{"three weeks early?", bern("--shift-days", "21"), "early", springCodes, laterIsHungrier},
		{"wrap off in March?", quebec("--wrapped", "yes"), "unwrap", wrapCodes("answer.wrap_keep"), wrapCosts},
		{"wrap off in late May?", quebec("--wrapped", "yes", "--unwrap-on", "2027-05-10"), "unwrap", wrapCodes("answer.wrap_off"), wrapCosts},
		{"should I wrap it still?", quebec(), "unwrap", wrapCodes("answer.wrap_on"), wrapCosts},
		{"five seams: too weak?", quebec(), "unite",
			[]string{"answer.unite_not", "answer.unite_chances", "answer.unite_hunger", "answer.honey_frames", "answer.unite_care"}, uniteChances},
		{"two and a half seams in March?", quebec("--seams", "2.5"), "unite",
			[]string{"answer.unite_do", "answer.unite_chances", "answer.unite_cold", "answer.unite_care"}, uniteChances},
		{"three seams in a mild April?", bern("--seams", "3", "--date", "2027-04-20", "--today", "2027-04-20"), "unite",
			[]string{"answer.unite_feed", "answer.unite_chances", "answer.unite_hunger", "answer.unite_care"}, uniteChances},
		{"no sound from it: dead?", quebec("--lost", "3", "--of", "20"), "dead",
			[]string{"answer.dead_wait", "answer.dead_check", "answer.dead_order", "answer.dead_report", "answer.dead_gear", "answer.losses"},
			func(t *testing.T, says []files.NoteDoc) {
				require.Equal(t, 0.15, said(t, says, "answer.losses", "frac"))
				require.Less(t, said(t, says, "answer.losses", "least_frac"), 0.15)
				require.Greater(t, said(t, says, "answer.losses", "most_frac"), 0.15)
				require.Equal(t, says[0].Figures["fly_by"], says[2].Figures["fly_by"], "closed before bees rob")
			}},
		{"is it worth the sugar?", quebec(prices...), "worth",
			[]string{"answer.worth_feed", "answer.worth_from", "answer.worth_best", "answer.worth_scale", "answer.worth_care"},
			func(t *testing.T, says []files.NoteDoc) {
				saved, spent := said(t, says, "answer.worth_feed", "saved"), said(t, says, "answer.worth_feed", "spent")
				require.Greater(t, saved, spent, "a colony against some kg of sugar")
				require.InDelta(t, saved/said(t, says, "answer.worth_feed", "trips"), said(t, says, "answer.worth_feed", "by_trip"), 0.01*saved)
				require.Less(t, said(t, says, "answer.worth_from", "risk_frac"), 0.3)
				require.LessOrEqual(t, said(t, says, "answer.worth_best", "total"), said(t, says, "answer.worth_best", "planned_total"))
			}},
		{"worth it for a heavy one?", heavy(prices...), "worth", []string{"answer.worth_none", "answer.worth_care"}, nil},
		{"20 November, a light single: how often do I feed?", onDay("2026-11-20"), "winter",
			[]string{"answer.winter_need", "answer.winter_has", "answer.winter_sizes", "answer.winter_solid", "answer.winter_scope"}, winterNeeds},
		{"October, a double of 45 kg: enough?", onDay("2026-10-12", "--boxes", "2 deep", "--gross", "45", "--heft", ""), "winter",
			[]string{"answer.winter_need", "answer.winter_has", "answer.winter_sizes", "answer.winter_safe", "answer.winter_scope"}, winterNeeds},
		{"what should it have weighed in March?", quebec(), "winter", []string{"answer.winter_need", "answer.winter_has", "answer.winter_sizes"}, winterNeeds},
		{"late, a heavy hive?", heavy(), "late", springCodes, func(t *testing.T, says []files.NoteDoc) {
			laterIsHungrier(t, says)
			require.Equal(t, "no feed", says[0].Figures["verdict"])
			require.Zero(t, says[0].Figures["sugar_kg"])
		}},
	}
}

// laterIsHungrier: later springs, and the later third of springs, leave no less risk and take
// no less sugar, on invented hives with little to gather before nectar.
func laterIsHungrier(t *testing.T, says []files.NoteDoc) {
	t.Helper()
	by := said(t, says, "answer.spring_moved", "later_days")
	for _, figure := range []string{"risk_frac", "sugar_kg"} {
		moved, plain := said(t, says, "answer.spring_moved", figure), said(t, says, "answer.spring_moved", "plain_"+figure)
		require.GreaterOrEqual(t, by*(moved-plain), 0.0, figure)
	}
	require.GreaterOrEqual(t, said(t, says, "answer.spring_thirds", "late_frac"), said(t, says, "answer.spring_thirds", "early_frac"))
	require.Less(t, says[1].Figures["early_nectar"], says[1].Figures["late_nectar"])
	require.Less(t, says[0].Figures["plain_nectar"], says[1].Figures["late_nectar"])
	if by > 0 {
		require.Greater(t, says[0].Figures["nectar"], says[0].Figures["plain_nectar"])
	} else {
		require.Less(t, says[0].Figures["nectar"], says[0].Figures["plain_nectar"])
	}
}

// winterNeeds: a larger cluster needs more, what is needed is what is held and what is
// lacking in as many springs, and the need of this cluster is one of those listed.
func winterNeeds(t *testing.T, says []files.NoteDoc) {
	t.Helper()
	need := said(t, says, "answer.winter_need", "need_stores_kg")
	kg, ok := says[2].Figures["need_kg"].([]any)
	require.True(t, ok)
	require.Len(t, kg, 3)
	require.Less(t, kg[0], kg[1])
	require.Less(t, kg[1], kg[2])
	require.InDelta(t, need, kg[1], 0.001)
	require.Greater(t, need, 5.0)
	require.Less(t, need, 30.0, "October to the end of April, unfed: accept 17 to 30 kg (Seeley & Visscher 1985), from November less")
}

// onDay is the light single of Quebec asked about on another day.
func onDay(day string, more ...string) []string {
	return append([]string{"--lat", "45.3", "--lon", "-72.9", "--date", day, "--today", day, "--boxes", "1 deep", "--heft", "light", "--seams", "5",
		"--supplement=false", "--members", "200"}, more...)
}

// From October to January a hive gets the answer for winter without being asked; the plan
// has one visit before February. From June to September there is none, with the reason.
func TestDaysThatAreNoSpring(t *testing.T) {
	t.Parallel()
	var out, errs bytes.Buffer
	require.Zero(t, run(t.Context(), append([]string{"hive", "--json"}, onDay("2026-11-20")...), testConsole(&out, &errs)), errs.String())
	var doc files.Document
	require.NoError(t, json.Unmarshal(out.Bytes(), &doc))
	require.Equal(t, "winter", doc.Asked[0].Question)
	february := time.Date(2027, time.February, 1, 0, 0, 0, 0, time.UTC)
	early := 0
	for _, f := range doc.Colonies[0].Feedings {
		if f.Date.Before(february) {
			early++
		}
	}
	require.Equal(t, 1, early)
	out.Reset()
	require.Zero(t, run(t.Context(), append([]string{"hive"}, onDay("2027-01-31")...), testConsole(&out, &errs)))
	require.Contains(t, out.String(), "Enough for winter?")
	out.Reset()
	require.Zero(t, run(t.Context(), append([]string{"hive"}, onDay("2027-02-01")...), testConsole(&out, &errs)))
	require.NotContains(t, out.String(), "winter")
	for _, day := range []string{"2027-06-01", "2027-08-10", "2027-09-30"} {
		out.Reset()
		errs.Reset()
		require.Equal(t, 3, run(t.Context(), append([]string{"hive"}, onDay(day)...), testConsole(&out, &errs)), day)
		require.Contains(t, errs.String(), "is no day to plan spring feed")
		require.Empty(t, out.String())
	}
}

// uniteChances: a hungry colony that cuts its brood starves no oftener than one that rears
// on, on these hives, and feed helps.
func uniteChances(t *testing.T, says []files.NoteDoc) {
	t.Helper()
	f := says[1].Figures
	require.GreaterOrEqual(t, f["unfed_hungry"], f["unfed"])
	require.GreaterOrEqual(t, f["both_hungry"], f["both"])
	if f["feeds"].(bool) {
		require.Greater(t, f["fed"], f["unfed"])
	}
}

// wrapCosts: being bare costs food and never lowers the risk, and the day that is named is
// the first from which it costs under what is allowed.
func wrapCosts(t *testing.T, says []files.NoteDoc) {
	t.Helper()
	what, ok := says[0].Figures["what"].(map[string]any)
	require.True(t, ok)
	cost, ok := what["cost_kg"].(map[string]any)
	require.True(t, ok)
	require.GreaterOrEqual(t, cost["p10"], 0.0)
	late := what["from"].(string) <= what["on"].(string)
	require.Equal(t, late, cost["p90"].(float64) < what["under_kg"].(float64))
	require.Equal(t, what["from"], says[3].Figures["from"])
	risk := says[1].Figures
	require.GreaterOrEqual(t, risk["risk_off"].(map[string]any)["frac"], risk["risk_on"].(map[string]any)["frac"])
}

// thinTakesLonger: of the same sugar, thin syrup is more litres, less stores, and longer in
// the feeder.
func thinTakesLonger(t *testing.T, says []files.NoteDoc) {
	t.Helper()
	for i := 2; i < 4; i++ {
		thin, thick := says[i-1], says[i]
		require.Greater(t, thin.Figures["taken_volume_l"], thick.Figures["taken_volume_l"])
		require.Less(t, thin.Figures["stores_kg_per_kg"], thick.Figures["stores_kg_per_kg"])
		require.GreaterOrEqual(t, middle(t, thin, "taken_days"), middle(t, thick, "taken_days"))
		require.Equal(t, thin.Figures["taken_sugar_kg"], thick.Figures["taken_sugar_kg"])
	}
}

// mostSaid is how many lines of a terminal an answer may take, its question left aside.
const mostSaid = 8

func TestCalls(t *testing.T) {
	t.Parallel()
	for _, c := range calls() {
		var doc files.Document
		require.NoError(t, json.Unmarshal([]byte(answered(t, c, "--json")), &doc), c.who)
		require.Len(t, doc.Asked, 1, c.who)
		require.Equal(t, c.ask, doc.Asked[0].Question)
		var codes []string
		for _, n := range doc.Asked[0].Says {
			codes = append(codes, n.Code)
		}
		require.Equal(t, slices.Compact(c.codes), slices.Compact(codes), c.who) // how many lines of a kind is the answer's own
		if c.holds != nil {
			c.holds(t, doc.Asked[0].Says)
		}
		for _, units := range []string{"metric", "us"} {
			lines := strings.Split(strings.TrimSpace(answered(t, c, "--units", units, "--input-units", "metric")), "\n")
			require.LessOrEqual(t, len(lines)-1, mostSaid, "%s\n%s", c.who, strings.Join(lines, "\n"))
		}
	}
}

// answered is what the command prints for a call.
func answered(t *testing.T, c callScript, more ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	args := append(append([]string{"hive"}, c.flags...), append([]string{"--ask", c.ask}, more...)...)
	require.Zero(t, run(t.Context(), args, testConsole(&out, &errs)), "%s: %s", c.who, errs.String())
	return out.String()
}

func TestQuestionsThatAreNone(t *testing.T) {
	t.Parallel()
	var out, errs bytes.Buffer
	require.Equal(t, 2, run(t.Context(), append([]string{"hive"}, quebec("--ask", "queen")...), testConsole(&out, &errs)))
	require.Contains(t, errs.String(), `--ask "queen" is not known; write one of: ratio, feeder,`)
	require.Empty(t, out.String())
	errs.Reset()
	require.Equal(t, 2, run(t.Context(), append([]string{"hive"}, quebec("--ask", "worth", "--price-sugar", "1.2")...), testConsole(&out, &errs)))
	require.Contains(t, errs.String(), "give --price-colony, and --price-sugar or --price-trip")
	require.Empty(t, out.String(), "nothing of money without prices")
}
