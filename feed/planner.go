package feed

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"golang.org/x/sync/errgroup"

	"bloomgap/feed/plan"
	"bloomgap/feed/schedule"
	"bloomgap/feed/season"
	"bloomgap/forage"
	"bloomgap/forage/read"
	"bloomgap/sim/colony"
	"bloomgap/sim/ensemble"
	"bloomgap/sim/observe"
)

// Options say how a plan is made.
type Options struct {
	Base       colony.Params
	Members    int  // members that every colony runs on, 50-100000
	MostFactor int  // a colony near the decision line runs on up to this many times as many, 1-16
	Workers    int  // 0: one per core
	Protein    bool // weigh up a protein supplement

	// Version of the program, for the parts of an order: they are merged only when
	// one version wrote them. May be "".
	Version string

	// Progress is told how many colonies are done; may be nil. It is called by
	// several goroutines.
	Progress func(done, all int)
}

// DefaultOptions are the options a season's settings ask for. Settings that do
// not validate panic.
func DefaultOptions(s season.Settings) Options {
	springs := s.Springs
	if springs == 0 {
		springs = season.DefaultSettings().Springs
	}
	base := colony.DefaultParams()
	for _, p := range s.Parameters {
		if base.Set(p.Name, p.Value) != nil {
			panic("feed: a parameter of the settings is unknown or out of its range")
		}
	}
	return Options{
		Base:       base,
		Members:    max(fewestMembers, springs*s.Draws),
		MostFactor: 8,
		Protein:    s.ProteinConsidered || !s.BeesWantedDate.IsZero(),
	}
}

// fewestMembers keeps a risk of 5 % from being read off a handful of runs, 1, own judgement.
const fewestMembers = 50

// Validate tells what is out of range.
func (o Options) Validate() error {
	switch {
	case o.Members < fewestMembers || o.Members > 100000:
		return fmt.Errorf("members must lie between %d and 100000, not %d", fewestMembers, o.Members)
	case o.MostFactor < 1 || o.MostFactor > 16:
		return fmt.Errorf("the most members must be 1 to 16 times the fewest, not %d", o.MostFactor)
	case o.Workers < 0:
		return fmt.Errorf("workers must not be negative, got %d", o.Workers)
	}
	return nil
}

// mostMembers are the members that a colony near the line runs on at most. As many
// again are drawn to judge on.
func (o Options) mostMembers() int {
	return max(o.Members, min(o.Members*o.MostFactor, enoughMembers))
}

// YardWeather is the world of a yard, as Worlds makes it. Its springs are made
// when the yard is planned and dropped after, so that many yards need no more
// room than a few.
type YardWeather struct {
	Source   plan.WeatherSource // where its springs come from
	Warnings []plan.Note        // what the reader of the plan must know of it

	prospect forage.Prospect
}

// Outlook makes the possible springs of a yard.
func (w YardWeather) Outlook() (*forage.Outlook, error) { return forage.NewOutlook(w.prospect) }

// Planner plans a season.
type Planner struct {
	season *season.Season
	opt    Options
	draws  *ensemble.SharedDraws
	hand   observe.Hand // of the keeper
	yards  []*yardWork
}

// NewPlanner pairs a season with the weather of its yards, by yard name. A yard
// without weather is an error of the caller.
func NewPlanner(s *season.Season, weather map[string]YardWeather, opt Options) (*Planner, error) {
	if err := opt.Validate(); err != nil {
		return nil, err
	}
	if opt.Workers == 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	p := &Planner{season: s, opt: opt, draws: ensemble.NewSharedDraws(opt.Base, 2*opt.mostMembers(), s.Settings.Seed, false),
		hand: learnHand(s, observe.MassesOf(&opt.Base))}
	colonies, given := s.ByYard(), s.GivenByYard()
	for i := range s.Yards {
		y := &s.Yards[i]
		w, ok := weather[y.Name]
		if !ok {
			return nil, fmt.Errorf("yard %s has no weather", y.Name)
		}
		p.yards = append(p.yards, &yardWork{planner: p, yard: y, weather: w, colonies: colonies[y.Name], given: given[y.Name], compared: comparedIn(y.Name, colonies[y.Name])})
	}
	return p, nil
}

// chunk is how many colonies of a yard a worker takes at once.
const chunk = 8

// job is a part of a yard's colonies.
type job struct {
	yard     *yardWork
	from, to int
}

// Run plans every colony. Its answer depends on the season, the weather, the
// seed and the members only, not on workers or the order of yards. It ends early
// with the context's error.
func (p *Planner) Run(ctx context.Context) (*plan.Plan, error) {
	var jobs []job
	all := 0
	for _, y := range p.yards {
		y.plans = make([]plan.ColonyPlan, len(y.colonies))
		all += len(y.colonies)
		for from := 0; from < len(y.colonies); from += chunk {
			jobs = append(jobs, job{y, from, min(from+chunk, len(y.colonies))})
		}
		y.left.Store(int64((len(y.colonies) + chunk - 1) / chunk))
	}
	var next, done atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	for range p.opt.Workers {
		group.Go(func() error {
			w := newWorker(p)
			for {
				i := int(next.Add(1)) - 1
				if i >= len(jobs) {
					return nil
				}
				j := jobs[i]
				if err := j.yard.open(); err != nil {
					return err
				}
				for k := j.from; k < j.to; k++ {
					if err := ctx.Err(); err != nil {
						return err
					}
					j.yard.plans[k] = w.plan(j.yard, j.yard.colonies[k])
					if p.opt.Progress != nil {
						p.opt.Progress(int(done.Add(1)), all)
					}
				}
				if j.yard.left.Add(-1) == 0 {
					j.yard.close()
				}
			}
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	for _, y := range p.yards { // a yard without colonies
		if err := y.open(); err != nil {
			return nil, err
		}
		y.close()
	}
	return p.gather(), nil
}

// visit is a round of a yard, with what the weather after it is like.
type visit struct {
	day    int // of the outlook
	date   time.Time
	maxC   float64 // median of the day's maximum until the next visit
	meanC  float64 // median of the day's mean
	needed float64 // share of members in which nectar has not come by then
}

// yardWork is a yard while its colonies are planned. Its place is made when the
// first worker comes and dropped when the last leaves.
type yardWork struct {
	planner  *Planner
	yard     *season.Yard
	weather  YardWeather
	colonies []*season.Colony
	compared map[*season.Colony]bool // those for which other ways are priced
	given    []season.Given          // food given so far, in order of date
	plans    []plan.ColonyPlan
	left     atomic.Int64

	sumLock sync.Mutex
	sum     demand // of the colonies fed

	once    sync.Once
	again   sync.Mutex
	err     error
	outlook *forage.Outlook // without its springs while no worker is there
	place   *ensemble.SpringEnsemble
	today   int
	visits  []visit
	weeks   []int // days of the outlook on which risk is told
	facts   yardFacts
	timing  timing
	tasks   yardTasks
}

// yardFacts are what a yard's members have in common.
type yardFacts struct {
	bloom, nectar        plan.DateRange
	nonFlying, coldSpell plan.Range
	years                []plan.YearFact
}

func (y *yardWork) close() {
	y.place = nil
	y.outlook = &forage.Outlook{Start: y.outlook.Start}
}

// open makes the place of a yard, once.
func (y *yardWork) open() error {
	y.once.Do(func() { y.err = y.build() })
	return y.err
}

func (y *yardWork) build() error {
	p := y.planner
	if err := y.makePlace(); err != nil {
		return err
	}
	o := y.outlook
	y.weather.Source.Fingerprint = o.Fingerprint()
	members := y.place.Members[:p.opt.Members]

	late := 0
	for i := range members {
		late = max(late, members[i].NectarDay)
	}
	if last := o.Day(o.Springs[0].Days[len(o.Springs[0].Days)-1].Date); late > last {
		y.weather.Warnings = append(y.weather.Warnings, plan.NectarBeyond{LastDay: o.Date(last)})
	}
	for _, date := range y.fitVisits(o.Date(late)) {
		y.visits = append(y.visits, visit{day: o.Day(date), date: date})
	}
	if len(y.visits) == 0 {
		var ps read.Problems
		ps.Add(p.season.Dir, 0, 0, fmt.Sprintf("yard %s has no visit between %s and nectar", y.yard.Name, p.season.Today.Format(time.DateOnly)),
			"give next_visit, or other dates under visits")
		return ps.Err()
	}
	y.weatherAfterVisits(members)
	y.weatherOfWork()
	for day := y.today; day <= late+6; day += 7 {
		y.weeks = append(y.weeks, day)
	}
	y.gatherFacts(members)
	if p.opt.Protein {
		timing, err := y.findTiming()
		if err != nil {
			return read.InputError{Problems: read.Problems{noOutlook(p.season, y.yard, err)}}
		}
		y.timing = timing
	}
	return nil
}

// makePlace makes the springs, forcing tables and members of a yard.
func (y *yardWork) makePlace() error {
	p := y.planner
	o, err := y.weather.Outlook()
	if err != nil {
		return read.InputError{Problems: read.Problems{noOutlook(p.season, y.yard, err)}}
	}
	y.outlook = o
	y.today = o.Day(p.season.Today)
	readDay := -1
	if wanted := p.season.Settings.BeesWantedDate; !wanted.IsZero() {
		readDay = o.Day(wanted)
	}
	y.place = ensemble.NewSpringEnsemble(o, p.draws, ensemble.SpringEnsembleOptions{Today: y.today, ReadDay: readDay, Yard: y.yard.Name, Early: y.yard.EarlyForage})
	return nil
}

// weatherAfterVisits fills in what the days after each visit are like.
func (y *yardWork) weatherAfterVisits(members []ensemble.Member) {
	o := y.outlook
	for k := range y.visits {
		v := &y.visits[k]
		end := v.day + season.DefaultDaysBetween
		if k+1 < len(y.visits) {
			end = y.visits[k+1].day
		}
		var maxC, meanC []float64
		for i := range o.Springs {
			days := o.Springs[i].Days
			for d := v.day; d < min(end, len(days)); d++ {
				maxC = append(maxC, days[d].TmaxC)
				meanC = append(meanC, (days[d].TminC+days[d].TmaxC)/2)
			}
		}
		v.maxC, v.meanC = schedule.Quantile(maxC, 0.5), schedule.Quantile(meanC, 0.5)
		n := 0
		for i := range members {
			if members[i].NectarDay > v.day {
				n++
			}
		}
		v.needed = float64(n) / float64(len(members))
	}
}

// gatherFacts works out bloom, nectar and days without flight over the members.
func (y *yardWork) gatherFacts(members []ensemble.Member) {
	o := y.outlook
	n := len(members)
	bloom, nectar := make([]float64, n), make([]float64, n)
	still, spell := make([]float64, n), make([]float64, n)
	for i := range members {
		m := &members[i]
		bloom[i], nectar[i] = float64(m.BloomDay), float64(m.NectarDay)
		a, b := nonFlying(o.Springs[m.Spring].Days, y.today, m.NectarDay)
		still[i], spell[i] = float64(a), float64(b)
	}
	y.facts.bloom, y.facts.nectar = dateRange(o, bloom), dateRange(o, nectar)
	y.facts.nonFlying, y.facts.coldSpell = rangeOf(still), rangeOf(spell)
	for i := range o.Springs {
		sp := &o.Springs[i]
		nectarDay := colony.FlowDay(y.place.Forcing[i], sp.BloomDay, &y.planner.opt.Base)
		a, b := nonFlying(sp.Days, y.today, nectarDay)
		y.facts.years = append(y.facts.years, plan.YearFact{Label: sp.Label, Bloom: o.Date(sp.BloomDay), Nectar: o.Date(nectarDay), NonFlying: a, LongSpell: b})
	}
}

// nonFlying counts the days on which bees cannot fly from one day to another,
// and their longest run.
func nonFlying(days []forage.Day, from, to int) (count, longest int) {
	run := 0
	for d := from; d < min(to, len(days)); d++ {
		if days[d].CanFly() {
			run = 0
			continue
		}
		count++
		run++
		longest = max(longest, run)
	}
	return count, longest
}

func dateRange(o *forage.Outlook, days []float64) plan.DateRange {
	r := rangeOf(days)
	at := func(d float64) time.Time { return o.Date(int(math.Round(d))) }
	return plan.DateRange{P10: at(r.P10), P50: at(r.P50), P90: at(r.P90)}
}
