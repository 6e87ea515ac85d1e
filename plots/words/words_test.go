package words

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

func TestRisk(t *testing.T) {
	for _, c := range []struct {
		name string
		risk plan.Risk
		want string
	}{
		{"plain", plan.Risk{Frac: 0.23, ErrFrac: 0.024}, "23 % ±2"},
		{"an error is never shown as nothing", plan.Risk{Frac: 0.02, ErrFrac: 0.002}, "2 % ±1"},
		{"none seen is not none", plan.Risk{}, "< 1 %"},
		{"all seen is not all", plan.Risk{Frac: 1}, "> 99 %"},
		{"no error known", plan.Risk{Frac: 0.5, ErrFrac: math.NaN()}, "50 %"},
		{"dead", plan.Risk{Frac: math.NaN()}, "not known"},
	} {
		require.Equal(t, c.want, Risk(c.risk), c.name)
	}
}

func TestUnits(t *testing.T) {
	metric, us := Style{}, Style{US: true}
	require.Equal(t, "10 kg", metric.Mass(10))
	require.Equal(t, "22 lb", us.Mass(10))   // 10 / 0.45359237 = 22.046
	require.Equal(t, "2.4 lb", us.Mass(1.1)) // 2.425
	require.Equal(t, "3 lb", us.Mass(1.35))  // 2.976: no 3.0 beside whole pounds
	require.Equal(t, "20 L", metric.Volume(20))
	require.Equal(t, "5.3 gal", us.Volume(20)) // 20 / 3.785411784 = 5.283
	require.Equal(t, "2.6 qt", us.Volume(2.5)) // 2.5 / 0.946352946 = 2.642
	require.Equal(t, "1 gal", us.Volume(3.785411784))
	require.Equal(t, "not known", metric.Mass(math.NaN()))
	require.Equal(t, "150 kg", metric.Mass(149.7))
	require.Equal(t, "0 kg", metric.Mass(-0.01))
	require.Equal(t, "4 bags of 50 lb", us.Bags(4, 22.67962))
	require.Equal(t, "us_gal", us.UnitHeading("L"))
}

func TestDates(t *testing.T) {
	day := func(m time.Month, d int) time.Time { return time.Date(2027, m, d, 0, 0, 0, 0, time.UTC) }
	metric, us := Style{}, Style{US: true}
	same, over := plan.DateRange{P10: day(5, 5), P50: day(5, 13), P90: day(5, 22)}, plan.DateRange{P10: day(4, 29), P50: day(5, 6), P90: day(5, 15)}
	require.Equal(t, "13 May (5 to 22 May)", metric.Days(same))
	require.Equal(t, "May 13 (May 5 to 22)", us.Days(same))
	require.Equal(t, "6 May (29 Apr to 15 May)", metric.Days(over))
	require.Equal(t, "May 6 (Apr 29 to May 15)", us.Days(over))
	require.Equal(t, "Sat Mar 20", us.Day(day(3, 20)))
	require.Equal(t, "", us.Day(time.Time{}))
}

func TestFeedings(t *testing.T) {
	none := plan.ColonyPlan{}
	require.Empty(t, Style{}.FirstFeeding(&none))
	require.Empty(t, Style{}.InAll(&none))
	c := plan.ColonyPlan{SyrupL: 3.6, SolidKg: 2.4, Strength: syrup.ThreeToTwo(), Policy: plan.Policy{Feedings: 1.94},
		Feedings: []plan.Feeding{{SolidKg: 2.5}, {SyrupL: 3, UnderKg: 6}}}
	require.Equal(t, "2.5 kg solid", Style{}.FirstFeeding(&c))
	require.Equal(t, "1.9 feedings: 2.4 kg solid, 3.6 L of 3:2", Style{}.InAll(&c))
	require.Equal(t, "1.9 feedings: 5 lb solid, 3.8 qt of 3:2", Style{US: true}.InAll(&c))
	c.Feedings = c.Feedings[1:]
	require.Equal(t, "3 L of 3:2, if low", Style{}.FirstFeeding(&c))
}

func TestVisitDays(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2027, 3, d, 0, 0, 0, 0, time.UTC) }
	fed := func(yard, name string, list ...plan.Feeding) plan.ColonyPlan {
		return plan.ColonyPlan{Yard: yard, Colony: name, Strength: syrup.TwoToOne(), Choice: plan.FeederChoice{Feeder: plan.BagOnBars}, Feedings: list}
	}
	task := func(name string, what plan.Note) plan.Task { return plan.Task{Colony: name, What: what} }
	pl := &plan.Plan{Today: day(20),
		Yards: []plan.YardPlan{
			{Name: "B", Visits: []plan.Visit{{Date: day(23), Tasks: []plan.Task{task("", plan.CloseFeeders{}), task("1", plan.GiveSyrup{SyrupL: 3,
				Strength: syrup.TwoToOne(), Feeder: plan.BagOnBars}), task("1", plan.WeighHive{})}}}},
			{Name: "A", Visits: []plan.Visit{{Date: day(23)}, {Date: day(30)}, {Date: day(19)}}},
		},
		Colonies: []plan.ColonyPlan{fed("B", "1", plan.Feeding{Date: day(23), SyrupL: 3, SugarKg: 2.65, WaterL: 1.33}, plan.Feeding{Date: day(30), SyrupL: 9}),
			fed("A", "2", plan.Feeding{Date: day(23), SyrupL: 1, SugarKg: 0.88, WaterL: 0.44, OnlyIfLow: true}, plan.Feeding{Date: day(23), SolidKg: 2.5})}}
	days := VisitDays(pl, 7, Style{})
	require.Len(t, days, 1, "a day past, and one beyond what is asked for, are left out")
	d := days[0]
	require.Equal(t, []string{"3 L of 2:1 syrup: 2.6 kg of sugar in 1.3 L of water", "only for hives that are low, 1 L of 2:1 syrup: 0.9 kg of sugar in " +
		"0.4 L of water"}, d.Mix, "what is of that day only")
	require.Equal(t, []string{"2.5 kg of solid sugar", "bag on the top bars for 2 hives", "rims for solid sugar for 1 hive"}, d.Load)
	require.Equal(t, []string{"B", "A"}, []string{d.Yards[0].Name, d.Yards[1].Name}, "in the order of the table")
	require.Equal(t, []DayRow{{Colony: "1", Do: []string{"3 L of 2:1 syrup, bag on the top bars", "weigh it: that may change the answer"}}}, d.Yards[0].Rows)
	require.Len(t, d.Yards[0].Work, 1)
	require.Equal(t, []string{"look and heft"}, d.Yards[1].Work)
	require.Len(t, VisitDays(pl, 10, Style{}), 2)
}

// TestPowderOfADay: the amount the keeper entered, by yards that differ, in grams in either units; none of ours.
func TestPowderOfADay(t *testing.T) {
	day := time.Date(2027, 3, 23, 0, 0, 0, 0, time.UTC)
	yard := func(name string, r plan.DustRound) plan.YardPlan {
		return plan.YardPlan{Name: name, Visits: []plan.Visit{{Date: day, Tasks: []plan.Task{{What: r}}}}}
	}
	pl := &plan.Plan{Today: day, Yards: []plan.YardPlan{yard("A", plan.DustRound{Round: 1, Of: 3, PowderG: 12.5, Colonies: 8}),
		yard("B", plan.DustRound{Round: 1, Of: 3, PowderG: 12.5, Colonies: 5}), yard("C", plan.DustRound{Round: 2, Of: 3, PowderG: 20, Colonies: 1}),
		yard("D", plan.DustRound{Round: 2, Of: 3})}}
	for _, u := range []Style{{}, {US: true}} {
		d := VisitDays(pl, 7, u)[0]
		require.Equal(t, []string{
			"prescribed powder, at most 162.5 g: 12.5 g each for 13 living colonies, the amount in your settings; label and prescription rule",
			"prescribed powder, at most 20 g: 20 g each for 1 living colony, the amount in your settings; label and prescription rule",
		}, d.Load)
		require.Contains(t, d.Yards[0].Work[0], "dusting round 1 of 3: 12.5 g a colony, the amount in your settings, at most 100 g for 8 living colonies, as prescription and label say")
		require.NotContains(t, d.Yards[3].Work[0], " g ")
	}
}

// TestDaysOfTheTruck: a round apart from other yards, those with disease last, trips
// within the limit, containers, and a remark where yards only happen to fall on a day.
func TestDaysOfTheTruck(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2027, 3, d, 0, 0, 0, 0, time.UTC) }
	yard := func(name, round string, ill bool) plan.YardPlan {
		return plan.YardPlan{Name: name, Round: round, Disease: ill, Visits: []plan.Visit{{Date: day(23)}}}
	}
	solid := func(yard string, colonies int) plan.ColonyPlan {
		return plan.ColonyPlan{Yard: yard, Colony: "light", Tally: &plan.Tally{Colonies: colonies, LookedAt: colonies}, Strength: syrup.TwoToOne(),
			Choice: plan.FeederChoice{Feeder: plan.BagOnBars}, Feedings: []plan.Feeding{{Date: day(23), SyrupL: 4, SugarKg: 3.5, WaterL: 1.8}}}
	}
	s := &season.Season{}
	s.Settings.Truck = season.Truck{LoadKg: 100, ContainerL: 20}
	pl := &plan.Plan{Today: day(20), Season: s, Yards: []plan.YardPlan{yard("Ill", "east", true), yard("A", "east", false), yard("B", "east", false), yard("C", "", false), yard("D", "", false)},
		Colonies: []plan.ColonyPlan{solid("Ill", 4), solid("A", 12), solid("B", 10), solid("C", 50)}}
	days := VisitDays(pl, 7, Style{})
	require.Len(t, days, 2)
	none, east := days[0], days[1]
	require.Equal(t, "Tue 23 Mar, round east", east.Name(Style{}))
	require.Equal(t, []string{"A", "B", "Ill"}, []string{east.Yards[0].Name, east.Yards[1].Name, east.Yards[2].Name})
	kg := 4 * syrup.DensityKgPerL(syrup.TwoToOne().MassFrac)
	require.Equal(t, []string{"More than one trip carries (100 kg): trip 1: A, " + Style{}.Mass(12*kg) + " and trip 2: B and Ill, " + Style{}.Mass(14*kg) + "."}, east.Remark)
	require.Equal(t, []string{"104 L of 2:1 syrup: 91 kg of sugar in 46.8 L of water, in 6 containers of 20 L"}, east.Mix)
	require.Equal(t, "2 yards on one day: C and D. See that one day does for them; yards that go together may have one round in the table of yards.", none.Remark[0])
	require.Contains(t, none.Remark[1], "C alone: "+Style{}.Mass(50*kg)+" in 3 trips")
	require.Equal(t, []DayRow{{Colony: "light, 12 colonies", Tally: true}}, east.Yards[0].Rest, "no task here: room for their heft")
}

func TestOrderBy(t *testing.T) {
	day := func(m time.Month, d int) time.Time { return time.Date(2027, m, d, 0, 0, 0, 0, time.UTC) }
	pl := &plan.Plan{Today: day(3, 10)}
	require.Empty(t, OrderByLine(pl, Style{}))
	pl.OrderBy = plan.OrderBy{First: day(3, 15), FirstNeeded: day(3, 23), Later: day(3, 25), LeadDays: 7}
	require.Equal(t, "Order by Mon 15 Mar for the first visits (7 days from the order to the yard). Order the rest by Thu 25 Mar.", OrderByLine(pl, Style{}))
	pl.Today = day(3, 20)
	require.Equal(t, "Order at once, and find sugar nearer by for the first visit on Tue 23 Mar: with 7 days from the order to the yard an order of today "+
		"comes too late for it. Order the rest by Thu 25 Mar.", OrderByLine(pl, Style{}))
}

func TestRoundsAreNamedOnce(t *testing.T) {
	d := VisitDay{Date: time.Date(2027, 3, 23, 0, 0, 0, 0, time.UTC), Round: "Round A"}
	require.Equal(t, "Tue 23 Mar, Round A", d.Name(Style{}))
}
