package since_test

import (
	"bytes"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/since"
	"bloomgap/feed/syrup"
)

func on(month time.Month, d int) time.Time { return time.Date(2027, month, d, 0, 0, 0, 0, time.UTC) }

// spring is an invented plan of 20 March with one colony to feed and one to leave alone.
func spring() *plan.Plan {
	s := &season.Season{Today: on(3, 20), Settings: season.DefaultSettings()}
	for _, name := range []string{"1", "2"} {
		s.Colonies = append(s.Colonies, season.Colony{Yard: "Mill", Name: name, Alive: true, Observations: []season.Observation{
			{Date: on(3, 20), Alive: true, Food: season.Food{Kind: season.FoodHeft, Heft: season.HeftLight}, SeamsOfBees: 5, CountTempC: 6, BroodFrames: math.NaN()}}})
	}
	visits := []plan.Visit{{Date: on(3, 23)}, {Date: on(4, 3)}, {Date: on(4, 14)}}
	return &plan.Plan{Season: s, Today: on(3, 20), Members: 300, Seed: 1, AcceptPct: 5,
		Yards: []plan.YardPlan{{Name: "Mill", Nectar: plan.DateRange{P10: on(5, 5), P50: on(5, 13), P90: on(5, 22)}, Visits: visits,
			Weather: plan.WeatherSource{Record: "here", ObservedTo: on(3, 19)}}},
		Colonies: []plan.ColonyPlan{
			{Yard: "Mill", Colony: "1", Verdict: plan.Feed, SeenOn: on(3, 20), StoresKg: plan.Range{P10: 2, P50: 4, P90: 6}, Risk: plan.Risk{Frac: 0.5, ErrFrac: 0.03},
				RiskFed: plan.Risk{Frac: 0.03, ErrFrac: 0.01}, StartBy: on(3, 23), Choice: plan.FeederChoice{Feeder: plan.BagOnBars},
				Feedings: []plan.Feeding{{Date: on(3, 23), SolidKg: 2.5}, {Date: on(4, 3), SyrupL: 3, UnderKg: 6}}},
			{Yard: "Mill", Colony: "2", Verdict: plan.NoFeed, SeenOn: on(3, 20), StoresKg: plan.Range{P10: 9, P50: 12, P90: 15},
				Risk: plan.Risk{Frac: 0.001, ErrFrac: 0.001}},
		},
		Order: plan.Order{SugarKg: plan.Amount{P10: 3, P50: 5, P90: 9}}}
}

// later is the same plan on 2 April, after the first visit.
func later() *plan.Plan {
	p := spring()
	p.Today, p.Season.Today = on(4, 2), on(4, 2)
	p.Yards[0].Visits = p.Yards[0].Visits[1:]
	p.Colonies[0].Feedings, p.Colonies[0].StartBy = p.Colonies[0].Feedings[1:], on(4, 3)
	return p
}

func compare(before, now *plan.Plan) *plan.Changes {
	a, b := since.Of(before), since.Of(now)
	return since.Compare(&a, &b)
}

// see adds a look to a colony.
func see(p *plan.Plan, i int, date time.Time, h season.Heft, kg float64) {
	c := &p.Season.Colonies[i]
	o := c.Observations[0]
	o.Date, o.Food = date, season.Food{Kind: season.FoodHeft, Heft: h}
	c.Observations = append(slices.Clone(c.Observations), o)
	p.Colonies[i].SeenOn, p.Colonies[i].StoresKg = date, plan.Range{P10: kg - 2, P50: kg, P90: kg + 2}
}

func holds[T plan.Note](notes []plan.Note) (T, bool) {
	for _, n := range notes {
		if x, ok := n.(T); ok {
			return x, true
		}
	}
	var none T
	return none, false
}

func TestNothingMovesByItself(t *testing.T) {
	ch := compare(spring(), spring())
	require.Equal(t, &plan.Changes{Since: on(3, 20), Same: 2}, ch)
	ch = compare(spring(), later())
	require.Empty(t, ch.Colonies, "what is done is no change")
	require.Equal(t, 2, ch.Same)
}

// TestWhoFollowsTheLineDoesNothingDifferent: a hive seen under the line is given what the line
// said, and one over it nothing; the other way round is another advice.
func TestWhoFollowsTheLineDoesNothingDifferent(t *testing.T) {
	for _, c := range []struct {
		kg, giveL float64
		differs   bool
	}{{5, 3, false}, {8, 0, false}, {5, 0, true}, {8, 3, true}, {5, 5, true}} {
		now := later()
		see(now, 0, on(4, 2), season.HeftFair, c.kg)
		now.Colonies[0].Feedings = []plan.Feeding{{Date: on(4, 14), SyrupL: 2, UnderKg: 5}}
		if c.giveL > 0 {
			now.Colonies[0].Feedings = append([]plan.Feeding{{Date: on(4, 3), SyrupL: c.giveL}}, now.Colonies[0].Feedings...)
		}
		ch := compare(spring(), now)
		if !c.differs {
			require.Empty(t, ch.Colonies, "%+v", c)
			continue
		}
		require.Len(t, ch.Colonies, 1, "%+v", c)
		n, said := holds[plan.VisitTurned](ch.Colonies[0].What)
		require.True(t, said, "%+v", c)
		require.Equal(t, plan.VisitTurned{On: on(4, 3), BeforeSyrupL: 3, BeforeUnderKg: 6, NowSyrupL: c.giveL}, n)
		_, said = holds[plan.LookedSince](ch.Colonies[0].Why)
		require.True(t, said)
	}
}

func TestTheUrgentComesFirstAndSaysWhy(t *testing.T) {
	now := later()
	see(now, 0, on(4, 2), season.HeftFair, 7)
	now.Colonies[0].Risk = plan.Risk{Frac: 0.1, ErrFrac: 0.02}
	see(now, 1, on(4, 2), season.HeftLight, 3)
	c := &now.Colonies[1]
	c.Verdict, c.TooLate, c.StartBy, c.Risk, c.RiskFed = plan.Feed, true, on(4, 3), plan.Risk{Frac: 0.8, ErrFrac: 0.03}, plan.Risk{Frac: 0.2, ErrFrac: 0.02}
	c.Feedings = []plan.Feeding{{Date: on(4, 3), SyrupL: 4}}
	now.Season.Given = []season.Given{{Yard: "Mill", Colony: "1", Date: on(3, 23), SyrupL: 2, Strength: syrup.OneToOne(), SolidKg: 2.5, FramesDeep: 1}}
	now.Yards[0].Weather.ObservedTo = on(4, 1)
	now.Yards[0].Nectar.P50 = on(5, 10)
	ch := compare(spring(), now)
	require.Len(t, ch.Colonies, 2)
	require.Equal(t, "2", ch.Colonies[0].Colony)
	require.Equal(t, plan.Urgent, ch.Colonies[0].Matter)
	require.Equal(t, 1, ch.Count(plan.Urgent))
	require.Equal(t, []plan.Note{plan.VerdictTurned{Before: plan.NoFeed, Now: plan.Feed}, plan.SoonerNow{StartBy: on(4, 3)},
		plan.VisitTurned{On: on(4, 3), NowSyrupL: 4}}, ch.Colonies[0].What[:3])
	stays, said := holds[plan.StaysAtRisk](ch.Colonies[0].What)
	require.True(t, said)
	require.InDelta(t, 0.2, stays.NowFrac, 0)
	require.Equal(t, []plan.Note{plan.WeatherKnown{BeforeTo: on(3, 19), To: on(4, 1)}, plan.NectarMoved{Before: on(5, 13), Now: on(5, 10)}}, ch.Yards[0].Why)

	fed := ch.Colonies[1]
	require.Equal(t, "1", fed.Colony)
	moved, said := holds[plan.RiskMoved](fed.What)
	require.True(t, said)
	require.Equal(t, plan.RiskMoved{BeforeFrac: 0.5, NowFrac: 0.1}, moved)
	given, said := holds[plan.GivenSince](fed.Why)
	require.True(t, said)
	require.Equal(t, on(3, 23), given.LastOn)
	require.InDelta(t, 2.5+2*syrup.OneToOne().SugarKgPerL(), given.SugarKg, 1e-9)
	order, said := holds[plan.OrderMoved](ch.Whole)
	require.True(t, said)
	require.InDelta(t, given.SugarKg, order.GivenKg, 1e-9)
}

func TestWhatIsInOnePlanOnly(t *testing.T) {
	now := later()
	now.Colonies[1].Colony, now.Season.Colonies[1].Name = "9", "9"
	ch := compare(spring(), now)
	require.Equal(t, []plan.ColonyChange{
		{Yard: "Mill", Colony: "9", Matter: plan.Differs, What: []plan.Note{plan.ColonyNew{Verdict: plan.NoFeed}}},
		{Yard: "Mill", Colony: "2", Matter: plan.Differs, What: []plan.Note{plan.ColonyGone{Verdict: plan.NoFeed}}}}, ch.Colonies)

	now = later()
	now.Yards = append(now.Yards, plan.YardPlan{Name: "Hill"})
	now.Colonies[1].Yard, now.Season.Colonies[1].Yard = "Hill", "Hill"
	ch = compare(spring(), now)
	require.Equal(t, []plan.Note{plan.ColonyMoved{FromYard: "Mill"}}, ch.Colonies[0].What)
	require.Contains(t, ch.Whole, plan.Note(plan.YardNew{Yard: "Hill"}))
	ch = compare(now, later())
	require.Contains(t, ch.Whole, plan.Note(plan.YardGone{Yard: "Hill"}))

	now = later()
	now.Colonies[0].Yard, now.Colonies[0].Colony = " mill ", "1 "
	require.Equal(t, 2, compare(spring(), now).Same, "a name is found as a keeper reads it")
}

func TestRowsThatWereChangedAreTold(t *testing.T) {
	before, now := spring(), later()
	before.Season.Given = []season.Given{{Yard: "Mill", Date: on(3, 21), SolidKg: 1}, {Yard: "Mill", Colony: "1", Date: on(3, 22), SolidKg: 1}}
	now.Season.Given = []season.Given{{Yard: "Mill", Date: on(3, 21), SolidKg: 2}}
	now.Season.Colonies[0].Observations[0].SeamsOfBees = 3
	now.Colonies[0].Risk.Frac = 0.9
	ch := compare(before, now)
	require.Len(t, ch.Colonies, 1)
	require.Equal(t, plan.Moved, ch.Colonies[0].Matter)
	require.Equal(t, []plan.Note{plan.LookRewritten{On: on(3, 20)}, plan.GivenRewritten{On: on(3, 21)}, plan.GivenRewritten{On: on(3, 22)},
		plan.DaysGone{Days: 13}}, ch.Colonies[0].Why)
	now.Season.Colonies[0].Observations[0].Date = on(3, 19)
	ch = compare(before, now)
	require.Contains(t, ch.Colonies[0].Why, plan.Note(plan.LookRewritten{On: on(3, 20), Gone: true}))
	require.Contains(t, ch.Colonies[0].Why, plan.Note(plan.LookRewritten{On: on(3, 19)}))
}

func TestSettingsThatWereChangedAreTold(t *testing.T) {
	before, now := spring(), later()
	before.Season.Settings.Parameters = []season.Parameter{{Name: "gone", Value: 1}, {Name: "other", Value: 2}}
	set := &now.Season.Settings
	set.ReserveKg, set.Strength, set.BeesWantedDate = 8, syrup.OneToOne(), on(5, 20)
	set.Parameters = []season.Parameter{{Name: "other", Value: 3}}
	now.AcceptPct, now.Seed = 2, 9
	before.Season.Settings.ReserveKg, before.Season.Settings.Strength = 5, syrup.Strength{}
	ch := compare(before, now)
	for _, want := range []plan.Note{
		plan.SettingFigure{Setting: "accepted_risk", Before: 0.05, Now: 0.02, Unit: "share"}, plan.SettingFigure{Setting: "reserve", Before: 5, Now: 8, Unit: "kg"},
		plan.SettingWord{Setting: "strength", Before: "", Now: "1:1"}, plan.SettingWord{Setting: "bees_wanted_date", Now: "2027-05-20"},
		plan.SettingFigure{Setting: "other", Before: 2, Now: 3}, plan.OtherDraws{BeforeMembers: 300, NowMembers: 300}} {
		require.Contains(t, ch.Whole, want)
	}
	gone, said := holds[plan.SettingFigure](ch.Whole[len(ch.Whole)-3:])
	require.True(t, said)
	require.Equal(t, "gone", gone.Setting)
	require.True(t, math.IsNaN(gone.Now))
	a, b := since.Of(before), since.Of(now)
	a.Settings.LossFrac = math.NaN() // of a file that did not hold it
	require.False(t, slices.ContainsFunc(since.Compare(&a, &b).Whole, func(n plan.Note) bool {
		f, ok := n.(plan.SettingFigure)
		return ok && f.Setting == "lost"
	}))
}

func TestASmallDifferenceOfRiskIsNone(t *testing.T) {
	now := later()
	now.Colonies[0].Risk.Frac = 0.56 // within twice the error of the two
	require.Empty(t, compare(spring(), now).Colonies)
	now.Colonies[0].Risk.Frac = 0.62
	require.Len(t, compare(spring(), now).Colonies, 1)
}

func TestProblems(t *testing.T) {
	s := since.Of(spring())
	require.Empty(t, s.Problems("p.json", later().Season))
	var all bytes.Buffer
	past := later().Season
	past.Today = on(3, 1)
	next := later().Season
	next.Today = next.Today.AddDate(1, 0, 0)
	other := later().Season
	other.Colonies = nil
	for _, now := range []*season.Season{past, next, other} {
		ps := s.Problems("p.json", now)
		require.Len(t, ps, 1)
		all.WriteString(ps[0].String() + "\n")
	}
	require.Equal(t, `p.json: this plan is of 2027-03-20, after the day of the season, 2027-03-01; give a plan made before, or correct the day named in the settings
p.json: this plan is of 2027-03-20, of another season than 2028-04-02; give a plan of this season
p.json: this plan has no colony of this season; give a plan of the same folder; a yard and a colony are found again by their names
`, all.String())
	s.Keep([]string{"hill"})
	require.Empty(t, s.Colonies)
	require.Empty(t, s.Yards)
}

// TestAMovedVisitIsACause: a next visit that was still to come and is on another day is
// told for its yard and for the colonies that it moved; one that was driven is not.
func TestAMovedVisitIsACause(t *testing.T) {
	now := spring()
	now.Today = on(3, 22)
	now.Yards[0].Visits[0].Date = on(3, 28)
	now.Colonies[0].Feedings[0].Date, now.Colonies[0].TooLate = on(3, 28), true
	ch := compare(spring(), now)
	n, said := holds[plan.VisitMoved](ch.Yards[0].Why)
	require.True(t, said)
	require.Equal(t, plan.VisitMoved{Before: on(3, 23), Now: on(3, 28)}, n)
	require.Equal(t, "1", ch.Colonies[0].Colony)
	_, said = holds[plan.VisitMoved](ch.Colonies[0].Why)
	require.True(t, said)
	for _, y := range compare(spring(), later()).Yards {
		_, said = holds[plan.VisitMoved](y.Why)
		require.False(t, said, "it was driven")
	}
}
