package files_test

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/feed/plan"
	"bloomgap/feed/season"
	"bloomgap/feed/since"
	"bloomgap/feed/syrup"
	"bloomgap/plots/files"
	"bloomgap/plots/plantest"
)

// lookedAt gives an invented plan what was seen and given, in every way there is.
func lookedAt(p *plan.Plan) *plan.Plan {
	foods := []season.Food{{Kind: season.FoodGross, GrossKg: 23.456789}, {Kind: season.FoodLiftBoth, LiftLeftKg: 11.2, LiftRightKg: 12.4},
		{Kind: season.FoodFrames, FramesDeep: 1.5}, {Kind: season.FoodLiftBack, LiftBackKg: 12}, {Kind: season.FoodHeft, Heft: season.HeftHeavy}, {}}
	for i := range p.Colonies {
		c := &p.Colonies[i]
		p.Season.Colonies = append(p.Season.Colonies, season.Colony{Yard: c.Yard, Name: c.Colony, Alive: c.Verdict != plan.Dead, Observations: []season.Observation{
			{Date: c.SeenOn, Alive: true, Food: foods[i%len(foods)], SeamsOfBees: 4.5, CountTempC: math.NaN(), BroodFrames: 2}}})
	}
	p.Season.Given = []season.Given{{Yard: p.Colonies[0].Yard, Date: p.Today, SyrupL: 2.123456, Strength: syrup.ThreeToTwo(), SolidKg: 1},
		{Yard: p.Colonies[1].Yard, Colony: p.Colonies[1].Colony, Date: p.Today, FramesDeep: 1}}
	return p
}

func TestAPlanReadBackIsThePlan(t *testing.T) {
	for _, us := range []bool{false, true} {
		p := lookedAt(plantest.Plan())
		p.Season.Settings.UnitsUS = us
		p.Season.Settings.Parameters = []season.Parameter{{Name: "x", Value: 1.23456789}}
		var b bytes.Buffer
		require.NoError(t, files.WriteJSON(&b, p))
		before, ps := files.ReadEarlier("plan.json", b.Bytes())
		require.NoError(t, ps.Err())
		now := since.Of(p)
		require.Equal(t, &plan.Changes{Since: p.Today, Same: len(p.Colonies)}, since.Compare(&before, &now), "nothing moved, whatever the units of the words")
		require.Len(t, before.Colonies, len(now.Colonies))

		p.Season.Given[0].SyrupL++ // and what does move is seen
		p.Colonies[0].Verdict = plan.Watch
		now = since.Of(p)
		require.Len(t, since.Compare(&before, &now).Colonies, 1)
	}
}

// TestNamesAddedSince reads a plan written before the later names of version 2 came.
func TestNamesAddedSince(t *testing.T) {
	p := lookedAt(plantest.Plan())
	var b bytes.Buffer
	require.NoError(t, files.WriteJSON(&b, p))
	var d map[string]any
	require.NoError(t, json.Unmarshal(b.Bytes(), &d))
	delete(d, "changes")
	for _, name := range []string{"reserve_in_frac", "lost_frac", "waste_frac"} {
		delete(d["settings"].(map[string]any), name)
	}
	d["a name of later"] = 1
	old, err := json.Marshal(d)
	require.NoError(t, err)
	p.Season.Settings.LossFrac = 0.2
	before, ps := files.ReadEarlier("plan.json", old)
	require.NoError(t, ps.Err())
	now := since.Of(p)
	require.Empty(t, since.Compare(&before, &now).Whole, "what was not written down is not told as changed")
}

func TestAnyPlanIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plantest.NastyPlan(t)
		var b bytes.Buffer
		require.NoError(t, files.WriteJSON(&b, p))
		files.ReadEarlier("plan.json", b.Bytes()) // names may be empty or stand twice; there is no panic
	})
}

func FuzzReadEarlier(f *testing.F) {
	var b bytes.Buffer
	require.NoError(f, files.WriteJSON(&b, lookedAt(plantest.Plan())))
	f.Add(b.Bytes())
	f.Add([]byte(`{"format": "bloomgap plan", "version": 2, "today": "2027-03-20", "colonies": [{"risk": {"frac": null}}]}`))
	f.Add([]byte("{\n\"format\": }"))
	f.Fuzz(func(t *testing.T, data []byte) {
		before, ps := files.ReadEarlier("f.json", data)
		for _, p := range ps {
			require.NotEmpty(t, p.Message)
			require.NotEmpty(t, p.Fix)
			require.LessOrEqual(t, p.Line, 1+strings.Count(string(data), "\n"))
		}
		if ps.Err() == nil {
			now := since.Of(plantest.Plan())
			since.Compare(&before, &now)
		}
	})
}
