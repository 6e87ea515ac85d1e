package ensemble

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"bloomgap/forage"
	"bloomgap/sim/colony"
)

// TestLearnByHand: a draw of what a yard's colonies have in common becomes the mean
// and the triangle times the two normals that were there.
func TestLearnByHand(t *testing.T) {
	pl := &SpringEnsemble{Members: []Member{{EarlyZ: 1, SiteZ: 2}, {EarlyZ: -3, SiteZ: 0.5}}}
	pl.Learn(YardPart{Mean: [2]float64{10, 20}, Lower: [2][2]float64{{2, 99}, {3, 4}}})
	require.Equal(t, []Member{{EarlyZ: 12, SiteZ: 31}, {EarlyZ: 4, SiteZ: 13}}, pl.Members, "10+2, 20+3+8; 10-6, 20-9+2")
}

// TestCoverByHand: the days of a realization count from the day after the look, and it
// runs up to the last of bloom, nectar and the day on which bees are wanted, or to the
// end of the weather.
func TestCoverByHand(t *testing.T) {
	fed := []colony.Feeding{{Day: 3}}
	gifts := [][]colony.Gift{{{Day: 1}}, {{Day: 2}}}
	for _, c := range []struct {
		table, look, pollen, bloom, nectar, read int
		want                                     colony.Span
	}{
		{100, 9, 5, 40, 47, -1, colony.Span{PollenDay: -5, BloomDay: 30, NectarDay: 37, ReadDay: -1, Days: 38}},
		{100, 9, 25, 40, 37, -1, colony.Span{PollenDay: 15, BloomDay: 30, NectarDay: 27, ReadDay: -1, Days: 31}},
		{100, 9, 25, 40, 47, 60, colony.Span{PollenDay: 15, BloomDay: 30, NectarDay: 37, ReadDay: 50, Days: 51}},
		{100, -1, 25, 40, 47, 0, colony.Span{PollenDay: 25, BloomDay: 40, NectarDay: 47, ReadDay: 0, Days: 48}},
		{30, 9, 25, 40, 47, 60, colony.Span{PollenDay: 15, BloomDay: 30, NectarDay: 37, ReadDay: 50, Days: 30}},
	} {
		r := Realization{Forcing: make([]colony.ForceDay, c.table), Member: 1}
		r.cover(&InitialSpread{Day: c.look, Fed: fed, Gifts: gifts}, c.pollen, c.bloom, c.nectar, c.read)
		c.want.Fed, c.want.Gifts = fed, gifts[1]
		require.Equal(t, c.want, r.Span)
	}
	first := Realization{Forcing: make([]colony.ForceDay, 9)}
	first.cover(&InitialSpread{Gifts: gifts}, 0, 0, 0, -1)
	require.Equal(t, gifts[0], first.Span.Gifts, "the first member has its own too")
	sample := Realization{Forcing: make([]colony.ForceDay, 9), Member: -1}
	sample.cover(&InitialSpread{Gifts: gifts}, 0, 0, 0, -1)
	require.Nil(t, sample.Span.Gifts, "a sample is no member")
}

func TestLaterByHand(t *testing.T) {
	for _, c := range []struct {
		day      int
		byDays   float64
		today, n int
		want     int
	}{
		{50, 2.6, 10, 90, 53}, {50, -2.6, 10, 90, 47}, {50, 2.4, 10, 90, 52},
		{50, -9, 48, 90, 49}, {50, -1, 48, 90, 49}, {50, -1, 47, 90, 49}, {88, 5, 10, 90, 90}, {50, 0, 95, 90, 90},
	} {
		require.Equal(t, c.want, later(c.day, c.byDays, c.today, c.n), "%+v", c)
	}
}

// TestSpringsAreTakenByTheirWeight: in a long run of members, and in a short one.
func TestSpringsAreTakenByTheirWeight(t *testing.T) {
	springs := []forage.Spring{{Weight: 0.5}, {Weight: 0.2}, {Weight: 0.3}}
	for u, want := range map[float64]int{0: 0, 0.499: 0, 0.501: 1, 0.699: 1, 0.701: 2, 0.999: 2, 1.5: 2} {
		require.Equal(t, want, pickSpring(springs, u), "%g", u)
	}
	for _, members := range []int{40, 1000} {
		var taken [3]float64
		for i := range members {
			taken[pickSpring(springs, KeyOf("springs").even(uint64(i)))]++
		}
		for i, n := range taken {
			require.InDelta(t, springs[i].Weight*float64(members), n, 3, "spread evenly, unlike independent draws")
		}
	}
}

// yardOf is a yard with these options, of two springs.
func yardOf(change func(*forage.Outlook), fixed bool, opt SpringEnsembleOptions) (*SpringEnsemble, *SharedDraws) {
	o := &forage.Outlook{Start: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), BloomSpreadDays: 3, PollenSpread: 2,
		Springs: []forage.Spring{{Weight: 0.25, Days: inventedSpring(120, -1), PollenDay: 20, BloomDay: 74},
			{Weight: 0.75, Days: inventedSpring(110, 2), PollenDay: 12, BloomDay: 61}}}
	change(o)
	d := NewSharedDraws(colony.DefaultParams(), 60, 5, fixed)
	return NewSpringEnsemble(o, d, opt), d
}

// TestMembersInPlainSteps works the days of every member out again from its draws.
func TestMembersInPlainSteps(t *testing.T) {
	for name, change := range map[string]func(*forage.Outlook){
		"reckoned": func(*forage.Outlook) {},
		"given":    func(o *forage.Outlook) { o.BloomGiven = true },
		"seen":     func(o *forage.Outlook) { o.BloomGiven, o.BloomSpreadDays = true, 0 },
		"sure":     func(o *forage.Outlook) { o.BloomSpreadDays = 0 },
		"wide":     func(o *forage.Outlook) { o.BloomSpreadDays, o.PollenSpread = 60, 80 },
	} {
		const today = 66
		pl, d := yardOf(change, false, SpringEnsembleOptions{Today: today, ReadDay: -1, Yard: "north"})
		o := pl.Outlook
		springs := map[int]int{}
		sumEarly, sumSite, squareEarly, squareSite, cross := 0.0, 0.0, 0.0, 0.0, 0.0
		for i, m := range pl.Members {
			s := o.Springs[m.Spring]
			springs[m.Spring]++
			bloom := math.Max(float64(s.BloomDay)+math.Round(d.bloom[i]*o.BloomSpreadDays), today+1)
			if name == "seen" {
				bloom = float64(s.BloomDay)
			}
			bloom = math.Min(bloom, float64(len(s.Days)))
			require.Equal(t, int(bloom), m.BloomDay, "%s, member %d", name, i)
			pollen := math.Min(float64(s.PollenDay)+math.Round(d.pollen[i]*o.PollenSpread), float64(len(s.Days)))
			require.Equal(t, int(pollen), m.PollenDay, "%s, member %d", name, i)
			require.Equal(t, colony.FlowDay(colony.Forcing(s.Days, &d.Base), m.BloomDay, m.Params), m.NectarDay)
			require.Equal(t, &d.params[i], m.Params)
			sumEarly, sumSite = sumEarly+m.EarlyZ/60, sumSite+m.SiteZ/60
			squareEarly, squareSite, cross = squareEarly+m.EarlyZ*m.EarlyZ/60, squareSite+m.SiteZ*m.SiteZ/60, cross+m.EarlyZ*m.SiteZ/60
		}
		require.InDelta(t, 15, springs[0], 2, "a quarter of sixty")
		// Sixty standard normals: the mean has an SD of 0.13, the mean square one of 0.18.
		for _, mean := range []float64{sumEarly, sumSite, cross} {
			require.InDelta(t, 0, mean, 0.45)
		}
		for _, square := range []float64{squareEarly, squareSite} {
			require.InDelta(t, 1, square, 0.6)
		}
	}
	fixed, _ := yardOf(func(*forage.Outlook) {}, true, SpringEnsembleOptions{Today: 1, ReadDay: -1})
	for _, m := range fixed.Members {
		require.Zero(t, [2]float64{m.EarlyZ, m.SiteZ})
		require.Equal(t, fixed.Outlook.Springs[m.Spring].BloomDay, m.BloomDay)
		require.Equal(t, fixed.Outlook.Springs[m.Spring].PollenDay, m.PollenDay)
		require.Equal(t, colony.DefaultParams(), *m.Params)
	}
}

// TestDrawsOfAColonyAreSpreadAsTold: over many members bees, brood and stores scatter as what
// is known of them says, in the middle and at a tail, and by themselves. The mean error of thirty
// hives' stores scatters by the part that they share and a thirtieth of the rest.
func TestDrawsOfAColonyAreSpreadAsTold(t *testing.T) {
	o := &forage.Outlook{Start: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), Springs: []forage.Spring{{Weight: 1, Days: inventedSpring(60, 0), PollenDay: 5, BloomDay: 30}}}
	const n = 2000
	pl := NewSpringEnsemble(o, NewSharedDraws(colony.DefaultParams(), n, 3, false), SpringEnsembleOptions{Today: 1, ReadDay: -1})
	draws := func(hive string, common float64) (bees, brood, stores []float64) {
		seen := InitialSpread{Day: 1, BeesLogMu: math.Log(9000), BeesLogSD: 0.3, BroodCells: 800, BroodLogSD: 0.4, StoresKg: 15, StoresSDKg: 2, StoresMax: 60, StoresCommon: common}
		d := NewSampler(pl)
		var c Realization
		for m := range n {
			d.Realize(KeyOf(hive), &seen, m, &c)
			bees = append(bees, math.Log(c.Start.Bees/9000)/0.3)
			brood = append(brood, math.Log(c.Start.BroodCells/800)/0.4)
			stores = append(stores, (c.Start.StoresKg-15)/2)
		}
		return bees, brood, stores
	}
	dot := func(a, b []float64) (sum float64) {
		for i := range a {
			sum += a[i] * b[i] / n
		}
		return sum
	}
	ones := make([]float64, n)
	for i := range ones {
		ones[i] = 1
	}
	for _, common := range []float64{0, 0.6} {
		bees, brood, stores := draws("one", common)
		for name, z := range map[string][]float64{"bees": bees, "brood": brood, "stores": stores} {
			require.InDelta(t, 0, dot(z, ones), 0.05, name)
			require.InDelta(t, 1, dot(z, z), 0.08, name)
			low := 0.0
			for _, v := range z {
				if v < -1 {
					low += 1.0 / n
				}
			}
			require.InDelta(t, distuv.UnitNormal.CDF(-1), low, 0.02, name)
		}
		require.InDelta(t, 0, dot(bees, stores), 0.06)
		require.InDelta(t, 0, dot(bees, brood), 0.06)
		mean := make([]float64, n)
		for hive := range 30 {
			_, _, stores := draws(fmt.Sprint("hive ", hive), common)
			for m := range mean {
				mean[m] += stores[m] / 30
			}
		}
		require.InDelta(t, common+(1-common)/30, dot(mean, mean), 0.06)
	}
}

// TestAMemberMayTakeAnotherDraw: what is not known of a colony can be that of another member.
func TestAMemberMayTakeAnotherDraw(t *testing.T) {
	pl, _ := yardOf(func(*forage.Outlook) {}, false, SpringEnsembleOptions{Today: 1, ReadDay: -1})
	seen := InitialSpread{Day: 1, BeesLogMu: math.Log(9000), BeesLogSD: 0.3, BroodCells: 800, BroodLogSD: 0.4, StoresKg: 15, StoresSDKg: 2, StoresMax: 60}
	of := func(m int) (c Realization) {
		NewSampler(pl).Realize(KeyOf("one"), &seen, m, &c)
		return c
	}
	third := of(3)
	require.NotEqual(t, third.Start.Bees, of(0).Start.Bees)
	seen.Draw = []uint32{3, 1}
	taken := of(0)
	require.Equal(t, []float64{third.Start.Bees, third.Start.BroodCells, third.Start.StoresKg}, []float64{taken.Start.Bees, taken.Start.BroodCells, taken.Start.StoresKg})
	require.Equal(t, pl.Members[0].BloomDay-2, taken.Span.BloomDay, "the spring is its own")
}

// TestNeedOfAYardIsSharedByAFifth: the part of the need that the hives of a yard have in common.
func TestNeedOfAYardIsSharedByAFifth(t *testing.T) {
	o := &forage.Outlook{Start: time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC), Springs: []forage.Spring{{Weight: 1, Days: inventedSpring(60, 0), PollenDay: 5, BloomDay: 30}}}
	const n = 3000
	pl := NewSpringEnsemble(o, NewSharedDraws(colony.DefaultParams(), n, 3, false), SpringEnsembleOptions{Today: 1, ReadDay: -1, Yard: "north"})
	at := -1
	for i, c := range colony.Catalogue() {
		if c.Name == siteParameter {
			at = i
		}
	}
	require.NotEqual(t, -1, at)
	seen := InitialSpread{Day: 1, BeesLogMu: 9, StoresKg: 7, StoresMax: 30, BroodCells: 1}
	ofHive := func(hive string) (z []float64) {
		d := NewSampler(pl)
		var c Realization
		mean, square := 0.0, 0.0
		for m := range n {
			d.Realize(KeyOf(hive), &seen, m, &c)
			z = append(z, math.Log(c.Params.Values()[at]))
			mean += z[m] / n
		}
		for m := range z {
			z[m] -= mean
			square += z[m] * z[m] / n
		}
		for m := range z {
			z[m] /= math.Sqrt(square)
		}
		return z
	}
	one, two := ofHive("one"), ofHive("two")
	alike, site := 0.0, 0.0
	for m := range one {
		alike += one[m] * two[m] / n
		site += one[m] * pl.Members[m].SiteZ / n
	}
	require.InDelta(t, 0.2, alike, 0.06)
	require.InDelta(t, math.Sqrt(0.2), site, 0.06)
}

// TestSamplesByHand: a sample moves the bloom and pollen by its own normals, and starts from what was seen.
func TestSamplesByHand(t *testing.T) {
	pl, d := yardOf(func(*forage.Outlook) {}, false, SpringEnsembleOptions{Today: 1, ReadDay: 50, Early: colony.EarlyGood})
	seen := InitialSpread{Day: 9, BeesLogMu: math.Log(9000), BeesLogSD: 0.3, BroodCells: 800, BroodLogSD: 0.5, StoresKg: 15, StoresSDKg: 2, StoresMax: 60, Wrapped: true}
	sample := Sample{Params: d.Base, Spring: 1, BloomZ: 1, PollenZ: -2, BeesZ: 2, BroodZ: -1, StoresZ: 1.5, BloomSpread: 4, PollenDays: 1.5}
	at := func(s Sample, today int) Realization {
		var c Realization
		pl.RealizeAt(&seen, &s, today, &c)
		return c
	}
	c := at(sample, 1)
	require.Equal(t, -1, c.Member)
	require.Equal(t, []int{61 + 4 - 10, 12 - 3 - 10, -1}, []int{c.Span.BloomDay, c.Span.PollenDay, c.Span.ReadDay})
	require.Equal(t, colony.FlowDay(pl.Forcing[1], 65, &c.Params)-10, c.Span.NectarDay)
	require.Len(t, c.Forcing, 100)
	require.InDelta(t, 9000*math.Exp(0.6), c.Start.Bees, 1e-6)
	require.InDelta(t, 800*math.Exp(-0.5), c.Start.BroodCells, 1e-6)
	require.InDelta(t, 18, c.Start.StoresKg, 1e-6)
	require.Equal(t, c.Params.WrapHeatShare, c.Start.HeatShare)
	require.InEpsilon(t, math.Min(1, d.Base.EarlyNectarShare*d.Base.EarlyGoodRatio), c.Params.EarlyNectarShare, 1e-12)
	late := at(sample, 80)
	require.Equal(t, 81-10, late.Span.BloomDay, "not before tomorrow")
	sample.PollenZ = 1000
	late = at(sample, 80)
	require.Equal(t, 110-10, late.Span.PollenDay, "never")
	pl.Outlook.BloomGiven = true
	late = at(sample, 80)
	require.Equal(t, 81-10, late.Span.BloomDay, "given with an error")
	sample.BloomSpread = 0
	late = at(sample, 80)
	require.Equal(t, 61-10, late.Span.BloomDay, "seen")
}

// TestKeysByHand: a number is mixed into a key as the published splitmix64 does it
// (Steele, Lea and Flood 2014): from state 0 its first numbers are these.
func TestKeysByHand(t *testing.T) {
	require.Equal(t, Key(0xe220a8397b1dcdaf), Key(0).with(0))
	require.Equal(t, Key(0x6e789e6aa1b965f4), Key(0).with(1))
	require.Equal(t, Key(0x06c45d188009454f), Key(0).with(2))
	require.Equal(t, 0.5, Key(1<<63).unit())
	require.Less(t, Key(math.MaxUint64).unit(), 1.0)
	require.NotEqual(t, KeyOf("ab", "c"), KeyOf("a", "bc"))
	require.NotEqual(t, KeyOf("x").Unit("gift", 1), KeyOf("x").Unit("gift", 2))
	require.NotEqual(t, KeyOf("x").Unit("gift", 1), KeyOf("x").Unit("wrap", 1))
}
