package decide

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/feed/syrup"
	"bloomgap/feed/visits"
	"bloomgap/forage"
	"bloomgap/forage/bloom"
	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/observe"
)

// The story of a yard: six model colonies whose truth is simulated, in a spring that
// the keeper gets to know day by day, visited on five days. What each keeper knows and
// does on a visit differs; the colonies, the spring and the errors of hand and eye
// are the same for all of them.
const (
	storyHives   = 6
	storySeed    = 20270301 // of the truth; the plans have another
	storyMembers = 100
	longMembers  = 300 // of the long story: those of a plan with the usual settings
)

func storyLong() bool { return os.Getenv("BLOOMGAP_LONG") != "" }

func storyDays() []time.Time {
	return []time.Time{storyDay(3, 1), storyDay(3, 21), storyDay(4, 10), storyDay(4, 30), storyDay(5, 20)}
}

func storyDay(m time.Month, d int) time.Time { return time.Date(2027, m, d, 0, 0, 0, 0, time.UTC) }

// keeper is a way to keep bees through the story.
type keeper struct {
	name    string
	scale   bool // weighs; else hefts
	exact   bool // knows what is there, not the weather to come
	once    bool // plans at the first visit only, and feeds by its lines at the later ones
	list    bool // the same with a list: what was planned is given whatever is there
	writesN bool // writes down nothing of what was given
}

func keepers() []keeper {
	return []keeper{{name: "exact", exact: true}, {name: "scale", scale: true}, {name: "heft"},
		{name: "heft, nothing written down", writesN: true}, {name: "heft, planned once, by its lines", once: true}, {name: "list of the first visit", once: true, list: true}}
}

// trueHive is a colony as it is. Days of its run begin on the day after the first visit.
type trueHive struct {
	is         ensemble.Realization
	seams      [2]float64   // error of the count of seams, natural logarithm: that of the hive and its SD at a visit
	eye        [][3]float64 // by visit: standard normal of seams, scale and hand
	hand, tare float64      // what all looks of a hive share, standard normal
	strength   syrup.Strength
	fed        []colony.Feeding
	given      []season.Given
	looks      []season.Observation
	lines      []plan.Feeding // of a keeper who planned once
	choice     plan.ColonyPlan
	out        colony.Outcome
	path       colony.Path
	sugarKg    float64
	feedings   int
}

// spring is one true spring of the yard.
type trueSpring struct {
	record *weather.Record // the whole of it
	base   *season.Season
	hives  [storyHives]trueHive
	start  time.Time
	nectar time.Time // first day of nectar in this spring
	bloom  time.Time
}

// thresholds are those by which plans of the yard have bloom come.
func thresholds(latDeg, lonDeg float64) (pollen, nectar bloom.Threshold) {
	for _, th := range slices.Backward(bloom.Default(latDeg, lonDeg)) {
		if th.Role == bloom.DependableNectar {
			nectar = th
		} else {
			pollen = th
		}
	}
	return pollen, nectar
}

// newSpring draws the truth of a yard in spring number i: weather, bloom, bees, stores
// and the errors of all looks.
func newSpring(t testing.TB, i int, normals climate.Normals) *trueSpring {
	days := storyDays()
	base, ps := season.One(season.DefaultSettings(), days[0], map[string]string{"lat": "45.3", "lon": "-72.9", "climate": normals.Place},
		map[string]string{"date": days[0].Format(time.DateOnly), "boxes": "1 deep", "heft": "fair", "seams": "5", "count_temp": "6", "wrapped": "yes"}, nil)
	require.NoError(t, ps.Err())
	s := &trueSpring{base: base, start: days[0]}
	from := climate.Generate(normals, i+1, storySeed)[i]
	year := from.Last().Year()
	s.record = &weather.Record{Name: "true spring", First: time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC), Station: weather.Station{LatDeg: 45.3, LonDeg: -72.9, ElevM: math.NaN()}}
	for d := s.record.First; !d.After(storyDay(7, 15)); d = d.AddDate(0, 0, 1) {
		day, ok := from.At(time.Date(year+d.Year()-2027, d.Month(), d.Day(), 0, 0, 0, 0, time.UTC))
		require.True(t, ok, d)
		s.record.Days = append(s.record.Days, day)
	}
	pollen, nectar := thresholds(45.3, -72.9)
	o, err := forage.NewOutlook(forage.Prospect{LatDeg: 45.3, Start: days[0], Today: storyDay(7, 15), End: storyDay(7, 15), Season: s.record, Pollen: pollen, Nectar: nectar,
		Years: []forage.Year{{Label: "true", Record: s.record, Number: 2027, Weight: 1}}})
	require.NoError(t, err)
	p := colony.DefaultParams()
	springs := ensemble.NewSpringEnsemble(o, ensemble.NewSharedDraws(p, i+1, storySeed, false), ensemble.SpringEnsembleOptions{ReadDay: -1, Yard: "truth"})
	s.nectar, s.bloom = o.Date(springs.Members[i].NectarDay), o.Date(springs.Members[i].BloomDay)
	sampler := ensemble.NewSampler(springs)
	rnd := rand.New(rand.NewPCG(uint64(i), storySeed))
	for k := range s.hives {
		h := &s.hives[k]
		seen := ensemble.InitialSpread{BeesLogMu: math.Log(5000) + rnd.Float64()*math.Log(18.0/5), BroodCells: math.NaN(), BroodLogSD: observe.UnseenBroodLogSD,
			StoresKg: 2 + 11*rnd.Float64(), StoresMax: 30, Wrapped: true}
		sampler.Realize(ensemble.KeyOf("true hive", fmt.Sprint(k)), &seen, i, &h.is)
		h.hand, h.tare, h.seams[0] = rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()
		for range days {
			h.eye = append(h.eye, [3]float64{rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()})
		}
	}
	return s
}

// run takes a hive through its spring with what it was given so far.
func (h *trueHive) run() {
	var r colony.Runner
	h.out = r.Run(h.is.Spring(), h.is.Start, &colony.Treatment{Feedings: h.fed}, 0, &h.path)
}

// state is a hive on the evening of a day of its run, before it is fed; -1 is the
// evening of the first visit.
type state struct{ storesKg, solidKg, feederKg, bees, brood float64 } // storesKg with what lies over the cluster

func (h *trueHive) at(day int) state {
	if day < 0 {
		return state{storesKg: h.is.Start.StoresKg, bees: h.is.Start.Bees, brood: h.is.Start.BroodCells}
	}
	p := &h.path
	return state{p.StoresKg[day], p.SolidKg[day], p.FeederKg[day], p.Bees[day], p.BroodCells[day]}
}

// look is what a keeper writes down of a hive.
func (h *trueHive) look(k keeper, s *season.Season, visit int, date time.Time, is state) season.Observation {
	c, z := &s.Colonies[0], &h.eye[visit]
	o := c.Observations[0]
	o.Date, o.CountTempC, o.BroodFrames = date, 6, math.NaN()
	o.OverKg = is.solidKg / h.is.Params.SolidKgPerKgSugar
	sd := math.Sqrt(math.Log1p(0.35 * 0.35)) // of a count of seams: see observe.BeesFromSeams
	o.SeamsOfBees = math.Max(0.5, is.bees/observe.BeesPerSeam(6)*math.Exp(sd*(commonSeams*h.seams[0]+math.Sqrt(1-commonSeams*commonSeams)*z[0])+sd*sd/2))
	hive := c.Hive(s.Yards[0].Tares, s.Settings.Masses())
	feederSyrupKg := h.leftL(is) * syrup.DensityKgPerL(h.strength.MassFrac)
	read := func(f season.Food) observe.Observation {
		o.Food = f
		l := o.Look(0)
		l.InFeederKg = feederSyrupKg
		return hive.Observe(&l)
	}
	if k.scale || k.exact {
		e := read(season.Food{Kind: season.FoodGross, GrossKg: 30})
		off := e.CommonSDKg*h.tare + math.Sqrt(math.Max(0, e.StoresSDKg*e.StoresSDKg-e.CommonSDKg*e.CommonSDKg))*z[1]
		o.Food = season.Food{Kind: season.FoodGross, GrossKg: 30 + is.storesKg + off - e.StoresKg}
		return o
	}
	// The hand feels the whole weight, with an error such that the word comes out as wide
	// as it is taken to be: what the three words leave open is taken off.
	shift := o.OverKg*(h.is.Params.SolidKgPerKgSugar-1) - feederSyrupKg
	felt := is.storesKg - shift
	words := []season.Heft{season.HeftLight, season.HeftFair, season.HeftHeavy}
	var means, sds []float64
	var common float64
	for _, w := range words {
		e := hive.Stores(&season.Food{Kind: season.FoodHeft, Heft: w}, math.NaN(), math.NaN())
		means, sds, common = append(means, e.MeanKg), append(sds, e.SDKg), e.CommonSDKg/e.SDKg
	}
	at := 0
	for at < 2 && felt > (means[at]+means[at+1])/2 {
		at++
	}
	width := means[min(2, at+1)] - means[min(2, at+1)-1]
	whole := math.Sqrt(math.Max(0.25, sds[at]*sds[at]-width*width/12))
	felt += whole * (common*h.hand + math.Sqrt(1-common*common)*z[2])
	word := 0
	for word < 2 && felt > (means[word]+means[word+1])/2 {
		word++
	}
	o.Food = season.Food{Kind: season.FoodHeft, Heft: words[word]}
	return o
}

// commonSeams is what two counts of one hive share, 1, as the observation room has it
// for its own part in both.
const commonSeams = 0.6

// leftL is the syrup in the feeder, L.
func (h *trueHive) leftL(is state) float64 {
	if is.feederKg <= 1e-9 {
		return 0
	}
	return is.feederKg / (h.strength.StoresKgPerL() * h.is.Params.SyrupYield)
}

// tally is what a way of keeping came to.
type storyTally struct {
	hives, starved, feedings, bands, held int
	over, under                           int // truth over and under the band
	sugarKg, toldFrac                     float64
	bandsAt, heldAt                       [5]int
	tooLate                               int
}

// keep lives one spring by a way of keeping.
func (k keeper) keep(t testing.TB, s *trueSpring, sum *storyTally) {
	hives := s.hives // a copy: each keeper begins anew
	for i := range hives {
		h := &hives[i]
		h.fed, h.given, h.looks, h.strength = nil, nil, nil, syrup.ThreeToTwo()
		h.path = colony.Path{}
		h.run()
	}
	dead := [storyHives]bool{}
	for v, date := range storyDays() {
		if !date.Before(s.nectar) {
			break
		}
		day := int(date.Sub(s.start).Hours()/24) - 1
		var living []int
		for i := range hives {
			h := &hives[i]
			if dead[i] = h.out.StarveDay >= 0 && h.out.StarveDay <= day; dead[i] {
				continue
			}
			living = append(living, i)
			is := h.at(day)
			if n := len(h.given); n > 0 && math.IsNaN(h.given[n-1].LeftL) {
				g := &h.given[n-1]
				g.LeftL, g.LeftSolidKg = math.Min(g.SyrupL, h.leftL(is)), math.Min(g.SolidKg, is.solidKg/h.is.Params.SolidKgPerKgSugar)
			}
			h.looks = append(h.looks, h.look(k, s.base, v, date, is))
		}
		if len(living) == 0 {
			break
		}
		if k.once && v > 0 {
			for _, i := range living {
				k.byLine(&hives[i], date, day)
			}
			continue
		}
		plans := k.plan(t, s, hives[:], living, v)
		for n, i := range living {
			h, c := &hives[i], &plans[n]
			truth := h.at(day).storesKg
			if !k.exact {
				sum.bands++
				sum.bandsAt[v]++
				switch {
				case truth < c.StoresKg.P10:
					sum.under++
				case truth > c.StoresKg.P90:
					sum.over++
				default:
					sum.held++
					sum.heldAt[v]++
				}
			}
			if v == 0 {
				sum.toldFrac += c.Risk.Frac
				if c.Verdict == plan.Feed {
					sum.toldFrac += c.RiskFed.Frac - c.Risk.Frac
				}
			}
			h.choice = *c
			h.lines = c.Feedings
			if c.TooLate {
				sum.tooLate++
			}
			if len(c.Feedings) > 0 && c.Feedings[0].Date.Equal(date) && c.Feedings[0].UnderKg == 0 {
				h.give(date, day, &c.Feedings[0], c)
			}
		}
	}
	for i := range hives {
		h := &hives[i]
		sum.hives++
		if h.out.StarveDay >= 0 {
			sum.starved++
		}
		sum.sugarKg += h.sugarKg
		sum.feedings += h.feedings
	}
}

// byLine feeds by the lines of an earlier plan: by the word that the hive hefts as, or
// whatever it hefts as.
func (k keeper) byLine(h *trueHive, date time.Time, day int) {
	for i := range h.lines {
		f := &h.lines[i]
		if !f.Date.Equal(date) {
			continue
		}
		if heft := h.looks[len(h.looks)-1].Food.Heft; k.list || f.UnderKg == 0 || heft <= f.UnderHeft {
			h.give(date, day, f, &h.choice)
		}
	}
}

// give puts a feeding on a hive, as much of it as there is room for beside what is left.
func (h *trueHive) give(date time.Time, day int, f *plan.Feeding, c *plan.ColonyPlan) {
	is := h.at(day)
	lot := schedule.Lot{SyrupL: f.SyrupL, SolidKg: f.SolidKg}
	if lot.SyrupL > 0 {
		free := wayOf(c.Choice.Feeder).holdsL*float64(max(1, c.Policy.AtATime)) - h.leftL(is)
		if free < lot.SyrupL/2 {
			return
		}
		lot.SyrupL = math.Min(lot.SyrupL, free)
	}
	if lot.SolidKg > 0 {
		free := solidHoldsKg*float64(max(1, c.Policy.Blocks)) - is.solidKg/h.is.Params.SolidKgPerKgSugar
		if free < lot.SolidKg/2 {
			return
		}
		lot.SolidKg = math.Min(lot.SolidKg, free)
	}
	if lot.SyrupL > 0 {
		h.strength = c.Strength
	}
	perL := h.strength.StoresKgPerL()
	h.fed = append(h.fed, colony.Feeding{Day: day, SyrupKg: lot.SyrupL * perL, SugarKg: lot.SyrupL*h.strength.SugarKgPerL() + lot.SolidKg, SolidKg: lot.SolidKg,
		LPerKg: 1 / perL, Touching: wayOf(c.Choice.Feeder).touching})
	h.given = append(h.given, season.Given{Date: date, SyrupL: lot.SyrupL, Strength: h.strength, SolidKg: lot.SolidKg, LeftL: math.NaN(), LeftSolidKg: math.NaN()})
	h.sugarKg += lot.SyrupL*h.strength.SugarKgPerL() + lot.SolidKg
	h.feedings++
	h.run()
}

// plan is what the program says on a visit, of the colonies that live.
func (k keeper) plan(t testing.TB, s *trueSpring, hives []trueHive, living []int, visit int) []plan.ColonyPlan {
	days := storyDays()
	today := days[visit]
	now := *s.base
	now.Today, now.Colonies, now.Given = today, nil, nil
	now.Yards = slices.Clone(s.base.Yards)
	y := &now.Yards[0]
	y.NextVisit, y.DaysBetween, y.Visits, y.WeatherFiles = time.Time{}, 0, days[visit:], []string{"known"}
	if !today.Before(s.bloom) {
		y.BloomDate = s.bloom
	}
	for _, i := range living {
		c := s.base.Colonies[0]
		c.Name, c.Observations = "H"+strconv.Itoa(i), hives[i].looks
		now.Colonies = append(now.Colonies, c)
		if !k.writesN {
			for _, g := range hives[i].given {
				g.Yard, g.Colony = y.Name, c.Name
				now.Given = append(now.Given, g)
			}
		}
	}
	known := *s.record
	known.Days = s.record.Days[:1+int(today.Sub(s.record.First).Hours()/24)]
	known.Days = slices.Clone(known.Days)
	worlds, ps := visits.Worlds(&now, func([]string, string) (*weather.Record, read.Problems) { return &known, nil })
	require.NoError(t, ps.Err())
	base := colony.DefaultParams()
	o := Options{Season: &now, Base: base, Members: storyMembers, MostMembers: 2 * storyMembers}
	if storyLong() {
		o.Members, o.MostMembers = longMembers, 2*longMembers
	}
	draws := ensemble.NewSharedDraws(base, 2*o.MostMembers, now.Settings.Seed, false)
	colonies := now.ByYard()[y.Name]
	open, err := visits.Open(&now, y, colonies, worlds[y.Name], visits.Options{Draws: draws, Base: &base, Members: o.Members})
	require.NoError(t, err)
	yard, err := NewYard(open, &o, draws)
	require.NoError(t, err)
	yard.compared = nil
	w := NewWorker(&o)
	var out []plan.ColonyPlan
	for n, c := range colonies {
		sub := w.subject(yard, c)
		if k.exact {
			exactly(sub, &hives[living[n]], int(today.Sub(s.start).Hours()/24)-1)
		}
		if k.list {
			sub.later.Blind = true
		}
		out = append(out, w.decide(sub).Plan)
	}
	return out
}

// exactly makes of a subject one whose stores, feed and bees are known for what they are.
func exactly(s *subject, h *trueHive, day int) {
	is := h.at(day)
	s.looks, s.fed, s.given = nil, nil, nil
	s.seen.Day = s.y.Outlook.Day(s.y.Visits[0].Date)
	s.first = s.seen.Day + 1
	s.seen.StoresKg, s.seen.StoresSDKg = is.storesKg-is.solidKg, 0
	s.seen.BeesLogMu, s.seen.BeesLogSD = math.Log(is.bees), 0
	s.seen.BroodCells, s.seen.BroodLogSD = is.brood, 0
	s.seen.Fed = nil
	if l := h.leftL(is); l > 0 || is.solidKg > 0 {
		perL := h.strength.StoresKgPerL()
		s.seen.Fed = []colony.Feeding{{Day: -1, SyrupKg: l * perL, SolidKg: is.solidKg / h.is.Params.SolidKgPerKgSugar, LPerKg: 1 / perL, Touching: true}}
	}
	s.later = schedule.Look{}
}

// add adds what another spring came to.
func (c *storyTally) add(o *storyTally) {
	c.hives, c.starved, c.feedings, c.tooLate = c.hives+o.hives, c.starved+o.starved, c.feedings+o.feedings, c.tooLate+o.tooLate
	c.bands, c.held, c.over, c.under = c.bands+o.bands, c.held+o.held, c.over+o.over, c.under+o.under
	c.sugarKg, c.toldFrac = c.sugarKg+o.sugarKg, c.toldFrac+o.toldFrac
	for v := range c.bandsAt {
		c.bandsAt[v] += o.bandsAt[v]
		c.heldAt[v] += o.heldAt[v]
	}
}

// ratio is the sugar of one way against that of another, with its standard error over
// springs.
func ratio(a, b []storyTally) (times, errTimes float64) {
	var x, y []float64
	for i := range min(len(a), len(b)) {
		x, y = append(x, a[i].sugarKg), append(y, b[i].sugarKg)
	}
	times = stat.Mean(x, nil) / stat.Mean(y, nil)
	var off []float64
	for i := range x {
		off = append(off, (x[i]-times*y[i])/stat.Mean(y, nil))
	}
	return times, stat.StdDev(off, nil) / math.Sqrt(float64(len(off)))
}

// TestStory: over many springs the keepers lose no more than is accepted, and one who
// hefts or weighs, writes down what was given and plans again at each visit needs
// little more sugar than one who knows what is there, and much less than one who does
// not look again. BLOOMGAP_LONG (with -timeout 1h) takes 200 springs, the ways without the loop in a fifth of them.
func TestStory(t *testing.T) {
	springs, without := 3, 3
	switch {
	case storyLong():
		springs, without = 200, 40
	case testing.Short():
		springs, without = 2, 0
	}
	k := slices.IndexFunc(climate.Builtin(), func(n climate.Normals) bool { return n.Place == "Farnham, Quebec" })
	require.GreaterOrEqual(t, k, 0)
	normals := climate.Builtin()[k]
	list := keepers()
	lived := make([][]storyTally, len(list))
	for k := range list {
		lived[k] = make([]storyTally, springs)
		if list[k].once || list[k].writesN {
			lived[k] = lived[k][:without]
		}
	}
	t.Run("springs", func(t *testing.T) {
		for i := range springs {
			t.Run(strconv.Itoa(i), func(t *testing.T) {
				t.Parallel()
				s := newSpring(t, i, normals)
				for k := range list {
					if i < len(lived[k]) {
						list[k].keep(t, s, &lived[k][i])
					}
				}
			})
		}
	})
	for k, by := range lived {
		if len(by) == 0 {
			continue
		}
		var c storyTally
		for i := range by {
			c.add(&by[i])
		}
		n, bands := float64(c.hives), float64(max(1, c.bands))
		times, errTimes := ratio(by, lived[0])
		t.Logf("%-34s %4d hives, starved %.1f %% (told at the first visit %.1f %%), %.2f kg of sugar (%.2f +- %.2f of exact), %.2f feedings; bands hold %.0f %% (truth under %.0f %%, over %.0f %%), by visit %v of %v",
			list[k].name, c.hives, 100*float64(c.starved)/n, 100*c.toldFrac/n, c.sugarKg/n, times, errTimes, float64(c.feedings)/n,
			100*float64(c.held)/bands, 100*float64(c.under)/bands, 100*float64(c.over)/bands, c.heldAt, c.bandsAt)
		accept := season.DefaultSettings().AcceptRiskFrac
		require.LessOrEqual(t, float64(c.starved)/n, accept+3*math.Sqrt(accept*(1-accept)/n), list[k].name)
		if !list[k].exact { // hefts are taken to be wider than they are: more may lie inside
			require.InDelta(t, 0.82, float64(c.held)/bands, 0.07+3*math.Sqrt(0.16/bands), list[k].name)
		}
		switch {
		case list[k].exact:
		case list[k].once:
			require.Greater(t, times, 1.3, "who does not look again gives far more: %s", list[k].name)
		default:
			require.Less(t, times, mostTimes(list[k])+3*errTimes, list[k].name)
		}
	}
}

// mostTimes is the sugar of a way, against that of one who knows what is there, that it
// is held to: what is asked of weighing (1.12; 1.13 +- 0.02 in 200 springs of 300 members)
// and of hefting (1.20; 1.17 +- 0.02), with a little more for the few members of the short
// story; and what was once measured in 40 springs writing nothing down (1.46; now 1.25 +- 0.05).
func mostTimes(k keeper) float64 {
	switch {
	case k.writesN:
		return 1.55
	case storyLong() && k.scale:
		return 1.12
	case storyLong():
		return 1.20
	case k.scale:
		return 1.17
	}
	return 1.25
}
