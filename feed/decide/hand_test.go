package decide

import (
	"math"
	"slices"
	"sort"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/sim/colony"
)

// TestGearByHand: what a colony's feeding needs; solid feed has its rim, unless the rim of
// a bag is there.
func TestGearByHand(t *testing.T) {
	syrup, solid := plan.Feeding{SyrupL: 3}, plan.Feeding{SolidKg: 1}
	for _, c := range []struct {
		feeder   plan.Feeder
		together int
		feedings []plan.Feeding
		want     []season.Item
	}{
		{plan.BagOnBars, 1, []plan.Feeding{syrup}, []season.Item{season.BagRim}},
		{plan.BagOnBars, 1, []plan.Feeding{solid, syrup}, []season.Item{season.BagRim}},
		{plan.PailOverCover, 1, []plan.Feeding{syrup, solid}, []season.Item{season.Pail, season.HoledCover, season.EmptyBox, season.CandyRim}},
		{plan.PailOverCover, 1, []plan.Feeding{syrup}, []season.Item{season.Pail, season.HoledCover, season.EmptyBox}},
		{plan.FrameFeeder, 1, []plan.Feeding{syrup}, []season.Item{season.FrameFeeder}},
		{plan.FrameFeeder, 2, []plan.Feeding{syrup}, []season.Item{season.FrameFeeder, season.FrameFeeder}},
		{plan.TrayUnderLid, 2, []plan.Feeding{syrup, solid, solid}, []season.Item{season.Tray, season.CandyRim}},
		{plan.EntranceJar, 1, nil, []season.Item{season.EntranceJar}},
		{plan.SolidOverCluster, 1, []plan.Feeding{solid}, []season.Item{season.CandyRim}},
		{plan.SolidOverCluster, 1, nil, nil},
	} {
		p := &plan.ColonyPlan{Feedings: c.feedings}
		p.Choice.Feeder, p.Policy.AtATime = c.feeder, c.together
		require.Equal(t, c.want, Gear(p), "%+v", c)
	}
}

// TestStarvedByADay: the chance that a colony left alone has starved before a day, from its members'
// evenings one by one; members that several looks have picked are counted.
func TestStarvedByADay(t *testing.T) {
	once := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
	twice := seasontest.OneHive(t, map[string]string{"gross": "20"}, nil)
	first := *twice.Colonies[0].Last()
	first.Date = first.Date.AddDate(0, 0, -12)
	twice.Colonies[0].Observations = []season.Observation{first, *twice.Colonies[0].Last()}
	for _, s := range []*season.Season{once, twice} {
		k := opened(t, s, 60)
		held := k.s.seen.Held()
		for _, ahead := range []int{-3, 0, 1, 20, 45, 60, 200} {
			want, day := 0.0, k.s.first+ahead
			for m := range k.a.members {
				c := &k.a.cases[m]
				var path colony.Path
				out := new(colony.Runner).Run(c.Spring(), c.Start, &colony.Treatment{}, 0, &path)
				least := math.Inf(-1)
				for d := 0; d < min(ahead, c.Span.NectarDay, len(path.StoresKg)); d++ {
					least = math.Max(least, c.Start.StoresKg-path.StoresKg[d]+c.Params.UnreachableKg*c.Forcing[d].Cold)
				}
				switch {
				case k.s.learned == nil:
					want += held.Under(least) / float64(k.a.members)
				case out.StarveDay >= 0 && out.StarveDay < ahead:
					want += 1 / float64(k.a.members)
				}
			}
			require.InDelta(t, want, k.StarvedBy(day), 1e-9, "%d days ahead", ahead)
			if ahead <= 0 || ahead > 40 {
				require.Equal(t, ahead > 0, want > 0.05, "%d days ahead", ahead)
			}
		}
	}
}

// TestAFedCaseIsCountedAgain: what is asked of a colony that is fed comes from the lines of its plan,
// spring by spring.
func TestAFedCaseIsCountedAgain(t *testing.T) {
	const n = 90
	k := opened(t, seasontest.OneHive(t, map[string]string{"gross": "17.5", "wrapped": "yes", "confirmed": "yes"}, nil), n)
	require.NotEmpty(t, k.Plan.Feedings)
	n2 := k.a.members
	on := &k.w.tryPlan(k.s, k.a, k.Plan).on
	starves, sugar, given := slices.Clone(on.Starves), slices.Clone(on.SugarKg), slices.Clone(on.Given)
	died, sum := 0, 0.0
	for m := range n2 {
		if starves[m] {
			died++
		}
		sum += sugar[m] / float64(n2)
	}
	require.Positive(t, died, "some starve, fed or not")
	got := k.FedAsPlanned()
	require.Equal(t, plan.RiskOf(died, n2), got.Risk)
	require.InDelta(t, sum, got.SugarKg, 1e-9)

	order := make([]int, n2)
	for m := range order {
		order[m] = m
	}
	sort.SliceStable(order, func(i, j int) bool { return k.a.cases[order[i]].Span.NectarDay < k.a.cases[order[j]].Span.NectarDay })
	early, late := k.Thirds()
	held := k.s.seen.Held()
	for name, third := range map[string]struct {
		got     Third
		members []int
	}{"early": {early, order[:n2/3]}, "late": {late, order[n2-n2/3:]}} {
		died, alone, sum, trips := 0, 0.0, 0.0, 0
		var days []float64
		for _, m := range third.members {
			if starves[m] {
				died++
			}
			alone += held.Under(k.a.startKg[m] + k.a.shortKg[m])
			sum, trips = sum+sugar[m], trips+given[m]
			days = append(days, float64(k.a.cases[m].Span.NectarDay+k.s.first))
		}
		sort.Float64s(days)
		count := float64(len(third.members))
		require.Equal(t, plan.RiskOf(died, len(third.members)), third.got.Fed.Risk, name)
		require.InDelta(t, alone/count, third.got.Risk.Frac, 1e-9, name)
		require.InDelta(t, plan.RiskOf(int(math.Round(alone)), len(third.members)).ErrFrac, third.got.Risk.ErrFrac, 1e-12, name)
		require.InDelta(t, sum/count, third.got.Fed.SugarKg, 1e-9, name)
		require.InDelta(t, float64(trips)/count, third.got.Fed.Trips, 1e-9, name)
		require.Equal(t, days[int(math.Ceil(count/2))-1], third.got.NectarDay, name)
	}
	require.Positive(t, early.Fed.Risk.Frac+late.Fed.Risk.Frac)

	// The wrap as it stands: fed and alone as in the plan.
	u := k.Unwrap(k.Yard().Season.Today.AddDate(0, 0, 5), 0.5)
	require.Equal(t, k.Plan.RiskFed, u.FedOn)
	require.Equal(t, k.Plan.Risk, u.RiskOn)
	require.GreaterOrEqual(t, u.FedOff.Frac, u.FedOn.Frac)
	require.Greater(t, u.RiskOn.Frac, u.FedOn.Frac)
	bare := *k.Plan
	bare.Feedings = nil
	require.Zero(t, k.w.unwrap(k.s, k.a, &bare, unwrapAsked{day: k.s.first + 5, underKg: 0.5}).FedOn, "not fed")

	// What a cluster of the same size must hold is what it held and what it lacked.
	var need []float64
	for m := range n2 {
		need = append(need, math.Max(0, k.a.cases[m].Start.StoresKg+k.a.shortKg[m]))
	}
	sort.Float64s(need)
	require.InDelta(t, need[int(math.Ceil(0.9*float64(n2)))-1], k.NeedKg(1, 0.1), 1e-6)
	require.Greater(t, k.NeedKg(1.5, 0.1), k.NeedKg(1, 0.1), "more bees eat more")

	again := k.FedAt(0.2)
	require.Equal(t, again, k.FedAt(0.2), "asked twice")
	require.GreaterOrEqual(t, again.Risk.Frac, k.FedAt(0.02).Risk.Frac)
}

// TestTermsOfAPlan: a plan's lines are tried with as many feeders and blocks at a time as it says.
func TestTermsOfAPlan(t *testing.T) {
	w, s := seenOnce(t)
	for _, c := range [][2]int{{0, 0}, {1, 1}, {2, 1}, {1, 2}, {2, 2}} {
		p := &plan.ColonyPlan{Policy: plan.Policy{AtATime: c[0], Blocks: c[1]}}
		p.Choice.Feeder = plan.BagOnBars
		f := w.termsOf(s, p).Feeder
		require.Equal(t, []int{max(1, c[0]), max(1, c[1])}, []int{f.AtATime, f.Blocks})
		require.True(t, f.Touching)
	}
}

// TestNeedOfTheLastToBeSaved: one member that the first visit can still help sets the need by
// itself; where none is left nothing is needed and the first visit is too late.
func TestNeedOfTheLastToBeSaved(t *testing.T) {
	w, s := seenOnce(t)
	set := &w.o.Season.Settings
	s.y.Visits = s.y.Visits[:2]
	for _, c := range []struct {
		lost, shortBy1, shortBy2, leastBy1, leastBy2 []float64
		reserveKg                                    float64
		need                                         []float64
		want                                         firsts
	}{
		{[]float64{1, -1}, []float64{9, 3}, []float64{9, 2}, []float64{9, 9}, []float64{9, 9}, 0, []float64{3, 3}, firsts{0, 1, true}},
		{[]float64{1, -1}, []float64{9, -1}, []float64{9, -1}, []float64{9, 2}, []float64{9, 1}, 5, []float64{3, 4}, firsts{0, 0, true}},
		{[]float64{1, 1}, []float64{9, 3}, []float64{9, 4}, []float64{9, 9}, []float64{9, 9}, 5, []float64{0, 0}, firsts{0, 1, true}},
		{[]float64{-1, -1}, []float64{-2, -1}, []float64{-1, 0.5}, []float64{9, 9}, []float64{9, 9}, 0, []float64{0, 0.5}, firsts{1, 1, false}},
		{[]float64{-1, -1}, []float64{-2, 0.5}, []float64{-1, 0.25}, []float64{9, 9}, []float64{9, 9}, 0, []float64{0.5, 0.5}, firsts{0, 1, false}},
		{[]float64{-1, -1}, []float64{-2, -1}, []float64{-1, -1}, []float64{4.8, 9}, []float64{4.7, 9}, 5, []float64{0, 0}, firsts{1, 1, false}},
		{[]float64{-1, -1}, []float64{-2, -1}, []float64{-1, -1}, []float64{4.7, 4}, []float64{2, 3}, 5, []float64{0.3, 2}, firsts{1, 0, false}},
		{[]float64{-1, -1}, []float64{-2, -1}, []float64{-1, -1}, []float64{4.8, 4.8}, []float64{4.7, 4.7}, 5, []float64{0.2, 0.3}, firsts{1, 1, false}},
	} {
		set.AcceptRiskFrac, set.ReserveKg = 0.05, c.reserveKg
		a := &grown{members: 2, shortByKg: [][]float64{c.lost, c.shortBy1, c.shortBy2}, leastByKg: [][]float64{{9, 9}, c.leastBy1, c.leastBy2}}
		need, f := w.required(s, a)
		require.InDeltaSlice(t, c.need, need, 1e-9, "%+v", c)
		require.Equal(t, c.want, f, "%+v", c)
	}
}

// TestHowFarAPictureGoes: to two weeks past nectar or one past the day on which bees are wanted, and
// not past the weather.
func TestHowFarAPictureGoes(t *testing.T) {
	for past, want := range map[int]int{-400: 0, 30: 37, 9: 16, 400: 1000} {
		s := seasontest.OneHive(t, map[string]string{"heft": "light"}, nil)
		d := decideAll(t, s, 50, 50)
		c := &d.Plans[0]
		y, sub, w := d.subject(t, c)
		nectar := y.Facts.Nectar.P90
		set := *d.options.Season
		if past > -400 {
			set.Settings.BeesWantedDate = nectar.AddDate(0, 0, past)
		}
		w.o.Season = &set
		last := nectar.AddDate(0, 0, max(14, want))
		if end := y.Outlook.Date(len(y.Outlook.Springs[0].Days) - 1); last.After(end) {
			last = end
		}
		got := w.detail(sub, c)
		require.Equal(t, last, got.Dates[len(got.Dates)-1], "%d", past)
		require.Equal(t, y.Outlook.Date(sub.first), got.Dates[0])
		require.Equal(t, int(last.Sub(got.Dates[0])/(24*time.Hour))+1, len(got.Dates))
	}
}

// TestComparedColonies: three of a yard, or all of fewer, the same in any order.
func TestComparedColonies(t *testing.T) {
	var cs []*season.Colony
	for _, name := range []string{"a", "b", "c", "d", "e", "f"} {
		cs = append(cs, &season.Colony{Name: name})
		got := comparedIn("Mill", cs)
		require.Len(t, got, min(3, len(cs)))
		turned := slices.Clone(cs)
		slices.Reverse(turned)
		require.Equal(t, got, comparedIn("Mill", turned))
	}
}

// TestFirstSyrupByHand: the first visit from which days are warm enough, or the last.
func TestFirstSyrupByHand(t *testing.T) {
	w, s := seenOnce(t)
	under := w.o.Season.Settings.Rules.TouchingOnlyBelowC
	k := &Case{w: w, s: s}
	for _, c := range []struct {
		maxC []float64
		want int
	}{{[]float64{1, 2, 3}, 0}, {[]float64{-1, 0, 1}, 1}, {[]float64{0, -1, 1}, 0}, {[]float64{-1, -0.1, 0.1}, 2}, {[]float64{-1, -1, -1}, 2}} {
		s.y.Visits = slices.Clone(s.y.Visits[:3])
		for i := range s.y.Visits {
			s.y.Visits[i].MaxC = under + c.maxC[i]
		}
		visit, maxC := k.FirstSyrup()
		require.Equal(t, c.want, visit, "%v", c.maxC)
		require.Equal(t, under+c.maxC[c.want], maxC)
	}
}

// TestGivenLots: the lots of one member as feedings, on the days of their visits.
func TestGivenLots(t *testing.T) {
	var on tried
	on.set.Visits = []schedule.Visit{{Day: 3}, {Day: 10}, {Day: 17}}
	on.on.Lots = [][]schedule.Lot{{{SyrupL: 9}, {SyrupL: 2}}, {{SyrupL: 9}, {}}, {{}, {SolidKg: 1.5}}}
	strength := strengthOr(&plan.ColonyPlan{})
	perL, sugar := strength.StoresKgPerL(), strength.SugarKgPerL()
	require.Equal(t, []colony.Feeding{{Day: 3, SyrupKg: 2 * perL, SugarKg: 2 * sugar, LPerKg: 1 / perL, Touching: true},
		{Day: 17, SolidKg: 1.5, SugarKg: 1.5, LPerKg: 1 / perL, Touching: true}}, given(&on, 1, strength, true))
}

// TestCellsOfACard: a cell says what a visit gives and what it is mixed of; one that feeds no hive is empty.
func TestCellsOfACard(t *testing.T) {
	w, s := seenOnce(t)
	lines := &cardLines{s: s, policy: schedule.Policy{{UnderKg: math.Inf(1), Lot: schedule.Lot{SyrupL: 3}}, {UnderKg: math.Inf(-1), Lot: schedule.Lot{SyrupL: 3}},
		{UnderKg: 5}, {UnderKg: math.Inf(1), Lot: schedule.Lot{SolidKg: 1.5}}}}
	lines.terms.Rules.Strength = strengthOr(&plan.ColonyPlan{})
	row := w.cardRow(lines, [2]int{2, 4}, 4)
	require.Equal(t, []int{2, 4}, []int{row.FromSeams, row.ToSeams})
	strength := row.Strength
	require.InDelta(t, 1.5, strength.SugarKgPerL()/strength.WaterLPerL(), 0.01, "3:2 by weight; a litre of water weighs a kilogram")
	require.Equal(t, []plan.CardCell{{SyrupL: 3, SugarKg: 3 * strength.SugarKgPerL(), WaterL: 3 * strength.WaterLPerL(), All: true}, {}, {}, {SolidKg: 1.5, All: true}}, row.Cells)
}
