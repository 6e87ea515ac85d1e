package decide

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/feed/syrup"
	"bloomgap/feed/visits"
	"bloomgap/sim/colony"
	"bloomgap/sim/observe"
)

// TestTermsByHand: visits counted from the first day of the run, the keeper's own rules, and what is
// worth a trip.
func TestTermsByHand(t *testing.T) {
	w, s := seenOnce(t)
	set := &w.o.Season.Settings
	set.AcceptRiskFrac, set.ReserveKg, set.ReserveFrac, set.Rules.TouchingOnlyBelowC = 0.07, 4, 0.6, 9
	s.y.Visits = []visits.Visit{{Day: s.first + 2, MaxC: 8}, {Day: s.first + 12, MaxC: 14}}
	f := schedule.Feeder{HoldsL: 3, AtATime: 2, Blocks: 1}
	require.Equal(t, schedule.Terms{Visits: []schedule.Visit{{Day: 2, MaxC: 8}, {Day: 12, MaxC: 14}}, Feeder: f, Look: s.later,
		Rules: schedule.Rules{AcceptRiskFrac: 0.07, ReserveKg: 4, ReserveFrac: 0.6, Strength: syrup.OneToOne(), SolidUnderC: 9, SolidHoldsKg: 2.5, LeastSyrupL: 2, LeastSolidKg: 1}},
		w.terms(s, f, syrup.OneToOne()))
	require.Equal(t, syrup.ThreeToTwo(), strengthOr(&plan.ColonyPlan{}))
	require.Equal(t, syrup.TwoToOne(), strengthOr(&plan.ColonyPlan{Strength: syrup.TwoToOne()}))
}

// TestACellWithALine: a cell that feeds under a line says what such a hive holds, weighs as a whole and at
// the back, and hefts as.
func TestACellWithALine(t *testing.T) {
	w, s := seenOnce(t)
	a := &grown{}
	s.draw(a, 0, 25)
	w.grow(a, &colony.Treatment{}, 0, 25)
	lines := &cardLines{s: s, members: s.membersFor(a, 0, 25, nil), feeder: plan.BagOnBars,
		policy: schedule.Policy{{UnderKg: 6, Lot: schedule.Lot{SyrupL: 2}}, {UnderKg: math.Inf(-1)}, {UnderKg: 4, Lot: schedule.Lot{SolidKg: 1}}}}
	lines.terms.Rules.Strength = syrup.OneToOne()
	row := w.cardRow(lines, [2]int{4, 5}, 3)
	require.Equal(t, []any{syrup.OneToOne(), plan.BagOnBars}, []any{row.Strength, row.Feeder})
	tareKg, _ := s.hive.TareKg()
	for k, under := range map[int]float64{0: 6, 2: 4} {
		c := row.Cells[k]
		require.False(t, c.All)
		require.Equal(t, under, c.UnderKg)
		gross := tareKg + under + s.notFoodKgOn(s.y.Visits[k].Day, lines.members)
		require.InDelta(t, gross, c.UnderGrossKg, 1e-9)
		require.InDelta(t, 0.45*gross, c.UnderBackKg, 1e-9)
		require.InDelta(t, under/s.hive.MainKind().FullFrameKg(), c.UnderFrames, 1e-9)
		require.Equal(t, s.heftUnder(under), c.UnderHeft)
	}
	require.Equal(t, []float64{2, 0, 0}, []float64{row.Cells[0].SyrupL, row.Cells[1].SyrupL, row.Cells[2].SyrupL})
	require.Equal(t, 1.0, row.Cells[2].SolidKg)
	require.Equal(t, plan.CardCell{}, row.Cells[1])
}

// TestLooksThatCannotBeLearnedFrom: a later look whose error is not known leaves the first one standing,
// and is told; two looks of one day are one.
func TestLooksThatCannotBeLearnedFrom(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"gross": "26"}, nil)
	col := &s.Colonies[0]
	first := *col.Last()
	first.Date = first.Date.AddDate(0, 0, -20)
	col.Observations = []season.Observation{first, *col.Last()}
	d := Open(t, s, 50, 50)
	for _, y := range d.yards {
		w := NewWorker(&d.options)
		sub := w.subject(y, col)
		require.Len(t, sub.looks, 2)
		steps := w.steps
		fine := sub.learn(50)
		require.NoError(t, fine.trouble)
		require.Len(t, fine.learned.StoresKg, 50)
		require.Nil(t, sub.learned, "the subject itself stays as it was")
		require.NotNil(t, fine.seen.Draw)
		require.NotEqual(t, steps, w.steps, "the worker's context is looked at meanwhile")
		require.Equal(t, fine.learned.Bees[:9], fine.seenBees(&grown{members: 9}))
		require.Equal(t, fine.learned.StoresKg[:9], fine.seenKg(&grown{members: 9}))
		plain := &grown{members: 1, startKg: []float64{3, 4}, startBees: []float64{5, 6}}
		require.Equal(t, [][]float64{{3}, {5}}, [][]float64{sub.seenKg(plain), sub.seenBees(plain)})

		wrong := *sub
		wrong.looks = slices.Clone(sub.looks)
		wrong.looks[1].StoresSDKg = 0
		got := wrong.learn(50)
		require.ErrorContains(t, got.trouble, "is not known")
		require.Nil(t, got.looks)
		require.Nil(t, got.learned)
		twice := *sub
		twice.looks = slices.Clone(sub.looks)
		twice.looks[1].Day = twice.looks[0].Day
		got = twice.learn(50)
		require.NoError(t, got.trouble)
		require.Nil(t, got.looks)
		require.Nil(t, got.learned)
		alone := *sub
		alone.looks = sub.looks[:1]
		require.Same(t, &alone, alone.learn(50))

		// What was given since is known to the looks.
		fed := *sub
		fed.fed = []colony.Feeding{{Day: sub.looks[0].Day + 5, CombKg: 6}}
		require.NotEqual(t, fine.seen.Draw, fed.learn(50).seen.Draw)
	}
}

// TestATallyIsRunOnAsManyAsThereMayBe: one decision for many hives is made on all members, whether or not
// it is near the line; one for a single hive far from it on the fewest.
func TestATallyIsRunOnAsManyAsThereMayBe(t *testing.T) {
	for _, c := range []struct{ hives, want int }{{0, 50}, {1, 50}, {2, 200}, {9, 200}} {
		s := seasontest.OneHive(t, map[string]string{"gross": "45", "confirmed": "yes"}, nil)
		s.Settings.AcceptRiskFrac = 0.3 // far from that of a heavy hive
		if c.hives > 0 {
			s.Colonies[0].Tally = &season.Tally{LookedAt: c.hives}
		}
		d := Open(t, s, 50, 200)
		for _, y := range d.yards {
			w := NewWorker(&d.options)
			a, _, _ := w.leftAlone(w.subject(y, y.Colonies[0]))
			require.Equal(t, c.want, a.members, "%d hives", c.hives)
		}
	}
	s := seasontest.OneHive(t, map[string]string{"gross": "45", "confirmed": "yes"}, nil)
	d := Open(t, s, 50, 130)
	for _, y := range d.yards {
		w := NewWorker(&d.options)
		a, _, _ := w.leftAloneTo(w.subject(y, y.Colonies[0]), unsure, unsure)
		require.Equal(t, 130, a.members, "50, 100, and what is left")
		asked := 0
		a, _, _ = w.leftAloneTo(w.subject(y, y.Colonies[0]), func(chance) bool { asked++; return asked == 2 }, unsure)
		require.Equal(t, 100, a.members)
	}
}

// TestASampleIsTold: of a tally that was not looked at as a whole, in whole colonies, the widest way.
func TestASampleIsTold(t *testing.T) {
	_, s := seenOnce(t)
	obs := *s.obs
	obs.BroodFrames, obs.SeamsOfBees, obs.Food = 1, 5, season.Food{Kind: season.FoodHeft, Heft: season.HeftFair}
	s.obs, s.learned, s.trouble = &obs, nil, nil
	of := func(tally *plan.Tally) []plan.Note {
		return s.warnings(&plan.ColonyPlan{Bees: plan.Range{P50: 9000}, Tally: tally}, plan.Risk{})
	}
	require.Equal(t, []plan.Note{plan.SampledTally{Colonies: 12, LookedAt: 5, FromColonies: 9, ToColonies: 16}},
		of(&plan.Tally{Colonies: 12, LookedAt: 5, Range: plan.Range{P10: 9.7, P50: 12, P90: 15.2}}))
	require.Empty(t, of(&plan.Tally{Colonies: 12, LookedAt: 12, Range: plan.Range{P10: 12, P50: 12, P90: 12}}))
	require.Empty(t, of(nil))
}

// TestOtherSyrupsAndRisks: what another syrup, or another accepted risk, comes to is found on the members of
// the case and counted on as many others.
func TestOtherSyrupsAndRisks(t *testing.T) {
	k := opened(t, seasontest.OneHive(t, map[string]string{"gross": "18.5", "confirmed": "yes"}, nil), 60)
	n := k.Plan.Members
	again := opened(t, seasontest.OneHive(t, map[string]string{"gross": "18.5", "confirmed": "yes"}, nil), 60)
	w, s, a := again.w, again.s, again.a
	s = s.learn(2 * n)
	s.draw(a, n, 2*n)
	w.grow(a, &colony.Treatment{}, n, 2*n)
	count := func(under schedule.Terms) Fed {
		on := &w.fit(s, a, again.ranked[0].way, under, k.Plan.Bees.P50).others.on
		return Fed{Risk: plan.RiskOf(on.Starved, n), SugarKg: on.MeanSugarKg(), SyrupL: on.MeanSyrupL(), SolidKg: on.MeanSolidKg(), Trips: on.MeanGiven()}
	}
	for _, strength := range []syrup.Strength{syrup.OneToOne(), syrup.TwoToOne()} {
		require.Equal(t, count(w.terms(s, feederOf(again.ranked[0].way), strength)), k.FedWith(strength))
	}
	under := w.terms(s, feederOf(again.ranked[0].way), k.Plan.Strength)
	under.Rules.AcceptRiskFrac, under.Rules.ReserveKg = 0.15, 0
	require.Equal(t, count(under), k.FedAt(0.15))
	require.Equal(t, 2*n, k.grown)
	thin, thick := k.FedWith(syrup.OneToOne()), k.FedWith(syrup.TwoToOne())
	require.Greater(t, thin.SyrupL, thick.SyrupL, "thin syrup is more litres")
	require.Equal(t, k.w.o.Base.SolidKgPerKgSugar, k.SolidKgPerKgSugar())
	require.Equal(t, 2.5, k.SolidHoldsKg())
}

// TestAWrapComesOffTodayAtTheEarliest: asked about a day that is past, the answer is that of today; the
// risk with the wrap on is the colony's own, and bare from today never less.
func TestAWrapComesOffTodayAtTheEarliest(t *testing.T) {
	k := opened(t, seasontest.OneHive(t, map[string]string{"heft": "light", "wrapped": "yes"}, nil), 60)
	today := k.Yard().Season.Today
	u := k.Unwrap(today.AddDate(0, 0, -9), 0.5)
	require.Equal(t, k.Unwrap(today, 0.5), u)
	require.Equal(t, today, u.On)
	require.Equal(t, []float64{visits.WrapOffC, 0.5}, []float64{u.CoolC, u.UnderKg})
	require.Equal(t, k.Plan.Risk, u.RiskOn)
	var cost []float64
	held, more := k.s.seen.Held(), 0.0
	n := k.w.o.paired(mostUnwrapped)
	for m := range n {
		c := &k.a.cases[m]
		share := c.Params.WrapHeatShare
		require.Equal(t, share, c.Start.HeatShare)
		start := c.Start
		start.HeatShare = 1
		var path, wrapped colony.Path
		r := new(colony.Runner)
		r.Run(c.Spring(), c.Start, &colony.Treatment{}, 0, &wrapped)
		r.Run(c.Spring(), start, &colony.Treatment{}, 0, &path)
		kg, there, lacks := 0.0, c.Start.StoresKg, math.Inf(-1)
		from := k.Yard().Today - k.s.first + 1
		for d := 0; d < c.Span.NectarDay && d < len(path.UsedKg); d++ {
			used := wrapped.UsedKg[d]
			if d >= from {
				used = path.UsedKg[d]
				kg += path.UsedKg[d] - wrapped.UsedKg[d]
			}
			there += wrapped.StoresKg[d] + wrapped.UsedKg[d] - used
			if d > 0 {
				there -= wrapped.StoresKg[d-1]
			} else {
				there -= c.Start.StoresKg
			}
			lacks = math.Max(lacks, c.Params.UnreachableKg*c.Forcing[d].Cold-there)
		}
		cost = append(cost, kg)
		more += (held.Under(c.Start.StoresKg+lacks) - held.Under(c.Start.StoresKg+k.a.shortKg[m])) / float64(n)
	}
	got := plan.RangeOf(cost)
	require.InDeltaSlice(t, []float64{got.P10, got.P50, got.P90}, []float64{u.CostKg.P10, u.CostKg.P50, u.CostKg.P90}, 1e-6)
	require.InDelta(t, k.Plan.Risk.Frac+more, u.RiskOff.Frac, 1e-6)
}

// TestRiskFedIsThatOfWhatIsAsked: a colony that is fed by its plan starves or not by what it is said to ask
// of its stores.
func TestRiskFedIsThatOfWhatIsAsked(t *testing.T) {
	k := opened(t, seasontest.OneHive(t, map[string]string{"gross": "18.5", "wrapped": "yes", "confirmed": "yes"}, nil), 50)
	w, n := k.w, k.w.o.paired(mostUnwrapped)
	w.wrapBoth(k.s, k.a)
	asks := func(kg float64) func(m int) *colony.DailyDemand {
		return func(m int) *colony.DailyDemand {
			d := &colony.DailyDemand{}
			d.Resize(len(k.a.demand[m].NeedKg))
			copy(d.Bees, k.a.demand[m].Bees)
			for i := range d.NeedKg {
				d.NeedKg[i], d.IncomeKg[i] = kg, 0
			}
			if kg == 0 {
				d.IncomeKg[0] = 20
			}
			return d
		}
	}
	all, none := numbers(n, func(int) float64 { return 1 }), make([]float64, n)
	require.Equal(t, all, w.starvesFed(k.s, k.a, k.Plan, asks(3)))
	require.Equal(t, none, w.starvesFed(k.s, k.a, k.Plan, asks(0)))
	require.Equal(t, all, w.starvesAlone(k.s, k.a, asks(3)))
	require.Equal(t, none, w.starvesAlone(k.s, k.a, asks(0)))

	// Equipment that weighs nothing is not known.
	_, known := k.s.tareKg()
	require.True(t, known)
	light := *k.s
	light.hive.Tares = observe.Tares{}
	_, known = light.tareKg()
	require.False(t, known)
	lines := light.feedings(syrup.ThreeToTwo(), schedule.Policy{{UnderKg: 5, Lot: schedule.Lot{SyrupL: 2}}}, &schedule.Result{ByVisit: []int{1}, Given: []int{1}}, nil)
	require.True(t, math.IsNaN(lines[0].UnderGrossKg))
}

// TestUnseenColoniesByHand: before anything is decided a plan says where the colony stands, what is known of
// its yard, and when it was last seen.
func TestUnseenColoniesByHand(t *testing.T) {
	w, s := seenOnce(t)
	y := s.y
	out := w.unseen(y, s.col)
	require.Equal(t, []any{y.Site.Name, s.col.Name, s.col.Boxes, s.col.Line, y.Facts.Bloom, y.Facts.Nectar, y.Facts.NonFlying, y.Facts.ColdSpell, s.obs.Date, w.o.Season.Settings.Strength},
		[]any{out.Yard, out.Colony, out.Boxes, out.Line, out.Bloom, out.Nectar, out.NonFlying, out.ColdSpell, out.SeenOn, out.Strength})
	require.True(t, math.IsNaN(out.Confidence.NeedGrossKg))
	require.Nil(t, out.Tally)
	require.True(t, w.unseen(y, &season.Colony{Name: "new", Alive: true}).SeenOn.Equal(time.Time{}))
	d, err := w.Decide(t.Context(), y, &season.Colony{Name: "new", Alive: true})
	require.NoError(t, err)
	require.Equal(t, []plan.Note{plan.NothingSeen{}}, d.Plan.Warnings)
	require.Zero(t, d.Plan.Members)
	var none observe.Hand
	require.Equal(t, none, LearnHand(&season.Season{}, observe.Masses{}))
}

// TestWhatAWorkerHeldBeforeCountsForNothing: a worker's room is used again for each colony; what it held
// of the one before makes no difference to any figure.
func TestWhatAWorkerHeldBeforeCountsForNothing(t *testing.T) {
	clean, s := seenOnce(t)
	dirty := NewWorker(clean.o)
	soil := func() {
		dirty.sorted = nil
		for range 30 {
			dirty.sorted = append(dirty.sorted, 1e9, -1e9)
		}
	}
	s.looks, s.given = nil, nil
	s.y.Visits = s.y.Visits[:2]
	a := handMade()
	for range 3 {
		a.shortByKg = append(a.shortByKg, numbers(10, func(i int) float64 { return float64(i) - 4 }))
		a.leastByKg = append(a.leastByKg, numbers(10, func(i int) float64 { return 7 - float64(i) }))
	}
	var x, y plan.ColonyPlan
	clean.judge(seenOf(s, a), &x)
	soil()
	dirty.judge(seenOf(s, a), &y)
	require.Equal(t, x.RiskByWeek, y.RiskByWeek)
	require.Equal(t, []any{x.StoresKg, x.Bees, x.BloomBees, x.ReserveDate, x.StarveDate, x.Verdict}, []any{y.StoresKg, y.Bees, y.BloomBees, y.ReserveDate, y.StarveDate, y.Verdict})
	want := clean.confidence(seenOf(s, a), &x)
	soil()
	require.Equal(t, want, dirty.confidence(seenOf(s, a), &x))
	need, first := clean.required(s, a)
	soil()
	gotNeed, gotFirst := dirty.required(s, a)
	require.Equal(t, need, gotNeed)
	require.Equal(t, first, gotFirst)
	soil()
	require.Equal(t, clean.neededKg(s, a), dirty.neededKg(s, a))
	x.Members = 10
	notes := clean.reason(s, a, &x)
	soil()
	require.Equal(t, notes, dirty.reason(s, a, &x))
	soil()
	require.Equal(t, clean.rangeOf([]float64{3, 1, 2}), dirty.rangeOf([]float64{3, 1, 2}))
	with, without := numbers(40, func(i int) float64 { return float64(i * i) }), make([]float64, 40)
	gain, off := clean.pairedGain(s.y, with, without)
	soil()
	gotGain, gotOff := dirty.pairedGain(s.y, with, without)
	require.Equal(t, gain, gotGain)
	require.Equal(t, off, gotOff)
}

// TestDaysAsWarmAsTheRuleAsks: days that just reach it are days for syrup, a visit that just enough springs
// need is one to reckon with, and one piece on hand is on hand.
func TestDaysAsWarmAsTheRuleAsks(t *testing.T) {
	perL := syrup.ThreeToTwo().StoresKgPerL()
	need := []float64{4 * perL, 4 * perL, 4 * perL}
	for _, c := range []struct {
		maxC, needed float64
		jar          float64
	}{{10, 1, 6*0.5 + 2*3 + pointsTooFar}, {9.99, 1, 6*0.5 + pointsBig}, {10, 0.05, 6*0.5 + 2*3 + pointsTooFar}, {10, 0.049, 6*0.5 + pointsBig}} {
		_, y, s := feederYard(t, c.maxC, 20)
		require.Equal(t, 10.0, s.Settings.Rules.TouchingOnlyBelowC)
		for k := range y.Visits {
			y.Visits[k].NeededFrac = c.needed
		}
		require.InDelta(t, c.jar, pointsOf(ranked(y, need, 0, s))[plan.EntranceJar], 1e-9, "%+v", c)
	}
	_, y, s := feederYard(t, 15, 20)
	for count, onHand := range map[int]bool{0: false, 1: true, 2: true} {
		s.Equipment = []season.Equipment{{Item: season.Tray, Count: count, HoldsL: math.NaN()}, {Item: season.Pail, Count: 5, HoldsL: math.NaN()}}
		for _, x := range ranked(y, need, 0, s) {
			if x.way.feeder == plan.TrayUnderLid {
				require.Equal(t, onHand, x.onHand, "%d trays", count)
			}
		}
	}
}

// TestSplicedOnTheEvening: a wrap that comes off in the evening of a day is missed from the next day on.
func TestSplicedOnTheEvening(t *testing.T) {
	k := opened(t, seasontest.OneHive(t, map[string]string{"heft": "light", "wrapped": "yes"}, nil), 50)
	on := k.Yard().Today + 6
	k.Unwrap(k.Yard().Outlook.Date(on), 0.5)
	x, differ := &k.w.wraps, 0
	for m := range x.members {
		for d, kg := range x.spliced[m].NeedKg {
			want := x.on[m].NeedKg[d]
			if d+k.s.first > on {
				want = x.off[m].NeedKg[d]
			}
			require.Equal(t, want, kg, "member %d, day %d", m, d)
			if x.on[m].NeedKg[d] != x.off[m].NeedKg[d] {
				differ++
			}
		}
	}
	require.Positive(t, differ)
}
