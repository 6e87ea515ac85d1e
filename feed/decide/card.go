package decide

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/observe"
)

// What hives a card is made for. Its lines are found as those of a plan, on typical
// colonies that nobody has looked at yet: bees by the row, food as it is where feeding
// comes into question. Against plans of 200 invented hives they keep the risk and take
// no more sugar (TestTheCardAgainstThePlan).
const (
	cardKg      = 5.0 // kg of stores in one deep box, 4-7, own judgement: between a light and a fair heft
	cardKgABox  = 1.5 // kg more in each further one, 1-2, own judgement: as those hefts differ
	cardSDKg    = 3.5 // kg, 3-5, own judgement: from empty to fair
	cardTempC   = 6.0 // C at the count of seams, 0-12, own judgement: a first visit in spring
	cardVisits  = 6   // visits ahead that a card shows, 4-8, own choice: after that it is made anew
	cardBackKg  = 5.0 // kg of food of the hive that the error of a lift is worked out for
	cardHighest = 12  // seams; the row of the strongest is worked out for two less to this
)

// cardSeams are the rows of a card: from and up to so many seams.
func cardSeams() [][2]int { return [][2]int{{2, 3}, {4, 5}, {6, 7}, {8, 9}, {10, cardHighest}} }

// Card makes the card of a yard. Judged is the way of judging food that its lines allow
// for; FoodUnknown takes the one that most of the yard's colonies were last judged in.
func (w *Worker) Card(y *Yard, judged season.FoodKind) plan.Card {
	if judged == season.FoodUnknown {
		judged = usualWay(y.Colonies)
	}
	out := plan.Card{Yard: y.Site.Name, Today: y.Season.Today, Invented: y.Season.Invented, Judged: judged, Nectar: y.Facts.Nectar, Weather: y.Weather.Source,
		Warnings: y.Weather.Warnings}
	out.Visits = y.Dates()[:min(cardVisits, len(y.Visits))]
	mixed := w.o.Season.Settings.Strength // one syrup for the yard: that of its smallest colonies, the thinnest
	for _, like := range builtAlike(y.Colonies) {
		hives := plan.CardHives{Boxes: like.Boxes, Frames: like.FramesPerBox, Wrapped: like.Insulated}
		frames := like.FramesPerBox
		for _, b := range like.Boxes {
			frames = max(frames, like.FramesPerBox*b.Count)
		}
		for _, seams := range cardSeams() {
			if seams[0] < frames {
				c := w.cardLines(y, like, cardHives{seams, judged, mixed})
				mixed = c.terms.Rules.Strength
				hives.Rows = append(hives.Rows, w.cardRow(&c, seams, len(out.Visits)))
			}
		}
		hives.Rows[0].FromSeams = 0
		hives.Rows[len(hives.Rows)-1].ToSeams = 0
		out.Hives = append(out.Hives, hives)
	}
	return out
}

// usualWay is the way in which the food of most colonies was last judged; hefting
// where none was.
func usualWay(cs []*season.Colony) season.FoodKind {
	n := map[season.FoodKind]int{}
	for _, c := range cs {
		if o := c.Last(); o != nil && c.Alive && o.Food.Kind != season.FoodUnknown {
			kind := o.Food.Kind
			if kind == season.FoodLiftBoth {
				kind = season.FoodGross
			}
			n[kind]++
		}
	}
	best := season.FoodHeft
	for kind := season.FoodGross; kind <= season.FoodHeft; kind++ {
		if n[kind] > n[best] {
			best = kind
		}
	}
	return best
}

// builtAlike is one colony for each set of boxes in a yard, the commonest first, wrapped
// as most of them are.
func builtAlike(cs []*season.Colony) []season.Colony {
	type set struct {
		colony     season.Colony
		name       string
		n, wrapped int
	}
	var sets []set
	for _, c := range cs {
		if !c.Alive {
			continue
		}
		name := fmt.Sprint(c.Boxes, c.FramesPerBox)
		i := slices.IndexFunc(sets, func(s set) bool { return s.name == name })
		if i < 0 {
			i, sets = len(sets), append(sets, set{colony: season.Colony{Yard: c.Yard, Alive: true, Boxes: c.Boxes, FramesPerBox: c.FramesPerBox}, name: name})
		}
		k := 1
		if c.Tally != nil {
			k = c.Tally.LookedAt
		}
		if sets[i].n += k; c.Insulated {
			sets[i].wrapped += k
		}
	}
	slices.SortFunc(sets, func(a, b set) int { return cmp.Or(b.n-a.n, cmp.Compare(a.name, b.name)) })
	var out []season.Colony
	for _, s := range sets {
		s.colony.Insulated = 2*s.wrapped > s.n
		out = append(out, s.colony)
	}
	return out
}

// cardLines is a row's policy, and the subject it was found for.
type cardLines struct {
	s       *subject
	feeder  plan.Feeder
	policy  schedule.Policy
	terms   schedule.Terms
	members []schedule.Member
}

// cardHives are those of a row: their seams, how their food will be judged, and the
// syrup that is mixed; the zero value chooses one.
type cardHives struct {
	seams  [2]int
	judged season.FoodKind
	syrup  syrup.Strength
}

// cardLines finds the lines of hives of so many seams.
func (w *Worker) cardLines(y *Yard, like season.Colony, h cardHives) cardLines {
	seams := h.seams
	middle := float64(seams[0]+seams[1]) / 2
	none := math.NaN()
	like.Observations = []season.Observation{{Date: y.Season.Today, Alive: true, SeamsOfBees: middle, CountTempC: cardTempC,
		BroodFrames: none, OverKg: none, SealedFrac: none}}
	s := w.subject(y, &like)
	s.key = ensemble.KeyOf("card", y.Site.Name) // one set of draws, so that rows differ by their hives alone
	boxes := 0
	for _, b := range like.Boxes {
		boxes += b.Count
	}
	s.seen.StoresKg, s.seen.StoresSDKg = cardKg+cardKgABox*float64(boxes-1), cardSDKg
	// Seams of a row lie evenly over it.
	s.seen.BeesLogSD = math.Hypot(s.seen.BeesLogSD, float64(seams[1]-seams[0]+1)/math.Sqrt(12)/middle)
	s.later = s.lookBy(h.judged)

	// As many members as there may be: one row decides for many hives, and draws that
	// happen to be hard or easy would feed them all by some 8 % more or less.
	alone, s, _ := w.leftAloneTo(s, unsure, unsure)
	need, first := w.required(s, alone)
	start := min(first.risk, first.reserve, len(y.Visits)-1)
	way, choice := choose(y, need, start, w.o.Season)
	bees := w.rangeOf(s.seenBees(alone)).P50
	strength := h.syrup
	if strength.IsZero() {
		strength = chosenStrength(&w.o.Season.Settings, way, bees, y.firstSyrup(start))
	}
	out := cardLines{s: s, feeder: choice.Feeder, terms: w.terms(s, feederOf(way), strength)}
	out.terms.LookFirst = true
	on := &w.mine
	on.members = s.membersFor(alone, 0, alone.members, on.members)
	w.engine.Prepare(&on.set, uint64(s.key), on.members, out.terms)
	feeders, blocks := atATime(way, bees)
	found := w.engine.Find(&on.set, feeders, blocks, &on.on)
	out.terms.Feeder = found.Feeder
	out.policy, out.members = found.Policy.Without(rareFrac, &on.on), on.members
	return out
}

func unsure(chance) bool { return false }

// cardRow shows lines as a keeper reads a hive.
func (w *Worker) cardRow(c *cardLines, seams [2]int, visits int) plan.CardRow {
	out := plan.CardRow{FromSeams: seams[0], ToSeams: seams[1], Strength: c.terms.Rules.Strength, Feeder: c.feeder, Cells: make([]plan.CardCell, visits)}
	tareKg, _ := c.s.hive.TareKg()
	for k := range out.Cells {
		l, cell := c.policy[k], &out.Cells[k]
		if l.Lot.None() || math.IsInf(l.UnderKg, -1) {
			continue
		}
		cell.SyrupL, cell.SolidKg = l.Lot.SyrupL, l.Lot.SolidKg
		cell.SugarKg, cell.WaterL = l.Lot.SyrupL*out.Strength.SugarKgPerL(), l.Lot.SyrupL*out.Strength.WaterLPerL()
		if math.IsInf(l.UnderKg, 1) {
			cell.All = true
			continue
		}
		cell.UnderKg, cell.UnderHeft = l.UnderKg, c.s.heftUnder(l.UnderKg)
		cell.UnderGrossKg = tareKg + l.UnderKg + c.s.notFoodKgOn(c.s.y.Visits[k].Day, c.members)
		cell.UnderBackKg = observe.BackLiftKg(cell.UnderGrossKg)
		cell.UnderFrames = l.UnderKg / c.s.hive.MainKind().FullFrameKg()
	}
	return out
}

// lookBy is how well food is judged in one way by a keeper who has not judged this
// hive before.
func (s *subject) lookBy(kind season.FoodKind) schedule.Look {
	var look schedule.Look
	switch kind {
	case season.FoodGross, season.FoodLiftBoth:
		look = s.scaleLook()
	case season.FoodLiftBack:
		notFoodKg, _ := s.hive.NotFoodKg(s.hive.Bees(&observe.Look{SeamsOfBees: s.obs.SeamsOfBees, CountTempC: cardTempC}).MeanBees, math.NaN())
		lifted := *s.obs
		lifted.Food = season.Food{Kind: season.FoodLiftBack, LiftBackKg: observe.BackLiftKg(notFoodKg + cardBackKg)}
		x := s.look(&lifted)
		look = schedule.Look{SDKg: x.StoresSDKg, CommonFrac: square(x.CommonSDKg / x.StoresSDKg)}
	case season.FoodFrames:
		look = s.between(season.Food{Kind: season.FoodFrames, FramesDeep: 1}, season.Food{Kind: season.FoodFrames, FramesDeep: 4})
	default:
		look = s.heftLook()
	}
	look.LikeLast = false
	return look
}
