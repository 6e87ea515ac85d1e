package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bloomgap/feed/plan"
)

// A share over a limit is never written like the limit.
func TestAShareOverItsLimitIsSeenOverIt(t *testing.T) {
	for _, c := range []struct {
		frac, limit float64
		want        string
	}{{0.053, 0.05, "5.3 %"}, {0.0501, 0.05, "just over 5 %"}, {0.05, 0.05, "5 %"}, {0.047, 0.05, "5 %"}, {0.12, 0.05, "12 %"}} {
		assert.Equal(t, c.want, shareBeside(c.frac, c.limit))
	}
	assert.Contains(t, Style{}.Note(plan.StillStarves{RiskFrac: 0.0533, AcceptFrac: 0.05}), "starves in 5.3 % of springs")
}
