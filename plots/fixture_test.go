package plots

import (
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
	"time"

	"bloomgap/feed/plan"
)

// All that is drawn here is invented.

func day(m time.Month, d int) time.Time { return time.Date(2026, m, d, 0, 0, 0, 0, time.UTC) }

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// inventDetail is a colony from 14 March on that runs low in April.
func inventDetail(yard, name string) plan.Detail {
	d := plan.Detail{Yard: yard, Colony: name, ReserveKg: 5}
	const n = 71
	band := func(mid, sd func(i float64) float64) plan.Band {
		var b plan.Band
		for i := 0; i < n; i++ {
			m, s := mid(float64(i)), sd(float64(i))
			q := func(z float64) float64 { return math.Max(0, m+z*s) }
			b.P10, b.P25, b.P50 = append(b.P10, q(-1.28)), append(b.P25, q(-0.67)), append(b.P50, q(0))
			b.P75, b.P90 = append(b.P75, q(0.67)), append(b.P90, q(1.28))
		}
		return b
	}
	alone := func(i float64) float64 { return 8.2 - 0.1*i - 0.0012*i*i }
	fed := func(i float64) float64 {
		v := alone(i)
		for _, at := range []float64{7, 17, 37} {
			if i > at {
				v += 2.8 * math.Min(1, (i-at)/5)
			}
		}
		return v
	}
	d.StoresAlone = band(alone, func(i float64) float64 { return 1.1 + 0.018*i })
	d.StoresFed = band(fed, func(i float64) float64 { return 1.1 + 0.02*i })
	d.Bees = band(func(i float64) float64 { return 11000 - 90*i + 2.6*i*i }, func(i float64) float64 { return 1500 + 15*i })
	d.BeesSupplement = band(func(i float64) float64 { return 11000 - 90*i + 2.6*i*i + 2600*logistic((i-44)/5) }, func(i float64) float64 { return 1500 + 18*i })
	d.Brood = band(func(i float64) float64 { return 2500 + 17000*logistic((i-35)/9) }, func(i float64) float64 { return 600 + 25*i })
	d.BroodSupplement = band(func(i float64) float64 { return 2500 + 3500*logistic((i-18)/4) + 17000*logistic((i-35)/9) }, func(i float64) float64 { return 600 + 30*i })
	for i := 0; i < n; i++ {
		x := float64(i)
		d.Dates = append(d.Dates, day(3, 14).AddDate(0, 0, i))
		d.RiskAlone = append(d.RiskAlone, 0.66*logistic((x-44)/6))
		d.RiskFed = append(d.RiskFed, 0.03*logistic((x-48)/6))
		d.RiskSupplement = append(d.RiskSupplement, 0.78*logistic((x-40)/6))
		d.RiskSupplementFed = append(d.RiskSupplementFed, 0.04*logistic((x-46)/6))
		d.ForagersExtra = append(d.ForagersExtra, 900*logistic((x-50)/5))
		d.BloomFrac = append(d.BloomFrac, logistic((x-44)/4))
		d.NectarFrac = append(d.NectarFrac, logistic((x-48)/4))
	}
	d.Feedings = []plan.Feeding{
		{Date: day(3, 21), SolidKg: 2},
		{Date: day(3, 31), SyrupL: 4, SugarKg: 3.2},
		{Date: day(4, 20), SyrupL: 4, SugarKg: 3.2, OnlyIfLow: true, NeededFrac: 0.7},
	}
	d.Reserve = &plan.Held{Alone: 0.12, Fed: 0.92}
	d.BeesGain = band(func(i float64) float64 { return 2600 * logistic((i-44)/5) }, func(i float64) float64 { return 900 * logistic((i-44)/5) })
	for i := range d.BeesGain.P10 { // a spread about a middle of 2600 may be under 0
		d.BeesGain.P10[i] = 2600*logistic((float64(i)-44)/5) - 1.28*900*logistic((float64(i)-44)/5)
	}
	for k, risk := range []float64{0.65, 0.34, 0.15, 0.06, 0.03, 0.015, 0.008} {
		d.BySugar = append(d.BySugar, plan.Trade{SugarKg: 2.1 * float64(k), Risk: plan.Risk{Frac: risk, ErrFrac: 0.01}, Planned: k == 4})
	}
	for k, risk := range []float64{0.03, 0.08, 0.19, 0.36, 0.5} {
		d.ByStart = append(d.ByStart, plan.Trade{SugarKg: 8.4, Start: day(3, 21+7*k), Risk: plan.Risk{Frac: risk, ErrFrac: 0.012}, Planned: k == 0})
	}
	for i := 7; i < n; i += 10 {
		d.Visits = append(d.Visits, day(3, 14).AddDate(0, 0, i))
	}
	return d
}

func inventProtein() plan.Supplement {
	return plan.Supplement{Considered: true, GainBees: plan.Range{P10: 720, P50: 1300, P90: 1880}, From: day(3, 21), LeadDays: plan.Range{P10: 38, P50: 43, P90: 49}}
}

// inventPlan is four yards with so many colonies, most urgent first.
func inventPlan(n int) plan.Plan {
	rng := rand.New(rand.NewPCG(7, 11))
	p := plan.Plan{Today: day(3, 14), Members: 240, Seed: 7, Invented: true, AcceptPct: 5}
	names := []string{"North", "Creek", "Home quarter", "Pa & Ma's <old> place"}
	lats := []float64{56.23, 56.05, 56.21, 55.76}
	lons := []float64{-117.29, -117.13, -117.27, -118.42}
	var weeks []time.Time
	for k := 0; k < 11; k++ {
		weeks = append(weeks, day(3, 14).AddDate(0, 0, 7*k))
	}
	for i, name := range names {
		y := plan.YardPlan{Name: name, LatDeg: lats[i], LonDeg: lons[i], WeekDates: weeks}
		for yr := 1987; yr < 2024; yr++ {
			y.Years = append(y.Years, plan.YearFact{
				Label:     fmt.Sprint(yr),
				Bloom:     time.Date(yr, 4, 14+rng.IntN(28), 0, 0, 0, 0, time.UTC),
				NonFlying: 14 + rng.IntN(35), LongSpell: 5 + rng.IntN(10)})
		}
		for k := range 5 {
			y.Visits = append(y.Visits, plan.Visit{Date: day(3, 18+i+10*k)})
		}
		y.Nectar = plan.DateRange{P10: day(4, 24+i), P50: day(5, 2+i), P90: day(5, 10+i)}
		p.Yards = append(p.Yards, y)
	}
	for i := 0; i < n; i++ {
		yi := i % len(names)
		c := plan.ColonyPlan{Yard: names[yi], Colony: fmt.Sprintf("%c%d", "BCHP"[yi], i/len(names)+1)}
		hi := math.Pow(rng.Float64(), 2.5)
		mid := 5 + 3*rng.Float64()
		for k := range weeks {
			c.RiskByWeek = append(c.RiskByWeek, hi*logistic((float64(k)-mid)*1.1))
		}
		c.Risk = plan.Risk{Frac: c.RiskByWeek[len(weeks)-1], ErrFrac: 0.01}
		c.Verdict, c.Nectar = plan.NoFeed, p.Yards[yi].Nectar
		c.Confidence.NeedStoresKg = 8 + float64(i%3)
		c.StoresKg.P50 = c.Confidence.NeedStoresKg + 4*(0.3-c.Risk.Frac)
		c.StoresKg.P10, c.StoresKg.P90 = c.StoresKg.P50-1.5, c.StoresKg.P50+1.5
		if c.Risk.Frac > 0.05 {
			c.Verdict = plan.Feed
			c.StartBy = day(3, 16).AddDate(0, 0, rng.IntN(25))
			c.SyrupL = 4 + float64(rng.IntN(10))
			c.RiskFed = plan.Risk{Frac: c.Risk.Frac * 0.06}
			for k := range 2 {
				c.Feedings = append(c.Feedings, plan.Feeding{Date: p.Yards[yi].Visits[k].Date, SyrupL: c.SyrupL / 2})
			}
			o := &p.Yards[yi].Order.SyrupL
			o.P50 += c.SyrupL
			o.P90 += c.SyrupL * 1.4
			p.Order.SyrupL.P50 += c.SyrupL
			p.Order.SyrupL.P90 += c.SyrupL * 1.3
			p.Yards[yi].Feed++
		}
		if i%29 == 17 {
			c.Verdict = plan.Dead
		}
		p.Colonies = append(p.Colonies, c)
	}
	sort.SliceStable(p.Colonies, func(i, j int) bool {
		a, b := p.Colonies[i], p.Colonies[j]
		if (a.Verdict == plan.Dead) != (b.Verdict == plan.Dead) {
			return b.Verdict == plan.Dead
		}
		return a.Risk.Frac > b.Risk.Frac
	})
	if len(p.Colonies) > 2 {
		p.Colonies[1].TooLate = true
	}
	return p
}

func inventWeather() Weather {
	w := Weather{Place: "Peace River", Within: "1 February to 30 April",
		MeanC: []float64{-16, -13, -7, 3, 10, 14.5, 16.5, 15, 9.8, 3, -8, -14}}
	for i, m := range w.MeanC {
		w.MinC = append(w.MinC, m-5-float64(i%3))
		w.MaxC = append(w.MaxC, m+6+float64(i%2))
	}
	for y := 1990; y < 2026; y++ {
		w.Years = append(w.Years, y)
		w.NonFlying = append(w.NonFlying, float64(48+(y*37)%29))
	}
	w.NonFlying[5] = math.NaN()
	return w
}

func inventBars() Bars {
	b := Bars{Of: "risk of starving", Note: "2,048 runs, seed 7"}
	for i, n := range []string{"stores when seen", "first bloom", "eating of the winter cluster", "brood in April", "loss of old bees", "nectar per day"} {
		f := 0.42 / float64(i+1)
		b.Bars = append(b.Bars, Bar{Name: n, First: f, FirstLo: f - 0.04, FirstHi: f + 0.04, Total: f + 0.06, TotalLo: f, TotalHi: f + 0.12})
	}
	return b
}

func inventHindcast() Hindcast {
	d := inventDetail("North", "B7")
	h := Hindcast{What: "Hive weight", Unit: "kg", Name: "hive 3", Dates: d.Dates, Band: d.StoresAlone, StartsOn: day(3, 20)}
	for i := 2; i < 70; i += 5 {
		h.SeenOn = append(h.SeenOn, d.Dates[i])
		h.Seen = append(h.Seen, math.Max(0, d.StoresAlone.P50[i]+1.6*math.Sin(float64(i))))
	}
	return h
}

type named struct {
	name  string
	chart *Chart
}

// inventAll is one of each chart.
func inventAll(l Look) []named {
	d := inventDetail("North", "B7")
	p := inventPlan(36)
	m, err := YardMap(p, l)
	if err != nil {
		panic(err)
	}
	return []named{
		{"stores", StoresChart(d, l)},
		{"risk", RiskChart(d, 5, l)},
		{"bees", BeesChart(d, inventProtein(), l)},
		{"grid36", RiskGrid(p, l)},
		{"grid200", RiskGrid(inventPlan(200), l)},
		{"order", OrderChart(p, l)},
		{"map", m},
		{"springs", SpringsChart(p.Yards[0], l)},
		{"rank", RankChart(p, "North", l)},
		{"need", NeedChart(p, "North", l)},
		{"visits", VisitsChart(p, l)},
		{"sugar", SugarChart(d, 5, l)},
		{"start", StartChart(d, 5, l)},
		{"gain", GainChart(d, inventProtein(), l)},
		{"bars", BarChart(inventBars(), l)},
		{"weather", WeatherChart(inventWeather(), l)},
		{"hindcast", HindcastChart(inventHindcast(), l)},
		{"moved", MovedChart(p, inventMoved(14), l)},
	}
}

// inventMoved is an invented answer on springs that come later.
func inventMoved(days int) plan.Asked {
	of := func(kind plan.SpringKind, by int, nectar time.Time, alone, fed float64) plan.SpringCase {
		return plan.SpringCase{Kind: kind, LaterDays: by, Nectar: nectar, Risk: plan.Risk{Frac: alone}, RiskFed: plan.Risk{Frac: fed}, SugarKg: 6}
	}
	return plan.Asked{Yard: "North", Colony: "B7", Springs: []plan.SpringCase{of(plan.EarlyThird, 0, day(5, 8), 0.46, 0.02),
		of(plan.AllSprings, 0, day(5, 13), 0.55, 0.03), of(plan.LateThird, 0, day(5, 20), 0.61, 0.01), of(plan.MovedSprings, days, day(5, 25), 0.62, 0.04)}}
}
