package feed

import (
	"bloomgap/feed/plan"

	"testing"

	"github.com/stretchr/testify/require"
)

// subjectOf finds a planned colony again, ready to run.
func (p *Planner) subjectOf(t testing.TB, c *plan.ColonyPlan) (*yardWork, *subject, *worker) {
	t.Helper()
	for _, y := range p.yards {
		for _, col := range y.colonies {
			if y.yard.Name == c.Yard && col.Name == c.Colony {
				require.NoError(t, y.reopen())
				w := newWorker(p)
				return y, w.subject(y, col), w
			}
		}
	}
	t.Fatalf("no colony %s in %s", c.Colony, c.Yard)
	return nil, nil, nil
}
