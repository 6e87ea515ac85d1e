package since

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
)

const (
	// movedErrors is by how many standard errors two risks differ that are said to
	// differ, 1, 2-3, own judgement: one pair in twenty by chance.
	movedErrors = 2
	// movedFrac is the least difference of two risks that is said, share of springs,
	// 0.01-0.05, own judgement.
	movedFrac = 0.02
	// sameVisitDays is how far apart two dates may lie to be one visit, d, 2-6, own
	// judgement: rounds move with the weather.
	sameVisitDays = 4
	// sameSyrupL and sameSolidKg are how far two lots may differ that are one to a
	// keeper, L and kg, own judgement: half of the least worth a trip.
	sameSyrupL, sameSolidKg = 1.0, 0.5
	// sameLineKg is how far two lines to feed by may lie apart to be one, kg of stores,
	// 0.5-2, own judgement: less than a hand can feel.
	sameLineKg = 1.0
	// figures to which a written plan holds a number.
	writtenTo = 2e-4
)

// Compare tells what moved from one plan to the next, and why. Both are read only.
func Compare(before, now *Snapshot) *plan.Changes {
	out := &plan.Changes{Since: before.Today}
	settings := before.settings(now)
	out.Whole = slices.Clone(settings)
	yards := before.yards(now, out)
	earlier := map[[2]string]*Colony{}
	for i := range before.Colonies {
		earlier[key(&before.Colonies[i])] = &before.Colonies[i]
	}
	taken := map[*Colony]bool{}
	var fresh []*Colony
	givenKg := 0.0
	for i := range now.Colonies {
		c := &now.Colonies[i]
		b := earlier[key(c)]
		if b == nil {
			fresh = append(fresh, c)
			continue
		}
		taken[b] = true
		ch := turned(b, c, before, now)
		why, kg := learned(b, c)
		givenKg += kg
		if len(ch.What) == 0 {
			out.Same++
			continue
		}
		if !slices.ContainsFunc(why, func(n plan.Note) bool { _, ok := n.(plan.LookedSince); return ok }) {
			if days := int(math.Round(now.Today.Sub(before.Today).Hours() / 24)); days > 0 && c.Verdict != plan.Dead {
				why = append(why, plan.DaysGone{Days: days})
			}
		}
		ch.Why = slices.Concat(why, yards[nameKey(c.Yard)], settings)
		out.Colonies = append(out.Colonies, ch)
	}
	before.comings(fresh, taken, out)
	slices.SortStableFunc(out.Colonies, func(a, b plan.ColonyChange) int { return cmp.Compare(a.Matter, b.Matter) })
	if givenKg > 0 || !near(before.SugarKg.P90, now.SugarKg.P90) {
		out.Whole = append(out.Whole, plan.OrderMoved{BeforeKg: before.SugarKg.P50, BeforeMostKg: before.SugarKg.P90, GivenKg: givenKg,
			NowKg: now.SugarKg.P50, NowMostKg: now.SugarKg.P90})
	}
	return out
}

func nameKey(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

func key(c *Colony) [2]string { return [2]string{nameKey(c.Yard), nameKey(c.Name)} }

// near tells whether two figures are one as far as they are written; what is not
// known is near to itself only.
func near(a, b float64) bool {
	if math.IsNaN(a) || math.IsNaN(b) {
		return math.IsNaN(a) && math.IsNaN(b)
	}
	return math.Abs(a-b) <= writtenTo*math.Max(math.Abs(a), math.Abs(b))
}

// settings lists the settings that are others, and other draws.
func (s *Snapshot) settings(now *Snapshot) []plan.Note {
	var out []plan.Note
	a, b := &s.Settings, &now.Settings
	figure := func(name, unit string, before, now float64) {
		if !math.IsNaN(before) && !near(before, now) { // an older file may not have it
			out = append(out, plan.SettingFigure{Setting: name, Before: before, Now: now, Unit: unit})
		}
	}
	figure("accepted_risk", "share", a.AcceptFrac, b.AcceptFrac)
	figure("reserve", "kg", a.ReserveKg, b.ReserveKg)
	figure("reserve_share", "share", a.ReserveFrac, b.ReserveFrac)
	figure("lost", "share", a.LossFrac, b.LossFrac)
	figure("waste", "share", a.WasteFrac, b.WasteFrac)
	word := func(name, before, now string) {
		if before != now {
			out = append(out, plan.SettingWord{Setting: name, Before: before, Now: now})
		}
	}
	word("strength", a.Strength, b.Strength)
	word("supplement", yes(a.Supplement), yes(b.Supplement))
	word("bees_wanted_date", day(a.WantedOn), day(b.WantedOn))
	if !near(a.WantedBees, b.WantedBees) {
		out = append(out, plan.SettingFigure{Setting: "bees_wanted", Before: a.WantedBees, Now: b.WantedBees})
	}
	for _, p := range slices.Concat(a.Parameters, b.Parameters) {
		x, y := parameter(a.Parameters, p.Name), parameter(b.Parameters, p.Name)
		n := plan.SettingFigure{Setting: p.Name, Before: x, Now: y}
		if !near(x, y) && !slices.ContainsFunc(out, func(m plan.Note) bool { f, ok := m.(plan.SettingFigure); return ok && f.Setting == p.Name }) {
			out = append(out, n)
		}
	}
	if s.Members != now.Members || s.Seed != now.Seed {
		out = append(out, plan.OtherDraws{BeforeMembers: s.Members, NowMembers: now.Members})
	}
	return out
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func day(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// parameter is the figure set for a parameter; NaN for the usual one.
func parameter(list []season.Parameter, name string) float64 {
	for _, p := range list {
		if p.Name == name {
			return p.Value
		}
	}
	return math.NaN()
}

// yards tells what is known of each yard that was not, and which are new or gone.
func (s *Snapshot) yards(now *Snapshot, out *plan.Changes) map[string][]plan.Note {
	known := map[string][]plan.Note{}
	for i := range now.Yards {
		y := &now.Yards[i]
		k := slices.IndexFunc(s.Yards, func(b Yard) bool { return season.SameName(b.Name, y.Name) })
		if k < 0 {
			out.Whole = append(out.Whole, plan.YardNew{Yard: y.Name})
			continue
		}
		if why := s.Yards[k].learned(y, now.Today); len(why) > 0 {
			known[nameKey(y.Name)] = why
			out.Yards = append(out.Yards, plan.YardChange{Yard: y.Name, Why: why})
		}
	}
	for i := range s.Yards {
		if !slices.ContainsFunc(now.Yards, func(y Yard) bool { return season.SameName(s.Yards[i].Name, y.Name) }) {
			out.Whole = append(out.Whole, plan.YardGone{Yard: s.Yards[i].Name})
		}
	}
	return known
}

// learned is what is known of a yard now and was not.
func (y *Yard) learned(now *Yard, today time.Time) []plan.Note {
	var out []plan.Note
	if visit := y.NextVisit; !visit.Before(today) && !now.NextVisit.IsZero() && !visit.Equal(now.NextVisit) {
		out = append(out, plan.VisitMoved{Before: visit, Now: now.NextVisit})
	}
	a, b := &y.Weather, &now.Weather
	if !a.Bloom.Equal(b.Bloom) {
		out = append(out, plan.BloomGiven{Before: a.Bloom, Now: b.Bloom})
	}
	if x, z := source(a), source(b); x != z {
		out = append(out, plan.SourceTurned{Before: x, Now: z})
	}
	if b.ObservedTo.After(a.ObservedTo) {
		out = append(out, plan.WeatherKnown{BeforeTo: a.ObservedTo, To: b.ObservedTo})
	}
	if !b.ForecastTo.IsZero() && !a.ForecastTo.Equal(b.ForecastTo) {
		out = append(out, plan.ForecastKnown{To: b.ForecastTo})
	}
	if !y.Nectar.P50.IsZero() && !y.Nectar.P50.Equal(now.Nectar.P50) {
		out = append(out, plan.NectarMoved{Before: y.Nectar.P50, Now: now.Nectar.P50})
	}
	return out
}

// source names where springs come from.
func source(w *plan.WeatherSource) string {
	if w.Record != "" {
		return w.Record
	}
	return w.Climate
}

// comings adds the colonies of one plan only: those new to a yard, and those gone
// from one. A name that went from one yard and came to another has moved.
func (s *Snapshot) comings(fresh []*Colony, taken map[*Colony]bool, out *plan.Changes) {
	for _, c := range fresh {
		ch := plan.ColonyChange{Yard: c.Yard, Colony: c.Name, Matter: plan.Differs, What: []plan.Note{plan.ColonyNew{Verdict: c.Verdict}}}
		var from []*Colony
		for i := range s.Colonies {
			if b := &s.Colonies[i]; !taken[b] && season.SameName(b.Name, c.Name) {
				from = append(from, b)
			}
		}
		if len(from) == 1 {
			taken[from[0]] = true
			ch.What = []plan.Note{plan.ColonyMoved{FromYard: from[0].Yard}}
			if from[0].Verdict != c.Verdict {
				ch.What = append(ch.What, plan.VerdictTurned{Before: from[0].Verdict, Now: c.Verdict})
			}
		}
		if c.Verdict == plan.Feed {
			ch.Matter = plan.Urgent
		}
		out.Colonies = append(out.Colonies, ch)
	}
	for i := range s.Colonies {
		if b := &s.Colonies[i]; !taken[b] && b.Verdict != plan.Dead {
			out.Colonies = append(out.Colonies, plan.ColonyChange{Yard: b.Yard, Colony: b.Name, Matter: plan.Differs,
				What: []plan.Note{plan.ColonyGone{Verdict: b.Verdict}}})
		}
	}
}
