package feed

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"bloomgap/feed/decide"
	"bloomgap/feed/order"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
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
	NoPrices   bool // leave out what other ways to feed would cost, which only files tell

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
	return max(o.Members, min(o.Members*o.MostFactor, decide.EnoughMembers))
}

// Planner plans a season.
type Planner struct {
	season *season.Season
	opt    Options
	terms  decide.Options
	draws  *ensemble.SharedDraws
	yards  []*yardWork

	lock     sync.Mutex
	reopened []*yardWork // whose springs were kept or made again after planning, the last used last
}

// mostReopened yards keep their springs after planning for a look at a colony, own
// choice, 4-64: the springs of a yard take some 2 MB.
const mostReopened = 16

// NewPlanner pairs a season with the weather of its yards, by yard name. A yard
// without weather is an error of the caller.
func NewPlanner(s *season.Season, weather map[string]visits.Weather, opt Options) (*Planner, error) {
	if err := opt.Validate(); err != nil {
		return nil, err
	}
	if opt.Workers == 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	p := &Planner{season: s, opt: opt, draws: ensemble.NewSharedDrawsAsNeeded(opt.Base, opt.Members, 2*opt.mostMembers(), s.Settings.Seed)}
	p.terms = decide.Options{Season: s, Base: opt.Base, Members: opt.Members, MostMembers: opt.mostMembers(), Supplement: opt.Protein,
		NoPrices: opt.NoPrices, Hand: decide.LearnHand(s, observe.MassesOf(&opt.Base))}
	colonies := s.ByYard()
	for i := range s.Yards {
		y := &s.Yards[i]
		w, ok := weather[y.Name]
		if !ok {
			return nil, fmt.Errorf("yard %s has no weather", y.Name)
		}
		p.yards = append(p.yards, &yardWork{planner: p, site: y, weather: w, colonies: colonies[y.Name]})
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
		all += len(y.colonies)
	}
	plans := make([]plan.ColonyPlan, all) // of all yards: there may be 100,000 of them, and they are not copied
	rest := plans
	for _, y := range p.yards {
		y.plans, rest = rest[:len(y.colonies):len(y.colonies)], rest[len(y.colonies):]
		for from := 0; from < len(y.colonies); from += chunk {
			jobs = append(jobs, job{y, from, min(from+chunk, len(y.colonies))})
		}
		y.left.Store(int64((len(y.colonies) + chunk - 1) / chunk))
	}
	var next, done atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	for range p.opt.Workers {
		group.Go(func() error {
			w, taken := decide.Hire(&p.terms), order.Demand{}
			defer w.LetGo()
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
					if err := j.yard.plan(ctx, w, k, &taken); err != nil {
						return err
					}
					if p.opt.Progress != nil {
						p.opt.Progress(int(done.Add(1)), all)
					}
				}
				if j.yard.left.Add(-1) == 0 {
					j.yard.planned()
				}
			}
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	for _, y := range p.yards {
		if len(y.colonies) > 0 {
			continue
		}
		if err := y.open(); err != nil { // a yard without colonies has its facts all the same
			return nil, err
		}
		y.Close()
	}
	return p.gather(plans), nil
}

// Cards makes the card of each yard, in the order of the table. Judged is the way of
// judging food that their lines allow for; season.FoodUnknown takes the usual one of
// each yard.
func (p *Planner) Cards(ctx context.Context, judged season.FoodKind) ([]plan.Card, error) {
	out := make([]plan.Card, len(p.yards))
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(p.opt.Workers)
	for i, y := range p.yards {
		group.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := y.open(); err != nil {
				return err
			}
			if err := y.Reopen(); err != nil { // a plan made before has dropped them
				return err
			}
			out[i] = decide.NewWorker(&p.terms).Card(y.Yard, judged)
			y.Close()
			return nil
		})
	}
	return out, group.Wait()
}

// yardWork is a yard while its colonies are planned. Its springs are made when the
// first worker comes and, where there are many yards, dropped when the last leaves.
type yardWork struct {
	planner  *Planner
	site     *season.Yard
	weather  visits.Weather
	colonies []*season.Colony
	plans    []plan.ColonyPlan
	left     atomic.Int64

	sumLock sync.Mutex
	sum     order.Demand // of the colonies fed

	once  sync.Once
	again sync.Mutex
	err   error
	users int // that look at it again; of the planner's lock
	*decide.Yard
}

// open makes the springs of a yard, once.
func (y *yardWork) open() error {
	y.once.Do(func() { y.Yard, y.err = y.build() })
	return y.err
}

func (y *yardWork) build() (*decide.Yard, error) {
	p := y.planner
	v, err := visits.Open(p.season, y.site, y.colonies, y.weather, visits.Options{Draws: p.draws, Base: &p.opt.Base, Members: p.opt.Members})
	if err != nil {
		return nil, err
	}
	return decide.NewYard(v, &p.terms, p.draws)
}

// planned keeps the springs of a yard whose colonies are planned, where all yards may keep
// them: what is looked at again is mostly what was just planned.
func (y *yardWork) planned() {
	p := y.planner
	if len(p.yards) > mostReopened {
		y.Close()
		return
	}
	p.lock.Lock()
	defer p.lock.Unlock()
	p.reopened = append(p.reopened, y)
}

// reopen makes the springs again that were dropped after planning, for a user who calls
// leave when done. Springs of yards that nobody has used for long are dropped again.
func (y *yardWork) reopen() error {
	if err := y.open(); err != nil {
		return err
	}
	p := y.planner
	p.lock.Lock()
	y.users++
	p.reopened = append(slices.DeleteFunc(p.reopened, func(o *yardWork) bool { return o == y }), y)
	for i := 0; i < len(p.reopened) && len(p.reopened) > mostReopened; {
		if o := p.reopened[i]; o.users == 0 {
			o.Close()
			p.reopened = slices.Delete(p.reopened, i, i+1)
		} else {
			i++
		}
	}
	p.lock.Unlock()
	y.again.Lock()
	defer y.again.Unlock()
	err := y.Reopen()
	if err != nil {
		y.leave()
	}
	return err
}

// leave ends the use of a yard that was opened again.
func (y *yardWork) leave() {
	y.planner.lock.Lock()
	defer y.planner.lock.Unlock()
	y.users--
}

// plan decides on the k-th colony of a yard and adds what it takes to the yard's
// sum; of a tally, what each of its colonies takes.
func (y *yardWork) plan(ctx context.Context, w *decide.Worker, k int, taken *order.Demand) error {
	d, err := w.Decide(ctx, y.Yard, y.colonies[k])
	if err != nil {
		return err
	}
	y.plans[k] = d.Plan
	if d.Lots == nil && d.SupplementG == nil {
		return nil
	}
	y.take(&d, taken)
	for n := 1; n <= d.Twins(); n++ {
		twin, err := w.Twin(ctx, y.Yard, y.colonies[k], &d, n)
		if err != nil {
			return err
		}
		y.take(&twin, taken)
	}
	return nil
}

// take adds what one colony takes.
func (y *yardWork) take(d *decide.Decision, taken *order.Demand) {
	taken.Of(&order.Taken{Key: d.Key, Lots: d.Lots, Strength: d.Plan.Strength, LossFrac: y.planner.season.Settings.LossFrac, SupplementG: d.SupplementG,
		Shares: d.Shares, Number: d.Number}, y.planner.opt.Members)
	y.addSum(taken)
}

// addSum adds what a colony takes to the sum of its yard.
func (y *yardWork) addSum(d *order.Demand) {
	y.sumLock.Lock()
	defer y.sumLock.Unlock()
	y.sum.Add(d)
}

// Detail runs a planned colony again day by day for its charts, on the same
// draws as its plan. It is for colonies that are alive and were looked at; for
// others it returns false. It ends early with the context's error.
func (p *Planner) Detail(ctx context.Context, c *plan.ColonyPlan) (d plan.Detail, ok bool, err error) {
	y, col, err := p.again(c)
	if err != nil {
		return plan.Detail{}, false, err
	}
	defer y.leave()
	w := decide.Hire(&p.terms)
	defer w.LetGo()
	return w.Detail(ctx, y.Yard, col, c)
}

// again finds a planned colony and opens its yard once more; leave ends that.
func (p *Planner) again(c *plan.ColonyPlan) (*yardWork, *season.Colony, error) {
	for _, y := range p.yards {
		if y.site.Name != c.Yard {
			continue
		}
		for _, col := range y.colonies {
			if col.Name == c.Colony {
				return y, col, y.reopen()
			}
		}
	}
	return nil, nil, fmt.Errorf("there is no colony %s in yard %s", c.Colony, c.Yard)
}
