package files_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"bloomgap/feed/plan"
	"bloomgap/feed/plan/samples"
	"bloomgap/feed/season"
	"bloomgap/forage/golden"
	"bloomgap/forage/read"
	"bloomgap/plots/files"
	"bloomgap/plots/plantest"
	"bloomgap/plots/words"
)

// wanted compares with a file under testdata.
func wanted(t *testing.T, name string, got []byte) {
	t.Helper()
	golden.Equal(t, filepath.Join("testdata", name), got)
}

func csvs(t require.TestingT, p *plan.Plan, u words.Style) map[string]string {
	out := map[string]string{}
	for _, s := range files.Sheets(p, u) {
		var b bytes.Buffer
		require.NoError(t, read.WriteCSV(&b, s.Rows))
		out[s.Name] = b.String()
	}
	return out
}

func TestGolden(t *testing.T) {
	p := plantest.Plan()
	for name, got := range csvs(t, p, words.Style{}) {
		wanted(t, name+".csv", []byte(got))
	}
	wanted(t, "order-us.csv", []byte(csvs(t, p, words.Style{US: true})["order"]))
	var b bytes.Buffer
	require.NoError(t, files.WriteJSON(&b, p))
	wanted(t, "plan.json", b.Bytes())
}

func TestSameWarningsEverywhere(t *testing.T) {
	p := plantest.Plan()
	require.Len(t, words.Warnings(p, words.Style{}), 5)
	everyWarning(t, p, "csv", csvs(t, p, words.Style{})["notes"])
	var b bytes.Buffer
	require.NoError(t, files.WriteJSON(&b, p))
	var d files.Document
	require.NoError(t, json.Unmarshal(b.Bytes(), &d))
	require.Len(t, d.Warnings, 5)
	f := openBook(t, p, words.Style{})
	rows, err := f.GetRows("notes")
	require.NoError(t, err)
	everyWarning(t, p, "workbook", fmt.Sprint(rows))
}

// everyWarning makes sure an output shows each warning of the plan, whatever
// the wrapping.
func everyWarning(t *testing.T, p *plan.Plan, where, out string) {
	t.Helper()
	flat := strings.ToLower(strings.Join(strings.Fields(out), " "))
	for _, n := range words.Warnings(p, words.Style{}) {
		require.Contains(t, flat, strings.ToLower(n.Text), where)
	}
}

func openBook(t require.TestingT, p *plan.Plan, u words.Style) *excelize.File {
	var b bytes.Buffer
	require.NoError(t, files.WriteXLSX(&b, p, u))
	f, err := excelize.OpenReader(&b)
	require.NoError(t, err)
	return f
}

func TestWorkbook(t *testing.T) {
	p := plantest.Plan()
	f := openBook(t, p, words.Style{})
	require.Equal(t, []string{"colonies", "feedings", "yards", "order", "equipment", "visits", "notes"}, f.GetSheetList())
	for _, s := range files.Sheets(p, words.Style{}) {
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
	kind, err := f.GetCellType("feedings", "E2")
	require.NoError(t, err)
	require.NotEqual(t, excelize.CellTypeSharedString, kind, "a date is a date, not text")
	shown, err := f.GetCellValue("feedings", "E2")
	require.NoError(t, err)
	require.Equal(t, "2025-03-24", shown)
	us := openBook(t, p, words.Style{US: true})
	head, err := us.GetCellValue("feedings", "F1")
	require.NoError(t, err)
	require.Equal(t, "syrup_us_gal", head)
	layout, err := us.GetPageLayout("feedings")
	require.NoError(t, err)
	require.Equal(t, 1, *layout.Size, "Letter with US units")
}

func TestSameBytesEachTime(t *testing.T) {
	var a, b bytes.Buffer
	require.NoError(t, files.WriteXLSX(&a, plantest.Plan(), words.Style{}))
	require.NoError(t, files.WriteXLSX(&b, plantest.Plan(), words.Style{}))
	require.True(t, bytes.Equal(a.Bytes(), b.Bytes()))
}

func TestUSFiguresAreTheSameAmounts(t *testing.T) {
	p := plantest.Plan()
	metric, us := csvs(t, p, words.Style{})["feedings"], csvs(t, p, words.Style{US: true})["feedings"]
	m, err := csv.NewReader(strings.NewReader(metric)).ReadAll()
	require.NoError(t, err)
	u, err := csv.NewReader(strings.NewReader(us)).ReadAll()
	require.NoError(t, err)
	require.Equal(t, "syrup_l", m[0][5])
	require.Equal(t, "syrup_us_gal", u[0][5])
	for i := 1; i < len(m); i++ {
		var l, gal float64
		_, err := fmt.Sscan(m[i][5], &l)
		require.NoError(t, err)
		_, err = fmt.Sscan(u[i][5], &gal)
		require.NoError(t, err)
		require.InDelta(t, l, gal*3.785411784, 0.03, "one US gallon is 3.785411784 L by definition")
	}
}

func TestCSVFilesAreReadable(t *testing.T) {
	list := files.CSVs(plantest.Plan(), words.Style{})
	require.Len(t, list, 7)
	for _, f := range list {
		require.Regexp(t, `^plan-[a-z]+\.csv$`, f.Name, "no name of an input")
		var b bytes.Buffer
		require.NoError(t, f.Write(&b))
		rows, err := csv.NewReader(&b).ReadAll()
		require.NoError(t, err)
		require.Greater(t, len(rows), 1, f.Name)
	}
}

func TestJSONHasNoNaNAndComesBack(t *testing.T) {
	p := plantest.Plan()
	var b bytes.Buffer
	require.NoError(t, files.WriteJSON(&b, p))
	require.NotContains(t, b.String(), "NaN")
	dec := json.NewDecoder(bytes.NewReader(b.Bytes()))
	dec.DisallowUnknownFields()
	var d files.Document
	require.NoError(t, dec.Decode(&d))
	require.Equal(t, p.Colonies[0].SyrupL, float64(d.Colonies[0].SyrupL))
	require.Nil(t, d.Colonies[4].RiskFed, "a colony that is not fed has no risk with feeding")
	require.True(t, math.IsNaN(float64(d.Colonies[2].Confidence.NeedGrossKg)), "an unknown tare gives null")
	var again bytes.Buffer
	e := json.NewEncoder(&again)
	e.SetIndent("", "  ")
	require.NoError(t, e.Encode(d))
	require.Equal(t, b.String(), again.String())
}

func TestEmptyPlan(t *testing.T) {
	p := &plan.Plan{Today: plantest.Plan().Today}
	csvs(t, p, words.Style{})
	openBook(t, p, words.Style{})
	var b bytes.Buffer
	require.NoError(t, files.WriteJSON(&b, p))
	require.NotContains(t, strings.ReplaceAll(b.String(), `"reserve_kg": null`, ""), ": null,\n  \"colonies", "lists are never null")
}

func TestAnyNameIsMadeSafe(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plantest.NastyPlan(t)
		us := rapid.Bool().Draw(t, "us")
		u := words.Style{US: us}
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
		require.NoError(t, files.WriteJSON(&b, p))
		require.True(t, json.Valid(b.Bytes()))
		require.NotContains(t, b.String(), "<script", "safe inside a page as well")
	})
}

func TestAnyNameIsTextInAWorkbook(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plantest.NastyPlan(t)
		f := openBook(t, p, words.Style{})
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

// The schema of version 2 is kept by a library that knows JSON Schema.
func TestJSONKeepsToItsSchema(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(files.Schema))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("plan.schema.json", doc))
	schema, err := c.Compile("plan.schema.json")
	require.NoError(t, err)
	check := func(pl *plan.Plan) {
		var b bytes.Buffer
		require.NoError(t, files.WriteJSON(&b, pl))
		out, err := jsonschema.UnmarshalJSON(&b)
		require.NoError(t, err)
		require.NoError(t, schema.Validate(out))
	}
	check(plantest.Plan())
	us := plantest.Plan()
	us.Season = &season.Season{Settings: season.DefaultSettings()}
	us.Season.Settings.UnitsUS = true
	check(us)
	check(&plan.Plan{Today: us.Today})
	all := plantest.Plan() // every code as a warning
	all.Warnings = samples.Notes()
	check(all)
	require.ErrorContains(t, schema.Validate(map[string]any{"format": "bloomgap plan", "version": 1}), "/version", "it refuses what is not a plan")
}

// A name in the schema is a name in the file and the other way round, so that
// neither is forgotten.
func TestSchemaHoldsEveryName(t *testing.T) {
	names := map[string]bool{}
	var walk func(rt reflect.Type)
	walk = func(rt reflect.Type) {
		for rt.Kind() == reflect.Pointer || rt.Kind() == reflect.Slice {
			rt = rt.Elem()
		}
		if rt.Kind() != reflect.Struct || rt == reflect.TypeFor[files.Day]() {
			return
		}
		for i := range rt.NumField() {
			f := rt.Field(i)
			if !f.Anonymous {
				name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
				names[name] = true
			}
			walk(f.Type)
		}
	}
	walk(reflect.TypeFor[files.Document]())
	inSchema := map[string]bool{}
	var find func(v any)
	find = func(v any) {
		if m, ok := v.(map[string]any); ok {
			if props, ok := m["properties"].(map[string]any); ok {
				for name := range props {
					inSchema[name] = true
				}
			}
			for _, of := range m {
				find(of)
			}
		}
	}
	var doc any
	require.NoError(t, json.Unmarshal([]byte(files.Schema), &doc))
	find(doc)
	require.Equal(t, names, inSchema)
}
