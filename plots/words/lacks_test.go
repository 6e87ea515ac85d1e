package words

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"bloomgap/feed/plan"
)

// The middles of what a hive holds and needs may nearly meet while it is fed
// kilos: the reason says what the feed is sized by, and only where there is such.
func TestTheReasonSaysWhatTheFeedIsSizedBy(t *testing.T) {
	need := plan.Need{On: time.Date(2027, 3, 20, 0, 0, 0, 0, time.UTC), StoresKg: plan.Range{P10: 2.4, P50: 4.7, P90: 8.2}, KgPerWeek: 1.1}
	assert.NotContains(t, Style{}.Note(need), "short of")
	need.LackKg, need.LackFrac = 6.6, 0.05
	assert.Contains(t, Style{}.Note(need), "in 5 % of springs it is short of 6.6 kg or more")
	assert.Contains(t, Style{US: true}.Short(need), "short of 15 lb in 5 % of springs")
}
