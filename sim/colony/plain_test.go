package colony

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/forage"
)

// plainDay is what the plain reading of a day gives.
type plainDay struct {
	used, income, bees, winter, house, foragers, brood, laid, emerged, pollen float64
}

// plainPopulation is the colony of the package comment written down day by day, with whole
// histories and no term worked out before: slow, and without a short cut to go wrong.
func plainPopulation(p *Params, f []ForceDay, sp Span, s InitialState, care *Treatment) (days []plainDay, supplementG, peak float64) {
	const day = 1000 // of the history on which the run begins
	laid, joined := make([]float64, day+len(f)), make([]float64, day+len(f))
	perDay := s.BroodCells / (3 + 6*p.HatchShare + 12*p.HatchShare*p.SealShare)
	for age := range 21 {
		laid[day-1-age] = perDay
	}
	stage := func(now, from, to int) (sum float64) { // cells laid from to before to days ago
		for age := from; age < to; age++ {
			sum += laid[now-1-age]
		}
		return sum
	}
	winter, young, old, foragers, pollen := s.Bees, 0.0, 0.0, 0.0, s.PollenG
	for t := range f {
		d, now := &f[t], day+t
		eggs, larvae, sealed := stage(now, 0, 3), stage(now, 3, 9)*p.HatchShare, stage(now, 9, 21)*p.HatchShare*p.SealShare
		brood, bees := eggs+larvae+sealed, winter+young+old+foragers
		peak = math.Max(peak, brood)
		x := plainDay{bees: bees}

		fielders := foragers + p.WinterForagerShare*winter
		hunger, out := math.Max(0, 1-pollen/p.PollenFullG), p.IdleFlightShare
		brought := 0.0
		if t >= sp.PollenDay {
			out = 1
			in := float64(t - sp.PollenDay + 1)
			brought = fielders * d.PollenH * p.PollenMgPerH / 1000 * p.PollenBeeShare * hunger * math.Min(1, in/math.Max(1, p.PollenRampDays))
			offer := p.EarlyNectarShare
			if t >= sp.BloomDay {
				offer = math.Min(1, offer+(1-offer)*float64(t-sp.BloomDay+1)/math.Max(1, p.BloomRampDays))
			}
			x.income = fielders * d.NectarH * p.NectarMgPerH / 1e6 * offer
		}

		core := p.CoreBroodlessC + (p.CoreBroodC-p.CoreBroodlessC)*brood/(brood+p.BroodHalfWarm)
		clusterKg := bees * p.BeeMassG / 1000
		heat := p.HeatLossW * s.HeatShare * d.HeatKg * math.Sqrt(clusterKg) * (1 + p.BroodOpening*brood/(brood+bees+1)) * math.Max(0, core-d.MeanC)
		rearing := larvae * (p.LarvaHoneyMg + p.NursingHoneyMg) / 6 / 1e6
		awake := bees * p.ActivityMg / 1e6 * d.Awake
		flight := fielders * p.FlightMgPerH / 1e6 * d.FlightH * out
		x.used = p.NeedShare * (heat + rearing + awake + flight)

		to := sp.NectarDay
		if care.SupplementTo > 0 {
			to = care.SupplementTo
		}
		if care.Supplement && t >= care.SupplementFrom && t < to {
			eaten := math.Max(0, p.SupplementMgDay/1000*bees*hunger-brought)
			supplementG += eaten
			brought += eaten * p.SupplementPollen
		}
		pollen = math.Max(0, pollen+brought-larvae*p.PollenPerWorkerMg/1000/6)

		lay := p.LayMaxPerDay * bees / (p.NurseHalfBees + bees) * d.Season * math.Max(0, math.Min(1, (d.SmoothC-p.BroodColdC)/(p.BroodWarmC-p.BroodColdC)))
		lay = math.Min(lay, p.CoverCellsPerBee*d.Cover*bees/21)
		cellG := p.PollenPerWorkerMg / 1000
		lay = math.Min(lay, pollen/cellG/p.PollenBudgetDays+brought/cellG)
		laid[now] = lay
		emerged := laid[now-21] * p.HatchShare * p.SealShare * p.EmergeShare

		dying := math.Min(1, p.WinterLossPerDay+p.NursingLoss*larvae/(bees+leastBees)+p.WinterFlightLoss*d.Flight*out)
		joined[now] = emerged * (1 - d.Autumn)
		ripe := joined[now-int(p.HouseDays)] * math.Pow(1-p.HouseLossPerDay, math.Trunc(p.HouseDays))
		recruits := old * math.Max(0, p.RecruitPerDay-p.RecruitInhibition*foragers/(bees+leastBees))
		winter += emerged*d.Autumn - winter*dying
		young += joined[now] - ripe - young*p.HouseLossPerDay
		foragers += recruits - foragers*(p.ForagerFlightLoss*d.Flight*out+p.ForagerRestLoss)
		old += ripe - recruits - old*p.HouseLossPerDay

		x.bees = winter + young + old + foragers
		x.winter, x.house, x.foragers, x.laid, x.emerged, x.pollen = winter, young+old, foragers, lay, emerged, pollen
		x.brood = stage(now+1, 0, 3) + stage(now+1, 3, 9)*p.HatchShare + stage(now+1, 9, 21)*p.HatchShare*p.SealShare
		days = append(days, x)
	}
	return days, supplementG, peak
}

// TestPopulationIsThePlainOne: with any figures within their ranges, in any weather, the run
// that is made for speed is that of the plain equations, day by day.
func TestPopulationIsThePlainOne(t *testing.T) {
	rnd := rand.New(rand.NewPCG(20, 26))
	near := func(what string, seed, day int, want, got float64) {
		t.Helper()
		require.InDelta(t, want, got, 1e-8*(1+math.Abs(want)), "%s, run %d, day %d", what, seed, day)
	}
	var r Runner
	reached := map[string]bool{}
	for seed := range 40 {
		p := DefaultParams()
		for _, c := range Catalogue() {
			require.NoError(t, p.Set(c.Name, c.Low+rnd.Float64()*(c.High-c.Low)))
		}
		n := 60 + rnd.IntN(160)
		start := time.Date(2026, time.October, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rnd.IntN(200))
		mean, rise := -10+25*rnd.Float64(), 0.2*rnd.Float64()-0.05
		var days []forage.Day
		for i := range n {
			c := mean + rise*float64(i) + 6*rnd.NormFloat64()
			days = append(days, forage.NewDay(start.AddDate(0, 0, i), c-5, c+5, 3*rnd.Float64(), 46, forage.Generated))
		}
		f := Forcing(days, &p)
		sp := Span{PollenDay: rnd.IntN(n) - 20, ReadDay: rnd.IntN(n), Days: n}
		sp.BloomDay = sp.PollenDay + rnd.IntN(50)
		sp.NectarDay = FlowDay(f, sp.BloomDay, &p)
		s := InitialState{Bees: 30000 * rnd.Float64(), BroodCells: 12000 * rnd.Float64(), StoresKg: 20, PollenG: 1500 * rnd.Float64(), HeatShare: 0.6 + 0.4*rnd.Float64()}
		care := &Treatment{Supplement: seed%3 > 0, SupplementFrom: rnd.IntN(n)}
		if seed%3 == 2 {
			care.SupplementTo = care.SupplementFrom + 7
		}
		var l DailyDemand
		var path Path
		g := r.SimulatePopulation(Spring{Params: &p, Forcing: f, Span: sp}, s, care, &l, &path)
		want, supplementG, peak := plainPopulation(&p, f, sp, s, care)
		before := s.Bees
		for i, x := range want {
			near("used", seed, i, x.used, path.UsedKg[i])
			near("need", seed, i, x.used, l.NeedKg[i])
			near("income", seed, i, x.income, l.IncomeKg[i])
			near("bees that are fed", seed, i, before, l.Bees[i])
			near("bees", seed, i, x.bees, path.Bees[i])
			near("winter bees", seed, i, x.winter, path.WinterBees[i])
			near("house bees", seed, i, x.house, path.HouseBees[i])
			near("foragers", seed, i, x.foragers, path.ForagerNum[i])
			near("brood", seed, i, x.brood, path.BroodCells[i])
			near("laid", seed, i, x.laid, path.Laid[i])
			near("emerged", seed, i, x.emerged, path.Emerged[i])
			near("pollen", seed, i, x.pollen, path.PollenG[i])
			if i == sp.BloomDay {
				near("bees at bloom", seed, i, before, g.BloomBees)
				reached["bloom"] = true
			}
			if i == sp.ReadDay {
				near("bees on the day asked", seed, i, before, g.ReadBees)
			}
			reached["income"] = reached["income"] || x.income > 0
			reached["foragers"] = reached["foragers"] || x.foragers > 1000
			before = x.bees
		}
		near("bees at the end", seed, n, before, g.EndBees)
		near("supplement", seed, n, supplementG, g.SupplementG)
		near("most brood", seed, n, peak, g.PeakBrood)
		reached["supplement"] = reached["supplement"] || supplementG > 0
	}
	for _, what := range []string{"bloom", "income", "foragers", "supplement"} {
		require.True(t, reached[what], "%s was tried", what)
	}
}

// TestLimitsOfADay: a colony that dies all at once, and one with far too many foragers, stay
// within what can be.
func TestLimitsOfADay(t *testing.T) {
	p := DefaultParams()
	p.WinterLossPerDay, p.RecruitInhibition, p.RecruitPerDay = 0.9, 50, 0.2
	p.NursingLoss, p.WinterFlightLoss = 5, 0
	f := make([]ForceDay, 60)
	for i := range f {
		f[i] = ForceDay{MeanC: 15, SmoothC: 15, Season: 1, Cover: 1, Awake: 1}
	}
	var r Runner
	var l DailyDemand
	var path Path
	r.SimulatePopulation(Spring{Params: &p, Forcing: f, Span: Span{PollenDay: 0, BloomDay: 99, NectarDay: 99, ReadDay: -1, Days: 60}},
		InitialState{Bees: 10000, BroodCells: 9000, PollenG: 5000, HeatShare: 1}, &Treatment{}, &l, &path)
	require.Zero(t, path.WinterBees[0], "more than all of them die on the first day")
	for i := range f {
		require.GreaterOrEqual(t, path.WinterBees[i], 0.0)
		require.GreaterOrEqual(t, path.ForagerNum[i], 0.0, "day %d", i)
		require.GreaterOrEqual(t, path.HouseBees[i], -1e-9)
	}
}

// TestForcingByHand: what a day of weather does to a colony, worked out by hand.
func TestForcingByHand(t *testing.T) {
	p := DefaultParams()
	day := func(i int, low, high float64) forage.Day {
		d := forage.NewDay(time.Date(2027, time.March, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i), low, high, 0, 45, forage.Generated)
		return d
	}
	days := []forage.Day{day(0, 0, 8), day(1, 2, 14), day(2, -20, -6), day(3, -20, -6), day(4, 10, 30)}
	f := Forcing(days, &p)
	mean := (4.0 + 8 - 13 - 13 + 20) / 5
	smooth := mean
	for i, c := range []float64{4, 8, -13, -13, 20} {
		smooth += (c - smooth) / 10
		require.InDelta(t, c, f[i].MeanC, 1e-12)
		require.InDelta(t, smooth, f[i].SmoothC, 1e-12)
		require.InDelta(t, 86400/(p.EnergyMJPerKg*1e6)/(1+p.ContractionPerK*math.Max(0, p.ContractFromC-c)), f[i].HeatKg, 1e-15)
		require.InDelta(t, (p.CoreBroodC-p.ContractFromC)/math.Max(14, p.CoreBroodC-c), f[i].Cover, 1e-12)
		light := math.Min(1, (days[i].DayLengthH-8)/5)
		require.InDelta(t, p.ShortDayShare+(1-p.ShortDayShare)*light*light*light, f[i].Season, 1e-12, "the bees of spring")
		require.Zero(t, f[i].Autumn)
	}
	for i, want := range []float64{4.0 / 6, 1, 0, 0, 1} {
		require.InDelta(t, want, f[i].Chill, 1e-12, "from 4 to 10 C")
	}
	require.InDelta(t, 0.8, f[1].Mild, 1e-12, "from 10 to 15 C")
	require.Zero(t, f[0].Mild)
	require.Equal(t, 1.0, f[4].Mild)
	require.Less(t, -6.0, p.UnreachableBelowC)
	require.InDelta(t, 0.1, f[2].Cold, 1e-12)
	require.InDelta(t, 0.2, f[3].Cold, 1e-12)
	require.Zero(t, f[4].Cold, "one warm day ends the spell")
	require.Equal(t, f[4].FlightH, f[4].GainH)
	for high, share := range map[float64]float64{p.NectarFromC - 0.1: 0, p.NectarFromC: 0, (p.NectarFromC + p.NectarFullC) / 2: 0.5, p.NectarFullC: 1, p.NectarFullC + 5: 1} {
		x := Forcing([]forage.Day{day(40, high-10, high)}, &p)[0]
		require.Positive(t, x.FlightH)
		require.InDelta(t, share*x.FlightH, x.NectarH, 1e-9, "%g C: bloom gives more the warmer it is", high)
		require.Equal(t, high >= p.NectarFromC, x.GainH > 0)
		require.InDelta(t, math.Min(1, x.FlightH/p.FullFlightH), x.Flight, 1e-9)
	}
	require.Greater(t, f[4].FlightH, 0.0)
	require.GreaterOrEqual(t, f[4].PollenH, f[4].FlightH)
	autumn := Forcing([]forage.Day{forage.NewDay(time.Date(2026, time.September, 1, 0, 0, 0, 0, time.UTC), 10, 20, 0, 45, forage.Generated)}, &p)[0]
	a := (244.0 - 213) / (274 - 213)
	require.InDelta(t, a, autumn.Autumn, 1e-12)
	light := math.Min(1, (forage.NewDay(time.Date(2026, time.September, 1, 0, 0, 0, 0, time.UTC), 10, 20, 0, 45, forage.Generated).DayLengthH-8)/5)
	require.InDelta(t, (p.ShortDayShare+(1-p.ShortDayShare)*light*light*light)*(1-a*(1-p.AutumnShare)), autumn.Season, 1e-12)
	for doy, want := range map[int]float64{1: 0, 213: 0, 274: 1, 300: 1, 355: 1, 356: 0} {
		require.InDelta(t, want, autumnShare(time.Date(2027, time.January, doy, 0, 0, 0, 0, time.UTC)), 1e-12, "day %d", doy)
	}
}

// TestNectarDays: nectar has come on the second day of gain from bloom on, and the flow begins
// some days after the first flower.
func TestNectarDays(t *testing.T) {
	p := DefaultParams()
	p.NectarDayFlightH, p.BloomToFlowDays = 3, 2.4
	f := make([]ForceDay, 12)
	for _, d := range []int{1, 4, 6, 9} {
		f[d].GainH = 3
	}
	f[5].GainH = 2.9
	for bloom, want := range map[int]int{-3: 4, 0: 4, 1: 4, 2: 6, 5: 9, 7: 12, 9: 12, 99: 12} {
		require.Equal(t, want, NectarDay(f, bloom, &p), "bloom on day %d", bloom)
	}
	require.Equal(t, NectarDay(f, 2, &p), FlowDay(f, 0, &p))
	require.Equal(t, NectarDay(f, 5, &p), FlowDay(f, 3, &p))
}

// TestStartByHand: the pollen and the brood that a colony is taken to begin with.
func TestStartByHand(t *testing.T) {
	p := DefaultParams()
	d := &ForceDay{Season: 0.5, SmoothC: (p.BroodColdC + p.BroodWarmC) / 2, Cover: 1}
	require.InDelta(t, p.StartPollenG*0.7*(1-0.4*0.5), StartPollenG(&p, d, 7000), 1e-9)
	d.Autumn = 0.1
	require.InDelta(t, p.StartPollenG*0.7, StartPollenG(&p, d, 7000), 1e-9, "none is used up before winter")
	lay := p.LayMaxPerDay * 7000 / (p.NurseHalfBees + 7000) * 0.5 * 0.5
	d.Cover = 1000
	require.InDelta(t, 0.45*21*lay, ExpectedBrood(&p, d, 7000), 1e-6)
	d.Cover = 0.01
	require.InDelta(t, 0.45*p.CoverCellsPerBee*0.01*7000, ExpectedBrood(&p, d, 7000), 1e-6, "what the bees can cover")
	d.SmoothC = p.BroodColdC - 1
	require.Zero(t, ExpectedBrood(&p, d, 7000))
}

// TestStoresByHand: five days of stores with a reserve, a feed and nectar, added up by hand.
func TestStoresByHand(t *testing.T) {
	p := DefaultParams()
	p.UnreachableKg, p.SyrupYield, p.SolidKgPerKgSugar = 1, 0.9, 1.2
	f := make([]ForceDay, 6)
	f[2].Cold = 0.5
	l := &DailyDemand{}
	l.Resize(6)
	for i := range f {
		l.NeedKg[i], l.IncomeKg[i], l.Bees[i] = 0.5, 0, 10000
	}
	l.IncomeKg[1], l.NeedKg[3] = 0.2, 0
	in := Spring{Params: &p, Forcing: f, Span: Span{NectarDay: 4, Days: 6, ReadDay: -1}}
	var r Runner
	out := r.SimulateStores(in, 2, nil, 1.5, l, nil)
	// Evenings: 1.5, 1.2, 0.7, 0.7, 0.2, -0.3.
	require.Equal(t, 1, out.ReserveDay, "1.5 kg hold the reserve")
	require.Equal(t, -1, out.StarveDay, "half a kilogram out of reach leaves 0.2")
	require.InDelta(t, -0.2, out.ShortKg, 1e-12)
	require.InDelta(t, 0.7, out.LeastKg, 1e-12, "before nectar")
	require.InDelta(t, 0.2, out.NectarKg, 1e-12, "on the evening of it")
	require.InDelta(t, 1.5/4, out.NeedKgPerDay, 1e-12, "four days to nectar")
	require.True(t, math.IsInf(out.LeastFedKg, 1), "nothing was fed")
	require.InDelta(t, 0.3, out.Balance.OwedKg, 1e-12)
	require.Zero(t, out.Balance.ThereKg)
	require.InDelta(t, 2.5, out.Balance.EatenKg, 1e-12)
	require.InDelta(t, 0.2, out.Balance.NectarKg, 1e-12)

	f[2].Cold = 1
	out = r.SimulateStores(in, 2, nil, 0, l, nil)
	require.Equal(t, 2, out.StarveDay)
	require.InDelta(t, 0.3, out.ShortKg, 1e-12)

	in.Span.NectarDay = 99
	out = r.SimulateStores(in, 2, nil, 0, l, nil)
	require.InDelta(t, -0.3, out.NectarKg, 1e-12, "nectar does not come: what is there at the end")
	require.InDelta(t, 2.5/6, out.NeedKgPerDay, 1e-12)
	in.Span.NectarDay = 0
	require.Zero(t, r.SimulateStores(in, 2, nil, 0, l, nil).NeedKgPerDay)

	// Solid feed is eaten first, and counts as there; the day of feeding is not looked at.
	in.Span.NectarDay = 6
	f[2].Cold = 0
	path := &Path{}
	out = r.SimulateStores(in, 2, []Feeding{{Day: 0, SugarKg: 0.5, SolidKg: 0.5}, {Day: 9, SolidKg: 5}}, 1.5, l, path)
	require.Equal(t, 1, out.FeedingsUsed, "what comes after the end is not given")
	for i, want := range []float64{2.1, 1.8, 1.3, 1.3, 0.8, 0.3} {
		require.InDelta(t, want, path.StoresKg[i], 1e-9, "day %d", i)
	}
	for i, want := range []float64{0.6, 0.1, 0, 0, 0, 0} {
		require.InDelta(t, want, path.SolidKg[i], 1e-9, "day %d", i)
	}
	require.Equal(t, 2, out.ReserveDay)
	require.InDelta(t, 0.5/0.8, out.Balance.FedKg, 1e-12)
	require.InDelta(t, 0.5/0.8-0.6, out.Balance.LostKg, 1e-12)

	// Syrup is taken up by as much as bees carry on a mild day.
	for i := range f {
		f[i].Mild, f[i].Chill = 1, 1
	}
	p.TakeUpMlPerBee = 0.02 // 0.2 L a day for 10,000 bees
	feed := Feeding{Day: 0, SyrupKg: 0.5, SugarKg: 0.4, LPerKg: 1}
	path = &Path{}
	out = r.SimulateStores(in, 2, []Feeding{feed}, 0, l, path)
	for i, want := range []float64{0.45, 0.25, 0.05, 0, 0, 0} {
		require.InDelta(t, want, path.FeederKg[i], 1e-9, "day %d", i)
	}
	require.InDelta(t, 2-2.5+0.2+0.45, path.StoresKg[5], 1e-9)
	require.Zero(t, out.FeederKg)
	// Fed on the day of nectar or later, nothing is given.
	in.Span.NectarDay = 2
	feed.Day = 2
	require.Zero(t, r.SimulateStores(in, 2, []Feeding{feed}, 0, l, nil).FeedingsUsed)
	feed.Day = 1
	require.Equal(t, 1, r.SimulateStores(in, 2, []Feeding{feed}, 0, l, nil).FeedingsUsed)
	// What counts as held begins a fortnight after the feed, or on the day named.
	long := make([]ForceDay, 40)
	l.Resize(40)
	for i := range long {
		l.NeedKg[i], l.IncomeKg[i], l.Bees[i] = 0.1, 0, 10000
	}
	l.IncomeKg[13] = 2
	in = Spring{Params: &p, Forcing: long, Span: Span{NectarDay: 30, Days: 40, ReadDay: -1}}
	out = r.SimulateStores(in, 5, []Feeding{{Day: 0, CombKg: 1, SugarKg: 0}}, 0, l, nil)
	require.InDelta(t, 5+1+2-3.0, out.LeastFedKg, 1e-9, "evening of day 29")
	require.InDelta(t, 5+1-1.3, out.LeastKg, 1e-9, "evening of day 12")
	var run StoresRun
	run.Begin(in, 5, 0, l, nil)
	run.HoldFrom(3)
	run.Until(12)
	require.InDelta(t, 3.7, run.LeastFed, 1e-9)
	require.False(t, run.Nectar())
	run.Until(30)
	require.True(t, run.Nectar())
	run.MoveTo(20, 9)
	require.Equal(t, 31, run.Day(), "it does not go back")
	run.MoveTo(99, 4)
	require.Equal(t, 40, run.Day())
}
