package decide

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/season/seasontest"
	"bloomgap/sim/colony"
)

// cardYards are invented yards with colonies of all sorts.
func cardYards(t *testing.T, yards, hives int) []*season.Season {
	t.Helper()
	rnd := rand.New(rand.NewPCG(8, 2))
	places := [][3]string{{"45.3", "-72.9", "Farnham"}, {"46.99", "7.46", "Bern"}, {"42.96", "-87.9", "Milwaukee"}, {"49.8", "9.9", "Wuerzburg"}}
	var out []*season.Season
	for j := range yards {
		at := places[j%4]
		day := time.Date(2027, 3, 1+rnd.IntN(35), 0, 0, 0, 0, time.UTC)
		yard := map[string]string{"lat": at[0], "lon": at[1], "climate": at[2], "days_between": fmt.Sprint(7 + 7*(j%2)), "next_visit": day.AddDate(0, 0, 2).Format(time.DateOnly)}
		var all *season.Season
		for i := range hives {
			s, ps := season.One(season.DefaultSettings(), day, yard, map[string]string{"colony": fmt.Sprint("H", i), "date": day.Format(time.DateOnly),
				"boxes": []string{"1 deep", "2 deep"}[j/4%2], "heft": []string{"light", "light", "fair", "fair", "heavy"}[rnd.IntN(5)],
				"seams": fmt.Sprint(3 + rnd.IntN(8)), "count_temp": "6", "wrapped": []string{"yes", "no"}[j%2]}, nil)
			require.NoError(t, ps.Err())
			if all == nil {
				all = s
				continue
			}
			all.Colonies = append(all.Colonies, s.Colonies...)
		}
		out = append(out, all)
	}
	return out
}

// came is what deciding in one way came to, summed over hives.
type came struct{ hives, riskFrac, heldFrac, sugarKg, given float64 }

func (c *came) add(r *schedule.Result) {
	c.hives++
	c.riskFrac, c.heldFrac, c.sugarKg, c.given = c.riskFrac+r.RiskFrac(), c.heldFrac+r.HeldFrac(), c.sugarKg+r.MeanSugarKg(), c.given+r.MeanGiven()
}

func (c came) String() string {
	return fmt.Sprintf("risk %.2f %%, reserve held in %.0f %%, %.2f kg, %.2f feedings", 100*c.riskFrac/c.hives, 100*c.heldFrac/c.hives, c.sugarKg/c.hives, c.given/c.hives)
}

// byPlan lives the springs that a colony is judged on by its plan.
func (w *Worker) byPlan(s *subject) (on schedule.Result, of *subject) {
	alone, s, odds := w.leftAlone(s)
	out, n := w.unseen(s.y, s.col), alone.members
	out.Members = n
	w.judge(odds, &out)
	if out.Verdict == plan.Feed {
		return w.schedule(s, alone, &out).others.on, s
	}
	s.draw(alone, n, 2*n)
	w.grow(alone, &colony.Treatment{}, n, 2*n)
	w.others.members = s.membersFor(alone, n, 2*n, w.others.members)
	w.engine.Prepare(&w.others.set, uint64(s.key)^checkKey, w.others.members, w.terms(s, feederOf(wayOf(plan.BagOnBars)), strengthOr(&out)))
	none := make(schedule.Policy, len(s.y.Visits))
	for k := range none {
		none[k].UnderKg = math.Inf(-1)
	}
	w.engine.Judge(&w.others.set, none, &on)
	return on, s
}

// byCard lives the same springs by the lines of a card, read with the same errors.
func (w *Worker) byCard(s *subject, c *cardLines) (on schedule.Result) {
	terms := w.terms(s, c.terms.Feeder, c.terms.Rules.Strength)
	terms.LookFirst = true
	w.engine.Prepare(&w.again.set, uint64(s.key)^checkKey, w.others.members, terms)
	w.engine.Judge(&w.again.set, c.policy, &on)
	return on
}

// TestTheCardAgainstThePlan: hives that are fed by the lines of the card of their yard
// starve in hardly more springs than by plans of their own, and take no more sugar and
// trips: in the same springs, with the same errors of the hand.
func TestTheCardAgainstThePlan(t *testing.T) {
	yards, hives, members, most, mostSugar := 8, 4, 150, 4, 1.2 // few hives differ by chance
	if os.Getenv("BLOOMGAP_LONG") != "" {
		hives, members, most, mostSugar = 25, 300, 1, 1.1
	}
	var plans, cards, fedPlans, fedCards came
	for _, s := range cardYards(t, yards, hives) {
		d := Open(t, s, members, max(members, EnoughMembers/most))
		y := d.yards[s.Yards[0].Name]
		w := NewWorker(&d.options)
		like := builtAlike(y.Colonies)[0]
		var lines []cardLines
		for _, seams := range cardSeams() {
			h := cardHives{seams: seams, judged: season.FoodHeft}
			if len(lines) > 0 {
				h.syrup = lines[0].terms.Rules.Strength
			}
			lines = append(lines, w.cardLines(y, like, h))
		}
		for _, col := range y.Colonies {
			onPlan, sub := w.byPlan(w.subject(y, col))
			row := slices.IndexFunc(cardSeams(), func(x [2]int) bool { return col.Last().SeamsOfBees <= float64(x[1]) })
			onCard := w.byCard(sub, &lines[row])
			plans.add(&onPlan)
			cards.add(&onCard)
			if onPlan.MeanGiven() > 0 {
				fedPlans.add(&onPlan)
				fedCards.add(&onCard)
			}
		}
	}
	t.Logf("%.0f hives by plans: %s; by cards: %s (sugar %+.1f %%)", plans.hives, plans, cards, 100*(cards.sugarKg/plans.sugarKg-1))
	t.Logf("%.0f of them fed by plans: %s; by cards: %s (sugar %+.1f %%)", fedPlans.hives, fedPlans, fedCards, 100*(fedCards.sugarKg/fedPlans.sugarKg-1))
	for _, x := range [][2]came{{plans, cards}, {fedPlans, fedCards}} {
		p, c := x[0], x[1]
		require.LessOrEqual(t, c.riskFrac/c.hives, p.riskFrac/p.hives+0.02)
		require.LessOrEqual(t, c.sugarKg, mostSugar*p.sugarKg)
		require.LessOrEqual(t, c.given/c.hives, p.given/p.hives+0.5)
	}
	require.Greater(t, cards.sugarKg, 0.7*plans.sugarKg, "it feeds")
}

// TestCardOfAYard: a row for each class of seams, a cell for each visit; more bees are
// never fed under a lower line by far, and what the line reads as agrees with itself.
func TestCardOfAYard(t *testing.T) {
	s := seasontest.OneHive(t, map[string]string{"lift_back": "11", "boxes": "2 deep", "wrapped": "yes"}, nil)
	single := s.Colonies[0]
	single.Name, single.Boxes = "single", []season.Boxes{{Kind: season.Deep, Count: 1}}
	dead := single
	dead.Name, dead.Alive = "dead", false
	s.Colonies = append(s.Colonies, single, dead)
	d := Open(t, s, 120, 120)
	y := d.yards[s.Yards[0].Name]
	card := NewWorker(&d.options).Card(y, season.FoodUnknown)
	require.Equal(t, season.FoodLiftBack, card.Judged)
	require.Len(t, card.Hives, 2)
	require.Equal(t, y.Dates()[:len(card.Visits)], card.Visits)
	fed := 0
	for _, h := range card.Hives {
		require.True(t, h.Wrapped)
		require.Equal(t, 0, h.Rows[0].FromSeams)
		require.Equal(t, 0, h.Rows[len(h.Rows)-1].ToSeams)
		for _, r := range h.Rows {
			require.Len(t, r.Cells, len(card.Visits))
			for _, c := range r.Cells {
				if c.None() || c.All {
					continue
				}
				fed++
				require.Greater(t, c.UnderGrossKg, c.UnderKg+15)
				require.InDelta(t, 0.45*c.UnderGrossKg, c.UnderBackKg, 1e-9)
				require.Greater(t, c.UnderFrames, 0.0)
				require.True(t, c.SyrupL > 0 != (c.SolidKg > 0))
			}
		}
	}
	require.Greater(t, fed, 8)
	again := NewWorker(&d.options).Card(y, season.FoodUnknown)
	require.Equal(t, card, again)
}
