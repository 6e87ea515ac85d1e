package plan

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/season"
)

func TestNotesAsJSON(t *testing.T) {
	b, err := json.Marshal(Figures(Seen{Food: season.FoodHeft, On: time.Date(2027, 3, 20, 0, 0, 0, 0, time.UTC), StoresKg: Range{1, 2.3456789, math.NaN()}, Bees: 8700}))
	require.NoError(t, err)
	require.JSONEq(t, `{"food": "heft", "on": "2027-03-20", "before": 0,
		"stores_kg": {"p10": 1, "p50": 2.3457, "p90": null}, "bees": 8700}`, string(b))
	b, err = json.Marshal(Figures(RoundsCold{Rounds: []ColdRound{{time.Date(2027, 3, 25, 0, 0, 0, 0, time.UTC), 3.2}}}))
	require.NoError(t, err)
	require.JSONEq(t, `{"rounds": [{"on": "2027-03-25", "max_c": 3.2}]}`, string(b))
}

func TestFeedersAsText(t *testing.T) {
	for _, f := range append(Feeders(), NoFeeder) {
		b, err := f.MarshalText()
		require.NoError(t, err)
		var back Feeder
		require.NoError(t, back.UnmarshalText(b))
		require.Equal(t, f, back)
	}
	require.ErrorContains(t, new(Feeder).UnmarshalText([]byte("spoon")), "spoon")
}
