package tables_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"github.com/jedib0t/go-pretty/v6/text"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"bloomgap/feed"
	"bloomgap/forage/read"
	"bloomgap/plots/tables"
	"bloomgap/plots/tables/tablestest"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares with a file under testdata, or writes it with -update.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	if d := cmp.Diff(string(want), string(got)); d != "" {
		t.Errorf("%s differs (-want +got); run with -update when that is meant:\n%s", name, d)
	}
}

func style(us bool) tables.Style {
	s := tables.DefaultStyle()
	s.Units.US = us
	return s
}

func terminal(t require.TestingT, p *feed.Plan, s tables.Style) string {
	var b bytes.Buffer
	require.NoError(t, tables.Write(&b, p, s))
	return b.String()
}

func hive(t require.TestingT, p *feed.Plan, i int, s tables.Style) string {
	var b bytes.Buffer
	require.NoError(t, tables.WriteHive(&b, p, &p.Colonies[i], s))
	return b.String()
}

func csvs(t require.TestingT, p *feed.Plan, u tables.Units) map[string]string {
	out := map[string]string{}
	for _, s := range tables.Sheets(p, u) {
		var b bytes.Buffer
		require.NoError(t, read.WriteCSV(&b, s.Rows))
		out[s.Name] = b.String()
	}
	return out
}

func TestGolden(t *testing.T) {
	p := tablestest.Plan()
	golden(t, "plan.txt", []byte(terminal(t, p, style(false))))
	golden(t, "plan-us.txt", []byte(terminal(t, p, style(true))))
	golden(t, "hive-feed.txt", []byte(hive(t, p, 0, style(false))))
	golden(t, "hive-watch-us.txt", []byte(hive(t, p, 4, style(true))))
	for name, got := range csvs(t, p, tables.Units{}) {
		golden(t, name+".csv", []byte(got))
	}
	golden(t, "order-us.csv", []byte(csvs(t, p, tables.Units{US: true})["order"]))
	var b bytes.Buffer
	require.NoError(t, tables.WriteJSON(&b, p))
	golden(t, "plan.json", b.Bytes())
}

// narrow fails when a line is wider than a terminal or holds what a terminal
// would act on.
func narrow(t require.TestingT, out string, width int) {
	for i, line := range strings.Split(out, "\n") {
		require.LessOrEqual(t, text.StringWidth(line), width, "line %d: %q", i+1, line)
		require.False(t, strings.HasSuffix(line, " "), "line %d ends in a space", i+1)
		for _, r := range line {
			require.False(t, unicode.IsControl(r) || unicode.Is(unicode.Cf, r), "line %d holds %U", i+1, r)
		}
	}
}

func TestEveryLineFits(t *testing.T) {
	for _, us := range []bool{false, true} {
		for _, width := range []int{100, 140} {
			p := tablestest.Plan()
			s := style(us)
			s.Width = width
			narrow(t, terminal(t, p, s), width)
			for i := range p.Colonies {
				narrow(t, hive(t, p, i, s), width)
			}
		}
	}
}

func TestWideStyleUsesTheRoom(t *testing.T) {
	p := tablestest.Plan()
	p.Colonies[0].Yard = "A yard with quite a long name"
	s := style(false)
	s.Width = 160
	require.Contains(t, terminal(t, p, s), "A yard with quite a long name  B7", "60 columns more leave room for the name on one line")
}

func TestColourOnlyWhenAsked(t *testing.T) {
	p := tablestest.Plan()
	require.NotContains(t, terminal(t, p, style(false)), "\x1b")
	s := style(false)
	s.Colour = true
	coloured := terminal(t, p, s)
	require.Contains(t, coloured, "\x1b[1m")
	require.Equal(t, terminal(t, p, style(false)), text.StripEscape(coloured), "colour changes nothing but colour")
}

func TestStyleValidate(t *testing.T) {
	require.NoError(t, tables.DefaultStyle().Validate())
	require.ErrorContains(t, tables.Style{Width: 80}.Validate(), "100 columns")
	require.Error(t, tables.Style{Width: 100, Reasons: -1}.Validate())
	require.Error(t, tables.Write(&bytes.Buffer{}, tablestest.Plan(), tables.Style{Width: 80}))
}

func TestWhatToDoComesFirst(t *testing.T) {
	out := terminal(t, tablestest.Plan(), style(false))
	last := -1
	for _, head := range []string{"To feed, the most pressing first", "To watch", "Dead:", "No feed needed\n", "Yards\n", "THE ORDER", "Equipment", "Next visits", "Why\n", "Warnings", "Usual cautions", "What the model leaves out"} {
		at := strings.Index(out, head)
		require.Greater(t, at, last, "%q is there, after what comes before it", head)
		last = at
	}
}

func TestReasonsAreCutAndSaidSo(t *testing.T) {
	s := style(false)
	s.Reasons = 2
	out := terminal(t, tablestest.Plan(), s)
	require.Contains(t, out, "The reasons of 4 colonies more are in the files") // 6 with a reason, 2 shown
	require.NotContains(t, out, "late as one in ten")
}

func TestRisk(t *testing.T) {
	for _, c := range []struct {
		name string
		risk feed.Risk
		want string
	}{
		{"plain", feed.Risk{Frac: 0.23, ErrFrac: 0.024}, "23 % ±2"},
		{"an error is never shown as nothing", feed.Risk{Frac: 0.02, ErrFrac: 0.002}, "2 % ±1"},
		{"none seen is not none", feed.Risk{}, "< 1 %"},
		{"all seen is not all", feed.Risk{Frac: 1}, "> 99 %"},
		{"no error known", feed.Risk{Frac: 0.5, ErrFrac: math.NaN()}, "50 %"},
		{"dead", feed.Risk{Frac: math.NaN()}, "not known"},
	} {
		require.Equal(t, c.want, tables.Risk(c.risk), c.name)
	}
}

func TestUnits(t *testing.T) {
	metric, us := tables.Units{}, tables.Units{US: true}
	require.Equal(t, "10.0 kg", metric.Mass(10))
	require.Equal(t, "22.0 lb", us.Mass(10)) // 10 / 0.45359237 = 22.046
	require.Equal(t, "20.0 L", metric.Volume(20))
	require.Equal(t, "5.28 US gal", us.Volume(20)) // 20 / 3.785411784 = 5.283
	require.Equal(t, "not known", metric.Mass(math.NaN()))
	require.Equal(t, "150 kg", metric.Mass(149.7))
	require.Equal(t, "0.0 kg", metric.Mass(-0.01))
}

func TestFills(t *testing.T) {
	f := func(l, solid float64, late bool) feed.Fill {
		return feed.Fill{SyrupL: l, SolidKg: solid, OnlyIfNoNectar: late}
	}
	for _, c := range []struct {
		name  string
		fills []feed.Fill
		want  string
	}{
		{"none", nil, ""},
		{"equal", []feed.Fill{f(2.5, 0, false), f(2.5, 0, false)}, "2 x 2.5 L"},
		{"unequal", []feed.Fill{f(2.5, 0, false), f(1, 0, false)}, "2 of 1.0-2.5 L"},
		{"solid then syrup, and one more in a late spring", []feed.Fill{f(0, 2.5, false), f(3, 0, false), f(3, 0, true)}, "1 x 2.5 kg solid, 1 x 3.0 L, + 1 if no nectar"},
	} {
		require.Equal(t, c.want, tables.Units{}.Fills(c.fills), c.name)
	}
}

func TestAnswerIsShortAndFirst(t *testing.T) {
	p := tablestest.Plan()
	u := tables.Units{}
	require.Equal(t, "Feed by Sat 22 Mar: go sooner than the next visit.", tables.AnswerFor(p, &p.Colonies[0], u).Headline)
	require.Equal(t, "Feed. Start on the visit of Wed 26 Mar at the latest.", tables.AnswerFor(p, &p.Colonies[1], u).Headline)
	require.Equal(t, "Watch. No feed yet; look or weigh again on Mon 24 Mar.", tables.AnswerFor(p, &p.Colonies[4], u).Headline)
	require.Equal(t, "No feed needed.", tables.AnswerFor(p, &p.Colonies[6], u).Headline)
	require.Equal(t, "Dead. Close it and clear it away.", tables.AnswerFor(p, &p.Colonies[12], u).Headline)
	// 12 L of 2:1: 12 x 0.8844 kg of sugar (feeding.md, 884.4 g/L), half as much water.
	require.Equal(t, "Give 12.0 L of 2:1 syrup: 10.6 kg of sugar in 5.3 L of water.", tables.AnswerFor(p, &p.Colonies[0], u).Do[0])
}

// everyWarning makes sure an output shows each warning of the plan, whatever
// the wrapping.
func everyWarning(t *testing.T, p *feed.Plan, where, out string) {
	t.Helper()
	flat := strings.ToLower(strings.Join(strings.Fields(out), " "))
	for _, n := range tables.Warnings(p) {
		require.Contains(t, flat, strings.ToLower(n.Text), where)
	}
}

func TestSameWarningsEverywhere(t *testing.T) {
	p := tablestest.Plan()
	require.Len(t, tables.Warnings(p), 5)
	everyWarning(t, p, "terminal", terminal(t, p, style(false)))
	everyWarning(t, p, "csv", csvs(t, p, tables.Units{})["notes"])
	var b bytes.Buffer
	require.NoError(t, tables.WriteJSON(&b, p))
	var d tables.Document
	require.NoError(t, json.Unmarshal(b.Bytes(), &d))
	require.Len(t, d.Warnings, 5)
	f := openBook(t, p, tables.Units{})
	rows, err := f.GetRows("notes")
	require.NoError(t, err)
	everyWarning(t, p, "workbook", fmt.Sprint(rows))
	require.Contains(t, terminal(t, p, style(false)), "Côte-à-Liguori: L3; Home: B12: No brood data", "equal warnings stand together")
}

func openBook(t require.TestingT, p *feed.Plan, u tables.Units) *excelize.File {
	var b bytes.Buffer
	require.NoError(t, tables.WriteXLSX(&b, p, u))
	f, err := excelize.OpenReader(&b)
	require.NoError(t, err)
	return f
}

func TestWorkbook(t *testing.T) {
	p := tablestest.Plan()
	f := openBook(t, p, tables.Units{})
	require.Equal(t, []string{"colonies", "fills", "yards", "order", "equipment", "visits", "notes"}, f.GetSheetList())
	for _, s := range tables.Sheets(p, tables.Units{}) {
		panes, err := f.GetPanes(s.Name)
		require.NoError(t, err)
		require.True(t, panes.Freeze && panes.YSplit == 1, "%s: headings frozen", s.Name)
		layout, err := f.GetPageLayout(s.Name)
		require.NoError(t, err)
		require.Equal(t, "landscape", *layout.Orientation, s.Name)
		require.Equal(t, 9, *layout.Size, "A4 with metric units")
		rows, err := f.GetRows(s.Name)
		require.NoError(t, err)
		require.Len(t, rows, len(s.Rows), s.Name)
	}
	kind, err := f.GetCellType("fills", "D2")
	require.NoError(t, err)
	require.NotEqual(t, excelize.CellTypeSharedString, kind, "a date is a date, not text")
	shown, err := f.GetCellValue("fills", "D2")
	require.NoError(t, err)
	require.Equal(t, "2025-03-24", shown)
	us := openBook(t, p, tables.Units{US: true})
	head, err := us.GetCellValue("fills", "E1")
	require.NoError(t, err)
	require.Equal(t, "syrup_us_gal", head)
	layout, err := us.GetPageLayout("fills")
	require.NoError(t, err)
	require.Equal(t, 1, *layout.Size, "Letter with US units")
}

func TestSameBytesEachTime(t *testing.T) {
	var a, b bytes.Buffer
	require.NoError(t, tables.WriteXLSX(&a, tablestest.Plan(), tables.Units{}))
	require.NoError(t, tables.WriteXLSX(&b, tablestest.Plan(), tables.Units{}))
	require.True(t, bytes.Equal(a.Bytes(), b.Bytes()))
}

func TestUSFiguresAreTheSameAmounts(t *testing.T) {
	p := tablestest.Plan()
	metric, us := csvs(t, p, tables.Units{})["fills"], csvs(t, p, tables.Units{US: true})["fills"]
	m, err := csv.NewReader(strings.NewReader(metric)).ReadAll()
	require.NoError(t, err)
	u, err := csv.NewReader(strings.NewReader(us)).ReadAll()
	require.NoError(t, err)
	require.Equal(t, "syrup_l", m[0][4])
	require.Equal(t, "syrup_us_gal", u[0][4])
	for i := 1; i < len(m); i++ {
		var l, gal float64
		_, err := fmt.Sscan(m[i][4], &l)
		require.NoError(t, err)
		_, err = fmt.Sscan(u[i][4], &gal)
		require.NoError(t, err)
		require.InDelta(t, l, gal*3.785411784, 0.03, "one US gallon is 3.785411784 L by definition")
	}
}

func TestCSVFilesAreWritten(t *testing.T) {
	dir := t.TempDir()
	names, err := tables.WriteCSVs(dir, tablestest.Plan(), tables.Units{})
	require.NoError(t, err)
	require.Len(t, names, 7)
	for _, n := range names {
		b, err := os.ReadFile(n)
		require.NoError(t, err)
		rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
		require.NoError(t, err)
		require.Greater(t, len(rows), 1, n)
	}
	_, err = tables.WriteCSVs(filepath.Join(dir, "missing"), tablestest.Plan(), tables.Units{})
	require.Error(t, err)
}

func TestJSONHasNoNaNAndComesBack(t *testing.T) {
	p := tablestest.Plan()
	var b bytes.Buffer
	require.NoError(t, tables.WriteJSON(&b, p))
	require.NotContains(t, b.String(), "NaN")
	dec := json.NewDecoder(bytes.NewReader(b.Bytes()))
	dec.DisallowUnknownFields()
	var d tables.Document
	require.NoError(t, dec.Decode(&d))
	require.Equal(t, p.Colonies[0].SyrupL, float64(d.Colonies[0].SyrupL))
	require.Nil(t, d.Colonies[4].RiskFed, "a colony that is not fed has no risk with feeding")
	require.True(t, math.IsNaN(float64(d.Colonies[2].Surety.NeedGrossKg)), "an unknown tare gives null")
	var again bytes.Buffer
	e := json.NewEncoder(&again)
	e.SetIndent("", "  ")
	require.NoError(t, e.Encode(d))
	require.Equal(t, b.String(), again.String())
}

func TestEmptyPlan(t *testing.T) {
	p := &feed.Plan{Today: tablestest.Plan().Today}
	out := terminal(t, p, style(false))
	require.Contains(t, out, "To feed: none")
	require.Contains(t, out, "Nothing to buy")
	narrow(t, out, 100)
	csvs(t, p, tables.Units{})
	openBook(t, p, tables.Units{})
	var b bytes.Buffer
	require.NoError(t, tables.WriteJSON(&b, p))
	require.NotContains(t, strings.ReplaceAll(b.String(), `"reserve_kg": null`, ""), ": null,\n  \"colonies", "lists are never null")
}

func TestAnyNameIsMadeSafe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := tablestest.NastyPlan(t)
		us := rapid.Bool().Draw(t, "us")
		u := tables.Units{US: us}
		narrow(t, terminal(t, p, style(us)), 100)
		narrow(t, hive(t, p, 0, style(us)), 100)
		for name, out := range csvs(t, p, u) {
			rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
			require.NoError(t, err, name)
			for _, row := range rows {
				for _, cell := range row {
					require.Equal(t, cell, read.SafeCell(cell), "%s: nothing left that would run", name)
				}
			}
		}
		var b bytes.Buffer
		require.NoError(t, tables.WriteJSON(&b, p))
		require.True(t, json.Valid(b.Bytes()))
		require.NotContains(t, b.String(), "<script", "safe inside a page as well")
	})
}

func TestAnyNameIsTextInAWorkbook(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := tablestest.NastyPlan(t)
		f := openBook(t, p, tables.Units{})
		for _, s := range f.GetSheetList() {
			rows, err := f.GetRows(s)
			require.NoError(t, err)
			for r, row := range rows {
				for c, cell := range row {
					at, err := excelize.CoordinatesToCellName(c+1, r+1)
					require.NoError(t, err)
					formula, err := f.GetCellFormula(s, at)
					require.NoError(t, err)
					require.Empty(t, formula)
					require.Equal(t, cell, read.SafeCell(cell), "%s!%s", s, at)
				}
			}
		}
	})
}
