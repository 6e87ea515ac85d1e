package words

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/plan"
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
		require.Equal(t, c.want, Risk(c.risk), c.name)
	}
}

func TestUnits(t *testing.T) {
	metric, us := Style{}, Style{US: true}
	require.Equal(t, "10 kg", metric.Mass(10))
	require.Equal(t, "22 lb", us.Mass(10))   // 10 / 0.45359237 = 22.046
	require.Equal(t, "2.4 lb", us.Mass(1.1)) // 2.425
	require.Equal(t, "3 lb", us.Mass(1.35))  // 2.976: no 3.0 beside whole pounds
	require.Equal(t, "20 L", metric.Volume(20))
	require.Equal(t, "5.3 gal", us.Volume(20)) // 20 / 3.785411784 = 5.283
	require.Equal(t, "2.6 qt", us.Volume(2.5)) // 2.5 / 0.946352946 = 2.642
	require.Equal(t, "1 gal", us.Volume(3.785411784))
	require.Equal(t, "not known", metric.Mass(math.NaN()))
	require.Equal(t, "150 kg", metric.Mass(149.7))
	require.Equal(t, "0 kg", metric.Mass(-0.01))
	require.Equal(t, "4 bags of 50 lb", us.Bags(4, 22.67962))
	require.Equal(t, "us_gal", us.UnitHeading("L"))
}

func TestDates(t *testing.T) {
	day := func(m time.Month, d int) time.Time { return time.Date(2027, m, d, 0, 0, 0, 0, time.UTC) }
	metric, us := Style{}, Style{US: true}
	same, over := plan.DateRange{P10: day(5, 5), P50: day(5, 13), P90: day(5, 22)}, plan.DateRange{P10: day(4, 29), P50: day(5, 6), P90: day(5, 15)}
	require.Equal(t, "13 May (5 to 22 May)", metric.Days(same))
	require.Equal(t, "May 13 (May 5 to 22)", us.Days(same))
	require.Equal(t, "6 May (29 Apr to 15 May)", metric.Days(over))
	require.Equal(t, "May 6 (Apr 29 to May 15)", us.Days(over))
	require.Equal(t, "Sat Mar 20", us.Day(day(3, 20)))
	require.Equal(t, "", us.Day(time.Time{}))
}

func TestFeedings(t *testing.T) {
	f := func(l, solid float64, late bool) plan.Feeding {
		return plan.Feeding{SyrupL: l, SolidKg: solid, OnlyIfNoNectar: late}
	}
	for _, c := range []struct {
		name string
		list []plan.Feeding
		want []string
		us   []string
	}{
		{"none", nil, nil, nil},
		{"equal", []plan.Feeding{f(2.5, 0, false), f(2.5, 0, false)}, []string{"2 feedings of 2.5 L"}, []string{"2 feedings of 2.6 qt"}},
		{"unequal", []plan.Feeding{f(2.5, 0, false), f(1, 0, false)}, []string{"2 feedings, 1-2.5 L each"}, []string{"2 feedings, 1.1-2.6 qt each"}},
		{"over a gallon", []plan.Feeding{f(4, 0, false), f(1, 0, false)}, []string{"2 feedings, 1-4 L each"}, []string{"2 feedings, 1.1 qt to 1.1 gal each"}},
		{"solid then syrup, and one more in a late spring", []plan.Feeding{f(0, 2.5, false), f(3, 0, false), f(3, 0, true)},
			[]string{"2.5 kg solid", "1 feeding of 3 L", "+ 1 if late"}, []string{"6 lb solid", "1 feeding of 3.2 qt", "+ 1 if late"}},
	} {
		require.Equal(t, c.want, Style{}.Feedings(c.list), c.name)
		require.Equal(t, c.us, Style{US: true}.Feedings(c.list), c.name)
	}
}
