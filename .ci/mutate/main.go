// Command mutate changes one operator, condition or statement of the engine at a time and asks
// whether a test notices. A change that no test notices is a survivor: either a test is missing or
// the change makes no difference that a keeper could see.
//
//	go run ./.ci/mutate -n 300
//
// The tree is not touched: each change reaches the compiler by go test's overlay. Which changes are
// made depends on the seed and the source alone. A change is killed when a short test of its own
// package fails, or one of an engine package that imports it; tests of printed text are not asked.
// No kept tool was found that samples by a seed and asks the users of a package as well.
package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx); err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		os.Exit(1)
	}
}

type options struct {
	root     string
	rooms    string
	count    int
	skip     int
	seed     uint64
	longest  time.Duration
	least    float64
	ownTests bool
	only     string
}

func run(ctx context.Context) error {
	var o options
	flag.StringVar(&o.root, "root", ".", "folder of the program's module")
	flag.StringVar(
		&o.rooms,
		"rooms",
		"sim/colony,sim/ensemble,sim/observe,feed,feed/decide,feed/order,feed/visits,feed/schedule,feed/syrup,forage/flight,forage/bloom",
		"packages to change, by commas; those that are not there are passed over",
	)
	flag.IntVar(&o.count, "n", 300, "changes to make")
	flag.IntVar(&o.skip, "skip", 0, "changes of the sample to pass over, as when a run goes on")
	flag.Uint64Var(&o.seed, "seed", 1, "seed of the sample")
	flag.DurationVar(&o.longest, "longest", 3*time.Minute, "time after which a test that does not end counts as failed")
	flag.Float64Var(&o.least, "least", 0, "end with an error when a smaller share is killed, %")
	flag.BoolVar(&o.ownTests, "own", false, "ask only the tests of the changed package itself")
	flag.StringVar(&o.only, "only", "", "only changes whose description holds this text")
	flag.Parse()
	root, err := filepath.Abs(o.root)
	if err != nil {
		return err
	}
	rooms, err := listRooms(ctx, root)
	if err != nil {
		return err
	}
	all, err := changes(root, strings.Split(o.rooms, ","))
	if err != nil {
		return err
	}
	rng := rand.New(rand.NewPCG(o.seed, 0))
	rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	all = slices.DeleteFunc(all, func(c change) bool { return !strings.Contains(c.String(), o.only) })
	picked := all[min(o.skip, len(all)):min(o.skip+o.count, len(all))]
	fmt.Printf("%d of %d possible changes, seed %d\n", len(picked), len(all), o.seed)
	return o.try(ctx, root, rooms, picked)
}

// try makes the changes one after the other and prints what became of each.
func (o options) try(ctx context.Context, root string, rooms []room, picked []change) error {
	work, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	count := map[string]int{}
	for i, c := range picked {
		start := time.Now()
		how, by, err := o.ask(ctx, work, root, rooms, c)
		if err != nil {
			return err
		}
		count[how]++
		fmt.Printf("%4d %-9s %s %s (%.0f s)\n", o.skip+i, how, c, by, time.Since(start).Seconds())
	}
	killed, all := count[died], count[died]+count[lived]
	if all == 0 {
		return errors.New("no change could be tried")
	}
	share := 100 * float64(killed) / float64(all)
	fmt.Printf("%d of %d killed, %.0f %%; %d did not compile\n", killed, all, share, count[noBuild])
	if share < o.least {
		return fmt.Errorf("%.0f %% is under the %.0f %% that are asked for", share, o.least)
	}
	return nil
}

// What becomes of a change.
const (
	died    = "killed"
	lived   = "SURVIVED"
	noBuild = "no build"
)

// ask tests one change: the tests of its own package first, then those of the
// engine packages that import it.
func (o options) ask(ctx context.Context, work, root string, rooms []room, c change) (how, by string, err error) {
	changed := filepath.Join(work, "changed.go")
	if err := os.WriteFile(changed, c.text, 0o600); err != nil {
		return "", "", err
	}
	overlay, err := json.Marshal(map[string]map[string]string{"Replace": {filepath.Join(root, c.file): changed}})
	if err != nil {
		return "", "", err
	}
	list := filepath.Join(work, "overlay.json")
	if err := os.WriteFile(list, overlay, 0o600); err != nil {
		return "", "", err
	}
	own := "bloomgap/" + filepath.ToSlash(filepath.Dir(c.file))
	tests := append([]string{own}, users(rooms, own)...)
	if o.ownTests {
		tests = tests[:1]
	}
	for i, pkg := range tests {
		out, ok := o.test(ctx, root, list, pkg)
		if ctx.Err() != nil {
			return "", "", ctx.Err()
		}
		switch {
		case ok:
		case i == 0 && bytes.Contains(out, []byte("[build failed]")):
			return noBuild, "", nil
		default:
			return died, "by " + strings.TrimPrefix(pkg, "bloomgap/") + firstFailure(out), nil
		}
	}
	return lived, "", nil
}

func (o options) test(ctx context.Context, root, overlay, pkg string) ([]byte, bool) {
	ctx, cancel := context.WithTimeout(ctx, o.longest+time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, "go", "test", "-overlay", overlay, "-short", "-failfast", "-vet=off", "-timeout", o.longest.String(), pkg)
	cmd.Dir = root
	cmd.WaitDelay = 5 * time.Second
	out, err := cmd.CombinedOutput()
	return out, err == nil
}

// firstFailure names the test that failed first.
func firstFailure(out []byte) string {
	for line := range strings.Lines(string(out)) {
		if rest, ok := strings.CutPrefix(strings.TrimSpace(line), "--- FAIL: "); ok {
			name, _, _ := strings.Cut(rest, " ")
			return " " + name
		}
	}
	return ""
}

// room is a package and what it imports, tests included.
type room struct {
	path    string
	imports []string
}

func listRooms(ctx context.Context, root string) ([]room, error) {
	cmd := exec.CommandContext(
		ctx,
		"go",
		"list",
		"-f",
		`{{.ImportPath}} {{join .Imports " "}} {{join .TestImports " "}} {{join .XTestImports " "}}`,
		"./sim/...",
		"./feed/...",
		"./forage/...",
	)
	cmd.Dir = root
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("the packages of %s cannot be listed: %w", root, err)
	}
	var rooms []room
	for line := range strings.Lines(string(out)) {
		if f := strings.Fields(line); len(f) > 0 {
			rooms = append(rooms, room{f[0], f[1:]})
		}
	}
	return rooms, nil
}

// users are the engine packages that import one.
func users(rooms []room, pkg string) []string {
	var out []string
	for _, r := range rooms {
		if r.path != pkg && slices.Contains(r.imports, pkg) {
			out = append(out, r.path)
		}
	}
	return out
}
