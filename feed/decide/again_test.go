package decide

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/feed/syrup"
	"bloomgap/sim/colony"
	"bloomgap/sim/observe"
)

// TestMembersNearTheLine: a colony runs on twice the members as long as its risk lies within an
// error of the accepted one, and no longer.
func TestMembersNearTheLine(t *testing.T) {
	d := Open(t, season.Demo(), 60, 480)
	w := NewWorker(&d.options)
	sizes := map[int]bool{}
	for _, y := range d.yards {
		for _, c := range y.Colonies {
			s := w.subject(y, c)
			if s == nil || !c.Alive {
				continue
			}
			a, s, _ := w.leftAlone(s)
			sizes[a.members] = true
			for n := 60; n <= a.members; n *= 2 {
				first := *a
				first.members = n
				r := oddsOf(s, &first).starving()
				near := r.errFrac > d.options.known() && math.Abs(r.frac-d.options.Season.Settings.AcceptRiskFrac) <= nearLineErrors*r.errFrac
				if s.learned == nil { // looks are learned from anew with each size
					require.Equal(t, near && n < 480, n < a.members, "%s %s at %d", y.Site.Name, c.Name, n)
				}
			}
		}
	}
	require.Greater(t, len(sizes), 1, "some lie near the line")
	require.True(t, sizes[60])
}

// TestSureHivesRunOnFewMembers: a hive that surely needs no feed stops at the fewest members; one that may
// runs on as many as all do.
func TestSureHivesRunOnFewMembers(t *testing.T) {
	for gross, want := range map[string]int{"40": fewestAlone, "18.5": 300} {
		s := seasontest.OneHive(t, map[string]string{"gross": gross, "confirmed": "yes"}, nil)
		d := Open(t, s, 300, 600)
		for _, y := range d.yards {
			w := NewWorker(&d.options)
			a, _, _ := w.leftAlone(w.subject(y, &s.Colonies[0]))
			require.Equal(t, want, a.members, "%s kg", gross)
		}
	}
}

// TestPricesAreThoseOfOtherRules: the ways that are priced beside a plan are found and judged again,
// each with its own rule.
func TestPricesAreThoseOfOtherRules(t *testing.T) {
	s0 := season.Demo()
	s0.Settings.ReserveKg = 5
	d := Open(t, s0, 80, 80)
	done := 0
	for _, name := range []string{"Alder Bottom", "Church Field", "Quarry Road"} {
		y := d.yards[name]
		for _, c := range y.Colonies {
			w := NewWorker(&d.options)
			if !y.compared[c] || !c.Alive || done == 3 {
				continue
			}
			got, err := w.Decide(t.Context(), y, c)
			require.NoError(t, err)
			if got.Plan.Verdict != plan.Feed {
				continue
			}
			done++
			s := w.subject(y, c)
			alone, s, _ := w.leftAlone(s)
			out := got.Plan
			s = s.learn(2 * alone.members)
			f := w.schedule(s, alone, &out)
			var kinds []plan.PriceKind
			for _, p := range got.Plan.Policy.Prices {
				kinds = append(kinds, p.Kind)
				terms := f.terms
				switch p.Kind {
				case plan.WithoutReserve:
					terms.Rules.ReserveKg = 0
				case plan.FixedList:
					terms.Look.Blind = true
				case plan.ByScale:
					terms.Look = s.scaleLook()
				case plan.ByHeft:
					terms.Look = s.heftLook()
				}
				e := schedule.NewRunner()
				var found, judged schedule.Set
				e.Prepare(&found, uint64(s.key), f.mine.members, terms)
				best := e.Find(&found, terms.Feeder.AtATime, terms.Feeder.Blocks, new(schedule.Result))
				terms.Feeder, terms.Rules.ReserveKg = best.Feeder, 5 // the reserve is held or not, whether a policy looks to it or not
				e.Prepare(&judged, uint64(s.key)^checkKey, f.others.members, terms)
				var on schedule.Result
				e.Judge(&judged, best.Policy, &on)
				require.Equal(t, priceOf(p.Kind, &on), p, "%s %s", name, c.Name)
				if p.Kind == plan.WithoutReserve {
					require.Less(t, p.ReserveFrac, out.ReserveFrac, "%s %s: nobody looks to it", name, c.Name)
				}
			}
			last := plan.ByScale
			if s.obs.Food.Kind.Weighed() || s.obs.Food.Kind == season.FoodLiftBack {
				last = plan.ByHeft
			}
			require.Equal(t, []plan.PriceKind{plan.WithoutReserve, plan.FixedList, last}, kinds)
			w.o.Season.Settings.ReserveKg = 0
			f.terms.Rules.ReserveKg = 0
			require.Len(t, w.compare(s, f), 2, "no reserve is asked: none can be left out")
			w.o.Season.Settings.ReserveKg = 5
		}
	}
	require.Positive(t, done)
}

// TestGivenByHand: what was given becomes feed of the days on which it was there.
func TestGivenByHand(t *testing.T) {
	h := observe.Hive{Boxes: []observe.Boxes{{Kind: season.Deep, Count: 1}}, FramesPerBox: 10, Tares: observe.DefaultTares()}
	p := colony.DefaultParams()
	date := func(d int) time.Time { return time.Date(2027, time.March, d, 0, 0, 0, 0, time.UTC) }
	day := func(d time.Time) int { return d.Day() }
	looks := []season.Observation{{Date: date(5)}, {Date: date(15)}}
	s := syrup.ThreeToTwo()
	perL, nan := s.StoresKgPerL(), math.NaN()
	of := func(g season.Given) []colony.Feeding { return fedTo(&h, looks, []season.Given{g}, &p, day, date(25)) }
	unknown := of(season.Given{Date: date(8), SyrupL: 3, Strength: s, LeftL: nan, LeftSolidKg: nan})
	require.Equal(t, []colony.Feeding{{Day: 8, SyrupKg: 3 * perL, SugarKg: 3 * s.SugarKgPerL(), LPerKg: 1 / perL, Touching: true}}, unknown)
	taken := of(season.Given{Date: date(8), SyrupL: 3, Strength: s, LeftL: 0, LeftSolidKg: nan})
	require.Equal(t, []colony.Feeding{{Day: 8, CombKg: 3 * perL * p.SyrupYield}}, taken, "it stands in the combs")
	left := of(season.Given{Date: date(8), SyrupL: 3, Strength: s, LeftL: 1, LeftSolidKg: nan})
	require.Equal(t, []colony.Feeding{{Day: 8, CombKg: 2 * perL * p.SyrupYield}, {Day: 15, SyrupKg: perL, SugarKg: s.SugarKgPerL(), LPerKg: 1 / perL, Touching: true}}, left, "what was left is there from the next look on")
	require.Equal(t, 25, of(season.Given{Date: date(15), SyrupL: 3, Strength: s, LeftL: 1, LeftSolidKg: nan})[1].Day, "there is no later look: today")
	require.Equal(t, []colony.Feeding{{Day: 8, SolidKg: 2, SugarKg: 2}}, of(season.Given{Date: date(8), SolidKg: 2, LeftL: nan, LeftSolidKg: nan}))
	require.Equal(t, []colony.Feeding{{Day: 8, SolidKg: 1.5, SugarKg: 1.5}, {Day: 15, SolidKg: 0.5, SugarKg: 0.5}}, of(season.Given{Date: date(8), SolidKg: 2, LeftL: nan, LeftSolidKg: 0.5}))
	require.Equal(t, []colony.Feeding{{Day: 8, CombKg: h.CombsKg(2, 1)}}, of(season.Given{Date: date(8), FramesDeep: 2, FramesMedium: 1, LeftL: nan, LeftSolidKg: nan}))
	require.Empty(t, of(season.Given{Date: date(8), LeftL: nan, LeftSolidKg: nan}))

	given := []season.Given{{Date: date(8), SyrupL: 3, Strength: s, LeftL: 1}, {Date: date(9), SyrupL: 2, Strength: s, LeftL: 0.5}, {Date: date(10), SolidKg: 2, LeftL: nan}}
	require.Zero(t, inFeederKg(looks, given, date(5), date(25)), "before anything was given")
	require.InDelta(t, 1.5*s.DensityKgPerL(), inFeederKg(looks, given, date(15), date(25)), 1e-9)
	require.Zero(t, inFeederKg(looks, given, date(25), date(25)), "what was left at the look before is not known again")
	given[1].LeftL = nan
	require.True(t, math.IsNaN(inFeederKg(looks, given, date(15), date(25))))
	require.Zero(t, inFeederKg(looks, given, date(8), date(25)), "what is given on the day of a look comes after it")
	require.Equal(t, date(15), foundOn(looks, date(5), date(25)))
	require.Equal(t, date(25), foundOn(looks, date(15), date(25)))
}

// TestTradesByHand: more, less and later feed on one member whose food runs out on a known day.
func TestTradesByHand(t *testing.T) {
	d := Open(t, season.Demo(), 60, 60)
	w := NewWorker(&d.options)
	y := d.yards["Church Field"]
	s := w.subject(y, y.Colonies[0])
	s.draw(&w.alone, 0, 20)
	w.grow(&w.alone, &colony.Treatment{}, 0, 20)
	members := s.membersFor(&w.alone, 0, 20, nil)
	x := newTrades()
	dead := 0
	var all float64
	for m := range 20 {
		c := &w.alone.cases[m]
		given := []colony.Feeding{{Day: 5, SolidKg: 2, SugarKg: 2}, {Day: 15, SyrupKg: 3, SugarKg: 2.4, LPerKg: 1, Touching: true}}
		starve := x.add(&w.runner, &members[m], 5, given)
		all += 4.4
		out := w.runner.Run(c.Spring(), c.Start, &colony.Treatment{Feedings: given}, 5, nil)
		require.Equal(t, out.StarveDay, starve)
		if out.StarveDay >= 0 {
			dead++
		}
		require.Equal(t, 5, given[0].Day, "what is given is not changed")
	}
	det := plan.Detail{Starves: &plan.Ends{Alone: 0.5, Fed: 0.2}}
	first := time.Date(2027, time.April, 1, 0, 0, 0, 0, time.UTC)
	x.put(&det, first)
	require.Len(t, det.BySugar, 7)
	require.Len(t, det.ByStart, 5)
	for i, p := range det.BySugar {
		require.InDelta(t, all/20*[]float64{0, 0.25, 0.5, 0.75, 1, 1.25, 1.5}[i], p.SugarKg, 1e-9)
		require.Equal(t, i == 4, p.Planned)
		if i > 0 {
			require.LessOrEqual(t, p.Risk.Frac, det.BySugar[i-1].Risk.Frac, "more food never starves more")
		}
	}
	for i, p := range det.ByStart {
		require.Equal(t, first.AddDate(0, 0, 7*i), p.Start)
		require.Equal(t, i == 0, p.Planned)
		if i > 0 {
			require.GreaterOrEqual(t, p.Risk.Frac, det.ByStart[i-1].Risk.Frac, "later food never starves less")
		}
	}
	alone := 0
	for m := range 20 {
		c := &w.alone.cases[m]
		if w.runner.Run(c.Spring(), c.Start, &colony.Treatment{}, 5, nil).StarveDay >= 0 {
			alone++
		}
	}
	require.Equal(t, 0.5, det.BySugar[0].Risk.Frac, "the risk left alone, as it is known")
	require.Equal(t, 0.2, det.BySugar[4].Risk.Frac, "that of the plan")
	require.InDelta(t, 0.2+0.3*float64(x.sugarDead[2]-dead)/float64(alone-dead), det.BySugar[2].Risk.Frac, 1e-12, "in between as members tell")
	require.InDelta(t, 0.2*float64(x.sugarDead[6])/float64(dead), det.BySugar[6].Risk.Frac, 1e-12)
	require.Equal(t, plan.RiskOf(dead, 20).ErrFrac, det.BySugar[4].Risk.ErrFrac)
	require.Equal(t, det.BySugar[4].Risk, det.ByStart[0].Risk)
	require.Greater(t, alone, dead)
	empty := plan.Detail{}
	newTrades().put(&empty, first)
	require.Empty(t, empty.BySugar)
}
