package decide

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/feed/visits"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// fromLightToHeavy are invented singles from sure to starve to hardly ever, weighed and
// hefted, the first so many of them.
func fromLightToHeavy(t testing.TB, n int) *season.Season {
	var s *season.Season
	for i, in := range []map[string]string{{"gross": "22"}, {"heft": "fair"}, {"gross": "25"}, {"gross": "19"}, {"gross": "28"},
		{"heft": "light"}, {"heft": "heavy"}, {"gross": "24", "seams": "8"}}[:n] {
		one := seasontest.OneHive(t, in, nil)
		c := one.Colonies[0]
		c.Name = fmt.Sprint("H", i)
		if s == nil {
			s = one
			s.Colonies = nil
		}
		s.Colonies = append(s.Colonies, c)
	}
	return s
}

// aloneOn opens the only yard of a season on draws of a seed, its springs on those of another,
// and lets its colonies alone on so many members.
func aloneOn(t testing.TB, s *season.Season, springs, draws uint64, members int, do func(i int, s *subject, a *grown)) {
	t.Helper()
	s.Settings.Seed = springs
	worlds, ps := visits.Worlds(s, nil)
	require.NoError(t, ps.Err())
	s.Settings.Seed = draws
	d := &Decided{options: Options{Season: s, Base: colony.DefaultParams(), Members: members, MostMembers: members}}
	shared := ensemble.NewSharedDraws(d.options.Base, members, draws, false)
	v, err := visits.Open(s, &s.Yards[0], s.ByYard()[s.Yards[0].Name], worlds[s.Yards[0].Name], visits.Options{Draws: shared, Base: &d.options.Base, Members: members})
	require.NoError(t, err)
	y, err := NewYard(v, &d.options, shared)
	require.NoError(t, err)
	w := NewWorker(&d.options)
	for i, col := range y.Colonies {
		sub, a := w.subject(y, col), &w.alone
		sub.draw(a, 0, members)
		w.grow(a, &colony.Treatment{}, 0, members)
		w.leave(sub, a, 0, members)
		a.members = members
		do(i, sub, a)
	}
}

// TestStoresAreAStraightLine: what a colony that is not fed must hold does not hang on what it
// holds, to the last digits, fed before or not; with a hair less it starves, with a hair more
// it does not, and the same by any week and of the reserve.
func TestStoresAreAStraightLine(t *testing.T) {
	s := fromLightToHeavy(t, 3)
	fed := []colony.Feeding{{Day: 2, SyrupKg: 1.5, SugarKg: 1.4, LPerKg: 1, Touching: true}, {Day: 6, SolidKg: 1, SugarKg: 1}, {Day: 9, CombKg: 0.7}}
	rnd := rand.New(rand.NewPCG(3, 4))
	aloneOn(t, s, 1, 1, 60, func(i int, sub *subject, a *grown) {
		var run colony.StoresRun
		for m := range a.members {
			c, demand := &a.cases[m], &a.demand[m]
			if i == 2 { // as if it had been fed before it was asked about
				c.Span.Fed = fed
				demand = &colony.DailyDemand{}
				new(colony.Runner).SimulatePopulation(c.Spring(), c.Start, &colony.Treatment{}, demand, nil)
			}
			at := func(kg float64, until int) *colony.StoresRun {
				run.Begin(c.Spring(), kg, sub.reserveKg, demand, nil)
				run.Until(until)
				return &run
			}
			for k, day := range append([]int{math.MaxInt32}, sub.y.Weeks[1:]...) {
				day = max(0, day-sub.first)
				c.Start.StoresKg = 0
				needKg, holdKg := sub.leastToStart(c, at(0, day))
				c.Start.StoresKg = 30 * rnd.Float64()
				again, holdAgain := sub.leastToStart(c, at(c.Start.StoresKg, day))
				if math.IsInf(needKg, -1) { // nectar is there
					require.Equal(t, needKg, again)
					continue
				}
				require.InDelta(t, needKg, again, 1e-12, "member %d, day %d", m, day)
				require.InDelta(t, holdKg, holdAgain, 1e-12, "member %d, day %d", m, day)
				for _, hair := range []float64{-1e-9, 1e-9} {
					require.Equal(t, hair < 0, at(needKg+hair, day).StarveDay >= 0, "member %d, day %d", m, day)
					require.Equal(t, hair < 0, at(holdKg+hair, day).Outcome().ReserveDay >= 0, "member %d, day %d", m, day)
				}
				if k > 0 && i < 2 {
					require.InDelta(t, needKg, a.needByKg[k][m], 1e-12)
					require.InDelta(t, holdKg, a.holdByKg[k][m], 1e-12)
				}
			}
		}
	})
}

// TestChancesAgainstManyDraws: each member's chance is the share of many draws of its stores that
// starve: over 120 members of 400 draws each, to three standard errors of some 0.2 %.
func TestChancesAgainstManyDraws(t *testing.T) {
	s := fromLightToHeavy(t, 7)
	rnd := rand.New(rand.NewPCG(5, 6))
	const draws = 400
	aloneOn(t, s, 1, 1, 120, func(i int, sub *subject, a *grown) {
		var run colony.StoresRun
		starved, variance := 0.0, 0.0
		seen := &sub.seen
		for m, chance := range sub.starves(a, a) {
			variance += chance * (1 - chance) / draws
			for range draws {
				kg := math.Inf(1)
				for kg < seen.StoresMin || kg > seen.StoresMax {
					kg = seen.StoresKg + seen.StoresSDKg*rnd.NormFloat64()
				}
				run.Begin(a.cases[m].Spring(), kg, 0, &a.demand[m], nil)
				run.Until(run.Days() - 1)
				if run.StarveDay >= 0 {
					starved += 1.0 / draws
				}
			}
		}
		n := float64(a.members)
		o := oddsOf(sub, a)
		require.InDelta(t, starved/n, o.mean(a.needKg()), 3*math.Sqrt(variance)/n+1e-4, "colony %d", i)
		light, heavy := o.thirds(nil)
		require.GreaterOrEqual(t, light, heavy)
		require.LessOrEqual(t, (light+heavy)/3, o.mean(a.needKg())+1e-12, "the middle third has its own")
	})
}

// TestRiskByWeekAndItsDays: the chance to have starved grows from week to week to the whole risk, and
// the day on which it passes the accepted one lies in the week that says so.
func TestRiskByWeekAndItsDays(t *testing.T) {
	s := fromLightToHeavy(t, 4)
	for _, c := range decideAll(t, s, 100, 100).Plans {
		for i := range c.RiskByWeek[1:] {
			require.LessOrEqual(t, c.RiskByWeek[i], c.RiskByWeek[i+1])
		}
		require.InDelta(t, c.Risk.Frac, c.RiskByWeek[len(c.RiskByWeek)-1], 1e-3)
		i := 0
		for c.RiskByWeek[i] < s.Settings.AcceptRiskFrac {
			i++
		}
		week := s.Today.AddDate(0, 0, 7*i)
		require.False(t, c.StarveDate.After(week), "%s: %s", c.Colony, c.StarveDate)
		require.True(t, c.StarveDate.After(week.AddDate(0, 0, -7)), "%s: %s", c.Colony, c.StarveDate)
		require.False(t, c.ReserveDate.IsZero())
		require.False(t, c.ReserveDate.After(c.StarveDate.AddDate(0, 0, 60)))
	}
}

// TestErrorsAreTrue: over seeds the risk of one colony scatters as its error says, and less than
// counting draws leaves it: with springs that stay as they are, and with springs that each seed
// makes up anew. Full size: eight colonies, 40 seeds, four sizes, as a table.
func TestErrorsAreTrue(t *testing.T) {
	colonies, seeds, sizes := 3, 20, []int{300}
	if os.Getenv("BLOOMGAP_LONG") != "" {
		colonies, seeds, sizes = 8, 40, []int{100, 150, 300, 1000}
	}
	type told struct{ risk, counted, known, draws, all []float64 }
	var table strings.Builder
	for _, anew := range []bool{false, true} {
		by := map[[2]int]*told{}
		for seed := range seeds {
			springs := uint64(1)
			if anew {
				springs = uint64(1000 + seed)
			}
			aloneOn(t, fromLightToHeavy(t, colonies), springs, uint64(1000+seed), sizes[len(sizes)-1], func(i int, s *subject, a *grown) {
				for _, n := range sizes {
					of := by[[2]int{i, n}]
					if of == nil {
						of = &told{}
						by[[2]int{i, n}] = of
					}
					a.members = n
					o := oddsOf(s, a)
					c := o.starving()
					of.risk, of.draws, of.all = append(of.risk, c.frac), append(of.draws, c.errFrac), append(of.all, c.risk().ErrFrac)
					of.counted, of.known = append(of.counted, float64(count(a.starve[:n]))/float64(n)), append(of.known, o.mean(a.needKg()))
				}
			})
		}
		for _, n := range sizes {
			lessLog, ratioLog := 0.0, 0.0
			for i := range colonies {
				of := by[[2]int{i, n}]
				risk, sd := stat.MeanStdDev(of.risk, nil)
				err := stat.Mean(of.all, nil)
				if !anew {
					err = stat.Mean(of.draws, nil)
				}
				less := stat.Variance(of.counted, nil) / stat.Variance(of.risk, nil)
				fmt.Fprintf(&table, "\nsprings anew %5v, %4d members, colony %d: risk %4.1f %%, scatters by %.2f %%, told ±%.2f %%; counted %.2f, stores integrated %.2f; variance 1/%.1f",
					anew, n, i, 100*risk, 100*sd, 100*err, 100*stat.StdDev(of.counted, nil), 100*stat.StdDev(of.known, nil), less)
				lessLog, ratioLog = lessLog+math.Log(less)/float64(colonies), ratioLog+math.Log(sd/err)/float64(colonies)
			}
			fmt.Fprintf(&table, "\n  all colonies: scatter to error %.2f, variance 1/%.1f of counting", math.Exp(ratioLog), math.Exp(lessLog))
			require.InDelta(t, 0, ratioLog, 0.22, "between 0.8 and 1.25") // each colony's scatter is known to a sixth from 20 seeds
			if !anew {
				require.Greater(t, math.Exp(lessLog), 2.0)
			}
		}
	}
	t.Log(table.String())
}
