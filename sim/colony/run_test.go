package colony

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/forage"
)

// anyParams draws every parameter from its whole range, not its prior.
func anyParams(t *rapid.T) Params {
	p := DefaultParams()
	for _, c := range Catalogue() {
		require.NoError(t, p.Set(c.Name, rapid.Float64Range(c.Low, c.High).Draw(t, c.Name)))
	}
	return p
}

// anySpring draws a warming spring with noise, between arctic and mild.
func anySpring(t *rapid.T, days int) []forage.Day {
	start := time.Date(2026, 10, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 220).Draw(t, "start"))
	first := rapid.Float64Range(-30, 15).Draw(t, "first mean")
	rise := rapid.Float64Range(-0.1, 0.25).Draw(t, "rise")
	swing := rapid.Float64Range(0, 10).Draw(t, "swing")
	rain := rapid.SampledFrom([]float64{0, 3, 20, math.NaN()}).Draw(t, "rain")
	out := make([]forage.Day, days)
	for i := range out {
		mean := first + rise*float64(i) + swing*math.Sin(float64(i)/3.1)
		out[i] = forage.NewDay(start.AddDate(0, 0, i), mean-5, mean+5, rain, 45, forage.Generated)
	}
	return out
}

func anyStart(t *rapid.T) InitialState {
	return InitialState{
		Bees:       rapid.Float64Range(0, 40000).Draw(t, "bees"),
		BroodCells: rapid.Float64Range(0, 20000).Draw(t, "brood"),
		StoresKg:   rapid.Float64Range(0, 40).Draw(t, "stores"),
		PollenG:    rapid.Float64Range(0, 3000).Draw(t, "pollen"),
		HeatShare:  rapid.Float64Range(0.5, 1).Draw(t, "wrap"),
	}
}

func anySpan(t *rapid.T, f []ForceDay, p *Params) Span {
	sp := Span{PollenDay: rapid.IntRange(-20, len(f)).Draw(t, "pollen day"), ReadDay: -1, Days: len(f)}
	sp.BloomDay = sp.PollenDay + rapid.IntRange(0, 60).Draw(t, "to bloom")
	sp.NectarDay = FlowDay(f, sp.BloomDay, p)
	return sp
}

func anyCare(t *rapid.T, days int) *Treatment {
	care := &Treatment{Supplement: rapid.Bool().Draw(t, "supplement"), SupplementFrom: rapid.IntRange(0, days).Draw(t, "from")}
	day := 0
	for range rapid.IntRange(0, 4).Draw(t, "fills") {
		day += rapid.IntRange(0, 20).Draw(t, "gap")
		fill := Feeding{Day: day, LPerKg: rapid.Float64Range(0.8, 2).Draw(t, "litres"), Touching: rapid.Bool().Draw(t, "touching")}
		sugar := rapid.Float64Range(0.1, 8).Draw(t, "sugar")
		fill.SugarKg = sugar
		if rapid.Bool().Draw(t, "solid") {
			fill.SolidKg = sugar
		} else {
			fill.SyrupKg = sugar * 1.1
		}
		care.Feedings = append(care.Feedings, fill)
	}
	return care
}

// TestBooksBalance: start + fed + nectar = eaten + lost + there, to 1e-9 of what
// moved, for any parameters in their ranges, any weather and any feeding, and
// with and without supplement; and nothing that is counted goes below zero.
func TestBooksBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyParams(t)
		f := Forcing(anySpring(t, 150), &p)
		start, sp, care := anyStart(t), anySpan(t, f, &p), anyCare(t, 150)
		var r Runner
		var path Path
		for _, supplement := range []bool{care.Supplement, !care.Supplement} {
			care.Supplement = supplement
			out := r.Run(Spring{&p, f, sp}, start, care, 5, &path)
			b := out.Balance
			require.LessOrEqual(t, math.Abs(b.GapKg()), 1e-9*(1+b.StartKg+b.FedKg+b.NectarKg+b.EatenKg), "%+v", b)
			sum := 0.0
			for i, used := range path.UsedKg {
				sum += used
				require.GreaterOrEqual(t, used, -1e-12, "day %d: less than rounding below nothing", i)
				for _, n := range []float64{path.WinterBees[i], path.HouseBees[i], path.ForagerNum[i], path.BroodCells[i], path.PollenG[i], path.FeederKg[i], path.SolidKg[i]} {
					require.GreaterOrEqual(t, n, -1e-6, "day %d", i)
				}
			}
			require.InDelta(t, b.EatenKg, sum, 1e-9*(1+sum))
		}
	})
}

// TestFillsOfOneDay: two fills on one day and what comes after all count.
func TestFillsOfOneDay(t *testing.T) {
	p := DefaultParams()
	f := Forcing(inventedSpring(60, 5), &p)
	fill := func(day int) Feeding { return Feeding{Day: day, SyrupKg: 1, SugarKg: 0.8, LPerKg: 1} }
	var r Runner
	out := r.Run(Spring{&p, f, Span{PollenDay: 60, BloomDay: 60, NectarDay: 60, ReadDay: -1, Days: 60}}, InitialState{Bees: 9000, StoresKg: 5, HeatShare: 1}, &Treatment{Feedings: []Feeding{fill(3), fill(3), fill(9)}}, 5, nil)
	require.Equal(t, 3, out.FeedingsUsed)
	require.InDelta(t, 3, out.Balance.FedKg, 1e-12)
}

// starveOr gives the day of starvation, or one past the run.
func starveOr(o Outcome, days int) int {
	if o.StarveDay < 0 {
		return days
	}
	return o.StarveDay
}

// TestMoreFoodNeverStarvesEarlier: in any single spring, more stores or a larger
// fill never bring the end nearer and never make more missing.
func TestMoreFoodNeverStarvesEarlier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyParams(t)
		f := Forcing(anySpring(t, 150), &p)
		start, sp, care := anyStart(t), anySpan(t, f, &p), anyCare(t, 150)
		var r Runner
		before := r.Run(Spring{&p, f, sp}, start, care, 5, nil)
		more := rapid.Float64Range(0, 10).Draw(t, "more")
		if n := len(care.Feedings); n > 0 && rapid.Bool().Draw(t, "feed") {
			fill := &care.Feedings[rapid.IntRange(0, n-1).Draw(t, "fill")]
			if fill.SyrupKg > 0 {
				fill.SyrupKg += more
			} else {
				fill.SolidKg += more
			}
			fill.SugarKg += more
		} else {
			start.StoresKg += more
		}
		after := r.Run(Spring{&p, f, sp}, start, care, 5, nil)
		require.GreaterOrEqual(t, starveOr(after, 150), starveOr(before, 150))
		require.LessOrEqual(t, after.LeastKg*-1, before.LeastKg*-1+1e-9)
		if before.ShortKg > math.Inf(-1) && after.ShortKg > math.Inf(-1) {
			require.LessOrEqual(t, after.ShortKg, before.ShortKg+1e-9)
		}
	})
}

// TestBeesDoNotDependOnStores is what the tests above stand on: until nectar the
// same bees and brood whatever there is to eat.
func TestBeesDoNotDependOnStores(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyParams(t)
		f := Forcing(anySpring(t, 120), &p)
		start, sp := anyStart(t), anySpan(t, f, &p)
		var r Runner
		var poor, rich Path
		start.StoresKg = 0
		r.Run(Spring{&p, f, sp}, start, &Treatment{}, 5, &poor)
		start.StoresKg = 50
		r.Run(Spring{&p, f, sp}, start, &Treatment{Feedings: []Feeding{{Day: 3, SolidKg: 4, SugarKg: 4}}}, 5, &rich)
		require.Equal(t, poor.Bees, rich.Bees)
		require.Equal(t, poor.BroodCells, rich.BroodCells)
		require.Equal(t, poor.UsedKg, rich.UsedKg)
	})
}

// TestInsulationNeverRaisesUse: day by day.
func TestInsulationNeverRaisesUse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyParams(t)
		f := Forcing(anySpring(t, 120), &p)
		start, sp := anyStart(t), anySpan(t, f, &p)
		var r Runner
		var bare, wrapped Path
		start.HeatShare = 1
		r.Run(Spring{&p, f, sp}, start, &Treatment{}, 5, &bare)
		start.HeatShare = rapid.Float64Range(0.1, 1).Draw(t, "share")
		r.Run(Spring{&p, f, sp}, start, &Treatment{}, 5, &wrapped)
		for i := range bare.UsedKg {
			require.LessOrEqual(t, wrapped.UsedKg[i], bare.UsedKg[i])
		}
	})
}

// TestContractionCannotWin: heat is (core - T) / (1 + k (from - T)) below from.
// It rises as T falls as long as k (core - from) < 1, and the ranges see to it.
func TestContractionCannotWin(t *testing.T) {
	var k, core, from float64
	for _, c := range Catalogue() {
		switch c.Name {
		case "contraction_per_k":
			k = c.High
		case "core_brood_c":
			core = c.High
		case "contract_from_c":
			from = c.Low
		}
	}
	require.Positive(t, k)
	require.Less(t, k*(core-from), 1.0)
}

// TestColderNeverLowersUse: for one and the same colony, on a day too cold to
// fly or walk about, a colder day never costs less. On warmer days it may: bees
// that sit still use less than bees on the wing.
func TestColderNeverLowersUse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyParams(t)
		start := anyStart(t)
		tmax := rapid.Float64Range(-40, p.ActiveFromC).Draw(t, "max")
		swing := rapid.Float64Range(0, 15).Draw(t, "swing")
		colder := rapid.Float64Range(0, 30).Draw(t, "colder")
		use := func(tmax float64) float64 {
			days := []forage.Day{forage.NewDay(time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), tmax-swing, tmax, 0, 45, forage.Past)}
			var r Runner
			var path Path
			r.Run(Spring{&p, Forcing(days, &p), Span{PollenDay: 1, BloomDay: 1, NectarDay: 1, ReadDay: -1, Days: 1}}, start, &Treatment{}, 5, &path)
			return path.UsedKg[0]
		}
		warm, cold := use(tmax), use(tmax-colder)
		require.GreaterOrEqual(t, cold, warm*(1-1e-12))
	})
}

// TestLaterBloomNeverLowersNeed: dependable nectar that comes later never makes
// less missing and never puts off starvation.
func TestLaterBloomNeverLowersNeed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyParams(t)
		f := Forcing(anySpring(t, 150), &p)
		start, sp := anyStart(t), anySpan(t, f, &p)
		var r Runner
		early := r.Run(Spring{&p, f, sp}, start, &Treatment{}, 5, nil)
		sp.BloomDay += rapid.IntRange(0, 40).Draw(t, "later")
		sp.NectarDay = FlowDay(f, sp.BloomDay, &p)
		late := r.Run(Spring{&p, f, sp}, start, &Treatment{}, 5, nil)
		require.GreaterOrEqual(t, late.ShortKg, early.ShortKg-1e-9)
		if early.StarveDay >= 0 {
			require.GreaterOrEqual(t, late.StarveDay, 0)
			require.LessOrEqual(t, late.StarveDay, early.StarveDay)
		}
	})
}

func TestLimits(t *testing.T) {
	p := DefaultParams()
	cold := make([]forage.Day, 90)
	for i := range cold {
		cold[i] = forage.NewDay(time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i), -45, -35, 0, 60, forage.Past)
	}
	tests := []struct {
		name  string
		days  []forage.Day
		start InitialState
		check func(t *testing.T, o Outcome)
	}{
		{"no bees eat nothing", inventedSpring(90, 0), InitialState{StoresKg: 3, HeatShare: 1}, func(t *testing.T, o Outcome) {
			require.Zero(t, o.Balance.EatenKg)
			require.Zero(t, o.EndBees)
			require.Equal(t, -1, o.StarveDay)
		}},
		{"no days change nothing", nil, InitialState{Bees: 9000, BroodCells: 900, StoresKg: 3, HeatShare: 1}, func(t *testing.T, o Outcome) {
			require.Zero(t, o.Balance.EatenKg)
			require.Equal(t, 9000.0, o.EndBees)
			require.Equal(t, 3.0, o.NectarKg)
		}},
		{"minus 40: no brood, no flight, finite", cold, InitialState{Bees: 12000, StoresKg: 30, HeatShare: 1}, func(t *testing.T, o Outcome) {
			require.Zero(t, o.PeakBrood)
			require.Less(t, o.EndBees, 12000.0)
			// W/K x root of 1.56 kg x the rise to the core x 86,400 s / 12.7 MJ/kg, contracted, on
			// the first day, and with the root of the bees after that.
			first := p.NeedShare * p.HeatLossW * math.Sqrt(1.56) * (40 + p.CoreBroodlessC) * 86400 / 12.7e6 / (1 + 44*p.ContractionPerK)
			kg := 0.0
			for day := range 90 {
				kg += first * math.Sqrt(math.Pow(1-p.WinterLossPerDay, float64(day)))
			}
			require.InDelta(t, kg, o.Balance.EatenKg, 1e-6)
		}},
		{"no stores starve on the first day", inventedSpring(90, 0), InitialState{Bees: 9000, HeatShare: 1}, func(t *testing.T, o Outcome) {
			require.Zero(t, o.StarveDay)
			require.Positive(t, o.Balance.OwedKg)
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			n := len(tt.days)
			var r Runner
			o := r.Run(Spring{&p, Forcing(tt.days, &p), Span{PollenDay: n, BloomDay: n, NectarDay: n, ReadDay: -1, Days: n}}, tt.start, &Treatment{}, 5, nil)
			for _, x := range []float64{o.EndBees, o.NectarKg, o.Balance.EatenKg, o.PeakBrood} {
				require.False(t, math.IsNaN(x) || math.IsInf(x, 0))
			}
			tt.check(t, o)
		})
	}
}

func TestRunAllocatesNothing(t *testing.T) {
	p := DefaultParams()
	f := Forcing(inventedSpring(120, 0), &p)
	start := InitialState{Bees: 9000, BroodCells: 1500, StoresKg: 6, PollenG: 400, HeatShare: 1}
	sp := Span{PollenDay: 20, BloomDay: 70, NectarDay: 119, ReadDay: -1, Days: 120}
	care := &Treatment{Supplement: true, Feedings: []Feeding{{Day: 4, SyrupKg: 2, SugarKg: 1.6, LPerKg: 1}}}
	var r Runner
	r.Run(Spring{&p, f, sp}, start, care, 5, nil)
	require.Zero(t, testing.AllocsPerRun(20, func() { r.Run(Spring{&p, f, sp}, start, care, 5, nil) }))
}

// TestAWrapChangesTheHeatAlone: what the same colony asks in another wrap is what a run
// of it in that wrap asks.
func TestAWrapChangesTheHeatAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyParams(t)
		days := anySpring(t, rapid.IntRange(1, 120).Draw(t, "days"))
		f := Forcing(days, &p)
		start, span := anyStart(t), anySpan(t, f, &p)
		other := start
		other.HeatShare = rapid.Float64Range(0.5, 1).Draw(t, "other wrap")
		var r Runner
		var one, two, asked DailyDemand
		in := Spring{Params: &p, Forcing: f, Span: span}
		r.SimulatePopulation(in, start, &Treatment{}, &one, nil)
		r.SimulatePopulation(in, other, &Treatment{}, &two, nil)
		asked.Rewrapped(&one, other.HeatShare/start.HeatShare)
		for i := range two.NeedKg {
			if math.Abs(asked.NeedKg[i]-two.NeedKg[i]) > 1e-12*(1+two.NeedKg[i]) || asked.IncomeKg[i] != two.IncomeKg[i] || asked.Bees[i] != two.Bees[i] {
				t.Fatalf("day %d: %g, not %g kg", i, asked.NeedKg[i], two.NeedKg[i])
			}
		}
	})
}
