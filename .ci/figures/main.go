// Command figures measures what the program costs on the machine at hand and writes the table of
// the README's chapter "How far one machine goes".
//
//	go run ./.ci/figures          prints it
//	go run ./.ci/figures -write   puts it into README.md
//
// All but memory is processor time (user and system), the least of several runs: other work on the
// machine adds to it and takes nothing away. The hives and seasons are invented here.
package main

import (
	"bytes"
	"cmp"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"time"

	"bloomgap/forage"
	"bloomgap/sim/colony"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "figures:", err)
		os.Exit(1)
	}
}

// The block that is written lies between these two.
const begin, end = "<!-- figures: go run ./.ci/figures -write -->\n", "<!-- end of figures -->\n"

func run() error {
	write := flag.Bool("write", false, "put the table into README.md")
	readme := flag.String("readme", "README.md", "where")
	flag.Parse()
	work, err := os.MkdirTemp("", "figures")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	rows := days()
	more, err := programs(work)
	if err != nil {
		return err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Measured on %s, %d cores, %s.\n\n| what | processor time |\n|---|---|\n", machine(), runtime.NumCPU(), runtime.Version())
	for _, r := range append(rows, more...) {
		fmt.Fprintf(&b, "| %s | %s |\n", r.what, r.figure)
	}
	fmt.Print(b.String())
	if !*write {
		return nil
	}
	old, err := os.ReadFile(*readme)
	if err != nil {
		return err
	}
	before, rest, found := bytes.Cut(old, []byte(begin))
	_, after, closed := bytes.Cut(rest, []byte(end))
	if !found || !closed {
		return errors.New("README.md has no place for the figures")
	}
	out := slices.Concat(before, []byte(begin), []byte(b.String()), []byte(end), after)
	return os.WriteFile(*readme, out, 0o644)
}

type row struct{ what, figure string }

// days are what a colony-day costs.
func days() []row {
	const n = 120
	p := colony.DefaultParams()
	table := make([]forage.Day, n)
	for i := range table {
		c := -2 + 0.16*float64(i) + 4*math.Sin(float64(i)/3.1)
		table[i] = forage.NewDay(time.Date(2027, 3, 1+i, 0, 0, 0, 0, time.UTC), c-5, c+5, 0, 45, forage.Generated)
	}
	in := colony.Spring{Params: &p, Forcing: colony.Forcing(table, &p), Span: colony.Span{PollenDay: 20, BloomDay: 70, NectarDay: n - 1, ReadDay: -1, Days: n}}
	s := colony.InitialState{Bees: 9000, BroodCells: 1500, StoresKg: 6, PollenG: 400, HeatShare: 1}
	fed := []colony.Feeding{{Day: 5, SolidKg: 2.5, SugarKg: 2.5}, {Day: 35, SyrupKg: 3, SugarKg: 2.6, LPerKg: 1.16, Touching: true}}
	var r colony.Runner
	var l colony.DailyDemand
	bees := least(func() { r.SimulatePopulation(in, s, &colony.Treatment{}, &l, nil) }) / n
	bare := least(func() { r.SimulateStores(in, s.StoresKg, nil, 5, &l, nil) }) / n
	books := least(func() { r.SimulateStores(in, s.StoresKg, fed, 5, &l, nil) }) / n
	return []row{
		{"a colony-day: bees, brood and books", fmt.Sprintf("%.0f ns", bees+bare)},
		{"of it the books, of a hive not fed", fmt.Sprintf("%.1f ns", bare)},
		{"the books of one more schedule, a day", fmt.Sprintf("%.1f ns, %.2f of the bees", books, books/bees)},
	}
}

// least is the least processor time of a call, ns, over many short rounds.
func least(call func()) float64 {
	const rounds, calls = 200, 500
	best := math.Inf(1)
	for range rounds {
		began := taken(syscall.RUSAGE_SELF)
		for range calls {
			call()
		}
		best = min(best, float64(taken(syscall.RUSAGE_SELF)-began)/calls)
	}
	return best
}

func taken(who int) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(who, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// programs are what whole calls cost.
func programs(work string) ([]row, error) {
	program := filepath.Join(work, "bloomgap")
	if out, err := exec.Command("go", "build", "-o", program, "./cmd/bloomgap").CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%w\n%s", err, out)
	}
	many := filepath.Join(work, "season")
	if err := season(many, program); err != nil {
		return nil, err
	}
	hive := []string{
		"hive", "--lat", "45.3", "--lon", "-72.9", "--climate", "auto", "--date", "2027-03-20", "--next-visit", "2027-03-23", "--days-between", "8",
		"--boxes", "1 deep", "--heft", "light", "--seams", "5", "--count-temp", "6",
	}
	var rows []row
	for _, c := range []struct {
		what string
		runs int
		call []string
	}{
		{"what any start costs (`bloomgap --version`)", 25, []string{"--version"}},
		{"one hive, as in the example above, start-up included", 25, hive},
		{"the demo: 36 colonies in 4 yards", 9, []string{"demo"}},
		{fmt.Sprintf("a plan of %d colonies in %d yards", yards*inYard, yards), 3, []string{"plan", many}},
		{"the same on half as many springs-and-draws", 3, []string{"plan", many, "--members", "150"}},
	} {
		best, memory := math.Inf(1), int64(0)
		for range c.runs {
			cmd := exec.Command(program, c.call...)
			var said bytes.Buffer
			cmd.Stdout, cmd.Stderr = &said, &said
			if err := cmd.Run(); err != nil {
				return nil, fmt.Errorf("%s: %w\n%s", strings.Join(c.call, " "), err, said.Bytes())
			}
			best = min(best, float64(cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime()))
			if u, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
				memory = max(memory, u.Maxrss)
			}
		}
		figure := fmt.Sprintf("%.0f ms", best/1e6)
		if best > 1e9 {
			figure = fmt.Sprintf("%.1f s", best/1e9)
		}
		if runtime.GOOS == "linux" && len(c.call) > 1 { // there in kB
			figure += fmt.Sprintf(", %d MB", (memory+500)/1000)
		}
		rows = append(rows, row{c.what, figure})
	}
	return rows, nil
}

// The invented season.
const yards, inYard = 20, 50

// season writes it: the starter folder with other yards and colonies.
func season(dir, program string) error {
	if out, err := exec.Command(program, "init", dir).CombinedOutput(); err != nil {
		return fmt.Errorf("%w\n%s", err, out)
	}
	places, hives := "yard,lat,lon,climate,next_visit,days_between\n", "yard,colony,date,boxes,seams,count_temp_c,heft,gross_kg\n"
	for y := range yards {
		places += fmt.Sprintf("Yard %d,%.1f,-72.9,auto,2027-03-23,8\n", y+1, 44.5+0.1*float64(y))
		for c := range inYard {
			food := [...]string{"light,", "fair,", "heavy,", ",20", ",23", ",26", ",30"}[(c+y)%7]
			hives += fmt.Sprintf("Yard %d,%d,2027-03-20,1 deep,%d,5,%s\n", y+1, c+1, 4+(c*3+y)%5, food)
		}
	}
	for name, text := range map[string]string{"yards.csv": places, "colonies.csv": hives} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			return err
		}
	}
	for _, name := range []string{"equipment.csv", "tallies.csv", "given.csv"} {
		if err := os.Remove(filepath.Join(dir, name)); err != nil {
			return err
		}
	}
	return nil
}

// machine names the processor, as far as it can be told.
func machine() string {
	text, _ := os.ReadFile("/proc/cpuinfo") // none but on Linux
	if m := regexp.MustCompile(`(?m)^model name\s*:\s*(.+)$`).FindSubmatch(text); m != nil {
		return string(m[1])
	}
	return cmp.Or(os.Getenv("PROCESSOR_IDENTIFIER"), runtime.GOOS+"/"+runtime.GOARCH)
}
