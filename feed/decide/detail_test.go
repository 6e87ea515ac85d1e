package decide

import (
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/sim/colony"
	"bloomgap/sim/observe"
)

// TestDetailDayByDay: the charts of a colony are those of its members, run and counted again one
// by one.
func TestDetailDayByDay(t *testing.T) {
	d := Open(t, season.Demo(), 60, 60)
	d.options.Supplement = true
	w := NewWorker(&d.options)
	done := 0
	for _, y := range d.yards { // opened again, with the timing of a supplement
		again, err := NewYard(y.Yard, &d.options, y.drawsOf(t, d))
		require.NoError(t, err)
		*y = *again
	}
	for _, name := range []string{"Church Field", "Quarry Road", "Windmill Rise"} {
		y := d.yards[name]
		for _, c := range y.Colonies {
			decided, err := w.Decide(t.Context(), y, c)
			require.NoError(t, err)
			p := &decided.Plan
			if p.Verdict == plan.Dead || p.Members == 0 || done == 4 || done > 0 && p.Verdict != plan.Feed {
				continue
			}
			done++
			det, ok, err := w.Detail(t.Context(), y, c, p)
			require.NoError(t, err)
			require.True(t, ok)
			s := w.subject(y, c)
			n := min(mostDetailMembers, p.Members)
			s = s.learn(n)
			days := len(det.Dates)
			require.Equal(t, y.Outlook.Date(s.first), det.Dates[0], "from the day after the look")
			require.False(t, det.Dates[days-1].Before(y.Facts.Nectar.P90), "until nectar has come in nearly all springs")
			if wanted := y.Season.Settings.BeesWantedDate; !wanted.IsZero() {
				require.False(t, det.Dates[days-1].Before(wanted.AddDate(0, 0, 7)), "and a week past the day that bees are wanted on")
			}
			var a grown
			s.draw(&a, 0, n)
			bloom, nectar, dead, held := make([]float64, days), make([]float64, days), make([]float64, days), 0
			stores, bees := make([][]float64, days), make([][]float64, days)
			gain, extra, deadWith := make([][]float64, days), make([]float64, days), make([]float64, days)
			care := &colony.Treatment{Supplement: true, SupplementFrom: y.timing.day - s.first}
			var run colony.Runner
			for m := range n {
				cs := &a.cases[m]
				spring := cs.Spring()
				spring.Span.Days = min(days, len(cs.Forcing))
				var path colony.Path
				out := run.Run(spring, cs.Start, &colony.Treatment{}, s.reserveKg, &path)
				var with colony.Path
				outWith := run.Run(spring, cs.Start, care, s.reserveKg, &with)
				if out.ReserveDay < 0 {
					held++
				}
				for day := range days {
					if day >= cs.Span.BloomDay {
						bloom[day] += 1 / float64(n)
					}
					if day >= cs.Span.NectarDay {
						nectar[day] += 1 / float64(n)
					}
					gain[day] = append(gain[day], with.Bees[day]-path.Bees[day])
					extra[day] += (with.ForagerNum[day] - path.ForagerNum[day]) / float64(n)
					if outWith.StarveDay >= 0 && day >= outWith.StarveDay {
						deadWith[day] += 1 / float64(n)
					}
					kg := max(0, path.StoresKg[day])
					if out.StarveDay >= 0 && day >= out.StarveDay {
						dead[day] += 1 / float64(n)
						kg = 0
					}
					stores[day], bees[day] = append(stores[day], kg), append(bees[day], path.Bees[day])
				}
			}
			require.InDeltaSlice(t, bloom, det.BloomFrac, 1e-9)
			require.InDeltaSlice(t, nectar, det.NectarFrac, 1e-9)
			// Over the days as the members starve, in all as the plan says.
			for by, got := range map[*[]float64][]float64{&dead: det.RiskAlone, &deadWith: det.RiskSupplement} {
				whole, all := (*by)[days-1], got[days-1]
				require.Equal(t, whole > 0, all > 0)
				for day := range days {
					require.InDelta(t, (*by)[day]*all, got[day]*whole, 1e-9)
				}
			}
			require.InDelta(t, p.Risk.Frac, det.RiskAlone[days-1], 0.005)
			require.InDelta(t, p.Supplement.Risk.Frac, det.RiskSupplement[days-1], 0.005)
			require.InDeltaSlice(t, extra, det.ForagersExtra, 1e-6)
			require.Equal(t, len(p.Supplement.Feedings) > 0, len(det.RiskSupplementFed) > 0)
			require.InDelta(t, float64(held)/float64(n), det.Reserve.Alone, 1e-9)
			for day := range days {
				for p, got := range map[float64]float64{0.1: det.StoresAlone.P10[day], 0.25: det.StoresAlone.P25[day], 0.5: det.StoresAlone.P50[day], 0.75: det.StoresAlone.P75[day], 0.9: det.StoresAlone.P90[day]} {
					require.InDelta(t, schedule.Quantile(stores[day], p), got, 1e-9)
				}
				require.InDelta(t, schedule.Quantile(bees[day], 0.5), det.Bees.P50[day], 1e-9)
				require.InDelta(t, schedule.Quantile(gain[day], 0.9), det.BeesGain.P90[day], 1e-6)
			}
			if len(p.Feedings) > 0 {
				require.LessOrEqual(t, det.RiskFed[days-1], det.RiskAlone[days-1], "feeding saves some")
				require.GreaterOrEqual(t, det.StoresFed.P50[days/2], det.StoresAlone.P50[days/2])
			} else {
				require.Empty(t, det.RiskFed)
			}
		}
	}
	require.Equal(t, 4, done)
}

// TestLateRequired: of the risk that is left a fifth at least is kept for those still to be saved.
func TestLateRequired(t *testing.T) {
	w, s := seenOnce(t)
	set := &w.o.Season.Settings
	set.AcceptRiskFrac, set.ReserveKg = 0.5, 0
	s.y.Visits = s.y.Visits[:1]
	lost, short, least := make([]float64, 40), make([]float64, 40), make([]float64, 40)
	for m := range lost {
		lost[m], short[m], least[m] = -1, float64(m-19), 99
		if m < 20 {
			lost[m] = 1
		}
	}
	a := &grown{members: 40, shortByKg: [][]float64{lost, short}, leastByKg: [][]float64{least, least}}
	need, f := w.required(s, a)
	require.False(t, f.late)
	// A tenth of all is a fifth of the twenty left: four of them may be short of more than 16 kg.
	require.Equal(t, []float64{16}, need)
}

// TestHowFoodWillBeJudged: what a worker knows of the looks to come is that of the way it was
// judged in last.
func TestHowFoodWillBeJudged(t *testing.T) {
	_, s := seenOnce(t)
	obs := *s.obs
	s.obs = &obs
	for kind, like := range map[season.FoodKind]bool{season.FoodHeft: true, season.FoodFrames: false, season.FoodGross: true, season.FoodLiftBack: true} {
		obs.Food = season.Food{Kind: kind, Heft: season.HeftFair, FramesDeep: 3, GrossKg: 28, LiftBackKg: 13}
		l := s.laterLook()
		require.Equal(t, like, l.LikeLast, "%v", kind)
		kg, sd := s.lastKg()
		require.Positive(t, sd)
		require.Positive(t, kg)
		if kind == season.FoodGross {
			require.InDelta(t, sd, l.SDKg, 1e-9)
			require.Zero(t, l.SDPerKg)
		}
	}
	obs.Food = season.Food{}
	kg, sd := s.lastKg()
	require.Zero(t, kg+sd)
	require.False(t, s.heftLook().LikeLast)
	heft := s.heftLook()
	obs.Food = season.Food{Kind: season.FoodHeft, Heft: season.HeftLight}
	light := s.look(&obs)
	require.InDelta(t, light.StoresSDKg, heft.SDKg+heft.SDPerKg*light.StoresKg, 1e-9, "a line through the words")
	require.InDelta(t, square(light.CommonSDKg/light.StoresSDKg), heft.CommonFrac, 1e-9)

	// The hand of a member is what was read less what is there.
	s.draw(new(grown), 0, 1)
	var a grown
	s.draw(&a, 0, 5)
	a.demand = make([]colony.DailyDemand, 5)
	mean, dev := s.lastKg()
	for m, x := range s.membersFor(&a, 0, 5, nil) {
		require.InDelta(t, (mean-a.startKg[m])/dev, x.Hand, 1e-9)
		require.InDelta(t, a.startKg[m], x.StartKg, 1e-9)
	}
	obs.Food = season.Food{}
	require.Zero(t, s.membersFor(&a, 0, 5, nil)[3].Hand, "nothing was read")
	low, high := season.Food{Kind: season.FoodFrames, FramesDeep: 1}, season.Food{Kind: season.FoodFrames, FramesDeep: 4}
	l := s.between(low, high)
	for _, f := range []season.Food{low, high} {
		obs.Food = f
		x := s.look(&obs)
		require.InDelta(t, x.StoresSDKg, l.SDKg+l.SDPerKg*x.StoresKg, 1e-9, "a straight line through both")
	}

	// What bees and brood will weigh on a day: the mean of the first members that run so far.
	w := NewWorker(&Options{Season: s.y.Season, Base: colony.DefaultParams()})
	var grownUp grown
	s.draw(&grownUp, 0, 30)
	w.grow(&grownUp, &colony.Treatment{}, 0, 30)
	members := s.membersFor(&grownUp, 0, 30, nil)
	for _, day := range []int{s.first, s.first + 20} {
		bees, cells := 0.0, 0.0
		for m := range notFoodMembers {
			c := &grownUp.cases[m]
			n := grownUp.demand[m].Bees[day-s.first]
			bees += n / notFoodMembers
			cells += colony.ExpectedBrood(&c.Params, &c.Forcing[day-s.first], n) / notFoodMembers
		}
		kg, _ := s.hive.NotFoodKg(bees, cells/observe.BroodCells(1, s.hive.MainKind()))
		tareKg, _ := s.hive.TareKg()
		require.InDelta(t, kg-tareKg, s.notFoodKgOn(day, members), 1e-9, "day %d", day)
	}
	require.Zero(t, s.notFoodKgOn(s.first-1, members), "before it was seen")
	require.Zero(t, s.notFoodKgOn(s.first+5000, members))

	// A colony that nobody looked at is watched, a dead one is dead.
	d, err := w.Decide(t.Context(), s.y, &season.Colony{Name: "unseen", Alive: true})
	require.NoError(t, err)
	require.Equal(t, plan.Watch, d.Plan.Verdict)
	require.Equal(t, []plan.Note{plan.NotSeen{}}, d.Plan.Reason)
	d, err = w.Decide(t.Context(), s.y, &season.Colony{Name: "dead"})
	require.NoError(t, err)
	require.Equal(t, plan.Dead, d.Plan.Verdict)
}

// TestFedLineIsOfThoseJudged: the line of a colony fed as planned is that of the members that its
// risk was judged on, one by one, and ends with what the plan says. No line of a fed colony passes
// that of the same one not fed.
func TestFedLineIsOfThoseJudged(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"heft": "light", "seams": "5", "count_temp": ""}, map[string]string{"lat": "47.9", "lon": "-97", "climate": "auto"})
	d, y, made := besideSupplement(t, s, 600, 2400)
	w, p := NewWorker(&d.options), &made.Plan
	require.Equal(t, plan.Feed, p.Verdict)
	dead := func(from, to int, days int) []float64 { // fed by the plan's lines, each by itself
		sub, a := w.subject(y, y.Colonies[0]), &grown{}
		sub.draw(a, from, to)
		w.grow(a, &colony.Treatment{}, from, to)
		var on tried
		on.members = sub.membersFor(a, from, to, nil)
		w.engine.Prepare(&on.set, uint64(sub.key)^checkKey, on.members, w.termsOf(sub, p))
		w.engine.Judge(&on.set, made.policy, &on.on)
		out := make([]float64, days)
		for m := from; m < to; m++ {
			var path colony.Path
			care := &colony.Treatment{Feedings: given(&on, m-from, strengthOr(p), wayOf(p.Choice.Feeder).touching)}
			if day := new(colony.Runner).Run(a.cases[m].Spring(), a.cases[m].Start, care, sub.reserveKg, &path).StarveDay; day >= 0 {
				for k := day; k < days; k++ {
					out[k] += 1 / float64(to-from)
				}
			}
		}
		return out
	}
	det, ok, err := NewWorker(&d.options).Detail(t.Context(), y, y.Colonies[0], p)
	require.NoError(t, err)
	require.True(t, ok)
	last := len(det.Dates) - 1
	require.InDelta(t, p.RiskFed.Frac, det.RiskFed[last], 1e-9)
	judged := dead(p.Members, 2*p.Members, last+1)
	for day := range judged {
		require.InDelta(t, min(judged[day], det.RiskAlone[day]), det.RiskFed[day], 1e-9)
		require.LessOrEqual(t, det.RiskSupplementFed[day], det.RiskSupplement[day])
	}
	mine := dead(0, p.Members, last+1)
	require.NotEqual(t, p.RiskFed.Frac, mine[last], "others than those that the policy was found on")
	require.InDelta(t, p.Supplement.RiskFed.Frac, det.RiskSupplementFed[last], 1e-9)
}

// TestLineOfARiskThatNoMemberShows: where none of its own members starves a line is spread over the
// days as the next best tells, and ends with the risk all the same.
// TestLineOfARiskThatNoMemberShows: where none of its own members starves a line is spread over the
// days as the next best tells, and ends with the risk all the same.
func TestLineOfARiskThatNoMemberShows(t *testing.T) {
	none, some := &toll{dead: make([]float64, 4)}, &toll{dead: make([]float64, 4)}
	some.add(2)
	some.add(3)
	some.add(-1)
	some.add(4)
	require.Equal(t, []float64{0, 0, 1, 2}, some.dead)
	require.Equal(t, []float64{0, 0, 0.03, 0.06}, starvedBy(0.06, some))
	require.Equal(t, []float64{0, 0, 0.03, 0.06}, starvedBy(0.06, none, some, none))
	require.Equal(t, []float64{0, 0, 0, 0}, starvedBy(0.06, none, none))
	byWeek := weekly([]float64{0.1, 0.3}, []int{11, 14}, 10, 7)
	require.InDeltaSlice(t, []float64{0.05, 0.1, 0.1 + 0.2/3, 0.1 + 0.4/3, 0.3, 0.3, 0.3}, byWeek.dead, 1e-12)
	require.InDelta(t, 0.2, starvedBy(0.2, none, &byWeek)[6], 1e-12)
	require.Zero(t, weekly(nil, nil, 10, 3).died)
	require.Equal(t, []float64{1, 2, 4}, noMoreThan([]float64{1, 5, 6}, []float64{2, 2, 4}))
	require.Equal(t, []float64{2, 2, 4}, noMoreThan([]float64{1, 2, 3}, []float64{2, 2, 4}), "as the plan has it")
}
