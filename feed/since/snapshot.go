package since

import (
	"fmt"
	"math"
	"slices"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/forage/read"
)

// Snapshot is what is compared of a plan. A figure that is not known is NaN, a date
// that is not known the zero time.
type Snapshot struct {
	Today    time.Time
	Members  int
	Seed     uint64
	Settings Settings
	SugarKg  plan.Amount // to buy
	Yards    []Yard
	Colonies []Colony
}

// Settings are those that move answers. A share is 0..1.
type Settings struct {
	AcceptFrac, ReserveKg, ReserveFrac, LossFrac, WasteFrac float64
	Strength                                                string // "" when the plan chooses
	Supplement                                              bool
	WantedOn                                                time.Time
	WantedBees                                              float64
	Parameters                                              []season.Parameter
}

// Yard is what is compared of a yard.
type Yard struct {
	Name      string
	Nectar    plan.DateRange
	NextVisit time.Time
	Weather   plan.WeatherSource
}

// Colony is what is compared of a colony.
type Colony struct {
	Yard, Name    string
	Tallied       int // colonies that a tally stands for; 0 for one colony
	Verdict       plan.Verdict
	SeenOn        time.Time
	StoresKg      plan.Range
	Risk, RiskFed plan.Risk // RiskFed NaN without feeding
	StartBy       time.Time
	TooLate       bool
	Feeder        plan.Feeder
	Feedings      []plan.Feeding // of each: date, amounts and line
	Looks         []Look
	Given         []Given
}

// Look is a row of what was seen.
type Look struct {
	On     time.Time
	Alive  bool
	FoodBy season.FoodKind
	Heft   season.Heft // 0 when not hefted
	Read   Readings
}

// Readings are the figures of a look: weights in kg, combs, seams, C. NaN where
// there is none.
type Readings struct {
	GrossKg, LiftLeftKg, LiftRightKg, LiftBackKg, Deep, Medium, Seams, CountTempC, BroodFrames float64
}

// Given is a row of feed given.
type Given struct {
	On                                             time.Time
	SyrupL, SugarKg, SolidKg, CombsDeep, CombsFlat float64 // SugarKg in the syrup
}

// Of takes from a plan what is compared.
func Of(pl *plan.Plan) Snapshot {
	s := Snapshot{Today: pl.Today, Members: pl.Members, Seed: pl.Seed, SugarKg: pl.Order.SugarKg, Settings: settingsOf(pl)}
	for i := range pl.Yards {
		y := &pl.Yards[i]
		out := Yard{Name: y.Name, Nectar: y.Nectar, Weather: y.Weather}
		for _, v := range y.Visits {
			if !v.Date.Before(pl.Today) {
				out.NextVisit = v.Date
				break
			}
		}
		s.Yards = append(s.Yards, out)
	}
	seen, given := map[[2]string]*season.Colony{}, map[string][]season.Given{}
	if pl.Season != nil {
		given = pl.Season.GivenByYard()
		for i := range pl.Season.Colonies {
			c := &pl.Season.Colonies[i]
			seen[[2]string{c.Yard, c.Name}] = c
		}
	}
	for i := range pl.Colonies {
		c := &pl.Colonies[i]
		out := Colony{Yard: c.Yard, Name: c.Colony, Verdict: c.Verdict, SeenOn: c.SeenOn, StoresKg: c.StoresKg, Risk: c.Risk,
			RiskFed: plan.Risk{Frac: math.NaN(), ErrFrac: math.NaN()}, StartBy: c.StartBy, TooLate: c.TooLate, Feeder: c.Choice.Feeder, Feedings: c.Feedings}
		if len(c.Feedings) > 0 {
			out.RiskFed = c.RiskFed
		}
		if c.Tally != nil {
			out.Tallied = c.Tally.Colonies
		}
		if from := seen[[2]string{c.Yard, c.Colony}]; from != nil {
			for k := range from.Observations {
				out.Looks = append(out.Looks, lookOf(&from.Observations[k]))
			}
		}
		for _, g := range season.GivenTo(given[c.Yard], c.Colony) {
			row := Given{On: g.Date, SyrupL: g.SyrupL, SolidKg: g.SolidKg, CombsDeep: g.FramesDeep, CombsFlat: g.FramesMedium}
			if g.SyrupL > 0 {
				row.SugarKg = g.SyrupL * g.Strength.SugarKgPerL()
			}
			out.Given = append(out.Given, row)
		}
		s.Colonies = append(s.Colonies, out)
	}
	return s
}

func settingsOf(pl *plan.Plan) Settings {
	none := math.NaN()
	out := Settings{AcceptFrac: pl.AcceptPct / 100, ReserveKg: none, ReserveFrac: none, LossFrac: none, WasteFrac: none, WantedBees: none}
	if pl.Season == nil {
		return out
	}
	set := &pl.Season.Settings
	out.ReserveKg, out.ReserveFrac, out.LossFrac, out.WasteFrac = set.ReserveKg, set.ReserveFrac, set.LossFrac, set.WasteFrac
	if !set.ChooseStrength() {
		out.Strength = set.Strength.String()
	}
	out.Supplement, out.WantedOn, out.WantedBees, out.Parameters = set.ProteinConsidered, set.BeesWantedDate, positive(set.BeesWantedBees), set.Parameters
	return out
}

// lookOf is a look as it is compared.
func lookOf(o *season.Observation) Look {
	f, none := &o.Food, math.NaN()
	l := Look{On: o.Date, Alive: o.Alive, FoodBy: f.Kind, Read: Readings{GrossKg: positive(f.GrossKg), LiftLeftKg: positive(f.LiftLeftKg),
		LiftRightKg: positive(f.LiftRightKg), LiftBackKg: positive(f.LiftBackKg), Deep: none, Medium: none,
		Seams: o.SeamsOfBees, CountTempC: o.CountTempC, BroodFrames: o.BroodFrames}}
	switch f.Kind {
	case season.FoodHeft:
		l.Heft = f.Heft
	case season.FoodFrames:
		l.Read.Deep, l.Read.Medium = f.FramesDeep, f.FramesMedium
	}
	return l
}

// positive is NaN for what is not above 0.
func positive(x float64) float64 {
	if x > 0 {
		return x
	}
	return math.NaN()
}

// Problems tells why an earlier plan cannot be compared with a season: none where it
// can. The file is named as the user named it.
func (s *Snapshot) Problems(file string, now *season.Season) read.Problems {
	var ps read.Problems
	switch {
	case s.Today.After(now.Today):
		ps.Add(file, 0, 0, fmt.Sprintf("this plan is of %s, after the day of the season, %s", s.Today.Format(time.DateOnly), now.Today.Format(time.DateOnly)),
			"give a plan made before, or correct the day named in the settings")
	case s.Today.Before(season.FirstDay(now.Today)):
		ps.Add(file, 0, 0, fmt.Sprintf("this plan is of %s, of another season than %s", s.Today.Format(time.DateOnly), now.Today.Format(time.DateOnly)),
			"give a plan of this season")
	case !slices.ContainsFunc(s.Colonies, func(c Colony) bool {
		return slices.ContainsFunc(now.Colonies, func(n season.Colony) bool { return sameColony(&c, n.Yard, n.Name) })
	}):
		ps.Add(file, 0, 0, "this plan has no colony of this season", "give a plan of the same folder; a yard and a colony are found again by their names")
	}
	return ps
}

// Keep leaves only the named yards.
func (s *Snapshot) Keep(yards []string) {
	among := func(name string) bool {
		return slices.ContainsFunc(yards, func(y string) bool { return season.SameName(y, name) })
	}
	s.Yards = slices.DeleteFunc(s.Yards, func(y Yard) bool { return !among(y.Name) })
	s.Colonies = slices.DeleteFunc(s.Colonies, func(c Colony) bool { return !among(c.Yard) })
}

func sameColony(c *Colony, yard, name string) bool {
	return season.SameName(c.Yard, yard) && season.SameName(c.Name, name)
}
