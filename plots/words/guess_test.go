package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bloomgap/feed/plan"
)

// Of a hive of which only place and boxes are known the first words are what to look at;
// one known figure is enough for an answer.
func TestNothingKnownIsSaidFirst(t *testing.T) {
	of := func(ws ...plan.Note) string {
		return AnswerFor(&plan.Plan{}, &plan.ColonyPlan{Verdict: plan.NoFeed, Warnings: ws}, Style{}).Headline
	}
	assert.Contains(t, of(plan.FoodNotKnown{}, plan.SeamsNotSeen{}), "Not enough is known: heft it first")
	assert.Contains(t, of(plan.FoodNotKnown{}, plan.SeamsNotSeen{}), "A guess until then: no feed")
	assert.NotContains(t, of(plan.FoodNotKnown{}), "Not enough")
	assert.NotContains(t, of(plan.SeamsNotSeen{}), "Not enough")
}
