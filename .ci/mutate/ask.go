package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"
)

// test is one test of a package, what it takes and which functions it comes through.
type test struct {
	name    string
	took    time.Duration
	through map[int]bool
}

// bench holds the test programs of all packages that are asked.
type bench struct {
	budget time.Duration
	work   string
	jobs   int
	dirs   map[string]string // of packages
	rapid  map[string]bool   // packages whose tests write down what failed unless told not to
	tests  map[string][]test // by package, the quickest first
}

func (b *bench) program(pkg string) string {
	return filepath.Join(b.work, strings.ReplaceAll(pkg, "/", "_")+".test")
}

// build compiles the tests of some packages with all changes in them.
func (b *bench) build(ctx context.Context, root, list string, pkgs []string) error {
	for _, pkg := range pkgs {
		cmd := exec.CommandContext(ctx, "go", "test", "-c", "-vet=off", "-overlay", list, "-o", b.program(pkg), pkg)
		cmd.Dir = root
		if out, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("the tests of %s do not build: %w\n%s", pkg, err, out)
		}
	}
	return nil
}

// run runs some tests of a package with a change on, 0 for none.
func (b *bench) run(ctx context.Context, pkg string, names []string, on int, trace string, longest time.Duration) ([]byte, error) {
	ctx, cancel := context.WithTimeout(ctx, longest+10*time.Second)
	defer cancel()
	for i, name := range names {
		names[i] = regexp.QuoteMeta(name)
	}
	cmd := exec.CommandContext(ctx, b.program(pkg), "-test.short", "-test.failfast", "-test.timeout", longest.String(),
		"-test.run", "^("+strings.Join(names, "|")+")$")
	if b.rapid[pkg] {
		cmd.Args = append(cmd.Args, "-rapid.nofailfile")
	}
	cmd.Dir = b.dirs[pkg]
	cmd.Env = append(os.Environ(), "MUTATE="+strconv.Itoa(on), "MUTATE_TRACE="+trace)
	cmd.WaitDelay = 5 * time.Second
	return cmd.CombinedOutput()
}

// learn runs each test of some packages alone: how long it takes, and what it comes through.
func (b *bench) learn(ctx context.Context, pkgs []string) error {
	var lock sync.Mutex
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(b.jobs)
	for _, pkg := range pkgs {
		list := exec.CommandContext(ctx, b.program(pkg), "-test.list", ".")
		list.Dir = b.dirs[pkg]
		out, err := list.Output()
		if err != nil {
			return fmt.Errorf("the tests of %s cannot be listed: %w", pkg, err)
		}
		for _, name := range strings.Fields(string(out)) {
			if strings.HasPrefix(name, "Benchmark") {
				continue
			}
			group.Go(func() error {
				trace := filepath.Join(b.work, strings.ReplaceAll(pkg, "/", "_")+"."+name)
				start := time.Now()
				if out, err := b.run(ctx, pkg, []string{name}, 0, trace, 5*time.Minute); err != nil && ctx.Err() == nil {
					fmt.Printf("%s %s fails with nothing changed, and is not asked:%s\n", pkg, name, firstFailure(out))
					return nil
				}
				t := test{name, time.Since(start), map[int]bool{}}
				text, _ := os.ReadFile(trace) // not there: it comes through none
				for _, word := range strings.Fields(string(text)) {
					n, err := strconv.Atoi(word)
					if err != nil {
						return err
					}
					t.through[n] = true
				}
				lock.Lock()
				defer lock.Unlock()
				b.tests[pkg] = append(b.tests[pkg], t)
				return nil
			})
		}
	}
	err := group.Wait()
	for _, tests := range b.tests {
		slices.SortFunc(tests, func(x, y test) int { return int(x.took - y.took) })
	}
	return err
}

// batchTime is about how much of tests is run in one go before it is asked whether one failed.
const batchTime = time.Second

// ask tells which test notices a change, "" when none does: those of its own package first, then
// those of its users, the quick ones first.
// Tests beyond the budget of time are not asked, so that a share is rather too low than too high.
func (b *bench) ask(ctx context.Context, pkgs []string, function, on int) (string, error) {
	spent := time.Duration(0)
	for _, pkg := range pkgs {
		var names []string
		took := time.Duration(0)
		flush := func() (string, error) {
			if len(names) == 0 {
				return "", nil
			}
			// A change may make work endless: ten times the usual and some seconds count as failed.
			out, err := b.run(ctx, pkg, names, on, "", 10*took+20*time.Second)
			names, took = nil, 0
			if ctx.Err() != nil {
				return "", ctx.Err()
			}
			if err == nil {
				return "", nil
			}
			return strings.TrimPrefix(pkg, "bloomgap/") + firstFailure(out), nil
		}
		for _, t := range b.tests[pkg] {
			if !t.through[function] || spent+t.took > b.budget {
				continue
			}
			spent += t.took
			names, took = append(names, t.name), took+t.took
			if took > batchTime {
				if by, err := flush(); by != "" || err != nil {
					return by, err
				}
			}
		}
		if by, err := flush(); by != "" || err != nil {
			return by, err
		}
	}
	return "", nil
}

// firstFailure names the test that failed first.
func firstFailure(out []byte) string {
	for line := range strings.Lines(string(out)) {
		if rest, ok := strings.CutPrefix(strings.TrimSpace(line), "--- FAIL: "); ok {
			name, _, _ := strings.Cut(rest, " ")
			return " " + name
		}
		if strings.HasPrefix(line, "panic: ") {
			return " " + strings.TrimSpace(short(line))
		}
	}
	return ""
}
