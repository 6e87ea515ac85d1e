// Command mutate changes one operator, condition or statement of the engine at a time and asks
// whether a test notices. A change that no test notices is a survivor: either a test is missing or
// the change makes no difference that a keeper could see.
//
//	go run ./.ci/mutate -n 300
//
// The tree is not touched: the changes reach the compiler by go test's overlay. Which changes are
// made depends on the seed and the source alone. A change is killed when a short test of its own
// package fails, or one of an engine package that imports it; tests of printed text are not asked.
// A comparison of two worked-out figures is not asked whether it holds when they are equal to the
// last bit: < and <= are then the same to any keeper. Nor are the sign that math.Inf takes and the
// room that make sets aside, which another figure leaves what they were.
// Survivors that were looked at stand in survivors.md with the reason.
// No kept tool was found that samples by a seed and asks the users of a package as well.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"
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
	least    float64
	jobs     int
	ownTests bool
	budget   time.Duration
	only     string
	again    bool
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
	flag.Float64Var(&o.least, "least", 0, "end with an error when a smaller share is killed, %")
	flag.IntVar(&o.jobs, "jobs", 2, "tests run at once")
	flag.BoolVar(&o.ownTests, "own", false, "ask only the tests of the changed package itself")
	flag.DurationVar(&o.budget, "budget", 30*time.Second, "time of tests asked about one change, the quickest of each package first")
	flag.StringVar(&o.only, "only", "", "only changes whose description holds this text")
	flag.BoolVar(&o.again, "again", false, "only changes that survivors.md holds as open")
	flag.Parse()
	root, err := filepath.Abs(o.root)
	if err != nil {
		return err
	}
	rooms, compiled, err := listRooms(ctx, root)
	if err != nil {
		return err
	}
	all, err := changes(root, strings.Split(o.rooms, ","))
	if err != nil {
		return err
	}
	known, err := readKnown(filepath.Join(root, ".ci", "mutate", "survivors.md"))
	if err != nil {
		return err
	}
	rng := rand.New(rand.NewPCG(o.seed, 0))
	rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	all = slices.DeleteFunc(all, func(c *change) bool {
		return !strings.Contains(c.String(), o.only) || o.again && !strings.HasPrefix(known[c.key()], "open")
	})
	check := newTypeChecker(rooms, compiled)
	for _, name := range strings.Split(o.rooms, ",") {
		check.findTies("bloomgap/" + name)
	}
	// The next to make are taken where one does not compile or only moves a tie of two figures.
	var builds []*change
	broken, ties := 0, 0
	for _, c := range all[min(o.skip, len(all)):] {
		if len(builds) == o.count {
			break
		}
		switch {
		case !check.builds(root, c):
			broken++
		case check.tie(root, c):
			ties++
		default:
			builds = append(builds, c)
		}
	}
	fmt.Printf("%d of %d possible changes, seed %d; beside them %d that do not compile and %d ties of figures\n", len(builds), len(all), o.seed, broken, ties)
	return o.try(ctx, root, rooms, builds, known)
}

// try makes the changes one after the other and prints what became of each.
func (o *options) try(ctx context.Context, root string, rooms []room, picked []*change, known map[string]string) error {
	work, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	numbers := map[*function]int{}
	asked := map[string][]string{} // packages by room
	var pkgs []string
	for _, c := range picked {
		if _, ok := numbers[c.fn]; !ok {
			numbers[c.fn] = len(numbers)
		}
		if asked[c.room()] == nil {
			list := users(rooms, "bloomgap/"+c.room())
			if o.ownTests {
				list = list[:1]
			}
			asked[c.room()] = list
			pkgs = append(pkgs, list...)
		}
	}
	slices.Sort(pkgs)
	pkgs = slices.Compact(pkgs)
	list, err := overlay(work, root, picked, numbers)
	if err != nil {
		return err
	}
	b := &bench{work: work, budget: o.budget, jobs: o.jobs, dirs: map[string]string{}, rapid: map[string]bool{}, tests: map[string][]test{}}
	for _, r := range rooms {
		b.dirs[r.path], b.rapid[r.path] = r.dir, slices.Contains(r.imports, "pgregory.net/rapid")
	}
	start := time.Now()
	if err := b.build(ctx, root, list, pkgs); err != nil {
		return err
	}
	if err := b.learn(ctx, pkgs); err != nil {
		return err
	}
	fmt.Printf("%d packages built and their tests timed in %.0f s\n", len(pkgs), time.Since(start).Seconds())
	var t tally
	group, each := errgroup.WithContext(ctx)
	group.SetLimit(o.jobs)
	for i, c := range picked {
		group.Go(func() error {
			start := time.Now()
			by, err := b.ask(each, asked[c.room()], numbers[c.fn], i+1)
			if err == nil {
				t.add(i, c, by, known[c.key()], time.Since(start))
			}
			return err
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	return t.close(o.least)
}

// tally counts what became of the changes, by room.
type tally struct {
	lock  sync.Mutex
	rooms map[string]*count
}

// count is of one room. A change that makes no difference can be killed by nothing.
type count struct{ killed, lived, same int }

func (t *tally) add(i int, c *change, by, why string, took time.Duration) {
	t.lock.Lock()
	defer t.lock.Unlock()
	if t.rooms == nil {
		t.rooms = map[string]*count{}
	}
	n := t.rooms[c.room()]
	if n == nil {
		n = &count{}
		t.rooms[c.room()] = n
	}
	switch {
	case by != "":
		n.killed++
		fmt.Printf("%4d killed   %s by %s (%.0f s)\n", i, c, by, took.Seconds())
	case strings.HasPrefix(why, "same"):
		n.same++
		fmt.Printf("%4d the same %s: %s\n", i, c, why)
	default:
		n.lived++
		fmt.Printf("%4d SURVIVED %s (%.0f s)\n     - %s | %s\n", i, c, took.Seconds(), c.key(), why)
	}
}

func (t *tally) close(least float64) error {
	var all count
	var names []string
	for name, n := range t.rooms {
		names = append(names, name)
		all.killed, all.lived, all.same = all.killed+n.killed, all.lived+n.lived, all.same+n.same
	}
	if all.killed+all.lived == 0 {
		return errors.New("no change could be tried")
	}
	slices.Sort(names)
	for _, name := range names {
		fmt.Printf("%-16s %s\n", name, t.rooms[name])
	}
	fmt.Printf("%-16s %s\n", "all", &all)
	if all.share() < least {
		return fmt.Errorf("%.0f %% is under the %.0f %% that are asked for", all.share(), least)
	}
	return nil
}

func (n *count) share() float64 { return 100 * float64(n.killed) / float64(max(1, n.killed+n.lived)) }

func (n *count) String() string {
	return fmt.Sprintf("%3d of %3d killed, %3.0f %%; %d more make no difference", n.killed, n.killed+n.lived, n.share(), n.same)
}
