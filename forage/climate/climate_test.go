package climate

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bloomgap/forage/weather"
)

var nan = math.NaN()

func TestDailyKeepsMonthMeans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var monthly [12]float64
		for m := range monthly {
			monthly[m] = rapid.Float64Range(-30, 30).Draw(t, "month")
		}
		days := daily(monthly)
		day := 0
		for m, length := range monthLengths {
			var sum float64
			for range length {
				sum += days[day]
				day++
			}
			require.InDelta(t, monthly[m], sum/float64(length), 1e-9)
		}
	})
}

func TestDailyIsSmooth(t *testing.T) {
	days := daily(Builtin()[0].MeanC())
	for d := range days {
		require.InDelta(t, days[d], days[(d+1)%yearDays], 0.4, "from day %d, new year included", d)
	}
}

func TestGenerateShape(t *testing.T) {
	got := Generate(Builtin()[0], 4, 7)
	require.Len(t, got, 4)
	require.Equal(t, "generated 1", got[0].Name)
	require.Equal(t, date(2000, time.October, 1), got[0].First)
	require.Equal(t, date(2001, time.July, 31), got[0].Last())
	require.Len(t, got[0].Days, 304)
	require.Len(t, got[3].Days, 305, "spring of 2004, a leap year")
	require.Empty(t, Generate(Builtin()[0], 0, 7))
	require.Empty(t, Generate(Builtin()[0], -1, 7))
}

func TestGenerateIsDeterministic(t *testing.T) {
	n := Builtin()[1]
	few, many := Generate(n, 3, 42), Generate(n, 10, 42)
	require.Empty(t, cmp.Diff(few, many[:3], cmpopts.EquateNaNs()), "more years change none of the earlier")
	require.NotEqual(t, few[0].Days[10].TmaxC, few[1].Days[10].TmaxC, "years differ")
	require.NotEqual(t, few[0].Days[10].TmaxC, Generate(n, 1, 43)[0].Days[10].TmaxC, "seeds differ")
}

func TestGeneratedDaysArePlausible(t *testing.T) {
	all := Builtin()
	rapid.Check(t, func(t *rapid.T) {
		n := all[rapid.IntRange(0, len(all)-1).Draw(t, "climate")]
		for _, r := range Generate(n, 3, rapid.Uint64().Draw(t, "seed")) {
			for i, d := range r.Days {
				require.Less(t, d.TminC, d.TmaxC, "day %d", i)
				require.Greater(t, d.TminC, -60.0)
				require.Less(t, d.TmaxC, 50.0)
				if !n.HasRain() {
					require.True(t, math.IsNaN(d.PrecipMm))
					continue
				}
				require.True(t, d.PrecipMm == 0 || d.PrecipMm >= WetMm, "day %d has %g mm", i, d.PrecipMm)
				require.Less(t, d.PrecipMm, 400.0)
			}
		}
	})
}

// A climate fitted to what was generated from it is that climate again.
func TestFitRecoversWhatWasGenerated(t *testing.T) {
	n := Builtin()[5]
	years := Generate(n, 160, 3)
	// Fit wants all months, so August and September are filled with the days of
	// June and July; they are not compared.
	r := &weather.Record{Name: "joined", First: years[0].First}
	for _, y := range years {
		r.Days = append(r.Days, y.Days...)
		r.Days = append(r.Days, y.Days[len(y.Days)-61:]...)
	}
	got, err := Fit(r)
	require.NoError(t, err)
	for _, m := range []int{9, 10, 11, 0, 1, 2, 3, 4, 5, 6} {
		name := monthNames[m]
		require.InDelta(t, n.TmaxMeanC[m], got.TmaxMeanC[m], 0.5, name)
		require.InDelta(t, n.TminMeanC[m], got.TminMeanC[m], 0.5, name)
		require.InEpsilon(t, n.TmaxSDC[m], got.TmaxSDC[m], 0.1, name)
		require.InEpsilon(t, n.TminSDC[m], got.TminSDC[m], 0.1, name)
		require.InDelta(t, n.WetShare[m], got.WetShare[m], 0.03, name)
		require.InDelta(t, n.WetAfterWet[m], got.WetAfterWet[m], 0.04, name)
		require.InEpsilon(t, n.PrecipMm[m], got.PrecipMm[m], 0.10, name)
		require.InDelta(t, n.TmaxWetDiffC[m], got.TmaxWetDiffC[m], 0.6, name)
	}
	for _, m := range []int{11, 0, 1, 2, 3, 4} {
		require.InDelta(t, n.Memory.MaxAfterMax[m], got.Memory.MaxAfterMax[m], 0.06, monthNames[m])
		require.InDelta(t, n.Memory.MaxMin[m], got.Memory.MaxMin[m], 0.06, monthNames[m])
	}
}

func TestFitRefuses(t *testing.T) {
	_, err := Fit(&weather.Record{Name: "empty.csv"})
	require.ErrorContains(t, err, "empty.csv: January has 0 days")
	require.ErrorContains(t, err, "December has 0 days")
	short := Generate(Builtin()[0], 1, 1)[0]
	_, err = Fit(short)
	require.ErrorContains(t, err, "March has 31 days with both temperatures and 140 are needed")
}

func TestValidateNamesAll(t *testing.T) {
	n := Builtin()[0]
	n.TmaxMeanC[0] = nan
	n.WetShare[3] = 1.4
	n.TminMeanC[6] = 40
	n.Memory.SlowDays = 0
	err := n.Validate()
	for _, part := range []string{"mean maximum in C of January is NaN", "share of wet days of April is 1.4", "mean minimum of July (40 C) is above", "slow days is 0"} {
		require.ErrorContains(t, err, part)
	}
	require.Panics(t, func() { Generate(n, 1, 1) })
	contradicting := Builtin()[0]
	contradicting.Memory.MaxMin[2] = 1.2
	require.ErrorContains(t, contradicting.Validate(), "March: the correlations of its temperatures contradict each other")
}

func unknown() (out [12]float64) {
	for m := range out {
		out[m] = nan
	}
	return out
}

func TestFromMonthly(t *testing.T) {
	bern := Builtin()[5]
	t.Run("the means of a built-in climate give that climate", func(t *testing.T) {
		n, err := FromMonthly(Monthly{Place: "like Bern", MeanC: bern.MeanC(), SwingC: unknown(), RainMm: unknown()})
		require.NoError(t, err)
		for m := range 12 {
			require.InDelta(t, bern.TmaxMeanC[m], n.TmaxMeanC[m], 0.01)
			require.InDelta(t, bern.TmaxSDC[m], n.TmaxSDC[m], 0.01)
			require.InDelta(t, bern.WetShare[m], n.WetShare[m], 0.001)
		}
	})
	t.Run("typed figures come back", func(t *testing.T) {
		typed := Monthly{Place: "typed", MeanC: bern.MeanC()}
		for m := range 12 {
			typed.MeanC[m] -= 3
			typed.SwingC[m], typed.RainMm[m] = 7, 2*bern.PrecipMm[m]
		}
		n, err := FromMonthly(typed)
		require.NoError(t, err)
		for m := range 12 {
			require.InDelta(t, typed.MeanC[m], n.MeanC()[m], 1e-9)
			require.InDelta(t, 7, n.TmaxMeanC[m]-n.TminMeanC[m], 1e-9)
			require.InDelta(t, typed.RainMm[m], n.PrecipMm[m], 1e-9)
			require.Greater(t, n.WetShare[m], bern.WetShare[m], "half of twice the rain comes on more days")
		}
	})
	t.Run("dry month", func(t *testing.T) {
		typed := Monthly{MeanC: bern.MeanC(), SwingC: unknown()}
		n, err := FromMonthly(typed)
		require.NoError(t, err)
		require.InDelta(t, leastChance, n.WetShare[5], 1e-9)
		require.NotEmpty(t, Generate(n, 1, 1))
	})
	t.Run("bad figures are all named", func(t *testing.T) {
		typed := Monthly{MeanC: bern.MeanC(), SwingC: unknown(), RainMm: unknown()}
		typed.MeanC[0], typed.SwingC[1], typed.RainMm[2] = nan, -1, -4
		_, err := FromMonthly(typed)
		require.ErrorContains(t, err, "mean temperature of January is NaN C")
		require.ErrorContains(t, err, "daily swing of February is -1 C")
		require.ErrorContains(t, err, "rain of March is -4 mm")
	})
	t.Run("any plausible year can be generated", rapid.MakeCheck(func(t *rapid.T) {
		var typed Monthly
		mean, half := rapid.Float64Range(-10, 15).Draw(t, "mean"), rapid.Float64Range(0, 20).Draw(t, "half")
		for m := range 12 {
			typed.MeanC[m] = mean - half*math.Cos(2*math.Pi*float64(m)/12)
			typed.SwingC[m] = rapid.SampledFrom([]float64{nan, 0.5, 8, 25}).Draw(t, "swing")
			typed.RainMm[m] = rapid.SampledFrom([]float64{nan, 0, 40, 300, 1500}).Draw(t, "rain")
		}
		n, err := FromMonthly(typed)
		require.NoError(t, err)
		for _, d := range Generate(n, 1, 1)[0].Days {
			require.Less(t, d.TminC, d.TmaxC)
		}
	}))
}

func TestNearest(t *testing.T) {
	tests := []struct {
		name           string
		lat, lon, elev float64
		want           string
	}{
		{"a station finds itself", 49.77, 9.96, 268, "Wuerzburg, Germany"},
		{"Zurich: high ground between Bern and Wuerzburg", 47.4, 8.5, 500, "Bern, Switzerland"},
		{"Fargo: the continent's middle", 46.9, -96.8, 274, "Grand Forks, North Dakota"},
		{"Hamburg: the northern plain", 53.6, 10.0, 10, "Grambek, northern Germany"},
		{"Chicago: the lake shore", 41.9, -87.6, 180, "Milwaukee, Wisconsin"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			require.Equal(t, tt.want, NearestAt(tt.lat, tt.lon, tt.elev).Place)
		})
	}
	require.Equal(t, "Bern, Switzerland", NearestAt(47, nan, 600).Place)
	require.Equal(t, "Grambek, northern Germany", NearestAt(54, nan, nan).Place, "height not known")
}

func TestResidualsKeepTheirSpread(t *testing.T) {
	n := Builtin()[5]
	for m := range 12 {
		r, err := newResiduals(n.Memory, m)
		require.NoError(t, err)
		cov := r.start.mul(r.start.transposed())
		next := r.a.mul(cov).mul(r.a.transposed())
		noise := r.b.mul(r.b.transposed())
		for i := range 2 {
			require.InDelta(t, 1, cov[i][i]+r.slow*r.slow, 1e-9, "variance is 1 with the slow part")
			for j := range 2 {
				require.InDelta(t, cov[i][j], next[i][j]+noise[i][j], 1e-9, "a day on, the fast part varies as before")
			}
		}
	}
}

func BenchmarkGenerate(b *testing.B) {
	n := Builtin()[0]
	b.ReportAllocs()
	for b.Loop() {
		Generate(n, 100, 1)
	}
}
