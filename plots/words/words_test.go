package words_test

import (
	"bloomgap/feed/plan"
	"bloomgap/plots/plantest"
	"bloomgap/plots/words"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRisk(t *testing.T) {
	for _, c := range []struct {
		name string
		risk plan.Risk
		want string
	}{
		{"plain", plan.Risk{Frac: 0.23, ErrFrac: 0.024}, "23 % ±2"},
		{"an error is never shown as nothing", plan.Risk{Frac: 0.02, ErrFrac: 0.002}, "2 % ±1"},
		{"none seen is not none", plan.Risk{}, "< 1 %"},
		{"all seen is not all", plan.Risk{Frac: 1}, "> 99 %"},
		{"no error known", plan.Risk{Frac: 0.5, ErrFrac: math.NaN()}, "50 %"},
		{"dead", plan.Risk{Frac: math.NaN()}, "not known"},
	} {
		require.Equal(t, c.want, words.Risk(c.risk), c.name)
	}
}

func TestUnits(t *testing.T) {
	metric, us := words.Style{}, words.Style{US: true}
	require.Equal(t, "10.0 kg", metric.Mass(10))
	require.Equal(t, "22.0 lb", us.Mass(10)) // 10 / 0.45359237 = 22.046
	require.Equal(t, "20.0 L", metric.Volume(20))
	require.Equal(t, "5.28 US gal", us.Volume(20)) // 20 / 3.785411784 = 5.283
	require.Equal(t, "not known", metric.Mass(math.NaN()))
	require.Equal(t, "150 kg", metric.Mass(149.7))
	require.Equal(t, "0.0 kg", metric.Mass(-0.01))
}

func TestFills(t *testing.T) {
	f := func(l, solid float64, late bool) plan.Feeding {
		return plan.Feeding{SyrupL: l, SolidKg: solid, OnlyIfNoNectar: late}
	}
	for _, c := range []struct {
		name  string
		fills []plan.Feeding
		want  string
	}{
		{"none", nil, ""},
		{"equal", []plan.Feeding{f(2.5, 0, false), f(2.5, 0, false)}, "2 x 2.5 L"},
		{"unequal", []plan.Feeding{f(2.5, 0, false), f(1, 0, false)}, "2 of 1.0-2.5 L"},
		{"solid then syrup, and one more in a late spring", []plan.Feeding{f(0, 2.5, false), f(3, 0, false), f(3, 0, true)}, "1 x 2.5 kg solid, 1 x 3.0 L, + 1 if no nectar"},
	} {
		require.Equal(t, c.want, words.Style{}.Fills(c.fills), c.name)
	}
}

func TestAnswerIsShortAndFirst(t *testing.T) {
	p := plantest.Plan()
	u := words.Style{}
	require.Equal(t, "Feed by Sat 22 Mar: go sooner than the next visit.", words.AnswerFor(p, &p.Colonies[0], u).Headline)
	require.Equal(t, "Feed. Start on the visit of Wed 26 Mar at the latest.", words.AnswerFor(p, &p.Colonies[1], u).Headline)
	require.Equal(t, "Watch. No feed yet; look or weigh again on Mon 24 Mar.", words.AnswerFor(p, &p.Colonies[4], u).Headline)
	require.Equal(t, "No feed needed.", words.AnswerFor(p, &p.Colonies[6], u).Headline)
	require.Equal(t, "Dead. Close it and clear it away.", words.AnswerFor(p, &p.Colonies[12], u).Headline)
	// 12 L of 2:1: 12 x 0.8844 kg of sugar (feeding.md, 884.4 g/L), half as much water.
	require.Equal(t, "Give 12.0 L of 2:1 syrup: 10.6 kg of sugar in 5.3 L of water.", words.AnswerFor(p, &p.Colonies[0], u).Do[0])
}
