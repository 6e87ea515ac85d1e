package decide_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"bloomgap/feed"
	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
)

// TestOrderHoldsWhatIsBought draws the truth of a small yard, has it looked at with the
// error of a scale, plans, and lives the spring by the plan's lines, with colonies lost
// and sugar wasted: the 10 to 90 % of the order must hold what was bought in about
// eight of ten.
func TestOrderHoldsWhatIsBought(t *testing.T) {
	if testing.Short() {
		t.Skip("a dozen plans, each lived through")
	}
	runs := 12
	if os.Getenv("BLOOMGAP_LONG") != "" {
		runs = 400
	}
	const hives = 8
	inside, below, underMiddle, middleKg := 0, 0, 0, 0.0
	var bought, over []float64 // kg; and what was bought over the mean of its order
	for run := range runs {
		rnd := rand.New(rand.NewPCG(uint64(run), 17))
		s := seasontest.OneHive(t, map[string]string{"gross": "22"}, map[string]string{"days_between": "12"})
		s.Settings.Seed = uint64(100 + run)
		one := s.Colonies[0]
		s.Colonies = nil
		var trueKg, hand [hives]float64
		for i := range hives {
			c := one
			c.Name = fmt.Sprint("H", i)
			o := one.Observations[0]
			hive, look := c.Hive(s.Yards[0].Tares, s.Settings.Masses()), o.Look(0)
			e := hive.StoresSeen(&look)
			trueKg[i], hand[i] = 1.5+7*rnd.Float64(), rnd.NormFloat64()
			o.Food.GrossKg += trueKg[i] + hand[i]*e.SDKg - e.MeanKg
			c.Observations = []season.Observation{o}
			s.Colonies = append(s.Colonies, c)
		}
		pl := planOf(t, s, func(o *feed.Options) { o.Members, o.MostFactor, o.Protein = 200, 4, false })
		kg := lived(t, pl, run, trueKg[:], hand[:])
		bought = append(bought, kg)
		middleKg += pl.Order.SugarKg.P50 / float64(runs)
		expectedKg := 0.0
		for m := range pl.Sums.SugarG {
			given := float64(pl.Sums.SugarG[m]+pl.Sums.SolidG[m]) / 1000 / float64(pl.Sums.Members)
			expectedKg += given * (1 + s.Settings.WasteFrac/2)
		}
		over = append(over, kg-expectedKg)
		if kg < pl.Order.SugarKg.P50 {
			underMiddle++
		}
		switch a := pl.Order.SugarKg; {
		case kg < a.P10:
			below++
		case kg <= a.P90:
			inside++
		}
	}
	// Orders are skewed: their middle lies under their mean, which what was bought is to
	// agree with on average.
	meanKg := stat.Mean(bought, nil)
	overKg, sdKg := stat.MeanStdDev(over, nil)
	errKg := sdKg / math.Sqrt(float64(runs))
	t.Logf("of %d orders %d held what was bought, %d were too large, %d larger in the middle; bought %.1f kg, %.1f +- %.1f over the mean of the orders; of their middles %.1f",
		runs, inside, below, underMiddle, meanKg, overKg, errKg, middleKg)
	// In 800 runs 1.7 +- 0.3 kg were bought over the mean, 4 %, and none of it because lines look
	// better on the members that they are drawn through: others take as much. Why is not known.
	require.Less(t, math.Abs(overKg), 0.06*meanKg+3*errKg)
	require.InDelta(t, 0.5, float64(underMiddle)/float64(runs), 3*math.Sqrt(0.25/float64(runs)))
	share := float64(inside) / float64(runs)
	if runs >= 400 {
		require.InDelta(t, 0.80, share, 0.05)
	} else { // three standard errors of 12
		require.InDelta(t, 0.80, share, 0.35)
	}
}

// lived is the sugar bought for a yard that is fed by its plan in one true spring.
func lived(t *testing.T, pl *plan.Plan, run int, trueKg, hand []float64) float64 {
	total := 0.0
	rnd := rand.New(rand.NewPCG(uint64(run), 99))
	member := pl.Members + rnd.IntN(pl.Members)
	again := decide.Open(t, pl.Season, pl.Members, 4*pl.Members)
	for i := range pl.Colonies {
		c := &pl.Colonies[i]
		if c.Verdict != plan.Feed {
			continue
		}
		var h int
		_, err := fmt.Sscanf(c.Colony, "H%d", &h)
		require.NoError(t, err)
		lots := again.Lived(t, c, decide.Truth{Member: member, StoresKg: trueKg[h], Err: hand[h], Key: uint64(run)*1000 + uint64(h)})
		lost := rnd.Float64()
		for k, l := range lots {
			if lost < pl.Season.Settings.LossFrac*float64(k)/float64(len(lots)-1) {
				break
			}
			total += l.SyrupL*c.Strength.SugarKgPerL() + l.SolidKg
		}
	}
	return total * (1 + pl.Season.Settings.WasteFrac*rnd.Float64())
}
