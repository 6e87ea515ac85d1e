// Package plantest holds an invented plan for the tests of all rooms that show a plan.
// Its figures hang together well enough to be read, and stay as
// they are when the model changes. No real hive, no real weather.
package plantest

import (
	"fmt"
	"math"
	"time"

	"bloomgap/feed"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

func day(month time.Month, d int) time.Time {
	return time.Date(2025, month, d, 0, 0, 0, 0, time.UTC)
}

func dates(m time.Month, d, spread int) feed.DateRange {
	mid := day(m, d)
	return feed.DateRange{P10: mid.AddDate(0, 0, -spread), P50: mid, P90: mid.AddDate(0, 0, spread)}
}

func around(mid, spread float64) feed.Range {
	return feed.Range{P10: mid - spread, P50: mid, P90: mid + spread}
}

// Plan is an invented plan of 3 yards and 14 colonies: to feed with syrup, with
// solid feed and too late, to watch, to leave alone, and dead.
func Plan() *feed.Plan {
	p := &feed.Plan{
		Season: &season.Season{Today: day(3, 20), Invented: true, Settings: season.Settings{AcceptRiskFrac: 0.05, ReserveKg: 5, SugarBagKg: 25, ProteinConsidered: true,
			BeesWantedDate: day(5, 20), BeesWantedBees: 20000, Springs: 30, Draws: 10, Seed: 7}},
		Today: day(3, 20), Members: 300, Seed: 7, Invented: true, AcceptPct: 5,
		Warnings: []string{"the weather record holds 12 springs only; 30 or more say more about rare ones"},
		Cautions: []string{
			"Use white sugar only; never feed honey of unknown origin.",
			"Feed inside the hive, in the evening, with the entrance reduced; spill nothing.",
			"No syrup while honey supers are on.",
			"Hot syrup burns; a full deep weighs 36-41 kg: lift with care."},
		Left: []string{"robbing and drifting", "swarming", "disease and mites"},
	}
	yards := []struct {
		name     string
		lat, lon float64
		bloom    int
	}{{"Home", 45.30, -72.90, 6}, {"Côte-à-Liguori", 45.42, -72.71, 9}, {"Mill road", 45.18, -73.05, 4}}
	for i, y := range yards {
		yp := feed.YardPlan{Name: y.name, LatDeg: y.lat, LonDeg: y.lon, Bloom: dates(5, y.bloom-4, 6), Nectar: dates(5, y.bloom, 8), NonFlying: around(31, 6),
			Weather: "12 past springs of the record weather/invented.csv, 2013-2024"}
		for v := range 5 {
			yp.Visits = append(yp.Visits, feed.Visit{Date: day(3, 24+i).AddDate(0, 0, 10*v)})
		}
		for w := range 8 {
			yp.WeekDates = append(yp.WeekDates, day(3, 20).AddDate(0, 0, 7*w))
		}
		for n := range 12 {
			off := (n*7)%15 - 7
			yp.Years = append(yp.Years, feed.YearFact{Label: fmt.Sprint(2013 + n), Bloom: yp.Bloom.P50.AddDate(0, 0, off), Nectar: yp.Nectar.P50.AddDate(0, 0, off), NonFlying: 31 + off, LongSpell: 8 + off/3})
		}
		p.Yards = append(p.Yards, yp)
	}
	p.Yards[1].Warnings = []string{"no longitude given: day length is that of the middle of the time zone"}
	p.Yards[2].Dead = []string{"M9"}

	add := func(yard int, name string, v feed.Verdict, risk, stores, bees float64) *feed.ColonyPlan {
		y := &p.Yards[yard]
		c := feed.ColonyPlan{Yard: y.Name, Colony: name, Verdict: v, SeenOn: day(3, 18), Members: 300, StoresKg: around(stores, 1.6), Bees: around(bees, bees/4),
			Risk: feed.Risk{Frac: risk, ErrFrac: math.Sqrt(risk * (1 - risk) / 300)}, Bloom: y.Bloom, Nectar: y.Nectar, NonFlying: y.NonFlying, ColdSpell: around(8, 3), BloomBees: around(bees*0.8, bees/4),
			Boxes: []season.Boxes{{Kind: season.Deep, Count: 1}}, ReserveFrac: math.NaN(),
			Surety: feed.Surety{NeedStoresKg: 9.5, NeedGrossKg: 24.6, RiskIfLightly: min(1, risk*1.8), RiskIfHeavily: risk / 4}}
		for w := range y.WeekDates {
			c.RiskByWeek = append(c.RiskByWeek, risk*float64(w)/float64(len(y.WeekDates)-1))
		}
		p.Colonies = append(p.Colonies, c)
		return &p.Colonies[len(p.Colonies)-1]
	}
	syrupFills := func(c *feed.ColonyPlan, yard int, s syrup.Strength, each float64, n, late int) {
		c.Strength = s
		for i := range n + late {
			f := feed.Fill{Date: p.Yards[yard].Visits[i].Date, SyrupL: each, SugarKg: each * s.SugarKgPerL(), NeededFrac: 1 - 0.12*float64(i), OnlyIfNoNectar: i >= n}
			if f.OnlyIfNoNectar {
				f.NeededFrac = 0.4
			} else {
				c.SyrupL += each
				c.SyrupSugarKg += f.SugarKg
			}
			c.Fills = append(c.Fills, f)
		}
		c.StartBy, c.ReserveFrac = c.Fills[0].Date, 0.71
		c.RiskFed = feed.Risk{Frac: 0.021, ErrFrac: 0.008}
		c.Choice = feed.Choice{Way: "bag on the top bars", Reason: "cold days are expected and the cluster is small: the bag touches the bees", RunnerUp: "pail over the inner cover", Against: "bees must come up through the hole on cold days", OnHand: true}
		c.ReserveDate, c.StarveDate = day(4, 4), day(4, 15)
	}

	c := add(0, "B7", feed.Feed, 0.86, 3.1, 6200)
	syrupFills(c, 0, syrup.TwoToOne(), 3, 4, 1)
	c.TooLate, c.StartBy = true, day(3, 22)
	c.Fills = append([]feed.Fill{{Date: day(3, 24), SolidKg: 2.5, NeededFrac: 1}}, c.Fills...)
	c.SolidKg = 2.5
	c.Reason = "it holds about 3.1 kg, uses near 1 kg a week, and nectar is not likely before 6 May"
	c.Surety.Words = "Weighing would hardly change the answer: even as heavy as it may be it needs feed"
	c.Protein = feed.Protein{Considered: true, From: day(3, 24), Risk: feed.Risk{Frac: 0.93, ErrFrac: 0.015}, RiskFed: feed.Risk{Frac: 0.03, ErrFrac: 0.01}, BloomBees: around(6900, 1500), WantedBees: around(14100, 3000),
		BareWanted: around(11800, 2800), ExtraSyrupL: 1.9, ExtraKg: 1.6, SupplementKg: 1.1, Emerge: day(4, 20), Forage: day(5, 8), WindowFrom: day(4, 4), WindowTo: day(4, 16), LeadDays: around(38, 5),
		Advice: "leave it: more mouths before nectar, and the bees come after bloom"}

	c = add(2, "M2", feed.Feed, 0.63, 4.0, 7400)
	syrupFills(c, 2, syrup.ThreeToTwo(), 2.5, 4, 0)
	c.Reason = "it holds about 4.0 kg and would run out in the middle of April in most springs"
	c.Choice.OnHand = false
	c.Surety.Words = "Fairly sure"

	c = add(1, "L3", feed.Feed, 0.41, 4.9, 3100)
	c.SolidKg, c.StartBy, c.RiskFed, c.ReserveFrac = 2.5, day(3, 25), feed.Risk{Frac: 0.048, ErrFrac: 0.012}, 0.55
	c.Fills = []feed.Fill{{Date: day(3, 25), SolidKg: 2.5, NeededFrac: 1}}
	c.Warnings = []string{"tiny cluster, about 3,100 bees: it may be lost whatever it is fed", "no brood data: brood is a guess from the cluster"}
	c.Reason = "the cluster is too small to take syrup in the cold that is expected; solid feed over it holds it until mid April"
	c.Surety = feed.Surety{WeighFirst: true, NeedStoresKg: 7.0, NeedGrossKg: math.NaN(), RiskIfLightly: 0.72, RiskIfHeavily: 0.03, Words: "Not sure: it was only hefted"}

	c = add(0, "B12", feed.Feed, 0.12, 6.4, 9100)
	syrupFills(c, 0, syrup.ThreeToTwo(), 2.5, 1, 1)
	c.StarveDate = day(4, 30)
	c.Warnings = []string{"no brood data: brood is a guess from the cluster"}
	c.Reason = "it may run short in a late spring"

	for i, name := range []string{"B2", "L1"} {
		c = add(i, name, feed.Watch, 0.031, 8.2, 8800)
		c.ReserveDate = day(4, 26)
		c.Reason = "safe for now, but not if the spring is as late as one in ten"
		c.Surety.WeighFirst = i == 0
		c.Surety.Words = "Look again at the next visit"
	}
	for i, name := range []string{"B1", "B3", "B4", "L2", "M1", "M4"} {
		add([]int{0, 0, 0, 1, 2, 2}[i], name, feed.Leave, 0.001, 14, 11000).Reason = "heavy enough for a late spring"
	}
	add(0, "B5", feed.Clear, math.NaN(), math.NaN(), math.NaN()).Risk.ErrFrac = math.NaN()
	add(2, "M9", feed.Clear, math.NaN(), math.NaN(), math.NaN())

	p.Order.BagKg = 25
	for i := range p.Yards {
		y := &p.Yards[i]
		y.Order.BagKg = 25
		needs := map[season.Item]int{}
		for _, c := range p.Colonies {
			if c.Yard != y.Name {
				continue
			}
			switch c.Verdict {
			case feed.Feed:
				y.Feed++
				y.Order.Colonies++
			case feed.Watch:
				y.Watch++
			case feed.Leave:
				y.Leave++
			}
			plus(&y.Order.SyrupL, c.SyrupL)
			plus(&y.Order.SyrupSugarKg, c.SyrupSugarKg)
			plus(&y.Order.SolidKg, c.SolidKg)
			plus(&y.Order.SugarKg, c.SyrupSugarKg+c.SolidKg)
			if c.SyrupL > 0 {
				plus(&y.Order.WaterL, c.SyrupL*c.Strength.WaterLPerL())
				needs[season.BagRim]++
			}
			if c.SolidKg > 0 {
				needs[season.CandyRim]++
			}
			for _, f := range c.Fills {
				for v := range y.Visits {
					if !y.Visits[v].Date.Equal(f.Date) {
						continue
					}
					what := fmt.Sprintf("%.1f L of %s syrup, bag on the top bars", f.SyrupL, c.Strength)
					if f.SolidKg > 0 {
						what = fmt.Sprintf("%.1f kg of solid feed", f.SolidKg)
					}
					y.Visits[v].Tasks = append(y.Visits[v].Tasks, feed.Task{Colony: c.Colony, What: what})
				}
			}
			if c.Verdict == feed.Watch {
				y.Visits[0].Tasks = append(y.Visits[0].Tasks, feed.Task{Colony: c.Colony, What: "weigh or heft"})
			}
			if c.Verdict == feed.Clear {
				y.Visits[0].Tasks = append(y.Visits[0].Tasks, feed.Task{Colony: c.Colony, What: "dead: close and clear away"})
			}
		}
		bags(&y.Order)
		for _, item := range []season.Item{season.BagRim, season.CandyRim} {
			if n := needs[item]; n > 0 {
				y.Order.Gear = append(y.Order.Gear, feed.GearLine{Item: item, Needed: n, OnHand: 1, Buy: n - 1})
			}
		}
		o := &p.Order
		o.Colonies += y.Order.Colonies
		for _, a := range []struct{ all, one *feed.Amount }{{&o.SyrupL, &y.Order.SyrupL}, {&o.SyrupSugarKg, &y.Order.SyrupSugarKg}, {&o.SolidKg, &y.Order.SolidKg}, {&o.SugarKg, &y.Order.SugarKg}, {&o.WaterL, &y.Order.WaterL}} {
			a.all.P50 += a.one.P50
			a.all.P90 += a.one.P90
		}
	}
	bags(&p.Order)
	p.Order.Gear = []feed.GearLine{{Item: season.BagRim, Needed: 3, OnHand: 2, Buy: 1}, {Item: season.CandyRim, Needed: 2, OnHand: 3}}
	return p
}

func plus(a *feed.Amount, v float64) {
	a.P50 += v
	a.P90 += v * 1.25
}

func bags(o *feed.Order) {
	o.SugarBags = feed.Amount{P50: math.Ceil(o.SugarKg.P50 / o.BagKg), P90: math.Ceil(o.SugarKg.P90 / o.BagKg)}
}

// Details are invented paths for the colonies of a plan, in its order.
func Details(p *feed.Plan) []feed.Detail {
	out := make([]feed.Detail, len(p.Colonies))
	for i, c := range p.Colonies {
		d := &out[i]
		d.Yard, d.Colony, d.Fills, d.ReserveKg = c.Yard, c.Colony, c.Fills, 5
		if c.Verdict == feed.Clear {
			continue
		}
		for _, v := range p.Yards {
			if v.Name == c.Yard {
				for _, visit := range v.Visits {
					d.Visits = append(d.Visits, visit.Date)
				}
			}
		}
		fed := len(c.Fills) > 0
		const days = 60
		for n := range days {
			t := float64(n)
			on := p.Today.AddDate(0, 0, n)
			d.Dates = append(d.Dates, on)
			alone := c.StoresKg.P50 - 0.13*t
			push(&d.StoresAlone, max(0, alone), 0.4+0.02*t)
			if fed {
				given := 0.0
				for _, f := range c.Fills {
					if !f.Date.After(on) {
						given += f.SugarKg + f.SolidKg
					}
				}
				push(&d.StoresFed, max(0, alone+given), 0.4+0.02*t)
				d.RiskFed = append(d.RiskFed, c.RiskFed.Frac*t/days)
			}
			d.RiskAlone = append(d.RiskAlone, c.Risk.Frac*t/days)
			bees := c.Bees.P50 * (1 - 0.012*t + 0.00022*t*t)
			push(&d.Bees, bees, bees/6)
			push(&d.Brood, 120*t, 20*t)
			if c.Protein.Considered {
				d.RiskProtein = append(d.RiskProtein, c.Protein.Risk.Frac*t/days)
				d.RiskProtFed = append(d.RiskProtFed, c.Protein.RiskFed.Frac*t/days)
				push(&d.BeesProtein, bees+max(0, t-30)*60, bees/6)
				push(&d.BroodProtein, 150*t, 20*t)
				d.ForagersExtra = append(d.ForagersExtra, max(0, t-40)*40)
			}
			d.BloomFrac = append(d.BloomFrac, min(1, max(0, (t-35)/15)))
			d.NectarFrac = append(d.NectarFrac, min(1, max(0, (t-38)/18)))
		}
	}
	return out
}

func push(b *feed.Band, mid, spread float64) {
	at := func(k float64) float64 { return max(0, mid+k*spread) }
	b.P10, b.P25, b.P50, b.P75, b.P90 = append(b.P10, at(-2)), append(b.P25, at(-1)), append(b.P50, mid), append(b.P75, at(1)), append(b.P90, at(2))
}
