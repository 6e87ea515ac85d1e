package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// floors are the floors of the house, the lowest first.
func floors() []string { return []string{"forage", "sim", "feed", "plots", "cmd"} }

// floorOf is the floor a package stands on, -1 for one outside the house.
func floorOf(pkg string) int {
	rest, inside := strings.CutPrefix(pkg, "bloomgap/")
	if !inside {
		return -1
	}
	top, _, _ := strings.Cut(rest, "/")
	return slices.Index(floors(), top)
}

// importsOfTheHouse asks the go command what every package imports, tests left out.
func importsOfTheHouse(t *testing.T) map[string][]string {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), "go", "list", "-f", `{{.ImportPath}}{{range .Imports}} {{.}}{{end}}`, "bloomgap/...").Output()
	require.NoError(t, err)
	all := map[string][]string{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		all[words[0]] = words[1:]
	}
	require.Greater(t, len(all), 10)
	return all
}

func TestEachFloorKnowsOnlyThoseUnderIt(t *testing.T) {
	t.Parallel()
	for pkg, imports := range importsOfTheHouse(t) {
		from := floorOf(pkg)
		require.GreaterOrEqual(t, from, 0, "%s stands on no floor", pkg)
		for _, imported := range imports {
			require.LessOrEqual(t, floorOf(imported), from, "%s imports %s", pkg, imported)
		}
	}
}

// arrow is a room and what it must not know, within the house. A name ending in
// /* stands for all rooms under it.
type arrow struct {
	room string
	not  []string
	why  string
}

// arrows are the ways that data must not flow. A room that is not built yet is
// passed over.
func arrows() []arrow {
	engine := []string{"sim", "sim/*", "forage/climate", "forage/bloom", "forage/flight", "forage/weather", "forage/scales"}
	renderers := []string{"plots/terminal", "plots/report", "plots/calendar", "plots/files"}
	without := func(list []string, room string) []string {
		return slices.DeleteFunc(slices.Clone(list), func(s string) bool { return s == room })
	}
	return []arrow{
		{"forage/read", []string{"forage", "forage/*"}, "the reading room knows cells and numbers, not what they mean"},
		{"forage/weather", []string{"forage", "forage/climate", "forage/bloom", "forage/flight"}, "records are read before anything is made of them"},
		{"forage/scales", []string{"forage", "forage/bloom", "forage/flight"}, "records are read before anything is made of them"},
		{"forage/flight", []string{"forage", "forage/*"}, "flight hangs on the day's weather alone"},
		{"forage/climate", []string{"forage", "forage/bloom", "forage/flight"}, "a climate knows no plants and no bees"},
		{"forage/bloom", []string{"forage", "forage/climate", "forage/flight"}, "bloom is the sum of warmth over days"},
		{"sim/colony", []string{"sim/ensemble", "sim/observe", "sim/check", "sim/hindcast", "sim/sensitivity", "sim/calibrate"}, "a colony knows nothing of the many"},
		{"sim/ensemble", []string{"sim/observe", "sim/check", "sim/hindcast", "sim/sensitivity", "sim/calibrate"}, "the many know nothing of readings"},
		{"sim/observe", []string{"sim/check", "sim/hindcast", "sim/sensitivity", "sim/calibrate"}, "readings know nothing of studies"},
		{"sim/check", []string{"sim/hindcast", "sim/sensitivity", "sim/calibrate"}, "studies stand side by side"},
		{"sim/hindcast", []string{"sim/check", "sim/sensitivity", "sim/calibrate"}, "studies stand side by side"},
		{"sim/sensitivity", []string{"sim/check", "sim/hindcast", "sim/calibrate"}, "studies stand side by side"},
		{"feed/season", []string{"feed", "feed/plan", "feed/visits", "feed/decide", "feed/schedule", "feed/order"}, "a season is input only"},
		{"feed/syrup", []string{"feed", "feed/plan", "feed/season", "feed/visits", "feed/decide", "feed/schedule", "feed/order"}, "sugar and water know no hives"},
		{"feed/plan", []string{"feed", "feed/visits", "feed/decide", "feed/schedule", "feed/order"}, "the plan is data"},
		{"feed/visits", []string{"feed", "feed/decide", "feed/schedule", "feed/order"}, "visits and their weather are known before anything is decided"},
		{"feed/schedule", []string{"feed", "feed/plan", "feed/season", "feed/visits", "feed/decide", "feed/order"}, "a policy knows stores, visits' days and rules, not who asks"},
		{"feed/decide", []string{"feed", "feed/order"}, "a decision is made before it is ordered for"},
		{"feed/decide", []string{"feed/asked"}, "a colony is decided on before anything else is asked of it"},
		{"feed/asked", []string{"feed", "feed/order"}, "what is asked of a colony is asked of its own draws"},
		{"feed/order", []string{"feed", "feed/visits", "feed/asked"}, "an order is summed from plans"},
		{"feed/since", append(slices.Clone(engine), "feed", "feed/visits", "feed/decide", "feed/schedule", "feed/order"), "two plans are compared as they stand, without another run"},
		{"plots", append(slices.Clone(engine), "plots/terminal", "plots/report", "plots/calendar", "plots/files"), "pictures are drawn from results"},
		{"plots/words", append(slices.Clone(engine), append([]string{"plots"}, renderers...)...), "words are asked, and ask nobody"},
		{"plots/terminal", append(without(renderers, "plots/terminal"), "forage/bloom", "forage/flight"), "renderers ask the words, not each other"},
		{"plots/report", append(without(renderers, "plots/report"), engine...), "renderers ask the words, not each other"},
		{"plots/calendar", append(without(renderers, "plots/calendar"), engine...), "renderers ask the words, not each other"},
		{"plots/files", append(without(renderers, "plots/files"), engine...), "renderers ask the words, not each other"},
		{"cmd/bloomgap/web", []string{"cmd/bloomgap", "sim", "sim/*"}, "the page asks the plan, not the model"},
	}
}

func TestNoArrowPointsTheOtherWay(t *testing.T) {
	t.Parallel()
	imports := importsOfTheHouse(t)
	seen := 0
	for _, a := range arrows() {
		list, built := imports["bloomgap/"+a.room]
		if !built {
			continue
		}
		seen++
		for _, imported := range list {
			name, own := strings.CutPrefix(imported, "bloomgap/")
			if !own {
				continue
			}
			for _, not := range a.not {
				under, all := strings.CutSuffix(not, "/*")
				hit := name == not || all && strings.HasPrefix(name, under+"/") && name != a.room
				require.False(t, hit, "%s imports %s: %s", a.room, name, a.why)
			}
		}
	}
	require.Greater(t, seen, 8, "most rooms are there")
}

// goFiles walks the files of the floors given that are no tests.
func goFiles(t *testing.T, tops []string, tests bool, do func(path, text string)) {
	t.Helper()
	seen := 0
	for _, top := range tops {
		err := filepath.WalkDir(filepath.Join("../..", top), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") != tests {
				return err
			}
			b, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			seen++
			do(path, string(b))
			return nil
		})
		require.NoError(t, err)
	}
	require.Greater(t, seen, 5, "files were looked at")
}

// TestNothingBelowTheCommandLooksOutside keeps the clock, the environment and the
// standard streams to the command.
func TestNothingBelowTheCommandLooksOutside(t *testing.T) {
	t.Parallel()
	outside := regexp.MustCompile(`\btime\.(Now|Since|Until)\(|\bos\.(Getenv|LookupEnv|Environ|Args|Stdout|Stderr|Stdin)\b|\blog\.`)
	require.True(t, outside.MatchString("time.Now()"), "the expression finds what it is for")
	goFiles(t, floors()[:len(floors())-1], false, func(path, text string) {
		if strings.HasSuffix(path, "forage/golden/golden.go") || strings.HasSuffix(path, "forage/stoptest/stoptest.go") {
			return // for tests only
		}
		require.Empty(t, outside.FindString(text), path)
	})
}

// TestNoRoomIsCalledForNothing holds the names that say nothing out of the house.
func TestNoRoomIsCalledForNothing(t *testing.T) {
	t.Parallel()
	for pkg := range importsOfTheHouse(t) {
		for _, word := range []string{"util", "common", "helper"} {
			require.NotContains(t, pkg, word)
		}
	}
}

// TestTestsSayWhatTheyWant keeps tests from being content with any error, and the
// golden files to one flag.
func TestTestsSayWhatTheyWant(t *testing.T) {
	t.Parallel()
	bare := regexp.MustCompile(`\b(require|assert)\.Errorf?\(`)
	own := regexp.MustCompile(`flag\.Bool(Var)?\([^)]*"update"`)
	goFiles(t, floors(), true, func(path, text string) {
		if strings.HasSuffix(path, "house_test.go") {
			return
		}
		require.Empty(t, bare.FindString(text), "%s: say which error, with ErrorContains, EqualError or ErrorIs", path)
		require.Empty(t, own.FindString(text), "%s: use the flag of forage/golden", path)
	})
}

// TestLinesAreNotTooLong holds the lines of code, those of tests and the table of
// parameters aside, to 160 letters; texts in quotes and comments may run on.
func TestLinesAreNotTooLong(t *testing.T) {
	t.Parallel()
	const most = 160
	words := regexp.MustCompile("\"(\\\\.|[^\"\\\\])*\"|`[^`]*`?|//.*")
	goFiles(t, floors(), false, func(path, text string) {
		if strings.HasSuffix(path, "catalogue.go") {
			return
		}
		for i, line := range strings.Split(text, "\n") {
			require.LessOrEqual(t, len(words.ReplaceAllString(line, "")), most, "%s:%d", path, i+1)
		}
	})
}

// longFunctions are the ones that may pass mostLines, with the reason.
func longFunctions() map[string]string {
	return map[string]string{
		"sim/colony/population.go SimulatePopulation": "the daily loop",
		"forage/climate/builtin_table.go builtin":     "a table",
		"cmd/bloomgap/web/ask.go askForm":             "a table: the fields of the form",
		"plots/files/sheets.go colonyRows":            "a table: the columns of a sheet",
		"plots/plantest/plan.go Plan":                 "a table: an invented plan",
		"forage/bloom/search.go prepare":              "the inner loop of the search for a rule",
		"forage/bloom/search.go search":               "the inner loop of the search for a rule",
		"sim/hindcast/run.go learn":                   "one pass over a hive's days",
	}
}

// mostLines and mostParameters bound a function that a reader takes in at once.
const (
	mostLines      = 80
	mostParameters = 6
)

// manyParameters are the functions that take more, to be taken in hand.
func manyParameters() []string {
	return []string{"forage/climate/fit.go fitSpread", "plots/ranked.go tradeChart", "plots/report/folder.go WritePages", "plots/springs.go slotChart", "plots/yards.go barChart"}
}

// TestFunctionsAreTakenInAtOnce holds functions, those of tests aside, to a length and a
// number of parameters; and the lists of exceptions to what is there.
func TestFunctionsAreTakenInAtOnce(t *testing.T) {
	t.Parallel()
	long, many := longFunctions(), manyParameters()
	var seen []string
	goFiles(t, floors(), false, func(path, text string) {
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, path, text, parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, decl := range file.Decls {
			f, ok := decl.(*ast.FuncDecl)
			if !ok {
				continue
			}
			name := strings.TrimPrefix(filepath.ToSlash(path), "../../") + " " + f.Name.Name
			lines := set.Position(f.End()).Line - set.Position(f.Pos()).Line + 1
			if _, ok := long[name]; ok && lines > mostLines {
				seen = append(seen, name)
			} else {
				require.LessOrEqual(t, lines, mostLines, "lines of %s", name)
			}
			if slices.Contains(many, name) && f.Type.Params.NumFields() > mostParameters {
				seen = append(seen, name)
			} else {
				require.LessOrEqual(t, f.Type.Params.NumFields(), mostParameters, "parameters of %s: make them a struct", name)
			}
		}
	})
	for name := range long {
		require.Contains(t, seen, name, "it has been mended: take it off the list")
	}
	for _, name := range many {
		require.Contains(t, seen, name, "it has been mended: take it off the list")
	}
}
