package decide

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/feed/visits"
	"bloomgap/forage"
	"bloomgap/forage/read"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/observe"
)

// TestTheFirstOfATallyIsItsOwnTwin: the colony numbered 0 of a tally takes what the decision says,
// visit by visit and gram by gram; the next one has draws of its own.
func TestTheFirstOfATallyIsItsOwnTwin(t *testing.T) {
	const n = 60
	s := seasontest.OneHive(t, map[string]string{"gross": "18.5", "confirmed": "yes"}, nil)
	s.Settings.BeesWantedDate, s.Settings.BeesWantedBees = s.Today.AddDate(0, 0, 45), math.NaN()
	d := Open(t, s, n, n)
	d.options.Supplement = true
	for _, open := range d.yards {
		y, err := NewYard(open.Yard, &d.options, open.drawsOf(t, d))
		require.NoError(t, err)
		col := y.Colonies[0]
		made, err := NewWorker(&d.options).Decide(t.Context(), y, col)
		require.NoError(t, err)
		require.Equal(t, plan.Feed, made.Plan.Verdict)
		require.True(t, made.Plan.Supplement.Advised, "six weeks are time enough")
		require.Len(t, made.SupplementG, n)
		require.InDelta(t, schedule.Quantile(slices.Clone(made.SupplementG), 0.5)/1000, made.Plan.Supplement.SupplementKg, 1e-9)
		made.Shares = slices.Repeat([]int{3}, n)
		w := NewWorker(&d.options)
		self, err := w.Twin(t.Context(), y, col, &made, 0)
		require.NoError(t, err)
		require.Equal(t, made.Key, self.Key)
		require.Equal(t, made.Lots, self.Lots)
		require.Equal(t, made.SupplementG, self.SupplementG)
		lots := make([][]schedule.Lot, len(self.Lots))
		for k := range lots {
			lots[k] = slices.Clone(self.Lots[k])
		}
		next, err := w.Twin(t.Context(), y, col, &made, 1)
		require.NoError(t, err)
		require.NotEqual(t, self.Key, next.Key)
		require.NotEqual(t, lots, next.Lots)
		require.Equal(t, []any{1, made.Shares, made.Plan.Colony}, []any{next.Number, next.Shares, next.Plan.Colony})
		require.Len(t, next.Lots, len(y.Visits))
		bare := made
		bare.policy, bare.SupplementG = nil, nil
		none, err := w.Twin(t.Context(), y, col, &bare, 1)
		require.NoError(t, err)
		require.Nil(t, none.Lots, "it is not fed")
		require.Nil(t, none.SupplementG)
	}
}

// TestThirdsByHand: nine members with nectar on nine days, some of which starve.
func TestThirdsByHand(t *testing.T) {
	a := &grown{members: 9, starve: []int{-1, 4, 7, -1, 0, -1, -1, 3, -1}}
	for _, day := range []int{30, 12, 44, 18, 25, 51, 39, 21, 60} {
		a.cases = append(a.cases, ensemble.Realization{Span: colony.Span{NectarDay: day}})
	}
	k := &Case{Plan: &plan.ColonyPlan{}, s: &subject{first: 10, learned: &observe.Report{}}, a: a}
	early, late := k.Thirds() // 12, 18, 21 and 44, 51, 60
	require.Equal(t, Third{NectarDay: 28, Risk: plan.RiskOf(2, 3)}, early)
	require.Equal(t, Third{NectarDay: 61, Risk: plan.RiskOf(1, 3)}, late)
	a.members = 8 // two of eight are the thirds
	early, late = k.Thirds()
	require.Equal(t, Third{NectarDay: 22, Risk: plan.RiskOf(1, 2)}, early)
	require.Equal(t, Third{NectarDay: 54, Risk: plan.RiskOf(1, 2)}, late)
}

// TestCaseOfACountedColony: a colony that lives and was planned has a case, whose ways are those
// of its own need; one of which nothing is known has none.
func TestCaseOfACountedColony(t *testing.T) {
	d := Open(t, season.Demo(), 60, 60)
	w := NewWorker(&d.options)
	y := d.yards["Quarry Road"]
	for _, col := range y.Colonies {
		made, err := w.Decide(t.Context(), y, col)
		require.NoError(t, err)
		other := NewWorker(&d.options)
		k := other.Case(y, col, &made.Plan)
		require.Equal(t, col.Alive && made.Plan.Members > 0, k != nil, col.Name)
		if k == nil {
			continue
		}
		require.Nil(t, other.Case(y, col, &plan.ColonyPlan{}), "nothing was planned")
		dead := *col
		dead.Alive = false
		require.Nil(t, other.Case(y, &dead, &made.Plan))
		blank := *col
		blank.Observations = nil
		require.Nil(t, other.Case(y, &blank, &made.Plan))
		k = other.Case(y, col, &made.Plan)
		need, first := other.required(k.s, k.a)
		want := ranked(y, need, min(first.risk, first.reserve), d.options.Season)
		require.Len(t, k.Ways(), len(want))
		for i, got := range k.Ways() {
			require.Equal(t, Way{want[i].way.feeder, want[i].way.holdsL, want[i].main}, got)
		}
		require.Equal(t, forReason(y, want[0].way, stillFrac(y, d.options.Season), daysToNectar(y, 0)), k.WhyBest())
		require.Same(t, y, k.Yard())
		for _, times := range []float64{0.5, 2} {
			var kg []float64
			for m := range made.Plan.Members {
				c := &k.a.cases[m]
				start := c.Start
				start.Bees *= times
				start.BroodCells *= times
				start.PollenG *= times
				o := new(colony.Runner).Run(c.Spring(), start, &colony.Treatment{}, 0, nil)
				kg = append(kg, math.Max(0, c.Start.StoresKg+o.ShortKg))
			}
			require.InDelta(t, schedule.Quantile(kg, 0.8), k.NeedKg(times, 0.2), 1e-9)
		}
	}
}

// TestAFirstVisitIsNeverEmpty: lines that hardly any spring needs are left out; a colony that is to
// be fed gets the least worth a trip on the first visit when all were.
func TestAFirstVisitIsNeverEmpty(t *testing.T) {
	w, s := seenOnce(t)
	a := &grown{}
	s.draw(a, 0, 30)
	w.grow(a, &colony.Treatment{}, 0, 30)
	a.members = 30
	var mine tried
	mine.members = s.membersFor(a, 0, 30, nil)
	w.engine.Prepare(&mine.set, 1, mine.members, w.terms(s, feederOf(wayOf(plan.BagOnBars)), strengthOr(&plan.ColonyPlan{})))
	p := make(schedule.Policy, len(s.y.Visits))
	for k := range p {
		p[k].UnderKg = math.Inf(-1)
	}
	p[2] = schedule.Line{UnderKg: -90, Lot: schedule.Lot{SyrupL: 3}} // none ever reads so little
	w.engine.Judge(&mine.set, p, &mine.on)
	got := w.settle(p, &mine)
	require.Equal(t, mine.set.Least(0), got[0])
	for _, l := range got[1:] {
		require.True(t, l.Lot.None())
	}
	open := 0
	for m := range mine.members {
		if !mine.on.Lots[0][m].None() {
			open++
		}
	}
	require.Equal(t, open, mine.on.ByVisit[0])
	require.Greater(t, open, 20, "and it was judged anew")
	again := w.settle(got, &mine)
	require.Equal(t, got, again, "what is needed stays as it is")
}

// TestHandOfEachMember: the error of the last look in each member, in its standard deviations, also
// where it is surer than a kilogram.
func TestHandOfEachMember(t *testing.T) {
	_, s := seenOnce(t)
	obs := *s.obs
	obs.Food, obs.BroodFrames, obs.SeamsOfBees = season.Food{Kind: season.FoodGross, GrossKg: 30}, 1, 4
	s.obs, s.learned = &obs, nil
	s.hive.Tares.Own, s.hive.Boxes = true, []observe.Boxes{{Kind: season.Deep, Count: 1}}
	read, sd := s.lastKg()
	require.Less(t, sd, 1.0)
	a := &grown{}
	s.draw(a, 0, 6)
	a.demand = make([]colony.DailyDemand, 6)
	list := s.membersFor(a, 2, 6, make([]schedule.Member, 9))
	require.Len(t, list, 4)
	for i, m := range list {
		require.InDelta(t, (read-a.cases[2+i].Start.StoresKg)/sd, m.Hand, 1e-9)
		require.Equal(t, a.cases[2+i].Start.StoresKg, m.StartKg)
		require.Same(t, &a.demand[2+i], m.Demand)
	}
	s.learned = &observe.Report{StoresKg: []float64{1, 2, 3, 4, 5, 6}}
	require.InDelta(t, (read-4)/sd, s.membersFor(a, 2, 6, nil)[1].Hand, 1e-9, "what it has come to by the last look")
}

// TestAFeederAsTheYardHasIt: the keeper's own feeder holds what he says; solid feed needs none.
func TestAFeederAsTheYardHasIt(t *testing.T) {
	w, s := seenOnce(t)
	set := w.o.Season
	set.Equipment = []season.Equipment{{Item: season.Pail, Count: 1, HoldsL: 2.5}, {Item: season.Tray, Count: 1, HoldsL: math.NaN()}}
	require.Equal(t, 2.5, w.wayAt(s.y, plan.PailOverCover).holdsL)
	require.Equal(t, wayOf(plan.TrayUnderLid), w.wayAt(s.y, plan.TrayUnderLid))
	require.Equal(t, way{}, w.wayAt(s.y, plan.SolidOverCluster))
	require.Equal(t, schedule.Feeder{HoldsL: 2.5, AtATime: 1, Blocks: 1}, feederOf(w.wayAt(s.y, plan.PailOverCover)))
}

// TestExplainedByUntoldFeed: a look that shows more food is explained by feed that nobody wrote
// down, where that is likely and was found by the same look.
func TestExplainedByUntoldFeed(t *testing.T) {
	s := &subject{learned: &observe.Report{Untold: []observe.Untold{{SeenDay: 20, Frac: 0.9}, {SeenDay: 40, Frac: 0.3}}}}
	for _, c := range []struct {
		day  int
		what plan.Quantity
		z    float64
		want bool
	}{{20, plan.Stores, 4, true}, {20, plan.Stores, 0.5, true}, {20, plan.Stores, 0, false}, {20, plan.Stores, -4, false}, {20, plan.Bees, 4, false}, {21, plan.Stores, 4, false}, {40, plan.Stores, 4, false}} {
		require.Equal(t, c.want, s.fedUntold(observe.Innovation{Day: c.day, What: c.what.String(), Z: c.z}), "%+v", c)
	}
}

// TestThirdsOfWhatAHiveMayHold: twelve members, four to a third; those that starve on the first day
// have starved.
func TestThirdsOfWhatAHiveMayHold(t *testing.T) {
	w, s := seenOnce(t)
	w.o.Season.Settings.AcceptRiskFrac = 0.05
	a := &grown{members: 12, startKg: numbers(12, func(i int) float64 { return float64(12 - i) }), shortKg: numbers(12, func(int) float64 { return -2 }), starve: never(12)}
	a.starve[11], a.starve[8], a.starve[7], a.starve[3] = 0, 9, 9, 9 // 1, 4, 5 and 9 kg
	u := w.confidence(seenOf(s, a), &plan.ColonyPlan{Bees: plan.Range{P50: 9000}})
	require.Equal(t, []float64{0.5, 0.25}, []float64{u.RiskIfLightFrac, u.RiskIfHeavyFrac}, "1 to 4 kg are light, 9 to 12 heavy")
	a.members, a.startKg, a.starve = 3, []float64{7, 1, 4}, []int{-1, 0, 6}
	u = w.confidence(seenOf(s, a), &plan.ColonyPlan{Bees: plan.Range{P50: 9000}})
	require.Equal(t, []float64{1, 0}, []float64{u.RiskIfLightFrac, u.RiskIfHeavyFrac}, "one hive each")
	a.shortKg = []float64{-9, -9, -9}
	require.Zero(t, w.confidence(seenOf(s, a), &plan.ColonyPlan{}).NeedStoresKg, "it needs nothing")
}

// TestWrapsByHand: what a wrap saves day by day, from the day it comes off to nectar, and the cool
// nights until then.
func TestWrapsByHand(t *testing.T) {
	x := &wraps{members: 2, tailKg: [][]float64{{1, 0.6, 0.3}, {2}}}
	for day, want := range map[int][]float64{-3: {1, 2}, 0: {1, 2}, 1: {0.6, 0}, 2: {0.3, 0}, 3: {0, 0}, 90: {0, 0}} {
		require.Equal(t, want, x.costKg(day, nil), "day %d", day)
	}
	on, off := &colony.DailyDemand{}, &colony.DailyDemand{}
	on.Resize(4)
	off.Resize(4)
	for d := range 4 {
		on.NeedKg[d], off.NeedKg[d], on.IncomeKg[d], on.Bees[d] = 1, 2, float64(d), 100+float64(d)
	}
	for day, want := range map[int][]float64{-1: {2, 2, 2, 2}, 0: {2, 2, 2, 2}, 1: {1, 2, 2, 2}, 3: {1, 1, 1, 2}, 4: {1, 1, 1, 1}, 9: {1, 1, 1, 1}} {
		y := &wraps{members: 1, on: []*colony.DailyDemand{on}, off: []*colony.DailyDemand{off}, spliced: make([]colony.DailyDemand, 1)}
		y.splice(day)
		require.Equal(t, want, y.spliced[0].NeedKg, "day %d", day)
		require.Equal(t, on.IncomeKg, y.spliced[0].IncomeKg)
		require.Equal(t, on.Bees, y.spliced[0].Bees)
	}

	o := &forage.Outlook{Start: march(1), Springs: []forage.Spring{{}, {}}}
	for d, minC := range []float64{4, 4.9, 5, 3, 9, 1} {
		o.Springs[0].Days = append(o.Springs[0].Days, forage.NewDay(o.Date(d), minC, 12, 0, 45, 0))
		o.Springs[1].Days = append(o.Springs[1].Days, forage.NewDay(o.Date(d), 1, 12, 0, 45, 0))
	}
	s := &subject{y: &Yard{Yard: &visits.Yard{Outlook: o, Springs: &ensemble.SpringEnsemble{Members: []ensemble.Member{{Spring: 0, NectarDay: 4}, {Spring: 0, NectarDay: 99}, {Spring: 1, NectarDay: 2}, {NectarDay: 99}}}}}}
	for day, want := range map[int][]float64{-5: {3, 4, 2}, -1: {3, 4, 2}, 0: {2, 3, 1}, 2: {1, 2, 0}, 3: {0, 1, 0}, 5: {0, 0, 0}, 9: {0, 0, 0}} {
		require.Equal(t, want, s.coolNights(day, 3, nil), "after day %d; 5 C is not cool", day)
	}
}

// TestRiskWithoutFeedCountsTheFirstDay: a colony with nothing at all has starved on the first day.
func TestRiskWithoutFeedCountsTheFirstDay(t *testing.T) {
	w, s := seenOnce(t)
	a := &grown{members: 10}
	s.draw(a, 0, 10)
	w.grow(a, &colony.Treatment{}, 0, 10)
	w.wraps.members = 10
	demand := func(m int) *colony.DailyDemand { return &a.demand[m] }
	starved := 0
	for m := range a.cases {
		c := &a.cases[m]
		c.Start.StoresKg = 40
		if m%2 == 0 {
			c.Start.StoresKg = 0
		}
		if new(colony.Runner).Run(c.Spring(), c.Start, &colony.Treatment{}, 0, nil).StarveDay >= 0 {
			starved++
		}
	}
	counted := *s
	counted.learned = &observe.Report{}
	require.Equal(t, []float64{1, 0, 1, 0, 1, 0, 1, 0, 1, 0}, w.starvesAlone(&counted, a, demand))
	require.Equal(t, 5, starved)
	w.leave(s, a, 0, 10)
	require.Equal(t, 5, count(a.starve))
	h := w.hungry(a, plan.RiskOf(5, 10))
	require.Equal(t, plan.RiskOf(5, 10), h.Growing)
	require.Equal(t, plan.RiskOf(5, 10), h.Risk, "less brood makes no food")
	require.Equal(t, 10, h.Members)
	var alive []float64
	for m := range a.cases {
		if a.starve[m] < 0 {
			alive = append(alive, a.bloomBees[m])
		}
	}
	require.Equal(t, plan.RangeOf(slices.Clone(alive)), h.GrowingBees, "of those that live")
	require.Equal(t, plan.RangeOf(alive), h.BloomBees, "which with 40 kg are never hungry")
}

// TestRunsBeginTheDayAfterALook: days of a run are counted from the day after the first look that
// tells of food.
func TestRunsBeginTheDayAfterALook(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"gross": "26"}, nil)
	col := &s.Colonies[0]
	last := *col.Last()
	earlier, first := last, last
	first.Date, earlier.Date = last.Date.AddDate(0, 0, -12), last.Date.AddDate(0, 0, -30)
	earlier.Food = season.Food{}
	col.Observations = []season.Observation{earlier, first, last}
	d := Open(t, s, 50, 50)
	for _, y := range d.yards {
		sub := NewWorker(&d.options).subject(y, col)
		require.Equal(t, y.Outlook.Day(first.Date)+1, sub.first)
		require.Equal(t, y.Outlook.Day(last.Date), sub.lastDay)
		require.Len(t, sub.looks, 2)
		require.Equal(t, d.options.Season.Settings.ReserveKg, sub.reserveKg)
	}
	require.Len(t, history(col), 2)
	col.Observations = []season.Observation{earlier, earlier}
	require.Len(t, history(col), 1, "none tells of food: the last alone")
	col.Observations = nil
	require.Empty(t, history(col))
}

// TestATallyByWeightIsWider: the hives of a tally that was made by a weight differ among each other;
// the words of a tally by heft have that in them.
func TestATallyByWeightIsWider(t *testing.T) {
	w, s := seenOnce(t)
	for kind, wider := range map[season.FoodKind]bool{season.FoodGross: true, season.FoodLiftBoth: true, season.FoodLiftBack: true, season.FoodFrames: false, season.FoodHeft: false} {
		one := *s.col
		look := *one.Last()
		look.Food = season.Food{Kind: kind, GrossKg: 28, LiftLeftKg: 14, LiftRightKg: 14, LiftBackKg: 13, FramesDeep: 3, Heft: season.HeftFair}
		one.Observations = []season.Observation{look}
		plain := w.subject(s.y, &one).seen.StoresSDKg
		one.Tally = &season.Tally{LookedAt: 4}
		got := w.subject(s.y, &one).seen.StoresSDKg
		if wider {
			require.InDelta(t, math.Hypot(plain, 1.5), got, 1e-9, "%v", kind)
		} else {
			require.InDelta(t, plain, got, 1e-9, "%v", kind)
		}
	}
}

// TestAYardWithoutWeatherBefore: a supplement is timed on springs of which nothing is known yet;
// where those cannot be made, it is said so.
func TestAYardWithoutWeatherBefore(t *testing.T) {
	d := Open(t, seasontest.OneHive(t, map[string]string{"heft": "light"}, nil), 50, 50)
	for _, y := range d.yards {
		blind := *y.Yard
		blind.Weather = visits.Weather{}
		_, err := NewYard(&blind, &d.options, y.drawsOf(t, d))
		require.NoError(t, err, "no supplement is asked about")
		d.options.Supplement = true
		_, err = NewYard(&blind, &d.options, y.drawsOf(t, d))
		require.ErrorContains(t, err, "give a weather record")
		require.ErrorAs(t, err, new(read.InputError))
	}
}

// TestAllThatTellAreHeard: what a yard learns of its colonies is what those that live and were looked
// at twice tell together, whoever stands between them in the list.
func TestAllThatTellAreHeard(t *testing.T) {
	s := weighedTwice(t, 2.4)
	proto := s.Colonies[0]
	for i := range 12 {
		c := proto
		c.Name = fmt.Sprint("X", i)
		if i%2 == 0 {
			c.Alive = false
		} else {
			c.Observations = c.Observations[:1]
		}
		s.Colonies = append(s.Colonies, c)
	}
	zs := func(s *season.Season) (out []float64) {
		for _, y := range Open(t, s, 80, 80).yards {
			for m := range y.Springs.Members {
				out = append(out, y.Springs.Members[m].EarlyZ, y.Springs.Members[m].SiteZ)
			}
		}
		return out
	}
	telling := *s
	telling.Colonies = slices.Clone(s.Colonies[:6])
	silent := *s
	silent.Colonies = slices.Clone(s.Colonies[6:])
	heard := zs(&telling)
	require.NotEqual(t, heard, zs(&silent))
	require.Equal(t, heard, zs(s))
	fewer := *s
	fewer.Colonies = slices.Clone(s.Colonies[:5])
	require.NotEqual(t, heard, zs(&fewer), "each of them tells something")
}

// TestRowsOfACard: a card has the rows that fit the hive's combs, from no bees to any number.
func TestRowsOfACard(t *testing.T) {
	for _, c := range []struct {
		boxes  []season.Boxes
		frames int
		want   [][2]int
	}{
		{[]season.Boxes{{Kind: season.Deep, Count: 1}}, 10, [][2]int{{0, 3}, {4, 5}, {6, 7}, {8, 0}}},
		{[]season.Boxes{{Kind: season.Deep, Count: 2}}, 10, [][2]int{{0, 3}, {4, 5}, {6, 7}, {8, 9}, {10, 0}}},
		{[]season.Boxes{{Kind: season.Deep, Count: 1}, {Kind: season.Medium, Count: 1}}, 10, [][2]int{{0, 3}, {4, 5}, {6, 7}, {8, 0}}},
		{[]season.Boxes{{Kind: season.Deep, Count: 1}}, 5, [][2]int{{0, 3}, {4, 0}}},
		{[]season.Boxes{{Kind: season.Deep, Count: 1}}, 4, [][2]int{{0, 0}}},
	} {
		s := seasontest.OneHive(t, map[string]string{"heft": "fair"}, nil)
		s.Colonies[0].Boxes, s.Colonies[0].FramesPerBox = c.boxes, c.frames
		d := Open(t, s, 50, 50)
		for _, y := range d.yards {
			card := NewWorker(&d.options).Card(y, season.FoodGross)
			require.Equal(t, season.FoodGross, card.Judged)
			require.Len(t, card.Visits, min(6, len(y.Visits)))
			require.Len(t, card.Hives, 1)
			require.Equal(t, c.boxes, card.Hives[0].Boxes)
			require.Equal(t, c.frames, card.Hives[0].Frames)
			var rows [][2]int
			for _, r := range card.Hives[0].Rows {
				rows = append(rows, [2]int{r.FromSeams, r.ToSeams})
				require.Equal(t, card.Hives[0].Rows[0].Strength, r.Strength, "one syrup is mixed for the yard")
			}
			require.Equal(t, c.want, rows)
		}
	}
}

// TestACardsHives: what the hives of a row are taken to hold, and how surely their food is judged.
func TestACardsHives(t *testing.T) {
	w, s := seenOnce(t)
	y := s.y
	like := season.Colony{Yard: y.Site.Name, Alive: true, Boxes: []season.Boxes{{Kind: season.Deep, Count: 1}, {Kind: season.Medium, Count: 2}}, FramesPerBox: 10}
	w.o.MostMembers = w.o.Members
	narrow := w.cardLines(y, like, cardHives{seams: [2]int{6, 7}, judged: season.FoodHeft})
	require.InDelta(t, 5+2*1.5, narrow.s.seen.StoresKg, 1e-9, "three boxes")
	require.Equal(t, 3.5, narrow.s.seen.StoresSDKg)
	require.True(t, narrow.terms.LookFirst)
	require.False(t, narrow.terms.Look.LikeLast, "nobody looked before")
	require.Len(t, narrow.members, w.o.Members)
	require.Len(t, narrow.policy, len(y.Visits))
	counted := observe.BeesFromSeams(6.5, 6, narrow.s.hive.MainKind())
	mu, sd := counted.LogParams()
	require.InDelta(t, mu, narrow.s.seen.BeesLogMu, 1e-9, "the middle of the row at 6 C")
	require.InDelta(t, math.Hypot(sd, 2/math.Sqrt(12)/6.5), narrow.s.seen.BeesLogSD, 1e-9, "two seams wide")

	scale, heft := s.scaleLook(), s.heftLook()
	require.Equal(t, scale, s.lookBy(season.FoodGross))
	require.Equal(t, scale, s.lookBy(season.FoodLiftBoth))
	heft.LikeLast = false
	require.Equal(t, heft, s.lookBy(season.FoodHeft))
	frames := s.lookBy(season.FoodFrames)
	require.Positive(t, frames.SDPerKg, "more combs, more error")
	back := s.lookBy(season.FoodLiftBack)
	require.Greater(t, back.SDKg, scale.SDKg, "the back alone is less sure")
	require.Zero(t, back.SDPerKg)
	for _, l := range []schedule.Look{scale, frames, back, heft} {
		require.True(t, l.CommonFrac > 0 && l.CommonFrac < 1)
		require.False(t, l.LikeLast)
	}

	// Two lifts are a weight when hives are counted by how they were judged.
	var cs []*season.Colony
	for _, k := range []season.FoodKind{season.FoodLiftBoth, season.FoodLiftBoth, season.FoodGross, season.FoodFrames, season.FoodFrames} {
		cs = append(cs, &season.Colony{Alive: true, Observations: []season.Observation{{Food: season.Food{Kind: k}}}})
	}
	require.Equal(t, season.FoodGross, usualWay(cs))
}

// TestBuiltAlike: one of each kind of hive, the commonest first, wrapped as more than half of them are.
func TestBuiltAlike(t *testing.T) {
	deep, two := []season.Boxes{{Kind: season.Deep, Count: 1}}, []season.Boxes{{Kind: season.Deep, Count: 2}}
	hive := func(boxes []season.Boxes, wrapped bool, tally int) *season.Colony {
		c := &season.Colony{Yard: "Mill", Alive: true, Boxes: boxes, FramesPerBox: 10, Insulated: wrapped}
		if tally > 0 {
			c.Tally = &season.Tally{LookedAt: tally}
		}
		return c
	}
	dead := hive(two, true, 9)
	dead.Alive = false
	got := builtAlike([]*season.Colony{hive(deep, true, 0), dead, hive(two, false, 0), hive(deep, false, 0), hive(two, true, 3)})
	require.Len(t, got, 2)
	require.Equal(t, two, got[0].Boxes, "four of them")
	require.True(t, got[0].Insulated, "three of four")
	require.Equal(t, deep, got[1].Boxes)
	require.False(t, got[1].Insulated, "one of two is not more than half")
	require.Equal(t, "Mill", got[1].Yard)
}

// TestColoniesFallByTheirShare: of colonies that nobody looked at each falls to a tally with the chance
// that those looked at and those fallen before give it; hives of another size take none.
func TestColoniesFallByTheirShare(t *testing.T) {
	a, b := &season.Colony{Name: "a"}, &season.Colony{Name: "b"}
	const n = 4000
	of := map[*season.Colony][]int{a: slices.Repeat([]int{1}, n), b: slices.Repeat([]int{0}, n)}
	second := 0.0
	for m := range n {
		fall([]*season.Colony{a, b}, of, m, 1, ensemble.KeyOf("x"))
		require.Equal(t, 2, of[a][m]+of[b][m])
		second += float64(of[b][m]) / n
	}
	require.InDelta(t, 0.5/2, second, 0.03, "half of a colony out of two")
	for m := range n {
		of[a][m], of[b][m] = 1, 0
		fall([]*season.Colony{a, b}, of, m, 2, ensemble.KeyOf("x"))
	}
	both := 0.0
	for m := range n {
		if of[b][m] == 2 {
			both += 1.0 / n
		}
	}
	require.InDelta(t, 0.25*1.5/3, both, 0.02, "a quarter, and then one and a half of three")
	y := &Yard{shares: map[*season.Colony][]int{a: {2, 3, 7}}, numbers: map[*season.Colony]int{a: 4}}
	require.Nil(t, y.tallyOf(a), "no tally")
	a.Tally = &season.Tally{LookedAt: 2}
	require.Equal(t, &plan.Tally{Colonies: 4, LookedAt: 2, Range: plan.RangeOf([]float64{2, 3, 7})}, y.tallyOf(a))
}

// TestAWindowAndTheFirstVisit: a supplement is late when its window closed before the first visit,
// not when it closes between the first and the second.
func TestAWindowAndTheFirstVisit(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"heft": "fair"}, nil)
	s.Settings.BeesWantedDate, s.Settings.BeesWantedBees = s.Today.AddDate(0, 0, 60), math.NaN()
	d := Open(t, s, 50, 50)
	d.options.Supplement = true
	for _, open := range d.yards {
		y, err := NewYard(open.Yard, &d.options, open.drawsOf(t, d))
		require.NoError(t, err)
		first := y.Visits[0].Date
		for days, late := range map[int]bool{-1: true, 0: false, 1: false} {
			y.timing.windowFrom, y.timing.windowTo = first.AddDate(0, 0, -9), first.AddDate(0, 0, days)
			made, err := NewWorker(&d.options).Decide(t.Context(), y, y.Colonies[0])
			require.NoError(t, err)
			q := &made.Plan.Supplement
			require.Equal(t, late, q.Advice[0] == plan.Note(plan.SupplementLate{WantedOn: s.Settings.BeesWantedDate}), "%d days", days)
			require.Equal(t, q.Advised, made.SupplementG != nil)
			require.Equal(t, []time.Time{y.timing.windowFrom, y.timing.windowTo}, []time.Time{q.WindowFrom, q.WindowTo})
			require.Equal(t, y.timing.leadDays, q.LeadDays)
			if made.Plan.Verdict != plan.Feed && len(q.Feedings) == 0 {
				require.Equal(t, q.Risk, q.RiskFed, "nothing is given in either")
			}
			require.GreaterOrEqual(t, q.WantedBees.P50, q.BareWanted.P50)
		}
	}
}
