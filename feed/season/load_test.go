package season_test

import (
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"bloomgap/feed/season"
	"bloomgap/forage/read"
	"bloomgap/forage/read/readtest"
	"bloomgap/sim/observe"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/require"
)

var today = time.Date(2027, time.March, 20, 0, 0, 0, 0, time.UTC)

func day(m time.Month, d int) time.Time { return time.Date(2027, m, d, 0, 0, 0, 0, time.UTC) }

// good is a folder without problems.
func good() map[string]string {
	return map[string]string{
		"settings.toml":     "reserve_kg = 6\n",
		"yards.csv":         "yard,lat,weather\nMill,45.3,w.csv\n",
		"w.csv":             "date,tmin_c,tmax_c,precip_mm\n2026-01-01,-5,1,\n",
		"colonies.csv":      "yard,colony,date,boxes,heft,seams\nMill,1,2027-03-18,1 deep,light,5\n",
		"equipment.csv":     "item,count\nbag rim,3\n",
		"notes-of-mine.txt": "not read",
	}
}

func folder(t testing.TB, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	return dir
}

// load gives the problems with the folder's own path taken off.
func load(t testing.TB, files map[string]string) (*season.Season, []string) {
	t.Helper()
	dir := folder(t, files)
	s, ps := season.Load(dir, today)
	var out []string
	for _, p := range ps {
		out = append(out, strings.ReplaceAll(p.String(), dir+string(filepath.Separator), ""))
	}
	return s, out
}

func TestGoodFolder(t *testing.T) {
	s, ps := load(t, good())
	require.Empty(t, ps)
	require.Equal(t, 6.0, s.Settings.ReserveKg)
	require.Equal(t, today, s.Today)
	require.False(t, s.Invented)
	y := s.Yard(" mill ")
	require.NotNil(t, y)
	require.True(t, math.IsNaN(y.LonDeg) && math.IsNaN(y.ElevM), "not given")
	require.Len(t, y.WeatherFiles, 1)
	require.FileExists(t, y.WeatherFiles[0])
	require.Empty(t, y.Climate)
	require.Equal(t, observe.DefaultTares(), y.Tares)
	c := s.ColoniesOf("Mill")[0]
	require.True(t, c.Alive)
	hive := c.Hive(y.Tares, s.Settings.Masses())
	require.Equal(t, 10, hive.Frames())
	require.Equal(t, season.Food{Kind: season.FoodHeft, Heft: season.HeftLight}, c.Last().Food)
	require.Equal(t, 5.0, c.Last().SeamsOfBees)
	require.True(t, math.IsNaN(c.Last().BroodFrames), "not looked at")
	require.Equal(t, 3, s.OnHand("Mill", season.BagRim))
	require.Nil(t, s.Yard("Hill"))
}

// Each case spoils one thing in the good folder. Where a slip has a second
// consequence both are wanted.
func TestBadFolders(t *testing.T) {
	const yards, colonies, equip, settings = "yards.csv", "colonies.csv", "equipment.csv", "settings.toml"
	head := "yard,colony,date,boxes,gross_kg,lift_back_kg,lift_left_kg,lift_right_kg,heft,food_frames_deep,seams,brood_frames,alive,count_temp_c\n"
	for _, c := range []struct {
		name, file, text string // text "" takes the file away
		want             []string
	}{
		{"no yards", yards, "", []string{
			"yards.csv: there is no table of yards; write yards.csv or yards.xlsx, or a sheet named yards in season.xlsx",
			`colonies.csv:2:1: the yard "Mill" is not in the table of yards; add it to the table of yards`}},
		{"no colonies", colonies, "", []string{"colonies.csv: there is no table of colonies; write colonies.csv or colonies.xlsx, or a sheet named colonies in season.xlsx"}},
		{"no equipment", equip, "", []string{"equipment.csv: warning: there is no table of equipment; the plan cannot tell what must be bought besides what it needs"}},
		{"no settings", settings, "", []string{"settings.toml: warning: there are no settings; the usual ones are used; bloomgap init writes a file to start from"}},
		{"empty file", colonies, "\n", []string{"colonies.csv: the file is empty; write a heading row and one row for each entry"}},
		{"headings only", colonies, head, []string{"colonies.csv: there is no colony in the table; write one row for each colony"}},
		{"missing column", colonies, "yard,colony,heft\nMill,1,light\n", []string{`colonies.csv:1: the column "date" is missing; add it to the heading row`}},
		{"wrong unit of a column", colonies, "yard,colony,date,boxes,gross_C,seams\nMill,1,2027-03-18,1 deep,25,5\n", []string{
			`colonies.csv:1:5: the heading "gross_C" is in C, but a weight is wanted; call it gross_kg or gross_lb`,
			`colonies.csv:2: warning: nothing is known of the food of colony "1"; a wide guess is used; weigh or heft it`}},
		{"weight under the empty boxes", colonies, head + "Mill,1,2027-03-18,2 deep,15,,,,,,5,,,\n", []string{
			`colonies.csv:2:5: the hive of colony "1" weighs 15.0 kg in all, less than its empty boxes, which are 21.3 kg by the usual weights; check the unit and the boxes, or weigh an empty hive and set deep_box, medium_box, lid, inner_cover and floor in the table of yards`}},
		{"lift under the empty boxes", colonies, head + "Mill,1,2027-03-18,1 deep,,3,,,,,5,,,\n", []string{
			`colonies.csv:2:6: the hive of colony "1" weighs 6.7 kg in all, less than its empty boxes, which are 13.9 kg by the usual weights; check the unit and the boxes, or weigh an empty hive and set deep_box, medium_box, lid, inner_cover and floor in the table of yards`}},
		{"pounds taken for kilos", colonies, head + "Mill,1,2027-03-18,1 deep,70,,,,,,5,,,\n", []string{
			`colonies.csv:2:5: the hive of colony "1" weighs 70.0 kg in all, more than its boxes can hold, 50.4 kg; check the unit and the boxes: if the figure is in lb, the hive weighs 31.8 kg in all and holds about 17.9 kg of food`}},
		{"weight that leaves nothing", colonies, head + "Mill,1,2027-03-18,1 deep,14.5,,,,,,5,,,\n", []string{
			`colonies.csv:2:5: warning: the weight of colony "1" leaves nothing for food once empty boxes of 13.9 kg, bees and brood are taken off; weigh an empty hive and set deep_box, lid and so on in the table of yards`}},
		{"negative weight", colonies, head + "Mill,1,2027-03-18,1 deep,-4,,,,light,,5,,,\n", []string{
			`colonies.csv:2:5: gross -4 kg is not possible: it must lie from 0 to 300 kg; correct it or its unit`}},
		{"NaN", colonies, head + "Mill,1,2027-03-18,1 deep,,,,,light,,NaN,,,\n", []string{
			`colonies.csv:2:11: seams "NaN" is not a number; write a number only, or leave the cell empty when it is not known`,
			`colonies.csv:2: warning: the bees of colony "1" were not counted; a wide guess is used; count the seams of bees from the top`}},
		{"unknown yard", colonies, head + "Mll,1,2027-03-18,1 deep,,,,,light,,5,,,\n", []string{
			`colonies.csv:2:1: the yard "Mll" is not in the table of yards; did you mean "Mill"? Else add it to the table of yards`}},
		{"same colony and day", colonies, head + "Mill,1,2027-03-18,1 deep,,,,,light,,5,,,\nmill, 1 ,2027-03-18,1 deep,,,,,light,,5,,,\n", []string{
			`colonies.csv:3:2: the colony "1" of Mill appears twice for 2027-03-18, first in row 2; keep one row for a colony and day; later looks get a row with their own date`}},
		{"day to come", colonies, head + "Mill,1,2028-03-18,1 deep,,,,,light,,5,,,\n", []string{
			`colonies.csv:2:3: date 2028-03-18 lies after today, 2027-03-20; correct it, or the day named in settings.toml`}},
		{"long ago", colonies, head + "Mill,1,2026-10-01,1 deep,,,,,light,,5,,,\n", []string{
			`colonies.csv:2:3: warning: the colony "1" was last seen 170 days ago; look again before trusting the plan`}},
		{"more seams than frames", colonies, head + "Mill,1,2027-03-18,1 deep,,,,,light,,12,,,\n", []string{
			`colonies.csv:2:11: 12 seams of bees do not fit in 10 frames; correct it, or the boxes`}},
		{"more brood than frames", colonies, head + "Mill,1,2027-03-18,1 deep,,,,,light,,10,11,,\n", []string{
			`colonies.csv:2:12: 11 frames of brood do not fit in 10 frames; correct it, or the boxes`}},
		{"more brood than bees", colonies, head + "Mill,1,2027-03-18,1 deep,,,,,light,,3,5,,\n", []string{
			`colonies.csv:2:12: warning: 5 frames of brood are more than 3 seams of bees cover; count brood as combs that are full on both sides`}},
		{"far more brood than bees", colonies, head + "Mill,1,2027-03-18,1 deep,,,,,light,,3,6,,\n", []string{
			`colonies.csv:2:12: please check: 6 frames of brood are more than 3 seams of bees cover; count brood as combs that are full on both sides; ` +
				`if it is right as it is, confirm it: --confirm brood-bees, or brood-bees = true under [confirm] in the settings`}},
		{"food and brood overlap", colonies, head + "Mill,1,2027-03-18,1 deep,,,,,,8,5,4,,\n", []string{
			`colonies.csv:2:12: 8 frames of food and 4 of brood do not fit in 10 frames; count a comb with both in halves`}},
		{"bad heft", colonies, head + "Mill,1,2027-03-18,1 deep,,,,,hevy,,5,,,\n", []string{
			`colonies.csv:2:9: heft "hevy" is not known; did you mean "heavy"? write light, fair or heavy`,
			`colonies.csv:2: warning: nothing is known of the food of colony "1"; a wide guess is used; weigh or heft it`}},
		{"two ways of food", colonies, head + "Mill,1,2027-03-18,1 deep,,11.5,,,light,,5,,,\n", []string{
			`colonies.csv:2: warning: the food is given in more than one way; the surest is used: lifted at the back`}},
		{"no way of food", colonies, head + "Mill,1,2027-03-18,1 deep,,,,,,,5,,,\n", []string{
			`colonies.csv:2: warning: nothing is known of the food of colony "1"; a wide guess is used; weigh or heft it`}},
		{"one side lifted", colonies, head + "Mill,1,2027-03-18,1 deep,,,12,,light,,5,,,\n", []string{
			`colonies.csv:2:8: the hive was lifted at the left only; lift both sides, or write one lift under lift_back`}},
		{"bad boxes", colonies, head + "Mill,1,2027-03-18,two tall,,,,,light,,5,,,\n", []string{
			`colonies.csv:2:4: boxes "two tall" cannot be understood; write such as 1 deep, or 1 deep + 1 medium; the kinds are deep, medium, shallow and large`}},
		{"alive without bees", colonies, head + "Mill,1,2027-03-18,1 deep,,,,,light,,0,,yes,\n", []string{
			`colonies.csv:2:11: the colony "1" is alive but has no bees; write no under alive, or leave seams empty when they were not counted`}},
		{"risen from the dead", colonies, head + "Mill,1,2027-03-10,1 deep,,,,,,,,,no,\nMill,1,2027-03-18,1 deep,,,,,light,,5,,yes,\n", []string{
			`colonies.csv:3:13: the colony "1" was dead on 2027-03-10 and is alive again; correct one of the rows, or give the new colony its own name`}},
		{"missing weather file", yards, "yard,lat,weather\nMill,45.3,x.csv\n", []string{
			`yards.csv:2:3: the weather file "x.csv" is not there; put it into the season folder or correct its name; separate several with ;`}},
		{"no weather", yards, "yard,lat\nMill,45.3\n", []string{
			`yards.csv:2: warning: the yard "Mill" has no weather record; made-up springs of the nearest built-in climate are used; name a record under weather, or write auto under climate`}},
		{"unknown climate", yards, "yard,lat,climate\nMill,45.3,Franham\n", []string{
			`yards.csv:2:3: there is no built-in climate "Franham"; did you mean "Farnham"? Else write auto, or one of Milwaukee, Grand Forks, Farnham, Marieville, Laval, Bern, Wuerzburg, Grambek`}},
		{"same yard twice", yards, "yard,lat,climate\nMill,45.3,auto\nMILL,45.3,auto\n", []string{
			`yards.csv:3:1: the yard "MILL" appears twice; keep one row for each yard`}},
		{"south of the equator", yards, "yard,lat,climate\nMill,-45.3,auto\n", []string{
			`yards.csv:2:2: lat -45.3 is not possible: it must lie from 25 to 70; correct it`}},
		{"bloom in another year", yards, "yard,lat,climate,bloom_date\nMill,45.3,auto,2028-05-10\n", []string{
			`yards.csv:2:4: bloom on 2028-05-10 is not in this season; correct the year, or leave it empty`}},
		{"visits all past", yards, "yard,lat,climate,visits\nMill,45.3,auto,2027-03-01\n", []string{
			`yards.csv:2:4: warning: all listed visits are past; list those to come`}},
		{"unknown item", equip, "item,count\nbag rin,3\n", []string{
			`equipment.csv:2:1: item "bag rin" is not known; did you mean "bag rim"? write bag rim, frame feeder, entrance jar, pail, tray, empty box, inner cover with hole, candy rim, open tub or wrap`}},
		{"half a feeder", equip, "item,count\nbag rim,2.5\n", []string{`equipment.csv:2:2: count 2.5 is not a whole number; write a whole number`}},
		{"misspelt setting", settings, "resreve_kg = 6\n", []string{`settings.toml:1:1: the setting "resreve_kg" is not known; did you mean "reserve_kg"?`}},
	} {
		files := good()
		files[c.file] = c.text
		if c.text == "" {
			delete(files, c.file)
		}
		_, ps := load(t, files)
		require.Empty(t, cmp.Diff(c.want, ps), c.name)
	}
	_, ps := season.Load(filepath.Join(t.TempDir(), "none"), today)
	require.ErrorContains(t, ps.Err(), "there is no such folder")
	file := filepath.Join(folder(t, good()), "yards.csv")
	_, ps = season.Load(file, today)
	require.Contains(t, ps.Err().Error(), "this is not a folder")
}

func TestAllProblemsInOneRun(t *testing.T) {
	files := good()
	files["settings.toml"] = "reserve_kg = -1\nsprings = \"many\"\n\n[feeding]\nallow_open = 3\n"
	files["yards.csv"] = "yard,lat,weather\nMill,95,w.csv\n"
	files["colonies.csv"] = "yard,colony,date,boxes,heft,seams\nHill,,3.4.2027,1 deep,lite,-5\n"
	files["equipment.csv"] = "item\nbag rim\n"
	_, ps := load(t, files)
	want := []string{
		"settings.toml:1:1: reserve_kg = -1 is not possible",
		"settings.toml:2:1: springs must be a number",
		"settings.toml:5:1: feeding.allow_open must be true or false",
		"yards.csv:2:2: lat 95 is not possible",
		"colonies.csv:2:2: colony is empty",
		`colonies.csv:2:1: the yard "Hill" is not in`,
		`colonies.csv:2:3: date "3.4.2027" may be 3 April or 4 March`,
		"colonies.csv:2:6: seams -5 is not possible",
		`colonies.csv:2:5: heft "lite" is not known`,
		`equipment.csv:1: the column "count" is missing`,
	}
	require.Len(t, ps, len(want), strings.Join(ps, "\n"))
	for i, w := range want {
		require.True(t, strings.HasPrefix(ps[i], w), "%s\nwanted %s", ps[i], w)
	}
}

// TestWeighedAndHefted: a hive weighed and judged by hand on the same day, in one row
// or in two, is one look with both.
func TestWeighedAndHefted(t *testing.T) {
	for _, rows := range []string{
		"Mill,1,2027-03-18,1 deep,26,light,5\n",
		"Mill,1,2027-03-18,1 deep,26,,\nMill,1,2027-03-18,,,light,5\n",
		"Mill,1,2027-03-18,1 deep,,light,5\nMill,1,2027-03-18,,26,,\n",
	} {
		files := good()
		files["colonies.csv"] = "yard,colony,date,boxes,gross,heft,seams\n" + rows
		s, ps := load(t, files)
		require.Empty(t, ps, rows)
		require.Len(t, s.Colonies[0].Observations, 1, rows)
		o := s.Colonies[0].Last()
		require.Equal(t, season.Food{Kind: season.FoodGross, GrossKg: 26}, o.Food, rows)
		require.Equal(t, []season.Food{{Kind: season.FoodHeft, Heft: season.HeftLight}}, o.Also, rows)
		require.Equal(t, 5.0, o.SeamsOfBees, rows)
	}
	files := good()
	files["colonies.csv"] = "yard,colony,date,boxes,gross,heft,seams\nMill,1,2027-03-18,1 deep,26,,5\nMill,1,2027-03-18,,26.5,,5\n"
	_, ps := load(t, files)
	require.Len(t, ps, 1, "two weights of one day are a slip")
}

func TestSeveralLooks(t *testing.T) {
	files := good()
	files["colonies.csv"] = "colony,date,alive,boxes,gross_lb,seams,wrapped\n7,2027-03-18,no,,,,\n7,2027-02-20,,2 deep,95,6,yes\n"
	s, ps := load(t, files)
	require.Empty(t, ps, "one yard needs no naming, a dead colony no food")
	require.Len(t, s.Colonies, 1)
	c := s.Colonies[0]
	require.Equal(t, "Mill", c.Yard)
	require.False(t, c.Alive, "as last seen")
	require.True(t, c.Insulated)
	hive := c.Hive(s.Yards[0].Tares, s.Settings.Masses())
	require.Equal(t, 20, hive.Frames(), "boxes are kept from the look that gave them")
	require.Len(t, c.Observations, 2)
	require.Equal(t, day(2, 20), c.Observations[0].Date, "in order of date")
	require.InEpsilon(t, 95*0.45359237, c.Observations[0].Food.GrossKg, 1e-12)
}

func TestUSUnits(t *testing.T) {
	files := good()
	files["settings.toml"] = "units = \"us\"\nreserve_lb = 11\nsugar_bag_lb = 50\n[feeding]\nany_feeder_from_f = 55.4\n"
	files["colonies.csv"] = "yard,colony,date,boxes,gross,seams,count_temp\nMill,1,2027-03-18,1 deep,60,5,41\n"
	files["equipment.csv"] = "item,count,holds\npail,3,1\n"
	s, ps := load(t, files)
	require.Empty(t, ps)
	require.True(t, s.Settings.UnitsUS)
	require.InEpsilon(t, 11*0.45359237, s.Settings.ReserveKg, 1e-12)
	require.InEpsilon(t, 50*0.45359237, s.Settings.SugarBagKg, 1e-12)
	require.InDelta(t, 13, s.Settings.Rules.AnyFeederFromC, 1e-9)
	require.InEpsilon(t, 60*0.45359237, s.Colonies[0].Last().Food.GrossKg, 1e-12, "a weight without a unit is in lb")
	require.InDelta(t, 5, s.Colonies[0].Last().CountTempC, 1e-9, "41 F")
	require.InEpsilon(t, 3.785411784, s.Equipment[0].HoldsL, 1e-12)
}

func TestWorkbook(t *testing.T) {
	text := func(rows ...[]any) [][]any { return rows }
	dir := folder(t, map[string]string{"settings.toml": ""})
	path := filepath.Join(dir, "season.xlsx")
	require.NoError(t, read.WriteFile(path, func(w io.Writer) error {
		return readtest.WriteXLSX(w, []readtest.Sheet{
			{Name: "Yards", Rows: text([]any{"yard", "lat", "climate", "next visit"}, []any{"Mill", 45.3, "auto", day(3, 24)})},
			{Name: "Colonies", Rows: text([]any{"yard", "colony", "date", "boxes", "gross kg", "seams"}, []any{"Mill", 1, day(3, 18), "1 deep", 25.5, 5}, []any{"Mill", 2, day(3, 18), "1 deep", "oops", 5})},
			{Name: "Equipment", Rows: text([]any{"item", "count"}, []any{"Pails", 2})},
		})
	}))
	s, ps := season.Load(dir, today)
	require.Len(t, ps.Fatal(), 1)
	require.Equal(t, path+`!Colonies:3:5: gross "oops" is not a number; write a number only, or leave the cell empty when it is not known`, ps.Fatal()[0].String())
	require.Equal(t, day(3, 24), s.Yards[0].NextVisit)
	require.Equal(t, 25.5, s.Colonies[0].Last().Food.GrossKg)
	require.Equal(t, 2, s.OnHand("Mill", season.Pail))

	require.NoError(t, os.WriteFile(filepath.Join(dir, "yards.csv"), []byte("yard,lat,climate\nHill,46,auto\n"), 0o600))
	_, ps = season.Load(dir, today)
	require.Contains(t, ps.Err().Error(), "the table of yards is in "+filepath.Join(dir, "yards.csv")+" as well", "two tables of the same are one too many")
}

// TestATallyIsCalledOne: what is wrong with a row of the table of tallies.
func TestATallyIsCalledOne(t *testing.T) {
	files := good()
	files["tallies.csv"] = "yard,tally,date,boxes,alive,gross_kg,seams,colonies\nMill,a,2027-03-18,1 deep,no,,5,4\nMill,b,2027-03-18,1 deep,,,0,4\n" +
		"Mill,c,2027-03-18,,,,,4\nMill,d,2027-03-18,1 deep,,90,5,4\nMill,e,2027-03-18,1 deep,,5,5,4\nMill,f,2027-03-18,1 deep,,40,5,4\n"
	_, ps := load(t, files)
	all := strings.Join(ps, "\n")
	for _, want := range []string{`the tally "a" is dead but has`, `the tally "b" is alive but`, `the boxes of tally "c"`, `the food of tally "c"`, `the bees of tally "c"`,
		`the hive of tally "d" weighs`, `the hive of tally "e" weighs`, `by this weight tally "f"`} {
		require.Contains(t, all, want)
	}
	require.NotContains(t, all, `colony "`)
}

// TestAListedVisitOnADayOffIsTold: it stays; one that is past is nobody's worry.
func TestAListedVisitOnADayOffIsTold(t *testing.T) {
	files := good()
	files["settings.toml"] = "days_off = \"sunday\"\n"
	files["yards.csv"] = "yard,lat,climate,visits\nMill,45,auto,2027-03-14; 2027-03-23; 2027-03-28; 2027-04-04\n"
	s, ps := load(t, files)
	require.Equal(t, []string{"yards.csv:2:4: warning: listed on a day off: Sunday 2027-03-28, Sunday 2027-04-04; it is planned as listed; name another day, or " +
		"change days_off in settings.toml"}, ps)
	require.Contains(t, s.Yards[0].Visits, day(3, 28))
	files["settings.toml"] = "days_off = \"monday\"\n"
	_, ps = load(t, files)
	require.Empty(t, ps)
}

func TestVisitsAndBloom(t *testing.T) {
	files := good()
	files["yards.csv"] = "yard,lat,climate,next_visit,days_between,visits,bloom_date,bloom_spread,plants,deep_box_kg\n" +
		"Listed,45,auto,,,2027-04-10 2027-03-27,2027-05-18,,Willow; dandelion,8\n" +
		"Every,45,auto,2027-03-01,7,,2027-03-15,,,\n" +
		"Unknown,45,auto,,,,2027-05-18,2.5,,\n"
	files["colonies.csv"] = "yard,colony,date,boxes,heft,seams\nListed,1,2027-03-18,1 deep,light,5\n"
	s, ps := load(t, files)
	require.Equal(t, []string{"yards.csv:3:4: warning: the next visit on 2027-03-01 is past; visits every 7 days from it are counted on, the next on 2027-03-22; write the day that you go"}, ps)
	require.Equal(t, []time.Time{day(3, 27), day(4, 10)}, s.Yards[0].VisitDates(today, day(5, 1)), "listed, in order")
	require.Equal(t, []time.Time{day(3, 22), day(3, 29), day(4, 5)}, s.Yards[1].VisitDates(today, day(4, 5)), "every seven days from the first, past ones left out")
	require.Equal(t, []time.Time{today, day(3, 30)}, s.Yards[2].VisitDates(today, day(4, 5)), "nothing known: from today, every ten days")
	require.Equal(t, []float64{5, 0, 2.5}, []float64{s.Yards[0].BloomSpreadDays, s.Yards[1].BloomSpreadDays, s.Yards[2].BloomSpreadDays},
		"expected without a spread; already seen; with its own spread")
	require.Equal(t, []string{"willow", "dandelion"}, s.Yards[0].Plants)
	require.True(t, s.Yards[0].Tares.Own)
	require.Equal(t, 8.0, s.Yards[0].Tares.DeepKg)
	require.False(t, s.Yards[1].Tares.Own)
}

func TestClimateNames(t *testing.T) {
	files := good()
	files["yards.csv"] = "yard,lat,climate\nMill,45,AUTO\nHill,45,farnham\nLake,45,\"Grand Forks, North Dakota\"\n"
	s, ps := load(t, files)
	require.Empty(t, ps)
	require.Equal(t, []string{"auto", "Farnham, Quebec", "Grand Forks, North Dakota"}, []string{s.Yards[0].Climate, s.Yards[1].Climate, s.Yards[2].Climate})
}

func TestOne(t *testing.T) {
	set := season.DefaultSettings()
	set.UnitsUS = true
	yard := map[string]string{"lat": "45.3", "climate": "auto"}
	s, ps := season.One(set, today, yard, map[string]string{"gross": "60", "seams": "5", "boxes": "1 deep"}, []map[string]string{{"item": "pail", "count": "1"}})
	require.Empty(t, ps)
	require.Len(t, s.Colonies, 1)
	c := s.Colonies[0]
	require.InEpsilon(t, 60*0.45359237, c.Last().Food.GrossKg, 1e-12, "in lb by the settings")
	require.Equal(t, today, c.Last().Date, "seen today when nothing else is said")
	require.NotNil(t, s.Yard(c.Yard))
	require.Equal(t, 1, s.OnHand(c.Yard, season.Pail))

	_, ps = season.One(set, today, map[string]string{"lat": "95"}, map[string]string{"gross": "-4", "count_temp": "41 kg", "frames": "3"}, nil)
	var got []string
	for _, p := range ps.Fatal() {
		got = append(got, p.String())
	}
	require.Equal(t, []string{
		"--lat: lat 95 is not possible: it must lie from 25 to 70; correct it",
		`--count-temp: count temp "41 kg" is in kg, but a temperature is wanted; write it in C or put the right number here`,
		"--gross: gross -4 lb is not possible: it must lie from 0 to 661.4 lb; correct it or its unit",
	}, got)
}

func TestDemo(t *testing.T) {
	s := season.Demo()
	require.True(t, s.Invented)
	require.Len(t, s.Yards, 4)
	require.Len(t, s.Colonies, 36)
	dead, ways := 0, map[season.FoodKind]bool{}
	for i := range s.Colonies {
		c := &s.Colonies[i]
		if !c.Alive {
			dead++
			continue
		}
		ways[c.Last().Food.Kind] = true
		y := s.Yard(c.Yard)
		hive, look := c.Hive(y.Tares, s.Settings.Masses()), c.Last().Look(0)
		e := hive.StoresSeen(&look)
		require.True(t, e.MeanKg > 1 && e.MeanKg < 30 && e.SDKg > 0.5, "%s: %+v", c.Name, e)
	}
	require.Equal(t, 3, dead)
	require.Len(t, ways, 5, "every way of judging food is shown")
	require.Empty(t, cmp.Diff(s, season.Demo(), cmpopts.EquateNaNs()), "the same each time")
	s.Colonies[0].Name = "changed"
	require.NotEqual(t, "changed", season.Demo().Colonies[0].Name, "each caller gets its own")
}

func TestStarter(t *testing.T) {
	for _, c := range []struct{ now, want time.Time }{
		{day(3, 28), day(3, 20)},
		{time.Date(2026, 11, 5, 0, 0, 0, 0, time.UTC), day(3, 20)},
	} {
		dir := filepath.Join(t.TempDir(), "new", "spring")
		require.NoError(t, season.WriteStarter(dir, c.now))
		s, ps := season.Load(dir, c.now)
		require.Empty(t, ps, "the folder runs as it is")
		require.Equal(t, c.want, s.Today)
		require.Len(t, s.Colonies, 3)
		require.Equal(t, season.DefaultRules(), s.Settings.Rules)
		require.NoError(t, s.Settings.Validate())
		for _, f := range []string{"settings.toml", "yards.csv", "colonies.csv", "equipment.csv"} {
			text, err := os.ReadFile(filepath.Join(dir, f))
			require.NoError(t, err)
			require.NotContains(t, string(text), "{{", f)
			require.True(t, strings.HasPrefix(string(text), "#"), "%s begins with a note", f)
		}
		require.ErrorIs(t, season.WriteStarter(dir, c.now), season.ErrNotEmpty, "what is there is left alone")
	}
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	require.ErrorContains(t, season.WriteStarter(file, today), "cannot be used as a folder")
}

// FuzzTables feeds one text as each of the three tables.
func FuzzTables(f *testing.F) {
	for name, text := range good() {
		if strings.HasSuffix(name, ".csv") {
			f.Add(text)
		}
	}
	f.Add("yard;colony;date;boxes;gross_lb;lift_left;lift_right;brood_frames\nMill;1;2027-03-18;2 deep+9 large;1e300;5;;3,5\n")
	f.Add("yard,lat,weather,visits,bloom_date\nMill,45,../../x;/etc,2027-01-01 x,2027-13-01\n")
	f.Add("yard,lat,bloom_base_f,bloom_start,bloom_need_cd,bloom_spread,monthly_means_c\nMill,45,32,12-31,273,2,-9 -8 -2 6 13 18 21 20 15 8 2 -6\n")
	f.Fuzz(func(t *testing.T, text string) {
		file := &fstest.MapFile{Data: []byte(text)}
		s, ps := season.LoadFS(fstest.MapFS{"yards.csv": file, "colonies.csv": file, "equipment.csv": file}, today)
		for _, p := range ps {
			if strings.ContainsAny(p.Message+p.Fix, "\n\r") {
				t.Fatalf("a problem must be one line: %q", p.String())
			}
		}
		if ps.Err() != nil {
			return
		}
		for i := range s.Yards {
			y := &s.Yards[i]
			if y.BloomRule.NeedCd != 0 && y.BloomRule.Validate() != nil {
				t.Fatalf("%q: bloom rule %+v", text, y.BloomRule)
			}
			if n := len(y.MonthlyMeanC); n != 0 && n != 12 {
				t.Fatalf("%q: %d monthly means", text, n)
			}
		}
		for i := range s.Colonies {
			c := &s.Colonies[i]
			y := s.Yard(c.Yard)
			if y == nil || len(c.Observations) == 0 {
				t.Fatalf("colony %q without yard or observation", c.Name)
			}
			for j := range c.Observations {
				hive, look := c.Hive(y.Tares, s.Settings.Masses()), c.Observations[j].Look(0)
				if e := hive.StoresSeen(&look); !(e.SDKg > 0) || math.IsNaN(e.MeanKg) || e.MaxKg <= e.MinKg {
					t.Fatalf("%q: %+v", c.Name, e)
				}
			}
		}
	})
}
