package decide

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/sim/colony"
)

// TestCaseByHand: what is asked of a colony afterwards is counted again over its members.
func TestCaseByHand(t *testing.T) {
	d := Open(t, season.Demo(), 60, 60)
	w := NewWorker(&d.options)
	y := d.yards["Church Field"]
	col := y.Colonies[0]
	made, err := w.Decide(t.Context(), y, col)
	require.NoError(t, err)
	k := NewWorker(&d.options).Case(y, col, &made.Plan)
	require.NotNil(t, k)
	n := made.Plan.Members
	need := 0.0
	for _, kg := range k.a.needKgPerDay[:n] {
		need += kg / float64(n)
	}
	require.InDelta(t, need, k.NeedKgPerDay(), 1e-9)
	for _, frac := range []float64{0.1, 0.5, 0.9} {
		under := 0
		for _, kg := range k.a.shortKg[:n] {
			if kg <= k.LackKg(frac)+1e-12 {
				under++
			}
		}
		require.GreaterOrEqual(t, float64(under), frac*float64(n))
		require.Less(t, float64(under), frac*float64(n)+2)
	}
	visit, maxC := k.FirstSyrup()
	for i := range y.Visits {
		warm := y.Visits[i].MaxC >= y.Season.Settings.Rules.TouchingOnlyBelowC
		require.False(t, i < visit && warm)
		if i == visit {
			require.Equal(t, y.Visits[i].MaxC, maxC)
		}
	}
	require.Equal(t, made.Plan.Choice.Feeder != plan.SolidOverCluster, k.Ways()[0].Feeder == made.Plan.Choice.Feeder)

	// One filling, followed day by day.
	for _, at := range []int{0, 2} {
		strength := syrup.TwoToOne()
		for _, solid := range []bool{false, true} {
			f := colony.Feeding{Day: y.Visits[at].Day - k.s.first}
			var got Emptied
			if solid {
				f.SolidKg, f.SugarKg = 1.5, 1.5
				got = k.Solid(1.5, at)
			} else {
				perL := strength.StoresKgPerL()
				f.SyrupKg, f.SugarKg, f.LPerKg, f.Touching = 3*perL, 3*strength.SugarKgPerL(), 1/perL, true
				got = k.Syrup(strength, 3, true, at)
			}
			var days []float64
			open, left := 0.0, 0.0
			for m := range n {
				c := &k.a.cases[m]
				if c.Span.NectarDay <= f.Day {
					continue
				}
				open++
				var path colony.Path
				new(colony.Runner).SimulateStores(c.Spring(), c.Start.StoresKg, []colony.Feeding{f}, 0, &k.a.demand[m], &path)
				lies := path.FeederKg
				if solid {
					lies = path.SolidKg
				}
				day := f.Day
				for day < c.Span.NectarDay && lies[day] > emptyKg {
					day++
				}
				if lies[day] > emptyKg {
					left++
				} else {
					days = append(days, float64(day-f.Day))
				}
			}
			require.InDelta(t, left/math.Max(1, open), got.LeftFrac, 1e-12)
			if len(days) > 0 {
				require.Equal(t, plan.RangeOf(days), got.Days, "visit %d, solid %v", at, solid)
			}
		}
	}

	// The thirds with the earliest and the latest nectar.
	early, late := k.Thirds()
	held := k.s.seen.Held()
	require.Less(t, early.NectarDay, late.NectarDay)
	for _, third := range []struct {
		got  Third
		from float64
		sign float64
	}{{early, 0, 1}, {late, 0, -1}} {
		starved, members := 0.0, 0
		var bounds []float64
		for m := range n {
			bounds = append(bounds, third.sign*float64(k.a.cases[m].Span.NectarDay))
		}
		limit := schedule.Quantile(append([]float64(nil), bounds...), 1.0/3)
		for m := range n {
			if bounds[m] < limit {
				members++
				starved += held.Under(k.a.startKg[m] + k.a.shortKg[m])
			}
		}
		require.LessOrEqual(t, members, n/3)
		require.GreaterOrEqual(t, third.got.Risk.Frac*float64(n/3)+1e-9, starved)
		require.LessOrEqual(t, third.got.Risk.Frac*float64(n/3)-1e-9, starved+float64(n/3-members))
	}
	if len(made.Plan.Feedings) > 0 {
		both := k.FedAsPlanned()
		require.InDelta(t, both.SugarKg, both.SyrupL*made.Plan.Strength.SugarKgPerL()+both.SolidKg, 1e-6)
		require.Positive(t, both.Trips)
	}
	require.Nil(t, NewWorker(&d.options).Case(y, &season.Colony{}, &made.Plan), "a dead one")
}

// TestTalliesByHand: colonies that nobody looked at fall to tallies by what was seen, all of them,
// and are whole numbers together.
func TestTalliesByHand(t *testing.T) {
	tally := func(name string, n int) *season.Colony {
		return &season.Colony{Name: name, Alive: true, Tally: &season.Tally{LookedAt: n}}
	}
	cs := []*season.Colony{tally("light", 2), tally("fair", 6), tally("heavy", 0)}
	const members = 3000
	of := shares(&season.Yard{Name: "Mill", NotLookedAt: []season.NotLookedAt{{Boxes: "none of these", Colonies: 12}}}, cs, 1, members)
	mean := map[string]float64{}
	for m := range members {
		all := 0
		for _, c := range cs {
			require.GreaterOrEqual(t, of[c][m], c.Tally.LookedAt)
			all += of[c][m]
			mean[c.Name] += float64(of[c][m]) / members
		}
		require.Equal(t, 20, all, "8 that were looked at and 12 that were not")
	}
	// Half a colony each before anyone looked: 2.5, 6.5 and 0.5 of 9.5.
	require.InDelta(t, 2+12*2.5/9.5, mean["light"], 0.15)
	require.InDelta(t, 6+12*6.5/9.5, mean["fair"], 0.15)
	require.InDelta(t, 12*0.5/9.5, mean["heavy"], 0.15)
	spread := 0.0
	for m := range members {
		spread += square(float64(of[cs[1]][m])-mean["fair"]) / members
	}
	p := 6.5 / 9.5
	require.InDelta(t, 12*p*(1-p)*(9.5+12)/(9.5+1), spread, 0.7, "as wide as a sample of eight leaves it")

	whole := wholeNumbers(cs, map[*season.Colony][]int{cs[0]: {4, 5}, cs[1]: {6, 7}, cs[2]: {2, 0}})
	require.Equal(t, 12, whole[cs[0]]+whole[cs[1]]+whole[cs[2]], "4.5, 6.5 and 1 make 12")
	require.Equal(t, 1, whole[cs[2]])
	whole = wholeNumbers(cs, map[*season.Colony][]int{cs[0]: {4, 4, 4, 5}, cs[1]: {6, 7, 7, 7}, cs[2]: {2, 1, 1, 0}})
	require.Equal(t, [3]int{4, 7, 1}, [3]int{whole[cs[0]], whole[cs[1]], whole[cs[2]]}, "the largest rest takes what is left over")
	require.Equal(t, 0, (&Decision{}).Twins())
	require.Equal(t, 4, (&Decision{Shares: []int{2, 5, 3}}).Twins())
	require.Equal(t, 0, (&Decision{Shares: []int{0, 0}}).Twins())
}

// TestUsualWays: how most colonies of a yard were judged, and built.
func TestUsualWays(t *testing.T) {
	seen := func(alive bool, kinds ...season.FoodKind) *season.Colony {
		c := &season.Colony{Alive: alive}
		for _, k := range kinds {
			c.Observations = append(c.Observations, season.Observation{Food: season.Food{Kind: k}})
		}
		return c
	}
	require.Equal(t, season.FoodHeft, usualWay(nil))
	require.Equal(t, season.FoodHeft, usualWay([]*season.Colony{seen(false, season.FoodGross), seen(true), seen(true, season.FoodUnknown)}))
	require.Equal(t, season.FoodGross, usualWay([]*season.Colony{seen(true, season.FoodLiftBoth), seen(true, season.FoodGross), seen(true, season.FoodHeft, season.FoodFrames)}), "two sides are a weight")
	require.Equal(t, season.FoodFrames, usualWay([]*season.Colony{seen(true, season.FoodGross, season.FoodFrames)}), "the last look counts")
	require.Equal(t, season.FoodHeft, usualWay([]*season.Colony{seen(true, season.FoodGross), seen(true, season.FoodHeft)}), "of as many it is the hand")
}

// TestWhatWasGivenIsSummed: what the keeper gave since the first look, in his measures.
func TestWhatWasGivenIsSummed(t *testing.T) {
	_, s := seenOnce(t)
	first := s.obs.Date
	at := func(days int) time.Time { return first.AddDate(0, 0, days) }
	s.seen.Fed, s.fed, s.given, s.looks = nil, nil, nil, nil
	p := colony.DefaultParams()
	nan := math.NaN()
	given := []season.Given{{Date: at(-1), SyrupL: 9, Strength: syrup.OneToOne(), LeftL: nan, LeftSolidKg: nan}, {Date: at(0), SolidKg: 1, LeftL: nan, LeftSolidKg: nan},
		{Date: at(1), FramesDeep: 2, FramesMedium: 1, LeftL: nan, LeftSolidKg: nan}}
	s.see([]season.Observation{*s.obs}, given, &p)
	require.Equal(t, &plan.FedSince{LastOn: at(1), SolidKg: 1, CombFood: 3}, s.given, "what came before the look is in it")
	require.Len(t, s.fed, 2)
	require.Equal(t, s.seen.Day, s.fed[0].Day)
	require.Equal(t, []int{-1, 0}, []int{s.seen.Fed[0].Day, s.seen.Fed[1].Day}, "days of the run, which begins the day after")
	require.Empty(t, s.looks, "one look needs no learning")
	s.looks = nil
	later := *s.obs
	later.Date = at(2)
	s.see([]season.Observation{*s.obs, later}, nil, &p)
	require.Len(t, s.looks, 2)
}

// TestOtherWaysAreWorkedOutWhenAsked: prices of other ways that a plan left out are those that it tells
// elsewhere, of fed hives alone and beside other looks.
func TestOtherWaysAreWorkedOutWhenAsked(t *testing.T) {
	d := Open(t, season.Demo(), 60, 240)
	asked := 0
	for _, y := range d.yards {
		for _, col := range y.Colonies {
			if !y.compared[col] || !col.Alive {
				continue
			}
			told, err := NewWorker(&d.options).Decide(t.Context(), y, col)
			require.NoError(t, err)
			if told.Plan.Verdict != plan.Feed {
				continue
			}
			asked++
			quiet := told.Plan
			quiet.Policy.Prices = nil
			require.NotEmpty(t, told.Plan.Policy.Prices)
			k := NewWorker(&d.options).Case(y, col, &quiet)
			require.Equal(t, told.Plan.Policy.Prices, k.OtherWays(), "%s %s", col.Yard, col.Name)
			require.Equal(t, told.Plan.Policy.Prices, NewWorker(&d.options).Case(y, col, &told.Plan).OtherWays())
		}
	}
	require.Greater(t, asked, 2)
}
