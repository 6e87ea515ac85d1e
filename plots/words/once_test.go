package words

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/plots/plantest"
)

// TestSaidOnce: what the reasons of a colony say is not said again under them, and bees of the springs
// that a colony left alone survives do not stand beside those of all springs.
func TestSaidOnce(t *testing.T) {
	pl := plantest.Plan()
	c := &pl.Colonies[0]
	p := &c.Supplement
	require.False(t, c.StarveDate.IsZero())
	p.WantedBees, c.BloomBees = plan.Range{}, plan.Range{P10: 4321, P50: 5432, P90: 6543}
	lines := func() string { return strings.Join(Style{}.supplementLines(c), "\n") }
	p.Advice = []plan.Note{plan.SupplementUnwanted{}, plan.SupplementEffect{From: p.From, MoreBees: 1100, BareBees: 7600, ExtraSyrupL: 1.9}}
	require.Equal(t, 1, strings.Count(lines(), "more syrup"), lines())
	require.Contains(t, lines(), "They eat about")
	require.NotContains(t, lines(), "5,400")
	p.Advice = []plan.Note{plan.SupplementUnwanted{}, plan.SupplementSlight{From: p.From}}
	require.Equal(t, 1, strings.Count(lines(), "more syrup; they eat about"), lines())
	why := strings.Join(Style{}.whyLines(c), "\n")
	require.Equal(t, 1, strings.Count(why, "springs by "+Style{}.ShortDay(c.StarveDate)), why)
}

// TestWhenToGo: a hive that the next visit is late for is fed before it, not by it; at once where that
// visit is today.
func TestWhenToGo(t *testing.T) {
	pl := plantest.Plan()
	c := &pl.Colonies[0]
	c.Verdict, c.TooLate = plan.Feed, true
	next := NextVisit(pl, c.Yard)
	require.True(t, next.After(pl.Today))
	headline := func() string { return AnswerFor(pl, c, Style{}).Headline }
	c.StartBy = next
	require.Regexp(t, "^Feed .* before the next visit, "+Style{}.Day(next)+"\\.$", headline())
	c.StartBy = next.AddDate(0, 0, -1)
	require.Regexp(t, "^Feed .* by "+Style{}.Day(c.StartBy)+", sooner than the next visit\\.$", headline())
	pl.Today, c.StartBy = next, next
	require.Regexp(t, "^Feed .* at once\\.$", headline())
	c.TooLate = false
	require.Regexp(t, "^Feed .*, starting by "+Style{}.Day(next)+"\\.$", headline())
}
