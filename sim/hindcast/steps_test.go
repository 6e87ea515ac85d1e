package hindcast

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/forage"
	"bloomgap/forage/read"
	"bloomgap/forage/scales"
)

func noFlight(time.Time) (forage.Day, bool) { return forage.Day{}, true }

func fullFlight(time.Time) (forage.Day, bool) { return forage.Day{ForagingH: 7}, true }

// weights are daily weighings from 2 January on.
func weights(kg ...float64) []scales.Weighing {
	var out []scales.Weighing
	for i, x := range kg {
		out = append(out, scales.Weighing{Date: day(1, 2).AddDate(0, 0, i), GrossKg: x})
	}
	return out
}

func TestStepsAreTakenOut(t *testing.T) {
	rule := DefaultRule()
	for name, c := range map[string]struct {
		kg     []float64
		day    func(time.Time) (forage.Day, bool)
		steps  []Step
		last   float64 // the last weight as used
		leaves int     // readings left out
	}{
		"a quiet winter":              {[]float64{30, 29.9, 30.1, 29.8, 29.8, 29.7}, noFlight, nil, 29.7, 0},
		"rain on the lid":             {[]float64{30, 30.6, 30.4, 29.9, 29.8, 29.7}, noFlight, nil, 29.7, 0},
		"fondant nobody wrote down":   {[]float64{30, 29.9, 29.8, 29.7, 32.1, 32, 31.9, 31.8}, noFlight, []Step{{Kg: 2.5, Cause: Gained}}, 29.3, 0},
		"a comb taken out":            {[]float64{30, 29.9, 29.8, 29.7, 27.1, 27, 26.9, 26.8}, noFlight, []Step{{Kg: -2.5, Cause: Lost}}, 29.3, 0},
		"snow for three days":         {[]float64{30, 29.9, 32, 31.9, 31, 29.6, 29.5}, noFlight, []Step{{Kg: 2.1, Cause: Load}}, 29.5, 3},
		"a reading gone wrong":        {[]float64{30, 29.9, 12, 29.8, 29.7}, noFlight, []Step{{Kg: -17.9, Cause: Load}}, 29.7, 1},
		"a good day of flow":          {[]float64{30, 30.5, 32.5, 34, 33.8, 35.5}, fullFlight, nil, 35.5, 0},
		"the night after a good flow": {[]float64{30, 32, 30.2, 32, 30.5}, fullFlight, nil, 30.5, 0},
		"too much even for a flow":    {[]float64{30, 30.5, 31, 31.5, 37, 37.5, 38}, fullFlight, []Step{{Kg: 5, Cause: Gained}}, 33, 0},
		"a box off in a flow":         {[]float64{30, 30.5, 31, 31.5, 25, 25.5, 26}, fullFlight, []Step{{Kg: -7, Cause: Lost}}, 33, 0},
	} {
		t.Run(name, func(t *testing.T) {
			points, steps := takeOut(weights(c.kg...), 0.05, c.day, rule)
			require.Len(t, points, len(c.kg))
			require.Len(t, steps, len(c.steps))
			for i, want := range c.steps {
				require.InDelta(t, want.Kg, steps[i].Kg, 0.01)
				require.Equal(t, want.Cause, steps[i].Cause)
			}
			require.InDelta(t, c.last, points[len(points)-1].Kg, 0.01)
			left := 0
			for i, p := range points {
				require.Equal(t, c.kg[i], p.SeenKg)
				if p.LeftOut {
					left++
				}
			}
			require.Equal(t, c.leaves, left)
		})
	}
}

func TestWrittenSteps(t *testing.T) {
	ws := weights(30, 29.9, 29.8, 32.2, 32.1, 31.4, 31.3)
	ws[3].Handled, ws[3].ChangeKg, ws[3].Note = true, 2.5, "fondant"
	ws[5].Handled, ws[5].ChangeKg = true, math.NaN()
	points, steps := takeOut(ws, 0.05, noFlight, DefaultRule())
	require.Equal(t, Step{From: day(1, 4), To: day(1, 5), Kg: 2.5, Cause: Written, Surely: true, Note: "fondant"}, steps[0])
	require.InDelta(t, -0.6, steps[1].Kg, 1e-9, "0.7 kg less, 0.1 of it as on any day")
	require.Equal(t, 0, points[4].Steps, "a known amount widens nothing")
	require.Equal(t, 1, points[5].Steps)
	require.InDelta(t, 29.4, points[6].Kg, 1e-9)
}

func TestScatterOf(t *testing.T) {
	require.True(t, math.IsNaN(scatterOf(weights(30, 30, 30, 30))), "too few")
	var kg []float64
	for i := range 200 { // even over +-0.1: SD 0.2/sqrt(12) = 0.058; a step and a trend do not matter
		kg = append(kg, 40-0.05*float64(i)+0.2*(math.Mod(float64(i)*0.6180339887+0.3*float64(i*i%7), 1)-0.5))
		if i > 90 {
			kg[i] += 5
		}
	}
	require.InDelta(t, 0.058, scatterOf(weights(kg...)), 0.02)
}

// TestWorkAtTheHiveDoesNotMatter: whatever was put on and taken off, written
// down or large enough to be found, the weights as used are those of the hive
// left alone.
func TestWorkAtTheHiveDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(10, 60).Draw(t, "days")
		alone := make([]float64, n)
		for i := range alone {
			alone[i] = 60 - 0.06*float64(i)
		}
		ws := weights(alone...)
		put := 0.0
		written := rapid.Bool().Draw(t, "written")
		at := rapid.IntRange(5, n-1).Draw(t, "on")
		kg := rapid.Float64Range(2, 15).Draw(t, "kg") * float64(2*rapid.IntRange(0, 1).Draw(t, "on or off")-1)
		for i := range ws {
			if i == at {
				put = kg
				if written {
					ws[i].Handled, ws[i].ChangeKg = true, kg
				}
			}
			ws[i].GrossKg += put
		}
		points, steps := takeOut(ws, 0.02, noFlight, DefaultRule())
		if len(steps) != 1 {
			t.Fatalf("%d steps", len(steps))
		}
		for i, p := range points {
			if math.Abs(p.Kg-alone[i]) > 1e-9 {
				t.Fatalf("day %d: %g, not %g", i, p.Kg, alone[i])
			}
		}
	})
}

func TestRuleRanges(t *testing.T) {
	require.NoError(t, DefaultRule().Validate())
	for name, c := range map[string]struct {
		change func(*Rule)
		want   string
	}{
		"no loss":      {func(r *Rule) { r.StillLossKg = 0 }, "loss and gain"},
		"no margin":    {func(r *Rule) { r.Sigmas = 1 }, "margin of a step"},
		"too long":     {func(r *Rule) { r.BackDays = 99 }, "a load must be gone"},
		"not a number": {func(r *Rule) { r.GainKgPerH = math.NaN() }, "loss and gain"},
	} {
		r := DefaultRule()
		c.change(&r)
		require.ErrorContains(t, r.Validate(), c.want, name)
	}
}

// FuzzSteps takes the steps out of whatever a table of weights may hold.
func FuzzSteps(f *testing.F) {
	f.Add("date,weight_lb,mark\n2024-01-02,80,yes\n2024-01-03,180,\n2024-01-04,80,\n")
	f.Add("date;weight;change\n02.01.2024;36,5;-1,2\n03.01.2024;6,5;\n")
	f.Fuzz(func(t *testing.T, text string) {
		var unused read.Problems
		for _, s := range scales.Read("w.csv", strings.NewReader(text), &unused) {
			ws := s.Weighings[:min(len(s.Weighings), 50)]
			if !inOrder(ws) {
				t.Fatal("the weighings are not in order")
			}
			points, _ := takeOut(ws, 0.1, noFlight, DefaultRule())
			if len(points) != len(ws) {
				t.Fatalf("%d points of %d weighings", len(points), len(ws))
			}
		}
	})
}
