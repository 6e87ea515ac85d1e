package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"bloomgap/forage/bloom"
	"bloomgap/forage/climate"
	"bloomgap/forage/weather"
	"bloomgap/plots/terminal"
)

// writeRecord writes a record as a plain table.
func writeRecord(t *testing.T, path string, rec *weather.Record, lost func(time.Time) bool) {
	t.Helper()
	var b strings.Builder
	b.WriteString("date,tmin_c,tmax_c,precip_mm\n")
	for i, d := range rec.Days {
		day := rec.Date(i)
		if lost != nil && lost(day) {
			fmt.Fprintf(&b, "%s,,,\n", day.Format(time.DateOnly))
			continue
		}
		rain := ""
		if !math.IsNaN(d.PrecipMm) {
			rain = fmt.Sprintf("%.1f", d.PrecipMm)
		}
		fmt.Fprintf(&b, "%s,%.1f,%.1f,%s\n", day.Format(time.DateOnly), d.TminC, d.TmaxC, rain)
	}
	require.NoError(t, os.WriteFile(path, []byte(b.String()), 0o600))
}

// TestWeatherBeside fills a gap from a neighbour that is 2 C warmer throughout.
func TestWeatherBeside(t *testing.T) {
	t.Chdir(t.TempDir())
	rec := climate.Generate(climate.NearestAt(46, math.NaN(), 100), 1, 3)[0]
	lost := func(d time.Time) bool { return d.Month() == time.April && d.Day() >= 10 && d.Day() <= 13 }
	writeRecord(t, "w.csv", rec, lost)
	warm := rec.Clone()
	for i := range warm.Days {
		warm.Days[i].TminC += 2
		warm.Days[i].TmaxC += 2
	}
	writeRecord(t, "near.csv", warm, nil)

	code, out, errs := call(t, "weather", "w.csv", "--lat", "46")
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "1 gap was filled by a straight line")
	require.Contains(t, strings.Join(strings.Fields(out), " "), "longer than 2: 1.")
	require.Contains(t, out, "give it with --beside FILE")

	code, out, errs = call(t, "weather", "w.csv", "--lat", "46", "--beside", "near.csv")
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, strings.Join(strings.Fields(out), " "), "from a neighbouring record near, shifted by -2.0 C (lowest) and -2.0 C (highest)")
	require.NotContains(t, out, "straight line")
	require.NotContains(t, out, "--beside FILE")

	code, _, errs = call(t, "weather", "w.csv", "--lat", "46", "--beside", "gone.csv")
	require.Equal(t, exitInput, code)
	require.Contains(t, errs, "gone.csv")
}

// TestBloomFitFindsRule makes up twelve springs, in a file each, and first
// flowers by a rule, and looks for that rule through the command.
func TestBloomFitFindsRule(t *testing.T) {
	t.Chdir(t.TempDir())
	rule := bloom.Threshold{Plant: "test plant", BaseC: 0, StartDOY: 91, NeedCd: 273, SpreadDays: 1}
	n := climate.NearestAt(46, math.NaN(), 100)
	dates := "date\n"
	args := []string{"bloom", "fit", "dates.csv"}
	for _, rec := range climate.Generate(n, 12, 7) {
		year := rec.Last().Year()
		day, ok := rule.DateReached(rec, year)
		require.True(t, ok)
		dates += day.Format(time.DateOnly) + "\n"
		name := fmt.Sprintf("%d.csv", year)
		writeRecord(t, name, rec, nil)
		args = append(args, name)
	}
	require.NoError(t, os.WriteFile("dates.csv", []byte(dates), 0o600))
	code, out, errs := call(t, append(args, "--json")...)
	require.Equal(t, exitOK, code, errs)
	var d fitDoc
	require.NoError(t, json.Unmarshal([]byte(out), &d))
	require.Len(t, d.Years, 12)
	require.LessOrEqual(t, float64(d.LeftOutDays), 1.0, "the dates follow a rule of the grid to the day")
	require.Greater(t, float64(d.MeanLeftOutDays), 2*float64(d.LeftOutDays))
	require.Equal(t, "1", d.Columns["bloom_spread"], "never surer than a day")

	code, out, errs = call(t, args...)
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "bloom_base_c,bloom_start,bloom_need_cd,bloom_spread\n")
	require.Contains(t, out, "use warmth")

	// Dates that have nothing to do with the weather: the mean date is as good.
	noise := "date\n"
	for i, rec := range climate.Generate(n, 12, 7) {
		noise += time.Date(rec.Last().Year(), time.May, 1+(i*7)%12, 0, 0, 0, 0, time.UTC).Format(time.DateOnly) + "\n"
	}
	require.NoError(t, os.WriteFile("dates.csv", []byte(noise), 0o600))
	code, out, errs = call(t, args...)
	require.Equal(t, exitOK, code, errs)
	require.Contains(t, out, "use the mean date")
	require.Contains(t, out, "bloom_date,bloom_spread\n  2027-05-0")
	require.NotContains(t, out, "bloom forecast --lat", "there is no rule to forecast by")
}

// TestColumnsOfFitPlan puts the columns that a fit prints into a season folder.
func TestColumnsOfFitPlan(t *testing.T) {
	t.Chdir(t.TempDir())
	nectar := func(cells string) string {
		require.NoError(t, os.MkdirAll("s", 0o755))
		require.NoError(t, os.WriteFile("s/yards.csv", []byte("yard,lat,lon,climate,bloom_base_c,bloom_start,bloom_need_cd,bloom_spread\nMill,45.3,-72.9,farnham,"+cells+"\n"), 0o600))
		require.NoError(t, os.WriteFile("s/colonies.csv", []byte("yard,colony,date,boxes,heft,seams\nMill,1,2027-03-20,1 deep,light,5\n"), 0o600))
		code, out, errs := call(t, "plan", "s", "--json")
		require.Equal(t, exitOK, code, errs)
		var doc struct {
			Colonies []struct {
				Bloom struct{ P50 string } `json:"bloom"`
			} `json:"colonies"`
		}
		require.NoError(t, json.Unmarshal([]byte(out), &doc))
		return doc.Colonies[0].Bloom.P50
	}
	require.Less(t, nectar("0,04-01,180,2"), nectar("0,04-01,273,2"), "less warmth needed, sooner")
	require.Less(t, nectar("0,04-01,273,2"), nectar("0,04-01,420,2"))
	require.Less(t, nectar("0,04-01,273,2"), nectar("6,04-01,273,2"), "a higher base, later")
}

// TestPlanOfRecordWithGaps plans a yard whose record lacks twenty days of April
// in two of its springs, and then in all of them.
func TestPlanOfRecordWithGaps(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.Mkdir("s", 0o755))
	var files []string
	for _, rec := range climate.Generate(climate.NearestAt(45, math.NaN(), -73), 12, 3) {
		files = append(files, fmt.Sprintf("%d.csv", rec.Last().Year()))
	}
	write := func(lost func(spring int, d time.Time) bool) {
		for i, rec := range climate.Generate(climate.NearestAt(45, math.NaN(), -73), 12, 3) {
			writeRecord(t, filepath.Join("s", files[i]), rec, func(d time.Time) bool { return d.Month() == time.April && d.Day() <= 20 && lost(i, d) })
		}
	}
	require.NoError(t, os.WriteFile("s/settings.toml", []byte("today = 2027-03-20\n"), 0o600))
	require.NoError(t, os.WriteFile("s/yards.csv", []byte("yard,lat,weather\nMill,45.3,"+strings.Join(files, ";")+"\n"), 0o600))
	require.NoError(t, os.WriteFile("s/colonies.csv", []byte("yard,colony,date,boxes,heft,seams\nMill,1,2027-03-18,1 deep,light,5\n"), 0o600))
	plan := func() string {
		code, out, errs := call(t, "plan", "s")
		require.Equal(t, exitOK, code, errs)
		return strings.Join(strings.Fields(out), " ")
	}
	write(func(int, time.Time) bool { return false })
	require.NotContains(t, plan(), "gaps too long")

	write(func(spring int, _ time.Time) bool { return spring == 2 || spring == 5 })
	year := func(i int) string { return strings.TrimSuffix(files[i], ".csv") }
	require.Contains(t, plan(), "The weather record has gaps too long to fill in "+year(2)+", "+year(5)+" and does without them (bloomgap weather shows where).")

	write(func(int, time.Time) bool { return true })
	out := plan()
	require.Contains(t, out, "gaps too long to fill in 12 springs, "+year(0)+" to "+year(11)+", and does without them")
	require.Contains(t, out, "holds only 0 whole springs besides this one; 30 springs drawn from a climate are added")
}

func TestInterrupted(t *testing.T) {
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var out, errs bytes.Buffer
	code := run(ctx, []string{"demo", "--out", filepath.Join(dir, "files")}, testConsole(&out, &errs))
	require.Equal(t, exitInterrupted, code)
	require.Empty(t, out.String())
	require.Contains(t, errs.String(), "stopped; nothing was half written")
	require.NoDirExists(t, filepath.Join(dir, "files"))
}

// TestLongWorkStops asks that work of seconds ends as soon as it is told to.
func TestLongWorkStops(t *testing.T) {
	t.Parallel()
	for _, args := range [][]string{{"check", "--members", "2000"}, {"demo", "--members", "5000"}, {"sensitivity", "--points", "4096"}} {
		stopsSoon(t, args)
	}
}

func stopsSoon(t *testing.T, args []string) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	var out, errs bytes.Buffer
	ended := make(chan int, 1)
	go func() { ended <- run(ctx, args, testConsole(&out, &errs)) }()
	time.Sleep(300 * time.Millisecond)
	asked := time.Now()
	cancel()
	require.Equal(t, exitInterrupted, <-ended, args)
	require.Less(t, time.Since(asked), 2*time.Second, "%v, on a loaded machine", args)
	require.Empty(t, out.String())
	require.Equal(t, "bloomgap: stopped; nothing was half written\n", errs.String())
}

// TestCannotWrite tells that what is no fault of the input has its own code.
func TestCannotWrite(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("taken", nil, 0o600))
	code, out, errs := call(t, "demo", "--out", "taken")
	require.Equal(t, exitFailed, code)
	require.Empty(t, out)
	require.Contains(t, errs, "taken")
}

// brokenWriter fails with an error at each write.
type brokenWriter struct{ err error }

func (w brokenWriter) Write([]byte) (int, error) { return 0, w.err }

// TestPrintingFails tells that a reader who has enough ends a call quietly, and
// that what could not be printed for another reason is said, also by commands
// that print without looking.
func TestPrintingFails(t *testing.T) {
	for _, args := range [][]string{{"parameters"}, {"climates"}, {"bloom", "plants", "--json"}, {"demo", "--members", "50", "--json"}, {"--help"}, {"init", "spring"}} {
		t.Chdir(t.TempDir())
		var errs bytes.Buffer
		require.Equal(t, exitOK, run(context.Background(), args, testConsole(brokenWriter{&os.PathError{Op: "write", Path: "|1", Err: syscall.EPIPE}}, &errs)), args)
		require.Empty(t, errs.String(), args)

		t.Chdir(t.TempDir())
		require.Equal(t, exitFailed, run(context.Background(), args, testConsole(brokenWriter{syscall.ENOSPC}, &errs)), args)
		require.Contains(t, errs.String(), "what was to be printed is cut short", args)
	}
}

// TestColours tells that a terminal gets colour unless it asks for none.
func TestColours(t *testing.T) {
	for _, c := range []struct {
		name     string
		terminal bool
		noColour string
		want     bool
	}{{"terminal", true, "", true}, {"terminal with NO_COLOR", true, "1", false}, {"a pipe", false, "", false}} {
		var out, errs bytes.Buffer
		con := testConsole(&out, &errs)
		con.outIsTerminal = c.terminal
		con.getenv = func(name string) string {
			require.Equal(t, "NO_COLOR", name)
			return c.noColour
		}
		require.Equal(t, exitOK, run(context.Background(), []string{"demo", "--members", "50"}, con), errs.String())
		require.Equal(t, c.want, strings.Contains(out.String(), "\x1b["), c.name)
	}
}

// TestEveryCommandExplains tells that each command says what it does, shows an
// example and refuses arguments that it does not know.
func TestEveryCommandExplains(t *testing.T) {
	root := newRootCmd(testConsole(&bytes.Buffer{}, &bytes.Buffer{}))
	seen := 0
	for _, cmd := range append(root.Commands(), root) {
		for _, sub := range append(cmd.Commands(), cmd) {
			if sub.Name() == "help" || sub.Name() == "completion" || sub.Parent() != nil && sub.Parent().Name() == "completion" {
				continue
			}
			seen++
			require.NotEmpty(t, sub.Short, sub.CommandPath())
			var help bytes.Buffer
			sub.SetOut(&help)
			require.NoError(t, sub.Help())
			for line := range strings.Lines(help.String()) {
				require.LessOrEqual(t, utf8.RuneCountInString(line), terminal.MinWidth+1, "%s: %s", sub.CommandPath(), line)
			}
			require.Contains(t, sub.Example, "bloomgap", sub.CommandPath())
			if sub != root {
				require.NotNil(t, sub.Args, sub.CommandPath())
			}
		}
	}
	require.Greater(t, seen, 8)
}
