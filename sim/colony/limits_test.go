package colony

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/forage/flight"
)

// TestHungerByHand: on the first day a hungry queen lays all from hungry_from_kg on, nothing at
// hungry_stop_kg, and evenly less between; what was given the evening before counts, wherever it lies.
func TestHungerByHand(t *testing.T) {
	p := DefaultParams()
	f := Forcing(inventedSpring(60, 6), &p)
	in := Spring{Params: &p, Forcing: f, Span: Span{PollenDay: 0, BloomDay: 50, NectarDay: 55, ReadDay: -1, Days: 60}}
	stop, from := p.HungryStopKg, p.HungryFromKg
	require.Greater(t, from, stop)
	first := func(kg float64, fills ...Feeding) float64 {
		var r Runner
		var hungry, grown Path
		s := InitialState{Bees: 9000, BroodCells: 1500, StoresKg: kg, PollenG: 900, HeatShare: 1}
		r.SimulateHungry(in, s, &Treatment{Feedings: fills}, 2, &hungry)
		r.Run(in, s, &Treatment{Feedings: fills}, 2, &grown)
		require.Positive(t, grown.Laid[0])
		return hungry.Laid[0] / grown.Laid[0]
	}
	for kg, want := range map[float64]float64{0: 0, stop: 0, stop + 0.25*(from-stop): 0.25, (stop + from) / 2: 0.5, from: 1, from + 3: 1} {
		require.InDelta(t, want, first(kg), 1e-9, "%g kg", kg)
	}
	half := (from - stop) / 2
	require.InDelta(t, 0.5, first(stop, Feeding{Day: -1, CombKg: half}), 1e-9)
	require.InDelta(t, 0.5, first(stop, Feeding{Day: -1, SolidKg: half / p.SolidKgPerKgSugar, SugarKg: half}), 1e-9, "over the cluster")
	require.InDelta(t, 0.5, first(stop, Feeding{Day: -1, SyrupKg: half / p.SyrupYield, SugarKg: half, LPerKg: 1.1}), 1e-9, "in the feeder")
	require.Zero(t, first(stop, Feeding{Day: 0, CombKg: half}), "what comes on the evening of the day is for the next")
}

// TestHungerAndWhatWasGiven: with food enough both readings are one, also with what was given before the
// question and with what nobody wrote down.
func TestHungerAndWhatWasGiven(t *testing.T) {
	p := DefaultParams()
	f := Forcing(inventedSpring(80, 3), &p)
	s := InitialState{Bees: 9000, BroodCells: 1500, StoresKg: 40, PollenG: 900, HeatShare: 1}
	in := Spring{Params: &p, Forcing: f, Span: Span{PollenDay: 20, BloomDay: 60, NectarDay: 70, ReadDay: -1, Days: 80,
		Fed:   []Feeding{{Day: -1, SyrupKg: 2, SugarKg: 2, LPerKg: 1.1, Touching: true}, {Day: 12, SolidKg: 1, SugarKg: 1}, {Day: 30, CombKg: 2}},
		Gifts: []Gift{{Day: 5, Kg: 1.5}}}}
	care := &Treatment{Feedings: []Feeding{{Day: 3, SyrupKg: 1, SugarKg: 1, LPerKg: 1.1}, {Day: 79, CombKg: 1}}}
	var r Runner
	var grown, hungry Path
	careful := r.Run(in, s, care, 2, &grown)
	require.Equal(t, careful, r.SimulateHungry(in, s, care, 2, &hungry))
	require.Equal(t, grown, hungry)
	bare := in
	bare.Span.Fed, bare.Span.Gifts = nil, nil
	require.NotEqual(t, careful, r.Run(bare, s, care, 2, nil), "it shows")
}

// TestFedUpToTheLastDay: a run's last evening is still one to feed on, the next is not.
func TestFedUpToTheLastDay(t *testing.T) {
	p := DefaultParams()
	f := make([]ForceDay, 6)
	l := &DailyDemand{}
	l.Resize(6)
	in := Spring{Params: &p, Forcing: f, Span: Span{NectarDay: 90, Days: 6, ReadDay: -1}}
	var r Runner
	for day, used := range map[int]int{-1: 1, 0: 1, 4: 1, 5: 1, 6: 0, 7: 0, 8: 0} {
		out := r.SimulateStores(in, 2, []Feeding{{Day: day, CombKg: 1}}, 0, l, nil)
		require.Equal(t, used, out.FeedingsUsed, "day %d", day)
		require.InDelta(t, 2+float64(used), out.NectarKg, 1e-12)
	}
	in.Span.Days = 4 // the table is longer than the run
	require.Zero(t, r.SimulateStores(in, 2, []Feeding{{Day: 4, CombKg: 1}}, 0, l, nil).FeedingsUsed)
	in.Span.Days = 99
	require.Equal(t, 1, r.SimulateStores(in, 2, []Feeding{{Day: 5, CombKg: 1}, {Day: 6, CombKg: 1}}, 0, l, nil).FeedingsUsed)
}

// TestNamesThatAreNear: for a slip the two names that share most letters of its words are suggested,
// the nearer first.
func TestNamesThatAreNear(t *testing.T) {
	shared := func(name, with string) (n int) {
		for _, word := range strings.Split(with, "_") {
			if word != "" && strings.Contains(name, word) {
				n += len(word)
			}
		}
		return n
	}
	for _, slip := range []string{"heat_los", "nectar_day", "wrap", "brood__cold", "honey_mg", "winter_loss", "zzz", ""} {
		near := nearNames(slip)
		require.Len(t, near, 2)
		require.NotEqual(t, near[0], near[1], "%q", slip)
		first, second := 0, 0
		for _, c := range Catalogue() {
			switch n := shared(c.Name, slip); {
			case n > first:
				first, second = n, first
			case n > second:
				second = n
			}
		}
		require.Equal(t, []int{first, second}, []int{shared(near[0], slip), shared(near[1], slip)}, "%q: %v", slip, near)
	}
	p := DefaultParams()
	require.ErrorContains(t, p.Set("bee_mas_g", 0.1), "bee_mass_g")
}

// TestCoolHoursGatherHalf: pollen is gathered in all hours of foraging and in half of those in which
// bees fly but do not forage.
func TestCoolHoursGatherHalf(t *testing.T) {
	p := DefaultParams()
	days := inventedSpring(90, 2)
	cool := 0
	for i, f := range Forcing(days, &p) {
		d := &days[i]
		flying := d.CleansingH * flight.SunShare(d.TminC, d.TmaxC)
		require.InDelta(t, f.FlightH+0.5*math.Max(0, flying-f.FlightH), f.PollenH, 1e-9, "day %d", i)
		if flying > f.FlightH+0.1 {
			cool++
		}
	}
	require.Greater(t, cool, 10)
}

// TestAReserveIsPassedOnce: on the first evening that holds less than it, be it the very first.
func TestAReserveIsPassedOnce(t *testing.T) {
	p := DefaultParams()
	l := &DailyDemand{}
	l.Resize(5)
	for i := range 5 {
		l.NeedKg[i] = 1
	}
	in := Spring{Params: &p, Forcing: make([]ForceDay, 5), Span: Span{NectarDay: 9, Days: 5, ReadDay: -1}}
	var r Runner
	for reserve, day := range map[float64]int{9: 0, 4.5: 0, 4: 1, 3.5: 1, 2.5: 2, 0.5: 4, 0: -1} {
		require.Equal(t, day, r.SimulateStores(in, 5, nil, reserve, l, nil).ReserveDay, "%g kg; evenings hold 4, 3, 2, 1 and 0", reserve)
	}
}

// TestStoresAreThePlainOnes follows the stores day by day in plain steps, whatever is eaten, brought in and
// given, with feed that is gone before nectar and feed that is not.
func TestStoresAreThePlainOnes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const days = 40
		p := DefaultParams()
		rnd := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 3))
		f, l := make([]ForceDay, days), &DailyDemand{}
		l.Resize(days)
		most := rapid.Float64Range(0, 0.4).Draw(t, "need")
		for i := range f {
			f[i] = ForceDay{Cold: float64(rnd.IntN(3)) / 2, Chill: float64(rnd.IntN(3)) / 2, Mild: float64(rnd.IntN(3)) / 2}
			l.NeedKg[i], l.IncomeKg[i], l.Bees[i] = most*float64(rnd.IntN(4))/3, 0.3*float64(rnd.IntN(3)/2), 4000+1000*float64(rnd.IntN(9))
		}
		in := Spring{Params: &p, Forcing: f, Span: Span{NectarDay: rapid.IntRange(0, 45).Draw(t, "nectar"), Days: days, ReadDay: -1}}
		startKg, reserveKg := rapid.Float64Range(0, 6).Draw(t, "start"), rapid.SampledFrom([]float64{0, 2, 4}).Draw(t, "reserve")
		var fills []Feeding
		for range rapid.IntRange(0, 4).Draw(t, "feedings") {
			fills = append(fills, Feeding{Day: rnd.IntN(days), SyrupKg: 3 * float64(rnd.IntN(2)), SolidKg: 2 * float64(rnd.IntN(2)), CombKg: float64(rnd.IntN(2)), SugarKg: 2, LPerKg: 1.1, Touching: rnd.IntN(2) == 0})
		}
		slices.SortStableFunc(fills, func(a, b Feeding) int { return a.Day - b.Day })

		want := Outcome{StarveDay: -1, ReserveDay: -1, ShortKg: math.Inf(-1), LeastKg: math.Inf(1), LeastFedKg: math.Inf(1)}
		stores, feeder, solid, takeUp, needed, hold := startKg, 0.0, 0.0, 0.0, 0.0, math.MaxInt
		touching := false
		var path Path
		for d := range days {
			stores += l.IncomeKg[d]
			want.Balance.NectarKg += l.IncomeKg[d]
			taken := math.Min(feeder, takeUp*l.Bees[d]*f[d].takeUpShare(&p, touching))
			feeder, stores = feeder-taken, stores+taken
			fromSolid := math.Min(solid, l.NeedKg[d])
			rest := l.NeedKg[d] - fromSolid
			solid, stores = solid-fromSolid, stores-rest
			want.Balance.EatenKg += l.NeedKg[d]
			there := stores + solid
			if d < in.Span.NectarDay {
				if short := p.UnreachableKg*f[d].Cold - stores; rest > 0 {
					want.ShortKg = math.Max(want.ShortKg, short)
					if short > 0 && want.StarveDay < 0 {
						want.StarveDay = d
					}
				}
				want.LeastKg = math.Min(want.LeastKg, there)
				if d >= hold {
					want.LeastFedKg = math.Min(want.LeastFedKg, there)
				}
				if there < reserveKg && want.ReserveDay < 0 {
					want.ReserveDay = d
				}
				needed += l.NeedKg[d]
			}
			if d == in.Span.NectarDay {
				want.NectarKg = there
			}
			for _, g := range fills {
				if g.Day != d || d >= in.Span.NectarDay {
					continue
				}
				want.FeedingsUsed++
				feeder, solid, stores = feeder+g.SyrupKg*p.SyrupYield, solid+g.SolidKg*p.SolidKgPerKgSugar, stores+g.CombKg
				want.Balance.FedKg += g.SugarKg/0.8 + g.CombKg
				want.Balance.LostKg += g.SugarKg/0.8 - g.SyrupKg*p.SyrupYield - g.SolidKg*p.SolidKgPerKgSugar
				if g.SyrupKg > 0 {
					touching, takeUp = g.Touching, p.TakeUpMlPerBee/1000/g.LPerKg
				}
				hold = min(hold, d+14)
			}
			path.StoresKg, path.FeederKg, path.SolidKg = append(path.StoresKg, stores+solid), append(path.FeederKg, feeder), append(path.SolidKg, solid)
		}
		if in.Span.NectarDay >= days {
			want.NectarKg = stores + solid
		}
		want.FeederKg, want.NeedKgPerDay = feeder, needed/math.Max(1, math.Min(days, float64(in.Span.NectarDay)))
		want.Balance.StartKg, want.Balance.OwedKg, want.Balance.ThereKg = startKg, math.Max(0, -stores), math.Max(0, stores)+solid+feeder

		var r Runner
		var got Path
		for _, of := range []*Path{nil, &got} {
			out := r.SimulateStores(in, startKg, fills, reserveKg, l, of)
			require.Equal(t, []int{want.StarveDay, want.ReserveDay, want.FeedingsUsed}, []int{out.StarveDay, out.ReserveDay, out.FeedingsUsed})
			for name, pair := range map[string][2]float64{"short": {want.ShortKg, out.ShortKg}, "least": {want.LeastKg, out.LeastKg}, "least fed": {want.LeastFedKg, out.LeastFedKg}} {
				require.True(t, pair[0] == pair[1] || math.Abs(pair[0]-pair[1]) < 1e-9, "%s: %v", name, pair)
			}
			a, b := want.Balance, out.Balance
			require.InDeltaSlice(t, []float64{want.NectarKg, want.FeederKg, want.NeedKgPerDay, a.StartKg, a.FedKg, a.NectarKg, a.EatenKg, a.OwedKg, a.LostKg, a.ThereKg},
				[]float64{out.NectarKg, out.FeederKg, out.NeedKgPerDay, b.StartKg, b.FedKg, b.NectarKg, b.EatenKg, b.OwedKg, b.LostKg, b.ThereKg}, 1e-9)
		}
		require.InDeltaSlice(t, path.StoresKg, got.StoresKg, 1e-9)
		require.InDeltaSlice(t, path.FeederKg, got.FeederKg, 1e-9)
		require.InDeltaSlice(t, path.SolidKg, got.SolidKg, 1e-9)
	})
}

// TestWhatAHiveWeighs: stores, feed, bee bread, brood and bees, each once.
func TestWhatAHiveWeighs(t *testing.T) {
	p := DefaultParams()
	path := Path{StoresKg: []float64{0, 9}, FeederKg: []float64{0, 2}, PollenG: []float64{0, 500}, BroodCells: []float64{0, 3000}, Bees: []float64{0, 8000}}
	require.InDelta(t, 9+2+0.5+3*p.BroodCellMassG+8*p.BeeMassG, path.WeightKg(1, &p), 1e-9)
	require.Zero(t, path.WeightKg(0, &p))
	l := &DailyDemand{}
	for _, days := range []int{9, 4, 6, 12, 0} {
		l.Resize(days)
		require.Equal(t, []int{days, days, days, days}, []int{len(l.NeedKg), len(l.HeatKg), len(l.IncomeKg), len(l.Bees)})
	}
}

// TestARowWithoutAName: is told of once, and changes nothing.
func TestARowWithoutAName(t *testing.T) {
	for _, text := range []string{"name,value\n,0.3\n", "name,value\nheat_loss_w,\n"} {
		p, ps := ReadOverrides("set.csv", strings.NewReader(text), DefaultParams())
		require.Len(t, ps, 1, "%q: %v", text, ps)
		require.Equal(t, DefaultParams(), p)
	}
}
