package bloom

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Figures as published: European beekeepers' associations (willow 175-260,
// cherry 530, apple and dandelion 700 C-days), Ohio State University (silver
// maple 34, red maple 44, forsythia 81-86, crabapple 209 F-days).
func TestBuiltinPublishedFigures(t *testing.T) {
	for _, c := range []struct {
		plant, form string
		low, high   float64 // C-days
	}{
		{"willow", formGrassland, 175, 260}, {"cherry", formGrassland, 530, 530}, {"apple", formGrassland, 700, 700}, {"dandelion", formGrassland, 700, 700},
		{"silver maple", formBase50, 34 / 1.8, 34 / 1.8}, {"red maple", formBase50, 44 / 1.8, 44 / 1.8},
		{"forsythia", formBase50, 81 / 1.8, 86 / 1.8}, {"apple", formBase50, 209 / 1.8, 209 / 1.8},
	} {
		th, ok := Find(c.plant, c.form)
		require.True(t, ok, c.plant)
		require.GreaterOrEqual(t, th.NeedCd, c.low-1e-9)
		require.LessOrEqual(t, th.NeedCd, c.high+1e-9)
		require.Equal(t, Read, th.Status)
		require.Equal(t, Chosen, th.SpreadStatus, "no spread was published")
		require.NotEmpty(t, th.Note)
	}
}

func TestBuiltinIsWhole(t *testing.T) {
	seen := map[string]bool{}
	for _, th := range Builtin() {
		require.NotEmpty(t, th.Source)
		require.NotEmpty(t, th.Form)
		require.Positive(t, th.SpreadDays)
		require.False(t, seen[th.Plant+th.Form], "%s, %s stands twice", th.Plant, th.Form)
		seen[th.Plant+th.Form] = true
	}
}

func TestFind(t *testing.T) {
	for given, want := range map[string]string{"Common  Dandelion": "dandelion", "American Elm": "elm", "pussy willow": "pussy willow",
		"white willow": "willow", "ELM": "elm", "elmwood": "", "": ""} {
		th, ok := Find(given, "")
		require.Equal(t, want != "", ok, given)
		require.Equal(t, want, th.Plant, given)
	}
	_, ok := Find("elm", formGrassland)
	require.False(t, ok)
}

func TestDefault(t *testing.T) {
	forms := func(latDeg, lonDeg float64) map[string]Threshold {
		out := map[string]Threshold{}
		for _, th := range Default(latDeg, lonDeg) {
			require.NoError(t, th.Validate())
			out[strings.TrimSpace(th.Plant+" "+string(th.Stage))] = th
			if th.Stage != FullBloom {
				out[th.Plant] = th
			}
		}
		require.Equal(t, DependableNectar, out["dandelion"].Role)
		return out
	}
	bern, farnham, milwaukee, fargo := forms(47, 7.5), forms(45.3, -72.9), forms(43, -87.9), forms(46.9, -96.8)
	require.Equal(t, formGrassland, bern["willow"].Form)
	require.Equal(t, formFargoMar, bern["dandelion"].Form)
	require.NotContains(t, bern, "silver maple")
	require.Equal(t, formFargo, farnham["dandelion"].Form)
	require.Equal(t, formFargoMar, milwaukee["dandelion"].Form)
	require.Equal(t, formBase50, milwaukee["red maple"].Form)
	require.Greater(t, milwaukee["red maple full bloom"].NeedCd, milwaukee["red maple first flower"].NeedCd)
	require.InDelta(t, 2.9, fargo["dandelion"].SpreadDays, 1e-9)
	require.InDelta(t, 4.17, farnham["dandelion"].SpreadDays, 0.01) // 2.9 and 3 in squares
}
