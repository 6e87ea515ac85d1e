package decide

import (
	"errors"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/feed/visits"
	"bloomgap/sim/colony"
	"bloomgap/sim/observe"
)

// seenOnce is a colony of the example that was looked at once, in a yard whose figures a test
// may change.
func seenOnce(t *testing.T) (*Worker, *subject) {
	t.Helper()
	d := Open(t, season.Demo(), 60, 60)
	w := NewWorker(&d.options)
	for _, name := range []string{"Alder Bottom", "Church Field", "Quarry Road", "Windmill Rise"} {
		y := d.yards[name]
		for _, c := range y.Colonies {
			if s := w.subject(y, c); s != nil && c.Alive && len(s.looks) < 2 && s.obs.Food.Kind == season.FoodHeft {
				site, open := *y, *y.Yard
				site.Yard, s.y = &open, &site
				set := *d.options.Season
				w.o.Season, open.Season = &set, &set
				return w, s
			}
		}
	}
	t.Fatal("no colony was hefted once")
	return nil, nil
}

// never are so many days that do not come, after those that do.
func never(n int, days ...int) []int {
	for len(days) < n {
		days = append(days, -1)
	}
	return days
}

func numbers(n int, of func(i int) float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = of(i)
	}
	return out
}

// handMade are ten members left alone whose figures are plain to see.
func handMade() *grown {
	return &grown{members: 10, starve: never(10, 12, 5, 20), reserve: never(10, 8, 3, 5, 7, 4, 6),
		bloomBees: numbers(10, func(i int) float64 { return 1000 * float64(i+1) }), startKg: numbers(10, func(i int) float64 { return float64(i + 1) }),
		startBees: numbers(10, func(i int) float64 { return 100 * float64(i+1) }), shortKg: append([]float64{3, 2, 1}, numbers(7, func(i int) float64 { return -float64(i) })...),
		needKgPerDay: numbers(10, func(i int) float64 { return 0.1 * float64(i+1) })}
}

// seenOf are the chances of a colony whose members are counted, as several looks left them.
func seenOf(s *subject, a *grown) *odds {
	of := *s
	of.learned = &observe.Report{StoresKg: a.startKg, Bees: a.startBees}
	return oddsOf(&of, a)
}

// TestJudgeByHand: the risk, its weeks, the days of reserve and starving, the bees at bloom and
// the verdict are counted again by hand.
func TestJudgeByHand(t *testing.T) {
	w, s := seenOnce(t)
	s.y.Weeks = []int{s.first + 4, s.first + 5, s.first + 12, s.first + 50}
	s.lastDay = s.first - 1
	o, set := s.y.Outlook, &w.o.Season.Settings
	for _, c := range []struct {
		name    string
		accept  float64
		change  func(a *grown)
		verdict plan.Verdict
		starve  int // day of the run; -1 none
		reserve int
	}{
		{"over the risk", 0.05, func(*grown) {}, plan.Feed, 5, 7},
		{"the second of ten", 0.2, func(*grown) {}, plan.Feed, 12, 7},
		{"just the risk", 0.3, func(*grown) {}, plan.Watch, -1, 7},
		{"a risk of no account, most pass the reserve", 0.9999, func(a *grown) { a.starve = never(10, 3) }, plan.Watch, -1, 7},
		{"a risk of no account, half pass it", 0.9999, func(a *grown) { a.starve, a.reserve = never(10, 3), never(10, 1, 2, 3, 4, 6) }, plan.NoFeed, -1, 6},
		{"none passes it", 0.05, func(a *grown) { a.starve, a.reserve = never(10), never(10) }, plan.NoFeed, -1, -1},
		{"four pass it", 0.05, func(a *grown) { a.starve, a.reserve = never(10), never(10, 1, 2, 3, 0) }, plan.NoFeed, -1, -1},
		{"one starves, close to the line", 0.2, func(a *grown) { a.starve, a.reserve = never(10, 0), never(10) }, plan.Watch, -1, -1},
	} {
		set.AcceptRiskFrac = c.accept
		a := handMade()
		c.change(a)
		var out plan.ColonyPlan
		w.judge(seenOf(s, a), &out)
		require.Equal(t, c.verdict, out.Verdict, c.name)
		day := func(d time.Time) int {
			if d.IsZero() {
				return -1
			}
			return o.Day(d) - s.first
		}
		require.Equal(t, c.starve, day(out.StarveDate), c.name)
		require.Equal(t, c.reserve, day(out.ReserveDate), c.name)
		require.InDelta(t, float64(count(a.starve))/10, out.Risk.Frac, 1e-12, c.name)
	}
	set.AcceptRiskFrac = 0.05
	var out plan.ColonyPlan
	w.judge(seenOf(s, handMade()), &out)
	require.Equal(t, []float64{0, 0.1, 0.2, 0.3}, out.RiskByWeek, "a member counts from the day it starves on")
	require.Equal(t, plan.Range{P10: 4000, P50: 7000, P90: 10000}, out.BloomBees, "of the seven that live")
	first := handMade()
	first.starve = never(10, 0, 5, 20)
	w.judge(seenOf(s, first), &out)
	require.Equal(t, plan.Range{P10: 4000, P50: 7000, P90: 10000}, out.BloomBees, "one that starves on the first day is dead at bloom too")
	require.Equal(t, plan.Range{P10: 1, P50: 5, P90: 9}, out.StoresKg)
	require.Equal(t, plan.Range{P10: 100, P50: 500, P90: 900}, out.Bees)
	// What was passed before the last look is told for its day.
	s.lastDay = s.first + 9
	w.judge(seenOf(s, handMade()), &out)
	require.Equal(t, o.Date(s.first+9), out.ReserveDate)
}

// TestConfidenceByHand: the thirds of what the hive may hold, and what it needs, counted by hand.
func TestConfidenceByHand(t *testing.T) {
	w, s := seenOnce(t)
	w.o.Season.Settings.AcceptRiskFrac = 0.2
	a := handMade()
	a.members, a.startKg = 9, []float64{9, 1, 2, 8, 3, 4, 5, 6, 7}
	a.starve = []int{-1, 5, 5, -1, -1, 3, -1, -1, -1}
	out := &plan.ColonyPlan{Bees: plan.Range{P50: 8000}}
	u := w.confidence(seenOf(s, a), out)
	require.InDelta(t, 2.0/3, u.RiskIfLightFrac, 1e-12, "two of the three with 1, 2 and 3 kg starve")
	require.Zero(t, u.RiskIfHeavyFrac, "none of those with 7, 8 and 9 kg")
	require.True(t, u.WeighFirst, "a scale would tell them apart")
	require.IsType(t, plan.WeighIt{}, u.Note)
	// kg and short: 9+3, 1+2, 2+1, 8+0, 3-1, 4-2, 5-3, 6-4, 7-5: 12, 3, 3, 8, then five of 2.
	require.InDelta(t, 8, u.NeedStoresKg, 1e-12, "four fifths of nine are eight members")
	notFood, _ := s.hive.NotFoodKg(8000, s.obs.BroodFrames)
	require.InDelta(t, 8+notFood, u.NeedGrossKg, 1e-12)
	a.starve = []int{2, 5, 5, 2, 1, 3, -1, -1, -1}
	u = w.confidence(seenOf(s, a), out)
	require.InDelta(t, 1, u.RiskIfLightFrac, 1e-12)
	require.InDelta(t, 2.0/3, u.RiskIfHeavyFrac, 1e-12)
	require.False(t, u.WeighFirst, "fed in any case")
	require.IsType(t, plan.WeighingIdle{}, u.Note)
	weighed := *s.obs
	weighed.Food = season.Food{Kind: season.FoodGross, GrossKg: 25}
	s.obs = &weighed
	a.starve = []int{-1, 5, 5, -1, -1, 3, -1, -1, -1}
	u = w.confidence(seenOf(s, a), out)
	require.False(t, u.WeighFirst, "it was weighed")
	require.IsType(t, plan.WasWeighed{}, u.Note)
}

// TestRequiredByHand: what must have been given by each visit, and when feeding must begin.
func TestRequiredByHand(t *testing.T) {
	w, s := seenOnce(t)
	set := &w.o.Season.Settings
	set.AcceptRiskFrac, set.ReserveKg = 0.2, 5
	s.y.Visits = make([]visits.Visit, 3)
	column := func(of ...float64) []float64 { return of }
	same := func(v float64) []float64 { return numbers(10, func(int) float64 { return v }) }
	a := &grown{members: 10, shortByKg: [][]float64{same(-1), same(-1), column(5, 4, 3, 2, 1, 0, -1, -1, -1, -1), column(9, 8, 7, 6, 5, 4, 3, 2, 1, 0)},
		leastByKg: [][]float64{same(9), same(9), column(-5, -4, -3, -2, -1, -1, 3, 4, 5, 6), same(-4)}}
	need, f := w.required(s, a)
	// By the second visit's feed a fifth of ten, two, may be short of more: 3 kg. The middle
	// lies under the reserve of 5 kg by 6 kg.
	require.Equal(t, []float64{0, 6, 9}, need)
	require.Equal(t, firsts{risk: 1, reserve: 1}, f)
	set.ReserveKg = 0
	need, f = w.required(s, a)
	require.Equal(t, []float64{0, 3, 7}, need)
	require.Equal(t, firsts{risk: 1, reserve: 1}, f, "a reserve of nothing is passed by half of them too")
	a.leastByKg[2], a.leastByKg[3] = same(-leastKg), same(1)
	_, f = w.required(s, a)
	require.Equal(t, firsts{risk: 1, reserve: 2}, f, "a quarter of a kilogram is nothing")
	// What was needed once is needed at the later visits too.
	a.shortByKg[3] = same(-1)
	need, _ = w.required(s, a)
	require.Equal(t, []float64{0, 3, 3}, need)
	// Two of ten are lost before any visit: the rest carry what is left, at least a fifth of it.
	a.shortByKg[0][0], a.shortByKg[0][1] = 0.1, 0.1
	need, f = w.required(s, a)
	require.False(t, f.late)
	require.Equal(t, 1, f.risk)
	require.Equal(t, []float64{0, 3, 3}, need, "of eight, a twentieth: the worst of those left")
	a.shortByKg[0][2] = 0.1
	_, f = w.required(s, a)
	require.True(t, f.late, "three in ten are more than is accepted")
	require.Zero(t, f.risk, "so feeding begins at once")
	a.shortByKg[0] = same(1)
	need, f = w.required(s, a)
	require.Equal(t, []float64{0, 0, 0}, need, "nobody is left to feed")
	require.True(t, f.late)
}

// feederYard is a yard with days like these to nectar, 40 days away.
func feederYard(t *testing.T, maxC, nonFlying float64) (*Worker, *Yard, *season.Season) {
	w, s := seenOnce(t)
	y, se := s.y, w.o.Season
	se.Equipment = nil
	y.Facts.Nectar = plan.DateRange{P50: se.Today.AddDate(0, 0, 40)}
	y.Facts.NonFlying, y.Facts.ColdSpell = plan.Range{P50: nonFlying}, plan.Range{P90: 3}
	y.Visits = nil
	for k := range 3 {
		y.Visits = append(y.Visits, visits.Visit{Day: 10 * k, Date: se.Today.AddDate(0, 0, 10*k), MaxC: maxC, MeanC: maxC - 5, NeededFrac: 1})
	}
	return w, y, se
}

func pointsOf(list []scored) map[plan.Feeder]float64 {
	out := map[plan.Feeder]float64{}
	for _, c := range list {
		out[c.way.feeder] = math.Round(1e9*c.points) / 1e9
	}
	return out
}

// TestFeedersArePointedByHand: what speaks against each feeder, added up by hand.
func TestFeedersArePointedByHand(t *testing.T) {
	perL := syrup.ThreeToTwo().StoresKgPerL()
	need := []float64{4 * perL, 8 * perL, 10 * perL} // at most 4 L at a visit
	_, y, s := feederYard(t, 15, 20)                 // half of the days
	require.InDelta(t, 0.5, stillFrac(y, s), 1e-9)
	requirePoints(t, map[plan.Feeder]float64{
		plan.BagOnBars:     0.6 * 0.7,
		plan.PailOverCover: 6*0.35*0.5 + 0.06,
		plan.FrameFeeder:   6*0.55*0.5 + 2*(4/3.5-1) + 0.54,
		plan.TrayUnderLid:  6*0.7*0.5 + 0.06,
		plan.EntranceJar:   6*0.5 + 2*3,
	}, pointsOf(ranked(y, need, 0, s)))
	best, choice := choose(y, need, 0, s)
	require.Equal(t, plan.BagOnBars, best.feeder)
	require.Equal(t, plan.FeederChoice{Feeder: plan.BagOnBars, OnHand: true, Reason: plan.FeederTouches{NonFlyingDays: 20, ColdSpellDays: 3},
		RunnerUp: plan.PailOverCover, Against: plan.AgainstLeaving{NonFlyingDays: 20}}, choice)

	// Bees that fly: a bag is used once, and large feeders stand half empty.
	_, y, s = feederYard(t, 15, 4)
	need = []float64{1.5 * perL, 3 * perL, 3 * perL}
	requirePoints(t, map[plan.Feeder]float64{
		plan.BagOnBars:     0.42 + 0.8 + 0.3,
		plan.PailOverCover: 0.6*0.35 + 0.06 + 0.3,
		plan.FrameFeeder:   0.6*0.55 + 0.54 + 0.3,
		plan.TrayUnderLid:  0.6*0.7 + 0.06 + 0.3,
		plan.EntranceJar:   0.6 + 2*0.5,
	}, pointsOf(ranked(y, need, 0, s)))
	_, choice = choose(y, need, 0, s)
	require.Equal(t, plan.PailOverCover, choice.Feeder)
	require.Equal(t, plan.FeederRefilled{DaysToNectar: 40}, choice.Reason)

	// Days too cold for bees to go far, but not for syrup.
	_, y, s = feederYard(t, 12.9, 20)
	need = []float64{4 * perL, 8 * perL, 8 * perL}
	p := pointsOf(ranked(y, need, 0, s))
	for f, far := range map[plan.Feeder]bool{plan.BagOnBars: false, plan.PailOverCover: false, plan.FrameFeeder: true, plan.TrayUnderLid: true, plan.EntranceJar: true} {
		require.Equal(t, far, p[f] > pointsTooFar, "%v", f)
		require.Less(t, p[f], pointsTooFar+pointsTooFar/4+5)
	}
	_, y, s = feederYard(t, 13, 20)
	for f, x := range pointsOf(ranked(y, need, 0, s)) {
		require.Less(t, x, pointsTooFar, "%v: 13 C is warm enough", f)
	}
	// Visits too cold for syrup do not count, nor those that hardly any spring needs, nor what
	// was given before the first.
	_, y, s = feederYard(t, 15, 20)
	y.Visits[0].MaxC, y.Visits[2].NeededFrac = 3, 0.04
	p = pointsOf(ranked(y, []float64{9 * perL, 10 * perL, 99 * perL}, 0, s))
	require.InDelta(t, 6*0.5, p[plan.EntranceJar], 1e-9, "1 L at the second visit is all")
	p = pointsOf(ranked(y, []float64{9 * perL, 10 * perL, 99 * perL}, 1, s))
	require.InDelta(t, 6*0.5+2*9, p[plan.EntranceJar], 1e-9, "from the second on all 10 L are due there")
}

func requirePoints(t *testing.T, want, got map[plan.Feeder]float64) {
	t.Helper()
	require.Len(t, got, len(want))
	for f, points := range want {
		require.InDelta(t, points, got[f], 1e-8, "%v", f)
	}
}

// TestFeedersOnHand: what is not on hand counts, once equipment is listed, and the keeper's own
// feeder holds what he says.
func TestFeedersOnHand(t *testing.T) {
	perL := syrup.ThreeToTwo().StoresKgPerL()
	need := []float64{4 * perL, 8 * perL, 8 * perL}
	_, y, s := feederYard(t, 15, 20)
	bare := pointsOf(ranked(y, need, 0, s))
	s.Equipment = []season.Equipment{{Item: season.Tray, Count: 2, HoldsL: 2}, {Item: season.Pail, Count: 1, HoldsL: math.NaN()}, {Item: season.HoledCover, Count: 0, HoldsL: math.NaN()}}
	got := ranked(y, need, 0, s)
	points := pointsOf(got)
	require.InDelta(t, bare[plan.TrayUnderLid]+2, points[plan.TrayUnderLid], 1e-9, "it holds half of what is wanted")
	require.InDelta(t, bare[plan.BagOnBars]+1.5, points[plan.BagOnBars], 1e-9, "no bag rim")
	require.InDelta(t, bare[plan.PailOverCover]+1.5, points[plan.PailOverCover], 1e-9, "a pail, but no cover with a hole and no empty box")
	for _, c := range got {
		require.Equal(t, c.way.feeder == plan.TrayUnderLid, c.onHand, "%v", c.way.feeder)
		switch c.way.feeder {
		case plan.TrayUnderLid:
			require.Equal(t, plan.AgainstLeaving{NonFlyingDays: 20}, c.main, "2.1 points against 2")
		case plan.BagOnBars:
			require.Equal(t, plan.AgainstNotOnHand{}, c.main)
		case plan.EntranceJar:
			require.Equal(t, plan.AgainstSmall{HoldsL: 1, WantedL: 4}, c.main)
		}
	}
	for i := 1; i < len(got); i++ {
		require.LessOrEqual(t, got[i-1].points, got[i].points)
	}
	require.False(t, solidChoice(y, s).OnHand, "no candy rim")
	s.Equipment = append(s.Equipment, season.Equipment{Item: season.CandyRim, Count: 1})
	require.True(t, solidChoice(y, s).OnHand)
	s.Equipment = nil
	require.True(t, solidChoice(y, s).OnHand, "nothing was said of equipment")
	require.Equal(t, plan.FeederSolid{MaxC: 15}, solidChoice(y, s).Reason)
}

// TestWhyAFeeder: reasons by how still the bees sit and how far they must go.
func TestWhyAFeeder(t *testing.T) {
	_, y, _ := feederYard(t, 15, 20)
	far, near := wayOf(plan.TrayUnderLid), wayOf(plan.PailOverCover)
	require.IsType(t, plan.FeederTouches{}, forReason(y, wayOf(plan.BagOnBars), 0.9, 30))
	require.Equal(t, plan.FeederClose{NonFlyingDays: 20}, forReason(y, far, 0.36, 30))
	require.Equal(t, plan.FeederLarge{DaysToNectar: 30}, forReason(y, far, 0.35, 30))
	require.Equal(t, plan.FeederRefilled{DaysToNectar: 30}, forReason(y, near, 0.2, 30))
	require.Equal(t, plan.FeederRefilled{DaysToNectar: 30}, forReason(y, way{reach: 0.6}, 0.2, 30))
	require.InDelta(t, 30, daysToNectar(y, 1), 1e-9)
	require.Zero(t, clampFrac(-0.1))
	require.Equal(t, 1.0, clampFrac(1.1))
	for bees, want := range map[float64][2][2]int{secondBees - 1: {{1, 1}, {2, 1}}, secondBees: {{2, 2}, {2, 2}}} {
		f, b := atATime(wayOf(plan.BagOnBars), bees)
		require.Equal(t, want[0], [2]int{f, b})
		f, b = atATime(wayOf(plan.FrameFeeder), bees)
		require.Equal(t, want[1], [2]int{f, b})
	}
	f, b := atATime(far, secondBees)
	require.Equal(t, [2]int{1, 2}, [2]int{f, b}, "one tray, two blocks")
}

// TestWarningsAndTheirLimits holds each warning to where it begins.
func TestWarningsAndTheirLimits(t *testing.T) {
	_, s := seenOnce(t)
	obs := *s.obs
	obs.BroodFrames, obs.SeamsOfBees, obs.Food = 1, 5, season.Food{Kind: season.FoodHeft, Heft: season.HeftFair}
	s.obs, s.learned, s.trouble = &obs, nil, nil
	dwindles := plan.Risk{Frac: 0.25, ErrFrac: 0.02}
	of := func(bees, spell float64) []plan.Note {
		return s.warnings(&plan.ColonyPlan{Bees: plan.Range{P50: bees}, ColdSpell: plan.Range{P90: spell}}, dwindles)
	}
	require.Equal(t, []plan.Note{plan.SmallCluster{Bees: 1999}}, of(1999, 9))
	require.Equal(t, []plan.Note{plan.ColdCluster{Bees: 2000, ColdSpellDays: 5, UnderBees: 2000, Dwindles: dwindles}}, of(2000, 5))
	require.Equal(t, []plan.Note{plan.ColdCluster{Bees: 5999, ColdSpellDays: 9, UnderBees: 2000, Dwindles: dwindles}}, of(5999, 9))
	require.Empty(t, of(6000, 9))
	require.Empty(t, of(5999, 4.9))
	obs.BroodFrames = math.NaN()
	require.Equal(t, []plan.Note{plan.BroodNotSeen{}}, of(9000, 0))
	obs.BroodFrames, obs.SeamsOfBees = 1, math.NaN()
	require.Equal(t, []plan.Note{plan.SeamsNotSeen{}}, of(9000, 0))
	obs.SeamsOfBees, obs.Food = 5, season.Food{}
	require.Equal(t, []plan.Note{plan.FoodNotKnown{}}, of(9000, 0))
	obs.Food = season.Food{Kind: season.FoodHeft, Heft: season.HeftFair}
	s.trouble = errors.New("crossed looks")
	require.Equal(t, []plan.Note{plan.LooksUnused{Problem: "crossed looks"}}, of(9000, 0))
	s.trouble = nil
	require.Equal(t, []plan.Note{plan.GoSooner{Before: s.y.Visits[0].Date}}, s.warnings(&plan.ColonyPlan{Bees: plan.Range{P50: 9000}, TooLate: true}, plan.Risk{}))

	day := s.first + 10
	learned := func(z float64, frac, widenedFor float64, seen bool) []plan.Note {
		s.learned = &observe.Report{Innovations: []observe.Innovation{{Day: day, What: "bees", Z: z}},
			Untold: []observe.Untold{{AfterDay: day - 5, SeenDay: day, Frac: frac}}, WidenedFor: widenedFor, WidenedBy: 2, WeatherSeen: seen}
		return s.lookWarnings()
	}
	on := s.y.Outlook.Date(day)
	require.Empty(t, learned(2.9, 0, 0.5, true))
	require.Equal(t, []plan.Note{plan.LookUnexpected{On: on, What: plan.Bees, More: true}}, learned(3, 0, 0, true))
	require.Equal(t, []plan.Note{plan.LookUnexpected{On: on, What: plan.Bees}}, learned(-3.1, 0, 0, true))
	require.Empty(t, learned(math.NaN(), 0, 0, true))
	require.Len(t, learned(0, likelyFed, 0, true), 1)
	require.Empty(t, learned(0, likelyFed-0.01, 0, true))
	require.Equal(t, []plan.Note{plan.LooksWidened{Times: 2}}, learned(0, 0, 0.51, true))
	require.Equal(t, []plan.Note{plan.LooksWithoutWeather{}}, learned(0, 0, 0, false))
	require.Equal(t, []plan.Quantity{plan.Stores, plan.Bees, plan.Brood}, []plan.Quantity{quantityOf("stores"), quantityOf("bees"), quantityOf("brood")})
}

// TestReasonsByVerdict: each verdict has its reason, with the figures of the members.
func TestReasonsByVerdict(t *testing.T) {
	w, s := seenOnce(t)
	set := &w.o.Season.Settings
	set.AcceptRiskFrac, set.ReserveKg = 0.1, 5
	s.looks, s.given = nil, nil
	a := handMade()
	day := s.y.Outlook.Date(s.first + 5)
	of := func(out plan.ColonyPlan) []plan.Note {
		out.Members = 10
		return w.reason(s, a, &out)
	}
	notes := of(plan.ColonyPlan{Verdict: plan.Feed, StarveDate: day, Feedings: []plan.Feeding{{SolidKg: 2}}, Risk: plan.Risk{Frac: 0.3}, RiskFed: plan.Risk{Frac: 0.04}})
	require.Len(t, notes, 3)
	require.Equal(t, plan.Starves{RiskFrac: 0.3, AcceptFrac: 0.1, FedFrac: 0.04, AcceptedBy: day, SolidFirst: true}, notes[2])
	need, ok := notes[1].(plan.Need)
	require.True(t, ok)
	require.InDelta(t, 7*0.5, need.KgPerWeek, 1e-9)
	require.Equal(t, 2.0, need.LackKg, "nine in ten lack no more than 2 kg")
	require.Equal(t, 0.1, need.LackFrac)
	// kg and short, nothing under none: 4, 4, 4, 4, 4, 4, 4, 4, 4, 4.
	require.Equal(t, plan.Range{P10: 4, P50: 4, P90: 4}, need.StoresKg)
	require.False(t, of(plan.ColonyPlan{Verdict: plan.Feed, Feedings: []plan.Feeding{{SyrupL: 2}}})[2].(plan.Starves).SolidFirst)
	require.False(t, of(plan.ColonyPlan{Verdict: plan.Feed})[2].(plan.Starves).SolidFirst)
	require.Equal(t, plan.PassesReserve{RiskFrac: 0.02, ReserveKg: 5, On: day}, of(plan.ColonyPlan{Verdict: plan.Watch, Risk: plan.Risk{Frac: 0.02}, ReserveDate: day})[2])
	require.Equal(t, plan.NearTheLine{RiskFrac: 0.02}, of(plan.ColonyPlan{Verdict: plan.Watch, Risk: plan.Risk{Frac: 0.02}})[2])
	require.Equal(t, plan.Holds{ReserveKg: 5}, of(plan.ColonyPlan{Verdict: plan.NoFeed})[2])
	set.AcceptRiskFrac = 0.5
	require.Zero(t, of(plan.ColonyPlan{Verdict: plan.NoFeed})[1].(plan.Need).LackKg, "the middle lacks nothing")
	s.looks, s.given = make([]observe.Observation, 3), &plan.FedSince{}
	notes = of(plan.ColonyPlan{Verdict: plan.NoFeed})
	require.Len(t, notes, 4)
	require.Equal(t, 2, notes[0].(plan.Seen).Before)
}

// TestSupplementIsAdvised: each answer on a supplement, at the limits between them.
func TestSupplementIsAdvised(t *testing.T) {
	w, _ := seenOnce(t)
	set := &w.o.Season.Settings
	day := time.Date(2027, time.April, 1, 0, 0, 0, 0, time.UTC)
	set.BeesWantedDate, set.BeesWantedBees = day.AddDate(0, 0, 50), 20000
	p := plan.Supplement{From: day, WindowFrom: day, WindowTo: day.AddDate(0, 0, 10), GainBees: plan.Range{P50: 2000}, GainErrBees: 100}
	ask := func(change func(p *plan.Supplement), without float64) (bool, plan.Note, int) {
		q := p
		change(&q)
		advised, notes := w.advise(&q, 0.1, without, day)
		return advised, notes[0], len(notes)
	}
	same := func(*plan.Supplement) {}
	advised, note, n := ask(same, 19000)
	require.True(t, advised)
	require.Equal(t, plan.SupplementWindow{WantedOn: set.BeesWantedDate, From: p.WindowFrom, To: p.WindowTo}, note)
	require.Equal(t, 3, n)
	advised, note, _ = ask(same, 20000)
	require.False(t, advised, "there are enough without it")
	require.Equal(t, plan.SupplementEnough{Bees: 20000, WantedOn: set.BeesWantedDate}, note)
	_, _, n = ask(same, 17200)
	require.Equal(t, 3, n, "19,200 are 4 % under what is wanted: near enough")
	_, _, n = ask(same, 17199)
	require.Equal(t, 4, n, "it says that it falls short")
	for gain, idle := range map[float64]bool{760: false, 759: true} { // 4 % of 19,000
		_, note, _ = ask(func(p *plan.Supplement) { p.GainBees.P50 = gain }, 19000)
		require.Equal(t, idle, note == plan.Note(plan.SupplementIdle{}), "%g", gain)
	}
	for off, idle := range map[float64]bool{1000: false, 1001: true} { // twice the error must be gained
		_, note, _ = ask(func(p *plan.Supplement) { p.GainErrBees = off }, 19000)
		require.Equal(t, idle, note == plan.Note(plan.SupplementIdle{}), "%g", off)
	}
	_, note, _ = ask(func(p *plan.Supplement) { p.GainBees.P50 = math.NaN() }, 19000)
	require.Equal(t, plan.SupplementIdle{}, note)
	_, note, _ = ask(func(p *plan.Supplement) { p.WindowTo = time.Time{} }, 19000)
	require.Equal(t, plan.SupplementIdle{}, note)
	late := func(p *plan.Supplement) { p.WindowTo = day.AddDate(0, 0, -1) }
	advised, note, _ = ask(late, 19000)
	require.False(t, advised)
	require.Equal(t, plan.SupplementLate{WantedOn: set.BeesWantedDate}, note)
	_, note, _ = ask(func(p *plan.Supplement) { late(p); p.GainBees.P50 = 0 }, 19000)
	require.Equal(t, plan.SupplementLate{WantedOn: set.BeesWantedDate}, note, "late counts before slight")
	advised, _, _ = ask(func(p *plan.Supplement) { p.WindowTo = day }, 19000)
	require.True(t, advised, "the first visit is the last day")
	set.BeesWantedBees = math.NaN()
	advised, _, n = ask(same, 40000)
	require.True(t, advised, "no number is wanted")
	require.Equal(t, 3, n)
	set.BeesWantedDate = time.Time{}
	advised, note, _ = ask(same, 100)
	require.False(t, advised)
	require.Equal(t, plan.SupplementUnwanted{}, note)
}

// TestGainIsPaired: the gain is member by member, and its error that of the springs' means.
func TestGainIsPaired(t *testing.T) {
	w, s := seenOnce(t)
	members := s.y.Springs.Members
	n := min(40, len(members))
	with, without := make([]float64, n), make([]float64, n)
	bySpring := map[int][]float64{}
	for m := range n {
		without[m] = 5000 + 1000*float64(m%7)
		gain := 100*float64(members[m].Spring) + float64(m)
		with[m] = without[m] + gain
		bySpring[members[m].Spring] = append(bySpring[members[m].Spring], gain)
	}
	gain, errBees := w.pairedGain(s.y, with, without)
	require.Greater(t, len(bySpring), 3)
	mean, sq := 0.0, 0.0
	var means []float64
	for _, x := range bySpring {
		sum := 0.0
		for _, v := range x {
			sum += v / float64(len(x))
		}
		means = append(means, sum)
		mean += sum / float64(len(bySpring))
	}
	for _, x := range means {
		sq += (x - mean) * (x - mean) / float64(len(means)-1)
	}
	require.InDelta(t, math.Sqrt(sq/float64(len(means))), errBees, 1e-6)
	require.Equal(t, plan.RangeOf(difference(with, without)), gain)
}

// TestDaysToLastTo: each feed is to last to four days after the next visit, the last to the end.
func TestDaysToLastTo(t *testing.T) {
	w, s := seenOnce(t)
	s.y.Visits = []visits.Visit{{Day: 10}, {Day: 18}, {Day: 30}}
	require.Equal(t, []int{11, 22, 34, math.MaxInt32}, s.lastTo())
	require.Equal(t, s.hive.Hand, w.o.Hand, "the keeper's")
	a := &grown{}
	s.draw(a, 0, 12)
	w.grow(a, &colony.Treatment{}, 0, 12)
	w.leave(s, a, 0, 12)
	for m := range 12 {
		c := &a.cases[m]
		var path colony.Path
		out := new(colony.Runner).Run(c.Spring(), c.Start, &colony.Treatment{}, s.reserveKg, &path)
		require.Equal(t, [2]int{out.StarveDay, out.ReserveDay}, [2]int{a.starve[m], a.reserve[m]})
		require.InDelta(t, out.ShortKg, a.shortKg[m], 1e-9)
		for k, day := range s.lastTo() {
			short, least := math.Inf(-1), math.Inf(1)
			for d := 0; d <= day-s.first && d < len(path.StoresKg) && d < c.Span.NectarDay; d++ {
				least = math.Min(least, path.StoresKg[d])
				short = math.Max(short, c.Params.UnreachableKg*c.Forcing[d].Cold-path.StoresKg[d])
			}
			require.InDelta(t, least, a.leastByKg[k][m], 1e-9)
			require.InDelta(t, short, a.shortByKg[k][m], 1e-9)
		}
	}
}

// TestHalfWay: the day by which half has come; what goes is not taken off.
func TestHalfWay(t *testing.T) {
	require.Equal(t, -1, halfWay([]float64{0, -1, 0}))
	require.Equal(t, 2, halfWay([]float64{0, 1, 1, 2}))
	require.Equal(t, 3, halfWay([]float64{0, 1, 0, 2}))
	require.Equal(t, 1, halfWay([]float64{-9, 1, 1}))
	require.Equal(t, []float64{1, -2}, difference([]float64{3, 1}, []float64{2, 3}))
}

// TestTimingIsThatOfTheDoses: the window of a supplement is found again from the doses one by
// one, on every day that is tried.
func TestTimingIsThatOfTheDoses(t *testing.T) {
	d := Open(t, season.Demo(), 60, 60)
	y := d.yards["Church Field"]
	wanted := y.Facts.Nectar.P90.AddDate(0, 0, 5)
	tc, err := y.trialColony(y.drawsOf(t, d), 12, wanted)
	require.NoError(t, err)
	require.Len(t, tc.bare, 12)
	got := tc.windowFor(wanted)
	read := tc.outlook.Day(wanted) - tc.first()
	share, onHand := map[int]float64{}, map[int]float64{}
	best, bestOn := 0.0, 0
	for on := max(0, read-48); on < read; on += 3 {
		there, reared := 0.0, 0.0
		for m := range tc.bare {
			var dosed colony.Path
			tc.run(m, colony.Treatment{Supplement: true, SupplementFrom: on, SupplementTo: on + 7}, pathDays, &dosed)
			there += dosed.Bees[read] - tc.bare[m].Bees[read]
			for day := on; day < on+21 && day < len(dosed.Laid); day++ {
				reared += dosed.Laid[day] - tc.bare[m].Laid[day]
			}
		}
		if reared < 5*12 {
			continue
		}
		share[on], onHand[on] = there/reared, there
		if share[on] > best {
			best, bestOn = share[on], on
		}
	}
	require.Positive(t, best)
	first, last, most := math.MaxInt, -1, -1
	for on, x := range share {
		if x >= 0.75*best {
			first, last = min(first, on+tc.first()-1), max(last, on+tc.first()+1)
			if most < 0 || onHand[on] > onHand[most] {
				most = on
			}
		}
	}
	require.Equal(t, first, got.first)
	require.Equal(t, last, got.last)
	require.Equal(t, most+tc.first(), got.most)
	day := tc.outlook.Day(wanted)
	require.Equal(t, plan.Range{P10: float64(day - last), P50: float64(read - bestOn), P90: float64(day - first)}, got.leadDays)

	y.Season.Settings.BeesWantedDate = wanted
	named, err := y.findTiming(y.drawsOf(t, d), 12)
	require.NoError(t, err)
	require.Equal(t, tc.outlook.Date(first), named.windowFrom)
	require.Equal(t, tc.outlook.Date(last), named.windowTo)
	require.Equal(t, max(y.Outlook.Day(tc.outlook.Date(most+tc.first())), y.Visits[0].Day), named.day)
	require.Equal(t, got.leadDays, named.leadDays)
	require.InDelta(t, 30, float64(named.emergeDays), 15, "three weeks of brood, and what a dose takes to be reared on")
	require.Greater(t, named.forageDays, named.emergeDays, "bees emerge before they fly out")
	on := max(0, tc.outlook.Day(y.Outlook.Date(named.day))-tc.first())
	emerge, forage, n := 0, 0, 0
	for m := range tc.bare {
		var dosed colony.Path
		tc.run(m, colony.Treatment{Supplement: true, SupplementFrom: on, SupplementTo: on + 7}, pathDays, &dosed)
		end := min(len(dosed.Bees), on+63)
		if half := halfWay(difference(dosed.Emerged, tc.bare[m].Emerged)[:end]); half > on {
			emerge, n = emerge+half-on, n+1
			forage += halfWay(difference(dosed.ForagerNum, tc.bare[m].ForagerNum)[:end]) - on
		}
	}
	require.Positive(t, n)
	require.Equal(t, [2]int{emerge / n, forage / n}, [2]int{named.emergeDays, named.forageDays})
	y.Season.Settings.BeesWantedDate = time.Time{}
	plain, err := y.findTiming(y.drawsOf(t, d), 12)
	require.NoError(t, err)
	require.True(t, plain.windowFrom.IsZero())
	require.Equal(t, y.Visits[0].Day, plain.day)
}

// TestLinesAsFeedings: a policy's lines as a keeper reads them.
func TestLinesAsFeedings(t *testing.T) {
	_, s := seenOnce(t)
	nectar := s.y.Facts.Nectar.P50
	s.y.Visits = nil
	for k := range 5 {
		date := nectar.AddDate(0, 0, -20+10*k)
		s.y.Visits = append(s.y.Visits, visits.Visit{Day: s.y.Outlook.Day(date), Date: date})
	}
	p := schedule.Policy{{UnderKg: math.Inf(1), Lot: schedule.Lot{SyrupL: 4}}, {UnderKg: math.Inf(-1)}, {UnderKg: 6, Lot: schedule.Lot{SolidKg: 1}},
		{UnderKg: math.Inf(1), Lot: schedule.Lot{SyrupL: 2}}, {UnderKg: 3, Lot: schedule.Lot{SyrupL: 2}}}
	on := &schedule.Result{ByVisit: []int{10, 0, 5, 1, 4}, Given: make([]int, 10)}
	strength := syrup.TwoToOne()
	got := s.feedings(strength, p, on, nil)
	require.Len(t, got, 4)
	require.InDelta(t, 4*strength.SugarKgPerL(), got[0].SugarKg, 1e-12)
	require.InDelta(t, 4*strength.WaterLPerL(), got[0].WaterL, 1e-12)
	require.Equal(t, []float64{1, 0.5, 0.1, 0.4}, []float64{got[0].NeededFrac, got[1].NeededFrac, got[2].NeededFrac, got[3].NeededFrac})
	require.Equal(t, []bool{false, false, true, true}, []bool{got[0].OnlyIfLow, got[1].OnlyIfLow, got[2].OnlyIfLow, got[3].OnlyIfLow},
		"on the usual day of nectar it is firm for half; after it nothing is")
	dying := s.feedings(strength, p, &schedule.Result{ByVisit: []int{4, 0, 4, 1, 4}, Given: make([]int, 10)}, nil)
	require.Equal(t, []bool{false, true}, []bool{dying[0].OnlyIfLow, dying[1].OnlyIfLow}, "whatever it reads, though most are dead by then")
	require.Equal(t, []float64{0, 6, 0, 3}, []float64{got[0].UnderKg, got[1].UnderKg, got[2].UnderKg, got[3].UnderKg})
	tareKg, _ := s.hive.TareKg()
	require.InDelta(t, tareKg+6, got[1].UnderGrossKg, 1e-9, "no member says what bees weigh")
	require.True(t, math.IsNaN(got[0].UnderGrossKg))
	require.Equal(t, p[2], s.policyOf(got)[2])
	require.Equal(t, p[0], s.policyOf(got)[0])
	require.True(t, s.policyOf(got)[1].Lot.None())

	s.hive.Boxes, s.hive.Hand = []observe.Boxes{{Kind: season.Deep, Count: 1}}, observe.Hand{}
	for kg, want := range map[float64]season.Heft{2.4: 0, 2.6: season.HeftLight, 7.4: season.HeftLight, 7.6: season.HeftFair, 13.9: season.HeftFair, 14.1: season.HeftHeavy} {
		require.Equal(t, want, s.heftUnder(kg), "%g kg; the words mean 4, 9 and 16 kg, give or take 3, 3 and 4, and hold half of that below", kg)
	}

	out := plan.ColonyPlan{Feedings: got, StarveDate: got[0].Date}
	startBy(&out)
	require.Equal(t, got[0].Date, out.StartBy)
	require.False(t, out.TooLate)
	out.StarveDate = got[0].Date.AddDate(0, 0, -1)
	startBy(&out)
	require.True(t, out.TooLate)
	out = plan.ColonyPlan{Feedings: got}
	startBy(&out)
	require.False(t, out.TooLate)
}

// TestNotKept: what is said where a plan keeps too little.
func TestNotKept(t *testing.T) {
	set := season.DefaultSettings()
	set.AcceptRiskFrac, set.ReserveKg, set.ReserveFrac = 0.05, 5, 0.5
	of := func(risk, held float64) []plan.Note {
		return notKept(&set, &plan.ColonyPlan{RiskFed: plan.Risk{Frac: risk}, ReserveFrac: held}, 100)
	}
	require.Empty(t, of(0.05, 0.5))
	require.Len(t, of(0.051, 0.5), 1)
	require.Empty(t, of(0, 0.42), "within two errors of a share of 100 members")
	require.Equal(t, []plan.Note{plan.ReserveNotHeld{}}, of(0, 0.39))
	set.ReserveKg = 0
	require.Empty(t, of(0, 0))
}

// TestWhichSyrup: the first visit warm enough for syrup, and the strength that stays clear there.
func TestWhichSyrup(t *testing.T) {
	w, y, s := feederYard(t, 9.9, 20)
	require.Same(t, &y.Visits[2], y.firstSyrup(0), "none is warm enough: the last")
	y.Visits[1].MaxC = 10
	require.Same(t, &y.Visits[1], y.firstSyrup(0))
	require.Same(t, &y.Visits[2], y.firstSyrup(2))
	set := &s.Settings
	set.Strength = syrup.OneToOne()
	require.Equal(t, syrup.OneToOne(), chosenStrength(set, way{}, 9000, &y.Visits[0]), "as the keeper set it")
	set.Strength = syrup.Strength{}
	require.True(t, set.ChooseStrength())
	clearC, can := syrup.SaturatedBelowC(syrup.TwoToOne())
	require.True(t, can)
	cool, mild := visits.Visit{MeanC: clearC - 0.1}, visits.Visit{MeanC: clearC + 0.1}
	require.Equal(t, syrup.ThreeToTwo(), chosenStrength(set, way{}, 9000, &cool))
	require.Equal(t, syrup.TwoToOne(), chosenStrength(set, way{}, 9000, &mild))
	// A bag takes 9,000 of 15,000 parts of the way to 30 C.
	at := (clearC - 0.6*30) / 0.4
	cool.MeanC, mild.MeanC = at-0.1, at+0.1
	require.Equal(t, syrup.ThreeToTwo(), chosenStrength(set, way{touching: true}, 9000, &cool))
	require.Equal(t, syrup.TwoToOne(), chosenStrength(set, way{touching: true}, 9000, &mild))
	_ = w
}

// TestFewerMembersForWhatIsPaired: what is told by each member against itself takes its usual members
// where every colony runs on 300 or more, fewer in proportion, one of each of thirty springs at least.
func TestFewerMembersForWhatIsPaired(t *testing.T) {
	for members, want := range map[int]int{50: 30, 150: 60, 200: 80, 300: 120, 2400: 120} {
		require.Equal(t, want, (&Options{Members: members}).paired(120), "%d", members)
	}
	require.Equal(t, 20, (&Options{Members: 20}).paired(120), "there are no more")
}
