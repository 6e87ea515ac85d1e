package terminal_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
	"bloomgap/feed/plan/samples"
	"bloomgap/plots/plantest"
	"bloomgap/plots/terminal"
)

// TestGoldenOfChanges shows every kind of change, as one who plans again reads it.
func TestGoldenOfChanges(t *testing.T) {
	p := plantest.Plan()
	ch := &plan.Changes{Since: time.Date(2025, 3, 8, 0, 0, 0, 0, time.UTC), Same: 4}
	var what, why []plan.Note
	for _, n := range samples.Notes() {
		if n.Code().Kind() != "change" {
			continue
		}
		switch n.(type) {
		case plan.SettingFigure, plan.SettingWord, plan.OtherDraws, plan.YardNew, plan.YardGone, plan.OrderMoved:
			ch.Whole = append(ch.Whole, n)
		case plan.LookedSince, plan.LookRewritten, plan.GivenSince, plan.GivenRewritten, plan.DaysGone:
			why = append(why, n)
		case plan.WeatherKnown, plan.ForecastKnown, plan.NectarMoved, plan.BloomGiven, plan.SourceTurned:
			ch.Yards = append(ch.Yards, plan.YardChange{Yard: "Home", Why: []plan.Note{n}})
		default:
			what = append(what, n)
		}
	}
	for i, m := range []plan.Matter{plan.Urgent, plan.Differs, plan.Moved} {
		c := &p.Colonies[i]
		ch.Colonies = append(ch.Colonies, plan.ColonyChange{Yard: c.Yard, Colony: c.Colony, Matter: m, What: what[3*i : 3*i+3], Why: append(why[i:i+2:i+2], ch.Whole[0])})
	}
	p.Changes = ch
	part := func(s terminal.Screen) []byte {
		_, text, found := strings.Cut(printed(t, p, s), "What changed")
		require.True(t, found)
		text, _, found = strings.Cut(text, "\nTo feed,")
		require.True(t, found, "it stands before what is to be done")
		return []byte("What changed" + text)
	}
	wanted(t, "plan-since.txt", part(screen(false)))
	wanted(t, "plan-since-us.txt", part(screen(true)))
	all := screen(false)
	all.Why = true
	wanted(t, "plan-since-why.txt", part(all))
}
