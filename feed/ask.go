package feed

import (
	"context"

	"bloomgap/feed/asked"
	"bloomgap/feed/decide"
	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/visits"
)

// Ask answers a question about a planned colony on the same draws as its plan. It is
// for colonies that are alive and were looked at; for others it returns false. Options
// that do not validate are an error.
func (p *Planner) Ask(ctx context.Context, c *plan.ColonyPlan, q plan.Question, opt asked.Options) (plan.Asked, bool, error) {
	if err := opt.Validate(); err != nil {
		return plan.Asked{}, false, err
	}
	y, col, err := p.again(c)
	if err != nil {
		return plan.Asked{}, false, err
	}
	defer y.leave()
	w := decide.Hire(&p.terms)
	defer w.LetGo()
	k := w.Case(y.Yard, col, c)
	if k == nil {
		return plan.Asked{}, false, nil
	}
	a, err := asked.Of(k, q, &otherWorlds{ctx, p, y, col, c}, opt)
	return a, err == nil, err
}

// otherWorlds is a colony's yard as it would be.
type otherWorlds struct {
	ctx    context.Context // of the question
	p      *Planner
	yard   *yardWork
	colony *season.Colony
	plain  *plan.ColonyPlan
}

// Moved opens the yard in springs that come later, on the same draws, and decides there.
func (o *otherWorlds) Moved(days int) (*asked.Moved, error) {
	p := o.p
	terms := p.terms
	terms.Supplement = false
	v, err := visits.Open(p.season, o.yard.site, o.yard.colonies, o.yard.weather.Later(days), visits.Options{Draws: p.draws, Base: &p.opt.Base,
		Members: p.opt.Members})
	if err != nil {
		return nil, err
	}
	y, err := decide.NewYard(v, &terms, p.draws)
	if err != nil {
		return nil, err
	}
	d, err := decide.NewWorker(&terms).Decide(o.ctx, y, o.colony)
	if err != nil {
		return nil, err
	}
	return &asked.Moved{Plan: d.Plan, Case: decide.NewWorker(&terms).Case(y, o.colony, o.plain)}, nil
}

// NoNeighbourError says why a named colony is none to unite another with.
type NoNeighbourError = asked.NoNeighbourError

// AskOptions are what a caller names beside a question.
type AskOptions = asked.Options

// DefaultAskOptions are the usual ones.
func DefaultAskOptions() AskOptions { return asked.DefaultOptions() }

// ErrNoPrices is the error of asking whether feeding pays without prices.
var ErrNoPrices = asked.ErrNoPrices
