package colony

// Gift is food that came into the stores on the evening of a day, kg of ripe stores.
type Gift struct {
	Day int
	Kg  float64
}

// settle books food that was given before the question is asked into what the
// colony asks of its stores, so that every schedule and policy tried afterwards
// finds it there: syrup taken up from the feeder and combs put in as income, solid
// feed as need that is met. What is in the feeder when the run ends is lost to it.
func (l *DailyDemand) settle(p *Params, f []ForceDay, fed []Feeding, gifts []Gift) {
	days := len(f)
	for _, g := range gifts {
		if t := max(0, g.Day+1); t < days {
			l.IncomeKg[t] += g.Kg
		}
	}
	feeder, solid := 0.0, 0.0
	touching, takeUpKg := false, 0.0
	next := 0
	for t := range f {
		for ; next < len(fed) && fed[next].Day < t; next++ {
			g := &fed[next]
			l.IncomeKg[t] += g.CombKg
			solid += g.SolidKg * p.SolidKgPerKgSugar
			if g.SyrupKg > 0 {
				feeder += g.SyrupKg * p.SyrupYield
				touching, takeUpKg = g.Touching, p.TakeUpMlPerBee*1e-3/g.LPerKg
			}
		}
		if feeder > 0 {
			take := min(feeder, takeUpKg*l.Bees[t]*f[t].takeUpShare(p, touching))
			feeder -= take
			l.IncomeKg[t] += take
		}
		if solid > 0 {
			fromSolid := min(solid, l.NeedKg[t])
			solid -= fromSolid
			l.NeedKg[t] -= fromSolid
		}
		if next == len(fed) && feeder <= 0 && solid <= 0 {
			return
		}
	}
}

// takeUpShare is what of a mild day's syrup a bee takes up on a day.
func (d *ForceDay) takeUpShare(p *Params, touching bool) float64 {
	switch {
	case touching:
		return p.TakeUpTouchShare*d.Chill + (1-p.TakeUpTouchShare)*d.Mild
	case d.Chill == 0:
		return 0
	}
	return p.TakeUpColdShare + (1-p.TakeUpColdShare)*d.Mild
}
