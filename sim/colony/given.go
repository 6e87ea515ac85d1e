package colony

// Gift is food that came into the stores on the evening of a day, kg of ripe stores.
type Gift struct {
	Day int
	Kg  float64
}

// booking books food that was given before the question is asked into what the
// colony asks of its stores, so that every schedule and policy tried afterwards
// finds it there: syrup taken up from the feeder and combs put in as income, solid
// feed as need that is met. What is in the feeder when the run ends is lost to it.
type booking struct {
	l     *DailyDemand
	p     *Params
	f     []ForceDay
	fed   []Feeding
	gifts []Gift

	next              int // of fed
	feederKg, solidKg float64
	takeUpKg          float64 // stores a bee takes up on a mild day
	touching          bool
}

// day books what comes of it on a day; days follow one another.
func (b *booking) day(t int) {
	l := b.l
	for _, g := range b.gifts {
		if max(0, g.Day+1) == t {
			l.IncomeKg[t] += g.Kg
		}
	}
	for ; b.next < len(b.fed) && b.fed[b.next].Day < t; b.next++ {
		g := &b.fed[b.next]
		l.IncomeKg[t] += g.CombKg
		b.solidKg += g.SolidKg * b.p.SolidKgPerKgSugar
		if g.SyrupKg > 0 {
			b.feederKg += g.SyrupKg * b.p.SyrupYield
			b.touching, b.takeUpKg = g.Touching, b.p.TakeUpMlPerBee*1e-3/g.LPerKg
		}
	}
	if b.feederKg > 0 {
		take := min(b.feederKg, b.takeUpKg*l.Bees[t]*b.f[t].takeUpShare(b.p, b.touching))
		b.feederKg -= take
		l.IncomeKg[t] += take
	}
	if b.solidKg > 0 {
		fromSolid := min(b.solidKg, l.NeedKg[t])
		b.solidKg -= fromSolid
		l.NeedKg[t] -= fromSolid
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
