package observe

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/sim/colony"
)

// TestWeightsByHand: what a hive weighs, and how sure that is, in boxes of each kind.
func TestWeightsByHand(t *testing.T) {
	h := hiveOf(Boxes{Kind: Medium, Count: 3})
	tare := 3.9 + 0.8 + 1.8 + 3*4.6
	kg, sd := h.TareKg()
	require.InDelta(t, tare, kg, 1e-9)
	require.InDelta(t, math.Sqrt(3), sd, 1e-9, "a kilogram a box, independent")
	m := &h.Masses
	combs := Medium.DeepCombs()
	notFood, notSD := h.NotFoodKg(9000, 3)
	require.InDelta(t, tare+9000*m.BeeG/1000+3*combs*6800*m.BroodCellG/1000+0.5, notFood, 1e-9)
	require.InDelta(t, math.Sqrt(3+square(9000*beeSDKg)+square(3*combs*0.25)+0.16), notSD, 1e-9)
	notFood, notSD = h.NotFoodKg(math.NaN(), math.NaN())
	require.InDelta(t, tare+10000*m.BeeG/1000+combs*6800*m.BroodCellG/1000+0.5, notFood, 1e-9)
	require.InDelta(t, math.Sqrt(3+square(5000*m.BeeG/1000)+square(6800*m.BroodCellG/1000)+0.16), notSD, 1e-9)
	require.InDelta(t, 2*6800*combs, BroodCells(2, Medium), 1e-9)
	require.Less(t, combs, 1.0)
	require.InDelta(t, 2*6800*Large.DeepCombs(), BroodCells(2, Large), 1e-9)
	require.Greater(t, Large.DeepCombs(), 1.0)

	wrapped := hiveOf(Boxes{Kind: Large, Count: 1}, Boxes{Kind: Shallow, Count: 2})
	wrapped.Wrapped, wrapped.FramesPerBox = true, 8
	kg, sd = wrapped.TareKg()
	require.InDelta(t, 0.8*(6.5+9.2+8)+1, kg, 1e-9, "boxes of eight frames in proportion, the wrap as it is")
	require.InDelta(t, math.Sqrt(3), sd, 1e-9)
	require.Equal(t, 24, wrapped.Frames())
	require.Equal(t, Shallow, hiveOf(Boxes{Kind: Medium, Count: 1}, Boxes{Kind: Shallow, Count: 2}).MainKind(), "two shallow have more comb than one medium")
	require.Equal(t, Large, wrapped.MainKind())
	require.InDelta(t, 8*Large.FullFrameKg()+16*Shallow.FullFrameKg(), wrapped.FullKg(), 1e-9)
	require.InDelta(t, 2*Large.FullFrameKg()+3*Shallow.FullFrameKg(), wrapped.CombsKg(2, 3), 1e-9, "the nearest kinds that are there")
	both := hiveOf(Boxes{Kind: Large, Count: 1}, Boxes{Kind: Deep, Count: 1}, Boxes{Kind: Shallow, Count: 1}, Boxes{Kind: Medium, Count: 1})
	require.InDelta(t, 2*Deep.FullFrameKg()+3*Medium.FullFrameKg(), both.CombsKg(2, 3), 1e-9)

	kg, sd = (&Food{Kind: FoodGross, GrossKg: 30}).TotalKg()
	require.Equal(t, [2]float64{30, 0.3}, [2]float64{kg, sd})
	kg, sd = (&Food{Kind: FoodLiftBoth, LiftLeftKg: 12, LiftRightKg: 14}).TotalKg()
	require.Equal(t, [2]float64{26, 0.7}, [2]float64{kg, sd})
	kg, sd = (&Food{Kind: FoodLiftBack, LiftBackKg: 13.5}).TotalKg()
	require.InDelta(t, 30, kg, 1e-9)
	require.InDelta(t, math.Hypot(30*0.03/0.45, 0.3/0.45), sd, 1e-9)
	kg, _ = (&Food{Kind: FoodHeft, Heft: HeftFair}).TotalKg()
	require.True(t, math.IsNaN(kg))

	require.InDelta(t, math.Sqrt(4-0.25), commonOf(FoodGross, 2), 1e-9, "half a kilogram is each reading's own")
	require.Zero(t, commonOf(FoodGross, 0.4))
	require.InDelta(t, math.Sqrt(4-0.81), commonOf(FoodLiftBoth, 2), 1e-9)
	require.InDelta(t, math.Sqrt(4-0.81), commonOf(FoodLiftBack, 2), 1e-9)
	require.Zero(t, commonOf(FoodLiftBack, 0.8))
	require.InDelta(t, 1.4, commonOf(FoodHeft, 2), 1e-9)
	require.InDelta(t, 1.4, commonOf(FoodFrames, 2), 1e-9)
}

func square(x float64) float64 { return x * x }

// TestHeftsBetweenBoxes: the words are worth more in more boxes, in a straight line from half a
// box to three.
func TestHeftsBetweenBoxes(t *testing.T) {
	for boxes, want := range map[float64][4]float64{0.2: {3, 2.5, 6, 4}, 0.5: {3, 2.5, 6, 4}, 1: {4, 3, 8, 5}, 1.5: {5, 3.5, 10, 6}, 2: {6, 4, 12, 7}, 3: {8, 5, 16, 9}, 5: {8, 5, 16, 9}} {
		kg, sd := heftKg(HeftLight, boxes)
		any, anySD := unknownKg(boxes)
		require.InDeltaSlice(t, want[:], []float64{kg, sd, any, anySD}, 1e-9, "%g boxes", boxes)
	}
	h := single()
	e := h.Stores(&Food{Kind: FoodFrames, FramesDeep: 2}, 9000, 3)
	require.InDelta(t, 2*3.15, e.MeanKg, 1e-9)
	require.InDelta(t, math.Hypot(0.25*6.3, 0.6), e.SDKg, 1e-9)
	require.InDelta(t, 7*3.15, e.MaxKg, 1e-9, "three combs of brood take the room of food")
	require.InDelta(t, 1, h.Stores(&Food{}, 9000, 12).MaxKg, 1e-9, "a comb's arc is always there")
}

// TestSeamsByTemperature: bees in a seam from frost to warmth, straight between what was measured.
func TestSeamsByTemperature(t *testing.T) {
	require.InDelta(t, 1350, BeesPerSeam(14), 1e-9)
	require.InDelta(t, 1350, BeesPerSeam(25), 1e-9)
	require.InDelta(t, 1900, BeesPerSeam(4), 1e-9)
	require.InDelta(t, 1625, BeesPerSeam(9), 1e-9, "half way")
	require.InDelta(t, BeesPerSeam(7), BeesPerSeam(math.NaN()), 1e-9)
	require.InDelta(t, 1900*math.Pow(1-0.55*10/27, -1.0/3), BeesPerSeam(-6), 1e-6)
	require.InDelta(t, math.Min(2430, 1900*math.Pow(0.45, -1.0/3)), BeesPerSeam(-23), 1e-6)
	require.Equal(t, BeesPerSeam(-23), BeesPerSeam(-40), "it gets no tighter")
	e := BeesFromSeams(2, 14, Deep)
	require.InDelta(t, 0.45*2700, e.SDBees, 1e-9, "two seams are few")
	e = BeesFromSeams(2.5, 14, Deep)
	require.InDelta(t, 0.35*2.5*1350, e.SDBees, 1e-9)
	e = BeesFromSeams(6, math.NaN(), Deep)
	require.InDelta(t, 0.45*e.MeanBees, e.SDBees, 1e-9, "without a temperature")
	mu, sigma := BeesEstimate{MeanBees: 10000, SDBees: 5000}.LogParams()
	require.InDelta(t, 10000, math.Exp(mu+sigma*sigma/2), 1e-6)
	require.InDelta(t, 5000, 10000*math.Sqrt(math.Exp(sigma*sigma)-1), 1e-6)
}

// TestLooksByHand: what of a look is passed on, and what lies over the cluster or in the feeder.
func TestLooksByHand(t *testing.T) {
	h := single()
	l := Look{Day: 7, Food: Food{Kind: FoodFrames, FramesDeep: 2}, SeamsOfBees: 5, CountTempC: 14, BroodFrames: 2, OverKg: 1, InFeederKg: 3}
	s := h.Masses.StoresPerSolid
	require.InDelta(t, 6.3+s, h.StoresSeen(&l).MeanKg, 1e-9, "combs, and the solid feed beside")
	x := h.Observe(&l)
	require.False(t, x.WithFeeder || x.WithoutSolid)
	require.InDelta(t, 6.3+s, x.StoresKg, 1e-9)
	require.InDelta(t, 2*6800, x.BroodCells, 1e-9)
	require.Equal(t, CountedBroodLogSD, x.BroodLogSD)
	mu, sd := h.Bees(&l).LogParams()
	require.Equal(t, [3]float64{mu, sd, 0.6 * sd}, [3]float64{x.BeesLogMu, x.BeesLogSD, x.BeesCommonLogSD})
	l.OverKg, l.InFeederKg = math.NaN(), math.NaN()
	x = h.Observe(&l)
	require.True(t, x.WithoutSolid, "nobody looked over the cluster")
	require.False(t, x.WithFeeder, "combs tell nothing of the feeder")
	require.InDelta(t, 6.3, x.StoresKg, 1e-9)
	l.Food = Food{Kind: FoodGross, GrossKg: 30}
	bare := h.StoresSeen(&l).MeanKg
	require.True(t, h.Observe(&l).WithFeeder)
	l.OverKg, l.InFeederKg = 2, 3
	require.InDelta(t, bare+2*(s-1)-3, h.StoresSeen(&l).MeanKg, 1e-9)
	require.False(t, h.Observe(&l).WithFeeder)
	l.Food = Food{}
	require.InDelta(t, 8, h.StoresSeen(&l).MeanKg, 1e-9, "nothing is known of the food")
	require.True(t, math.IsNaN(h.Observe(&l).StoresKg))
	start := h.Start(&l)
	require.Equal(t, 7, start.Day)
	require.InDelta(t, 2*6800, start.BroodCells, 1e-9)
	l.BroodFrames = math.NaN()
	start = h.Start(&l)
	require.True(t, math.IsNaN(start.BroodCells))
	require.Equal(t, UnseenBroodLogSD, start.BroodLogSD)
}

// learnerOf is made from looks at stores, and bees at the second of them.
func learnerOf(t *testing.T, feedings ...colony.Feeding) *learner {
	t.Helper()
	pl := place(t, 60)
	first, second, third := food(10, 12, 1.5, 1), food(25, 10, 1.5, 1), food(40, 9, 2, 0.5)
	second.BeesLogMu, second.BeesLogSD, second.BeesCommonLogSD = 9, 0.3, 0.2
	third.Way = 1
	start := startAt(12, 1.5)
	start.Day = 10
	opt := DefaultOptions()
	opt.Feedings = feedings
	l, err := newLearner(pl, 1, start, []Observation{first, second, third}, opt)
	require.NoError(t, err)
	return l
}

// TestErrorsOfLooksByHand: the errors of looks hang together by way and by the days between; their
// root gives them back.
func TestErrorsOfLooksByHand(t *testing.T) {
	l := learnerOf(t)
	require.Equal(t, 30, l.days)
	require.Equal(t, []int{14, 29}, l.seenAt)
	require.Len(t, l.ch, 2)
	stores := l.ch[0]
	require.Equal(t, []int{-1, 14, 29}, stores.at)
	walk := l.opt.WalkSDKg * l.opt.WalkSDKg
	want := [3][3]float64{{1.5 * 1.5, 1, 0}, {1, 1.5*1.5 + 15*walk, 15 * walk}, {0, 15 * walk, 4 + 30*walk}}
	for i := range 3 {
		for j := 0; j <= i; j++ {
			sum := 0.0
			for k := 0; k <= j; k++ {
				sum += stores.root[i][k] * stores.root[j][k]
			}
			require.InDelta(t, want[i][j], sum, 1e-9, "%d %d: the third was judged in another way", i, j)
		}
	}
	require.Equal(t, []later{{0, 1}, {1, 0}, {0, 2}}, l.later, "in the order of their days")
	require.False(t, factor([][]float64{{1, 0}, {1, 1}}), "two looks with nothing of their own")
	require.True(t, factor([][]float64{{4, 0}, {2, 5}}))
}

// TestFeedingsOfLooks: of what was given, that from the evening of the first look to before the
// last counts.
func TestFeedingsOfLooks(t *testing.T) {
	var given []colony.Feeding
	for _, day := range []int{9, 10, 20, 39, 40} {
		given = append(given, colony.Feeding{Day: day, SyrupKg: 1})
	}
	l := learnerOf(t, given...)
	var days []int
	for _, f := range l.care.Feedings {
		days = append(days, f.Day)
	}
	require.Equal(t, []int{-1, 9, 28}, days, "of the run, which begins on day 11")
	require.True(t, l.fedBetween(8, 9))
	require.False(t, l.fedBetween(9, 27), "what was given on the evening of a look came after it")
	require.True(t, l.fedBetween(9, 28))
	require.False(t, l.fedBetween(28, 40))
}

// TestDrawsAreWeighedByHand: weights, their effective number, and the power that keeps enough.
func TestDrawsAreWeighedByHand(t *testing.T) {
	l := &learner{logW: []float64{0, math.Log(2), math.Log(5)}, alive: []float64{0, 0, -25}, prior: []float64{0, math.Log(2), 0}}
	ess := l.weights(1)
	e := 5 * math.Exp(-25)
	require.InDeltaSlice(t, []float64{1 / (5 + e), 4 / (5 + e), e / (5 + e)}, l.w, 1e-12)
	require.InDelta(t, 25.0/17, ess, 1e-6)
	ess = l.weights(0)
	require.InDelta(t, 9.0/5, ess, 1e-6, "the looks count for nothing: 1 and 2")
	l = &learner{logW: []float64{0, -1, -2, -4, -8, -16, -32, -64}, alive: make([]float64, 8), prior: make([]float64, 8), opt: Options{LeastESS: 4}}
	require.Less(t, l.weights(1), 4.0)
	power := l.temper()
	require.InDelta(t, 4, l.weights(power), 1e-3)
	require.Less(t, power, 1.0)
	require.InDelta(t, math.Log(3), logMean([]float64{math.Log(2), math.Log(4)}), 1e-12)

	// Two looks in turn: the second is foretold by draws weighed by the first, those of one day
	// not by each other.
	l = &learner{prior: []float64{0, math.Log(3)}, ch: []channel{{at: []int{5, 9}, root: [][]float64{{2}, {0, 1}}}, {at: []int{5}, root: [][]float64{{1}}}},
		later: []later{{0, 0}, {1, 0}, {0, 1}}, miss: [][]float64{{2, 0}, {1, 1}, {4, 8}}, tally: make([]tally, 3)}
	l.foretold()
	require.InDelta(t, 4, l.tally[0].weight, 1e-12)
	require.InDelta(t, 2, l.tally[0].sum, 1e-12)
	require.InDelta(t, 4, l.tally[0].sum2, 1e-12)
	require.Equal(t, 2.0, l.tally[0].errSD)
	require.InDelta(t, 4, l.tally[1].weight, 1e-12, "the same evening tells nothing of itself")
	w := math.Exp(-0.5 - 0.5)
	v := 3 * math.Exp(-0.5)
	require.InDelta(t, w+v, l.tally[2].weight, 1e-12)
	require.InDelta(t, 4*w+8*v, l.tally[2].sum, 1e-12)
	require.InDelta(t, 16*w+64*v, l.tally[2].sum2, 1e-12)
}

// TestUntoldByHand: half of the draws are given something in a gap, evenly over the amounts that
// are tried, and are weighed as what is thought of it says.
func TestUntoldByHand(t *testing.T) {
	l := learnerOf(t)
	l.gaps = []gap{{day: 3, seen: 14, lowKg: 2, highKg: 6, frac: 0.3}}
	given, sum, n := 0, 0.0, 0
	low, high := math.Inf(1), 0.0
	for m := range 60 {
		for draw := range uint32(40) {
			g := l.giftsOf(nil, m, draw)
			require.Len(t, g, 1)
			require.Equal(t, 3, g[0].Day)
			n++
			if g[0].Kg > 0 {
				given++
				sum += g[0].Kg
				low, high = min(low, g[0].Kg), max(high, g[0].Kg)
			}
			require.Equal(t, g, l.giftsOf(nil, m, draw), "the same draw is given the same")
		}
	}
	require.InDelta(t, 0.5, float64(given)/float64(n), 0.04)
	require.InDelta(t, 4, sum/float64(given), 0.15)
	require.InDelta(t, 2, low, 0.05)
	require.InDelta(t, 6, high, 0.05)
	require.InDelta(t, math.Log(0.3*4/12), l.giftPrior([]colony.Gift{{Kg: 3}}), 1e-12)
	require.InDelta(t, math.Log(0.7), l.giftPrior([]colony.Gift{{}}), 1e-12)
	u := l.untold([][]colony.Gift{{{Kg: 3}}, {{}}, {{Kg: 5}}, {{Kg: 4}}})
	require.Len(t, u, 1)
	require.Equal(t, 14, u[0].AfterDay, "day 3 of a run that begins on day 11")
	require.Equal(t, 25, u[0].SeenDay)
	require.InDelta(t, 0.75, u[0].Frac, 1e-12)
	require.Equal(t, Range{3, 4, 5}, u[0].StoresKg)
	none := l.untold([][]colony.Gift{{{}}})
	require.Zero(t, none[0].Frac)
	require.True(t, math.IsNaN(none[0].StoresKg.P50))
	l.c.Params = colony.DefaultParams()
	l.care.Feedings = []colony.Feeding{{Day: 1, SyrupKg: 2, SolidKg: 1, CombKg: 0.5}, {Day: 2, CombKg: 9}}
	l.path = colony.Path{StoresKg: []float64{9, 9, 9}, SolidKg: []float64{3, 3, 3}, FeederKg: []float64{4, 4, 4}}
	l.beforeFed(1)
	solid := l.c.Params.SolidKgPerKgSugar
	require.InDelta(t, 9-0.5-solid, l.path.StoresKg[1], 1e-12)
	require.InDelta(t, 3-solid, l.path.SolidKg[1], 1e-12)
	require.InDelta(t, 4-2*l.c.Params.SyrupYield, l.path.FeederKg[1], 1e-12)
	require.Equal(t, 9.0, l.path.StoresKg[2])
	require.InDelta(t, math.Log(150), logCells(20), 1e-12)
	require.InDelta(t, math.Log(151), logCells(151), 1e-12)
}
