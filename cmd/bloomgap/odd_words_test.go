package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
)

// oddSettings are lines of settings.toml as keepers write them.
func oddSettings() []oddRun {
	const usual = "today = 2027-03-20\nsprings = 10\ndraws = 4\n"
	set := func(name string, f fate, lines string, like ...string) oddRun {
		r := table(name, f, "s/settings.toml", usual+lines+"\n")
		switch {
		case len(like) > 0 && like[0] == otherwise:
			return r.unlike()
		case len(like) > 0:
			return r.like("s/settings.toml", usual+like[0]+"\n")
		}
		return r
	}
	today := func(name string, f fate, line string) oddRun {
		return table(name, f, "s/settings.toml", line+"\nsprings = 10\ndraws = 4\n")
	}
	return []oddRun{
		set("risk as a share", refused, "accept_risk_percent = 0.05"),
		set("risk with a percent sign", refused, "accept_risk_percent = 5%"),
		set("risk as text", refused, `accept_risk_percent = "5"`),
		set("risk with a decimal comma", refused, "accept_risk_percent = 5,5"),
		set("risk of a hundred", refused, "accept_risk_percent = 100"),
		set("risk of a third of a percent", asked, "accept_risk_percent = 0.3"),
		set("risk of half the springs", asked, "accept_risk_percent = 50"),
		set("risk negative", refused, "accept_risk_percent = -5"),
		set("risk of nothing", refused, "accept_risk_percent = 0"),
		set("reserve in lb with a unit", refused, "reserve_kg = 11 lb"),
		set("reserve in lb under its own name", right, "reserve_lb = 11.0231131", "reserve_lb = 11.0231131"),
		set("reserve in both", refused, "reserve_kg = 5\nreserve_lb = 11"),
		set("reserve of a full hive", refused, "reserve_kg = 80"),
		set("reserve negative", refused, "reserve_kg = -1"),
		set("springs held as a share", refused, "reserve_springs_percent = 1"),
		set("strength as a word", refused, `strength = "thick"`),
		set("strength without quotes", refused, "strength = 2:1"),
		set("strength with water first", asked, `strength = "1:2"`),
		set("strength that does not dissolve", asked, `strength = "3:1"`),
		set("strength in percent", right, `strength = "66.7%"`, otherwise),
		set("strength in percent without its sign", refused, `strength = "67"`),
		set("strength as a share", refused, `strength = "0.67"`),
		set("strength of pure sugar", refused, `strength = "5:1"`),
		set("bag in lb under kg", refused, `sugar_bag_kg = "50 lb"`),
		set("bag of 50 kg", right, "sugar_bag_kg = 50", "sugar_bag_kg = 50.0"),
		set("bag of 500 kg", right, "sugar_bag_kg = 500", "sugar_bag_kg = 500.0"),
		set("units imperial", refused, `units = "imperial"`),
		set("units in other letters", right, `units = "Metric"`),
		set("days off of no week", refused, `days_off = "sonntag"`),
		set("days off by number", refused, "days_off = 7"),
		set("all days off", refused, `days_off = "mon tue wed thu fri sat sun"`),
		set("days off in short", right, `days_off = "Sun, sat"`, `days_off = "saturday; sunday"`),
		set("load in both", refused, "load_limit_kg = 500\nload_limit_lb = 1100"),
		set("load of nothing", refused, "load_limit_kg = 0"),
		set("load with its unit", refused, `load_limit_kg = "500 kg"`),
		set("lead of half a day", refused, "order_lead_days = 2.5"),
		set("lead of a week", right, "order_lead_days = 7", otherwise),
		set("container of a tank", refused, "container_l = 20000"),
		set("supplement as text", refused, `supplement = "yes"`),
		set("supplement without quotes", refused, "supplement = yes"),
		set("supplement under its old name", noted, "protein = true"),
		set("seed as text", refused, `seed = "one"`),
		set("seed with decimals", refused, "seed = 1.5"),
		set("a setting misspelt", refused, "acept_risk_percent = 5"),
		set("a setting twice", refused, "accept_risk_percent = 5\naccept_risk_percent = 10"),
		set("a setting with a colon", refused, "accept_risk_percent: 5"),
		set("a setting without a value", refused, "accept_risk_percent ="),
		set("a setting under the wrong heading", refused, "[feeding]\naccept_risk_percent = 5"),
		set("feeding temperature in F under C", refused, "[feeding]\nany_feeder_from_c = 55"),
		set("feeding temperatures that fall", refused, "[feeding]\nsolid_only_below_c = 15"),
		set("bees wanted without a day", refused, "bees_wanted = 12000"),
		set("bees wanted last year", noted, "bees_wanted_date = 2026-05-20"),
		set("bees wanted next year", refused, "bees_wanted_date = 2028-05-20"),
		set("bees wanted in a US date", refused, "bees_wanted_date = 5/20/2027"),
		set("bees wanted in thousands", refused, "bees_wanted_date = 2027-05-20\nbees_wanted = 12"),
		set("bees wanted with a comma", refused, "bees_wanted_date = 2027-05-20\nbees_wanted = 12,000"),
		set("seams wanted more than a hive has", refused, "bees_wanted_date = 2027-05-20\nseams_wanted = 60"),
		set("dusting last year", refused, "dusting_first_round = 2026-03-23"),
		set("dusting every day", refused, "dusting_first_round = 2027-03-23\ndusting_days_between = 1"),
		set("powder with its unit", refused, `dusting_g_per_colony = "12 g"`),
		set("powder in kg", refused, "dusting_g_per_colony = 0.03"),
		set("powder of nothing", refused, "dusting_g_per_colony = 0"),
		set("powder without a round", right, "dusting_g_per_colony = 12", otherwise),
		set("a parameter that is not known", refused, "[parameters]\nactivity = 3"),
		set("a parameter out of range", refused, "[parameters]\nactivity_mg = 3000"),
		set("a question confirmed that nobody asks", refused, "[confirm]\nweather = true"),
		today("today as text", right, `today = "2027-03-20"`),
		today("today in a US date", refused, "today = 3/20/2027"),
		today("today in words", refused, `today = "20 March 2027"`),
		today("today last year", refused, "today = 2026-03-20"),
		today("today next year", refused, "today = 2028-03-20"),
		today("today long after the look", noted, "today = 2027-05-28").unlike(),
		today("today in summer", refused, "today = 2027-07-01").unlike(),
		today("settings of a word processor", refused, "{\\rtf1 today = 2027-03-20}"),
		today("curly quotes", refused, "today = 2027-03-20\nunits = “us”"),
	}
}

// oddFlags are calls of hive as a keeper types them.
func oddFlags() []oddRun {
	at := []string{"hive", "--json", "--members", "60", "--lat", "45.3", "--lon=-72.9", "--climate", "farnham", "--date", "2027-03-20", "--boxes", "1 deep"}
	with := func(more ...string) []string { return append(append([]string(nil), at...), more...) }
	seams := func(more ...string) []string {
		return with(append([]string{"--seams", "5", "--count-temp", "6"}, more...)...)
	}
	hive := func(name string, f fate, args, like []string) oddRun {
		return oddRun{name: name, fate: f, args: args, likeArgs: like, answersOnly: like == nil}
	}
	light := seams("--heft", "light")
	return []oddRun{
		hive("gross with kg", right, seams("--gross", "27kg"), seams("--gross", "27")),
		hive("gross with lb", right, seams("--gross", "59.5lb"), seams("--input-units", "us", "--gross", "59.5", "--count-temp", "6C")),
		hive("gross in lb forgotten", refused, seams("--gross", "59.5"), nil),
		hive("gross with a comma", refused, seams("--gross", "27,5"), nil),
		hive("gross about", refused, seams("--gross", "~27"), nil),
		hive("lift of the whole hive", asked, append(seams("--lift-back", "27"), "--boxes", "2 deep"), nil),
		hive("lift confirmed", noted, append(seams("--lift-back", "27", "--confirm", "hive-weight"), "--boxes", "2 deep"), nil),
		hive("heft misspelt", refused, seams("--heft", "lite"), nil),
		hive("heft in capitals", right, seams("--heft", "Light"), light),
		hive("seams as a range", refused, with("--heft", "light", "--seams", "5-6"), nil),
		hive("seams about", refused, with("--heft", "light", "--seams", "~5"), nil),
		hive("count in F", right, with("--heft", "light", "--seams", "5", "--count-temp", "42.8F"), light),
		hive("count in F forgotten", asked, with("--heft", "light", "--seams", "5", "--count-temp", "43"), nil),
		hive("count in F forgotten, cold", asked, with("--heft", "light", "--seams", "5", "--count-temp", "28"), nil),
		hive("date in a US order", refused, seams("--heft", "light", "--date", "3/4/2027"), nil),
		hive("date to come", refused, seams("--heft", "light", "--date", "2027-03-27", "--today", "2027-03-20"), nil),
		hive("date of last year", refused, seams("--heft", "light", "--date", "2026-03-20"), nil),
		hive("longitude without its minus", noted, seams("--heft", "light", "--lon", "72.9"), nil),
		hive("longitude without its minus, climate auto", refused, seams("--heft", "light", "--lon", "72.9", "--climate", "auto"), nil),
		hive("no longitude, climate auto", noted, []string{"hive", "--json", "--members", "60", "--lat", "45.3", "--climate", "auto", "--date", "2027-03-20", "--boxes", "1 deep", "--heft", "light", "--seams", "5"}, nil),
		hive("swapped", refused, seams("--heft", "light", "--lat", "-72.9", "--lon", "45.3"), nil),
		hive("next visit past", noted, seams("--heft", "light", "--next-visit", "2027-03-01"), nil),
		hive("next visit without a year", refused, seams("--heft", "light", "--next-visit", "03-23"), nil),
		hive("bloom last year", refused, seams("--heft", "light", "--bloom-date", "2026-05-14"), nil),
		hive("risk as a share", asked, seams("--heft", "light", "--accept-risk", "0.05"), nil),
		hive("risk as a word", refused, seams("--heft", "light", "--accept-risk", "low"), nil),
		hive("reserve with a unit", refused, seams("--heft", "light", "--reserve", "11lb"), nil),
		hive("strength with water first", asked, seams("--heft", "light", "--strength", "1:2"), nil),
		hive("boxes single", refused, seams("--heft", "light", "--boxes", "single"), nil),
		hive("boxes that do not hold the seams", refused, with("--heft", "light", "--seams", "14"), nil),
		hive("wrapped maybe", refused, seams("--heft", "light", "--wrapped", "maybe"), nil),
		hive("elevation in ft", right, seams("--heft", "light", "--elev", "223.1ft"), seams("--heft", "light", "--elev", "68.00088m")),
		hive("bees wanted in the past", refused, seams("--heft", "light", "--bees-wanted", "2027-01-01"), nil),
		hive("means in F under C", refused, seams("--heft", "light", "--climate", "", "--monthly-means-c", "14 17 27 43 55 64 69 67 59 47 36 21"), nil),
		hive("units imperial", refused, seams("--heft", "light", "--units", "imperial"), nil),
		hive("a flag misspelt", refused, seams("--hefft", "light"), nil),
		hive("a flag with one dash", refused, seams("-heft", "light"), nil),
		hive("a curly dash", refused, seams("–heft", "light"), nil),
		hive("a question confirmed that nobody asks", refused, seams("--heft", "light", "--confirm", "weight"), nil),
	}
}

// oddBlooms are notes of bloom dates given to bloom fit.
func oddBlooms(t *testing.T) []oddRun {
	t.Helper()
	record := recordText(madeRecord(), plainHead, plainDay)
	dates := func(change func(i int, text string) string) string {
		b := "date\n"
		for i := range 9 {
			b += change(i, time.Date(2018+i, time.May, 3+(i*5)%11, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)) + "\n"
		}
		return b
	}
	same := func(_ int, s string) string { return s }
	at := func(layout string) string {
		return dates(func(_ int, s string) string {
			d, err := time.Parse(time.DateOnly, s)
			require.NoError(t, err)
			return d.Format(layout)
		})
	}
	instead := func(text string) string {
		return dates(func(i int, s string) string {
			if i == 4 {
				return text
			}
			return s
		})
	}
	args := []string{"bloom", "fit", "d.csv", "w.csv", "--json"}
	fit := func(name string, f fate, text string) oddRun {
		return oddRun{name: name, fate: f, files: map[string]string{"d.csv": text, "w.csv": record}, args: args, likeFiles: map[string]string{"d.csv": dates(same), "w.csv": record}}
	}
	return []oddRun{
		fit("dates with dots", right, at("2.1.2006")),
		fit("dates in words", right, at("2 January 2006")),
		fit("dates of which none settles the order", refused, strings.Replace(at("01/02/2006"), "05/13/2020", "05/12/2020", 1)),
		fit("dates of which one settles the order", right, at("01/02/2006")),
		fit("dates with semicolons", right, strings.ReplaceAll(dates(func(_ int, s string) string { return s + ";dandelion" }), "date\n", "date;plant\n")).unlike(),
		fit("a year of 2062", noted, instead("2062-05-07")).saying("the weather record does not reach the date"),
		fit("a bloom in October", asked, instead("2022-10-07")),
		fit("a bloom in January", noted, instead("2022-01-07")).saying("days from the middle of the dates; check month and day"),
		fit("no bloom that year", refused, instead("none")),
		fit("a bloom about", refused, instead("~7 May 2022")),
		fit("a bloom mid May", refused, instead("mid May 2022")),
		fit("a bloom without a year", refused, instead("7 May")),
		fit("a bloom with a question mark behind", refused, instead("2022-05-07?")),
		fit("a bloom as a range", refused, instead("2022-05-05 to 2022-05-09")),
		fit("a bloom of 29 February of no leap year", refused, instead("2022-02-29")),
		fit("a year twice", noted, dates(same)+"2022-05-30\n"),
		fit("one date only", refused, "date\n2022-05-07\n"),
		fit("all the same date", right, dates(func(i int, _ string) string { return fmt.Sprintf("%d-05-07", 2018+i) })).unlike(),
		fit("no dates", refused, "date\n"),
		fit("no column of dates", refused, "when\n2022-05-07\n"),
		fit("day of the year without a year", refused, "doy\n127\n"),
		fit("day of the year", right, "year,doy\n"+strings.Join([]string{"2018,123", "2019,128", "2020,134", "2021,127", "2022,132", "2023,126", "2024,132", "2025,125", "2026,130"}, "\n")+"\n").unlike(),
		fit("years before the record", refused, dates(func(i int, _ string) string { return fmt.Sprintf("%d-05-07", 1990+i) })),
		fit("the record for the dates", asked, strings.Join(strings.SplitAfter(record, "\n")[:4], "")),
	}
}

// oddScales are weighings given to hindcast.
func oddScales(t *testing.T) []oddRun {
	t.Helper()
	record := recordText(madeRecord(), plainHead, plainDay)
	weights := func(head string, line func(i int, day time.Time, kg float64) string) string {
		b := head + "\n"
		for i := range 60 {
			b += line(i, time.Date(2026, time.February, 1+i, 0, 0, 0, 0, time.UTC), 34-0.09*float64(i)) + "\n"
		}
		return b
	}
	kilos := func(layout string) string {
		return weights("date,weight_kg", func(_ int, d time.Time, kg float64) string { return fmt.Sprintf("%s,%.2f", d.Format(layout), kg) })
	}
	plain := kilos(time.DateOnly)
	args := []string{"hindcast", "scale.csv", "w.csv", "--lat", "45.3", "--lon=-72.9", "--members", "100", "--seams", "7", "--json"}
	scale := func(name string, f fate, text string) oddRun {
		return oddRun{name: name, fate: f, files: map[string]string{"scale.csv": text, "w.csv": record}, args: args, likeFiles: map[string]string{"scale.csv": plain, "w.csv": record}}
	}
	times := func(f float64) func(int, time.Time, float64) string {
		return func(_ int, d time.Time, kg float64) string {
			return fmt.Sprintf("%s,%.2f", d.Format(time.DateOnly), f*kg)
		}
	}
	at := func(k int, text string) string {
		return weights("date,weight_kg", func(i int, d time.Time, kg float64) string {
			if i == k {
				return d.Format(time.DateOnly) + "," + text
			}
			return fmt.Sprintf("%s,%.2f", d.Format(time.DateOnly), kg)
		})
	}
	return []oddRun{
		scale("weights with US dates", right, kilos("1/2/2006")),
		scale("weights with dots", right, kilos("2.1.2006")),
		scale("weights with semicolons", right, strings.ReplaceAll(strings.ReplaceAll(plain, ",", ";"), ".", ",")),
		scale("weights in lb under lb", right, weights("date,weight_lb", times(1/0.45359237))).unlike(),
		scale("weights in lb under kg", noted, weights("date,weight_kg", times(1.2/0.45359237))).unlike(),
		scale("weights in g", right, weights("date,weight_g", times(1000))).unlike(),
		scale("weights in g under kg", refused, weights("date,weight_kg", times(1000))),
		scale("weights in kg under lb", noted, weights("date,weight_lb", times(1))).unlike(),
		scale("weights without a unit, of a usual hive in kg", right, weights("date,weight", times(1))),
		scale("weights without a unit, in lb", noted, weights("date,weight", times(1.2/0.45359237))).unlike(),
		scale("weights of the change only", refused, weights("date,weight_change_kg", func(_ int, d time.Time, _ float64) string { return d.Format(time.DateOnly) + ",-0.09" })),
		scale("a weight of zero", noted, at(30, "0")).unlike(),
		scale("a weight offline", right, at(30, "offline")).unlike(),
		scale("a weight of 999", noted, at(30, "999")).unlike(),
		scale("a weight in words", refused, at(30, "heavy")),
		scale("a jump of 6 kg, as when fed", noted, weights("date,weight_kg", func(i int, d time.Time, kg float64) string {
			if i >= 30 {
				kg += 6
			}
			return fmt.Sprintf("%s,%.2f", d.Format(time.DateOnly), kg)
		})).saying("more than flight allows"),
		scale("weights of another year", refused, strings.ReplaceAll(plain, "2026-", "2012-")),
		scale("one weight", refused, "date,weight_kg\n2026-02-01,34\n"),
		scale("no weights", refused, "date,weight_kg\n"),
		scale("a plan for weights", refused, plainSeason()["s/colonies.csv"]),
	}
}

// oddParts are parts of an order given to merge: the plain parts are of two yards
// that were planned alike.
func oddParts(t *testing.T) []oddRun {
	t.Helper()
	made := map[string]string{}
	t.Chdir(t.TempDir())
	for _, name := range []string{"a", "b"} {
		files := plainSeason()
		files["s/yards.csv"] = strings.ReplaceAll(files["s/yards.csv"], "Mill", "Yard "+name)
		files["s/colonies.csv"] = strings.ReplaceAll(files["s/colonies.csv"], "Mill", "Yard "+name)
		if name == "b" {
			files["s/colonies.csv"] = strings.ReplaceAll(files["s/colonies.csv"], "2027-03-18", "2027-03-17")
		}
		for file, text := range files {
			writeAll(t, name+"/"+file, text)
		}
		code, _, errs := call(t, "plan", name+"/s", "--sums", name+".json")
		require.Equal(t, exitOK, code, errs)
		made[name+".json"] = readAll(t, name+".json")
	}
	args := []string{"merge", "a.json", "b.json"}
	part := func(name string, f fate, change func(s *plan.Sums), more ...string) oddRun {
		var s plan.Sums
		require.NoError(t, json.Unmarshal([]byte(made["b.json"]), &s))
		change(&s)
		text, err := json.Marshal(s)
		require.NoError(t, err)
		files := maps.Clone(made)
		files["b.json"] = string(text)
		return oddRun{name: name, fate: f, files: files, args: append(args[:3:3], more...), likeFiles: made, likeArgs: args}
	}
	text := func(name string, f fate, change func(s string) string) oddRun {
		r := part(name, f, func(*plan.Sums) {})
		r.files["b.json"] = change(made["b.json"])
		return r
	}
	return []oddRun{
		part("parts as they are", right, func(*plan.Sums) {}),
		part("another accepted risk", refused, func(s *plan.Sums) { s.Terms[0].Value += "1" }),
		part("another format", refused, func(s *plan.Sums) { s.Format = "other" }),
		part("another seed", refused, func(s *plan.Sums) { s.Seed++ }),
		part("other members", refused, func(s *plan.Sums) { s.Members++ }),
		part("another bag", refused, func(s *plan.Sums) { s.BagKg = 50 }),
		part("another waste", refused, func(s *plan.Sums) { s.WasteFrac = 0.5 }),
		part("the name of the other yard", refused, func(s *plan.Sums) { s.Yards = []string{" YARD A"} }),
		part("no yard", refused, func(s *plan.Sums) { s.Yards = nil }),
		part("sugar negative", refused, func(s *plan.Sums) { s.SugarG[0] = -1 }),
		part("sugar of a ship", refused, func(s *plan.Sums) { s.SugarG[0] = 1 << 60 }),
		part("too few sums", refused, func(s *plan.Sums) { s.SugarG = s.SugarG[1:] }),
		part("no sums", refused, func(s *plan.Sums) { s.SugarG = nil }),
		part("colonies negative", refused, func(s *plan.Sums) { s.Fed = -1 }),
		part("a day that is none", refused, func(s *plan.Sums) { s.LaterBy = "soon" }),
		part("gear of another yard", refused, func(s *plan.Sums) { s.Needed = append(s.Needed, plan.GearCount{Yard: "Hill", Item: "pail", Count: 1}) }),
		part("gear that is not known", refused, func(s *plan.Sums) {
			s.Needed = append(s.Needed, plan.GearCount{Yard: "Yard b", Item: "smoker", Count: 1})
		}),
		part("gear negative", refused, func(s *plan.Sums) { s.OnHand = append(s.OnHand, plan.GearCount{Item: "tray", Count: -1}) }),
		part("gear on hand told otherwise", refused, func(s *plan.Sums) { s.OnHand[0].Count++ }),
		part("the same part twice", refused, func(*plan.Sums) {}, "b.json"),
		part("a part that is not there", refused, func(*plan.Sums) {}, "c.json"),
		text("an empty part", refused, func(string) string { return "" }),
		text("a part cut short", refused, func(s string) string { return s[:len(s)/2] }),
		text("two parts in a file", refused, func(s string) string { return s + s }),
		text("a part with another key", refused, func(s string) string { return strings.Replace(s, "{", `{"more":1,`, 1) }),
		text("a table for a part", refused, func(string) string { return plainSeason()["s/colonies.csv"] }),
		text("a list for a part", refused, func(string) string { return "[]" }),
		text("null for a part", refused, func(string) string { return "null" }),
	}
}
