package colony

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestCatalogueIsWhole: every field of Params has one entry that says all there
// is to say, and its typical value lies well inside its range.
func TestCatalogueIsWhole(t *testing.T) {
	require.Len(t, Catalogue(), reflect.TypeFor[Params]().NumField())
	seen := map[string]bool{}
	fields := map[*float64]bool{}
	var p Params
	statuses := []string{"read", "cited", "worked", "fitted", "common practice", "memory", "own judgement"}
	for _, c := range Catalogue() {
		require.False(t, seen[c.Name], "%s is listed twice", c.Name)
		seen[c.Name] = true
		require.False(t, fields[c.field(&p)], "%s shares its field with another", c.Name)
		fields[c.field(&p)] = true
		require.NotEmpty(t, c.Meaning, c.Name)
		require.NotEmpty(t, c.Unit, c.Name)
		require.NotEmpty(t, c.Source, c.Name)
		require.Contains(t, statuses, c.Status, c.Name)
		require.LessOrEqual(t, c.Low, c.Typical, c.Name)
		require.LessOrEqual(t, c.Typical, c.High, c.Name)
		if c.Status == "fitted" {
			require.Contains(t, c.Source, "fitted", c.Name)
		}
		if c.Spread == Fixed {
			require.Zero(t, c.SD, c.Name)
			continue
		}
		require.Positive(t, c.SD, c.Name)
		// Most of the prior must be inside the range, or the cut decides the spread.
		low, high := c.Typical-c.SD, c.Typical+c.SD
		if c.Spread == Lognormal {
			low, high = c.Typical*math.Exp(-c.SD), c.Typical*math.Exp(c.SD)
		}
		require.GreaterOrEqual(t, low, c.Low, c.Name)
		require.LessOrEqual(t, high, c.High, c.Name)
	}
	d := DefaultParams()
	require.Len(t, d.Values(), len(Catalogue()))
	for i, v := range d.Values() {
		require.Equal(t, Catalogue()[i].Typical, v)
	}
	require.Greater(t, parameter("brood_warm_c").Low, parameter("brood_cold_c").High, "laying divides by the difference")
	require.LessOrEqual(t, parameter("house_days").High, float64(maxHouseDays), "the ring of young bees is that long")
}

func TestSet(t *testing.T) {
	p := DefaultParams()
	require.NoError(t, p.Set("heat_loss_w", 0.3))
	require.Equal(t, 0.3, p.HeatLossW)
	require.ErrorContains(t, p.Set("heat_loss_w", 3), "outside its range 0.13 to 0.45 W/K")
	require.ErrorContains(t, p.Set("heat_loss_w", math.NaN()), "outside its range")
	require.ErrorContains(t, p.Set("heat_los", 0.3), "heat_loss_w")
	require.Equal(t, 0.3, p.HeatLossW, "a refused value changes nothing")
}

func TestReadOverrides(t *testing.T) {
	typical := DefaultParams().HeatLossW
	tests := []struct {
		name, text string
		want       []string // problems, in order
		heat       float64
	}{
		{"two values", "name,value\nheat_loss_w,0.3\nactivity_mg,5\n", nil, 0.3},
		{"with units", "parameter;value;unit\nheat_loss_w;0,3;W/K\n", nil, 0.3},
		{"unknown name", "name,value\nheat_loss,0.3\n", []string{`set.csv:2:1: there is no parameter "heat_loss"; did you mean heat_loss_w?`}, typical},
		{"out of range", "name,value\nactivity_mg,5\nheat_loss_w,30\n", []string{"set.csv:3:2:"}, typical},
		{"not a number", "name,value\nheat_loss_w,warm\n", []string{"set.csv:2:2:"}, typical},
		{"wrong unit", "name,value,unit\nheat_loss_w,0.3,kW/K\n", []string{"set.csv:2:3: heat_loss_w is in W/K, not kW/K; give the value in W/K"}, typical},
		{"set twice", "name,value\nheat_loss_w,0.3\nheat_loss_w,0.2\n", []string{"set.csv:3:1: heat_loss_w is set twice, first at set.csv:2"}, 0.3},
		{"empty value", "name,value\nheat_loss_w,\n", []string{"set.csv:2:2:"}, typical},
		{"all problems in one run", "name,value\nx,1\nheat_loss_w,30\n", []string{"set.csv:2:1:", "set.csv:3:2:"}, typical},
		{"no value column", "name\nheat_loss_w\n", []string{"set.csv:1"}, typical},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p, ps := ReadOverrides("set.csv", strings.NewReader(tt.text), DefaultParams())
			fatal := ps.Fatal()
			require.Len(t, fatal, len(tt.want), "%v", ps)
			for i := range fatal {
				require.Contains(t, fatal[i].String(), tt.want[i])
			}
			require.Equal(t, tt.heat, p.HeatLossW)
		})
	}
}

func FuzzReadOverrides(f *testing.F) {
	f.Add("name,value\nheat_loss_w,0.3\n")
	f.Add("parameter;value;unit\nheat_loss_w;0,3;W/K\nx;1;\n")
	f.Add("name,value\nheat_loss_w,NaN\nactivity_mg,1e400\n")
	f.Fuzz(func(t *testing.T, text string) {
		p, _ := ReadOverrides("set.csv", strings.NewReader(text), DefaultParams())
		for i, v := range p.Values() {
			c := Catalogue()[i]
			if !(v >= c.Low && v <= c.High) {
				t.Fatalf("%s = %g got past its range", c.Name, v)
			}
		}
	})
}
