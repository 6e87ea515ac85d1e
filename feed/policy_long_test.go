package feed

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
)

// TestGridOfHives plans 96 invented hives whose answers of a fixed list are on record: the
// list took 5.34 feedings and 5.94 kg of sugar at a risk of 4.0 % on the members
// it was found on.
func TestGridOfHives(t *testing.T) {
	if testing.Short() {
		t.Skip("96 plans")
	}
	dir := os.Getenv("BLOOMGAP_REFERENCE")
	if dir == "" {
		t.Skip("set BLOOMGAP_REFERENCE to a folder that holds schedules/grid.csv")
	}
	f, err := os.Open(filepath.Join(dir, "schedules", "grid.csv"))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var n, feedings, sugar, risk, most, worst, wasFeedings, wasSugar float64
	strengths := map[string]int{}
	for _, row := range rows[1:] {
		day, err := time.Parse(time.DateOnly, row[3])
		require.NoError(t, err)
		s, ps := season.One(season.DefaultSettings(), day, map[string]string{"lat": row[1], "lon": row[2], "climate": row[0], "days_between": row[8]},
			map[string]string{"date": row[3], "boxes": row[4], "heft": row[5], "seams": row[6], "count_temp": row[7]}, nil)
		require.NoError(t, ps.Err())
		pl, _ := planOf(t, s, func(o *Options) { o.Protein = false })
		c := &pl.Colonies[0]
		if c.Verdict != plan.Feed {
			continue
		}
		was := func(i int) float64 {
			x, err := strconv.ParseFloat(row[i], 64)
			require.NoError(t, err)
			return x
		}
		wasFeedings += was(11)
		wasSugar += was(12)
		n++
		feedings += c.Policy.Feedings
		sugar += c.SyrupSugarKg + c.SolidKg
		risk += c.RiskFed.Frac
		most, worst = math.Max(most, c.Policy.Feedings), math.Max(worst, c.RiskFed.Frac)
		strengths[c.Strength.String()]++
		name := fmt.Sprint(row[0], " ", row[3], " ", row[5], " ", row[6])
		require.NotEmpty(t, c.Feedings, name)
		require.LessOrEqual(t, c.Policy.Feedings, 4.0, name)
		require.Equal(t, c.RiskFed.Frac > 0.05, pl.Warnings != nil && pl.Warnings[0].Code() == plan.StillAtRisk{}.Code(), name)
		if c.Feedings[0].UnderKg == 0 && c.Feedings[0].SyrupL > 0 {
			require.GreaterOrEqual(t, s.Settings.Rules.TouchingOnlyBelowC, 10.0)
		}
	}
	t.Logf("%.0f fed: %.2f feedings (a list: %.2f), at most %.2f; %.2f kg of sugar (%.2f); risk on others %.2f %%, worst %.1f %%; syrup %v",
		n, feedings/n, wasFeedings/n, most, sugar/n, wasSugar/n, 100*risk/n, 100*worst, strengths)
	require.Greater(t, len(strengths), 1, "one ratio does not fit all")
	require.LessOrEqual(t, feedings/n, 2.5)
	require.LessOrEqual(t, risk/n, 0.045)
	require.Less(t, sugar, wasSugar)
}

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
		runs = 200
	}
	const hives = 8
	inside, below, meanKg, middleKg := 0, 0, 0.0, 0.0
	for run := range runs {
		rnd := rand.New(rand.NewPCG(uint64(run), 17))
		s := oneHive(t, map[string]string{"gross": "22"}, map[string]string{"days_between": "12"})
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
		pl, p := planOf(t, s, func(o *Options) { o.Members, o.MostFactor, o.Protein = 200, 4, false })
		kg := p.lived(t, pl, run, trueKg[:], hand[:])
		meanKg += kg / float64(runs)
		middleKg += pl.Order.SugarKg.P50 / float64(runs)
		switch a := pl.Order.SugarKg; {
		case kg < a.P10:
			below++
		case kg <= a.P90:
			inside++
		}
	}
	t.Logf("of %d orders %d held what was bought, %d were too large; bought %.1f kg, middle of the orders %.1f", runs, inside, below, meanKg, middleKg)
	share := float64(inside) / float64(runs)
	if runs >= 200 {
		require.InDelta(t, 0.80, share, 0.05)
	} else { // three standard errors of 12
		require.InDelta(t, 0.80, share, 0.35)
	}
}

// lived is the sugar bought for a yard that is fed by its plan in one true spring.
func (p *Planner) lived(t *testing.T, pl *plan.Plan, run int, trueKg, hand []float64) float64 {
	total := 0.0
	rnd := rand.New(rand.NewPCG(uint64(run), 99))
	member := p.opt.Members + rnd.IntN(p.opt.Members)
	for i := range pl.Colonies {
		c := &pl.Colonies[i]
		if c.Verdict != plan.Feed {
			continue
		}
		var h int
		_, err := fmt.Sscanf(c.Colony, "H%d", &h)
		require.NoError(t, err)
		_, s, w := p.subjectOf(t, c)
		seen := s.seen
		seen.StoresKg, seen.StoresSDKg = trueKg[h], 0
		var x ensemble.Realization
		s.drawer.Realize(ensemble.KeyOf("truth", c.Colony), &seen, member, &x)
		var l colony.DailyDemand
		w.runner.SimulatePopulation(&x.Params, x.Forcing, x.Start, x.Span, &colony.Treatment{}, &l, nil)
		q := &w.pol
		q.set(s, c.Strength, &p.season.Settings)
		f := feederOf(w.wayAt(s.y, c.Choice.Feeder))
		f.AtATime, f.Blocks = c.Policy.AtATime, c.Policy.Blocks
		truth := []schedule.Member{{Params: &x.Params, Forcing: x.Forcing, Demand: &l, Span: x.Span, StartKg: x.Start.StoresKg, Hand: hand[h]}}
		q.engine.Prepare(&q.b, uint64(run)*1000+uint64(h), truth, q.visits, f, s.laterLook(), &q.rules)
		q.engine.Judge(&q.b, s.policyOf(c.Feedings), &q.onB)
		lost := rnd.Float64()
		for k, lots := range q.onB.Lots {
			if lost < p.season.Settings.LossFrac*float64(k)/float64(len(q.onB.Lots)-1) {
				break
			}
			total += lots[0].SyrupL*c.Strength.SugarKgPerL() + lots[0].SolidKg
		}
	}
	return total * (1 + p.season.Settings.WasteFrac*rnd.Float64())
}
