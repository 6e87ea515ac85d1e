package since

import (
	"math"
	"slices"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

// turned tells what is now different for a colony.
func turned(b, c *Colony, before, now *Snapshot) plan.ColonyChange {
	ch := plan.ColonyChange{Yard: c.Yard, Colony: c.Name, Matter: plan.Moved}
	add := func(m plan.Matter, n plan.Note) {
		ch.What = append(ch.What, n)
		ch.Matter = min(ch.Matter, m)
	}
	if b.Tallied > 0 && c.Tallied > 0 && b.Tallied != c.Tallied {
		add(plan.Moved, plan.TallyRecounted{Before: b.Tallied, Now: c.Tallied})
	}
	if b.Verdict != c.Verdict {
		m := plan.Differs
		if c.Verdict == plan.Feed || c.Verdict == plan.Dead {
			m = plan.Urgent
		}
		add(m, plan.VerdictTurned{Before: b.Verdict, Now: c.Verdict})
	}
	switch {
	case c.TooLate && !b.TooLate:
		add(plan.Urgent, plan.SoonerNow{StartBy: c.StartBy})
	case b.TooLate && !c.TooLate && c.Verdict == plan.Feed:
		add(plan.Differs, plan.NotSoonerNow{})
	}
	if c.Verdict == plan.Feed {
		if n, differs := visitTurned(b, c, nextVisit(now, c.Yard), before.Today); differs {
			add(plan.Differs, n)
		}
		if b.Feeder != c.Feeder && givesSyrup(b) && givesSyrup(c) {
			add(plan.Differs, plan.FeederTurned{Before: b.Feeder, Now: c.Feeder})
		}
	}
	if accept := now.Settings.AcceptFrac; c.RiskFed.Frac > accept && !(b.RiskFed.Frac > before.Settings.AcceptFrac) {
		add(plan.Urgent, plan.StaysAtRisk{BeforeFrac: b.RiskFed.Frac, NowFrac: c.RiskFed.Frac})
	}
	if d := math.Abs(b.Risk.Frac - c.Risk.Frac); c.Verdict != plan.Dead && d >= movedFrac && d > movedErrors*math.Hypot(b.Risk.ErrFrac, c.Risk.ErrFrac) {
		add(plan.Moved, plan.RiskMoved{BeforeFrac: b.Risk.Frac, NowFrac: c.Risk.Frac})
	}
	return ch
}

func nextVisit(s *Snapshot, yard string) time.Time {
	for i := range s.Yards {
		if season.SameName(s.Yards[i].Name, yard) {
			return s.Yards[i].NextVisit
		}
	}
	return time.Time{}
}

func givesSyrup(c *Colony) bool {
	return slices.ContainsFunc(c.Feedings, func(f plan.Feeding) bool { return f.SyrupL > 0 })
}

// on is the feeding of a list on a visit, none where there is none.
func on(list []plan.Feeding, visit time.Time) plan.Feeding {
	best, away := plan.Feeding{}, sameVisitDays+0.5
	for _, f := range list {
		if d := math.Abs(f.Date.Sub(visit).Hours() / 24); d < away {
			best, away = f, d
		}
	}
	return best
}

// visitTurned tells whether the next visit gives something else than the earlier plan
// said for that visit. A line that the earlier plan drew is followed where the hive has been seen since:
// who does what it said does nothing different.
func visitTurned(b, c *Colony, visit, since time.Time) (plan.VisitTurned, bool) {
	if visit.IsZero() {
		return plan.VisitTurned{}, false
	}
	was, is := on(b.Feedings, visit), on(c.Feedings, visit)
	n := plan.VisitTurned{On: visit, BeforeSyrupL: was.SyrupL, BeforeSolidKg: was.SolidKg, BeforeUnderKg: was.UnderKg,
		NowSyrupL: is.SyrupL, NowSolidKg: is.SolidKg, NowUnderKg: is.UnderKg}
	if was.UnderKg > 0 && is.UnderKg == 0 && c.SeenOn.After(since) {
		if c.StoresKg.P50 >= was.UnderKg {
			was.SyrupL, was.SolidKg = 0, 0
		}
		was.UnderKg = 0
	}
	same := math.Abs(was.SyrupL-is.SyrupL) < sameSyrupL && math.Abs(was.SolidKg-is.SolidKg) < sameSolidKg &&
		(was.UnderKg > 0) == (is.UnderKg > 0) && math.Abs(was.UnderKg-is.UnderKg) <= sameLineKg
	return n, !same
}

// learned is what is known of a colony now and was not, and the sugar given to it
// meanwhile, kg.
func learned(b, c *Colony) (why []plan.Note, sugarKg float64) {
	why = looked(b, c)
	given, sugarKg := given(b, c)
	return append(why, given...), sugarKg * float64(max(1, c.Tallied))
}

// looked compares the rows of what was seen.
func looked(b, c *Colony) []plan.Note {
	var out []plan.Note
	var last time.Time
	for i := range b.Looks {
		if b.Looks[i].On.After(last) {
			last = b.Looks[i].On
		}
	}
	since := plan.LookedSince{BeforeOn: b.SeenOn, BeforeKg: b.StoresKg.P50, StoresKg: c.StoresKg.P50}
	if c.Verdict == plan.Dead {
		since.StoresKg = math.NaN()
	}
	for i := range c.Looks {
		l := &c.Looks[i]
		k := slices.IndexFunc(b.Looks, func(o Look) bool { return o.On.Equal(l.On) })
		switch {
		case k >= 0 && !b.Looks[k].same(l), k < 0 && l.On.Before(last):
			out = append(out, plan.LookRewritten{On: l.On})
		case k < 0:
			since.Looks++
			since.On, since.Food = l.On, l.FoodBy
		}
	}
	for i := range b.Looks {
		if c.Tallied > 0 { // its last row takes the place of those before
			break
		}
		if !slices.ContainsFunc(c.Looks, func(l Look) bool { return l.On.Equal(b.Looks[i].On) }) {
			out = append(out, plan.LookRewritten{On: b.Looks[i].On, Gone: true})
		}
	}
	if since.Looks > 0 {
		out = append([]plan.Note{since}, out...)
	}
	return out
}

// same tells whether two rows say the same.
func (l *Look) same(m *Look) bool {
	a, b := &l.Read, &m.Read
	return l.Alive == m.Alive && l.FoodBy == m.FoodBy && l.Heft == m.Heft && near(a.GrossKg, b.GrossKg) && near(a.LiftLeftKg, b.LiftLeftKg) &&
		near(a.LiftRightKg, b.LiftRightKg) && near(a.LiftBackKg, b.LiftBackKg) && near(a.Deep, b.Deep) && near(a.Medium, b.Medium) &&
		near(a.Seams, b.Seams) && near(a.CountTempC, b.CountTempC) && near(a.BroodFrames, b.BroodFrames)
}

// given compares the rows of feed given.
func given(b, c *Colony) (why []plan.Note, sugarKg float64) {
	left := slices.Clone(b.Given)
	var fresh []Given
	for _, g := range c.Given {
		if k := slices.IndexFunc(left, func(o Given) bool { return o.same(&g) }); k >= 0 {
			left = slices.Delete(left, k, k+1)
		} else {
			fresh = append(fresh, g)
		}
	}
	for _, g := range left { // a row of that day that is there now is the same one, mended
		if k := slices.IndexFunc(fresh, func(o Given) bool { return o.On.Equal(g.On) }); k >= 0 {
			fresh = slices.Delete(fresh, k, k+1)
		}
		why = append(why, plan.GivenRewritten{On: g.On})
	}
	var sum plan.GivenSince
	for _, g := range fresh {
		if g.On.After(sum.LastOn) {
			sum.LastOn = g.On
		}
		sum.SyrupL += g.SyrupL
		sum.SolidKg += g.SolidKg
		sum.CombFood += g.CombsDeep + g.CombsFlat
		sum.SugarKg += g.SugarKg + g.SolidKg
	}
	if len(fresh) > 0 {
		why = append([]plan.Note{sum}, why...)
	}
	return why, sum.SugarKg
}

func (g *Given) same(o *Given) bool {
	return g.On.Equal(o.On) && near(g.SyrupL, o.SyrupL) && near(g.SugarKg, o.SugarKg) && near(g.SolidKg, o.SolidKg) &&
		near(g.CombsDeep, o.CombsDeep) && near(g.CombsFlat, o.CombsFlat)
}
