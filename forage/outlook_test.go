package forage

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/forage/bloom"
	"bloomgap/forage/weather"
)

func date(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

// level is an invented record whose days all have the same mean temperature.
func level(name string, from, to time.Time, meanC float64) *weather.Record {
	r := &weather.Record{Name: name, First: from}
	for d := from; !d.After(to); d = d.AddDate(0, 0, 1) {
		r.Days = append(r.Days, weather.Day{TminC: meanC - 4, TmaxC: meanC + 4, PrecipMm: 0})
	}
	return r
}

// after is a plant that blooms once so many C-days have come together from 1 March.
func after(needCd float64, role bloom.Role) bloom.Threshold {
	return bloom.Threshold{Plant: "test plant", StartDOY: 60, NeedCd: needCd, SpreadDays: 3, Role: role}
}

func prospectOf(years ...Year) Prospect {
	return Prospect{LatDeg: 45, Start: date(2027, 3, 10), Today: date(2027, 3, 20), End: date(2027, 6, 30), Years: years,
		Pollen: after(100, bloom.PollenOnly), Nectar: after(400, bloom.DependableNectar)}
}

func year(label string, number int, meanC, weight float64) Year {
	return Year{Label: label, Number: number, Weight: weight, Origin: Past,
		Record: level(label, date(number-1, 11, 1), date(number, 8, 31), meanC)}
}

// Days up to today come from the season, then from the forecast, then from the
// year; each says so.
func TestDaysComeFromTheNearestSource(t *testing.T) {
	p := prospectOf(year("1999", 1999, 10, 1))
	p.Season = level("season", date(2027, 1, 1), date(2027, 3, 25), 1) // five days too many: they are not known yet
	p.Forecast = level("forecast", date(2027, 3, 21), date(2027, 3, 23), 5)
	o, err := NewOutlook(p)
	require.NoError(t, err)
	days := o.Springs[0].Days
	for _, c := range []struct {
		on     time.Time
		origin Origin
		meanC  float64
	}{
		{date(2027, 3, 10), Observed, 1}, {date(2027, 3, 20), Observed, 1},
		{date(2027, 3, 21), Forecast, 5}, {date(2027, 3, 23), Forecast, 5},
		{date(2027, 3, 24), Past, 10}, {date(2027, 6, 30), Past, 10},
	} {
		d := days[o.Day(c.on)]
		require.Equal(t, c.on, d.Date)
		require.Equal(t, c.origin, d.Origin, c.on.Format(time.DateOnly))
		require.InDelta(t, c.meanC, (d.TminC+d.TmaxC)/2, 1e-9)
	}
	require.Equal(t, date(2027, 3, 20), o.ObservedTo)
	require.Len(t, days, 113, "10 March to 30 June, both counted")
}

// 400 C-days from 1 March: at 10 C on the fortieth day, 9 April; at 5 C on the
// eightieth, 19 May. Worked by hand.
func TestBloomFollowsTheWarmthOfItsSpring(t *testing.T) {
	o, err := NewOutlook(prospectOf(year("warm", 1999, 10, 1), year("cold", 2003, 5, 1)))
	require.NoError(t, err)
	require.Equal(t, date(2027, 4, 9), o.Date(o.Springs[0].BloomDay))
	require.Equal(t, date(2027, 5, 19), o.Date(o.Springs[1].BloomDay))
	require.Equal(t, o.Day(date(2027, 3, 10)), o.Springs[0].PollenDay, "100 C-days on 10 March")
	require.Equal(t, 3.0, o.BloomSpreadDays)
}

// Warmth before the run counts: 1 to 9 March lie before the start.
func TestWarmthBeforeTheStartCounts(t *testing.T) {
	p := prospectOf(year("warm", 1999, 10, 1))
	p.Start, p.Today = date(2027, 4, 15), date(2027, 4, 15)
	o, err := NewOutlook(p)
	require.NoError(t, err)
	require.Equal(t, -6, o.Springs[0].BloomDay, "9 April, six days before the start")
}

func TestAGivenBloomOverridesTheRule(t *testing.T) {
	p := prospectOf(year("warm", 1999, 10, 1), year("cold", 2003, 5, 1))
	p.BloomSeen, p.BloomSD = date(2027, 5, 1), 2
	o, err := NewOutlook(p)
	require.NoError(t, err)
	require.True(t, o.BloomGiven)
	require.Equal(t, 2.0, o.BloomSpreadDays)
	for _, s := range o.Springs {
		require.Equal(t, date(2027, 5, 1), o.Date(s.BloomDay))
	}
}

func TestASpringWithoutBloomSaysSo(t *testing.T) {
	o, err := NewOutlook(prospectOf(year("frozen", 1999, -5, 1)))
	require.NoError(t, err)
	require.Equal(t, len(o.Springs[0].Days), o.Springs[0].BloomDay)
}

func TestWeightsBecomeShares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var ys []Year
		for i, w := range rapid.SliceOfN(rapid.Float64Range(0.01, 10), 1, 8).Draw(t, "weights") {
			ys = append(ys, year("y", 1990+i, 8, w))
		}
		o, err := NewOutlook(prospectOf(ys...))
		require.NoError(t, err)
		sum := 0.0
		for i, s := range o.Springs {
			sum += s.Weight
			require.InDelta(t, ys[i].Weight/ys[0].Weight, s.Weight/o.Springs[0].Weight, 1e-9)
		}
		require.InDelta(t, 1, sum, 1e-12)
	})
}

func TestProspectsThatCannotBe(t *testing.T) {
	gap := year("gap", 1999, 8, 1)
	gap.Record.Days[gap.Record.Index(date(1999, 4, 2))].TmaxC = math.NaN()
	turned := prospectOf(year("ok", 1999, 8, 1))
	turned.End = date(2027, 3, 1)
	for want, p := range map[string]Prospect{"no spring can be made": prospectOf(), "lacks a temperature": prospectOf(gap), "before it starts": turned} {
		_, err := NewOutlook(p)
		require.ErrorContains(t, err, want)
	}
}

// 29 February of a leap year is the 28th of one that is none.
func TestLeapDays(t *testing.T) {
	require.Equal(t, date(1999, 2, 28), inYear(date(2028, 2, 29), 1999))
	require.Equal(t, date(1996, 2, 29), inYear(date(2028, 2, 29), 1996))
	p := prospectOf(year("1999", 1999, 8, 1))
	p.Start, p.Today, p.End = date(2028, 2, 20), date(2028, 2, 20), date(2028, 6, 30)
	o, err := NewOutlook(p)
	require.NoError(t, err)
	for i, d := range o.Springs[0].Days {
		require.Equal(t, o.Date(i), d.Date, "no day is missed or told twice")
	}
}

// The latest years come first and weigh more; the season's own is left out.
func TestPastYears(t *testing.T) {
	rec := level("long", date(1990, 1, 1), date(2027, 12, 31), 8)
	from, to := weather.MonthDay{Month: time.March, Day: 10}, weather.MonthDay{Month: time.June, Day: 30}
	ys := PastYears(rec, 2020, 12, from, to, 20)
	require.Len(t, ys, 12)
	require.Equal(t, "2027", ys[0].Label)
	for i, y := range ys {
		require.NotEqual(t, 2020, y.Number)
		require.LessOrEqual(t, y.Weight, 1.0)
		if i > 0 {
			require.Less(t, y.Number, ys[i-1].Number)
			require.LessOrEqual(t, y.Weight, ys[i-1].Weight)
		}
	}
	old := PastYears(rec, 2020, 0, from, to, 20)
	require.InDelta(t, 0.5, old[len(old)-1].Weight/weightOf(old, 2010), 1e-9, "twenty years further back weigh half")
}

func weightOf(ys []Year, number int) float64 {
	for _, y := range ys {
		if y.Number == number {
			return y.Weight
		}
	}
	return math.NaN()
}

func TestADayTellsWhetherBeesFly(t *testing.T) {
	require.True(t, NewDay(date(2027, 4, 20), 6, 18, 0, 45, Past).CanFly())
	require.False(t, NewDay(date(2027, 4, 20), -3, 5, 0, 45, Past).CanFly())
	require.Equal(t, "observed", Observed.String())
}

// A spring that comes later has the year's days of so many days before from tomorrow on:
// bloom waits for them, and what is known of this season stays.
func TestASpringMovesFromTomorrowOn(t *testing.T) {
	warming := year("1999", 1999, 0, 1)
	for i := range warming.Record.Days { // a tenth of a degree a day, from 0 C on 1 February
		meanC := 0.1 * warming.Record.Date(i).Sub(date(1999, 2, 1)).Hours() / 24
		warming.Record.Days[i] = weather.Day{TminC: meanC - 4, TmaxC: meanC + 4}
	}
	p := prospectOf(warming)
	mean := func(o *Outlook, on time.Time) float64 {
		d := o.Springs[0].Days[o.Day(on)]
		return (d.TminC + d.TmaxC) / 2
	}
	plain, err := NewOutlook(p)
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		by := rapid.IntRange(-30, 30).Draw(t, "days")
		q := p
		q.LaterDays = by
		o, err := NewOutlook(q)
		require.NoError(t, err)
		require.InDelta(t, mean(plain, date(2027, 3, 20)), mean(o, date(2027, 3, 20)), 1e-9, "today stays")
		require.InDelta(t, mean(plain, date(2027, 4, 25))-0.1*float64(by), mean(o, date(2027, 4, 25)), 1e-9)
		if by >= 7 { // warmth that has come together by tomorrow stays
			require.Greater(t, o.Springs[0].BloomDay, plain.Springs[0].BloomDay)
			require.LessOrEqual(t, o.Springs[0].BloomDay, plain.Springs[0].BloomDay+by)
		}
		require.GreaterOrEqual(t, float64(by)*float64(o.Springs[0].BloomDay-plain.Springs[0].BloomDay), 0.0)
	})

	p.BloomSeen, p.LaterDays = date(2027, 5, 10), 14
	o, err := NewOutlook(p)
	require.NoError(t, err)
	require.Equal(t, date(2027, 5, 24), o.Date(o.Springs[0].BloomDay), "a day that was named moves")
	p.BloomSeen = date(2027, 3, 18)
	o, err = NewOutlook(p)
	require.NoError(t, err)
	require.Equal(t, date(2027, 3, 18), o.Date(o.Springs[0].BloomDay), "what has bloomed has bloomed")
}
