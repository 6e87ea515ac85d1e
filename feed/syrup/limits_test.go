package syrup_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"bloomgap/feed/syrup"
)

// TestWordsOfStrengths: each way to write a strength, to the last digit it was given with.
func TestWordsOfStrengths(t *testing.T) {
	for text, want := range map[string]string{
		"3.125:2": "3.125:2", "1.33333 : 1": "1.33333:1", "66.6667%": "66.6667%", "1.25 to 1.125 by vol": "1.25:1.125 by volume", "2:1 v/v": "2:1 by volume",
		"2:1 w/w": "2:1", "2:1 By  Mass": "2:1", "60 % by weight": "60%", "1000000:999999": "1e+06:999999",
	} {
		s, err := syrup.Parse(text)
		require.NoError(t, err, text)
		require.Equal(t, want, s.String(), text)
	}
	require.Equal(t, "1.33333:0.777777 by volume", syrup.ByVolume(1.33333, 0.777777).Label)
	require.Equal(t, "66.67%", frac(2.0/3).String())
	for _, bad := range []string{"1000001:1", "1:1000001", "Inf%", "NaN%", "-Inf:1", "1:NaN", "1:inf", "%", "1e999:1"} {
		_, err := syrup.Parse(bad)
		require.ErrorContains(t, err, "is not a syrup strength", bad)
	}
	_, err := syrup.Parse("1e6%")
	require.ErrorContains(t, err, "cannot be mixed")
	_, err = syrup.Parse("1000001%")
	require.ErrorContains(t, err, "is not a syrup strength")
	_, err = syrup.Parse("80%")
	require.NoError(t, err, "the strongest there is")
	_, err = syrup.Parse("80.1%")
	require.ErrorContains(t, err, "80.1 %")
	require.ErrorContains(t, syrup.Strength{}.Validate(), "cannot be mixed", "none is none")
	require.True(t, syrup.Strength{}.IsZero())
	require.False(t, syrup.TwoToOne().IsZero())
}

// TestStrengthsAsText: what is written is read again; what cannot be read leaves the strength as it was.
func TestStrengthsAsText(t *testing.T) {
	for _, s := range []syrup.Strength{syrup.OneToOne(), syrup.TwoToOne(), syrup.ByVolume(2, 1), {MassFrac: 0.62, Label: "62%"}} {
		text, err := s.MarshalText()
		require.NoError(t, err)
		var got syrup.Strength
		require.NoError(t, got.UnmarshalText(text))
		require.Equal(t, s.Label, got.Label)
		require.InDelta(t, s.MassFrac, got.MassFrac, 1e-12)
	}
	was := syrup.TwoToOne()
	require.ErrorContains(t, was.UnmarshalText([]byte("thick")), "thick")
	require.Equal(t, syrup.TwoToOne(), was)
}

// TestBeyondTheTableOfSolubility: over what 30 C dissolve it goes on straight, 0.0016 a degree; at the end
// of the table it does not jump.
func TestBeyondTheTableOfSolubility(t *testing.T) {
	for w, want := range map[float64]float64{0.682: 30, 0.6836: 31, 0.69: 35, 0.77: 85} {
		at, can := syrup.SaturatedBelowC(frac(w))
		require.True(t, can)
		require.InDelta(t, want, at, 1e-6, "%g", w)
	}
	below, _ := syrup.SaturatedBelowC(frac(0.682 - 1e-7))
	require.InDelta(t, 30, below, 0.001)
	first, can := syrup.SaturatedBelowC(frac(0.6441))
	require.True(t, can)
	require.InDelta(t, 0.13, first, 0.05, "a little over what ice water holds")
	for _, w := range []float64{0.644, 0, math.NaN()} {
		at, can := syrup.SaturatedBelowC(frac(w))
		require.False(t, can)
		require.True(t, math.IsNaN(at))
	}
}
