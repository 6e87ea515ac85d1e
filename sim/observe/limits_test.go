package observe

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// certain is an ensemble of one spring in which nothing is drawn: all of its members are the truth.
func certain(t *testing.T, members int) *ensemble.SpringEnsemble {
	t.Helper()
	return ensemble.NewSpringEnsemble(outlook(t, 1), ensemble.NewSharedDraws(colony.DefaultParams(), members, 1, true), ensemble.SpringEnsembleOptions{Today: 49, ReadDay: -1})
}

// lives follows a colony of a certain ensemble for some days; feedings are by day of the run.
func lives(pl *ensemble.SpringEnsemble, start ensemble.InitialSpread, days int, feedings ...colony.Feeding) colony.Path {
	var c ensemble.Realization
	var p colony.Path
	ensemble.NewSampler(pl).Realize(ensemble.KeyOf("x"), &start, 0, &c)
	c.Span.Days = days
	new(colony.Runner).Run(c.Spring(), c.Start, &colony.Treatment{Feedings: feedings}, 0, &p)
	return p
}

// TestWhatTwoLooksTellOfAYard: where all is known, the change between two looks lies off by what
// was read beyond it, and is as sure as the looks' own errors and the model's walk between them.
func TestWhatTwoLooksTellOfAYard(t *testing.T) {
	pl := certain(t, 8)
	const last = 25
	start := startAt(20, 1)
	there := lives(pl, start, last).StoresKg[last-1]
	walk := DefaultOptions().WalkSDKg
	sd := math.Sqrt(1.5*1.5 - 1.2*1.2 + 1.3*1.3 - 1.1*1.1 + walk*walk*last)
	looked := func(off float64) *Looked {
		return &Looked{Key: ensemble.KeyOf("x"), Start: start, Seen: []Observation{food(0, 21, 1.5, 1.2), food(last, there+1+off, 1.3, 1.1)}}
	}
	tell := func(l *Looked) (used, bool) {
		opt := DefaultOptions()
		opt.Feedings = []colony.Feeding{{Day: 3, CombKg: 9}} // of another colony
		return foretell(pl, l, 8, opt)
	}
	u, ok := tell(looked(0.4))
	require.True(t, ok)
	require.InDelta(t, 0.4, u.off, 1e-9, "both looks read a kilogram too much")
	require.InDelta(t, sd, u.sdKg, 1e-9)
	require.InDeltaSlice(t, make([]float64, 8), u.foretold, 1e-9)
	for _, sign := range []float64{-1, 1} {
		u, ok = tell(looked(sign * 2.99 * sd))
		require.True(t, ok)
		require.InDelta(t, sign*2.99*sd, u.off, 1e-9)
		_, ok = tell(looked(sign * 3.01 * sd))
		require.False(t, ok, "more was given or taken than forage explains")
	}
	for name, change := range map[string]func(l *Looked){
		"one look":                    func(l *Looked) { l.Seen = l.Seen[:1] },
		"food at the first look only": func(l *Looked) { l.Seen[1].StoresKg = math.NaN() },
		"food at the last look only":  func(l *Looked) { l.Seen[0].StoresKg = math.NaN() },
		"two ways of judging":         func(l *Looked) { l.Seen[1].Way = 3 },
		"twice on a day":              func(l *Looked) { l.Seen[1].Day = 0 },
		"an error that is not known":  func(l *Looked) { l.Seen[1].StoresSDKg = math.NaN() },
	} {
		l := looked(0.4)
		change(l)
		_, ok := tell(l)
		require.False(t, ok, name)
	}
	l := looked(0.4)
	wrong := food(12, 3, 1.5, 1.2)
	wrong.Way = 2
	nothing := NothingSeen(30)
	l.Seen = []Observation{l.Seen[0], wrong, l.Seen[1], nothing}
	u, ok = tell(l)
	require.True(t, ok, "the first and the last look at food are what counts")
	require.InDelta(t, 0.4, u.off, 1e-9)

	// What the colony itself was given is reckoned with.
	l = looked(0)
	l.Feedings = []colony.Feeding{{Day: 10, CombKg: 2}}
	l.Seen[1].StoresKg = lives(pl, start, last, colony.Feeding{Day: 9, CombKg: 2}).StoresKg[last-1] + 1
	u, ok = tell(l)
	require.True(t, ok)
	require.InDelta(t, 0, u.off, 1e-9)
}

// TestPoolIsTheRuleOfNormals: what a yard's hives tell is the text book's conditioning of two
// standard normals on one figure, the hives' weighed misses, over the first two hundred members.
func TestPoolIsTheRuleOfNormals(t *testing.T) {
	const members, n, last = 230, 200, 80
	pl := ensemble.NewSpringEnsemble(outlook(t, 6), ensemble.NewSharedDraws(colony.DefaultParams(), members, 4, false),
		ensemble.SpringEnsembleOptions{Today: 49, ReadDay: -1, Yard: "mill"})
	opt := DefaultOptions()
	start := startAt(20, 1)
	start.Day = 20
	var looked []Looked
	var us []used
	for i, sd := range []float64{0.5, 0.8, 1.2} {
		l := Looked{Key: ensemble.KeyOf("hive", string(rune('a'+i))), Start: start, Seen: []Observation{food(20, 20, sd, 0.3), food(last, 13-float64(i), sd, 0.3)}}
		u, ok := foretell(pl, &l, n, opt)
		require.True(t, ok)
		require.InDelta(t, 0, stat.Mean(u.foretold, nil), 1e-9)
		looked, us = append(looked, l), append(us, u)
	}
	y, ok := Pool(pl, looked, opt)
	require.True(t, ok)

	figure, off, ownVar := make([]float64, n), 0.0, 0.0
	for _, u := range us {
		foretoldVar := stat.Variance(u.foretold, nil)
		weight := math.Sqrt(foretoldVar) / (u.sdKg * u.sdKg)
		off += weight * u.off
		ownVar += weight * weight * (u.sdKg*u.sdKg - foretoldVar)
		for m := range figure {
			figure[m] += weight * u.foretold[m]
		}
	}
	variance := stat.Variance(figure, nil) + ownVar
	early, site := make([]float64, n), make([]float64, n)
	for m := range n {
		early[m], site[m] = pl.Members[m].EarlyZ, pl.Members[m].SiteZ
	}
	with := [2]float64{stat.Covariance(early, figure, nil) / stat.StdDev(early, nil), stat.Covariance(site, figure, nil) / stat.StdDev(site, nil)}
	require.Greater(t, math.Abs(with[0]*with[1])/variance, 0.001, "both have a part in it")
	for i := range 2 {
		require.InDelta(t, with[i]*off/variance, y.Mean[i], 1e-9)
		for j := 0; j <= i; j++ {
			is, was := 0.0, 0.0
			for k := 0; k <= j; k++ {
				is += y.Lower[i][k] * y.Lower[j][k]
			}
			if i == j {
				was = 1
			}
			require.InDelta(t, was-with[i]*with[j]/variance, is, 1e-9, "%d %d", i, j)
		}
	}
	_, ok = Pool(pl, looked[:2], opt)
	require.True(t, ok, "two are enough")
}

// TestAYardIsNeverQuiteKnown: however surely its hives were weighed, a twentieth of the variance
// of what they have in common is kept.
func TestAYardIsNeverQuiteKnown(t *testing.T) {
	const members, first, last = 60, 60, 90
	pl := certain(t, members)
	for m := range pl.Members { // nothing differs but the early forage, which hangs on nothing else
		pl.Members[m].EarlyZ = 0.8 * (float64(m)/(members-1) - 0.5)
		pl.Members[m].SiteZ = float64(m%2) - 0.5
	}
	opt := DefaultOptions()
	opt.WalkSDKg = 0
	start := startAt(20, 1)
	start.Day = first
	var looked []Looked
	for range 5 {
		looked = append(looked, Looked{Key: ensemble.KeyOf("x"), Start: start, Seen: []Observation{food(first, 20, 0.01, 0), food(last, 20, 0.01, 0)}})
	}
	there := func(z float64) float64 {
		alone := certain(t, 1)
		alone.Members[0].EarlyZ = z
		return lives(alone, start, last-first).StoresKg[last-first-1]
	}
	low, high := there(-0.4), there(0.4)
	require.Greater(t, high, low+0.1, "early forage shows")
	for i := range looked {
		looked[i].Seen[1].StoresKg = low
	}
	y, ok := Pool(pl, looked, opt)
	require.True(t, ok)
	a := y.Lower[0][0] * y.Lower[1][1]
	require.InDelta(t, 0.05, a*a, 1e-6)
	require.Less(t, y.Mean[0], -1.0, "the least of all: the early forage is poor")
}

// TestGapsByHand: where all is known, a look that shows more food than the one before and the feed
// written down explain opens a gap, whose amounts lie within three standard errors.
func TestGapsByHand(t *testing.T) {
	pl, key := certain(t, 4), ensemble.KeyOf("x")
	const second = 20
	start := startAt(8, 1)
	there := lives(pl, start, second).StoresKg[second-1]
	opt := DefaultOptions()
	of := func(sdKg float64) float64 { return math.Sqrt(sdKg*sdKg + second*opt.WalkSDKg*opt.WalkSDKg) }
	for _, c := range []struct {
		name      string
		more, sd  float64
		fedOn     int // day of the outlook; -1 none
		gaps      int
		low, high float64
		frac      float64
	}{
		{"within the error", 0.99 * of(1.2), 1.2, -1, 0, 0, 0, 0},
		{"less", -5, 1.2, -1, 0, 0, 0, 0},
		{"just over it", 1.01 * of(1.2), 1.2, -1, 1, 0, 4.01 * of(1.2), untoldFrac},
		{"surely", 6, 1.2, -1, 1, 6 - 3*of(1.2), 6 + 3*of(1.2), untoldFrac},
		{"beside a feed", 6, 1.2, 10, 1, 6 - 3*of(1.2), 6 + 3*of(1.2), besidesFrac},
		{"a feed on the evening of the first look", 6, 1.2, 0, 1, 6 - 3*of(1.2), 6 + 3*of(1.2), untoldFrac},
		{"more than is given", 20, 1.2, -1, 1, mostUntoldKg, 20 + 3*of(1.2), untoldFrac},
		{"hardly anything", 1.05 * of(0.05), 0.05, -1, 1, 0, 1, untoldFrac},
	} {
		opt.Feedings = nil
		if c.fedOn >= 0 {
			opt.Feedings = []colony.Feeding{{Day: c.fedOn, CombKg: 1e-9}}
		}
		gaps, found, err := findUntold(pl, key, start, []Observation{food(0, 8, 1, 0), food(second, there+c.more, c.sd, 0)}, opt)
		require.NoError(t, err)
		require.Len(t, gaps, c.gaps, c.name)
		require.Len(t, found, c.gaps, c.name)
		if c.gaps == 0 {
			continue
		}
		g := gaps[0]
		require.Equal(t, []int{-1, second - 1}, []int{g.day, g.seen}, c.name)
		require.InDelta(t, c.low, g.lowKg, 1e-6, c.name)
		require.InDelta(t, c.high, g.highKg, 1e-6, c.name)
		require.Equal(t, c.frac, g.frac, c.name)
		require.InDelta(t, c.more/of(c.sd), found[0].Z, 1e-6, c.name)
		require.Equal(t, Innovation{Day: second, What: storesSeen, Z: found[0].Z}, found[0], c.name)
	}
	opt.Feedings = nil

	// A second gap, after the first.
	third := food(40, there+15, 0.3, 0)
	gaps, found, err := findUntold(pl, key, start, []Observation{food(0, 8, 0.3, 0), food(second, there+5, 0.3, 0), third}, opt)
	require.NoError(t, err)
	require.Len(t, gaps, 2)
	require.Equal(t, []int{-1, second - 1, second - 1, 39}, []int{gaps[0].day, gaps[0].seen, gaps[1].day, gaps[1].seen})
	require.Equal(t, []int{second, 40}, []int{found[0].Day, found[1].Day})

	// Bees that are many more than foretold were not fed into the hive; nor does the first look at
	// food show that any was given since, however much it shows.
	many := NothingSeen(second)
	many.BeesLogMu, many.BeesLogSD = math.Log(60000), 0.1
	gaps, _, err = findUntold(pl, key, start, []Observation{food(0, 8, 1, 0), many}, opt)
	require.NoError(t, err)
	require.Empty(t, gaps)
	gaps, _, err = findUntold(pl, key, start, []Observation{NothingSeen(0), food(second, there+15, 1, 0)}, opt)
	require.NoError(t, err)
	require.Empty(t, gaps)
}

// TestEachMemberStopsWhenItHasEnough: a member's draws are doubled until enough of them agree and
// one lives, and no further; what is noted of it is that of the draw it picked.
func TestEachMemberStopsWhenItHasEnough(t *testing.T) {
	pl, key := place(t, 40), ensemble.KeyOf("x")
	opt := DefaultOptions()
	opt.Fewest, opt.Most = 4, 48
	sizes := map[int]int{}
	for name, seen := range map[string][]Observation{
		"agrees":     {food(0, 15, 3, 2), food(30, 12, 3, 2)},
		"surprising": {food(0, 15, 3, 2), food(30, 19, 1, 0)},
		"light":      {food(0, 1.5, 1, 0), food(30, 0.5, 1, 0)},
	} {
		start := startAt(seen[0].StoresKg, seen[0].StoresSDKg)
		l, err := newLearner(pl, key, start, seen, opt)
		require.NoError(t, err)
		if name == "surprising" {
			l.gaps = []gap{{day: -1, seen: 29, lowKg: 1, highKg: 5, frac: 0.3}}
		}
		draws, widened := 0, 0
		for m := range 40 {
			pick := int(l.member(m)) - m*opt.Most
			n := len(l.logW)
			draws += n
			sizes[n]++
			require.True(t, pick >= 0 && pick < n, name)
			require.Equal(t, l.endKg[pick], l.storesKg[m], name)
			require.Equal(t, l.ended[pick], l.lastBees[m], name)
			require.Equal(t, l.use[pick], l.usePicked[m], name)
			require.Equal(t, l.use[0], l.useAll[m], name)
			require.Positive(t, l.w[pick], name)
			enough := func(n int) bool {
				part := &learner{logW: l.logW[:n], alive: l.alive[:n], prior: l.prior[:n]}
				return part.weights(1) >= opt.LeastESS && slices.Max(part.alive) == 0
			}
			for k := opt.Fewest; k < n; k *= 2 {
				require.False(t, enough(k), "%s: %d draws were enough", name, k)
			}
			require.True(t, n == opt.Most || enough(n), name)
			require.Contains(t, []int{4, 8, 16, 32, 48}, n, name)
			whole := &learner{logW: l.logW, alive: l.alive, prior: l.prior}
			if ess := whole.weights(1); ess < opt.LeastESS {
				widened++
				require.Greater(t, l.widened[m], 1.0, name)
				require.InDelta(t, opt.LeastESS, l.ess[m], 0.01, name)
			} else {
				require.Equal(t, 1.0, l.widened[m], name)
				require.InDelta(t, ess, l.ess[m], 1e-9, name)
			}
			sum := 0.0
			for j := range n {
				sum += math.Exp(l.logW[j]+l.alive[j]+l.prior[j]) / float64(n)
			}
			require.InDelta(t, math.Log(sum), l.evidence[m], 1e-9, name)
		}
		require.Equal(t, draws, l.draws)
		require.Equal(t, widened, l.widenedSeen)
	}
	require.Greater(t, len(sizes), 3, "some needed many draws")
}

// TestReportOfWhatIsCertain: with nothing drawn, what a report says of food used and left is that
// of the one path there is, and the weather is known up to the last day of the record.
func TestReportOfWhatIsCertain(t *testing.T) {
	pl, key := certain(t, 6), ensemble.KeyOf("x")
	start := startAt(15, 1)
	for last, known := range map[int]bool{48: true, 49: true, 50: false} {
		p := lives(pl, start, last)
		_, r, err := Assimilate(pl, 6, key, start, []Observation{food(0, 15, 1, 0.5), food(last, p.StoresKg[last-1], 1, 0.5)}, DefaultOptions())
		require.NoError(t, err)
		require.Equal(t, known, r.WeatherSeen, "the record ends on day 49")
		used := sum(p.UsedKg) / float64(last)
		for _, have := range []Range{r.UseBefore, r.UseNow} {
			require.InDeltaSlice(t, []float64{used, used, used}, []float64{have.P10, have.P50, have.P90}, 1e-9)
		}
		require.InDelta(t, p.Bees[last-1], r.Bees[5], 1e-6)
		require.InDelta(t, 16, r.ESS, 1e-9, "all draws are alike")
		require.Equal(t, 6*16, r.Draws)
		require.InDelta(t, 6, r.MemberESS, 1e-9)
	}
	end := len(pl.Outlook.Springs[0].Days)
	_, _, err := Assimilate(pl, 6, key, start, []Observation{food(0, 15, 1, 0.5), food(end-1, 9, 9, 5)}, DefaultOptions())
	require.NoError(t, err)
	_, _, err = Assimilate(pl, 6, key, start, []Observation{food(0, 15, 1, 0.5), food(end, 9, 9, 5)}, DefaultOptions())
	require.ErrorContains(t, err, "after the last day looked at")
	for _, members := range []int{0, 7} {
		require.Panics(t, func() {
			_, _, _ = Assimilate(pl, members, key, start, []Observation{food(0, 15, 1, 0.5)}, DefaultOptions())
		})
	}
	require.Panics(t, func() { _, _, _ = Assimilate(pl, 6, key, start, nil, DefaultOptions()) })
}

// TestErrorsThatAreNotKnown: a look of any kind without an error, or with none of its own, is
// refused; one whose error is all in common is not, for the model's walk parts the looks.
func TestErrorsThatAreNotKnown(t *testing.T) {
	pl := certain(t, 1)
	learn := func(walk float64, change func(o *Observation)) (*learner, error) {
		second := NothingSeen(20)
		change(&second)
		opt := DefaultOptions()
		opt.WalkSDKg, opt.WalkLogSD = walk, walk
		return newLearner(pl, 1, startAt(15, 1), []Observation{food(0, 15, 1, 1), second}, opt)
	}
	for name, change := range map[string]func(o *Observation){
		"stores": func(o *Observation) { o.StoresKg = 9 },
		"bees":   func(o *Observation) { o.BeesLogMu = 9 },
		"brood":  func(o *Observation) { o.BroodCells = 900 },
	} {
		for _, sd := range []float64{0, -1, math.NaN()} {
			_, err := learn(0.05, func(o *Observation) {
				change(o)
				o.StoresSDKg, o.BeesLogSD, o.BroodLogSD = sd, sd, sd
			})
			require.ErrorContains(t, err, name, "%g", sd)
		}
		l, err := learn(0.05, func(o *Observation) {
			change(o)
			o.StoresSDKg, o.BeesLogSD, o.BroodLogSD = 1, 0.2, 0.2
		})
		require.NoError(t, err)
		require.Len(t, l.later, 1, name)
		require.Equal(t, name, l.ch[l.later[0].ch].what)
	}
	whole := func(o *Observation) { o.StoresKg, o.StoresSDKg, o.CommonSDKg = 9, 1, 1 }
	_, err := learn(0.05, whole)
	require.NoError(t, err)
	_, err = learn(0, whole)
	require.ErrorContains(t, err, "nothing of their own")
	_, err = learn(0, func(o *Observation) { whole(o); o.Way = 1 })
	require.NoError(t, err, "two ways have nothing in common")
	_, err = learn(0.05, func(o *Observation) { whole(o); o.CommonSDKg = -0.1 })
	require.ErrorContains(t, err, "is not known")
	_, err = learn(0.05, func(o *Observation) { whole(o); o.CommonSDKg = 1.01 })
	require.ErrorContains(t, err, "is not known")
}

// TestWhatAReadingHolds: a weight holds what is in the feeder, combs counted do not hold what lies
// over the cluster; bees and brood are compared by their logarithms.
func TestWhatAReadingHolds(t *testing.T) {
	l := learnerOf(t)
	p := &colony.Path{StoresKg: []float64{1, 9}, FeederKg: []float64{1, 2}, SolidKg: []float64{1, 3}, Bees: []float64{0.2, math.E}}
	stores, bees := l.ch[0], l.ch[1]
	require.Equal(t, 9.0, stores.of(p, 1, &Observation{}))
	require.Equal(t, 11.0, stores.of(p, 1, &Observation{WithFeeder: true}))
	require.Equal(t, 6.0, stores.of(p, 1, &Observation{WithoutSolid: true}))
	require.InDelta(t, 1, bees.of(p, 1, nil), 1e-12)
	require.Zero(t, bees.of(p, 0, nil), "less than a bee is one")
}

// TestWordsForASurprise: from three standard deviations on, by what was seen and which way.
func TestWordsForASurprise(t *testing.T) {
	for _, quiet := range []float64{0, 2.99, -2.99, math.NaN()} {
		for _, what := range []string{storesSeen, "bees", "brood"} {
			require.Empty(t, Innovation{What: what, Z: quiet}.words())
		}
	}
	for _, z := range []float64{3.01, 9} {
		require.Contains(t, Innovation{What: storesSeen, Z: z}.words(), "more food")
		require.Contains(t, Innovation{What: storesSeen, Z: -z}.words(), "less food")
		for _, what := range []string{"bees", "brood"} {
			require.Contains(t, Innovation{What: what, Z: z}.words(), "more "+what)
			require.Contains(t, Innovation{What: what, Z: -z}.words(), "less "+what)
		}
	}
}

// TestReadingsApartByHand: the distance of two readings of a day, worked out by hand.
func TestReadingsApartByHand(t *testing.T) {
	h := single()
	l := Look{SeamsOfBees: 6, CountTempC: 5, BroodFrames: 2}
	besides, besidesSD := h.NotFoodKg(h.Bees(&l).MeanBees, 2)
	gross := func(storesKg float64) Food { return Food{Kind: FoodGross, GrossKg: besides + storesKg} }
	heft := func(w Heft) Food { return Food{Kind: FoodHeft, Heft: w} }
	frames := func(n float64) Food { return Food{Kind: FoodFrames, FramesDeep: n} }
	scaleSD := math.Hypot(0.3, besidesSD)
	eye := func(mostKg float64) float64 { return math.Hypot(0.25*mostKg, 0.6) }
	both := Food{Kind: FoodLiftBoth, LiftLeftKg: 12, LiftRightKg: 13}
	fullKg := h.FullKg() - 2*3.15
	for _, c := range []struct {
		name  string
		a, b  Food
		want  float64
		limit float64
	}{
		{"two weights", Food{Kind: FoodGross, GrossKg: 27}, both, 2 / math.Hypot(0.3, 0.7), 3},
		{"the other way round", both, Food{Kind: FoodGross, GrossKg: 27}, -2 / math.Hypot(0.3, 0.7), 3},
		{"fair and a weight", heft(HeftFair), gross(5), 4 / math.Hypot(3, scaleSD), 2.5},
		{"a weight and fair", gross(5), heft(HeftFair), -4 / math.Hypot(3, scaleSD), 2.5},
		{"frames and a weight", frames(2), gross(4), 2.3 / math.Hypot(eye(6.3), scaleSD), 2.5},
		{"a weight and more frames", gross(8), frames(2), 1.7 / math.Hypot(eye(8), scaleSD), 2.5},
		{"fewer frames than a weight", frames(2), gross(12), -5.7 / math.Hypot(eye(12), scaleSD), 2.5},
		{"heavy, and a little less", heft(HeftHeavy), gross(15.5), 0.5 / math.Hypot(4, scaleSD), 2.5},
		{"heavy, and a little more", heft(HeftHeavy), gross(16.5), 0, 2.5},
		{"a little more, and heavy", gross(16.5), heft(HeftHeavy), 0, 2.5},
		{"a little less, and heavy", gross(15.5), heft(HeftHeavy), -0.5 / math.Hypot(4, scaleSD), 2.5},
		{"light, and a little less", heft(HeftLight), gross(3.5), 0, 2.5},
		{"light, and a little more", heft(HeftLight), gross(4.5), -0.5 / math.Hypot(3, scaleSD), 2.5},
		{"a little more, and light", gross(4.5), heft(HeftLight), 0.5 / math.Hypot(3, scaleSD), 2.5},
		{"a little less, and light", gross(3.5), heft(HeftLight), 0, 2.5},
		{"lighter than the empty hive", gross(-5), heft(HeftFair), -9 / math.Hypot(3, scaleSD), 2.5},
		{"heavier than a full one", gross(99), heft(HeftFair), (fullKg - 9) / math.Hypot(3, scaleSD), 2.5},
		{"frames and fair", frames(1), heft(HeftFair), (3.15 - 9) / math.Hypot(eye(9), 3), 2.5},
		{"fair and frames", heft(HeftFair), frames(1), (9 - 3.15) / math.Hypot(eye(9), 3), 2.5},
	} {
		require.InDelta(t, c.want, h.apart(&l, c.a, c.b), 1e-9, c.name)
		require.InDelta(t, math.Abs(c.want)/c.limit, h.Contradict(&l, c.a, c.b), 1e-9, c.name)
	}
	for _, f := range []Food{gross(5), heft(HeftFair), frames(2), {}} {
		require.True(t, math.IsNaN(h.apart(&l, f, Food{})) && math.IsNaN(h.apart(&l, Food{}, f)), "nothing to compare")
	}
	plain := h.apart(&l, heft(HeftFair), gross(5))
	h.Hand.of[FoodHeft] = hand{pairs: 3, shift: 1, sdLeft: 0.1}
	require.Equal(t, plain, h.apart(&l, heft(HeftFair), gross(5)), "what is known of the hand is learned from such pairs")
}

// TestAScaleHasNoHand: two weights of a day tell nothing of how a keeper judges, and a judgement
// without a weight beside it neither.
func TestAScaleHasNoHand(t *testing.T) {
	h := single()
	weight := Look{SeamsOfBees: 6, CountTempC: 5, BroodFrames: 2, Food: Food{Kind: FoodGross, GrossKg: 28}}
	both := weight
	both.Food = Food{Kind: FoodLiftBoth, LiftLeftKg: 14, LiftRightKg: 15}
	judged := weight
	judged.Food = Food{Kind: FoodFrames, FramesDeep: 2}
	heft := Food{Kind: FoodHeft, Heft: HeftFair}
	hand := LearnHand([]Pair{{h, weight, both.Food}, {h, both, weight.Food}, {h, weight, Food{}}, {h, judged, heft}})
	require.Zero(t, hand)
	hand = LearnHand([]Pair{{h, judged, heft}, {h, both, heft}})
	require.Equal(t, 1, hand.Pairs(FoodHeft), "two lifts are a weight")
	for kind, share := range map[FoodKind]float64{FoodUnknown: 0, FoodGross: 0, FoodLiftBoth: 0, FoodFrames: 0.5, FoodHeft: 0.5, FoodLiftBack: 0.8} {
		require.Equal(t, share, handShare(kind))
	}
}

// TestAHandIsLearnedAfresh: what was known of a keeper before counts for nothing in what his pairs tell.
func TestAHandIsLearnedAfresh(t *testing.T) {
	h := single()
	look := Look{SeamsOfBees: 6, CountTempC: 5, BroodFrames: 2, Food: Food{Kind: FoodGross, GrossKg: 28}}
	knows := *h
	knows.Hand.of[FoodHeft] = hand{pairs: 9, shift: 1, sdLeft: 0.1}
	for _, other := range []Food{{Kind: FoodHeft, Heft: HeftHeavy}, {Kind: FoodFrames, FramesDeep: 2}, {Kind: FoodLiftBack, LiftBackKg: 14}} {
		require.Equal(t, LearnHand([]Pair{{h, look, other}}), LearnHand([]Pair{{&knows, look, other}}))
	}
}

// TestLooksByKind: what a look starts from and is conditioned on, by how the food was judged.
func TestLooksByKind(t *testing.T) {
	h := double()
	h.Wrapped = true
	nan := math.NaN()
	for kind := FoodUnknown; kind <= FoodHeft; kind++ {
		l := Look{Day: 5, SeamsOfBees: nan, CountTempC: nan, BroodFrames: nan, OverKg: nan, InFeederKg: nan,
			Food: Food{Kind: kind, GrossKg: 40, LiftLeftKg: 20, LiftRightKg: 21, LiftBackKg: 18, FramesDeep: 3, Heft: HeftFair}}
		x, s, e := h.Observe(&l), h.Start(&l), h.StoresSeen(&l)
		require.Equal(t, int(kind), x.Way)
		require.Equal(t, kind == FoodUnknown, math.IsNaN(x.StoresKg))
		require.Equal(t, kind != FoodFrames, x.WithFeeder)
		require.Equal(t, kind == FoodFrames, x.WithoutSolid)
		require.True(t, math.IsNaN(x.BeesLogMu) && math.IsNaN(x.BroodCells), "neither was looked at")
		require.Equal(t, []float64{e.MeanKg, e.SDKg, e.MinKg, e.MaxKg}, []float64{s.StoresKg, s.StoresSDKg, s.StoresMin, s.StoresMax})
		require.True(t, s.Wrapped)
		common := 0.0
		if kind == FoodUnknown {
			common = 0.5
		}
		require.Equal(t, common, s.StoresCommon, "only hives that nobody judged are alike")
		require.Equal(t, kind == FoodGross || kind == FoodLiftBoth, kind.Weighed())
	}
	for word, want := range map[string]Heft{"light": HeftLight, "fair": HeftFair, "heavy": HeftHeavy} {
		got, ok := ParseHeft(word)
		require.True(t, ok)
		require.Equal(t, want, got)
	}
	_, ok := ParseHeft("not hefted")
	require.False(t, ok)
}

// TestDrawsFarOffCountForNothing: a draw a thousand deviations off has no weight beside one that agrees, and
// shares are shares however little all of them agree.
func TestDrawsFarOffCountForNothing(t *testing.T) {
	zero := []float64{0, 0, 0}
	for _, shift := range []float64{0, -5000, 5000} {
		l := &learner{logW: []float64{shift, shift - 2000, shift}, alive: zero, prior: zero}
		require.InDelta(t, 2, l.weights(1), 1e-9)
		require.InDeltaSlice(t, []float64{0.5, 0, 0.5}, l.w, 1e-12)
		require.InDelta(t, shift+math.Log(2.0/3), logMean(l.logW), 1e-9)
	}
	l := learnerOf(t)
	l.evidence, l.ess, l.widened = []float64{-4000, -9000, -4000}, zero, zero
	l.useAll, l.usePicked, l.storesKg, l.lastBees = zero, zero, zero, zero
	r := l.report(3, nil, nil)
	require.InDeltaSlice(t, []float64{0.5, 0, 0.5}, r.MemberWeight, 1e-12)
	require.InDelta(t, 2, r.MemberESS, 1e-9)
	require.Len(t, l.untold(nil), 0)
}
