package decide

import (
	"context"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/feed/syrup"
	"bloomgap/feed/visits"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// TestFillsFollowedAtEveryVisit: how long a filling lasts is counted again day by day at each visit,
// in the members whose nectar is still to come, for one that is soon gone and one that is not.
func TestFillsFollowedAtEveryVisit(t *testing.T) {
	k := opened(t, seasontest.OneHive(t, map[string]string{"heft": "fair"}, nil), 60)
	y := k.Yard()
	some, kept := 0, 0
	for at := range y.Visits {
		day := y.Visits[at].Day - k.s.first
		for _, kg := range []float64{0.2, 1.5, 60} {
			var days []float64
			open, left := 0, 0
			for m := range k.a.members {
				c := &k.a.cases[m]
				if c.Span.NectarDay <= day {
					continue
				}
				open++
				var path colony.Path
				new(colony.Runner).SimulateStores(c.Spring(), c.Start.StoresKg, []colony.Feeding{{Day: day, SolidKg: kg, SugarKg: kg}}, 0, &k.a.demand[m], &path)
				n := day
				for n < c.Span.NectarDay && path.SolidKg[n] > emptyKg {
					n++
				}
				if path.SolidKg[n] > emptyKg {
					left++
				} else {
					days = append(days, float64(n-day))
				}
			}
			if open > 0 && open < k.a.members {
				some++
			}
			kept += left
			got := k.Solid(kg, at)
			require.InDelta(t, float64(left)/math.Max(1, float64(open)), got.LeftFrac, 1e-12, "%g kg at visit %d", kg, at)
			if len(days) > 0 {
				require.Equal(t, plan.RangeOf(days), got.Days, "%g kg at visit %d", kg, at)
			}
		}
	}
	require.Positive(t, some, "at some visits nectar has come in some springs only")
	require.Positive(t, kept)
}

// TestMostPassTheReserve: six of ten are more than half, those of the first day among them.
func TestMostPassTheReserve(t *testing.T) {
	w, s := seenOnce(t)
	w.o.Season.Settings.AcceptRiskFrac = 0.05
	for days, want := range map[int]plan.Verdict{5: plan.NoFeed, 6: plan.Watch} {
		a := handMade()
		a.starve, a.reserve = never(10), never(10)
		for m := range days {
			a.reserve[m] = m
		}
		var out plan.ColonyPlan
		w.judge(seenOf(s, a), &out)
		require.Equal(t, want, out.Verdict, "%d", days)
	}
}

// TestAVisitOnTheDaySeen: what a visit of the evening of the look cannot help is what is lacking on the
// next day alone.
func TestAVisitOnTheDaySeen(t *testing.T) {
	w, s := seenOnce(t)
	s.y.Visits = []visits.Visit{{Day: s.first - 1}, {Day: s.first + 8}}
	a := &grown{}
	s.draw(a, 0, 12)
	w.grow(a, &colony.Treatment{}, 0, 12)
	for m := range 12 {
		a.cases[m].Start.StoresKg = 0.5 * float64(m%3)
	}
	w.leave(s, a, 0, 12)
	for m := range 12 {
		c := &a.cases[m]
		var path colony.Path
		new(colony.Runner).Run(c.Spring(), c.Start, &colony.Treatment{}, s.reserveKg, &path)
		require.InDelta(t, path.StoresKg[0], a.leastByKg[0][m], 1e-9)
		require.InDelta(t, c.Params.UnreachableKg*c.Forcing[0].Cold-path.StoresKg[0], a.shortByKg[0][m], 1e-9)
	}
}

// TestLinesThatAPlanDoesNotHave: a visit that a plan does not feed at has a line that feeds no one.
func TestLinesThatAPlanDoesNotHave(t *testing.T) {
	_, s := seenOnce(t)
	second := s.y.Visits[1].Date
	p := s.policyOf([]plan.Feeding{{Date: second, SyrupL: 2, UnderKg: 6}, {Date: second.AddDate(0, 0, 1), SyrupL: 9}})
	require.Len(t, p, len(s.y.Visits))
	for k, l := range p {
		want := schedule.Line{UnderKg: math.Inf(-1)}
		if k == 1 {
			want = schedule.Line{UnderKg: 6, Lot: schedule.Lot{SyrupL: 2}}
		}
		require.Equal(t, want, l, "visit %d", k)
	}
}

// windowAgain finds the window of a date again from the doses of each day that is tried.
func windowAgain(tc *trialColony, wanted time.Time) window {
	day := tc.outlook.Day(wanted)
	read := day - tc.first()
	type tried struct {
		on            int
		share, onHand float64
	}
	var all []tried
	best := tried{}
	for on := max(0, read-48); on < read; on += 3 {
		there, reared := 0.0, 0.0
		for m := range tc.bare {
			var dosed colony.Path
			tc.run(m, colony.Treatment{Supplement: true, SupplementFrom: on, SupplementTo: on + 7}, pathDays, &dosed)
			there += dosed.Bees[read] - tc.bare[m].Bees[read]
			for d := on; d < on+21 && d < len(dosed.Laid); d++ {
				reared += dosed.Laid[d] - tc.bare[m].Laid[d]
			}
		}
		if reared >= 5*float64(len(tc.bare)) {
			all = append(all, tried{on, there / reared, there})
			if there/reared > best.share {
				best = all[len(all)-1]
			}
		}
	}
	out, most := window{first: math.MaxInt, last: -1}, 0.0
	for _, x := range all {
		if best.share > 0 && x.share >= 0.75*best.share {
			out.first, out.last = min(out.first, x.on+tc.first()-1), max(out.last, x.on+tc.first()+1)
			if x.onHand > most {
				most, out.most = x.onHand, x.on+tc.first()
			}
		}
	}
	if out.last >= 0 {
		out.leadDays = plan.Range{P10: float64(day - out.last), P50: float64(read - best.on), P90: float64(day - out.first)}
	}
	return out
}

// TestWindowsOfManyDays: the window of a supplement is that of its doses whatever day bees are wanted
// on; and where no dose can show any more, none is timed.
func TestWindowsOfManyDays(t *testing.T) {
	d := Open(t, seasontest.OneHive(t, map[string]string{"heft": "fair"}, nil), 50, 50)
	for _, y := range d.yards {
		some := 0
		for _, days := range []int{-50, -35, -20, 5, 30, 55, 80} {
			wanted := y.Season.Today.AddDate(0, 0, days)
			tc, err := y.trialColony(y.drawsOf(t, d), 4, wanted)
			require.NoError(t, err)
			require.Len(t, tc.bare, 4)
			got := tc.windowFor(wanted)
			require.Equal(t, windowAgain(tc, wanted), got, "in %d days", days)
			if got.last >= got.first {
				some++
			}
		}
		require.Greater(t, some, 1)
		far := *y.Yard
		far.Visits = []visits.Visit{{Day: 500, Date: y.Outlook.Date(500)}}
		late := *y
		late.Yard = &far
		got, err := late.findTiming(y.drawsOf(t, d), 4)
		require.NoError(t, err)
		require.Equal(t, timing{day: 500, leadDays: got.leadDays}, got, "nothing is in the field any more")
	}
}

// TestSyrupInTheFeederIsNoStores: of a weight what was found left of the syrup is taken off; where
// nobody looked into the feeder, it is told apart by the run.
func TestSyrupInTheFeederIsNoStores(t *testing.T) {
	_, s := seenOnce(t)
	p := colony.DefaultParams()
	first, second := *s.obs, *s.obs
	second.Date = first.Date.AddDate(0, 0, 10)
	first.Food, second.Food = season.Food{Kind: season.FoodGross, GrossKg: 25}, season.Food{Kind: season.FoodGross, GrossKg: 27}
	seen := func(given ...season.Given) *subject {
		out := *s
		out.fed, out.given, out.looks, out.seen.Fed = nil, nil, nil, nil
		out.see([]season.Observation{first, second}, given, &p)
		return &out
	}
	give := func(left float64) season.Given {
		return season.Given{Date: first.Date.AddDate(0, 0, 5), SyrupL: 3, Strength: syrup.OneToOne(), LeftL: left, LeftSolidKg: math.NaN()}
	}
	bare := seen().looks[1]
	require.False(t, bare.WithFeeder, "nothing was given")
	left := seen(give(2)).looks[1]
	require.False(t, left.WithFeeder)
	require.InDelta(t, bare.StoresKg-2*syrup.DensityKgPerL(0.5), left.StoresKg, 1e-9)
	unknown := seen(give(math.NaN())).looks[1]
	require.True(t, unknown.WithFeeder)
	require.InDelta(t, bare.StoresKg, unknown.StoresKg, 1e-9)
	require.InDelta(t, bare.StoresKg, seen(give(0)).looks[1].StoresKg, 1e-9, "it was empty")
	require.InDelta(t, bare.StoresKg, seen(give(2)).looks[0].StoresKg+2, 1e-9, "the first look came before")
}

// TestFeederBesideASupplement: the picture of a colony that is fed with a supplement only goes by that
// feeder, the picture of one that is fed in any case by its own.
func TestFeederBesideASupplement(t *testing.T) {
	w, s := seenOnce(t)
	bag := plan.Feeding{Date: s.y.Visits[0].Date, SyrupL: 2, SugarKg: 2}
	c := &plan.ColonyPlan{Verdict: plan.NoFeed, Strength: syrup.ThreeToTwo(), Supplement: plan.Supplement{Considered: true, From: s.y.Visits[0].Date, Feedings: []plan.Feeding{bag}, Feeder: plan.BagOnBars}}
	touching := func() (fed, beside *bool) {
		a := w.armsOf(s, c, 30, 8)
		require.NotNil(t, a.protein)
		require.Equal(t, []int{30, 30}, []int{len(a.alone.stores), len(a.protein.dead)})
		at := func(x *arm) *bool {
			if x == nil {
				return nil
			}
			for _, given := range x.given {
				for _, f := range given {
					require.Equal(t, s.y.Visits[0].Day-s.first, f.Day)
					return &f.Touching
				}
			}
			return nil
		}
		return at(a.fed), at(a.proteinFed)
	}
	fed, beside := touching()
	require.Nil(t, fed, "it is not fed without")
	require.True(t, *beside, "a bag lies on the cluster")
	c.Verdict, c.Feedings, c.Choice.Feeder = plan.Feed, []plan.Feeding{bag}, plan.PailOverCover
	fed, beside = touching()
	require.False(t, *fed)
	require.False(t, *beside)
	c.Supplement.Feedings = nil
	_, beside = touching()
	require.Nil(t, beside)
	c.Supplement.Considered = false
	a := w.armsOf(s, c, 30, 8)
	require.Nil(t, a.protein)
	require.NotNil(t, a.fed)
	require.Nil(t, a.with)
	require.Nil(t, a.proteinFed)
}

// TestDaysOfAnArm: a picture's arm counts the dead from the day they starve on and shows none of their
// food; bees, brood and foragers go on as they would, beyond the nectar at which a decision ends.
func TestDaysOfAnArm(t *testing.T) {
	a := &arm{stores: byDay(3, 4), toll: toll{dead: make([]float64, 3)}}
	for _, starve := range []int{-1, 0, 1} {
		a.toll.add(starve)
		a.show([]float64{2, 1, 4}, starve)
	}
	a.toll.add(2)
	a.show([]float64{-1, 0.5, 0.2}, 2)
	require.Equal(t, []float64{1, 2, 3}, a.dead)
	require.Equal(t, 3.0, a.died)
	require.Equal(t, [][]float64{{2, 0, 2, 0}, {1, 0, 0, 0.5}, {4, 0, 0, 0}}, a.stores)
	require.Equal(t, []float64{0.25, 0.5, 0.75}, over(a.dead, 4))

	w, s := seenOnce(t)
	s.draw(&w.alone, 0, 6)
	w.alone.members = 6
	days := 40
	r := w.rear(&w.alone, &colony.Treatment{}, days)
	alone := w.follow(s, &w.alone, nil, byDay(days, 6))
	held, forage := 0, make([]float64, days)
	for m := range 6 {
		cs := &w.alone.cases[m]
		spring := cs.Spring()
		spring.Span.Days = days
		var path colony.Path
		out := new(colony.Runner).Run(spring, cs.Start, &colony.Treatment{}, s.reserveKg, &path)
		if out.ReserveDay < 0 {
			held++
		}
		for d := range days {
			require.Equal(t, []float64{path.Bees[d], path.BroodCells[d]}, []float64{r.bees[d][m], r.brood[d][m]}, "bees go on as they would")
			forage[d] += path.ForagerNum[d]
		}
		if out.StarveDay < 0 {
			require.Equal(t, path.StoresKg[days-1], alone.stores[days-1][m])
		}
	}
	require.Equal(t, held, alone.held)
	require.InDeltaSlice(t, forage, r.forage, 1e-9)
	b := band([][]float64{{4, 1, 3, 2}, {8, 8, 8, 8}})
	require.Equal(t, [][]float64{{1, 8}, {1, 8}, {2, 8}, {3, 8}, {4, 8}}, [][]float64{b.P10, b.P25, b.P50, b.P75, b.P90})
	require.Equal(t, [][]float64{{1, 2}, {0, -1}}, pairedGain([][]float64{{3, 5}, {1, 1}}, [][]float64{{2, 3}, {1, 2}}))
}

// TestANeighbourStandsWhereTheColonyDid: a typical neighbour is seen on the day of the last look, in a
// hive of the same boxes, with nothing known of it but that.
func TestANeighbourStandsWhereTheColonyDid(t *testing.T) {
	k := opened(t, seasontest.OneHive(t, map[string]string{"heft": "light", "seams": "3"}, nil), 50)
	other := k.neighbour(Neighbour{Seams: 8, Heft: season.HeftHeavy})
	require.Equal(t, k.s.obs.Date, other.obs.Date)
	require.Equal(t, 8.0, other.obs.SeamsOfBees)
	require.Equal(t, season.Food{Kind: season.FoodHeft, Heft: season.HeftHeavy}, other.obs.Food)
	require.Empty(t, other.looks)
	require.Empty(t, other.fed)
	require.Nil(t, other.learned)
	require.Equal(t, k.s.seen.Day, other.seen.Day)
	require.NotEqual(t, k.s.key, other.key)
	require.NotEqual(t, k.s.obs.Food, other.obs.Food, "the colony's own look stays as it was")

	// Every member is set beside itself: bees of both, and the chances counted again.
	u := k.Unite(Neighbour{Seams: 8, Heft: season.HeftHeavy})
	require.Equal(t, k.a.members, u.Members)
	lives := [4]float64{}
	held := other.seen.Held()
	var bees, both []float64
	var c ensemble.Realization
	for m := range u.Members {
		other.drawer.Realize(other.key, &other.seen, m, &c)
		bees = append(bees, c.Start.Bees)
		one := unite(k.a.cases[m].Start, c.Start)
		both = append(both, one.Bees)
		var r colony.Runner
		for i, start := range []colony.InitialState{c.Start, one} {
			kept, cut := r.Run(c.Spring(), start, &colony.Treatment{}, 0, nil), r.SimulateHungry(c.Spring(), start, &colony.Treatment{}, 0, nil)
			saved := ones([]bool{cut.StarveDay < 0})[0] - ones([]bool{kept.StarveDay < 0})[0]
			chance := 1 - held.Under(c.Start.StoresKg+kept.ShortKg) // of what the neighbour may hold
			lives[2*i] += chance / float64(u.Members)
			lives[2*i+1] += (chance + saved) / float64(u.Members)
		}
	}
	for i := range lives {
		lives[i] = math.Min(1, lives[i])
	}
	require.Equal(t, plan.RangeOf(bees), u.NeighbourBees)
	require.Equal(t, plan.RangeOf(both), u.BothBees)
	require.InDeltaSlice(t, lives[:], []float64{u.Neighbour.Careful, u.Neighbour.Hungry, u.Both.Careful, u.Both.Hungry}, 1e-9)
	require.Equal(t, []float64{coldClusterBees, k.Plan.ColdSpell.P90}, []float64{u.CoverBees, u.SpellDays})
	require.Equal(t, k.Plan.Bees, u.Bees)
	bare := *k.Plan
	bare.Feedings = nil
	plain := *k
	plain.Plan = &bare
	require.Zero(t, plain.Unite(Neighbour{Seams: 8, Heft: season.HeftHeavy}).Fed, "it is not fed")
}

// TestTheHandIsLearnedFromHives: pairs of a weight and a judgement of the same day, of hives and not of
// tallies.
func TestTheHandIsLearnedFromHives(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"gross": "26"}, nil)
	heft := season.Food{Kind: season.FoodHeft, Heft: season.HeftHeavy}
	col := &s.Colonies[0]
	col.Observations[0].Also = []season.Food{heft, {Kind: season.FoodFrames, FramesDeep: 2}}
	learned := LearnHand(s, s.Settings.Masses())
	require.Equal(t, []int{1, 1, 0}, []int{learned.Pairs(season.FoodHeft), learned.Pairs(season.FoodFrames), learned.Pairs(season.FoodLiftBack)})
	more := *col
	more.Observations = slices.Clone(col.Observations)
	alone := more.Observations[0]
	alone.Also = nil
	judged := more.Observations[0]
	judged.Food, judged.Also = heft, []season.Food{{Kind: season.FoodFrames, FramesDeep: 1}}
	more.Observations = append([]season.Observation{alone, judged}, more.Observations...)
	s.Colonies = append(s.Colonies, more)
	learned = LearnHand(s, s.Settings.Masses())
	require.Equal(t, []int{2, 2}, []int{learned.Pairs(season.FoodHeft), learned.Pairs(season.FoodFrames)}, "a look without a pair, or without a weight, tells nothing")
	s.Colonies[0].Tally = &season.Tally{LookedAt: 3}
	learned = LearnHand(s, s.Settings.Masses())
	require.Equal(t, 1, learned.Pairs(season.FoodHeft), "no reading of one hive")
}

// TestTheContextIsLookedAtInTurn: at every 64th member and no sooner.
func TestTheContextIsLookedAtInTurn(t *testing.T) {
	w := NewWorker(&Options{})
	over, stop := context.WithCancel(t.Context())
	stop()
	n := 0
	for range 3 {
		err := w.until(over, func() {
			for n = 0; ; n++ {
				w.step()
			}
		})
		require.ErrorIs(t, err, context.Canceled)
		require.Equal(t, lookEvery-1, n)
	}
	require.PanicsWithValue(t, "a fault", func() { _ = w.until(t.Context(), func() { panic("a fault") }) }, "other faults are no end")
	require.NoError(t, w.until(t.Context(), func() {}))
}

// TestSolidFeedIsChosenByTheFirstDays: the reason for solid feed is how cold the days after the first
// visit are.
func TestSolidFeedIsChosenByTheFirstDays(t *testing.T) {
	_, y, s := feederYard(t, 15, 20)
	y.Visits[0].MaxC, y.Visits[1].MaxC = 4, 8
	choice := solidChoice(y, s)
	require.Equal(t, plan.FeederSolid{MaxC: 4}, choice.Reason)
	require.Equal(t, []plan.Feeder{plan.SolidOverCluster, plan.BagOnBars}, []plan.Feeder{choice.Feeder, choice.RunnerUp})
	require.InDelta(t, 40, daysToNectar(y, 0), 1e-9)
	require.InDelta(t, 0.5, stillFrac(y, s), 1e-9)
	y.Facts.NonFlying.P50 = 90
	require.Equal(t, 1.0, stillFrac(y, s), "a share")
	y.Facts.Nectar.P50, y.Facts.NonFlying.P50 = s.Today, 0.5
	require.Equal(t, 0.5, stillFrac(y, s), "nectar is there: a day is counted")
}

// TestFedWithASupplementToo: a colony that is fed in any case is given by the same lines beside a
// supplement, in as many springs as it then needs them; its picture ends with the risks of its plan.
func TestFedWithASupplementToo(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"gross": "18.5", "confirmed": "yes"}, nil)
	d, y, made := besideSupplement(t, s, 60, 60)
	p := &made.Plan
	require.Equal(t, plan.Feed, p.Verdict)
	require.Len(t, p.Supplement.Feedings, len(p.Feedings))
	for i, f := range p.Supplement.Feedings {
		want := p.Feedings[i]
		require.Equal(t, []any{want.Date, want.SyrupL, want.SolidKg, want.UnderKg, want.SugarKg}, []any{f.Date, f.SyrupL, f.SolidKg, f.UnderKg, f.SugarKg})
		require.True(t, f.NeededFrac >= 0 && f.NeededFrac <= 1)
	}
	require.LessOrEqual(t, p.Supplement.RiskFed.Frac, p.Supplement.Risk.Frac)
	det, ok, err := NewWorker(&d.options).Detail(t.Context(), y, y.Colonies[0], p)
	require.NoError(t, err)
	require.True(t, ok)
	require.Equal(t, &plan.Ends{Alone: p.Risk.Frac, Fed: p.RiskFed.Frac, Supplement: p.Supplement.Risk.Frac, SupplementFed: p.Supplement.RiskFed.Frac}, det.Starves)
	require.Equal(t, p.ReserveFrac, det.Reserve.Fed)
	require.Equal(t, p.Feedings, det.Feedings)
	require.Equal(t, y.Dates(), det.Visits)
	require.Equal(t, []any{p.Yard, p.Colony, d.options.Season.Settings.ReserveKg}, []any{det.Yard, det.Colony, det.ReserveKg})
	last := len(det.Dates) - 1
	require.InDelta(t, p.Risk.Frac, det.RiskAlone[last], 1e-9)
	require.InDelta(t, p.Supplement.Risk.Frac, det.RiskSupplement[last], 1e-9)
	require.InDelta(t, p.Supplement.RiskFed.Frac, det.RiskSupplementFed[last], 1e-9)
	require.NotEmpty(t, det.BySugar)
	require.Equal(t, p.Feedings[0].Date, det.ByStart[0].Start)
	for i, trade := range det.BySugar {
		require.Equal(t, sugarShares[i] == 1, trade.Planned)
		require.InDelta(t, sugarShares[i]*det.ByStart[0].SugarKg, trade.SugarKg, 1e-9)
	}
	require.InDelta(t, p.RiskFed.Frac, det.ByStart[0].Risk.Frac, 1e-9, "as planned")
	require.InDelta(t, p.Risk.Frac, det.BySugar[0].Risk.Frac, 1e-9, "without any sugar it is left alone")
}

// TestFedForTheSupplementOnly: the risk told of a hive that is to be fed only where it gets a
// supplement is what its lines come to on other members; on those that they are drawn through they look
// better.
func TestFedForTheSupplementOnly(t *testing.T) {
	var told, own, others float64
	hives := 0
	for _, gross := range []string{"26.5", "27", "27.5"} {
		for seed := range uint64(12) {
			s := seasontest.OneHive(t, map[string]string{"gross": gross, "confirmed": "yes"}, nil)
			s.Settings.Seed, s.Settings.ReserveKg = seed+1, 0
			d, y, made := besideSupplement(t, s, 60, 640)
			w, c := NewWorker(&d.options), &made.Plan
			if c.Verdict == plan.Feed || len(c.Supplement.Feedings) == 0 {
				continue
			}
			hives++
			fed := *c
			fed.Feedings, fed.Choice.Feeder = c.Supplement.Feedings, c.Supplement.Feeder
			sub := w.subject(y, y.Colonies[0])
			on := func(from, to int) float64 {
				a := &grown{members: to}
				sub.draw(a, 0, to)
				w.grow(a, &colony.Treatment{Supplement: true, SupplementFrom: y.Outlook.Day(c.Supplement.From) - sub.first}, 0, to)
				a.members = to
				r := &w.tryPlan(sub, a, &fed).on
				return stat.Mean(ones(r.Starves[from:to]), nil)
			}
			told, own, others = told+c.Supplement.RiskFed.Frac, own+on(0, 60), others+on(60, 1260)
		}
	}
	n := float64(hives)
	t.Logf("%d hives: told %.2f %%, on the members of the lines %.2f, on others %.2f", hives, 100*told/n, 100*own/n, 100*others/n)
	require.Greater(t, hives, 5)
	require.InDelta(t, others/n, told/n, 0.01)
	require.Greater(t, told, own)
}
