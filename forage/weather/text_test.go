package weather

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		cell  string
		v     float64
		whole bool
		good  bool
	}{
		{"", unknown, true, true}, {"M", unknown, true, true}, {"n/a", unknown, true, true}, {"-", unknown, true, true},
		{"-9999", unknown, true, true}, {"-999.0", unknown, true, true}, {"-999,0", unknown, true, true}, {"NaN", unknown, true, true},
		{"12", 12, true, true}, {"+12.5", 12.5, false, true}, {"-0,5", -0.5, false, true}, {".5", 0.5, false, true}, {"-139.", -139, true, true},
		{"1.25e1", 12.5, false, true}, {"0.1234567890", 0.123456789, false, true}, {"1e999", unknown, false, false}, {"0x1p4", unknown, false, false},
		{"1,234.5", unknown, false, false}, {"12 C", unknown, false, false}, {"-", unknown, true, true}, {"+", unknown, false, false}, {"inf", unknown, false, false},
	} {
		v, whole, good := number([]byte(c.cell))
		require.Equal(t, c.good, good, "%q", c.cell)
		require.Equal(t, c.whole, whole, "%q", c.cell)
		if math.IsNaN(c.v) {
			require.True(t, math.IsNaN(v), "%q gave %v", c.cell, v)
		} else {
			require.Equal(t, c.v, v, "%q", c.cell)
		}
	}
}

func TestSplit(t *testing.T) {
	for line, want := range map[string][]string{
		`a,b`:                   {"a", "b"},
		` a , "b,c" ,`:          {"a", "b,c", ""},
		`"say ""x"", y",2`:      {`say ""x"", y`, "2"},
		`"never closed, 2`:      {"never closed, 2"},
		``:                      {""},
		`,`:                     {"", ""},
		`"  -78",",,W"," -139"`: {"-78", ",,W", "-139"},
	} {
		var got []string
		for _, c := range split([]byte(line), ',', nil) {
			got = append(got, string(c))
		}
		require.Equal(t, want, got, "%q", line)
	}
}

func TestRecordAt(t *testing.T) {
	r := made("x", "2014-01-01", Day{1, 2, 0}, Day{1, unknown, 0})
	d, ok := r.At(date("2014-01-01"))
	require.True(t, ok)
	require.Equal(t, Day{1, 2, 0}, d)
	for _, s := range []string{"2013-12-31", "2014-01-02", "2014-01-03"} {
		d, ok = r.At(date(s))
		require.False(t, ok, s)
		require.False(t, d.HasTemp())
	}
	require.True(t, (&Record{}).Last().IsZero())
}
