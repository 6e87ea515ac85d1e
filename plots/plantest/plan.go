// Package plantest holds an invented plan for the tests of all rooms that show a plan.
// Its figures hang together well enough to be read, and stay as
// they are when the model changes. No real hive, no real weather.
package plantest

import (
	"fmt"
	"math"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
)

func day(month time.Month, d int) time.Time {
	return time.Date(2025, month, d, 0, 0, 0, 0, time.UTC)
}

func dates(m time.Month, d, spread int) plan.DateRange {
	mid := day(m, d)
	return plan.DateRange{P10: mid.AddDate(0, 0, -spread), P50: mid, P90: mid.AddDate(0, 0, spread)}
}

func around(mid, spread float64) plan.Range {
	return plan.Range{P10: mid - spread, P50: mid, P90: mid + spread}
}

// Plan is an invented plan of 3 yards and 14 colonies: to feed with syrup, with
// solid feed and too late, to watch, to leave alone, and dead.
func Plan() *plan.Plan {
	p := &plan.Plan{
		Season: &season.Season{
			Today:    day(3, 20),
			Invented: true,
			Settings: season.Settings{AcceptRiskFrac: 0.05, ReserveKg: 5, SugarBagKg: 25, ProteinConsidered: true,
				BeesWantedDate: day(5, 20), BeesWantedBees: 20000, Springs: 30, Draws: 10, Seed: 7},
		},
		Today: day(3, 20), Members: 300, Seed: 7, Invented: true, AcceptPct: 5,
		Warnings: []plan.Note{plan.OrderLacksSyrup{Colonies: 1, ExtraSyrupL: 1.9}},
		Cautions: plan.Cautions(), Limits: plan.Limits(),
	}
	yards := []struct {
		name     string
		lat, lon float64
		bloom    int
	}{{"Home", 45.30, -72.90, 6}, {"Côte-à-Liguori", 45.42, -72.71, 9}, {"Mill road", 45.18, -73.05, 4}}
	for i, y := range yards {
		yp := plan.YardPlan{Name: y.name, LatDeg: y.lat, LonDeg: y.lon, Bloom: dates(5, y.bloom-4, 6), Nectar: dates(5, y.bloom, 8), NonFlying: around(31, 6),
			Weather: plan.WeatherSource{Record: "Invented", PastSprings: 12, Plant: "dandelion"}}
		for v := range 5 {
			yp.Visits = append(yp.Visits, plan.Visit{Date: day(3, 24+i).AddDate(0, 0, 10*v)})
		}
		for w := range 8 {
			yp.WeekDates = append(yp.WeekDates, day(3, 20).AddDate(0, 0, 7*w))
		}
		for n := range 12 {
			off := (n*7)%15 - 7
			yp.Years = append(
				yp.Years,
				plan.YearFact{
					Label:     fmt.Sprint(2013 + n),
					Bloom:     yp.Bloom.P50.AddDate(0, 0, off),
					Nectar:    yp.Nectar.P50.AddDate(0, 0, off),
					NonFlying: 31 + off,
					LongSpell: 8 + off/3,
				},
			)
		}
		p.Yards = append(p.Yards, yp)
	}
	p.Yards[1].Warnings = []plan.Note{plan.FewSprings{Whole: 12, Generated: 18}}
	p.Yards[2].Dead = []string{"M9"}

	add := func(yard int, name string, v plan.Verdict, risk, stores, bees float64) *plan.ColonyPlan {
		y := &p.Yards[yard]
		c := plan.ColonyPlan{
			Yard:     y.Name,
			Colony:   name,
			Verdict:  v,
			SeenOn:   day(3, 18),
			Members:  300,
			StoresKg: around(stores, 1.6),
			Bees:     around(bees, bees/4),
			Risk: plan.Risk{
				Frac:    risk,
				ErrFrac: math.Sqrt(risk * (1 - risk) / 300),
			},
			Bloom:       y.Bloom,
			Nectar:      y.Nectar,
			NonFlying:   y.NonFlying,
			ColdSpell:   around(8, 3),
			BloomBees:   around(bees*0.8, bees/4),
			Boxes:       []season.Boxes{{Kind: season.Deep, Count: 1}},
			ReserveFrac: math.NaN(),
			Confidence:  plan.Confidence{NeedStoresKg: 9.5, NeedGrossKg: 24.6, RiskIfLightFrac: min(1, risk*1.8), RiskIfHeavyFrac: risk / 4},
		}
		for w := range y.WeekDates {
			c.RiskByWeek = append(c.RiskByWeek, risk*float64(w)/float64(len(y.WeekDates)-1))
		}
		p.Colonies = append(p.Colonies, c)
		return &p.Colonies[len(p.Colonies)-1]
	}
	syrupFills := func(c *plan.ColonyPlan, yard int, s syrup.Strength, each float64, n, late int) {
		c.Strength = s
		for i := range n + late {
			f := plan.Feeding{
				Date:         p.Yards[yard].Visits[i].Date,
				SyrupL:       each,
				SugarKg:      each * s.SugarKgPerL(),
				WaterL:       each * s.WaterLPerL(),
				NeededFrac:   1 - 0.12*float64(i),
				OnlyIfLow:    i >= n,
				UnderGrossKg: math.NaN(),
			}
			if i > 0 {
				f.UnderKg, f.UnderGrossKg, f.UnderHeft = 5.5, 24.6, season.HeftLight
			}
			if f.OnlyIfLow {
				f.NeededFrac = 0.4
			} else {
				c.SyrupL += each
				c.SyrupSugarKg += f.SugarKg
			}
			c.Feedings = append(c.Feedings, f)
		}
		c.StartBy, c.ReserveFrac = c.Feedings[0].Date, 0.71
		c.Policy = plan.Policy{
			Feedings: 0.8 * float64(n),
			SugarKg:  plan.Range{P10: 0.7 * c.SyrupSugarKg, P50: c.SyrupSugarKg, P90: 1.3 * c.SyrupSugarKg},
			AtATime:  1,
			Blocks:   1,
		}
		c.RiskFed = plan.Risk{Frac: 0.021, ErrFrac: 0.008}
		c.Choice = plan.FeederChoice{Feeder: plan.BagOnBars, Reason: plan.FeederTouches{NonFlyingDays: 31, ColdSpellDays: 11},
			RunnerUp: plan.PailOverCover, Against: plan.AgainstNotTouching{MaxC: 7}, OnHand: true}
		c.ReserveDate, c.StarveDate = day(4, 4), day(4, 15)
	}

	c := add(0, "B7", plan.Feed, 0.86, 3.1, 6200)
	syrupFills(c, 0, syrup.TwoToOne(), 3, 4, 1)
	c.TooLate, c.StartBy = true, day(3, 22)
	c.Feedings = append([]plan.Feeding{{Date: day(3, 24), SolidKg: 2.5, NeededFrac: 1}}, c.Feedings...)
	c.SolidKg = 2.5
	c.Reason = reason(c, plan.Starves{RiskFrac: 0.86, AcceptFrac: 0.05, FedFrac: 0.021, AcceptedBy: c.StarveDate, SolidFirst: true})
	c.Confidence.Note = plan.WeighingIdle{NeedStoresKg: 9.5, NeedGrossKg: 24.6, On: c.SeenOn}
	c.Unwrap = plan.Unwrap{Wrapped: true, On: day(3, 24), CostKg: plan.Range{P10: 0.5, P50: 0.8, P90: 1.2}, RiskOn: plan.Risk{Frac: 0.55, ErrFrac: 0.03},
		RiskOff: plan.Risk{Frac: 0.6, ErrFrac: 0.03}, FedOn: plan.Risk{Frac: 0.03, ErrFrac: 0.01}, FedOff: plan.Risk{Frac: 0.04, ErrFrac: 0.01},
		CoolNights: plan.Range{P10: 31, P50: 37, P90: 45}, CoolC: 5, From: day(4, 19), UnderKg: 0.5}
	c.Hungry = plan.Hungry{
		Members:     300,
		Risk:        plan.Risk{Frac: 0.4, ErrFrac: 0.03},
		Growing:     c.Risk,
		BloomBees:   around(6000, 1500),
		GrowingBees: around(6900, 1500),
	}
	c.Supplement = plan.Supplement{
		Considered: true,
		From:       day(3, 24),
		Risk:       plan.Risk{Frac: 0.93, ErrFrac: 0.015},
		RiskFed:    plan.Risk{Frac: 0.03, ErrFrac: 0.01},
		BloomBees:  around(6900, 1500),
		WantedBees: around(14100, 3000),
		BareWanted: around(
			11800,
			2800,
		),
		GainBees:     around(2300, 900),
		GainErrBees:  180,
		ExtraSyrupL:  1.9,
		ExtraKg:      1.6,
		SupplementKg: 1.1,
		Emerge:       day(4, 20),
		Forage:       day(5, 8),
		WindowFrom:   day(4, 4),
		WindowTo:     day(4, 16),
		LeadDays:     around(38, 5),
		Advice:       []plan.Note{plan.SupplementEnough{Bees: 11800, WantedOn: day(5, 20)}},
	}

	c = add(2, "M2", plan.Feed, 0.63, 4.0, 7400)
	syrupFills(c, 2, syrup.ThreeToTwo(), 2.5, 4, 0)
	c.Reason = reason(c, plan.Starves{RiskFrac: 0.63, AcceptFrac: 0.05, FedFrac: 0.021, AcceptedBy: c.StarveDate})
	c.Choice.OnHand = false
	c.Confidence.Note = plan.WasWeighed{NeedStoresKg: 9.5, NeedGrossKg: 24.6, On: c.SeenOn}

	c = add(1, "L3", plan.Feed, 0.41, 4.9, 3100)
	c.SolidKg, c.StartBy, c.RiskFed, c.ReserveFrac = 2.5, day(3, 25), plan.Risk{Frac: 0.048, ErrFrac: 0.012}, 0.55
	c.Feedings = []plan.Feeding{{Date: day(3, 25), SolidKg: 2.5, NeededFrac: 1}}
	c.Warnings = []plan.Note{plan.SmallCluster{Bees: 3100}, plan.BroodNotSeen{}}
	c.Reason = reason(c, plan.Starves{RiskFrac: 0.41, AcceptFrac: 0.05, FedFrac: 0.048, SolidFirst: true})
	c.Confidence = plan.Confidence{WeighFirst: true, NeedStoresKg: 7.0, NeedGrossKg: math.NaN(), RiskIfLightFrac: 0.72, RiskIfHeavyFrac: 0.03,
		Note: plan.WeighIt{RiskIfLightFrac: 0.72, RiskIfHeavyFrac: 0.03, NeedStoresKg: 7, NeedGrossKg: math.NaN(), On: c.SeenOn}}

	c = add(0, "B12", plan.Feed, 0.12, 6.4, 9100)
	syrupFills(c, 0, syrup.ThreeToTwo(), 2.5, 1, 1)
	c.StarveDate = day(4, 30)
	c.Warnings = []plan.Note{plan.BroodNotSeen{}}
	c.Reason = reason(c, plan.Starves{RiskFrac: 0.12, AcceptFrac: 0.05, FedFrac: 0.021, AcceptedBy: c.StarveDate})

	for i, name := range []string{"B2", "L1"} {
		c = add(i, name, plan.Watch, 0.031, 8.2, 8800)
		c.ReserveDate = day(4, 26)
		c.Reason = reason(c, plan.PassesReserve{RiskFrac: 0.031, ReserveKg: 5, On: c.ReserveDate})
		c.Confidence.WeighFirst = i == 0
		c.Confidence.Note = plan.WeighIt{RiskIfLightFrac: 0.056, RiskIfHeavyFrac: 0.008, NeedStoresKg: 9.5, NeedGrossKg: 24.6, On: c.SeenOn}
	}
	for i, name := range []string{"B1", "B3", "B4", "L2", "M1", "M4"} {
		c = add([]int{0, 0, 0, 1, 2, 2}[i], name, plan.NoFeed, 0.001, 14, 11000)
		c.Reason = reason(c, plan.Holds{RiskFrac: 0.001, ReserveKg: 5})
	}
	add(0, "B5", plan.Dead, math.NaN(), math.NaN(), math.NaN()).Risk.ErrFrac = math.NaN()
	add(2, "M9", plan.Dead, math.NaN(), math.NaN(), math.NaN())

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
			case plan.Feed:
				y.Feed++
				y.Order.Colonies++
			case plan.Watch:
				y.Watch++
			case plan.NoFeed:
				y.NoFeed++
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
			for _, f := range c.Feedings {
				for v := range y.Visits {
					if !y.Visits[v].Date.Equal(f.Date) {
						continue
					}
					var what plan.Note = plan.GiveSyrup{SyrupL: f.SyrupL, Strength: c.Strength, Feeder: plan.BagOnBars}
					if f.SolidKg > 0 {
						what = plan.GiveSolid{SolidKg: f.SolidKg}
					}
					y.Visits[v].Tasks = append(y.Visits[v].Tasks, plan.Task{Colony: c.Colony, What: what})
				}
			}
			if c.Verdict == plan.Watch {
				y.Visits[0].Tasks = append(y.Visits[0].Tasks, plan.Task{Colony: c.Colony, What: plan.HeftAgain{}})
			}
			if c.Verdict == plan.Dead {
				y.Visits[0].Tasks = append(y.Visits[0].Tasks, plan.Task{Colony: c.Colony, What: plan.SeeDead{}})
			}
		}
		bags(&y.Order)
		for _, item := range []season.Item{season.BagRim, season.CandyRim} {
			if n := needs[item]; n > 0 {
				y.Order.Gear = append(y.Order.Gear, plan.GearLine{Item: item, Needed: n, OnHand: 1, Buy: n - 1})
			}
		}
		o := &p.Order
		o.Colonies += y.Order.Colonies
		for _, a := range []struct{ all, one *plan.Amount }{{&o.SyrupL, &y.Order.SyrupL}, {&o.SyrupSugarKg, &y.Order.SyrupSugarKg}, {&o.SolidKg, &y.Order.SolidKg},
			{&o.SugarKg, &y.Order.SugarKg}, {&o.WaterL, &y.Order.WaterL}} {
			a.all.P50 += a.one.P50
			a.all.P90 += a.one.P90
		}
	}
	bags(&p.Order)
	p.Order.Gear = []plan.GearLine{{Item: season.BagRim, Needed: 3, OnHand: 2, Buy: 1}, {Item: season.CandyRim, Needed: 2, OnHand: 3}}
	return p
}

// reason is a whole reason that ends in a verdict.
func reason(c *plan.ColonyPlan, verdict plan.Note) []plan.Note {
	return []plan.Note{
		plan.Seen{Food: season.FoodHeft, On: c.SeenOn, StoresKg: c.StoresKg, Bees: c.Bees.P50},
		plan.Need{Nectar: c.Nectar, On: c.SeenOn, StoresKg: plan.Range{P10: 4, P50: 6, P90: 9}, KgPerWeek: 1},
		verdict,
	}
}

func plus(a *plan.Amount, v float64) {
	a.P50 += v
	a.P90 += v * 1.25
}

func bags(o *plan.Order) {
	o.SugarBags = plan.Amount{P50: math.Ceil(o.SugarKg.P50 / o.BagKg), P90: math.Ceil(o.SugarKg.P90 / o.BagKg)}
}

// Details are invented paths for the colonies of a plan, in its order.
func Details(p *plan.Plan) []plan.Detail {
	out := make([]plan.Detail, len(p.Colonies))
	for i, c := range p.Colonies {
		d := &out[i]
		d.Yard, d.Colony, d.Feedings, d.ReserveKg = c.Yard, c.Colony, c.Feedings, 5
		if c.Verdict == plan.Dead {
			continue
		}
		for _, v := range p.Yards {
			if v.Name == c.Yard {
				for _, visit := range v.Visits {
					d.Visits = append(d.Visits, visit.Date)
				}
			}
		}
		fed := len(c.Feedings) > 0
		const days = 60
		for n := range days {
			t := float64(n)
			on := p.Today.AddDate(0, 0, n)
			d.Dates = append(d.Dates, on)
			alone := c.StoresKg.P50 - 0.13*t
			push(&d.StoresAlone, max(0, alone), 0.4+0.02*t)
			if fed {
				given := 0.0
				for _, f := range c.Feedings {
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
			if c.Supplement.Considered {
				d.RiskSupplement = append(d.RiskSupplement, c.Supplement.Risk.Frac*t/days)
				d.RiskSupplementFed = append(d.RiskSupplementFed, c.Supplement.RiskFed.Frac*t/days)
				push(&d.BeesSupplement, bees+max(0, t-30)*60, bees/6)
				push(&d.BroodSupplement, 150*t, 20*t)
				d.ForagersExtra = append(d.ForagersExtra, max(0, t-40)*40)
			}
			d.BloomFrac = append(d.BloomFrac, min(1, max(0, (t-35)/15)))
			d.NectarFrac = append(d.NectarFrac, min(1, max(0, (t-38)/18)))
		}
	}
	return out
}

func push(b *plan.Band, mid, spread float64) {
	at := func(k float64) float64 { return max(0, mid+k*spread) }
	b.P10, b.P25, b.P50, b.P75, b.P90 = append(b.P10, at(-2)), append(b.P25, at(-1)), append(b.P50, mid), append(b.P75, at(1)), append(b.P90, at(2))
}
