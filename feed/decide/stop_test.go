package decide

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/forage/stoptest"
)

// TestDecisionStops: a decision looks at its context every few members, and ends at that look
// wherever it stands: while drawing, growing, feeding, with a supplement, pricing. The worker
// then decides the next colony as if nothing had been.
func TestDecisionStops(t *testing.T) {
	const members = 200
	s := season.Demo()
	d := Open(t, s, members, members)
	d.options.Supplement = true
	w := NewWorker(&d.options)
	for _, y := range d.yards {
		col := y.Colonies[0]
		whole := stoptest.After(t.Context(), 0)
		want, err := w.Decide(whole, y, col)
		require.NoError(t, err)
		if want.Plan.Verdict == plan.Dead {
			continue
		}
		looks := whole.Looks()
		require.Greater(t, looks, 2*members/lookEvery, "more than once while the members are drawn and run")
		t.Logf("%s %s: %d looks, %v between two at most", y.Site.Name, col.Name, looks, whole.Longest())
		for at := 1; at <= looks; at += max(1, looks/5) {
			c := stoptest.After(t.Context(), at)
			got, err := w.Decide(c, y, col)
			require.ErrorIs(t, err, context.Canceled)
			require.Empty(t, got.Plan.Yard)
			require.Equal(t, at, c.Looks(), "nothing is run after the end")
		}
		again, err := w.Decide(t.Context(), y, col)
		require.NoError(t, err)
		require.Equal(t, fmt.Sprint(want.Plan), fmt.Sprint(again.Plan))
		c := stoptest.After(t.Context(), 1)
		_, _, err = w.Detail(c, y, col, &again.Plan)
		require.ErrorIs(t, err, context.Canceled)
	}
}
